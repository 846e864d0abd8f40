//! What files say of vibration: a foam's measured dynamic data, an item's resonances, a leg's spectrum.

use crate::document::one_of;
use crate::error::{Fault, join};
use crate::item::{ItemFault, ItemFile};
use crate::journey::LegFile;
use crate::recording::read_recording;
use crate::spectrum::read_spectrum;
use crate::written::{Bench, Written, WrittenMeasure, parse_source};
use caddis_basis::{Acceleration, Duration, Frequency, Length, Pressure, Source, said};
use caddis_design::{ItemVibration, LegVibration};
use caddis_protection::vibration::{
    CushionRow, CushionVibration, Resonance, Spectrum, WelchSettings, published_spectra, welch,
};
use serde::{Deserialize, Serialize};

/// A foam's measured dynamic data.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct CushionVibrationFile {
    source: String,
    /// Thicknesses measured, least and most.
    thickness: [Written; 2],
    rows: Vec<CushionRowFile>,
}

/// One measured state: a dynamic modulus with damping, or a vibration test's frequency and amplification.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct CushionRowFile {
    static_stress: Written,
    #[serde(default)]
    modulus: Option<Written>,
    #[serde(default)]
    damping: Option<f64>,
    #[serde(default)]
    thickness: Option<Written>,
    #[serde(default)]
    natural_frequency: Option<Written>,
    #[serde(default)]
    amplification: Option<f64>,
}

/// A resonance inside an item.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ResonanceFile {
    /// Its frequency.
    pub frequency: Written,
    /// Amplification there.
    pub amplification: f64,
    /// Acceleration the part stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<Written>,
    /// Who states it; the item's source when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// What a leg shakes like.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LegVibrationFile {
    /// A published spectrum by name, or …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spectrum: Option<String>,
    /// … a spectrum as CSV in the job's folder, or …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// … recorded accelerations as CSV in the job's folder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recording: Option<String>,
    /// Axis of the recording that is vertical; the one of the highest level when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub axis: Option<String>,
    /// Distance of the lines of a recording's spectrum; 1 Hz when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resolution: Option<Written>,
    /// Source of a file or recording.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// Time under way.
    pub duration: Written,
}

/// The data of a foam's entry.
pub(crate) fn cushion_vibration(written: &CushionVibrationFile) -> Result<CushionVibration, Fault> {
    let bench = Bench::new(None)?;
    let source = parse_source(&written.source, "vibration.source")?;
    let low: Length = bench.positive(&written.thickness[0], "vibration.thickness[0]")?;
    let high: Length = bench.positive(&written.thickness[1], "vibration.thickness[1]")?;
    let rows = written
        .rows
        .iter()
        .enumerate()
        .map(|(index, row)| {
            let path = format!("vibration.rows[{index}]");
            let stress: Pressure = bench.positive(&row.static_stress, &join(&path, "static_stress"))?;
            match (row.modulus.as_ref(), row.damping, row.thickness.as_ref(), row.natural_frequency.as_ref(), row.amplification) {
                (Some(modulus), Some(damping), None, None, None) => Ok(CushionRow {
                    static_stress: stress,
                    modulus: bench.positive(modulus, &join(&path, "modulus"))?,
                    damping,
                }),
                (None, None, Some(thickness), Some(natural), Some(amplification)) => CushionRow::of_test(
                    stress,
                    bench.positive(thickness, &join(&path, "thickness"))?,
                    bench.positive(natural, &join(&path, "natural_frequency"))?,
                    amplification,
                )
                .map_err(|error| Fault::new(join(&path, "amplification"), error.to_string())),
                _ => Err(Fault::new(&path, "a row is either a modulus or a vibration test").hint(
                    "give `static_stress`, `modulus` and `damping`, or `static_stress`, `thickness`, `natural_frequency` and \
                     `amplification`",
                )),
            }
        })
        .collect::<Result<Vec<_>, _>>()?;
    CushionVibration::new(rows, (low, high), source).map_err(|error| {
        Fault::new("vibration", error.to_string())
            .hint("rows rise in static stress; damping is a fraction of critical")
    })
}

/// What an item states.
pub(crate) fn item_vibration(bench: &Bench, written: &ItemFile, path: &str) -> Result<ItemVibration, Fault> {
    let item_source = written
        .source
        .as_ref()
        .map(|text| parse_source(text, &join(path, "source")))
        .transpose()?
        .or_else(|| bench.default_source.clone());
    let resonances = written
        .resonances
        .iter()
        .enumerate()
        .map(|(index, resonance)| {
            let path = format!("{path}.resonances[{index}]");
            if !(resonance.amplification > 1.0 && resonance.amplification.is_finite()) {
                return Err(Fault::new(
                    join(&path, "amplification"),
                    format!("{} is no amplification at a resonance", resonance.amplification),
                )
                .hint("give a number above 1; 10 is common practice where nobody measured"));
            }
            let source = resonance
                .source
                .as_ref()
                .map(|text| parse_source(text, &join(&path, "source")))
                .transpose()?
                .or_else(|| item_source.clone())
                .ok_or_else(|| {
                    Fault::new(join(&path, "source"), "the resonance has no source")
                        .hint("write e.g. `source = \"maker's survey (measured)\"`")
                })?;
            Ok(Resonance {
                frequency: bench.positive::<Frequency>(&resonance.frequency, &join(&path, "frequency"))?,
                amplification: resonance.amplification,
                limit: resonance
                    .limit
                    .as_ref()
                    .map(|limit| bench.positive::<Acceleration>(limit, &join(&path, "limit")))
                    .transpose()?,
                source,
            })
        })
        .collect::<Result<_, Fault>>()?;
    Ok(ItemVibration {
        resonances,
        critical_velocity_change: written
            .critical_velocity_change
            .as_ref()
            .map(|measure: &WrittenMeasure| {
                bench.measured_positive(measure, &join(path, "critical_velocity_change"))
            })
            .transpose()?,
    })
}

/// Reads a file that a field names: given the field and the name.
pub(crate) type ReadFile<'a> = dyn FnMut(&str, &str) -> Result<Vec<u8>, ItemFault> + 'a;

/// The spectra of the legs that state one; `read` gives a file of the job's folder.
pub(crate) fn leg_vibration(
    bench: &Bench,
    legs: &[LegFile],
    read: &mut ReadFile<'_>,
) -> Result<Vec<LegVibration>, ItemFault> {
    let mut out = Vec::new();
    for (index, leg) in legs.iter().enumerate() {
        let Some(written) = &leg.vibration else { continue };
        let path = format!("journey.legs[{index}].vibration");
        let spectrum = match (&written.spectrum, &written.file, &written.recording) {
            (Some(name), None, None) => published(name, &join(&path, "spectrum"))?,
            (None, Some(file), None) => {
                let bytes = read(&join(&path, "file"), file)?;
                read_spectrum(&bytes, file, source(written, &path)?, file).map_err(ItemFault::File)?
            }
            (None, None, Some(file)) => {
                let bytes = read(&join(&path, "recording"), file)?;
                recorded(bench, written, &bytes, file, &path)?
            }
            _ => {
                return Err(Fault::new(&path, "a leg's vibration needs one origin")
                    .hint("give exactly one of `spectrum` (a published one by name), `file` and `recording` (CSV in the job's folder)")
                    .into());
            }
        };
        out.push(LegVibration {
            leg: index,
            spectrum,
            duration: under_way(
                bench.positive(&written.duration, &join(&path, "duration"))?,
                &path,
            )?,
        });
    }
    Ok(out)
}

fn published(name: &str, field: &str) -> Result<Spectrum, Fault> {
    let all = published_spectra().map_err(|error| Fault::new(field, error.to_string()))?;
    let names: Vec<&str> = all.iter().map(|one| one.name).collect();
    all.iter()
        .find(|one| one.name == name)
        .map(|one| one.spectrum.clone())
        .ok_or_else(|| {
            Fault::new(field, format!("`{name}` is no spectrum known here")).hint(one_of(name, &names))
        })
}

/// Time on the road; a slip of the pen is longer than a year.
fn under_way(duration: Duration, path: &str) -> Result<Duration, Fault> {
    if duration.si() > 366.0 * 86_400.0 {
        return Err(Fault::new(
            join(path, "duration"),
            format!("{:.0} h is more than a year under way", duration.si() / 3600.0),
        )
        .hint("write the time of this leg on the road, e.g. `5 h`"));
    }
    Ok(duration)
}

fn source(written: &LegVibrationFile, path: &str) -> Result<Source, Fault> {
    written
        .source
        .as_ref()
        .map(|text| parse_source(text, &join(path, "source")))
        .transpose()?
        .ok_or_else(|| {
            // The job's own source speaks of the packing list, not of a recorder.
            Fault::new(join(path, "source"), "the spectrum has no source")
                .hint("write e.g. `source = \"recorder on the load floor, 2026-10-03 (measured)\"`")
        })
}

/// The spectrum of one axis of a recording, from one line up to two fifths of the sampling rate.
fn recorded(
    bench: &Bench,
    written: &LegVibrationFile,
    bytes: &[u8],
    file: &str,
    path: &str,
) -> Result<Spectrum, ItemFault> {
    let recording = read_recording(bytes, file).map_err(ItemFault::File)?;
    let settings = WelchSettings {
        resolution: written
            .resolution
            .as_ref()
            .map(|r| bench.positive::<Frequency>(r, &join(path, "resolution")))
            .transpose()?
            .unwrap_or(Frequency::from_si(1.0)),
        ..WelchSettings::default()
    };
    let names: Vec<&str> = recording.axes.iter().map(|(name, _)| name.as_str()).collect();
    if let Some(axis) = &written.axis
        && !names.contains(&axis.as_str())
    {
        return Err(
            Fault::new(join(path, "axis"), format!("`{axis}` is no axis of {file}"))
                .hint(one_of(axis, &names))
                .into(),
        );
    }
    let mut estimates = Vec::new();
    for (name, history) in &recording.axes {
        if written.axis.as_ref().is_none_or(|axis| axis == name) {
            let estimate = welch(history, &settings)
                .map_err(|error| Fault::new(join(path, "resolution"), error.to_string()))?;
            estimates.push((name, history.step(), estimate));
        }
    }
    let best = estimates.iter().reduce(|best, next| {
        if next.2.overall() > best.2.overall() {
            next
        } else {
            best
        }
    });
    let Some((name, step, estimate)) = best else {
        return Err(Fault::new(path, "the recording has no axis").into());
    };
    let origin = source(written, path)?;
    let mut words = format!(
        "{file}, axis {name}, lines {:.2} Hz apart, Hann, half overlapped, {:.1} equivalent averages: {:.0} % of the time \
         the density lies between {:.2} and {:.2} of the estimate",
        estimate.resolution.si(),
        estimate.equivalent_averages,
        100.0 * estimate.confidence,
        estimate.band.0,
        estimate.band.1
    );
    for note in &recording.notes {
        words.push_str("; ");
        words.push_str(note);
    }
    if !origin.citation.is_empty() {
        words = format!("{}; {words}", origin.citation);
    }
    estimate
        .spectrum(
            said!("{file}, axis {axis}", file, axis = name),
            Source::new(words, origin.certainty),
            estimate.resolution,
            Frequency::from_si(0.4 / step.si()),
        )
        .map_err(|error| Fault::new(join(path, "recording"), error.to_string()).into())
}
