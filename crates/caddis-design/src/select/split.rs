//! One packing list over several cases, where one does not do.

use super::Tried;
use super::bounds::Bounds;
use super::figures::{Contents, Figures, Measure};
use crate::Brief;
use caddis_basis::Mass;
use std::cmp::Ordering;

/// Shells that a split is built on: the roomiest that may do, and the best by the measure.
const BASES: usize = 6;
/// Shells tried for one finished group.
const FINAL: usize = 24;

/// One case of a split.
#[derive(Debug, Clone, PartialEq)]
pub struct SplitCase {
    /// Index into the shells given.
    pub shell: usize,
    /// (index of the item in the brief, how many of it), in the brief's order.
    pub items: Vec<(usize, u32)>,
    /// What it measures.
    pub figures: Figures,
}

/// The packing list over several cases.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// The cases.
    pub cases: Vec<SplitCase>,
}

impl Split {
    /// Gross mass of all cases.
    pub fn gross_mass(&self) -> Mass {
        self.cases.iter().filter_map(|case| case.figures.gross_mass).sum()
    }
}

/// Fewest cases first, then the least sum of the measure; `None` when some piece fits no shell or the cases do not suffice.
///
/// First fit by layout: pieces from the largest to the smallest go into the first case that still holds them, once for
/// each shell that may serve as the base of a split; every group then gets the shell that is best for it.
pub(super) fn split(tried: &Tried<'_>) -> Option<Split> {
    let brief = tried.brief;
    let mut pieces: Vec<(f64, usize)> = brief
        .items
        .iter()
        .enumerate()
        .flat_map(|(index, item)| {
            let size = item.volume().si();
            (0..item.quantity).map(move |_| (size, index))
        })
        .collect();
    pieces.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let order: Vec<usize> = pieces.into_iter().map(|(_, item)| item).collect();
    let mut best: Option<(usize, f64, Split)> = None;
    for shell in bases(tried) {
        let Some(groups) = groups(tried, shell, &order) else {
            continue;
        };
        let Some(split) = groups
            .iter()
            .map(|group| finished(tried, group, shell))
            .collect::<Option<Vec<_>>>()
            .map(|cases| Split { cases })
        else {
            continue;
        };
        let worth: f64 = split
            .cases
            .iter()
            .map(|case| match tried.options.by {
                Measure::LinearSize | Measure::SpareRoom => case.figures.linear_size.si(),
                Measure::ChargeableWeight => case.figures.chargeable_weight.map_or(0.0, Mass::si),
                Measure::GrossMass | Measure::Price => case.figures.gross_mass.map_or(0.0, Mass::si),
            })
            .sum();
        let count = split.cases.len();
        let better = best
            .as_ref()
            .is_none_or(|(cases, sum, _)| count.cmp(cases).then(worth.total_cmp(sum)).is_lt());
        if better {
            best = Some((count, worth, split));
        }
    }
    best.map(|(_, _, split)| split)
}

/// Shells to build on: the roomiest first, and those that weigh little for their room where mass is limited.
fn bases(tried: &Tried<'_>) -> Vec<usize> {
    let room = |index: usize| {
        let base = &tried.shells[index].base;
        base.rim.length.value.si() * base.rim.width.value.si() * base.depth.value.si()
    };
    let by = |worth: &dyn Fn(usize) -> f64| {
        let mut order: Vec<usize> = (0..tried.shells.len()).collect();
        order.sort_by(|&a, &b| worth(b).total_cmp(&worth(a)).then(a.cmp(&b)));
        order
    };
    let roomy = by(&room);
    let light = by(&|index| room(index) / tried.shells[index].empty_mass.value.si().max(0.1));
    let mut found: Vec<usize> = Vec::new();
    for index in roomy
        .into_iter()
        .take(BASES / 2)
        .chain(light.into_iter().take(BASES / 2))
    {
        if !found.contains(&index) {
            found.push(index);
        }
    }
    found
}

/// The pieces in groups that each fit the shell; `None` when there would be too many.
fn groups(tried: &Tried<'_>, shell: usize, order: &[usize]) -> Option<Vec<Vec<usize>>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    'pieces: for &item in order {
        for group in &mut groups {
            group.push(item);
            if Part::of(tried, group).case(tried, shell).is_some() {
                continue 'pieces;
            }
            group.pop();
        }
        if groups.len() == tried.options.most_cases {
            return None;
        }
        Part::of(tried, &[item]).case(tried, shell)?;
        groups.push(vec![item]);
    }
    Some(groups)
}

/// The best case for a group; at least the one it was grouped in.
fn finished(tried: &Tried<'_>, group: &[usize], shell: usize) -> Option<SplitCase> {
    let part = Part::of(tried, group);
    let contents = Contents::of(&part.brief);
    let mut order: Vec<(Figures, usize)> = tried
        .shells
        .iter()
        .enumerate()
        .map(|(index, shell)| (Figures::at_best(&contents, shell), index))
        .collect();
    order.sort_by(|a, b| {
        let by = match tried.options.by {
            // Most spare room would take the largest shell for each part.
            Measure::SpareRoom => Measure::LinearSize,
            by => by,
        };
        a.0.cmp_by(&b.0, by).then(a.1.cmp(&b.1))
    });
    let before = order.into_iter().map(|(_, index)| index);
    let before = before.take_while(|&index| index != shell);
    let within = before.filter(|&index| part.is_within(tried, index));
    let best = within.take(FINAL).find_map(|index| part.case(tried, index));
    best.or_else(|| part.case(tried, shell))
}

/// Some of the pieces.
struct Part {
    brief: Brief,
    /// Which of the whole brief's items its items are.
    items: Vec<usize>,
    bounds: Bounds,
}

impl Part {
    fn of(tried: &Tried<'_>, group: &[usize]) -> Self {
        let (brief, items) = part(tried.brief, group);
        Self {
            bounds: tried.bounds.of_part(&brief, &items),
            brief,
            items,
        }
    }

    /// Whether the outer bounds let it pass in a shell.
    fn is_within(&self, tried: &Tried<'_>, shell: usize) -> bool {
        let (shell, limit) = (&tried.shells[shell], tried.options.most_mass);
        self.bounds.refusal(shell, limit).is_none()
    }

    /// The part in a shell, if it fits and is not too heavy.
    fn case(&self, tried: &Tried<'_>, shell: usize) -> Option<SplitCase> {
        if !self.is_within(tried, shell) {
            return None;
        }
        let brief = Brief {
            shell: tried.shells[shell].clone(),
            ..self.brief.clone()
        };
        let found = tried.fits(&brief, &self.items).ok()?;
        let figures = Figures::at_a_glance(&brief, &Contents::of(&brief), &found);
        if tried.too_heavy(&figures).is_some() {
            return None;
        }
        let counted = self.items.iter().zip(&brief.items);
        Some(SplitCase {
            shell,
            items: counted.map(|(&index, item)| (index, item.quantity)).collect(),
            figures,
        })
    }
}

/// The brief of some of the pieces, and which items of the whole brief its items are. Batteries go with the equipment that
/// their label names; others stay in every part, so that no rule overlooks them.
fn part(brief: &Brief, group: &[usize]) -> (Brief, Vec<usize>) {
    let mut sorted = group.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let items = sorted
        .iter()
        .map(|&index| {
            let mut item = brief.items[index].clone();
            item.quantity = group.iter().filter(|&&other| other == index).count() as u32;
            item
        })
        .collect();
    let mut part = Brief {
        items,
        ..brief.clone()
    };
    let named = |label: &str, index: &usize| label.cmp(brief.items[*index].name.as_str()) == Ordering::Equal;
    part.batteries.retain(|battery| {
        let owner = (0..brief.items.len()).find(|index| named(&battery.label, index));
        owner.is_none_or(|owner| sorted.contains(&owner))
    });
    (part, sorted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;

    #[test]
    fn a_part_holds_its_pieces_only() {
        let brief = testing::brief();
        let (part, items) = part(&brief, &[2, 0, 2]);
        assert_eq!(items, [0, 2]);
        assert_eq!(part.items[0].quantity, 1);
        assert_eq!(part.items[1].quantity, 2);
    }
}
