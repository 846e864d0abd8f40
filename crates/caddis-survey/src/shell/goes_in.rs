//! Whether a rigid block or cylinder goes in, which way up, where, and how much is left.

use super::boundary::Boundary;
use super::profile::{Profile, Root, Rounded};
use super::{HalfSide, RoomOf, Shell};
use caddis_basis::Length;
use caddis_geometry::{Bounds2, Vec2};

/// The place is found, or shown not to be there, to this, metres.
const PRECISION: f64 = 5e-5;
/// Besides the floor and the tops of what stands in, levels this far apart are tried, metres.
const LEVEL: f64 = 5e-3;

/// What is asked about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Solid {
    /// A block by its three sides.
    Block([Length; 3]),
    /// A cylinder.
    Cylinder {
        /// Across.
        diameter: Length,
        /// Along its axis.
        length: Length,
    },
}

/// Where something goes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Its size along x, y and z as it lies.
    pub size: [Length; 3],
    /// Its middle in plan.
    pub centre: Vec2,
    /// Its underside over the base floor.
    pub bottom: Length,
    /// The least distance to wall, fillet or intrusion beside it.
    pub beside: Length,
    /// How far it can be moved from there to the left, right, front and back.
    pub left: [Length; 4],
    /// How far it can be lifted straight up before it meets the crown or something on it.
    pub above: Length,
    /// Whether it lies below the rim plane.
    pub is_below_rim: bool,
}

/// The answer, for the shell as measured and for its worst case.
#[derive(Debug, Clone, PartialEq)]
pub struct GoesIn {
    /// Closed, as measured.
    pub measured: Option<Room>,
    /// Closed, every dimension of the shell at its unfavourable limit; the solid as stated.
    pub worst_case: Option<Room>,
    /// Wholly in the base, below the rim plane, as measured.
    pub base_alone: Option<Room>,
    /// Wholly in the base, in the worst case.
    pub base_alone_worst_case: Option<Room>,
}

/// What lies in plan: a rectangle's core with a radius around it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Footprint {
    pub(super) half: Vec2,
    pub(super) radius: f64,
}

/// The closed room by numbers.
#[derive(Clone)]
pub(super) struct Closed {
    base: Profile,
    lid: Profile,
    /// Least and most height of the rim plane and of the crown.
    rim: [f64; 2],
    crown: [f64; 2],
}

impl Shell {
    /// Whether a rigid solid goes into the closed case, and into the base alone, with its sides along the walls, in any of
    /// its ways up: the lowest level at which it does, and there the place with the most room around it. A cylinder that
    /// lies is judged by the block around it.
    ///
    /// # Accuracy
    /// Every level that is tried is searched to 0.05 mm (branch and bound on a distance that changes by no more than the
    /// solid moves). Levels are the floor, the tops of all intrusions, and every 5 mm.
    pub fn goes_in(&self, solid: &Solid) -> GoesIn {
        let measured = Closed::measured(self, RoomOf::Closed);
        let (base, lid) = (&self.base.depth, &self.lid.depth);
        let worst = Closed {
            base: Profile::least(&self.base),
            lid: Profile::least(&self.lid),
            rim: [base.least().si(), base.most().si()],
            crown: [(base.least() + lid.least()).si(), (base.most() + lid.most()).si()],
        };
        GoesIn {
            measured: measured.place(solid),
            worst_case: worst.place(solid),
            base_alone: measured.open().place(solid),
            base_alone_worst_case: worst.open().place(solid),
        }
    }
}

/// Every way the solid can lie: footprint and height.
fn ways(solid: &Solid) -> Vec<(Footprint, f64)> {
    let block = |x: Length, y: Length, z: Length| {
        (
            Footprint {
                half: Vec2::new(x.si(), y.si()) / 2.0,
                radius: 0.0,
            },
            z.si(),
        )
    };
    match *solid {
        Solid::Block([a, b, c]) => vec![
            block(a, b, c),
            block(b, a, c),
            block(a, c, b),
            block(c, a, b),
            block(b, c, a),
            block(c, b, a),
        ],
        Solid::Cylinder { diameter, length } => vec![
            (
                Footprint {
                    half: Vec2::ZERO,
                    radius: diameter.si() / 2.0,
                },
                length.si(),
            ),
            block(length, diameter, diameter),
            block(diameter, length, diameter),
        ],
    }
}

impl Footprint {
    fn reach(self) -> Vec2 {
        self.half + Vec2::new(self.radius, self.radius)
    }

    /// How far it stays inside walls (negative: how far a corner stands out).
    fn inside(self, walls: &Rounded, at: Vec2) -> f64 {
        [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
            .into_iter()
            .map(|(x, y)| {
                let corner = at + Vec2::new(x * self.half.x, y * self.half.y);
                -walls.signed_distance(corner) - self.radius
            })
            .fold(f64::INFINITY, f64::min)
    }

    /// How far it stays clear of an outline (negative: how deep it stands in).
    fn clear_of(self, rounded: &Rounded, at: Vec2) -> f64 {
        let sum = Rounded {
            half: rounded.half + self.half,
            ..*rounded
        };
        sum.signed_distance(at) - self.radius
    }
}

impl Closed {
    /// Every dimension as measured.
    pub(super) fn measured(shell: &Shell, of: RoomOf) -> Self {
        let closed = Self {
            base: Profile::nominal(&shell.base),
            lid: Profile::nominal(&shell.lid),
            rim: [shell.rim_height().si(); 2],
            crown: [shell.crown_height().si(); 2],
        };
        match of {
            RoomOf::Closed => closed,
            RoomOf::Base => closed.open(),
        }
    }

    /// Levels to try for something so high: the floor, tops of what stands in, the last under the ceiling, and steps.
    pub(super) fn levels(&self, height: f64, step: f64) -> Vec<f64> {
        let top = self.crown[0] - height;
        if top.is_nan() || top < 0.0 {
            return Vec::new();
        }
        let mut levels: Vec<f64> = (0..=(top / step) as u32).map(|k| f64::from(k) * step).collect();
        levels.push(top);
        levels.extend(
            self.base
                .bodies
                .iter()
                .map(|body| body.to)
                .filter(|&to| to <= top),
        );
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        levels
    }

    /// The room below the rim plane.
    fn open(&self) -> Self {
        Self {
            crown: self.rim,
            ..self.clone()
        }
    }

    fn place(&self, solid: &Solid) -> Option<Room> {
        let mut best: Option<Room> = None;
        for (footprint, height) in ways(solid) {
            if !(height > 0.0 && footprint.reach().is_finite()) {
                continue;
            }
            let Some(room) = self.lowest(footprint, height) else {
                continue;
            };
            let better = best
                .as_ref()
                .is_none_or(|best| (best.bottom, -best.beside) > (room.bottom, -room.beside));
            if better {
                best = Some(room);
            }
        }
        best
    }

    /// The lowest level at which it goes in, this way up.
    fn lowest(&self, footprint: Footprint, height: f64) -> Option<Room> {
        self.levels(height, LEVEL).into_iter().find_map(|bottom| {
            let beside = self.beside(footprint, bottom, bottom + height);
            let (centre, most) = widest(&self.bounds(), footprint, &beside)?;
            (most >= 0.0).then(|| {
                let move_to = |direction: Vec2| {
                    let mut far = 0.0;
                    // The distance to the first touch is at least the room there is: step by it.
                    for _ in 0..10_000 {
                        let room = beside(centre + direction * far);
                        if room < PRECISION / 10.0 {
                            break;
                        }
                        far += room;
                    }
                    Length::from_si(far)
                };
                Room {
                    size: [
                        Length::from_si(2.0 * footprint.reach().x),
                        Length::from_si(2.0 * footprint.reach().y),
                        Length::from_si(height),
                    ],
                    centre,
                    bottom: Length::from_si(bottom),
                    beside: Length::from_si(most),
                    left: [
                        move_to(Vec2::new(-1.0, 0.0)),
                        move_to(Vec2::new(1.0, 0.0)),
                        move_to(Vec2::new(0.0, -1.0)),
                        move_to(Vec2::new(0.0, 1.0)),
                    ],
                    above: Length::from_si(self.above(footprint, centre, bottom, height)),
                    is_below_rim: bottom + height <= self.rim[0],
                }
            })
        })
    }

    /// How far it can be lifted, by bisection: what is over it only comes closer as it rises.
    fn above(&self, footprint: Footprint, centre: Vec2, bottom: f64, height: f64) -> f64 {
        let fits = |lift: f64| self.beside(footprint, bottom, bottom + height + lift)(centre) >= 0.0;
        let (mut low, mut high) = (0.0, self.crown[0] - bottom - height);
        if fits(high) {
            return high;
        }
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            if fits(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    pub(super) fn bounds(&self) -> Bounds2 {
        let rim = &self.base.rim;
        Bounds2 {
            min: rim.centre - rim.half,
            max: rim.centre + rim.half,
        }
    }

    /// The room beside the footprint at a place, between two levels: no point of it moves nearer to anything by more than
    /// the place moves.
    pub(super) fn beside(&self, footprint: Footprint, low: f64, high: f64) -> impl Fn(Vec2) -> f64 + use<> {
        let mut walls: Vec<Rounded> = Vec::new();
        let mut outlines: Vec<Rounded> = Vec::new();
        let (mut odd_outlines, mut traced): (Vec<Boundary>, Vec<Boundary>) = (Vec::new(), Vec::new());
        let mut is_lost = low < 0.0 || high > self.crown[0] + 1e-12;
        for side in [HalfSide::Base, HalfSide::Lid] {
            let (profile, near, far) = match side {
                HalfSide::Base if low <= self.rim[1] => (&self.base, low, high.min(self.rim[1])),
                HalfSide::Lid if high > self.rim[0] => (
                    &self.lid,
                    (self.crown[0] - high).max(0.0),
                    self.crown[1] - low.max(self.rim[0]),
                ),
                _ => continue,
            };
            match profile.free_at(near) {
                Some(free) => walls.push(free),
                None => is_lost = true,
            }
            if let Some(trace) = profile.trace_at(near) {
                traced.push(Boundary::of_room(trace.room()));
            }
            let standing = profile
                .bodies
                .iter()
                .filter(|body| body.from < far && body.to > near)
                .filter_map(|body| body.outline_at(near.max(body.from)));
            for outline in standing {
                match outline {
                    Root::Rounded(rounded) => outlines.push(rounded),
                    Root::Free(region) => odd_outlines.push(Boundary::of_matter(region)),
                }
            }
        }
        move |at| {
            if is_lost {
                return f64::NEG_INFINITY;
            }
            let inside = walls.iter().map(|walls| footprint.inside(walls, at));
            let clear = outlines.iter().map(|outline| footprint.clear_of(outline, at));
            let simple = inside.chain(clear).fold(f64::INFINITY, f64::min);
            let odd = odd_outlines
                .iter()
                .map(|outline| outline.outside(footprint.half, at));
            let traced = traced.iter().map(|room| room.inside(footprint.half, at));
            odd.chain(traced)
                .map(|room| room - footprint.radius)
                .fold(simple, f64::min)
        }
    }
}

/// The place with the most room, to [`PRECISION`]; `None` when the footprint is larger than the bounds.
fn widest(bounds: &Bounds2, footprint: Footprint, room: &impl Fn(Vec2) -> f64) -> Option<(Vec2, f64)> {
    let reach = footprint.reach();
    let spare = bounds.size() / 2.0 - reach;
    if spare.x < 0.0 || spare.y < 0.0 {
        return None;
    }
    let mut best = (bounds.centre(), room(bounds.centre()));
    let mut cells = vec![(bounds.centre(), spare)];
    while let Some((centre, half)) = cells.pop() {
        let here = room(centre);
        if here > best.1 {
            best = (centre, here);
        }
        if here + half.length() <= best.1.max(-PRECISION) + PRECISION {
            continue;
        }
        // The longer side in two.
        let (step, half) = if half.x >= half.y {
            (Vec2::new(half.x / 2.0, 0.0), Vec2::new(half.x / 2.0, half.y))
        } else {
            (Vec2::new(0.0, half.y / 2.0), Vec2::new(half.x, half.y / 2.0))
        };
        cells.push((centre + step, half));
        cells.push((centre - step, half));
    }
    best.1.is_finite().then_some(best)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::super::tests::{any_shell, shell};
    use super::*;
    use caddis_geometry::Region;
    use proptest::prelude::*;

    fn block(a: f64, b: f64, c: f64) -> Solid {
        Solid::Block([a, b, c].map(Length::mm))
    }

    #[test]
    fn a_block_larger_than_the_room_does_not_go_in_whichever_way_up() {
        for solid in [
            block(650.0, 100.0, 100.0),
            block(100.0, 660.0, 100.0),
            block(420.0, 410.0, 405.0),
        ] {
            assert_eq!(
                shell().goes_in(&solid),
                GoesIn {
                    measured: None,
                    worst_case: None,
                    base_alone: None,
                    base_alone_worst_case: None,
                }
            );
        }
    }

    #[test]
    fn a_small_block_lies_on_the_floor_with_room_all_round() {
        let room = shell().goes_in(&block(100.0, 80.0, 60.0)).measured.unwrap();
        assert_eq!(room.bottom, Length::ZERO);
        assert!(room.is_below_rim && room.beside.as_mm() > 20.0, "{room:?}");
        assert!(room.left.iter().all(|left| left.si() >= room.beside.si() - 1e-4));
    }

    #[test]
    fn a_block_as_long_as_the_floor_rises_until_the_draft_lets_it_in() {
        let mut shell = shell();
        shell.base.intrusions.clear();
        // The floor is 620 long, the rim 640 over 240: 630 fits from 120 up, fillet and radii aside.
        let room = shell.goes_in(&block(630.0, 200.0, 50.0)).measured.unwrap();
        assert!((room.bottom.as_mm() - 120.0).abs() <= 12.5, "{room:?}");
        let worst = shell.goes_in(&block(630.0, 200.0, 50.0)).worst_case.unwrap();
        assert!(worst.bottom > room.bottom, "{worst:?}");
    }

    #[test]
    fn what_is_higher_than_the_base_goes_in_only_closed() {
        // The base is 240 deep, the case 315; no other way up goes in.
        let answer = shell().goes_in(&block(300.0, 290.0, 260.0));
        assert!(
            answer.measured.is_some() && answer.base_alone.is_none(),
            "{answer:?}"
        );
        let low = shell().goes_in(&block(300.0, 290.0, 230.0));
        assert_eq!(low.base_alone.unwrap().size[2], Length::mm(230.0));
    }

    #[test]
    fn an_upright_cylinder_uses_its_circle() {
        let mut shell = shell();
        shell.base.intrusions.clear();
        shell.lid.intrusions.clear();
        let round = Solid::Cylinder {
            diameter: Length::mm(380.0),
            length: Length::mm(300.0),
        };
        assert!(shell.goes_in(&round).measured.is_some());
        let wide = Solid::Cylinder {
            diameter: Length::mm(398.0),
            length: Length::mm(300.0),
        };
        assert!(shell.goes_in(&wide).measured.is_none());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn what_goes_in_really_does(shell in any_shell(), a in 0.2..0.95_f64, b in 0.2..0.95_f64, c in 0.1..0.8_f64) {
            let rim = &shell.base.rim;
            let solid = Solid::Block([rim.length.value * a, rim.width.value * b, shell.crown_height() * c]);
            let answer = shell.goes_in(&solid);
            if let Some(room) = &answer.measured {
                let half = Vec2::new(room.size[0].si(), room.size[1].si()) / 2.0;
                let outline = Region::rectangle(room.centre - half, room.centre + half);
                for k in 0..=16 {
                    let z = room.bottom.si() + room.size[2].si() * f64::from(k) / 16.0;
                    let free = shell.section(z);
                    // Booleans follow arcs within 20 micrometres.
                    prop_assert!(outline.room_inside(&free) >= -5e-5, "at {}: {}", z, outline.room_inside(&free));
                }
            }
            if answer.worst_case.is_some() {
                prop_assert!(answer.measured.is_some());
            }
            if let Some(room) = &answer.base_alone {
                prop_assert!(answer.measured.is_some() && room.is_below_rim);
                prop_assert!(room.bottom + room.size[2] <= shell.rim_height());
            }
        }

        #[test]
        fn the_room_left_is_left_and_no_more(shell in any_shell(), a in 0.2..0.8_f64, b in 0.2..0.8_f64) {
            let rim = &shell.base.rim;
            let solid = Solid::Block([rim.length.value * a, rim.width.value * b, Length::mm(30.0)]);
            if let Some(room) = shell.goes_in(&solid).measured {
                let half = Vec2::new(room.size[0].si(), room.size[1].si()) / 2.0;
                let free = shell.section(room.bottom.si());
                let moved = |by: f64| {
                    let centre = room.centre + Vec2::new(by, 0.0);
                    Region::rectangle(centre - half, centre + half).room_inside(&free)
                };
                prop_assert!(moved(room.left[1].si() - 1e-4) >= -5e-5);
                prop_assert!(moved(room.left[1].si() + 5e-4) < 0.0);
            }
        }
    }
}
