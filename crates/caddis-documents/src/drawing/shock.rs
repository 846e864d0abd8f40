//! A fall as an item feels it: acceleration over time, and what parts of each natural frequency make of it.

use super::dimension::width_of;
use super::view::{NARROW, PAPER, TYPE};
use crate::Words;
use crate::sheet::{Anchor, BLUE, Dash, GREY, INK, RED, Sheet, Stroke, Text};
use crate::words::say;
use caddis_basis::{Acceleration, Duration, Frequency};
use caddis_geometry::Vec2;

/// Plot grounds on the sheet, mm: history left, spectrum right.
const HISTORY: (Vec2, Vec2) = (Vec2::new(16.0, 14.0), Vec2::new(84.0, 56.0));
const SPECTRUM: (Vec2, Vec2) = (Vec2::new(106.0, 14.0), Vec2::new(174.0, 56.0));

/// What is drawn.
#[derive(Debug, Clone)]
pub struct ShockCurves<'a> {
    /// Time from one sample to the next.
    pub step: Duration,
    /// Points with their histories, the centre of mass first.
    pub histories: Vec<(&'a str, &'a [Acceleration])>,
    /// The spectrum of the first of them.
    pub spectrum: Vec<(Frequency, Acceleration)>,
    /// What the item stands, where that is known.
    pub limit: Option<Acceleration>,
}

/// Acceleration along the fall over time, the item's limit dashed, and the shock response spectrum beside it, both in G.
pub fn shock_plot(words: &Words, title: &str, curves: &ShockCurves<'_>) -> Sheet {
    let mut sheet = Sheet::blank(title, PAPER, 66.0);
    let limit = curves.limit.map(Acceleration::as_g);
    let samples = curves.histories.iter().map(|(_, h)| h.len()).max().unwrap_or(0);
    let span = (curves.step.si() * 1e3 * samples.saturating_sub(1) as f64).max(1.0);
    let most = curves
        .histories
        .iter()
        .flat_map(|(_, history)| history.iter())
        .map(|a| a.as_g().abs())
        .chain(limit.map(|limit| limit * 1.08))
        .fold(1.0, f64::max);
    let time = Axis::linear(span, HISTORY.0.x, HISTORY.1.x);
    let peak = Axis::linear(most * 1.06, HISTORY.0.y, HISTORY.1.y);
    ground(
        &mut sheet,
        HISTORY,
        (words, &say!(words, "plot-time")),
        &time,
        &peak,
    );
    let dashes = [Dash::Dashed, Dash::LongDashDot];
    for (index, (name, history)) in curves.histories.iter().enumerate() {
        let stroke = if index == 0 {
            Stroke::line(0.5, INK)
        } else {
            Stroke::line(0.4, BLUE).dashed(dashes[(index - 1) % dashes.len()])
        };
        let points: Vec<Vec2> = history
            .iter()
            .enumerate()
            .map(|(k, a)| {
                let x = time.at(k as f64 * curves.step.si() * 1e3);
                Vec2::new(x, peak.at(a.as_g()).clamp(HISTORY.0.y, HISTORY.1.y))
            })
            .collect();
        sheet.line(&points, stroke);
        if curves.histories.len() > 1 {
            // Names stand under each other in the corner, each behind its line.
            let y = HISTORY.1.y - 10.0 - 4.0 * index as f64;
            let x = HISTORY.1.x - 10.0 - width_of(name, TYPE);
            sheet.line(&[Vec2::new(x, y + 1.0), Vec2::new(x + 7.0, y + 1.0)], stroke);
            sheet.text(Vec2::new(x + 8.5, y), *name, TYPE, Anchor::Start);
        }
    }
    let (from, to) = match (curves.spectrum.first(), curves.spectrum.last()) {
        (Some(first), Some(last)) => (first.0.si(), last.0.si()),
        _ => (1.0, 10.0),
    };
    let highest = curves.spectrum.iter().map(|(_, a)| a.as_g()).fold(1.0, f64::max);
    let frequency = Axis::logarithmic(from, to, SPECTRUM.0.x, SPECTRUM.1.x);
    let response = Axis::linear(highest * 1.05, SPECTRUM.0.y, SPECTRUM.1.y);
    ground(
        &mut sheet,
        SPECTRUM,
        (words, &say!(words, "plot-part-frequency")),
        &frequency,
        &response,
    );
    let points: Vec<Vec2> = curves
        .spectrum
        .iter()
        .map(|(f, a)| Vec2::new(frequency.at(f.si()), response.at(a.as_g())))
        .collect();
    sheet.line(&points, Stroke::line(0.5, INK));
    // What the item stands is a peak of its whole; what one of its parts stands is another number.
    if let Some(limit) = limit {
        let (low, high) = HISTORY;
        let y = peak.at(limit);
        sheet.line(
            &[Vec2::new(low.x, y), Vec2::new(high.x, y)],
            Stroke::line(0.35, RED).dashed(Dash::Dashed),
        );
        sheet.text(
            Vec2::new(high.x - 1.5, y + 0.8),
            say!(words, "plot-stands", limit = words.number(limit, 0)),
            TYPE,
            Anchor::End,
        );
    }
    sheet
}

/// One axis: where a value lies on paper, and its marks.
struct Axis {
    from: f64,
    to: f64,
    low: f64,
    high: f64,
    is_logarithmic: bool,
}

impl Axis {
    fn linear(to: f64, low: f64, high: f64) -> Self {
        Self {
            from: 0.0,
            to,
            low,
            high,
            is_logarithmic: false,
        }
    }

    fn logarithmic(from: f64, to: f64, low: f64, high: f64) -> Self {
        Self {
            from,
            to,
            low,
            high,
            is_logarithmic: true,
        }
    }

    fn at(&self, value: f64) -> f64 {
        let share = if self.is_logarithmic {
            (value / self.from).ln() / (self.to / self.from).ln()
        } else {
            (value - self.from) / (self.to - self.from)
        };
        self.low + (self.high - self.low) * share
    }

    fn marks(&self) -> Vec<f64> {
        if self.is_logarithmic {
            return [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
                .into_iter()
                .filter(|f| *f >= self.from * 0.999 && *f <= self.to * 1.001)
                .collect();
        }
        let rough = self.to / 5.0;
        let ten = 10_f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|k| k * ten)
            .find(|step| *step >= rough)
            .unwrap_or(rough);
        (0..=(self.to / step).floor() as u32)
            .map(|k| f64::from(k) * step)
            .collect()
    }
}

fn ground(sheet: &mut Sheet, (low, high): (Vec2, Vec2), (words, name): (&Words, &str), x: &Axis, y: &Axis) {
    let pale = Stroke::line(0.1, [0xc8; 3]);
    for mark in x.marks() {
        let at = x.at(mark);
        sheet.line(&[Vec2::new(at, low.y), Vec2::new(at, high.y)], pale);
        sheet.text(
            Vec2::new(at, low.y - 4.2),
            words.number(mark, 0),
            TYPE,
            Anchor::Middle,
        );
    }
    for mark in y.marks() {
        let at = y.at(mark);
        sheet.line(&[Vec2::new(low.x, at), Vec2::new(high.x, at)], pale);
        sheet.text(
            Vec2::new(low.x - 1.5, at - 1.0),
            words.number(mark, 0),
            TYPE,
            Anchor::End,
        );
    }
    sheet.rectangle(low, high, Some(NARROW), None);
    sheet.text(
        Vec2::new(f64::midpoint(low.x, high.x), 4.5),
        name,
        TYPE,
        Anchor::Middle,
    );
    sheet.words(Text {
        at: Vec2::new(low.x - 11.0, f64::midpoint(low.y, high.y)),
        words: say!(words, "plot-acceleration"),
        height: TYPE,
        anchor: Anchor::Middle,
        turned: 90.0,
        bold: false,
        colour: GREY,
    });
}
