//! A parcel and a question for the rules' own tests.

use super::{Judged, Question, Rule};
use crate::{
    Dunnage, HandlePlace, Inside, Journey, Leg, LegKind, Parcel, ParcelDetails, TemperatureLimit, Valve,
    pressure_on_lid,
};
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
        details: ParcelDetails {
            design_drop: None,
            inside: Some(Inside {
                volume: Volume::from_si(0.06),
                area: Area::from_si(1.0),
                height: Length::mm(290.0),
            }),
            dunnage: vec![(Dunnage::SyntheticFoam, Mass::from_si(0.9))],
            temperatures: vec![TemperatureLimit {
                what: "foam".to_owned(),
                lowest: Some(Temperature::celsius(-40.0)),
                highest: Some(Temperature::celsius(70.0)),
                source: caddis_basis::Source::common_practice(),
            }],
            centre_offset: None,
        },
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
pub(crate) fn ask_leg(rule: &Rule, parcel: &Parcel, leg: &Leg) -> Vec<Judged> {
    ask_journey(rule, parcel, &Journey::new("test", vec![leg.clone()]))
}

/// Asks a rule that concerns the first leg of a journey.
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
pub(crate) fn ask_journey(rule: &Rule, parcel: &Parcel, journey: &Journey) -> Vec<Judged> {
    let leg = &journey.legs[0];
    let question = Question {
        parcel,
        leg,
        journey,
        on_lid: pressure_on_lid(parcel, leg, &journey.limits).unwrap(),
        limits: &journey.limits,
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
