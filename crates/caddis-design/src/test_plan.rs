//! From the verified design to the tests that confirm it: what to test, and what is calculated for it.

use crate::{Brief, Direction, Verification};
use caddis_basis::{Length, Temperature};
use caddis_geometry::Vec3;
use caddis_journey::{
    CaseFace, DropSchedule, JourneyError, Landing, LegKind, Parcel, Prediction, Ride, Shaking, TestChoice,
    TestPlan, test_plan,
};
use caddis_survey::Shell;

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
        rides: rides(brief),
        coldest: extreme(brief, -1.0),
        hottest: extreme(brief, 1.0),
        ingress: journey
            .legs
            .iter()
            .find_map(|leg| leg.ingress_wanted)
            .or(journey.case.ingress),
        flies: any(LegKind::is_flight),
        is_freight: any(|kind| kind.is_courier() || kind == LegKind::PalletFreight),
        on_pallet: any(|kind| kind == LegKind::PalletFreight).then_some(journey.cases),
        stack: (any(|kind| kind == LegKind::Store) && journey.cases > 1).then_some(STACK),
    };
    test_plan(
        &parcel.gross_mass,
        parcel.largest_sides(),
        &choice,
        &journey.limits,
    )
}

/// What the legs shake like: the spectrum a leg states; else the common carrier of a leg by road, the composite vehicle of one off
/// it.
fn rides(brief: &Brief) -> Vec<Ride> {
    brief
        .journey
        .legs
        .iter()
        .enumerate()
        .filter_map(|(index, leg)| {
            let stated = brief.vibration.legs.iter().find(|stated| stated.leg == index);
            let shaking = match (stated, leg.kind) {
                (Some(stated), _) => Shaking::Stated {
                    level: stated.spectrum.overall().as_g(),
                    time: stated.duration,
                    source: stated.spectrum.source.clone(),
                },
                (None, LegKind::CourierRoad | LegKind::PalletFreight) => Shaking::Road(leg.distance),
                (None, LegKind::OffRoad) => Shaking::OffRoad(leg.distance),
                _ => return None,
            };
            Some(Ride {
                leg: leg.label.clone(),
                shaking,
            })
        })
        .collect()
}

/// The hottest (`sign` 1) or the coldest (-1) that the closed case becomes, with the leg.
fn extreme(brief: &Brief, sign: f64) -> Option<(Temperature, String)> {
    brief
        .journey
        .legs
        .iter()
        .filter_map(|leg| {
            let (lowest, highest) = leg.temperatures(&brief.journey.limits);
            let met = if sign > 0.0 { highest } else { lowest };
            Some((met?, leg.label.clone()))
        })
        .reduce(|far, next| {
            if sign * (next.0.si() - far.0.si()) > 0.0 {
                next
            } else {
                far
            }
        })
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

/// Direction of a fall that lands on these faces: from the middle of the closed case towards the middle of the face, edge
/// or corner, so that it lies below the middle, as tests are set up.
pub(crate) fn direction_onto(shell: &Shell, faces: &[CaseFace]) -> Vec3 {
    let [x, y, z] = [0, 1, 2].map(|axis| shell.outside[axis].value.si() / 2.0);
    faces
        .iter()
        .map(|face| match face {
            CaseFace::Base => Vec3::new(0.0, 0.0, -z),
            CaseFace::Lid => Vec3::new(0.0, 0.0, z),
            CaseFace::Left => Vec3::new(-x, 0.0, 0.0),
            CaseFace::Right => Vec3::new(x, 0.0, 0.0),
            CaseFace::Front => Vec3::new(0.0, -y, 0.0),
            CaseFace::Back => Vec3::new(0.0, y, 0.0),
        })
        .fold(Vec3::ZERO, |sum, part| sum + part)
        .unit()
}

/// How far from a landing's own direction a fall of the map may lie: one step of the map.
const NEAR: f64 = 8.5;

/// What verification calculated for each item, from the height it was verified for: on each face the worst of the flat fall and
/// of every simulated landing on it (the shell bouncing or not, one end first); on each edge
/// and corner, where falls were simulated, the worst fall of the map about the direction in which the middle of the case
/// lies over the edge or corner.
pub fn predictions(brief: &Brief, verification: &Verification) -> Vec<Prediction> {
    let others: Vec<(Landing, Vec3)> = Landing::edges_and_corners()
        .into_iter()
        .map(|landing| {
            let direction = direction_onto(&brief.shell, landing.faces());
            (landing, direction)
        })
        .collect();
    let mut out = Vec::new();
    for item in &verification.items {
        let predicted = |landing: Landing, peak, limit| Prediction {
            item: item.instance.to_string(),
            landing,
            height: verification.drop_height,
            peak,
            limit,
        };
        let limit = item.directions.first().and_then(|verdict| verdict.limit);
        for (index, verdict) in item.directions.iter().enumerate() {
            // The worse of the flat fall and of every simulated landing on that face.
            let peak = match &item.falls {
                Some(falls) => verdict
                    .peak
                    .and_then(|flat| falls.on_faces[index].map(|fall| flat.max(fall))),
                None => verdict.peak,
            };
            out.push(predicted(
                Landing::on(face(verdict.direction)),
                peak,
                verdict.limit,
            ));
        }
        let Some(falls) = &item.falls else { continue };
        for (landing, direction) in &others {
            let mut near = falls
                .map
                .iter()
                .filter(|(fall, _)| fall.dot(*direction) >= NEAR.to_radians().cos())
                .map(|(_, peak)| *peak)
                .peekable();
            if near.peek().is_some() {
                // One that is crushed solid has no peak, and neither has the landing then.
                let worst = near.reduce(|a, b| Some(a?.max(b?))).flatten();
                out.push(predicted(landing.clone(), worst, limit));
            }
        }
    }
    out
}
