//! What a shock does to things: histories, pulse measures, laboratory filters, shock spectra, damage boundaries.
//!
//! A fall, simulated or recorded, is a history of acceleration at even steps. `history` holds and measures it, `pulse`
//! has the ideal shapes of the handbooks, `low_pass` filters as test laboratories do, `shock_spectrum` says what a
//! simple item would feel of it, `damage_boundary` holds it against an item's two limits.

mod damage_boundary;
mod history;
mod low_pass;
mod pulse;
mod shock_spectrum;

pub use damage_boundary::{DamageBoundary, DamageJudgement, KNEE};
pub use history::{History, PulseMeasures};
pub use low_pass::{FrequencyClass, LowPass, gentlest_corner};
pub use pulse::{Pulse, PulseShape};
pub use shock_spectrum::{ShockSpectrum, SpectrumPoint, shock_spectrum};

/// Why a response cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ResponseError {
    /// A history that is none.
    #[error("{0}")]
    History(String),
    /// A setting that makes no sense.
    #[error("{0}")]
    Settings(String),
}
