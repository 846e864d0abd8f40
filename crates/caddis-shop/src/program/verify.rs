//! The program against the design: the cutter swept along what the machine reads.

use super::machine::Machine;
use super::path::{ToolPath, Way};
use super::sweep::{compare, swept};
use crate::bill::short;
use crate::{LayerPart, SheetNest, Shop, StockSheet};
use caddis_basis::Tolerance;
use caddis_geometry::{Region, Side};

/// What the design asks between two depths.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Slice {
    /// Depths below the sheet's top at which it begins and ends, metres.
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Foam that stays.
    pub(crate) keep: Region,
    /// Foam that must go, no more than the round cutter reaches.
    pub(crate) must: Region,
}

/// How near to a floor a slice lies, metres.
const NEAR: f64 = 1e-6;

/// Boundaries may differ by this, metres: chords on either side of an arc, and the four decimals.
pub(crate) fn tolerance() -> f64 {
    2.5 * Tolerance::DEFAULT.chord().si()
}

/// One slice for every two depths, one below the other, at which cuts end; from the bottom.
pub(crate) fn slices(
    layers: &[LayerPart],
    nest: &SheetNest,
    stock: &StockSheet,
    radius: f64,
    skin: f64,
) -> Vec<Slice> {
    let parts: Vec<_> = nest
        .parts
        .iter()
        .filter_map(|nested| {
            let part = layers.iter().find(|part| part.id == nested.layer)?;
            Some((part, nested.placement))
        })
        .collect();
    let floor = stock.thickness.si() - skin;
    let mut depths: Vec<f64> = parts
        .iter()
        .flat_map(|(part, _)| part.pockets.iter().map(|pocket| pocket.depth.si()))
        .chain([0.0, floor])
        .filter(|depth| *depth <= floor)
        .collect();
    depths.sort_by(f64::total_cmp);
    depths.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let opened = |region: &Region| region.offset(-radius, Side::Inner).offset(radius, Side::Inner);
    depths
        .windows(2)
        .rev()
        .map(|pair| {
            let depth = f64::midpoint(pair[0], pair[1]);
            let (mut keeps, mut musts) = (Vec::new(), Vec::new());
            let outlines: Vec<Region> = parts.iter().map(|(part, at)| part.outline.placed(at)).collect();
            let outlines = Region::union_all(&outlines);
            for (part, at) in &parts {
                let through: Vec<Region> = part.through.iter().map(|region| region.placed(at)).collect();
                let pockets: Vec<Region> = part
                    .pockets
                    .iter()
                    .filter(|pocket| pocket.depth.si() > depth)
                    .map(|pocket| pocket.region.placed(at))
                    .collect();
                let void = Region::union_all(through.iter().chain(&pockets));
                keeps.push(part.outline.placed(at).difference(&void));
                let pockets = Region::union_all(&pockets);
                musts.push(opened(&void).intersection(&pockets));
                // Holes and outlines are parted, not cleared: a band as wide as the cutter.
                for hole in &through {
                    musts.push(opened(hole).difference(&hole.offset(-2.0 * radius, Side::Inner)));
                }
                let outline = part.outline.placed(at);
                musts.push(
                    outline
                        .offset(2.0 * radius, Side::Inner)
                        .difference(&outline)
                        .difference(&outlines),
                );
            }
            Slice {
                from: pair[0],
                to: pair[1],
                keep: Region::union_all(&keeps),
                must: Region::union_all(&musts),
            }
        })
        .collect()
}

/// Where a difference lies on the sheet.
pub(crate) fn near(region: &Region) -> String {
    region.bounds().map_or_else(String::new, |bounds| {
        let (low, high) = (bounds.min * 1e3, bounds.max * 1e3);
        format!(
            " (x {:.1} to {:.1}, y {:.1} to {:.1} mm)",
            low.x, high.x, low.y, high.y
        )
    })
}

/// # Errors
/// A sentence: rapid moves across below the safe height or down past the approach height, cuts below the sheet.
pub(crate) fn moves_safely(path: &ToolPath, stock: &StockSheet, machine: &Machine) -> Result<(), String> {
    let safe = machine.safe_height.si();
    for (from, step) in path.legs() {
        let across = from.plan().distance(step.to.plan()) > 1e-9;
        if step.way == Way::Rapid && across && from.z.min(step.to.z) < safe - 1e-7 {
            return Err("a rapid move crosses the sheet below the safe height".to_owned());
        }
        if step.way == Way::Rapid && step.to.z < machine.plunge_from().si() - 1e-7 {
            return Err("a rapid move ends below the approach height".to_owned());
        }
        if step.to.z < -stock.thickness.si() - 1e-7 {
            return Err("a cut goes below the sheet".to_owned());
        }
    }
    Ok(())
}

/// # Errors
/// A sentence: where foam was taken that stays, or left that must go; moves that are not safe.
pub(crate) fn verify(
    path: &ToolPath,
    layers: &[LayerPart],
    nest: &SheetNest,
    stock: &StockSheet,
    shop: &Shop,
    machine: &Machine,
) -> Result<(), String> {
    moves_safely(path, stock, machine)?;
    let radius = shop.process.kerf.si() / 2.0;
    // From the bottom: what was taken deeper was taken here too. Just above a slice's floor what does not reach it shows,
    // just under its beginning what goes too deep.
    let mut taken = Region::empty();
    let mut deeper = f64::INFINITY;
    for slice in slices(layers, nest, stock, radius, machine.skin.si()) {
        for depth in [slice.to - NEAR, slice.from + NEAR] {
            taken = taken.union(&swept(path, radius, depth, deeper));
            deeper = depth;
            let difference = compare(&taken, &slice.keep, &slice.must, tolerance());
            let areas = (difference.gouged.area(), difference.left.area());
            if areas.0 > 0.0 || areas.1 > 0.0 {
                return Err(format!(
                    "at {} mm depth the program takes {:.2} mm² of foam that stays{} and leaves {:.2} mm² that must go{}",
                    short(depth * 1e3),
                    areas.0 * 1e6,
                    near(&difference.gouged),
                    areas.1 * 1e6,
                    near(&difference.left)
                ));
            }
        }
    }
    Ok(())
}
