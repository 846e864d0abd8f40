//! Which sheets may be given up, for nothing or for cheaper ones.

use crate::nest::Sheet;
use std::cmp::Ordering;

/// Sheets are never filled as full as this.
const FULLEST: f64 = 0.96;
/// Trades of a kind that are tried, the most promising first.
const TRIED: usize = 3;
/// Small sheets that take the place of one.
const SEVERAL: usize = 6;

/// One board of an arrangement given for other sheets, or for none.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Trade {
    /// The board given up.
    pub(super) victim: usize,
    /// Sheets that come instead, as indices into the sheets given.
    pub(super) instead: Vec<usize>,
    saving: f64,
    on_it: f64,
}

/// Trades that make an arrangement cheaper, or smaller by a sheet at no more cost, and that the area allows: `used` are the
/// boards' sheets, `on` the area of the parts on each. Boards that are given up for nothing come first, the emptiest first; then those
/// that cheaper sheets replace, the largest saving first.
pub(super) fn trades(sheets: &[Sheet], used: &[usize], on: &[f64]) -> Vec<Trade> {
    let needed: f64 = on.iter().sum();
    let whole: f64 = used.iter().map(|&sheet| sheets[sheet].area()).sum();
    let left = |kind: usize| {
        let count = used.iter().filter(|used| **used == kind).count();
        sheets[kind]
            .limit
            .map_or(usize::MAX, |limit| (limit as usize).saturating_sub(count))
    };
    let area_of = |kinds: &[usize]| -> f64 { kinds.iter().map(|&kind| sheets[kind].area()).sum() };
    let cost_of = |kinds: &[usize]| -> f64 { kinds.iter().map(|&kind| sheets[kind].cost).sum() };
    let trade = |victim: usize, instead: Vec<usize>| {
        let has_room = needed <= FULLEST * (whole - sheets[used[victim]].area() + area_of(&instead));
        let saving = sheets[used[victim]].cost - cost_of(&instead);
        let pays = instead.is_empty() || saving > 1e-9 * sheets[used[victim]].cost.abs();
        (has_room && pays).then_some(Trade {
            victim,
            on_it: on[victim],
            saving,
            instead,
        })
    };
    let emptier = |a: &Trade, b: &Trade| a.on_it.total_cmp(&b.on_it).then(a.victim.cmp(&b.victim));
    let mut for_none: Vec<Trade> = if used.len() > 1 {
        (0..used.len())
            .filter_map(|victim| trade(victim, Vec::new()))
            .collect()
    } else {
        Vec::new()
    };
    for_none.sort_by(emptier);
    for_none.truncate(TRIED);

    let mut for_cheaper = Vec::new();
    for victim in emptiest_of_each(used, on) {
        let kinds = (0..sheets.len()).filter(|&kind| kind != used[victim] && left(kind) > 0);
        let mut few: Vec<usize> = Vec::new();
        for kind in kinds {
            for_cheaper.extend(trade(victim, vec![kind]));
            if sheets[kind].limit.is_some() {
                few.extend(std::iter::repeat_n(kind, left(kind).min(SEVERAL)));
            }
        }
        for_cheaper
            .extend(several(sheets, few, sheets[used[victim]].cost).and_then(|few| trade(victim, few)));
    }
    for_cheaper.sort_by(|a, b| {
        let saving = b.saving.total_cmp(&a.saving);
        saving
            .then_with(|| a.instead.len().cmp(&b.instead.len()))
            .then_with(|| emptier(a, b))
            .then_with(|| a.instead.cmp(&b.instead))
    });
    for_cheaper.truncate(TRIED);
    for_none.extend(for_cheaper);
    for_none
}

/// The board of each kind that has least on it.
fn emptiest_of_each(used: &[usize], on: &[f64]) -> Vec<usize> {
    let mut boards: Vec<usize> = (0..used.len()).collect();
    boards.sort_by(|&a, &b| {
        let kind: Ordering = used[a].cmp(&used[b]);
        kind.then(on[a].total_cmp(&on[b])).then(a.cmp(&b))
    });
    boards.dedup_by_key(|board| used[*board]);
    boards
}

/// The cheapest of a few sheets by area that together cost less than one does; `None` where they are not two.
fn several(sheets: &[Sheet], mut few: Vec<usize>, cost: f64) -> Option<Vec<usize>> {
    let price = |kind: usize| sheets[kind].cost / sheets[kind].area().max(1e-9);
    few.sort_by(|&a, &b| {
        let larger = sheets[b].area().total_cmp(&sheets[a].area());
        price(a).total_cmp(&price(b)).then(larger).then(a.cmp(&b))
    });
    let mut taken = Vec::new();
    let mut spent = 0.0;
    for kind in few {
        if taken.len() < SEVERAL && spent + sheets[kind].cost < cost {
            spent += sheets[kind].cost;
            taken.push(kind);
        }
    }
    (taken.len() > 1).then_some(taken)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(length: f64, cost: f64, limit: Option<u32>) -> Sheet {
        Sheet {
            name: String::new(),
            length,
            width: 1.0,
            trim: 0.0,
            gap: 0.0,
            limit,
            cost,
            outline: None,
            defects: Vec::new(),
        }
    }

    fn kinds(trades: &[Trade]) -> Vec<(usize, Vec<usize>)> {
        trades
            .iter()
            .map(|trade| (trade.victim, trade.instead.clone()))
            .collect()
    }

    #[test]
    fn the_emptiest_is_given_up_first_and_only_where_the_rest_has_room() {
        let sheets = [sheet(1.0, 10.0, None)];
        assert_eq!(
            kinds(&trades(&sheets, &[0, 0, 0], &[0.6, 0.2, 0.5])),
            [(1, vec![]), (2, vec![]), (0, vec![])]
        );
        assert!(trades(&sheets, &[0, 0], &[0.6, 0.5]).is_empty());
        assert!(trades(&sheets, &[0], &[0.1]).is_empty());
    }

    #[test]
    fn a_cheaper_sheet_or_several_offcuts_take_the_place_of_a_dear_one() {
        let sheets = [
            sheet(2.0, 30.0, None),
            sheet(1.0, 20.0, None),
            sheet(0.4, 0.0, Some(1)),
            sheet(0.5, 1.0, Some(2)),
        ];
        // 0.8 of area: the smaller sheet holds it, so do all three offcuts; one offcut alone does not.
        let found = kinds(&trades(&sheets, &[0], &[0.8]));
        assert_eq!(found, [(0, vec![2, 3, 3]), (0, vec![1])]);
        // What is used up is not offered.
        let found = kinds(&trades(&sheets, &[0, 2, 3, 3], &[0.8, 0.3, 0.3, 0.3]));
        assert!(
            found.iter().all(|(_, instead)| !instead.contains(&2)),
            "{found:?}"
        );
    }
}
