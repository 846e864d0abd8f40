//! The open case in isometric view, hidden lines left out, with a balloon for each piece that is seen.

use crate::PaperInput;
use crate::drawing::{NARROW, TYPE, View, balloon, scale_bar, scale_for};
use crate::picture::{Eye, joined, opened, visible_edges};
use crate::scene::Part;
use crate::sheet::{Anchor, Fill, INK, Mark, Outline, Sheet, Stroke};
use crate::words::say;
use caddis_geometry::{Mesh, Vec2, Vec3};

/// Ground below and above the view, mm: scale bar, and room for the title.
const BELOW: f64 = 12.0;
/// Ground beside the view that balloons take, mm.
const BESIDE: f64 = 14.0;
/// Distance of balloons in a column, mm.
const PITCH: f64 = 8.0;

/// The view on a ground of its own.
pub(super) fn isometric(input: &PaperInput, room: Vec2) -> Sheet {
    let pieces = opened(input.brief, &input.pictures.pieces);
    let meshes: Vec<&Mesh> = pieces.iter().map(|(_, mesh)| mesh).collect();
    // The axes make equal angles with the picture: the eye stands at the cube's corner.
    let seen = visible_edges(&meshes, Eye::from(Vec3::new(1.0, -1.0, 1.0)));
    let (mut low, mut high) = (
        Vec2::new(f64::INFINITY, f64::INFINITY),
        Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    );
    for p in seen.iter().flat_map(|line| [line.from, line.to]) {
        low = low.min(p);
        high = high.max(p);
    }
    let mut sheet = Sheet::blank(say!(input.words, "sheet-isometric"), room.x, room.y);
    let size = high - low;
    if !size.is_finite() {
        return sheet;
    }
    let scale = scale_for(size, room - Vec2::new(2.0 * BESIDE, BELOW));
    let view = View::centred(
        scale,
        (low + high) / 2.0,
        Vec2::new(room.x / 2.0, f64::midpoint(BELOW, room.y)),
    );
    for (body, (part, _)) in pieces.iter().enumerate() {
        let lines: Vec<(Vec2, Vec2)> = seen
            .iter()
            .filter(|line| line.body == body)
            .map(|line| (view.point(line.from), view.point(line.to)))
            .collect();
        let outlines: Vec<Outline> = joined(&lines, 0.02)
            .iter()
            .filter_map(|chain| Outline::polyline(chain, false))
            .collect();
        let width = match part {
            Part::Shell(_) => 0.35,
            Part::Foam(_) | Part::Intrusion(_) => 0.25,
            Part::Item(_) => 0.18,
        };
        if !outlines.is_empty() {
            sheet.marks.push(Mark::Path {
                outlines,
                stroke: Some(Stroke::line(width, INK)),
                fill: None,
            });
        }
    }
    let things: Vec<(Vec2, u32)> = pieces
        .iter()
        .enumerate()
        .filter_map(|(body, (part, _))| {
            let Part::Item(place) = *part else { return None };
            let number = input.interior.places.get(place)?.number;
            let spot = middle(
                seen.iter()
                    .filter(|line| line.body == body)
                    .map(|l| (l.from, l.to)),
            )?;
            Some((view.point(spot), number))
        })
        .collect();
    let box_on_paper = (view.point(low), view.point(high));
    columns(&mut sheet, &things, box_on_paper);
    scale_bar(&mut sheet, input.words, view, Vec2::new(4.0, 1.0));
    sheet.text(
        Vec2::new(66.0, 1.0),
        say!(
            input.words,
            "sheet-isometric-note",
            factor = input.words.number(0.816, 3)
        ),
        TYPE,
        Anchor::Start,
    );
    sheet
}

/// The middle of lines by their length; `None` where nothing is to be seen.
fn middle(lines: impl Iterator<Item = (Vec2, Vec2)>) -> Option<Vec2> {
    let (sum, length) = lines.fold((Vec2::ZERO, 0.0), |(sum, length), (a, b)| {
        let own = a.distance(b);
        (sum + (a + b) * (own / 2.0), length + own)
    });
    (length > 1e-3).then(|| sum / length)
}

/// Balloons in two columns beside the view, each with a leader to its thing; no two leaders of a column cross.
fn columns(sheet: &mut Sheet, things: &[(Vec2, u32)], (low, high): (Vec2, Vec2)) {
    let middle = f64::midpoint(low.x, high.x);
    for is_left in [true, false] {
        let mut side: Vec<(Vec2, u32)> = things
            .iter()
            .copied()
            .filter(|(at, _)| (at.x < middle) == is_left)
            .collect();
        side.sort_by(|l, r| r.0.y.total_cmp(&l.0.y).then(l.1.cmp(&r.1)));
        let x = if is_left { low.x - 8.0 } else { high.x + 8.0 };
        // Each beside its thing, moved down where the one above needs the room; then all up as far as they run out below.
        let mut ys: Vec<f64> = Vec::new();
        for (at, _) in &side {
            let y = ys.last().map_or(at.y, |last| at.y.min(last - PITCH));
            ys.push(y);
        }
        let short = ys.last().map_or(0.0, |last| (low.y + 4.0 - last).max(0.0));
        let mut spots: Vec<Vec2> = ys.iter().map(|y| Vec2::new(x, y + short)).collect();
        // Leaders that cross change places, which shortens both.
        for _ in 0..side.len() {
            for i in 0..side.len() {
                for j in i + 1..side.len() {
                    if crosses((side[i].0, spots[i]), (side[j].0, spots[j])) {
                        spots.swap(i, j);
                    }
                }
            }
        }
        for ((at, number), spot) in side.into_iter().zip(spots) {
            sheet.line(&[spot, at], NARROW);
            sheet.circle(at, 0.6, None, Some(Fill { colour: INK }));
            balloon(sheet, spot, number);
        }
    }
}

fn crosses((a, b): (Vec2, Vec2), (c, d): (Vec2, Vec2)) -> bool {
    let side = |p: Vec2, q: Vec2, r: Vec2| (q - p).cross(r - p) > 0.0;
    side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn balloons_keep_apart_and_leaders_do_not_cross() {
        let things: Vec<(Vec2, u32)> = (0..14_u32)
            .map(|k| {
                let k = f64::from(k);
                (Vec2::new((k * 37.0) % 90.0, (k * 53.0) % 70.0), k as u32 + 1)
            })
            .collect();
        let mut sheet = Sheet::blank("", 120.0, 120.0);
        columns(&mut sheet, &things, (Vec2::ZERO, Vec2::new(90.0, 120.0)));
        let lines: Vec<(Vec2, Vec2)> = sheet
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Path {
                    outlines, fill: None, ..
                } => match outlines.as_slice() {
                    [outline] if !outline.closed => match outline.segments.as_slice() {
                        [crate::sheet::Segment::Line(to)] => Some((*to, outline.start)),
                        _ => None,
                    },
                    _ => None,
                },
                _ => None,
            })
            .collect();
        assert_eq!(lines.len(), things.len());
        for (i, one) in lines.iter().enumerate() {
            for other in &lines[i + 1..] {
                assert!(one.1.distance(other.1) > 6.2, "{one:?} {other:?}");
                let same_side = (one.1.x < 45.0) == (other.1.x < 45.0);
                assert!(!(same_side && crosses(*one, *other)), "{one:?} {other:?}");
            }
        }
    }
}
