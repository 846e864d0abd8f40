//! What papers for customs say of a piece of equipment.

use caddis_basis::Money;

/// Everything nobody has said is left out, and stays a blank on papers: it is never guessed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Declared {
    /// Serial numbers, piece by piece.
    pub serials: Vec<String>,
    /// Value of one.
    pub value: Option<Money>,
    /// Country of origin, in words or as a code.
    pub origin: Option<String>,
    /// Code of the customs tariff.
    pub tariff_code: Option<String>,
}
