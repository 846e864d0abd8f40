//! Stress and energy of a law at a strain, and their inverses.

use crate::root::rising_root;
use crate::{Law, LawKind};

impl Law {
    /// Compressive stress at a strain.
    ///
    /// Zero at and below strain 0, infinite beyond the strain where the law ends.
    ///
    /// # Units
    /// Strain as a fraction of the thickness, stress in pascals.
    ///
    /// # Accuracy
    /// Closed forms to rounding; a table by linear interpolation.
    ///
    /// # Source
    /// Stress-energy: sigma = a / (1 - a b e), derived from G = (a/s) exp(b s h/t). Gas: plateau plus isothermal gas
    /// in the cells, Gibson and Ashby, Cellular Solids, 2nd ed. 1997, ch. 5, and Mills (from memory, unverified).
    pub fn stress(&self, strain: f64) -> f64 {
        if strain <= 0.0 {
            return 0.0;
        }
        match &self.kind {
            LawKind::StressEnergy { a, b } => {
                let left = 1.0 - a * b * strain;
                if left <= 0.0 { f64::INFINITY } else { a / left }
            }
            LawKind::ClosedCellGas { s0, p0, r } => {
                let left = 1.0 - strain - r;
                if left <= 0.0 {
                    f64::INFINITY
                } else {
                    s0 + p0 * strain / left
                }
            }
            LawKind::Table(points) => table_stress(points, strain),
            LawKind::Spring(spring) if strain > spring.last_strain() => f64::INFINITY,
            LawKind::Spring(spring) => spring.stress(strain),
            LawKind::CushionCurves(_) => f64::NAN,
        }
    }

    /// Slope of the stress at a strain: zero at and below strain 0, infinite where the law ends.
    ///
    /// Stress-energy and gas laws start at a finite stress: there the slope says nothing of small movements.
    ///
    /// # Units
    /// Pascals per unit of strain.
    ///
    /// # Source
    /// Derived: the derivative of [`Law::stress`].
    pub fn tangent(&self, strain: f64) -> f64 {
        if strain <= 0.0 {
            return 0.0;
        }
        match &self.kind {
            LawKind::StressEnergy { a, b } => {
                let left = 1.0 - a * b * strain;
                if left <= 0.0 {
                    f64::INFINITY
                } else {
                    a * a * b / (left * left)
                }
            }
            LawKind::ClosedCellGas { p0, r, .. } => {
                let left = 1.0 - strain - r;
                if left <= 0.0 {
                    f64::INFINITY
                } else {
                    p0 * (1.0 - r) / (left * left)
                }
            }
            LawKind::Table(points) => segment(points, strain).map_or(f64::INFINITY, |i| {
                (points[i + 1].1 - points[i].1) / (points[i + 1].0 - points[i].0)
            }),
            LawKind::Spring(spring) if strain > spring.last_strain() => f64::INFINITY,
            LawKind::Spring(spring) => spring.tangent(strain),
            LawKind::CushionCurves(_) => f64::NAN,
        }
    }

    /// The largest stress met on the way to a strain: differs from [`Law::stress`] only where a table dips.
    ///
    /// # Units
    /// Pascals.
    pub fn peak_stress(&self, strain: f64) -> f64 {
        let end = self.stress(strain);
        match &self.kind {
            LawKind::Table(points) if strain > 0.0 => points
                .iter()
                .take_while(|p| p.0 <= strain)
                .fold(end, |peak, p| peak.max(p.1)),
            _ => end,
        }
    }

    /// The stress at which the foam starts to yield to a load: the limit of the stress as the strain goes to 0 from
    /// above. A static stress below it divided by the limit in G never moves the foam.
    ///
    /// # Units
    /// Pascals.
    pub fn initial_stress(&self) -> f64 {
        match &self.kind {
            LawKind::StressEnergy { a, .. } => *a,
            LawKind::ClosedCellGas { s0, .. } => *s0,
            LawKind::Table(points) => points.first().map_or(0.0, |p| p.1),
            LawKind::Spring(_) | LawKind::CushionCurves(_) => 0.0,
        }
    }

    /// Energy taken per volume of foam up to a strain: the integral of the stress.
    ///
    /// # Units
    /// J/m³.
    ///
    /// # Accuracy
    /// Closed forms by `ln_1p` and a series near strain 0, to rounding; a table by its exact trapezoids.
    ///
    /// # Source
    /// Derived: stress-energy w = -(1/b) ln(1 - a b e); gas w = s0 e - p0 [e + (1 - r) ln(1 - e/(1 - r))].
    pub fn energy(&self, strain: f64) -> f64 {
        if strain <= 0.0 {
            return 0.0;
        }
        match &self.kind {
            LawKind::StressEnergy { a, b } => {
                let used = a * b * strain;
                if used >= 1.0 {
                    f64::INFINITY
                } else {
                    -(-used).ln_1p() / b
                }
            }
            LawKind::ClosedCellGas { s0, p0, r } => {
                let used = strain / (1.0 - r);
                if used >= 1.0 {
                    f64::INFINITY
                } else {
                    s0 * strain + p0 * (1.0 - r) * log_excess(used)
                }
            }
            LawKind::Table(points) => table_energy(points, strain),
            LawKind::Spring(spring) if strain > spring.last_strain() => f64::INFINITY,
            LawKind::Spring(spring) => spring.energy(strain),
            LawKind::CushionCurves(_) => f64::NAN,
        }
    }

    /// The strain at which the law has taken a given energy per volume; `None` when it never takes that much.
    ///
    /// # Units
    /// Energy in J/m³.
    ///
    /// # Accuracy
    /// Stress-energy and table in closed form; gas by safeguarded Newton to rounding.
    ///
    /// # Source
    /// Derived: the inverse of [`Law::energy`].
    pub fn strain_at_energy(&self, energy: f64) -> Option<f64> {
        self.strain_at_balance(energy, 0.0)
    }

    /// The least strain at which the stress reaches a value; `None` when a table never reaches it.
    ///
    /// # Units
    /// Stress in pascals.
    ///
    /// # Source
    /// Derived: the inverse of [`Law::stress`].
    pub fn strain_at_stress(&self, stress: f64) -> Option<f64> {
        if stress <= self.initial_stress() {
            return Some(0.0);
        }
        match &self.kind {
            LawKind::StressEnergy { a, b } => Some((1.0 - a / stress) / (a * b)),
            LawKind::ClosedCellGas { s0, p0, r } => {
                let gas = stress - s0;
                Some(if gas.is_finite() {
                    (1.0 - r) * gas / (p0 + gas)
                } else {
                    1.0 - r
                })
            }
            LawKind::Table(points) => points.windows(2).find(|pair| pair[1].1 >= stress).map(|pair| {
                let ((e0, s0), (e1, s1)) = (pair[0], pair[1]);
                e0 + (e1 - e0) * (stress - s0) / (s1 - s0)
            }),
            LawKind::Spring(spring) => spring.strain_at_stress(stress),
            LawKind::CushionCurves(_) => None,
        }
    }

    /// How much of the law's range a strain leaves: 1 - strain / greatest strain, negative beyond it.
    pub fn bottoming_margin(&self, strain: f64) -> f64 {
        1.0 - strain / self.range.greatest_strain
    }

    /// Cushion factor: stress over energy per volume at a strain. Its inverse is the efficiency.
    ///
    /// # Source
    /// C = sigma / w. The word: FPL Report 2031, Jones and James 1955 (published); the formula from memory, derived.
    pub fn cushion_factor(&self, strain: f64) -> f64 {
        self.peak_stress(strain) / self.energy(strain)
    }

    /// The first strain at which w(e) - pull e = energy; `None` when the law ends before.
    ///
    /// `pull` is the static stress where gravity works on in the stroke, else zero.
    pub(crate) fn strain_at_balance(&self, energy: f64, pull: f64) -> Option<f64> {
        if energy <= 0.0 {
            return Some(0.0);
        }
        if !energy.is_finite() {
            return None;
        }
        match &self.kind {
            LawKind::StressEnergy { a, b } if pull == 0.0 => {
                let strain = -(-b * energy).exp_m1() / (a * b);
                (strain <= self.solid_strain()).then_some(strain)
            }
            LawKind::Table(points) => table_balance(points, energy, pull),
            LawKind::CushionCurves(_) => None,
            LawKind::StressEnergy { .. } | LawKind::ClosedCellGas { .. } | LawKind::Spring(_) => {
                let end = self.solid_strain();
                if self.energy(end) - pull * end < energy {
                    return None;
                }
                Some(rising_root(0.0, end, |e| {
                    (self.energy(e) - pull * e - energy, self.stress(e) - pull)
                }))
            }
        }
    }

    /// The strain from which the foam counts as crushed solid: a billionth short of the pole, where the numbers end to
    /// mean anything, or the end of the table.
    pub(crate) fn solid_strain(&self) -> f64 {
        if self.has_pole() {
            self.last_strain() * (1.0 - 1e-9)
        } else {
            self.last_strain()
        }
    }

    /// Strains of the table's points; none for closed forms.
    pub(crate) fn corners(&self) -> Vec<f64> {
        match &self.kind {
            LawKind::Table(points) => points.iter().map(|p| p.0).collect(),
            _ => Vec::new(),
        }
    }

    /// Whether the stress never falls with the strain.
    pub(crate) fn never_dips(&self) -> bool {
        match &self.kind {
            LawKind::Table(points) => points.windows(2).all(|pair| pair[0].1 <= pair[1].1),
            _ => true,
        }
    }

    /// Whether every bit of strain takes more stress, so that a stress names one strain.
    pub(crate) fn always_rises(&self) -> bool {
        match &self.kind {
            LawKind::Table(points) => points.windows(2).all(|pair| pair[0].1 < pair[1].1),
            _ => true,
        }
    }
}

/// -(u + ln(1 - u)): by its series where the two terms nearly cancel.
fn log_excess(used: f64) -> f64 {
    if used > 0.05 {
        return -(used + (-used).ln_1p());
    }
    // u^2/2 + u^3/3 + ...; at u = 0.05 the fifteenth term is below 1e-18 of the first.
    let mut sum = 0.0;
    for n in (2..=16).rev() {
        sum = sum * used + 1.0 / f64::from(n);
    }
    sum * used * used
}

/// The segment that holds a strain: index of its first point. Strains a rounding beyond the end belong to the last.
fn segment(points: &[(f64, f64)], strain: f64) -> Option<usize> {
    let last = points.last()?.0;
    if strain.is_nan() || strain > last * (1.0 + 1e-12) || points.len() < 2 {
        return None;
    }
    let after = points.partition_point(|p| p.0 <= strain);
    Some(after.clamp(1, points.len() - 1) - 1)
}

fn between(first: (f64, f64), second: (f64, f64), strain: f64) -> f64 {
    let share = ((strain - first.0) / (second.0 - first.0)).min(1.0);
    first.1 + (second.1 - first.1) * share
}

fn table_stress(points: &[(f64, f64)], strain: f64) -> f64 {
    if strain.is_nan() {
        return f64::NAN;
    }
    segment(points, strain).map_or(f64::INFINITY, |i| between(points[i], points[i + 1], strain))
}

fn table_energy(points: &[(f64, f64)], strain: f64) -> f64 {
    if strain.is_nan() {
        return f64::NAN;
    }
    let Some(i) = segment(points, strain) else {
        return f64::INFINITY;
    };
    let full: f64 = points[..=i]
        .windows(2)
        .map(|p| 0.5 * (p[0].1 + p[1].1) * (p[1].0 - p[0].0))
        .sum();
    let end = strain.min(points[i + 1].0);
    full + 0.5 * (points[i].1 + between(points[i], points[i + 1], end)) * (end - points[i].0)
}

/// Walks the trapezoids; inside one the balance is a quadratic.
fn table_balance(points: &[(f64, f64)], energy: f64, pull: f64) -> Option<f64> {
    let mut rest = energy;
    for pair in points.windows(2) {
        let ((e0, s0), (e1, s1)) = (pair[0], pair[1]);
        if rest <= 0.0 {
            return Some(e0);
        }
        let width = e1 - e0;
        let (half_slope, net) = (0.5 * (s1 - s0) / width, s0 - pull);
        // half_slope u^2 + net u = rest: the least positive u, in the form that does not cancel.
        let discriminant = net * net + 4.0 * half_slope * rest;
        if discriminant >= 0.0 {
            let root = discriminant.sqrt();
            let u = if net >= 0.0 {
                2.0 * rest / (net + root)
            } else if half_slope > 0.0 {
                (root - net) / (2.0 * half_slope)
            } else {
                f64::INFINITY
            };
            if u >= 0.0 && u <= width * (1.0 + 1e-12) {
                return Some(e0 + u.min(width));
            }
        }
        rest -= (net + half_slope * width) * width;
    }
    None
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use crate::{Law, LawKind, LawRange};
    use caddis_basis::{Certainty, Source};

    fn law(kind: LawKind, greatest_strain: f64) -> Law {
        Law {
            kind,
            range: LawRange {
                static_stress: None,
                greatest_strain,
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source: Source::new("test", Certainty::Invented),
        }
    }

    fn laws() -> [Law; 4] {
        [
            law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.85),
            law(
                LawKind::ClosedCellGas {
                    s0: 5e4,
                    p0: 101_325.0,
                    r: 0.03,
                },
                0.9,
            ),
            law(
                LawKind::ClosedCellGas {
                    s0: 0.0,
                    p0: 101_325.0,
                    r: 0.05,
                },
                0.9,
            ),
            law(
                LawKind::Table(vec![(0.0, 2e3), (0.1, 4e4), (0.3, 3.5e4), (0.6, 9e4), (0.8, 3e5)]),
                0.8,
            ),
        ]
    }

    #[test]
    fn energy_is_the_integral_of_the_stress() {
        for law in laws() {
            for strain in [0.003, 0.04, 0.2, 0.55, 0.79] {
                let n = 20_000;
                let sum: f64 = (0..n)
                    .map(|i| law.stress(strain * (f64::from(i) + 0.5) / f64::from(n)))
                    .sum();
                let numeric = sum * strain / f64::from(n);
                assert!(
                    (law.energy(strain) / numeric - 1.0).abs() < 1e-6,
                    "{law:?} {strain}"
                );
            }
        }
    }

    #[test]
    fn small_strains_keep_their_digits() {
        // With no plateau, w = p0 e^2 / (2 (1 - r)) to first order.
        let gas = &laws()[2];
        for strain in [1e-9, 1e-6] {
            let first_order = 101_325.0 * strain * strain / (2.0 * 0.95);
            assert!(
                (gas.energy(strain) / first_order - 1.0).abs() < 2.0 * strain,
                "{strain}"
            );
        }
        // The series and the logarithm meet.
        let below = super::log_excess(0.05);
        let above = super::log_excess(0.05 + 1e-15);
        assert!((above / below - 1.0).abs() < 1e-12);
    }

    #[test]
    fn inverses_come_back() {
        for law in laws() {
            for strain in [1e-4, 0.05, 0.2, 0.5, 0.79] {
                let back = law.strain_at_energy(law.energy(strain)).unwrap();
                assert!(
                    (back - strain).abs() < 1e-12 * (1.0 + 1.0 / strain),
                    "{law:?} {strain} {back}"
                );
                let pull = 0.3 * law.energy(strain) / strain;
                let with_pull = law
                    .strain_at_balance(law.energy(strain) - pull * strain, pull)
                    .unwrap();
                assert!(with_pull <= strain + 1e-9, "{law:?} {strain} {with_pull}");
                if law.never_dips() {
                    assert!((with_pull - strain).abs() < 1e-9, "{law:?} {strain} {with_pull}");
                    let stressed = law.strain_at_stress(law.stress(strain)).unwrap();
                    assert!((stressed - strain).abs() < 1e-12, "{law:?} {strain} {stressed}");
                }
            }
        }
    }

    #[test]
    fn ends_are_said_not_guessed() {
        for law in laws() {
            let last = law.last_strain();
            assert_eq!(law.stress(0.0), 0.0);
            assert_eq!(law.energy(-1.0), 0.0);
            assert_eq!(law.stress(last * 1.01), f64::INFINITY);
            assert_eq!(law.energy(last * 1.01), f64::INFINITY);
            assert_eq!(law.strain_at_energy(1e12), None);
            assert!(law.stress(f64::NAN).is_nan() && law.energy(f64::NAN).is_nan());
        }
        let table = &laws()[3];
        assert!(table.energy(0.8).is_finite() && table.stress(0.8) == 3e5);
        assert_eq!(table.strain_at_stress(3.1e5), None);
        assert_eq!(table.peak_stress(0.3), 4e4);
    }
}
