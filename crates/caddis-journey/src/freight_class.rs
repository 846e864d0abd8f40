//! Freight class by density, as road carriers of part loads in North America bill.

use crate::CarriageLimits;
use crate::chargeable::CONVERSION_SLACK;
use caddis_basis::{Density, Length, Mass};

/// One step of the scale: below a density, a class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreightStep {
    /// The step ends below this; infinite in the last.
    pub below: Density,
    /// The class; a higher one costs more for its mass.
    pub class: f64,
}

/// Mass over the box round everything, pallet included.
///
/// # Source
/// Definition, measured to the farthest points.
pub fn freight_density(sides: [Length; 3], gross: Mass) -> Density {
    Density::from_si(gross.si() / (sides[0] * sides[1] * sides[2]).si())
}

/// The class of a density by the scale of the limits.
///
/// # Source
/// The dated row `freight_classes` of [`CarriageLimits`].
pub fn freight_class(density: Density, limits: &CarriageLimits) -> f64 {
    let steps = &limits.freight_classes.value;
    steps
        .iter()
        .find(|step| density.si() < step.below.si() * (1.0 - CONVERSION_SLACK))
        .or(steps.last())
        .map_or(f64::NAN, |step| step.class)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn denser_is_never_classed_higher(a in 0.1..2000.0_f64, more in 0.0..500.0_f64) {
            let limits = CarriageLimits::common();
            prop_assert!(
                freight_class(Density::from_si(a + more), &limits) <= freight_class(Density::from_si(a), &limits)
            );
        }
    }
}
