//! The catalogue against the sources: nothing that is asked for lacks, nothing stands in it that nobody asks for; and what a
//! catalogue of the library must say.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::*;
use caddis_basis::{Certainty, Domain, Severity, Verdict};
use caddis_design::{Direction, LandingCase, OpeningKind};
use caddis_journey::{CarriageLimits, CaseFace, SpaceKind, rule_texts};
use caddis_survey::{FittingGroup, FittingState};
use std::path::{Path, PathBuf};

/// Every source of the crate with its text, this file left out.
fn sources() -> Vec<(PathBuf, String)> {
    sources_under(Path::new(env!("CARGO_MANIFEST_DIR")).join("src"))
}

fn sources_under(folder: PathBuf) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut folders = vec![folder];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if !["words_tests.rs", "words.rs", "told_tests.rs"]
                .iter()
                .any(|own| path.ends_with(own))
            {
                found.push((path.clone(), std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    found
}

/// Asked for: the message and its arguments.
fn asked(text: &str, opening: &str, mark: char) -> Vec<(String, BTreeSet<String>)> {
    text.match_indices(opening)
        .filter(|(at, _)| !text[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '-'))
        .filter_map(|(at, _)| {
            let inside = closed(&text[at + opening.len() - 1..]);
            let (head, rest) = arguments(inside)
                .into_iter()
                .filter(|argument| opening == "w(" || argument != "words")
                .fold((None, Vec::new()), |(head, mut rest), argument| {
                    if head.is_none() && argument.contains('"') {
                        (Some(argument), rest)
                    } else {
                        rest.push(argument);
                        (head, rest)
                    }
                });
            let names: BTreeSet<String> = rest
                .iter()
                .filter_map(|argument| argument.split_once(mark).map(|(name, _)| name.trim().to_owned()))
                .filter(|name| name.chars().all(|c| c.is_alphanumeric() || c == '_' || c == '-'))
                .collect();
            Some((head?, names))
        })
        .flat_map(|(head, names)| {
            // A head may choose between two messages: all that look like one.
            let ids: Vec<String> = head
                .split('"')
                .skip(1)
                .step_by(2)
                .filter(|id| {
                    id.contains('-')
                        && !id.starts_with('-')
                        && !id.ends_with('-')
                        && id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
                })
                .map(str::to_owned)
                .collect();
            ids.into_iter().map(move |id| (id, names.clone()))
        })
        .collect()
}

/// What stands in the brackets that open a text.
fn closed(text: &str) -> &str {
    let (mut depth, mut quoted) = (0, false);
    for (at, c) in text.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => {
                depth -= 1;
                if depth == 0 {
                    return &text[1..at];
                }
            }
            _ => {}
        }
    }
    text
}

/// The arguments of a call, parted at its own commas.
fn arguments(text: &str) -> Vec<String> {
    let (mut depth, mut quoted, mut out) = (0, false, vec![String::new()]);
    for c in text.chars() {
        match c {
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => depth -= 1,
            ',' if !quoted && depth == 0 => {
                out.push(String::new());
                continue;
            }
            _ => {}
        }
        if let Some(last) = out.last_mut() {
            last.push(c);
        }
    }
    out.into_iter()
        .map(|argument| argument.trim().to_owned())
        .collect()
}

#[test]
fn what_is_asked_for_is_there_with_its_arguments_and_nothing_else_is() {
    let catalogue = written(ENGLISH).unwrap();
    let mut used: BTreeSet<String> = ["decimal-mark", "group-mark"].map(str::to_owned).into();
    let mut wrong = Vec::new();
    let mut lists = BTreeSet::new();
    for (path, text) in sources() {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let is_template = path.extension().is_some_and(|ending| ending == "typ");
        let (opening, mark) = if is_template { ("w(", ':') } else { ("say!(", '=') };
        for (id, given) in asked(&text, opening, mark) {
            match catalogue.get(&id) {
                None => wrong.push(format!("{name}: no message `{id}`")),
                Some(message) if message.takes != given => wrong.push(format!(
                    "{name}: `{id}` takes {:?}, is given {given:?}",
                    message.takes
                )),
                Some(message) if is_template && message.parts.is_none() => {
                    wrong.push(format!("{name}: `{id}` chooses, which a template cannot"));
                }
                Some(_) => {}
            }
            used.insert(id);
        }
        for rest in text.split("one_of(").skip(1) {
            lists.extend(rest.split('"').nth(1).map(|list| format!("{list}-")));
        }
        // Templates build the names of verdicts, severities and domains.
        for rest in text.split("w(\"").skip(1) {
            lists.extend(
                rest.split('"')
                    .next()
                    .filter(|id| id.ends_with('-'))
                    .map(str::to_owned),
            );
        }
    }
    // What the stages say by a word of a list.
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    for (_, text) in std::fs::read_dir(crates)
        .unwrap()
        .flat_map(|entry| sources_under(entry.unwrap().path().join("src")))
    {
        for rest in text.split("Said::one_of(").skip(1) {
            lists.extend(rest.split('"').nth(1).map(|list| format!("{list}-")));
        }
    }
    assert!(used.len() > 400, "{}", used.len());
    for id in catalogue.keys() {
        // What the calculation says is held in `told_tests.rs`.
        if !used.contains(id)
            && !id.starts_with("says-")
            && !lists.iter().any(|list| id.starts_with(list.as_str()))
        {
            wrong.push(format!("nobody asks for `{id}`"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_word_the_calculation_chooses_from_is_a_message_that_says_it_in_english() {
    let words = Words::english();
    let mut all: Vec<(&str, String)> = Vec::new();
    let verdicts = [
        Verdict::Holds,
        Verdict::Indicative,
        Verdict::Fails,
        Verdict::NotKnown,
    ];
    all.extend(verdicts.map(|one| ("verdict", one.words().to_owned())));
    let severities = [Severity::Note, Severity::Caution, Severity::Failing];
    all.extend(severities.map(|one| ("severity", one.to_string())));
    let domains = [
        Domain::Survey,
        Domain::Contents,
        Domain::Arrangement,
        Domain::Protection,
        Domain::Journey,
        Domain::Shop,
    ];
    all.extend(domains.map(|one| ("domain", one.to_string())));
    let certainties = [
        Certainty::Defined,
        Certainty::Published,
        Certainty::Secondary,
        Certainty::Derived,
        Certainty::Measured,
        Certainty::MemoryChecked,
        Certainty::Memory,
        Certainty::CommonPractice,
        Certainty::Model,
        Certainty::Invented,
    ];
    all.extend(certainties.map(|one| ("certainty", one.words().to_owned())));
    all.extend(CaseFace::ALL.map(|one| ("face", one.words().to_owned())));
    let directions = [
        Direction::Down,
        Direction::Up,
        Direction::Left,
        Direction::Right,
        Direction::Front,
        Direction::Back,
    ];
    all.extend(directions.map(|one| ("direction", one.as_str().to_owned())));
    let landings = [
        LandingCase::StopsDead,
        LandingCase::Rubs,
        LandingCase::Bounces,
        LandingCase::EndFirst,
    ];
    all.extend(landings.map(|one| ("landing", one.as_str().to_owned())));
    let spaces = [
        SpaceKind::Pallet,
        SpaceKind::Container,
        SpaceKind::Vehicle,
        SpaceKind::UnitLoadDevice,
    ];
    all.extend(spaces.map(|one| ("space", one.words().to_owned())));
    let states = [
        FittingState::Good,
        FittingState::Worn,
        FittingState::Damaged,
        FittingState::Missing,
        FittingState::NotChecked,
    ];
    all.extend(states.map(|one| ("fitting", one.words().to_owned())));
    all.extend(OpeningKind::ALL.map(|one| ("opening", one.as_str().to_owned())));
    all.extend(caddis_basis::Margin::UNITS_IN_WORDS.map(|one| ("unit", one.to_owned())));
    for (list, word) in all {
        assert_eq!(words.one_of(list, &word), word, "{list}");
    }
    let rules = rule_texts(&CarriageLimits::common());
    assert!(rules.len() > 40, "{}", rules.len());
    for rule in rules {
        assert_eq!(words.one_of("rule", rule.name), rule.name.replace('-', " "));
    }
    assert_eq!(
        written(ENGLISH)
            .unwrap()
            .keys()
            .filter(|id| id.starts_with("rule-"))
            .count(),
        rule_texts(&CarriageLimits::common()).len()
    );
    for group in FittingGroup::ALL {
        assert_eq!(words.one_of("fittings", group.words()), group.title());
    }
    for (number, shade) in (1..).zip(crate::fall_case::SHADE_WORDS) {
        assert_eq!(words.one_of("shade", &format!("{number}")), shade);
    }
}

#[test]
fn numbers_follow_the_marks_of_their_language() {
    let english = Words::english();
    assert_eq!(english.number(1234.5, 1), "1234.5");
    assert_eq!(
        say!(
            english,
            "quotation-layers",
            block = "a",
            count = 1,
            foam = "b",
            height = "5"
        ),
        "a: 1 layer of b, 5 mm high"
    );
    assert_eq!(
        say!(
            english,
            "quotation-layers",
            block = "a",
            count = 2,
            foam = "b",
            height = "5"
        ),
        "a: 2 layers of b, 5 mm high"
    );
    let text = ENGLISH.replacen("decimal-mark = .", "decimal-mark = ,", 1);
    let other = Words::read("xx", &text).unwrap();
    assert_eq!(other.number(1234.5, 1), "1234,5");
    for (from, to) in [
        ("12.7 [.50]", "12,7 [,50]"),
        ("9.8 kg ± 0.1 kg", "9,8 kg ± 0,1 kg"),
        ("-.5", "-,5"),
        ("no. 3.", "no. 3."),
        (".05", ",05"),
    ] {
        assert_eq!(other.figures(from), to);
    }
}

#[test]
fn a_catalogue_that_says_less_or_otherwise_is_refused_by_message_and_line() {
    let line = |what: &str| 1 + ENGLISH[..ENGLISH.find(what).unwrap()].matches('\n').count();
    let changed = |from: &str, to: &str| {
        assert_eq!(ENGLISH.matches(from).count(), 1, "{from}");
        Words::read("xx", &ENGLISH.replacen(from, to, 1)).unwrap_err()
    };
    let title = "quotation-title = Quotation\n";
    let lacks = changed(title, "");
    assert_eq!(lacks.problem, "the message `quotation-title` lacks");
    let twice = changed(title, &title.repeat(2));
    assert_eq!(
        (twice.line, twice.problem.as_str()),
        (
            Some(line(title) + 1),
            "the message `quotation-title` stands twice"
        )
    );
    let strange = changed(
        title,
        "quotation-title = Quotation\nquotation-titel = Quotation\n",
    );
    assert_eq!(
        (strange.line, strange.problem.as_str()),
        (Some(line(title) + 1), "there is no message `quotation-titel`")
    );
    let unknown = changed(title, "quotation-title = Quotation { $nr }\n");
    assert_eq!(
        unknown.problem,
        "the message `quotation-title` has no placeable { $nr }"
    );
    let number = "quotation-number = No. { $number }\n";
    let lost = changed(number, "quotation-number = No.\n");
    assert_eq!(
        lost.problem,
        "the message `quotation-number` loses its placeable { $number }"
    );
    assert_eq!(lost.line, Some(line(number)));
    let chooses = changed(
        number,
        "quotation-number = { $number ->\n   *[other] No. { $number }\n }\n",
    );
    assert!(chooses.problem.contains("chooses between variants"), "{chooses}");
    let unread = changed(title, "quotation-title = { \n");
    assert_eq!(unread.line, Some(line(title) + 1), "{unread:?}");
    let refers = changed("paper-mm = { $size } mm", "paper-mm = { $size } { -unit }");
    assert!(refers.problem.contains("cannot be set"), "{refers}");
    assert!(
        Words::read("?", ENGLISH)
            .unwrap_err()
            .problem
            .contains("not the tag")
    );
}
