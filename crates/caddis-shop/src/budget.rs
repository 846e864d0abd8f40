//! A budget price in a minute: from the block's size, layers and cavities, before any design exists, with its spread.

use crate::bill::{Effort, cost_lines};
use crate::{CostLine, Shop};
use caddis_basis::{Duration, Length, Money, Source, said};

/// Least, expected and most of a figure the shop takes from its finished jobs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread<T> {
    /// What makes the price least.
    pub least: T,
    /// What is expected.
    pub expected: T,
    /// What makes the price most.
    pub most: T,
}

/// What the shop's finished jobs say of jobs not yet designed.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetPractice {
    /// Outline volume of the parts over the volume of the sheets bought for one interior.
    pub foam_yield: Spread<f64>,
    /// Machine time of one cavity, handling not counted.
    pub cavity_time: Spread<Duration>,
    /// Machine time of one layer's outline.
    pub layer_time: Spread<Duration>,
    /// Where the figures come from.
    pub source: Source,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetQuestion {
    /// Length, width and height of all foam, stacked.
    pub block: [Length; 3],
    /// Foam by library name.
    pub foam: String,
    /// Foam layers.
    pub layers: u32,
    /// Blocks they are glued to: base, trays, lid pad.
    pub blocks: u32,
    /// Cavities.
    pub cavities: u32,
}

/// One price with what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetPrice {
    /// Cost, in the order it adds up.
    pub costs: Vec<CostLine>,
    /// What it costs the shop.
    pub cost: Money,
    /// Price of one interior.
    pub price: Money,
}

/// Why there is no budget price.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BudgetError {
    /// The shop does not say what its finished jobs say.
    #[error("shop `{0}` has no `[budget]` table: what its finished jobs say of yield and machine time")]
    NoPractice(String),
    /// No sheet of that foam.
    #[error("the shop stocks no `{foam}`; it stocks {stocked}")]
    NoStock {
        /// Foam id.
        foam: String,
        /// What there is.
        stocked: String,
    },
    /// Counts that cannot be.
    #[error("{0}")]
    Counts(String),
}

/// Least, expected and most price of one interior.
///
/// # Accuracy
/// As good as the shop's own figures: nothing is designed, nested or verified. All that makes it cheap is taken together, and
/// all that makes it dear, so the spread is wider than a chance of it.
///
/// # Errors
/// A shop without budget figures, a foam it does not stock, no layer, more blocks than layers.
///
/// # Source
/// Foam bought = outline volume / yield at the foam's mean price per volume; machine = layers x (layer time + handling) +
/// cavities x cavity time; gluing = layers - blocks joints; then the cost of `bill`. Shop arithmetic, common practice.
pub fn budget(question: &BudgetQuestion, shop: &Shop) -> Result<Spread<BudgetPrice>, BudgetError> {
    let practice = shop
        .budget
        .as_ref()
        .ok_or_else(|| BudgetError::NoPractice(shop.name.clone()))?;
    if question.layers == 0 || question.blocks == 0 || question.blocks > question.layers {
        return Err(BudgetError::Counts(format!(
            "{} layers in {} blocks cannot be: a block has at least one layer",
            question.layers, question.blocks
        )));
    }
    let per_volume: Vec<f64> = shop
        .stock
        .iter()
        .filter(|sheet| sheet.foam == question.foam)
        .map(|sheet| sheet.price.major() / (sheet.length * sheet.width * sheet.thickness).si())
        .collect();
    if per_volume.is_empty() {
        let mut stocked: Vec<&str> = shop.stock.iter().map(|sheet| sheet.foam.as_str()).collect();
        stocked.dedup();
        return Err(BudgetError::NoStock {
            foam: question.foam.clone(),
            stocked: stocked.join(", "),
        });
    }
    let mean = per_volume.iter().sum::<f64>() / per_volume.len() as f64;
    let [length, width, height] = question.block;
    let volume = (length * width * height).si();
    let joints = question.layers - question.blocks;
    let area = (length * width).si();
    let price = |foam_yield: f64, cavity: Duration, layer: Duration| {
        let rates = &shop.rates;
        let layers = f64::from(question.layers);
        let cutting = layers * layer.si() + f64::from(question.cavities) * cavity.si();
        let effort = Effort {
            material: volume / foam_yield * mean + f64::from(joints) * area * rates.adhesive_per_m2.major(),
            setup: rates.setup.si() / 3600.0,
            machine: (cutting + layers * rates.handling_per_layer.si()) / 3600.0,
            gluing: f64::from(joints) * rates.gluing_per_joint.si() / 3600.0,
        };
        let bases = [
            said!(
                "{volume:.1} L of foam at a yield of {share:.0} %, adhesive on {joints} joints",
                volume = volume * 1e3,
                share = foam_yield * 100.0,
                joints
            ),
            said!("{minutes:.0} min", minutes = rates.setup.si() / 60.0),
            said!(
                "{layers} layers of {layer:.1} min, {cavities} cavities of {cavity:.1} min, handling",
                layers = question.layers,
                layer = layer.si() / 60.0,
                cavities = question.cavities,
                cavity = cavity.si() / 60.0
            ),
            said!("{joints} joints", joints),
        ];
        let (costs, cost, price) = cost_lines(effort, rates, shop.currency, bases);
        BudgetPrice { costs, cost, price }
    };
    Ok(Spread {
        least: price(
            practice.foam_yield.least,
            practice.cavity_time.least,
            practice.layer_time.least,
        ),
        expected: price(
            practice.foam_yield.expected,
            practice.cavity_time.expected,
            practice.layer_time.expected,
        ),
        most: price(
            practice.foam_yield.most,
            practice.cavity_time.most,
            practice.layer_time.most,
        ),
    })
}
