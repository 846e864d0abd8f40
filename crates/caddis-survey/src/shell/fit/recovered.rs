//! What a scan gave, as halves of a survey with their ± and as findings.

use super::FoundHalf;
use super::ends::{Ends, upright, widened};
use super::motion::Motion;
use super::residual::HalfResidual;
use super::stands::{Form, Odd, Stand};
use super::walls::{End, Walls};
use crate::shell::check::survey;
use crate::shell::{
    HalfSide, Intrusion, IntrusionKind, OutlineShape, Position, Shell, ShellHalf, Step, SurveyRecord, Wall,
};
use caddis_basis::{
    Angle, Certainty, Finding, Length, Margin, Mass, Measured, Said, Severity, Source, said, sort_findings,
};
use caddis_geometry::Vec2;

/// Sizes found in a scan are never stated closer than this, metres: scanners and tessellation are off by as much
/// (common practice, no source).
pub(super) const LEAST_OFF: f64 = 3e-4;
/// The same of radii and fillets, which few points carry, metres.
pub(super) const RADIUS_OFF: f64 = 1e-3;
/// The same of what stands in.
const STAND_OFF: f64 = 5e-4;
/// Edges of a scan are blunt by about this, metres (common practice, no source).
pub(super) const EDGE: f64 = 1.5e-3;
/// What reaches no higher is low, metres.
const LOW: f64 = 20e-3;
/// More of the surface unexplained than this is worth a word.
const UNEXPLAINED: f64 = 0.005;
/// A half whose spread about its walls is more than this does not look like one, metres.
const ROUGH: f64 = 1e-3;

/// A fit.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanFit {
    /// The base.
    pub base: ShellHalf,
    /// The lid; `None` when the scan held a base alone.
    pub lid: Option<ShellHalf>,
    /// Residuals of the base, and of the lid.
    pub residuals: Vec<HalfResidual>,
    /// What is weak or could not be recovered.
    pub findings: Vec<Finding>,
    /// Of the base, and of the lid.
    pub(super) scanned: Vec<Scanned>,
}

/// What sections straight from the scan are cut by.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scanned {
    /// From the file's frame to the half's.
    pub(super) motion: Option<Motion>,
    /// Spread of the surface about its walls, metres.
    pub(super) spread: f64,
    /// How many of its last intrusions are outlines around what has no form.
    pub(super) odd: usize,
}

impl Scanned {
    fn of(found: &FoundHalf, origin: Vec2) -> Self {
        Self {
            motion: found.motion.map(|motion| motion.about(origin)),
            spread: found.fitted.spread,
            odd: found.odd.len(),
        }
    }
}

/// What no scan of the inside holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Supplied {
    /// Id.
    pub name: String,
    /// Outside length, width and height.
    pub outside: [Measured<Length>; 3],
    /// Wall thickness of both halves.
    pub wall: Measured<Length>,
    /// Mass without interior.
    pub empty_mass: Measured<Mass>,
    /// What was scanned, for the source.
    pub scan: String,
    /// Which sample, who, when.
    pub record: SurveyRecord,
}

impl ScanFit {
    pub(super) fn of(base: &FoundHalf, lid: Option<&FoundHalf>, is_whole: bool, is_lid_turned: bool) -> Self {
        let mut findings = Vec::new();
        let note = |code: &'static str, place: Said, sentence: Said, remedy: Said| {
            survey(
                code,
                Severity::Note,
                place,
                sentence,
                Source::derived(said!("fit of the surface")),
            )
            .remedy(remedy)
        };
        findings.push(note(
            "fit-way-round",
            said!("scan"),
            said!("a surface does not say which long side is the front: x follows the file"),
            said!("compare with the hinge's side; turn the scan by 180 deg if it is wrong"),
        ));
        if is_whole {
            findings.push(note(
                "fit-parting",
                said!("rim plane"),
                said!("the rim plane was put where the walls of base and lid meet"),
                said!("measure the base's depth and give it with --rim where a millimetre matters"),
            ));
        }
        if is_lid_turned {
            findings.push(note(
                "fit-lid-turned",
                said!("lid"),
                said!("the lid's scan lay with its crown down; it was turned about its length"),
                said!("compare where its bosses stand, left with left and hinge with hinge"),
            ));
        }
        // The middle of the base's opening is the origin; a whole scan keeps the lid in the same place.
        let origin = base.fitted.walls.last().at(base.depth).centre;
        let lid_origin = lid.map(|lid| {
            if is_whole {
                origin
            } else {
                lid.fitted.walls.last().at(lid.depth).centre
            }
        });
        let mut residuals = vec![base.residual.clone()];
        let mut scanned = vec![Scanned::of(base, origin)];
        let base = recovered(base, origin, &mut findings);
        let lid = lid.zip(lid_origin).map(|(lid, origin)| {
            residuals.push(lid.residual.clone());
            scanned.push(Scanned::of(lid, origin));
            recovered(lid, origin, &mut findings)
        });
        sort_findings(&mut findings);
        Self {
            base,
            lid,
            residuals,
            findings,
            scanned,
        }
    }

    /// The shell, with what no scan of the inside holds; `None` without a lid.
    pub fn shell(&self, supplied: &Supplied) -> Option<Shell> {
        let lid = self.lid.clone()?;
        let with_wall = |half: ShellHalf| ShellHalf {
            wall: supplied.wall.clone(),
            ..half
        };
        let worst = self
            .residuals
            .iter()
            .filter_map(|residual| residual.worst)
            .map(|worst| worst.off.abs())
            .fold(Length::ZERO, Length::max);
        Some(Shell {
            name: supplied.name.clone(),
            title: supplied.name.clone(),
            base: with_wall(self.base.clone()),
            lid: with_wall(lid),
            outside: supplied.outside.clone(),
            empty_mass: supplied.empty_mass.clone(),
            nominal_inside: None,
            total_depth: None,
            gasket: None,
            hinge: None,
            stacking_rating: None,
            fittings: Vec::new(),
            photos: Vec::new(),
            record: supplied.record.clone(),
            source: Source::new(
                format!("fit of {}, worst deviation {worst}", supplied.scan),
                Certainty::Measured,
            ),
        })
    }
}

/// A place to a hundredth of a millimetre.
pub(super) fn rounded(p: Vec2) -> Vec2 {
    // No minus before a nought.
    Vec2::new((p.x * 1e5).round() / 1e5 + 0.0, (p.y * 1e5).round() / 1e5 + 0.0)
}

/// A size to a hundredth of a millimetre, with how far it may be off.
pub(super) fn sized(value: f64, off: f64) -> Measured<Length> {
    Measured {
        value: Length::mm((value * 1e5).round() / 100.0),
        plus_minus: Some(Length::mm((off * 1e5 - 1e-6).ceil() / 100.0)),
        source: None,
    }
}

fn recovered(found: &FoundHalf, origin: Vec2, findings: &mut Vec<Finding>) -> ShellHalf {
    let FoundHalf {
        side,
        fitted,
        depth,
        depth_off,
        stands,
        odd,
        residual,
        motion: _,
    } = found;
    let name = &side.said();
    let walls = upright(&fitted.walls, name, findings);
    let ends = Ends {
        fitted,
        walls: &walls,
        origin,
        depth: *depth,
    };
    let mut floor_opening = ends.opening(0, walls.spring());
    let mut rim_opening = ends.opening(walls.segments.len() - 1, *depth);
    if *side == HalfSide::Base {
        rim_opening.centre = Vec2::ZERO;
    }
    let mut steps: Vec<Step> = (1..walls.segments.len()).map(|k| ends.step(k)).collect();
    let mut dome = ends.dome();
    widened(
        &rim_opening,
        &mut steps,
        &mut floor_opening,
        dome.as_mut(),
        name,
        findings,
    );
    let intrusions = stands
        .iter()
        .enumerate()
        .map(|(index, stand)| intrusion(index, stand, found, &walls, origin))
        .chain(
            odd.iter()
                .enumerate()
                .map(|(index, odd)| outline_around(stands.len() + index, odd, found, origin)),
        )
        .collect();
    say(found, residual, findings);
    ShellHalf {
        side: *side,
        rim: rim_opening,
        floor: floor_opening,
        depth: sized(*depth, *depth_off),
        fillet: match walls.end {
            End::Fillet(fillet) => sized(
                if fillet < 5e-4 { 0.0 } else { fillet },
                RADIUS_OFF.max(3.0 * ends.deviation(Walls::END)),
            ),
            End::Dome { .. } => Measured::exact(Length::ZERO),
        },
        wall: Measured::exact(Length::ZERO),
        steps,
        dome,
        stated_drafts: None,
        intrusions,
        traced: Vec::new(),
    }
}

fn intrusion(index: usize, stand: &Stand, found: &FoundHalf, walls: &Walls, origin: Vec2) -> Intrusion {
    // What is low is all edge.
    let blunt = if stand.to - stand.from < LOW { EDGE } else { 0.0 };
    let off = STAND_OFF
        .max(found.fitted.spread)
        .max(3.0 * stand.deviation)
        .max(blunt);
    let radius = |r: f64| sized(r.max(0.0), 2.0 * RADIUS_OFF.max(off));
    let place = |p: Vec2| Position {
        x: sized(p.x - origin.x, off),
        y: sized(p.y - origin.y, off),
    };
    let sides = walls.floor_sides();
    let foot = |wall: Wall| match wall {
        Wall::Left => sides[0],
        Wall::Right => sides[1],
        Wall::Front => sides[2],
        Wall::Back => sides[3],
    };
    let outline = match stand.form {
        Form::Circle { centre, radius } => OutlineShape::Circle {
            centre: place(centre),
            radius: sized(radius, off),
        },
        Form::Rectangle(r) => OutlineShape::Rectangle {
            centre: place(r.centre),
            length: sized(2.0 * r.half.x, off + STAND_OFF),
            width: sized(2.0 * r.half.y, off + STAND_OFF),
            corner_radius: radius(r.radius),
        },
        Form::OnWall {
            wall,
            along,
            width,
            face,
            radius: r,
        } => OutlineShape::OnWall {
            wall,
            along: sized(
                along
                    - if wall.normal().x == 0.0 {
                        origin.x
                    } else {
                        origin.y
                    },
                off,
            ),
            width: sized(width, off + STAND_OFF),
            stands_in: sized((face - foot(wall)).abs(), off + LEAST_OFF),
            corner_radius: radius(r),
        },
        Form::InCorner {
            corner,
            face,
            radius: r,
        } => {
            let (across_x, across_y) = corner.walls();
            OutlineShape::InCorner {
                corner,
                length: sized((face.x - foot(across_x)).abs(), off + LEAST_OFF),
                width: sized((face.y - foot(across_y)).abs(), off + LEAST_OFF),
                corner_radius: radius(r),
            }
        }
    };
    let (low, high) = stand.bounds(walls);
    let size = high - low;
    let kind = match stand.form {
        Form::Circle { radius, .. } if radius < 0.02 => IntrusionKind::Boss,
        _ if size.x.max(size.y) > 4.0 * size.x.min(size.y) && stand.to < 0.03 => IntrusionKind::Rib,
        _ => IntrusionKind::Other,
    };
    let to = if stand.is_to_rim {
        found.depth
    } else {
        stand.to.min(found.depth)
    };
    Intrusion {
        name: format!("intrusion {} ({})", index + 1, kind.words()),
        kind,
        outline,
        from: if stand.from > 0.0 {
            sized(stand.from, off)
        } else {
            Measured::exact(Length::ZERO)
        },
        to: sized(to, if stand.is_to_rim { found.depth_off } else { off }),
        draft: Measured {
            value: Angle::degrees((stand.taper.atan().to_degrees() * 100.0).round() / 100.0),
            // The sides of what is low say little about their draft.
            plus_minus: Some(Angle::degrees(
                (EDGE / (to - stand.from).max(EDGE))
                    .atan()
                    .to_degrees()
                    .max(1.0)
                    .ceil(),
            )),
            source: None,
        },
        fillet: if stand.fillet > 0.0 && stand.from <= 0.0 {
            sized(stand.fillet, 2.0 * RADIUS_OFF)
        } else {
            Measured::exact(Length::ZERO)
        },
        removable: false,
        removed: false,
    }
}

/// A convex outline around what has no form, upright: never less room taken than it takes.
fn outline_around(index: usize, odd: &Odd, found: &FoundHalf, origin: Vec2) -> Intrusion {
    let off = STAND_OFF.max(found.fitted.spread);
    let to = odd.to.min(found.depth);
    Intrusion {
        name: format!("intrusion {} (odd outline)", index + 1),
        kind: IntrusionKind::Other,
        outline: OutlineShape::Polygon {
            points: odd
                .corners
                .iter()
                .map(|p| Position {
                    x: sized(p.x - origin.x, off),
                    y: sized(p.y - origin.y, off),
                })
                .collect(),
            corner_radius: Measured::exact(Length::ZERO),
        },
        from: if odd.from > 0.0 {
            sized(odd.from, off.max(EDGE))
        } else {
            Measured::exact(Length::ZERO)
        },
        to: sized(to, off.max(EDGE)),
        draft: Measured::exact(Angle::ZERO),
        fillet: Measured::exact(Length::ZERO),
        removable: false,
        removed: false,
    }
}

/// What could not be recovered.
fn say(found: &FoundHalf, residual: &HalfResidual, findings: &mut Vec<Finding>) {
    let name = found.side.said();
    let of_the_scan = said!("{half} of the scan", half = name);
    let source = || Source::derived(said!("distance of the surface from what was recovered"));
    let mm = |metres: f64| (metres * 1e3).round();
    if residual.unexplained > UNEXPLAINED
        && let Some([low, high]) = residual.unexplained_box
    {
        findings.push(
            survey(
                "fit-unexplained",
                Severity::Caution,
                &of_the_scan,
                said!(
                    "{share:.1} % of the surface lies off what was recovered by more than {off}: between x {left} and {right}, \
                     y {front} and {back}, {low} and {high} mm from the {end}",
                    share = residual.unexplained * 100.0,
                    off = residual.beyond,
                    left = mm(low.x),
                    right = mm(high.x),
                    front = mm(low.y),
                    back = mm(high.y),
                    low = mm(low.z),
                    high = mm(high.z),
                    end = found.side.end_said(),
                ),
                source(),
            )
            .margin(Margin::at_most(residual.unexplained * 100.0, UNEXPLAINED * 100.0, "%"))
            .remedy(said!(
                "undercuts and odd outlines get no form: look at the residual map, keep sections cut straight from the scan \
                 (`--sections`), or measure them by hand"
            )),
        );
    }
    if let Some(worst) = residual.worst.filter(|worst| worst.off.abs() > residual.beyond) {
        let side = if worst.off.si() > 0.0 {
            said!("inside")
        } else {
            said!("outside")
        };
        findings.push(
            survey(
                "fit-worst",
                Severity::Note,
                &of_the_scan,
                said!(
                    "the surface is {off} {side} what was recovered at x {x} mm, y {y} mm, {height} mm high",
                    off = worst.off.abs(),
                    side,
                    x = mm(worst.place.x),
                    y = mm(worst.place.y),
                    height = mm(worst.place.z)
                ),
                source(),
            )
            .margin(Margin::at_most(
                worst.off.abs().as_mm(),
                residual.beyond.as_mm(),
                "mm",
            )),
        );
    }
    if found.fitted.spread > ROUGH {
        findings.push(
            survey(
                "fit-rough",
                Severity::Caution,
                of_the_scan,
                said!(
                    "the surface spreads by {spread} about its own floor and walls; its sizes are no closer than that",
                    spread = Length::from_si(found.fitted.spread)
                ),
                source(),
            )
            .margin(Margin::at_most(found.fitted.spread * 1e3, ROUGH * 1e3, "mm"))
            .remedy(said!(
                "scan again with markers or matting spray, or measure by hand"
            )),
        );
    }
    for (index, odd) in found.odd.iter().enumerate() {
        let (low, high) = odd
            .corners
            .iter()
            .fold((odd.corners[0], odd.corners[0]), |(low, high), p| {
                (low.min(*p), high.max(*p))
            });
        findings.push(
            survey(
                "fit-odd-outline",
                Severity::Caution,
                said!(
                    "{half} intrusion {number}",
                    half = name,
                    number = found.stands.len() + index + 1
                ),
                said!(
                    "between x {left} and {right}, y {front} and {back}, {low} to {high} mm high, stands what has no simple \
                     form: a convex outline around it takes its place, which may take more room than it does",
                    left = mm(low.x),
                    right = mm(high.x),
                    front = mm(low.y),
                    back = mm(high.y),
                    low = mm(odd.from),
                    high = mm(odd.to)
                ),
                source(),
            )
            .remedy(said!(
                "keep sections cut straight from the scan (`--sections`), or measure it by hand as a polygon"
            )),
        );
    }
}
