//! Peak acceleration over every direction of fall: the sphere of directions as two discs.

use super::dimension::width_of;
use super::view::{MIDDLE, NARROW, PAPER, TYPE};
use crate::sheet::{Anchor, Dash, Fill, GREY, INK, RED, Sheet, Stroke, Text};
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

/// Radius of a disc, mm.
const RADIUS: f64 = 31.0;
/// Height of a row of shading, mm.
const ROW: f64 = 0.5;
/// Middles of the discs: falls onto the base side, falls onto the lid side.
const MIDDLES: [Vec2; 2] = [Vec2::new(44.0, 51.0), Vec2::new(132.0, 51.0)];
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
    title: &str,
    falls: &[FallMark],
    limit: Option<Acceleration>,
    worst: Option<(Vec3, String)>,
) -> Sheet {
    let mut sheet = Sheet::blank(title, PAPER, 96.0);
    let steps = steps(falls, limit);
    for (disc, middle) in MIDDLES.into_iter().enumerate() {
        shade(&mut sheet, falls, &steps, disc == 0, middle);
        around(&mut sheet, disc == 0, middle);
    }
    if let Some((direction, words)) = worst {
        mark_worst(&mut sheet, direction, &words);
    }
    legend(&mut sheet, &steps, limit);
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

fn shade(sheet: &mut Sheet, falls: &[FallMark], steps: &[f64], is_base: bool, middle: Vec2) {
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
    let rows = (2.0 * RADIUS / ROW) as usize;
    for row in 0..rows {
        let y = (row as f64 + 0.5) * ROW - RADIUS;
        let half = (RADIUS * RADIUS - y * y).max(0.0).sqrt();
        let columns = ((2.0 * half / ROW).ceil() as usize).max(1);
        let width = 2.0 * half / columns as f64;
        let mut run: Option<(usize, f64)> = None;
        for column in 0..=columns {
            let x = column as f64 * width - half;
            let shade = (column < columns).then(|| {
                let towards = direction_at(Vec2::new((x + width / 2.0) / RADIUS, y / RADIUS), is_base);
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
fn around(sheet: &mut Sheet, is_base: bool, middle: Vec2) {
    let thin = Stroke::line(0.13, GREY).dashed(Dash::Dashed);
    sheet.circle(middle, RADIUS, Some(MIDDLE), None);
    // Falls onto edges of the case lie at 45 degrees, onto its corners at 54.7.
    sheet.circle(middle, RADIUS * (1.0 - 0.5_f64.sqrt()).sqrt(), Some(thin), None);
    for turn in 0..4 {
        let out = Vec2::new(1.0, 0.0).rotated(f64::from(turn) * std::f64::consts::FRAC_PI_4);
        sheet.line(&[middle - out * RADIUS, middle + out * RADIUS], thin);
    }
    let name = |sheet: &mut Sheet, at: Vec2, words: &str, anchor| sheet.text(at, words, TYPE, anchor);
    name(
        sheet,
        middle + Vec2::new(0.0, RADIUS + 1.5),
        "back",
        Anchor::Middle,
    );
    name(
        sheet,
        middle - Vec2::new(0.0, RADIUS + 4.0),
        "front",
        Anchor::Middle,
    );
    name(
        sheet,
        middle + Vec2::new(-RADIUS - 1.5, -1.2),
        "left",
        Anchor::End,
    );
    name(
        sheet,
        middle + Vec2::new(RADIUS + 1.5, -1.2),
        "right",
        Anchor::Start,
    );
    let words = if is_base { "base" } else { "lid" };
    let half = width_of(words, TYPE) / 2.0 + 0.8;
    sheet.rectangle(
        middle - Vec2::new(half, 1.9),
        middle + Vec2::new(half, 1.9),
        None,
        Some(Fill { colour: [255; 3] }),
    );
    name(sheet, middle - Vec2::new(0.0, 1.25), words, Anchor::Middle);
    sheet.words(Text {
        at: middle + Vec2::new(0.0, RADIUS + 7.5),
        words: if is_base {
            "falls onto the base side"
        } else {
            "falls onto the lid side"
        }
        .to_owned(),
        height: 3.0,
        anchor: Anchor::Middle,
        turned: 0.0,
        bold: true,
        colour: INK,
    });
}

fn mark_worst(sheet: &mut Sheet, direction: Vec3, words: &str) {
    let disc = usize::from(direction.z > 0.0);
    let spot = MIDDLES[disc] + place_of(direction) * RADIUS;
    // In the middle of a disc stands its face's name: the ring goes round it.
    let wider = if (spot - MIDDLES[disc]).length() < 5.0 {
        4.6
    } else {
        0.0
    };
    for (radius, colour) in [(1.8 + wider, [255; 3]), (1.4 + wider, INK)] {
        sheet.circle(spot, radius, Some(Stroke::line(0.5, colour)), None);
    }
    let words = format!("worst: {words}");
    let half = width_of(&words, TYPE) / 2.0 + 0.8;
    let low = spot.y < MIDDLES[disc].y;
    let y = if low {
        spot.y + 4.0 + wider
    } else {
        spot.y - 6.5 - wider
    };
    let x = spot.x.clamp(half + 1.0, PAPER - half - 1.0);
    sheet.rectangle(
        Vec2::new(x - half, y - 0.8),
        Vec2::new(x + half, y + 3.0),
        Some(Stroke::line(0.13, GREY)),
        Some(Fill { colour: [255; 3] }),
    );
    sheet.text(Vec2::new(x, y), words, TYPE, Anchor::Middle);
}

fn legend(sheet: &mut Sheet, steps: &[f64], limit: Option<Acceleration>) {
    let mut entries: Vec<(usize, String)> = steps
        .iter()
        .enumerate()
        .map(|(index, step)| (index, format!("to {step:.0} G")))
        .collect();
    if let Some(limit) = limit {
        entries.push((OVER, format!("over {:.0} G", limit.as_g())));
    }
    entries.push((CRUSHED, "crushed solid".to_owned()));
    let (mut x, mut y) = (3.0, 6.5);
    for (shade, words) in entries {
        let width = width_of(&words, TYPE);
        // Type may run wider than it is reckoned: a quarter of the width stays free.
        if x + 5.0 + 1.25 * width > PAPER {
            (x, y) = (3.0, 2.0);
        }
        sheet.rectangle(
            Vec2::new(x, y),
            Vec2::new(x + 4.0, y + 3.0),
            Some(NARROW),
            Some(Fill {
                colour: SHADES[shade],
            }),
        );
        let colour = if shade >= OVER { RED } else { INK };
        sheet.words(Text {
            at: Vec2::new(x + 5.0, y + 0.2),
            words,
            height: TYPE,
            anchor: Anchor::Start,
            turned: 0.0,
            bold: false,
            colour,
        });
        x += 7.0 + 1.25 * width;
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
