//! Properties that hold whatever the numbers: scaling, monotony, energy balance, one physics for sizing and drop.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::{
    Acceleration, Area, Certainty, Density, Length, Mass, Pressure, STANDARD_GRAVITY, Source,
};
use caddis_geometry::Vec3;
use caddis_protection::{
    DropSettings, Foam, Law, LawError, LawKind, LawRange, LawRecord, PackedBody, Patch, SeriesLayer,
    SizeRequest, flat_drop, held_to, same_foam_thickness, series_drop, series_energy, size,
    size_with_full_area,
};
use proptest::prelude::*;

fn law_of(kind: LawKind, greatest_share: f64, gravity_in_fit: bool) -> Law {
    let mut law = Law {
        kind,
        range: LawRange {
            static_stress: None,
            greatest_strain: 1.0,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit,
        is_measured_dynamic: false,
        source: Source::new("property test", Certainty::Invented),
    };
    law.range.greatest_strain = law.last_strain() * greatest_share;
    law.validated().unwrap()
}

fn foam_of(law: Law) -> Foam {
    Foam {
        name: "property".to_owned(),
        title: "property foam".to_owned(),
        material: "none".to_owned(),
        density: Density::from_si(30.0),
        closed_cell: true,
        law,
        later: None,
        record: LawRecord::default(),
        properties: Vec::new(),
        colours: None,
        firmness: None,
        creep_limits: Vec::new(),
        memory: None,
        hysteresis: None,
        temperatures: None,
        cavity_clearance: Length::ZERO,
        wall_squeeze: (Length::ZERO, Length::mm(2.0)),
        least_web: Length::mm(20.0),
        colour: [0; 3],
        source: Source::new("property test", Certainty::Invented),
    }
}

/// Closed forms and tables, with or without gravity in the fit; tables may dip when asked.
fn any_law(may_dip: bool) -> impl Strategy<Value = Law> {
    let stress_energy =
        (5e3..6e4_f64, 1.0..1.6_f64).prop_map(|(a, ab)| LawKind::StressEnergy { a, b: ab / a });
    let gas = (0.0..8e4_f64, 5e4..2e5_f64, 0.0..0.1_f64).prop_map(|(s0, p0, r)| LawKind::ClosedCellGas {
        s0,
        p0,
        r,
    });
    let table = proptest::collection::vec((0.02..0.2_f64, if may_dip { -1e4 } else { 1e2 }..8e4_f64), 2..8)
        .prop_map(|steps| {
            let mut points = vec![(0.0, 2e3)];
            for (strain, stress) in steps {
                let (e, s): (f64, f64) = points[points.len() - 1];
                points.push((e + strain * 0.6, (s + stress).max(5e2)));
            }
            LawKind::Table(points)
        });
    (
        prop_oneof![stress_energy, gas, table],
        0.7..0.95_f64,
        any::<bool>(),
    )
        .prop_map(|(kind, share, gravity)| law_of(kind, share, gravity))
}

fn any_request() -> impl Strategy<Value = SizeRequest> {
    (
        0.2..30.0_f64,
        0.002..0.2_f64,
        0.1..1.3_f64,
        proptest::option::of(12.0..150.0_f64),
        0.0..0.06_f64,
    )
        .prop_map(|(mass, area, height, limit, least)| SizeRequest {
            mass: Mass::from_si(mass),
            area: Area::from_si(area),
            height: Length::from_si(height),
            limit: limit.map(Acceleration::g),
            least: Length::from_si(least),
        })
}

const DOWN: Vec3 = Vec3::new(0.0, 0.0, -1.0);

fn pad(area: f64, thickness: f64) -> Patch {
    Patch {
        point: Vec3::ZERO,
        direction: DOWN,
        area,
        thickness,
        gap: 0.0,
        law: 0,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn uniform_patches_give_back_the_curve(
        law in any_law(true), s in 200.0..8e3_f64, height in 0.1..1.3_f64, thickness in 0.01..0.15_f64, n in 1_usize..40,
    ) {
        let area = 0.03;
        let settings = DropSettings {
            mass: Mass::from_si(s * area / STANDARD_GRAVITY), height: Length::from_si(height),
        };
        let patches = vec![pad(area / n as f64, thickness); n];
        let drop = flat_drop(std::slice::from_ref(&law), &patches, &settings);
        match law.cushion_point(Pressure::from_si(s), settings.height, Length::from_si(thickness)) {
            // Beyond its range by so much the law is all pole: digits are lost there by nature.
            Ok(point) if point.strain > law.last_strain() * (1.0 - 1e-5) => {}
            Ok(point) => {
                let drop = drop.unwrap();
                prop_assert!((drop.peak.as_g() / point.peak.as_g() - 1.0).abs() < 1e-9, "{drop:?} {point:?}");
                prop_assert!((drop.strain / point.strain - 1.0).abs() < 1e-9);
                prop_assert!((drop.static_stress.si() / s - 1.0).abs() < 1e-12);
                prop_assert_eq!(drop.out_of_range.is_empty(), point.is_in_range);
                prop_assert_eq!(drop.bottoming_margin < -1e-9, point.strain > law.range.greatest_strain * (1.0 + 1e-9));
                prop_assert_eq!(held_to(&[law], &patches, &settings).unwrap(), drop.peak);
            }
            Err(error) => {
                prop_assert_eq!(&error, &LawError::Bottoms);
                prop_assert!(drop.is_err(), "{drop:?}");
            }
        }
    }

    #[test]
    fn mixed_patches_balance_their_energy(
        first in any_law(false), second in any_law(false), mass in 0.5..20.0_f64, height in 0.1..1.2_f64,
        areas in (0.002..0.05_f64, 0.002..0.05_f64), thicknesses in (0.01..0.1_f64, 0.01..0.1_f64), gap in 0.0..0.01_f64,
    ) {
        let settings = DropSettings { mass: Mass::from_si(mass), height: Length::from_si(height) };
        let patches = [
            pad(areas.0, thicknesses.0),
            Patch { law: 1, gap, ..pad(areas.1, thicknesses.1) },
        ];
        let laws = [first, second];
        if let Ok(drop) = flat_drop(&laws, &patches, &settings) {
            let x = drop.deflection.si();
            let mut taken = 0.0;
            let mut force = 0.0;
            for (patch, law) in patches.iter().zip(&laws) {
                let strain = (x - patch.gap).max(0.0) / patch.thickness;
                taken += patch.area * patch.thickness * law.energy(strain);
                force += patch.area * law.stress(strain);
            }
            let gravity_kept = laws.iter().any(|l| !l.gravity_in_fit);
            let given = mass * STANDARD_GRAVITY * (height + if gravity_kept { x } else { 0.0 });
            prop_assert!((taken / given - 1.0).abs() < 1e-6, "taken {taken} given {given} {drop:?}");
            prop_assert!((drop.peak.si() * mass / force - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn order_of_patches_and_units_of_size_do_not_matter(
        law in any_law(false), mass in 0.5..20.0_f64, height in 0.1..1.0_f64, scale in 0.1..10.0_f64,
        thicknesses in (0.02..0.1_f64, 0.02..0.1_f64),
    ) {
        let settings = DropSettings { mass: Mass::from_si(mass), height: Length::from_si(height) };
        let patches = [pad(0.02, thicknesses.0), pad(0.01, thicknesses.1)];
        let Ok(drop) = flat_drop(std::slice::from_ref(&law), &patches, &settings) else { return Ok(()) };
        if drop.strain > law.last_strain() * (1.0 - 1e-5) { return Ok(()) }
        let turned = [patches[1], patches[0]];
        prop_assert_eq!(&flat_drop(std::slice::from_ref(&law), &turned, &settings).unwrap(), &drop);
        // Mass and area together change nothing.
        let big = patches.map(|p| Patch { area: p.area * scale, ..p });
        let heavy = DropSettings { mass: settings.mass * scale, ..settings };
        let scaled = flat_drop(std::slice::from_ref(&law), &big, &heavy).unwrap();
        prop_assert!((scaled.peak.si() / drop.peak.si() - 1.0).abs() < 1e-9);
        // Height and thickness together keep G and strain; all lengths of the foam scale.
        let tall = patches.map(|p| Patch { thickness: p.thickness * scale, ..p });
        let high = DropSettings { height: settings.height * scale, ..settings };
        let scaled = flat_drop(&[law], &tall, &high).unwrap();
        prop_assert!((scaled.peak.si() / drop.peak.si() - 1.0).abs() < 1e-9);
        prop_assert!((scaled.deflection.si() / drop.deflection.si() / scale - 1.0).abs() < 1e-9);
    }

    #[test]
    fn sizing_keeps_its_promise(law in any_law(true), request in any_request()) {
        let foam = foam_of(law.clone());
        if let Ok(need) = size(&foam, &request) {
            prop_assert!(need.thickness >= request.least && need.thickness.si() <= 1.0_f64.max(request.least.si()));
            prop_assert!(need.area.si() <= request.area.si() * (1.0 + 1e-12));
            let settings = DropSettings { mass: request.mass, height: request.height };
            let drop = flat_drop(std::slice::from_ref(&law), &[pad(need.area.si(), need.thickness.si())], &settings).unwrap();
            prop_assert!((drop.peak.si() / need.expected.si() - 1.0).abs() < 1e-9);
            prop_assert!(drop.bottoming_margin > -1e-9, "{need:?} {drop:?}");
            match request.limit {
                Some(limit) => prop_assert!(drop.peak.si() <= limit.si() * (1.0 + 1e-9), "{need:?} {drop:?}"),
                None => prop_assert!(drop.strain <= law.optimum().strain * (1.0 + 1e-9)),
            }
            // The full area never needs less.
            if let Ok(full) = size_with_full_area(&foam, &request) {
                prop_assert!(full.thickness.si() >= need.thickness.si() * (1.0 - 1e-9));
                if let Some(limit) = request.limit {
                    prop_assert!(full.expected.si() <= limit.si() * (1.0 + 1e-9), "{full:?}");
                }
            }
        } else if let Ok(full) = size_with_full_area(&foam, &request) {
            prop_assert!(false, "the full area does it but no area does: {full:?}");
        }
    }

    #[test]
    fn thickness_is_the_least(law in any_law(false), request in any_request(), share in 0.05..1.0_f64) {
        let request = SizeRequest { least: Length::ZERO, ..request };
        let (Some(limit), Ok(need)) = (request.limit, size(&foam_of(law.clone()), &request)) else { return Ok(()) };
        // A tenth of a per cent less foam fails on every area.
        let thinner = need.thickness * 0.999;
        let s = request.mass.weight() / (request.area * share);
        if let Ok(point) = law.cushion_point(s, request.height, thinner) {
            let holds = point.peak.si() <= limit.si() && point.strain <= law.range.greatest_strain;
            prop_assert!(!holds, "{need:?} {point:?}");
        }
    }

    #[test]
    fn more_height_or_less_limit_never_gives_less(
        law in any_law(true), request in any_request(), higher in 1.0..2.0_f64, softer in 0.4..1.0_f64,
    ) {
        let foam = foam_of(law);
        let harder = SizeRequest {
            height: request.height * higher, limit: request.limit.map(|g| g * softer), ..request
        };
        for sized in [size, size_with_full_area] {
            match (sized(&foam, &request), sized(&foam, &harder)) {
                (Ok(need), Ok(more)) => prop_assert!(
                    more.thickness.si() >= need.thickness.si() * (1.0 - 1e-6), "{need:?} {more:?}"
                ),
                (Err(error), Ok(more)) => prop_assert!(false, "{error} but {more:?}"),
                (_, Err(error)) => prop_assert!(matches!(error, LawError::NoThickness(_) | LawError::Bottoms), "{error}"),
            }
        }
    }

    #[test]
    fn layers_of_one_foam_act_as_their_sum(
        law in any_law(false), s in 200.0..5e3_f64, height in 0.1..1.2_f64, layers in (0.01..0.06_f64, 0.01..0.06_f64),
    ) {
        let thickness = [Length::from_si(layers.0), Length::from_si(layers.1)];
        let stack = thickness.map(|thickness| SeriesLayer { law: &law, thickness });
        let (s, height) = (Pressure::from_si(s), Length::from_si(height));
        let Ok(one) = law.cushion_point(s, height, same_foam_thickness(&thickness)) else { return Ok(()) };
        if one.strain > law.last_strain() * (1.0 - 1e-5) { return Ok(()) }
        let two = series_drop(&stack, s, height).unwrap();
        prop_assert!((two.peak.si() / one.peak.si() - 1.0).abs() < 1e-8, "{two:?} {one:?}");
        prop_assert!((two.strains[0] - one.strain).abs() < 1e-8 && (two.strains[1] - one.strain).abs() < 1e-8);
    }

    #[test]
    fn layers_of_two_foams_balance(
        soft in any_law(false), stiff in any_law(false), s in 200.0..5e3_f64, height in 0.1..1.2_f64,
    ) {
        let stack = [
            SeriesLayer { law: &soft, thickness: Length::mm(30.0) },
            SeriesLayer { law: &stiff, thickness: Length::mm(20.0) },
        ];
        let (pressure, fall) = (Pressure::from_si(s), Length::from_si(height));
        let Ok(drop) = series_drop(&stack, pressure, fall) else { return Ok(()) };
        let stress = Pressure::from_si(drop.peak.as_g() * s);
        let taken = series_energy(&stack, stress).unwrap();
        let extra: f64 = stack
            .iter()
            .zip(&drop.strains)
            .filter(|(layer, _)| !layer.law.gravity_in_fit)
            .map(|(layer, e)| layer.thickness.si() * e)
            .sum();
        prop_assert!((taken / (s * (height + extra)) - 1.0).abs() < 1e-6, "{drop:?}");
        for (layer, e) in stack.iter().zip(&drop.strains) {
            let shared = layer.law.stress(*e);
            prop_assert!(*e == 0.0 || (shared / stress.si() - 1.0).abs() < 1e-6, "{drop:?} {shared}");
        }
    }

    #[test]
    fn nothing_panics(
        numbers in proptest::array::uniform8(prop_oneof![
            Just(0.0), Just(-1.0), Just(f64::NAN), Just(f64::INFINITY), Just(1e-300), Just(1e300), 1e-3..1e5_f64
        ]),
        which in 0..3,
        gravity_in_fit in any::<bool>(),
    ) {
        let [a, b, c, mass, area, height, thickness, limit] = numbers;
        let law = Law {
            kind: match which {
                0 => LawKind::StressEnergy { a, b },
                1 => LawKind::ClosedCellGas { s0: a, p0: b, r: c },
                _ => LawKind::Table(vec![(0.0, a), (b, c)]),
            },
            range: LawRange { static_stress: None, greatest_strain: 0.5, thickness: None, drop_height: None },
            gravity_in_fit,
            is_measured_dynamic: false,
            source: Source::new("hostile", Certainty::Invented),
        };
        let settings = DropSettings { mass: Mass::from_si(mass), height: Length::from_si(height) };
        if let Ok(drop) = flat_drop(std::slice::from_ref(&law), &[pad(area, thickness)], &settings) {
            prop_assert!(drop.peak.is_finite() && drop.deflection.is_finite(), "{drop:?}");
        }
        let request = SizeRequest {
            mass: settings.mass,
            area: Area::from_si(area),
            height: settings.height,
            limit: Some(Acceleration::g(limit)),
            least: Length::from_si(thickness),
        };
        let foam = foam_of(law.clone());
        for answer in [size(&foam, &request), size_with_full_area(&foam, &request)].into_iter().flatten() {
            prop_assert!(answer.thickness.is_finite() && answer.expected.is_finite(), "{answer:?}");
        }
        let layers = [SeriesLayer { law: &law, thickness: Length::from_si(thickness) }];
        if let Ok(drop) = series_drop(&layers, Pressure::from_si(mass), Length::from_si(height)) {
            prop_assert!(drop.peak.is_finite(), "{drop:?}");
        }
    }
}

#[test]
fn a_light_item_is_relieved_instead_of_refused() {
    // 1 kg on 0.06 m²: the full face is so stiff that no thickness holds 40 G.
    let foam = foam_of(law_of(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.85, true));
    let request = SizeRequest {
        mass: Mass::from_si(1.0),
        area: Area::from_si(0.06),
        height: Length::from_si(0.76),
        limit: Some(Acceleration::g(40.0)),
        least: Length::mm(20.0),
    };
    let words = size_with_full_area(&foam, &request).unwrap_err().to_string();
    assert!(words.contains("40 G") && words.contains("full area"), "{words}");
    let need = size(&foam, &request).unwrap();
    assert!(
        need.area < request.area * 0.5 && need.expected.as_g() <= 40.0 + 1e-9,
        "{need:?}"
    );
    // Where the least thickness is more than needed, the support is as full as it may be.
    let thick = SizeRequest {
        least: Length::mm(90.0),
        ..request
    };
    let fuller = size(&foam, &thick).unwrap();
    assert!(
        fuller.area > need.area && fuller.thickness == Length::mm(90.0),
        "{fuller:?}"
    );
    assert!((fuller.expected.as_g() - 40.0).abs() < 1e-6, "{fuller:?}");
}

#[test]
fn what_cannot_be_held_is_said_with_the_best_there_is() {
    let foam = foam_of(law_of(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.85, true));
    let request = SizeRequest {
        mass: Mass::from_si(5.0),
        area: Area::from_si(0.06),
        height: Length::from_si(1.2),
        limit: Some(Acceleration::g(2.0)),
        least: Length::ZERO,
    };
    let words = size(&foam, &request).unwrap_err().to_string();
    // C h / t with t = 1 m: 1.05 e x 1.2 = 3.4 G.
    assert_eq!(
        words,
        "no foam thickness up to 1 m holds 2 G from 1200 mm: at best it holds 3.4 G"
    );
    let heavy = SizeRequest {
        mass: Mass::from_si(5e4),
        ..request
    };
    let words = size(&foam, &heavy).unwrap_err().to_string();
    assert!(words.ends_with("it bottoms on the area available"), "{words}");
}

#[test]
fn a_body_drops_on_the_patches_that_face_the_fall() {
    let law = law_of(
        LawKind::ClosedCellGas {
            s0: 5e4,
            p0: 101_325.0,
            r: 0.03,
        },
        0.9,
        false,
    );
    let up = Patch {
        direction: Vec3::new(0.0, 0.0, 1.0),
        thickness: 0.02,
        ..pad(0.05, 0.02)
    };
    let body = PackedBody {
        mass: 5.0,
        centre: Vec3::ZERO,
        inertia: [Vec3::ZERO; 3],
        laws: vec![law],
        patches: vec![pad(0.03, 0.05), up, pad(0.03, 0.05)],
    };
    let settings = DropSettings {
        mass: Mass::from_si(5.0),
        height: Length::from_si(0.76),
    };
    let down = body.flat_drop_towards(DOWN, &settings).unwrap();
    assert_eq!(body.patches_towards(DOWN).len(), 2);
    assert!((down.area.si() - 0.06).abs() < 1e-15);
    assert_eq!(body.straight_drop_towards(DOWN, &settings).unwrap(), down);
    let up = body
        .flat_drop_towards(Vec3::new(0.0, 0.0, 1.0), &settings)
        .unwrap();
    assert!(
        up.peak > down.peak && up.out_of_range.iter().any(|w| w.sentence().contains("25.4 mm")),
        "{up:?}"
    );
    assert_eq!(
        body.flat_drop_towards(Vec3::new(1.0, 0.0, 0.0), &settings),
        Err(LawError::NoPatch)
    );
    let all_at_once = flat_drop(&body.laws, &body.patches, &settings);
    assert!(
        matches!(all_at_once, Err(LawError::Settings(_))),
        "{all_at_once:?}"
    );
}

/// A law that carries less at its end than the weight on it: energy only just balances there, and nothing stops the item.
#[test]
fn foam_that_gives_way_under_the_weight_is_not_sized() {
    let law = Law {
        kind: LawKind::Table(vec![
            (0.0, 2000.0),
            (0.049_734_414_167_959_35, 500.0),
            (0.101_631_095_651_384_48, 18_626.5),
            (0.177_908, 9628.4),
            (0.287_416, 500.0),
            (0.390_582, 500.0),
        ]),
        range: LawRange {
            static_stress: None,
            greatest_strain: 0.273_407_74,
            thickness: None,
            drop_height: None,
        },
        gravity_in_fit: false,
        is_measured_dynamic: false,
        source: Source::new("property test", Certainty::Invented),
    };
    let request = SizeRequest {
        mass: Mass::from_si(13.854_733_6),
        area: Area::from_si(0.111_472_63),
        height: Length::from_si(0.1),
        limit: None,
        least: Length::ZERO,
    };
    let settings = DropSettings {
        mass: request.mass,
        height: request.height,
    };
    if let Ok(need) = size(&foam_of(law.clone()), &request) {
        flat_drop(&[law], &[pad(need.area.si(), need.thickness.si())], &settings).unwrap();
    }
}

/// The stress falls below the weight only between the table's last corner and its end: the fall still stops before that.
#[test]
fn a_table_that_dips_to_its_end_stops_before_it() {
    let law = law_of(
        LawKind::Table(vec![
            (0.0, 2000.0),
            (0.077_854_617_337_466_36, 5_676.091_393_841_847),
            (0.191_633_764_371_442_75, 788.067_278_540_879_7),
        ]),
        0.174_459_963_908_586_29 / 0.191_633_764_371_442_75,
        false,
    );
    let request = SizeRequest {
        mass: Mass::from_si(13.811_716_847_104_965),
        area: Area::from_si(0.072_978_229_446_116_1),
        height: Length::from_si(0.1),
        limit: None,
        least: Length::ZERO,
    };
    let settings = DropSettings {
        mass: request.mass,
        height: request.height,
    };
    let need = size(&foam_of(law.clone()), &request).unwrap();
    let drop = flat_drop(&[law], &[pad(need.area.si(), need.thickness.si())], &settings).unwrap();
    assert!((drop.peak.si() / need.expected.si() - 1.0).abs() < 1e-9);
    assert!(drop.bottoming_margin > 0.0, "{drop:?}");
}
