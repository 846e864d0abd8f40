//! Which tests the standards ask of a case of this mass and size, in which order, from which height.

mod landing;
mod steps;

pub use landing::{CaseFace, Landing};
pub use steps::{
    AltitudeStep, CompressionStep, DropStep, HandlingSeverity, HandlingStep, TemperatureStep, VibrationStep,
};

use crate::{
    CarriageLimits, DropHeights, FreightAbove, IngressCode, IngressTest, JourneyError, OwnStack,
    freight_compression, ingress_tests, loaded_pallet, warehouse_compression,
};
use caddis_basis::{Certainty, Duration, Length, Mass, Measured, Said, Source, Temperature, said};

/// Whose order of drops.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DropSchedule {
    /// Transit drops of the military standard: faces, edges and corners by mass.
    Transit,
    /// Ten drops of a parcel test: a corner, the edges that meet there, the faces.
    Parcel,
}

/// One leg that shakes the case.
#[derive(Debug, Clone, PartialEq)]
pub struct Ride {
    /// What the people of the job call the leg.
    pub leg: String,
    /// How it shakes.
    pub shaking: Shaking,
}

/// How a leg shakes.
#[derive(Debug, Clone, PartialEq)]
pub enum Shaking {
    /// A spectrum that the job states, taken as vertical.
    Stated {
        /// Overall level, standard gravities rms.
        level: f64,
        /// Time under way.
        time: Duration,
        /// Whose spectrum.
        source: Source,
    },
    /// A common carrier's truck over a distance; `None` takes the distance of the standard's time.
    Road(Option<Length>),
    /// A vehicle off made roads, as [`Shaking::Road`].
    OffRoad(Option<Length>),
}

/// What a test plan is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct TestChoice {
    /// Whose order.
    pub schedule: DropSchedule,
    /// The drop the design is for: the tests are made from there.
    pub design_height: Measured<Length>,
    /// What the legs on wheels shake like.
    pub rides: Vec<Ride>,
    /// The coldest the closed case becomes, with the leg.
    pub coldest: Option<(Temperature, String)>,
    /// The hottest, with the leg.
    pub hottest: Option<(Temperature, String)>,
    /// The ingress code that was asked for.
    pub ingress: Option<IngressCode>,
    /// Whether it flies.
    pub flies: bool,
    /// Whether mixed freight may stand on it.
    pub is_freight: bool,
    /// Whether it goes on a pallet, and how many of its kind.
    pub on_pallet: Option<u32>,
    /// How high its own kind is stacked in store; `None` when it is not.
    pub stack: Option<Length>,
}

/// What to test, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct TestPlan {
    /// Whose order of drops.
    pub schedule: Said,
    /// Whose, with edition and day.
    pub source: Source,
    /// From where the standard would drop a case of this mass and size.
    pub standard_height: Length,
    /// How, and on what.
    pub manner: Said,
    /// The drops.
    pub drops: Vec<DropStep>,
    /// Rough handling by machine, where it goes as freight.
    pub handling: Vec<HandlingStep>,
    /// Vibration, an axis each.
    pub vibration: Vec<VibrationStep>,
    /// Heat and cold of the legs.
    pub temperatures: Vec<TemperatureStep>,
    /// Loads.
    pub compression: Vec<CompressionStep>,
    /// Altitude, where the case flies.
    pub altitude: Vec<AltitudeStep>,
    /// Ingress, where a code was asked for.
    pub ingress: Vec<IngressTest>,
    /// For the people who test.
    pub cautions: Vec<Said>,
}

/// For the people who test.
fn cautions() -> Vec<Said> {
    vec![
        said!(
            "Nobody stands under or beside a raised case; use a release that lets go all at once, and keep hands out until it lies still."
        ),
        said!("A dropped case can burst its latches: eye protection, and a fence for the pieces."),
        said!("Lift it with as many persons as its mass asks for, or by machine."),
        said!(
            "Test with dummy masses, or with batteries taken out: a crushed lithium battery burns. Have what puts it out at hand."
        ),
        said!(
            "Vent the case before it is unlatched after heat, cold or altitude, and stand clear of the lid."
        ),
        said!("Compression: the load can slide or the case give way at once; keep out of its fall."),
    ]
}

/// The transit row of a mass and the drop height of a size: rows of the limits, lightest first.
///
/// # Errors
/// A mass that is not a finite value above zero.
pub fn transit_drop_row(
    gross: Mass,
    sides: [Length; 3],
    limits: &CarriageLimits,
) -> Result<(&crate::Dated<crate::TransitDropRow>, Length), JourneyError> {
    crate::parcel::positive("the gross mass for a test plan".to_owned(), gross.si(), "kg")?;
    let rows = &limits.transit_drops;
    let row = rows
        .iter()
        .find(|row| gross < row.value.below || (row.value.included && gross <= row.value.below))
        .or(rows.last())
        .ok_or(JourneyError::Limits {
            field: "transit_drops".to_owned(),
            why: "holds no row",
        })?;
    let longest = crate::chargeable::longest_first(sides)[0];
    let height = if longest.si() < 0.91 {
        row.value.height_small
    } else {
        row.value.height_large
    };
    Ok((row, height))
}

/// The tests that standards ask of a case of this mass and size. Drops are made from the design's height; what the standard
/// would ask stands beside it.
///
/// # Errors
/// A mass that is not a finite value above zero, or beyond the parcel table.
pub fn test_plan(
    gross: &Measured<Mass>,
    sides: [Length; 3],
    choice: &TestChoice,
    limits: &CarriageLimits,
) -> Result<TestPlan, JourneyError> {
    let height = choice.design_height.value;
    let (schedule, source, standard_height, manner, landings) = match choice.schedule {
        DropSchedule::Transit => {
            let (row, standard) = transit_drop_row(gross.value, sides, limits)?;
            let mut landings = Vec::new();
            for (count, faces) in [(row.value.faces, 1), (row.value.edges, 2), (row.value.corners, 3)] {
                // A row that asks for some only asks for those at the base.
                let mut all = Landing::all(faces);
                all.sort_by_key(|landing| !landing.0.contains(&CaseFace::Base));
                landings.extend(all.into_iter().take(count as usize));
            }
            (
                said!("transit drop, MIL-STD-810H 516.8 procedure IV"),
                row.dated_source(),
                standard,
                said!(
                    "{style}; on steel plate on concrete (810H), or 2 in of plywood on concrete (810G)",
                    style = row.value.style
                ),
                landings,
            )
        }
        DropSchedule::Parcel => {
            let standard = crate::drop_height(gross.least(), crate::HandlingClass::Parcel)?;
            let corner = Landing(vec![CaseFace::Base, CaseFace::Left, CaseFace::Front]);
            let mut landings = vec![corner];
            for pair in [
                [CaseFace::Base, CaseFace::Left],
                [CaseFace::Base, CaseFace::Front],
                [CaseFace::Left, CaseFace::Front],
            ] {
                landings.push(Landing(pair.to_vec()));
            }
            landings.extend(Landing::all(1));
            (
                said!("parcel drops after ISTA 1A: a corner, the three edges that meet there, six faces"),
                standard
                    .source
                    .clone()
                    .unwrap_or_else(|| Source::new("ISTA 1A", Certainty::Memory)),
                standard.value,
                said!("free fall on a hard flat floor; take the weakest corner"),
                landings,
            )
        }
    };
    let drops = (1..)
        .zip(landings)
        .map(|(number, landing)| DropStep {
            number,
            landing,
            height,
        })
        .collect();
    Ok(TestPlan {
        schedule,
        source,
        standard_height,
        manner,
        drops,
        handling: if choice.is_freight {
            mechanical_handling(gross.value, limits)
        } else {
            Vec::new()
        }
        .into_iter()
        .chain(edgewise(gross, sides, choice, limits)?)
        .collect(),
        vibration: choice
            .rides
            .iter()
            .flat_map(|ride| vibration(ride, limits))
            .collect(),
        temperatures: [&choice.hottest, &choice.coldest]
            .into_iter()
            .flatten()
            .map(|(temperature, leg)| TemperatureStep {
                leg: leg.clone(),
                temperature: *temperature,
            })
            .collect(),
        compression: compression(gross, sides, choice, limits),
        altitude: if choice.flies {
            limits
                .altitude_tests
                .iter()
                .map(|row| AltitudeStep {
                    what: row.value.what.clone(),
                    altitude: row.value.altitude,
                    hold: row.value.hold,
                    source: row.dated_source(),
                })
                .collect()
        } else {
            Vec::new()
        },
        ingress: choice.ingress.map(ingress_tests).unwrap_or_default(),
        cautions: cautions(),
    })
}

/// What one leg shakes like, an axis each.
fn vibration(ride: &Ride, limits: &CarriageLimits) -> Vec<VibrationStep> {
    let (row, distance) = match &ride.shaking {
        Shaking::Stated { level, time, source } => {
            return vec![VibrationStep {
                leg: ride.leg.clone(),
                axis: said!("vertical"),
                level: *level,
                time: *time,
                source: source.clone(),
            }];
        }
        Shaking::Road(distance) => (&limits.road_vibration, distance),
        Shaking::OffRoad(distance) => (&limits.off_road_vibration, distance),
    };
    let vehicle = row.value;
    let share = distance.map_or(1.0, |distance| distance / vehicle.distance);
    [
        (said!("vertical"), vehicle.vertical),
        (said!("transverse"), vehicle.transverse),
        (said!("longitudinal"), vehicle.longitudinal),
    ]
    .map(|(axis, level)| VibrationStep {
        leg: ride.leg.clone(),
        axis,
        level,
        time: vehicle.time * share,
        source: row.dated_source(),
    })
    .to_vec()
}

/// An end or a side raised and let go, and a run into a wall: assurance level II.
fn mechanical_handling(gross: Mass, limits: &CarriageLimits) -> Vec<HandlingStep> {
    let row = limits.mechanical_handling.value;
    let heights = if gross <= row.light_to {
        row.light
    } else {
        row.heavy
    };
    let faces = CaseFace::ALL[2..].to_vec();
    let step = |what: Said, severity| HandlingStep {
        what,
        faces: faces.clone(),
        severity,
        source: limits.mechanical_handling.dated_source(),
    };
    vec![
        step(
            said!(
                "rotational drop: the base edge of this face raised, the opposite edge on the floor, let go; assurance level II"
            ),
            HandlingSeverity::Raised(heights[1]),
        ),
        step(
            said!("side impact: pushed or swung with this face into a fixed flat wall; assurance level II"),
            HandlingSeverity::Speed(row.side_impact[1]),
        ),
    ]
}

/// The loaded pallet let fall edgewise, where the case goes on one.
fn edgewise(
    gross: &Measured<Mass>,
    sides: [Length; 3],
    choice: &TestChoice,
    limits: &CarriageLimits,
) -> Result<Option<HandlingStep>, JourneyError> {
    let pallet = choice
        .on_pallet
        .and_then(|cases| loaded_pallet(sides, gross, cases, limits));
    let Some(pallet) = pallet else { return Ok(None) };
    let height = DropHeights::edgewise(pallet.sides[0], pallet.mass.value)?;
    Ok(Some(HandlingStep {
        what: said!(
            "edgewise drop of the loaded pallet ({count} cases on a {pallet}, {mass:.0} kg): one base edge raised, the opposite edge on the floor, let go",
            count = pallet.cases,
            pallet = pallet.name,
            mass = pallet.mass.value.si()
        ),
        faces: CaseFace::ALL[2..].to_vec(),
        severity: HandlingSeverity::Raised(height.value),
        source: height
            .source
            .unwrap_or_else(|| Source::new("MIL-STD-1660A", Certainty::Published)),
    }))
}

fn compression(
    gross: &Measured<Mass>,
    sides: [Length; 3],
    choice: &TestChoice,
    limits: &CarriageLimits,
) -> Vec<CompressionStep> {
    let mut steps = Vec::new();
    if choice.is_freight {
        let stack = limits.vehicle_stack.value;
        steps.push(CompressionStep {
            what: said!("mixed freight in a vehicle, assurance level II"),
            load: freight_compression(&FreightAbove {
                sides,
                density: stack.density,
                height: stack.height_over(gross.value, sides[0] * sides[1] * sides[2]),
                factor: limits.vehicle_factors.value[1],
            }),
            source: limits.vehicle_stack.dated_source(),
        });
    }
    if let Some(stack) = choice.stack {
        steps.push(CompressionStep {
            what: said!("its own kind in a store, assurance level II"),
            load: warehouse_compression(&OwnStack {
                gross: gross.value,
                height: sides[2],
                stack,
                factor: limits.warehouse_factors.value[1],
            }),
            source: limits.warehouse_factors.dated_source(),
        });
    }
    steps
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    fn choice(schedule: DropSchedule) -> TestChoice {
        TestChoice {
            schedule,
            design_height: Measured::exact(Length::mm(460.0)),
            rides: vec![
                Ride {
                    leg: "by road".to_owned(),
                    shaking: Shaking::Road(None),
                },
                Ride {
                    leg: "up the track".to_owned(),
                    shaking: Shaking::OffRoad(Some(Length::from_si(80_500.0))),
                },
            ],
            coldest: None,
            hottest: Some((Temperature::celsius(71.0), "depot".to_owned())),
            ingress: IngressCode::parse("IP67").ok(),
            flies: true,
            is_freight: true,
            on_pallet: Some(1),
            stack: Some(Length::from_si(1.5)),
        }
    }

    fn plan(kg: f64, longest: f64, schedule: DropSchedule) -> TestPlan {
        let sides = [longest, 450.0, 330.0].map(Length::mm);
        test_plan(
            &Measured::exact(Mass::from_si(kg)),
            sides,
            &choice(schedule),
            &CarriageLimits::common(),
        )
        .unwrap()
    }

    /// MIL-STD-810H 516.8 procedure IV, read in two reviews: below 45.4 kg and 91 cm 122 cm, 26 drops on 6 faces, 12 edges and
    /// 8 corners; the other rows from memory.
    #[test]
    fn transit_drops_follow_mass_and_size() {
        for (kg, longest, drops, height) in [
            (18.0, 700.0, 26, 1.2192),
            (18.0, 950.0, 26, 0.762),
            (60.0, 700.0, 8, 0.762),
            (60.0, 950.0, 8, 0.6096),
            (200.0, 950.0, 8, 0.6096),
            (500.0, 1200.0, 5, 0.4572),
        ] {
            let plan = plan(kg, longest, DropSchedule::Transit);
            assert_eq!(plan.drops.len(), drops, "{kg} kg");
            let off: f64 = plan.standard_height.si() - height;
            assert!(off.abs() < 1e-9, "{kg} kg: {}", plan.standard_height);
            let different: BTreeSet<_> = plan.drops.iter().map(|step| step.landing.clone()).collect();
            assert_eq!(different.len(), drops);
            assert!(plan.drops.iter().all(|step| step.height == Length::mm(460.0)));
        }
    }

    #[test]
    fn a_heavy_case_falls_on_its_base() {
        let landings: Vec<_> = plan(500.0, 1200.0, DropSchedule::Transit)
            .drops
            .iter()
            .map(|step| step.landing.to_string())
            .collect();
        assert_eq!(
            landings,
            ["base", "base-left", "base-right", "base-front", "base-back"]
        );
    }

    #[test]
    fn a_parcel_falls_ten_times_corner_first() {
        let plan = plan(18.0, 700.0, DropSchedule::Parcel);
        assert_eq!(plan.drops.len(), 10);
        assert_eq!(plan.drops[0].landing.to_string(), "base-left-front");
        assert_eq!(plan.drops[9].landing.face(), Some(CaseFace::Back));
        // Rotational drops, side impacts, and the pallet: 1.2 m of it, below 600 lb, from 47.2 in / 2.7 + 6 in.
        assert_eq!(plan.handling.len(), 3);
        assert_eq!(
            plan.handling[2].severity,
            HandlingSeverity::Raised(Length::inches(23.5))
        );
        assert_eq!(
            (plan.vibration.len(), plan.compression.len(), plan.ingress.len()),
            (6, 2, 3)
        );
        assert_eq!((plan.temperatures.len(), plan.altitude.len()), (1, 3));
        // 40 min stand for 805 km: a tenth of it shakes a tenth of the time.
        assert!((plan.vibration[3].time.si() - 240.0).abs() < 1e-9);
        assert!((plan.vibration[3].level - 2.24).abs() < 1e-12);
    }

    /// ASTM D4169-09 in a copy: at assurance level II 9 in up to 500 lb, 6 in above, 4.0 ft/s.
    #[test]
    fn freight_is_handled_roughly_by_mass() {
        let severities = |kg: f64| -> Vec<HandlingSeverity> {
            mechanical_handling(Mass::from_si(kg), &CarriageLimits::common())
                .iter()
                .map(|step| step.severity)
                .collect()
        };
        let speed = HandlingSeverity::Speed(caddis_basis::Speed::from_si(4.0 * 0.3048));
        assert_eq!(
            severities(20.0),
            [HandlingSeverity::Raised(Length::inches(9.0)), speed]
        );
        assert_eq!(
            severities(227.0),
            [HandlingSeverity::Raised(Length::inches(6.0)), speed]
        );
    }
}
