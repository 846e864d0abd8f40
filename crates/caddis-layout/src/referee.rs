//! The referee: exact and slow, and code of its own.
//!
//! It shares nothing with the search's engine: it asks the geometry crate for shadows, grown regions, distances and
//! intersections at the middle of every interval between band boundaries, where the engine argues with sweeps at
//! tops, convex parts and separating normals. Only where a straight line parts what lies here from what lies there is
//! no intersection asked for: most pieces are boxes that lie side by side.

mod shadow;

use crate::{Orientation, Placement, Problem, Sides};
use caddis_basis::{Said, said};
use caddis_geometry::{Bounds2, Placement2, Region as Plan, Slab};
use shadow::Shadow;
use std::collections::{BTreeMap, BTreeSet};

/// A demand that a layout breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Violation {
    /// Which piece.
    pub piece: usize,
    /// What it meets ("wall", hindrance or piece name).
    pub with: Said,
    /// How much is missing, metres (positive).
    pub missing: f64,
}

/// Every demand that the placements break by more than `slack` metres, on the exact shapes with geometry's own booleans.
///
/// # Accuracy
/// Grown regions may stand off at arcs by geometry's default chord error on the outer side; a `slack` below 0.02 mm
/// can therefore name a contact at an arc that is in fact just kept, never the other way round.
pub fn referee(problem: &Problem, placements: &[Placement], slack: f64) -> Vec<Violation> {
    let mut found = Vec::new();
    if placements.len() != problem.pieces.len() {
        found.push(Violation {
            piece: placements.len().min(problem.pieces.len()),
            with: said!("number of placements"),
            missing: f64::INFINITY,
        });
        return found;
    }
    let mut lifted = Vec::with_capacity(placements.len());
    for (piece, placement) in placements.iter().enumerate() {
        let known = problem.pieces[piece].orientations.get(placement.orientation);
        let (Some(orientation), Some(tier)) = (known, problem.tiers.get(placement.tier)) else {
            found.push(Violation {
                piece,
                with: said!("unknown orientation or tier"),
                missing: f64::INFINITY,
            });
            return found;
        };
        if !placement.at.is_finite() || !placement.bottom.is_finite() {
            found.push(Violation {
                piece,
                with: said!("position"),
                missing: f64::INFINITY,
            });
            return found;
        }
        let flat = Placement2 {
            angle: 0.0,
            shift: placement.at,
        };
        let raise = placement.bottom - orientation.body.low().unwrap_or(0.0);
        let mut slabs: Vec<Slab> = orientation
            .body
            .slabs
            .iter()
            .map(|slab| Slab {
                region: slab.region.placed(&flat),
                low: slab.low + raise,
                high: slab.high + raise,
            })
            .collect();
        let end = slabs.last().map_or(placement.bottom, |slab| slab.high);
        if tier.opens_down {
            // The whole plan, since nothing of it may be narrower further down its way out.
            let whole = Plan::union_all(slabs.iter().map(|slab| &slab.region));
            slabs = vec![Slab {
                region: whole,
                low: placement.bottom,
                high: end,
            }];
        }
        lifted.push(Lifted {
            orientation,
            placement: *placement,
            slabs,
            below: if tier.opens_down { 0.0 } else { orientation.below },
            over: tier
                .opens_down
                .then(|| end + orientation.above_in(placement.tier)),
            top: if tier.opens_down { end } else { tier.high },
            shadows: BTreeMap::new(),
        });
    }
    let hindrances = problem.region.hindrances.iter();
    let mut outlines: Vec<Shadow> = hindrances.map(|h| Shadow::new(h.outline.clone())).collect();
    for (piece, it) in lifted.iter_mut().enumerate() {
        heights(problem, piece, it, slack, &mut found);
        walls(problem, piece, it, slack, &mut found);
        hindered(problem, &mut outlines, piece, it, slack, &mut found);
    }
    let clear = |piece: usize| problem.pieces[piece].keeps_clear_above;
    for second in 1..lifted.len() {
        let (before, after) = lifted.split_at_mut(second);
        for (first, a) in before.iter_mut().enumerate() {
            let mut missing = pair(a, &mut after[0], slack);
            let across = |under: &Lifted, over: &Lifted, piece: usize| {
                clear(piece) && over.over.is_some() && under.placement.tier + 1 == over.placement.tier
            };
            if across(a, &after[0], first) || across(&after[0], a, second) {
                let (one, other) = (a.shadow(f64::INFINITY), after[0].shadow(f64::INFINITY));
                missing = missing.max(one.entered(&Sides::default(), other, slack));
            }
            if missing > slack {
                found.push(Violation {
                    piece: first,
                    with: Said::name(&problem.pieces[second].name),
                    missing,
                });
            }
        }
    }
    found
}

/// A piece where it lies.
struct Lifted<'a> {
    orientation: &'a Orientation,
    placement: Placement,
    slabs: Vec<Slab>,
    /// Foam asked for below it.
    below: f64,
    /// Where the foam over it ends, in a tier that opens downward.
    over: Option<f64>,
    /// Where its sweep ends.
    top: f64,
    /// Shadows of the first so many bands.
    shadows: BTreeMap<usize, Shadow>,
}

impl Lifted<'_> {
    /// How many bands begin below a height.
    fn bands(&self, height: f64) -> usize {
        self.slabs.iter().filter(|slab| slab.low < height).count()
    }

    /// Everything of the body below a height.
    fn shadow(&mut self, height: f64) -> &mut Shadow {
        let bands = self.bands(height);
        let slabs = &self.slabs;
        self.shadows
            .entry(bands)
            .or_insert_with(|| Shadow::new(Plan::union_all(slabs[..bands].iter().map(|slab| &slab.region))))
    }

    /// Top of the body itself.
    fn body_top(&self) -> f64 {
        self.slabs.last().map_or(self.placement.bottom, |slab| slab.high)
    }

    fn boundaries(&self, out: &mut Vec<f64>) {
        for slab in &self.slabs {
            for z in [slab.low, slab.high] {
                out.extend([z, z - self.below]);
            }
        }
        out.push(self.top);
    }
}

/// Middles of the intervals that the heights cut from `low..high`.
fn middles(mut cuts: Vec<f64>, low: f64, high: f64) -> Vec<f64> {
    cuts.extend([low, high]);
    cuts.retain(|z| *z >= low && *z <= high);
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .filter(|w| w[1] - w[0] > 2e-9)
        .map(|w| f64::midpoint(w[0], w[1]))
        .collect()
}

fn heights(problem: &Problem, piece: usize, it: &Lifted, slack: f64, found: &mut Vec<Violation>) {
    let tier = it.placement.tier;
    let low = it.placement.bottom - it.below;
    let body_top = it.body_top();
    let mut floor = problem.tiers[tier].low;
    if problem.pieces[piece].may_pass && tier > 0 {
        floor = problem.tiers[tier - 1].low;
    }
    let floor = floor.max(problem.region.low);
    for (with, missing) in [
        (said!("floor"), floor - low),
        (
            said!("tier top"),
            body_top + it.orientation.above_in(tier) - problem.tiers[tier].high,
        ),
        (said!("rim plane"), body_top - problem.region.high),
    ] {
        if missing > slack {
            found.push(Violation { piece, with, missing });
        }
    }
}

fn walls(problem: &Problem, piece: usize, it: &Lifted, slack: f64, found: &mut Vec<Violation>) {
    let mut worst: f64 = 0.0;
    let tier = &problem.tiers[it.placement.tier];
    let (lowest, highest) = (tier.low.min(it.placement.bottom), tier.high);
    for facet in &problem.region.facets {
        if facet.high <= lowest || facet.low >= highest {
            continue;
        }
        let n = facet.normal;
        let sides = &it.orientation.wall;
        let along = if n.x > 0.0 { sides.right } else { sides.left };
        let across = if n.y > 0.0 { sides.back } else { sides.front };
        let keep_out = ((along * n.x).powi(2) + (across * n.y).powi(2)).sqrt();
        for slab in &it.slabs {
            let Some(reach) = slab.region.reach(n) else {
                continue;
            };
            let inside = |z: f64| facet.offset + facet.slope * z;
            // The band itself, its way up, and the foam below it.
            for (z, foam) in [
                (slab.low, keep_out),
                (slab.high, keep_out),
                (it.top, keep_out),
                (slab.low - it.below, 0.0),
            ] {
                if z == slab.low - it.below && facet.slope < 0.0 {
                    continue;
                }
                worst = worst.max(reach + foam - inside(z));
            }
        }
    }
    if worst > slack {
        found.push(Violation {
            piece,
            with: said!("wall"),
            missing: worst,
        });
    }
}

fn hindered(
    problem: &Problem,
    outlines: &mut [Shadow],
    piece: usize,
    it: &mut Lifted,
    slack: f64,
    found: &mut Vec<Violation>,
) {
    let below = it.below;
    let (wall, none) = (it.orientation.wall, Sides::default());
    let most = wall.left.max(wall.right).max(wall.front).max(wall.back);
    for (hindrance, outline) in problem.region.hindrances.iter().zip(outlines) {
        let low = hindrance.low.max(it.placement.bottom - below);
        let high = hindrance.high.min(it.top);
        let mut worst: f64 = 0.0;
        let whole = it.shadow(f64::INFINITY).bounds;
        let meets = whole
            .zip(outline.bounds)
            .is_some_and(|(mine, its)| boxes_meet(&mine, &its, most));
        let mut cuts = Vec::new();
        if meets {
            it.boundaries(&mut cuts);
        }
        let mut asked = BTreeSet::new();
        if let Some(over) = it.over
            && hindrance.low < over
            && hindrance.high > it.placement.bottom
        {
            worst = worst.max(it.shadow(f64::INFINITY).entered(&none, outline, slack));
        }
        // The sweep only grows with height, so the highest interval is the tightest; what was asked before is the same.
        for z in middles(cuts, low, high) {
            if !meets || !asked.insert((it.bands(z), it.bands(z + below), z > it.placement.bottom)) {
                continue;
            }
            if z > it.placement.bottom {
                worst = worst.max(it.shadow(z).entered(&wall, outline, slack));
            }
            worst = worst.max(it.shadow(z + below).entered(&none, outline, slack));
        }
        if worst > slack {
            found.push(Violation {
                piece,
                with: Said::name(&hindrance.name),
                missing: worst,
            });
        }
    }
}

fn pair(a: &mut Lifted, b: &mut Lifted, slack: f64) -> f64 {
    let (below_a, below_b) = (a.below, b.below);
    let low = (a.placement.bottom - below_a).max(b.placement.bottom - below_b);
    let high = a.top.min(b.top);
    let mut cuts = Vec::new();
    a.boundaries(&mut cuts);
    b.boundaries(&mut cuts);
    let (web_a, web_b, none) = (a.orientation.web, b.orientation.web, Sides::default());
    let mut worst: f64 = 0.0;
    let mut asked = BTreeSet::new();
    for z in middles(cuts, low, high) {
        let (in_a, in_b) = (z > a.placement.bottom, z > b.placement.bottom);
        // Intervals in which both hold the same bands ask the same.
        let bands = [a.bands(z), a.bands(z + below_a), b.bands(z), b.bands(z + below_b)];
        if !asked.insert((bands, in_a, in_b)) {
            continue;
        }
        if in_a && in_b {
            worst = worst.max(a.shadow(z).entered(&web_a, b.shadow(z), slack));
            worst = worst.max(b.shadow(z).entered(&web_b, a.shadow(z), slack));
        }
        if in_b {
            worst = worst.max(a.shadow(z + below_a).entered(&none, b.shadow(z), slack));
        }
        if in_a {
            worst = worst.max(b.shadow(z + below_b).entered(&none, a.shadow(z), slack));
        }
    }
    worst
}

/// Whether two boxes come closer than a distance along both axes.
fn boxes_meet(a: &Bounds2, b: &Bounds2, distance: f64) -> bool {
    b.min.x - a.max.x <= distance
        && a.min.x - b.max.x <= distance
        && b.min.y - a.max.y <= distance
        && a.min.y - b.max.y <= distance
}
