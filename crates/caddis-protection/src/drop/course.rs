//! What a simulated fall gives.

use super::peak::Peak;
use caddis_geometry::Vec3;

/// Largest values over a window of time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Extremes {
    /// Acceleration of the centre of mass, G.
    pub centre: Peak,
    /// Accelerations of the watched points of this body, G, in their order.
    pub points: Vec<Peak>,
    /// Largest strain of its patches.
    pub strain: Peak,
    /// Displacement of the centre, m, in any direction.
    pub travel: f64,
    /// Displacement of the centre along the fall, m.
    pub travel_along: f64,
    /// Displacements of the watched points, m.
    pub point_travels: Vec<f64>,
    /// Rotation, radians.
    pub rotation: f64,
}

/// The end of the first pulse of one item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PulseEnd {
    /// When, s.
    pub time: f64,
    /// Integral of the foam's force over the mass, m/s.
    pub velocity_change: Vec3,
    /// Displacement, m.
    pub displacement: Vec3,
    /// Velocity, m/s.
    pub velocity: Vec3,
    /// Quaternion (real part, vector).
    pub quaternion: (f64, Vec3),
    /// Angular velocity, case frame, rad/s.
    pub spin: Vec3,
    /// Energy of everything then, J; only where energy is kept account of.
    pub energy: f64,
    /// Energy of the item's rotation then, J.
    pub turning_energy: f64,
}

/// One line of the history of one item.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Time, s.
    pub time: f64,
    /// Proper acceleration of the centre, in G.
    pub acceleration: Vec3,
    /// Proper accelerations of the watched points, in G.
    pub points: Vec<Vec3>,
    /// Displacement, m.
    pub displacement: Vec3,
    /// Quaternion (real part, vector).
    pub quaternion: (f64, Vec3),
    /// Angular velocity, case frame, rad/s.
    pub spin: Vec3,
    /// Largest strain.
    pub strain: f64,
}

/// What one item did.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// From the impact to the end of the first pulse.
    pub first_pulse: Extremes,
    /// Over the whole time followed.
    pub horizon: Extremes,
    /// The end of the first pulse; none where it lasts beyond the horizon or nothing was met.
    pub end: Option<PulseEnd>,
    /// Whether foam beyond the greatest strain of its law carried more than a tenth of the push in the first pulse. A
    /// sliver crushed beside sound foam carries less: its stiffening is in the peak, and the largest strain tells of it.
    pub bottomed: bool,
    /// Whether it struck something hard in the first pulse.
    pub strikes: bool,
    /// Patches (indices of contacts) within a millionth of the largest strain of the first pulse, and of the horizon.
    pub most_strained: (Vec<usize>, Vec<usize>),
    /// History.
    pub history: Vec<Record>,
}

/// A simulated fall.
#[derive(Debug, Clone, PartialEq)]
pub struct Simulation {
    /// One course an item.
    pub courses: Vec<Course>,
    /// Largest difference of the energy from its start, J; 0 unless kept account of.
    pub energy_error: f64,
    /// Energy at the end, J; 0 unless kept account of.
    pub energy_end: f64,
    /// Evaluations of the forces.
    pub evaluations: usize,
    /// Largest strain of every patch over the time followed, at its steps, in the order of the contacts; empty unless
    /// watched.
    pub strains: Vec<f64>,
}
