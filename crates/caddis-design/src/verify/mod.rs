//! Verification: every check, every verdict.
//!
//! `load_path` says who leans on whom, `item` judges each item in six flat falls with what `laws` say of themselves and how
//! far foam may `creep`. `fall` simulates every direction and the harsher kinds of `landing` on the foam that `packing` lays
//! out (`shock` what an item sees in its worst fall, `tried` what would mend it, `reverse` from what height it is held to
//! what), `spread` how far peaks scatter, `sequence` test drops one after the other, `vibration` each item on its cushion.
//! `case` judges the closed case as a whole, `parcel` hands it to the journey, `foam` judges the foam as a thing to make,
//! `suits` what equipment asks of it, `furnished` what the job asks of it beside cavities, `handled` the case in people's hands,
//! `swing` the lid along its hinge's arc. Everything is returned; nothing stops at the first failure.

mod case;
mod creep;
mod fall;
mod foam;
mod furnished;
mod handled;
mod item;
mod landing;
mod laws;
mod load_path;
#[cfg(test)]
mod onlooker_tests;
mod packing;
mod parcel;
mod reverse;
mod sequence;
mod shock;
mod spread;
mod suits;
mod swing;
#[cfg(test)]
mod swing_tests;
#[cfg(test)]
mod tests;
mod tried;
mod vibration;

use crate::{Brief, Interior, Packed, Verification, pack};
use caddis_basis::{Domain, Finding, Flow, Progress, Severity, Source, Verdict, said, sort_findings};
use caddis_protection::drop::FallMemory;
use std::convert::Infallible;

pub(crate) use fall::{AskedFoam, asked};
#[cfg(test)]
pub(crate) use furnished::verdicts as furnished;
use parcel::parcel;
pub(crate) use parcel::{centre_of_mass, gross_mass};
pub use spread::{ItemSpread, Spread, SpreadChecks};
pub use vibration::{LegResponse, ResonanceResponse, ShockVerdict, VibrationVerdict};

/// Which checks to run and how finely.
#[derive(Debug, Clone, PartialEq)]
pub struct Checks {
    /// Grid of the patches, metres.
    pub spacing: f64,
    /// The simulated falls; `None` leaves them out, and says so.
    pub falls: Option<FallChecks>,
    /// The spread of peaks; `None` leaves it out.
    pub spread: Option<SpreadChecks>,
}

/// Which falls to simulate.
#[derive(Debug, Clone, PartialEq)]
pub struct FallChecks {
    /// Rebound speed of the shell over its impact speed; `None` leaves the bouncing shell out.
    pub rebound: Option<f64>,
    /// Whether a long case may land one end first.
    pub end_first: bool,
    /// Patches are merged in cells of this size, metres.
    pub cell: f64,
    /// Threads to work on; the answer does not depend on it.
    pub threads: usize,
}

impl Default for FallChecks {
    fn default() -> Self {
        Self {
            rebound: Some(0.25),
            end_first: true,
            cell: 0.015,
            threads: std::thread::available_parallelism().map_or(1, usize::from),
        }
    }
}

impl Default for Checks {
    fn default() -> Self {
        Self {
            spacing: 0.004,
            falls: Some(FallChecks::default()),
            spread: Some(SpreadChecks::default()),
        }
    }
}

/// Who looks on while a verification runs.
pub struct Onlooker<'a> {
    /// Is told how far it is, and asked between its stages whether it may go on.
    pub progress: &'a dyn Progress,
    /// Is shown every item in six flat falls as soon as they are known: long before the verdict, and no verdict yet.
    pub flat: &'a (dyn Fn(&[crate::ItemVerdict]) + Sync),
    /// What was simulated before.
    pub memory: &'a FallMemory,
}

/// Verifies the interior against the brief.
///
/// `progress` is told, but the verification is never cut short: half a verification would look like a whole one.
pub fn verify(interior: &Interior, brief: &Brief, checks: &Checks, progress: &dyn Progress) -> Verification {
    let onlooker = Onlooker {
        progress,
        flat: &|_| (),
        memory: &FallMemory::default(),
    };
    let Ok(verification) = whole(interior, brief, checks, &onlooker, &|_| Ok::<(), Infallible>(()));
    verification
}

/// As [`verify`], before an onlooker who may stop it between its stages: then there is none.
pub fn verify_before(
    interior: &Interior,
    brief: &Brief,
    checks: &Checks,
    onlooker: &Onlooker<'_>,
) -> Option<Verification> {
    let may_go_on = |flow| match flow {
        Flow::Continue => Ok(()),
        Flow::Stop => Err(()),
    };
    whole(interior, brief, checks, onlooker, &may_go_on).ok()
}

fn whole<E>(
    interior: &Interior,
    brief: &Brief,
    checks: &Checks,
    onlooker: &Onlooker<'_>,
    may_go_on: &dyn Fn(Flow) -> Result<(), E>,
) -> Result<Verification, E> {
    let tell = |fraction| may_go_on(onlooker.progress.report("verify", fraction, None));
    tell(0.0)?;
    let packed = pack(interior, brief, checks.spacing);
    tell(0.5)?;
    let mut findings = brief.shell.check();
    findings.extend(brief.items.iter().flat_map(caddis_survey::Item::check));
    let mut items = item::verdicts(interior, brief, &packed, &mut findings);
    (onlooker.flat)(&items);
    findings.extend(suits::findings(interior, brief));
    findings.extend(suits::assumed(interior, brief));
    tell(0.6)?;
    let fall_assumptions = match &checks.falls {
        Some(asked) => fall::verdicts(
            interior,
            brief,
            (&packed, onlooker.memory),
            asked,
            &mut items,
            &mut findings,
        ),
        None => Vec::new(),
    };
    tell(0.8)?;
    let spread = checks
        .spread
        .as_ref()
        .and_then(|asked| spread::spread(interior, brief, (&packed, onlooker.memory), asked, &mut findings));
    tell(0.9)?;
    let vibration = vibration::verdicts(interior, brief, &items, &mut findings);
    let masses = parcel::masses(interior, brief);
    let parcel = parcel(interior, brief);
    let sequence = checks.falls.as_ref().and_then(|asked| {
        let given = (packed.as_slice(), &parcel);
        sequence::verdicts(interior, brief, given, asked, &mut items, &mut findings)
    });
    let mut case = case::verdicts(interior, brief, &masses, &mut findings);
    case.extend(foam::verdicts(interior, brief, &mut findings));
    case.extend(handled::verdicts(interior, brief, &packed, &mut findings));
    case.extend(furnished::verdicts(interior, brief, &mut findings));
    findings.extend(creep::not_known(brief));
    case.push(swing::verdict(interior, brief, &mut findings));
    swing::fillers(interior, brief, &mut findings);
    findings.extend(crate::wishes::unmet(interior, brief));
    let legs = match caddis_journey::check(&parcel, &brief.journey) {
        Ok(legs) => legs,
        Err(error) => {
            findings.push(
                Finding::new(
                    "journey-not-checked",
                    Domain::Journey,
                    Severity::Failing,
                    said!("journey"),
                    said!(
                        "the journey could not be checked: {error}",
                        error = error.to_string()
                    ),
                    Source::derived(said!("the journey's own limits")),
                )
                .remedy(said!("correct the field it names and verify again")),
            );
            Vec::new()
        }
    };
    findings.extend(legs.iter().filter_map(|leg| leg.finding.clone()));
    sort_findings(&mut findings);
    // Whole by now, whoever asks for a stop.
    let _: Flow = onlooker.progress.report("verify", 1.0, None);
    Ok(Verification {
        items,
        vibration,
        spread,
        case,
        legs,
        parcel,
        masses,
        drop_height: brief.handling.drop_height.most(),
        sequence,
        fall_assumptions,
        findings,
    })
}

/// Every item in six flat falls and nothing else: what arranging asks in each of its rounds.
pub(crate) fn flat_falls(interior: &Interior, brief: &Brief, packed: &[Packed]) -> Vec<crate::ItemVerdict> {
    item::verdicts(interior, brief, packed, &mut Vec::new())
}

/// A verdict from a failing or passing check on data that supports it.
fn verdict_of(is_kept: bool) -> Verdict {
    if is_kept { Verdict::Holds } else { Verdict::Fails }
}
