//! A compression test as a table of stress against strain.

use super::FitError;
use crate::{Law, LawError, LawKind, LawRange};
use caddis_basis::{Pressure, Source};

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompressionReading {
    /// Strain, a fraction.
    pub strain: f64,
    /// Stress.
    pub stress: Pressure,
}

/// The loading branch, fit to be a law.
#[derive(Debug, Clone, PartialEq)]
pub struct CompressionCurve {
    /// (strain, stress Pa), rising strains from 0, stresses that never fall.
    pub points: Vec<(f64, f64)>,
    /// Readings left out: those after the greatest strain (unloading) and those at or below strain 0.
    pub left_out: usize,
    /// The largest change that made the stresses rise, as a share of the greatest stress.
    pub largest_correction: f64,
}

/// Stresses at one strain that differ by more than this share of the greatest are no noise.
const NOISE: f64 = 0.02;

/// Reads the loading branch of a compression test.
///
/// Readings at one strain are averaged; where the stress falls, neighbours are averaged until it does not. The stress at
/// strain 0 is that of the first reading above it, carried down in a straight line to no more than that.
///
/// # Errors
/// A reading that is not finite, or a strain at or above 1; two readings at one strain that disagree; fewer than five
/// strains; corrections beyond noise.
///
/// # Source
/// Isotonic regression by pooling adjacent violators, textbook.
pub fn compression_curve(readings: &[CompressionReading]) -> Result<CompressionCurve, FitError> {
    for (row, reading) in readings.iter().enumerate() {
        let complain = |problem: String| Err(FitError::Row { row, problem });
        if !(reading.strain.is_finite() && reading.stress.is_finite()) {
            return complain("strain and stress must be numbers".to_owned());
        }
        if reading.strain >= 1.0 {
            return complain(format!(
                "a strain of {} leaves no foam; give fractions, or percent with `strain (%)` in the header",
                reading.strain
            ));
        }
    }
    let greatest = readings.iter().map(|r| r.stress.si()).fold(0.0, f64::max);
    let last = readings
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.strain.total_cmp(&b.1.strain).then(b.0.cmp(&a.0)))
        .map_or(0, |(row, _)| row);
    // Readings at the greatest strain belong to the loading branch wherever they stand next to each other.
    let mut end = last;
    while readings
        .get(end + 1)
        .is_some_and(|r| r.strain == readings[last].strain)
    {
        end += 1;
    }
    let mut rows: Vec<usize> = (0..readings.len().min(end + 1))
        .filter(|&row| readings[row].strain > 0.0)
        .collect();
    let left_out = readings.len() - rows.len();
    rows.sort_by(|&a, &b| readings[a].strain.total_cmp(&readings[b].strain).then(a.cmp(&b)));
    let mut means: Vec<(f64, f64, f64)> = Vec::new();
    let mut first_at: Vec<usize> = Vec::new();
    for row in rows {
        let (strain, stress) = (readings[row].strain, readings[row].stress.si());
        if stress < -NOISE * greatest {
            return Err(FitError::Row {
                row,
                problem: format!(
                    "a stress of {} pulls; compression counts positive",
                    readings[row].stress
                ),
            });
        }
        match means.last_mut() {
            Some((known, mean, count)) if *known == strain => {
                let first = readings[first_at[first_at.len() - 1]].stress.si();
                if (first - stress).abs() > NOISE * greatest {
                    return Err(FitError::Row {
                        row,
                        problem: format!(
                            "two stresses at strain {strain}: {} and {}; keep one curve in a file",
                            Pressure::from_si(first),
                            readings[row].stress
                        ),
                    });
                }
                *mean += (stress - *mean) / (*count + 1.0);
                *count += 1.0;
            }
            _ => {
                means.push((strain, stress, 1.0));
                first_at.push(row);
            }
        }
    }
    if means.len() < 5 {
        return Err(FitError::Rows(format!(
            "{} strains above 0 are too few for a curve; give at least 5",
            means.len()
        )));
    }
    let rising = pooled(&means);
    let largest = means
        .iter()
        .zip(&rising)
        .map(|(was, is)| (was.1 - is).abs())
        .fold(0.0, f64::max);
    if greatest <= 0.0 || largest > NOISE * greatest {
        return Err(FitError::Rows(format!(
            "the stress falls by up to {} as the strain rises: more than noise; give the loading branch of one specimen",
            Pressure::from_si(largest)
        )));
    }
    let mut points = vec![(0.0, at_zero(&means, &rising))];
    points.extend(means.iter().zip(&rising).map(|(mean, stress)| (mean.0, *stress)));
    Ok(CompressionCurve {
        points,
        left_out,
        largest_correction: largest / greatest,
    })
}

/// The stress at strain 0: the first two readings' line, between nothing and the first reading.
fn at_zero(means: &[(f64, f64, f64)], rising: &[f64]) -> f64 {
    let slope = (rising[1] - rising[0]) / (means[1].0 - means[0].0);
    (rising[0] - slope * means[0].0).clamp(0.0, rising[0].max(0.0))
}

/// Pooling adjacent violators, weighted by readings.
fn pooled(means: &[(f64, f64, f64)]) -> Vec<f64> {
    let mut pools: Vec<(f64, f64, usize)> = Vec::new();
    for &(_, stress, weight) in means {
        pools.push((stress.max(0.0), weight, 1));
        while let [.., before, last] = pools[..]
            && before.0 > last.0
        {
            let weight = before.1 + last.1;
            let mean = (before.0 * before.1 + last.0 * last.1) / weight;
            pools.truncate(pools.len() - 2);
            pools.push((mean, weight, before.2 + last.2));
        }
    }
    pools
        .into_iter()
        .flat_map(|(mean, _, count)| std::iter::repeat_n(mean, count))
        .collect()
}

impl CompressionCurve {
    /// The table as a law: slow compression, so never measured in impact, and gravity's work is not in it.
    ///
    /// # Errors
    /// As [`Law::check`].
    pub fn law(&self, source: Source) -> Result<Law, LawError> {
        Law {
            kind: LawKind::Table(self.points.clone()),
            range: LawRange {
                static_stress: None,
                greatest_strain: self.points.last().map_or(0.0, |p| p.0),
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source,
        }
        .validated()
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn reading(strain: f64, kpa: f64) -> CompressionReading {
        CompressionReading {
            strain,
            stress: Pressure::kpa(kpa),
        }
    }

    #[test]
    fn the_loading_branch_becomes_a_rising_table() {
        let mut readings: Vec<_> = [-0.002, 0.0, 0.1, 0.2, 0.2, 0.3, 0.4, 0.5, 0.6]
            .into_iter()
            .zip([0.1, 2.0, 20.0, 31.0, 29.0, 29.5, 45.0, 60.0, 100.0])
            .map(|(e, s)| reading(e, s))
            .collect();
        readings.push(reading(0.4, 20.0));
        let curve = compression_curve(&readings).unwrap();
        // Toe at and below 0 and the unloading branch.
        assert_eq!(curve.left_out, 3);
        assert!(curve.points[0].0 == 0.0 && curve.points[0].1 < 20e3);
        assert!(
            curve
                .points
                .windows(2)
                .all(|p| p[0].0 < p[1].0 && p[0].1 <= p[1].1)
        );
        assert!(curve.largest_correction > 0.0 && curve.largest_correction < 0.01);
        let source = Source::new("test", caddis_basis::Certainty::Measured);
        assert!(!curve.law(source).unwrap().is_measured_dynamic);
    }

    #[test]
    fn what_is_no_curve_is_refused() {
        let good: Vec<_> = (1..8)
            .map(|i| reading(0.1 * f64::from(i), 10.0 * f64::from(i)))
            .collect();
        assert!(compression_curve(&good).is_ok());
        assert!(compression_curve(&good[..3]).is_err());
        let mut two = good.clone();
        two.insert(4, reading(0.4, 3.0));
        assert!(matches!(
            compression_curve(&two),
            Err(FitError::Row { row: 4, .. })
        ));
        let mut percent = good.clone();
        percent.push(reading(60.0, 99.0));
        let error = compression_curve(&percent).unwrap_err();
        assert!(error.to_string().contains("strain (%)"), "{error}");
        let mut falling = good.clone();
        falling[3].stress = Pressure::kpa(5.0);
        assert!(compression_curve(&falling).is_err());
        let mut pulling = good;
        pulling[2].stress = Pressure::kpa(-20.0);
        assert!(matches!(
            compression_curve(&pulling),
            Err(FitError::Row { row: 2, .. })
        ));
    }
}
