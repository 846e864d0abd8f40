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
mod buoyancy;
mod chargeable;
mod check;
mod comparison;
mod desiccant;
mod drop_height;
mod error;
mod freight_class;
mod handling;
mod ingress;
mod leg;
mod lifting;
mod limits;
mod load_fit;
mod marks;
mod measured_drops;
mod moisture;
mod parcel;
mod rules;
mod stacking;
mod summary;
mod test_plan;
mod trapped_air;
mod vent;

pub use atmosphere::{Air, AtmosphereError, GeometricAltitude, GeopotentialAltitude, standard_air};
pub use battery::{Battery, BatteryClass, BatteryContent, BatteryRating, WattHours, battery_class};
pub use buoyancy::{Floating, Hull, floating, floating_fresh_and_sea, water_head};
pub use chargeable::{
    ChargeableWeight, DimensionalRule, Divisor, MassStep, SideRounding, chargeable_weight, length_and_girth,
    linear_size,
};
pub use check::{LegVerdict, check};
pub use comparison::{Comparison, ComparisonBand, Prediction, Standing, TestResult, compare};
pub use desiccant::{
    Barrier, DryPack, DryPackage, Dunnage, FinalHumidity, desiccant_bags, desiccant_units_din,
    desiccant_units_eia, desiccant_units_mil,
};
pub use drop_height::{DropHeightRow, DropHeights, HandlingClass, drop_height};
pub use error::JourneyError;
pub use freight_class::{FreightStep, freight_class, freight_density};
pub use handling::{HandlingLimit, handling_limits};
pub use ingress::{IngressCode, IngressTest, ingress_tests};
pub use leg::{Carrying, CaseFacts, Journey, Leg, LegKind};
pub use lifting::{
    Coupling, HandleGeometry, Lift, LiftDuration, LiftForm, RecommendedWeight, hands_in_front,
    is_optimal_box, recommended_weight,
};
pub use limits::{
    AdditionalHandling, AltitudeTest, BatteryLimits, BilledBy, CarriageLimits, Climate, CourierMaximum,
    CumulativeCarry, Dated, DimensionalRow, LiftFilter, LiftLimits, LiftZone, LoadSpace, MechanicalHandling,
    PostalLimits, PowerBankNote, ReferenceMasses, ReuseCategories, RoadVibration, SpaceKind, TransitDropRow,
    VehicleStack,
};
pub use load_fit::{LoadFit, LoadedPallet, load_fit, loaded_pallet};
pub use marks::{HandlingMark, marks_to_print};
pub use measured_drops::{MeasuredDrops, measured_drops};
pub use moisture::{Humidity, MoistAir, saturation_pressure};
pub use parcel::{HandlePlace, Inside, Parcel, ParcelDetails, TemperatureLimit, Valve};
pub use rules::{RuleText, rule_texts};
pub use stacking::{
    FreightAbove, OwnStack, dangerous_goods_stack, freight_compression, warehouse_compression,
};
pub use summary::{JourneySummary, LegSummary, NotStated, SummaryRow, journey_summary};
pub use test_plan::{
    AltitudeStep, CaseFace, CompressionStep, DropSchedule, DropStep, HandlingSeverity, HandlingStep, Landing,
    Ride, Shaking, TemperatureStep, TestChoice, TestPlan, VibrationStep, test_plan, transit_drop_row,
};
pub use trapped_air::{PressureOnLid, TrappedAir, lid_force, pressure_on_lid};
pub use vent::{VentFlow, slow_vent_pressure, vent_litres_per_minute};
