//! The shell as surveyed: base, lid, intrusions, fittings.
//!
//! Axes: x along the length, y along the width, z up, lid on top. z = 0 at the base floor; the origin is the centre
//! of the opening's rectangle projected to the floor.
//!
//! Each half is described from its floor (the lid: from its crown) towards the rim. Between the two openings every
//! size and the corner radius run linearly with height; the fillet and the intrusions take room from that.

mod check;
mod depth;
mod error;
mod inner;
mod profile;
mod section;
mod volume;

pub use error::ShellError;

use caddis_basis::{Angle, Length, Mass, Measured, Source};
use caddis_geometry::{Region, Vec2};

/// Which half.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HalfSide {
    /// The half that stands on the floor.
    Base,
    /// The half that opens.
    Lid,
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

/// What an intrusion is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum IntrusionKind {
    /// Houses a wheel.
    WheelHousing,
    /// Houses the pull handle.
    PullHandleHousing,
    /// Stiffens the floor or the crown.
    Rib,
    /// Stands up to take a screw or a lid frame.
    Boss,
    /// Any other.
    Other,
}

/// The plan outline of an intrusion at its root (floor or crown), before draft.
#[derive(Debug, Clone, PartialEq)]
pub enum OutlineShape {
    /// Axis-aligned rectangle.
    Rectangle {
        /// Centre.
        centre: Vec2,
        /// Along x.
        length: Length,
        /// Along y.
        width: Length,
        /// Corner radius.
        corner_radius: Length,
    },
    /// Circle.
    Circle {
        /// Centre.
        centre: Vec2,
        /// Radius.
        radius: Length,
    },
}

/// Moulded matter that stands into the room of a half, from its floor (base) or crown (lid), from a wall or corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Intrusion {
    /// Name on papers ("wheel housing left").
    pub name: String,
    /// What it is.
    pub kind: IntrusionKind,
    /// Plan outline at the root (its widest section, at `from`). Where it reaches past the wall it ends in the wall.
    pub outline: OutlineShape,
    /// How far it starts from the floor (base) or crown (lid), towards the rim; usually zero.
    pub from: Length,
    /// How far it reaches from the floor or crown towards the rim; less than or equal to the depth.
    pub to: Measured<Length>,
    /// Draft of its own sides: the outline shrinks towards the rim by tan(draft) per length.
    pub draft: Angle,
    /// May be knocked or milled off for this job.
    pub removable: bool,
    /// Has been taken off for this job: then it takes no room.
    pub removed: bool,
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
    pub wall: Length,
    /// What stands in.
    pub intrusions: Vec<Intrusion>,
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
    /// Name of the intrusion ("floor fillet" or "crown fillet" for the ring of the fillet).
    pub name: String,
    /// Outer plan outline.
    pub outline: Region,
    /// Lower height, metres.
    pub low: f64,
    /// Upper height, metres.
    pub high: f64,
}

/// The groups a customer asks about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FittingGroup {
    /// Latches, padlock points.
    Closing,
    /// Wheels, handles.
    Moving,
    /// Gasket, valve.
    Sealing,
    /// Stacking features.
    Stacking,
    /// Flat places for labels.
    Marking,
}

/// Something fitted to the shell.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitting {
    /// What ("padlock point", "pressure valve", "wheel").
    pub name: String,
    /// The group it belongs to.
    pub group: FittingGroup,
    /// How many.
    pub count: u32,
    /// State and remarks.
    pub note: String,
}

/// Who measured what and when.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SurveyRecord {
    /// Which sample, its mould revision.
    pub sample: String,
    /// Who measured.
    pub measured_by: String,
    /// ISO date.
    pub measured_on: String,
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
    /// Lid force area is the rim opening unless stated; maker's stacking rating if any.
    pub stacking_rating: Option<Measured<Mass>>,
    /// Fittings by group.
    pub fittings: Vec<Fitting>,
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
mod tests;
