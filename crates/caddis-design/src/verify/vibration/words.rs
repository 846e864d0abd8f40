//! What the vibration of an item says on papers.

use super::LegResponse;
use crate::{Brief, ItemVibration};
use caddis_basis::{Acceleration, Pressure};
use caddis_protection::vibration::Oscillator;

/// An acceleration to two decimals: vibration levels are small.
pub(super) fn g(value: Acceleration) -> String {
    format!("{:.2} G", value.as_g())
}

pub(super) fn sentence(
    known: &Result<Oscillator, String>,
    stated: &ItemVibration,
    legs: &[LegResponse],
) -> String {
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
                    "; on a usual cushion {} to {} rms on {}, {} at the vehicle's floor",
                    g(least),
                    g(most),
                    leg.label,
                    g(leg.input)
                )
            });
            format!("natural frequency not known: {why}{range}")
        }
        (Ok(_), None) => String::new(),
    }
}

pub(super) fn settling(brief: &Brief, stress: Pressure) -> String {
    let rule = "vibration on top of weight settles foam faster than rest: check the squeeze of the lid after the first long \
                leg (common practice, no source)";
    match brief.foams[brief.base_foam].creep_limits.first() {
        Some(limit) => format!(
            "{stress:.2} static is {:.0} % of the foam's creep limit {:.1} ({}); {rule}",
            100.0 * (stress / limit.stress),
            limit.stress,
            limit.source
        ),
        None => format!("the foam's entry states no creep limit; {rule}"),
    }
}
