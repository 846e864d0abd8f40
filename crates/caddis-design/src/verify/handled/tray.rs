//! A tray of foam, with its board where it has one, as a beam between the two hands that lift it.

use super::{RISE, modelled};
use crate::verify::parcel::tray_board;
use crate::{Block, BlockKind, Brief, CaseVerdict, Interior, LayerPlan};
use caddis_basis::{Certainty, Domain, Finding, Margin, Mass, Severity, Source, Verdict, Volume, said};
use caddis_geometry::{Prism, Region, Vec2};

/// A tray may sag by this share of its length when it is lifted by its ends.
const SAG: f64 = 1.0 / 20.0;
/// Places along a tray at which its section is taken.
const STATIONS: usize = 20;

/// The tray lifted by its two ends, as a beam of its foam.
///
/// # Accuracy
/// An order of magnitude: foam bends softer in tension than in compression, and the modulus is the law's secant at a
/// strain of 0.05.
///
/// # Source
/// Unit-load method for a beam on two supports under an even load, `integral of M m / (E I)`, derived; its section loses
/// what cavities and notches take. The limit of a twentieth is common practice, no source.
pub(super) fn tray(
    interior: &Interior,
    brief: &Brief,
    block: &Block,
    findings: &mut Vec<Finding>,
) -> CaseVerdict {
    let number = match block.kind {
        BlockKind::Tray(number) => number,
        BlockKind::Base | BlockKind::LidPad => 0,
    };
    let place = said!("tray {number}", number);
    let name = said!("Tray {number} lifted by its ends", number);
    let source = Source::own(
        said!(
            "beam of foam on two supports, modulus by the law's secant at a strain of 0.05; a twentieth of its length as limit is common practice"
        ),
        Certainty::Model,
    );
    let foam = &brief.foams[block.foam];
    let modulus = foam.law.stress(RISE) / RISE;
    let bounds = block
        .layers
        .iter()
        .filter_map(|layer| layer.outline.bounds())
        .reduce(|a, b| caddis_geometry::Bounds2 {
            min: a.min.min(b.min),
            max: a.max.max(b.max),
        });
    let (Some(bounds), true) = (bounds, modulus.is_finite() && modulus > 0.0) else {
        return CaseVerdict {
            code: "tray-stiffness",
            name,
            verdict: Verdict::NotKnown,
            margin: None,
            sentence: said!(
                "the foam's law has no one stress at a strain, so how far the tray sags is not known"
            ),
            source,
        };
    };
    let size = bounds.size();
    let is_along_x = size.x >= size.y;
    let length = size.x.max(size.y);
    let load = foam.density * Volume::from_si(interior.foam_volume(block))
        + interior
            .places
            .iter()
            .filter(|p| p.bottom >= block.low - 1e-6 && p.bottom < block.high)
            .map(|p| brief.items[p.item].mass.most())
            .sum::<Mass>()
        + block
            .board
            .as_ref()
            .and_then(|_| tray_board(interior, brief))
            .map_or(Mass::ZERO, |(mass, _)| mass);
    let board = Board::of(brief, block, modulus);
    let per_metre = load.weight().si() / length;
    let step = length / STATIONS as f64;
    let mut sag = 0.0;
    for station in 0..STATIONS {
        let x = (station as f64 + 0.5) * step;
        let (moment, unit) = (per_metre * x * (length - x) / 2.0, x.min(length - x) / 2.0);
        let (low, high) = if is_along_x {
            (
                Vec2::new(bounds.min.x + x - step / 2.0, bounds.min.y),
                Vec2::new(bounds.min.x + x + step / 2.0, bounds.max.y),
            )
        } else {
            (
                Vec2::new(bounds.min.x, bounds.min.y + x - step / 2.0),
                Vec2::new(bounds.max.x, bounds.min.y + x + step / 2.0),
            )
        };
        let strip = Region::rectangle(low, high);
        sag +=
            moment * unit / (modulus * second_moment(interior, block, board.as_ref(), &strip, step)) * step;
    }
    let limit = length * SAG;
    // A section that is cut through has no stiffness at all.
    let found = if sag.is_finite() { sag } else { length };
    let margin = Margin::at_most(found * 1e3, limit * 1e3, "mm");
    let remedy = match (&block.board, &board) {
        (None, _) => said!(
            "a thicker floor, straps that lift it from below (`tray_lift`), or a board in it (`tray_board`) where \
             the case is deep \
             enough"
        ),
        (Some(_), None) => said!(
            "the board's modulus in bending (`bending_modulus` of the shop's `[fittings.board]`), or straps that \
             lift the tray from \
             below (`tray_lift`)"
        ),
        (Some(_), Some(_)) => said!("a stiffer board, or straps that lift it from below (`tray_lift`)"),
    };
    let sags = said!(
        "{load:.1} on two ends {length:.0} mm apart let it sag about {sag:.0} mm",
        load,
        length = length * 1e3,
        sag = found * 1e3
    );
    let sentence = match (&block.board, &board) {
        (None, _) => sags,
        (Some(_), None) => said!(
            "{sags}; its board's modulus is not stated, so the board is not counted",
            sags
        ),
        (Some(_), Some(_)) => said!("{sags} with its board", sags),
    };
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "tray-sags",
                Domain::Shop,
                Severity::Caution,
                &place,
                said!(
                    "the tray sags about {sag:.0} mm under its {load:.1} when it is lifted by its ends",
                    sag = found * 1e3,
                    load
                ),
                source.clone(),
            )
            .margin(margin.clone())
            .remedy(remedy),
        );
    }
    CaseVerdict {
        code: "tray-stiffness",
        name,
        verdict: modelled(&margin),
        sentence,
        margin: Some(margin),
        source,
    }
}

/// A board that is counted with the foam it is glued to.
struct Board<'a> {
    prism: &'a Prism,
    /// Its modulus over the foam's.
    stiffer: f64,
}

impl<'a> Board<'a> {
    fn of(brief: &Brief, block: &'a Block, foam: f64) -> Option<Self> {
        let modulus = brief.furnishing.tray_board.as_ref()?.modulus?;
        Some(Self {
            prism: block.board.as_ref()?,
            stiffer: modulus.si() / foam,
        })
    }
}

/// Second moment of area of what foam is left of a block in a strip across it, m⁴; a board counts as so much more foam as it is stiffer.
///
/// # Source
/// Transformed section of a beam of two materials, widths by the ratio of moduli: strength of materials, from memory.
fn second_moment(
    interior: &Interior,
    block: &Block,
    board: Option<&Board<'_>>,
    strip: &Region,
    step: f64,
) -> f64 {
    let mut slices: Vec<(f64, f64, f64)> = Vec::new();
    if let Some(Board { prism, stiffer }) = board {
        let width = prism.region.intersection(strip).area() / step * stiffer;
        slices.push((
            width,
            f64::midpoint(prism.low, prism.high),
            prism.high - prism.low,
        ));
    }
    for layer in &block.layers {
        for pair in interior.heights_within(layer.low, layer.high).windows(2) {
            let z = f64::midpoint(pair[0], pair[1]);
            let width = left_in(interior, layer, strip, z) / step;
            slices.push((width, z, pair[1] - pair[0]));
        }
    }
    let area: f64 = slices.iter().map(|(width, _, height)| width * height).sum();
    if area <= 0.0 {
        return 0.0;
    }
    let middle = slices
        .iter()
        .map(|(width, z, height)| width * height * z)
        .sum::<f64>()
        / area;
    slices
        .iter()
        .map(|(width, z, height)| width * height * (height * height / 12.0 + (z - middle).powi(2)))
        .sum()
}

/// Area of foam in a strip at a height.
fn left_in(interior: &Interior, layer: &LayerPlan, strip: &Region, z: f64) -> f64 {
    let voids: Vec<Region> = interior
        .voids_at(z)
        .map(|void| void.intersection(strip))
        .filter(|void| !void.is_empty())
        .collect();
    layer
        .outline
        .intersection(strip)
        .difference(&Region::union_all(&voids))
        .area()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::testing;

    #[test]
    fn a_tray_sags_as_a_beam_does() {
        let brief = testing::brief();
        let mut interior = testing::shelf(&[]);
        let block = &mut interior.blocks[0];
        block.kind = BlockKind::Tray(1);
        block.low = 0.2;
        block.layers[0].low = 0.2;
        let block = interior.blocks[0].clone();
        let mut findings = Vec::new();
        let verdict = tray(&interior, &brief, &block, &mut findings);
        // 300 x 200 x 40 mm of foam under its own weight: 5 q L^4 / (384 E I).
        let foam = &brief.foams[0];
        let weight = foam.density.si() * 0.3 * 0.2 * 0.04 * 9.806_65;
        let modulus = foam.law.stress(RISE) / RISE;
        let inertia = 0.2 * 0.04_f64.powi(3) / 12.0;
        let expected = 5.0 * (weight / 0.3) * 0.3_f64.powi(4) / (384.0 * modulus * inertia);
        let found = verdict.margin.unwrap().found / 1e3;
        assert!((found / expected - 1.0).abs() < 0.01, "{found} {expected}");
        assert!(findings.is_empty());
        // A hundred times as heavy.
        let mut heavy = brief.clone();
        heavy.foams[0].density = heavy.foams[0].density * 2000.0;
        assert_eq!(
            tray(&interior, &heavy, &block, &mut findings).verdict,
            Verdict::Fails
        );
        assert_eq!(findings[0].code, "tray-sags");
        // A board in its middle adds what it is stiffer, and its mass.
        let mut backed = interior.clone();
        backed.blocks[0].board = Some(Prism {
            region: Region::rectangle(Vec2::new(-0.15, -0.1), Vec2::new(0.15, 0.1)),
            low: 0.218,
            high: 0.222,
        });
        let mut with = brief.clone();
        let mut board = crate::BackBoard {
            thickness: caddis_basis::Length::mm(4.0),
            mass_per_area: 0.9,
            modulus: None,
        };
        let sag = |with: &Brief| {
            let verdict = tray(&backed, with, &backed.blocks[0], &mut Vec::new());
            (verdict.margin.unwrap().found / 1e3, verdict.sentence)
        };
        with.furnishing.tray_board = Some(board.clone());
        let heavier = weight + 0.9 * 0.06 * 9.806_65;
        let (found, sentence) = sag(&with);
        assert!(
            (found / (expected * heavier / weight) - 1.0).abs() < 0.01,
            "{found}"
        );
        assert!(sentence.contains("is not counted"), "{sentence}");
        board.modulus = Some(caddis_basis::Pressure::from_si(1e9));
        with.furnishing.tray_board = Some(board);
        let stiff = modulus * inertia + 1e9 * 0.2 * 0.004_f64.powi(3) / 12.0;
        let expected = expected * heavier / weight * modulus * inertia / stiff;
        assert!((sag(&with).0 / expected - 1.0).abs() < 0.01);
        // Cut through, it has no stiffness.
        interior.notches.push(crate::Notch {
            cavity: caddis_basis::CavityId::new("cut"),
            prism: Prism {
                region: Region::rectangle(Vec2::new(-0.02, -0.2), Vec2::new(0.02, 0.2)),
                low: 0.0,
                high: 0.3,
            },
        });
        assert_eq!(
            tray(&interior, &brief, &block, &mut Vec::new()).verdict,
            Verdict::Fails
        );
    }
}
