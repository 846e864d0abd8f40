//! What the cellular solid of Gibson and Ashby says of a foam before anybody tests it.

use crate::LawKind;
use caddis_basis::{Density, Pressure};

/// The closed-cell law of a foam of this density, its cells filled at one atmosphere: plateau at the elastic collapse of cell
/// edges, and the gas. An estimate to start from; a test of the foam replaces it.
///
/// # Accuracy
/// Nobody's measurement: expect the plateau within a factor of two. The gas term is the better part.
///
/// # Source
/// sigma = 0.05 Es R² + p0 e / (1 - e - R), R = foam density over that of the solid: L. J. Gibson and M. F. Ashby, Cellular
/// Solids, 2nd ed. 1997, ch. 5 (from memory, unverified).
pub fn gibson_ashby(solid_modulus: Pressure, solid: Density, foam: Density) -> LawKind {
    let relative = foam / solid;
    LawKind::ClosedCellGas {
        s0: 0.05 * solid_modulus.si() * relative * relative,
        p0: 101_325.0,
        r: relative,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived from the form.
    #[test]
    fn a_foam_of_33_kg() {
        let law = gibson_ashby(
            Pressure::from_si(200e6),
            Density::from_si(920.0),
            Density::from_si(33.0),
        );
        let LawKind::ClosedCellGas { s0, p0, r } = law else {
            panic!("{law:?}")
        };
        assert!((s0 - 12_866.0).abs() < 1.0, "{s0}");
        assert!((r - 0.035_869_6).abs() < 1e-7 && p0 == 101_325.0, "{r} {p0}");
    }
}
