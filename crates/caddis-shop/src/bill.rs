//! Bill of material and cost.

use caddis_basis::Money;

/// One line of material.
#[derive(Debug, Clone, PartialEq)]
pub struct BillLine {
    /// Position, from 1.
    pub position: u32,
    /// What.
    pub description: String,
    /// How much, with its unit in `unit`.
    pub quantity: f64,
    /// "sheet", "m²", "piece", "kg".
    pub unit: String,
    /// Price of one, where the shop prices it.
    pub unit_price: Option<Money>,
    /// The line's total, rounded once.
    pub total: Option<Money>,
}

/// One line of cost.
#[derive(Debug, Clone, PartialEq)]
pub struct CostLine {
    /// "material", "setup", "machine", "gluing", "overhead", "scrap", "margin".
    pub name: String,
    /// How it was computed, with numbers and units.
    pub basis: String,
    /// The amount, rounded once.
    pub amount: Money,
}

/// Bill and cost of one interior.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// Material.
    pub lines: Vec<BillLine>,
    /// Cost, in the order it adds up.
    pub costs: Vec<CostLine>,
    /// What it costs the shop.
    pub cost: Money,
    /// What the customer pays for the interior (price = cost / (1 - margin)).
    pub price: Money,
    /// Net foam over bought foam.
    pub foam_yield: f64,
}
