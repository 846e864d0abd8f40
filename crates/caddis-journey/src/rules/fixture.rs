//! A parcel and a question for the rules' own tests.

use super::{Judged, Question, Rule};
use crate::{CarriageLimits, HandlePlace, Leg, LegKind, Parcel, Valve, pressure_on_lid};
use caddis_basis::{Area, Length, Mass, Measured, Temperature, Volume};

/// 700 x 450 x 330 mm, 18 kg, lid of 0.20 m².
pub(crate) fn parcel() -> Parcel {
    Parcel {
        outside: [700.0, 450.0, 330.0].map(|side| Measured::exact(Length::mm(side))),
        gross_mass: Measured::exact(Mass::from_si(18.0)),
        lid_area: Area::from_si(0.2),
        sealed_volume: Volume::from_si(0.03),
        valve: Valve::Working,
        handles: vec![
            HandlePlace {
                height: Length::mm(330.0),
                two_handed: true,
            },
            HandlePlace {
                height: Length::mm(165.0),
                two_handed: false,
            },
        ],
        wheels: true,
        padlock_points: 2,
        locks: 0,
        batteries: Vec::new(),
        stacking_rating: Some(Mass::from_si(200.0)),
    }
}

/// A parcel of these sides.
pub(crate) fn sized(mm: [f64; 3]) -> Parcel {
    Parcel {
        outside: mm.map(|side| Measured::exact(Length::mm(side))),
        ..parcel()
    }
}

/// A parcel of this gross mass.
pub(crate) fn weighing(kg: f64) -> Parcel {
    Parcel {
        gross_mass: Measured::exact(Mass::from_si(kg)),
        ..parcel()
    }
}

/// Asks a rule that concerns the leg.
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
pub(crate) fn ask_leg(rule: &Rule, parcel: &Parcel, leg: &Leg) -> Vec<Judged> {
    let limits = CarriageLimits::common();
    let question = Question {
        parcel,
        leg,
        closing_temperature: Temperature::celsius(20.0),
        on_lid: pressure_on_lid(parcel, leg, &limits).unwrap(),
        limits: &limits,
    };
    assert!(
        (rule.applies)(&question),
        "{} does not concern {}",
        rule.name,
        leg.kind
    );
    (rule.judge)(&question)
}

/// The first answer of a rule to a leg of which only the kind is known.
pub(crate) fn ask(rule: &Rule, parcel: &Parcel, kind: LegKind) -> Judged {
    ask_leg(rule, parcel, &Leg::new(kind, "test")).swap_remove(0)
}
