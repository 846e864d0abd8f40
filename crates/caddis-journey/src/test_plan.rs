//! Which tests the standards ask of a case of this mass and size, in which order, from which height.

use crate::{
    CarriageLimits, FreightAbove, IngressCode, IngressTest, JourneyError, OwnStack, freight_compression,
    ingress_tests, warehouse_compression,
};
use caddis_basis::{Certainty, Duration, Force, Length, Mass, Measured, Source, Speed};
use std::fmt;

/// A face of the closed case as it lies on its base; the hinge is at the back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CaseFace {
    /// On the base.
    Base,
    /// On the lid.
    Lid,
    /// On the left end (-x).
    Left,
    /// On the right end (+x).
    Right,
    /// On the front (-y), where the latches are.
    Front,
    /// On the back (+y), where the hinge is.
    Back,
}

impl CaseFace {
    /// Every face, in the order tests take them.
    pub const ALL: [Self; 6] = [
        Self::Base,
        Self::Lid,
        Self::Left,
        Self::Right,
        Self::Front,
        Self::Back,
    ];

    /// The word on papers and in results files.
    pub fn words(self) -> &'static str {
        match self {
            Self::Base => "base",
            Self::Lid => "lid",
            Self::Left => "left",
            Self::Right => "right",
            Self::Front => "front",
            Self::Back => "back",
        }
    }
}

/// How the case lands: on a face, on the edge of two, on the corner of three.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Landing(Vec<CaseFace>);

impl Landing {
    /// On one face.
    pub fn on(face: CaseFace) -> Self {
        Self(vec![face])
    }

    /// Reads `base`, `base-front`, `base-front-left`, the faces in any order.
    ///
    /// # Errors
    /// A face that is none, one named twice, two that lie opposite each other, more than three.
    pub fn parse(text: &str) -> Result<Self, JourneyError> {
        let wrong = || JourneyError::Landing {
            text: text.trim().to_owned(),
        };
        let mut faces = text
            .trim()
            .split('-')
            .map(|word| {
                CaseFace::ALL
                    .into_iter()
                    .find(|face| face.words() == word)
                    .ok_or_else(wrong)
            })
            .collect::<Result<Vec<_>, _>>()?;
        faces.sort();
        // Base and lid, left and right, front and back: at most one of each pair.
        let pair = |face: &CaseFace| *face as u8 / 2;
        let apart = faces.windows(2).all(|two| pair(&two[0]) != pair(&two[1]));
        if faces.len() > 3 || !apart {
            return Err(wrong());
        }
        Ok(Self(faces))
    }

    /// The faces that meet where it lands: one, two or three.
    pub fn faces(&self) -> &[CaseFace] {
        &self.0
    }

    /// The face when it lands on one.
    pub fn face(&self) -> Option<CaseFace> {
        match self.0[..] {
            [face] => Some(face),
            _ => None,
        }
    }

    /// All edges and corners.
    pub fn edges_and_corners() -> Vec<Self> {
        let mut all = Self::all(2);
        all.extend(Self::all(3));
        all
    }

    /// Six faces, twelve edges or eight corners, by how many faces meet.
    fn all(faces: usize) -> Vec<Self> {
        let pairs = [
            [CaseFace::Base, CaseFace::Lid],
            [CaseFace::Left, CaseFace::Right],
            [CaseFace::Front, CaseFace::Back],
        ];
        match faces {
            1 => CaseFace::ALL.map(Self::on).to_vec(),
            2 => [(0, 1), (0, 2), (1, 2)]
                .into_iter()
                .flat_map(|(a, b)| {
                    pairs[a]
                        .into_iter()
                        .flat_map(move |x| pairs[b].into_iter().map(move |y| Self(vec![x, y])))
                })
                .collect(),
            _ => pairs[0]
                .into_iter()
                .flat_map(|x| {
                    pairs[1]
                        .into_iter()
                        .flat_map(move |y| pairs[2].into_iter().map(move |z| Self(vec![x, y, z])))
                })
                .collect(),
        }
    }
}

impl fmt::Display for Landing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<&str> = self.0.iter().map(|face| face.words()).collect();
        f.write_str(&words.join("-"))
    }
}

/// Whose order of drops.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DropSchedule {
    /// Transit drops of the military standard: faces, edges and corners by mass.
    Transit,
    /// Ten drops of a parcel test: a corner, the edges that meet there, the faces.
    Parcel,
}

/// What a test plan is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct TestChoice {
    /// Whose order.
    pub schedule: DropSchedule,
    /// The drop the design is for: the tests are made from there.
    pub design_height: Measured<Length>,
    /// How far the case travels by road; `None` takes the distance of the standard's hour.
    pub road: Option<Length>,
    /// The ingress code that was asked for.
    pub ingress: Option<IngressCode>,
    /// Whether it flies.
    pub flies: bool,
    /// Whether mixed freight may stand on it.
    pub is_freight: bool,
    /// How high its own kind is stacked in store; `None` when it is not.
    pub stack: Option<Length>,
}

/// One drop.
#[derive(Debug, Clone, PartialEq)]
pub struct DropStep {
    /// Which, from 1.
    pub number: u32,
    /// How it lands.
    pub landing: Landing,
    /// From where.
    pub height: Length,
}

/// Vibration on one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct VibrationStep {
    /// The axis, as the case lies in the truck.
    pub axis: &'static str,
    /// Overall level, standard gravities rms.
    pub level: f64,
    /// How long.
    pub time: Duration,
}

/// Rough handling by machine.
#[derive(Debug, Clone, PartialEq)]
pub struct HandlingStep {
    /// What is done.
    pub what: &'static str,
    /// On which faces, each once.
    pub faces: Vec<CaseFace>,
    /// How high an edge is raised, or how fast the case runs into the wall.
    pub severity: HandlingSeverity,
    /// Whose, with edition and day.
    pub source: Source,
}

/// How hard a step of rough handling is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HandlingSeverity {
    /// Height of the raised edge.
    Raised(Length),
    /// Speed into a wall.
    Speed(Speed),
}

/// A load on the closed case.
#[derive(Debug, Clone, PartialEq)]
pub struct CompressionStep {
    /// What it stands for.
    pub what: &'static str,
    /// The load.
    pub load: Force,
    /// Whose, with edition and day.
    pub source: Source,
}

/// A test of altitude.
#[derive(Debug, Clone, PartialEq)]
pub struct AltitudeStep {
    /// Pressure altitude.
    pub altitude: Length,
    /// How long.
    pub hold: Duration,
    /// Whose, with edition and day.
    pub source: Source,
}

/// What to test, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct TestPlan {
    /// Whose order of drops.
    pub schedule: String,
    /// Whose, with edition and day.
    pub source: Source,
    /// From where the standard would drop a case of this mass and size.
    pub standard_height: Length,
    /// How, and on what.
    pub manner: String,
    /// The drops.
    pub drops: Vec<DropStep>,
    /// Rough handling by machine, where it goes as freight.
    pub handling: Vec<HandlingStep>,
    /// Vibration, an axis each.
    pub vibration: Vec<VibrationStep>,
    /// Whose vibration.
    pub vibration_source: Source,
    /// Loads.
    pub compression: Vec<CompressionStep>,
    /// Altitude, where the case flies.
    pub altitude: Option<AltitudeStep>,
    /// Ingress, where a code was asked for.
    pub ingress: Vec<IngressTest>,
    /// For the people who test.
    pub cautions: Vec<&'static str>,
}

/// For the people who test.
const CAUTIONS: [&str; 6] = [
    "Nobody stands under or beside a raised case; use a release that lets go all at once, and keep hands out until it lies still.",
    "A dropped case can burst its latches: eye protection, and a fence for the pieces.",
    "Lift it with as many persons as its mass asks for, or by machine.",
    "Test with dummy masses, or with batteries taken out: a crushed lithium battery burns. Have what puts it out at hand.",
    "Vent the case before it is unlatched after heat, cold or altitude, and stand clear of the lid.",
    "Compression: the load can slide or the case give way at once; keep out of its fall.",
];

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
                "transit drop, MIL-STD-810H 516.8 procedure IV".to_owned(),
                row.dated_source(),
                standard,
                format!(
                    "{}; on steel plate on concrete (810H), or 2 in of plywood on concrete (810G)",
                    row.value.style
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
                "parcel drops after ISTA 1A: a corner, the three edges that meet there, six faces".to_owned(),
                standard
                    .source
                    .clone()
                    .unwrap_or_else(|| Source::new("ISTA 1A", Certainty::Memory)),
                standard.value,
                "free fall on a hard flat floor; take the weakest corner".to_owned(),
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
    let road = limits.road_vibration.value;
    let share = choice.road.map_or(1.0, |distance| distance / road.distance);
    let vibration = [
        ("vertical", road.vertical),
        ("transverse", road.transverse),
        ("longitudinal", road.longitudinal),
    ]
    .map(|(axis, level)| VibrationStep {
        axis,
        level,
        time: road.time * share,
    })
    .to_vec();
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
        },
        vibration,
        vibration_source: limits.road_vibration.dated_source(),
        compression: compression(gross, sides, choice, limits),
        altitude: choice.flies.then(|| AltitudeStep {
            altitude: limits.altitude_test.value.altitude,
            hold: limits.altitude_test.value.hold,
            source: limits.altitude_test.dated_source(),
        }),
        ingress: choice.ingress.map(ingress_tests).unwrap_or_default(),
        cautions: CAUTIONS.to_vec(),
    })
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
    let step = |what, severity| HandlingStep {
        what,
        faces: faces.clone(),
        severity,
        source: limits.mechanical_handling.dated_source(),
    };
    vec![
        step(
            "rotational drop: the base edge of this face raised, the opposite edge on the floor, let go; assurance level II",
            HandlingSeverity::Raised(heights[1]),
        ),
        step(
            "side impact: pushed or swung with this face into a fixed flat wall; assurance level II",
            HandlingSeverity::Speed(row.side_impact[1]),
        ),
    ]
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
            what: "mixed freight in a vehicle, assurance level II",
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
            what: "its own kind in a store, assurance level II",
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
            road: None,
            ingress: IngressCode::parse("IP67").ok(),
            flies: true,
            is_freight: true,
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
        assert_eq!(plan.handling.len(), 2);
        assert_eq!(
            (plan.vibration.len(), plan.compression.len(), plan.ingress.len()),
            (3, 2, 2)
        );
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
        let speed = HandlingSeverity::Speed(Speed::from_si(4.0 * 0.3048));
        assert_eq!(
            severities(20.0),
            [HandlingSeverity::Raised(Length::inches(9.0)), speed]
        );
        assert_eq!(
            severities(227.0),
            [HandlingSeverity::Raised(Length::inches(6.0)), speed]
        );
    }

    #[test]
    fn landings_are_read_in_any_order_or_refused() {
        for text in ["base", "base-front", "left-base-front"] {
            let landing = Landing::parse(text).unwrap();
            assert_eq!(Landing::parse(&landing.to_string()).unwrap(), landing);
        }
        for bad in [
            "",
            "top",
            "base-lid",
            "base-base",
            "left-right-base",
            "base-left-front-back",
        ] {
            assert!(Landing::parse(bad).is_err(), "{bad}");
        }
    }
}
