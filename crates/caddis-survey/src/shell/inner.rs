//! What search asks: inner half-spaces and outer obstacles.

use super::profile::{Profile, Rounded};
use super::{HalfSide, HalfSpace, Obstacle, Shell};
use caddis_geometry::{Region, Shape, Side, Vec2};
use std::f64::consts::PI;

/// Chords per corner: the cut between arc and chord is then r (1 - cos 7.5 deg) = 0.9 % of the radius.
const CHORDS: u32 = 6;
/// Bands of the fillet ring.
const FILLET_BANDS: u32 = 4;
/// An intrusion's band may be wider than its section by this much on each side, metres.
const BAND_TAPER: f64 = 1e-3;
/// A band of a stepped or domed wall may be wider than its section by this much, metres.
const WALL_BAND_TAPER: f64 = 3e-3;
/// What traced sections take off a wall counts where it is thicker than twice this, metres: less is two readings of one wall.
const TRACED_SLIVER: f64 = 3e-4;
/// Bands of traced sections that differ by no more than twice this are one, metres.
const TRACED_TAPER: f64 = 5e-4;
/// How far the fillet ring reaches out behind the walls, metres.
const RING_WIDTH: f64 = 0.1;

impl Shell {
    /// Inner half-spaces of one half: the four drafted walls and chords inscribed in the four corners. A point that
    /// satisfies all of them at a height of the half lies between its walls there (fillet, steps, dome and intrusions
    /// excepted: those are obstacles).
    pub fn half_spaces(&self, side: HalfSide) -> Vec<HalfSpace> {
        let profile = Profile::nominal(self.half(side));
        let quarter = PI / 2.0;
        let mut spaces = Vec::with_capacity(4 + 4 * CHORDS as usize);
        for wall in 0..4_u32 {
            let normal = direction(wall, 0.0);
            spaces.push(self.half_space(side, normal, &profile, 0.0));
        }
        let step = quarter / f64::from(CHORDS);
        for corner in 0..4_u32 {
            if profile.stations.iter().all(|station| station.walls.radius <= 0.0) {
                break;
            }
            for chord in 0..CHORDS {
                let normal = direction(corner, step * (f64::from(chord) + 0.5));
                // The arc's centre and radius run linearly with height, and so does the chord between two fixed
                // directions of it.
                spaces.push(self.half_space(side, normal, &profile, 1.0 - (step / 2.0).cos()));
            }
        }
        spaces
    }

    /// The half-space through the rim that is steepest without cutting any station's support (each less `cut` times its
    /// corner radius), in case heights.
    fn half_space(&self, side: HalfSide, normal: Vec2, profile: &Profile, cut: f64) -> HalfSpace {
        let support = |o: &Rounded| o.support(normal) - o.radius * cut;
        let at_rim = support(&profile.rim);
        let slope = profile
            .stations
            .iter()
            .filter(|station| station.height < profile.depth)
            .map(|station| (at_rim - support(&station.walls)) / (profile.depth - station.height))
            .fold(f64::INFINITY, f64::min);
        let slope = if slope.is_finite() { slope } else { 0.0 };
        let at_floor = at_rim - slope * profile.depth;
        match side {
            HalfSide::Base => HalfSpace {
                normal,
                offset: at_floor,
                slope,
            },
            HalfSide::Lid => HalfSpace {
                normal,
                offset: at_floor + slope * self.crown_height().si(),
                slope: -slope,
            },
        }
    }

    /// Obstacles of one half: intrusions in bands (Outer), the fillet ring in bands, and in bands what steps, a dome
    /// and traced sections leave of the room that the half-spaces promise. Outlines may reach on behind the walls.
    ///
    /// # Accuracy
    /// Outer, save where a traced section lies within 0.6 mm of the walls: there the walls stand for it.
    pub fn obstacles(&self, side: HalfSide) -> Vec<Obstacle> {
        let half = self.half(side);
        let profile = Profile::nominal(half);
        let mut obstacles = Vec::new();
        let mut push = |name: &str, is_wall: bool, outline: Region, h0: f64, h1: f64| {
            if h1 <= h0 || outline.is_empty() {
                return;
            }
            let crown = self.crown_height().si();
            let (low, high) = match side {
                HalfSide::Base => (h0, h1),
                HalfSide::Lid => (crown - h1, crown - h0),
            };
            obstacles.push(Obstacle {
                name: name.to_owned(),
                is_wall,
                outline,
                low,
                high,
            });
        };
        for body in &profile.bodies {
            let (from, to) = body.reach();
            let bands = (body.drawn_in() / BAND_TAPER).ceil().clamp(1.0, 8.0) as u32;
            let height = |k: u32| from + (to - from) * f64::from(k) / f64::from(bands);
            for k in 0..bands {
                if let Some(outline) = body.outline_at(height(k)) {
                    push(
                        &half.intrusions[body.index].name,
                        false,
                        outline.region(),
                        height(k),
                        height(k + 1),
                    );
                }
            }
        }
        let name = match side {
            HalfSide::Base => "floor fillet",
            HalfSide::Lid => "crown fillet",
        };
        // Bands by equal angle of the fillet's arc: heights r (1 - cos a), so that each steps in by a like amount.
        let height = |k: u32| {
            if k == FILLET_BANDS {
                profile.fillet
            } else {
                profile.fillet * (1.0 - (PI / 2.0 * f64::from(k) / f64::from(FILLET_BANDS)).cos())
            }
        };
        if profile.fillet > 0.0 {
            for k in 0..FILLET_BANDS {
                push(name, true, ring(&profile, height(k)), height(k), height(k + 1));
            }
        }
        for (low, high, takes) in traced_matter(&profile) {
            push("traced walls", true, takes, low, high);
        }
        // With two stations the half-spaces are the walls themselves.
        if profile.stations.len() > 2 {
            let name = match side {
                HalfSide::Base => "stepped wall",
                HalfSide::Lid => "stepped crown",
            };
            for pair in profile.stations.windows(2) {
                let (low, high) = (pair[0].height, pair[1].height);
                let widens = (pair[1].walls.half - pair[0].walls.half).length();
                let bands = (widens / WALL_BAND_TAPER).ceil().clamp(1.0, 8.0) as u32;
                let height = |k: u32| low + (high - low) * f64::from(k) / f64::from(bands);
                for k in 0..bands {
                    push(
                        name,
                        true,
                        wall_ring(&profile, height(k)),
                        height(k),
                        height(k + 1),
                    );
                }
            }
        }
        obstacles
    }
}

/// What traced sections take of the plan between the walls, in bands.
fn traced_matter(profile: &Profile) -> Vec<(f64, f64, Region)> {
    let mut bands: Vec<(f64, f64, Region)> = Vec::new();
    for (low, high, room) in profile.traced_bands() {
        let takes = stout(&profile.walls_at(high).region().difference(&room), TRACED_SLIVER);
        if let Some((_, to, last)) = bands.last_mut() {
            let differs = |a: &Region, b: &Region| !stout(&a.difference(b), TRACED_TAPER).is_empty();
            if !differs(last, &takes) && !differs(&takes, last) {
                *last = last.union(&takes);
                *to = high;
                continue;
            }
        }
        bands.push((low, high, takes));
    }
    bands.retain(|(_, _, takes)| !takes.is_empty());
    bands
}

/// What of a region is nowhere thinner than twice `half`, with what lies near it.
fn stout(region: &Region, half: f64) -> Region {
    let core = region.offset(-half, Side::Inner);
    if core.is_empty() {
        return core;
    }
    core.offset(3.0 * half, Side::Outer).intersection(region)
}

/// Everything around the free plan at height `h`, as far as a margin behind the rim.
fn ring(profile: &Profile, h: f64) -> Region {
    around(profile, profile.free_at(h))
}

/// Everything around the walls at height `h`; at a ledge the wider.
fn wall_ring(profile: &Profile, h: f64) -> Region {
    around(profile, Some(profile.walls_at(h + 1e-9)))
}

fn around(profile: &Profile, free: Option<Rounded>) -> Region {
    let reach = profile.rim.half + Vec2::new(RING_WIDTH, RING_WIDTH);
    let around = Region::rectangle(profile.rim.centre - reach, profile.rim.centre + reach);
    let hole = free
        .map(|walls| walls.region())
        .and_then(|region| region.shapes.into_iter().next());
    let Some(frame) = around.shapes.into_iter().next() else {
        return Region::empty();
    };
    Region {
        shapes: vec![Shape {
            outer: frame.outer,
            holes: hole.map(|shape| shape.outer.reversed()).into_iter().collect(),
        }],
    }
}

/// The unit direction `quarters` quarter turns and `angle` radians from +x; exact for zero angle.
fn direction(quarters: u32, angle: f64) -> Vec2 {
    let (sin, cos) = angle.sin_cos();
    match quarters % 4 {
        0 => Vec2::new(cos, sin),
        1 => Vec2::new(-sin, cos),
        2 => Vec2::new(-cos, -sin),
        _ => Vec2::new(sin, -cos),
    }
}
