//! The remedy of a fall that fails, tried: how much more foam where the item lands would hold it.
//!
//! A fall that bottoms or hurts crushes foam too thin for what comes down on it: the web to a neighbour that comes along, or
//! the wall. The same fall is simulated again with that foam thicker, everything else as it is.

use super::packing::SHARED_LAWS;
use caddis_basis::{Acceleration, Said, said};
use caddis_protection::drop::{Contact, Fall, Packing, Precision, simulate_all};

/// How much thicker foam is tried, least first.
const TIMES: [f64; 4] = [1.2, 1.4, 1.7, 2.0];
/// A patch takes part in a fall that leans towards it by more than this (sine of 15 degrees).
const TAKES_PART: f64 = 0.26;

/// What was tried, in words; `None` where nothing can be said.
pub(super) fn tried(
    packing: &Packing,
    fall: &Fall,
    item: usize,
    limit: Option<Acceleration>,
) -> Option<Said> {
    // Foam between two items is kept by the first of them: towards the second one falls against its direction.
    let lands = |contact: &Contact| {
        let is_foam = contact.patch.law != SHARED_LAWS;
        let along = contact.patch.direction.dot(fall.direction);
        let is_there = (contact.body == item && along > TAKES_PART)
            || (contact.against == Some(item) && along < -TAKES_PART);
        is_foam && is_there
    };
    let (mut least, mut neighbours) = (f64::INFINITY, 0);
    for contact in packing.contacts().iter().filter(|contact| lands(contact)) {
        least = least.min(contact.patch.thickness);
        neighbours += usize::from(contact.against.is_some());
    }
    if !least.is_finite() {
        return None;
    }
    let place = if neighbours > 0 {
        said!("towards its neighbours and the walls it lands on (`least_web` of the foam rules the first)")
    } else {
        said!("where it lands")
    };
    for times in TIMES {
        let contacts = packing
            .contacts()
            .iter()
            .map(|contact| {
                let mut contact = *contact;
                if lands(&contact) {
                    contact.patch.thickness *= times;
                }
                contact
            })
            .collect();
        let thicker = packing.with_contacts(contacts).ok()?;
        let found = simulate_all(&thicker, std::slice::from_ref(fall), &Precision::DESIGN, 1).ok()?;
        let one = found[0][item];
        let is_hurt = limit.is_some_and(|limit| one.peak > limit.as_g());
        if !one.bottomed && !one.strikes && !is_hurt {
            return Some(said!(
                "{times} times the foam {place}: tried in this fall, it then sees {peak:.0} G; its thinnest foam \
                 there is {least:.0} mm now",
                times,
                place,
                peak = one.peak,
                least = least * 1e3
            ));
        }
    }
    Some(said!(
        "not more foam alone: tried in this fall, even twice the foam {place} does not hold it; a stiffer or softer \
         grade, a larger bearing area, or relief under a light item",
        place
    ))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::Length;
    use caddis_geometry::Vec3;
    use caddis_protection::Patch;
    use caddis_protection::drop::{Gravity, Landing, RigidBody, Spring, SpringForm};

    /// 4 kg on a pad of 0.01 m² and the given thickness, linear: G = 1 + sqrt(1 + 2 h E A/(t m g)).
    fn pad(thickness: f64) -> Packing {
        let axes = [
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, 1.0, 0.0),
            Vec3::new(0.0, 0.0, 1.0),
        ];
        let body = RigidBody {
            mass: 4.0,
            centre: Vec3::ZERO,
            inertia: axes.map(|axis| axis * 0.03),
        };
        let down = Vec3::new(0.0, 0.0, -1.0);
        let contact = Contact {
            patch: Patch {
                point: down * 0.1,
                direction: down,
                area: 0.01,
                thickness,
                gap: 0.0,
                law: 0,
            },
            body: 0,
            against: None,
        };
        let spring = Spring::new(SpringForm::Linear { modulus: 3e5 }).unwrap();
        Packing::new(&[body], vec![spring], vec![contact]).unwrap()
    }

    #[test]
    fn the_least_foam_that_helps_is_named_or_that_none_does() {
        let fall = Fall {
            direction: Vec3::new(0.0, 0.0, -1.0),
            height: Length::mm(600.0),
            gravity: Gravity::Throughout,
            friction: 0.0,
            landing: Landing::StopsDead,
        };
        let packing = pad(0.05);
        let peak =
            |times: f64| 1.0 + (1.0 + 2.0 * 0.6 * 3e5 * 0.01 / (0.05 * times) / (4.0 * 9.806_65)).sqrt();
        // Just held by 1.4 times the foam, and not by 1.2 times.
        let words = tried(&packing, &fall, 0, Some(Acceleration::g(peak(1.3)))).unwrap();
        assert!(words.starts_with("1.4 times the foam where it lands"), "{words}");
        assert!(words.contains("50 mm now"), "{words}");
        let words = tried(&packing, &fall, 0, Some(Acceleration::g(peak(3.0)))).unwrap();
        assert!(words.starts_with("not more foam alone"), "{words}");
        // Nothing lies the other way.
        let up = Fall {
            direction: Vec3::new(0.0, 0.0, 1.0),
            ..fall
        };
        assert_eq!(tried(&packing, &up, 0, None), None);
    }
}
