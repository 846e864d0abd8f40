//! Peak acceleration over every direction of fall: the sphere of directions as two discs.

use super::dimension::width_of;
use super::view::{MIDDLE, NARROW, PAPER, TYPE};
use crate::Words;
use crate::sheet::{Anchor, Dash, Fill, GREY, INK, RED, Sheet, Stroke, Text};
use crate::words::say;
use caddis_basis::Acceleration;
use caddis_geometry::{Vec2, Vec3};

/// One direction of fall as the plot shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FallMark {
    /// Unit direction of the fall, case frame.
    pub direction: Vec3,
    /// Peak; `None` where the foam is crushed solid or nothing stops the item.
    pub peak: Option<Acceleration>,
}

/// Height of a row of shading, mm.
const ROW: f64 = 0.5;

/// From the middle of one disc to that of the other, mm.
const PITCH: f64 = 88.0;

/// How large the map is printed, so that its type can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapSize {
    /// Across the page.
    Full,
    /// Two beside each other, each at half of its drawn size.
    Half,
}

/// Where things stand on one sheet, mm.
struct Layout {
    /// Height of type.
    height: f64,
    /// That height over the usual one.
    scale: f64,
    /// Radius of a disc.
    radius: f64,
    /// Middles of the discs: falls onto the base side, falls onto the lid side.
    middles: [Vec2; 2],
    /// Entries of the legend with their places.
    legend: Vec<(Vec2, usize, String)>,
    /// How far the names between the discs stand above and below the row through the middles: nought where both fit into it.
    apart: f64,
}

impl Layout {
    fn new(words: &Words, size: MapSize, entries: Vec<(usize, String)>) -> Self {
        let (height, radius) = match size {
            MapSize::Full => (TYPE, 31.0),
            MapSize::Half => (1.8 * TYPE, 27.0),
        };
        let scale = height / TYPE;
        // Type may run wider than it is reckoned: a quarter of the width stays free.
        let wide = |words: &str| 1.25 * width_of(words, height);
        let (mut x, mut row) = (3.0, 0);
        let mut places = Vec::new();
        for (shade, words) in entries {
            let width = wide(&words);
            if x > 3.0 && x + 5.0 * scale + width > PAPER {
                (x, row) = (3.0, row + 1);
            }
            places.push((x, row, shade, words));
            x += 7.0 * scale + width;
        }
        let pitch = 4.5 * scale;
        let legend = places
            .into_iter()
            .map(|(x, at, shade, words)| (Vec2::new(x, 2.0 + f64::from(row - at) * pitch), shade, words))
            .collect();
        // As a rule words run less wide than they are reckoned; names of sides are short.
        let names = say!(words, "face-right") + &say!(words, "face-left");
        let fits = width_of(&names, height) + 4.5 <= 1.15 * (PITCH - 2.0 * radius);
        let middle = 2.0 + f64::from(row + 1) * pitch + 6.5 * scale + radius;
        Self {
            height,
            scale,
            radius,
            middles: [Vec2::new(44.0, middle), Vec2::new(44.0 + PITCH, middle)],
            legend,
            apart: if fits { 0.0 } else { 2.1 * scale },
        }
    }

    /// Height of the sheet.
    fn paper(&self) -> f64 {
        self.middles[0].y + self.radius + 13.0 * self.scale
    }
}

/// Shades from gentle to hard; the last but one is over the limit, the last is crushed solid.
pub(crate) const SHADES: [[u8; 3]; 8] = [
    [0xf2, 0xf6, 0xfa],
    [0xd6, 0xe4, 0xef],
    [0xac, 0xca, 0xe1],
    [0x74, 0xa7, 0xcb],
    [0x42, 0x80, 0xb0],
    [0x1f, 0x58, 0x88],
    [0xc8, 0x6a, 0x4a],
    [0x7a, 0x12, 0x12],
];
const OVER: usize = 6;
const CRUSHED: usize = 7;

/// The map of one item.
///
/// Both discs show the directions as seen from above (x to the right, back up), the left one those that end on the base
/// side, the right one those that end on the lid side; equal areas on the disc are equal shares of all directions.
/// Shades between the computed directions are those of the nearest one.
///
/// # Source
/// Lambert's azimuthal equal-area projection: distance from the middle R sqrt(1 - |z|), derived.
pub fn fall_map_plot(
    words: &Words,
    title: &str,
    falls: &[FallMark],
    limit: Option<Acceleration>,
    worst: Option<(Vec3, String)>,
    size: MapSize,
) -> Sheet {
    let steps = steps(falls, limit);
    let layout = Layout::new(words, size, entries(words, &steps, limit));
    let mut sheet = Sheet::blank(title, PAPER, layout.paper());
    for disc in 0..2 {
        shade(&mut sheet, falls, &steps, disc, &layout);
        around(&mut sheet, words, disc, &layout);
    }
    if let Some((direction, fall)) = worst {
        let fall = say!(words, "plot-worst", fall = fall);
        mark_worst(&mut sheet, direction, &fall, &layout);
    }
    legend(&mut sheet, &layout);
    sheet
}

/// Upper ends of the shades below the limit, G.
fn steps(falls: &[FallMark], limit: Option<Acceleration>) -> Vec<f64> {
    if let Some(limit) = limit {
        return [0.25, 0.5, 0.65, 0.8, 0.9, 1.0]
            .iter()
            .map(|share| share * limit.as_g())
            .collect();
    }
    let most = falls
        .iter()
        .filter_map(|fall| fall.peak)
        .map(Acceleration::as_g)
        .fold(1.0_f64, f64::max);
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0]
        .into_iter()
        .find(|step| step * 6.0 >= most)
        .unwrap_or(1000.0);
    (1..=6).map(|k| f64::from(k) * step).collect()
}

fn shade_of(fall: &FallMark, steps: &[f64]) -> usize {
    fall.peak.map_or(CRUSHED, |peak| {
        steps
            .iter()
            .position(|step| peak.as_g() <= *step * (1.0 + 1e-9))
            .unwrap_or(OVER)
    })
}

/// The direction at a place of a disc, the place in units of its radius.
fn direction_at(place: Vec2, is_base: bool) -> Vec3 {
    let square = place.x * place.x + place.y * place.y;
    let up = 1.0 - square;
    let flat = (1.0 + up).max(0.0).sqrt();
    Vec3::new(place.x * flat, place.y * flat, if is_base { -up } else { up })
}

/// The place of a direction on its disc in units of the radius.
fn place_of(direction: Vec3) -> Vec2 {
    let unit = direction.unit();
    let flat = (1.0 + unit.z.abs()).sqrt();
    Vec2::new(unit.x / flat, unit.y / flat)
}

fn shade(sheet: &mut Sheet, falls: &[FallMark], steps: &[f64], disc: usize, layout: &Layout) {
    let (is_base, middle, radius) = (disc == 0, layout.middles[disc], layout.radius);
    let near: Vec<(&FallMark, usize)> = falls
        .iter()
        .filter(|fall| {
            if is_base {
                fall.direction.z < 0.25
            } else {
                fall.direction.z > -0.25
            }
        })
        .map(|fall| (fall, shade_of(fall, steps)))
        .collect();
    if near.is_empty() {
        return;
    }
    let rows = (2.0 * radius / ROW) as usize;
    for row in 0..rows {
        let y = (row as f64 + 0.5) * ROW - radius;
        let half = (radius * radius - y * y).max(0.0).sqrt();
        let columns = ((2.0 * half / ROW).ceil() as usize).max(1);
        let width = 2.0 * half / columns as f64;
        let mut run: Option<(usize, f64)> = None;
        for column in 0..=columns {
            let x = column as f64 * width - half;
            let shade = (column < columns).then(|| {
                let towards = direction_at(Vec2::new((x + width / 2.0) / radius, y / radius), is_base);
                near.iter()
                    .max_by(|a, b| a.0.direction.dot(towards).total_cmp(&b.0.direction.dot(towards)))
                    .map_or(0, |found| found.1)
            });
            if let Some((known, from)) = run
                && shade != Some(known)
            {
                sheet.rectangle(
                    // A hair of overlap keeps viewers from showing seams between rows.
                    middle + Vec2::new(from, y - ROW / 2.0 - 0.04),
                    middle + Vec2::new(x, y + ROW / 2.0 + 0.04),
                    None,
                    Some(Fill {
                        colour: SHADES[known],
                    }),
                );
                run = None;
            }
            if run.is_none()
                && let Some(shade) = shade
            {
                run = Some((shade, x));
            }
        }
    }
}

/// The rim, the cross of edges and corners, the names of the sides.
fn around(sheet: &mut Sheet, words: &Words, disc: usize, layout: &Layout) {
    let (is_base, middle) = (disc == 0, layout.middles[disc]);
    let (radius, scale, height) = (layout.radius, layout.scale, layout.height);
    let thin = Stroke::line(0.13, GREY).dashed(Dash::Dashed);
    sheet.circle(middle, radius, Some(MIDDLE), None);
    // Falls onto edges of the case lie at 45 degrees, onto its corners at 54.7.
    sheet.circle(middle, radius * (1.0 - 0.5_f64.sqrt()).sqrt(), Some(thin), None);
    for turn in 0..4 {
        let out = Vec2::new(1.0, 0.0).rotated(f64::from(turn) * std::f64::consts::FRAC_PI_4);
        sheet.line(&[middle - out * radius, middle + out * radius], thin);
    }
    for (offset, face, anchor) in [
        (
            Vec2::new(0.0, radius + 1.5 * scale),
            say!(words, "face-back"),
            Anchor::Middle,
        ),
        (
            Vec2::new(0.0, -radius - 4.0 * scale),
            say!(words, "face-front"),
            Anchor::Middle,
        ),
        (
            Vec2::new(
                -radius - 1.5,
                -1.2 * scale - if is_base { 0.0 } else { layout.apart },
            ),
            say!(words, "face-left"),
            Anchor::End,
        ),
        (
            Vec2::new(
                radius + 1.5,
                -1.2 * scale + if is_base { layout.apart } else { 0.0 },
            ),
            say!(words, "face-right"),
            Anchor::Start,
        ),
    ] {
        sheet.text(middle + offset, face, height, anchor);
    }
    let face = if is_base {
        say!(words, "face-base")
    } else {
        say!(words, "face-lid")
    };
    let half = width_of(&face, height) / 2.0 + 0.8 * scale;
    sheet.rectangle(
        middle - Vec2::new(half, 1.9 * scale),
        middle + Vec2::new(half, 1.9 * scale),
        None,
        Some(Fill { colour: [255; 3] }),
    );
    sheet.text(
        middle - Vec2::new(0.0, 1.25 * scale),
        face,
        height,
        Anchor::Middle,
    );
    let title = if is_base {
        say!(words, "plot-falls-base")
    } else {
        say!(words, "plot-falls-lid")
    };
    // Words run a fifth less wide than they are reckoned; a long title is written smaller rather than into the other.
    let room = 1.25 * (PITCH - 2.0) / width_of(&title, 1.2 * height);
    sheet.words(Text {
        at: middle + Vec2::new(0.0, radius + 7.5 * scale),
        words: title,
        height: 1.2 * height * room.min(1.0),
        anchor: Anchor::Middle,
        turned: 0.0,
        bold: true,
        colour: INK,
    });
}

fn mark_worst(sheet: &mut Sheet, direction: Vec3, words: &str, layout: &Layout) {
    // A long name is written smaller rather than beyond the paper.
    let room = (PAPER - 8.0) / width_of(words, layout.height);
    let (scale, height) = (layout.scale * room.min(1.0), layout.height * room.min(1.0));
    let middle = layout.middles[usize::from(direction.z > 0.0)];
    let spot = middle + place_of(direction) * layout.radius;
    // In the middle of a disc stands its face's name: the ring goes round it.
    let wider = if (spot - middle).length() < 5.0 * scale {
        3.2 * scale + 1.4
    } else {
        0.0
    };
    for (radius, colour) in [(1.8 + wider, [255; 3]), (1.4 + wider, INK)] {
        sheet.circle(spot, radius, Some(Stroke::line(0.5, colour)), None);
    }
    let half = width_of(words, height) / 2.0 + 0.8 * scale;
    let (over, under) = (
        spot.y + 2.2 + 1.8 * scale + wider,
        spot.y - 2.2 - 4.3 * scale - wider,
    );
    // The names of the sides and of the face stand in one row through the middles.
    let row = 1.9 * scale.max(layout.scale) + 0.3 + layout.apart;
    let is_clear = |y: f64| y - 0.8 * scale > middle.y + row || y + 3.0 * scale < middle.y - row;
    let ways = if spot.y < middle.y {
        [over, under]
    } else {
        [under, over]
    };
    let y = ways
        .into_iter()
        .find(|y| is_clear(*y))
        .unwrap_or_else(|| over.max(middle.y + row + 0.9 * scale));
    let x = spot.x.clamp(half + 1.0, PAPER - half - 1.0);
    sheet.rectangle(
        Vec2::new(x - half, y - 0.8 * scale),
        Vec2::new(x + half, y + 3.0 * scale),
        Some(Stroke::line(0.13, GREY)),
        Some(Fill { colour: [255; 3] }),
    );
    sheet.text(Vec2::new(x, y), words, height, Anchor::Middle);
}

/// What the shades mean.
fn entries(words: &Words, steps: &[f64], limit: Option<Acceleration>) -> Vec<(usize, String)> {
    let mut entries: Vec<(usize, String)> = steps
        .iter()
        .enumerate()
        .map(|(index, step)| (index, say!(words, "plot-up-to", peak = words.number(*step, 0))))
        .collect();
    if let Some(limit) = limit {
        entries.push((
            OVER,
            say!(words, "plot-over", limit = words.number(limit.as_g(), 0)),
        ));
    }
    entries.push((CRUSHED, say!(words, "plot-crushed")));
    entries
}

fn legend(sheet: &mut Sheet, layout: &Layout) {
    let scale = layout.scale;
    for (at, shade, words) in &layout.legend {
        sheet.rectangle(
            *at,
            *at + Vec2::new(4.0, 3.0) * scale,
            Some(NARROW),
            Some(Fill {
                colour: SHADES[*shade],
            }),
        );
        sheet.words(Text {
            at: *at + Vec2::new(5.0, 0.2) * scale,
            words: words.clone(),
            height: layout.height,
            anchor: Anchor::Start,
            turned: 0.0,
            bold: false,
            colour: if *shade >= OVER { RED } else { INK },
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_and_directions_are_each_others_inverse() {
        for (x, y, z) in [
            (1.0, 2.0, -3.0),
            (-0.3, 0.1, -0.9),
            (1.0, -1.0, 1.0),
            (0.0, 0.0, 1.0),
        ] {
            let direction = Vec3::new(x, y, z).unit();
            let back = direction_at(place_of(direction), z < 0.0);
            assert!(back.distance(direction) < 1e-12, "{direction:?} {back:?}");
        }
    }

    #[test]
    fn shades_rise_with_the_peak_and_say_over() {
        let limit = Some(Acceleration::g(80.0));
        let mark = |g: Option<f64>| FallMark {
            direction: Vec3::new(0.0, 0.0, -1.0),
            peak: g.map(Acceleration::g),
        };
        let steps = steps(&[], limit);
        let shades: Vec<usize> = [Some(10.0), Some(50.0), Some(80.0), Some(81.0), None]
            .into_iter()
            .map(|g| shade_of(&mark(g), &steps))
            .collect();
        assert_eq!(shades, [0, 2, 5, OVER, CRUSHED]);
    }
}
