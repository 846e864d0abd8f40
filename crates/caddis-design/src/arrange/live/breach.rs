//! What a piece would break where it is held.

use super::{Broken, Live, words};
use caddis_geometry::Vec2;
use caddis_layout::{Facet, Placement, Sides};

impl Live {
    pub(super) fn broken(&self, index: usize, placement: &Placement) -> Vec<Broken> {
        let mut broken = Vec::new();
        let asked = &self.problem().pieces[index].orientations[placement.orientation];
        let tier = &self.problem().tiers[placement.tier];
        let passes = self.problem().pieces[index].may_pass && placement.tier > 0;
        let floor = if passes {
            self.problem().tiers[placement.tier - 1].low
        } else {
            tier.low
        };
        let under = placement.bottom - floor.max(self.problem().region.low);
        if tier.opens_down {
            let top = self.bands_of(index, placement).map(|(_, high, _)| high);
            let over = tier.high - top.fold(f64::NEG_INFINITY, f64::max);
            if over < asked.above_in(placement.tier) - 1e-9 {
                broken.push(words::depth(
                    "the lid's roof",
                    over,
                    asked.above_in(placement.tier),
                ));
            }
        } else if under < asked.below - 1e-9 {
            let floor = if placement.tier > 0 && !passes {
                "the tray's floor"
            } else {
                "the floor"
            };
            broken.push(words::depth(floor, under, asked.below));
        }
        broken.extend(self.walls(index, placement));
        for way in &self.fixed.hindrances {
            let found = way.asked.check(index, placement, &[]);
            if found.distance < -1e-9 {
                let left = way.bare.check(index, placement, &[]).distance;
                let meets = left < 0.0
                    && way
                        .bands
                        .iter()
                        .any(|(low, high, plan)| self.body_meets(index, placement, (*low, *high), plan));
                broken.push(words::hindrance(&way.name, -found.distance, left, meets));
            }
        }
        for (other, its) in self.placements.iter().enumerate() {
            if other == index {
                continue;
            }
            let pair = [(other, *its)];
            let found = self.fixed.open.check(index, placement, &pair);
            if found.distance < -1e-9 {
                let left = self.fixed.bare.check(index, placement, &pair).distance;
                let meets = left < 0.0
                    && self
                        .bands_of(other, its)
                        .any(|(low, high, plan)| self.body_meets(index, placement, (low, high), &plan));
                broken.push(words::neighbour(
                    &self.fixed.pieces[other].name,
                    -found.distance,
                    left,
                    meets,
                ));
            }
        }
        broken
    }

    /// Walls that a piece comes too near to, each named once.
    fn walls(&self, index: usize, placement: &Placement) -> Vec<Broken> {
        let asked = &self.problem().pieces[index].orientations[placement.orientation];
        let tier = &self.problem().tiers[placement.tier];
        let bodies = || self.bands_of(index, placement);
        // A pocket in the lid is as wide as its piece anywhere.
        let (mut low, mut top) = (placement.bottom, tier.high);
        if tier.opens_down {
            top = bodies().map(|(_, high, _)| high).fold(low, f64::max);
        } else {
            low = tier.low.min(low);
        }
        let mut worst: Vec<(&'static str, f64, f64)> = Vec::new();
        for facet in &self.problem().region.facets {
            if facet.high <= low || facet.low >= tier.high {
                continue;
            }
            let need = keep_out(facet, &asked.wall);
            let left = bodies()
                .map(|(its_low, high, plan)| {
                    let its_low = if tier.opens_down { low } else { its_low };
                    let inside = [its_low, high, top].map(|z| facet.offset + facet.slope * z);
                    inside.into_iter().fold(f64::INFINITY, f64::min) - plan.reach(facet.normal)
                })
                .fold(f64::INFINITY, f64::min);
            if left < need - 1e-9 {
                let name = wall_name(facet.normal);
                match worst.iter_mut().find(|(known, ..)| *known == name) {
                    Some(known) if need - left > known.1 => (known.1, known.2) = (need - left, left),
                    Some(_) => {}
                    None => worst.push((name, need - left, left)),
                }
            }
        }
        worst
            .into_iter()
            .map(|(name, missing, left)| words::wall(name, missing, left))
            .collect()
    }
}

/// Foam that a slanting wall is owed, as the search counts it.
fn keep_out(facet: &Facet, sides: &Sides) -> f64 {
    let n = facet.normal;
    let along = if n.x > 0.0 { sides.right } else { sides.left };
    let across = if n.y > 0.0 { sides.back } else { sides.front };
    (along * n.x).hypot(across * n.y)
}

pub(super) fn wall_name(normal: Vec2) -> &'static str {
    if normal.x.abs() > 0.95 {
        if normal.x > 0.0 { "right wall" } else { "left wall" }
    } else if normal.y.abs() > 0.95 {
        if normal.y > 0.0 { "back wall" } else { "front wall" }
    } else {
        "corner of the case"
    }
}
