//! Long work: how it reports, how it is stopped, how it ends.

use crate::Finding;

/// What the caller wants after a progress report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flow {
    /// Go on.
    Continue,
    /// Stop at the next safe point and give back the best so far.
    Stop,
}

/// Hears how far long work has come.
pub trait Progress: Sync {
    /// `stage` in the pipeline's words, `fraction` from 0 to 1, `best` a short description of the best so far.
    fn report(&self, stage: &str, fraction: f64, best: Option<&str>) -> Flow;
}

/// A listener that never stops the work and says nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Quiet;

impl Progress for Quiet {
    fn report(&self, _: &str, _: f64, _: Option<&str>) -> Flow {
        Flow::Continue
    }
}

/// How long work ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome<T> {
    /// Done, and every demand is met.
    Complete(T),
    /// Stopped by the caller or the step budget. Repeatable as seed and steps.
    Stopped {
        /// The best result so far, if there is one that meets every demand.
        best: Option<T>,
        /// Steps used.
        steps: u64,
    },
    /// It cannot be done; each reason says what and by how much.
    Impossible {
        /// Why, most telling first.
        reasons: Vec<Finding>,
    },
}

impl<T> Outcome<T> {
    /// The result, if there is one.
    pub fn into_result(self) -> Option<T> {
        match self {
            Self::Complete(value) => Some(value),
            Self::Stopped { best, .. } => best,
            Self::Impossible { .. } => None,
        }
    }

    /// Maps a complete or best-so-far result.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Outcome<U> {
        match self {
            Self::Complete(value) => Outcome::Complete(f(value)),
            Self::Stopped { best, steps } => Outcome::Stopped {
                best: best.map(f),
                steps,
            },
            Self::Impossible { reasons } => Outcome::Impossible { reasons },
        }
    }
}
