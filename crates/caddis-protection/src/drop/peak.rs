//! The largest value of a quantity that is known at steps only.

/// A peak: value, when, and how long the value stays within 1e-5 of it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Peak {
    /// The value.
    pub value: f64,
    /// When, s.
    pub time: f64,
    /// Times before and after between which the value stays within a hundred-thousandth of the peak, s.
    pub window: (f64, f64),
}

/// Follows a quantity: a parabola through three samples gives the top between them.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Follow {
    best: Peak,
    last: [(f64, f64); 2],
    count: usize,
}

/// A later top counts only where it is higher by more than this share: equal blows leave the first.
const HIGHER: f64 = 1e-9;

impl Follow {
    /// The next sample; whether the one before it was a top.
    ///
    /// With `by_parabola` a parabola reads the top between the samples; otherwise the caller looks closer and calls
    /// [`Follow::merge`].
    pub(super) fn take(&mut self, t: f64, value: f64, by_parabola: bool) -> bool {
        if value > self.best.value * (1.0 + HIGHER) {
            self.best = Peak {
                value,
                time: t,
                window: (t, t),
            };
        }
        let [(t0, v0), (t1, v1)] = self.last;
        let is_top = self.count >= 2 && v1 >= v0 && v1 >= value && v0.min(value) < v1 && t1 > t0 && t > t1;
        if is_top && by_parabola {
            let (rise, fall) = ((v1 - v0) / (t1 - t0), (value - v1) / (t - t1));
            let bend = (fall - rise) / (t - t0);
            // v = v1 + slope (t - t1) + bend (t - t1)^2.
            let slope = rise + bend * (t1 - t0);
            let shift = -slope / (2.0 * bend);
            let top = v1 + 0.5 * slope * shift;
            let half = (1e-5 * top / -bend).sqrt();
            let time = t1 + shift;
            let peak = Peak {
                value: top,
                time,
                window: (time - half, time + half),
            };
            if peak.value.is_finite() && half.is_finite() {
                self.merge(peak);
            }
        }
        self.last = [(t1, v1), (t, value)];
        self.count += 1;
        is_top && v1 >= 0.99 * self.best.value
    }

    /// A peak read more closely: taken where it is no lower than what is known, or where it is the same top.
    pub(super) fn merge(&mut self, peak: Peak) {
        let same = (peak.time - self.best.time).abs() <= 2.0 * (peak.window.1 - peak.window.0).max(1e-5);
        if peak.value > self.best.value * (1.0 + HIGHER)
            || (same && peak.value >= self.best.value * (1.0 - HIGHER))
        {
            self.best = peak;
        }
    }

    pub(super) fn peak(&self) -> Peak {
        self.best
    }
}
