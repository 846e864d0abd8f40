//! From the case to the paper: scale and place of a view, and the palette of things.

use crate::Words;
use crate::sheet::{Anchor, Fill, GREY, INK, Sheet, Stroke, Text};
use crate::words::say;
use caddis_geometry::{Region, Side, Vec2};

/// Width of every drawing, mm: the drawing space of A4 between a filing margin of 20 and one of 10.
///
/// # Source
/// ISO 5457, from memory.
pub(crate) const PAPER: f64 = 180.0;
/// Wide lines: visible edges, mm.
pub(crate) const WIDE: Stroke = Stroke::line(0.5, INK);
/// Middle lines: cavities, items, mm.
pub(crate) const MIDDLE: Stroke = Stroke::line(0.35, INK);
/// Narrow lines: dimensions, hatching, hidden edges, mm.
pub(crate) const NARROW: Stroke = Stroke::line(0.25, INK);
/// Hatching, mm.
pub(crate) const HATCH: Stroke = Stroke::line(0.13, GREY);
/// Size of common type, mm.
pub(crate) const TYPE: f64 = 2.5;

/// A drawing scale 1:n and where the model's origin lies on paper.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    /// n of 1:n.
    pub(crate) scale: f64,
    /// Where model (0, 0) lies, mm.
    pub(crate) origin: Vec2,
}

impl View {
    /// A view at 1:`scale` with the model point `middle` at the paper point `at`.
    pub(crate) fn centred(scale: f64, middle: Vec2, at: Vec2) -> Self {
        Self {
            scale,
            origin: at - middle * (1000.0 / scale),
        }
    }

    /// Metres to millimetres on paper.
    pub(crate) fn length(&self, metres: f64) -> f64 {
        metres * 1000.0 / self.scale
    }

    /// A model point on paper.
    pub(crate) fn point(&self, p: Vec2) -> Vec2 {
        self.origin + p * (1000.0 / self.scale)
    }

    /// The map, for outlines.
    pub(crate) fn map(self) -> impl Fn(Vec2) -> Vec2 {
        move |p| self.point(p)
    }
}

/// The largest scale of ISO 5455 at which `size` (metres) fits `room` (mm).
///
/// # Source
/// ISO 5455 scales, from memory; 1:3 and 1:4 are left out on purpose.
pub(crate) fn scale_for(size: Vec2, room: Vec2) -> f64 {
    let steps = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
    steps
        .into_iter()
        .find(|n| size.x * 1000.0 / n <= room.x && size.y * 1000.0 / n <= room.y)
        .unwrap_or(200.0)
}

/// Height of the ground a scale bar takes, mm.
pub(crate) const BAR: f64 = 8.0;

/// Draws a scale bar of a round length with its words, lower left at `at`; to the right of it the scale in words.
pub(crate) fn scale_bar(sheet: &mut Sheet, words: &Words, view: View, at: Vec2) {
    let metres = [0.02, 0.05, 0.1, 0.2, 0.5, 1.0]
        .into_iter()
        .find(|&m| view.length(m) >= 18.0)
        .unwrap_or(2.0);
    let step = view.length(metres) / 2.0;
    let (low, high) = (at, at + Vec2::new(step, 1.5));
    sheet.rectangle(low, high, Some(NARROW), Some(Fill { colour: INK }));
    sheet.rectangle(
        low + Vec2::new(step, 0.0),
        high + Vec2::new(step, 0.0),
        Some(NARROW),
        None,
    );
    sheet.text(at + Vec2::new(0.0, 2.6), "0", TYPE, Anchor::Middle);
    let length = say!(words, "paper-mm", size = words.number(metres * 1000.0, 0));
    sheet.text(at + Vec2::new(2.0 * step, 2.6), length, TYPE, Anchor::Middle);
    sheet.text(
        at + Vec2::new(2.0 * step + 14.0, 0.0),
        say!(
            words,
            "draw-scale",
            scale = words.figures(&view.scale.to_string())
        ),
        TYPE,
        Anchor::Start,
    );
}

/// A word with a leader: from the word's foot to a dot at the place.
pub(crate) fn leader(sheet: &mut Sheet, place: Vec2, knee: Vec2, words: &str, anchor: Anchor) {
    let run = match anchor {
        Anchor::Start => 3.0,
        Anchor::Middle => 0.0,
        Anchor::End => -3.0,
    };
    let end = knee + Vec2::new(run, 0.0);
    sheet.line(&[place, knee, end], NARROW);
    sheet.circle(place, 0.5, None, Some(Fill { colour: INK }));
    let at = match anchor {
        Anchor::Middle => end + Vec2::new(0.0, 1.0),
        _ => end + Vec2::new(run.signum(), -TYPE / 2.0),
    };
    sheet.text(at, words, TYPE, anchor);
}

/// A numbered balloon, white inside.
pub(crate) fn balloon(sheet: &mut Sheet, at: Vec2, number: u32) {
    sheet.circle(
        at,
        3.0,
        Some(Stroke::line(0.35, INK)),
        Some(Fill { colour: [255; 3] }),
    );
    sheet.words(Text {
        at: at - Vec2::new(0.0, 1.25),
        words: number.to_string(),
        height: 2.5,
        anchor: Anchor::Middle,
        turned: 0.0,
        bold: true,
        colour: INK,
    });
}

/// The stretches of a horizontal or vertical line inside a region: of the line y = `at`, or x = `at` when `along_y`.
pub(crate) fn stretches(region: &Region, along_y: bool, at: f64) -> Vec<(f64, f64)> {
    let rings: Vec<Vec<Vec2>> = region
        .contours()
        .map(|c| {
            let points = c.flattened(5e-5, Side::Inner).into_iter();
            points
                .map(|p| if along_y { Vec2::new(p.y, p.x) } else { p })
                .collect()
        })
        .collect();
    crate::sheet::crossings(&rings, at)
}

/// A pale tint and a hatch angle for the `index`-th kind of thing, so that neither is needed alone.
pub(crate) fn tint(index: usize) -> ([u8; 3], f64) {
    const TINTS: [([u8; 3], f64); 8] = [
        ([0xd6, 0xe4, 0xf0], 30.0),
        ([0xf3, 0xe3, 0xc3], 60.0),
        ([0xdb, 0xea, 0xd5], 120.0),
        ([0xe9, 0xd9, 0xe9], 150.0),
        ([0xf2, 0xd9, 0xd3], 15.0),
        ([0xd4, 0xe8, 0xe6], 75.0),
        ([0xe8, 0xe6, 0xc9], 105.0),
        ([0xdd, 0xdd, 0xe8], 165.0),
    ];
    TINTS[index % TINTS.len()]
}

/// A colour of the foam, paled for paper.
pub(crate) fn paled(colour: [u8; 3]) -> [u8; 3] {
    colour.map(|c| (f64::from(c) * 0.18 + 255.0 * 0.82).round() as u8)
}

/// Balloons at the points of their things, moved apart where they would meet each other or a letter; a moved one leads to its thing.
pub(crate) fn balloons(sheet: &mut Sheet, things: &[(Vec2, u32)], letters: &[Vec2]) {
    let mut placed: Vec<(Vec2, Vec2, u32)> = Vec::new();
    for &(at, number) in things {
        let is_free = |p: Vec2| {
            placed.iter().all(|(other, _, _)| other.distance(p) >= 6.6)
                && letters.iter().all(|letter| letter.distance(p) >= 5.6)
        };
        let mut spot = at;
        'search: for ring in 0..8_u32 {
            for turn in 0..12_u32 {
                let way = Vec2::new(2.2 * f64::from(ring), 0.0)
                    .rotated(f64::from(turn) * std::f64::consts::FRAC_PI_6);
                if is_free(at + way) {
                    spot = at + way;
                    break 'search;
                }
            }
        }
        placed.push((spot, at, number));
    }
    for &(spot, at, _) in placed.iter().filter(|(spot, at, _)| spot != at) {
        sheet.line(&[spot, at], NARROW);
        sheet.circle(at, 0.5, None, Some(Fill { colour: INK }));
    }
    for (spot, _, number) in placed {
        balloon(sheet, spot, number);
    }
}

/// The lower left corner of a word near a spot that meets no taken rectangle and stays on the ground between `low` and
/// `high`; `None` where there is none.
pub(crate) fn free_place(
    spot: Vec2,
    size: Vec2,
    ground: (Vec2, Vec2),
    taken: &[(Vec2, Vec2)],
) -> Option<Vec2> {
    for ring in 1..12_u32 {
        let reach = 2.0 + 2.0 * f64::from(ring);
        for turn in [1_u32, 3, 5, 7, 0, 4, 2, 6] {
            let way = Vec2::new(1.0, 0.0).rotated(f64::from(turn) * std::f64::consts::FRAC_PI_4);
            let centre = spot + Vec2::new(way.x * (reach + size.x / 2.0), way.y * (reach + size.y / 2.0));
            let corner = centre - size / 2.0;
            let top = corner + size;
            let inside =
                corner.x > ground.0.x && corner.y > ground.0.y && top.x < ground.1.x && top.y < ground.1.y;
            let free = taken
                .iter()
                .all(|(low, high)| top.x < low.x || high.x < corner.x || top.y < low.y || high.y < corner.y);
            if inside && free {
                return Some(corner);
            }
        }
    }
    None
}
