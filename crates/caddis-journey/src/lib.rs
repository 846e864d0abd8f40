//! The journey a case makes, and what carriers, air and hands ask of it.
//!
//! Guarantees: [`check`] answers every rule for every leg, never the first only, in the order of the legs and of
//! [`rule_texts`]; every answer carries its source with its certainty, and every limit is a dated row of
//! [`CarriageLimits`] that can be replaced. Worst-case sizes and masses are judged, not nominal ones. Broken input
//! is an error; nothing panics.
//!
//! Does not: know shapes, interiors or foam; claim that a shell bears a pressure; replace the carrier's own
//! conditions, local codes, or a trained shipper of dangerous goods.

mod atmosphere;
mod battery;
mod chargeable;
mod check;
mod drop_height;
mod error;
mod leg;
mod limits;
mod parcel;
mod rules;
mod trapped_air;

pub use atmosphere::{Air, AtmosphereError, GeometricAltitude, GeopotentialAltitude, standard_air};
pub use battery::{Battery, BatteryClass, BatteryContent, BatteryRating, WattHours, battery_class};
pub use chargeable::{
    ChargeableWeight, DimensionalRule, Divisor, MassStep, SideRounding, chargeable_weight, length_and_girth,
    linear_size,
};
pub use check::{LegVerdict, check, check_with};
pub use drop_height::{DropHeightRow, DropHeights, HandlingClass, drop_height};
pub use error::JourneyError;
pub use leg::{Journey, Leg, LegKind};
pub use limits::{
    AdditionalHandling, BatteryLimits, CarriageLimits, CourierMaximum, Dated, LiftLimits, VehicleStack,
};
pub use parcel::{HandlePlace, Parcel, Valve};
pub use rules::{RuleText, rule_texts};
pub use trapped_air::{PressureOnLid, TrappedAir, lid_force, pressure_on_lid};
