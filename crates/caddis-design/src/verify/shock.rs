//! What an item and its named points see in its worst fall: histories, laboratory filter, shock response spectrum.

use crate::{Brief, Interior, Shock, ShockTrace};
use caddis_basis::{Acceleration, Duration, Frequency, STANDARD_GRAVITY, Said, Speed, said};
use caddis_protection::drop::{Fall, Packing, Precision, Record, Watch, simulate};
use caddis_protection::response::{History, LowPass, gentlest_corner, shock_spectrum};

/// Interval of the histories, s: a tenth of its rate is the top of the spectrum.
const EVERY: f64 = 1e-4;
/// Natural frequencies of the spectrum: from, to, and how many to an octave.
const SPECTRUM: (f64, f64, i32) = (5.0, 1000.0, 6);
/// Share of critical damping of the spectrum: Q = 10, as such spectra are usually drawn (common practice, no source).
const DAMPING: f64 = 0.05;
/// Samples at rest after the pulse.
const REST: usize = 10;

/// Follows one item through one fall; `None` where it meets no foam, or its pulse is too short to be sampled.
///
/// # Accuracy
/// As [`Precision::DESIGN`]: 40 ms at most. A pulse that is not over by then is cut off there.
///
/// # Source
/// Component against the fall; filter at the gentlest corner that leaves the pulse its peak (common practice, no source);
/// spectrum as [`shock_spectrum`].
pub(super) fn shock(
    packing: &Packing,
    fall: &Fall,
    interior: &Interior,
    brief: &Brief,
    index: usize,
) -> Option<Shock> {
    let place = &interior.places[index];
    let named = &brief.items[place.item].points;
    let watch = Watch {
        points: named
            .iter()
            .map(|(_, at)| (index, place.pose.apply(*at)))
            .collect(),
        every: Some(EVERY),
        ..Watch::default()
    };
    let mut found = simulate(packing, fall, &Precision::DESIGN, &watch).ok()?;
    let course = found.courses.swap_remove(index);
    // A pulse longer than what is followed counts as far as that goes.
    let end = course.end.map_or_else(
        || course.history.last().map_or(0.0, |record| record.time),
        |end| end.time,
    );
    let pulse: Vec<_> = course
        .history
        .iter()
        .take_while(|record| record.time <= end)
        .collect();
    let duration = Duration::from_si(end);
    let velocity_change = course
        .end
        .map_or_else(|| pulse_integral(&pulse), |end| end.velocity_change.length());
    let corner = gentlest_corner(duration);
    let filter = LowPass::corner(corner);
    let history = |of: &dyn Fn(usize) -> f64| {
        let samples = (0..pulse.len())
            .map(of)
            .chain(std::iter::repeat_n(0.0, REST))
            .collect();
        History::new(Duration::from_si(EVERY), samples).ok()
    };
    let along = |vector: caddis_geometry::Vec3| -vector.dot(fall.direction) * STANDARD_GRAVITY;
    let trace = |name: Said, peak: f64, history: &History| -> Option<ShockTrace> {
        let filtered = filter.filter(history).ok()?;
        let most = filtered
            .samples()
            .iter()
            .fold(0.0_f64, |most, a| most.max(a.abs()));
        Some(ShockTrace {
            name,
            along: history.samples()[..pulse.len()]
                .iter()
                .map(|a| Acceleration::from_si(*a))
                .collect(),
            peak: Acceleration::g(peak),
            filtered: Acceleration::from_si(most),
        })
    };
    let centre = history(&|k| along(pulse[k].acceleration))?;
    let mut traces = vec![trace(
        said!("centre of mass"),
        course.first_pulse.centre.value,
        &centre,
    )?];
    for (k, (name, _)) in named.iter().enumerate() {
        let of_point = history(&|i| along(pulse[i].points[k]))?;
        traces.push(trace(
            Said::name(name),
            course.first_pulse.points[k].value,
            &of_point,
        )?);
    }
    Some(Shock {
        step: Duration::from_si(EVERY),
        traces,
        velocity_change: Speed::from_si(velocity_change),
        duration,
        filter: filter.words(),
        spectrum: shock_spectrum(&centre, DAMPING, &frequencies()).ok()?,
    })
}

/// Length of the integral of the acceleration over the samples, m/s.
fn pulse_integral(pulse: &[&Record]) -> f64 {
    let sum = pulse.iter().fold(caddis_geometry::Vec3::ZERO, |sum, record| {
        sum + record.acceleration
    });
    sum.length() * STANDARD_GRAVITY * EVERY
}

fn frequencies() -> Vec<Frequency> {
    let (from, to, octave) = SPECTRUM;
    let steps = ((to / from).log2() * f64::from(octave)).floor() as i32;
    (0..=steps)
        .map(|k| Frequency::from_si(from * 2.0_f64.powf(f64::from(k) / f64::from(octave))))
        .collect()
}
