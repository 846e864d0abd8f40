//! Falls simulated before: the same packing in the same fall is not simulated again.
//!
//! Most edits of a design move nothing: what an item stands, a name, a leg of the journey, a signature. A simulation depends on
//! its packing, its fall and its precision alone, so what is remembered is what would be found.

use super::fall_map::{ItemFall, simulate_all};
use super::packing::Packing;
use super::simulate::{Fall, Precision};
use super::spread::{PeakSpread, SpreadSettings, peak_spread};
use crate::LawError;
use std::collections::BTreeMap;
use std::fmt::Write;
use std::hash::{DefaultHasher, Hasher};
use std::sync::{Mutex, PoisonError};

/// Falls kept at most: some twenty designs.
const MOST_FALLS: usize = 20_000;
/// Spreads kept at most.
const MOST_SPREADS: usize = 32;

/// A fingerprint of 128 bits, of this process only.
type Key = u128;

/// What was simulated. Threads share it.
#[derive(Debug, Default)]
pub struct FallMemory {
    falls: Mutex<BTreeMap<(Key, Key), Vec<ItemFall>>>,
    spreads: Mutex<BTreeMap<Key, Vec<PeakSpread>>>,
}

impl FallMemory {
    /// As [`simulate_all`].
    ///
    /// # Errors
    /// As [`simulate_all`].
    pub fn simulate_all(
        &self,
        packing: &Packing,
        falls: &[Fall],
        precision: &Precision,
        threads: usize,
    ) -> Result<Vec<Vec<ItemFall>>, LawError> {
        let of_packing = fingerprint(packing);
        let keys: Vec<(Key, Key)> = falls
            .iter()
            .map(|fall| (of_packing, key_of(&(fall, precision))))
            .collect();
        let mut found: Vec<Option<Vec<ItemFall>>> = {
            let known = self.falls.lock().unwrap_or_else(PoisonError::into_inner);
            keys.iter().map(|key| known.get(key).cloned()).collect()
        };
        let missing: Vec<usize> = (0..falls.len()).filter(|index| found[*index].is_none()).collect();
        let asked: Vec<Fall> = missing.iter().map(|index| falls[*index]).collect();
        let new = simulate_all(packing, &asked, precision, threads)?;
        let mut known = self.falls.lock().unwrap_or_else(PoisonError::into_inner);
        if known.len() + new.len() > MOST_FALLS {
            // What is asked now is asked again sooner than anything older.
            known.clear();
        }
        for (index, items) in missing.into_iter().zip(new) {
            known.insert(keys[index], items.clone());
            found[index] = Some(items);
        }
        Ok(found.into_iter().flatten().collect())
    }

    /// As [`peak_spread`].
    ///
    /// # Errors
    /// As [`peak_spread`].
    pub fn peak_spread(
        &self,
        packing: &Packing,
        settings: &SpreadSettings,
    ) -> Result<Vec<PeakSpread>, LawError> {
        // The answer does not depend on the threads.
        let asked = SpreadSettings {
            threads: 1,
            ..settings.clone()
        };
        let key = fingerprint(packing) ^ key_of(&asked).rotate_left(1);
        let known = |spreads: &BTreeMap<Key, Vec<PeakSpread>>| spreads.get(&key).cloned();
        if let Some(found) = known(&self.spreads.lock().unwrap_or_else(PoisonError::into_inner)) {
            return Ok(found);
        }
        let found = peak_spread(packing, settings)?;
        let mut spreads = self.spreads.lock().unwrap_or_else(PoisonError::into_inner);
        if spreads.len() >= MOST_SPREADS {
            spreads.clear();
        }
        spreads.insert(key, found.clone());
        Ok(found)
    }
}

/// Two hashers, each begun otherwise.
struct Twice([DefaultHasher; 2]);

impl Twice {
    fn new() -> Self {
        let mut hashers = [DefaultHasher::new(), DefaultHasher::new()];
        hashers[1].write_u8(1);
        Self(hashers)
    }

    fn key(&self) -> Key {
        (u128::from(self.0[0].finish()) << 64) | u128::from(self.0[1].finish())
    }

    fn number(&mut self, value: f64) {
        for hasher in &mut self.0 {
            hasher.write_u64(value.to_bits());
        }
    }

    fn count(&mut self, value: usize) {
        for hasher in &mut self.0 {
            hasher.write_usize(value);
        }
    }
}

impl Write for Twice {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        for hasher in &mut self.0 {
            hasher.write(text.as_bytes());
        }
        Ok(())
    }
}

/// Of anything small, by all that it says of itself.
fn key_of(value: &dyn std::fmt::Debug) -> Key {
    let mut out = Twice::new();
    // A hasher takes every text; floats print so that they read back the same.
    let _ = write!(out, "{value:?}");
    out.key()
}

/// Of a packing: every body, spring and contact.
fn fingerprint(packing: &Packing) -> Key {
    let mut out = Twice::new();
    let _ = write!(out, "{:?}", packing.springs);
    out.count(packing.bodies.len());
    for body in &packing.bodies {
        out.number(body.mass);
        for vector in [body.centre, body.inertia[0], body.inertia[1], body.inertia[2]] {
            for value in [vector.x, vector.y, vector.z] {
                out.number(value);
            }
        }
    }
    for contact in &packing.contacts {
        let patch = &contact.patch;
        for vector in [patch.point, patch.direction] {
            for value in [vector.x, vector.y, vector.z] {
                out.number(value);
            }
        }
        for value in [patch.area, patch.thickness, patch.gap] {
            out.number(value);
        }
        out.count(patch.law);
        out.count(contact.body);
        out.count(contact.against.map_or(0, |body| body + 1));
    }
    out.key()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::Patch;
    use crate::drop::{Contact, Gravity, Landing, RigidBody, Spring, SpringForm, fall_directions};
    use caddis_basis::Length;
    use caddis_geometry::Vec3;

    /// A block on pads below and at its side; `thickness` of the pad below.
    fn packing(thickness: f64) -> Packing {
        let body = RigidBody {
            mass: 3.0,
            centre: Vec3::ZERO,
            inertia: [
                Vec3::new(0.02, 0.0, 0.0),
                Vec3::new(0.0, 0.03, 0.0),
                Vec3::new(0.0, 0.0, 0.04),
            ],
        };
        let pad = |direction: Vec3, thickness: f64| Contact {
            patch: Patch {
                point: direction * 0.08,
                direction,
                area: 0.012,
                thickness,
                gap: 0.0,
                law: 0,
            },
            body: 0,
            against: None,
        };
        let contacts = vec![
            pad(Vec3::new(0.0, 0.0, -1.0), thickness),
            pad(Vec3::new(1.0, 0.0, 0.0), 0.04),
        ];
        let spring = Spring::new(SpringForm::Linear { modulus: 2e5 }).unwrap();
        Packing::new(&[body], vec![spring], contacts).unwrap()
    }

    fn falls(height: f64) -> Vec<Fall> {
        fall_directions()
            .into_iter()
            .step_by(40)
            .map(|direction| Fall {
                direction,
                height: Length::from_si(height),
                gravity: Gravity::Throughout,
                friction: 0.0,
                landing: Landing::StopsDead,
            })
            .collect()
    }

    #[test]
    fn what_is_remembered_is_what_would_be_found() {
        let memory = FallMemory::default();
        let count = || memory.falls.lock().unwrap().len();
        for (thickness, height) in [(0.05, 0.4), (0.05, 0.4), (0.051, 0.4), (0.05, 0.5), (0.05, 0.4)] {
            let (packing, falls) = (packing(thickness), falls(height));
            let plain = simulate_all(&packing, &falls, &Precision::DESIGN, 1).unwrap();
            let found = memory
                .simulate_all(&packing, &falls, &Precision::DESIGN, 2)
                .unwrap();
            assert_eq!(found, plain, "{thickness} {height}");
        }
        // The second and the last were known; foam a millimetre thicker, or another height, was not.
        assert_eq!(count(), 3 * falls(0.4).len());
        // Half of them known, half new.
        let mut mixed = falls(0.4);
        mixed.truncate(3);
        mixed.extend(falls(0.6).into_iter().take(2));
        let found = memory
            .simulate_all(&packing(0.05), &mixed, &Precision::DESIGN, 1)
            .unwrap();
        let plain = simulate_all(&packing(0.05), &mixed, &Precision::DESIGN, 1).unwrap();
        assert_eq!(found, plain);
        assert_eq!(count(), 3 * falls(0.4).len() + 2);
        // Another precision is another question.
        memory
            .simulate_all(&packing(0.05), &mixed, &Precision::ROUGH, 1)
            .unwrap();
        assert_eq!(count(), 3 * falls(0.4).len() + 7);
    }

    #[test]
    fn an_error_is_not_remembered_as_an_answer() {
        let memory = FallMemory::default();
        let mut wrong = falls(0.4);
        wrong[1].direction = Vec3::ZERO;
        assert!(
            memory
                .simulate_all(&packing(0.05), &wrong, &Precision::DESIGN, 1)
                .is_err()
        );
        assert!(memory.falls.lock().unwrap().is_empty());
    }
}
