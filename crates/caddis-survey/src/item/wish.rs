//! What equipment asks of its foam by value: heat, colour, firmness.

use caddis_basis::{Measured, Pressure, Temperature};

/// What an item asks of the foam that touches it, by value; [`crate::Requirement`] holds what is asked by yes or no.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FoamWish {
    /// The hottest its packed case gets, as in a vehicle left in the sun: the foam must work there.
    pub hottest: Option<Measured<Temperature>>,
    /// The colour the foam must have, by its name on the supplier's list.
    pub colour: Option<String>,
    /// Least and most firmness: compression stress at 40 % as ISO 3386-1 measures it.
    pub firmness: Option<(Pressure, Pressure)>,
}
