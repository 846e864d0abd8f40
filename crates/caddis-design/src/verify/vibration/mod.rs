//! Each item on its cushion on each leg that states a spectrum.
//!
//! The item is a mass on the foam under it, moved by the vehicle's floor: up and down only, since measured dynamic data
//! are of foam under a weight. Without such data its natural frequency is not known; then the range that the usual
//! cushions span is shown beside the words, and nothing passes. Vibration never proves an item safe whose resonances nobody
//! states.

mod findings;
#[cfg(test)]
mod tests;
mod words;

use crate::{Brief, Direction, Interior, ItemVerdict, ItemVibration};
use caddis_basis::{
    Acceleration, Certainty, Duration, Finding, Frequency, InstanceId, Length, Pressure, Said, Speed,
    Verdict, said,
};
use caddis_protection::response::{DamageBoundary, DamageJudgement};
use caddis_protection::velocity_change;
use caddis_protection::vibration::{
    Exposure, Oscillator, RandomResponse, Resonance, Spectrum, USUAL_AMPLIFICATION, USUAL_NATURAL_FREQUENCY,
    exposure,
};
use caddis_survey::Fragility;
use findings::{missing_data, resonance_findings};
use words::{sentence, settling};

/// One item under vibration.
#[derive(Debug, Clone, PartialEq)]
pub struct VibrationVerdict {
    /// Which piece.
    pub instance: InstanceId,
    /// Number on the packing plan.
    pub number: u32,
    /// Name.
    pub name: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Static stress on the foam under it.
    pub static_stress: Pressure,
    /// Mean thickness of that foam.
    pub thickness: Length,
    /// The item on its cushion, where it is known.
    pub oscillator: Option<Oscillator>,
    /// Every leg that states a spectrum.
    pub legs: Vec<LegResponse>,
    /// The fall against the item's damage boundary, where it states a critical velocity change.
    pub shock: Option<ShockVerdict>,
    /// What months and miles do to the foam under it.
    pub settling: Said,
    /// In words, for papers.
    pub sentence: Said,
}

/// One item on one leg.
#[derive(Debug, Clone, PartialEq)]
pub struct LegResponse {
    /// Index of the leg.
    pub leg: usize,
    /// Its label.
    pub label: String,
    /// The spectrum.
    pub spectrum: Spectrum,
    /// Time under way.
    pub duration: Duration,
    /// Level of the vehicle's floor.
    pub input: Acceleration,
    /// What reaches the item; `None` where its natural frequency is not known.
    pub response: Option<RandomResponse>,
    /// Least and most level over the cushions usual in the trade, where it is not known.
    pub usual: Option<(Acceleration, Acceleration)>,
    /// The item's own resonances.
    pub resonances: Vec<ResonanceResponse>,
}

/// One resonance on one leg.
#[derive(Debug, Clone, PartialEq)]
pub struct ResonanceResponse {
    /// The resonance.
    pub resonance: Resonance,
    /// What it sees; `None` where the cushion is not known.
    pub exposure: Option<Exposure>,
}

/// The fall against the item's two limits.
#[derive(Debug, Clone, PartialEq)]
pub struct ShockVerdict {
    /// The boundary.
    pub boundary: DamageBoundary,
    /// Velocity change of the worst simulated fall, twice; without one, of a fall without and with full rebound.
    pub velocity_change: (Speed, Speed),
    /// The worst peak, where the foam does not bottom.
    pub peak: Option<Acceleration>,
    /// The judgement of the worse end.
    pub judgement: Option<DamageJudgement>,
    /// In words.
    pub sentence: Said,
}

pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    items: &[ItemVerdict],
    findings: &mut Vec<Finding>,
) -> Vec<VibrationVerdict> {
    let usual: Vec<_> = brief
        .vibration
        .legs
        .iter()
        .map(|leg| usual_levels(&leg.spectrum))
        .collect();
    let mut out = Vec::new();
    for (place, item) in interior.places.iter().zip(items) {
        let Some(down) = item.directions.iter().find(|d| d.direction == Direction::Down) else {
            continue; // soft goods
        };
        let nothing = ItemVibration::default();
        let stated = brief.vibration.items.get(place.item).unwrap_or(&nothing);
        let known = oscillator(brief, down.static_stress, down.thickness, down.area.si() > 0.0);
        let legs: Vec<LegResponse> = brief
            .vibration
            .legs
            .iter()
            .zip(&usual)
            .map(|(leg, usual)| LegResponse {
                leg: leg.leg,
                label: brief
                    .journey
                    .legs
                    .get(leg.leg)
                    .map_or_else(String::new, |l| l.label.clone()),
                spectrum: leg.spectrum.clone(),
                duration: leg.duration,
                input: leg.spectrum.overall(),
                response: known.as_ref().ok().map(|o| o.response(&leg.spectrum)),
                usual: known.is_err().then_some(*usual).flatten(),
                resonances: stated
                    .resonances
                    .iter()
                    .map(|resonance| ResonanceResponse {
                        resonance: resonance.clone(),
                        exposure: known
                            .as_ref()
                            .ok()
                            .and_then(|o| exposure(resonance, o, &leg.spectrum, leg.duration).ok()),
                    })
                    .collect(),
            })
            .collect();
        findings.extend(resonance_findings(
            &place.instance,
            item,
            known.as_ref().ok(),
            stated,
            &legs,
        ));
        let verdict = verdict(brief, known.as_ref().ok(), stated, &legs);
        let settling = settling(brief, down.static_stress);
        out.push(VibrationVerdict {
            instance: place.instance.clone(),
            number: place.number,
            name: item.name.clone(),
            verdict,
            static_stress: down.static_stress,
            thickness: down.thickness,
            sentence: sentence(&known, stated, &legs),
            oscillator: known.ok(),
            shock: shock(brief, place.item, item, stated),
            legs,
            settling,
        });
    }
    findings.extend(missing_data(brief, &out));
    out
}

/// The item on the foam under it, or why it is not known.
fn oscillator(
    brief: &Brief,
    stress: Pressure,
    thickness: Length,
    has_support: bool,
) -> Result<Oscillator, Said> {
    if !has_support {
        return Err(said!("no foam lies under it"));
    }
    match brief.vibration.foams.get(brief.base_foam) {
        Some(Some(data)) => data
            .oscillator(stress, thickness)
            .map_err(|error| Said::name(error.to_string())),
        _ => Err(said!("no dynamic data of its foam")),
    }
}

/// Least and most level over the corners of the usual range of natural frequency and amplification, and between.
fn usual_levels(spectrum: &Spectrum) -> Option<(Acceleration, Acceleration)> {
    let (low, high) = USUAL_NATURAL_FREQUENCY;
    let mut levels = Vec::new();
    for step in 0..=8 {
        let natural = low.si() * (high / low).powf(f64::from(step) / 8.0);
        for amplification in [USUAL_AMPLIFICATION.0, USUAL_AMPLIFICATION.1] {
            let o = Oscillator::of_amplification(Frequency::from_si(natural), amplification).ok()?;
            levels.push(o.response(spectrum).level);
        }
    }
    let least = levels.iter().copied().reduce(Acceleration::min)?;
    let most = levels.iter().copied().reduce(Acceleration::max)?;
    Some((least, most))
}

fn has_measured_data(brief: &Brief) -> bool {
    let data = brief
        .vibration
        .foams
        .get(brief.base_foam)
        .and_then(Option::as_ref);
    data.is_some_and(|data| {
        matches!(
            data.source.certainty,
            Certainty::Measured | Certainty::Published | Certainty::Secondary
        )
    })
}

fn verdict(
    brief: &Brief,
    known: Option<&Oscillator>,
    stated: &ItemVibration,
    legs: &[LegResponse],
) -> Verdict {
    if legs.is_empty() || known.is_none() || stated.resonances.is_empty() {
        return Verdict::NotKnown;
    }
    let mut worst = if has_measured_data(brief) {
        Verdict::Holds
    } else {
        Verdict::Indicative
    };
    for seen in legs.iter().flat_map(|leg| &leg.resonances) {
        worst = worst.worse(match (&seen.exposure, seen.resonance.limit) {
            (Some(exposure), Some(limit)) if exposure.design_peak() > limit => Verdict::Fails,
            (Some(_), Some(_)) => Verdict::Holds,
            _ => Verdict::NotKnown,
        });
    }
    worst
}

fn shock(brief: &Brief, index: usize, item: &ItemVerdict, stated: &ItemVibration) -> Option<ShockVerdict> {
    let critical = stated.critical_velocity_change.as_ref()?.least();
    let Fragility::Known(fragility) = &brief.items[index].fragility else {
        return None;
    };
    let boundary = DamageBoundary {
        velocity_change: critical,
        acceleration: fragility.least(),
    };
    // The most that any simulated fall changes, or the bounds that rebound sets.
    let simulated = item
        .falls
        .as_ref()
        .map(|falls| falls.velocity_change)
        .filter(|change| change.si() > 0.0);
    let height = brief.handling.drop_height.most();
    let range = simulated.map_or(
        (velocity_change(height, 0.0), velocity_change(height, 1.0)),
        |change| (change, change),
    );
    let judgement = item.held_to.map(|peak| boundary.judge(range.1, peak));
    let fall = if simulated.is_some() {
        said!(
            "no simulated fall changes its speed by more than {change:.1}",
            change = range.1
        )
    } else {
        said!(
            "the fall changes its speed by {least:.1} to {most:.1}, without and with full rebound",
            least = range.0,
            most = range.1
        )
    };
    let sentence = match (judgement, item.held_to) {
        (Some(DamageJudgement::TooShort), _) => {
            said!(
                "{fall}, less than the {critical:.1} below which no shock harms it",
                fall,
                critical
            )
        }
        (Some(DamageJudgement::TooGentle), Some(peak)) => said!(
            "{fall}; past its critical {critical:.1} the peak decides: {peak:.0} is within the {limit:.0} it stands",
            fall,
            critical,
            peak,
            limit = boundary.acceleration
        ),
        (Some(DamageJudgement::Damage), Some(peak)) => said!(
            "{fall}; it is past its critical {critical:.1}, and {peak:.0} is past the {limit:.0} it stands: in the \
             region of damage",
            fall,
            critical,
            peak,
            limit = boundary.acceleration
        ),
        _ => said!(
            "{fall}; its foam bottoms or is missing, so no peak is known",
            fall
        ),
    };
    Some(ShockVerdict {
        boundary,
        velocity_change: range,
        peak: item.held_to,
        judgement,
        sentence,
    })
}
