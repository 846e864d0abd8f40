//! The worksheet's picture: where each number is measured. Of no case in particular, not to scale.

use super::dimension::arrow;
use super::frame::lines;
use super::view::{HATCH, MIDDLE, NARROW, TYPE, WIDE, balloon};
use crate::Words;
use crate::sheet::{Anchor, Dash, Fill, INK, Sheet};
use crate::words::say;
use caddis_geometry::{Region, Side, Vec2};

/// Plan of the base, section across the case with its lid, outside from the end.
pub(crate) fn worksheet_picture(words: &Words) -> Sheet {
    let mut sheet = Sheet::blank(say!(words, "worksheet-picture"), 180.0, 128.0);
    plan(&mut sheet, words);
    section(&mut sheet, words);
    outside(&mut sheet, words);
    sheet
}

/// A line with arrows at both ends and a balloon on its middle.
fn between(sheet: &mut Sheet, a: (f64, f64), b: (f64, f64), number: u32) {
    let (a, b) = (Vec2::new(a.0, a.1), Vec2::new(b.0, b.1));
    let along = (b - a).unit();
    sheet.line(&[a, b], NARROW);
    arrow(sheet, a, along);
    arrow(sheet, b, along * -1.0);
    balloon(sheet, (a + b) / 2.0, number);
}

/// A balloon with a leader to a dot.
fn points_at(sheet: &mut Sheet, at: (f64, f64), place: (f64, f64), number: u32) {
    let (at, place) = (Vec2::new(at.0, at.1), Vec2::new(place.0, place.1));
    sheet.line(&[at, place], NARROW);
    sheet.circle(place, 0.5, None, Some(Fill { colour: INK }));
    balloon(sheet, at, number);
}

fn matter(sheet: &mut Sheet, region: &Region) {
    sheet.region(region, |p| p, None, Some(Fill { colour: [0xe8; 3] }));
    sheet.hatch(region, |p| p, 135.0, 1.6, HATCH);
    sheet.region(region, |p| p, Some(MIDDLE), None);
}

fn plan(sheet: &mut Sheet, words: &Words) {
    sheet.heading(Vec2::new(4.0, 124.0), &say!(words, "worksheet-plan"));
    let (low, high) = (Vec2::new(12.0, 60.0), Vec2::new(102.0, 112.0));
    let rim = Region::rounded_rectangle(low, high, 9.0);
    let outer = rim.offset(1.6, Side::Outer);
    sheet.hatch(&outer.difference(&rim), |p| p, 45.0, 1.2, HATCH);
    sheet.region(&outer, |p| p, Some(WIDE), None);
    sheet.region(&rim, |p| p, Some(WIDE), None);
    let inset = Vec2::new(4.0, 4.0);
    let floor = Region::rounded_rectangle(low + inset, high - inset, 6.0);
    sheet.region(&floor, |p| p, Some(NARROW.dashed(Dash::Dashed)), None);
    for (min, max, radius) in [
        ((12.0, 60.0), (29.0, 74.0), 2.5),
        ((12.0, 98.0), (29.0, 112.0), 2.5),
        ((12.0, 79.0), (21.0, 93.0), 1.5),
        ((62.0, 68.0), (64.0, 104.0), 0.9),
    ] {
        let block = Region::rounded_rectangle(Vec2::new(min.0, min.1), Vec2::new(max.0, max.1), radius);
        matter(sheet, &block.intersection(&rim));
    }
    // Where an intrusion lies: from the middle of the opening.
    let middle = (low + high) / 2.0;
    let axis = NARROW.dashed(Dash::LongDashDot);
    sheet.line(
        &[
            Vec2::new(low.x - 6.0, middle.y),
            Vec2::new(high.x + 3.0, middle.y),
        ],
        axis,
    );
    sheet.line(
        &[
            Vec2::new(middle.x, low.y - 3.0),
            Vec2::new(middle.x, high.y + 3.0),
        ],
        axis,
    );
    sheet.text(Vec2::new(high.x - 7.0, middle.y + 1.0), "x", TYPE, Anchor::Middle);
    sheet.text(
        Vec2::new(middle.x + 2.2, high.y - 12.0),
        "y",
        TYPE,
        Anchor::Middle,
    );
    between(sheet, (low.x, 117.5), (high.x, 117.5), 6);
    between(sheet, (108.5, low.y), (108.5, high.y), 7);
    between(sheet, (low.x + 4.0, 64.6), (high.x - 4.0, 64.6), 10);
    between(sheet, (82.0, low.y + 4.0), (82.0, high.y - 4.0), 11);
    points_at(sheet, (92.0, 121.5), (99.4, 109.4), 8);
    points_at(sheet, (91.0, 99.0), (96.2, 106.2), 12);
    sheet.text(
        Vec2::new(4.0, 54.0),
        say!(words, "worksheet-plan-note"),
        TYPE,
        Anchor::Start,
    );
}

fn section(sheet: &mut Sheet, words: &Words) {
    sheet.heading(Vec2::new(4.0, 48.0), &say!(words, "worksheet-section"));
    let at = |x: f64, y: f64| Vec2::new(x, y);
    // Inside of base and lid, from rim to rim.
    let base = [
        at(16.0, 30.0),
        at(18.6, 7.0),
        at(20.2, 4.6),
        at(22.6, 4.0),
        at(71.4, 4.0),
        at(73.8, 4.6),
        at(75.4, 7.0),
        at(78.0, 30.0),
    ];
    let lid = [
        at(16.0, 30.0),
        at(16.8, 39.0),
        at(17.8, 40.4),
        at(19.6, 41.0),
        at(74.4, 41.0),
        at(76.2, 40.4),
        at(77.2, 39.0),
        at(78.0, 30.0),
    ];
    for line in [&base, &lid] {
        sheet.line(line, WIDE);
        let middle = at(47.0, 25.0);
        let outer: Vec<Vec2> = line
            .iter()
            .map(|p| {
                let way = *p - middle;
                *p + Vec2::new(
                    1.6 * way.x.signum(),
                    if (p.y - 30.0).abs() < 0.1 {
                        0.0
                    } else {
                        1.6 * way.y.signum()
                    },
                )
            })
            .collect();
        sheet.line(&outer, WIDE);
    }
    // The rim plane and the gasket.
    sheet.line(&[at(8.0, 30.0), at(90.0, 30.0)], NARROW.dashed(Dash::LongDashDot));
    sheet.text(
        at(92.0, 29.0),
        say!(words, "worksheet-rim-plane"),
        TYPE,
        Anchor::Start,
    );
    for x in [14.4, 77.9] {
        sheet.rectangle(
            at(x, 30.0),
            at(x + 1.7, 31.4),
            Some(NARROW),
            Some(Fill { colour: [0x90; 3] }),
        );
    }
    // Hinge at the back.
    sheet.circle(at(83.0, 32.0), 1.5, Some(MIDDLE), Some(Fill { colour: [255; 3] }));
    between(sheet, (36.0, 4.0), (36.0, 30.0), 9);
    between(sheet, (56.0, 30.0), (56.0, 41.0), 17);
    between(sheet, (66.0, 4.0), (66.0, 41.0), 5);
    between(sheet, (20.0, 37.6), (74.0, 37.6), 19);
    points_at(sheet, (8.0, 20.0), (17.1, 20.0), 13);
    points_at(sheet, (27.0, 11.0), (20.2, 4.8), 14);
    points_at(sheet, (8.0, 11.0), (17.6, 8.0), 15);
    points_at(sheet, (8.0, 37.0), (15.2, 30.9), 22);
    points_at(sheet, (91.0, 37.5), (83.0, 32.0), 23);
    points_at(sheet, (27.0, 26.0), (17.0, 39.6), 20);
    points_at(sheet, (86.0, 16.0), (76.6, 18.0), 16);
}

fn outside(sheet: &mut Sheet, words: &Words) {
    sheet.heading(Vec2::new(122.0, 124.0), &say!(words, "worksheet-outside"));
    let at = |x: f64, y: f64| Vec2::new(x, y);
    // From the front.
    let body = Region::rounded_rectangle(at(126.0, 88.0), at(170.0, 114.0), 4.0);
    sheet.region(&body, |p| p, Some(WIDE), None);
    sheet.line(&[at(126.0, 107.0), at(170.0, 107.0)], MIDDLE);
    for x in [136.0, 157.0] {
        sheet.rectangle(
            at(x, 103.5),
            at(x + 4.0, 110.0),
            Some(MIDDLE),
            Some(Fill { colour: [255; 3] }),
        );
    }
    sheet.circle(
        at(130.0, 88.0),
        3.0,
        Some(MIDDLE),
        Some(Fill { colour: [0xe8; 3] }),
    );
    sheet.rectangle(at(170.0, 96.0), at(172.0, 104.0), Some(MIDDLE), None);
    between(sheet, (126.0, 79.5), (172.0, 79.5), 1);
    between(sheet, (120.0, 85.0), (120.0, 114.0), 3);
    // From the end.
    let end = Region::rounded_rectangle(at(132.0, 40.0), at(162.0, 66.0), 4.0);
    sheet.region(&end, |p| p, Some(WIDE), None);
    sheet.line(&[at(132.0, 59.0), at(162.0, 59.0)], MIDDLE);
    for x in [136.0, 158.0] {
        sheet.circle(at(x, 40.0), 3.0, Some(MIDDLE), Some(Fill { colour: [0xe8; 3] }));
    }
    sheet.rectangle(at(130.4, 56.0), at(132.0, 62.0), Some(MIDDLE), None);
    between(sheet, (130.4, 31.5), (162.0, 31.5), 2);
    points_at(sheet, (171.0, 50.0), (160.0, 50.0), 4);
    let note = say!(words, "worksheet-picture-note");
    for (row, line) in lines(&note, 180.0 - 122.0).into_iter().enumerate() {
        sheet.text(at(122.0, 22.0 - 4.0 * row as f64), line, TYPE, Anchor::Start);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::Mark;

    #[test]
    fn every_number_stands_once_in_the_picture_and_names_a_row() {
        let mut seen: Vec<u32> = worksheet_picture(Words::english())
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Text(text) => text.words.parse().ok(),
                _ => None,
            })
            .collect();
        seen.sort_unstable();
        let mut once = seen.clone();
        once.dedup();
        assert_eq!(seen, once);
        let rows = crate::survey::rows::groups(Words::english(), None);
        let numbers: Vec<String> = rows
            .iter()
            .flat_map(|group| group["rows"].as_array().into_iter().flatten())
            .filter_map(|row| row[0].as_str().map(str::to_owned))
            .collect();
        for number in seen {
            assert!(numbers.contains(&number.to_string()), "{number}");
        }
    }
}
