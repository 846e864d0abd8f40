//! Each item on its cushion on each leg that states a spectrum.
//!
//! The item is a mass on the foam under it, moved by the vehicle's floor: up and down only, since measured dynamic data
//! are of foam under a weight. Without such data its natural frequency is not known; then the range that the usual
//! cushions span is shown beside the words, and nothing passes. Vibration never proves an item safe whose resonances nobody
//! states.

use crate::{Brief, Direction, Interior, ItemVerdict, ItemVibration};
use caddis_basis::{
    Acceleration, Certainty, Domain, Duration, Finding, Frequency, InstanceId, Length, Margin, Pressure,
    Severity, Source, Speed, Verdict,
};
use caddis_protection::impact_speed;
use caddis_protection::response::{DamageBoundary, DamageJudgement};
use caddis_protection::vibration::{
    Exposure, Oscillator, RandomResponse, Resonance, Spectrum, USUAL_AMPLIFICATION, USUAL_NATURAL_FREQUENCY,
    exposure, usual_range_words,
};
use caddis_survey::Fragility;

/// A cushion that passes more than this at an item's resonance drives it.
const DRIVES: f64 = 2.0;

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
    pub settling: String,
    /// In words, for papers.
    pub sentence: String,
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
    pub sentence: String,
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
            &place.instance.to_string(),
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
) -> Result<Oscillator, String> {
    let foam = &brief.foams[brief.base_foam];
    if !has_support {
        return Err("no foam lies under it".to_owned());
    }
    match brief.vibration.foams.get(brief.base_foam) {
        Some(Some(data)) => data
            .oscillator(stress, thickness)
            .map_err(|error| error.to_string()),
        _ => Err(format!(
            "no dynamic modulus or transmissibility of {} is measured, and its law, which starts at {:.1}, has no tangent \
             there",
            foam.title,
            Pressure::from_si(foam.law.initial_stress())
        )),
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

/// An acceleration to two decimals: vibration levels are small.
fn g(value: Acceleration) -> String {
    format!("{:.2} G", value.as_g())
}

fn sentence(known: &Result<Oscillator, String>, stated: &ItemVibration, legs: &[LegResponse]) -> String {
    if legs.is_empty() {
        return "no leg of the journey states a vibration spectrum".to_owned();
    }
    let worst_leg = legs.iter().max_by(|a, b| {
        let level = |leg: &LegResponse| leg.response.map_or(leg.input.si(), |r| r.level.si());
        level(a).total_cmp(&level(b))
    });
    let Some(leg) = worst_leg else {
        return String::new();
    };
    match (known, leg.response) {
        (Ok(oscillator), Some(response)) => {
            let part = stated
                .resonances
                .iter()
                .zip(&leg.resonances)
                .find_map(|(resonance, seen)| {
                    let exposure = seen.exposure?;
                    Some(match (resonance.limit, exposure.at_risk) {
                        (Some(limit), Some(time)) => format!(
                            "; its resonance at {:.0} sees {} at 3 sigma against the {} it stands, {:.1} s of {:.1} h past it",
                            resonance.frequency,
                            g(exposure.design_peak()),
                            g(limit),
                            time.si(),
                            leg.duration.si() / 3600.0
                        ),
                        _ => format!(
                            "; its resonance at {:.0} sees {} at 3 sigma, and nobody states what it stands",
                            resonance.frequency,
                            g(exposure.design_peak())
                        ),
                    })
                })
                .unwrap_or_else(|| "; nobody states its own resonances".to_owned());
            format!(
                "natural frequency {:.1}, {:.1} times at resonance: {} rms of the vehicle's {} reaches it on {} (3 sigma {}; \
                 Miles {}){part}",
                oscillator.natural,
                oscillator.amplification(),
                g(response.level),
                g(leg.input),
                leg.label,
                g(response.design_peak()),
                g(response.miles)
            )
        }
        (Err(why), _) => {
            let range = leg.usual.map_or_else(String::new, |(least, most)| {
                format!(
                    "; with such a cushion {} to {} rms on {} ({} rms at the vehicle's floor)",
                    g(least),
                    g(most),
                    leg.label,
                    g(leg.input)
                )
            });
            format!(
                "natural frequency not known: {why}; {}{range}",
                usual_range_words()
            )
        }
        (Ok(_), None) => String::new(),
    }
}

fn settling(brief: &Brief, stress: Pressure) -> String {
    let rule = "vibration on top of weight settles foam faster than rest: check the squeeze of the lid after the first long \
                leg (common practice, no source)";
    match &brief.foams[brief.base_foam].creep_limit {
        Some((limit, source)) => format!(
            "{stress:.2} static is {:.0} % of the foam's creep limit {limit:.1} ({source}); {rule}",
            100.0 * (stress / *limit)
        ),
        None => format!("the foam's entry states no creep limit; {rule}"),
    }
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
    // What the worst simulated fall changes, or the bounds that rebound sets.
    let speed = impact_speed(brief.handling.drop_height.most());
    let simulated = item.falls.as_ref().and_then(|falls| falls.shock.as_ref());
    let range = simulated.map_or((speed, speed * 2.0), |shock| {
        (shock.velocity_change, shock.velocity_change)
    });
    let judgement = item.held_to.map(|peak| boundary.judge(range.1, peak));
    let fall = if simulated.is_some() {
        format!("its worst fall changes its speed by {:.1}", range.1)
    } else {
        format!(
            "the fall changes its speed by {:.1} to {:.1}, without and with full rebound",
            range.0, range.1
        )
    };
    let sentence = match (judgement, item.held_to) {
        (Some(DamageJudgement::TooShort), _) => {
            format!("{fall}: less than the {critical:.1} below which no shock harms it")
        }
        (Some(DamageJudgement::TooGentle), Some(peak)) => format!(
            "{fall}, past its critical {critical:.1}, so the peak decides: {peak:.0} is within the {:.0} it stands",
            boundary.acceleration
        ),
        (Some(DamageJudgement::Damage), Some(peak)) => format!(
            "{fall}, past its critical {critical:.1}, and {peak:.0} is past the {:.0} it stands: in the region of damage",
            boundary.acceleration
        ),
        _ => format!("{fall}; its foam bottoms or is missing, so no peak is known"),
    };
    Some(ShockVerdict {
        boundary,
        velocity_change: range,
        peak: item.held_to,
        judgement,
        sentence,
    })
}

fn resonance_findings(
    instance: &str,
    item: &ItemVerdict,
    known: Option<&Oscillator>,
    stated: &ItemVibration,
    legs: &[LegResponse],
) -> Vec<Finding> {
    let mut out = Vec::new();
    for leg in legs {
        for seen in &leg.resonances {
            let (Some(exposure), Some(limit)) = (seen.exposure, seen.resonance.limit) else {
                continue;
            };
            if exposure.design_peak() <= limit {
                continue;
            }
            out.push(
                Finding::new(
                    "resonance-past-limit",
                    Domain::Protection,
                    Severity::Failing,
                    format!("{instance} leg {} {:.0}", leg.leg + 1, seen.resonance.frequency),
                    format!(
                        "the resonance of {} at {:.0} sees {} at 3 sigma on {}, more than the {} it stands, for {:.1} s in all",
                        item.name,
                        seen.resonance.frequency,
                        g(exposure.design_peak()),
                        leg.label,
                        g(limit),
                        exposure.at_risk.map_or(0.0, Duration::si)
                    ),
                    Source::derived(format!(
                        "random response of cushion and part to {} ({})",
                        leg.spectrum.title, leg.spectrum.source
                    )),
                )
                .margin(Margin::at_most(exposure.design_peak().as_g(), limit.as_g(), "G"))
                .remedy("a cushion whose natural frequency lies well below the resonance, or more damping"),
            );
        }
    }
    if let Some(oscillator) = known {
        for resonance in &stated.resonances {
            let passes = oscillator.transmissibility(resonance.frequency);
            if passes > DRIVES && !legs.is_empty() {
                out.push(
                    Finding::new(
                        "resonance-on-cushion",
                        Domain::Protection,
                        Severity::Caution,
                        format!("{instance} {:.0}", resonance.frequency),
                        format!(
                            "the cushion of {} swings at {:.1} and passes {passes:.1} times what shakes its resonance at {:.0}",
                            item.name, oscillator.natural, resonance.frequency
                        ),
                        Source::derived("transmissibility of a simple oscillator"),
                    )
                    .margin(Margin::at_most(passes, DRIVES, ""))
                    .remedy("shift the cushion's natural frequency by another static stress or thickness"),
                );
            }
        }
    }
    out
}

/// One note for the whole case, and a caution where an item's resonance lies in the usual range of cushions.
fn missing_data(brief: &Brief, verdicts: &[VibrationVerdict]) -> Vec<Finding> {
    let mut out = Vec::new();
    if brief.vibration.legs.is_empty() || verdicts.is_empty() {
        return out;
    }
    let foam = &brief.foams[brief.base_foam];
    let unknown: Vec<String> = verdicts
        .iter()
        .filter(|verdict| verdict.oscillator.is_none())
        .map(|verdict| verdict.instance.to_string())
        .collect();
    if unknown.is_empty() {
        return out;
    }
    let who = if unknown.len() == verdicts.len() {
        "every item".to_owned()
    } else {
        unknown.join(", ")
    };
    out.push(
        Finding::new(
            "vibration-not-known",
            Domain::Protection,
            Severity::Note,
            &foam.name,
            format!("the natural frequency of {who} on {} is not known", foam.title),
            Source::derived("a law that starts at a finite stress has no tangent there"),
        )
        .remedy("get the foam's transmissibility or dynamic modulus under load, or a vibration test of the packed case"),
    );
    for verdict in verdicts.iter().filter(|verdict| verdict.oscillator.is_none()) {
        let Some(leg) = verdict.legs.first() else { continue };
        let (low, high) = USUAL_NATURAL_FREQUENCY;
        for seen in &leg.resonances {
            let at = seen.resonance.frequency;
            if at >= low && at <= high {
                out.push(
                    Finding::new(
                        "resonance-in-usual-range",
                        Domain::Protection,
                        Severity::Caution,
                        format!("{} {at:.0}", verdict.instance),
                        format!(
                            "{} has a resonance at {at:.0}, where cushions of closed-cell foam usually swing",
                            verdict.name
                        ),
                        Source::common_practice(),
                    )
                    .remedy("have the packed case shaken by a laboratory before it travels"),
                );
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Checks, VibrationBrief, testing};
    use caddis_basis::{Measured, Quiet};

    /// The judgement of one item that states a critical velocity change.
    fn judged(critical: f64, fragility: f64) -> (Option<DamageJudgement>, String) {
        let mut brief = testing::brief();
        brief.items[0].fragility = Fragility::Known(Measured::exact(Acceleration::g(fragility)));
        brief.vibration = VibrationBrief {
            items: vec![ItemVibration {
                critical_velocity_change: Some(Measured::exact(Speed::from_si(critical))),
                ..ItemVibration::default()
            }],
            ..VibrationBrief::default()
        };
        let interior = testing::shelf(&[(0.0, [100.0, 80.0, 60.0])]);
        let verification = crate::verify(&interior, &brief, &Checks::default(), &Quiet);
        let shock = verification.vibration[0].shock.clone();
        let Some(shock) = shock else {
            return (None, String::new());
        };
        let simulated = verification.items[0]
            .falls
            .as_ref()
            .and_then(|falls| falls.shock.as_ref())
            .map(|shock| shock.velocity_change);
        assert_eq!(Some(shock.velocity_change.1), simulated);
        (shock.judgement, shock.sentence)
    }

    #[test]
    fn a_fall_harms_only_past_both_limits() {
        assert_eq!(judged(100.0, 1.0).0, Some(DamageJudgement::TooShort));
        assert_eq!(judged(0.1, 1e4).0, Some(DamageJudgement::TooGentle));
        let (judgement, words) = judged(0.1, 1.0);
        assert_eq!(judgement, Some(DamageJudgement::Damage));
        assert!(words.contains("region of damage"), "{words}");
    }
}
