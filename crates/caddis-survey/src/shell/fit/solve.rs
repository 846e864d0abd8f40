//! Robust least squares for a handful of unknowns.

/// Rounds of one scale.
const ROUNDS: usize = 12;

/// How to fit.
#[derive(Debug, Clone)]
pub(super) struct Fitting<'a> {
    /// Steps of the difference quotients, one for each unknown.
    pub(super) steps: &'a [f64],
    /// Least value of each unknown.
    pub(super) least: &'a [f64],
    /// Residuals beyond these have no weight, one round of fitting each; the last goes on to the spread itself.
    pub(super) scales: &'a [f64],
    /// The spread is never taken to be smaller.
    pub(super) least_spread: f64,
}

/// What came of it.
#[derive(Debug, Clone)]
pub(super) struct Fitted {
    pub(super) unknowns: Vec<f64>,
    /// Standard deviation of each unknown, if the residuals were independent.
    pub(super) deviations: Vec<f64>,
    /// Robust standard deviation of the residuals that carry weight.
    pub(super) spread: f64,
}

/// Finds the unknowns for which the residuals of all samples are least, by Gauss and Newton with damping; residuals are
/// weighed down by Tukey's biweight at a scale that shrinks from round to round, so that samples of something else do not
/// count in the end.
///
/// # Source
/// Levenberg (1944), Marquardt (1963); Beaton and Tukey (1974), constant 4.685 for 95 % efficiency (all from memory).
pub(super) fn fit<M, S>(
    start: &[f64],
    samples: &[S],
    fitting: &Fitting,
    model: impl Fn(&[f64]) -> M,
    residual: impl Fn(&M, &S) -> f64,
) -> Fitted {
    let count = start.len();
    let mut unknowns = start.to_vec();
    let all = |x: &[f64]| -> Vec<f64> {
        let model = model(x);
        samples.iter().map(|sample| residual(&model, sample)).collect()
    };
    let mut residuals = all(&unknowns);
    let mut spread = fitting.least_spread;
    let mut normal = vec![vec![0.0; count]; count];
    for (round, &scale) in fitting.scales.iter().enumerate() {
        let is_last = round + 1 == fitting.scales.len();
        let mut damping = 1e-6;
        for _ in 0..ROUNDS {
            let mut near: Vec<f64> = residuals.iter().map(|r| r.abs()).filter(|r| *r < scale).collect();
            spread = (super::sample::quantile(&mut near, 0.5) * 1.4826).max(fitting.least_spread);
            let reach = if is_last { scale.min(4.685 * spread) } else { scale };
            let weight = |r: f64| {
                let share = r / reach;
                if share.abs() < 1.0 {
                    (1.0 - share * share).powi(2)
                } else {
                    0.0
                }
            };
            let cost = |residuals: &[f64]| -> f64 {
                residuals
                    .iter()
                    .map(|r| {
                        let left = 1.0 - (r / reach).powi(2);
                        if left > 0.0 { 1.0 - left.powi(3) } else { 1.0 }
                    })
                    .sum()
            };
            let columns: Vec<Vec<f64>> = (0..count)
                .map(|k| {
                    let mut moved = unknowns.clone();
                    moved[k] += fitting.steps[k];
                    all(&moved)
                        .iter()
                        .zip(&residuals)
                        .map(|(a, b)| (a - b) / fitting.steps[k])
                        .collect()
                })
                .collect();
            let weights: Vec<f64> = residuals.iter().map(|&r| weight(r)).collect();
            let mut right = vec![0.0; count];
            for a in 0..count {
                for b in 0..=a {
                    let sum: f64 = (0..residuals.len())
                        .map(|i| weights[i] * columns[a][i] * columns[b][i])
                        .sum();
                    (normal[a][b], normal[b][a]) = (sum, sum);
                }
                right[a] = (0..residuals.len())
                    .map(|i| -weights[i] * columns[a][i] * residuals[i])
                    .sum();
            }
            let before = cost(&residuals);
            let mut is_better = false;
            let mut largest = 0.0_f64;
            for _ in 0..8 {
                let Some(step) = solved(&normal, &right, damping) else {
                    damping = (damping * 10.0).max(1e-9);
                    continue;
                };
                let tried: Vec<f64> = (0..count)
                    .map(|k| (unknowns[k] + step[k]).max(fitting.least[k]))
                    .collect();
                let after = all(&tried);
                if cost(&after) < before {
                    largest = (0..count)
                        .map(|k| ((tried[k] - unknowns[k]) / fitting.steps[k]).abs())
                        .fold(0.0, f64::max);
                    (unknowns, residuals) = (tried, after);
                    damping = (damping / 5.0).max(1e-9);
                    is_better = true;
                    break;
                }
                damping *= 10.0;
            }
            if !is_better || largest < 0.02 {
                break;
            }
        }
    }
    let deviations = (0..count)
        .map(|k| {
            let mut unit = vec![0.0; count];
            unit[k] = 1.0;
            solved(&normal, &unit, 1e-12).map_or(f64::INFINITY, |column| spread * column[k].max(0.0).sqrt())
        })
        .collect();
    Fitted {
        unknowns,
        deviations,
        spread,
    }
}

/// Solves the damped normal equations by Cholesky's decomposition; an unknown that nothing depends on stays. `None` when
/// they are not positive definite.
fn solved(normal: &[Vec<f64>], right: &[f64], damping: f64) -> Option<Vec<f64>> {
    let count = right.len();
    let greatest = (0..count).map(|k| normal[k][k]).fold(0.0_f64, f64::max);
    let mut lower = vec![vec![0.0; count]; count];
    for i in 0..count {
        for j in 0..=i {
            let mut sum = normal[i][j];
            if i == j {
                sum = sum * (1.0 + damping) + greatest * 1e-12 + 1e-300;
            }
            sum -= lower[i][..j]
                .iter()
                .zip(&lower[j][..j])
                .map(|(a, b)| a * b)
                .sum::<f64>();
            if i == j {
                if sum.is_nan() || sum <= 0.0 {
                    return None;
                }
                lower[i][i] = sum.sqrt();
            } else {
                lower[i][j] = sum / lower[j][j];
            }
        }
    }
    let mut x = right.to_vec();
    for i in 0..count {
        for k in 0..i {
            x[i] -= lower[i][k] * x[k];
        }
        x[i] /= lower[i][i];
    }
    for i in (0..count).rev() {
        for k in i + 1..count {
            x[i] -= lower[k][i] * x[k];
        }
        x[i] /= lower[i][i];
    }
    x.iter().all(|value| value.is_finite()).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_found_among_outliers() {
        let points: Vec<(f64, f64)> = (0..200)
            .map(|i| {
                let x = f64::from(i) * 0.01;
                let off = if i % 5 == 0 {
                    3.0
                } else {
                    0.001 * f64::from(i % 3 - 1)
                };
                (x, 0.5 + 0.25 * x + off)
            })
            .collect();
        let fitting = Fitting {
            steps: &[1e-4, 1e-4],
            least: &[f64::NEG_INFINITY; 2],
            scales: &[5.0, 1.0, 0.2],
            least_spread: 1e-4,
        };
        let fitted = fit(&[0.0, 0.0], &points, &fitting, <[f64]>::to_vec, |line, p| {
            p.1 - line[0] - line[1] * p.0
        });
        assert!((fitted.unknowns[0] - 0.5).abs() < 1e-3, "{fitted:?}");
        assert!((fitted.unknowns[1] - 0.25).abs() < 1e-3, "{fitted:?}");
        assert!(fitted.deviations.iter().all(|d| *d < 1e-3));
    }
}
