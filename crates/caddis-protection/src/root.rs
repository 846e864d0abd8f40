//! Safeguarded Newton roots and golden-section peaks, deterministic and without allocation.

/// The root of a function that is negative at `low` and not negative at `high`.
///
/// `function` gives value and slope. Newton's step is taken while it stays inside the bracket and shrinks fast
/// enough, else the bracket is halved, so that a pole or a flat spot costs steps and never the answer.
///
/// # Source
/// Newton's method safeguarded by bisection, textbook.
pub(crate) fn rising_root(low: f64, high: f64, function: impl Fn(f64) -> (f64, f64)) -> f64 {
    let (mut low, mut high) = (low, high);
    let mut x = 0.5 * (low + high);
    let mut step_before = high - low;
    let mut step = step_before;
    for _ in 0..300 {
        let (value, slope) = function(x);
        if value == 0.0 {
            return x;
        }
        if value < 0.0 {
            low = x;
        } else {
            high = x;
        }
        let newton = x - value / slope;
        let shrinks = (2.0 * value).abs() <= (step_before * slope).abs();
        let next = if newton > low && newton < high && shrinks {
            newton
        } else {
            0.5 * (low + high)
        };
        step_before = step;
        step = next - x;
        if step.abs() <= f64::EPSILON * x.abs() || next <= low || next >= high {
            return next;
        }
        x = next;
    }
    x
}

/// Where a function peaks on `[low, high]`: sampled evenly and at `corners`, then refined by golden section.
///
/// # Accuracy
/// The place to about 1e-8 of the interval, the value to rounding, when the best sample lies on the highest hump.
///
/// # Source
/// Golden-section search, textbook.
pub(crate) fn place_of_peak(low: f64, high: f64, corners: &[f64], function: impl Fn(f64) -> f64) -> f64 {
    const SAMPLES: u32 = 256;
    if high <= low {
        return high;
    }
    let mut places: Vec<f64> = (0..=SAMPLES)
        .map(|i| low + (high - low) * f64::from(i) / f64::from(SAMPLES))
        .collect();
    places.extend(corners.iter().copied().filter(|&x| x > low && x < high));
    places.sort_by(f64::total_cmp);
    let mut best = 0;
    let mut best_value = f64::NEG_INFINITY;
    for (i, &x) in places.iter().enumerate() {
        let value = function(x);
        if value > best_value {
            (best, best_value) = (i, value);
        }
    }
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0);
    let mut a = places[best.saturating_sub(1)];
    let mut b = places[(best + 1).min(places.len() - 1)];
    let mut inner = (b - ratio * (b - a), a + ratio * (b - a));
    let mut values = (function(inner.0), function(inner.1));
    for _ in 0..60 {
        if values.0 >= values.1 {
            b = inner.1;
            inner = (b - ratio * (b - a), inner.0);
            values = (function(inner.0), values.0);
        } else {
            a = inner.0;
            inner = (inner.1, a + ratio * (b - a));
            values = (values.1, function(inner.1));
        }
    }
    let middle = 0.5 * (a + b);
    if function(middle) > best_value {
        middle
    } else {
        places[best]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_root_beside_a_pole() {
        // -ln(1 - x) = 20: x = 1 - exp(-20), two billionths from the pole.
        let x = rising_root(0.0, 1.0, |x| (-(-x).ln_1p() - 20.0, 1.0 / (1.0 - x)));
        assert!((1.0 - x - (-20.0_f64).exp()).abs() < 1e-15, "{x}");
    }

    #[test]
    fn finds_a_peak_inside_and_at_the_end() {
        let inside = place_of_peak(0.0, 1.0, &[], |x| -(x - 0.3333) * (x - 0.3333));
        assert!((inside - 0.3333).abs() < 1e-8, "{inside}");
        assert_eq!(place_of_peak(0.0, 1.0, &[], |x| x), 1.0);
    }
}
