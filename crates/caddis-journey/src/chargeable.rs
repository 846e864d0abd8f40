//! Sizes as carriers add them up, and the weight they bill.

use caddis_basis::{Length, Mass};

/// How many parts in a thousand million a converted size may pass its limit or its step by: conversions between inches
/// and millimetres are not exact in binary.
pub(crate) const CONVERSION_SLACK: f64 = 1e-9;

/// What volume weighs to the carrier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Divisor {
    /// Metric.
    CubicCentimetresPerKilogram(f64),
    /// Inches and pounds.
    CubicInchesPerPound(f64),
}

/// What the carrier does to each side before multiplying.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SideRounding {
    /// Takes it as measured.
    Unrounded,
    /// Rounds to the nearest whole inch, half up.
    NearestInch,
    /// Raises every fraction to the next whole inch.
    NextInch,
    /// Raises every fraction to the next whole centimetre.
    NextCentimetre,
}

/// The step to which the carrier raises a weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MassStep {
    /// None.
    Unrounded,
    /// To the next half kilogram.
    HalfKilogram,
    /// To the next kilogram.
    Kilogram,
    /// To the next pound.
    Pound,
}

/// One carrier's way of billing size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DimensionalRule {
    /// The divisor.
    pub divisor: Divisor,
    /// What happens to the sides.
    pub sides: SideRounding,
    /// What happens to the weights.
    pub step: MassStep,
}

/// What the carrier bills, and from what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChargeableWeight {
    /// The sides as the carrier takes them.
    pub sides: [Length; 3],
    /// The dimensional weight, raised to the step.
    pub dimensional: Mass,
    /// The gross mass, raised to the step.
    pub actual: Mass,
    /// The greater of both.
    pub chargeable: Mass,
}

/// Length, width and height added.
///
/// # Source
/// Airline baggage practice; by definition.
pub fn linear_size(sides: [Length; 3]) -> Length {
    sides.into_iter().sum()
}

/// The longest side plus the girth round the two others: `L + 2 W + 2 H`.
///
/// # Source
/// Parcel network practice; by definition.
pub fn length_and_girth(sides: [Length; 3]) -> Length {
    let [longest, second, third] = longest_first(sides);
    longest + 2.0 * second + 2.0 * third
}

/// The same sides, longest first.
pub(crate) fn longest_first(mut sides: [Length; 3]) -> [Length; 3] {
    sides.sort_by(|a, b| b.si().total_cmp(&a.si()));
    sides
}

/// The weight a carrier bills for a box of these sides and this gross mass.
///
/// # Accuracy
/// A side or a weight within a thousand-millionth of a step counts as on it.
///
/// # Source
/// Dimensional weight as parcel networks publish it: sides rounded, multiplied, divided, raised; actual weight
/// raised alike; the greater is billed.
pub fn chargeable_weight(sides: [Length; 3], gross: Mass, rule: &DimensionalRule) -> ChargeableWeight {
    let sides = sides.map(|side| round_side(side, rule.sides));
    let [a, b, c] = sides;
    let volume = a * b * c;
    let raw = match rule.divisor {
        Divisor::CubicCentimetresPerKilogram(divisor) => Mass::from_si(volume.si() * 1e6 / divisor),
        Divisor::CubicInchesPerPound(divisor) => {
            Mass::pounds(a.as_inches() * b.as_inches() * c.as_inches() / divisor)
        }
    };
    let (dimensional, actual) = (raise(raw, rule.step), raise(gross, rule.step));
    ChargeableWeight {
        sides,
        dimensional,
        actual,
        chargeable: dimensional.max(actual),
    }
}

fn round_side(side: Length, rounding: SideRounding) -> Length {
    match rounding {
        SideRounding::Unrounded => side,
        SideRounding::NearestInch => {
            Length::inches((side.as_inches() * (1.0 + CONVERSION_SLACK) + 0.5).floor())
        }
        SideRounding::NextInch => Length::inches(next(side.as_inches())),
        SideRounding::NextCentimetre => Length::mm(10.0 * next(side.as_mm() / 10.0)),
    }
}

fn raise(mass: Mass, step: MassStep) -> Mass {
    match step {
        MassStep::Unrounded => mass,
        MassStep::HalfKilogram => Mass::from_si(next(mass.si() * 2.0) / 2.0),
        MassStep::Kilogram => Mass::from_si(next(mass.si())),
        MassStep::Pound => Mass::pounds(next(mass.as_pounds())),
    }
}

fn next(value: f64) -> f64 {
    (value * (1.0 - CONVERSION_SLACK)).ceil()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sides(mm: [f64; 3]) -> [Length; 3] {
        mm.map(Length::mm)
    }

    proptest! {
        /// The order of the sides and the unit they were measured in change nothing.
        #[test]
        fn sizes_do_not_depend_on_unit_or_order(mm in prop::array::uniform3(1.0..3000.0_f64)) {
            let metric = sides(mm);
            let inches = mm.map(|side| Length::inches(side / 25.4));
            let turned = [metric[2], metric[0], metric[1]];
            for other in [inches, turned] {
                prop_assert!((linear_size(metric) - linear_size(other)).si().abs() < 1e-12);
                prop_assert!((length_and_girth(metric) - length_and_girth(other)).si().abs() < 1e-12);
            }
            prop_assert!(length_and_girth(metric) >= linear_size(metric));
        }

        /// Whole inches stay whole whether they were given in inches or millimetres.
        #[test]
        fn rounding_leaves_whole_inches(whole in prop::array::uniform3(1_u32..120), pounds in 1_u32..150) {
            for rounding in [SideRounding::NearestInch, SideRounding::NextInch] {
                let rule = DimensionalRule {
                    divisor: Divisor::CubicInchesPerPound(139.0),
                    sides: rounding,
                    step: MassStep::Pound,
                };
                let metric = sides(whole.map(|side| f64::from(side) * 25.4));
                let billed = chargeable_weight(metric, Mass::pounds(f64::from(pounds)), &rule);
                for (side, expected) in billed.sides.into_iter().zip(whole) {
                    prop_assert_eq!(side.as_inches().round(), f64::from(expected));
                }
                let product = f64::from(whole[0]) * f64::from(whole[1]) * f64::from(whole[2]);
                let expected = (product / 139.0).ceil().max(f64::from(pounds));
                prop_assert!((billed.chargeable.as_pounds() - expected).abs() < 1e-6);
            }
        }

        /// Never below the gross mass; never falls when a side grows.
        #[test]
        fn larger_is_never_cheaper(mm in prop::array::uniform3(10.0..2000.0_f64), kg in 0.1..70.0_f64, more in 0.0..100.0_f64) {
            let rule = crate::CarriageLimits::common().dimensional[0].value.rule;
            let gross = Mass::from_si(kg);
            let small = chargeable_weight(sides(mm), gross, &rule);
            let large = chargeable_weight(sides([mm[0] + more, mm[1], mm[2]]), gross, &rule);
            prop_assert!(small.chargeable.si() >= kg * (1.0 - 2.0 * CONVERSION_SLACK));
            prop_assert!(large.chargeable >= small.chargeable);
        }
    }
}
