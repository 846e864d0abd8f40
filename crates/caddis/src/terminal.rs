//! Progress, only on a terminal.

use caddis_basis::{Flow, Progress};
use indicatif::{ProgressBar, ProgressStyle};
use std::io::IsTerminal;

/// A progress line on standard error when it is a terminal; silent otherwise.
pub(crate) struct Line {
    bar: Option<ProgressBar>,
}

impl Line {
    /// Starts.
    pub(crate) fn new() -> Self {
        let bar = std::io::stderr().is_terminal().then(|| {
            let bar = ProgressBar::new(1000);
            if let Ok(style) = ProgressStyle::with_template("{msg:<40} [{bar:30}] {percent:>3} %") {
                bar.set_style(style.progress_chars("=> "));
            }
            bar
        });
        Self { bar }
    }
}

impl Progress for Line {
    fn report(&self, stage: &str, fraction: f64, best: Option<&str>) -> Flow {
        if let Some(bar) = &self.bar {
            bar.set_message(best.map_or_else(|| stage.to_owned(), |best| format!("{stage}: {best}")));
            bar.set_position((fraction.clamp(0.0, 1.0) * 1000.0) as u64);
        }
        Flow::Continue
    }
}

impl Drop for Line {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
