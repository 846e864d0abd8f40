//! What the vibration of an item says on papers.

use super::LegResponse;
use crate::{Brief, ItemVibration};
use caddis_basis::{Acceleration, Pressure, Said, said};
use caddis_protection::vibration::Oscillator;

/// An acceleration to two decimals: vibration levels are small.
pub(super) fn g(value: Acceleration) -> Said {
    said!("{acceleration:.2} G", acceleration = value.as_g())
}

pub(super) fn sentence(
    known: &Result<Oscillator, Said>,
    stated: &ItemVibration,
    legs: &[LegResponse],
) -> Said {
    if legs.is_empty() {
        return said!("no leg of the journey states a vibration spectrum");
    }
    let worst_leg = legs.iter().max_by(|a, b| {
        let level = |leg: &LegResponse| leg.response.map_or(leg.input.si(), |r| r.level.si());
        level(a).total_cmp(&level(b))
    });
    let Some(leg) = worst_leg else {
        return Said::default();
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
                        (Some(limit), Some(time)) => said!(
                            "its resonance at {frequency:.0} sees {peak} at 3 sigma against the {limit} it stands, \
                             {time:.1} s of {hours:.1} h past it",
                            frequency = resonance.frequency,
                            peak = g(exposure.design_peak()),
                            limit = g(limit),
                            time = time.si(),
                            hours = leg.duration.si() / 3600.0
                        ),
                        _ => said!(
                            "its resonance at {frequency:.0} sees {peak} at 3 sigma, and nobody states what it \
                             stands",
                            frequency = resonance.frequency,
                            peak = g(exposure.design_peak())
                        ),
                    })
                })
                .unwrap_or_else(|| said!("nobody states its own resonances"));
            said!(
                "natural frequency {natural:.1}, {amplification:.1} times at resonance: {level} rms of the vehicle's \
                 {input} reaches it on {leg} (3 sigma {peak}; \
                 Miles {miles}); {resonance}",
                natural = oscillator.natural,
                amplification = oscillator.amplification(),
                level = g(response.level),
                input = g(leg.input),
                leg = leg.label,
                peak = g(response.design_peak()),
                miles = g(response.miles),
                resonance = part
            )
        }
        (Err(why), _) => match leg.usual {
            Some((least, most)) => said!(
                "natural frequency not known: {why}; on a usual cushion {least} to {most} rms on {leg}, {input} at \
                 the vehicle's floor",
                why,
                least = g(least),
                most = g(most),
                leg = leg.label,
                input = g(leg.input)
            ),
            None => said!("natural frequency not known: {why}", why),
        },
        (Ok(_), None) => Said::default(),
    }
}

pub(super) fn settling(brief: &Brief, stress: Pressure) -> Said {
    let rule = said!(
        "vibration on top of weight settles foam faster than rest: check the squeeze of the lid after the first long \
         leg (common practice, no source)"
    );
    match brief.foams[brief.base_foam].creep_limits.first() {
        Some(limit) => said!(
            "{stress:.2} static is {share:.0} % of the foam's creep limit {limit:.1} ({source}); {rule}",
            stress,
            share = 100.0 * (stress / limit.stress),
            limit = limit.stress,
            source = limit.source.said(),
            rule
        ),
        None => said!("the foam's entry states no creep limit; {rule}", rule),
    }
}
