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

/// Bounds are met up to rounding: sizing lands on them exactly.
const SLACK: f64 = 1e-9;

fn is_outside(value: f64, range: Option<(f64, f64)>) -> bool {
    range.is_some_and(|(low, high)| value < low * (1.0 - SLACK) || value > high * (1.0 + SLACK))
}

impl LawRange {
    /// One phrase for each bound that a working point leaves; empty inside the range.
    ///
    /// Without a stated thickness range, foam under 25.4 mm is outside.
    pub fn outside(&self, point: &WorkingPoint) -> Vec<Said> {
        let mut words = Vec::new();
        if is_outside(point.static_stress.si(), self.static_stress)
            && let Some((low, high)) = self.static_stress
        {
            words.push(said!(
                "static stress {found} is outside the law's {low} to {high}",
                found = point.static_stress,
                low = Pressure::from_si(low),
                high = Pressure::from_si(high)
            ));
        }
        match self.thickness {
            Some((low, high)) if is_outside(point.thickness.si(), self.thickness) => words.push(said!(
                "thickness {found} is outside the law's {low} to {high}",
                found = point.thickness,
                low = Length::from_si(low),
                high = Length::from_si(high)
            )),
            None if point.thickness.si() < THIN_FOAM.si() * (1.0 - SLACK) => words.push(said!(
                "thickness {found} is under 25.4 mm, where curves of thicker foam do not hold",
                found = point.thickness
            )),
            _ => {}
        }
        if is_outside(point.height.si(), self.drop_height)
            && let Some((low, high)) = self.drop_height
        {
            words.push(said!(
                "drop height {found} is outside the law's {low} to {high}",
                found = point.height,
                low = Length::from_si(low),
                high = Length::from_si(high)
            ));
        }
        if point.strain > self.greatest_strain * (1.0 + SLACK) {
            words.push(said!(
                "strain {strain:.3} is beyond the law's greatest strain {limit:.3}",
                strain = point.strain,
                limit = self.greatest_strain
            ));
        }
        words
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
        assert_eq!(range.outside(&inside), Vec::<String>::new());
        let outside = WorkingPoint {
            static_stress: Pressure::from_si(400.0),
            thickness: Length::mm(20.0),
            height: Length::from_si(1.2),
            strain: 0.85,
        };
        let words = range.outside(&outside);
        assert_eq!(words.len(), 4, "{words:?}");
        assert!(
            words[1].contains("20 mm") && words[3].contains("0.850"),
            "{words:?}"
        );
        let thin_allowed = LawRange {
            thickness: Some((0.01, 0.05)),
            ..range
        };
        assert_eq!(
            thin_allowed.outside(&WorkingPoint {
                thickness: Length::mm(20.0),
                ..inside
            }),
            Vec::<String>::new()
        );
    }
}
