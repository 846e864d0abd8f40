//! Sizing: how much foam a side needs.

use crate::{Foam, LawError};
use caddis_basis::{Acceleration, Area, Length, Mass};

/// What must be held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeRequest {
    /// Mass carried along the load path.
    pub mass: Mass,
    /// Bearing area available on this side.
    pub area: Area,
    /// Height of fall.
    pub height: Length,
    /// Largest acceleration allowed (fragility); `None` when unknown: then the need is the thickness that the class
    /// default asks for and the reverse answer is given by verification.
    pub limit: Option<Acceleration>,
    /// Least thickness whatever the law says.
    pub least: Length,
}

/// What a side needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Foam thickness.
    pub thickness: Length,
    /// Bearing area that thickness assumes (less than available when full support is too stiff).
    pub area: Area,
    /// Least area of one pad that will not buckle, if pads stand free.
    pub least_pad: Area,
    /// Peak acceleration expected with that thickness and area.
    pub expected: Acceleration,
}

/// Thickness and area for one side.
///
/// # Errors
/// No thickness up to 1 m holds the limit on any area: the message says what the foam can do at best.
pub fn size(foam: &Foam, request: &SizeRequest) -> Result<Need, LawError> {
    let _ = (foam, request);
    todo!()
}
