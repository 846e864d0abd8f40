//! The simulated drop: rigid items on nonlinear patches of foam, six degrees of freedom, large rotation.
//!
//! `spring` is what stands behind a patch, `packing` prepares items and patches, `kernel` sums over them, `motion` holds the
//! equations, `step` integrates, `simulate` follows one fall. Limits: foam takes only the normal component (no shear, no
//! friction), patches are independent of each other, the shell is rigid.

mod account;
mod course;
mod kernel;
mod motion;
mod packing;
mod peak;
mod simulate;
mod spring;
mod step;

pub use course::{Course, Extremes, PulseEnd, Record, Simulation};
pub use motion::{BodyState, Gravity, Instant};
pub use packing::{Contact, Packing, RigidBody};
pub use peak::Peak;
pub use simulate::{Fall, Landing, Precision, Watch, simulate};
pub use spring::{Hysteresis, Spring, SpringForm};
