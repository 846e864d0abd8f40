//! What lies outside a law's range, in words.

use crate::LawRange;
use caddis_basis::{Length, Pressure, Said, said};

/// Below this thickness curves of thicker foam of the same material do not hold.
///
/// # Source
/// Clemson University, `all_theses/839`, abstract: for foams thinner than one inch curves differ statistically from
/// those of thicker samples (published).
pub const THIN_FOAM: Length = Length::from_si(0.0254);

/// Where a law is about to be used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorkingPoint {
    /// Weight over bearing area.
    pub static_stress: Pressure,
    /// Foam thickness.
    pub thickness: Length,
    /// Height of fall.
    pub height: Length,
    /// Strain reached.
    pub strain: f64,
}

/// A bound that a working point leaves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutOfRange {
    /// The bound and what was found: `static stress 0.12 kPa is outside the law's 0.2 kPa to 12 kPa`.
    pub sentence: Said,
    /// The bound alone, the same for every point that leaves it.
    pub bound: Said,
    /// What was found, where the bound is one of a figure.
    pub found: Option<Said>,
}

/// Bounds are met up to rounding: sizing lands on them exactly.
const SLACK: f64 = 1e-9;

fn is_outside(value: f64, range: Option<(f64, f64)>) -> bool {
    range.is_some_and(|(low, high)| value < low * (1.0 - SLACK) || value > high * (1.0 + SLACK))
}

impl LawRange {
    /// Each bound that a working point leaves; empty inside the range.
    ///
    /// Without a stated thickness range, foam under 25.4 mm is outside.
    pub fn outside(&self, point: &WorkingPoint) -> Vec<OutOfRange> {
        let mut left = Vec::new();
        let mut leaves = |found: Said, sentence: Said, bound: Said| {
            left.push(OutOfRange {
                sentence,
                bound,
                found: Some(found),
            });
        };
        if is_outside(point.static_stress.si(), self.static_stress)
            && let Some((low, high)) = self.static_stress
        {
            let found = said!("{stress}", stress = point.static_stress);
            let (low, high) = (Pressure::from_si(low), Pressure::from_si(high));
            leaves(
                found.clone(),
                said!(
                    "static stress {found} is outside the law's {low} to {high}",
                    found,
                    low,
                    high
                ),
                said!("static stress is outside the law's {low} to {high}", low, high),
            );
        }
        let found = said!("{thickness}", thickness = point.thickness);
        match self.thickness {
            Some((low, high)) if is_outside(point.thickness.si(), self.thickness) => {
                let (low, high) = (Length::from_si(low), Length::from_si(high));
                leaves(
                    found.clone(),
                    said!(
                        "thickness {found} is outside the law's {low} to {high}",
                        found,
                        low,
                        high
                    ),
                    said!("thickness is outside the law's {low} to {high}", low, high),
                );
            }
            None if point.thickness.si() < THIN_FOAM.si() * (1.0 - SLACK) => leaves(
                found.clone(),
                said!(
                    "thickness {found} is under 25.4 mm, where curves of thicker foam do not hold",
                    found
                ),
                said!("thickness is under 25.4 mm, where curves of thicker foam do not hold"),
            ),
            _ => {}
        }
        if is_outside(point.height.si(), self.drop_height)
            && let Some((low, high)) = self.drop_height
        {
            let found = said!("{height}", height = point.height);
            let (low, high) = (Length::from_si(low), Length::from_si(high));
            leaves(
                found.clone(),
                said!(
                    "drop height {found} is outside the law's {low} to {high}",
                    found,
                    low,
                    high
                ),
                said!("drop height is outside the law's {low} to {high}", low, high),
            );
        }
        if point.strain > self.greatest_strain * (1.0 + SLACK) {
            let (strain, limit) = (point.strain, self.greatest_strain);
            leaves(
                said!("{strain:.3}", strain),
                said!(
                    "strain {strain:.3} is beyond the law's greatest strain {limit:.3}",
                    strain,
                    limit
                ),
                said!("strain is beyond the law's greatest strain {limit:.3}", limit),
            );
        }
        left
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_bound_speaks_for_itself() {
        let range = LawRange {
            static_stress: Some((500.0, 5000.0)),
            greatest_strain: 0.8,
            thickness: None,
            drop_height: Some((0.3, 1.0)),
        };
        let inside = WorkingPoint {
            static_stress: Pressure::from_si(500.0),
            thickness: Length::mm(25.4),
            height: Length::from_si(1.0),
            strain: 0.8,
        };
        assert_eq!(range.outside(&inside), Vec::new());
        let outside = WorkingPoint {
            static_stress: Pressure::from_si(400.0),
            thickness: Length::mm(20.0),
            height: Length::from_si(1.2),
            strain: 0.85,
        };
        let left = range.outside(&outside);
        let words: Vec<&Said> = left.iter().map(|bound| &bound.sentence).collect();
        assert_eq!(words.len(), 4, "{words:?}");
        assert!(
            words[1].contains("20 mm") && words[3].contains("0.850"),
            "{words:?}"
        );
        assert_eq!(left[1].found.as_deref(), Some("20 mm"));
        assert!(!left[1].bound.contains("20 mm"), "{left:?}");
        let thin_allowed = LawRange {
            thickness: Some((0.01, 0.05)),
            ..range
        };
        assert_eq!(
            thin_allowed.outside(&WorkingPoint {
                thickness: Length::mm(20.0),
                ..inside
            }),
            Vec::new()
        );
    }
}
