//! What is to be placed where.

use crate::Body;
use caddis_geometry::{Region as Plan, Vec2};

/// A drafted wall or a chord of a corner: inside is `normal . p <= offset + slope * z`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facet {
    /// Outward unit normal in plan.
    pub normal: Vec2,
    /// Metres at z = 0.
    pub offset: f64,
    /// Metres per metre of height.
    pub slope: f64,
    /// Height from which it stands; negative infinity where it has no lower end.
    pub low: f64,
    /// Height up to which it stands; infinity where it has no upper end.
    pub high: f64,
}

impl Facet {
    /// A wall that stands at every height.
    pub fn new(normal: Vec2, offset: f64, slope: f64) -> Self {
        Self {
            normal,
            offset,
            slope,
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
        }
    }

    /// Whether it stands at any height between two.
    pub(crate) fn meets(&self, low: f64, high: f64) -> bool {
        self.low < high && low < self.high
    }
}

/// Matter in the way between two heights.
#[derive(Debug, Clone, PartialEq)]
pub struct Hindrance {
    /// For messages ("wheel housing left").
    pub name: String,
    /// Outer plan outline.
    pub outline: Plan,
    /// Lower height.
    pub low: f64,
    /// Upper height.
    pub high: f64,
}

/// The room: half-spaces, hindrances, a depth range.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// Walls.
    pub facets: Vec<Facet>,
    /// Housings, ribs, bosses, fillet bands.
    pub hindrances: Vec<Hindrance>,
    /// Lowest height (the floor).
    pub low: f64,
    /// Highest height (the rim plane).
    pub high: f64,
}

/// A horizontal slice of the room. Pieces hang in it with their tops at `high` and come out upward; or, where it opens downward as a
/// lid does, they stand with their lowest points at `low` and come out downward.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tier {
    /// Bottom of the tier's foam; where it opens downward the height at which pieces stand.
    pub low: f64,
    /// Top of the tier's foam: where pieces' tops lie, if it opens upward.
    pub high: f64,
    /// Opens downward. Pieces in it take the whole of their plan from bottom to top, whatever is under it is not asked for the foam
    /// below them, and [`Orientation::above`] is the foam between their tops and the end of the tier.
    pub opens_down: bool,
}

impl Tier {
    /// One that opens upward.
    pub fn upward(low: f64, high: f64) -> Self {
        Self {
            low,
            high,
            opens_down: false,
        }
    }

    /// Where a body so high stands with so much foam over it.
    pub(crate) fn bottom(&self, height: f64, above: f64) -> f64 {
        if self.opens_down {
            self.low
        } else {
            self.high - above - height
        }
    }
}

/// Distances per side in the case frame, metres, all >= 0.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sides {
    /// Towards -x.
    pub left: f64,
    /// Towards +x.
    pub right: f64,
    /// Towards -y.
    pub front: f64,
    /// Towards +y.
    pub back: f64,
}

/// One way a piece may lie (way up and turn about the vertical), everything already turned into case axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Orientation {
    /// The caller's tag.
    pub tag: u32,
    /// Body as an Outer section stack including its size tolerance, plan centred on its box, standing on z = 0.
    pub body: Body,
    /// Foam needed towards walls and hindrances, per side.
    pub wall: Sides,
    /// Foam needed towards other pieces' bodies, per side (at least the web minimum).
    pub web: Sides,
    /// Foam needed below (towards floor, hindrances or the pieces of the tier below).
    pub below: f64,
    /// Foam that must stay above it inside its tier, by tier; 0 where none is named (its top is flush with the tier's).
    pub above: Vec<f64>,
    /// Score offset: preferred ways lie at 0, others cost more (metres of equivalent length).
    pub cost: f64,
}

impl Orientation {
    /// Foam that must stay above it in a tier.
    pub fn above_in(&self, tier: usize) -> f64 {
        self.above.get(tier).copied().unwrap_or(0.0)
    }
}

/// Something to place.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// For messages.
    pub name: String,
    /// Interchangeable pieces share a kind.
    pub kind: u32,
    /// Kilograms, for balance.
    pub mass: f64,
    /// Ways it may lie, never empty.
    pub orientations: Vec<Orientation>,
    /// Tiers it may hang in (indices into `Problem::tiers`), best first; a piece deeper than its tier reaches through the
    /// tiers below, which is allowed only when `may_pass`.
    pub tiers: Vec<usize>,
    /// May reach through the tier below its own, down to that tier's floor.
    pub may_pass: bool,
    /// Needs what is over it: in the uppermost tier that opens upward it lies under no piece of one that opens downward.
    pub keeps_clear_above: bool,
    /// Fixed placement, if the user pinned it.
    pub pinned: Option<Placement>,
}

/// Where a piece lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Index into the piece's orientations.
    pub orientation: usize,
    /// Index into the problem's tiers.
    pub tier: usize,
    /// Plan position of the body's centre.
    pub at: Vec2,
    /// Height of the body's lowest point.
    pub bottom: f64,
}

/// The whole question.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// The room.
    pub region: Region,
    /// Tiers from bottom to top.
    pub tiers: Vec<Tier>,
    /// Pieces in the caller's order.
    pub pieces: Vec<Piece>,
    /// Plan point over which the centre of mass should lie.
    pub balance: Vec2,
    /// How much its distance counts along x and along y, 0 to 1: a case that hangs from a handle turns about it freely.
    pub balance_counts: Vec2,
    /// What is wished beyond what must be.
    pub wishes: Vec<Wish>,
    /// What layouts that fit are compared by.
    pub weights: Weights,
}

/// What one thing is worth in another where layouts that fit are compared: all in metres of spare, the room that every
/// cushion could still grow by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// For a metre between the centre of mass and the balance point.
    pub balance: f64,
    /// For a metre of it beyond what still counts as balanced.
    pub unbalanced: f64,
    /// What still counts as balanced, along x and y, metres (as `Problem::balance_counts` weighs it).
    pub balanced_within: Vec2,
    /// For a metre short of a wish.
    pub wishes: f64,
    /// What order may cost: common lines, equal turns, whole millimetres.
    pub order: f64,
}

impl Default for Weights {
    /// # Source
    /// Choices, not measurements (common practice, no source).
    fn default() -> Self {
        Self {
            balance: 0.05,
            unbalanced: 1.0,
            balanced_within: Vec2::new(f64::INFINITY, f64::INFINITY),
            wishes: 0.5,
            order: 5e-4,
        }
    }
}

/// Something that is wished, never at the price of a demand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wish {
    /// Two pieces in one tier, their boxes at most so far apart, metres.
    Together(usize, usize, f64),
    /// Two pieces' boxes at least so far apart, metres.
    Apart(usize, usize, f64),
    /// A piece as far that way (a unit vector in plan) as others let it.
    Towards(usize, Vec2),
}

/// How to search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SearchOptions {
    /// Seed.
    pub seed: u64,
    /// Step budget: placements evaluated. The same seed and budget give the same layout.
    pub steps: u64,
    /// Search workers; never changes the result, only the time.
    pub workers: usize,
}

/// A feasible answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// One placement per piece, in the problem's order.
    pub placements: Vec<Placement>,
    /// Least spare distance over all demands in plan, metres (how much every side of every cushion could still grow
    /// together); at most 50 mm is told. Heights are set by the tiers and do not count.
    pub spare: f64,
    /// Distance of the centre of mass from the balance point, metres; each piece's mass is taken at its plan centre.
    pub imbalance: f64,
    /// Steps used.
    pub steps: u64,
}
