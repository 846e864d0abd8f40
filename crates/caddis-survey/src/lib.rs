//! Shells and items: the case as it really is, the equipment as it really comes.
//!
//! Guarantees: a shell half, however it was described, answers four questions (section at a height, clear depth at a
//! point, inner half-spaces, obstacles); "usable" always means after draft, radii and intrusions. Readers take bytes and
//! never panic on them. Knows nothing about foam, journeys or search.

mod item;
mod outline;
mod read;
mod shell;

pub use item::{
    ClearRoom, Declared, FoamWish, Fragility, FragilityClass, Item, ItemError, ItemShape, Part, PosedItem,
    Primitive, Requirement, RestingPose, Softness, Turn, Up, resting_poses,
};
pub use outline::{Profile, ProfileStep, outline_format, read_outline};
pub use read::{
    BodyNamed, Doubt, MeshFormat, MeshPart, MeshReport, ReadError, UnitSource, is_step, mesh_findings,
    outer_hull, read_mesh, read_shape, read_step_answer,
};
pub use shell::{
    Callout, ClearBlock, ClearCylinder, ClearSize, Corner, DepthMap, Dome, FitError, Fitting, FittingGroup,
    FittingState, GasketRim, GoesIn, HalfResidual, HalfSide, HalfSpace, Hinge, Intrusion, IntrusionKind,
    Obstacle, Opening, OutlineShape, Photo, Position, Reading, Residual, Room, RoomOf, ScanFit, Shell,
    ShellError, ShellHalf, Solid, Step, Supplied, SurveyRecord, TracedSection, UnlockedSpan, Wall, fit_scan,
};
