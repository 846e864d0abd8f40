//! Several foams as one law: in series (one behind the other) and in parallel (side by side).

use crate::{Law, LawError, LawKind, LawRange};
use caddis_basis::{Said, Source, said};

/// One foam of a stack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StackPart<'a> {
    /// Its law; no family of cushion curves, which has no one stress at a strain.
    pub law: &'a Law,
    /// Its share of the thickness (series) or of the area (parallel); shares need not add up to one.
    pub share: f64,
}

/// Steps of a stack's table between 0 and its greatest strain.
const STEPS: u32 = 400;

impl Law {
    /// The law of foams one behind the other, per their whole thickness.
    ///
    /// All layers carry the same stress and their deflections add. The law ends where the first layer reaches the
    /// greatest strain of its own range. Gravity counts as in the fit only where it is in every layer's, and a stack
    /// that was not itself tested in impact never counts as measured.
    ///
    /// # Errors
    /// No part; shares that are not positive; a law that is none, dips, runs level, or is a family of cushion curves.
    ///
    /// # Accuracy
    /// A table: stress and strain to about 1e-4 of the whole.
    ///
    /// # Source
    /// Derived: equal stress, w = sum of share `w_i(sigma)`.
    pub fn in_series(parts: &[StackPart<'_>]) -> Result<Self, LawError> {
        let parts = shares(parts)?;
        if parts.iter().any(|part| !part.law.always_rises()) {
            return Err(LawError::Constants(
                "a law whose stress dips or runs level cannot stand in series".to_owned(),
            ));
        }
        // Every layer stops the stack at its own greatest strain.
        let most = parts
            .iter()
            .map(|part| part.law.stress(part.law.range.greatest_strain))
            .fold(f64::INFINITY, f64::min);
        let least = parts
            .iter()
            .map(|part| part.law.initial_stress())
            .fold(f64::INFINITY, f64::min);
        let strain = |stress: f64| -> Option<f64> {
            parts
                .iter()
                .map(|part| {
                    Some(
                        part.share
                            * part
                                .law
                                .strain_at_stress(stress)?
                                .min(part.law.range.greatest_strain),
                    )
                })
                .sum()
        };
        // Even steps of each layer's own strain put points where the layers bend.
        let mut stresses: Vec<f64> = parts
            .iter()
            .flat_map(|part| {
                let greatest = part.law.range.greatest_strain;
                let corners = part.law.corners();
                (1..=STEPS)
                    .map(move |i| greatest * f64::from(i) / f64::from(STEPS))
                    .chain(corners.into_iter().filter(move |e| *e > 0.0 && *e < greatest))
                    .map(|e| part.law.stress(e))
                    .chain([part.law.initial_stress()])
            })
            .filter(|s| *s > least && *s <= most)
            .collect();
        stresses.push(most);
        stresses.sort_by(f64::total_cmp);
        let mut points = vec![(0.0, least)];
        for stress in stresses {
            let Some(e) = strain(stress) else { continue };
            if e > points[points.len() - 1].0 + 1e-9 && stress > points[points.len() - 1].1 {
                points.push((e, stress));
            }
        }
        stack(
            &parts,
            points,
            |foams| said!("foams in series: {foams}", foams),
            |part, (low, high)| (low / part.share, high / part.share),
        )
    }

    /// The law of foams side by side under one load, of equal thickness, per their whole area.
    ///
    /// # Errors
    /// As [`Law::in_series`], but laws may dip.
    ///
    /// # Accuracy
    /// A table: stress to about 1e-4 of the whole.
    ///
    /// # Source
    /// Derived: equal strain, sigma = sum of share `sigma_i(e)`.
    pub fn in_parallel(parts: &[StackPart<'_>]) -> Result<Self, LawError> {
        let parts = shares(parts)?;
        let greatest = parts
            .iter()
            .map(|part| part.law.range.greatest_strain)
            .fold(f64::INFINITY, f64::min);
        let mut strains: Vec<f64> = (1..=STEPS)
            .map(|i| greatest * f64::from(i) / f64::from(STEPS))
            .collect();
        strains.extend(
            parts
                .iter()
                .flat_map(|part| part.law.corners())
                .filter(|e| *e > 0.0 && *e < greatest),
        );
        strains.sort_by(f64::total_cmp);
        strains.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        let sum = |of: &dyn Fn(&Law) -> f64| -> f64 { parts.iter().map(|p| p.share * of(p.law)).sum() };
        let mut points = vec![(0.0, sum(&|law| law.initial_stress()))];
        points.extend(strains.into_iter().map(|e| (e, sum(&|law| law.stress(e)))));
        stack(
            &parts,
            points,
            |foams| said!("foams side by side: {foams}", foams),
            |_, range| range,
        )
    }
}

/// The parts with shares that add up to one.
fn shares<'a>(parts: &[StackPart<'a>]) -> Result<Vec<StackPart<'a>>, LawError> {
    let whole: f64 = parts.iter().map(|part| part.share).sum();
    if parts.is_empty()
        || !parts
            .iter()
            .all(|part| part.share.is_finite() && part.share > 0.0)
    {
        return Err(LawError::Settings(
            "a stack needs foams with shares above zero".to_owned(),
        ));
    }
    for part in parts {
        part.law.check()?;
        if matches!(part.law.kind, LawKind::CushionCurves(_)) {
            return Err(LawError::Constants(
                "a family of cushion curves has no one stress at a strain and cannot stand in a stack; test the stack"
                    .to_owned(),
            ));
        }
    }
    Ok(parts
        .iter()
        .map(|part| StackPart {
            law: part.law,
            share: part.share / whole,
        })
        .collect())
}

fn stack(
    parts: &[StackPart<'_>],
    points: Vec<(f64, f64)>,
    how: fn(Said) -> Said,
    thickness: fn(&StackPart<'_>, (f64, f64)) -> (f64, f64),
) -> Result<Law, LawError> {
    let greatest_strain = points.last().map_or(0.0, |p| p.0);
    let mut range = LawRange {
        static_stress: None,
        greatest_strain,
        thickness: None,
        drop_height: None,
    };
    let meet = |so_far: Option<(f64, f64)>, next: Option<(f64, f64)>| match (so_far, next) {
        (Some((a, b)), Some((c, d))) => Some((a.max(c), b.min(d))),
        (one, other) => one.or(other),
    };
    for part in parts {
        range.drop_height = meet(range.drop_height, part.law.range.drop_height);
        range.static_stress = meet(range.static_stress, part.law.range.static_stress);
        range.thickness = meet(
            range.thickness,
            part.law.range.thickness.map(|own| thickness(part, own)),
        );
    }
    let foams = Said::row(
        parts.iter().map(|part| {
            let (share, foam) = (part.share * 100.0, part.law.source.said());
            said!("{share:.0} % of {foam}", share, foam)
        }),
        "; ",
    );
    Law {
        kind: LawKind::Table(points),
        range,
        gravity_in_fit: parts.iter().all(|part| part.law.gravity_in_fit),
        is_measured_dynamic: false,
        source: Source::derived(how(foams)),
    }
    .validated()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::{SeriesLayer, series_drop};
    use caddis_basis::{Certainty, Length, Pressure};

    fn law(kind: LawKind, greatest_strain: f64) -> Law {
        Law {
            kind,
            range: LawRange {
                static_stress: None,
                greatest_strain,
                thickness: Some((0.02, 0.1)),
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source: Source::new("test", Certainty::Invented),
        }
    }

    fn soft() -> Law {
        law(
            LawKind::ClosedCellGas {
                s0: 1e4,
                p0: 101_325.0,
                r: 0.03,
            },
            0.8,
        )
    }

    fn firm() -> Law {
        law(
            LawKind::ClosedCellGas {
                s0: 3e4,
                p0: 101_325.0,
                r: 0.05,
            },
            0.75,
        )
    }

    #[test]
    fn a_stack_of_one_foam_is_that_foam() {
        let soft = soft();
        let part = |share| StackPart { law: &soft, share };
        for stack in [
            Law::in_series(&[part(1.0), part(3.0)]).unwrap(),
            Law::in_parallel(&[part(2.0), part(1.0)]).unwrap(),
        ] {
            for strain in [0.01, 0.3, 0.6, 0.79] {
                assert!(
                    (stack.stress(strain) / soft.stress(strain) - 1.0).abs() < 2e-4,
                    "{strain}"
                );
                assert!(
                    (stack.energy(strain) / soft.energy(strain) - 1.0).abs() < 2e-4,
                    "{strain}"
                );
            }
        }
    }

    #[test]
    fn series_gives_back_the_drop_on_its_layers() {
        let (soft, firm) = (soft(), firm());
        let stack = Law::in_series(&[
            StackPart {
                law: &soft,
                share: 0.03,
            },
            StackPart {
                law: &firm,
                share: 0.02,
            },
        ])
        .unwrap();
        for stress in [500.0, 1500.0, 4000.0] {
            let (s, h) = (Pressure::from_si(stress), Length::mm(400.0));
            let layers = [
                SeriesLayer {
                    law: &soft,
                    thickness: Length::mm(30.0),
                },
                SeriesLayer {
                    law: &firm,
                    thickness: Length::mm(20.0),
                },
            ];
            let exact = series_drop(&layers, s, h).unwrap();
            let point = stack.cushion_point(s, h, Length::mm(50.0)).unwrap();
            assert!((point.peak / exact.peak - 1.0).abs() < 1e-3, "{stress}");
            let deflection = point.strain * 0.05;
            assert!(
                (deflection / exact.deflection.si() - 1.0).abs() < 1e-3,
                "{stress}"
            );
        }
        // Layers of 20 to 100 mm: the stack's own thickness range follows from the thinner share.
        let (low, high) = stack.range.thickness.unwrap();
        assert!(
            (low - 0.05).abs() < 1e-9 && (high - 0.1 / 0.6).abs() < 1e-9,
            "{low} {high}"
        );
    }

    #[test]
    fn parallel_lies_between_its_foams() {
        let (soft, firm) = (soft(), firm());
        let stack = Law::in_parallel(&[
            StackPart {
                law: &soft,
                share: 1.0,
            },
            StackPart {
                law: &firm,
                share: 1.0,
            },
        ])
        .unwrap();
        for strain in [0.1, 0.5, 0.7] {
            let mean = f64::midpoint(soft.stress(strain), firm.stress(strain));
            assert!((stack.stress(strain) / mean - 1.0).abs() < 1e-3);
        }
        assert!(!stack.is_measured_dynamic);
        assert!(Law::in_parallel(&[]).is_err());
    }
}
