//! What a first article is measured by: every dimension of the layer sheets, numbered once.

use crate::drawing::{Feature, features};
use caddis_basis::Length;
use caddis_shop::{LayerPart, Process};

/// One dimension of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Characteristic {
    /// Its number over the whole set, from 1.
    pub(crate) number: u32,
    /// Part and feature: `B1`, `B1 P3`.
    pub(crate) of: String,
    /// `length`, `left-edge`, …: a message of the catalogue, after `measure-`.
    pub(crate) what: &'static str,
    /// Nominal, metres.
    pub(crate) nominal: f64,
    /// Half-width by the shop's table; `None` beyond it.
    pub(crate) plus_minus: Option<f64>,
    /// What to measure it with: a message, after `gauge-`.
    pub(crate) gauge: &'static str,
}

/// A feature of a part with the numbers of its dimensions.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Numbered {
    /// The feature.
    pub(crate) feature: Feature,
    /// Its first number.
    pub(crate) first: u32,
    /// Its last number.
    pub(crate) last: u32,
}

/// A part with every dimension of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct MeasuredPart<'a> {
    /// The part.
    pub(crate) part: &'a LayerPart,
    /// Its features that are large enough to mark.
    pub(crate) features: Vec<Numbered>,
    /// All its dimensions: overall first.
    pub(crate) characteristics: Vec<Characteristic>,
    /// Features too small to mark.
    pub(crate) slivers: usize,
}

/// Numbers the dimensions of all parts, in their order.
pub(crate) fn measured<'a>(parts: &'a [LayerPart], process: &Process) -> Vec<MeasuredPart<'a>> {
    let mut next = 1;
    parts
        .iter()
        .map(|part| numbered(part, process, &mut next))
        .collect()
}

fn numbered<'a>(part: &'a LayerPart, process: &Process, next: &mut u32) -> MeasuredPart<'a> {
    let size = part
        .outline
        .bounds()
        .map_or(caddis_geometry::Vec2::ZERO, |b| b.size());
    let mut characteristics = Vec::new();
    let mut add = |of: String, what, nominal: f64, is_depth: bool, gauge| {
        let row = process.tolerance_of(Length::from_si(nominal.abs()));
        characteristics.push(Characteristic {
            number: *next,
            of,
            what,
            nominal,
            plus_minus: row.map(|row| if is_depth { row.depth.si() } else { row.plan.si() }),
            gauge,
        });
        *next += 1;
        *next - 1
    };
    let tape = "rule";
    let gauge = "depth";
    add(part.id.to_string(), "length-over-all", size.x, false, tape);
    add(part.id.to_string(), "width-over-all", size.y, false, tape);
    add(
        part.id.to_string(),
        "thickness",
        part.stock.si(),
        true,
        "calliper",
    );
    let all = features(part);
    let slivers = all.iter().filter(|f| f.is_sliver()).count();
    let mut list = Vec::new();
    for feature in all.into_iter().filter(|f| !f.is_sliver()) {
        let of = || format!("{} {}", part.id, feature.mark);
        let low = feature.centre - feature.size / 2.0;
        let first = add(of(), "left-edge", low.x, false, tape);
        add(of(), "lower-edge", low.y, false, tape);
        add(of(), "length", feature.size.x, false, tape);
        let mut last = add(of(), "width", feature.size.y, false, tape);
        if !feature.through {
            last = add(of(), "depth", feature.depth, true, gauge);
        }
        list.push(Numbered { feature, first, last });
    }
    MeasuredPart {
        part,
        features: list,
        characteristics,
        slivers,
    }
}
