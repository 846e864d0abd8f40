//! The lid's swing: what it carries against what stays, along the hinge's arc; and what lies too low for the lid to hold.

use super::verdict_of;
use crate::{Block, BlockKind, Brief, CaseVerdict, Interior, Place};
use caddis_basis::{Domain, Finding, Length, Margin, Said, Severity, Source, Verdict, said};
use caddis_geometry::{Region, Side, Vec2, Vec3};
use caddis_survey::{Hinge, Wall};

/// Steps of the swing, degrees; contact is over by then or grows no more.
const STEP: f64 = 0.5;
/// The swing is followed to here where the survey does not say how far the lid opens, degrees.
const FAR: f64 = 90.0;
/// Points on an outline stand no farther apart than this, metres.
const SPACING: f64 = 8e-3;

/// Where foam is at some heights of the lid pad.
struct Foam {
    low: f64,
    high: f64,
    region: Region,
}

/// The worst meeting found.
struct Meeting {
    depth: f64,
    degrees: f64,
    what: Said,
    with: Met,
}

pub(super) fn verdict(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let source = || {
        Source::derived(said!(
            "outlines turned about the hinge's axis in steps of half a degree"
        ))
    };
    let answer = |verdict, margin, sentence: Said| CaseVerdict {
        code: "lid-swing",
        name: said!("Lid swings clear"),
        verdict,
        margin,
        sentence,
        source: source(),
    };
    let pad = interior
        .blocks
        .iter()
        .find(|block| block.kind == BlockKind::LidPad);
    let rim = brief.shell.rim_height().si();
    let underside = pad.map_or(rim, |pad| pad.low);
    let proud = interior
        .places
        .iter()
        .filter(|place| !place.in_lid && place.body.high().unwrap_or(0.0) > underside.min(rim) + 1e-6)
        .count();
    let below = (rim - underside).max(0.0);
    if proud == 0 && below < 1e-6 {
        return answer(
            Verdict::Holds,
            None,
            said!(
                "nothing stands above the lid pad's underside and the pad ends at the rim plane: wherever the hinge \
                 is, it swings clear"
            ),
        );
    }
    let reaches = said!(
        "{proud} pieces stand above the lid pad's underside, the pad reaches {below:.1} mm below the rim plane",
        proud,
        below = below * 1e3
    );
    let Some(hinge) = &brief.shell.hinge else {
        findings.push(
            Finding::new(
                "lid-swing-not-known",
                Domain::Survey,
                Severity::Note,
                said!("hinge"),
                said!("{reaches}, and the survey does not say where the hinge is", reaches),
                source(),
            )
            .remedy(said!(
                "measure the hinge's wall, its axis beyond the opening and above the rim plane, and add it to the \
                 survey"
            )),
        );
        return answer(
            Verdict::NotKnown,
            None,
            said!("{reaches}; the hinge is not surveyed", reaches),
        );
    };
    let limit = brief.clearances.stack_squeeze.1.si();
    let swing = Swing::of(hinge, brief);
    let mut worst: Option<Meeting> = None;
    for meeting in swing
        .pieces(interior, brief, pad)
        .into_iter()
        .chain(pad.and_then(|pad| swing.pad(pad, brief)))
    {
        let limit = meeting.limit(limit);
        if meeting.depth > limit + 1e-6 {
            findings.push(
                Finding::new(
                    "lid-swing-meets",
                    Domain::Arrangement,
                    Severity::Failing,
                    meeting.what.clone(),
                    said!(
                        "as the lid opens, {what} is {depth:.1} mm deep in {with} at {degrees:.0} deg",
                        what = meeting.what,
                        depth = meeting.depth * 1e3,
                        with = meeting.with.said(),
                        degrees = meeting.degrees
                    ),
                    source(),
                )
                .margin(Margin::at_most(meeting.depth * 1e3, limit * 1e3, "mm"))
                .remedy(said!(
                    "lower it, move it away from the hinge, or widen the recess in the lid pad towards the hinge"
                )),
            );
        }
        let over = |m: &Meeting| m.depth - m.limit(limit);
        if worst.as_ref().is_none_or(|worst| over(&meeting) > over(worst)) {
            worst = Some(meeting);
        }
    }
    let Some(worst) = worst else {
        return answer(
            Verdict::Holds,
            None,
            said!("{reaches}; nothing meets along the hinge's arc", reaches),
        );
    };
    let margin = Margin::at_most(worst.depth.max(0.0) * 1e3, worst.limit(limit) * 1e3, "mm");
    answer(
        verdict_of(margin.is_kept()),
        Some(margin),
        said!(
            "{reaches}; along the hinge's arc {what} goes {depth:.1} mm into {with} at most, at {degrees:.0} deg",
            reaches,
            what = worst.what,
            depth = worst.depth.max(0.0) * 1e3,
            with = worst.with.said(),
            degrees = worst.degrees
        ),
    )
}

impl Meeting {
    /// Foam gives by as much as a closed lid may squeeze it (common practice, no source); the lid does not.
    fn limit(&self, squeeze: f64) -> f64 {
        if self.with == Met::Lid { 0.0 } else { squeeze }
    }
}

/// What something meets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Met {
    Lid,
    LidPad,
    BaseWall,
}

impl Met {
    fn said(self) -> Said {
        match self {
            Self::Lid => said!("the lid"),
            Self::LidPad => said!("the lid pad"),
            Self::BaseWall => said!("the base's wall"),
        }
    }
}

/// The lid's axis.
struct Swing {
    /// Outward in plan.
    normal: Vec2,
    /// Of the axis, along the normal.
    reach: f64,
    /// Height of the axis.
    height: f64,
    /// How far the lid opens, degrees.
    opens: f64,
    rim: f64,
}

impl Swing {
    fn of(hinge: &Hinge, brief: &Brief) -> Self {
        let opening = &brief.shell.base.rim;
        let half = match hinge.wall {
            Wall::Left | Wall::Right => opening.length.value.si() / 2.0,
            Wall::Front | Wall::Back => opening.width.value.si() / 2.0,
        };
        let normal = hinge.wall.normal();
        Self {
            normal,
            reach: opening.centre.dot(normal) + half + hinge.beyond.value.si(),
            height: brief.shell.rim_height().si() + hinge.above_rim.value.si(),
            opens: hinge
                .opens_to
                .as_ref()
                .map_or(FAR, |angle| angle.value.as_degrees())
                .min(FAR),
            rim: brief.shell.rim_height().si(),
        }
    }

    fn angles(&self) -> impl Iterator<Item = f64> + use<> {
        let count = (self.opens / STEP).ceil().max(0.0) as u32;
        (0..=count).map(|k| f64::from(k) * STEP)
    }

    /// A point of the lid after it has opened by an angle; a negative angle takes a point that stays into the lid's frame.
    fn turned(&self, p: Vec3, degrees: f64) -> Vec3 {
        let (sin, cos) = degrees.to_radians().sin_cos();
        // Inward from the axis, and up.
        let (inward, up) = (self.reach - p.plan().dot(self.normal), p.z - self.height);
        let (new_inward, new_up) = (inward * cos - up * sin, inward * sin + up * cos);
        let plan = p.plan() + self.normal * (inward - new_inward);
        plan.at_height(self.height + new_up)
    }

    /// Pieces that stand above the pad's underside, against pad and lid.
    fn pieces(&self, interior: &Interior, brief: &Brief, pad: Option<&Block>) -> Vec<Meeting> {
        let foam: Vec<Foam> = pad.map(|pad| foam_of(interior, pad)).unwrap_or_default();
        let low = pad.map_or(self.rim, |pad| pad.low);
        let underside = low.min(self.rim);
        let mut meetings = Vec::new();
        // What lies in the lid turns with it.
        for place in interior.places.iter().filter(|place| !place.in_lid) {
            let mut points = Vec::new();
            for slab in place
                .body
                .slabs
                .iter()
                .filter(|slab| slab.high > underside + 1e-6)
            {
                let outline = outline(&slab.region);
                for z in [slab.low.max(underside), slab.high] {
                    points.extend(outline.iter().map(|p| p.at_height(z)));
                }
            }
            let grow = brief.items[place.item].size_tolerance.si();
            let mut deepest: [Option<Meeting>; 2] = [None, None];
            for degrees in self.angles() {
                for p in &points {
                    let q = self.turned(*p, -degrees);
                    if q.z <= underside {
                        continue;
                    }
                    let in_foam = foam
                        .iter()
                        .find(|foam| q.z >= foam.low && q.z < foam.high)
                        .map(|foam| (-foam.region.signed_distance(q.plan())).min(q.z - low));
                    let in_lid = (q.z > self.rim).then(|| {
                        let room = brief.shell.section(q.z);
                        if room.is_empty() {
                            0.0
                        } else {
                            room.signed_distance(q.plan()) + grow
                        }
                    });
                    for (slot, depth, with) in [(0, in_foam, Met::LidPad), (1, in_lid, Met::Lid)] {
                        if let Some(depth) = depth.filter(|depth| *depth > 0.0)
                            && deepest[slot].as_ref().is_none_or(|found| depth > found.depth)
                        {
                            deepest[slot] = Some(Meeting {
                                depth,
                                degrees,
                                what: Said::from(&place.instance),
                                with,
                            });
                        }
                    }
                }
            }
            meetings.extend(deepest.into_iter().flatten());
        }
        meetings
    }

    /// The pad where it reaches below the rim plane, against the base's walls: how much deeper than closed.
    fn pad(&self, pad: &Block, brief: &Brief) -> Option<Meeting> {
        let layer = pad.layers.first()?;
        if pad.low >= self.rim - 1e-6 {
            return None;
        }
        let points: Vec<Vec3> = outline(&layer.outline)
            .into_iter()
            .map(|p| p.at_height(pad.low))
            .collect();
        let closed = brief.shell.wall_section(pad.low);
        let squeezed: Vec<f64> = points
            .iter()
            .map(|p| closed.signed_distance(p.plan()).max(0.0))
            .collect();
        let mut deepest: Option<Meeting> = None;
        for degrees in self.angles() {
            for (p, squeezed) in points.iter().zip(&squeezed) {
                let q = self.turned(*p, degrees);
                if q.z >= self.rim || q.z < 0.0 {
                    continue;
                }
                let depth = brief.shell.wall_section(q.z).signed_distance(q.plan()) - squeezed;
                if depth > 1e-6 && deepest.as_ref().is_none_or(|found| depth > found.depth) {
                    deepest = Some(Meeting {
                        depth,
                        degrees,
                        what: said!("lid pad"),
                        with: Met::BaseWall,
                    });
                }
            }
        }
        deepest
    }
}

/// The lid pad's foam between the heights at which it changes.
fn foam_of(interior: &Interior, pad: &Block) -> Vec<Foam> {
    pad.layers
        .iter()
        .flat_map(|layer| {
            let heights = interior.heights_within(layer.low, layer.high);
            heights
                .windows(2)
                .map(|pair| Foam {
                    low: pair[0],
                    high: pair[1],
                    region: interior.foam_at(pad, layer, f64::midpoint(pair[0], pair[1])),
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

/// Points all round an outline.
fn outline(region: &Region) -> Vec<Vec2> {
    region
        .contours()
        .flat_map(|contour| {
            let ring = contour.flattened(2e-4, Side::Outer);
            let count = ring.len();
            (0..count)
                .flat_map(|k| {
                    let (a, b) = (ring[k], ring[(k + 1) % count]);
                    let pieces = (a.distance(b) / SPACING).ceil().max(1.0) as u32;
                    (0..pieces).map(move |i| a.lerp(b, f64::from(i) / f64::from(pieces)))
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

/// A face that must carry no load, under foam that the closed lid squeezes by more than is free over it.
fn pressed(brief: &Brief, place: &Place, gap: f64, squeeze: f64) -> Option<Finding> {
    let margin = Margin::at_least(gap * 1e3, squeeze * 1e3, "mm");
    if margin.is_kept() {
        return None;
    }
    let name = &brief.items[place.item].name;
    Some(
        Finding::new(
            "no-load-face-pressed",
            Domain::Arrangement,
            Severity::Caution,
            &place.instance,
            said!(
                "the top of {item} must carry no load, and the lid squeezes the foam over it by {squeeze:.1} mm \
                 where {gap:.1} mm are free",
                item = name,
                squeeze = squeeze * 1e3,
                gap = gap * 1e3
            ),
            Source::derived(said!("free height over the face against the squeeze of the whole stack, all of it taken there")),
        )
        .margin(margin)
        .remedy(said!("a relief in the foam over it, a thinner lid layer, or lay it with another face up")),
    )
}

/// Pieces that lie so low that nothing above holds them: a filler must close the gap.
pub(super) fn fillers(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) {
    let limit = brief.clearances.stack_squeeze.1.si();
    let free: f64 = interior.blocks.iter().map(|block| block.free_height).sum();
    let squeeze = (free - brief.crown().si()).max(0.0);
    for place in &interior.places {
        let Some(top) = place.body.high() else { continue };
        let Some(slab) = place.body.slabs.last() else {
            continue;
        };
        let Some(middle) = slab.region.bounds().map(|b| b.centre()) else {
            continue;
        };
        let is_covered = |z: f64| {
            interior.places.iter().any(|other| {
                other.instance != place.instance
                    && other
                        .body
                        .slabs
                        .iter()
                        .any(|s| z >= s.low && z < s.high && s.region.signed_distance(middle) <= 0.0)
            }) || interior.blocks.iter().any(|block| {
                block.layers.iter().any(|layer| {
                    z >= layer.low
                        && z < layer.high
                        && interior.foam_at(block, layer, z).signed_distance(middle) <= 0.0
                })
            })
        };
        // Only the changes of foam and bodies matter: just above each.
        let mut levels: Vec<f64> = interior
            .blocks
            .iter()
            .flat_map(|block| &block.layers)
            .flat_map(|layer| interior.heights_within(layer.low, layer.high))
            .chain(
                interior
                    .places
                    .iter()
                    .flat_map(|p| p.body.slabs.iter().map(|s| s.low)),
            )
            .filter(|z| *z >= top - 1e-9)
            .chain([top])
            .collect();
        levels.sort_by(f64::total_cmp);
        let Some(over) = levels.into_iter().find(|&z| is_covered(z + 1e-6)) else {
            continue;
        };
        let gap = over - top;
        // What must carry no load is meant to lie free.
        if brief.items[place.item].no_load.contains(&place.up) {
            findings.extend(pressed(brief, place, gap, squeeze));
            continue;
        }
        if gap > limit + 1e-6 {
            let with = if interior
                .blocks
                .iter()
                .any(|block| block.kind == BlockKind::LidPad && over >= block.low - 1e-6)
            {
                Met::LidPad.said()
            } else {
                said!("the foam above")
            };
            findings.push(
                Finding::new(
                    "needs-filler",
                    Domain::Arrangement,
                    Severity::Caution,
                    &place.instance,
                    said!(
                        "{with} ends {gap:.1} mm above {item}: nothing holds it down",
                        with,
                        gap = gap * 1e3,
                        item = place.instance
                    ),
                    Source::derived(said!("top of the piece against the first foam above its middle")),
                )
                .margin(Margin::at_most(gap * 1e3, limit * 1e3, "mm"))
                .remedy(said!(
                    "lay a filler of {gap} foam on it, of its outline, or raise it",
                    gap = Length::from_si(gap)
                )),
            );
        }
    }
}
