//! The words every stage shares.
//!
//! Guarantees: a quantity is one private SI value that is finite by construction from text; text without a
//! unit is refused; sums of money are exact. Knows nothing about any stage, about files or about serde.

mod finding;
mod ids;
mod in_order;
mod measured;
mod money;
mod outcome;
mod parse;
mod quantity;
mod said;
mod sayable;
mod source;
mod tape;
mod tolerance;
mod verdict;

pub use finding::{Domain, Finding, Margin, Sense, Severity, failing, sort_findings};
pub use ids::{CavityId, InstanceId, ItemId, LayerId, Name};
pub use in_order::{both, in_order};
pub use measured::Measured;
pub use money::{Currency, Money, MoneyError};
pub use outcome::{Flow, Outcome, Progress, Quiet};
pub use parse::{BenchUnit, Parse, QuantityError};
pub use quantity::{
    Acceleration, Angle, Area, Density, Duration, Force, Frequency, Length, Mass, Pressure, STANDARD_GRAVITY,
    Speed, Temperature, Volume,
};
pub use said::{Said, Saying, message_id, message_text};
pub use sayable::{Manner, Part, Sayable};
pub use source::{Certainty, Source};
pub use tape::tape_fraction;
pub use tolerance::Tolerance;
pub use verdict::Verdict;
