//! Vibration on the way: spectra, what a cushion makes of them, and what that does to an item's own resonances.
//!
//! `spectrum` holds an acceleration spectral density between straight lines on log-log paper, `published` those of the
//! transport standards with how sure each is, `welch` estimates one from a recording. `oscillator` is the item on its
//! cushion, `cushion` the measured data that say how stiff it is, `exposure` the time an item's resonance is past what
//! it stands. A cushion law that starts at a finite stress has no tangent there: it gives no natural frequency, and
//! without measured dynamic data the answer is not known.

mod cushion;
mod exposure;
mod oscillator;
mod published;
mod spectrum;
mod welch;

pub use cushion::{
    CushionRow, CushionVibration, NotKnown, USUAL_AMPLIFICATION, USUAL_NATURAL_FREQUENCY, usual_range_words,
};
pub use exposure::{Exposure, Resonance, exposure};
pub use oscillator::{Oscillator, RandomResponse};
pub use published::{PublishedSpectrum, published_spectra};
pub use spectrum::Spectrum;
pub use welch::{Estimate, WelchSettings, Window, welch};

/// Why there is no answer about vibration.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum VibrationError {
    /// A spectrum that is none.
    #[error("{0}")]
    Spectrum(String),
    /// Data or settings that make no sense.
    #[error("{0}")]
    Settings(String),
}
