//! Where one orientation may lie at one height, as far as the room alone decides.

use super::SPARE_CAP;
use super::convex::{Convex, Demand, NoGo, Separation, clipped};
use super::sweep::Sweep;
use crate::{Orientation, Region, Sides, Tier};
use caddis_geometry::Vec2;

/// The room's answer for a body at a fixed height: half-planes for the walls, forbidden sets for the hindrances.
#[derive(Debug, Clone)]
pub(crate) struct Zone {
    /// `normal . position <= limit` for every wall.
    pub(crate) planes: Vec<(Vec2, f64)>,
    /// Hindrances that the body can meet at its height, with their index. Shift = hindrance - body.
    pub(crate) hindrances: Vec<(usize, NoGo)>,
    /// Corners of the set the walls allow; empty when they allow nothing.
    pub(crate) corners: Vec<Vec2>,
    pub(crate) min: Vec2,
    pub(crate) max: Vec2,
}

/// Wall foam along a wall's normal. A wall that faces two sides at once (a corner chord) is loaded by both drops
/// obliquely, so the two sides combine as the axes of an ellipse: the exact side distance along each axis, and
/// never more than the larger of the two between them.
///
/// # Source
/// Support function of an ellipse with the side distances as half-axes; an agreed rule, not a standard.
pub(crate) fn wall_reach(sides: &Sides, n: Vec2) -> f64 {
    let along = if n.x > 0.0 { sides.right } else { sides.left };
    let across = if n.y > 0.0 { sides.back } else { sides.front };
    (along * n.x).hypot(across * n.y)
}

impl Zone {
    pub(crate) fn new(
        region: &Region,
        shapes: &[Vec<Convex>],
        body: &Sweep,
        orientation: &Orientation,
        (number, tier): (usize, &Tier),
        bottom: f64,
    ) -> Self {
        let planes: Vec<(Vec2, f64)> = region
            .facets
            .iter()
            .filter(|facet| facet.meets(tier.low.min(bottom), tier.high))
            .map(|facet| {
                let n = facet.normal;
                let keep_out = wall_reach(&orientation.wall, n);
                // Walls that widen upwards bind each band at its bottom, and the foam below a band as deep as it
                // reaches; walls that narrow upwards bind the whole sweep at the tier's top.
                let limit = body
                    .reaches(n)
                    .map(|(low, reach)| {
                        let at = |z: f64| facet.offset + facet.slope * z;
                        if tier.opens_down {
                            // The whole plan at every height of the body: the tighter end binds.
                            return at(bottom).min(at(bottom + body.height)) - keep_out - reach;
                        }
                        if facet.slope >= 0.0 {
                            let beside = at(bottom + low) - keep_out;
                            beside.min(at(bottom + low - orientation.below)) - reach
                        } else {
                            at(tier.high) - keep_out - reach
                        }
                    })
                    .fold(f64::INFINITY, f64::min);
                (n, limit)
            })
            .collect();
        let finite: Vec<(Vec2, f64)> = planes
            .iter()
            .copied()
            .filter(|plane| plane.1.is_finite())
            .collect();
        let corners = clipped(&finite);
        let min = corners.iter().copied().reduce(Vec2::min).unwrap_or_default();
        let max = corners.iter().copied().reduce(Vec2::max).unwrap_or_default();
        let hindrances = region
            .hindrances
            .iter()
            .enumerate()
            .filter_map(|(index, hindrance)| {
                let top = hindrance.high.min(tier.high);
                if hindrance.low >= tier.high || hindrance.high <= hindrance.low {
                    return None;
                }
                let mut no_go = NoGo::default();
                let (beside, beyond) = if tier.opens_down {
                    // Beside the body, and in the foam over it.
                    let end = bottom + body.height;
                    let meets = |low: f64, high: f64| hindrance.low < high && low < hindrance.high;
                    let whole = |is_met: bool| body.whole().filter(|_| is_met);
                    let over = end + orientation.above_in(number);
                    (whole(meets(bottom, end)), whole(meets(bottom, over)))
                } else {
                    (
                        body.level_below(top - bottom),
                        body.level_below(top - bottom + orientation.below),
                    )
                };
                if let Some(level) = beside {
                    let demand = Demand {
                        first: orientation.wall,
                        second: Sides::default(),
                        round: 0.0,
                        grows: true,
                    };
                    no_go.join(NoGo::new(body.level(level), &shapes[index], &demand));
                }
                if let Some(level) = beyond {
                    let demand = Demand {
                        first: Sides::default(),
                        second: Sides::default(),
                        round: 0.0,
                        grows: false,
                    };
                    no_go.join(NoGo::new(body.level(level), &shapes[index], &demand));
                }
                let reachable = corners.is_empty() || {
                    let (low, high) = no_go.bounds();
                    -max.x < high.x + SPARE_CAP
                        && -min.x > low.x - SPARE_CAP
                        && -max.y < high.y + SPARE_CAP
                        && -min.y > low.y - SPARE_CAP
                };
                (!no_go.is_empty() && reachable).then_some((index, no_go))
            })
            .collect();
        Self {
            planes,
            hindrances,
            corners,
            min,
            max,
        }
    }

    /// How much foam is missing at a position, summed over walls and hindrances, with `extra` clearance asked.
    pub(crate) fn overlap(&self, at: Vec2, extra: f64) -> f64 {
        let mut total = 0.0;
        for (n, limit) in &self.planes {
            total += (n.dot(at) - limit + extra).max(0.0);
        }
        for (_, no_go) in &self.hindrances {
            total += no_go.overlap(-at, extra);
        }
        total
    }

    /// By how much every cushion towards the room could still grow.
    pub(crate) fn spare(&self, at: Vec2) -> f64 {
        let walls = self
            .planes
            .iter()
            .map(|(n, limit)| limit - n.dot(at))
            .fold(f64::INFINITY, f64::min);
        self.hindrances
            .iter()
            .map(|(_, no_go)| no_go.spare(-at))
            .fold(walls, f64::min)
    }

    /// Where the position must go to keep `extra` clearance: one correction per broken demand.
    pub(crate) fn corrections(&self, at: Vec2, extra: f64, out: &mut Vec<Vec2>) {
        for (n, limit) in &self.planes {
            let missing = n.dot(at) - limit + extra;
            if missing > 0.0 {
                out.push(*n * -missing);
            }
        }
        for (_, no_go) in &self.hindrances {
            if no_go.overlap(-at, extra) > 0.0 {
                let Separation { distance, normal } = no_go.separation(-at, extra);
                out.push(normal * distance);
            }
        }
    }

    /// How much the walls must give way before any position is left, metres; 0 when there is one.
    pub(crate) fn shortfall(&self) -> f64 {
        if !self.corners.is_empty() {
            return 0.0;
        }
        let relaxed =
            |by: f64| -> Vec<(Vec2, f64)> { self.planes.iter().map(|&(n, h)| (n, h + by)).collect() };
        let (mut none, mut some) = (0.0, 100.0);
        for _ in 0..60 {
            let middle = f64::midpoint(none, some);
            if clipped(&relaxed(middle)).is_empty() {
                none = middle;
            } else {
                some = middle;
            }
        }
        some
    }

    /// Room left along an axis direction between the walls that face it; negative when too little.
    pub(crate) fn room_along(&self, axis: Vec2) -> f64 {
        let limit = |way: Vec2| {
            self.planes
                .iter()
                .filter(|(n, _)| n.dot(way) > 0.999)
                .map(|plane| plane.1)
                .fold(f64::INFINITY, f64::min)
        };
        limit(axis) + limit(-axis)
    }
}
