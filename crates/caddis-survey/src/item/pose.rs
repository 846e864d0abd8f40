//! How an item lies, and the stack of sections it then has.

use super::solid::{PosedSolid, bounds_of, posed_solids};
use super::{Item, ItemShape, PosedItem, Turn, Up};
use caddis_geometry::{Bounds3, Mesh, Placement2, Pose, Region, SectionStack, Slab, Vec2, Vec3};

/// Bands are not made thinner than this, metres, whatever is asked.
const THINNEST: f64 = 1e-4;
/// Outlines of meshes are simplified outward by this, metres: a fifth of a millimetre is below what foam is cut to.
const SIMPLIFY: f64 = 2e-4;
/// A mesh steps where level faces cover at least this share of its plan box.
const STEP_SHARE: f64 = 0.02;
/// Steps closer together than this, metres, are one.
const STEP_APART: f64 = 5e-4;
/// At most so many steps of a mesh start a band of their own.
const STEPS: usize = 32;

impl Up {
    /// The rotation that brings this direction up (+z). Exact.
    pub fn pose(self) -> Pose {
        let x = Vec3::new(1.0, 0.0, 0.0);
        let y = Vec3::new(0.0, 1.0, 0.0);
        let z = Vec3::new(0.0, 0.0, 1.0);
        let rotation = match self {
            Self::PlusZ => [x, y, z],
            Self::MinusZ => [x, -y, -z],
            Self::PlusX => [-z, y, x],
            Self::MinusX => [z, y, -x],
            Self::PlusY => [x, -z, y],
            Self::MinusY => [x, z, -y],
        };
        Pose {
            rotation,
            translation: Vec3::ZERO,
        }
    }

    /// The unit direction in the item's own frame.
    pub fn direction(self) -> Vec3 {
        self.pose().rotation[2]
    }
}

impl Item {
    /// The item with `up` on top, turned about the vertical: plan centred on its bounding box, standing
    /// on z = 0; where room it keeps clear reaches below it, that room stands there. Bands end wherever its own shape steps and are no thicker than `band` (metres) where its section
    /// changes with height; a straight part stays one band, for one band is exact there.
    pub fn posed(&self, up: Up, turn: Turn, band: f64) -> PosedItem {
        // Primitives lie along the axes: the rest of an oblique turn is made in plan.
        let (square, rest) = turn.parted();
        self.posed_square(&up.pose().then(&square.pose()), band)
            .turned(rest)
    }

    /// The item after a rotation of quarter turns.
    fn posed_square(&self, turned: &Pose, band: f64) -> PosedItem {
        let band = if band.is_finite() {
            band.max(THINNEST)
        } else {
            f64::INFINITY
        };
        let (pose, bounds, stack) = if let ItemShape::Mesh { mesh, .. } = &self.shape {
            posed_mesh(mesh, turned, band)
        } else {
            let placed = bounds_of(&posed_solids(self, turned).unwrap_or_default());
            let pose = turned.then(&Pose::translation(to_origin(placed)));
            let solids = posed_solids(self, &pose).unwrap_or_default();
            (pose, bounds_of(&solids), stack_of(&solids, band))
        };
        let centre = self.centre_of_mass.unwrap_or_else(|| self.centre_of_volume());
        let mut bounds = bounds.unwrap_or(Bounds3 {
            min: Vec3::ZERO,
            max: Vec3::ZERO,
        });
        let lowest = |pose: &Pose| {
            let rooms = self.keep_clear.iter().map(|room| room.posed(pose).low);
            rooms.fold(0.0, f64::min)
        };
        let raise = -lowest(&pose);
        let (pose, stack) = if raise > 0.0 {
            let up = Vec3::new(0.0, 0.0, raise);
            bounds = Bounds3 {
                min: bounds.min + up,
                max: bounds.max + up,
            };
            (
                pose.then(&Pose::translation(up)),
                stack.placed(&Placement2::IDENTITY, raise),
            )
        } else {
            (pose, stack)
        };
        PosedItem {
            centre_of_mass: pose.apply(centre),
            clear: self.keep_clear.iter().map(|room| room.posed(&pose)).collect(),
            pose,
            stack,
            bounds,
        }
    }
}

impl PosedItem {
    /// The same turned further about the vertical, centred anew on the box around its stack.
    #[must_use]
    pub fn turned(self, turn: Turn) -> Self {
        if turn == Turn::NONE {
            return self;
        }
        let about = Placement2 {
            angle: turn.radians(),
            shift: Vec2::ZERO,
        };
        let bounds = self.stack.placed(&about, 0.0).bounds();
        let centre = bounds.map_or(Vec2::ZERO, |b| b.centre().plan());
        let onward = Placement2 {
            shift: -centre,
            ..about
        };
        let motion = turn.pose().then(&Pose::translation((-centre).at_height(0.0)));
        let stack = self.stack.placed(&onward, 0.0);
        Self {
            centre_of_mass: motion.apply(self.centre_of_mass),
            clear: self.clear.iter().map(|room| room.placed(&onward, 0.0)).collect(),
            pose: self.pose.then(&motion),
            bounds: stack.bounds().unwrap_or(self.bounds),
            stack,
        }
    }
}

/// The shift that centres a box in plan and stands it on z = 0.
fn to_origin(bounds: Option<Bounds3>) -> Vec3 {
    bounds.map_or(Vec3::ZERO, |b| {
        let centre = b.centre();
        Vec3::new(-centre.x, -centre.y, -b.min.z)
    })
}

fn posed_mesh(mesh: &Mesh, turned: &Pose, band: f64) -> (Pose, Option<Bounds3>, SectionStack) {
    let pose = turned.then(&Pose::translation(to_origin(mesh.posed(turned).bounds())));
    let placed = mesh.posed(&pose);
    let bounds = placed.bounds();
    let stack = bounds.map_or_else(SectionStack::default, |b| {
        SectionStack::of_mesh(&placed, &mesh_heights(&placed, &b, band), SIMPLIFY)
    });
    (pose, bounds, stack)
}

/// Rising heights that span a mesh, end at its steps, and lie no farther apart than `band`.
fn mesh_heights(mesh: &Mesh, bounds: &Bounds3, band: f64) -> Vec<f64> {
    let (low, high) = (bounds.min.z, bounds.max.z.max(bounds.min.z + 1e-6));
    // Level triangles by height; two kinds of face closer than a tenth of a millimetre are one level.
    let size = bounds.size();
    let least_area = STEP_SHARE * size.x * size.y;
    let mut level: Vec<(f64, f64)> = mesh
        .triangles
        .iter()
        .filter_map(|t| {
            let [a, b, c] = t.map(|i| mesh.positions[i as usize]);
            let rise = a.z.max(b.z).max(c.z) - a.z.min(b.z).min(c.z);
            (rise < 1e-5).then(|| (a.z, (b - a).plan().cross((c - a).plan()).abs() / 2.0))
        })
        .collect();
    level.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut steps: Vec<(f64, f64)> = Vec::new();
    for (z, area) in level {
        match steps.last_mut() {
            Some(last) if z - last.0 < 1e-4 => last.1 += area,
            _ => steps.push((z, area)),
        }
    }
    steps.retain(|step| step.1 >= least_area && step.0 > low + STEP_APART && step.0 < high - STEP_APART);
    steps.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.total_cmp(&b.0)));
    let mut breaks = vec![low, high];
    for (z, _) in steps.into_iter().take(STEPS) {
        if breaks.iter().all(|&other| (other - z).abs() >= STEP_APART) {
            breaks.push(z);
        }
    }
    breaks.sort_by(f64::total_cmp);
    divided(&breaks, band, |_, _| true)
}

/// The breaks with every changing interval divided evenly so that no part is thicker than `band`.
fn divided(breaks: &[f64], band: f64, changes: impl Fn(f64, f64) -> bool) -> Vec<f64> {
    let mut heights: Vec<f64> = breaks.first().copied().into_iter().collect();
    for pair in breaks.windows(2) {
        let (low, high) = (pair[0], pair[1]);
        if changes(low, high) {
            let parts = ((high - low) / band - 1e-9).ceil().max(1.0) as u32;
            heights.extend((1..parts).map(|k| low + (high - low) * f64::from(k) / f64::from(parts)));
        }
        heights.push(high);
    }
    heights
}

/// The stack of some primitives.
fn stack_of(solids: &[PosedSolid], band: f64) -> SectionStack {
    let mut breaks: Vec<f64> = solids
        .iter()
        .flat_map(|solid| [solid.bounds.min.z, solid.bounds.max.z])
        .collect();
    breaks.sort_by(f64::total_cmp);
    breaks.dedup_by(|b, a| *b - *a < 1e-9);
    let changes = |low: f64, high: f64| {
        solids
            .iter()
            .any(|solid| solid.is_lying() && solid.bounds.min.z < high && solid.bounds.max.z > low)
    };
    let heights = divided(&breaks, band, changes);
    let slabs = heights
        .windows(2)
        .map(|pair| {
            let (low, high) = (pair[0], pair[1]);
            let regions: Vec<Region> = solids
                .iter()
                .filter_map(|solid| solid.widest(low, high))
                .collect();
            Slab {
                region: match regions.as_slice() {
                    [] => Region::empty(),
                    [one] => one.clone(),
                    many => Region::union_all(many),
                },
                low,
                high,
            }
        })
        .collect();
    SectionStack { slabs }
}
