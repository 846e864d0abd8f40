//! How much of the search is used up.

use caddis_basis::{Flow, Progress};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

/// Steps, and as an extra stop seconds or the listener's word.
pub(super) struct Budget<'a> {
    steps: u64,
    seconds: Option<f64>,
    begun: Instant,
    progress: &'a dyn Progress,
    is_stopped: AtomicBool,
}

impl<'a> Budget<'a> {
    pub(super) fn new(steps: u64, seconds: Option<f64>, progress: &'a dyn Progress) -> Self {
        Self {
            steps,
            seconds,
            begun: Instant::now(),
            progress,
            is_stopped: AtomicBool::new(false),
        }
    }

    /// Share of the budget that is used.
    pub(super) fn used(&self, steps: u64) -> f64 {
        let by_steps = steps as f64 / self.steps.max(1) as f64;
        let by_time = self
            .seconds
            .map_or(0.0, |seconds| self.begun.elapsed().as_secs_f64() / seconds);
        by_steps.max(by_time)
    }

    /// Whether there is budget left until so large a share of it is used.
    pub(super) fn lasts(&self, steps: u64, share: f64) -> bool {
        let used = self.used(steps);
        if self.progress.report("strip", used.min(1.0), None) == Flow::Stop {
            self.is_stopped.store(true, Ordering::Relaxed);
        }
        !self.is_stopped.load(Ordering::Relaxed) && used < share
    }
}
