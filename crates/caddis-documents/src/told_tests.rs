//! What the calculation says against the catalogue: every sentence of the sources is a message, and no other is.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::Words;
use caddis_basis::{Length, Said, message_id, message_text, said};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const CATALOGUE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/languages/en.ftl");
const HEAD: &str =
    "## What the calculation says (told by the sources: CADDIS_BLESS=1 with this crate's tests writes it)";

/// Every sentence that stands in `said!("…")` in the sources of the workspace, by its message.
fn sentences() -> BTreeMap<String, String> {
    let mut found: BTreeMap<String, String> = BTreeMap::new();
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut folders: Vec<PathBuf> = std::fs::read_dir(crates)
        .unwrap()
        .map(|entry| entry.unwrap().path().join("src"))
        .collect();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs")
                && !path.ends_with("told_tests.rs")
            {
                let text = std::fs::read_to_string(&path).unwrap();
                // What tests say is theirs.
                let end = text.find("\nmod tests {").unwrap_or(text.len());
                for template in templates(&text[..end]) {
                    assert!(
                        template.trim() == template && !template.contains('\n'),
                        "{}: `{template}` begins or ends with a space, or breaks its line: a catalogue would lose it",
                        path.display()
                    );
                    let words = message_text(&template);
                    let id = message_id(&template);
                    if let Some(other) = found.insert(id.clone(), words.clone()) {
                        assert_eq!(other, words, "two sentences are one message `{id}`");
                    }
                }
            }
        }
    }
    found
}

/// The literals that `said!(` opens with.
fn templates(source: &str) -> Vec<String> {
    let lines: Vec<&str> = source
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect();
    let source = lines.join("\n");
    source
        .split("said!(")
        .skip(1)
        .filter_map(|rest| rest.trim_start().strip_prefix('"'))
        .map(literal)
        .collect()
}

/// A string literal as the compiler reads it, from behind its first quotation mark.
fn literal(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' => break,
            '\\' => match chars.next() {
                Some('\n') => while chars.next_if(|c| c.is_whitespace()).is_some() {},
                Some('n') => out.push('\n'),
                Some(other) => out.push(other),
                None => break,
            },
            other => out.push(other),
        }
    }
    out
}

#[test]
fn what_the_calculation_says_is_in_the_catalogue_and_nothing_else_is() {
    let wanted: Vec<String> = sentences()
        .iter()
        .map(|(id, words)| format!("{id} = {words}"))
        .collect();
    let text = std::fs::read_to_string(CATALOGUE).unwrap();
    let stands: Vec<&str> = text.lines().filter(|line| line.starts_with("says-")).collect();
    if std::env::var_os("CADDIS_BLESS").is_some() && stands != wanted {
        let others = text.split(HEAD).next().unwrap().trim_end();
        std::fs::write(
            CATALOGUE,
            format!("{others}\n\n{HEAD}\n\n{}\n", wanted.join("\n")),
        )
        .unwrap();
        panic!("the catalogue was written anew: build again");
    }
    let lacks: Vec<&String> = wanted
        .iter()
        .filter(|line| !stands.contains(&line.as_str()))
        .collect();
    let unasked: Vec<&&str> = stands
        .iter()
        .filter(|line| !wanted.iter().any(|own| own == *line))
        .collect();
    assert!(
        lacks.is_empty() && unasked.is_empty(),
        "run once with CADDIS_BLESS=1\nthe catalogue lacks {lacks:#?}\nnobody says {unasked:#?}"
    );
    assert!(wanted.len() > 200, "{}", wanted.len());
}

#[test]
fn literals_read_as_the_compiler_reads_them() {
    let source = "x(said!(\"a {b:.1} \\\"c\\\"\", b)); // said!(\n said!(\n    \"one \\\n     two\",\n)";
    assert_eq!(templates(source), ["a {b:.1} \"c\"", "one two"]);
}

#[test]
fn another_language_says_the_same_with_its_own_words_marks_and_order() {
    let template = "the lid lifts {gap:.1} off {who}, {count} times, {way}";
    let (id, words) = (message_id(template), message_text(template));
    let text = std::fs::read_to_string(CATALOGUE).unwrap();
    let english = format!("{text}\n{id} = {words}\n");
    let other = english
        .replacen("decimal-mark = .", "decimal-mark = ,", 1)
        .replace(
            &format!("{id} = {words}"),
            &format!("{id} = {{ $who }}: {{ $count ->\n    [one] einmal\n   *[other] {{ $count }}-mal\n }} {{ $gap }}, {{ $way }}"),
        )
        .replace("direction-down = down", "direction-down = abwärts");
    let words = Words::of_text("xx", &other);
    let say = |count: usize| {
        words.told(&said!(
            "the lid lifts {gap:.1} off {who}, {count} times, {way}",
            gap = Length::from_si(0.0015),
            who = "gps 2.1",
            count,
            way = Said::one_of("direction", "down"),
        ))
    };
    assert_eq!(say(1), "gps 2.1: einmal 1,5 mm, abwärts");
    assert_eq!(say(3), "gps 2.1: 3-mal 1,5 mm, abwärts");
    let row = Said::row([Said::name("a 1.5"), Said::name("b")], "; ");
    assert_eq!(words.told(&row), "a 1.5; b");
}
