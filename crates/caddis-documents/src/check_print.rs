//! The check print: every tier at full size on office paper, to lay the equipment on before anything is cut.

use crate::date::ymd;
use crate::drawing::{Name, check_plan};
use crate::paper::{head, is_lid};
use crate::press::Job;
use crate::quotation::merge;
use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Words, svg};
use caddis_geometry::Vec2;
use caddis_shop::SheetSize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// White that office printers leave, mm.
const EDGE: f64 = 10.0;
/// Room for the words over a tile and the bar under it, mm.
const WORDS: (f64, f64) = (14.0, 16.0);
/// What each tile repeats of its neighbours to the right and below, to glue on, mm.
const FLAP: f64 = 8.0;

/// How a drawing is shared out over pages.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Tiling {
    /// Page turned to landscape.
    flipped: bool,
    /// Width and height of one tile, mm.
    tile: Vec2,
    columns: usize,
    rows: usize,
}

impl Tiling {
    /// The way that takes the fewest pages; upright where both take as many.
    fn of(size: Vec2, page: Vec2) -> Self {
        let way = |flipped: bool| {
            let page = if flipped { Vec2::new(page.y, page.x) } else { page };
            let tile = page - Vec2::new(2.0 * EDGE + FLAP, 2.0 * EDGE + WORDS.0 + WORDS.1 + FLAP);
            let count = |length: f64, step: f64| (length / step).ceil().max(1.0) as usize;
            Self {
                flipped,
                tile,
                columns: count(size.x, tile.x),
                rows: count(size.y, tile.y),
            }
        };
        let (upright, flipped) = (way(false), way(true));
        if flipped.columns * flipped.rows < upright.columns * upright.rows {
            flipped
        } else {
            upright
        }
    }

    /// `A1` is the upper left tile, `B1` the one to its right.
    fn name(column: usize, row: usize) -> String {
        let letter = char::from(b'A' + (column % 26) as u8);
        format!("{letter}{}", row + 1)
    }
}

/// Sets the check print, on A4 or, where the shop draws on inch papers, on Letter.
///
/// # Errors
/// A date that is none; a template that does not fit its data.
pub fn check_print(input: &PaperInput) -> Result<Document, DocumentError> {
    let (paper, page) = match input.shop.drawing.paper {
        SheetSize::A4 | SheetSize::A3 | SheetSize::A2 | SheetSize::A1 => ("a4", Vec2::new(210.0, 297.0)),
        SheetSize::Letter | SheetSize::B | SheetSize::C | SheetSize::D => {
            ("us-letter", Vec2::new(215.9, 279.4))
        }
    };
    let mut files = BTreeMap::new();
    let mut tiers: Vec<Value> = Vec::new();
    let mut tier = 0;
    while let Some(plan) = check_plan(input.words, input.brief, input.interior, tier) {
        let path = format!("tier-{}.svg", tier + 1);
        files.insert(path.clone(), svg(&plan.lines).into_bytes());
        files.insert(format!("key-{path}"), svg(&plan.key).into_bytes());
        let size = Vec2::new(plan.lines.width, plan.lines.height);
        tiers.push(tier_data(
            input.words,
            (tier, is_lid(input.interior, tier)),
            &path,
            (size, &plan.names),
            &Tiling::of(size, page),
        ));
        tier += 1;
    }
    let mut data = head(input);
    merge(
        &mut data,
        json!({
            "paper": paper,
            "edge": EDGE,
            "words": WORDS.0,
            "flap": FLAP,
            "tiers": tiers,
            "case": input.brief.shell.title,
        }),
    );
    files.insert("data.json".to_owned(), data.to_string().into_bytes());
    let job = Job {
        main: include_str!("typst/check_print.typ"),
        words: input.words,
        files,
        date: ymd(input.date)?,
        ident: format!(
            "{} {} {} check print",
            input.brief.job, input.revision, input.date
        ),
    };
    job.document("check-print.pdf")
}

fn tier_data(
    words: &Words,
    (tier, in_lid): (usize, bool),
    path: &str,
    (size, names): (Vec2, &[Name]),
    tiling: &Tiling,
) -> Value {
    let mut tiles: Vec<Value> = Vec::new();
    for row in 0..tiling.rows {
        for column in 0..tiling.columns {
            let at = Vec2::new(column as f64 * tiling.tile.x, row as f64 * tiling.tile.y);
            let room = size - at;
            let tile = Vec2::new(tiling.tile.x.min(room.x), tiling.tile.y.min(room.y));
            let (right, below) = (column + 1 < tiling.columns, row + 1 < tiling.rows);
            tiles.push(json!({
                "name": Tiling::name(column, row),
                "x": at.x,
                "y": at.y,
                "width": tile.x,
                "height": tile.y,
                "names": names.iter().filter_map(|name| name_on(name, at, tile, size.y)).collect::<Vec<_>>(),
                "right": right.then(|| Tiling::name(column + 1, row)),
                "below": below.then(|| Tiling::name(column, row + 1)),
            }));
        }
    }
    json!({
        "name": if in_lid { say!(words, "check-lid") } else { say!(words, "check-tier", number = tier + 1) },
        "number": (tier + 1).to_string(),
        "path": path,
        "width": size.x,
        "height": size.y,
        "flipped": tiling.flipped,
        "tiles": tiles,
    })
}

/// A name whose middle lies on a tile, from the tile's upper left corner, moved so far that all of it does where that is possible.
fn name_on(name: &Name, corner: Vec2, tile: Vec2, plan_height: f64) -> Option<Value> {
    let middle = Vec2::new(name.at.x, plan_height - name.at.y) - corner;
    let is_here = (0.0..tile.x).contains(&middle.x) && (0.0..tile.y).contains(&middle.y);
    let half = name.half();
    let within = |at: f64, half: f64, length: f64| at.min(length - half).max(half);
    is_here.then(|| {
        json!({
            "words": name.words,
            "x": within(middle.x, half.x, tile.x),
            "y": within(middle.y, half.y, tile.y),
            "height": name.height,
            "upright": name.upright,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_cover_the_drawing_once() {
        let page = Vec2::new(210.0, 297.0);
        for size in [
            Vec2::new(620.0, 390.0),
            Vec2::new(100.0, 90.0),
            Vec2::new(300.0, 700.0),
        ] {
            let tiling = Tiling::of(size, page);
            let name = Name {
                words: "Probe".to_owned(),
                at: Vec2::new(tiling.tile.x.min(size.x) - 1.0, size.y - 1.0),
                height: 4.0,
                upright: false,
            };
            let data = tier_data(
                Words::english(),
                (0, false),
                "x",
                (size, std::slice::from_ref(&name)),
                &tiling,
            );
            let tiles = data["tiles"].as_array().map_or(&[][..], Vec::as_slice);
            let number = |tile: &Value, key: &str| tile[key].as_f64().unwrap_or(f64::NAN);
            let area: f64 = tiles
                .iter()
                .map(|tile| number(tile, "width") * number(tile, "height"))
                .sum();
            assert!((area - size.x * size.y).abs() < 1e-6, "{size:?}");
            assert!(tiles.iter().all(|tile| number(tile, "width") > 0.0));
            // A name at a tile's edge stands on that tile alone, as a whole.
            let named: Vec<&Value> = tiles
                .iter()
                .flat_map(|tile| tile["names"].as_array().into_iter().flatten())
                .collect();
            assert_eq!(named.len(), 1, "{size:?}");
            let right = number(named[0], "x") + name.half().x;
            assert!(right <= tiling.tile.x + 1e-9 && number(named[0], "y") >= 4.0 - 1e-9);
        }
        assert_eq!(Tiling::name(1, 2), "B3");
    }

    #[test]
    fn a_wide_drawing_turns_the_page_where_that_saves_some() {
        let tiling = Tiling::of(Vec2::new(250.0, 120.0), Vec2::new(210.0, 297.0));
        assert!(tiling.flipped && tiling.columns * tiling.rows == 1, "{tiling:?}");
    }
}
