//! A half as numbers: rounded rectangles that run linearly from floor to rim.
//!
//! Heights here are measured from the floor of the base or the crown of the lid towards the rim, in metres.

pub(super) use super::body::{Body, Root};
pub(super) use super::rounded::Rounded;
use super::traced::Trace;
use super::{Opening, ShellHalf, TracedSection};
use caddis_basis::{Length, Measured};
use caddis_geometry::{Region, Vec2};
use std::f64::consts::FRAC_PI_2;

/// Chords of a dome's quarter ellipse: Inner, and within 0.2 % of its rise.
const DOME_CHORDS: u32 = 16;

/// The walls at one height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Station {
    pub(super) height: f64,
    pub(super) walls: Rounded,
}

/// A half by numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Profile {
    pub(super) rim: Rounded,
    pub(super) floor: Rounded,
    pub(super) depth: f64,
    pub(super) fillet: f64,
    /// Where the walls between floor and rim start: the dome's rise.
    pub(super) spring: f64,
    /// The walls from zero to the depth, rising; two at one height are a ledge.
    pub(super) stations: Vec<Station>,
    /// Intrusions that are there, in the survey's order.
    pub(super) bodies: Vec<Body>,
    /// Traced sections, rising.
    pub(super) traces: Vec<Trace>,
}

impl Profile {
    /// Every dimension at its value.
    pub(super) fn nominal(half: &ShellHalf) -> Self {
        Self::build(
            half,
            |size| size.value,
            |take| take.value,
            Body::nominal,
            Trace::nominal,
        )
    }

    /// Sizes of the room at their least, what takes room at its most. The depth is at its most, because that brings a
    /// given height closer to the floor; [`super::Shell::least_section`] ends the room at the least depth.
    pub(super) fn least(half: &ShellHalf) -> Self {
        Self::build(half, Measured::least, Measured::most, Body::most, Trace::least)
    }

    fn build(
        half: &ShellHalf,
        room: impl Fn(&Measured<Length>) -> Length,
        taken: impl Fn(&Measured<Length>) -> Length,
        body: impl Fn(&super::Intrusion, &ShellHalf, usize, f64) -> Body,
        trace: impl Fn(&TracedSection) -> Trace,
    ) -> Self {
        let opening = |o: &Opening| {
            Rounded::new(
                o.centre,
                Vec2::new(room(&o.length).si() / 2.0, room(&o.width).si() / 2.0),
                taken(&o.corner_radius).si(),
            )
        };
        let (rim, floor) = (opening(&half.rim), opening(&half.floor));
        let depth = taken(&half.depth).si();
        let mut stations = Vec::new();
        let spring = half
            .dome
            .as_ref()
            .map_or(0.0, |dome| room(&dome.rise).si().clamp(0.0, depth.max(0.0)));
        match &half.dome {
            Some(dome) if spring > 0.0 => {
                let flat = opening(&dome.flat);
                stations.extend((0..=DOME_CHORDS).map(|k| {
                    // Quarter ellipse: level at the flat, upright at the crown's opening.
                    let angle = FRAC_PI_2 * f64::from(k) / f64::from(DOME_CHORDS);
                    let (out, down) = (angle.sin(), 1.0 - angle.cos());
                    Station {
                        height: spring * down,
                        walls: flat.lerp(&floor, out),
                    }
                }));
            }
            _ => stations.push(Station {
                height: 0.0,
                walls: floor,
            }),
        }
        for step in &half.steps {
            let height = taken(&step.at).si().clamp(spring, depth.max(spring));
            stations.push(Station {
                height,
                walls: opening(&step.below),
            });
            if step.above != step.below {
                stations.push(Station {
                    height,
                    walls: opening(&step.above),
                });
            }
        }
        stations.push(Station {
            height: depth,
            walls: rim,
        });
        let foot = stations.first().map_or(floor, |station| station.walls);
        let fillet = taken(&half.fillet)
            .si()
            .clamp(0.0, depth.min(foot.half.x).min(foot.half.y).max(0.0));
        let bodies = half
            .intrusions
            .iter()
            .enumerate()
            .filter(|(_, intrusion)| !intrusion.removed)
            .map(|(index, intrusion)| body(intrusion, half, index, depth))
            .collect();
        Self {
            rim,
            floor,
            depth,
            fillet,
            spring,
            stations,
            bodies,
            traces: half.traced.iter().map(trace).collect(),
        }
    }

    /// The walls alone at a height: straight from station to station; at a ledge the narrower. Radii are held to their
    /// half-side at every station, so that what lies between is linear too and never exceeds its own half-side.
    pub(super) fn walls_at(&self, h: f64) -> Rounded {
        let above = self
            .stations
            .partition_point(|station| station.height < h)
            .min(self.stations.len() - 1);
        let Some(before) = above.checked_sub(1) else {
            return self.stations[0].walls;
        };
        let (a, b) = (&self.stations[before], &self.stations[above]);
        let span = b.height - a.height;
        if span > 0.0 {
            a.walls.lerp(&b.walls, ((h - a.height) / span).clamp(0.0, 1.0))
        } else {
            a.walls
        }
    }

    /// How far the fillet stands in from the wall at a height: r - sqrt(r² - (r - h)²) below r.
    ///
    /// # Accuracy
    /// A fillet tangent to a drafted wall takes a little less, so this errs towards less room.
    ///
    /// # Source
    /// Circle of radius r that touches the floor and an upright wall; derived.
    pub(super) fn fillet_inset(&self, h: f64) -> f64 {
        let r = self.fillet;
        if h >= r {
            0.0
        } else {
            let up = r - h.max(0.0);
            r - (r * r - up * up).max(0.0).sqrt()
        }
    }

    /// Walls and fillet at a height; `None` when nothing is left.
    pub(super) fn free_at(&self, h: f64) -> Option<Rounded> {
        self.walls_at(h).inset(self.fillet_inset(h))
    }

    /// Walls, fillet and traced section at a height.
    pub(super) fn room_at(&self, h: f64) -> Option<Region> {
        let walls = self.free_at(h)?.region();
        Some(match self.trace_at(h) {
            Some(trace) => walls.intersection(&trace.room()),
            None => walls,
        })
    }

    /// Height of wall or fillet over a plan point: the least height from which the point is free of both.
    ///
    /// # Accuracy
    /// Bisection of an exact, falling condition to the last bit.
    pub(super) fn wall_over(&self, p: Vec2) -> f64 {
        let inside = |h: f64| self.walls_at(h).signed_distance(p) + self.fillet_inset(h) <= 0.0;
        if inside(0.0) {
            return 0.0;
        }
        let (mut low, mut high) = (0.0, self.depth);
        for _ in 0..64 {
            let middle = f64::midpoint(low, high);
            if middle <= low || middle >= high {
                break;
            }
            if inside(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }

    /// Height of the highest matter over a plan point; `None` outside the rim opening.
    pub(super) fn matter_over(&self, p: Vec2) -> Option<f64> {
        let out = self.rim.signed_distance(p);
        if out.is_nan() || out > 1e-12 {
            return None;
        }
        let tops = self.bodies.iter().filter_map(|body| body.top_over(p));
        Some(tops.fold(self.wall_over(p).max(self.traced_over(p)), f64::max))
    }

    /// Heights at which the walls change their law, the ends included.
    pub(super) fn breaks(&self) -> Vec<f64> {
        let mut breaks: Vec<f64> = self.stations.iter().map(|station| station.height).collect();
        breaks.extend(self.traces.iter().map(|trace| trace.from.min(self.depth)));
        breaks.push(0.0);
        breaks.push(self.depth);
        breaks
    }
}
