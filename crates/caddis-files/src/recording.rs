//! Recorded accelerations as CSV: a time column and one column an axis, the units in the headings.

use crate::error::FileError;
use crate::numeric_table::NumericTable;
use caddis_basis::{Duration, STANDARD_GRAVITY};
use caddis_protection::response::History;

const EXAMPLE: &str = "time_s,x_g,y_g,z_g";
/// Longest step over the usual one that counts as the recorder's jitter and not as a gap.
const JITTER: f64 = 1.5;

/// A recording: axes of equal length at even steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// Axis names as the headings give them, with their histories.
    pub axes: Vec<(String, History)>,
    /// What was done to the samples, in words; empty when nothing was.
    pub notes: Vec<String>,
}

/// Reads a recording; `file` is what messages call it.
///
/// Time stamps that only jitter are put on even steps by straight lines, and a note says so. A gap is an error.
///
/// # Errors
/// Text that is no table with a time column and axes with units, times that do not rise, a gap: with file, line and
/// column.
pub fn read_recording(bytes: &[u8], file: &str) -> Result<Recording, FileError> {
    let table = NumericTable::read(bytes, file, EXAMPLE)?;
    if table.columns.len() < 2 {
        return Err(table.error(
            None,
            "",
            "a recording has a time column and at least one axis",
            &format!("write the headings `{EXAMPLE}`"),
        ));
    }
    let second = table.factor(0, &[("s", 1.0), ("ms", 1e-3), ("us", 1e-6)], "time")?;
    let factors = (1..table.columns.len())
        .map(|at| {
            table.factor(
                at,
                &[
                    ("g", STANDARD_GRAVITY),
                    ("m/s2", 1.0),
                    ("mg", STANDARD_GRAVITY / 1e3),
                ],
                "acceleration",
            )
        })
        .collect::<Result<Vec<_>, _>>()?;
    let times: Vec<f64> = table.rows.iter().map(|(_, row)| row[0] * second).collect();
    if times.len() < 16 {
        return Err(table.error(
            None,
            "",
            &format!("{} samples are no recording", times.len()),
            "give at least 16",
        ));
    }
    let time_heading = table.columns[0].header.clone();
    let mut steps: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
    if let Some(at) = steps.iter().position(|step| *step <= 0.0) {
        return Err(table.error(
            Some(table.rows[at + 1].0),
            &time_heading,
            &format!(
                "{} does not rise over the time before it",
                table.rows[at + 1].1[0]
            ),
            "write the samples in rising time",
        ));
    }
    let gaps = steps.clone();
    steps.sort_by(f64::total_cmp);
    let usual = steps[steps.len() / 2];
    if let Some(at) = gaps.iter().position(|step| *step > JITTER * usual) {
        return Err(table.error(
            Some(table.rows[at + 1].0),
            &time_heading,
            &format!(
                "there is a gap of {:.4} s where samples usually lie {usual:.6} s apart",
                gaps[at]
            ),
            "cut the recording at its gaps and give the longest whole piece",
        ));
    }
    let count = times.len();
    let step = (times[count - 1] - times[0]) / (count - 1) as f64;
    let worst = times
        .iter()
        .enumerate()
        .map(|(i, t)| (t - times[0] - i as f64 * step).abs())
        .fold(0.0, f64::max);
    // Time stamps are rounded when written: up to a twentieth of a step is no jitter.
    let is_even = worst <= 0.05 * step;
    let mut notes = Vec::new();
    if !is_even {
        notes.push(format!(
            "time stamps wander by up to {:.0} % of a step; samples were put on even steps of {step:.6} s by straight lines",
            100.0 * worst / step
        ));
    }
    let axes = factors
        .iter()
        .enumerate()
        .map(|(axis, factor)| {
            let column = &table.columns[axis + 1];
            let values: Vec<f64> = table.rows.iter().map(|(_, row)| row[axis + 1] * factor).collect();
            let samples = if is_even {
                values
            } else {
                on_even_steps(&times, &values, step)
            };
            History::new(Duration::from_si(step), samples)
                .map(|history| (column.name.clone(), history))
                .map_err(|error| {
                    table.error(
                        None,
                        &column.header,
                        &error.to_string(),
                        "check the numbers in this column",
                    )
                })
        })
        .collect::<Result<_, _>>()?;
    Ok(Recording { axes, notes })
}

fn on_even_steps(times: &[f64], values: &[f64], step: f64) -> Vec<f64> {
    let mut at = 0;
    (0..times.len())
        .map(|i| {
            let time = times[0] + i as f64 * step;
            while at + 2 < times.len() && times[at + 1] < time {
                at += 1;
            }
            let share = ((time - times[at]) / (times[at + 1] - times[at])).clamp(0.0, 1.0);
            values[at] + (values[at + 1] - values[at]) * share
        })
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn lines(head: &str, rows: impl Iterator<Item = String>) -> String {
        std::iter::once(head.to_owned())
            .chain(rows)
            .collect::<Vec<_>>()
            .join("\n")
    }

    #[test]
    fn units_and_axes_are_read() {
        let text = lines(
            "time_ms,x_g,y_m_s2",
            (0..20).map(|i| format!("{},{},{}", i * 2, i, 9.80665 * f64::from(i))),
        );
        let recording = read_recording(text.as_bytes(), "r.csv").unwrap();
        let (x, y) = (&recording.axes[0], &recording.axes[1]);
        assert_eq!((x.0.as_str(), y.0.as_str()), ("x", "y"));
        assert!((x.1.step().si() - 0.002).abs() < 1e-12);
        for (a, b) in x.1.samples().iter().zip(y.1.samples()) {
            assert!((a - b).abs() < 1e-9);
        }
        assert!(recording.notes.is_empty());
    }

    #[test]
    fn jitter_is_straightened_and_said() {
        // A straight line in time stays one, whatever the stamps.
        let text = lines(
            "time_s,x_m_s2",
            (0..40).map(|i| {
                let t = 0.01 * f64::from(i) + if i % 3 == 1 { 0.002 } else { 0.0 };
                format!("{t},{}", 5.0 * t)
            }),
        );
        let recording = read_recording(text.as_bytes(), "r.csv").unwrap();
        assert_eq!(recording.notes.len(), 1);
        let history = &recording.axes[0].1;
        for (i, a) in history.samples().iter().enumerate() {
            let t = history.step().si() * i as f64;
            assert!((a - 5.0 * t).abs() < 1e-9);
        }
    }

    #[test]
    fn wrong_files_say_where_and_what() {
        let row = |i: i32| format!("{},{}", f64::from(i) * 0.01, i);
        let good = |head: &str| lines(head, (0..20).map(row));
        let with = |at: i32, what: &str| {
            lines(
                "time_s,x_g",
                (0..20).map(|i| if i == at { what.to_owned() } else { row(i) }),
            )
        };
        for (text, place, words) in [
            (good("time_s,x_V"), "column `x_V`", "`v`"),
            (good("time,x_g"), "column `time`", "no unit"),
            (with(7, "0.07,high"), "line 9, column `x_g`", "`high`"),
            (with(7, "0.01,7"), "line 9, column `time_s`", "does not rise"),
            (with(0, "-3,0"), "line 3, column `time_s`", "gap of 3.01"),
            ("time_s,x_g\n0,1\n1,1\n".to_owned(), "r.csv", "2 samples"),
            ("time_s\n0\n".to_owned(), "r.csv", "at least one axis"),
        ] {
            let error = read_recording(text.as_bytes(), "r.csv").unwrap_err();
            let message = error.to_string();
            assert!(message.contains(place) && message.contains(words), "{message}");
            assert!(error.hint().is_some());
        }
    }

    #[test]
    fn real_recorders_are_read_or_told_off() {
        let Some(inputs) = std::env::var_os("CADDIS_INPUTS") else {
            eprintln!("left out: CADDIS_INPUTS is not set, so no real recording is read");
            return;
        };
        let folder = std::path::Path::new(&inputs).join("vibshock");
        let read = |name: &str| read_recording(&std::fs::read(folder.join(name)).unwrap(), name);
        for (name, rate, count) in [
            ("endaq/handling_test1_500Hz.csv", 503.0, 4968),
            ("endaq/vibration_daq12006_4kHz_window.csv", 4038.2, 20191),
        ] {
            let recording = read(name).unwrap();
            assert_eq!(recording.axes.len(), 3);
            let history = &recording.axes[2].1;
            assert_eq!(history.samples().len(), count);
            assert!((1.0 / history.step().si() - rate).abs() < 0.1, "{name}");
        }
        let error = read("px4-pyulog/px4_sample_accel.csv").unwrap_err().to_string();
        assert!(error.contains("line 3") && error.contains("gap"), "{error}");
    }
}
