//! A TOML text with its name: reads it into a written form and finds the line of a field.

use crate::error::{Fault, FileError, FilePlace, join};
use crate::suggest::closest;
use serde::de::DeserializeOwned;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The schema number this version reads and writes.
pub(crate) const SCHEMA: u32 = 1;

/// A text and the name it goes by in messages.
#[derive(Debug, Clone)]
pub(crate) struct Document {
    name: String,
    text: String,
}

impl Document {
    /// Wraps bytes that should be UTF-8 text.
    pub(crate) fn new(bytes: &[u8], name: &str) -> Result<Self, FileError> {
        let text = std::str::from_utf8(bytes).map_err(|error| FileError::Content {
            place: Box::new(FilePlace {
                file: name.to_owned(),
                line: Some(
                    1 + String::from_utf8_lossy(&bytes[..error.valid_up_to()])
                        .matches('\n')
                        .count(),
                ),
                field: String::new(),
            }),
            problem: "the file is not UTF-8 text".to_owned(),
            hint: Some("save it as plain text (UTF-8)".to_owned()),
        })?;
        Ok(Self {
            name: name.to_owned(),
            text: text.trim_start_matches('\u{feff}').to_owned(),
        })
    }

    /// Reads the written form.
    pub(crate) fn parse<T: DeserializeOwned>(&self) -> Result<T, FileError> {
        let table = DeTable::parse(&self.text).map_err(|error| {
            self.content(
                error.span().map(|span| self.line(span.start)),
                String::new(),
                format!("this is not TOML: {}", error.message().replace('\n', ", ")),
                Some(
                    "write `key = value`, text in double quotes, a table as `[name]` or `{ key = value }`"
                        .to_owned(),
                ),
            )
        })?;
        self.check_schema(table.get_ref())?;
        toml::from_str(&self.text).map_err(|error| self.explain(&error, table.get_ref()))
    }

    /// A fault with this file's name and the line of its field.
    pub(crate) fn locate(&self, fault: Fault) -> FileError {
        let line = DeTable::parse(&self.text)
            .ok()
            .and_then(|table| span_of(table.get_ref(), &fault.field))
            .map(|span| self.line(span.start));
        self.content(line, fault.field, fault.problem, fault.hint)
    }

    /// The place of a field, for errors of other kinds.
    pub(crate) fn place(&self, field: &str) -> FilePlace {
        FilePlace {
            file: self.name.clone(),
            line: DeTable::parse(&self.text)
                .ok()
                .and_then(|table| span_of(table.get_ref(), field))
                .map(|span| self.line(span.start)),
            field: field.to_owned(),
        }
    }

    fn content(
        &self,
        line: Option<usize>,
        field: String,
        problem: String,
        hint: Option<String>,
    ) -> FileError {
        FileError::Content {
            place: Box::new(FilePlace {
                file: self.name.clone(),
                line,
                field,
            }),
            problem,
            hint,
        }
    }

    fn line(&self, at: usize) -> usize {
        1 + self.text.get(..at).unwrap_or(&self.text).matches('\n').count()
    }

    fn check_schema(&self, table: &DeTable<'_>) -> Result<(), FileError> {
        let hint = Some(format!("write `schema = {SCHEMA}` as the first line"));
        let Some(value) = table.get("schema") else {
            return Err(self.content(
                Some(1),
                "schema".to_owned(),
                "the schema number is missing".to_owned(),
                hint,
            ));
        };
        let number = value
            .get_ref()
            .as_integer()
            .and_then(|n| n.as_str().parse::<u32>().ok());
        if number == Some(SCHEMA) {
            return Ok(());
        }
        let found = &self.text[value.span()];
        Err(self.content(
            Some(self.line(value.span().start)),
            "schema".to_owned(),
            format!("schema {found} is not one this version reads; it reads schema {SCHEMA}"),
            hint,
        ))
    }

    /// Serde's message as a sentence of ours: unknown keys get a suggestion, missing ones their table.
    fn explain(&self, error: &toml::de::Error, table: &DeTable<'_>) -> FileError {
        let message = error.message().trim().to_owned();
        let span = error.span();
        let line = span.as_ref().map(|span| self.line(span.start));
        let mut field = span
            .as_ref()
            .map_or_else(String::new, |span| path_at(table, span));
        let words: Vec<&str> = message.split('`').skip(1).step_by(2).collect();
        let (problem, hint) = if message.starts_with("unknown field `") {
            let found = words.first().copied().unwrap_or_default();
            let known = &words[1.min(words.len())..];
            if field.is_empty() {
                found.clone_into(&mut field);
            }
            (
                format!("`{found}` is not a key known here"),
                Some(one_of(found, known)),
            )
        } else if message.starts_with("unknown variant `") {
            let found = words.first().copied().unwrap_or_default();
            let known = &words[1.min(words.len())..];
            (format!("`{found}` is not known here"), Some(one_of(found, known)))
        } else if let (true, Some(key)) = (message.starts_with("missing field `"), words.first()) {
            field = join(&field, key);
            (format!("`{key}` is missing"), Some(format!("add `{key} = …`")))
        } else {
            plainly(&message)
        };
        self.content(line, field, problem, hint)
    }
}

/// What the reader says in its own terms, in a bench's: what stands there, and what to write.
fn plainly(message: &str) -> (String, Option<String>) {
    let of_wrong_type = message
        .strip_prefix("invalid type: ")
        .or_else(|| message.strip_prefix("invalid value: "))
        .and_then(|rest| rest.rsplit_once(", expected "));
    if let Some((found, wanted)) = of_wrong_type {
        let found = match found.split_once(' ') {
            None if found == "map" => "a table".to_owned(),
            None if found == "sequence" => "a list".to_owned(),
            Some(("string", text)) => format!("the text {text}"),
            Some(("boolean", word)) => word.to_owned(),
            Some(("integer", number)) => format!("the number {}", number.trim_matches('`')),
            _ => found.strip_prefix("floating point ").map_or_else(
                || found.to_owned(),
                |number| format!("the number {}", number.trim_matches('`')),
            ),
        };
        return (
            format!("here stands {found}, wanted is {}", in_words(wanted)),
            Some(format!("write {}", in_words(wanted))),
        );
    }
    if message.starts_with("invalid length") {
        return (
            format!("the list is of another length than wanted ({message})"),
            Some(if message.contains("expected struct") {
                "write a table such as `{ key = value }`".to_owned()
            } else {
                "give as many entries as are wanted".to_owned()
            }),
        );
    }
    match message {
        "floating-point number overflowed" => (
            "the number is too large to be held".to_owned(),
            Some("write a quantity with its unit, such as \"620 mm\"".to_owned()),
        ),
        "wanted string or table" => (
            "here stands neither text nor a table".to_owned(),
            Some("write text in double quotes, or a table such as `{ key = value }`".to_owned()),
        ),
        _ => (message.to_owned(), None),
    }
}

/// A wanted type as one would write it.
fn in_words(wanted: &str) -> String {
    match wanted {
        "a string" => "text in double quotes".to_owned(),
        "a sequence" => "a list such as `[a, b]`".to_owned(),
        "a boolean" => "true or false".to_owned(),
        "a map" => "a table such as `{ key = value }`".to_owned(),
        "u32" | "u64" | "usize" => "a whole number, zero or more".to_owned(),
        "f64" => "a number".to_owned(),
        _ if wanted.starts_with("struct ") => "a table such as `{ key = value }`".to_owned(),
        _ => wanted.to_owned(),
    }
}

/// "did you mean x? one of a, b, c".
pub(crate) fn one_of(found: &str, known: &[&str]) -> String {
    let list = known.join(", ");
    match closest(found, known.iter().copied()) {
        Some(word) => format!("did you mean `{word}`? known here: {list}"),
        None => format!("known here: {list}"),
    }
}

/// The span of the deepest part of `path` that is there.
fn span_of(table: &DeTable<'_>, path: &str) -> Option<Range<usize>> {
    let mut found = None;
    let mut here = Some(table);
    let mut value: Option<&Spanned<DeValue<'_>>> = None;
    for step in path.split('.') {
        let (key, index) = match step.strip_suffix(']').and_then(|s| s.split_once('[')) {
            Some((key, index)) => (key, index.parse::<usize>().ok()),
            None => (step, None),
        };
        let Some((spanned_key, next)) = here.and_then(|table| table.iter().find(|(k, _)| k.get_ref() == key))
        else {
            break;
        };
        value = Some(next);
        found = Some(spanned_key.span());
        if let Some(index) = index {
            value = next.get_ref().as_array().and_then(|array| array.get(index));
            if let Some(value) = value {
                found = Some(value.span());
            }
        }
        here = value.and_then(|value| value.get_ref().as_table());
    }
    let _ = value;
    found
}

/// The path of the smallest key or value that covers `span`.
fn path_at(table: &DeTable<'_>, span: &Range<usize>) -> String {
    let mut best: Option<(usize, String)> = None;
    visit_table(table, "", span, &mut best);
    best.map_or_else(String::new, |(_, path)| path)
}

fn visit_table(table: &DeTable<'_>, path: &str, span: &Range<usize>, best: &mut Option<(usize, String)>) {
    for (key, value) in table {
        let here = join(path, key.get_ref());
        offer(&key.span(), &here, span, best);
        visit_value(value, &here, span, best);
    }
}

fn visit_value(
    value: &Spanned<DeValue<'_>>,
    path: &str,
    span: &Range<usize>,
    best: &mut Option<(usize, String)>,
) {
    offer(&value.span(), path, span, best);
    match value.get_ref() {
        DeValue::Table(table) => visit_table(table, path, span, best),
        DeValue::Array(array) => {
            for (index, value) in array.iter().enumerate() {
                visit_value(value, &format!("{path}[{index}]"), span, best);
            }
        }
        _ => {}
    }
}

fn offer(candidate: &Range<usize>, path: &str, span: &Range<usize>, best: &mut Option<(usize, String)>) {
    let covers = candidate.start <= span.start && span.end <= candidate.end;
    let length = candidate.len();
    if covers && best.as_ref().is_none_or(|(least, _)| length <= *least) {
        *best = Some((length, path.to_owned()));
    }
}
