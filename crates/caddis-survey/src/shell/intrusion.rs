//! Moulded matter that stands into the room, as a bench measures it.

use super::profile::Root;
use super::{Opening, ShellHalf};
use caddis_basis::{Angle, Length, Measured, Said, said};
use caddis_geometry::{Region, Vec2};

/// One of the four walls, by the axis it stands across.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Wall {
    /// At -x.
    Left,
    /// At +x.
    Right,
    /// At -y.
    Front,
    /// At +y.
    Back,
}

/// One of the four corners.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Corner {
    /// At -x, -y.
    LeftFront,
    /// At -x, +y.
    LeftBack,
    /// At +x, -y.
    RightFront,
    /// At +x, +y.
    RightBack,
}

/// A measured place in plan, about the middle of the rim opening.
#[derive(Debug, Clone, PartialEq)]
pub struct Position {
    /// Along the length.
    pub x: Measured<Length>,
    /// Along the width.
    pub y: Measured<Length>,
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
    /// Room for a hinge behind the wall.
    HingePocket,
    /// Room for a latch behind the wall.
    LatchPocket,
    /// Any other.
    Other,
}

/// The plan outline of an intrusion at its root, before draft, fillet left out; its form also says what it is attached to.
#[derive(Debug, Clone, PartialEq)]
pub enum OutlineShape {
    /// Axis-aligned rectangle on floor or crown.
    Rectangle {
        /// Centre.
        centre: Position,
        /// Along x.
        length: Measured<Length>,
        /// Along y.
        width: Measured<Length>,
        /// Corner radius.
        corner_radius: Measured<Length>,
    },
    /// Circle on floor or crown.
    Circle {
        /// Centre.
        centre: Position,
        /// Radius.
        radius: Measured<Length>,
    },
    /// Any outline on floor or crown: its corners in order, either way round, rounded alike.
    Polygon {
        /// Corners before rounding, three or more.
        points: Vec<Position>,
        /// Radius of every corner that has room for it.
        corner_radius: Measured<Length>,
    },
    /// Attached to a wall.
    OnWall {
        /// Which.
        wall: Wall,
        /// Its middle along the wall, from the middle of the rim opening.
        along: Measured<Length>,
        /// Along the wall.
        width: Measured<Length>,
        /// From the wall's foot (where floor or crown meets it, fillet left out) into the room.
        stands_in: Measured<Length>,
        /// Radius of its two free corners.
        corner_radius: Measured<Length>,
    },
    /// Attached to a corner.
    InCorner {
        /// Which.
        corner: Corner,
        /// From the foot of the end wall (left or right) into the room.
        length: Measured<Length>,
        /// From the foot of the long wall (front or back) into the room.
        width: Measured<Length>,
        /// Radius of its free corner.
        corner_radius: Measured<Length>,
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
    pub from: Measured<Length>,
    /// How far it reaches from the floor or crown towards the rim; less than or equal to the depth.
    pub to: Measured<Length>,
    /// Draft of its own sides: the outline shrinks towards the rim by tan(draft) per length.
    pub draft: Measured<Angle>,
    /// Radius between its sides and what it stands on; only where it starts at floor or crown.
    pub fillet: Measured<Length>,
    /// May be knocked or milled off for this job.
    pub removable: bool,
    /// Has been taken off for this job: then it takes no room.
    pub removed: bool,
}

impl Wall {
    /// All four, in the order of every list of walls.
    pub const ALL: [Self; 4] = [Self::Left, Self::Right, Self::Front, Self::Back];

    /// As files and papers say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Front => "front",
            Self::Back => "back",
        }
    }

    /// In words.
    pub fn said(self) -> Said {
        match self {
            Self::Left => said!("left"),
            Self::Right => said!("right"),
            Self::Front => said!("front"),
            Self::Back => said!("back"),
        }
    }

    /// The outward unit normal.
    pub fn normal(self) -> Vec2 {
        match self {
            Self::Left => Vec2::new(-1.0, 0.0),
            Self::Right => Vec2::new(1.0, 0.0),
            Self::Front => Vec2::new(0.0, -1.0),
            Self::Back => Vec2::new(0.0, 1.0),
        }
    }

    /// Where it stands in an opening: the coordinate along its normal's axis, metres.
    pub(super) fn foot(self, opening: &Opening) -> f64 {
        match self {
            Self::Left => opening.centre.x - opening.length.value.si() / 2.0,
            Self::Right => opening.centre.x + opening.length.value.si() / 2.0,
            Self::Front => opening.centre.y - opening.width.value.si() / 2.0,
            Self::Back => opening.centre.y + opening.width.value.si() / 2.0,
        }
    }
}

impl Corner {
    /// All four.
    pub const ALL: [Self; 4] = [Self::LeftFront, Self::LeftBack, Self::RightFront, Self::RightBack];

    /// As files and papers say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::LeftFront => "left-front",
            Self::LeftBack => "left-back",
            Self::RightFront => "right-front",
            Self::RightBack => "right-back",
        }
    }

    /// The two walls that meet there: across x, then across y.
    pub fn walls(self) -> (Wall, Wall) {
        match self {
            Self::LeftFront => (Wall::Left, Wall::Front),
            Self::LeftBack => (Wall::Left, Wall::Back),
            Self::RightFront => (Wall::Right, Wall::Front),
            Self::RightBack => (Wall::Right, Wall::Back),
        }
    }
}

impl Position {
    /// The point, metres.
    pub fn point(&self) -> Vec2 {
        Vec2::new(self.x.value.si(), self.y.value.si())
    }
}

impl From<Vec2> for Position {
    /// A place nobody gave a tolerance for, from metres.
    fn from(p: Vec2) -> Self {
        Self {
            x: Measured::exact(Length::from_si(p.x)),
            y: Measured::exact(Length::from_si(p.y)),
        }
    }
}

impl IntrusionKind {
    /// As files and papers say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::WheelHousing => "wheel-housing",
            Self::PullHandleHousing => "pull-handle-housing",
            Self::Rib => "rib",
            Self::Boss => "boss",
            Self::HingePocket => "hinge-pocket",
            Self::LatchPocket => "latch-pocket",
            Self::Other => "other",
        }
    }
}

impl OutlineShape {
    /// What it is attached to, for papers: "floor" (which stands for the crown of a lid too), a wall or a corner.
    pub fn attached_to(&self) -> &'static str {
        match self {
            Self::Rectangle { .. } | Self::Circle { .. } | Self::Polygon { .. } => "floor",
            Self::OnWall { wall, .. } => wall.words(),
            Self::InCorner { corner, .. } => corner.words(),
        }
    }

    /// Every measured number with its name.
    pub fn numbers(&self) -> Vec<(Said, &Measured<Length>)> {
        match self {
            Self::Rectangle {
                centre,
                length,
                width,
                corner_radius,
            } => vec![
                (said!("centre x"), &centre.x),
                (said!("centre y"), &centre.y),
                (said!("length"), length),
                (said!("width"), width),
                (said!("corner radius"), corner_radius),
            ],
            Self::Circle { centre, radius } => vec![
                (said!("centre x"), &centre.x),
                (said!("centre y"), &centre.y),
                (said!("radius"), radius),
            ],
            Self::Polygon {
                points,
                corner_radius,
            } => points
                .iter()
                .enumerate()
                .flat_map(|(k, p)| {
                    [
                        (said!("corner {number} x", number = k + 1), &p.x),
                        (said!("corner {number} y", number = k + 1), &p.y),
                    ]
                })
                .chain([(said!("corner radius"), corner_radius)])
                .collect(),
            Self::OnWall {
                along,
                width,
                stands_in,
                corner_radius,
                ..
            } => vec![
                (said!("along the wall"), along),
                (said!("width"), width),
                (said!("stands in"), stands_in),
                (said!("corner radius"), corner_radius),
            ],
            Self::InCorner {
                length,
                width,
                corner_radius,
                ..
            } => vec![
                (said!("length"), length),
                (said!("width"), width),
                (said!("corner radius"), corner_radius),
            ],
        }
    }
}

impl Intrusion {
    /// Its plan at the root, nominal, as it stands in `half`; it may reach on behind the walls.
    pub fn root_region(&self, half: &ShellHalf) -> Region {
        Root::nominal(&self.outline, half).region()
    }
}
