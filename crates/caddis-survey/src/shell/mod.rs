//! The shell as surveyed: base, lid, intrusions, fittings.
//!
//! Axes: x along the length, y along the width, z up, lid on top. z = 0 at the base floor; the origin is the centre
//! of the opening's rectangle projected to the floor. The hinge lies along the -y... side named by `hinge_side`.

use caddis_basis::{Angle, Finding, Length, Mass, Measured, Source, Volume};
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
    /// Plan outline at the root (its widest section). Where it reaches past the wall it simply ends in the wall.
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
    /// Name of the intrusion ("floor fillet" for the ring of the fillet).
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

impl Shell {
    /// Height of the rim plane above the base floor.
    pub fn rim_height(&self) -> Length {
        self.base.depth.value
    }

    /// Height of the lid's crown above the base floor.
    pub fn crown_height(&self) -> Length {
        self.base.depth.value + self.lid.depth.value
    }

    /// The free plan at height `z` (metres, case coordinates), nominal: walls with draft, radii and fillet, minus
    /// intrusions. Empty outside the room. Arcs are arcs.
    pub fn section(&self, z: f64) -> Region {
        let _ = z;
        todo!()
    }

    /// As [`Shell::section`] with every dimension at its unfavourable limit (worst-case tolerance).
    pub fn least_section(&self, z: f64) -> Region {
        let _ = z;
        todo!()
    }

    /// Free room below the rim plane at a plan point: from the highest base matter there up to the rim; zero outside.
    pub fn base_depth_at(&self, p: Vec2) -> Length {
        let _ = p;
        todo!()
    }

    /// Height of the base's matter at a plan point (0 on the bare floor, higher on fillet, housing, rib), metres above
    /// the floor; `None` outside the rim opening. Where the wall stands over the point the wall's height counts.
    pub fn floor_height(&self, p: Vec2) -> Option<f64> {
        let _ = p;
        todo!()
    }

    /// Height of the lid's lowest matter above a plan point; `None` outside the rim opening.
    pub fn crown_height_at(&self, p: Vec2) -> Option<f64> {
        let _ = p;
        todo!()
    }

    /// Inner half-spaces of one half.
    pub fn half_spaces(&self, side: HalfSide) -> Vec<HalfSpace> {
        let _ = side;
        todo!()
    }

    /// Obstacles of one half: intrusions in bands (Outer) and the fillet ring in bands.
    pub fn obstacles(&self, side: HalfSide) -> Vec<Obstacle> {
        let _ = side;
        todo!()
    }

    /// Usable volume of one half: the integral of the sections.
    pub fn usable_volume(&self, side: HalfSide) -> Volume {
        let _ = side;
        todo!()
    }

    /// Where the nominal box loses its volume: (cause, volume lost), summing to nominal minus usable of both halves.
    pub fn volume_ledger(&self) -> Vec<(String, Volume)> {
        todo!()
    }

    /// Draft of the four walls (-x, +x, -y, +y) of a half.
    pub fn drafts(&self, side: HalfSide) -> [Angle; 4] {
        let _ = side;
        todo!()
    }

    /// Checks the survey against itself: floor larger than opening, intrusion outside the shell, unlikely drafts,
    /// radius too large, inside larger than outside, negative sizes.
    pub fn check(&self) -> Vec<Finding> {
        todo!()
    }
}
