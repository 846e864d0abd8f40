//! What lies outside a law's range.

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

/// A bound that a working point leaves, in figures: they are put into words where somebody reads them.
#[derive(Debug, Clone, PartialEq)]
pub enum OutOfRange {
    /// Static stress beside what the law was measured at.
    StaticStress {
        /// What was found.
        found: Pressure,
        /// Lowest and highest measured.
        range: (Pressure, Pressure),
    },
    /// Thickness beside what the law was measured at.
    Thickness {
        /// What was found.
        found: Length,
        /// Thinnest and thickest measured.
        range: (Length, Length),
    },
    /// Thinner than [`THIN_FOAM`], where the law states no thicknesses.
    ThinFoam(Length),
    /// Drop height beside what the law was measured at.
    DropHeight {
        /// What was found.
        found: Length,
        /// Lowest and highest measured.
        range: (Length, Length),
    },
    /// Strain beyond the law's greatest.
    Strain {
        /// What was found.
        found: f64,
        /// The law's greatest.
        limit: f64,
    },
    /// A family of curves was not measured there: no bound of a figure.
    Unmeasured(Said),
}

impl OutOfRange {
    /// The bound and what was found: `static stress 0.12 kPa is outside the law's 0.2 kPa to 12 kPa`.
    pub fn sentence(&self) -> Said {
        match self {
            Self::StaticStress { found, range } => said!(
                "static stress {found} is outside the law's {low} to {high}",
                found = *found,
                low = range.0,
                high = range.1
            ),
            Self::Thickness { found, range } => said!(
                "thickness {found} is outside the law's {low} to {high}",
                found = *found,
                low = range.0,
                high = range.1
            ),
            Self::ThinFoam(found) => said!(
                "thickness {found} is under 25.4 mm, where curves of thicker foam do not hold",
                found = *found
            ),
            Self::DropHeight { found, range } => said!(
                "drop height {found} is outside the law's {low} to {high}",
                found = *found,
                low = range.0,
                high = range.1
            ),
            Self::Strain { found, limit } => said!(
                "strain {strain:.3} is beyond the law's greatest strain {limit:.3}",
                strain = *found,
                limit = *limit
            ),
            Self::Unmeasured(words) => words.clone(),
        }
    }

    /// The bound alone, the same for every point that leaves it.
    pub fn bound(&self) -> Said {
        match self {
            Self::StaticStress { range, .. } => said!(
                "static stress is outside the law's {low} to {high}",
                low = range.0,
                high = range.1
            ),
            Self::Thickness { range, .. } => said!(
                "thickness is outside the law's {low} to {high}",
                low = range.0,
                high = range.1
            ),
            Self::ThinFoam(_) => {
                said!("thickness is under 25.4 mm, where curves of thicker foam do not hold")
            }
            Self::DropHeight { range, .. } => said!(
                "drop height is outside the law's {low} to {high}",
                low = range.0,
                high = range.1
            ),
            Self::Strain { limit, .. } => said!(
                "strain is beyond the law's greatest strain {limit:.3}",
                limit = *limit
            ),
            Self::Unmeasured(words) => words.clone(),
        }
    }

    /// What was found, where the bound is one of a figure.
    pub fn found(&self) -> Option<Said> {
        match self {
            Self::StaticStress { found, .. } => Some(said!("{stress}", stress = *found)),
            Self::Thickness { found, .. } | Self::ThinFoam(found) => {
                Some(said!("{thickness}", thickness = *found))
            }
            Self::DropHeight { found, .. } => Some(said!("{height}", height = *found)),
            Self::Strain { found, .. } => Some(said!("{strain:.3}", strain = *found)),
            Self::Unmeasured(_) => None,
        }
    }
}

/// Bounds are met up to rounding: sizing lands on them exactly.
const SLACK: f64 = 1e-9;

/// The range, where a value lies beside it.
fn beside(value: f64, range: Option<(f64, f64)>) -> Option<(f64, f64)> {
    range.filter(|(low, high)| value < low * (1.0 - SLACK) || value > high * (1.0 + SLACK))
}

impl LawRange {
    /// Each bound that a working point leaves; empty inside the range.
    ///
    /// Without a stated thickness range, foam under 25.4 mm is outside.
    pub fn outside(&self, point: &WorkingPoint) -> Vec<OutOfRange> {
        let mut left = Vec::new();
        let lengths = |(low, high)| (Length::from_si(low), Length::from_si(high));
        if let Some((low, high)) = beside(point.static_stress.si(), self.static_stress) {
            left.push(OutOfRange::StaticStress {
                found: point.static_stress,
                range: (Pressure::from_si(low), Pressure::from_si(high)),
            });
        }
        let found = point.thickness;
        if let Some(range) = beside(found.si(), self.thickness) {
            let range = lengths(range);
            left.push(OutOfRange::Thickness { found, range });
        }
        if self.thickness.is_none() && found.si() < THIN_FOAM.si() * (1.0 - SLACK) {
            left.push(OutOfRange::ThinFoam(found));
        }
        if let Some(range) = beside(point.height.si(), self.drop_height) {
            left.push(OutOfRange::DropHeight {
                found: point.height,
                range: lengths(range),
            });
        }
        if point.strain > self.greatest_strain * (1.0 + SLACK) {
            left.push(OutOfRange::Strain {
                found: point.strain,
                limit: self.greatest_strain,
            });
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
        let words: Vec<Said> = left.iter().map(OutOfRange::sentence).collect();
        assert_eq!(words.len(), 4, "{words:?}");
        assert!(
            words[1].contains("20 mm") && words[3].contains("0.850"),
            "{words:?}"
        );
        assert_eq!(left[1].found().as_deref(), Some("20 mm"));
        assert!(!left[1].bound().contains("20 mm"), "{left:?}");
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
