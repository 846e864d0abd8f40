//! Foam laws, sizing and flat drops of packed bodies.
//!
//! Guarantees: a law is used inside its range or says it is not; sizing and drop are one physics, so a flat drop gives
//! back the law's own curve, and so does a simulated one (`drop`). Knows nothing about layout or cases. Limits: rigid items
//! on one-sided normal springs (`docs/drop-model.md`); closed-cell foam only, unless a measured curve says otherwise.

mod body;
mod curve;
mod cushion;
pub mod drop;
pub mod fit;
mod flat_drop;
mod foam;
mod law;
pub mod mindlin;
mod range;
pub mod response;
mod root;
mod series;
mod size;
mod size_curves;
pub mod vibration;

pub use body::{PackedBody, Patch};
pub use cushion::{CushionPoint, Optimum, equivalent_height, impact_speed, velocity_change};
pub use flat_drop::{DropSettings, FlatDrop, flat_drop, held_to, straight_drop};
pub use foam::{
    CreepLimit, Foam, FoamCheck, FoamMemory, FoamProperty, Impact, LawRecord, ROOM, StatedColours,
    StatedProperty, least_pad,
};
pub use law::{
    CushionCurves, Law, LawError, LawKind, LawRange, MeasuredCurve, SpringLaw, StackPart, gibson_ashby,
};
pub use range::{OutOfRange, THIN_FOAM, WorkingPoint};
pub use series::{SeriesDrop, SeriesLayer, same_foam_thickness, series_drop, series_energy};
pub use size::{Need, SizeRequest, size, size_with_full_area};
