//! The specimen's interior for other programs: whole, named, and the same bytes twice.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[expect(dead_code, reason = "shared with tests of papers")]
mod specimen;

use caddis_basis::Length;
use caddis_design::{BackBoard, BlockKind};
use caddis_documents::{
    DocumentError, ExchangeInput, INCOMPLETE, Solids, interior_3mf, interior_step, interior_stl,
};
use caddis_geometry::{Contour, Mesh, Prism, Region, Shape, Vec2, Vec3};
use specimen::specimen;
use std::collections::BTreeMap;

fn input(is_released: bool) -> ExchangeInput<'static> {
    let s = specimen();
    ExchangeInput {
        brief: &s.brief,
        interior: &s.interior,
        is_released,
        date: "2026-11-25",
        version: "0.1.0",
    }
}

fn solids(is_released: bool, threads: usize) -> Solids {
    Solids::of(&input(is_released), threads).unwrap()
}

fn step(is_released: bool) -> String {
    String::from_utf8(interior_step(&solids(is_released, 1)).unwrap().bytes).unwrap()
}

#[test]
fn every_file_repeats() {
    let all = |threads| {
        let solids = solids(true, threads);
        [
            interior_step(&solids).unwrap(),
            interior_3mf(&solids).unwrap(),
            interior_stl(&solids),
        ]
    };
    let first = all(1);
    assert_eq!(first, all(3));
    let names: Vec<&str> = first.iter().map(|document| document.name.as_str()).collect();
    assert_eq!(names, ["interior.step", "interior.3mf", "interior.stl"]);
}

#[test]
fn in_step_every_edge_bounds_two_faces_that_run_it_against_each_other() {
    let text = step(true);
    let mut uses: BTreeMap<&str, (u32, u32)> = text
        .lines()
        .filter(|line| line.contains("=EDGE_CURVE("))
        .map(|line| (line.split('=').next().unwrap(), (0, 0)))
        .collect();
    assert!(uses.len() > 100, "{}", uses.len());
    for line in text.lines().filter(|line| line.contains("=ORIENTED_EDGE(")) {
        let mut parts = line.trim_end_matches(");").rsplit(',');
        let forward = parts.next().unwrap() == ".T.";
        let count = uses.get_mut(parts.next().unwrap()).unwrap();
        if forward {
            count.0 += 1;
        } else {
            count.1 += 1;
        }
    }
    assert!(uses.values().all(|&count| count == (1, 1)), "{uses:?}");
    // Every name that is used is defined.
    let last = text.lines().filter(|line| line.starts_with('#')).count();
    let numbers = text.split('#').skip(1).filter_map(|rest| {
        rest.split(|c: char| !c.is_ascii_digit())
            .next()?
            .parse::<usize>()
            .ok()
    });
    assert_eq!(numbers.max(), Some(last));
}

#[test]
fn each_layer_and_piece_is_a_product_and_without_a_release_says_so() {
    let s = specimen();
    let text = step(true);
    let products: Vec<&str> = text
        .lines()
        .filter(|line| line.contains("=PRODUCT("))
        .map(|line| line.split('\'').nth(1).unwrap())
        .collect();
    for layer in s.interior.blocks.iter().flat_map(|block| &block.layers) {
        let start = format!("foam {} (", layer.id);
        assert!(products.iter().any(|name| name.starts_with(&start)), "{start}");
    }
    for place in &s.interior.places {
        let start = format!("item {}", place.instance);
        assert!(products.iter().any(|name| name.starts_with(&start)), "{start}");
    }
    assert!(!text.contains("NOT RELEASED"));
    let unreleased = step(false);
    let marked = unreleased
        .lines()
        .filter(|line| line.contains("=PRODUCT('NOT RELEASED "))
        .count();
    assert_eq!(marked, products.len());
}

#[test]
fn the_triangles_close_and_hold_what_the_foam_holds() {
    let s = specimen();
    let stl = interior_stl(&solids(true, 2)).bytes;
    let mut mesh = Mesh::default();
    for record in stl[84..].chunks_exact(50) {
        let number = |k: usize| f64::from(f32::from_le_bytes(record[4 * k..4 * k + 4].try_into().unwrap()));
        let base = u32::try_from(mesh.positions.len()).unwrap();
        mesh.positions.extend(
            (1..4)
                .map(|corner| Vec3::new(number(3 * corner), number(3 * corner + 1), number(3 * corner + 2))),
        );
        mesh.triangles.push([base, base + 1, base + 2]);
    }
    assert!(!mesh.triangles.is_empty());
    assert_eq!(
        mesh.triangles.len(),
        u32::from_le_bytes(stl[80..84].try_into().unwrap()) as usize
    );
    // The divergence theorem needs no welding: triangles of a closed skin give its volume.
    let volume: f64 = mesh.corners().map(|[a, b, c]| a.dot(b.cross(c)) / 6.0).sum();
    let foam: f64 = s
        .interior
        .blocks
        .iter()
        .map(|block| s.interior.foam_volume(block))
        .sum();
    let items: f64 = s
        .interior
        .places
        .iter()
        .map(|place| s.brief.items[place.item].mesh().mass_properties().volume)
        .sum();
    let wanted = (foam + items) * 1e9;
    assert!(
        (volume / wanted - 1.0).abs() < 2e-3,
        "{volume} instead of {wanted}"
    );
}

#[test]
fn a_board_in_a_tray_is_a_body_of_its_own() {
    let whole = input(true);
    let mut interior = whole.interior.clone();
    let half = Vec2::new(0.1, 0.05);
    let hole = Region::circle(Vec2::ZERO, 0.015);
    let (low, high) = (0.3, 0.304);
    let board = Region::rectangle(-half, half).difference(&hole);
    let expected = board.area() * (high - low) * 1e9;
    interior.blocks[0].board = Some(Prism {
        region: board,
        low,
        high,
    });
    let input = ExchangeInput {
        interior: &interior,
        ..whole
    };
    let (with, without) = (Solids::of(&input, 2).unwrap(), solids(true, 2));
    let text = |solids: &Solids| String::from_utf8(interior_step(solids).unwrap().bytes).unwrap();
    let products = |text: &str| text.matches("=PRODUCT(").count();
    let (with_board, plain) = (text(&with), text(&without));
    assert_eq!(with_board.matches("=PRODUCT('board in the tray'").count(), 1);
    assert_eq!(products(&with_board), products(&plain) + 1);
    // Nothing else is lost: the last body is still the last piece.
    let last = format!("item {}", interior.places.last().unwrap().instance);
    assert!(with_board.contains(&last));
    let more = stl_volume(&with) - stl_volume(&without);
    assert!(
        (more / expected - 1.0).abs() < 0.02,
        "{more} instead of {expected}"
    );
}

/// Cubic millimetres within the triangles of the STL.
fn stl_volume(solids: &Solids) -> f64 {
    let bytes = interior_stl(solids).bytes;
    let mut volume = 0.0;
    for record in bytes[84..].chunks_exact(50) {
        let number = |k: usize| f64::from(f32::from_le_bytes(record[4 * k..4 * k + 4].try_into().unwrap()));
        let [a, b, c] = [1, 2, 3].map(|k| Vec3::new(number(3 * k), number(3 * k + 1), number(3 * k + 2)));
        volume += a.dot(b.cross(c)) / 6.0;
    }
    volume
}

#[test]
fn a_board_behind_the_lid_pad_is_a_body_of_its_own() {
    let whole = input(true);
    // The specimen has no lid pad: its uppermost block stands for one.
    let mut interior = whole.interior.clone();
    interior.blocks.last_mut().unwrap().kind = BlockKind::LidPad;
    let plain = ExchangeInput {
        interior: &interior,
        ..whole
    };
    let mut brief = plain.brief.clone();
    brief.furnishing.board = Some(BackBoard {
        thickness: Length::mm(4.0),
        mass_per_area: 0.75,
        modulus: None,
    });
    let input = ExchangeInput {
        brief: &brief,
        ..plain
    };
    let board = interior.back_board(&brief).unwrap();
    let expected = board.region.area() * 0.004 * 1e9;
    let (with, without) = (Solids::of(&input, 2).unwrap(), Solids::of(&plain, 2).unwrap());
    let text = String::from_utf8(interior_step(&with).unwrap().bytes).unwrap();
    assert_eq!(text.matches("=PRODUCT('board behind the lid pad'").count(), 1);
    let last = format!("item {}", plain.interior.places.last().unwrap().instance);
    assert!(text.contains(&last));
    let more = stl_volume(&with) - stl_volume(&without);
    assert!(
        (more / expected - 1.0).abs() < 0.02,
        "{more} instead of {expected}"
    );
}

#[test]
fn a_date_that_is_none_is_an_error() {
    let mut input = input(true);
    input.date = "tomorrow";
    assert!(matches!(
        interior_step(&Solids::of(&input, 1).unwrap()),
        Err(DocumentError::Date(_))
    ));
}

#[test]
fn a_body_that_does_not_close_is_left_out_and_told() {
    let whole = input(true);
    assert!(Solids::of(&whole, 1).unwrap().incomplete().is_none());
    let mut interior = whole.interior.clone();
    let broken = &mut interior.blocks[0].layers[0];
    let at = |x: f64, y: f64| Vec2::new(x, y);
    // An outline that crosses itself bounds no solid.
    broken.outline = Region::from(Shape {
        outer: Contour::polygon([at(-0.2, -0.1), at(0.2, 0.1), at(0.2, -0.1), at(-0.2, 0.1)]),
        holes: Vec::new(),
    });
    let name = broken.id.to_string();
    let solids = Solids::of(
        &ExchangeInput {
            interior: &interior,
            ..whole
        },
        1,
    )
    .unwrap();
    let told = solids.incomplete().unwrap();
    assert_eq!(told.name, INCOMPLETE);
    assert!(String::from_utf8(told.bytes).unwrap().contains(&name));
    let step = String::from_utf8(interior_step(&solids).unwrap().bytes).unwrap();
    assert!(step.contains("INCOMPLETE") && !step.contains(&format!("foam {name} ")));
}
