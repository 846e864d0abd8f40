//! What a process finds in a part: what it cannot cut, and what it leaves behind.

use super::finding;
use crate::split::Split;
use crate::{Blade, Process, ProcessKind, slit};
use caddis_basis::{Finding, Margin, Said, Severity, said};
use caddis_geometry::{Contour, Region};
use caddis_protection::Foam;

/// Two edges that turn by less than this between them run on, radians.
const CORNER: f64 = 0.1;

/// What a process cannot do with a layer, and what it leaves behind.
pub(super) fn process_limits(split: &Split, foam: &Foam, process: &Process) -> Vec<Finding> {
    let mut findings = Vec::new();
    let part = &split.part;
    if part.stock > process.greatest_thickness {
        findings.push(
            finding(
                "too-thick-to-cut",
                Severity::Failing,
                split,
                said!(
                    "the layer is {thickness:.1} mm thick; {process} cuts {most:.1} mm",
                    thickness = part.stock.as_mm(),
                    process = process.name,
                    most = process.greatest_thickness.as_mm()
                ),
                process.source.clone(),
            )
            .margin(Margin::at_most(
                part.stock.as_mm(),
                process.greatest_thickness.as_mm(),
                "mm",
            ))
            .remedy(said!("stack thinner layers")),
        );
    }
    if process.cuts_through() && !part.pockets.is_empty() {
        findings.push(
            finding(
                "pocket-in-through-cut",
                Severity::Failing,
                split,
                said!(
                    "the layer has {pockets} blind pocket depths; {process} only cuts through",
                    pockets = part.pockets.len(),
                    process = process.name
                ),
                process.source.clone(),
            )
            .margin(Margin::at_most(part.pockets.len() as f64, 0.0, ""))
            .remedy(said!("put layer joints at the cavity floors, or rout the layer")),
        );
    }
    findings.extend(unsuited(split, foam, process));
    findings.extend(wet(split, foam, process));
    findings.extend(entered_by_slits(split, process));
    if let Some(blade) = &process.blade {
        findings.extend(tight_curves(split, blade, process));
        findings.extend(overcuts_meet(split, blade, process));
    }
    findings
}

/// A foam the process must not cut: it gives off poison, burns or does not part.
fn unsuited(split: &Split, foam: &Foam, process: &Process) -> Option<Finding> {
    (!process.suits(&foam.material)).then(|| {
        finding(
            "foam-unsuited-to-process",
            Severity::Failing,
            split,
            said!(
                "{process} is for {suits}; this layer is of {foam}",
                process = process.name,
                suits = Said::row(process.suits.iter().map(Said::name), ", "),
                foam = foam.material
            ),
            process.source.clone(),
        )
        .remedy(said!(
            "cut it by router, water jet or knife; never heat a foam whose fumes you do not know"
        ))
    })
}

fn wet(split: &Split, foam: &Foam, process: &Process) -> Option<Finding> {
    (process.kind == ProcessKind::WaterJet && !foam.closed_cell).then(|| {
        finding(
            "wet-after-cutting",
            Severity::Caution,
            split,
            said!("the jet leaves water in open cells"),
            process.source.clone(),
        )
        .remedy(said!(
            "dry the layer before it is glued or packed, or cut it by knife"
        ))
    })
}

fn entered_by_slits(split: &Split, process: &Process) -> Option<Finding> {
    let slits = &split.part.slits;
    let longest = slits.iter().map(slit::length).fold(0.0, f64::max);
    (!slits.is_empty()).then(|| {
        finding(
            "entered-by-slits",
            Severity::Caution,
            split,
            said!(
                "the wire enters {cavities} cavities by slits, the longest {longest:.0} mm: the walls gape there until they are glued",
                cavities = slits.len(),
                longest = longest * 1e3
            ),
            process.source.clone(),
        )
        .remedy(said!("glue the slits, or cut the layer by another process"))
    })
}

/// Curves on which the back of the blade leaves the line.
fn tight_curves(split: &Split, blade: &Blade, process: &Process) -> Option<Finding> {
    let least = blade.least_radius().max(process.least_radius);
    let tightest = contours(split)
        .flat_map(radii)
        .filter(|radius| *radius < least.si() - 1e-9)
        .fold(f64::INFINITY, f64::min);
    (tightest < f64::INFINITY).then(|| {
        let half = blade.width.si() / 2.0;
        let error = if tightest > half {
            said!(
                "its back stands {off:.1} mm off the curve",
                off = (tightest - (tightest * tightest - half * half).sqrt()) * 1e3
            )
        } else {
            said!("it does not turn in it at all")
        };
        finding(
            "curve-tighter-than-blade",
            Severity::Caution,
            split,
            said!(
                "a curve of radius {radius:.1} mm is cut by a blade {width:.1} mm wide: {error}",
                radius = tightest * 1e3,
                width = blade.width.as_mm(),
                error
            ),
            process.source.clone(),
        )
        .margin(Margin::at_least(tightest * 1e3, least.as_mm(), "mm"))
        .remedy(said!("take a narrower blade, or cut the layer by water jet"))
    })
}

/// Corners whose overcuts reach each other through the foam between them.
fn overcuts_meet(split: &Split, blade: &Blade, process: &Process) -> Option<Finding> {
    let part = &split.part;
    let needed = 2.0 * blade.overcut(part.stock).si();
    let cornered: Vec<&Region> = part
        .through
        .iter()
        .filter(|hole| hole.contours().any(has_corners))
        .collect();
    let between = cornered
        .iter()
        .enumerate()
        .flat_map(|(i, hole)| cornered[i + 1..].iter().map(move |other| hole.distance(other)));
    let to_edge = cornered
        .iter()
        .map(|hole| hole.room_inside(&part.outline) + needed / 2.0);
    let least = between.chain(to_edge).fold(f64::INFINITY, f64::min);
    (least < needed).then(|| {
        finding(
            "overcuts-meet",
            Severity::Caution,
            split,
            said!(
                "the knife cuts {beyond:.1} mm beyond every corner; the foam between two cuts is {foam:.1} mm",
                beyond = needed / 2.0 * 1e3,
                foam = least.max(0.0) * 1e3
            ),
            process.source.clone(),
        )
        .margin(Margin::at_least(least * 1e3, needed * 1e3, "mm"))
        .remedy(said!("stop short of the corners and finish them by hand, or take thinner layers"))
    })
}

fn contours(split: &Split) -> impl Iterator<Item = &Contour> {
    let part = &split.part;
    part.outline
        .contours()
        .chain(part.through.iter().flat_map(Region::contours))
}

/// Radii of a contour's arcs, metres.
fn radii(contour: &Contour) -> impl Iterator<Item = f64> {
    let corners = &contour.vertices;
    (0..corners.len()).filter_map(move |i| {
        let (here, next) = (corners[i], corners[(i + 1) % corners.len()]);
        let bulge = here.bulge.abs();
        (bulge > 0.0).then(|| here.at.distance(next.at) * (1.0 + bulge * bulge) / (4.0 * bulge))
    })
}

fn has_corners(contour: &Contour) -> bool {
    let corners = &contour.vertices;
    let n = corners.len();
    (0..n).any(|i| {
        let (before, here, next) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
        let arriving = (here.at - before.at).rotated(2.0 * before.bulge.atan());
        let leaving = (next.at - here.at).rotated(-2.0 * here.bulge.atan());
        arriving.cross(leaving).atan2(arriving.dot(leaving)).abs() > CORNER
    })
}
