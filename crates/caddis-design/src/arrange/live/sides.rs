//! The foam on the six sides of a piece: how much there is, towards what, and how much is needed.

use super::Live;
use super::breach::wall_name;
use super::plan::{Plan, Toward};
use caddis_layout::{Placement, Sides};

/// Foam on one side of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct SideRoom {
    /// Towards what it lies, in the shop's words.
    pub towards: String,
    /// Thickness at the thinnest, straight along the axis, metres; below nothing where the piece stands in what it lies towards.
    pub foam: f64,
    /// What is needed there, metres.
    pub need: f64,
}

fn of(sides: &Sides, toward: Toward) -> f64 {
    match toward {
        Toward::Left => sides.left,
        Toward::Right => sides.right,
        Toward::Front => sides.front,
        Toward::Back => sides.back,
    }
}

fn opposite(toward: Toward) -> Toward {
    match toward {
        Toward::Left => Toward::Right,
        Toward::Right => Toward::Left,
        Toward::Front => Toward::Back,
        Toward::Back => Toward::Front,
    }
}

impl Live {
    pub(super) fn sides(&self, index: usize, placement: &Placement) -> [SideRoom; 6] {
        let bands: Vec<(f64, f64, Plan)> = self.bands_of(index, placement).collect();
        let [left, right, front, back] =
            Toward::ALL.map(|toward| self.beside(index, placement, &bands, toward));
        [
            left,
            right,
            front,
            back,
            self.under(index, placement, &bands),
            self.over(index, placement, &bands),
        ]
    }

    fn beside(
        &self,
        index: usize,
        placement: &Placement,
        bands: &[(f64, f64, Plan)],
        toward: Toward,
    ) -> SideRoom {
        let problem = self.problem();
        let asked = &problem.pieces[index].orientations[placement.orientation];
        let way = toward.vector();
        let mut found = SideRoom {
            towards: "nothing".to_owned(),
            foam: f64::INFINITY,
            need: of(&asked.wall, toward),
        };
        let mut consider = |foam: f64, need: f64, towards: &str| {
            if foam < found.foam {
                found = SideRoom {
                    towards: towards.to_owned(),
                    foam,
                    need,
                };
            }
        };
        for facet in &problem.region.facets {
            let slant = facet.normal.dot(way);
            if slant < 0.05 {
                continue;
            }
            let stands = bands
                .iter()
                .filter(|(low, high, _)| facet.low < *high && *low < facet.high);
            for (low, high, plan) in stands {
                let inside = [*low, *high].map(|z| facet.offset + facet.slope * z);
                let left = (inside[0].min(inside[1]) - plan.reach(facet.normal)) / slant;
                consider(left, of(&asked.wall, toward), wall_name(facet.normal));
            }
        }
        for hindrance in &self.fixed.hindrances {
            for (from, to, plan) in &hindrance.bands {
                // What lies below a hindrance's top comes out past it.
                for (low, high, mine) in bands {
                    // What it stands in is said as such, not measured.
                    if low < to && *from < *high && !mine.meets(plan) {
                        consider(mine.room(plan, toward), of(&asked.wall, toward), &hindrance.name);
                    }
                }
            }
        }
        for (other, its) in self.placements.iter().enumerate() {
            if other == index {
                continue;
            }
            let its_asked = &problem.pieces[other].orientations[its.orientation];
            let need = of(&asked.web, toward).max(of(&its_asked.web, opposite(toward)));
            for (low, high, plan) in self.bands_of(other, its) {
                for (my_low, my_high, mine) in bands {
                    if *my_low < high && low < *my_high && !mine.meets(&plan) {
                        consider(mine.room(&plan, toward), need, &self.fixed.pieces[other].name);
                    }
                }
            }
        }
        found
    }

    fn under(&self, index: usize, placement: &Placement, bands: &[(f64, f64, Plan)]) -> SideRoom {
        let problem = self.problem();
        let asked = &problem.pieces[index].orientations[placement.orientation];
        let need = asked.below;
        if self.is_in_lid(placement) {
            // What its cover asks is settled before anything lies in the lid.
            let top = self.problem().tiers[self.tiers() - 1].high;
            return SideRoom {
                towards: "the foam under the lid's cover".to_owned(),
                foam: placement.bottom - top,
                need: 0.0,
            };
        }
        let passes = problem.pieces[index].may_pass && placement.tier > 0;
        let mut found = SideRoom {
            towards: "floor".to_owned(),
            foam: placement.bottom - problem.region.low,
            need,
        };
        if placement.tier > 0 && !passes {
            let under = if self.fixed.cover.is_some() {
                "the tray's board"
            } else {
                "the tray's underside"
            };
            under.clone_into(&mut found.towards);
            found.foam = placement.bottom - problem.tiers[placement.tier].low;
        }
        let mut consider = |foam: f64, towards: &str| {
            if foam < found.foam {
                found = SideRoom {
                    towards: towards.to_owned(),
                    foam,
                    need,
                };
            }
        };
        for hindrance in &self.fixed.hindrances {
            for (_, to, plan) in &hindrance.bands {
                for (low, _, mine) in bands {
                    if low + 1e-9 >= *to && mine.meets(plan) {
                        consider(low - to, &hindrance.name);
                    }
                }
            }
        }
        for (other, its) in self.placements.iter().enumerate() {
            if other == index || its.tier >= placement.tier {
                continue;
            }
            for (_, high, plan) in self.bands_of(other, its) {
                for (low, _, mine) in bands {
                    if low + 1e-9 >= high && mine.meets(&plan) {
                        consider(low - high, &self.fixed.pieces[other].name);
                    }
                }
            }
        }
        found
    }

    fn over(&self, index: usize, placement: &Placement, bands: &[(f64, f64, Plan)]) -> SideRoom {
        let top = bands
            .iter()
            .map(|(_, high, _)| *high)
            .fold(f64::NEG_INFINITY, f64::max);
        let in_lid = self.is_in_lid(placement);
        let is_last = in_lid || placement.tier + 1 == self.tiers();
        let pocketed = self
            .placements
            .iter()
            .enumerate()
            .filter(|(other, its)| !in_lid && *other != index && self.is_in_lid(its))
            .filter(|(other, its)| {
                let mut theirs = self.bands_of(*other, its);
                theirs.any(|(_, _, plan)| bands.iter().any(|(_, _, mine)| mine.meets(&plan)))
            })
            .map(|(other, its)| (its.bottom, self.fixed.pieces[other].name.clone()))
            .next();
        if let (Some(cover), false) = (self.fixed.cover, is_last) {
            return SideRoom {
                towards: "the tray's board".to_owned(),
                foam: self.problem().tiers[placement.tier].high + cover - top,
                need: self.fixed.pieces[index]
                    .covered
                    .get(placement.orientation)
                    .copied()
                    .unwrap_or(0.0),
            };
        }
        SideRoom {
            towards: match (&pocketed, is_last) {
                (Some((_, name)), true) => name.clone(),
                (None, true) => "lid".to_owned(),
                (_, false) => "the tray over it".to_owned(),
            },
            foam: if is_last {
                pocketed.map_or(self.fixed.lid, |(bottom, _)| bottom) - top
            } else {
                self.problem().tiers[placement.tier].high - top
            },
            need: if is_last {
                self.fixed.pieces[index]
                    .above
                    .get(placement.orientation)
                    .copied()
                    .unwrap_or(0.0)
            } else {
                0.0
            },
        }
    }
}
