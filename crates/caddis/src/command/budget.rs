//! `caddis budget`: a price before any design exists, with its spread.

use crate::arguments::BudgetArguments;
use crate::command::goes_in::sizes;
use crate::command::{print, print_json};
use crate::failure::{DONE, Failure};
use crate::library_folder;
use caddis_files::{EntryKind, find_process, read_shop};
use caddis_shop::{BudgetPrice, BudgetQuestion, budget};
use serde_json::{Value, json};
use std::fmt::Write;

/// Prints least, expected and most price.
pub(crate) fn run(options: &BudgetArguments) -> Result<u8, Failure> {
    let library = library_folder::find(&options.library, None)?;
    let path = library
        .path(EntryKind::Shop, &options.shop)
        .ok_or_else(|| Failure::Use {
            problem: format!("the library has no shop `{}`", options.shop),
            hint: format!("it has {}", library.names(EntryKind::Shop).join(", ")),
        })?;
    let bytes = super::bytes_of(&path, "shop file")?;
    let file = path.display().to_string();
    let mut process = |name: &str| find_process(&library, name, &file);
    let shop = read_shop(&bytes, &file, options.process.as_deref(), &mut process)
        .map_err(Failure::Input)?
        .shop;
    let question = BudgetQuestion {
        block: sizes::<3>("--block", &options.block, "600x400x250 mm")?,
        foam: options.foam.clone(),
        layers: options.layers,
        blocks: options.blocks,
        cavities: options.cavities,
    };
    let answer = budget(&question, &shop).map_err(|error| Failure::Use {
        problem: error.to_string(),
        hint: "`--foam` names a foam the shop stocks; `--layers` counts all layers, `--blocks` base, trays and lid pad".to_owned(),
    })?;
    let columns = [
        ("least", &answer.least),
        ("expected", &answer.expected),
        ("most", &answer.most),
    ];
    if options.output.json {
        let of = |price: &BudgetPrice| -> Value {
            json!({
                "cost_minor": price.cost.minor(),
                "price_minor": price.price.minor(),
                "lines": price.costs.iter().map(|line| json!({
                    "name": line.name.as_str(), "basis": line.basis.as_str(), "minor": line.amount.minor(),
                })).collect::<Vec<_>>(),
            })
        };
        print_json(&json!({
            "shop": shop.name,
            "currency": shop.currency.code(),
            "least": of(&answer.least),
            "expected": of(&answer.expected),
            "most": of(&answer.most),
        }))?;
        return Ok(DONE);
    }
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "budget price of one interior, {}: nothing is designed, nested or verified yet",
        shop.name
    );
    let _ = writeln!(
        text,
        "{:<10} {:>14} {:>14} {:>14}",
        "", "least", "expected", "most"
    );
    for (index, line) in answer.expected.costs.iter().enumerate() {
        let _ = writeln!(
            text,
            "{:<10} {:>14} {:>14} {:>14}   {}",
            line.name,
            answer.least.costs[index].amount.to_string(),
            line.amount.to_string(),
            answer.most.costs[index].amount.to_string(),
            line.basis
        );
    }
    let prices = columns.map(|(_, price)| price.price.to_string());
    let _ = writeln!(
        text,
        "{:<10} {:>14} {:>14} {:>14}",
        "price", prices[0], prices[1], prices[2]
    );
    print(&text)?;
    Ok(DONE)
}
