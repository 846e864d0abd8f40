//! Solids as stacks of horizontal sections: what layout, cavities and layers are made of.

mod boundary;

pub use boundary::{Boundary, BoundaryEdge, BoundaryError, BoundaryFace, BoundaryPiece, Surface};

use crate::mesh::{Spans, shadow_among};
use crate::{Bounds3, Mesh, Placement2, Region, Side, Vec3};

/// A straight prism: a region between two heights.
#[derive(Debug, Clone, PartialEq)]
pub struct Prism {
    /// The plan.
    pub region: Region,
    /// Bottom, metres.
    pub low: f64,
    /// Top, metres.
    pub high: f64,
}

impl Prism {
    /// Volume, m³.
    pub fn volume(&self) -> f64 {
        self.region.area() * (self.high - self.low)
    }

    /// Whether a point lies in it or on its boundary.
    pub fn holds(&self, p: Vec3) -> bool {
        self.low <= p.z && p.z <= self.high && self.region.contains(p.plan())
    }

    /// The prism moved in plan and raised by `raise`.
    #[must_use]
    pub fn placed(&self, placement: &Placement2, raise: f64) -> Self {
        self.mapped(raise, |region| region.placed(placement))
    }

    fn mapped(&self, raise: f64, map: impl Fn(&Region) -> Region) -> Self {
        Self {
            region: map(&self.region),
            low: self.low + raise,
            high: self.high + raise,
        }
    }
}

/// One band of a stack: `region` holds every section of the solid between `low` and `high` (Outer).
pub type Slab = Prism;

/// A solid bounded from outside by contiguous bands, bottom to top.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SectionStack {
    /// Bands from bottom to top, each starting where the last ended; a band may be empty only where the solid is.
    pub slabs: Vec<Slab>,
}

impl SectionStack {
    /// Outer stack of a mesh with bands between the given rising heights, which must span the mesh; simplified outward by
    /// `simplify` metres. Heights that do not rise are passed over. An open mesh counts as closed by straight lines
    /// between its loose ends in each section, plus the projection of what surface it has.
    pub fn of_mesh(mesh: &Mesh, heights: &[f64], simplify: f64) -> Self {
        let spans = Spans::new(mesh);
        let mut slabs: Vec<Slab> = Vec::new();
        let mut from: Option<f64> = None;
        for &high in heights.iter().filter(|h| h.is_finite()) {
            if let Some(low) = from.filter(|&low| high > low) {
                let region = shadow_among(&spans, low, high).simplified(simplify, Side::Outer);
                slabs.push(Slab { region, low, high });
            }
            from = Some(from.map_or(high, |low| low.max(high)));
        }
        Self { slabs }
    }

    /// Lowest height; `None` when empty.
    pub fn low(&self) -> Option<f64> {
        self.slabs.first().map(|slab| slab.low)
    }

    /// Highest height; `None` when empty.
    pub fn high(&self) -> Option<f64> {
        self.slabs.last().map(|slab| slab.high)
    }

    /// Everything the solid occupies between two heights, in plan (union of the bands met). Bands that only touch
    /// the interval do not count.
    pub fn shadow(&self, low: f64, high: f64) -> Region {
        Region::union_all(
            self.slabs
                .iter()
                .filter(|slab| slab.low < high && slab.high > low)
                .map(|slab| &slab.region),
        )
    }

    /// The lift-out sweep: each band holds every section at or below it (the cavity that lets the solid out upward).
    #[must_use]
    pub fn swept_up(&self) -> Self {
        let mut below: Option<Region> = None;
        let slabs = self
            .slabs
            .iter()
            .map(|slab| {
                let region = match &below {
                    None => slab.region.clone(),
                    Some(below) if *below == slab.region => slab.region.clone(),
                    Some(below) => below.union(&slab.region),
                };
                below = Some(region.clone());
                Slab {
                    region,
                    low: slab.low,
                    high: slab.high,
                }
            })
            .collect();
        Self { slabs }
    }

    /// The stack together with prisms (Outer); one apart from it leaves an empty band between. Prisms without height are
    /// passed over.
    #[must_use]
    pub fn with_prisms(&self, prisms: &[Prism]) -> Self {
        let prisms: Vec<&Prism> = prisms.iter().filter(|prism| prism.high > prism.low).collect();
        if prisms.is_empty() {
            return self.clone();
        }
        let mut heights: Vec<f64> = self.slabs.iter().flat_map(|slab| [slab.low, slab.high]).collect();
        heights.extend(prisms.iter().flat_map(|prism| [prism.low, prism.high]));
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|b, a| *b - *a < 1e-9);
        let slabs = heights
            .windows(2)
            .map(|pair| {
                let (low, high) = (pair[0], pair[1]);
                let meets = |bottom: f64, top: f64| bottom < high - 1e-9 && top > low + 1e-9;
                let own = self.slabs.iter().filter(|slab| meets(slab.low, slab.high));
                let others = prisms.iter().filter(|prism| meets(prism.low, prism.high));
                let regions: Vec<&Region> = own
                    .map(|slab| &slab.region)
                    .chain(others.map(|prism| &prism.region))
                    .collect();
                Slab {
                    region: match regions.as_slice() {
                        [] => Region::empty(),
                        [one] => (*one).clone(),
                        many => Region::union_all(many.iter().copied()),
                    },
                    low,
                    high,
                }
            })
            .collect();
        Self { slabs }
    }

    /// The stack moved in plan and raised by `raise`.
    #[must_use]
    pub fn placed(&self, placement: &Placement2, raise: f64) -> Self {
        self.mapped(raise, |region| region.placed(placement))
    }

    /// Each band's region offset by `by` metres (Outer).
    #[must_use]
    pub fn offset(&self, by: f64) -> Self {
        self.mapped(0.0, |region| {
            if by == 0.0 {
                region.clone()
            } else {
                region.offset(by, Side::Outer)
            }
        })
    }

    fn mapped(&self, raise: f64, map: impl Fn(&Region) -> Region) -> Self {
        let slabs = self.slabs.iter().map(|slab| slab.mapped(raise, &map)).collect();
        Self { slabs }
    }

    /// Volume of the bands, m³.
    pub fn volume(&self) -> f64 {
        self.slabs
            .iter()
            .map(|slab| slab.region.area() * (slab.high - slab.low))
            .sum()
    }

    /// The box of the bands that hold something; `None` when none does.
    pub fn bounds(&self) -> Option<Bounds3> {
        let corners = self.slabs.iter().filter_map(|slab| {
            let plan = slab.region.bounds()?;
            Some([plan.min.at_height(slab.low), plan.max.at_height(slab.high)])
        });
        Bounds3::around(corners.flatten())
    }

    /// Volume that the lift-out cavity has over the solid itself: the undercut, m³.
    pub fn undercut(&self) -> f64 {
        self.swept_up().volume() - self.volume()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Vec2;

    fn mushroom() -> SectionStack {
        let profile = [
            Vec2::new(0.01, 0.0),
            Vec2::new(0.01, 0.03),
            Vec2::new(0.03, 0.03),
            Vec2::new(0.03, 0.04),
            Vec2::new(0.02, 0.04),
            Vec2::new(0.02, 0.06),
        ];
        let mesh = Mesh::revolved(&profile, 96);
        let heights: Vec<f64> = (0..=12).map(|i| f64::from(i) * 0.005).collect();
        SectionStack::of_mesh(&mesh, &heights, 0.0002)
    }

    #[test]
    fn the_sweep_is_nested_and_holds_the_stack() {
        let stack = mushroom();
        let sweep = stack.swept_up();
        for pair in sweep.slabs.windows(2) {
            assert!(pair[0].region.difference(&pair[1].region).area() < 1e-9);
        }
        for (own, swept) in stack.slabs.iter().zip(&sweep.slabs) {
            assert!(own.region.difference(&swept.region).area() < 1e-9);
        }
        let undercut = stack.undercut();
        // Over the cap's rim: a ring between 20 and 30 mm, 20 mm tall.
        let ring = std::f64::consts::PI * (0.03_f64.powi(2) - 0.02_f64.powi(2)) * 0.02;
        assert!((undercut / ring - 1.0).abs() < 0.2, "{undercut} {ring}");
    }

    #[test]
    fn prisms_add_what_they_hold_beyond_the_stack() {
        let stack = mushroom();
        let prism = |min: Vec3, max: Vec3| Prism {
            region: Region::rectangle(min.plan(), max.plan()),
            low: min.z,
            high: max.z,
        };
        let beside = prism(Vec3::new(0.025, -0.005, 0.002), Vec3::new(0.060, 0.005, 0.012));
        let joined = stack.with_prisms(&[beside]);
        assert!((joined.volume() - stack.volume() - 0.035 * 0.010 * 0.010).abs() < 1e-9);
        // Inside it nothing is added; above it with room between an empty band stays.
        let inside = prism(Vec3::new(-0.002, -0.002, 0.01), Vec3::new(0.002, 0.002, 0.02));
        assert!((stack.with_prisms(&[inside]).volume() - stack.volume()).abs() < 1e-9);
        let above = prism(Vec3::new(-0.01, -0.01, 0.07), Vec3::new(0.01, 0.01, 0.08));
        let apart = stack.with_prisms(&[above]);
        assert_eq!(apart.high(), Some(0.08));
        assert!((apart.volume() - stack.volume() - 4e-6).abs() < 1e-9);
        assert_eq!(stack.with_prisms(&[]), stack);
    }

    #[test]
    fn moving_keeps_the_volume() {
        let stack = mushroom();
        let moved = stack.placed(
            &Placement2 {
                angle: 0.4,
                shift: Vec2::new(0.2, -0.1),
            },
            0.05,
        );
        assert!((moved.volume() - stack.volume()).abs() < 1e-9);
        assert!((moved.low().unwrap_or(0.0) - 0.05).abs() < 1e-12);
        assert!(stack.offset(0.002).volume() > stack.volume());
    }
}
