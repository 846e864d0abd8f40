//! A packing list as written, over a library as written.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::{Mass, Quiet};
use caddis_design::{ArrangeOptions, Measure, SelectOptions, Standing, Unpriced, select};
use caddis_files::{DirectReader, Library, SelectionSection, read_job, read_shells};
use std::path::PathBuf;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

#[test]
fn the_demonstration_is_selected_from_the_library() {
    let library = Library::new(vec![root().join("library")]);
    let job = read_job(&root().join("jobs/tindra-ridge"), &library, &DirectReader).unwrap();
    let shells = read_shells(&library).unwrap();
    let mut options = SelectOptions {
        by: Measure::LinearSize,
        arrange: ArrangeOptions {
            seed: 417,
            steps: 400_000,
            workers: 2,
        },
        in_full: 0,
        best: None,
        most_mass: None,
        most_cases: 3,
    };
    let selection = select(&job.brief, &shells, &Unpriced, &options, &Quiet);
    let section = SelectionSection::of(&selection, &job.brief, &shells);
    let csv = section.to_csv().unwrap();
    eprintln!("{csv}");
    assert_eq!(csv.lines().count(), shells.len() + 1);
    assert_eq!(section.candidates.len(), shells.len());
    // The shell that the job names holds its list, and what is refused says by how much.
    let named = section
        .candidates
        .iter()
        .find(|c| c.shell == "ridgeback-640")
        .unwrap();
    assert!(named.rank.is_some(), "{named:?}");
    for refused in section.candidates.iter().filter(|c| c.standing == "refused") {
        assert!(refused.reason.as_ref().unwrap().margin.is_some(), "{refused:?}");
    }
    assert!(matches!(
        selection.best().unwrap().standing,
        Standing::LaidOut { .. }
    ));

    // Too heavy for one person in any one case: two cases hold it.
    options.most_mass = Some((Mass::from_si(18.0), || {
        caddis_basis::Said::name("what the test allows")
    }));
    let selection = select(&job.brief, &shells, &Unpriced, &options, &Quiet);
    let section = SelectionSection::of(&selection, &job.brief, &shells);
    eprintln!("{:#?}", section.split);
    let split = section.split.unwrap();
    assert_eq!(split.len(), 2);
    let pieces: u32 = split
        .iter()
        .flat_map(|case| &case.items)
        .map(|item| item.quantity)
        .sum();
    assert_eq!(
        pieces,
        job.brief.items.iter().map(|item| item.quantity).sum::<u32>()
    );
}
