//! The simulated drop: rigid items on nonlinear patches of foam, six degrees of freedom, large rotation.
//!
//! `spring` is what stands behind a patch, `packing` prepares items and patches, `kernel` sums over them, `motion` holds the
//! equations, `step` integrates, `simulate` follows one fall, `fall_map` every
//! direction, `memory` keeps what was simulated, `sequence` one fall after the other on foam that remembers. Limits: foam takes only the normal component (no shear, no
//! friction), patches are independent of each other, the shell is rigid.

mod account;
mod course;
mod direction;
mod fall_map;
mod kernel;
mod memory;
mod motion;
mod packing;
mod peak;
mod sequence;
mod simulate;
mod spread;
mod spring;
mod step;

pub use course::{Course, Extremes, PulseEnd, Record, Simulation};
pub use direction::{fall_directions, name_of_direction};
pub use fall_map::{
    FallMap, ItemFall, MapSettings, Strained, fall_map, merge_contacts, simulate_all, strains_all,
};
pub use memory::FallMemory;
pub use motion::{BodyState, Gravity, Instant};
pub use packing::{Contact, Packing, RigidBody};
pub use peak::Peak;
pub use sequence::{SequenceFall, Wear, sequence};
pub use simulate::{Fall, Landing, MOST_FRICTION, Precision, Watch, simulate};
pub use spread::{PeakSpread, SpreadSettings, peak_spread, spread_assumptions};
pub use spring::{Hysteresis, Spring, SpringForm};
