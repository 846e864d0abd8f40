//! One fall after the other on foam that remembers.
//!
//! Every patch keeps a state: the share of it that is worn, and what it lost of its thickness for the time being. A patch
//! pressed far enough in a fall is worn by the next one: it then follows the law of later impacts. Between falls a stated
//! share of the memory fades. The worn share counts as so much of the patch's area, beside the fresh rest: stresses add
//! as of two foams side by side.
//!
//! What is data and what is stated: the law of later impacts is measured or it is missing; from which strain on a patch is
//! worn, how much set stays, and how much fades are settings that the caller states with the result.

use super::fall_map::ItemFall;
use super::packing::{Contact, Packing};
use super::simulate::{Fall, Precision, Watch, simulate};
use super::spring::Spring;
use crate::foam::check_memory;
use crate::{FoamMemory, LawError, Patch};

/// What one foam remembers of a fall.
#[derive(Debug, Clone, PartialEq)]
pub struct Wear {
    /// The spring of later impacts; `None` where no data exist: then only the set is remembered.
    pub later: Option<Spring>,
    /// Strain from which a patch counts as pressed, worn in whole.
    pub from: f64,
    /// Share of the largest deflection that stays as a gap.
    pub set: f64,
    /// Share of wear and set that fades until the next fall.
    pub recovery: f64,
}

impl Wear {
    /// Foam that remembers nothing.
    pub const NONE: Self = Self {
        later: None,
        from: 0.0,
        set: 0.0,
        recovery: 0.0,
    };

    /// Foam worn in whole by every press beyond a strain of 0.05, without set or recovery: falls follow each other faster
    /// than foam recovers. The strain is the project's own choice (common practice, no source): a touch wears nothing.
    pub fn by_law(later: Option<Spring>) -> Self {
        Self {
            later,
            from: 0.05,
            ..Self::NONE
        }
    }

    /// Foam with the memory that its data state.
    pub fn by_memory(later: Option<Spring>, memory: &FoamMemory) -> Self {
        Self {
            later,
            from: memory.worn_from,
            set: memory.set,
            recovery: memory.recovery,
        }
    }

    fn check(&self) -> Result<(), LawError> {
        check_memory(self.from, self.set, self.recovery).map_err(LawError::Settings)
    }
}

/// One fall of a sequence.
#[derive(Debug, Clone, PartialEq)]
pub struct SequenceFall {
    /// What each item did.
    pub items: Vec<ItemFall>,
    /// Share of each item's patch area that was worn when it fell.
    pub worn: Vec<f64>,
}

/// State of one patch.
#[derive(Debug, Clone, Copy, Default)]
struct Memory {
    worn: f64,
    /// m.
    set: f64,
}

/// Simulates falls one after the other; `wear` is by spring of the packing.
///
/// # Accuracy
/// As [`simulate`]. A fall's first pulse and what is followed of its rebound press the foam; the strain of a patch is read
/// at the steps of the integration, which lie close where the force turns.
///
/// # Errors
/// As [`simulate`]; another number of wears than springs; settings outside their range.
///
/// # Source
/// The law of later impacts is the caller's; the mixture of worn and fresh area, the set as a gap and the fading share are
/// the project's stated model.
pub fn sequence(
    packing: &Packing,
    falls: &[Fall],
    precision: &Precision,
    wear: &[Wear],
) -> Result<Vec<SequenceFall>, LawError> {
    if wear.len() != packing.springs().len() {
        return Err(LawError::Settings(format!(
            "{} wears cannot stand for {} springs",
            wear.len(),
            packing.springs().len()
        )));
    }
    wear.iter().try_for_each(Wear::check)?;
    let watch = Watch {
        strains: true,
        ..Watch::default()
    };
    let mut memory = vec![Memory::default(); packing.contacts().len()];
    let mut out = Vec::with_capacity(falls.len());
    for fall in falls {
        let (worn, sources) = remembered(packing, wear, &memory)?;
        let found = simulate(&worn, fall, precision, &watch)?;
        out.push(SequenceFall {
            items: found.courses.iter().map(ItemFall::of).collect(),
            worn: worn_shares(packing, &memory),
        });
        let mut most = vec![0.0_f64; memory.len()];
        for (source, strain) in sources.into_iter().zip(&found.strains) {
            most[source] = most[source].max(*strain);
        }
        for ((state, contact), strain) in memory.iter_mut().zip(packing.contacts()).zip(most) {
            let wear = &wear[contact.patch.law];
            if strain >= wear.from && strain > 0.0 {
                if wear.later.is_some() {
                    state.worn = 1.0;
                }
                state.set = state
                    .set
                    .max(wear.set * strain.min(1.0) * contact.patch.thickness);
            }
            let left = 1.0 - wear.recovery;
            state.worn *= left;
            state.set *= left;
        }
    }
    Ok(out)
}

/// The packing as its foam now is, and for each of its contacts the one it comes from.
fn remembered(
    packing: &Packing,
    wear: &[Wear],
    memory: &[Memory],
) -> Result<(Packing, Vec<usize>), LawError> {
    let fresh = packing.springs().len();
    // Springs of later impacts follow the fresh ones.
    let mut springs = packing.springs().to_vec();
    let mut later = vec![None; fresh];
    for (law, wear) in wear.iter().enumerate() {
        if let Some(spring) = &wear.later {
            later[law] = Some(springs.len());
            springs.push(spring.clone());
        }
    }
    let mut contacts = Vec::with_capacity(packing.contacts().len());
    let mut sources = Vec::with_capacity(packing.contacts().len());
    for (index, (contact, state)) in packing.contacts().iter().zip(memory).enumerate() {
        let patch = Patch {
            gap: contact.patch.gap + state.set,
            thickness: contact.patch.thickness - state.set,
            ..contact.patch
        };
        let shares = [
            (1.0 - state.worn, Some(patch.law)),
            (state.worn, later[patch.law]),
        ];
        for (share, law) in shares {
            if let Some(law) = law
                && share > 0.0
            {
                sources.push(index);
                contacts.push(Contact {
                    patch: Patch {
                        area: patch.area * share,
                        law,
                        ..patch
                    },
                    ..*contact
                });
            }
        }
    }
    Ok((packing.with_foam(springs, contacts)?, sources))
}

/// Worn share of each item's patch area.
fn worn_shares(packing: &Packing, memory: &[Memory]) -> Vec<f64> {
    let mut sums = vec![(0.0, 0.0); packing.bodies()];
    for (contact, state) in packing.contacts().iter().zip(memory) {
        for body in std::iter::once(contact.body).chain(contact.against) {
            sums[body].0 += contact.patch.area * state.worn;
            sums[body].1 += contact.patch.area;
        }
    }
    sums.into_iter()
        .map(|(worn, all)| if all > 0.0 { worn / all } else { 0.0 })
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::drop::{Gravity, Landing, RigidBody, SpringForm, simulate_all};
    use caddis_basis::{Length, STANDARD_GRAVITY};
    use caddis_geometry::Vec3;
    use proptest::prelude::*;

    const AXES: [Vec3; 3] = [
        Vec3::new(1.0, 0.0, 0.0),
        Vec3::new(0.0, 1.0, 0.0),
        Vec3::new(0.0, 0.0, 1.0),
    ];

    fn linear(modulus: f64) -> Spring {
        Spring::new(SpringForm::Linear { modulus }).unwrap()
    }

    /// Four pads on each side of a cube of 4 kg.
    fn pads(spring: Spring) -> Packing {
        let mut contacts = Vec::new();
        for (axis, n) in AXES.into_iter().enumerate() {
            for (a, b) in [(-0.5, -0.5), (-0.5, 0.5), (0.5, -0.5), (0.5, 0.5)] {
                let across = AXES[(axis + 1) % 3] * (0.1 * a) + AXES[(axis + 2) % 3] * (0.1 * b);
                for n in [n, -n] {
                    contacts.push(Contact {
                        patch: Patch {
                            point: n * 0.1 + across,
                            direction: n,
                            area: 0.0025,
                            thickness: 0.05,
                            gap: 0.0,
                            law: 0,
                        },
                        body: 0,
                        against: None,
                    });
                }
            }
        }
        let body = RigidBody {
            mass: 4.0,
            centre: Vec3::ZERO,
            inertia: AXES.map(|axis| axis * 0.03),
        };
        Packing::new(&[body], vec![spring], contacts).unwrap()
    }

    fn fall(direction: Vec3) -> Fall {
        Fall {
            direction: direction.unit(),
            height: Length::mm(600.0),
            gravity: Gravity::Throughout,
            friction: 0.0,
            landing: Landing::StopsDead,
        }
    }

    fn flat() -> Fall {
        fall(Vec3::new(0.0, 0.0, -1.0))
    }

    /// 1 + sqrt(1 + 2 h k / (m g)).
    fn expected(modulus: f64) -> f64 {
        1.0 + (1.0 + 2.0 * 0.6 * modulus * 0.01 / 0.05 / (4.0 * STANDARD_GRAVITY)).sqrt()
    }

    #[test]
    fn worn_foam_follows_its_later_law_and_the_other_sides_stay_fresh() {
        let packing = pads(linear(3e5));
        let wear = [Wear::by_law(Some(linear(5e5)))];
        let up = fall(Vec3::new(0.0, 0.0, 1.0));
        let found = sequence(&packing, &[flat(), flat(), up, up], &Precision::DESIGN, &wear).unwrap();
        let peaks: Vec<f64> = found.iter().map(|f| f.items[0].peak).collect();
        for (peak, modulus) in peaks.iter().zip([3e5, 5e5, 3e5, 5e5]) {
            assert!((peak / expected(modulus) - 1.0).abs() < 2e-3, "{peaks:?}");
        }
        let worn: Vec<f64> = found.iter().map(|f| f.worn[0]).collect();
        let sixth = 1.0 / 6.0;
        for (worn, wanted) in worn.iter().zip([0.0, sixth, sixth, 2.0 * sixth]) {
            assert!((worn - wanted).abs() < 1e-12, "{worn} {wanted}");
        }
    }

    #[test]
    fn what_fades_is_forgotten_and_half_is_half() {
        let packing = pads(linear(3e5));
        let at = |recovery| {
            let wear = [Wear {
                recovery,
                ..Wear::by_law(Some(linear(5e5)))
            }];
            sequence(&packing, &[flat(), flat()], &Precision::DESIGN, &wear).unwrap()[1].items[0].peak
        };
        assert!((at(1.0) / expected(3e5) - 1.0).abs() < 2e-3);
        assert!(
            (at(0.5) / expected(4e5) - 1.0).abs() < 2e-3,
            "moduli side by side add"
        );
    }

    #[test]
    fn set_is_a_gap_that_leaves_less_foam() {
        let packing = pads(linear(3e5));
        let wear = [Wear {
            set: 0.1,
            ..Wear::by_law(None)
        }];
        let found = sequence(&packing, &[flat(), flat()], &Precision::DESIGN, &wear).unwrap();
        let (first, second) = (found[0].items[0], found[1].items[0]);
        assert!(second.peak > first.peak);
        // It falls the set farther, then meets foam thinner by as much.
        let gap = 0.1 * first.strain * 0.05;
        let k = 3e5 * 0.01 / (0.05 - gap) / (4.0 * STANDARD_GRAVITY);
        let wanted = 1.0 + (1.0 + 2.0 * (0.6 + gap) * k).sqrt();
        assert!(
            (second.peak / wanted - 1.0).abs() < 2e-3,
            "{} {wanted}",
            second.peak
        );
    }

    #[test]
    fn senseless_settings_are_refused() {
        let packing = pads(linear(3e5));
        let run = |wear: &[Wear]| sequence(&packing, &[flat()], &Precision::DESIGN, wear);
        assert!(run(&[]).is_err());
        for bad in [
            Wear {
                set: -0.1,
                ..Wear::NONE
            },
            Wear {
                recovery: f64::NAN,
                ..Wear::NONE
            },
            Wear {
                from: 2.0,
                ..Wear::NONE
            },
        ] {
            assert!(run(&[bad]).is_err());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(12))]

        #[test]
        fn a_sequence_of_one_is_the_single_drop(x in -1.0..1.0_f64, y in -1.0..1.0_f64, z in -1.0..1.0_f64) {
            prop_assume!(x * x + y * y + z * z > 0.01);
            let packing = pads(linear(3e5));
            let falls = [fall(Vec3::new(x, y, z))];
            let wear = [Wear::by_law(Some(linear(5e5)))];
            let one = sequence(&packing, &falls, &Precision::DESIGN, &wear).unwrap();
            let single = simulate_all(&packing, &falls, &Precision::DESIGN, 1).unwrap();
            prop_assert_eq!(&one[0].items, &single[0]);
        }

        /// On linear pads a stiffer one always means a higher peak.
        #[test]
        fn later_peaks_are_never_lower_where_later_foam_is_stiffer(
            (x, y, z) in (-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64),
            stiffer in 1.0..2.0_f64,
        ) {
            prop_assume!(x * x + y * y + z * z > 0.01);
            let packing = pads(linear(3e5));
            let falls = [fall(Vec3::new(x, y, z)); 3];
            let wear = [Wear::by_law(Some(linear(3e5 * stiffer)))];
            let found = sequence(&packing, &falls, &Precision::DESIGN, &wear).unwrap();
            for pair in found.windows(2) {
                let (before, after) = (pair[0].items[0].peak, pair[1].items[0].peak);
                prop_assert!(after >= before * (1.0 - 2e-3), "{} {}", before, after);
            }
        }
    }
}
