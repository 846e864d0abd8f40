//! A shop's own foam tests as plots: drops about their fitted line, a compression test as its curve.

use super::dimension::width_of;
use super::view::{MIDDLE, NARROW, PAPER, TYPE, free_place};
use crate::sheet::{Anchor, BLUE, Dash, Fill, GREY, INK, RED, Sheet, Stroke, Text};
use caddis_geometry::Vec2;
use caddis_protection::Law;
use caddis_protection::fit::StressEnergyFit;

/// Plot ground on the sheet, mm.
const LOW: Vec2 = Vec2::new(20.0, 16.0);
const HIGH: Vec2 = Vec2::new(142.0, 86.0);
/// Height of the sheet, mm.
const TALL: f64 = 96.0;
/// Bands.
const PALE: [u8; 3] = [0xe6, 0xed, 0xf4];
const LESS_PALE: [u8; 3] = [0xc4, 0xd6, 0xe6];
const GRID: Stroke = Stroke::line(0.1, [0xc8; 3]);

/// Dynamic stress G s against energy s h/t of the drops with the fitted line, the 95 % bands of the line and of one more
/// drop, and the outliers by their lines in the file.
///
/// `drops` are (s h/t, G s) in pascals with the line of the file; `height` and `thickness` do not appear: in this plot all
/// of them fall on one line.
pub fn stress_energy_plot(title: &str, drops: &[(f64, f64, usize)], fit: &StressEnergyFit) -> Sheet {
    let mut sheet = Sheet::blank(title, PAPER, TALL);
    let right = nice(fit.energies.1 / 1e3 * 1.08);
    let values = drops.iter().map(|d| d.1 / 1e3);
    let (least, most) = values.fold((f64::INFINITY, 0.0_f64), |(l, m), v| (l.min(v), m.max(v)));
    let ends = (fit.band(0.0), fit.band(right * 1e3));
    let bottom = (least.min(ends.0.single.0 / 1e3) * 0.9).max(1e-6);
    let top = most.max(ends.1.single.1 / 1e3).min(most * 2.0) * 1.1;
    let x = |kpa: f64| LOW.x + (HIGH.x - LOW.x) * kpa / right;
    let y = |kpa: f64| {
        let share = (kpa / bottom).ln() / (top / bottom).ln();
        LOW.y + (HIGH.y - LOW.y) * share.clamp(0.0, 1.0)
    };
    // Bands first, so that everything else lies on them.
    let steps: Vec<f64> = (0..=60).map(|i| right * f64::from(i) / 60.0).collect();
    let band = |of: &dyn Fn(f64) -> (f64, f64)| -> Vec<Vec2> {
        let low = steps.iter().map(|&e| Vec2::new(x(e), y(of(e).0 / 1e3)));
        let high = steps.iter().rev().map(|&e| Vec2::new(x(e), y(of(e).1 / 1e3)));
        low.chain(high).collect()
    };
    sheet.solid(&band(&|e| fit.band(e * 1e3).single), PALE);
    sheet.solid(&band(&|e| fit.band(e * 1e3).mean), LESS_PALE);
    let step = right / 5.0;
    for i in 0..=5 {
        let value = step * f64::from(i);
        sheet.line(&[Vec2::new(x(value), LOW.y), Vec2::new(x(value), HIGH.y)], GRID);
        sheet.text(
            Vec2::new(x(value), LOW.y - 4.5),
            plain(value),
            TYPE,
            Anchor::Middle,
        );
    }
    for value in decades(bottom, top) {
        sheet.line(&[Vec2::new(LOW.x, y(value)), Vec2::new(HIGH.x, y(value))], GRID);
        sheet.text(
            Vec2::new(LOW.x - 1.5, y(value) - 1.2),
            plain(value),
            TYPE,
            Anchor::End,
        );
    }
    axes(&mut sheet, "energy s h/t, kPa", "dynamic stress G s, kPa");
    let line: Vec<Vec2> = steps
        .iter()
        .map(|&e| Vec2::new(x(e), y(fit.band(e * 1e3).fitted / 1e3)))
        .collect();
    let tested = |p: &Vec2| p.x >= x(fit.energies.0 / 1e3) - 1e-9 && p.x <= x(fit.energies.1 / 1e3) + 1e-9;
    sheet.line(&line, Stroke::line(0.25, BLUE).dashed(Dash::Dashed));
    let inside: Vec<Vec2> = line.iter().copied().filter(tested).collect();
    sheet.line(&inside, Stroke::line(0.5, BLUE));
    let mut taken: Vec<(Vec2, Vec2)> = Vec::new();
    let reach = Vec2::new(1.2, 1.2);
    for (index, drop) in drops.iter().enumerate() {
        let spot = Vec2::new(x(drop.0 / 1e3), y(drop.1 / 1e3));
        let is_outlier = fit.outliers.iter().any(|o| o.index == index);
        sheet.circle(
            spot,
            0.8,
            Some(if is_outlier {
                Stroke::line(0.35, RED)
            } else {
                NARROW
            }),
            Some(Fill { colour: [255; 3] }),
        );
        if is_outlier {
            let arm = Vec2::new(1.6, 1.6);
            let other = Vec2::new(1.6, -1.6);
            sheet.line(&[spot - arm, spot + arm], Stroke::line(0.35, RED));
            sheet.line(&[spot - other, spot + other], Stroke::line(0.35, RED));
        }
        taken.push((spot - reach, spot + reach));
    }
    for outlier in &fit.outliers {
        let Some(drop) = drops.get(outlier.index) else {
            continue;
        };
        let spot = Vec2::new(x(drop.0 / 1e3), y(drop.1 / 1e3));
        let words = format!("line {}: {:+.0} %", drop.2, (outlier.ratio - 1.0) * 100.0);
        label(&mut sheet, &words, spot, &mut taken);
    }
    let mut legend = Legend::new();
    legend.words(&mut sheet, &format!("a = {:.2} kPa", fit.a / 1e3));
    legend.words(&mut sheet, &format!("1/b = {:.2} kPa", 1e-3 / fit.b));
    legend.words(&mut sheet, &format!("{} drops", fit.count));
    legend.words(&mut sheet, &format!("scatter {:.1} %", fit.scatter * 100.0));
    legend.swatch(&mut sheet, LESS_PALE, "95 %: line");
    legend.swatch(&mut sheet, PALE, "95 %: a drop");
    legend.line(&mut sheet, Stroke::line(0.5, BLUE), "fit, tested");
    legend.line(
        &mut sheet,
        Stroke::line(0.25, BLUE).dashed(Dash::Dashed),
        "not tested",
    );
    sheet
}

/// Stress against strain of a compression test with the readings and the place of the least cushion factor.
pub fn stress_strain_plot(title: &str, law: &Law, readings: &[(f64, f64)]) -> Sheet {
    let mut sheet = Sheet::blank(title, PAPER, TALL);
    let greatest = law.range.greatest_strain;
    let right = nice(greatest * 1.02).min(1.0).max(greatest);
    let most = readings.iter().map(|r| r.1).fold(law.stress(greatest), f64::max) / 1e3;
    let top = nice(most * 1.05);
    let x = |strain: f64| LOW.x + (HIGH.x - LOW.x) * (strain / right).clamp(0.0, 1.0);
    let y = |kpa: f64| LOW.y + (HIGH.y - LOW.y) * (kpa / top).clamp(0.0, 1.0);
    for i in 0..=5 {
        let share = f64::from(i) / 5.0;
        let (strain, kpa) = (right * share, top * share);
        sheet.line(&[Vec2::new(x(strain), LOW.y), Vec2::new(x(strain), HIGH.y)], GRID);
        sheet.text(
            Vec2::new(x(strain), LOW.y - 4.5),
            plain(strain),
            TYPE,
            Anchor::Middle,
        );
        sheet.line(&[Vec2::new(LOW.x, y(kpa)), Vec2::new(HIGH.x, y(kpa))], GRID);
        sheet.text(
            Vec2::new(LOW.x - 1.5, y(kpa) - 1.2),
            plain(kpa),
            TYPE,
            Anchor::End,
        );
    }
    axes(&mut sheet, "strain", "stress, kPa");
    for reading in readings.iter().filter(|r| r.0 > 0.0 && r.0 <= right) {
        sheet.circle(
            Vec2::new(x(reading.0), y(reading.1 / 1e3)),
            0.5,
            Some(Stroke::line(0.13, GREY)),
            None,
        );
    }
    let curve: Vec<Vec2> = (0..=200)
        .map(|i| greatest * f64::from(i) / 200.0)
        .map(|e| Vec2::new(x(e), y(law.stress(e.max(1e-9)) / 1e3)))
        .collect();
    sheet.line(&curve, Stroke::line(0.5, BLUE));
    let best = law.optimum();
    let spot = Vec2::new(x(best.strain), y(best.stress.as_kpa()));
    sheet.circle(spot, 1.0, Some(MIDDLE), Some(Fill { colour: [255; 3] }));
    let where_it_is = if best.is_at_end_of_range {
        "still falling where the data end"
    } else {
        "least"
    };
    let words = format!("cushion factor {:.2}, {where_it_is}", best.cushion_factor);
    let reach = Vec2::new(1.2, 1.2);
    label(&mut sheet, &words, spot, &mut vec![(spot - reach, spot + reach)]);
    let mut legend = Legend::new();
    legend.line(&mut sheet, Stroke::line(0.5, BLUE), "law");
    legend.words(&mut sheet, "rings: readings");
    legend.words(&mut sheet, "slow test: a fall");
    legend.words(&mut sheet, "is stiffer");
    sheet
}

/// Frame and words of the axes.
fn axes(sheet: &mut Sheet, across: &str, up: &str) {
    sheet.rectangle(LOW, HIGH, Some(NARROW), None);
    let middle = (LOW + HIGH) * 0.5;
    sheet.text(Vec2::new(middle.x, 5.5), across, TYPE, Anchor::Middle);
    sheet.words(Text {
        at: Vec2::new(5.0, middle.y),
        words: up.to_owned(),
        height: TYPE,
        anchor: Anchor::Middle,
        turned: 90.0,
        bold: false,
        colour: INK,
    });
}

/// Words beside a spot where they meet nothing, with a leader.
fn label(sheet: &mut Sheet, words: &str, spot: Vec2, taken: &mut Vec<(Vec2, Vec2)>) {
    let size = Vec2::new(width_of(words, TYPE) + 1.0, TYPE + 0.8);
    let corner = free_place(spot, size, (LOW, HIGH), taken).unwrap_or(spot);
    let knee = Vec2::new(
        spot.x.clamp(corner.x, corner.x + size.x),
        spot.y.clamp(corner.y, corner.y + size.y),
    );
    sheet.line(&[spot, knee], Stroke::line(0.18, GREY));
    sheet.rectangle(corner, corner + size, None, Some(Fill { colour: [255; 3] }));
    sheet.text(corner + Vec2::new(0.5, 0.5), words, TYPE, Anchor::Start);
    taken.push((corner, corner + size));
}

/// What stands to the right of the plot, from the top.
struct Legend {
    y: f64,
}

impl Legend {
    const X: f64 = HIGH.x + 2.5;

    fn new() -> Self {
        Self { y: HIGH.y - TYPE }
    }

    fn words(&mut self, sheet: &mut Sheet, words: &str) {
        sheet.text(Vec2::new(Self::X, self.y), words, TYPE, Anchor::Start);
        self.y -= 5.0;
    }

    fn swatch(&mut self, sheet: &mut Sheet, colour: [u8; 3], words: &str) {
        let low = Vec2::new(Self::X, self.y - 0.4);
        sheet.rectangle(
            low,
            low + Vec2::new(5.0, 3.2),
            Some(NARROW),
            Some(Fill { colour }),
        );
        sheet.text(Vec2::new(Self::X + 6.5, self.y), words, TYPE, Anchor::Start);
        self.y -= 5.0;
    }

    fn line(&mut self, sheet: &mut Sheet, stroke: Stroke, words: &str) {
        let level = self.y + 1.2;
        sheet.line(
            &[Vec2::new(Self::X, level), Vec2::new(Self::X + 5.0, level)],
            stroke,
        );
        sheet.text(Vec2::new(Self::X + 6.5, self.y), words, TYPE, Anchor::Start);
        self.y -= 5.0;
    }
}

/// The next of 1, 2, 2.5, 5 times a power of ten.
fn nice(value: f64) -> f64 {
    if !(value.is_finite() && value > 0.0) {
        return 1.0;
    }
    let decade = 10_f64.powf(value.log10().floor());
    [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0]
        .into_iter()
        .map(|step| step * decade)
        .find(|step| *step >= value * (1.0 - 1e-12))
        .unwrap_or(10.0 * decade)
}

/// Values to rule between two on a logarithmic axis: 1, 2, 5; all nine where that gives fewer than three.
fn decades(low: f64, high: f64) -> Vec<f64> {
    let all = |steps: &[f64]| -> Vec<f64> {
        let first = low.log10().floor() as i32;
        let last = high.log10().ceil() as i32;
        (first..=last)
            .flat_map(|power| steps.iter().map(move |step| step * 10_f64.powi(power)))
            .filter(|value| *value >= low && *value <= high)
            .collect()
    };
    let few = all(&[1.0, 2.0, 5.0]);
    if few.len() >= 3 {
        few
    } else {
        all(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0])
    }
}

/// A number without trailing zeros.
fn plain(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::sheet::Mark;

    #[test]
    fn outliers_are_named_by_their_line_and_all_drops_are_drawn() {
        let mut drops: Vec<(f64, f64, usize)> = (0..16)
            .map(|i| 6e3 + 2e3 * f64::from(i))
            .enumerate()
            .map(|(i, x)| (x, 3e4 * (3.5e-5 * x + 0.01 * x.sin()).exp(), i + 2))
            .collect();
        drops[5].1 *= 1.6;
        let pairs: Vec<(f64, f64)> = drops.iter().map(|d| (d.0, d.1)).collect();
        let fit = StressEnergyFit::of(&pairs).unwrap();
        let sheet = stress_energy_plot("test", &drops, &fit);
        let words: Vec<&str> = sheet
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Text(text) => Some(text.words.as_str()),
                _ => None,
            })
            .collect();
        assert!(words.iter().any(|w| w.starts_with("line 7: +")), "{words:?}");
        assert!(words.contains(&"16 drops"), "{words:?}");
    }
}
