//! Shells and items: the case as it really is, the equipment as it really comes.
//!
//! Guarantees: a shell half, however it was described, answers four questions (section at a height, clear depth at a
//! point, inner half-spaces, obstacles); "usable" always means after draft, radii and intrusions. Readers take bytes and
//! never panic on them. Knows nothing about foam, journeys or search.

mod item;
mod read;
mod shell;

pub use item::{Fragility, Item, ItemError, ItemShape, Part, PosedItem, Primitive, Softness, Up};
pub use read::{MeshFormat, MeshReport, ReadError, UnitSource, mesh_findings, read_mesh};
pub use shell::{
    Callout, ClearBlock, ClearCylinder, ClearSize, Corner, DepthMap, Dome, Fitting, FittingGroup,
    FittingState, GasketRim, GoesIn, HalfSide, HalfSpace, Hinge, Intrusion, IntrusionKind, Obstacle, Opening,
    OutlineShape, Photo, Position, Reading, Room, RoomOf, Shell, ShellError, ShellHalf, Solid, Step,
    SurveyRecord, UnlockedSpan, Wall,
};
