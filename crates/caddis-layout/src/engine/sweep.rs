//! A piece in one orientation: bands, lift-out sweep, supports.

use super::ROUNDING;
use super::convex::Convex;
use super::polygon::{convex_parts, hull, signed_area, straightened};
use caddis_geometry::{Region as Plan, SectionStack, Vec2};

/// One band of a body, heights above its lowest point.
#[derive(Debug, Clone)]
struct Band {
    low: f64,
    hull: Vec<Vec2>,
    /// Index into the levels: what the sweep holds in this band.
    level: usize,
}

/// A body and its upward sweep. The sweep at a height is everything of the body at or below it.
#[derive(Debug, Clone)]
pub(crate) struct Sweep {
    bands: Vec<Band>,
    levels: Vec<Vec<Convex>>,
    pub(crate) height: f64,
    pub(crate) min: Vec2,
    pub(crate) max: Vec2,
    /// Plan area of its largest band.
    pub(crate) area: f64,
    /// Whether its largest band is one piece that spans the body's box.
    pub(crate) is_connected: bool,
}

impl Sweep {
    pub(crate) fn new(stack: &SectionStack) -> Self {
        let base = stack.low().unwrap_or(0.0);
        let mut body = Self {
            bands: Vec::new(),
            levels: Vec::new(),
            height: stack.high().unwrap_or(0.0) - base,
            min: Vec2::new(f64::INFINITY, f64::INFINITY),
            max: Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
            area: 0.0,
            is_connected: false,
        };
        let mut sweep = Plan::empty();
        for (index, slab) in stack.slabs.iter().enumerate() {
            let parts = if index > 0 && slab.region == stack.slabs[index - 1].region {
                Vec::new()
            } else {
                convex_parts(&slab.region)
            };
            body.area = body
                .area
                .max(parts.iter().map(|part| signed_area(&part.points)).sum());
            let points: Vec<Vec2> = parts
                .iter()
                .flat_map(|part| part.points.iter().copied())
                .collect();
            let grows = parts.iter().any(|part| {
                !body
                    .levels
                    .last()
                    .is_some_and(|known| known.iter().any(|k| k.holds(part)))
            });
            if grows || body.levels.is_empty() {
                let covers = body.levels.last().is_none_or(|known| {
                    known
                        .iter()
                        .all(|known| parts.iter().any(|part| part.holds(known)))
                });
                if covers {
                    sweep = straightened(&slab.region);
                    body.levels.push(parts);
                } else {
                    sweep = sweep.union(&straightened(&slab.region));
                    body.levels.push(convex_parts(&sweep));
                }
            }
            for &p in &points {
                body.min = body.min.min(p);
                body.max = body.max.max(p);
            }
            // An empty hull repeats the band below, which binds at least as much where walls widen upwards; where
            // they narrow, the whole sweep is tested at the top.
            body.bands.push(Band {
                low: slab.low - base,
                hull: hull(&points),
                level: body.levels.len() - 1,
            });
        }
        body.is_connected = stack.slabs.iter().any(|slab| {
            let parts = convex_parts(&slab.region);
            let reaches = |n: Vec2| {
                parts
                    .iter()
                    .map(|part| part.support(n))
                    .fold(f64::NEG_INFINITY, f64::max)
            };
            let area: f64 = parts.iter().map(|part| signed_area(&part.points)).sum();
            slab.region.shapes.len() == 1
                && area >= body.area
                && reaches(Vec2::new(1.0, 0.0)) >= body.max.x
                && reaches(Vec2::new(-1.0, 0.0)) >= -body.min.x
                && reaches(Vec2::new(0.0, 1.0)) >= body.max.y
                && reaches(Vec2::new(0.0, -1.0)) >= -body.min.y
        });
        if !body.min.is_finite() {
            (body.min, body.max) = (Vec2::ZERO, Vec2::ZERO);
        }
        body
    }

    pub(crate) fn size(&self) -> Vec2 {
        self.max - self.min
    }

    /// The level that holds everything of the body below a height above its lowest point; `None` at or below 0.
    pub(crate) fn level_below(&self, height: f64) -> Option<usize> {
        self.bands
            .iter()
            .rev()
            .find(|band| band.low < height - ROUNDING)
            .map(|band| band.level)
    }

    /// The level of the whole body; `None` when there is no body.
    pub(crate) fn whole(&self) -> Option<usize> {
        self.levels.len().checked_sub(1)
    }

    pub(crate) fn level(&self, level: usize) -> &[Convex] {
        &self.levels[level]
    }

    /// Reach along `n` of each band, with the height of the band's bottom.
    pub(crate) fn reaches(&self, n: Vec2) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.bands
            .iter()
            .filter(|band| !band.hull.is_empty())
            .map(move |band| {
                let reach = band
                    .hull
                    .iter()
                    .map(|p| n.dot(*p))
                    .fold(f64::NEG_INFINITY, f64::max);
                (band.low, reach)
            })
    }
}
