//! What several of the same interior cost: sheets are shared, the machine is set up once.

use crate::bill::cost_lines;
use crate::{CostLine, MakeError, Shop, ShopSet, nest};
use caddis_basis::{Money, in_order, said};
use caddis_layout::SearchOptions;

/// Interiors nested together at most; more are made of such batches, the cheapest way found.
const BATCH: u32 = 8;
/// Parts nested together at most.
const PARTS: usize = 24;
/// Positions the search tries per batch: parts are few and large, more finds nothing better.
const STEPS: u64 = 4_000;

/// The price of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceBreak {
    /// How many interiors.
    pub quantity: u32,
    /// Sheets bought for all of them.
    pub sheets: u32,
    /// Cost of all of them, in the order it adds up.
    pub costs: Vec<CostLine>,
    /// What all of them cost the shop.
    pub cost: Money,
    /// Price of one, rounded once.
    pub unit_price: Money,
    /// Price of all: the unit price times the quantity, to the cent.
    pub price: Money,
}

/// Prices quantities of a set, each from 1 upward. Of one the price is the bill's.
///
/// # Accuracy
/// Sheets are whole. Up to eight interiors are nested together; larger quantities are the cheapest sum of such batches. Of one the
/// offcuts it is cut from count; several are cut from what is bought, and are not priced where a foam is not bought any more. No
/// learning is assumed: every interior takes the machine's and the bench's time of the first.
///
/// # Errors
/// As `make`.
///
/// # Source
/// Material grows with whole sheets, setup is paid once, machine and hand time grow with the quantity: shop arithmetic,
/// common practice.
pub fn price_breaks(
    set: &ShopSet,
    shop: &Shop,
    seed: u64,
    quantities: &[u32],
) -> Result<Vec<PriceBreak>, MakeError> {
    let work = &set.bill.work;
    let most = quantities.iter().copied().max().unwrap_or(1);
    let workers = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let options = SearchOptions {
        seed,
        steps: STEPS,
        workers,
    };
    let all = nest::groups(&set.layers);
    let priced = in_order(all.len(), workers, |index| {
        let members = &all[index];
        let largest = BATCH.min(most).min((PARTS / members.len()).max(1) as u32);
        let one = bought(set, shop, &set.layers[members[0]]);
        let batches = nest::prices_of(
            &set.layers,
            members,
            (one.is_bought.then_some(one.cost), largest),
            shop,
            &options,
        )?;
        Ok((one.cost, batches))
    });
    let mut groups: Vec<Vec<(i64, u32)>> = Vec::new();
    let mut priced_to = most;
    for group in priced {
        let (one, batches) = group?;
        let mut costs = vec![(0, 0)];
        match batches {
            Some(batches) => costs = cheapest(&batches, most),
            None => priced_to = 1,
        }
        costs.resize(costs.len().max(2), (0, 0));
        costs[1] = one;
        groups.push(costs);
    }
    let adhesive: i64 = set
        .bill
        .lines
        .iter()
        .filter(|line| line.unit != "sheet")
        .filter_map(|line| Some(line.total?.minor()))
        .fold(0, i64::saturating_add);
    let rates = &shop.rates;
    Ok(quantities
        .iter()
        .filter(|quantity| (1..=priced_to).contains(*quantity))
        .map(|&quantity| {
            let at = quantity as usize;
            let foam = groups
                .iter()
                .map(|group| group[at].0)
                .fold(0_i64, i64::saturating_add);
            let sheets: u32 = groups.iter().map(|group| group[at].1).sum();
            let material = foam.saturating_add(adhesive.saturating_mul(i64::from(quantity)));
            let effort = work.effort(quantity, Money::from_minor(material, shop.currency), rates);
            let bases = [
                said!("{sheets} sheets charged whole, adhesive by area", sheets),
                said!("once"),
                said!("{quantity} times", quantity),
                said!("{quantity} times", quantity),
            ];
            let (costs, cost, price) = cost_lines(effort, rates, shop.currency, bases);
            let unit_price = share_of(price, quantity);
            PriceBreak {
                quantity,
                sheets,
                costs,
                cost,
                unit_price,
                price: Money::from_minor(
                    unit_price.minor().saturating_mul(i64::from(quantity)),
                    shop.currency,
                ),
            }
        })
        .collect())
}

/// One of so many equal shares, rounded to the cent, half a cent away from nought: in whole cents, since a price of 3152.75 parted in
/// ten has no exact binary form.
fn share_of(price: Money, quantity: u32) -> Money {
    let (whole, count) = (i128::from(price.minor()), i128::from(quantity.max(1)));
    let share = (2 * whole.abs() + count) / (2 * count) * whole.signum();
    Money::from_minor(i64::try_from(share).unwrap_or(i64::MAX), price.currency())
}

/// What one interior's group is cut from, as nested for its bill.
struct Bought {
    /// Money and sheets.
    cost: (i64, u32),
    /// Whether all of it can be bought again.
    is_bought: bool,
}

fn bought(set: &ShopSet, shop: &Shop, part: &crate::LayerPart) -> Bought {
    let of_group = || {
        let sheets = set.nests.iter().map(|nest| &shop.stock[nest.stock]);
        sheets.filter(|sheet| nest::is_stock_of(sheet, part))
    };
    Bought {
        cost: of_group().fold((0_i64, 0), |(money, sheets), sheet| {
            (money.saturating_add(sheet.price.minor()), sheets + 1)
        }),
        is_bought: of_group().all(|sheet| sheet.number.is_none()),
    }
}

/// The cheapest way to every quantity from 0 to `most` as a sum of batches; `batches[k]` is k + 1 nested together.
fn cheapest(batches: &[(i64, u32)], most: u32) -> Vec<(i64, u32)> {
    let mut best = vec![(0_i64, 0_u32)];
    for quantity in 1..=most as usize {
        let choice = (1..=batches.len().min(quantity)).map(|size| {
            let (money, sheets) = best[quantity - size];
            let (more, further) = batches[size - 1];
            (money.saturating_add(more), sheets + further)
        });
        best.push(choice.min().unwrap_or((0, 0)));
    }
    best
}

#[cfg(test)]
mod tests {
    use super::{cheapest, share_of};
    use crate::testing::euro;

    #[test]
    fn half_a_cent_goes_up_as_a_spreadsheet_rounds_it() {
        let share = |major, quantity| share_of(euro(major), quantity).minor();
        assert_eq!(share(3152.75, 10), 31_528);
        assert_eq!(share(3152.74, 10), 31_527);
        assert_eq!((share(1.0, 3), share(2.0, 3)), (33, 67));
        assert_eq!(share(-3152.75, 10), -31_528);
        assert_eq!((share(0.0, 7), share(0.05, 1)), (0, 5));
    }

    #[test]
    fn batches_add_up_the_cheapest_way() {
        // Two layers an interior, six to a sheet of 50.85: three interiors share one sheet (shop.md, worked example).
        let sheet = |interiors: i64| (5085 * ((2 * interiors + 5) / 6), ((2 * interiors + 5) / 6) as u32);
        let batches: Vec<(i64, u32)> = (1..=8).map(sheet).collect();
        let best = cheapest(&batches, 100);
        assert_eq!(best[1].1, 1);
        assert_eq!(best[10].1, 4);
        assert_eq!(best[100].1, 34);
    }
}
