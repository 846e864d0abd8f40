//! From the verified design to the tests that confirm it: what to test, and what is calculated for it.

use crate::{Brief, Direction, Verification};
use caddis_basis::Length;
use caddis_journey::{
    CaseFace, DropSchedule, JourneyError, Landing, LegKind, Parcel, Prediction, TestChoice, TestPlan,
    test_plan,
};

/// As high as a person stacks by hand (common practice, no source).
const STACK: Length = Length::from_si(1.5);

/// The tests that standards ask of this case: transit drops where it goes off road or by hand, else parcel drops; from
/// the height the design is for.
///
/// # Errors
/// A mass that the tables do not reach.
pub fn plan_tests(brief: &Brief, verification: &Verification) -> Result<TestPlan, JourneyError> {
    plan_of(brief, &verification.parcel)
}

/// As [`plan_tests`], before there is a verification.
pub(crate) fn plan_of(brief: &Brief, parcel: &Parcel) -> Result<TestPlan, JourneyError> {
    let journey = &brief.journey;
    let any = |wanted: fn(LegKind) -> bool| journey.legs.iter().any(|leg| wanted(leg.kind));
    let is_rough = any(|kind| {
        matches!(
            kind,
            LegKind::OffRoad | LegKind::HandCarry | LegKind::PalletFreight
        )
    });
    let choice = TestChoice {
        schedule: if is_rough {
            DropSchedule::Transit
        } else {
            DropSchedule::Parcel
        },
        design_height: brief.handling.drop_height.clone(),
        road: None,
        ingress: journey
            .legs
            .iter()
            .find_map(|leg| leg.ingress_wanted)
            .or(journey.case.ingress),
        flies: any(LegKind::is_flight),
        is_freight: any(|kind| kind.is_courier() || kind == LegKind::PalletFreight),
        stack: (any(|kind| kind == LegKind::Store) && journey.cases > 1).then_some(STACK),
    };
    test_plan(
        &parcel.gross_mass,
        parcel.nominal_sides(),
        &choice,
        &journey.limits,
    )
}

/// The face a fall in a direction lands on.
fn face(direction: Direction) -> CaseFace {
    match direction {
        Direction::Down => CaseFace::Base,
        Direction::Up => CaseFace::Lid,
        Direction::Left => CaseFace::Left,
        Direction::Right => CaseFace::Right,
        Direction::Front => CaseFace::Front,
        Direction::Back => CaseFace::Back,
    }
}

/// What verification calculated for each item on each face, from the height it was verified for. Edges and corners are not
/// among them.
pub fn predictions(verification: &Verification) -> Vec<Prediction> {
    verification
        .items
        .iter()
        .flat_map(|item| {
            item.directions.iter().map(|verdict| Prediction {
                item: item.instance.to_string(),
                landing: Landing::on(face(verdict.direction)),
                height: verification.drop_height,
                peak: verdict.peak,
                limit: verdict.limit,
            })
        })
        .collect()
}
