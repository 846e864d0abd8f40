//! What a job knows of vibration: the spectra of its legs, its foams' dynamic data, its items' resonances.

use caddis_basis::{Duration, Measured, Speed};
use caddis_protection::vibration::{CushionVibration, Resonance, Spectrum};

/// What a job knows of vibration. Lists may be shorter than what they speak of: nothing is known of the rest.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct VibrationBrief {
    /// Measured dynamic data by index of [`crate::Brief::foams`].
    pub foams: Vec<Option<CushionVibration>>,
    /// By index of [`crate::Brief::items`].
    pub items: Vec<ItemVibration>,
    /// Legs that state a spectrum.
    pub legs: Vec<LegVibration>,
}

/// What is stated of one item.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ItemVibration {
    /// Its own resonances.
    pub resonances: Vec<Resonance>,
    /// Below this velocity change no shock harms it.
    pub critical_velocity_change: Option<Measured<Speed>>,
}

/// What one leg shakes like.
#[derive(Debug, Clone, PartialEq)]
pub struct LegVibration {
    /// Index of the leg.
    pub leg: usize,
    /// The spectrum of the vehicle's floor, taken as vertical.
    pub spectrum: Spectrum,
    /// Time under way.
    pub duration: Duration,
}
