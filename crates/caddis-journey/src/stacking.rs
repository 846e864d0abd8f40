//! What stands on a case: in a vehicle, in a warehouse, on a pallet of its own kind.

use caddis_basis::{Density, Force, Length, Mass};

/// Mixed freight above a case in a vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreightAbove {
    /// Outside length, width and height.
    pub sides: [Length; 3],
    /// Mean density of the freight.
    pub density: Density,
    /// Height of the load.
    pub height: Length,
    /// Design factor.
    pub factor: f64,
}

/// The compression a case in mixed freight is tested to: `Mf J (l w h) ((H - h) / h) F`, the weight of the freight that
/// can stand on its top times the factor.
///
/// # Source
/// ASTM D4169 schedule C, as a laboratory's calculator prints it.
pub fn freight_compression(above: &FreightAbove) -> Force {
    let [length, width, height] = above.sides;
    let room = (above.height - height).max(Length::ZERO);
    (above.density * (length * width * room)).weight() * above.factor
}

/// Cases of one kind on top of each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnStack {
    /// Gross mass of one.
    pub gross: Mass,
    /// Height of one.
    pub height: Length,
    /// Height of the stack.
    pub stack: Length,
    /// Design factor.
    pub factor: f64,
}

/// The compression the lowest of a stack of its own kind is tested to: `M J ((H - h) / h) F`.
///
/// # Source
/// ASTM D4169 schedule B, from memory.
pub fn warehouse_compression(stack: &OwnStack) -> Force {
    let above = ((stack.stack - stack.height) / stack.height).max(0.0);
    stack.gross.weight() * (above * stack.factor)
}

/// How many cases reach a height of 3 m, and the static load of the stacking test for solids: `(n - 1) m 1.5`.
///
/// # Source
/// 49 CFR 178.606, read: 3 m of stack, 24 h, load 1.5 times for dynamic conditions.
pub fn dangerous_goods_stack(gross: Mass, height: Length) -> (u32, Mass) {
    let count = (3.0 / height.si()).ceil().clamp(1.0, 1e6);
    (count as u32, gross * ((count - 1.0) * 1.5))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_stands_on_a_case_as_high_as_the_load() {
        let tall = FreightAbove {
            sides: [Length::from_si(1.0), Length::from_si(1.0), Length::from_si(3.0)],
            density: Density::from_si(192.0),
            height: Length::from_si(2.7),
            factor: 7.0,
        };
        assert_eq!(freight_compression(&tall), Force::ZERO);
        assert_eq!(
            dangerous_goods_stack(Mass::from_si(10.0), Length::from_si(4.0)),
            (1, Mass::ZERO)
        );
    }

    proptest! {
        #[test]
        fn a_higher_stack_weighs_more(kg in 1.0..50.0_f64, h in 0.1..1.0_f64, top in 1.0..3.0_f64, more in 0.0..2.0_f64) {
            let load = |stack: f64| warehouse_compression(&OwnStack {
                gross: Mass::from_si(kg),
                height: Length::from_si(h),
                stack: Length::from_si(stack),
                factor: 2.0,
            });
            prop_assert!(load(top + more) >= load(top));
        }
    }
}
