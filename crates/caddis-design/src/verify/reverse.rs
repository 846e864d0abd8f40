//! The reverse answer: from what height a design holds an item to which acceleration.
//!
//! The falls that are worst for each item at the design height are repeated from lower and higher; between the heights the
//! peak is read on straight lines. Where nobody states what an item stands, the low edges of the fragility classes are
//! read, so that whoever knows the item can say which applies.

use super::fall::{Found, severity, worst};
use crate::{Brief, HeldFrom, ItemVerdict};
use caddis_basis::{Acceleration, Finding, Length, Said, Source, said};
use caddis_protection::LawError;
use caddis_protection::drop::{Fall, FallMemory, ItemFall, Landing, Packing, Precision};
use caddis_survey::{Fragility, FragilityClass};
use std::collections::BTreeSet;

/// Shares of the design height at which falls are repeated, beside itself.
const SHARES: [f64; 5] = [0.25, 0.5, 0.75, 1.25, 1.5];

/// Worst severity of every item at rising heights, m.
pub(super) struct Heights {
    design: f64,
    /// Height, and the worst of each item.
    rows: Vec<(f64, Vec<f64>)>,
}

/// Repeats every item's worst falls of each landing from other heights.
pub(super) fn heights(
    (packing, memory): (&Packing, &FallMemory),
    found: &[Found],
    threads: usize,
) -> Result<Heights, LawError> {
    let bodies = packing.bodies();
    let of_item: Vec<Vec<usize>> = (0..bodies).map(|item| worst(found, item).0).collect();
    let used: Vec<usize> = of_item
        .iter()
        .flatten()
        .copied()
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect();
    let Some(design) = found.first().map(|fall| fall.fall.height) else {
        return Ok(Heights {
            design: 0.0,
            rows: Vec::new(),
        });
    };
    let worst_of = |of_fall: &dyn Fn(usize, usize) -> ItemFall| -> Vec<f64> {
        (0..bodies)
            .map(|item| {
                of_item[item]
                    .iter()
                    .map(|fall| severity(&of_fall(*fall, item)))
                    .fold(0.0, f64::max)
            })
            .collect()
    };
    let falls: Vec<Fall> = SHARES
        .iter()
        .flat_map(|share| used.iter().map(move |i| lower(&found[*i].fall, *share)))
        .collect();
    let simulated = memory.simulate_all(packing, &falls, &Precision::DESIGN, threads)?;
    let mut rows: Vec<(f64, Vec<f64>)> = SHARES
        .iter()
        .zip(simulated.chunks(used.len().max(1)))
        .map(|(share, falls)| {
            let of_fall = |fall: usize, item: usize| {
                let at = used.binary_search(&fall).unwrap_or(0);
                falls[at][item]
            };
            (design.si() * share, worst_of(&of_fall))
        })
        .collect();
    rows.push((design.si(), worst_of(&|fall, item| found[fall].items[item])));
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    Ok(Heights {
        design: design.si(),
        rows,
    })
}

/// The same fall from a share of its height: speeds go with the root of it.
fn lower(fall: &Fall, share: f64) -> Fall {
    let landing = match fall.landing {
        Landing::EndFirst { pivot, spin } => Landing::EndFirst {
            pivot,
            spin: spin * share.sqrt(),
        },
        same => same,
    };
    Fall {
        height: fall.height * share,
        landing,
        ..*fall
    }
}

impl Heights {
    /// The answers for one item, in rising accelerations.
    pub(super) fn held_from(&self, item: usize, fragility: &Fragility) -> Vec<HeldFrom> {
        let limits: Vec<Acceleration> = match fragility {
            Fragility::Known(limit) => vec![limit.least()],
            Fragility::Unknown => FragilityClass::ALL.map(FragilityClass::least).to_vec(),
            Fragility::None => Vec::new(),
        };
        limits.into_iter().map(|limit| self.held(item, limit)).collect()
    }

    fn held(&self, item: usize, limit: Acceleration) -> HeldFrom {
        let g = limit.as_g();
        let points: Vec<(f64, f64)> = self
            .rows
            .iter()
            .map(|(height, worst)| (*height, worst[item]))
            .collect();
        let height = match points.iter().position(|(_, peak)| *peak > g) {
            Some(0) => None,
            Some(over) => {
                let ((low, at_low), (high, at_high)) = (points[over - 1], points[over]);
                // What bottoms or strikes at the next height is not read on a line: then the height that still held.
                let share = if at_high >= 1e9 {
                    0.0
                } else {
                    (g - at_low) / (at_high - at_low)
                };
                Some(low + (high - low) * share)
            }
            None => points.last().map(|(height, _)| *height),
        };
        HeldFrom {
            limit,
            height: height.map(Length::from_si),
            is_beyond: points.iter().all(|(_, peak)| *peak <= g),
            lowest: Length::from_si(points.first().map_or(0.0, |(height, _)| *height)),
        }
    }

    /// What is assumed, in a sentence.
    pub(super) fn words(&self) -> Said {
        let (least, most) = (SHARES[0], SHARES[SHARES.len() - 1]);
        said!(
            "Heights to which an item is held come from its worst falls repeated from {lowest:.0} to {highest:.0}, \
             read on straight lines \
             between; another direction may become the worst there.",
            lowest = Length::from_si(self.design * least),
            highest = Length::from_si(self.design * most)
        )
    }
}

impl HeldFrom {
    /// In words: "60 G from 410 mm".
    pub fn words(&self) -> Said {
        match self.height {
            Some(height) if self.is_beyond => {
                said!("{limit:.0} from {height:.0} and more", limit = self.limit, height)
            }
            Some(height) => said!("{limit:.0} from {height:.0}", limit = self.limit, height),
            None => said!(
                "{limit:.0} from less than {lowest:.0}",
                limit = self.limit,
                lowest = self.lowest
            ),
        }
    }
}

/// Puts the reverse answer of an item whose fragility nobody states into its sentence and its finding.
pub(super) fn reverse_words(
    item: &mut ItemVerdict,
    fragility: &Fragility,
    brief: &Brief,
    findings: &mut [Finding],
) {
    let (Fragility::Unknown, Some(peak), Some(falls)) = (fragility, item.held_to, &item.falls) else {
        return;
    };
    let words: Vec<Said> = falls.held_from.iter().map(HeldFrom::words).collect();
    if words.is_empty() {
        return;
    }
    let list = Said::row(words, ", ");
    item.sentence = said!("{sentence}; it is held to {list}", sentence = item.sentence, list);
    if let Some(finding) = findings
        .iter_mut()
        .find(|finding| finding.code == "fragility-unknown" && *finding.place == *item.instance.to_string())
    {
        finding.sentence = said!(
            "nobody states what {item} stands; this design holds it to about {peak:.0} from {height:.0}, in any \
             direction, and to {list}",
            item = item.name,
            peak,
            height = brief.handling.drop_height.most(),
            list
        );
        finding.source = Source::derived(said!("worst of the simulated falls, docs/drop-model.md"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_are_read_between_and_never_beyond() {
        let heights = Heights {
            design: 0.4,
            rows: vec![(0.2, vec![30.0]), (0.4, vec![50.0]), (0.6, vec![1e9 + 80.0])],
        };
        let at = |g: f64| heights.held(0, Acceleration::g(g));
        assert_eq!(at(20.0).height, None);
        let between = at(40.0);
        assert!((between.height.map_or(0.0, Length::si) - 0.3).abs() < 1e-9 && !between.is_beyond);
        // It bottoms from 600 mm: no line is drawn through that.
        assert!((at(90.0).height.map_or(0.0, Length::si) - 0.4).abs() < 1e-12);
        assert!(at(2e9).is_beyond);
        assert_eq!(at(40.0).words(), "40 G from 300 mm");
    }
}
