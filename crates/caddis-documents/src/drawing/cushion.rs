//! The cushion curve of a foam with the design points of an item.

use super::dimension::width_of;
use super::view::{MIDDLE, NARROW, PAPER, TYPE, free_place};
use crate::Words;
use crate::sheet::{Anchor, BLUE, Dash, Fill, GREY, INK, RED, Sheet, Stroke, Text};
use crate::words::say;
use caddis_basis::{Acceleration, Length, Pressure};
use caddis_geometry::Vec2;
use caddis_protection::Law;

/// Plot ground on the sheet, mm.
const LOW: Vec2 = Vec2::new(18.0, 16.0);
const HIGH: Vec2 = Vec2::new(150.0, 62.0);

/// Peak acceleration against static stress (logarithmic) from one drop height: curves for some thicknesses, each with its
/// name, the design points, and the limit.
///
/// # Units
/// Static stress in kPa, peak acceleration in G.
pub fn cushion_plot(
    words: &Words,
    title: &str,
    law: &Law,
    height: Length,
    thicknesses: &[Length],
    points: &[(String, Pressure, Acceleration)],
    limit: Option<Acceleration>,
) -> Sheet {
    let mut sheet = Sheet::blank(title, PAPER, 69.0);
    let stresses = points.iter().map(|p| p.1.as_kpa()).filter(|s| *s > 0.0);
    let (least, most) = stresses.fold((f64::INFINITY, 0.0_f64), |(l, m), s| (l.min(s), m.max(s)));
    let (least, most) = if least.is_finite() {
        (least, most)
    } else {
        (1.0, 10.0)
    };
    let left = 10_f64.powf((least / 2.5).log10().floor());
    let right = 10_f64.powf((most * 2.5).log10().ceil()).max(left * 10.0);
    let peaks = points
        .iter()
        .map(|p| p.2.as_g())
        .chain(limit.map(Acceleration::as_g));
    let top = peaks.fold(20.0_f64, f64::max) * 1.6;
    let step = [5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        .into_iter()
        .find(|step| top / step <= 6.0)
        .unwrap_or(2000.0);
    let top = (top / step).ceil() * step;
    let x = |kpa: f64| LOW.x + (HIGH.x - LOW.x) * (kpa / left).log10() / (right / left).log10();
    let y = |g: f64| LOW.y + (HIGH.y - LOW.y) * g / top;

    let grid = Stroke::line(0.1, [0xc8; 3]);
    let mut decade = left;
    while decade <= right * 1.001 {
        for k in 1..10 {
            let s = decade * f64::from(k);
            if s > right * 1.001 {
                break;
            }
            sheet.line(&[Vec2::new(x(s), LOW.y), Vec2::new(x(s), HIGH.y)], grid);
            if matches!(k, 1 | 2 | 5) {
                sheet.text(
                    Vec2::new(x(s), LOW.y - 4.5),
                    plain(words, s),
                    TYPE,
                    Anchor::Middle,
                );
            }
        }
        decade *= 10.0;
    }
    let mut g = 0.0;
    while g <= top + 1e-9 {
        sheet.line(&[Vec2::new(LOW.x, y(g)), Vec2::new(HIGH.x, y(g))], grid);
        sheet.text(
            Vec2::new(LOW.x - 1.5, y(g) - 1.2),
            plain(words, g),
            TYPE,
            Anchor::End,
        );
        g += step;
    }
    sheet.rectangle(LOW, HIGH, Some(NARROW), None);
    sheet.text(
        Vec2::new(f64::midpoint(LOW.x, HIGH.x), 5.5),
        say!(words, "plot-stress"),
        TYPE,
        Anchor::Middle,
    );
    sheet.words(Text {
        at: Vec2::new(5.0, f64::midpoint(LOW.y, HIGH.y)),
        words: say!(words, "plot-peak"),
        height: TYPE,
        anchor: Anchor::Middle,
        turned: 90.0,
        bold: false,
        colour: INK,
    });

    // Curves, each named at its right end, names pushed apart.
    let dashes = [Dash::Continuous, Dash::Dashed, Dash::LongDashDot];
    let mut ends: Vec<(f64, String)> = Vec::new();
    let mut tops: Vec<(Vec2, String)> = Vec::new();
    for (index, &thickness) in thicknesses.iter().take(3).enumerate() {
        let steps = 160;
        let stresses: Vec<Pressure> = (0..=steps)
            .map(|k| Pressure::kpa(left * (right / left).powf(f64::from(k) / f64::from(steps))))
            .collect();
        let Ok(curve) = law.cushion_curve(thickness, height, &stresses) else {
            continue;
        };
        let stroke = Stroke::line(if index == 0 { 0.5 } else { 0.35 }, BLUE).dashed(dashes[index % 3]);
        let mut run: Vec<Vec2> = Vec::new();
        let mut last = None;
        for point in &curve {
            let p = Vec2::new(x(point.static_stress.as_kpa()), y(point.peak.as_g()));
            if p.y <= HIGH.y {
                run.push(p);
                last = Some(p);
            } else {
                sheet.line(&std::mem::take(&mut run), stroke);
            }
        }
        sheet.line(&run, stroke);
        let name = say!(
            words,
            "plot-thickness",
            thickness = words.number(thickness.as_mm(), 0)
        );
        match last {
            // Runs out at the right: named there.
            Some(p) if p.x > HIGH.x - 1.0 => ends.push((p.y, name)),
            // Runs out at the top, or ends where the foam bottoms: named above.
            Some(p) => tops.push((p, name)),
            None => {}
        }
    }
    tops.sort_by(|a, b| a.0.x.total_cmp(&b.0.x).then_with(|| a.1.cmp(&b.1)));
    let mut left_free = f64::NEG_INFINITY;
    for (p, words) in tops {
        let half = width_of(&words, TYPE) / 2.0;
        let middle = p.x.max(left_free + half);
        left_free = middle + half + 2.0;
        let foot = Vec2::new(middle, HIGH.y + 2.2);
        sheet.line(&[p, foot], Stroke::line(0.18, BLUE));
        sheet.text(foot + Vec2::new(0.0, 0.8), words, TYPE, Anchor::Middle);
    }
    if let Some(limit) = limit {
        let level = y(limit.as_g());
        sheet.line(
            &[Vec2::new(LOW.x, level), Vec2::new(HIGH.x, level)],
            Stroke::line(0.5, RED).dashed(Dash::Dashed),
        );
        ends.push((
            level,
            say!(words, "plot-limit", limit = plain(words, limit.as_g())),
        ));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    let mut floor = f64::NEG_INFINITY;
    for (level, words) in ends {
        let at = level.max(floor + 4.0);
        floor = at;
        sheet.text(Vec2::new(HIGH.x + 2.5, at - 1.2), words, TYPE, Anchor::Start);
    }

    // Design points: a ring and a word placed where it meets nothing.
    let spots: Vec<Vec2> = points
        .iter()
        .map(|p| Vec2::new(x(p.1.as_kpa()), y(p.2.as_g().min(top))))
        .collect();
    let mut taken: Vec<(Vec2, Vec2)> = spots
        .iter()
        .map(|&p| (p - Vec2::new(1.2, 1.2), p + Vec2::new(1.2, 1.2)))
        .collect();
    if let Some(limit) = limit {
        let level = y(limit.as_g());
        taken.push((Vec2::new(LOW.x, level - 0.4), Vec2::new(HIGH.x, level + 0.4)));
    }
    for (point, &spot) in points.iter().zip(&spots) {
        let size = Vec2::new(width_of(&point.0, TYPE) + 1.0, TYPE + 0.8);
        let corner = free_place(spot, size, (LOW, HIGH), &taken).unwrap_or(spot);
        let knee = Vec2::new(
            spot.x.clamp(corner.x, corner.x + size.x),
            spot.y.clamp(corner.y, corner.y + size.y),
        );
        sheet.line(&[spot, knee], Stroke::line(0.18, GREY));
        sheet.rectangle(corner, corner + size, None, Some(Fill { colour: [255; 3] }));
        sheet.text(corner + Vec2::new(0.5, 0.5), point.0.clone(), TYPE, Anchor::Start);
        taken.push((corner, corner + size));
    }
    for &spot in &spots {
        sheet.circle(spot, 1.0, Some(MIDDLE), Some(Fill { colour: [255; 3] }));
    }
    sheet
}

/// A number without trailing zeros.
fn plain(words: &Words, value: f64) -> String {
    let text = format!("{value:.3}");
    words.figures(text.trim_end_matches('0').trim_end_matches('.'))
}
