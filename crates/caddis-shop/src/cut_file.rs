//! Cut files: the only way to DXF and SVG for cutting, and only with a release.

use crate::bill::short;
use crate::drawing::{
    CUT_THROUGH, Drawing, ENGRAVE, ENTRY_SLIT, KEEP, MARK, NOTES, SCALE, SHEET, pocket_layer,
};
use crate::mark::{arrow, words};
use crate::{BoardPart, LayerPart, SheetNest, Shop, ShopSet, dxf, program, svg};
use caddis_design::{BlockKind, CutTo, Release};
use caddis_geometry::{Placement2, Region, Vec2};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Letter height of notes, metres.
const NOTE_HEIGHT: f64 = 0.005;
/// From one line of notes to the next, metres.
const NOTE_STEP: f64 = 0.009;
/// Between the geometry and its notes, metres.
const NOTE_GAP: f64 = 0.015;
/// Length of the scale bar, metres.
const SCALE_LENGTH: f64 = 0.1;

/// Which programs are withheld, and why.
pub const WITHHELD: &str = "programs/withheld.txt";

/// One file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutFile {
    /// Path below the output folder (`layers/B1.dxf`, `nests/sheet-1.svg`).
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// All cut files of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutFiles {
    /// In a fixed order.
    pub files: Vec<CutFile>,
}

/// Draws every layer and every nest as DXF and SVG, millimetres at 1:1, net size, with job, revision and marks on each.
/// With a machine that wants them, a program for every sheet besides: compensated, and checked against the design. One that
/// does not cut the design is an error of ours: it is withheld, and `programs/withheld.txt` says why.
pub fn cut_files(set: &ShopSet, shop: &Shop, job: &str, revision: &str, release: &Release) -> CutFiles {
    let stamp = stamp(job, revision, release);
    let mut files = Vec::new();
    let mut push = |path: String, drawing: &Drawing| {
        files.push(CutFile {
            path: format!("{path}.dxf"),
            bytes: dxf::write(drawing),
        });
        files.push(CutFile {
            path: format!("{path}.svg"),
            bytes: svg::write(drawing),
        });
    };
    for part in &set.layers {
        push(
            format!("layers/{}", file_name(part.id.as_str())),
            &part_drawing(part, shop, &stamp),
        );
    }
    if let Some(board) = &set.board {
        push(
            "boards/tray".to_owned(),
            &board_drawing(board, shop, &program_stamp(job, revision, release)),
        );
    }
    let mut counts: BTreeMap<String, u32> = BTreeMap::new();
    let mut programs = Vec::new();
    let mut withheld = String::new();
    let writes_programs = shop
        .process
        .machine
        .as_ref()
        .is_some_and(|machine| machine.write_programs);
    for (index, nest) in set.nests.iter().enumerate() {
        let Some(stock) = shop.stock.get(nest.stock) else {
            continue;
        };
        let group = format!(
            "{}-{}",
            file_name(&stock.foam),
            short(stock.thickness.as_mm()).replace('.', "_")
        );
        let count = counts.entry(group.clone()).or_default();
        *count += 1;
        push(
            format!("nests/{group}-sheet-{count}"),
            &nest_drawing(nest, set, shop, &stamp),
        );
        if writes_programs && let Some(path) = set.paths.iter().find(|path| path.nest == index) {
            let stamp = program_stamp(job, revision, release);
            match program::program(path, &set.layers, nest, stock, shop, &stamp) {
                Ok(text) => programs.push(CutFile {
                    path: format!("programs/{group}-sheet-{count}.nc"),
                    bytes: text.into_bytes(),
                }),
                Err(problem) => {
                    let _ = writeln!(
                        withheld,
                        "{group} sheet {count}: {problem}. Cut this sheet from its drawing, and report the job folder."
                    );
                }
            }
            match program::engraving(path, &set.layers, nest, stock, shop, &stamp) {
                Ok(Some(text)) => programs.push(CutFile {
                    path: format!("programs/{group}-sheet-{count}-engrave.nc"),
                    bytes: text.into_bytes(),
                }),
                Ok(None) => {}
                Err(problem) => {
                    let _ = writeln!(
                        withheld,
                        "{group} sheet {count}, engraving: {problem}. Mark this sheet from its drawing, and report the job folder."
                    );
                }
            }
        }
    }
    if !withheld.is_empty() {
        programs.push(CutFile {
            path: WITHHELD.to_owned(),
            bytes: withheld.into_bytes(),
        });
    }
    files.extend(programs);
    CutFiles { files }
}

fn stamp(job: &str, revision: &str, release: &Release) -> Vec<String> {
    let mut lines = program_stamp(job, revision, release);
    lines.insert(
        1,
        "NET size: not compensated for the cutter. Units mm, scale 1:1".to_owned(),
    );
    lines
}

/// What stands on every file, net or compensated.
fn program_stamp(job: &str, revision: &str, release: &Release) -> Vec<String> {
    let mut lines = vec![format!("job {job}, revision {revision}")];
    lines.push(match release.conceded() {
        [] => "released".to_owned(),
        conceded => format!(
            "released with {} concessions, see the shop papers",
            conceded.len()
        ),
    });
    lines
}

/// Geometry of a part at its place: cuts, pockets by depth, mark.
fn draw_part(drawing: &mut Drawing, part: &LayerPart, place: &Placement2) {
    drawing.region(CUT_THROUGH, &part.outline.placed(place));
    for region in &part.through {
        drawing.region(CUT_THROUGH, &region.placed(place));
    }
    let slits = part
        .slits
        .iter()
        .map(|slit| slit.map(|end| place.apply(end)).to_vec());
    drawing.strokes(ENTRY_SLIT, slits);
    for name in &part.engravings {
        let strokes = name
            .strokes
            .iter()
            .map(|line| line.iter().map(|p| place.apply(*p)).collect());
        drawing.strokes(ENGRAVE, strokes);
    }
    for pocket in &part.pockets {
        drawing.region(&pocket_layer(pocket.depth.si()), &pocket.region.placed(place));
    }
    if let Some(mark) = &part.mark {
        let placed = mark
            .iter()
            .map(|line| line.iter().map(|p| place.apply(*p)).collect());
        drawing.strokes(MARK, placed);
    }
}

fn part_drawing(part: &LayerPart, shop: &Shop, stamp: &[String]) -> Drawing {
    let mut drawing = Drawing {
        title: format!("layer {} NET", part.id),
        ..Drawing::default()
    };
    draw_part(&mut drawing, part, &Placement2::IDENTITY);
    let mut notes = vec![format!(
        "{}, layer {} of {} of the {}",
        part.id,
        part.number,
        part.of,
        match part.block {
            BlockKind::Base => "base block".to_owned(),
            BlockKind::Tray(number) => format!("tray {number}"),
            BlockKind::LidPad if part.is_cover => "lid pad, of its cover".to_owned(),
            BlockKind::LidPad => "lid pad".to_owned(),
        }
    )];
    notes.extend(stamp.iter().cloned());
    notes.push(format!(
        "{}, stock {} mm thick",
        part.foam_title,
        short(part.stock.as_mm())
    ));
    notes.push(format!("face up while cutting: {}", part.face_up));
    if part.mirrored {
        notes.push(match part.block {
            BlockKind::LidPad => "MIRRORED AS CUT: seen from the underside of the lid pad".to_owned(),
            BlockKind::Base | BlockKind::Tray(_) => "MIRRORED AS CUT: seen from its underside".to_owned(),
        });
    }
    notes.push(format!(
        "outline {} the section at its {}",
        if part.bevelled {
            "to be bevelled as the wall runs, drawn at"
        } else {
            "cut square to"
        },
        match part.cut_to {
            CutTo::Bottom => "bottom",
            CutTo::Middle => "middle",
            CutTo::Top => "top",
        }
    ));
    for pocket in &part.pockets {
        let depth = pocket.depth.si();
        notes.push(format!(
            "{} pocket {} mm deep from the {}",
            pocket_layer(depth),
            short(depth * 1e3),
            part.face_up
        ));
    }
    if !part.pockets.is_empty() {
        notes.push("depths from the face that is up; pockets nest, cut the shallow ones first".to_owned());
    }
    if part.mark.is_none() {
        notes.push(format!(
            "no room for a mark on the face, mark by hand: {}",
            words(part)
        ));
    }
    notes.push(format!(
        "process {}, tolerance {}",
        shop.process.name, shop.process.tolerance
    ));
    notes.extend(
        shop.process
            .cautions
            .iter()
            .map(|caution| format!("caution: {caution}")),
    );
    if let Some(bounds) = part.outline.bounds() {
        // The arrow to the hinge stands outside the outline, on the hinge's side.
        let above = part.hinge >= 0;
        let edge = if above {
            bounds.max.y + NOTE_GAP
        } else {
            bounds.min.y - NOTE_GAP
        };
        let centre = Vec2::new(bounds.centre().x, edge + if above { 0.010 } else { -0.010 });
        drawing.strokes(NOTES, arrow(centre, 0.020, part.hinge));
        drawing.text(
            NOTES,
            "HINGE",
            centre + Vec2::new(0.008, -NOTE_HEIGHT / 2.0),
            NOTE_HEIGHT,
        );
        let top = if above {
            bounds.min.y
        } else {
            bounds.min.y - NOTE_GAP - 0.020
        };
        write_notes(&mut drawing, Vec2::new(bounds.min.x, top), notes);
    }
    drawing
}

/// The outline of a tray's board with its holes: cut by hand, not nested with foam.
fn board_drawing(board: &BoardPart, shop: &Shop, stamp: &[String]) -> Drawing {
    let mut drawing = Drawing {
        title: "board in the tray NET".to_owned(),
        ..Drawing::default()
    };
    drawing.region(CUT_THROUGH, &board.region);
    let [below, above] = &board.between;
    let name = shop
        .fittings
        .board
        .as_ref()
        .map_or("board", |board| board.name.as_str());
    let mut notes = vec![format!(
        "board in the tray, seen from above: {name}, {} mm thick",
        short(board.thickness.as_mm())
    )];
    notes.extend(stamp.iter().cloned());
    notes.extend([
        "NET size, units mm, scale 1:1; cut by hand, break the edges".to_owned(),
        format!("glued between layers {below} (below) and {above} (above), its holes over theirs"),
        "caution: knives cut fingers; solvents of adhesives: air the room, keep flames away, follow their data sheets".to_owned(),
    ]);
    if let Some(bounds) = board.region.bounds() {
        write_notes(&mut drawing, bounds.min, notes);
    }
    drawing
}

fn nest_drawing(nest: &SheetNest, set: &ShopSet, shop: &Shop, stamp: &[String]) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(stock) = shop.stock.get(nest.stock) else {
        return drawing;
    };
    drawing.title = format!("nest {} sheet {} NET", stock.name, nest.number);
    drawing.region(SHEET, &stock.plan());
    if stock.trim.si() > 0.0 {
        drawing.region(SHEET, &stock.usable());
    }
    let mut mirrored = Vec::new();
    let mut depths: BTreeMap<String, String> = BTreeMap::new();
    for nested in &nest.parts {
        let Some(part) = set.layers.iter().find(|part| part.id == nested.layer) else {
            continue;
        };
        draw_part(&mut drawing, part, &nested.placement);
        if part.mirrored {
            mirrored.push(part.id.to_string());
        }
        for pocket in &part.pockets {
            depths.insert(pocket_layer(pocket.depth.si()), short(pocket.depth.as_mm()));
        }
        if part.mark.is_none()
            && let Some(bounds) = part.outline.placed(&nested.placement).bounds()
        {
            // Still beside the part, but on a layer that is not cut.
            drawing.text(NOTES, &words(part), bounds.min, NOTE_HEIGHT);
        }
    }
    for bounds in &nest.kept {
        drawing.region(KEEP, &Region::rectangle(bounds.min, bounds.max));
        let words = format!(
            "KEEP {} x {}",
            millimetres(bounds.size().x),
            millimetres(bounds.size().y)
        );
        drawing.text(KEEP, &words, bounds.min + Vec2::new(0.01, 0.01), NOTE_HEIGHT);
    }
    let mut notes = vec![format!("{}, sheet {}", stock.name, nest.number)];
    notes.extend(stamp.iter().cloned());
    notes.push(format!(
        "{}, {} x {} x {} mm, trim {} mm",
        stock.foam,
        short(stock.length.as_mm()),
        short(stock.width.as_mm()),
        short(stock.thickness.as_mm()),
        short(stock.trim.as_mm())
    ));
    notes.push(format!(
        "parts {}; turned, never turned over",
        nest.parts
            .iter()
            .map(|p| p.layer.as_str())
            .collect::<Vec<_>>()
            .join(" ")
    ));
    if !nest.kept.is_empty() {
        notes.push(format!(
            "{KEEP}: {} left for stock, not cut here",
            if nest.kept.len() == 1 { "a piece" } else { "pieces" }
        ));
    }
    if !mirrored.is_empty() {
        notes.push(format!("MIRRORED AS CUT: {}", mirrored.join(" ")));
    }
    notes.extend(
        depths
            .iter()
            .map(|(layer, depth)| format!("{layer} pocket {depth} mm deep from the face that is up")),
    );
    notes.extend(
        shop.process
            .cautions
            .iter()
            .map(|caution| format!("caution: {caution}")),
    );
    write_notes(&mut drawing, Vec2::ZERO, notes);
    drawing
}

/// The scale bar and the notes downward from `corner`; the notes are the file's comments as well.
fn write_notes(drawing: &mut Drawing, corner: Vec2, notes: Vec<String>) {
    let bar = corner - Vec2::new(0.0, NOTE_GAP + 0.010);
    drawing.region(
        SCALE,
        &Region::rectangle(bar, bar + Vec2::new(SCALE_LENGTH, 0.010)),
    );
    drawing.text(SCALE, "100 MM", bar + Vec2::new(0.003, 0.0025), NOTE_HEIGHT);
    for (i, note) in (1..).zip(&notes) {
        let at = bar - Vec2::new(0.0, NOTE_STEP * f64::from(i));
        drawing.text(NOTES, note, at, NOTE_HEIGHT);
    }
    drawing.comments = notes;
}

/// Metres as whole millimetres.
fn millimetres(metres: f64) -> String {
    short((metres * 1e3).round())
}

/// Letters, figures, `-` and `_` as they are; anything else becomes `-`.
fn file_name(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || c == '-' || c == '_' {
                c
            } else {
                '-'
            }
        })
        .collect()
}
