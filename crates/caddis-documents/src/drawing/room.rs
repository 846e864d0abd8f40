//! What a bare shell offers: the map of clear depth, and the largest block and cylinder of every height.

use super::dimension::{mm, width_of};
use super::frame::lines;
use super::view::{BAR, MIDDLE, NARROW, PAPER, TYPE, View, WIDE, free_place, scale_bar, scale_for};
use crate::Words;
use crate::sheet::{Anchor, BLUE, Dash, Fill, GREY, INK, Mark, Outline, RED, Sheet, Stroke, Text};
use crate::words::say;
use caddis_basis::Length;
use caddis_geometry::Vec2;
use caddis_survey::{ClearSize, DepthMap, RoomOf, Shell};

/// From shallow to deep.
const SHADES: [[u8; 3]; 9] = [
    [0xf7, 0xf4, 0xec],
    [0xe6, 0xee, 0xf2],
    [0xd0, 0xe1, 0xec],
    [0xb4, 0xd0, 0xe3],
    [0x94, 0xbc, 0xd8],
    [0x72, 0xa5, 0xca],
    [0x52, 0x8d, 0xba],
    [0x38, 0x74, 0xa6],
    [0x22, 0x5a, 0x8c],
];
const CONTOUR: Stroke = Stroke::line(0.13, INK);
/// What stands up from the floor by more than this is told from it, metres.
const FLOOR: f64 = 2e-3;
const GRID: Stroke = Stroke::line(0.1, [0xc8; 3]);

/// Clear depth in plan with contours, the base alone or closed; front below.
///
/// # Units
/// Drawn in millimetres at the stated scale; depths in millimetres.
pub fn depth_map_plot(words: &Words, shell: &Shell, map: &DepthMap) -> Sheet {
    let title = match map.of {
        RoomOf::Base => say!(words, "plot-depth-base"),
        RoomOf::Closed => say!(words, "plot-depth-closed"),
    };
    let rim = shell.base.rim_region();
    let size = rim.bounds().map_or(Vec2::new(0.1, 0.1), |b| b.size());
    let (left, bottom, key) = (14.0, 14.0, 31.0);
    let scale = scale_for(size, Vec2::new(PAPER - left - key, 150.0));
    let paper = size * (1000.0 / scale);
    let mut sheet = Sheet::blank(title.clone(), PAPER, paper.y + BAR + bottom + 12.0);
    let low = Vec2::new(left, BAR + bottom);
    let middle = rim.bounds().map_or(Vec2::ZERO, |b| b.centre());
    let view = View::centred(scale, middle, low + paper / 2.0);
    let levels = levels(map.deepest());
    shade(&mut sheet, map, &levels, view);
    contours(&mut sheet, words, map, &levels, view, (low, low + paper));
    sheet.region(&rim, view.map(), Some(WIDE), None);
    ruler(&mut sheet, words, view, low, low + paper);
    legend(
        &mut sheet,
        words,
        map,
        &levels,
        Vec2::new(low.x + paper.x + 4.0, low.y + paper.y),
    );
    for (at, name) in [
        (
            Vec2::new(low.x + paper.x / 2.0, low.y + paper.y + 2.0),
            say!(words, "plot-back"),
        ),
        (
            Vec2::new(low.x + paper.x / 2.0, low.y - 10.5),
            say!(words, "plot-front-mm"),
        ),
    ] {
        sheet.text(at, name, TYPE, Anchor::Middle);
    }
    sheet.heading(Vec2::new(0.0, low.y + paper.y + 6.5), &title);
    scale_bar(&mut sheet, words, view, Vec2::new(4.0, 1.0));
    sheet
}

/// Depths that part the shades: round, no more than there are shades, the first above zero.
fn levels(deepest: Length) -> Vec<f64> {
    let most = deepest.si();
    if !(most.is_finite() && most > 0.0) {
        return Vec::new();
    }
    let step = [0.002, 0.005, 0.01, 0.02, 0.025, 0.05, 0.1, 0.2, 0.5]
        .into_iter()
        .find(|step| most / step < SHADES.len() as f64 - 1.0)
        .unwrap_or(most / 7.0);
    let mut levels: Vec<f64> = (1..=(most / step + 1e-9).floor() as u32)
        .map(|k| f64::from(k) * step)
        .filter(|level| *level < most - FLOOR - 1e-9)
        .collect();
    // Ribs and other low things show.
    levels.push(if most > 2.0 * FLOOR {
        most - FLOOR
    } else {
        most / 2.0
    });
    levels
}

fn shade(sheet: &mut Sheet, map: &DepthMap, levels: &[f64], view: View) {
    let half = view.length(map.cell) / 2.0;
    for (row, depths) in map.depths.chunks(map.columns).enumerate() {
        let shade_of = |depth: &Length| {
            (depth.si() > 0.0).then(|| levels.partition_point(|level| *level <= depth.si() + 1e-9))
        };
        let mut column = 0;
        for run in depths.chunk_by(|a, b| shade_of(a) == shade_of(b)) {
            let first = view.point(map.node(row * map.columns + column));
            column += run.len();
            let Some(shade) = run.first().and_then(shade_of) else {
                continue;
            };
            let last = view.point(map.node(row * map.columns + column - 1));
            sheet.rectangle(
                // A hair of overlap keeps viewers from showing seams between rows.
                first - Vec2::new(half, half + 0.04),
                last + Vec2::new(half, half + 0.04),
                None,
                Some(Fill {
                    colour: SHADES[shade.min(SHADES.len() - 1)],
                }),
            );
        }
    }
}

/// Contour lines, and each level's figure once on its longest line where there is room.
fn contours(
    sheet: &mut Sheet,
    words: &Words,
    map: &DepthMap,
    levels: &[f64],
    view: View,
    ground: (Vec2, Vec2),
) {
    let mut labels: Vec<(Vec2, Vec2, String)> = Vec::new();
    for &level in levels {
        let mut lines: Vec<Vec<Vec2>> = map
            .contour(Length::from_si(level))
            .into_iter()
            .map(|line| line.into_iter().map(|p| view.point(p)).collect())
            .collect();
        let outlines: Vec<Outline> = lines
            .iter()
            .filter_map(|line| Outline::polyline(line, true))
            .collect();
        sheet.marks.push(Mark::Path {
            outlines,
            stroke: Some(CONTOUR),
            fill: None,
        });
        lines.sort_by_key(|line| std::cmp::Reverse(line.len()));
        let figure = mm(words, level);
        let half = Vec2::new(width_of(&figure, TYPE) / 2.0 + 0.5, TYPE / 2.0 + 0.5);
        let spots = lines.iter().take(6).flat_map(|line| {
            let step = (line.len() / 48).max(1);
            line.iter().copied().step_by(step)
        });
        let free = spots.into_iter().find(|&spot| {
            let (low, high) = (spot - half, spot + half);
            low.x > ground.0.x
                && low.y > ground.0.y
                && high.x < ground.1.x
                && high.y < ground.1.y
                && labels
                    .iter()
                    .all(|(l, h, _)| high.x < l.x || h.x < low.x || high.y < l.y || h.y < low.y)
        });
        if let Some(spot) = free {
            labels.push((spot - half, spot + half, figure));
        }
    }
    for (low, high, figure) in labels {
        sheet.rectangle(low, high, None, Some(Fill { colour: [255; 3] }));
        sheet.text(
            Vec2::new(f64::midpoint(low.x, high.x), low.y + 0.5),
            figure,
            TYPE,
            Anchor::Middle,
        );
    }
}

/// Ticks every 100 mm (50 where the case is small) from the middle of the opening.
fn ruler(sheet: &mut Sheet, words: &Words, view: View, low: Vec2, high: Vec2) {
    let step = [0.05, 0.1, 0.2, 0.5]
        .into_iter()
        .find(|&step| view.length(step) >= 14.0)
        .unwrap_or(1.0);
    for k in -40..=40 {
        let at = f64::from(k) * step;
        let p = view.point(Vec2::new(at, at));
        if p.x >= low.x - 1e-9 && p.x <= high.x + 1e-9 {
            sheet.line(
                &[Vec2::new(p.x, low.y - 2.5), Vec2::new(p.x, low.y - 1.0)],
                NARROW,
            );
            sheet.text(Vec2::new(p.x, low.y - 6.0), mm(words, at), TYPE, Anchor::Middle);
        }
        if p.y >= low.y - 1e-9 && p.y <= high.y + 1e-9 {
            sheet.line(
                &[Vec2::new(low.x - 2.5, p.y), Vec2::new(low.x - 1.0, p.y)],
                NARROW,
            );
            sheet.text(
                Vec2::new(low.x - 3.2, p.y - 1.2),
                mm(words, at),
                TYPE,
                Anchor::End,
            );
        }
    }
}

fn legend(sheet: &mut Sheet, words: &Words, map: &DepthMap, levels: &[f64], at: Vec2) {
    let mut y = at.y - TYPE;
    sheet.text(Vec2::new(at.x, y), say!(words, "plot-depth"), TYPE, Anchor::Start);
    let mut from = 0.0;
    let deepest = map.deepest().si();
    let mut ends: Vec<f64> = levels.to_vec();
    if levels.last().is_none_or(|last| deepest > last + 1e-6) {
        ends.push(deepest);
    }
    for (shade, end) in ends.iter().enumerate() {
        y -= 5.0;
        let low = Vec2::new(at.x, y - 0.4);
        sheet.rectangle(
            low,
            low + Vec2::new(4.0, 3.2),
            Some(NARROW),
            Some(Fill {
                colour: SHADES[shade.min(SHADES.len() - 1)],
            }),
        );
        let range = say!(words, "plot-range", from = mm(words, from), to = mm(words, *end));
        sheet.text(Vec2::new(at.x + 5.0, y), range, TYPE, Anchor::Start);
        from = *end;
    }
    for line in [
        say!(words, "plot-deepest", depth = mm(words, deepest)),
        say!(words, "plot-lines-equal"),
        say!(words, "plot-depth-nominal"),
    ] {
        y -= 5.0;
        sheet.text(Vec2::new(at.x, y), line, TYPE, Anchor::Start);
    }
}

/// Plot ground on the sheet, mm.
const LOW: Vec2 = Vec2::new(18.0, 15.0);
const HIGH: Vec2 = Vec2::new(140.0, 92.0);

/// What a curve shows of a size.
type Read = fn(&ClearSize) -> Option<f64>;

/// The largest block and upright cylinder against their height: closed, and in the base alone.
///
/// # Units
/// Millimetres on both axes.
pub fn clear_sizes_plot(words: &Words, shell: &Shell, closed: &[ClearSize], base: &[ClearSize]) -> Sheet {
    let title = say!(words, "plot-clear-sizes");
    let mut sheet = Sheet::blank(title.clone(), PAPER, 106.0);
    sheet.heading(Vec2::new(0.0, 101.0), &title);
    let right = (shell.crown_height().as_mm() / 50.0).ceil() * 50.0;
    let longest = shell
        .base
        .rim
        .length
        .value
        .max(shell.base.rim.width.value)
        .as_mm();
    let top = (longest / 100.0).ceil() * 100.0;
    let at = |x: f64, y: f64| {
        Vec2::new(
            LOW.x + (HIGH.x - LOW.x) * x / right,
            LOW.y + (HIGH.y - LOW.y) * (y / top).clamp(0.0, 1.0),
        )
    };
    let step = |end: f64| {
        [10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
            .into_iter()
            .find(|step| end / step <= 9.0)
            .unwrap_or(1000.0)
    };
    for (end, is_up) in [(right, false), (top, true)] {
        let step = step(end);
        for k in 0..=(end / step).floor() as u32 {
            let value = f64::from(k) * step;
            let (a, b, foot, anchor) = if is_up {
                let a = at(0.0, value);
                (a, at(right, value), a + Vec2::new(-1.5, -1.2), Anchor::End)
            } else {
                let a = at(value, 0.0);
                (a, at(value, top), a + Vec2::new(0.0, -4.5), Anchor::Middle)
            };
            sheet.line(&[a, b], GRID);
            sheet.text(foot, words.number(value, 0), TYPE, anchor);
        }
    }
    sheet.rectangle(LOW, HIGH, Some(NARROW), None);
    let middle = (LOW + HIGH) / 2.0;
    sheet.text(
        Vec2::new(middle.x, 4.5),
        say!(words, "plot-height"),
        TYPE,
        Anchor::Middle,
    );
    sheet.words(Text {
        at: Vec2::new(4.5, middle.y),
        words: say!(words, "plot-plan-size"),
        height: TYPE,
        anchor: Anchor::Middle,
        turned: 90.0,
        bold: false,
        colour: INK,
    });
    let mut taken: Vec<(Vec2, Vec2)> = Vec::new();
    for (height, name) in [
        (shell.rim_height().as_mm(), say!(words, "plot-rim-plane")),
        (shell.crown_height().as_mm(), say!(words, "plot-crown")),
    ] {
        let (foot, head) = (at(height, 0.0), at(height, top));
        sheet.line(&[foot, head], Stroke::line(0.25, RED).dashed(Dash::LongDashDot));
        sheet.words(Text {
            at: foot + Vec2::new(-1.0, 2.0),
            words: name,
            height: TYPE,
            anchor: Anchor::Start,
            turned: 90.0,
            bold: false,
            colour: RED,
        });
        taken.push((foot - Vec2::new(4.0, 0.0), foot + Vec2::new(1.0, 24.0)));
    }
    let curves: [(String, [u8; 3], f64, Read); 3] = [
        (say!(words, "plot-block-length"), BLUE, 0.5, |s| {
            s.block.map(|b| b.length.as_mm())
        }),
        (say!(words, "plot-block-width"), BLUE, 0.3, |s| {
            s.block.map(|b| b.width.as_mm())
        }),
        (say!(words, "plot-cylinder"), GREY, 0.5, |s| {
            s.cylinder.map(|c| c.diameter.as_mm())
        }),
    ];
    let line_of = |sizes: &[ClearSize], read: Read| -> Vec<Vec2> {
        sizes
            .iter()
            .filter_map(|size| Some(at(size.height.as_mm(), read(size)?)))
            .collect()
    };
    let mut labels = Vec::new();
    for (name, colour, width, read) in curves {
        let line = line_of(closed, read);
        let below = line_of(base, read);
        sheet.line(&below, Stroke::line(width, colour).dashed(Dash::Dashed));
        sheet.line(&line, Stroke::line(width, colour));
        for p in line.iter().chain(&below) {
            taken.push((*p - Vec2::new(1.2, 0.8), *p + Vec2::new(1.2, 0.8)));
        }
        if let Some(&spot) = line.get(line.len() / 4) {
            labels.push((name, spot));
        }
    }
    for (name, spot) in labels {
        let size = Vec2::new(width_of(&name, TYPE) + 1.0, TYPE + 0.8);
        if let Some(corner) = free_place(spot, size, (LOW, HIGH), &taken) {
            let knee = Vec2::new(
                spot.x.clamp(corner.x, corner.x + size.x),
                spot.y.clamp(corner.y, corner.y + size.y),
            );
            sheet.line(&[spot, knee], Stroke::line(0.18, GREY));
            sheet.rectangle(corner, corner + size, None, Some(Fill { colour: [255; 3] }));
            sheet.text(corner + Vec2::new(0.5, 0.5), name, TYPE, Anchor::Start);
            taken.push((corner, corner + size));
        }
    }
    let key = HIGH.x + 3.0;
    for (row, (stroke, name)) in [
        (MIDDLE, say!(words, "plot-closed")),
        (MIDDLE.dashed(Dash::Dashed), say!(words, "plot-base-alone")),
    ]
    .into_iter()
    .enumerate()
    {
        let y = HIGH.y - 3.0 - 5.0 * row as f64;
        sheet.line(&[Vec2::new(key, y + 1.2), Vec2::new(key + 7.0, y + 1.2)], stroke);
        sheet.text(Vec2::new(key + 8.5, y), name, TYPE, Anchor::Start);
    }
    for (row, line) in lines(&say!(words, "plot-block-is"), PAPER - key + 0.5)
        .into_iter()
        .enumerate()
    {
        sheet.text(
            Vec2::new(key, HIGH.y - 14.0 - 5.0 * row as f64),
            line,
            TYPE,
            Anchor::Start,
        );
    }
    sheet
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_round_and_few_enough_for_the_shades() {
        for deepest in [3.0, 17.0, 75.0, 240.0, 315.0, 900.0] {
            let levels = levels(Length::mm(deepest));
            assert!(
                !levels.is_empty() && levels.len() < SHADES.len(),
                "{deepest}: {levels:?}"
            );
            assert!(levels.iter().all(|level| *level <= deepest / 1e3 + 1e-9));
        }
        assert!(super::levels(Length::ZERO).is_empty());
    }
}
