//! A small brief for the tests of this crate: an invented shell, an invented foam, eight kinds of equipment.

use crate::{
    ArrangeOptions, Block, BlockKind, Brief, Cavity, Clearances, CutTo, Handling, Interior, LayerPlan, Place,
    VibrationBrief, arrange,
};
use caddis_basis::{
    Acceleration, Angle, CavityId, Certainty, Density, InstanceId, ItemId, LayerId, Length, Mass, Measured,
    Outcome, Pressure, Quiet, Source, Volume,
};
use caddis_geometry::{Mesh, Pose, Prism, Region, Vec2, Vec3};
use caddis_journey::{Journey, Leg, LegKind, Valve};
use caddis_protection::{CreepLimit, Foam, Law, LawKind, LawRange, LawRecord};
use caddis_survey::{
    Declared, Fragility, HalfSide, Intrusion, IntrusionKind, Item, ItemShape, Opening, OutlineShape, Part,
    Primitive, Shell, ShellHalf, Softness, SurveyRecord, Turn, Up,
};

fn invented() -> Source {
    Source::new("made up for the tests", Certainty::Invented)
}

fn mm(value: f64) -> Length {
    Length::mm(value)
}

fn about<Q>(value: Q, plus_minus: Q) -> Measured<Q> {
    Measured {
        value,
        plus_minus: Some(plus_minus),
        source: Some(invented()),
    }
}

fn opening(length: f64, width: f64, radius: f64) -> Opening {
    Opening {
        length: about(mm(length), mm(1.0)),
        width: about(mm(width), mm(1.0)),
        corner_radius: about(mm(radius), mm(1.0)),
        centre: Vec2::ZERO,
    }
}

pub(crate) fn block(name: &str, kind: IntrusionKind, at: (f64, f64), size: (f64, f64, f64)) -> Intrusion {
    Intrusion {
        name: name.to_owned(),
        kind,
        outline: OutlineShape::Rectangle {
            centre: Vec2::new(at.0 / 1e3, at.1 / 1e3).into(),
            length: Measured::exact(mm(size.0)),
            width: Measured::exact(mm(size.1)),
            corner_radius: Measured::exact(mm(if kind == IntrusionKind::Rib { 2.0 } else { 8.0 })),
        },
        from: Measured::exact(Length::ZERO),
        to: about(mm(size.2), mm(1.0)),
        draft: Measured::exact(Angle::degrees(2.0)),
        fillet: Measured::exact(Length::ZERO),
        removable: false,
        removed: false,
    }
}

/// About 640 x 400 mm at the rim, base 240 mm and lid 75 mm deep, two wheel housings and a pull-handle housing on the
/// -x wall, three floor ribs, four lid bosses.
pub(crate) fn shell() -> Shell {
    let rib = |x: f64| block("floor rib", IntrusionKind::Rib, (x, 0.0), (14.0, 240.0, 9.0));
    let boss = |x: f64, y: f64| Intrusion {
        name: "lid boss".to_owned(),
        kind: IntrusionKind::Boss,
        outline: OutlineShape::Circle {
            centre: Vec2::new(x / 1e3, y / 1e3).into(),
            radius: Measured::exact(mm(7.0)),
        },
        from: Measured::exact(Length::ZERO),
        to: about(mm(30.0), mm(0.5)),
        draft: Measured::exact(Angle::degrees(1.0)),
        fillet: Measured::exact(Length::ZERO),
        removable: true,
        removed: false,
    };
    Shell {
        name: "test-640".to_owned(),
        title: "test shell 640 x 400".to_owned(),
        base: ShellHalf {
            side: HalfSide::Base,
            rim: opening(640.0, 400.0, 45.0),
            floor: opening(624.6, 384.6, 40.0),
            depth: about(mm(240.0), mm(1.0)),
            fillet: about(mm(15.0), mm(1.0)),
            wall: Measured::exact(mm(5.0)),
            steps: Vec::new(),
            dome: None,
            stated_drafts: None,
            traced: Vec::new(),
            intrusions: vec![
                block(
                    "wheel housing left",
                    IntrusionKind::WheelHousing,
                    (-280.0, -155.0),
                    (80.0, 80.0, 85.0),
                ),
                block(
                    "wheel housing right",
                    IntrusionKind::WheelHousing,
                    (-280.0, 155.0),
                    (80.0, 80.0, 85.0),
                ),
                block(
                    "pull-handle housing",
                    IntrusionKind::PullHandleHousing,
                    (-302.0, 0.0),
                    (36.0, 160.0, 200.0),
                ),
                rib(-120.0),
                rib(40.0),
                rib(200.0),
            ],
        },
        lid: ShellHalf {
            side: HalfSide::Lid,
            rim: opening(640.0, 400.0, 45.0),
            floor: opening(630.0, 390.0, 40.0),
            depth: about(mm(75.0), mm(1.0)),
            fillet: about(mm(15.0), mm(1.0)),
            wall: Measured::exact(mm(5.0)),
            steps: Vec::new(),
            dome: None,
            stated_drafts: None,
            traced: Vec::new(),
            intrusions: vec![
                boss(-290.0, -170.0),
                boss(290.0, -170.0),
                boss(-290.0, 170.0),
                boss(290.0, 170.0),
            ],
        },
        outside: [
            about(mm(690.0), mm(2.0)),
            about(mm(450.0), mm(2.0)),
            about(mm(345.0), mm(2.0)),
        ],
        empty_mass: about(Mass::from_si(6.8), Mass::from_si(0.1)),
        nominal_inside: Some([mm(640.0), mm(400.0), mm(315.0)]),
        total_depth: None,
        gasket: None,
        hinge: None,
        stacking_rating: None,
        fittings: Vec::new(),
        photos: Vec::new(),
        record: SurveyRecord::default(),
        source: invented(),
    }
}

/// An invented closed-cell foam by the stress-energy form.
pub(crate) fn foam(name: &str, a: f64, b: f64) -> Foam {
    Foam {
        name: name.to_owned(),
        title: format!("{name}, invented"),
        material: "polyethylene".to_owned(),
        density: Density::from_si(24.0),
        closed_cell: true,
        law: Law {
            kind: LawKind::StressEnergy { a, b },
            range: LawRange {
                static_stress: Some((50.0, 9000.0)),
                greatest_strain: 0.85,
                thickness: Some((0.012, 0.4)),
                drop_height: Some((0.2, 1.2)),
            },
            gravity_in_fit: true,
            is_measured_dynamic: false,
            source: Source::new("made up for the tests", Certainty::Model),
        },
        later: None,
        record: LawRecord::default(),
        properties: Vec::new(),
        colours: None,
        firmness: None,
        creep_limits: vec![CreepLimit {
            stress: Pressure::kpa(7.0),
            up_to: None,
            source: invented(),
        }],
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

fn item(id: &str, solid: Primitive, mass: f64, fragility: Fragility) -> Item {
    Item {
        id: ItemId::new(id),
        name: id.replace('-', " "),
        quantity: 1,
        shape: ItemShape::Primitive(solid),
        size_tolerance: mm(0.5),
        mass: about(Mass::from_si(mass), Mass::from_si(0.01)),
        centre_of_mass: None,
        fragility,
        softness: None,
        ways_up: vec![Up::PlusZ],
        may_turn: true,
        no_load: Vec::new(),
        keep_clear: Vec::new(),
        grips: Vec::new(),
        reach_first: false,
        may_lie_in_lid: false,
        requires: Vec::new(),
        foam: caddis_survey::FoamWish::default(),
        fragility_assumed_by: None,
        points: Vec::new(),
        note: String::new(),
        declared: Declared::default(),
        source: invented(),
    }
}

fn cuboid(length: f64, width: f64, height: f64) -> Primitive {
    Primitive::Cuboid {
        length: mm(length),
        width: mm(width),
        height: mm(height),
    }
}

fn cylinder(diameter: f64, height: f64) -> Primitive {
    Primitive::Cylinder {
        diameter: mm(diameter),
        height: mm(height),
    }
}

fn known(g: f64) -> Fragility {
    Fragility::Known(about(Acceleration::g(g), Acceleration::ZERO))
}

/// A box of this length, width and height, mm, of so many kilograms, that stands so many g.
pub(crate) fn flat(id: &str, [length, width, height]: [f64; 3], mass: f64, stands: f64) -> Item {
    item(id, cuboid(length, width, height), mass, known(stands))
}

/// Eight kinds, nine pieces: boxes, an upright and a lying cylinder, two equal batteries, a tall recorder, a flat
/// display, a mesh, a compound and a soft cable coil.
pub(crate) fn items() -> Vec<Item> {
    let mut batteries = item("battery", cuboid(110.0, 70.0, 80.0), 0.9, Fragility::Unknown);
    batteries.quantity = 2;
    let tall = item("recorder", cuboid(120.0, 90.0, 170.0), 2.4, known(80.0));
    let mut display = item("display", cuboid(200.0, 120.0, 32.0), 1.1, known(70.0));
    display.reach_first = true;
    let mut tube = item("tube", cylinder(50.0, 180.0), 0.9, known(90.0));
    tube.ways_up = vec![Up::PlusX];
    let sensor = item("sensor", cylinder(95.0, 110.0), 1.6, known(75.0));
    let mut coil = item("cable-coil", cylinder(130.0, 45.0), 0.6, Fragility::None);
    coil.softness = Some(Softness {
        least_bend_radius: Some(mm(40.0)),
        volume: Volume::from_si(4e-4),
    });
    let mut lens = item("lens", cylinder(60.0, 60.0), 0.5, known(80.0));
    lens.shape = ItemShape::Mesh {
        mesh: Mesh::revolved(
            &[
                Vec2::new(0.0, 0.0),
                Vec2::new(0.022, 0.0),
                Vec2::new(0.030, 0.020),
                Vec2::new(0.026, 0.060),
                Vec2::new(0.0, 0.060),
            ],
            48,
        ),
        file: "lens.stl".to_owned(),
        doubts: Vec::new(),
    };
    let mut meter = item("meter", cuboid(100.0, 60.0, 40.0), 0.7, known(85.0));
    meter.shape = ItemShape::Compound(vec![
        Part {
            solid: cuboid(100.0, 60.0, 40.0),
            at: Vec3::ZERO,
            up: Up::PlusZ,
        },
        Part {
            solid: cylinder(24.0, 22.0),
            at: Vec3::new(0.02, 0.0, 0.04),
            up: Up::PlusZ,
        },
    ]);
    vec![batteries, tall, display, tube, sensor, coil, lens, meter]
}

/// The brief.
pub(crate) fn brief() -> Brief {
    Brief {
        job: "test-1".to_owned(),
        title: "test job".to_owned(),
        customer: "field team of an invented observatory".to_owned(),
        shell: shell(),
        items: items(),
        foams: vec![foam("soft plank", 25_000.0, 4e-5)],
        base_foam: 0,
        lid_foam: 0,
        journey: Journey::new("to the field", vec![Leg::new(LegKind::AirHold, "flight")]),
        handling: Handling {
            drop_height: about(mm(610.0), Length::ZERO),
            source: invented(),
            stored_long: true,
            scatter: crate::Scatter::default(),
            foam_friction: None,
            shell_rebound: None,
        },
        clearances: Clearances {
            layer_thicknesses: [10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0]
                .into_iter()
                .map(mm)
                .collect(),
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
        sundries: about(Mass::from_si(0.3), Mass::from_si(0.1)),
        batteries: Vec::new(),
        valve: Valve::Working,
        lid_area: None,
        vibration: VibrationBrief::default(),
        wishes: crate::Wishes::default(),
        furnishing: crate::Furnishing::default(),
        concessions: Vec::new(),
    }
}

/// What arranging the brief comes to within so many steps.
pub(crate) fn outcome(brief: &Brief, steps: u64) -> Outcome<Interior> {
    let options = ArrangeOptions {
        seed: 7,
        steps,
        workers: 2,
    };
    arrange(brief, &options, &Quiet)
}

/// The brief arranged within so many steps.
pub(crate) fn arranged(brief: &Brief, steps: u64) -> Interior {
    match outcome(brief, steps) {
        Outcome::Complete(interior) => interior,
        Outcome::Stopped { .. } => panic!("stopped"),
        Outcome::Impossible { reasons } => panic!(
            "{:#?}",
            reasons.iter().map(|reason| &reason.sentence).collect::<Vec<_>>()
        ),
    }
}

/// One layer from 20 mm to the rim with straight walls 300 mm apart along x and 200 mm along y, lid pad above; pieces are
/// boxes (centre x, size x/y/z in mm) hanging flush.
pub(crate) fn shelf(pieces: &[(f64, [f64; 3])]) -> Interior {
    let mm = |v: f64| v / 1e3;
    let top = 0.24;
    let outline = Region::rectangle(Vec2::new(-0.15, -0.1), Vec2::new(0.15, 0.1));
    let layer = |id: &str, low, high| LayerPlan {
        id: LayerId::new(id),
        low,
        high,
        stock: Length::from_si(high - low),
        cut_to: CutTo::Middle,
        outline: outline.clone(),
        squeeze: (0.0, 0.0),
    };
    let block = |kind, foam, id: &str, low, high| Block {
        kind,
        foam,
        low,
        high,
        layers: vec![layer(id, low, high)],
        free_height: high - low,
        board: None,
        cover: None,
    };
    let mut places = Vec::new();
    let mut cavities = Vec::new();
    for (index, (x, [l, w, h])) in pieces.iter().enumerate() {
        let at = Vec2::new(mm(*x), 0.0);
        let half = Vec2::new(mm(*l) / 2.0, mm(*w) / 2.0);
        let body = Prism {
            region: Region::rectangle(at - half, at + half),
            low: top - mm(*h),
            high: top,
        };
        let instance = InstanceId::new(brief().items[0].id.clone(), index as u32 + 1);
        cavities.push(Cavity {
            id: CavityId::new(instance.to_string()),
            instance: instance.clone(),
            steps: vec![body.clone()],
            over: None,
        });
        places.push(Place {
            instance,
            item: 0,
            number: index as u32 + 1,
            up: Up::PlusZ,
            turn: Turn::NONE,
            at,
            bottom: top - mm(*h),
            pose: Pose::translation(at.at_height(top - mm(*h))),
            clear: Vec::new(),
            centre_of_mass: Vec3::new(at.x, at.y, top - mm(*h) / 2.0),
            body: caddis_geometry::SectionStack { slabs: vec![body] },
            tier: 0,
            in_lid: false,
        });
    }
    Interior {
        blocks: vec![
            block(BlockKind::Base, 0, "B1", 0.02, top),
            block(BlockKind::LidPad, 0, "L1", top, 0.315),
        ],
        places,
        cavities,
        notches: Vec::new(),
        openings: Vec::new(),
        spaces: Vec::new(),
        not_on_top: None,
        spare: 0.0,
        rounds: 1,
        seed: 1,
        steps: 1,
    }
}
