//! The title block of shop sheets.

use super::dimension::width_of;
use super::view::{NARROW, TYPE};
use crate::Words;
use crate::sheet::{Anchor, INK, RED, Sheet, Stroke, Text};
use crate::words::say;
use caddis_geometry::Vec2;

/// What every sheet says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// Job id.
    pub job: String,
    /// Shop or customer on the sheet.
    pub owner: String,
    /// Revision.
    pub revision: String,
    /// ISO date.
    pub date: String,
    /// Tolerance words.
    pub tolerance: String,
    /// Whether there is a release.
    pub released: bool,
    /// This sheet, from 1.
    pub number: usize,
    /// How many sheets.
    pub of: usize,
}

/// Height of the title block, mm.
pub(crate) const BLOCK: f64 = 42.5;

/// Draws frame and title block; gives back the rectangle left for the drawing.
pub(crate) fn framed(
    sheet: &mut Sheet,
    words: &Words,
    stamp: &Stamp,
    facts: &[(String, String)],
) -> (Vec2, Vec2) {
    let (w, h) = (sheet.width, sheet.height);
    let frame = Stroke::line(0.5, INK);
    sheet.rectangle(
        Vec2::new(0.25, 0.25),
        Vec2::new(w - 0.25, h - 0.25),
        Some(frame),
        None,
    );
    sheet.line(&[Vec2::new(0.25, BLOCK), Vec2::new(w - 0.25, BLOCK)], frame);
    let bold = |sheet: &mut Sheet, x: f64, y: f64, words: &str, height: f64, anchor| {
        sheet.words(Text {
            at: Vec2::new(x, y),
            words: words.to_owned(),
            height,
            anchor,
            turned: 0.0,
            bold: true,
            colour: INK,
        });
    };
    let title = cut(&sheet.title, (w - 48.0) * TYPE / 3.5);
    bold(sheet, 3.0, BLOCK - 5.5, &title, 3.5, Anchor::Start);
    let state = if stamp.released {
        say!(words, "draw-released")
    } else {
        say!(words, "draw-not-released")
    };
    sheet.words(Text {
        at: Vec2::new(w - 3.0, BLOCK - 5.5),
        words: state,
        height: 3.5,
        anchor: Anchor::End,
        turned: 0.0,
        bold: true,
        colour: if stamp.released { INK } else { RED },
    });
    let middle = w * 0.6;
    let right = [
        (say!(words, "stamp-job"), stamp.job.clone()),
        (
            say!(words, "stamp-revision"),
            format!("{}   {}", stamp.revision, stamp.date),
        ),
        (
            say!(words, "stamp-sheet"),
            say!(words, "stamp-of", number = stamp.number, of = stamp.of),
        ),
        (say!(words, "stamp-owner"), stamp.owner.clone()),
        (say!(words, "stamp-units"), say!(words, "stamp-plan-units")),
    ];
    let mut row = |x: f64, index: usize, name: &str, value: &str, room: f64| {
        let y = BLOCK - 11.0 - 4.6 * index as f64;
        sheet.words(Text {
            at: Vec2::new(x, y),
            words: name.to_owned(),
            height: TYPE,
            anchor: Anchor::Start,
            turned: 0.0,
            bold: false,
            colour: crate::sheet::GREY,
        });
        sheet.text(
            Vec2::new(x + 21.0, y),
            cut(value, room - 22.0),
            TYPE,
            Anchor::Start,
        );
    };
    for (index, (name, value)) in facts.iter().take(5).enumerate() {
        row(3.0, index, name, value, middle - 5.0);
    }
    for (index, (name, value)) in right.iter().enumerate() {
        row(middle, index, name, value, w - middle - 2.0);
    }
    let tolerance = say!(words, "stamp-tolerance");
    for (index, line) in wrapped(&stamp.tolerance, w - 28.0, 2).iter().enumerate() {
        row(
            3.0,
            5 + index,
            if index == 0 { &tolerance } else { "" },
            line,
            w - 5.0,
        );
    }
    sheet.line(
        &[
            Vec2::new(middle - 2.0, 12.0),
            Vec2::new(middle - 2.0, BLOCK - 7.5),
        ],
        NARROW,
    );
    (Vec2::new(2.0, BLOCK + 2.0), Vec2::new(w - 2.0, h - 2.0))
}

/// Words in at most `most` lines of a width; the last is cut where it runs on.
pub(crate) fn wrapped(words: &str, room: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in words.split_whitespace() {
        let count = lines.len();
        let Some(line) = lines.last_mut() else { break };
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if width_of(&longer, TYPE) <= room || count == most {
            *line = longer;
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

/// Words in lines as the catalogue parts them by ` / `; a line too long for its room is parted further.
pub(crate) fn lines(words: &str, room: f64) -> Vec<String> {
    words
        .split(" / ")
        .flat_map(|line| wrapped(line, room, 3))
        .collect()
}

/// Words cut to a width, the cut shown.
pub(crate) fn cut(words: &str, room: f64) -> String {
    if width_of(words, TYPE) <= room {
        return words.to_owned();
    }
    let fits = (room / width_of("0", TYPE)).floor().max(1.0) as usize - 1;
    let mut short: String = words.chars().take(fits).collect();
    short.push('…');
    short
}
