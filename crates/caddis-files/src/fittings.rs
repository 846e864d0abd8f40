//! What a shop fits beside foam: `[fittings]`.

use crate::error::Fault;
use crate::shop::money;
use crate::written::{Bench, Written};
use caddis_basis::{Currency, Mass};
use caddis_shop::{Board, Fittings, PullStrap};
use serde::{Deserialize, Serialize};

/// What a shop fits beside foam; what is left out it cannot be asked for.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct FittingsFile {
    pull_strap: Option<PullStrapFile>,
    lid_strip: Option<PullStrapFile>,
    board: Option<BoardFile>,
    bevel_per_layer: Option<Written>,
}

impl FittingsFile {
    /// What a job may ask for: a pull strap and a board by their names, and whether edges are bevelled.
    pub(crate) fn offered(&self) -> (Option<String>, Option<String>, bool) {
        (
            self.pull_strap.as_ref().map(|strap| strap.name.clone()),
            self.board.as_ref().map(|board| board.name.clone()),
            self.bevel_per_layer.is_some(),
        )
    }
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PullStrapFile {
    name: String,
    price: String,
    time: Written,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BoardFile {
    name: String,
    thickness: Written,
    /// Mass of a square metre.
    mass_per_m2: Written,
    /// Its modulus in bending, for how far a tray with it sags.
    bending_modulus: Option<Written>,
    price_per_m2: String,
    /// What fixes it in the lid, how many of them, and the price of one.
    fixing: String,
    fixings: u32,
    fixing_price: String,
    time: Written,
}

/// The fittings of a shop that asks for money in this currency.
pub(crate) fn fittings(bench: &Bench, written: &FittingsFile, currency: Currency) -> Result<Fittings, Fault> {
    let strap = |written: Option<&PullStrapFile>, field: &str| {
        let at = |key: &str| format!("fittings.{field}.{key}");
        written
            .map(|strap| {
                Ok(PullStrap {
                    name: strap.name.clone(),
                    price: money(&strap.price, currency, &at("price"))?,
                    time: bench.not_negative(&strap.time, &at("time"))?,
                })
            })
            .transpose()
    };
    let pull_strap = strap(written.pull_strap.as_ref(), "pull_strap")?;
    let lid_strip = strap(written.lid_strip.as_ref(), "lid_strip")?;
    let board = match &written.board {
        None => None,
        Some(board) => {
            let mass: Mass = bench.positive(&board.mass_per_m2, "fittings.board.mass_per_m2")?;
            Some(Board {
                name: board.name.clone(),
                thickness: bench.positive(&board.thickness, "fittings.board.thickness")?,
                mass_per_area: mass.si(),
                bending_modulus: board
                    .bending_modulus
                    .as_ref()
                    .map(|modulus| bench.positive(modulus, "fittings.board.bending_modulus"))
                    .transpose()?,
                price_per_m2: money(&board.price_per_m2, currency, "fittings.board.price_per_m2")?,
                fixing: board.fixing.clone(),
                fixings: board.fixings,
                fixing_price: money(&board.fixing_price, currency, "fittings.board.fixing_price")?,
                time: bench.not_negative(&board.time, "fittings.board.time")?,
            })
        }
    };
    let bevel_per_layer = written.bevel_per_layer.as_ref();
    Ok(Fittings {
        pull_strap,
        lid_strip,
        board,
        bevel_per_layer: bevel_per_layer
            .map(|time| bench.not_negative(time, "fittings.bevel_per_layer"))
            .transpose()?,
    })
}
