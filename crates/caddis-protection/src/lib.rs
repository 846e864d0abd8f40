//! Foam laws, sizing and flat drops of packed bodies.
//!
//! Guarantees: a law is used inside its range or says it is not; sizing and drop are one physics, so a flat drop gives
//! back the law's own curve. Knows nothing about layout or cases. Limits: rigid item on one-sided normal springs, the
//! shell stops dead; closed-cell foam only, unless a measured curve says otherwise.

mod body;
mod flat_drop;
mod foam;
mod law;
mod size;

pub use body::{PackedBody, Patch};
pub use flat_drop::{DropSettings, FlatDrop, flat_drop};
pub use foam::{Foam, FoamCheck};
pub use law::{Law, LawError, LawKind, LawRange};
pub use size::{Need, SizeRequest, size};
