//! What the simulated falls assume.

use crate::verify::FallChecks;
use crate::verify::packing::{gravity, shell_mass};
use crate::verify::parcel::tray_board;
use crate::{Brief, Interior};
use caddis_basis::{Said, said};
use caddis_protection::drop::Gravity;

pub(super) fn assumptions(brief: &Brief, interior: &Interior, asked: &FallChecks, falls: usize) -> Vec<Said> {
    let mut out = vec![
        said!(
            "{falls} falls from {height:.0} were simulated: all items together as rigid bodies on the foam measured \
             behind them, coupled where foam lies between two of them; foam takes the normal component and no shear. Peaks are of the centre of mass in the first pulse, unfiltered.",
            falls,
            height = brief.handling.drop_height.most()
        ),
        said!("The map is for a shell that stops dead, in 642 directions about 8° apart."),
    ];
    if let Some((mass, _)) = tray_board(interior, brief) {
        out.push(said!(
            "The tray's board moves as a rigid body of {mass:.2} between its two foams; sideways the foam it is \
             glued to holds it. In flat \
             falls it stops foam as the shell does, and what leans on it presses all that lies beyond it.",
            mass
        ));
    }
    out.push(match &brief.handling.foam_friction {
        Some((friction, source)) => said!(
            "Foam that rubs on the items it presses, coefficient {friction} ({source}): tried on faces, edges, \
             corners and in the worst \
             direction of each item; everywhere else friction is left out.",
            friction,
            source = source.said()
        ),
        None => said!("Friction between foam and items is left out: nobody states its coefficient."),
    });
    out.extend(losses(brief));
    out.push(match rebound(brief, asked) {
        Some(rebound) => said!(
            "A shell that bounces leaves the floor with {rebound} of its impact speed ({source}) and weighs \
             {mass:.1} with its foam; tried on faces, edges, corners and in the worst direction of each item.",
            rebound,
            source = brief
                .handling
                .shell_rebound
                .as_ref()
                .map_or_else(|| said!("assumed, no source"), |(_, source)| source.said()),
            mass = shell_mass(interior, brief)
        ),
        None => said!("A shell that bounces was not tried."),
    });
    out.push(if asked.end_first {
        said!(
            "Landings one end first were tried on every side about whose edge the case is long: a uniform box that \
             turns about the edge that landed, its far end at 1.5 v0 L²/(L² + H²) (derived)."
        )
    } else {
        said!("Landings one end first were not tried.")
    });
    out.push(match gravity(brief) {
        Gravity::UntilContact => {
            said!("Gravity's work in the stroke is already in the laws' fits and is not counted twice.")
        }
        Gravity::Throughout | Gravity::Never => said!("Gravity works on in the stroke."),
    });
    out
}

/// Rebound speed of the shell over its impact speed: what the job states, else what is assumed.
pub(super) fn rebound(brief: &Brief, asked: &FallChecks) -> Option<f64> {
    let stated = brief.handling.shell_rebound.as_ref().map(|(rebound, _)| *rebound);
    asked.rebound.map(|assumed| stated.unwrap_or(assumed))
}

/// What the foams give back, foam by foam.
fn losses(brief: &Brief) -> Vec<Said> {
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
            out.push(said!(
                "{foam} gives back {share:.0} % of its stress in fast unloading, the change-over at {rate} 1/s \
                 ({source}).",
                foam = foam.title,
                share = 100.0 * hysteresis.eta,
                rate = hysteresis.rate,
                source = source.said()
            ));
        }
    }
    if !elastic.is_empty() {
        let foams = elastic.iter().map(|foam| Said::name(&brief.foams[*foam].title));
        let foams = Said::all(foams);
        out.push(said!(
            "Unloading is elastic in {foams}: nobody measured what it loses. Items then rebound farther than they \
             would, so velocity changes \
             are on the high side.",
            foams
        ));
    }
    out
}
