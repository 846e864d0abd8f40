//! How far each item's peak scatters when height, direction, foam and temperature do.
//!
//! A range under stated assumptions, beside the verdict and never part of it: the verdict takes the worst fall from the
//! design height, while most falls of a journey are gentler. No chance of survival follows: fragility and law are
//! themselves uncertain.

use super::packing::{gravity, packing};
use crate::{Brief, Interior, Packed};
use caddis_basis::{Acceleration, Domain, Finding, InstanceId, Said, Severity, Source, said};
use caddis_protection::drop::{FallMemory, PeakSpread, Precision, SpreadSettings, spread_assumptions};
use caddis_survey::Fragility;

/// How many falls to sample and how.
#[derive(Debug, Clone, PartialEq)]
pub struct SpreadChecks {
    /// Falls in the sample.
    pub samples: usize,
    /// Patches are merged in cells of this size, metres.
    pub cell: f64,
    /// Threads to work on; the answer does not depend on it.
    pub threads: usize,
}

impl Default for SpreadChecks {
    fn default() -> Self {
        Self {
            samples: 256,
            cell: 0.015,
            threads: std::thread::available_parallelism().map_or(1, usize::from),
        }
    }
}

/// The spread of every item that has a fragility.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// What it assumes, in sentences.
    pub assumptions: Vec<Said>,
    /// In the interior's order, soft goods left out.
    pub items: Vec<ItemSpread>,
}

/// The spread of one item.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemSpread {
    /// Which piece.
    pub instance: InstanceId,
    /// Number on the packing plan.
    pub number: u32,
    /// Name.
    pub name: String,
    /// Its peaks, G.
    pub peaks: PeakSpread,
    /// What it stands, where that is known.
    pub limit: Option<Acceleration>,
}

/// Half-width of the factor on the foams' stress where neither the job nor a foam's own tests state it.
const FOAM_SCATTER: f64 = 0.15;

/// Half-width of the factor on the foams' stress, and the sentence that says where it comes from: what the job states; else what
/// the foams' own tests scattered, the wider of base and lid; else an assumption.
///
/// # Source
/// An even spread of half-width w has the standard deviation w / sqrt 3 (derived). That peaks of one drop scatter as the stress
/// does is rough: a fit's scatter is that of peaks.
fn foam_scatter(brief: &Brief) -> (f64, Said) {
    let words = |share: f64, why: Said| {
        said!(
            "foam: stress within {share:.0} % of the law from piece to piece ({why})",
            share = share * 100.0,
            why
        )
    };
    if let Some(stated) = brief.handling.scatter.foam {
        return (stated, words(stated, said!("stated by the job")));
    }
    let measured = [brief.base_foam, brief.lid_foam]
        .iter()
        .filter_map(|&foam| brief.foams[foam].record.scatter)
        .reduce(f64::max);
    match measured {
        Some(scatter) => {
            let share = (scatter * 3.0_f64.sqrt()).min(0.9);
            (
                share,
                words(share, said!("from the scatter of its own drop tests, roughly")),
            )
        }
        None => (FOAM_SCATTER, words(FOAM_SCATTER, said!("assumed"))),
    }
}

pub(super) fn spread(
    interior: &Interior,
    brief: &Brief,
    (packed, memory): (&[Packed], &FallMemory),
    asked: &SpreadChecks,
    findings: &mut Vec<Finding>,
) -> Option<Spread> {
    let scatter = &brief.handling.scatter;
    let (foam_scatter, foam_words) = foam_scatter(brief);
    let settings = SpreadSettings {
        height_95: scatter.height_95,
        highest: scatter.highest,
        base_share: scatter.base_share,
        foam_scatter,
        temperature_factors: scatter.temperature_factors,
        samples: asked.samples,
        seed: interior.seed,
        gravity: gravity(brief),
        precision: Precision::DESIGN,
        threads: asked.threads,
    };
    match packing(interior, brief, packed, asked.cell)
        .and_then(|packing| memory.peak_spread(&packing, &settings))
    {
        Ok(peaks) => {
            let mut assumptions = spread_assumptions(&settings);
            assumptions.push(foam_words);
            assumptions.push(said!(
                "levels of the heights: {source}",
                source = scatter.source.said()
            ));
            assumptions.push(said!(
                "laws as at the design drop height, items at their greatest mass, the shell stopping dead"
            ));
            let items = interior
                .places
                .iter()
                .zip(peaks)
                .filter_map(|(place, peaks)| {
                    let item = &brief.items[place.item];
                    let limit = match &item.fragility {
                        Fragility::Known(limit) => Some(limit.least()),
                        Fragility::Unknown => None,
                        Fragility::None => return None,
                    };
                    Some(ItemSpread {
                        instance: place.instance.clone(),
                        number: place.number,
                        name: item.name.clone(),
                        peaks,
                        limit,
                    })
                })
                .collect();
            Some(Spread { assumptions, items })
        }
        Err(error) => {
            findings.push(
                Finding::new(
                    "spread-not-known",
                    Domain::Protection,
                    Severity::Caution,
                    said!("case"),
                    said!(
                        "the spread of peaks could not be simulated: {error}",
                        error = super::laws::law_error(&error)
                    ),
                    Source::derived(said!("the simulation's own limits")),
                )
                .remedy(said!(
                    "correct `handling.scatter`, or what it names, and verify again"
                )),
            );
            None
        }
    }
}
