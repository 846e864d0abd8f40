//! Floor or dome, walls, steps, corner radii and fillet of one half, fitted to samples of its surface.

use super::FitError;
use super::first::first;
use super::sample::Sample;
use super::solve::{Fitting, fit};
use crate::shell::rounded::Rounded;
use caddis_geometry::{Pose, Vec2, Vec3};

/// Samples a fit uses at most.
const MOST_SAMPLES: usize = 24_000;
/// A dome's flat is smaller than the opening below it by at least this, metres.
const LEAST_ARM: f64 = 1e-4;

/// Edges of ledges are blunt within this, metres.
const BLUNT: f64 = 4e-3;
/// No wall leans in by more towards the rim, metres a metre: a mould could not be opened.
const LEAST_LEAN: f64 = -0.06;

/// A stretch of the walls that runs straight; how far it goes the next one says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Segment {
    /// Where it starts, metres over floor or crown.
    pub(super) from: f64,
    /// Whether it starts with a ledge; else its sizes go on and only draft and growth change.
    pub(super) is_ledge: bool,
    /// Left, right, front and back wall at its start, metres.
    pub(super) foot: [f64; 4],
    /// How far each leans out per metre of height.
    pub(super) lean: [f64; 4],
    /// Corner radius at its start, and how much it grows per metre.
    pub(super) radius: f64,
    pub(super) growth: f64,
}

/// How floor or crown and walls meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum End {
    /// A level floor, and a radius between it and the walls.
    Fillet(f64),
    /// A quarter of an ellipse from a flat to the walls.
    Dome {
        /// Over which height.
        rise: f64,
        /// The flat: left, right, front and back, and its corner radius.
        flat: [f64; 4],
        radius: f64,
    },
}

/// A half in its own coordinates: plan, and height over floor or crown towards the rim. What is tilted, turned or shifted
/// is small here.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Walls {
    /// Tilt about x and y, turn about z, radians; level, metres.
    pub(super) pose: [f64; 4],
    /// From floor or crown towards the rim; never none. The first starts at zero, a dome or not.
    pub(super) segments: Vec<Segment>,
    pub(super) end: End,
}

/// The walls found, and how well.
#[derive(Debug, Clone)]
pub(super) struct FittedWalls {
    pub(super) walls: Walls,
    /// Standard deviations in the order of the numbers of [`Walls`].
    pub(super) deviations: Vec<f64>,
    /// Robust standard deviation of the surface about the walls.
    pub(super) spread: f64,
}

fn four(x: &[f64], from: usize) -> [f64; 4] {
    [x[from], x[from + 1], x[from + 2], x[from + 3]]
}

fn between([left, right, front, back]: [f64; 4], radius: f64) -> Rounded {
    Rounded::new(
        Vec2::new(left + right, front + back) / 2.0,
        Vec2::new(right - left, back - front) / 2.0,
        radius,
    )
}

impl Segment {
    /// The walls at a height, as if they ran on.
    pub(super) fn at(&self, h: f64) -> Rounded {
        between(self.sides(h), self.radius + self.growth * (h - self.from))
    }

    /// Left, right, front and back wall at a height.
    pub(super) fn sides(&self, h: f64) -> [f64; 4] {
        let up = h - self.from;
        [
            self.foot[0] - self.lean[0] * up,
            self.foot[1] + self.lean[1] * up,
            self.foot[2] - self.lean[2] * up,
            self.foot[3] + self.lean[3] * up,
        ]
    }
}

impl Walls {
    /// The first number of the fillet or the dome.
    pub(super) const END: usize = 14;

    /// The numbers that say these walls: pose; foot, lean, radius and growth of the first stretch; the end; of each further
    /// stretch its start and what changes there.
    pub(super) fn numbers(&self) -> Vec<f64> {
        let mut x = self.pose.to_vec();
        for (index, segment) in self.segments.iter().enumerate() {
            if index > 0 {
                x.push(segment.from);
            }
            if index == 0 || segment.is_ledge {
                x.extend(segment.foot);
            }
            x.extend(segment.lean);
            if index == 0 || segment.is_ledge {
                x.push(segment.radius);
            }
            x.push(segment.growth);
            if index == 0 {
                match self.end {
                    End::Fillet(radius) => x.push(radius),
                    End::Dome { rise, flat, radius } => {
                        x.push(rise);
                        x.extend(flat);
                        x.push(radius);
                    }
                }
            }
        }
        x
    }

    /// Walls of the same form with other numbers.
    fn with(&self, x: &[f64]) -> Self {
        let mut segments = Vec::with_capacity(self.segments.len());
        let mut last = Segment {
            from: 0.0,
            is_ledge: false,
            foot: four(x, 4),
            lean: four(x, 8),
            radius: x[12],
            growth: x[13],
        };
        segments.push(last);
        let (end, mut next) = match self.end {
            End::Fillet(_) => (End::Fillet(x[14]), 15),
            End::Dome { .. } => (
                End::Dome {
                    rise: x[14].max(1e-4),
                    flat: four(x, 15),
                    radius: x[19],
                },
                20,
            ),
        };
        for segment in &self.segments[1..] {
            let from = x[next];
            last = if segment.is_ledge {
                Segment {
                    from,
                    is_ledge: true,
                    foot: four(x, next + 1),
                    lean: four(x, next + 5),
                    radius: x[next + 9],
                    growth: x[next + 10],
                }
            } else {
                Segment {
                    from,
                    is_ledge: false,
                    foot: last.sides(from),
                    lean: four(x, next + 1),
                    radius: last.radius + last.growth * (from - last.from),
                    growth: x[next + 5],
                }
            };
            next += if segment.is_ledge { 11 } else { 6 };
            segments.push(last);
        }
        Self {
            pose: four(x, 0),
            segments,
            end,
        }
    }

    /// Steps of the difference quotients and least values, in the order of the numbers.
    fn steps_and_least(&self) -> (Vec<f64>, Vec<f64>) {
        let none = f64::NEG_INFINITY;
        let mut all = vec![(1e-5, none); 4];
        let stretch = |is_whole: bool, all: &mut Vec<(f64, f64)>| {
            if is_whole {
                all.extend([(1e-5, none); 4]);
            }
            all.extend([(1e-4, LEAST_LEAN); 4]);
            if is_whole {
                all.push((1e-4, 0.0));
            }
            all.push((1e-3, none));
        };
        stretch(true, &mut all);
        match self.end {
            End::Fillet(_) => all.push((1e-4, 0.0)),
            End::Dome { .. } => {
                all.push((1e-5, 1e-3));
                all.extend([(1e-4, none); 4]);
                all.push((1e-4, 0.0));
            }
        }
        for segment in &self.segments[1..] {
            all.push((1e-5, 0.0));
            stretch(segment.is_ledge, &mut all);
        }
        all.into_iter().unzip()
    }

    /// Where the numbers of a further stretch start, that of its own start first.
    pub(super) fn numbers_of(&self, segment: usize) -> usize {
        let end = match self.end {
            End::Fillet(_) => 15,
            End::Dome { .. } => 20,
        };
        self.segments[1..segment]
            .iter()
            .fold(end, |at, segment| at + if segment.is_ledge { 11 } else { 6 })
    }

    /// The walls at a height.
    pub(super) fn at(&self, h: f64) -> Rounded {
        let above = self.segments.partition_point(|segment| segment.from <= h).max(1);
        self.segments[above - 1].at(h)
    }

    /// The stretch that ends at the rim.
    pub(super) fn last(&self) -> &Segment {
        &self.segments[self.segments.len() - 1]
    }

    /// Where the walls begin: at the floor, or at the dome's end.
    pub(super) fn spring(&self) -> f64 {
        match self.end {
            End::Fillet(_) => 0.0,
            End::Dome { rise, .. } => rise,
        }
    }

    /// The opening at floor or crown, left, right, front and back.
    pub(super) fn floor_sides(&self) -> [f64; 4] {
        self.segments[0].sides(self.spring())
    }

    /// The flat of a dome.
    pub(super) fn flat(&self) -> Option<Rounded> {
        match self.end {
            End::Fillet(_) => None,
            End::Dome { flat, radius, .. } => Some(between(flat, radius)),
        }
    }

    /// The small motion that takes samples into these walls' own frame.
    pub(super) fn motion(&self) -> Pose {
        let [a, b, turn, level] = self.pose;
        let about_x = Pose {
            rotation: [
                Vec3::new(1.0, 0.0, 0.0),
                Vec3::new(0.0, a.cos(), -a.sin()),
                Vec3::new(0.0, a.sin(), a.cos()),
            ],
            translation: Vec3::ZERO,
        };
        let about_y = Pose {
            rotation: [
                Vec3::new(b.cos(), 0.0, b.sin()),
                Vec3::new(0.0, 1.0, 0.0),
                Vec3::new(-b.sin(), 0.0, b.cos()),
            ],
            translation: Vec3::ZERO,
        };
        about_x
            .then(&about_y)
            .then(&Pose::about_z(turn))
            .then(&Pose::translation(Vec3::new(0.0, 0.0, -level)))
    }

    /// How far a point stands inside floor, fillet or dome, walls and ledges (negative: outside), in their own frame.
    ///
    /// # Accuracy
    /// Zero on the surface, and to first order the distance from it.
    pub(super) fn inside(&self, p: Vec3) -> f64 {
        let h = p.z;
        match self.end {
            End::Fillet(f) => {
                let beside = self.beside(p);
                if beside < f && h < f {
                    f - (f - beside).hypot(f - h)
                } else {
                    beside.min(h)
                }
            }
            End::Dome { rise, flat, radius } if h < rise => {
                in_dome(&between(flat, radius), &self.segments[0].at(rise), rise, p)
            }
            End::Dome { .. } => self.beside(p).min(h),
        }
    }

    /// Whether a point lies at the edge of a ledge, which tessellation and noise make blunt.
    pub(super) fn is_at_edge(&self, p: Vec3) -> bool {
        self.segments.windows(2).any(|pair| {
            let ledge = pair[1].from;
            (p.z - ledge).abs() < BLUNT
                && [pair[0].at(ledge), pair[1].at(ledge)]
                    .iter()
                    .any(|walls| walls.signed_distance(p.plan()).abs() < BLUNT)
        })
    }

    /// The same of walls and ledges alone.
    fn beside(&self, p: Vec3) -> f64 {
        let (h, plan) = (p.z, p.plan());
        let top = self.last();
        let start = if self.segments.len() > 1 { top.from } else { h };
        let mut inside = -top.at(h.max(start)).signed_distance(plan);
        for pair in self.segments.windows(2).rev() {
            let (below, ledge) = (&pair[0], pair[1].from);
            let up = h - ledge;
            if up > inside {
                continue;
            }
            let start = if below.from > 0.0 { below.from } else { h };
            let narrow = -below.at(h.max(start).min(ledge)).signed_distance(plan);
            inside = if up > 0.0 {
                inside.min(narrow.max(up))
            } else if narrow >= 0.0 {
                narrow
            } else {
                // In the ledge's matter: its top or its side is nearer.
                narrow.max(up.min(inside))
            };
        }
        inside
    }
}

/// How far a point lies inside a dome, heights from its flat.
///
/// # Source
/// Implicit ellipse divided by the length of its gradient; derived.
fn in_dome(flat: &Rounded, floor: &Rounded, rise: f64, p: Vec3) -> f64 {
    let (from_flat, from_floor) = (flat.signed_distance(p.plan()), floor.signed_distance(p.plan()));
    let arm = (from_flat - from_floor).max(LEAST_ARM);
    // Which opening between flat and floor runs through the point.
    let mut out = from_flat / arm;
    if out > 0.0 && out < 1.0 {
        for _ in 0..2 {
            out = (out + flat.lerp(floor, out).signed_distance(p.plan()) / arm).clamp(0.0, 1.0);
        }
    } else {
        out = if out <= 0.0 { 0.0 } else { 1.0 + from_floor / arm };
    }
    let up = 1.0 - p.z / rise;
    let reach = out.hypot(up);
    if reach < 1e-9 {
        return rise.min(arm);
    }
    (1.0 - reach) * reach / (out / arm).hypot(up / rise)
}

/// Fits a half to samples that stand about upright, floor (or crown) lowest, its level about zero; `depth` is about where
/// its rim is. One stretch of walls over a fillet.
///
/// # Errors
/// Walls that cannot be told from what stands in front of them.
pub(super) fn fit_walls(samples: &[Sample], depth: f64) -> Result<FittedWalls, FitError> {
    let start = first(samples, depth)?;
    fit_form(
        &start,
        samples,
        depth,
        MOST_SAMPLES,
        &[12e-3, 6e-3, 3e-3, 1.5e-3, 1.5e-3],
    )
}

/// Fits walls of any form, from a start that has the form.
///
/// # Errors
/// Walls that leave no room at the rim.
pub(super) fn fit_form(
    start: &Walls,
    samples: &[Sample],
    depth: f64,
    most: usize,
    scales: &[f64],
) -> Result<FittedWalls, FitError> {
    let used = used(samples, depth, most);
    let (steps, least) = start.steps_and_least();
    let fitting = Fitting {
        steps: &steps,
        least: &least,
        scales,
        least_spread: 2e-5,
    };
    let fitted = fit(
        &start.numbers(),
        &used,
        &fitting,
        |x| {
            let walls = start.with(x);
            let motion = walls.motion();
            (walls, motion)
        },
        |(walls, motion), sample| walls.inside(motion.apply(sample.at)),
    );
    let walls = start.with(&fitted.unknowns);
    let rim = walls.at(depth);
    if !(rim.half.x > 0.0 && rim.half.y > 0.0) {
        return Err(FitError::NoWalls);
    }
    Ok(FittedWalls {
        walls,
        deviations: fitted.deviations,
        spread: fitted.spread,
    })
}

/// At most so many samples of the half.
pub(super) fn used(samples: &[Sample], depth: f64, most: usize) -> Vec<Sample> {
    let used: Vec<Sample> = samples
        .iter()
        // A lid over the opening, as mending a mesh leaves it, is no wall.
        .filter(|s| s.at.z < depth && !(s.normal.z.abs() > 0.7 && s.at.z > 0.9 * depth))
        .copied()
        .collect();
    used.iter().step_by((used.len() / most).max(1)).copied().collect()
}
