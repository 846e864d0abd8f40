//! Openings, steps and dome of a survey from the walls that were fitted.

use super::recovered::{EDGE, LEAST_OFF, RADIUS_OFF, rounded, sized};
use super::walls::{End, FittedWalls, Walls};
use crate::shell::check::survey;
use crate::shell::rounded::Rounded;
use crate::shell::{Dome, Opening, Step, Wall};
use caddis_basis::{Finding, Length, Margin, Said, Severity, Source, said};
use caddis_geometry::Vec2;

/// A stretch so long is known half as closely as a long one, metres (by the round trips of the tests).
const SHORT: f64 = 40e-3;
/// A wall that narrows towards the rim by less is taken as upright without a word, metres.
const NARROWS: f64 = 0.5e-3;

/// What openings are made from.
pub(super) struct Ends<'a> {
    pub(super) fitted: &'a FittedWalls,
    pub(super) walls: &'a Walls,
    pub(super) origin: Vec2,
    /// Where the rim is.
    pub(super) depth: f64,
}

impl Ends<'_> {
    /// Standard deviation of one number of the walls.
    pub(super) fn deviation(&self, number: usize) -> f64 {
        self.fitted.deviations.get(number).copied().unwrap_or(0.0)
    }

    /// Where foot, radius of a stretch stand among the numbers; a stretch that only changes its draft has those of the one
    /// below.
    fn foot_of(&self, segment: usize) -> usize {
        let whole = (0..=segment)
            .rev()
            .find(|&k| k == 0 || self.walls.segments[k].is_ledge)
            .unwrap_or(0);
        if whole == 0 {
            4
        } else {
            self.walls.numbers_of(whole) + 1
        }
    }

    /// How far two walls together may be off: at the foot, and what their lean adds from there.
    fn off(&self, segment: usize, h: f64, sides: [usize; 2]) -> f64 {
        let foot = self.foot_of(segment);
        let from_foot = 3.0 * (self.deviation(foot + sides[0]) + self.deviation(foot + sides[1]));
        // Over the whole depth what the lean adds is what the foot takes: only a short stretch adds its own.
        let from_lean = if self.walls.segments.len() == 1 {
            0.0
        } else {
            let up = (h - self.walls.segments[segment].from).abs();
            let lean = if segment == 0 {
                8
            } else {
                self.walls.numbers_of(segment)
                    + if self.walls.segments[segment].is_ledge {
                        5
                    } else {
                        1
                    }
            };
            up * (self.deviation(lean + sides[0]) + self.deviation(lean + sides[1]))
        };
        // Stretches between edges show the less of themselves the shorter they are: the edges are blunt.
        let segments = &self.walls.segments;
        let least = if segments.len() == 1 {
            LEAST_OFF
        } else {
            let end = segments.get(segment + 1).map_or(self.depth, |next| next.from);
            let start = match self.walls.end {
                End::Fillet(radius) if segment == 0 => radius,
                End::Dome { rise, .. } if segment == 0 => rise,
                _ => segments[segment].from,
            };
            LEAST_OFF * (1.0 + SHORT / (end - start).max(EDGE))
        };
        least.max(self.fitted.spread).max(from_foot + from_lean)
    }

    fn of(&self, o: &Rounded, length: f64, width: f64, radius: f64) -> Opening {
        Opening {
            length: sized(2.0 * o.half.x, length),
            width: sized(2.0 * o.half.y, width),
            corner_radius: sized(o.radius, radius),
            centre: rounded(o.centre - self.origin),
        }
    }

    /// The opening of a stretch at a height.
    pub(super) fn opening(&self, segment: usize, h: f64) -> Opening {
        let foot = self.foot_of(segment);
        let radius = if foot == 4 { 12 } else { foot + 8 };
        self.of(
            &self.walls.segments[segment].at(h),
            self.off(segment, h, [0, 1]),
            self.off(segment, h, [2, 3]),
            RADIUS_OFF.max(3.0 * self.deviation(radius)),
        )
    }

    /// Where a stretch starts.
    pub(super) fn step(&self, segment: usize) -> Step {
        let at = self.walls.segments[segment].from;
        let below = self.opening(segment - 1, at);
        let is_ledge = self.walls.segments[segment].is_ledge;
        let blunt = if is_ledge { 2.0 * LEAST_OFF } else { EDGE };
        Step {
            at: sized(
                at,
                blunt
                    .max(self.fitted.spread)
                    .max(3.0 * self.deviation(self.walls.numbers_of(segment))),
            ),
            above: if is_ledge {
                self.opening(segment, at)
            } else {
                below.clone()
            },
            below,
        }
    }

    /// The dome.
    ///
    /// # Accuracy
    /// The flat goes over into the curve without an edge: where it ends is no better known than the curve's start, where
    /// it leaves the level by what the surface spreads.
    pub(super) fn dome(&self) -> Option<Dome> {
        let End::Dome { rise, .. } = self.walls.end else {
            return None;
        };
        let flat = self.walls.flat()?;
        let end = Walls::END;
        let off = |a: usize, b: usize| {
            (4.0 * LEAST_OFF).max(3.0 * (self.deviation(end + 1 + a) + self.deviation(end + 1 + b)))
        };
        Some(Dome {
            rise: sized(rise, (2.0 * LEAST_OFF).max(3.0 * self.deviation(end))),
            flat: self.of(
                &flat,
                off(0, 1),
                off(2, 3),
                (3.0 * RADIUS_OFF).max(3.0 * self.deviation(end + 5)),
            ),
        })
    }
}

/// Walls that lean in towards the rim, taken as upright; said where that is more than their uncertainty.
pub(super) fn upright(fitted: &Walls, half: &Said, findings: &mut Vec<Finding>) -> Walls {
    let mut walls = fitted.clone();
    for segment in &mut walls.segments {
        for (lean, wall) in segment.lean.iter_mut().zip(Wall::ALL) {
            if *lean >= 0.0 {
                continue;
            }
            let degrees = lean.atan().to_degrees();
            // Within its own uncertainty it is upright.
            if degrees < -0.1 {
                findings.push(
                    survey(
                        "fit-undercut",
                        Severity::Caution,
                        said!("{half} wall {wall}", half, wall = wall.said()),
                        said!(
                            "the wall leans in by {angle:.2} deg towards the rim; it was taken as upright",
                            angle = -degrees
                        ),
                        Source::derived(said!("fit of the surface")),
                    )
                    .margin(Margin::at_least(degrees, 0.0, "deg"))
                    .remedy(said!(
                        "look whether the scan is upside down or the wall is bulged, and measure it by hand"
                    )),
                );
            }
            *lean = 0.0;
        }
    }
    walls
}

/// From the rim down no opening is wider than the one nearer to the rim: a survey's plan never narrows towards it.
pub(super) fn widened(
    rim: &Opening,
    steps: &mut [Step],
    floor: &mut Opening,
    dome: Option<&mut Dome>,
    half: &Said,
    findings: &mut Vec<Finding>,
) {
    let mut limit = rim.clone();
    let mut most = 0.0_f64;
    let mut hold = |opening: &mut Opening| {
        most = most.max(held(opening, &limit));
        limit = opening.clone();
    };
    for step in steps.iter_mut().rev() {
        hold(&mut step.above);
        hold(&mut step.below);
    }
    hold(floor);
    if let Some(dome) = dome {
        hold(&mut dome.flat);
    }
    if most > NARROWS {
        findings.push(
            survey(
                "fit-narrows",
                Severity::Caution,
                said!("{half} steps", half),
                said!(
                    "the walls narrow by {most} towards the rim at a step; the opening farther from the rim was taken as no wider",
                    most = Length::from_si(most)
                ),
                Source::derived(said!("fit of the surface")),
            )
            .margin(Margin::at_most(most * 1e3, 0.0, "mm"))
            .remedy(said!(
                "an undercut holds foam back: look at the residual map and measure it by hand"
            )),
        );
    }
}

/// Draws an opening in to the limit; gives by how much it stood out.
fn held(opening: &mut Opening, limit: &Opening) -> f64 {
    let mut worst = 0.0_f64;
    let mut side = |size: &mut caddis_basis::Measured<Length>, centre: &mut f64, limit: (f64, f64)| {
        let half = size.value.si() / 2.0;
        let (low, high) = (*centre - half, *centre + half);
        let out = (limit.0 - low).max(high - limit.1);
        if out > 0.0 {
            worst = worst.max(out);
            // To whole hundredths of a millimetre, inwards.
            let (low, high) = (
                (low.max(limit.0) * 1e5 - 1e-6).ceil() / 1e5,
                (high.min(limit.1) * 1e5 + 1e-6).floor() / 1e5,
            );
            *centre = f64::midpoint(low, high);
            size.value = Length::mm(((high - low) * 1e5).round() / 100.0);
        }
    };
    let reach = |size: &caddis_basis::Measured<Length>, centre: f64| {
        (centre - size.value.si() / 2.0, centre + size.value.si() / 2.0)
    };
    side(
        &mut opening.length,
        &mut opening.centre.x,
        reach(&limit.length, limit.centre.x),
    );
    side(
        &mut opening.width,
        &mut opening.centre.y,
        reach(&limit.width, limit.centre.y),
    );
    worst
}
