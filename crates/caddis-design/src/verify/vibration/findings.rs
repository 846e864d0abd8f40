//! What is weak under vibration, and what is not known.

use super::words::g;
use super::{LegResponse, VibrationVerdict};
use crate::{Brief, ItemVerdict, ItemVibration};
use caddis_basis::{Domain, Duration, Finding, InstanceId, Margin, Pressure, Said, Severity, Source, said};
use caddis_protection::vibration::{Oscillator, USUAL_NATURAL_FREQUENCY};

/// A cushion that passes more than this at an item's resonance drives it.
const DRIVES: f64 = 2.0;

pub(super) fn resonance_findings(
    instance: &InstanceId,
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
                    said!(
                        "{instance} leg {leg} {frequency:.0}",
                        instance,
                        leg = leg.leg + 1,
                        frequency = seen.resonance.frequency
                    ),
                    said!(
                        "the resonance of {item} at {frequency:.0} sees {peak} at 3 sigma on {leg}, more than the \
                         {limit} it stands, for {time:.1} s in all",
                        item = item.name,
                        frequency = seen.resonance.frequency,
                        peak = g(exposure.design_peak()),
                        leg = leg.label,
                        limit = g(limit),
                        time = exposure.at_risk.map_or(0.0, Duration::si)
                    ),
                    Source::derived(said!(
                        "random response of cushion and part to {spectrum} ({source})",
                        spectrum = leg.spectrum.title,
                        source = leg.spectrum.source.said()
                    )),
                )
                .margin(Margin::at_most(exposure.design_peak().as_g(), limit.as_g(), "G"))
                .remedy(said!("a cushion whose natural frequency lies well below the resonance, or more damping")),
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
                        said!("{instance} {frequency:.0}", instance, frequency = resonance.frequency),
                        said!(
                            "the cushion of {item} swings at {natural:.1} and passes {passes:.1} times what shakes \
                             its resonance at {frequency:.0}",
                            item = item.name,
                            natural = oscillator.natural,
                            passes,
                            frequency = resonance.frequency
                        ),
                        Source::derived(said!("transmissibility of a simple oscillator")),
                    )
                    .margin(Margin::at_most(passes, DRIVES, ""))
                    .remedy(said!("shift the cushion's natural frequency by another static stress or thickness")),
                );
            }
        }
    }
    out
}

/// One note for the whole case, and a caution where an item's resonance lies in the usual range of cushions.
pub(super) fn missing_data(brief: &Brief, verdicts: &[VibrationVerdict]) -> Vec<Finding> {
    let mut out = Vec::new();
    if brief.vibration.legs.is_empty() || verdicts.is_empty() {
        return out;
    }
    let foam = &brief.foams[brief.base_foam];
    let unknown: Vec<Said> = verdicts
        .iter()
        .filter(|verdict| verdict.oscillator.is_none())
        .map(|verdict| Said::from(&verdict.instance))
        .collect();
    if unknown.is_empty() {
        return out;
    }
    let who = if unknown.len() == verdicts.len() {
        said!("every item")
    } else {
        Said::row(unknown, ", ")
    };
    let why = match brief.vibration.foams.get(brief.base_foam) {
        Some(Some(_)) => said!("their working points lie outside what was measured"),
        _ => said!(
            "no dynamic modulus or transmissibility of it is in hand, and its law, which starts at {stress:.1}, has \
             no tangent there",
            stress = Pressure::from_si(foam.law.initial_stress())
        ),
    };
    out.push(
        Finding::new(
            "vibration-not-known",
            Domain::Protection,
            Severity::Note,
            Said::name(&foam.name),
            said!("the natural frequency of {who} on {foam} is not known: {why}", who, foam = foam.title, why),
            Source::derived(said!("a law that starts at a finite stress has no tangent there")),
        )
        .remedy(said!(
            "get the foam's transmissibility or dynamic modulus under load, or a vibration test of the packed case"
        )),
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
                        said!("{instance} {frequency:.0}", instance = verdict.instance, frequency = at),
                        said!(
                            "{item} has a resonance at {frequency:.0}, where cushions of closed-cell foam usually \
                             swing",
                            item = verdict.name,
                            frequency = at
                        ),
                        Source::common_practice(),
                    )
                    .remedy(said!("have the packed case shaken by a laboratory before it travels")),
                );
            }
        }
    }
    out
}
