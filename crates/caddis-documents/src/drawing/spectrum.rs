//! Acceleration spectral densities on log-log paper.

use super::dimension::width_of;
use super::view::{NARROW, PAPER, TYPE};
use crate::Words;
use crate::sheet::{Anchor, BLUE, Dash, GREY, INK, RED, Sheet, Stroke, Text};
use crate::words::say;
use caddis_basis::Frequency;
use caddis_geometry::Vec2;
use caddis_protection::vibration::Spectrum;

/// Plot ground on the sheet, mm.
const LOW: Vec2 = Vec2::new(22.0, 16.0);
const HIGH: Vec2 = Vec2::new(128.0, 74.0);
/// Powers of ten shown below the highest density.
const DECADES: f64 = 6.0;

/// A curve with its name.
#[derive(Debug, Clone, Copy)]
pub struct SpectrumCurve<'a> {
    /// Its name, printed at its right end.
    pub name: &'a str,
    /// The curve.
    pub spectrum: &'a Spectrum,
}

/// Spectral density against frequency: the vehicle's floor (drawn full), what reaches items (broken lines), and where
/// items resonate (upright lines with their names).
///
/// # Units
/// Frequency in Hz, density in g²/Hz.
pub fn spectrum_plot(
    words: &Words,
    title: &str,
    floor: SpectrumCurve<'_>,
    items: &[SpectrumCurve<'_>],
    marks: &[(String, Frequency)],
) -> Sheet {
    let mut sheet = Sheet::blank(title, PAPER, 88.0);
    let (first, last) = floor.spectrum.range();
    let left = decade_below(first.si());
    let right = 10_f64.powf(last.si().log10().ceil()).max(left * 10.0);
    let most = std::iter::once(floor.spectrum)
        .chain(items.iter().map(|curve| curve.spectrum))
        .flat_map(Spectrum::points_in_g)
        .map(|p| p.1)
        .fold(0.0_f64, f64::max);
    let top = 10_f64.powf(most.log10().ceil());
    let bottom = top / 10_f64.powf(DECADES);
    let x = |f: f64| LOW.x + (HIGH.x - LOW.x) * (f / left).log10() / (right / left).log10();
    let y = |d: f64| LOW.y + (HIGH.y - LOW.y) * (d / bottom).log10() / DECADES;

    grid(&mut sheet, words, (left, right), (bottom, top), &x, &y);

    let mut crowded: Vec<(f64, f64)> = Vec::new();
    let mut marks: Vec<&(String, Frequency)> = marks
        .iter()
        .filter(|mark| mark.1.si() >= left && mark.1.si() <= right)
        .collect();
    marks.sort_by(|a, b| a.1.si().total_cmp(&b.1.si()).then_with(|| a.0.cmp(&b.0)));
    marks.dedup_by(|a, b| a.0 == b.0 && a.1 == b.1);
    for (name, frequency) in marks {
        let at = x(frequency.si());
        let half = width_of(name, TYPE) / 2.0 + 1.0;
        // Names that would touch go one row higher.
        let row = (0..3)
            .find(|row| {
                let height = f64::from(*row);
                crowded
                    .iter()
                    .all(|&(place, level)| level != height || (place - at).abs() > 2.0 * half)
            })
            .unwrap_or(2);
        crowded.push((at, f64::from(row)));
        let head = HIGH.y + 1.5 + 3.6 * f64::from(row);
        sheet.line(
            &[Vec2::new(at, LOW.y), Vec2::new(at, head)],
            Stroke::line(0.35, RED).dashed(Dash::LongDashDot),
        );
        sheet.text(Vec2::new(at, head + 0.6), name.clone(), TYPE, Anchor::Middle);
    }

    let dashes = [Dash::Dashed, Dash::LongDashDot, Dash::Dashed];
    let mut ends: Vec<(f64, Vec2, String)> = Vec::new();
    for (index, curve) in std::iter::once(&floor).chain(items).enumerate() {
        let stroke = if index == 0 {
            Stroke::line(0.6, INK)
        } else {
            Stroke::line(0.4, BLUE).dashed(dashes[(index - 1) % dashes.len()])
        };
        let mut run: Vec<Vec2> = Vec::new();
        let mut end = None;
        for pair in curve.spectrum.points_in_g().windows(2) {
            for piece in clipped(pair[0], pair[1], bottom) {
                let p = Vec2::new(x(piece.0), y(piece.1));
                if run.last().is_none_or(|q| (*q - p).length() > 1e-9) {
                    run.push(p);
                }
                end = Some(p);
            }
        }
        sheet.line(&run, stroke);
        if let Some(p) = end {
            ends.push((p.y, p, curve.name.to_owned()));
        }
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.2.cmp(&b.2)));
    let mut floor_line = f64::NEG_INFINITY;
    for (level, end, name) in ends {
        let at = level.max(floor_line + 4.2).clamp(LOW.y, HIGH.y);
        floor_line = at;
        sheet.line(&[end, Vec2::new(HIGH.x + 1.8, at)], Stroke::line(0.18, GREY));
        sheet.text(Vec2::new(HIGH.x + 2.5, at - 1.2), name, TYPE, Anchor::Start);
    }
    sheet
}

fn decade_below(value: f64) -> f64 {
    10_f64.powf(value.log10().floor())
}

/// The ends of a straight line on log-log paper that lie on the paper.
fn clipped(a: (f64, f64), b: (f64, f64), bottom: f64) -> Vec<(f64, f64)> {
    if a.1 >= bottom && b.1 >= bottom {
        return vec![a, b];
    }
    if a.1 < bottom && b.1 < bottom {
        return Vec::new();
    }
    let share = (bottom / a.1).ln() / (b.1 / a.1).ln();
    let cross = (a.0 * (b.0 / a.0).powf(share), bottom);
    if a.1 >= bottom {
        vec![a, cross]
    } else {
        vec![cross, b]
    }
}

fn grid(
    sheet: &mut Sheet,
    words: &Words,
    (left, right): (f64, f64),
    (bottom, top): (f64, f64),
    x: &impl Fn(f64) -> f64,
    y: &impl Fn(f64) -> f64,
) {
    let pale = Stroke::line(0.1, [0xc8; 3]);
    let mut decade = left;
    while decade <= right * 1.001 {
        for k in 1..10 {
            let f = decade * f64::from(k);
            if f > right * 1.001 {
                break;
            }
            sheet.line(&[Vec2::new(x(f), LOW.y), Vec2::new(x(f), HIGH.y)], pale);
            if matches!(k, 1 | 2 | 5) {
                sheet.text(
                    Vec2::new(x(f), LOW.y - 4.5),
                    plain(words, f),
                    TYPE,
                    Anchor::Middle,
                );
            }
        }
        decade *= 10.0;
    }
    let mut density = bottom;
    while density <= top * 1.001 {
        sheet.line(
            &[Vec2::new(LOW.x, y(density)), Vec2::new(HIGH.x, y(density))],
            pale,
        );
        sheet.text(
            Vec2::new(LOW.x - 1.5, y(density) - 1.2),
            plain(words, density),
            TYPE,
            Anchor::End,
        );
        density *= 10.0;
    }
    sheet.rectangle(LOW, HIGH, Some(NARROW), None);
    sheet.text(
        Vec2::new(f64::midpoint(LOW.x, HIGH.x), 5.5),
        say!(words, "plot-frequency"),
        TYPE,
        Anchor::Middle,
    );
    sheet.words(Text {
        at: Vec2::new(5.0, f64::midpoint(LOW.y, HIGH.y)),
        words: say!(words, "plot-density"),
        height: TYPE,
        anchor: Anchor::Middle,
        turned: 90.0,
        bold: false,
        colour: INK,
    });
}

/// A number without trailing zeros.
fn plain(words: &Words, value: f64) -> String {
    if value < 1e-3 {
        return format!("{value:.0e}");
    }
    let text = format!("{value:.3}");
    words.figures(text.trim_end_matches('0').trim_end_matches('.'))
}
