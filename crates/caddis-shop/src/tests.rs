//! Tests of the whole: a small interior with every kind of cut, and its files.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::bill::{Effort, cost_lines};
use crate::split::split;
use crate::testing::{at, brief, cavity, euro, interior, invented, made, mm, prism, rates, released, shop};
use crate::{
    Blade, BudgetError, BudgetPractice, BudgetQuestion, MakeError, ProcessKind, ShopSet, Spread, budget,
    cut_files, lamination, make, price_breaks,
};
use caddis_basis::{Acceleration, Currency, Duration, InstanceId, ItemId, Length, Quiet, Severity, Speed};
use caddis_design::Place;
use caddis_geometry::{Pose, Region, SectionStack, Vec2, Vec3};
use caddis_survey::{Turn, Up};
use proptest::prelude::*;

#[test]
fn through_cuts_and_pockets_are_told_apart() {
    let set = made();
    let [lower, upper, lid] = &set.layers[..] else {
        panic!("three layers")
    };
    assert!(lower.through.is_empty());
    assert_eq!(lower.pockets.len(), 1);
    assert!((lower.pockets[0].depth.as_mm() - 29.0).abs() < 1e-9);
    // The box and the lens's narrow part go through; the meter is 25 deep, the notch 45, the lens's wide part 28.
    assert_eq!(upper.through.len(), 2);
    let depths: Vec<f64> = upper
        .pockets
        .iter()
        .map(|p| (p.depth.as_mm() * 1e6).round() / 1e6)
        .collect();
    assert_eq!(depths, [25.0, 28.0, 45.0]);
    assert!(lid.through.is_empty() && lid.pockets.is_empty() && lid.mirrored && lid.face_up == "underside");
    assert_eq!((upper.number, upper.of, upper.face_up), (2, 2, "top"));
}

#[test]
fn parts_hold_the_interiors_foam() {
    let set = made();
    let total: f64 = interior().blocks.iter().map(|b| interior().foam_volume(b)).sum();
    assert!(total > 5e-3);
    // A cubic millimetre in a thousand of the chord error along a metre of wall.
    assert!(
        set.volume_difference.si().abs() < 1e-8 * total.max(1.0),
        "{:?}",
        set.volume_difference
    );
    // Against a sum by hand: what the upper layer loses.
    let cut = std::f64::consts::PI * (30.0_f64.powi(2) * 21.0 + 50.0_f64.powi(2) * 28.0)
        + (50.0 * 120.0 - (4.0 - std::f64::consts::PI) * 36.0) * 25.0
        + (100.0 * 150.0 - (4.0 - std::f64::consts::PI) * 36.0) * 49.0
        + std::f64::consts::PI * 14.0_f64.powi(2) / 2.0 * 45.0;
    let whole = (400.0 * 300.0 - (4.0 - std::f64::consts::PI) * 900.0) * 49.0;
    let held = set.layers[1].foam_volume(mm(49.0)).si() * 1e9;
    assert!(
        (held - (whole - cut)).abs() < 200.0,
        "{held} against {}",
        whole - cut
    );
}

#[test]
fn circles_stay_circles() {
    let set = made();
    let lens = set.layers[1]
        .through
        .iter()
        .find(|r| r.shapes[0].outer.vertices.iter().any(|v| v.at.x > 0.0))
        .unwrap();
    let radius = |v: &caddis_geometry::Vertex| v.at.distance(at(40.0, 0.0));
    assert!(
        lens.shapes[0]
            .outer
            .vertices
            .iter()
            .all(|v| v.bulge != 0.0 && (radius(v) - 0.03).abs() < 1e-9)
    );
    assert!((lens.area() - std::f64::consts::PI * 9e-4).abs() < 1e-12);
}

#[test]
fn glue_keeps_clear_of_cavities_and_edges() {
    let set = made();
    let interior = interior();
    let glue = set.layers[1].glue.as_ref().unwrap();
    assert_eq!(glue.below.as_str(), "B1");
    assert!(set.layers[0].glue.is_none() && set.layers[2].glue.is_none());
    let footprint = lamination::footprint(&interior, &interior.blocks[0]);
    assert!(glue.region.distance(&footprint) >= 0.005 - 1e-9);
    assert!(glue.region.room_inside(&interior.blocks[0].layers[0].outline) >= 0.005 - 1e-9);
    assert!(glue.region.area() > 0.05);
}

#[test]
fn nests_keep_gap_and_trim() {
    let set = made();
    let shop = shop();
    assert_eq!(set.nests.iter().map(|n| n.parts.len()).sum::<usize>(), 3);
    for nest in &set.nests {
        let stock = &shop.stock[nest.stock];
        let usable = Region::rectangle(
            Vec2::new(stock.trim.si(), stock.trim.si()),
            Vec2::new(
                stock.length.si() - stock.trim.si(),
                stock.width.si() - stock.trim.si(),
            ),
        );
        let placed: Vec<Region> = nest
            .parts
            .iter()
            .map(|p| {
                set.layers
                    .iter()
                    .find(|l| l.id == p.layer)
                    .unwrap()
                    .outline
                    .placed(&p.placement)
            })
            .collect();
        for (i, one) in placed.iter().enumerate() {
            assert!(one.room_inside(&usable) >= -1e-6);
            for other in &placed[..i] {
                assert!(one.distance(other) >= shop.process.gap.si() - 1e-6);
            }
        }
    }
}

/// Worked example of the shop reference, section 7 (invented prices): a block of two layers 600 x 400 x 50 for 1, 10 and 100.
#[test]
fn costs_follow_the_worked_example() {
    let sheet = 42.3776 * 1.2;
    let cases: [(f64, f64, [f64; 6], f64, f64); 3] = [
        (1.0, 1.0, [50.85, 45.00, 25.00, 4.67, 11.20, 3.77], 140.49, 216.13),
        (
            10.0,
            4.0,
            [203.41, 45.00, 250.00, 46.67, 51.25, 16.35],
            612.68,
            942.6,
        ),
        (
            100.0,
            34.0,
            [1729.01, 45.00, 2500.00, 466.67, 451.75, 142.22],
            5334.64,
            8207.0,
        ),
    ];
    for (q, sheets, lines, cost, price) in cases {
        let effort = Effort {
            material: sheet * sheets,
            setup: 0.75,
            machine: q * 25.0 / 60.0,
            gluing: q * 8.0 / 60.0,
        };
        let (costs, total, asked) = cost_lines(
            effort,
            &rates(),
            Currency::parse("EUR").unwrap(),
            Default::default(),
        );
        for (line, expected) in costs.iter().zip(lines) {
            assert_eq!(line.amount, euro(expected), "{} of {q}", line.name);
        }
        // The example rounds the sum, we sum the rounded lines: a cent may lie between. Its price is given per unit.
        assert!((total.major() - cost).abs() < 0.0151, "{total}");
        assert!((asked.major() - price).abs() < 0.005 * q + 0.0151, "{asked}");
        assert_eq!(costs.iter().map(|l| l.amount.minor()).sum::<i64>(), asked.minor());
    }
}

#[test]
fn the_bill_charges_whole_sheets_and_adds_up() {
    let set = made();
    assert_eq!(
        set.bill.lines.iter().map(|l| l.unit.as_str()).collect::<Vec<_>>(),
        ["sheet", "sheet", "m²"]
    );
    let material: i64 = set.bill.lines.iter().map(|l| l.total.unwrap().minor()).sum();
    assert_eq!(set.bill.costs[0].amount.minor(), material);
    let sum: i64 = set.bill.costs.iter().map(|l| l.amount.minor()).sum();
    assert_eq!(sum, set.bill.price.minor());
    assert!(set.bill.foam_yield > 0.0 && set.bill.foam_yield < 1.0);
}

#[test]
fn more_of_the_same_cost_less_each() {
    let set = made();
    let quantities = [1, 2, 5, 10, 40];
    let breaks = price_breaks(&set, &shop(), 1, &quantities).unwrap();
    assert_eq!(breaks.len(), quantities.len());
    assert_eq!(breaks[0].price, set.bill.price);
    assert_eq!(breaks[0].costs[0].amount, set.bill.costs[0].amount);
    for (row, quantity) in breaks.iter().zip(quantities) {
        assert_eq!(row.quantity, quantity);
        assert_eq!(
            row.price.minor(),
            row.unit_price.minor() * i64::from(quantity),
            "{quantity}"
        );
        // Setup is paid once.
        assert_eq!(row.costs[1].amount, set.bill.costs[1].amount);
        let adds_up: i64 = row.costs.iter().map(|line| line.amount.minor()).sum();
        assert!(
            (adds_up - row.price.minor()).abs() <= i64::from(quantity),
            "{quantity}"
        );
    }
    for pair in breaks.windows(2) {
        assert!(pair[1].unit_price.minor() <= pair[0].unit_price.minor());
        assert!(pair[1].sheets >= pair[0].sheets);
    }
    assert_eq!(breaks, price_breaks(&set, &shop(), 1, &quantities).unwrap());
}

#[test]
fn a_budget_price_spreads_around_what_is_expected_and_grows_with_the_work() {
    let minutes = |least: f64, expected: f64, most: f64| Spread {
        least: Duration::from_si(60.0 * least),
        expected: Duration::from_si(60.0 * expected),
        most: Duration::from_si(60.0 * most),
    };
    let mut shop = shop();
    let question = BudgetQuestion {
        block: [mm(600.0), mm(400.0), mm(100.0)],
        foam: "soft-plank".to_owned(),
        layers: 2,
        blocks: 1,
        cavities: 4,
    };
    assert_eq!(
        budget(&question, &shop),
        Err(BudgetError::NoPractice("test shop".to_owned()))
    );
    shop.budget = Some(BudgetPractice {
        foam_yield: Spread {
            least: 0.6,
            expected: 0.24,
            most: 0.12,
        },
        cavity_time: minutes(1.0, 2.5, 5.0),
        layer_time: minutes(0.5, 1.5, 3.0),
        source: invented(),
    });
    let price = budget(&question, &shop).unwrap();
    assert!(price.least.price.minor() < price.expected.price.minor());
    assert!(price.expected.price.minor() < price.most.price.minor());
    // 24 L at a yield of 0.24 are 0.1 m³; the shop's two sheets cost 1452.86 and 1476.19 the cubic metre; adhesive 0.24 m² at 4.
    assert_eq!(
        price.expected.costs[0].amount,
        euro(0.1 * (50.85 / 0.035 + 31.0 / 0.021) / 2.0 + 0.96)
    );
    // 45 min, then 2 x 1.5 + 4 x 2.5 + 2 x 3 min at 60 an hour, one joint of 8 min at 35 an hour.
    assert_eq!(price.expected.costs[1].amount, euro(45.0));
    assert_eq!(price.expected.costs[2].amount, euro(19.0));
    assert_eq!(price.expected.costs[3].amount, euro(8.0 / 60.0 * 35.0));
    for more in [
        BudgetQuestion {
            cavities: 5,
            ..question.clone()
        },
        BudgetQuestion {
            layers: 3,
            ..question.clone()
        },
        BudgetQuestion {
            block: [mm(600.0), mm(400.0), mm(120.0)],
            ..question.clone()
        },
    ] {
        let dearer = budget(&more, &shop).unwrap();
        assert!(
            dearer.expected.price.minor() > price.expected.price.minor(),
            "{more:?}"
        );
    }
    let none = BudgetQuestion {
        foam: "granite".to_owned(),
        ..question.clone()
    };
    assert!(
        budget(&none, &shop)
            .unwrap_err()
            .to_string()
            .contains("soft-plank")
    );
    let odd = BudgetQuestion {
        blocks: 3,
        ..question
    };
    assert!(matches!(budget(&odd, &shop), Err(BudgetError::Counts(_))));
}

#[test]
fn missing_stock_and_large_parts_are_named() {
    let mut none = shop();
    none.stock.truncate(1);
    let error = make(&interior(), &brief(), &none, 1, &Quiet).unwrap_err();
    assert_eq!(
        error,
        MakeError::NoStock {
            foam: "soft-plank".to_owned(),
            thickness: "30 mm".to_owned(),
            colour: String::new(),
        }
    );
    let mut small = shop();
    small.stock[0].length = mm(300.0);
    let error = make(&interior(), &brief(), &small, 1, &Quiet).unwrap_err();
    assert!(matches!(error, MakeError::TooLarge { .. }), "{error}");
    let mut lost = interior();
    lost.blocks[0].foam = 7;
    assert!(matches!(
        make(&lost, &brief(), &shop(), 1, &Quiet),
        Err(MakeError::UnknownFoam { .. })
    ));
}

fn severity_of(set: &ShopSet, code: &str) -> Option<Severity> {
    set.findings.iter().find(|f| f.code == code).map(|f| f.severity)
}

/// Time by hand: 4 starts of 2 s, ways in and out, the outline and the holes at 0.1 m/s, slower where the axes turn.
#[test]
fn what_cuts_through_takes_its_starts_ways_in_and_contours() {
    let mut jet = shop();
    jet.process.kind = ProcessKind::WaterJet;
    jet.process.kerf = mm(0.2);
    let mut quick = jet.clone();
    quick.process.motion.acceleration = Acceleration::from_si(1e6);
    quick.process.motion.rapid = Speed::from_si(1e6);
    let bare = make(&interior(), &brief(), &quick, 1, &Quiet).unwrap();
    assert_eq!(bare.paths.len(), bare.nests.len());
    let contours: f64 = bare
        .layers
        .iter()
        .map(|part| {
            let holes: f64 = part.through.iter().map(Region::boundary_length).sum();
            part.outline.boundary_length() + holes
        })
        .sum();
    let time = |set: &ShopSet| -> f64 { set.paths.iter().map(|path| path.time.si()).sum() };
    let by_hand = contours / 0.1;
    assert!(
        (time(&bare) - by_hand).abs() < 0.01 * by_hand,
        "{} {by_hand}",
        time(&bare)
    );
    quick.process.start = Duration::from_si(2.0);
    quick.process.lead_in = mm(5.0);
    let begun = make(&interior(), &brief(), &quick, 1, &Quiet).unwrap();
    let starts: usize = begun
        .layers
        .iter()
        .map(|part| {
            1 + part
                .through
                .iter()
                .map(|hole| hole.contours().count())
                .sum::<usize>()
        })
        .sum();
    let more = starts as f64 * (2.0 + 2.0 * 0.005 / 0.1);
    assert!((time(&begun) - time(&bare) - more).abs() < 1e-6);
    let real = make(&interior(), &brief(), &jet, 1, &Quiet).unwrap();
    assert!(time(&real) > time(&bare));
}

#[test]
fn a_sound_design_has_no_failing_shop_finding() {
    let set = made();
    assert!(
        caddis_basis::failing(&set.findings).next().is_none(),
        "{:?}",
        set.findings
    );
    assert_eq!(severity_of(&set, "thin-web"), None);
}

#[test]
fn findings_name_what_the_shop_cannot_make() {
    let mut wire = shop();
    wire.process.kind = ProcessKind::HotWire;
    wire.process.greatest_thickness = mm(40.0);
    let set = make(&interior(), &brief(), &wire, 1, &Quiet).unwrap();
    assert_eq!(
        severity_of(&set, "pocket-in-through-cut"),
        Some(Severity::Failing)
    );
    assert_eq!(severity_of(&set, "too-thick-to-cut"), Some(Severity::Failing));

    // A wire enters both holes of the upper layer by slits no longer than to its edge, and is not for every foam.
    let upper = &set.layers[1];
    assert_eq!(upper.slits.len(), upper.through.len());
    for slit in &upper.slits {
        assert!(slit[0].distance(slit[1]) < 0.1, "{slit:?}");
    }
    assert_eq!(severity_of(&set, "entered-by-slits"), Some(Severity::Caution));
    assert_eq!(severity_of(&set, "foam-unsuited-to-process"), None);
    wire.process.suits = vec!["polypropylene".to_owned()];
    let set = make(&interior(), &brief(), &wire, 1, &Quiet).unwrap();
    assert_eq!(
        severity_of(&set, "foam-unsuited-to-process"),
        Some(Severity::Failing)
    );

    // A knife three millimetres wide leaves a curve of 1 mm, and its corners meet across a narrow web.
    let mut knife = shop();
    knife.process.kind = ProcessKind::Knife;
    knife.process.kerf = mm(0.2);
    knife.process.blade = Some(Blade {
        width: mm(3.0),
        side_error: mm(0.3),
        edge_angle: 70.0_f64.to_radians(),
    });
    let mut tight = interior();
    tight.cavities[0].steps[0].region = Region::rounded_rectangle(at(-100.0, -40.0), at(-60.0, 40.0), 0.001);
    let set = make(&tight, &brief(), &knife, 1, &Quiet).unwrap();
    assert_eq!(
        severity_of(&set, "curve-tighter-than-blade"),
        Some(Severity::Caution)
    );
    tight.cavities[0].steps[0].region = Region::rectangle(at(-100.0, -40.0), at(-60.0, 40.0));
    let set = make(&tight, &brief(), &knife, 1, &Quiet).unwrap();
    assert_eq!(severity_of(&set, "overcuts-meet"), Some(Severity::Caution));

    // A jet leaves water in open cells.
    let mut jet = shop();
    jet.process.kind = ProcessKind::WaterJet;
    let mut open = brief();
    open.foams[0].closed_cell = false;
    let set = make(&interior(), &open, &jet, 1, &Quiet).unwrap();
    assert_eq!(severity_of(&set, "wet-after-cutting"), Some(Severity::Caution));

    // A ring cut through the top layer leaves a core that nothing holds once the layer below is gone.
    let mut ring = interior();
    let outer = Region::circle(at(40.0, 0.0), 0.05);
    ring.cavities[1].steps = vec![prism(
        outer.difference(&Region::circle(at(40.0, 0.0), 0.03)),
        49.0,
        98.0,
    )];
    let held = make(&ring, &brief(), &shop(), 1, &Quiet).unwrap();
    assert_eq!(severity_of(&held, "cut-into-pieces"), Some(Severity::Caution));
    ring.blocks[0].layers.remove(0);
    ring.blocks[0].low = 0.049;
    let loose = make(&ring, &brief(), &shop(), 1, &Quiet).unwrap();
    assert_eq!(severity_of(&loose, "loose-piece"), Some(Severity::Failing));

    // A cavity 10 mm from the outline.
    let mut near = interior();
    near.cavities[2].steps[0].region = Region::rounded_rectangle(at(110.0, -60.0), at(190.0, 60.0), 0.006);
    let set = make(&near, &brief(), &shop(), 1, &Quiet).unwrap();
    let web = set.findings.iter().find(|f| f.code == "thin-web").unwrap();
    assert!((web.margin.as_ref().unwrap().found - 10.0).abs() < 1e-6);

    // A cavity that narrows upward cannot be cut from above, and the volume shows it.
    let mut undercut = interior();
    undercut.cavities[1].steps[0].region = Region::circle(at(40.0, 0.0), 0.06);
    let set = make(&undercut, &brief(), &shop(), 1, &Quiet).unwrap();
    assert_eq!(severity_of(&set, "undercut"), Some(Severity::Failing));
    let ring = std::f64::consts::PI * (0.06_f64.powi(2) - 0.05_f64.powi(2)) * 0.021;
    assert!(
        (set.volume_difference.si() - ring).abs() < 1e-6 * 0.05,
        "{:?}",
        set.volume_difference
    );
}

#[test]
fn corners_matter_when_equipment_lies_in_them() {
    let mut sharp = interior();
    sharp.cavities[2].steps[0].region = Region::rectangle(at(110.0, -60.0), at(160.0, 60.0));
    let set = make(&sharp, &brief(), &shop(), 1, &Quiet).unwrap();
    assert_eq!(
        severity_of(&set, "corner-tighter-than-cutter"),
        Some(Severity::Caution)
    );
    let id = InstanceId::new(ItemId::new("meter"), 1);
    let body = prism(Region::rectangle(at(110.5, -59.5), at(159.5, 59.5)), 73.0, 95.0);
    sharp.places.push(Place {
        instance: id,
        item: 0,
        number: 1,
        up: Up::PlusZ,
        turn: Turn::NONE,
        at: at(135.0, 0.0),
        bottom: 0.073,
        pose: Pose::IDENTITY,
        body: SectionStack { slabs: vec![body] },
        clear: Vec::new(),
        centre_of_mass: Vec3::ZERO,
        tier: 0,
        in_lid: false,
    });
    let set = make(&sharp, &brief(), &shop(), 1, &Quiet).unwrap();
    assert_eq!(severity_of(&set, "corner-changes-fit"), Some(Severity::Failing));
}

#[test]
fn lid_cuts_are_seen_from_the_underside() {
    let mut lid = interior();
    lid.cavities.push(cavity(
        "antenna",
        vec![prism(Region::circle(at(60.0, 20.0), 0.02), 98.0, 110.0)],
    ));
    let set = make(&lid, &brief(), &shop(), 1, &Quiet).unwrap();
    let part = &set.layers[2];
    assert!((part.pockets[0].depth.as_mm() - 12.0).abs() < 1e-9);
    let centre = part.pockets[0].region.centroid().unwrap();
    assert!(centre.distance(at(-60.0, 20.0)) < 1e-9);
    assert!(set.volume_difference.si().abs() < 1e-9);
}

#[test]
fn cut_files_carry_what_the_cutter_needs() {
    let set = made();
    let files = cut_files(&set, &shop(), "test-1", "B", &released());
    let paths: Vec<&str> = files.files.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(
        paths[..6],
        [
            "layers/B1.dxf",
            "layers/B1.svg",
            "layers/B2.dxf",
            "layers/B2.svg",
            "layers/L1.dxf",
            "layers/L1.svg"
        ]
    );
    assert!(
        paths.contains(&"nests/soft-plank-50-sheet-1.dxf")
            && paths.contains(&"nests/soft-plank-30-sheet-1.svg")
    );
    let text = |path: &str| {
        let file = files.files.iter().find(|f| f.path == path).unwrap();
        String::from_utf8(file.bytes.clone()).unwrap()
    };
    let upper = text("layers/B2.dxf");
    for part in [
        "layer 2 of 2",
        "NET",
        "job test-1, revision B",
        "face up while cutting: top",
        "CUT_Z045_0",
        "MARK",
        "SCALE_100",
    ] {
        assert!(upper.contains(part), "{part}");
    }
    assert!(upper.is_ascii() && !upper.contains("TEXT"));
    assert!(text("layers/L1.dxf").contains("MIRRORED AS CUT"));
    assert!(!upper.contains("MIRRORED"));
    let svg = text("nests/soft-plank-50-sheet-1.svg");
    assert!(svg.contains("mm\" viewBox=\"") && svg.contains("NET"));
    assert_eq!(files, cut_files(&set, &shop(), "test-1", "B", &released()));
    if let Some(folder) = std::env::var_os("CADDIS_SHOP_FILES") {
        for file in &files.files {
            let path = std::path::Path::new(&folder).join(&file.path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, &file.bytes).unwrap();
        }
    }
}

#[test]
fn a_small_dxf_reads_as_expected() {
    let mut drawing = crate::drawing::Drawing {
        title: "disc NET".to_owned(),
        ..Default::default()
    };
    drawing.region(crate::drawing::CUT_THROUGH, &Region::circle(at(10.0, 5.0), 0.005));
    let text = String::from_utf8(crate::dxf::write(&drawing)).unwrap();
    let entity = text
        .split("ENTITIES\n")
        .nth(1)
        .unwrap()
        .split("  0\nENDSEC")
        .next()
        .unwrap();
    let values: Vec<&str> = entity.lines().map(str::trim).collect();
    let handle = values[3];
    assert_eq!(
        values,
        [
            "0",
            "LWPOLYLINE",
            "5",
            handle,
            "330",
            "12",
            "100",
            "AcDbEntity",
            "8",
            "CUT_THRU",
            "100",
            "AcDbPolyline",
            "90",
            "2",
            "70",
            "1",
            "43",
            "0",
            "10",
            "5",
            "20",
            "5",
            "42",
            "1",
            "10",
            "15",
            "20",
            "5",
            "42",
            "1"
        ]
    );
    assert!(text.starts_with("999\ndisc NET\n  0\nSECTION\n"));
    assert!(text.contains("$EXTMIN\n 10\n5\n 20\n0\n") && text.contains("$EXTMAX\n 10\n15\n 20\n10\n"));
    let svg = String::from_utf8(crate::svg::write(&drawing)).unwrap();
    assert!(svg.contains("width=\"20mm\" height=\"20mm\" viewBox=\"0 -15 20 20\""));
    assert!(svg.contains("M5 -5A5 5 0 0 0 15 -5A5 5 0 0 0 5 -5Z"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever the cavities: glue keeps clear of every footprint, and what is cut is what the interior lacks.
    #[test]
    fn any_cavities_keep_glue_clear_and_volume(
        voids in prop::collection::vec((-160.0..160.0_f64, -110.0..110.0_f64, 5.0..45.0_f64, 5.0..90.0_f64, any::<bool>()), 1..6)
    ) {
        let mut interior = interior();
        interior.notches.clear();
        interior.cavities = voids
            .iter()
            .map(|(x, y, reach, floor, is_round)| {
                let region = if *is_round {
                    Region::circle(at(*x, *y), reach / 1e3)
                } else {
                    Region::rounded_rectangle(at(x - reach, y - reach / 2.0), at(x + reach, y + reach / 2.0), 0.004)
                };
                cavity("any", vec![prism(region, *floor, 98.0)])
            })
            .collect();
        let brief = brief();
        let mut held = 0.0;
        for split in split(&interior, &brief).unwrap() {
            held += split.part.foam_volume(Length::from_si(split.height)).si();
            prop_assert!(split.unreached < 1e-8);
        }
        let asked: f64 = interior.blocks.iter().map(|b| interior.foam_volume(b)).sum();
        prop_assert!((held - asked).abs() < 2e-6, "{held} {asked}");
        let layers = &interior.blocks[0].layers;
        let glue = lamination::glue(&interior, &interior.blocks[0], (&layers[0], &layers[1]), &shop());
        let footprint = lamination::footprint(&interior, &interior.blocks[0]);
        // By a boolean, not by the offset that made the glue: nothing of it lies nearer than the holdback less a chord.
        let near = footprint.offset(0.005 - 4e-5, caddis_geometry::Side::Inner);
        prop_assert!(glue.region.intersection(&near).area() < 1e-12);
        prop_assert!(glue.region.intersection(&footprint).area() < 1e-12);
    }
}
