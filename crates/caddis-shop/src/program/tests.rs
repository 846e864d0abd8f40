//! Programs of a small interior with every kind of cut.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::path::{ToolPath, Way, length};
use super::sweep::swept;
use super::{EngravingTool, Machine, engraving, program, read, verify};
use crate::stroke_font::text_strokes;
use crate::testing::{brief, interior, invented, mm, released, shop};
use crate::{CutFiles, Engraving, Shop, ShopSet, cut_files, make};
use caddis_basis::{Duration, Quiet, Speed};
use caddis_geometry::{Region, Vec2, Vec3};

fn machine() -> Machine {
    Machine {
        name: "test router".to_owned(),
        write_programs: true,
        flute_length: mm(60.0),
        spindle_rpm: 18_000.0,
        plunge_feed: Speed::from_si(0.02),
        safe_height: mm(15.0),
        approach_height: Some(mm(3.0)),
        stepover: 0.45,
        skin: mm(0.4),
        spin_up: Duration::from_si(4.0),
        source: invented(),
    }
}

fn routing_shop() -> Shop {
    let mut shop = shop();
    shop.process.machine = Some(machine());
    shop
}

fn set(shop: &Shop) -> ShopSet {
    make(&interior(), &brief(), shop, 1, &Quiet).unwrap()
}

fn texts(set: &ShopSet, shop: &Shop) -> Vec<String> {
    set.paths
        .iter()
        .map(|path| {
            let nest = &set.nests[path.nest];
            program(path, &set.layers, nest, &shop.stock[nest.stock], shop, &[]).unwrap()
        })
        .collect()
}

#[test]
fn every_sheet_has_a_program_that_cuts_its_design() {
    let shop = routing_shop();
    let set = set(&shop);
    assert_eq!(set.paths.len(), set.nests.len());
    // `program` reads back, sweeps and compares; an empty one would leave foam.
    assert_eq!(texts(&set, &shop).len(), 2);
}

#[test]
fn what_is_cut_wrongly_is_noticed() {
    let shop = routing_shop();
    let set = set(&shop);
    let path = &set.paths[0];
    let nest = &set.nests[path.nest];
    let stock = &shop.stock[nest.stock];
    let check = |path: &ToolPath| verify::verify(path, &set.layers, nest, stock, &shop, &machine());
    assert_eq!(check(&path.path), Ok(()));
    // Without its last ring the outline stays uncut; a tenth of a millimetre aside it gouges.
    let mut short = path.path.clone();
    short.moves.truncate(short.moves.len() * 9 / 10);
    assert!(check(&short).unwrap_err().contains("leaves"));
    let mut aside = path.path.clone();
    for step in &mut aside.moves {
        step.to += Vec3::new(1e-4, 0.0, 0.0);
        if let Way::Arc { centre, .. } = &mut step.way {
            centre.x += 1e-4;
        }
    }
    assert!(check(&aside).unwrap_err().contains("takes"));
    let mut low = path.path.clone();
    for step in &mut low.moves {
        step.to.z = step.to.z.min(0.01);
    }
    assert!(check(&low).unwrap_err().contains("safe height"));
    let mut deep = path.path.clone();
    for step in &mut deep.moves {
        if step.way == Way::Rapid && step.to.z < 0.01 {
            step.to.z -= 1e-3;
        }
    }
    assert!(check(&deep).unwrap_err().contains("approach height"));
}

#[test]
fn inside_before_outside_and_nothing_below_the_skin() {
    let shop = routing_shop();
    let set = set(&shop);
    for (path, text) in set.paths.iter().zip(texts(&set, &shop)) {
        let read = read::read(&text).unwrap();
        let floor = shop.stock[set.nests[path.nest].stock].thickness.si() - 0.0004;
        let deepest = read.moves.iter().map(|step| -step.to.z).fold(0.0, f64::max);
        assert!((deepest - floor).abs() < 1e-9, "{deepest} {floor}");
        assert!(text.lines().all(|line| line.len() <= 79));
        assert!(text.starts_with('(') && text.ends_with("M5\nM30\n"));
        assert!(text.contains("COMPENSATED") && text.contains("CAUTION"));
    }
}

/// Swept area of the lens's narrow hole is its circle, whichever way round: the wall at 30 mm less nothing.
#[test]
fn time_and_lengths_belong_to_the_path() {
    let shop = routing_shop();
    let set = set(&shop);
    for path in &set.paths {
        let (mut cutting, mut air) = (0.0, 0.0);
        for (from, step) in path.path.legs() {
            match step.way {
                Way::Rapid => air += length(from, step),
                Way::Line { .. } | Way::Arc { .. } => cutting += length(from, step),
            }
        }
        assert!((path.cutting.si() - cutting).abs() < 1e-9);
        assert!((path.air.si() - air).abs() < 1e-9);
        // No faster than all of it at its greatest speed.
        assert!(path.time.si() > 4.0 + cutting / 0.1 + air / 0.5);
        assert!(path.time.si() < 4.0 * (cutting / 0.1 + air / 0.5) + 60.0);
    }
}

#[test]
fn a_plunge_takes_a_disc() {
    let down = ToolPath {
        start: Vec3::new(0.01, 0.0, 0.015),
        moves: vec![super::path::Move {
            way: Way::Line { feed: 0.02 },
            to: Vec3::new(0.01, 0.0, -0.02),
        }],
    };
    let area = swept(&down, 0.004, 0.01, 1.0).area();
    assert!((area - std::f64::consts::PI * 16e-6).abs() < 1e-10);
    assert!(swept(&down, 0.004, 0.03, 1.0).is_empty());
}

#[test]
fn a_short_cutter_is_found() {
    let mut shop = shop();
    shop.process.machine = Some(Machine {
        flute_length: mm(40.0),
        ..machine()
    });
    let found: Vec<_> = set(&shop)
        .findings
        .iter()
        .map(caddis_basis::Finding::id)
        .collect();
    assert!(
        found.iter().any(|id| id.contains("cutter-too-short")),
        "{found:?}"
    );
}

#[test]
fn programs_are_written_only_where_wanted() {
    let names = |files: CutFiles| -> Vec<String> {
        files
            .files
            .into_iter()
            .map(|file| file.path)
            .filter(|path| path.starts_with("programs/"))
            .collect()
    };
    let with = routing_shop();
    let found = names(cut_files(&set(&with), &with, "t", "A", &released()));
    assert_eq!(
        found,
        [
            "programs/soft-plank-30-sheet-1.nc",
            "programs/soft-plank-50-sheet-1.nc"
        ]
    );
    let without = shop();
    assert!(names(cut_files(&set(&without), &without, "t", "A", &released())).is_empty());
}

fn engraving_shop() -> Shop {
    let mut shop = routing_shop();
    shop.engraves_names = true;
    shop.process.engraving = Some(EngravingTool {
        name: "fine cutter".to_owned(),
        diameter: mm(1.5),
        depth: mm(1.0),
        feed: Speed::from_si(0.05),
        change: Duration::from_si(60.0),
        source: invented(),
    });
    shop
}

fn engraved(set: &ShopSet, shop: &Shop) -> Vec<String> {
    let sheets = set.paths.iter();
    sheets
        .map(|path| {
            let nest = &set.nests[path.nest];
            engraving(path, &set.layers, nest, &shop.stock[nest.stock], shop, &[])
                .unwrap()
                .unwrap()
        })
        .collect()
}

/// Every stroke of every name and mark is one run of the tool at its depth, and nothing else is.
#[test]
fn names_and_marks_are_a_program_of_their_own() {
    let shop = engraving_shop();
    let mut set = set(&shop);
    // A name on the uppermost layer, at the edge away from its mark.
    let top = set.layers.iter_mut().find(|part| part.number == part.of).unwrap();
    let corner = top.outline.bounds().unwrap();
    let at = Vec2::new(corner.min.x + 0.03, corner.max.y - 0.012);
    top.engravings.push(Engraving {
        text: "AB".to_owned(),
        height: 0.006,
        strokes: text_strokes("AB", at, 0.006),
        ground: Region::rectangle(at, at + Vec2::new(0.01, 0.006)),
    });
    set.paths = super::sheet_paths(&set.layers, &set.nests, &shop).0;
    assert!(set.layers.iter().all(|part| part.mark.is_some()));
    let strokes: f64 = set
        .layers
        .iter()
        .flat_map(|part| {
            let names = part.engravings.iter().flat_map(|name| &name.strokes);
            names.chain(part.mark.iter().flatten())
        })
        .flat_map(|line| line.windows(2))
        .map(|pair| pair[0].distance(pair[1]))
        .sum();
    let mut cut = 0.0;
    for text in engraved(&set, &shop) {
        assert!(text.contains("ENGRAVING") && text.contains("1.5 mm") && text.contains("CAUTION"));
        for (from, step) in read::read(&text).unwrap().legs() {
            if from.z < 0.0 && step.to.z < 0.0 {
                assert!((from.z + 0.001).abs() < 1e-9 && from.z == step.to.z);
                cut += length(from, step);
            }
        }
    }
    assert!((cut - strokes).abs() < 1e-4, "{cut} {strokes}");
    // The other program says where they are; without a tool for them, that they are to be done by hand.
    assert!(texts(&set, &shop).iter().all(|text| text.contains("-engrave")));
    let by_hand = routing_shop();
    let plain = self::set(&by_hand);
    assert!(
        texts(&plain, &by_hand)
            .iter()
            .all(|text| text.contains("not cut: mark and engrave"))
    );
    // Its time and way are counted, the change of tool with them.
    for (with, without) in set.paths.iter().zip(&plain.paths) {
        let time = with.engraving_time().unwrap();
        assert!(time.si() > 64.0 && without.engraving_time().is_none());
        assert!(((with.time - without.time).si() - time.si()).abs() < 1e-9);
        assert!(with.cutting > without.cutting && with.air > without.air);
    }
}

#[test]
fn engraving_that_leaves_its_lines_is_noticed() {
    let shop = engraving_shop();
    let set = set(&shop);
    let path = &set.paths[0];
    let nest = &set.nests[path.nest];
    let stock = &shop.stock[nest.stock];
    let tool = shop.process.engraving.clone().unwrap();
    let whole = &path.engraving.as_ref().unwrap().path;
    let check = |path: &ToolPath| super::engraving::verify(path, &set.layers, nest, stock, &tool, &machine());
    let changed = |change: &dyn Fn(&mut Vec3)| {
        let mut other = whole.clone();
        other.moves.iter_mut().for_each(|step| change(&mut step.to));
        check(&other).unwrap_err()
    };
    assert_eq!(check(whole), Ok(()));
    assert!(changed(&|to| to.x += 1e-4).contains("beside its lines"));
    assert!(changed(&|to| to.x += 1.0).contains("leaves the faces"));
    assert!(changed(&|to| to.z = to.z.max(-5e-4)).contains("0.5 mm deep instead of 1"));
    assert!(changed(&|to| to.z = to.z.min(0.01)).contains("safe height"));
    let mut short = whole.clone();
    short.moves.truncate(short.moves.len() / 2);
    assert!(check(&short).unwrap_err().contains("of them"));
}

#[test]
fn an_approach_height_saves_time_and_cuts_the_same() {
    let near = engraving_shop();
    let mut far = near.clone();
    far.process.machine.as_mut().unwrap().approach_height = None;
    let (near, far) = (set(&near), set(&far));
    for (near, far) in near.paths.iter().zip(&far.paths) {
        assert!(near.time < far.time, "{} to {}", near.time, far.time);
        let (near, far) = (near.engraving.as_ref().unwrap(), far.engraving.as_ref().unwrap());
        assert!(near.time < far.time, "{} to {}", near.time, far.time);
        let cut = |path: &ToolPath| -> f64 {
            path.legs()
                .filter(|(from, step)| from.z < 0.0 && step.to.z < 0.0)
                .map(|(from, step)| from.distance(step.to))
                .sum()
        };
        assert!((cut(&near.path) - cut(&far.path)).abs() < 1e-9);
    }
}

#[test]
fn an_engraving_program_lies_beside_the_sheets() {
    let shop = engraving_shop();
    let found: Vec<String> = cut_files(&set(&shop), &shop, "t", "A", &released())
        .files
        .into_iter()
        .map(|file| file.path)
        .filter(|path| path.ends_with("-engrave.nc"))
        .collect();
    assert_eq!(
        found,
        [
            "programs/soft-plank-30-sheet-1-engrave.nc",
            "programs/soft-plank-50-sheet-1-engrave.nc"
        ]
    );
}
