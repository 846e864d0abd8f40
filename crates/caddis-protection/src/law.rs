//! Foam laws: their forms, their range, and what makes one valid.

mod convoluted;
mod curves;
mod gibson_ashby;
mod spring;
mod stack;

pub use curves::{CushionCurves, MeasuredCurve};
pub use gibson_ashby::gibson_ashby;
pub use spring::SpringLaw;
pub use stack::StackPart;

use caddis_basis::{Certainty, Length, Said, Source};
use std::borrow::Cow;

/// The mathematical form of a law. Stresses in pascals, strains as fractions of the thickness.
#[derive(Debug, Clone, PartialEq)]
pub enum LawKind {
    /// sigma = a / (1 - a b e): the equivalent law of the stress-energy fit G s = a exp(b s h / t).
    StressEnergy {
        /// Pa.
        a: f64,
        /// 1/Pa.
        b: f64,
    },
    /// sigma = s0 + p0 e / (1 - e - r): plateau and compressed gas.
    ClosedCellGas {
        /// Plateau stress, Pa.
        s0: f64,
        /// Effective gas pressure, Pa.
        p0: f64,
        /// Solid fraction.
        r: f64,
    },
    /// Measured (strain, stress Pa) points, rising strains from 0.
    Table(Vec<(f64, f64)>),
    /// One of Mindlin's cushions.
    Spring(SpringLaw),
    /// Measured cushion curves. They have no one stress at a strain: [`Law::at`] gives the law of one working point,
    /// and every other question at a strain answers NaN or `None`.
    CushionCurves(CushionCurves),
}

/// Where a law may be used.
#[derive(Debug, Clone, PartialEq)]
pub struct LawRange {
    /// Static stress, Pa.
    pub static_stress: Option<(f64, f64)>,
    /// Strain.
    pub greatest_strain: f64,
    /// Thickness, m.
    pub thickness: Option<(f64, f64)>,
    /// Drop height, m.
    pub drop_height: Option<(f64, f64)>,
}

/// A law with its range, its source and whether gravity's work in the stroke is already in its fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Law {
    /// The form.
    pub kind: LawKind,
    /// Where it holds.
    pub range: LawRange,
    /// True for fits to measured cushion curves: they already contain gravity's work in the stroke.
    pub gravity_in_fit: bool,
    /// True when dynamic (impact) data back it: then a verdict may be `holds`; else `indicative`.
    pub is_measured_dynamic: bool,
    /// Where it comes from.
    pub source: Source,
}

/// Why a law cannot answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LawError {
    /// Constants that make no law.
    #[error("{0}")]
    Constants(String),
    /// The foam is crushed solid before the energy is spent.
    #[error("the foam bottoms: the drop's energy exceeds what the law can take before it is crushed solid")]
    Bottoms,
    /// Beyond what was measured: there is no answer, and none is made up.
    #[error("{0}")]
    Outside(Said),
    /// A drop, patch or request that makes no sense.
    #[error("{0}")]
    Settings(String),
    /// No patch of foam in the way.
    #[error("no foam lies in the direction of the fall")]
    NoPatch,
    /// No thickness up to 1 m does it; the words say what the foam can do at best.
    #[error("no foam thickness up to 1 m {0}")]
    NoThickness(String),
}

impl Law {
    /// The law itself if its constants, range and claims make sense.
    ///
    /// # Errors
    /// As [`Law::check`].
    pub fn validated(self) -> Result<Self, LawError> {
        self.check()?;
        Ok(self)
    }

    /// Whether constants, range and claims make sense.
    ///
    /// # Errors
    /// Constants that are not finite or not positive; a table that does not start at strain 0, does not rise, or
    /// takes no energy; a greatest strain at or beyond the strain where the law ends; a range upside down; a claim
    /// of impact data whose source is neither measured nor published.
    pub fn check(&self) -> Result<(), LawError> {
        let complain = |words: String| Err(LawError::Constants(words));
        match &self.kind {
            LawKind::StressEnergy { a, b } => {
                if !(positive(*a) && positive(*b) && positive(a * b)) {
                    return complain(format!(
                        "stress-energy constants a = {a} Pa and b = {b} 1/Pa must be positive"
                    ));
                }
            }
            LawKind::ClosedCellGas { s0, p0, r } => {
                if !(s0.is_finite() && *s0 >= 0.0) {
                    return complain(format!("plateau stress {s0} Pa must not be negative"));
                }
                if !positive(*p0) {
                    return complain(format!("gas pressure {p0} Pa must be positive"));
                }
                if !(0.0..1.0).contains(r) {
                    return complain(format!("solid fraction {r} must lie from 0 to below 1"));
                }
            }
            LawKind::Table(points) => check_table(points)?,
            LawKind::Spring(spring) => spring.check()?,
            // Checked when it was made.
            LawKind::CushionCurves(_) => {}
        }
        let greatest = self.range.greatest_strain;
        let last = self.last_strain();
        if !positive(greatest) || greatest > last || (greatest == last && self.has_pole()) {
            return complain(format!(
                "greatest strain {greatest} must lie between 0 and {last}, where the law ends"
            ));
        }
        for (what, range) in [
            ("static stress", self.range.static_stress),
            ("thickness", self.range.thickness),
            ("drop height", self.range.drop_height),
        ] {
            if let Some((low, high)) = range
                && !(low >= 0.0 && low <= high && high.is_finite())
            {
                return complain(format!(
                    "range of {what} from {low} to {high} is upside down or negative"
                ));
            }
        }
        let backed = matches!(
            self.source.certainty,
            Certainty::Published | Certainty::Secondary | Certainty::Measured
        );
        if self.is_measured_dynamic && !backed {
            return complain(format!(
                "a law called measured in impact has a source marked \"{}\"",
                self.source.certainty
            ));
        }
        Ok(())
    }

    /// The strain at which the law ends: its pole, or the last point of its table.
    ///
    /// # Source
    /// Stress-energy: 1/(a b); gas: 1 - r; both derived from the form.
    pub fn last_strain(&self) -> f64 {
        match &self.kind {
            LawKind::StressEnergy { a, b } => 1.0 / (a * b),
            LawKind::ClosedCellGas { r, .. } => 1.0 - r,
            LawKind::Table(points) => points.last().map_or(0.0, |p| p.0),
            LawKind::Spring(spring) => spring.last_strain(),
            LawKind::CushionCurves(curves) => curves.last_strain(),
        }
    }

    /// Whether the stress grows without bound towards the last strain.
    pub(crate) fn has_pole(&self) -> bool {
        match &self.kind {
            LawKind::StressEnergy { .. } | LawKind::ClosedCellGas { .. } => true,
            LawKind::Table(_) | LawKind::CushionCurves(_) => false,
            LawKind::Spring(spring) => spring.has_pole(),
        }
    }

    /// The law at one working point: itself, unless it is a family of cushion curves, which gives the equivalent table
    /// of that height and thickness ([`CushionCurves::table`]).
    ///
    /// Whoever asks for stress at a strain (a simulation) asks the law that this returns.
    ///
    /// # Errors
    /// [`LawError::Outside`] where the family was not measured.
    pub fn at(&self, height: Length, thickness: Length) -> Result<Cow<'_, Self>, LawError> {
        let LawKind::CushionCurves(curves) = &self.kind else {
            return Ok(Cow::Borrowed(self));
        };
        let points = curves.table(height, thickness)?;
        let last = points.last().map_or(0.0, |p| p.0);
        Ok(Cow::Owned(Self {
            kind: LawKind::Table(points),
            range: LawRange {
                greatest_strain: self.range.greatest_strain.min(last),
                ..self.range.clone()
            },
            gravity_in_fit: self.gravity_in_fit,
            is_measured_dynamic: self.is_measured_dynamic,
            source: self.source.clone(),
        }))
    }

    /// Whether it is a family of cushion curves, to be asked through [`Law::at`].
    pub fn is_family(&self) -> bool {
        matches!(self.kind, LawKind::CushionCurves(_))
    }
}

fn positive(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

fn check_table(points: &[(f64, f64)]) -> Result<(), LawError> {
    let complain = |words: String| Err(LawError::Constants(words));
    if points.len() < 2 {
        return complain("a table of stress against strain needs at least two points".to_owned());
    }
    if let Some((strain, stress)) = points
        .iter()
        .find(|(e, s)| !(e.is_finite() && s.is_finite() && *s >= 0.0))
    {
        return complain(format!(
            "table point ({strain}, {stress} Pa) is not finite or pulls"
        ));
    }
    if points[0].0 != 0.0 {
        return complain(format!("the table starts at strain {}, not at 0", points[0].0));
    }
    if let Some(pair) = points.windows(2).find(|pair| pair[1].0 <= pair[0].0) {
        return complain(format!("the table's strains do not rise after {}", pair[0].0));
    }
    if points.iter().all(|p| p.1 == 0.0) {
        return complain("the table takes no energy".to_owned());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law(kind: LawKind, greatest_strain: f64) -> Law {
        Law {
            kind,
            range: LawRange {
                static_stress: None,
                greatest_strain,
                thickness: None,
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source: Source::new("test", Certainty::Invented),
        }
    }

    #[test]
    fn accepts_good_laws() {
        assert!(
            law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.9)
                .validated()
                .is_ok()
        );
        assert!(
            law(
                LawKind::ClosedCellGas {
                    s0: 0.0,
                    p0: 1e5,
                    r: 0.03
                },
                0.8
            )
            .validated()
            .is_ok()
        );
        assert!(
            law(LawKind::Table(vec![(0.0, 0.0), (0.5, 1e5)]), 0.5)
                .validated()
                .is_ok()
        );
    }

    #[test]
    fn refuses_constants_that_make_no_law() {
        let bad = [
            law(LawKind::StressEnergy { a: f64::NAN, b: 1e-5 }, 0.5),
            law(LawKind::StressEnergy { a: 3e4, b: -1e-5 }, 0.5),
            law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.96),
            law(
                LawKind::ClosedCellGas {
                    s0: -1.0,
                    p0: 1e5,
                    r: 0.03,
                },
                0.5,
            ),
            law(
                LawKind::ClosedCellGas {
                    s0: 1.0,
                    p0: 1e5,
                    r: 1.0,
                },
                0.5,
            ),
            law(
                LawKind::ClosedCellGas {
                    s0: 1.0,
                    p0: 1e5,
                    r: 0.03,
                },
                0.97,
            ),
            law(LawKind::Table(vec![]), 0.5),
            law(LawKind::Table(vec![(0.1, 0.0), (0.5, 1e5)]), 0.5),
            law(LawKind::Table(vec![(0.0, 0.0), (0.5, 1e5), (0.5, 2e5)]), 0.5),
            law(LawKind::Table(vec![(0.0, 0.0), (0.5, -1.0)]), 0.5),
            law(LawKind::Table(vec![(0.0, 0.0), (0.5, 0.0)]), 0.5),
            law(LawKind::Table(vec![(0.0, 0.0), (0.5, 1e5)]), 0.51),
        ];
        for case in bad {
            assert!(case.check().is_err(), "{case:?}");
        }
        let mut upside_down = law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.9);
        upside_down.range.thickness = Some((0.1, 0.05));
        assert!(upside_down.check().is_err());
        let mut boasting = law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.9);
        boasting.is_measured_dynamic = true;
        assert!(boasting.check().is_err());
    }
}
