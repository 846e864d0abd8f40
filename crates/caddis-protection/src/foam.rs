//! A foam: its law and what else design needs to know of it.

use crate::Law;
use caddis_basis::{Density, Length, Pressure, Source, Temperature};

/// A foam as the library lists it.
#[derive(Debug, Clone, PartialEq)]
pub struct Foam {
    /// Id in the library.
    pub name: String,
    /// Title on papers ("closed-cell polyethylene, 29 kg/m³, generic").
    pub title: String,
    /// Base material as the trade says it ("cross-linked polyethylene").
    pub material: String,
    /// Bulk density.
    pub density: Density,
    /// Closed-cell or open-cell.
    pub closed_cell: bool,
    /// The law.
    pub law: Law,
    /// Static stress above which creep over months passes 10 % (data, with its own certainty).
    pub creep_limit: Option<(Pressure, Source)>,
    /// Working temperatures.
    pub temperatures: Option<(Temperature, Temperature)>,
    /// Clearance (+) or squeeze (-) per side between a cavity and its item.
    pub cavity_clearance: Length,
    /// Oversize per side of blocks against the shell wall: least and most of the target squeeze range.
    pub wall_squeeze: (Length, Length),
    /// Least web between cavities.
    pub least_web: Length,
    /// Colour on pictures, sRGB.
    pub colour: [u8; 3],
    /// Source of the entry.
    pub source: Source,
}

/// One check of a foam (creep, buckling) with its numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamCheck {
    /// What was found, SI.
    pub found: f64,
    /// The limit, SI.
    pub limit: f64,
    /// The rule's source.
    pub source: Source,
}

impl Foam {
    /// Static stress against the creep limit; `None` when the entry has no limit.
    pub fn creep(&self, static_stress: Pressure) -> Option<FoamCheck> {
        let _ = static_stress;
        todo!()
    }

    /// Area of one free-standing pad against (1.33 t)²; limit is the least area in m².
    pub fn buckling(&self, pad_area: caddis_basis::Area, thickness: Length) -> FoamCheck {
        let _ = (pad_area, thickness);
        todo!()
    }
}
