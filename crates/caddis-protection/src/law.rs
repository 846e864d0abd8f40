//! Foam laws: stress against strain, and the energy under it.

use caddis_basis::Source;

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
    #[error("the foam bottoms: the drop's energy exceeds what the law can take at its greatest strain")]
    Bottoms,
}
