//! A flat drop on a group of parallel patches, by energy balance.

use crate::{Law, LawError, Patch};
use caddis_basis::{Acceleration, Length, Mass, Pressure};

/// What falls how far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropSettings {
    /// Mass carried by the patches (the item and whatever leans on it along the load path).
    pub mass: Mass,
    /// Height of fall.
    pub height: Length,
}

/// What a flat drop does.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatDrop {
    /// Peak acceleration at the centre of mass, in G of the item.
    pub peak: Acceleration,
    /// Greatest deflection.
    pub deflection: Length,
    /// Largest strain over the patches.
    pub strain: f64,
    /// Bottoming margin: 1 - strain / greatest strain of the law's range; negative when bottomed.
    pub bottoming_margin: f64,
    /// Mean static stress: weight over bearing area.
    pub static_stress: Pressure,
    /// Whether static stress, thickness, height and strain lie inside the law's range; the words say what does not.
    pub out_of_range: Vec<String>,
}

/// The flat drop along the patches' common direction: all patches deflect alike (those with a gap later), energy balance
/// m (h + x) g = sum A t w(x/t) (the x term left out when the law's fit already contains gravity's work).
///
/// # Errors
/// The foam bottoms; no patch.
pub fn flat_drop(laws: &[Law], patches: &[Patch], settings: &DropSettings) -> Result<FlatDrop, LawError> {
    let _ = (laws, patches, settings);
    todo!()
}
