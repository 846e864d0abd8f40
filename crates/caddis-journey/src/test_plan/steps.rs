//! The steps of a test plan.

use super::{CaseFace, Landing};
use caddis_basis::{Duration, Force, Length, Said, Source, Speed, Temperature};

/// One drop.
#[derive(Debug, Clone, PartialEq)]
pub struct DropStep {
    /// Which, from 1.
    pub number: u32,
    /// How it lands.
    pub landing: Landing,
    /// From where.
    pub height: Length,
}

/// Vibration on one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct VibrationStep {
    /// The leg it stands for.
    pub leg: String,
    /// The axis, as the case lies in the vehicle.
    pub axis: Said,
    /// Overall level, standard gravities rms.
    pub level: f64,
    /// How long.
    pub time: Duration,
    /// Whose, with edition and day.
    pub source: Source,
}

/// Heat or cold before the drops and the lid are tried again.
#[derive(Debug, Clone, PartialEq)]
pub struct TemperatureStep {
    /// The leg it stands for.
    pub leg: String,
    /// As hot or as cold as the closed case becomes.
    pub temperature: Temperature,
}

/// Rough handling by machine.
#[derive(Debug, Clone, PartialEq)]
pub struct HandlingStep {
    /// What is done.
    pub what: Said,
    /// On which faces, each once.
    pub faces: Vec<CaseFace>,
    /// How high an edge is raised, or how fast the case runs into the wall.
    pub severity: HandlingSeverity,
    /// Whose, with edition and day.
    pub source: Source,
}

/// How hard a step of rough handling is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HandlingSeverity {
    /// Height of the raised edge.
    Raised(Length),
    /// Speed into a wall.
    Speed(Speed),
}

/// A load on the closed case.
#[derive(Debug, Clone, PartialEq)]
pub struct CompressionStep {
    /// What it stands for.
    pub what: Said,
    /// The load.
    pub load: Force,
    /// Whose, with edition and day.
    pub source: Source,
}

/// A test of altitude.
#[derive(Debug, Clone, PartialEq)]
pub struct AltitudeStep {
    /// What is done.
    pub what: Said,
    /// Pressure altitude.
    pub altitude: Length,
    /// How long.
    pub hold: Duration,
    /// Whose, with edition and day.
    pub source: Source,
}
