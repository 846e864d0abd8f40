//! The packed case in people's hands: stood on a side, its trays lifted, its lid pressed shut, left in the heat.

mod lid;
mod tilt;
mod tray;

use crate::{BlockKind, Brief, CaseVerdict, Interior, Packed};
use caddis_basis::{Finding, Margin, Verdict};

pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    packed: &[Packed],
    findings: &mut Vec<Finding>,
) -> Vec<CaseVerdict> {
    let mut out = vec![tilt::tilt(interior, brief, findings)];
    tilt::seats(interior, brief, packed, findings);
    for block in &interior.blocks {
        if matches!(block.kind, BlockKind::Tray(_)) {
            out.push(tray::tray(interior, brief, block, findings));
        }
    }
    out.push(lid::lid_force(interior, brief, findings));
    out
}

/// Strain at which closed-cell foam has left its first straight rise.
pub(super) const RISE: f64 = 0.05;

/// The verdict of a check that rests on a model: never better than indicative.
pub(super) fn modelled(margin: &Margin) -> Verdict {
    if margin.is_kept() {
        Verdict::Indicative
    } else {
        Verdict::Fails
    }
}
