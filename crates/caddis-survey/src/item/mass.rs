//! Volume, centre and inertia of an item.

use super::solid::{PosedSolid, bounds_of, posed_solids};
use super::{Item, ItemShape};
use caddis_basis::Volume;
use caddis_geometry::{Bounds3, Pose, Region, Vec2, Vec3};
use std::f64::consts::PI;

/// Heights at which the section of an overlapping compound is taken, per interval between its own steps.
const HEIGHTS: u32 = 24;

/// Integrals over an item at density 1 kg/m³.
struct Integrals {
    volume: f64,
    centre: Vec3,
    /// About the centre, rows.
    inertia: [Vec3; 3],
}

impl Item {
    /// Solid volume.
    ///
    /// # Accuracy
    /// Exact for primitives, for compounds whose parts stand clear of each other and for closed meshes; 0.1 % for
    /// overlapping compounds. An open mesh has no volume: its bounding box stands in, and [`Item::check`] says so.
    pub fn volume(&self) -> Volume {
        Volume::from_si(self.integrals().volume)
    }

    /// Centre of its volume in its own frame; accuracy as [`Item::volume`].
    pub fn centre_of_volume(&self) -> Vec3 {
        self.integrals().centre
    }

    /// Inertia tensor (rows, kg m²) of one piece about its centre of volume, in its own frame, at uniform density and its
    /// stated mass. A stated centre of mass does not change it, for it does not tell how the mass is spread.
    ///
    /// # Accuracy
    /// As [`Item::volume`].
    pub fn inertia(&self) -> [Vec3; 3] {
        let integrals = self.integrals();
        let density = if integrals.volume > 0.0 {
            self.mass.value.si() / integrals.volume
        } else {
            0.0
        };
        integrals.inertia.map(|row| row * density)
    }

    fn integrals(&self) -> Integrals {
        match &self.shape {
            ItemShape::Mesh { mesh, .. } => {
                let bounds = mesh.bounds().unwrap_or(Bounds3 {
                    min: Vec3::ZERO,
                    max: Vec3::ZERO,
                });
                if !mesh.check().is_closed {
                    return box_integrals(bounds);
                }
                let mass = mesh.mass_properties();
                if mass.volume > 0.0 {
                    Integrals {
                        volume: mass.volume,
                        centre: mass.centre,
                        inertia: mass.inertia,
                    }
                } else {
                    box_integrals(bounds)
                }
            }
            _ => solid_integrals(&posed_solids(self, &Pose::IDENTITY).unwrap_or_default()),
        }
    }
}

fn box_integrals(bounds: Bounds3) -> Integrals {
    let solid = PosedSolid { bounds, axis: None };
    solid_integrals(&[solid])
}

fn solid_integrals(solids: &[PosedSolid]) -> Integrals {
    let apart = |a: &PosedSolid, b: &PosedSolid| {
        let low = a.bounds.min.max(b.bounds.min);
        let high = a.bounds.max.min(b.bounds.max);
        low.x >= high.x || low.y >= high.y || low.z >= high.z
    };
    let all_apart = solids
        .iter()
        .enumerate()
        .all(|(k, a)| solids[k + 1..].iter().all(|b| apart(a, b)));
    if all_apart { summed(solids) } else { sliced(solids) }
}

/// Parts that do not overlap: sums with parallel axes.
///
/// # Source
/// Huygens-Steiner parallel-axis theorem.
fn summed(solids: &[PosedSolid]) -> Integrals {
    let volume: f64 = solids.iter().map(PosedSolid::volume).sum();
    if volume <= 0.0 {
        return Integrals {
            volume: 0.0,
            centre: bounds_of(solids).map_or(Vec3::ZERO, |b| b.centre()),
            inertia: [Vec3::ZERO; 3],
        };
    }
    let centre = solids.iter().fold(Vec3::ZERO, |sum, solid| {
        sum + solid.bounds.centre() * solid.volume()
    }) / volume;
    let mut inertia = [Vec3::ZERO; 3];
    for solid in solids {
        let (v, g, d) = (solid.volume(), solid.gyration(), solid.bounds.centre() - centre);
        let square = d.dot(d);
        inertia[0] += Vec3::new(g.x + square - d.x * d.x, -d.x * d.y, -d.x * d.z) * v;
        inertia[1] += Vec3::new(-d.y * d.x, g.y + square - d.y * d.y, -d.y * d.z) * v;
        inertia[2] += Vec3::new(-d.z * d.x, -d.z * d.y, g.z + square - d.z * d.z) * v;
    }
    Integrals {
        volume,
        centre,
        inertia,
    }
}

/// Parts that overlap: sections of their union, filled with triangles, at the midpoints of cosine-spaced steps (which
/// follow the square-root ends of lying cylinders).
fn sliced(solids: &[PosedSolid]) -> Integrals {
    let Some(bounds) = bounds_of(solids) else {
        return summed(solids);
    };
    let origin = bounds.centre();
    let mut breaks: Vec<f64> = solids
        .iter()
        .flat_map(|solid| [solid.bounds.min.z, solid.bounds.max.z])
        .collect();
    breaks.sort_by(f64::total_cmp);
    breaks.dedup();
    let mut sums = Moments::default();
    for pair in breaks.windows(2) {
        let (middle, half) = (f64::midpoint(pair[0], pair[1]), (pair[1] - pair[0]) / 2.0);
        for k in 0..HEIGHTS {
            let start = (PI * f64::from(k) / f64::from(HEIGHTS)).cos();
            let end = (PI * f64::from(k + 1) / f64::from(HEIGHTS)).cos();
            let z = middle - half * f64::midpoint(start, end);
            let thick = half * (start - end);
            let regions: Vec<Region> = solids.iter().filter_map(|solid| solid.widest(z, z)).collect();
            for triangle in Region::union_all(&regions).triangles() {
                sums.add_prism(triangle.map(|p| p - origin.plan()), z - origin.z, thick);
            }
        }
    }
    sums.finished(origin)
}

/// Volume, first and second moments about an origin.
#[derive(Default)]
struct Moments {
    volume: f64,
    first: Vec3,
    /// xx, yy, zz.
    square: Vec3,
    /// yz, xz, xy.
    mixed: Vec3,
}

impl Moments {
    /// A thin prism over a triangle.
    ///
    /// # Source
    /// Second moments of a triangle are its area over 12 times the sum over corner pairs, corners counted doubly; derived.
    fn add_prism(&mut self, triangle: [Vec2; 3], z: f64, thick: f64) {
        let [a, b, c] = triangle;
        let v = (b - a).cross(c - a).abs() / 2.0 * thick;
        let s = a + b + c;
        let product = |f: fn(Vec2) -> f64, g: fn(Vec2) -> f64| {
            v / 12.0 * (f(a) * g(a) + f(b) * g(b) + f(c) * g(c) + f(s) * g(s))
        };
        self.volume += v;
        self.first += Vec3::new(s.x / 3.0, s.y / 3.0, z) * v;
        self.square += Vec3::new(
            product(|p| p.x, |p| p.x),
            product(|p| p.y, |p| p.y),
            v * (z * z + thick * thick / 12.0),
        );
        self.mixed += Vec3::new(s.y / 3.0 * z * v, s.x / 3.0 * z * v, product(|p| p.x, |p| p.y));
    }

    fn finished(self, origin: Vec3) -> Integrals {
        let v = self.volume;
        if v <= 0.0 {
            return Integrals {
                volume: 0.0,
                centre: origin,
                inertia: [Vec3::ZERO; 3],
            };
        }
        let c = self.first / v;
        let (xx, yy, zz) = (
            self.square.x - v * c.x * c.x,
            self.square.y - v * c.y * c.y,
            self.square.z - v * c.z * c.z,
        );
        let (yz, xz, xy) = (
            self.mixed.x - v * c.y * c.z,
            self.mixed.y - v * c.x * c.z,
            self.mixed.z - v * c.x * c.y,
        );
        Integrals {
            volume: v,
            centre: origin + c,
            inertia: [
                Vec3::new(yy + zz, -xy, -xz),
                Vec3::new(-xy, xx + zz, -yz),
                Vec3::new(-xz, -yz, xx + yy),
            ],
        }
    }
}
