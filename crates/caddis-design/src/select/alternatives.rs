//! What a library offers a brief that cannot be arranged: another shell, another foam. Each is tried, none is guessed.

use super::{Measure, SelectOptions, Standing, Unpriced, select};
use crate::arrange::{KnownWays, glance};
use crate::{ArrangeOptions, Brief};
use caddis_basis::{Domain, Finding, Flow, Progress, Said, Severity, Source, said};
use caddis_layout::SearchOptions;
use caddis_protection::Foam;
use caddis_survey::Shell;

/// Steps of one glance, at most.
const STEPS: u64 = 400_000;

fn tried(number: usize, sentence: Said) -> Finding {
    Finding::new(
        "library-tried",
        Domain::Arrangement,
        Severity::Note,
        said!("library {number}", number),
        sentence,
        Source::derived(said!("a first layout with this one thing changed")),
    )
}

/// Tries the library's shells, the smallest that holds everything first, and its foams for base and trays.
///
/// One note for the shells and one for each foam that would do; a note says what helps, or that nothing of the kind does and
/// what comes nearest. A first layout is no verification.
pub fn alternatives(
    brief: &Brief,
    shells: &[Shell],
    foams: &[Foam],
    options: &ArrangeOptions,
    progress: &dyn Progress,
) -> Vec<Finding> {
    let mut notes = Vec::new();
    if brief.base_foam >= brief.foams.len() || brief.lid_foam >= brief.foams.len() {
        return notes;
    }
    let others: Vec<Shell> = shells
        .iter()
        .filter(|shell| shell.name != brief.shell.name)
        .cloned()
        .collect();
    if let Some(note) = next_case(brief, &others, options, progress) {
        notes.push(tried(1, note));
    }
    let items: Vec<usize> = (0..brief.items.len()).collect();
    let base = &brief.foams[brief.base_foam].name;
    let mut helping = Vec::new();
    let mut count = 0;
    for foam in foams.iter().filter(|foam| foam.name != *base) {
        if progress.report("alternatives", 0.9, None) == Flow::Stop {
            return notes;
        }
        count += 1;
        let mut changed = brief.clone();
        changed.foams.push(foam.clone());
        changed.base_foam = changed.foams.len() - 1;
        let known = KnownWays::new(&changed, std::iter::once(&changed.shell));
        let search = SearchOptions {
            seed: options.seed,
            steps: options.steps.min(STEPS),
            workers: options.workers,
        };
        if glance(&changed, &known, &items, &search).is_ok_and(|found| found.is_settled) {
            helping.push(Said::name(&foam.title));
        }
    }
    if count > 0 {
        let sentence = if helping.is_empty() {
            said!(
                "base and trays of another foam: none of the {count} others in the library makes everything fit",
                count
            )
        } else {
            let foams = helping
                .into_iter()
                .reduce(|first, next| said!("{first}, or of {next}", first, next))
                .unwrap_or_default();
            said!(
                "base and trays of {foams}: then everything can be laid out; verify it before it is promised",
                foams
            )
        };
        notes.push(tried(2, sentence));
    }
    notes
}

/// The smallest other shell that holds everything, in words; else the one that comes nearest.
fn next_case(
    brief: &Brief,
    others: &[Shell],
    options: &ArrangeOptions,
    progress: &dyn Progress,
) -> Option<Said> {
    let asked = SelectOptions {
        by: Measure::LinearSize,
        arrange: *options,
        in_full: 0,
        best: Some(1),
        most_mass: None,
        most_cases: 1,
    };
    let found = select(brief, others, &Unpriced, &asked, progress);
    let first = found.candidates.first()?;
    let shell = others.get(first.shell)?;
    Some(match &first.standing {
        Standing::LaidOut { .. } | Standing::Arranged { .. } => {
            let own: f64 = brief.shell.outside.iter().map(|side| side.most().si()).sum();
            let more = (first.figures.linear_size.si() - own) * 100.0;
            let size = first.figures.linear_size.si() * 100.0;
            let (name, title) = (&shell.name, &shell.title);
            if more < 0.0 {
                said!(
                    "the next case, {name} ({title}): then everything can be laid out; its linear size is {size:.1} \
                     cm, {less:.1} cm less",
                    name,
                    title,
                    size,
                    less = -more
                )
            } else {
                said!(
                    "the next case, {name} ({title}): then everything can be laid out; its linear size is {size:.1} \
                     cm, {more:.1} cm more",
                    name,
                    title,
                    size,
                    more
                )
            }
        }
        Standing::Refused(reason) => said!(
            "another case: none of the {others} others in the library holds everything; {shell} comes nearest: \
             {reason}",
            others = others.len(),
            shell = shell.name,
            reason = reason.sentence
        ),
        Standing::Passed => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_basis::Quiet;

    const OPTIONS: ArrangeOptions = ArrangeOptions {
        seed: 3,
        steps: 200_000,
        workers: 2,
    };

    #[test]
    fn the_next_case_is_named_only_if_it_holds_everything() {
        let mut brief = testing::brief();
        let whole = brief.shell.clone();
        brief.shell.name = "half".to_owned();
        brief.shell.base.depth.value = brief.shell.base.depth.value * 0.5;
        let notes = alternatives(&brief, std::slice::from_ref(&whole), &[], &OPTIONS, &Quiet);
        assert_eq!(notes.len(), 1);
        assert!(notes[0].sentence.contains("test-640"), "{}", notes[0].sentence);
        assert!(notes[0].sentence.contains("then everything can be laid out"));
        let mut flat = whole;
        flat.name = "flat".to_owned();
        flat.base.depth.value = flat.base.depth.value * 0.3;
        let notes = alternatives(&brief, &[flat], &[], &OPTIONS, &Quiet);
        assert!(
            notes[0].sentence.contains("comes nearest"),
            "{}",
            notes[0].sentence
        );
        assert!(notes[0].sentence.contains("mm too tall"), "{}", notes[0].sentence);
    }

    #[test]
    fn a_foam_that_is_the_same_helps_no_more() {
        let mut brief = testing::brief();
        brief.shell.base.depth.value = brief.shell.base.depth.value * 0.3;
        let mut twin = brief.foams[brief.base_foam].clone();
        twin.name = "twin".to_owned();
        let notes = alternatives(&brief, &[], &[twin], &OPTIONS, &Quiet);
        assert!(
            notes[0].sentence.contains("none of the 1 others"),
            "{}",
            notes[0].sentence
        );
    }
}
