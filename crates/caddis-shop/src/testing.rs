//! A small interior with every kind of cut, its brief and a shop, for tests.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::{DrawingPractice, Motion, Process, ProcessKind, Quoting, Rates, Shop, ShopSet, StockSheet, make};
use caddis_basis::{
    Acceleration, Area, CavityId, Certainty, Currency, Density, Duration, InstanceId, ItemId, LayerId,
    Length, Mass, Measured, Money, Quiet, Source, Speed, Volume,
};
use caddis_design::{
    Block, BlockKind, Brief, Cavity, Clearances, CutTo, Handling, Interior, LayerPlan, Notch, Release,
    Verification, release,
};
use caddis_geometry::{Prism, Region, Vec2};
use caddis_journey::{Journey, Leg, LegKind, Parcel, Valve};
use caddis_protection::{Foam, Law, LawKind, LawRange, LawRecord};
use caddis_survey::{HalfSide, Opening, Shell, ShellHalf, SurveyRecord};

pub(crate) fn invented() -> Source {
    Source::new("made up for the tests", Certainty::Invented)
}

pub(crate) fn mm(value: f64) -> Length {
    Length::mm(value)
}

pub(crate) fn at(x: f64, y: f64) -> Vec2 {
    Vec2::new(x / 1e3, y / 1e3)
}

fn about<Q>(value: Q) -> Measured<Q> {
    Measured {
        value,
        plus_minus: None,
        source: Some(invented()),
    }
}

pub(crate) fn euro(major: f64) -> Money {
    Money::rounded(major, Currency::parse("EUR").unwrap())
}

fn foam() -> Foam {
    Foam {
        name: "soft-plank".to_owned(),
        title: "soft plank 24".to_owned(),
        material: "polyethylene".to_owned(),
        density: Density::from_si(24.0),
        closed_cell: true,
        law: Law {
            kind: LawKind::StressEnergy { a: 12_000.0, b: 9e-5 },
            range: LawRange {
                static_stress: Some((50.0, 9000.0)),
                greatest_strain: 0.85,
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: true,
            is_measured_dynamic: false,
            source: invented(),
        },
        later: None,
        record: LawRecord::default(),
        properties: Vec::new(),
        colours: None,
        firmness: None,
        creep_limits: Vec::new(),
        memory: None,
        hysteresis: None,
        temperatures: None,
        cavity_clearance: mm(0.5),
        wall_squeeze: (mm(0.0), mm(3.0)),
        least_web: mm(15.0),
        colour: [60, 60, 66],
        source: invented(),
    }
}

fn half(side: HalfSide, depth: f64) -> ShellHalf {
    let opening = Opening {
        length: about(mm(400.0)),
        width: about(mm(300.0)),
        corner_radius: about(mm(30.0)),
        centre: Vec2::ZERO,
    };
    ShellHalf {
        side,
        rim: opening.clone(),
        floor: opening,
        depth: about(mm(depth)),
        fillet: about(mm(5.0)),
        wall: Measured::exact(mm(4.0)),
        steps: Vec::new(),
        dome: None,
        stated_drafts: None,
        intrusions: Vec::new(),
        traced: Vec::new(),
    }
}

pub(crate) fn brief() -> Brief {
    Brief {
        job: "test-1".to_owned(),
        title: "test".to_owned(),
        customer: "nobody".to_owned(),
        shell: Shell {
            name: "box".to_owned(),
            title: "box".to_owned(),
            base: half(HalfSide::Base, 100.0),
            lid: half(HalfSide::Lid, 30.0),
            outside: [about(mm(420.0)), about(mm(320.0)), about(mm(140.0))],
            empty_mass: about(Mass::from_si(3.0)),
            nominal_inside: None,
            total_depth: None,
            gasket: None,
            hinge: None,
            stacking_rating: None,
            fittings: Vec::new(),
            photos: Vec::new(),
            record: SurveyRecord::default(),
            source: invented(),
        },
        items: Vec::new(),
        foams: vec![foam()],
        base_foam: 0,
        lid_foam: 0,
        journey: Journey::new("to the field", vec![Leg::new(LegKind::AirHold, "flight")]),
        handling: Handling {
            drop_height: about(mm(610.0)),
            source: invented(),
            stored_long: false,
            scatter: caddis_design::Scatter::default(),
            foam_friction: None,
            shell_rebound: None,
        },
        clearances: Clearances {
            layer_thicknesses: vec![mm(30.0), mm(50.0)],
            joint_loss: mm(1.0),
            layer_tolerance: mm(0.5),
            stack_squeeze: (mm(1.0), mm(5.0)),
            cavity_step: mm(5.0),
            least_floor: mm(15.0),
            notch_radius: mm(14.0),
            notch_depth: mm(45.0),
            least_notch_web: mm(10.0),
            cutter_radius: mm(4.0),
            through_cuts: false,
            push_out_diameter: Clearances::PUSH_OUT_DIAMETER,
            lift_hole: Clearances::LIFT_HOLE,
        },
        sundries: about(Mass::from_si(0.1)),
        batteries: Vec::new(),
        valve: Valve::Working,
        lid_area: None,
        vibration: caddis_design::VibrationBrief::default(),
        wishes: caddis_design::Wishes::default(),
        furnishing: caddis_design::Furnishing::default(),
        concessions: Vec::new(),
    }
}

pub(crate) fn prism(region: Region, low: f64, high: f64) -> Prism {
    Prism {
        region,
        low: low / 1e3,
        high: high / 1e3,
    }
}

fn layer(id: &str, low: f64, high: f64, stock: f64) -> LayerPlan {
    LayerPlan {
        id: LayerId::new(id),
        low: low / 1e3,
        high: high / 1e3,
        stock: mm(stock),
        cut_to: CutTo::Bottom,
        outline: Region::rounded_rectangle(at(-200.0, -150.0), at(200.0, 150.0), 0.03),
        squeeze: (0.0, 0.0),
    }
}

pub(crate) fn cavity(id: &str, steps: Vec<Prism>) -> Cavity {
    Cavity {
        id: CavityId::new(id),
        instance: InstanceId::new(ItemId::new(id), 1),
        steps,
        over: None,
    }
}

/// Two base layers of 50 that close to 49 each, and a lid pad of 30: a box cavity through the upper layer into the lower, a
/// stepped round one, a shallow one, and a notch beside the box.
pub(crate) fn interior() -> Interior {
    let boxed = Region::rounded_rectangle(at(-150.0, -90.0), at(-50.0, 60.0), 0.006);
    Interior {
        blocks: vec![
            Block {
                kind: BlockKind::Base,
                foam: 0,
                low: 0.0,
                high: 0.098,
                layers: vec![layer("B1", 0.0, 49.0, 50.0), layer("B2", 49.0, 98.0, 50.0)],
                free_height: 0.1,
                board: None,
                cover: None,
            },
            Block {
                kind: BlockKind::LidPad,
                foam: 0,
                low: 0.098,
                high: 0.128,
                layers: vec![layer("L1", 98.0, 128.0, 30.0)],
                free_height: 0.03,
                board: None,
                cover: None,
            },
        ],
        places: Vec::new(),
        cavities: vec![
            cavity("recorder", vec![prism(boxed, 20.0, 98.0)]),
            cavity(
                "lens",
                vec![
                    prism(Region::circle(at(40.0, 0.0), 0.03), 49.0, 70.0),
                    prism(Region::circle(at(40.0, 0.0), 0.05), 70.0, 98.0),
                ],
            ),
            cavity(
                "meter",
                vec![prism(
                    Region::rounded_rectangle(at(110.0, -60.0), at(160.0, 60.0), 0.006),
                    73.0,
                    98.0,
                )],
            ),
        ],
        notches: vec![Notch {
            cavity: CavityId::new("recorder"),
            prism: prism(Region::circle(at(-100.0, 60.0), 0.014), 53.0, 98.0),
        }],
        openings: Vec::new(),
        spaces: Vec::new(),
        not_on_top: None,
        spare: 0.0,
        rounds: 1,
        seed: 1,
        steps: 1,
    }
}

fn sheet(thickness: f64, price: f64) -> StockSheet {
    StockSheet {
        name: format!("soft plank {thickness}"),
        foam: "soft-plank".to_owned(),
        thickness: mm(thickness),
        length: mm(1000.0),
        width: mm(700.0),
        trim: mm(10.0),
        outline: None,
        number: None,
        price: euro(price),
        colour: None,
        one_good_face: false,
        source: invented(),
    }
}

/// Rates of the worked example of the shop reference, section 7.
pub(crate) fn rates() -> Rates {
    Rates {
        machine_per_hour: euro(60.0),
        labour_per_hour: euro(35.0),
        setup: Duration::from_si(2700.0),
        handling_per_layer: Duration::from_si(180.0),
        gluing_per_joint: Duration::from_si(480.0),
        adhesive_per_m2: euro(4.0),
        overhead: 0.15,
        scrap: 0.03,
        margin: 0.35,
        source: invented(),
    }
}

pub(crate) fn shop() -> Shop {
    Shop {
        name: "test shop".to_owned(),
        currency: Currency::parse("EUR").unwrap(),
        stock: vec![sheet(50.0, 50.85), sheet(30.0, 31.0)],
        process: Process {
            name: "router".to_owned(),
            kind: ProcessKind::Router,
            kerf: mm(8.0),
            least_radius: mm(4.0),
            gap: mm(12.0),
            greatest_thickness: mm(100.0),
            feed: Speed::from_si(0.1),
            pass_depth: mm(25.0),
            motion: Motion {
                rapid: Speed::from_si(0.5),
                acceleration: Acceleration::from_si(2.0),
                corner_deviation: mm(0.05),
            },
            start: Duration::ZERO,
            lead_in: mm(0.0),
            blade: None,
            suits: Vec::new(),
            machine: None,
            engraving: None,
            tolerance: "±1 mm".to_owned(),
            tolerances: Vec::new(),
            cautions: vec!["wear eye protection, local rules apply".to_owned()],
            source: invented(),
        },
        rates: rates(),
        glue_holdback: mm(5.0),
        engraves_names: false,
        fittings: crate::Fittings::default(),
        offcuts: crate::OffcutPractice::default(),
        quoting: Quoting::default(),
        drawing: DrawingPractice::default(),
        budget: None,
    }
}

pub(crate) fn released() -> Release {
    let verification = Verification {
        items: Vec::new(),
        vibration: Vec::new(),
        spread: None,
        case: Vec::new(),
        legs: Vec::new(),
        parcel: Parcel {
            outside: [about(mm(420.0)), about(mm(320.0)), about(mm(140.0))],
            gross_mass: about(Mass::from_si(5.0)),
            lid_area: Area::from_si(0.1),
            sealed_volume: Volume::from_si(0.01),
            valve: Valve::Working,
            handles: Vec::new(),
            wheels: false,
            padlock_points: 0,
            locks: 0,
            batteries: Vec::new(),
            stacking_rating: None,
            details: caddis_journey::ParcelDetails::default(),
        },
        masses: Vec::new(),
        drop_height: mm(610.0),
        sequence: None,
        fall_assumptions: Vec::new(),
        findings: Vec::new(),
    };
    release(&verification, &[]).unwrap()
}

pub(crate) fn made() -> ShopSet {
    make(&interior(), &brief(), &shop(), 1, &Quiet).unwrap()
}
