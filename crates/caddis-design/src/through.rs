//! Cavities for a process that cuts through or not at all: every floor is a joint between layers, and what is open anywhere in
//! a layer is open in all of it.

use crate::{Block, BlockKind, Cavity};
use caddis_geometry::{Prism, Region};

/// Heights are told apart to this, metres.
const SAME: f64 = 1e-6;
/// An area that is rounding, square metres.
const NOTHING: f64 = 1e-7;

/// The cavity cut through every layer it reaches: it only grows.
pub(crate) fn through(cavity: Cavity, blocks: &[Block]) -> Cavity {
    let mut steps: Vec<Prism> = Vec::new();
    for (low, high) in layers(blocks, |kind| kind != BlockKind::LidPad) {
        let open: Vec<&Region> = cavity
            .steps
            .iter()
            .filter(|step| step.low < high - SAME && step.high > low + SAME)
            .map(|step| &step.region)
            .collect();
        let Some(widest) = open.last() else {
            continue;
        };
        // Cavities widen upward; only a relief lies otherwise.
        let region = if open.iter().all(|part| part.difference(widest).area() < NOTHING) {
            (*widest).clone()
        } else {
            Region::union_all(open)
        };
        match steps.last_mut() {
            Some(last) if last.region == region => last.high = high,
            _ => steps.push(Prism { region, low, high }),
        }
    }
    let over = cavity.over.clone().map(|over| {
        let reached = layers(blocks, |kind| kind != BlockKind::Base)
            .filter(|(low, high)| over.low < high - SAME && over.high > low + SAME);
        let (low, high) = reached.fold((over.low, over.high), |(least, most), (low, high)| {
            (least.min(low), most.max(high))
        });
        Prism { low, high, ..over }
    });
    Cavity {
        steps,
        over,
        ..cavity
    }
}

/// The joint at or below a height: the bottom of the layer it lies in.
pub(crate) fn joint_below(blocks: &[Block], height: f64) -> f64 {
    layers(blocks, |_| true)
        .map(|(low, _)| low)
        .filter(|low| *low <= height + SAME)
        .fold(0.0, f64::max)
}

fn layers(blocks: &[Block], wanted: impl Fn(BlockKind) -> bool) -> impl Iterator<Item = (f64, f64)> {
    blocks
        .iter()
        .filter(move |block| wanted(block.kind))
        .flat_map(|block| &block.layers)
        .map(|layer| (layer.low, layer.high))
}
