//! The whole problem, prepared: forms, slots, zones and the pair table.

use super::ROUNDING;
use super::convex::{Convex, Demand, NoGo, Separation};
use super::polygon::convex_parts;
use super::zone::Zone;
use crate::{Body, Orientation, Placement, Problem, Sides};
use caddis_geometry::Vec2;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

/// Above so many shapes the pair table would outgrow its use; pairs are then computed anew each time.
const TABLE_SHAPES: usize = 1500;
/// Faces the pair table keeps at most (about 240 MB); what comes later is computed anew each time, to the same result.
const TABLE_FACES: usize = 6_000_000;

/// One distinct body with its demands; equal pieces share it.
#[derive(Debug, Clone)]
pub(crate) struct Form {
    pub(crate) body: Body,
    /// Piece and orientation it was first seen at.
    first: (usize, usize),
}

/// A level of a form's sweep, as a partner in a pair. Bare shapes are the foam below, which asks nothing sideways.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Shape {
    form: usize,
    level: usize,
    bare: bool,
}

/// What of a piece stands in a lower tier.
#[derive(Debug, Clone, Copy)]
struct Reach {
    tier: usize,
    /// The sweep at the lower tier's top.
    beside: Option<usize>,
    /// The foam below it there.
    below: Option<usize>,
}

/// A way a piece may be placed, up to its plan position.
#[derive(Debug, Clone)]
pub(crate) struct Slot {
    pub(crate) orientation: usize,
    pub(crate) tier: usize,
    pub(crate) bottom: f64,
    /// Orientation cost and tier rank as metres of equivalent length.
    pub(crate) cost: f64,
    pub(crate) form: usize,
    pub(crate) zone: Arc<Zone>,
    whole: Option<usize>,
    /// Its plan alone, where it must not lie over or under what lies across the opening of its tier.
    bare: Option<usize>,
    reaches: Vec<Reach>,
    /// Height missing at this depth, metres; 0 when it fits.
    pub(crate) too_deep: f64,
}

/// What each step down a piece's list of tiers costs, metres of equivalent length.
const TIER_STEP: f64 = 0.005;

/// A prepared problem.
#[derive(Debug)]
pub(crate) struct Room {
    pub(crate) problem: Problem,
    pub(crate) forms: Vec<Form>,
    form_of: Vec<Vec<usize>>,
    pub(crate) slots: Vec<Vec<Slot>>,
    shapes: Vec<Shape>,
    shape_ids: BTreeMap<Shape, usize>,
    table: Vec<OnceLock<Box<NoGo>>>,
    kept_faces: AtomicUsize,
    hindrances: Vec<Vec<Convex>>,
}

impl Room {
    pub(crate) fn new(problem: Problem) -> Self {
        let hindrances = problem
            .region
            .hindrances
            .iter()
            .map(|hindrance| convex_parts(&hindrance.outline))
            .collect();
        let mut room = Self {
            problem,
            forms: Vec::new(),
            form_of: Vec::new(),
            slots: Vec::new(),
            shapes: Vec::new(),
            shape_ids: BTreeMap::new(),
            table: Vec::new(),
            kept_faces: AtomicUsize::new(0),
            hindrances,
        };
        room.collect_forms();
        room.collect_slots();
        let count = room.shapes.len();
        if count <= TABLE_SHAPES {
            room.table.resize_with(count * count, OnceLock::new);
        }
        room
    }

    fn collect_forms(&mut self) {
        for (index, piece) in self.problem.pieces.iter().enumerate() {
            let mut forms = Vec::with_capacity(piece.orientations.len());
            for (turn, orientation) in piece.orientations.iter().enumerate() {
                let known = self.forms.iter().position(|form| {
                    let seen = &self.problem.pieces[form.first.0].orientations[form.first.1];
                    same_form(seen, orientation)
                });
                forms.push(known.unwrap_or_else(|| {
                    self.forms.push(Form {
                        body: orientation.body.clone(),
                        first: (index, turn),
                    });
                    self.forms.len() - 1
                }));
            }
            self.form_of.push(forms);
        }
    }

    fn collect_slots(&mut self) {
        let mut zones: BTreeMap<(usize, usize, u64), Arc<Zone>> = BTreeMap::new();
        for piece in 0..self.problem.pieces.len() {
            let mut ways = Vec::new();
            let asked = &self.problem.pieces[piece];
            if let Some(pinned) = asked.pinned {
                if pinned.orientation < asked.orientations.len() && pinned.tier < self.problem.tiers.len() {
                    ways.push((pinned.orientation, pinned.tier, pinned.bottom, 0.0));
                }
            } else {
                for (rank, &tier) in asked.tiers.iter().enumerate() {
                    for (turn, orientation) in asked.orientations.iter().enumerate() {
                        let Some(range) = self.problem.tiers.get(tier) else {
                            continue;
                        };
                        let height = self.forms[self.form_of[piece][turn]].body.sweep().height;
                        let bottom = range.bottom(height, orientation.above_in(tier));
                        ways.push((turn, tier, bottom, orientation.cost + TIER_STEP * rank as f64));
                    }
                }
            }
            let mut slots = Vec::with_capacity(ways.len());
            for (turn, tier, bottom, cost) in ways {
                let form = self.form_of[piece][turn];
                let zone = zones
                    .entry((form, tier, bottom.to_bits()))
                    .or_insert_with(|| Arc::new(self.zone(form, tier, bottom)))
                    .clone();
                let whole = self.forms[form]
                    .body
                    .sweep()
                    .whole()
                    .map(|level| self.shape(form, level, false));
                // What opens downward lies over foam of its own.
                let lower = if self.problem.tiers[tier].opens_down {
                    0..0
                } else {
                    0..tier
                };
                let reaches = lower
                    .filter_map(|lower| {
                        let (beside, below) = self.levels_in(form, bottom, lower);
                        let reach = Reach {
                            tier: lower,
                            beside: beside.map(|level| self.shape(form, level, false)),
                            below: below.map(|level| self.shape(form, level, true)),
                        };
                        below.map(|_| reach)
                    })
                    .collect();
                let bare = if self.faces_across(piece, tier) {
                    let whole = self.forms[form].body.sweep().whole();
                    whole.map(|level| self.shape(form, level, true))
                } else {
                    None
                };
                slots.push(Slot {
                    orientation: turn,
                    tier,
                    bottom,
                    cost,
                    form,
                    zone,
                    whole,
                    bare,
                    reaches,
                    too_deep: self.too_deep(piece, form, tier, bottom),
                });
            }
            self.slots.push(slots);
        }
    }

    /// Whether a piece in this tier has to do with what lies across the tier's opening: all that opens downward, and under it what keeps
    /// clear above.
    fn faces_across(&self, piece: usize, tier: usize) -> bool {
        let tiers = &self.problem.tiers;
        let is_under = tiers.get(tier + 1).is_some_and(|over| over.opens_down);
        tiers[tier].opens_down || (is_under && self.problem.pieces[piece].keeps_clear_above)
    }

    fn shape(&mut self, form: usize, level: usize, bare: bool) -> usize {
        let shape = Shape { form, level, bare };
        *self.shape_ids.entry(shape).or_insert_with(|| {
            self.shapes.push(shape);
            self.shapes.len() - 1
        })
    }

    /// Levels of a form at the top of a lower tier: its sweep, and the foam below it.
    fn levels_in(&self, form: usize, bottom: f64, lower: usize) -> (Option<usize>, Option<usize>) {
        let top = self.problem.tiers[lower].high - bottom;
        let body = self.forms[form].body.sweep();
        let below = self.demands(form).below;
        (body.level_below(top), body.level_below(top + below))
    }

    /// The orientation that stands for a form.
    pub(crate) fn demands(&self, form: usize) -> &Orientation {
        let (piece, turn) = self.forms[form].first;
        &self.problem.pieces[piece].orientations[turn]
    }

    /// The form of a piece's orientation.
    pub(crate) fn form(&self, piece: usize, orientation: usize) -> Option<usize> {
        self.form_of.get(piece)?.get(orientation).copied()
    }

    /// The room's answer for a form at a height.
    pub(crate) fn zone(&self, form: usize, tier: usize, bottom: f64) -> Zone {
        Zone::new(
            &self.problem.region,
            &self.hindrances,
            self.forms[form].body.sweep(),
            self.demands(form),
            (tier, &self.problem.tiers[tier]),
            bottom,
        )
    }

    /// Height missing in the tier (or, passing, down to the floor of the tier below), metres.
    pub(crate) fn too_deep(&self, piece: usize, form: usize, tier: usize, bottom: f64) -> f64 {
        let tiers = &self.problem.tiers;
        let orientation = self.demands(form);
        let passes = self.problem.pieces[piece].may_pass && tier > 0;
        let below = if tiers[tier].opens_down {
            0.0
        } else {
            orientation.below
        };
        let floor = tiers[if passes { tier - 1 } else { tier }]
            .low
            .max(self.problem.region.low);
        let top = bottom + self.forms[form].body.sweep().height;
        let missing = (floor - (bottom - below))
            .max(top + orientation.above_in(tier) - tiers[tier].high)
            .max(top - self.problem.region.high);
        if missing > ROUNDING { missing } else { 0.0 }
    }

    fn demand(&self, a: Shape, b: Shape) -> Demand {
        if a.bare || b.bare {
            let none = Sides::default();
            return Demand {
                first: none,
                second: none,
                round: 0.0,
                grows: false,
            };
        }
        Demand {
            first: self.demands(a.form).web,
            second: self.demands(b.form).web,
            round: 0.0,
            grows: true,
        }
    }

    fn build(&self, a: Shape, b: Shape) -> NoGo {
        NoGo::new(
            self.forms[a.form].body.sweep().level(a.level),
            self.forms[b.form].body.sweep().level(b.level),
            &self.demand(a, b),
        )
    }

    fn with<R>(&self, a: usize, b: usize, ask: impl FnOnce(&NoGo) -> R) -> R {
        let cell = self.table.get(a * self.shapes.len() + b);
        if let Some(known) = cell.and_then(OnceLock::get) {
            return ask(known);
        }
        let built = self.build(self.shapes[a], self.shapes[b]);
        match cell {
            Some(cell) if self.kept_faces.load(Ordering::Relaxed) < TABLE_FACES => {
                self.kept_faces.fetch_add(built.faces(), Ordering::Relaxed);
                ask(cell.get_or_init(|| Box::new(built)))
            }
            _ => ask(&built),
        }
    }

    /// Asks every forbidden set between two slots; the shift runs from the first to the second.
    pub(crate) fn between(&self, a: &Slot, b: &Slot, mut ask: impl FnMut(&NoGo)) {
        let (Some(whole_a), Some(whole_b)) = (a.whole, b.whole) else {
            return;
        };
        match a.tier.cmp(&b.tier) {
            std::cmp::Ordering::Equal => self.with(whole_a, whole_b, ask),
            std::cmp::Ordering::Less if self.problem.tiers[b.tier].opens_down => {
                if let (Some(a), Some(b)) = (a.bare, b.bare) {
                    self.with(a, b, ask);
                }
            }
            std::cmp::Ordering::Greater if self.problem.tiers[a.tier].opens_down => {
                if let (Some(a), Some(b)) = (a.bare, b.bare) {
                    self.with(a, b, ask);
                }
            }
            std::cmp::Ordering::Less => {
                for reach in b.reaches.iter().filter(|reach| reach.tier == a.tier) {
                    for shape in [reach.beside, reach.below].into_iter().flatten() {
                        self.with(whole_a, shape, &mut ask);
                    }
                }
            }
            std::cmp::Ordering::Greater => {
                for reach in a.reaches.iter().filter(|reach| reach.tier == b.tier) {
                    for shape in [reach.beside, reach.below].into_iter().flatten() {
                        self.with(shape, whole_b, &mut ask);
                    }
                }
            }
        }
    }

    /// Depth by which two slots at a shift break their demands with `extra` clearance asked.
    pub(crate) fn overlap(&self, a: &Slot, b: &Slot, shift: Vec2, extra: f64) -> f64 {
        let mut deepest: f64 = 0.0;
        self.between(a, b, |no_go| deepest = deepest.max(no_go.overlap(shift, extra)));
        deepest
    }

    /// The tightest separation of two slots.
    pub(crate) fn separation(&self, a: &Slot, b: &Slot, shift: Vec2, extra: f64) -> Separation {
        let mut tightest = Separation {
            distance: f64::INFINITY,
            normal: Vec2::new(1.0, 0.0),
        };
        self.between(a, b, |no_go| {
            let found = no_go.separation(shift, extra);
            if found.distance < tightest.distance {
                tightest = found;
            }
        });
        tightest
    }

    /// By how much the cushions between two slots could grow.
    pub(crate) fn spare(&self, a: &Slot, b: &Slot, shift: Vec2) -> f64 {
        let mut least = f64::INFINITY;
        self.between(a, b, |no_go| least = least.min(no_go.spare(shift)));
        least
    }

    /// The tightest separation of two arbitrary placements that could beat `limit`; `None` when they do not.
    pub(crate) fn pair(
        &self,
        (piece, placement): (usize, &Placement),
        (other, its): (usize, &Placement),
        limit: f64,
    ) -> Option<Separation> {
        let (a, b) = (
            self.form(piece, placement.orientation)?,
            self.form(other, its.orientation)?,
        );
        let tiers = (
            self.problem.tiers.get(placement.tier)?,
            self.problem.tiers.get(its.tier)?,
        );
        if placement.tier != its.tier && (tiers.0.opens_down || tiers.1.opens_down) {
            // The foam under what opens downward lies between them.
            if !(self.faces_across(piece, placement.tier) && self.faces_across(other, its.tier)) {
                return None;
            }
            let bare = |form: usize| {
                Some(Shape {
                    form,
                    level: self.forms[form].body.sweep().whole()?,
                    bare: true,
                })
            };
            let found = self
                .build(bare(a)?, bare(b)?)
                .separation(its.at - placement.at, 0.0);
            return (found.distance < limit).then_some(found);
        }
        let top = tiers.0.high.min(tiers.1.high);
        let shift = its.at - placement.at;
        let levels = |form: usize, bottom: f64| {
            let body = self.forms[form].body.sweep();
            let below = self.demands(form).below;
            (
                body.level_below(top - bottom),
                body.level_below(top - bottom + below),
            )
        };
        let ((beside_a, below_a), (beside_b, below_b)) = (levels(a, placement.bottom), levels(b, its.bottom));
        let mut tightest: Option<Separation> = None;
        let mut limit = limit;
        // Foam below that only repeats the sweep asks nothing new.
        for (la, bare_a, lb, bare_b) in [
            (beside_a, false, beside_b, false),
            (below_a.filter(|_| below_a != beside_a), true, beside_b, false),
            (beside_a, false, below_b.filter(|_| below_b != beside_b), true),
        ] {
            let (Some(la), Some(lb)) = (la, lb) else { continue };
            let first = Shape {
                form: a,
                level: la,
                bare: bare_a,
            };
            let second = Shape {
                form: b,
                level: lb,
                bare: bare_b,
            };
            let mut consider = |no_go: &NoGo| {
                if no_go.box_separation(shift) < limit {
                    let found = no_go.separation(shift, 0.0);
                    if found.distance < limit {
                        limit = found.distance;
                        tightest = Some(found);
                    }
                }
            };
            match (self.shape_ids.get(&first), self.shape_ids.get(&second)) {
                (Some(&x), Some(&y)) => self.with(x, y, consider),
                _ => consider(&self.build(first, second)),
            }
        }
        tightest
    }
}

fn same_form(a: &Orientation, b: &Orientation) -> bool {
    a.wall == b.wall && a.web == b.web && a.below == b.below && a.above == b.above && a.body == b.body
}
