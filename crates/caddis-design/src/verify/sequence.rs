//! The journey's test drops one after the other, on foam that remembers earlier ones.
//!
//! Only where a foam of the job has a measured law of later impacts, or data of the set that impacts leave: without either
//! nothing is known of what earlier drops do, and the finding `later-impacts-not-known` says so.

use super::FallChecks;
use super::fall::peak;
use super::laws::law_error;
use super::packing::{gravity, lossy, packing};
use crate::board::PackedBoard;
use crate::test_plan::direction_onto;
use crate::{Brief, DropSequence, Interior, ItemSequence, ItemVerdict, Packed};
use caddis_basis::{Acceleration, Domain, Finding, Length, Margin, Said, Severity, Source, Verdict, said};
use caddis_journey::{Parcel, TestPlan};
use caddis_protection::drop::{Fall, Landing, Precision, SequenceFall, Spring, Wear, sequence};
use caddis_protection::{Impact, LawError};
use caddis_survey::Fragility;

/// Simulates the sequence and judges every item in it; adds its findings and worsens the items' verdicts.
pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    (packed, parcel): (&[Packed], &Parcel),
    asked: &FallChecks,
    items: &mut [ItemVerdict],
    findings: &mut Vec<Finding>,
) -> Option<DropSequence> {
    let foams = [brief.base_foam, brief.lid_foam];
    let remembers = |foam: &usize| {
        let foam = &brief.foams[*foam];
        foam.later.is_some() || foam.memory.as_ref().is_some_and(|memory| memory.set > 0.0)
    };
    if !foams.iter().any(remembers) {
        return None;
    }
    let mut fail = |words: Said| {
        findings.push(
            Finding::new(
                "sequence-not-simulated",
                Domain::Protection,
                Severity::Caution,
                said!("case"),
                said!(
                    "the test drops one after the other could not be simulated: {words}",
                    words
                ),
                Source::derived(said!("the simulation's own limits")),
            )
            .remedy(said!("correct what it names and verify again")),
        );
    };
    let plan = match crate::test_plan::plan_of(brief, parcel) {
        Ok(plan) => plan,
        Err(error) => {
            fail(Said::name(error.to_string()));
            return None;
        }
    };
    let falls = match run(interior, brief, packed, &plan, asked) {
        Ok(falls) => falls,
        Err(error) => {
            fail(law_error(&error));
            return None;
        }
    };
    let height = brief.handling.drop_height.most();
    let judged = interior
        .places
        .iter()
        .zip(items)
        .enumerate()
        .filter(|(_, (place, _))| !matches!(brief.items[place.item].fragility, Fragility::None))
        .map(|(index, (place, item))| {
            let (sequence, finding) = judge(brief, &plan, &falls, (index, place.item), item);
            findings.extend(finding);
            item.verdict = item.verdict.worse(sequence.verdict);
            sequence
        })
        .collect();
    Some(DropSequence {
        schedule: plan.schedule.clone(),
        source: plan.source.clone(),
        assumptions: assumptions(brief, plan.drops.len()),
        drops: plan.drops.iter().map(|drop| drop.landing.said()).collect(),
        height,
        items: judged,
    })
}

fn run(
    interior: &Interior,
    brief: &Brief,
    packed: &[Packed],
    plan: &TestPlan,
    asked: &FallChecks,
) -> Result<Vec<SequenceFall>, LawError> {
    let fresh = packing(interior, brief, packed, asked.cell)?;
    let falls: Vec<Fall> = plan
        .drops
        .iter()
        .map(|drop| Fall {
            direction: direction_onto(&brief.shell, drop.landing.faces()),
            height: brief.handling.drop_height.most(),
            gravity: gravity(brief),
            friction: 0.0,
            landing: Landing::StopsDead,
        })
        .collect();
    sequence(
        &fresh,
        &falls,
        &Precision::DESIGN,
        &wears(interior, brief, packed)?,
    )
}

/// Wear by spring, in the order of the packing: base foam, lid foam, what is hard, then each item's own mixtures and a board's.
fn wears(interior: &Interior, brief: &Brief, packed: &[Packed]) -> Result<Vec<Wear>, LawError> {
    let height = brief.handling.drop_height.most();
    let wear = |foam: usize, later: Option<Spring>| match &brief.foams[foam].memory {
        Some(memory) => Wear::by_memory(later, memory),
        None if later.is_none() => Wear::NONE,
        None => Wear::by_law(later),
    };
    let of = |foam: usize| -> Result<Wear, LawError> {
        let Some(law) = &brief.foams[foam].later else {
            return Ok(wear(foam, None));
        };
        // A family of curves gives its equivalent law at the middle of its thicknesses.
        let thickness = law
            .range
            .thickness
            .map_or(0.05, |(low, high)| f64::midpoint(low, high));
        let law = law.at(height, Length::from_si(thickness))?;
        let spring = lossy(brief, foam, Spring::of_law(law.as_ref())?)?;
        Ok(wear(foam, Some(spring)))
    };
    let mut out = vec![of(brief.base_foam)?, of(brief.lid_foam)?, Wear::NONE];
    let board = PackedBoard::of(interior, brief);
    let of_items = packed.iter().map(|one| &one.mixes);
    for mixes in of_items.chain(board.iter().map(|board| &board.mixes)) {
        let laws = crate::mix::laws(brief, mixes, Impact::Later);
        for law in laws.iter().skip(2) {
            // A mixture keeps what its foam below keeps.
            let spring = lossy(brief, brief.base_foam, Spring::of_law(law)?)?;
            out.push(wear(brief.base_foam, Some(spring)));
        }
    }
    Ok(out)
}

fn judge(
    brief: &Brief,
    plan: &TestPlan,
    falls: &[SequenceFall],
    (index, survey): (usize, usize),
    item: &ItemVerdict,
) -> (ItemSequence, Option<Finding>) {
    let limit = match &brief.items[survey].fragility {
        Fragility::Known(limit) => Some(limit.least()),
        Fragility::Unknown | Fragility::None => None,
    };
    let peaks: Vec<Option<Acceleration>> = falls.iter().map(|fall| peak(&fall.items[index])).collect();
    // The first of equals; a fall without a peak is worse than any with one.
    let worst = (0..peaks.len()).fold(0, |best, i| match (peaks[best], peaks[i]) {
        (Some(_), None) => i,
        (Some(one), Some(other)) if other > one => i,
        _ => best,
    });
    let worst_peak = peaks.get(worst).copied().flatten();
    let backed = [brief.base_foam, brief.lid_foam].iter().all(|foam| {
        let foam = &brief.foams[*foam];
        foam.law.is_measured_dynamic && foam.later.as_ref().is_some_and(|later| later.is_measured_dynamic)
    });
    let verdict = match (worst_peak, limit) {
        (None, _) => Verdict::Fails,
        (Some(peak), Some(limit)) if peak > limit => Verdict::Fails,
        (Some(_), None) => Verdict::NotKnown,
        (Some(_), Some(_)) if backed => Verdict::Holds,
        (Some(_), Some(_)) => Verdict::Indicative,
    };
    let drop = plan.drops.get(worst).map_or_else(Said::default, |drop| {
        said!(
            "drop {number} ({landing})",
            number = drop.number,
            landing = drop.landing.said()
        )
    });
    let count = falls.len();
    let sentence = match (worst_peak, limit) {
        (Some(peak), Some(limit)) => {
            said!(
                "at most {peak:.0} in {count} drops, in {drop}, against the {limit:.0} it stands",
                peak,
                count,
                drop,
                limit
            )
        }
        (Some(peak), None) => said!(
            "held to about {peak:.0} over {count} drops, worst in {drop}",
            peak,
            count,
            drop
        ),
        (None, _) => said!(
            "its foam bottoms, or it strikes something hard, in {drop} of {count}",
            drop,
            count
        ),
    };
    let failing = |code, words: Said, margin: Margin| {
        Finding::new(
            code,
            Domain::Protection,
            Severity::Failing,
            &item.instance,
            words,
            Source::derived(said!(
                "simulated drops on foam that remembers, docs/drop-model.md"
            )),
        )
        .margin(margin)
        .remedy(said!(
            "more foam where it lands, or a foam that keeps its cushioning over many impacts"
        ))
    };
    let finding = match (worst_peak, limit) {
        (None, _) => Some(failing(
            "sequence-bottoms",
            said!("{item}: {sentence}", item = item.name, sentence),
            Margin::at_most(1.0, 0.0, "bottoms"),
        )),
        (Some(peak), Some(limit)) if peak > limit => Some(failing(
            "sequence-over-fragility",
            said!(
                "{item} sees {peak:.0} in {drop} of the {schedule}, more than the {limit:.0} it stands",
                item = item.name,
                peak,
                drop,
                schedule = plan.schedule,
                limit
            ),
            Margin::at_most(peak.as_g(), limit.as_g(), "G"),
        )),
        _ => None,
    };
    let sequence = ItemSequence {
        instance: item.instance.clone(),
        number: item.number,
        name: item.name.clone(),
        peaks,
        worn: falls.iter().map(|fall| fall.worn[index]).collect(),
        verdict,
        sentence,
    };
    (sequence, finding)
}

fn assumptions(brief: &Brief, drops: usize) -> Vec<Said> {
    let mut out = vec![said!(
        "{drops} drops one after the other, the shell stopping dead.",
        drops
    )];
    for foam in [brief.base_foam, brief.lid_foam] {
        let foam = &brief.foams[foam];
        if foam.later.is_none() {
            out.push(said!(
                "{foam} has no data of later impacts: every drop finds it as new, which is too kind.",
                foam = foam.title
            ));
        }
        out.push(match &foam.memory {
            Some(memory) => said!(
                "{foam}: foam pressed beyond a strain of {worn_from} is worn from the next drop on, {set:.0} % of \
                 its deflection stays, and {recovery:.0} % of \
                 both fades between drops ({source}).",
                foam = foam.title,
                worn_from = memory.worn_from,
                set = 100.0 * memory.set,
                recovery = 100.0 * memory.recovery,
                source = memory.source.said()
            ),
            None => said!(
                "{foam}: foam pressed beyond a strain of 0.05 is worn from the next drop on (assumed); nothing \
                 recovers between drops and \
                 no set is counted, since no data state either.",
                foam = foam.title
            ),
        });
    }
    let mut seen = std::collections::BTreeSet::new();
    out.retain(|words| seen.insert(words.clone()));
    out
}
