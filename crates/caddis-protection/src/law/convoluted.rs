//! Convoluted layers: fingers on a base, as the literature treats them.
//!
//! A convoluted cushion acts as a block of its base; its fingers reduce the effective height of the fall by several
//! finger heights. How many is a matter of test: without one no reduction is taken, which errs to the severe side.

use crate::{CushionPoint, Law, LawError};
use caddis_basis::{Certainty, Length, Pressure, Source};

/// A convoluted layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Convoluted {
    /// Thickness of the full base below the fingers.
    pub base: Length,
    /// Height of the fingers.
    pub fingers: Length,
    /// Finger heights that come off the fall; 0 without a test of this very foam.
    pub height_credit: f64,
}

/// How far predictions by the block of the base were from measured peaks.
///
/// # Source
/// Srinangyam, Michigan State University MS thesis 1999: convoluted polyurethane ester, about 20 % (published).
pub const CONVOLUTED_SCATTER: f64 = 0.20;

/// Where the treatment comes from.
pub fn convoluted_source() -> Source {
    Source::new(
        "convoluted cushion as a block of its base, fingers taken off the fall; Srinangyam, Michigan State University MS \
         thesis 1999: about 20 % from measured peaks",
        Certainty::Published,
    )
}

impl Convoluted {
    /// The flat drop on the layer by the block of its base. A verdict from it is indicative.
    ///
    /// # Errors
    /// As [`Law::cushion_point`]; fingers or credit that are negative.
    ///
    /// # Accuracy
    /// About 20 % of the peak ([`CONVOLUTED_SCATTER`]).
    ///
    /// # Source
    /// [`convoluted_source`].
    pub fn cushion_point(
        &self,
        law: &Law,
        static_stress: Pressure,
        height: Length,
    ) -> Result<CushionPoint, LawError> {
        if !(self.fingers.si() >= 0.0 && self.height_credit >= 0.0 && self.height_credit.is_finite()) {
            return Err(LawError::Settings(
                "finger height and its credit must not be negative".to_owned(),
            ));
        }
        let effective = height - self.fingers * self.height_credit;
        law.cushion_point(static_stress, effective, self.base)
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::{LawKind, LawRange};

    #[test]
    fn fingers_only_take_height_off() {
        let law = Law {
            kind: LawKind::StressEnergy { a: 3e4, b: 3.5e-5 },
            range: LawRange {
                static_stress: None,
                greatest_strain: 0.8,
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: true,
            is_measured_dynamic: false,
            source: Source::new("test", Certainty::Invented),
        };
        let s = Pressure::kpa(2.0);
        let block = law.peak_g(s, Length::mm(600.0), Length::mm(50.0)).unwrap();
        let layer = |height_credit| Convoluted {
            base: Length::mm(50.0),
            fingers: Length::mm(25.0),
            height_credit,
        };
        let plain = layer(0.0).cushion_point(&law, s, Length::mm(600.0)).unwrap();
        assert!((plain.peak / block - 1.0).abs() < 1e-12);
        let credited = layer(3.0).cushion_point(&law, s, Length::mm(600.0)).unwrap();
        let lower = law.peak_g(s, Length::mm(525.0), Length::mm(50.0)).unwrap();
        assert!((credited.peak / lower - 1.0).abs() < 1e-12);
        assert!(layer(-1.0).cushion_point(&law, s, Length::mm(600.0)).is_err());
        assert!(layer(30.0).cushion_point(&law, s, Length::mm(600.0)).is_err());
    }
}
