//! A verification that is looked on at, stopped and remembered.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::tests::interior;
use crate::testing::brief;
use crate::{Checks, FallMemory, ItemVerdict, Onlooker, verify, verify_before};
use caddis_basis::{Flow, Length, Measured, Progress, Quiet, Verdict};
use caddis_survey::Fragility;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Asks for a stop at the given report, counted from 0.
struct StopsAt {
    report: usize,
    count: AtomicUsize,
}

impl Progress for StopsAt {
    fn report(&self, _: &str, _: f64, _: Option<&str>) -> Flow {
        if self.count.fetch_add(1, Ordering::Relaxed) == self.report {
            Flow::Stop
        } else {
            Flow::Continue
        }
    }
}

#[test]
fn it_is_whole_or_there_is_none() {
    let row = interior(&[(-60.0, [60.0, 80.0, 60.0]), (60.0, [60.0, 80.0, 60.0])]);
    let question = brief();
    let memory = FallMemory::default();
    let mut whole = None;
    for report in 0..20 {
        let progress = StopsAt {
            report,
            count: AtomicUsize::new(0),
        };
        let onlooker = Onlooker {
            progress: &progress,
            flat: &|_| (),
            memory: &memory,
        };
        let found = verify_before(&row, &question, &Checks::default(), &onlooker);
        let asked = progress.count.load(Ordering::Relaxed);
        // Heard at once: nothing more is done after a stop is asked for. The last report comes when all is done.
        if found.is_none() {
            assert_eq!(asked, report + 1);
            assert!(whole.is_none(), "stopped at {report} after it went on to the end");
        } else {
            whole = whole.or(Some(report));
        }
    }
    assert!((4..10).contains(&whole.unwrap()), "{whole:?}");
}

#[test]
fn flat_falls_are_shown_before_the_verdict_and_are_no_better_than_it() {
    let row = interior(&[(-60.0, [60.0, 80.0, 60.0]), (60.0, [60.0, 80.0, 60.0])]);
    let question = brief();
    let shown: Mutex<Vec<Vec<ItemVerdict>>> = Mutex::default();
    let onlooker = Onlooker {
        progress: &Quiet,
        flat: &|items| shown.lock().unwrap().push(items.to_vec()),
        memory: &FallMemory::default(),
    };
    let whole = verify_before(&row, &question, &Checks::default(), &onlooker).unwrap();
    let shown = shown.into_inner().unwrap();
    assert_eq!(shown.len(), 1);
    for (flat, item) in shown[0].iter().zip(&whole.items) {
        assert_eq!(flat.instance, item.instance);
        assert!(flat.falls.is_none() && item.falls.is_some());
        assert_eq!(Verdict::worse(flat.verdict, item.verdict), item.verdict);
        assert_eq!(flat.directions, item.directions);
    }
}

#[test]
fn what_is_remembered_changes_nothing() {
    let memory = FallMemory::default();
    let onlooker = Onlooker {
        progress: &Quiet,
        flat: &|_| (),
        memory: &memory,
    };
    let row = interior(&[(-60.0, [60.0, 80.0, 60.0]), (60.0, [60.0, 80.0, 60.0])]);
    let moved = interior(&[(-60.0, [60.0, 80.0, 60.0]), (63.0, [60.0, 80.0, 60.0])]);
    let mut sturdier = brief();
    sturdier.items[0].fragility = Fragility::Known(Measured::exact(caddis_basis::Acceleration::g(140.0)));
    let mut higher = brief();
    higher.handling.drop_height.value = Length::mm(700.0);
    let usual = brief();
    for (interior, question) in [
        (&row, &usual),
        (&row, &sturdier),
        (&moved, &usual),
        (&row, &higher),
        (&row, &usual),
    ] {
        let plain = verify(interior, question, &Checks::default(), &Quiet);
        let found = verify_before(interior, question, &Checks::default(), &onlooker).unwrap();
        assert_eq!(found, plain);
    }
}
