//! Where openings beside cavities and notches find room: push-out holes, lift holes, cable channels, the label's recess.
//!
//! Limits: straight and once-bent channels; a label lies square to the case. What finds no room is left out, and verification says
//! so. Openings are placed after the layout and never move a piece.

use crate::notch::is_taken_by_its_top;
use crate::through::joint_below;
use crate::{
    Block, BlockKind, Brief, Cavity, ChannelWish, KeptSpace, LabelWish, Notch, Opening, OpeningKind, Place,
    TrayLift,
};
use caddis_basis::{CavityId, InstanceId, Length};
use caddis_geometry::{Bounds2, Prism, Region, Side, Vec2};

/// Places are tried this far apart, metres.
const STEP: f64 = 0.005;
/// How far from the middle of its end a lift hole may lie, in shares of the tray's width.
const OFF_CENTRE: f64 = 0.3;
/// How far in from its end, in shares of the tray's length.
const INWARD: f64 = 0.25;
/// Foam left round a push-out hole in the floor that bears the piece, metres.
const FLOOR_RIM: f64 = 0.005;

/// The interior without openings, as they find it.
pub(crate) struct Foam<'a> {
    pub(crate) brief: &'a Brief,
    pub(crate) blocks: &'a [Block],
    pub(crate) places: &'a [Place],
    pub(crate) cavities: &'a [Cavity],
    pub(crate) notches: &'a [Notch],
    pub(crate) spaces: &'a [KeptSpace],
}

/// Every opening that is asked for and has room.
pub(crate) fn openings(foam: &Foam<'_>) -> Vec<Opening> {
    let wished = &foam.brief.furnishing;
    let mut found = Vec::new();
    if wished.push_out_holes {
        for index in 0..foam.places.len() {
            found.extend(push_out(foam, index));
        }
    }
    if wished.tray_lift == TrayLift::Holes {
        for block in foam.blocks {
            found.extend(lift_holes(foam, block, &found));
        }
    }
    for wish in &wished.channels {
        found.extend(channel(foam, wish, &found));
    }
    if let Some(wish) = &wished.label {
        found.extend(label(foam, wish, &found));
    }
    found
}

impl Foam<'_> {
    /// Foam between two heights that keeps the least web to whatever is cut there, the cavities and notches of some pieces not
    /// counted.
    fn free(&self, (low, high): (f64, f64), except: &[usize], taken: &[Opening]) -> Region {
        let web = self.brief.clearances.least_notch_web.si();
        let meets = |prism: &Prism| prism.low < high - 1e-9 && low + 1e-9 < prism.high;
        let is_excepted = |id: &CavityId| except.iter().any(|index| self.cavities[*index].id == *id);
        let cavities = self
            .cavities
            .iter()
            .filter(|cavity| !is_excepted(&cavity.id))
            .flat_map(|cavity| cavity.steps.iter().chain(&cavity.over));
        let notches = self
            .notches
            .iter()
            .filter(|notch| !is_excepted(&notch.cavity))
            .map(|notch| &notch.prism);
        let voids: Vec<&Region> = cavities
            .chain(notches)
            .chain(self.spaces.iter().map(|space| &space.prism))
            .chain(taken.iter().map(|opening| &opening.prism))
            .filter(|prism| meets(prism))
            .map(|prism| &prism.region)
            .collect();
        let voids = Region::union_all(voids).offset(web, Side::Outer);
        let layers = self.blocks.iter().flat_map(|block| &block.layers);
        let outline = layers
            .filter(|layer| layer.low < high - 1e-9 && low + 1e-9 < layer.high)
            .map(|layer| layer.outline.clone())
            .reduce(|a, b| a.intersection(&b))
            .unwrap_or_else(Region::empty);
        outline.offset(-web, Side::Inner).difference(&voids)
    }

    /// A height, or the joint below it where layers are cut through or not at all.
    fn floor(&self, height: f64) -> f64 {
        if self.brief.clearances.through_cuts {
            joint_below(self.blocks, height)
        } else {
            height
        }
    }

    /// The block a piece hangs in.
    fn block_of(&self, index: usize) -> Option<&Block> {
        crate::interior::block_of(self.blocks, &self.places[index])
    }
}

/// A hole under a piece of a tray that no fingers take.
fn push_out(foam: &Foam<'_>, index: usize) -> Option<Opening> {
    let (place, cavity) = (&foam.places[index], &foam.cavities[index]);
    let item = &foam.brief.items[place.item];
    let block = foam.block_of(index)?;
    let has_notch = foam.notches.iter().any(|notch| notch.cavity == cavity.id);
    if !matches!(block.kind, BlockKind::Tray(_))
        || has_notch
        || crate::cushion::is_soft(item)
        || is_taken_by_its_top(item, place)
    {
        return None;
    }
    let floor = cavity.steps.first()?;
    let radius = foam.brief.clearances.push_out_diameter.si() / 2.0;
    let middle = floor.region.bounds()?.centre();
    // Under its centre of mass it does not tilt as it is pushed; where that is not over the floor, under the floor's middle.
    let hole = [place.centre_of_mass.plan(), middle]
        .into_iter()
        .map(|at| Region::circle(at, radius))
        .find(|hole| hole.room_inside(&floor.region) >= FLOOR_RIM)?;
    (radius > 0.0 && floor.low > block.low + 1e-6).then(|| Opening {
        kind: OpeningKind::PushOut,
        place: place.instance.to_string(),
        prism: Prism {
            region: hole,
            low: block.low,
            high: floor.low,
        },
    })
}

/// A hole at each of two ends of a tray, in one line with what it weighs.
fn lift_holes(foam: &Foam<'_>, block: &Block, taken: &[Opening]) -> Vec<Opening> {
    let BlockKind::Tray(number) = block.kind else {
        return Vec::new();
    };
    let free = foam.free((block.low, block.high), &[], taken);
    let outlines = block.layers.iter().filter_map(|layer| layer.outline.bounds());
    let Some(bounds) = outlines.reduce(|a, b| a.joined(&b)) else {
        return Vec::new();
    };
    let along_x = bounds.size().x >= bounds.size().y;
    let heavy = heavy_line(foam, block).unwrap_or_else(|| bounds.centre());
    let pair = [along_x, !along_x]
        .into_iter()
        .find_map(|along_x| two_ends(&free, &bounds, heavy, along_x, foam.brief.clearances.lift_hole));
    pair.into_iter()
        .flatten()
        .map(|region| Opening {
            kind: OpeningKind::Lift,
            place: format!("tray {number}"),
            prism: Prism {
                region,
                low: block.low,
                high: block.high,
            },
        })
        .collect()
}

/// Where what lies in a block has its centre of mass.
fn heavy_line(foam: &Foam<'_>, block: &Block) -> Option<Vec2> {
    let (mut mass, mut moment) = (0.0, Vec2::ZERO);
    for (index, place) in foam.places.iter().enumerate() {
        if foam.block_of(index) == Some(block) {
            let own = foam.brief.items[place.item].mass.value.si();
            mass += own;
            moment += place.centre_of_mass.plan() * own;
        }
    }
    (mass > 0.0).then(|| moment * (1.0 / mass))
}

/// Two slots across the ends of a block, as near the ends and as near the line of its mass as room is.
fn two_ends(
    free: &Region,
    bounds: &Bounds2,
    heavy: Vec2,
    along_x: bool,
    (length, width): (Length, Length),
) -> Option<[Region; 2]> {
    let swap = |p: Vec2| if along_x { p } else { Vec2::new(p.y, p.x) };
    let (min, max, heavy) = (swap(bounds.min), swap(bounds.max), swap(heavy));
    let radius = width.si() / 2.0;
    let half = (length.si() / 2.0 - radius).max(0.0);
    let size = max - min;
    let slot =
        |x: f64, y: f64| Region::slot(swap(Vec2::new(x, y - half)), swap(Vec2::new(x, y + half)), radius);
    let at_end = |y: f64, from: f64, inward: f64| {
        steps(size.x * INWARD)
            .map(|in_by| from + inward * (in_by + radius))
            // Most places are told by one of their points.
            .filter(|x| {
                let ends = [
                    (0.0, 0.0),
                    (radius, half),
                    (-radius, half),
                    (radius, -half),
                    (-radius, -half),
                ];
                ends.iter().all(|(across, along)| {
                    free.contains(swap(Vec2::new(x + across * 0.95, y + along * 0.95)))
                })
            })
            .map(|x| slot(x, y))
            .find(|slot| slot.room_inside(free) >= 0.0)
    };
    let middle = heavy.y.clamp(min.y, max.y);
    steps(size.y * OFF_CENTRE)
        .flat_map(|off| if off == 0.0 { vec![0.0] } else { vec![off, -off] })
        .find_map(|off| {
            let y = middle + off;
            let one = at_end(y, min.x, 1.0)?;
            Some([one, at_end(y, max.x, -1.0)?])
        })
}

/// 0, one step, two steps up to a reach.
fn steps(reach: f64) -> impl Iterator<Item = f64> {
    let count = if reach >= 0.0 && reach.is_finite() {
        (reach / STEP) as usize + 1
    } else {
        0
    };
    (0..count).map(|step| step as f64 * STEP)
}

/// A groove from one cavity to another along the tier's top.
fn channel(foam: &Foam<'_>, wish: &ChannelWish, taken: &[Opening]) -> Option<Opening> {
    let find = |piece: &InstanceId| foam.places.iter().position(|place| place.instance == *piece);
    let (one, other) = (find(&wish.between.0)?, find(&wish.between.1)?);
    if foam.places[one].tier != foam.places[other].tier || foam.places[one].in_lid {
        return None;
    }
    let high = foam.cavities[one].steps.last()?.high;
    let low = foam.floor(high - wish.depth.si());
    let radius = wish.width.si() / 2.0;
    let free = foam.free((low, high), &[one, other], taken);
    let open = |index: usize| {
        let steps = foam.cavities[index]
            .steps
            .iter()
            .filter(|step| step.high > low + 1e-9);
        steps.map(|step| step.region.clone()).next_back()
    };
    let (from, to) = (open(one)?, open(other)?);
    let both = from.union(&to);
    routes(&from.bounds()?, &to.bounds()?, radius)
        .into_iter()
        .filter_map(|line| {
            let legs: Vec<Region> = line
                .windows(2)
                .map(|leg| Region::slot(leg[0], leg[1], radius))
                .collect();
            let whole = Region::union_all(&legs);
            // What lies in the two cavities is open already.
            let cut = whole.difference(&both);
            let is_joined = !whole.intersection(&from).is_empty() && !whole.intersection(&to).is_empty();
            (is_joined && !cut.is_empty() && cut.room_inside(&free) >= 0.0).then(|| (cut.area(), whole))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, region)| Opening {
            kind: OpeningKind::Channel,
            place: format!("{} to {}", wish.between.0, wish.between.1),
            prism: Prism { region, low, high },
        })
}

/// Lines that a channel may follow: straight across where the two lie beside each other, straight from middle to middle, once bent.
fn routes(from: &Bounds2, to: &Bounds2, radius: f64) -> Vec<Vec<Vec2>> {
    let (a, b) = (from.centre(), to.centre());
    let mut lines = vec![
        vec![a, b],
        vec![a, Vec2::new(b.x, a.y), b],
        vec![a, Vec2::new(a.x, b.y), b],
    ];
    let shared = |low: f64, high: f64| {
        let (low, high) = (low + radius, high - radius);
        let middle = f64::midpoint(low, high);
        let ends = (low <= high).then_some([low, high]);
        steps((high - low) / 2.0)
            .flat_map(move |off| [middle + off, middle - off])
            .chain(ends.into_iter().flatten())
    };
    for y in shared(from.min.y.max(to.min.y), from.max.y.min(to.max.y)) {
        lines.push(vec![Vec2::new(a.x, y), Vec2::new(b.x, y)]);
    }
    for x in shared(from.min.x.max(to.min.x), from.max.x.min(to.max.x)) {
        lines.push(vec![Vec2::new(x, a.y), Vec2::new(x, b.y)]);
    }
    lines
}

/// A recess in the uppermost foam under the lid pad, as near the middle of the opening's front as room is.
fn label(foam: &Foam<'_>, wish: &LabelWish, taken: &[Opening]) -> Option<Opening> {
    if foam.brief.clearances.through_cuts {
        return None;
    }
    let top = foam
        .blocks
        .iter()
        .rfind(|block| block.kind != BlockKind::LidPad)?;
    let layer = top.layers.last()?;
    let (low, high) = (top.high - wish.depth.si(), top.high);
    if low <= layer.low {
        return None;
    }
    let free = foam.free((low, high), &[], taken);
    let bounds = layer.outline.bounds()?;
    let front = Vec2::new(bounds.centre().x, bounds.min.y);
    let radius = foam.brief.clearances.cutter_radius.si();
    let mut spots: Vec<Vec2> = steps(bounds.size().x)
        .flat_map(|x| steps(bounds.size().y).map(move |y| Vec2::new(x, y)))
        .map(|by| bounds.min + by)
        .collect();
    spots.sort_by(|a, b| a.distance(front).total_cmp(&b.distance(front)));
    let half = Vec2::new(wish.length.si() / 2.0, wish.width.si() / 2.0);
    // Read from the front where it can be.
    let region = [half, Vec2::new(half.y, half.x)].into_iter().find_map(|half| {
        let ends = [
            half,
            -half,
            Vec2::new(half.x, -half.y),
            Vec2::new(-half.x, half.y),
        ];
        let mut spots = spots.iter();
        spots.find_map(|&at| {
            // Most places are told by one of their points.
            let may_lie = free.contains(at) && ends.iter().all(|end| free.contains(at + *end * 0.9));
            let region = Region::rounded_rectangle(at - half, at + half, radius);
            (may_lie && region.room_inside(&free) >= 0.0).then_some(region)
        })
    });
    region.map(|region| Opening {
        kind: OpeningKind::Label,
        place: "label".to_owned(),
        prism: Prism { region, low, high },
    })
}
