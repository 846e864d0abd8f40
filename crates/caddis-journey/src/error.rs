//! What makes a parcel or a journey unusable.

use crate::AtmosphereError;
use caddis_basis::Said;

/// Why a journey cannot be checked; each message names the field.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum JourneyError {
    /// A size, mass or area that is zero, negative, infinite or not a number.
    #[error("check the journey: {field} is {value} {unit}, but it must be a finite value above zero")]
    NotPositive {
        /// Which field.
        field: String,
        /// What it is.
        value: f64,
        /// In which unit.
        unit: &'static str,
    },
    /// A tolerance that is negative or leaves nothing of its value, or a volume that is negative.
    #[error("check the journey: {field} is {value} {unit}, but it must be finite and not negative")]
    Negative {
        /// Which field.
        field: String,
        /// What it is.
        value: f64,
        /// In which unit.
        unit: &'static str,
    },
    /// The lowest temperature lies above the highest.
    #[error(
        "check the journey: leg {leg} has a lowest temperature of {lowest:.0} °C above its highest of {highest:.0} °C"
    )]
    TemperaturesCrossed {
        /// Which leg, from 1.
        leg: usize,
        /// The lowest, degrees Celsius.
        lowest: f64,
        /// The highest, degrees Celsius.
        highest: f64,
    },
    /// Text that is no ingress code.
    #[error("read the ingress code: `{text}` is none; write IP and two figures or X, e.g. IP67")]
    Ingress {
        /// What was found.
        text: String,
    },
    /// A humidity that no air has.
    #[error(
        "check the journey: {field} is {percent} %, but a relative humidity lies above 0 and up to 100 %"
    )]
    Humidity {
        /// Which field.
        field: String,
        /// What it is, per cent.
        percent: f64,
    },
    /// No cases at all.
    #[error("check the journey: cases is 0, but at least one case travels")]
    NoCases,
    /// Limits that cannot be read as a table.
    #[error("check the journey: the limit {field} {why}")]
    Limits {
        /// Which row or list.
        field: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Text that is no landing.
    #[error(
        "read the landing: `{text}` is none; write one to three faces that meet, e.g. base, base-front, base-front-left"
    )]
    Landing {
        /// What was found.
        text: String,
    },
    /// A result for an item that is not in the case.
    #[error("compare the results: row {row} names the item `{item}`; calculated are {}", known.join(", "))]
    UnknownItem {
        /// Which row of the results, from 1.
        row: usize,
        /// What it names.
        item: String,
        /// What would do.
        known: Vec<String>,
    },
    /// A climate that the limits do not know.
    #[error("check the journey: leg {leg} names the climate `{climate}`; the limits know {}", known.join(", "))]
    Climate {
        /// Which leg, from 1.
        leg: usize,
        /// What it names.
        climate: String,
        /// What would do.
        known: Vec<String>,
    },
    /// An altitude without standard air.
    #[error("check the journey: {field}: cannot {reason}")]
    Altitude {
        /// Which field.
        field: String,
        /// Why.
        reason: AtmosphereError,
    },
    /// A mass that a drop-height table does not reach.
    #[error(
        "choose a drop height: {mass_kg} kg is outside {table}, which ends at {limit_kg} kg; state the drop height"
    )]
    OutsideDropHeights {
        /// The gross mass.
        mass_kg: f64,
        /// The table's title.
        table: Said,
        /// Its end.
        limit_kg: f64,
    },
}
