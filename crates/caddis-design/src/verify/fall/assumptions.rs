//! What the simulated falls assume.

use crate::verify::FallChecks;
use crate::verify::packing::{gravity, shell_mass};
use crate::verify::parcel::tray_board;
use crate::{Brief, Interior};
use caddis_protection::drop::Gravity;

pub(super) fn assumptions(
    brief: &Brief,
    interior: &Interior,
    asked: &FallChecks,
    falls: usize,
) -> Vec<String> {
    let mut out = vec![
        format!(
            "{falls} falls from {:.0} were simulated: all items together as rigid bodies on the foam measured behind them, \
             coupled where foam lies between two of them; foam takes the normal component and no shear. Peaks are of the centre of mass in the first pulse, unfiltered.",
            brief.handling.drop_height.most()
        ),
        "The map is for a shell that stops dead, in 642 directions about 8° apart.".to_owned(),
    ];
    if let Some((mass, _)) = tray_board(interior, brief) {
        out.push(format!(
            "The tray's board moves as a rigid body of {mass:.2} between its two foams; sideways the foam it is glued to holds it. In flat \
             falls it stops foam as the shell does, and what leans on it presses all that lies beyond it."
        ));
    }
    out.push(match &brief.handling.foam_friction {
        Some((friction, source)) => format!(
            "Foam that rubs on the items it presses, coefficient {friction} ({source}): tried on faces, edges, corners and in the worst \
             direction of each item; everywhere else friction is left out."
        ),
        None => "Friction between foam and items is left out: nobody states its coefficient.".to_owned(),
    });
    out.extend(losses(brief));
    out.push(match rebound(brief, asked) {
        Some(rebound) => format!(
            "A shell that bounces leaves the floor with {rebound} of its impact speed ({}) and weighs {:.1} \
             with its foam; tried on faces, edges, corners and in the worst direction of each item.",
            brief.handling.shell_rebound.as_ref().map_or_else(
                || "assumed, no source".to_owned(),
                |(_, source)| source.to_string()
            ),
            shell_mass(interior, brief)
        ),
        None => "A shell that bounces was not tried.".to_owned(),
    });
    out.push(if asked.end_first {
        "Landings one end first were tried on every side about whose edge the case is long: a uniform box that turns about \
         the edge that landed, its far end at 1.5 v0 L²/(L² + H²) (derived)."
            .to_owned()
    } else {
        "Landings one end first were not tried.".to_owned()
    });
    out.push(match gravity(brief) {
        Gravity::UntilContact => {
            "Gravity's work in the stroke is already in the laws' fits and is not counted twice.".to_owned()
        }
        Gravity::Throughout | Gravity::Never => "Gravity works on in the stroke.".to_owned(),
    });
    out
}

/// Rebound speed of the shell over its impact speed: what the job states, else what is assumed.
pub(super) fn rebound(brief: &Brief, asked: &FallChecks) -> Option<f64> {
    let stated = brief.handling.shell_rebound.as_ref().map(|(rebound, _)| *rebound);
    asked.rebound.map(|assumed| stated.unwrap_or(assumed))
}

/// What the foams give back, foam by foam.
fn losses(brief: &Brief) -> Vec<String> {
    let mut foams = vec![brief.base_foam];
    if brief.lid_foam != brief.base_foam {
        foams.push(brief.lid_foam);
    }
    let (measured, elastic): (Vec<usize>, Vec<usize>) = foams
        .into_iter()
        .partition(|foam| brief.foams[*foam].hysteresis.is_some());
    let mut out = Vec::new();
    for foam in measured {
        let foam = &brief.foams[foam];
        if let Some((hysteresis, source)) = &foam.hysteresis {
            out.push(format!(
                "{} gives back {:.0} % of its stress in fast unloading, the change-over at {} 1/s ({source}).",
                foam.title,
                100.0 * hysteresis.eta,
                hysteresis.rate
            ));
        }
    }
    if !elastic.is_empty() {
        let names: Vec<&str> = elastic
            .iter()
            .map(|foam| brief.foams[*foam].title.as_str())
            .collect();
        out.push(format!(
            "Unloading is elastic in {}: nobody measured what it loses. Items then rebound farther than they would, so velocity changes \
             are on the high side.",
            names.join(" and ")
        ));
    }
    out
}
