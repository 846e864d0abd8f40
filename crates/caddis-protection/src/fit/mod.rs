//! Laws from a shop's own tests: drops give a stress-energy fit, a compression test gives a table, or a gas law for closed cells.

mod compression;
mod drops;
mod gas;
mod line;
mod student;

pub use compression::{CompressionCurve, CompressionReading, compression_curve};
pub use drops::{DropTest, FoamFit, fit_drops};
pub use gas::GasFit;
pub use line::{Band, Outlier, StressEnergyFit};

/// Why tests give no law.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    /// One row is wrong: its place in the list, and what is wrong.
    #[error("{problem}")]
    Row {
        /// Index of the row.
        row: usize,
        /// What is wrong.
        problem: String,
    },
    /// The rows together give no law.
    #[error("{0}")]
    Rows(String),
}
