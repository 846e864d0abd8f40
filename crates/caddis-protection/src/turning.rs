//! How much deeper the edge of a cushion is pressed because the item turns as it sinks.
//!
//! An item whose centre of mass does not lie over the middle of its cushion turns in a flat fall, and one edge of the cushion
//! goes deeper than the flat drop says. On linear foam that follows from the two motions alone, sinking and turning, and it
//! depends on two ratios only. Foam that stiffens resists the deeper edge more, so for such foam this is an upper estimate.

/// A cushion along one of the two directions across the fall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lever {
    /// From the centre of mass to the middle of the cushion, metres.
    pub offset: f64,
    /// Half of the cushion's length, metres.
    pub half: f64,
    /// Radius of gyration of the item about the axis it turns about, metres.
    pub gyration: f64,
}

/// Moments looked at in the first stroke.
const MOMENTS: u32 = 96;

/// The deepest an edge goes, over the stroke of the same fall without turning; 1 without a lever.
///
/// # Accuracy
/// Exact to 0.1 % for a rigid item on linear foam under one cushion, small angles, gravity in the stroke left out; for foam
/// that stiffens it errs to the deep side.
///
/// # Source
/// Derived: m u'' = -k (u + c f), m r^2 f'' = -k (c u + (c^2 + a^2/3) f) for a cushion of stiffness k, half length a, its
/// middle at c; two modes from rest with the speed of impact (coupled bounce and pitch, as in texts on vehicle ride; the
/// derivation is ours). Checked against the simulated drop.
pub fn turning(lever: &Lever) -> f64 {
    let Lever {
        offset,
        half,
        gyration,
    } = *lever;
    let is_sound = [offset, half, gyration].iter().all(|v| v.is_finite());
    if !is_sound || half <= 0.0 || gyration <= 0.0 || offset == 0.0 {
        return 1.0;
    }
    let (coupled, turns) = (
        offset / gyration,
        (offset * offset + half * half / 3.0) / (gyration * gyration),
    );
    let spread = (1.0 - turns).hypot(2.0 * coupled);
    // Eigenvalues of [[1, coupled], [coupled, turns]] with the share of sinking in each vector.
    let modes = [1.0, -1.0].map(|sign| {
        let value = f64::midpoint(1.0 + turns, sign * spread);
        let length = coupled.hypot(value - 1.0);
        (value.sqrt(), coupled / length, (value - 1.0) / length)
    });
    let end = std::f64::consts::PI / modes[1].0;
    let edges = [offset - half, offset + half].map(|place| place / gyration);
    let mut deepest = 1.0_f64;
    for moment in 1..=MOMENTS {
        let time = end * f64::from(moment) / f64::from(MOMENTS);
        for edge in edges {
            let depth: f64 = modes
                .iter()
                .map(|(rate, sinks, turns)| {
                    (sinks * sinks + sinks * turns * edge) / rate * (rate * time).sin()
                })
                .sum();
            deepest = deepest.max(depth);
        }
    }
    deepest
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::Patch;
    use crate::drop::{
        Contact, Fall, Gravity, Landing, Packing, Precision, RigidBody, Spring, SpringForm, Watch, simulate,
    };
    use caddis_basis::Length;
    use caddis_geometry::Vec3;
    use proptest::prelude::*;

    /// The deepest strain over that without a lever, simulated: 2 kg on one cushion of linear foam.
    fn simulated(lever: &Lever) -> f64 {
        let strain = |offset: f64| {
            let inertia = 2.0 * lever.gyration * lever.gyration;
            let axes = [
                Vec3::new(1.0, 0.0, 0.0),
                Vec3::new(0.0, 1.0, 0.0),
                Vec3::new(0.0, 0.0, 1.0),
            ];
            let body = RigidBody {
                mass: 2.0,
                centre: Vec3::ZERO,
                inertia: axes.map(|axis| axis * inertia),
            };
            let cells = 80;
            let contacts = (0..cells)
                .map(|cell| {
                    let along =
                        offset + lever.half * ((f64::from(cell) + 0.5) * 2.0 / f64::from(cells) - 1.0);
                    let patch = Patch {
                        point: Vec3::new(along, 0.0, -0.03),
                        direction: Vec3::new(0.0, 0.0, -1.0),
                        area: 0.01 / f64::from(cells),
                        thickness: 0.05,
                        gap: 0.0,
                        law: 0,
                    };
                    Contact {
                        patch,
                        body: 0,
                        against: None,
                    }
                })
                .collect();
            // Stiff foam: the angles stay small.
            let spring = Spring::new(SpringForm::Linear { modulus: 4e7 }).unwrap();
            let packing = Packing::new(&[body], vec![spring], contacts).unwrap();
            let fall = Fall {
                direction: Vec3::new(0.0, 0.0, -1.0),
                height: Length::mm(500.0),
                gravity: Gravity::Never,
                friction: 0.0,
                landing: Landing::StopsDead,
            };
            let watch = Watch {
                strains: true,
                ..Watch::default()
            };
            let precision = Precision {
                greatest_step: 2e-5,
                ..Precision::DESIGN
            };
            let found = simulate(&packing, &fall, &precision, &watch).unwrap();
            found.strains.iter().copied().fold(0.0, f64::max)
        };
        strain(lever.offset) / strain(0.0)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_simulation_agrees(offset in 0.0_f64..0.05, half in 0.03_f64..0.1, gyration in 0.03_f64..0.08) {
            let lever = Lever { offset, half, gyration };
            let (closed, found) = (turning(&lever), simulated(&lever));
            // The outermost cell's middle lies a little inside of the edge.
            prop_assert!((closed / found - 1.0).abs() < 0.02, "{} against {}", closed, found);
        }

        #[test]
        fn a_longer_lever_never_helps_and_its_side_does_not_matter(
            offset in 0.0_f64..0.05, more in 0.0_f64..0.05, half in 0.03_f64..0.1, gyration in 0.03_f64..0.08,
        ) {
            let of = |offset: f64| turning(&Lever { offset, half, gyration });
            prop_assert!(of(offset + more) >= of(offset) - 2e-3, "{} {}", of(offset), of(offset + more));
            prop_assert!((of(-offset) - of(offset)).abs() < 1e-12);
            let twice = turning(&Lever { offset: 2.0 * offset, half: 2.0 * half, gyration: 2.0 * gyration });
            prop_assert!((twice - of(offset)).abs() < 1e-9);
        }
    }

    #[test]
    fn no_lever_no_turning() {
        let of = |offset: f64, gyration: f64| {
            turning(&Lever {
                offset,
                half: 0.05,
                gyration,
            })
        };
        assert!((of(0.0, 0.04) - 1.0).abs() < 1e-12);
        assert!(of(1e-6, 0.04) < 1.001);
        // What cannot turn does not.
        assert!(of(0.02, 1e3) < 1.001);
    }
}
