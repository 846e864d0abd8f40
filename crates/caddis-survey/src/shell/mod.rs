//! The shell as surveyed: base, lid, intrusions, fittings.
//!
//! Axes: x along the length, y along the width, z up, lid on top. z = 0 at the base floor; the origin is the centre
//! of the opening's rectangle projected to the floor.
//!
//! Each half is described from its floor (the lid: from its crown) towards the rim. Between the two openings every
//! size and the corner radius run linearly with height; steps and a dome put further openings between them; the fillet
//! and the intrusions take room from that. The plan never shrinks towards the rim: what would is an error.

mod agree;
mod body;
mod boundary;
mod check;
mod clear;
mod depth;
mod depth_map;
mod error;
mod fit;
mod fitting;
mod goes_in;
mod inner;
mod intrusion;
mod profile;
mod reading;
mod rounded;
mod section;
mod span;
mod traced;
mod volume;

pub use clear::{ClearBlock, ClearCylinder, ClearSize};
pub use depth_map::{DepthMap, RoomOf};
pub use error::ShellError;
pub use fit::{FitError, HalfResidual, Residual, ScanFit, Supplied, fit_scan};
pub use fitting::{Callout, Fitting, FittingGroup, FittingState, GasketRim, Hinge, Photo};
pub use goes_in::{GoesIn, Room, Solid};
pub use intrusion::{Corner, Intrusion, IntrusionKind, OutlineShape, Position, Wall};
pub use reading::Reading;
pub use span::UnlockedSpan;
pub use traced::TracedSection;

use caddis_basis::{Angle, BenchUnit, Length, Mass, Measured, Said, Source, said};
use caddis_geometry::{Region, Vec2};

/// Which half.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HalfSide {
    /// The half that stands on the floor.
    Base,
    /// The half that opens.
    Lid,
}

impl HalfSide {
    /// In words: base, lid.
    pub fn said(self) -> Said {
        match self {
            Self::Base => said!("base"),
            Self::Lid => said!("lid"),
        }
    }

    /// What closes it, in words: floor, crown.
    pub(crate) fn end_said(self) -> Said {
        match self {
            Self::Base => said!("floor"),
            Self::Lid => said!("crown"),
        }
    }
}

/// A rectangle with rounded corners.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Along x.
    pub length: Measured<Length>,
    /// Along y.
    pub width: Measured<Length>,
    /// Plan radius of the corners.
    pub corner_radius: Measured<Length>,
    /// Centre, relative to the centre of the rim opening (zero for the rim itself).
    pub centre: Vec2,
}

/// A change in the walls between floor (or crown) and rim.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// How far from floor or crown, towards the rim.
    pub at: Measured<Length>,
    /// The opening just short of it.
    pub below: Opening,
    /// The opening just past it; the same where only the draft changes.
    pub above: Opening,
}

/// A crown (or floor) that rises in a curve beyond the opening stated as its floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Dome {
    /// How far; part of the depth.
    pub rise: Measured<Length>,
    /// The flat at its top. Between it and the crown's opening every size follows a quarter of an ellipse.
    pub flat: Opening,
}

/// One half of the shell.
#[derive(Debug, Clone, PartialEq)]
pub struct ShellHalf {
    /// Which half.
    pub side: HalfSide,
    /// At the rim plane.
    pub rim: Opening,
    /// At the floor (base) or crown (lid), before the floor fillet.
    pub floor: Opening,
    /// From rim plane to floor or crown.
    pub depth: Measured<Length>,
    /// Radius between floor or crown and walls.
    pub fillet: Measured<Length>,
    /// Wall thickness, for drawing and for the outside check.
    pub wall: Measured<Length>,
    /// Further openings, from floor or crown towards the rim.
    pub steps: Vec<Step>,
    /// A curved crown or floor.
    pub dome: Option<Dome>,
    /// Drafts of the walls left, right, front and back where the survey states them beside both openings; the openings
    /// rule, the drafts are compared with them.
    pub stated_drafts: Option<[Measured<Angle>; 4]>,
    /// What stands in.
    pub intrusions: Vec<Intrusion>,
    /// Sections traced or cut from a scan, from floor or crown towards the rim; none where the sizes above say it all.
    pub traced: Vec<TracedSection>,
}

/// An inner half-space of a drafted wall or of a chord of a corner: `normal . p <= offset + slope * z` for points inside,
/// z in case coordinates. Inner: never leaves the true room (fillet excepted: it is an obstacle).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfSpace {
    /// Outward unit normal in plan.
    pub normal: Vec2,
    /// Metres at z = 0.
    pub offset: f64,
    /// Metres per metre of z.
    pub slope: f64,
}

/// Matter in the way: `outline` (Outer) between two heights, case coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct Obstacle {
    /// Name of the intrusion ("floor fillet" or "crown fillet" for the ring of the fillet, "stepped wall" or "stepped
    /// crown" for what steps and a dome leave, "traced walls" for what traced sections take).
    pub name: String,
    /// Whether it is part of the walls (fillet, steps, dome, traced sections), which [`Shell::wall_section`] has already.
    pub is_wall: bool,
    /// Outer plan outline.
    pub outline: Region,
    /// Lower height, metres.
    pub low: f64,
    /// Upper height, metres.
    pub high: f64,
}

/// Who measured what and when.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SurveyRecord {
    /// Which sample.
    pub sample: String,
    /// Its mould revision.
    pub mould_revision: String,
    /// Who measured.
    pub measured_by: String,
    /// ISO date.
    pub measured_on: String,
    /// The unit on the bench.
    pub bench_unit: Option<BenchUnit>,
}

/// A surveyed case.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell {
    /// Id in the library.
    pub name: String,
    /// Title on papers.
    pub title: String,
    /// The base.
    pub base: ShellHalf,
    /// The lid.
    pub lid: ShellHalf,
    /// Outside length, width and height closed, including wheels, handles and latches.
    pub outside: [Measured<Length>; 3],
    /// Mass without interior.
    pub empty_mass: Measured<Mass>,
    /// The nominal (catalogue) inside box, to compare with; `None` when nobody states one.
    pub nominal_inside: Option<[Length; 3]>,
    /// Inside height closed, floor to crown, where it was measured apart from the two depths.
    pub total_depth: Option<Measured<Length>>,
    /// The gasket.
    pub gasket: Option<GasketRim>,
    /// The hinge.
    pub hinge: Option<Hinge>,
    /// Lid force area is the rim opening unless stated; maker's stacking rating if any.
    pub stacking_rating: Option<Measured<Mass>>,
    /// Fittings by group.
    pub fittings: Vec<Fitting>,
    /// Photos of the sample.
    pub photos: Vec<Photo>,
    /// The record.
    pub record: SurveyRecord,
    /// The default source of its dimensions.
    pub source: Source,
}

impl ShellHalf {
    /// The opening at the rim, as a region about the shell's origin, arcs kept.
    pub fn rim_region(&self) -> Region {
        profile::Profile::nominal(self)
            .walls_at(self.depth.value.si())
            .region()
    }

    /// Heights over floor or crown, from zero to the depth, between which the walls run straight (fillet aside), metres.
    pub fn straight_between(&self) -> Vec<f64> {
        let mut heights: Vec<f64> = profile::Profile::nominal(self)
            .stations
            .iter()
            .map(|station| station.height)
            .chain(self.traced.iter().map(|section| section.at.value.si()))
            .collect();
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        heights
    }
}

impl Shell {
    /// One half.
    pub fn half(&self, side: HalfSide) -> &ShellHalf {
        match side {
            HalfSide::Base => &self.base,
            HalfSide::Lid => &self.lid,
        }
    }

    /// Height of the rim plane above the base floor.
    pub fn rim_height(&self) -> Length {
        self.base.depth.value
    }

    /// Height of the lid's crown above the base floor.
    pub fn crown_height(&self) -> Length {
        self.base.depth.value + self.lid.depth.value
    }
}

#[cfg(test)]
mod detail_tests;
#[cfg(test)]
mod tests;
