//! The force that presses the lid shut on its foam.

use super::{RISE, modelled};
use crate::{Brief, CaseVerdict, Interior};
use caddis_basis::{Certainty, Domain, Finding, Force, Margin, Severity, Source, Verdict, said};
use caddis_protection::Law;

/// What two hands press a lid shut with at its front edge.
const HANDS: Force = Force::from_si(250.0);

/// Force at the lid's front edge that squeezes the stack shut.
///
/// # Accuracy
/// On the safe side: cavities count as filled, since what lies in them is flush and stands on foam. A law that starts at a
/// finite stress is taken to rise to its stress at a strain of 0.05 in a straight line.
///
/// # Source
/// Layers in series carry one force, F = A sigma(e), and share the squeeze; it acts at the middle, so that the front edge
/// has twice its lever about the hinge (derived). 250 N with two hands: common practice, no source.
pub(super) fn lid_force(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let source = Source::own(
        said!(
            "layers in series share the squeeze, straight rise of the law to a strain of 0.05; 250 N with two hands is common practice"
        ),
        Certainty::Model,
    );
    let free: f64 = interior.blocks.iter().map(|block| block.free_height).sum();
    let squeeze = free - brief.crown().si();
    let layers: Vec<(f64, f64, &Law)> = interior
        .blocks
        .iter()
        .flat_map(|block| {
            let law = &brief.foams[block.foam].law;
            block
                .layers
                .iter()
                .map(move |layer| (layer.high - layer.low, layer.outline.area(), law))
        })
        .collect();
    let name = said!("Lid pressed shut");
    let Some(force) = stack_force(&layers, squeeze) else {
        return CaseVerdict {
            code: "lid-force",
            name,
            verdict: Verdict::NotKnown,
            margin: None,
            sentence: said!(
                "a foam's law has no one stress at a strain, so the force to close the lid is not known"
            ),
            source,
        };
    };
    let front = Force::from_si(force / 2.0);
    let margin = Margin::at_most(front.si(), HANDS.si(), "N");
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "lid-hard-to-close",
                Domain::Shop,
                Severity::Caution,
                said!("stack"),
                said!(
                    "{front:.0} at the front edge squeeze the stack by {squeeze:.1} mm: more than two hands press",
                    front,
                    squeeze = squeeze * 1e3
                ),
                source.clone(),
            )
            .margin(margin.clone())
            .remedy(said!(
                "less squeeze by a thinner lid layer, a softer lid pad, or relief in it; latches do not replace hands"
            )),
        );
    }
    CaseVerdict {
        code: "lid-force",
        name,
        verdict: modelled(&margin),
        sentence: said!(
            "{front:.0} at the front edge squeeze the stack by {squeeze:.1} mm, {force:.0} over the whole lid; two \
             hands press {hands:.0}",
            front,
            squeeze = squeeze * 1e3,
            force = Force::from_si(force),
            hands = HANDS
        ),
        margin: Some(margin),
        source,
    }
}

/// Force that squeezes layers (height, area, law) together by a distance, N; `None` where a law has no one stress.
fn stack_force(layers: &[(f64, f64, &Law)], squeeze: f64) -> Option<f64> {
    if squeeze <= 0.0 {
        return Some(0.0);
    }
    let strain = |law: &Law, stress: f64| {
        let knee = law.stress(RISE);
        if stress <= knee {
            Some(RISE * stress / knee)
        } else {
            law.strain_at_stress(stress)
        }
    };
    let known = layers.iter().all(|(.., law)| {
        let knee = law.stress(RISE);
        knee.is_finite() && knee > 0.0
    });
    let height: f64 = layers.iter().map(|(height, ..)| height).sum();
    if !known || layers.is_empty() || squeeze >= height {
        return None;
    }
    let closes = |force: f64| {
        layers
            .iter()
            .map(|(height, area, law)| strain(law, force / area).unwrap_or(1.0) * height)
            .sum::<f64>()
    };
    let (mut low, mut high) = (0.0, 1.0);
    while closes(high) < squeeze {
        high *= 2.0;
        if high > 1e9 {
            return None;
        }
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if closes(middle) < squeeze {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_protection::{LawKind, LawRange};

    fn gas() -> Law {
        Law {
            kind: LawKind::ClosedCellGas {
                s0: 1e4,
                p0: 101_325.0,
                r: 0.03,
            },
            range: LawRange {
                static_stress: None,
                greatest_strain: 0.8,
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source: Source::own(said!("test"), Certainty::Invented),
        }
    }

    #[test]
    fn layers_share_the_squeeze() {
        let law = gas();
        let knee = law.stress(RISE);
        // Two layers of 100 mm, 0.2 and 0.1 m²: F (h/A1 + h/A2) RISE / knee = squeeze.
        let force = stack_force(&[(0.1, 0.2, &law), (0.1, 0.1, &law)], 0.003).unwrap();
        let expected = 0.003 * knee / RISE / (0.1 / 0.2 + 0.1 / 0.1);
        assert!((force / expected - 1.0).abs() < 1e-9, "{force} {expected}");
        assert_eq!(stack_force(&[(0.1, 0.2, &law)], 0.0), Some(0.0));
        assert_eq!(stack_force(&[(0.1, 0.2, &law)], 0.2), None);
        // Far past the rise it is the law's own stress.
        let force = stack_force(&[(0.1, 0.2, &law)], 0.04).unwrap();
        assert!((force / (0.2 * law.stress(0.4)) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_lid_is_hard_or_easy_to_close() {
        let interior = testing::shelf(&[]);
        let mut brief = testing::brief();
        let verdict = |interior: &Interior, brief: &Brief| {
            let mut findings = Vec::new();
            let verdict = lid_force(interior, brief, &mut findings);
            (
                verdict.verdict,
                findings.into_iter().map(|f| f.code).collect::<Vec<_>>(),
            )
        };
        let mut tight = interior.clone();
        tight.blocks[1].free_height += 0.012 - squeeze(&tight, &brief);
        assert_eq!(
            verdict(&tight, &brief),
            (Verdict::Fails, vec!["lid-hard-to-close"])
        );
        let mut easy = interior;
        easy.blocks[1].free_height += 0.0005 - squeeze(&easy, &brief);
        assert_eq!(verdict(&easy, &brief), (Verdict::Indicative, vec![]));
        brief.foams[0].law.kind = LawKind::Table(Vec::new());
        assert_eq!(verdict(&easy, &brief).0, Verdict::NotKnown);
    }

    fn squeeze(interior: &Interior, brief: &Brief) -> f64 {
        interior.blocks.iter().map(|block| block.free_height).sum::<f64>() - brief.crown().si()
    }
}
