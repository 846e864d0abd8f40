//! Problems for the tests.
#![allow(dead_code, reason = "each test binary uses its own part")]

pub(crate) mod jigsaw;
pub(crate) mod nested;

use caddis_geometry::{Contour, Region as Plan, SectionStack, Slab, Vec2};
use caddis_layout::{
    Facet, Hindrance, Orientation, Piece, Placement, Problem, Region, SearchOptions, Sides, Tier, Weights,
};

/// A small generator, so that the tests repeat.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

pub(crate) fn all_round(side: f64) -> Sides {
    Sides {
        left: side,
        right: side,
        front: side,
        back: side,
    }
}

/// A drafted rectangular room with its floor at z = 0.
pub(crate) fn room(length: f64, width: f64, depth: f64, slope: f64) -> Region {
    let facet = |x: f64, y: f64, offset: f64| Facet::new(Vec2::new(x, y), offset, slope);
    Region {
        facets: vec![
            facet(1.0, 0.0, length / 2.0),
            facet(-1.0, 0.0, length / 2.0),
            facet(0.0, 1.0, width / 2.0),
            facet(0.0, -1.0, width / 2.0),
        ],
        hindrances: Vec::new(),
        low: 0.0,
        high: depth,
    }
}

pub(crate) fn rectangle(x: f64, y: f64) -> Plan {
    Plan::rectangle(Vec2::new(-x / 2.0, -y / 2.0), Vec2::new(x / 2.0, y / 2.0))
}

pub(crate) fn prism(plan: Plan, height: f64) -> SectionStack {
    SectionStack {
        slabs: vec![Slab {
            region: plan,
            low: 0.0,
            high: height,
        }],
    }
}

pub(crate) fn way(tag: u32, body: SectionStack, wall: f64, web: f64, below: f64) -> Orientation {
    Orientation {
        tag,
        body: body.into(),
        wall: all_round(wall),
        web: all_round(web),
        below,
        above: Vec::new(),
        cost: 0.0,
    }
}

/// A box that may lie at 0 or 90 degrees.
pub(crate) fn block(name: &str, kind: u32, size: (f64, f64, f64), foam: (f64, f64, f64)) -> Piece {
    let (wall, web, below) = foam;
    let mut orientations = vec![way(0, prism(rectangle(size.0, size.1), size.2), wall, web, below)];
    if (size.0 - size.1).abs() > 1e-9 {
        orientations.push(way(1, prism(rectangle(size.1, size.0), size.2), wall, web, below));
    }
    Piece {
        name: name.to_owned(),
        kind,
        mass: 1.0 + 1e3 * size.0 * size.1 * size.2,
        orientations,
        tiers: vec![0],
        may_pass: false,
        keeps_clear_above: false,
        pinned: None,
    }
}

/// An L of two arms, in four turns.
pub(crate) fn angle(
    name: &str,
    kind: u32,
    arm: f64,
    thick: f64,
    height: f64,
    foam: (f64, f64, f64),
) -> Piece {
    let (wall, web, below) = foam;
    let corner = [
        (0.0, 0.0),
        (arm, 0.0),
        (arm, thick),
        (thick, thick),
        (thick, arm),
        (0.0, arm),
    ];
    let orientations = (0..4)
        .map(|turn| {
            let points = corner.map(|(x, y)| {
                let (x, y) = (x - arm / 2.0, y - arm / 2.0);
                [(x, y), (-y, x), (-x, -y), (y, -x)][turn]
            });
            let plan = Plan::from_contours(&[Contour::polygon(points.map(|(x, y)| Vec2::new(x, y)))]);
            way(turn as u32, prism(plan, height), wall, web, below)
        })
        .collect();
    Piece {
        name: name.to_owned(),
        kind,
        mass: 1.0,
        orientations,
        tiers: vec![0],
        may_pass: false,
        keeps_clear_above: false,
        pinned: None,
    }
}

/// An upright cylinder on a thicker foot or head: two bands.
pub(crate) fn stepped(
    name: &str,
    kind: u32,
    lower: f64,
    upper: f64,
    height: f64,
    foam: (f64, f64, f64),
) -> Piece {
    let (wall, web, below) = foam;
    let disc = |radius: f64| Plan::circle(Vec2::ZERO, radius);
    let body = SectionStack {
        slabs: vec![
            Slab {
                region: disc(lower),
                low: 0.0,
                high: height / 2.0,
            },
            Slab {
                region: disc(upper),
                low: height / 2.0,
                high: height,
            },
        ],
    };
    Piece {
        name: name.to_owned(),
        kind,
        mass: 0.7,
        orientations: vec![way(0, body, wall, web, below)],
        tiers: vec![0],
        may_pass: false,
        keeps_clear_above: false,
        pinned: None,
    }
}

pub(crate) fn problem(region: Region, pieces: Vec<Piece>) -> Problem {
    let high = region.high;
    Problem {
        tiers: vec![Tier::upward(region.low, high)],
        region,
        pieces,
        balance: Vec2::ZERO,
        balance_counts: Vec2::new(1.0, 1.0),
        wishes: Vec::new(),
        weights: Weights::default(),
    }
}

pub(crate) fn options(seed: u64, steps: u64) -> SearchOptions {
    SearchOptions {
        seed,
        steps,
        workers: 1,
    }
}

/// The shop's usual size: twelve to twenty-five mixed pieces in a drafted 640 x 400 case with wheel housings.
pub(crate) fn mixed(seed: u64, count: usize, fill: f64) -> Problem {
    let mut dice = Dice(seed);
    let mut region = room(0.62, 0.38, 0.18, 0.035);
    for (name, x) in [("wheel housing left", -0.31), ("wheel housing right", 0.24)] {
        region.hindrances.push(Hindrance {
            name: name.to_owned(),
            outline: Plan::rectangle(Vec2::new(x, -0.19), Vec2::new(x + 0.07, -0.09)),
            low: 0.0,
            high: 0.08,
        });
    }
    let area = 0.62 * 0.38 * fill / count as f64;
    let pieces = (0..count)
        .map(|index| {
            let name = format!("piece {}", index + 1);
            let size = (area * dice.between(0.5, 1.5)).sqrt();
            let foam = (0.02, dice.between(0.01, 0.015), 0.02);
            let height = dice.between(0.04, 0.15);
            match index % 4 {
                0 | 1 => {
                    let stretch = dice.between(1.0, 2.2).sqrt();
                    block(
                        &name,
                        index as u32,
                        (size * stretch, size / stretch, height),
                        foam,
                    )
                }
                2 => stepped(&name, index as u32, size * 0.45, size * 0.56, height, foam),
                _ => angle(&name, index as u32, size * 1.3, size * 0.5, height, foam),
            }
        })
        .collect();
    problem(region, pieces)
}

pub(crate) fn moved(mut placement: Placement, by: Vec2) -> Placement {
    placement.at += by;
    placement
}

/// Like a scanned instrument: eight bands of ragged outlines, four turns.
pub(crate) fn ragged(name: &str, kind: u32, seed: u64, radius: f64, height: f64) -> Piece {
    let mut dice = Dice(seed * 7919 + 3);
    let bands: Vec<Vec<Vec2>> = (0..8)
        .map(|band| {
            let swell = 0.75 + 0.25 * (f64::from(band) * 0.9).sin();
            (0..60)
                .map(|k| {
                    let lobes = 1.0 + 0.25 * (f64::from(k) * 0.1047 * 3.0).cos();
                    let reach = radius * swell * lobes * 0.8 * dice.between(0.95, 1.0);
                    Vec2::new(reach, 0.0).rotated(f64::from(k) * 0.10472)
                })
                .collect()
        })
        .collect();
    let orientations = (0..4)
        .map(|turn| {
            let slabs = bands
                .iter()
                .enumerate()
                .map(|(band, points)| Slab {
                    region: Plan::from_contours(&[Contour::polygon(
                        points
                            .iter()
                            .map(|p| p.rotated(f64::from(turn) * std::f64::consts::FRAC_PI_2)),
                    )]),
                    low: height * band as f64 / 8.0,
                    high: height * (band + 1) as f64 / 8.0,
                })
                .collect();
            way(turn, SectionStack { slabs }, 0.02, 0.012, 0.02)
        })
        .collect();
    Piece {
        name: name.to_owned(),
        kind,
        mass: 1.5,
        orientations,
        tiers: vec![0],
        may_pass: false,
        keeps_clear_above: false,
        pinned: None,
    }
}
