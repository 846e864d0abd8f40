//! The words of all papers: one catalogue per language, in the open format of Project Fluent, and how that language writes
//! figures. Machine files (cut files, programs, tables of values, solids) take no word and no mark from here.

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};
use fluent_syntax::parser::parse;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// The catalogue that stands in the program, and that every other is held against.
const ENGLISH: &str = include_str!("../languages/en.ftl");

/// The templates, which take their words by `w("…")`.
const TEMPLATES: [&str; 15] = [
    include_str!("typst/changes.typ"),
    include_str!("typst/check_print.typ"),
    include_str!("typst/contents_list.typ"),
    include_str!("typst/deck.typ"),
    include_str!("typst/drawings.typ"),
    include_str!("typst/first_article.typ"),
    include_str!("typst/labels.typ"),
    include_str!("typst/packing_list.typ"),
    include_str!("typst/paper.typ"),
    include_str!("typst/quotation.typ"),
    include_str!("typst/report.typ"),
    include_str!("typst/selection.typ"),
    include_str!("typst/survey.typ"),
    include_str!("typst/test_plan.typ"),
    include_str!("typst/worksheet.typ"),
];

/// The words of one language.
pub struct Words {
    tag: String,
    bundle: FluentBundle<FluentResource>,
    decimal_mark: String,
    group_mark: String,
    /// What templates read as `words.json`.
    templates: Vec<u8>,
}

impl std::fmt::Debug for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Words")
            .field("tag", &self.tag)
            .finish_non_exhaustive()
    }
}

/// Why a catalogue cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{problem}")]
pub struct WordsError {
    /// Line of the file, where one is meant.
    pub line: Option<usize>,
    /// What is wrong, naming the message.
    pub problem: String,
    /// What would do.
    pub hint: String,
}

/// A message as it is written: what it takes, and its parts where templates can set it.
struct Written {
    line: usize,
    takes: BTreeSet<String>,
    /// `None` where it chooses between variants or refers to others.
    parts: Option<Vec<Part>>,
}

enum Part {
    Text(String),
    Argument(String),
}

impl Words {
    /// English.
    ///
    /// # Panics
    /// Never: that the catalogue in the program reads is tested.
    pub fn english() -> &'static Self {
        static WORDS: OnceLock<Words> = OnceLock::new();
        WORDS.get_or_init(|| {
            let written = written(ENGLISH).expect("the catalogue in the program reads");
            Self::of("en", ENGLISH, &written).expect("the catalogue in the program is whole")
        })
    }

    /// A catalogue that is not held against the English one.
    #[cfg(test)]
    pub(crate) fn of_text(tag: &str, text: &str) -> Self {
        let written = written(text).expect("a catalogue that reads");
        Self::of(tag, text, &written).expect("a catalogue that is whole")
    }

    /// Reads the catalogue of the language `tag`, which says everything the English one says.
    ///
    /// # Errors
    /// A tag that is none; what does not read; a message that lacks, that English does not have, that loses or invents a
    /// placeable, or that chooses between variants where a page's layout sets its parts.
    pub fn read(tag: &str, text: &str) -> Result<Self, WordsError> {
        let own = written(text)?;
        let english = written(ENGLISH)?;
        let fault = |line: Option<usize>, problem: String, hint: &str| {
            Err(WordsError {
                line,
                problem,
                hint: hint.to_owned(),
            })
        };
        let lacking: Vec<&str> = english
            .keys()
            .filter(|id| !own.contains_key(*id))
            .map(String::as_str)
            .collect();
        if let [first, rest @ ..] = lacking.as_slice() {
            let more = if rest.is_empty() {
                String::new()
            } else {
                format!(" and {} more, `{}`", rest.len(), rest.join("`, `"))
            };
            return fault(
                None,
                format!("the message `{first}` lacks{more}"),
                "translate every message of `en.ftl`; nothing falls back to English in silence",
            );
        }
        let set_by_pages = template_ids();
        for (id, message) in &own {
            let line = Some(message.line);
            let Some(model) = english.get(id) else {
                return fault(
                    line,
                    format!("there is no message `{id}`"),
                    "take it out, or mend its name: names are those of `en.ftl`",
                );
            };
            if let Some(unknown) = message.takes.difference(&model.takes).next() {
                let known: Vec<String> = model.takes.iter().map(|name| format!("{{ ${name} }}")).collect();
                let known = if known.is_empty() {
                    "none".to_owned()
                } else {
                    known.join(", ")
                };
                return fault(
                    line,
                    format!("the message `{id}` has no placeable {{ ${unknown} }}"),
                    &format!("it has {known}"),
                );
            }
            if let Some(lost) = model.takes.difference(&message.takes).next() {
                return fault(
                    line,
                    format!("the message `{id}` loses its placeable {{ ${lost} }}"),
                    "what it stands for would be missing on the paper: put it in",
                );
            }
            if set_by_pages.contains(id.as_str()) && message.parts.is_none() {
                return fault(
                    line,
                    format!("the message `{id}` chooses between variants or refers to another message"),
                    "the layout of a page sets it part by part: write it out, with placeables only",
                );
            }
        }
        Self::of(tag, text, &own)
    }

    fn of(tag: &str, text: &str, written: &BTreeMap<String, Written>) -> Result<Self, WordsError> {
        let plain = |problem: String, hint: &str| WordsError {
            line: None,
            problem,
            hint: hint.to_owned(),
        };
        let language = tag.parse().map_err(|_| {
            plain(
                format!("`{tag}` is not the tag of a language"),
                "write one after BCP 47, e.g. `de` or `pt-BR`",
            )
        })?;
        let resource = FluentResource::try_new(text.to_owned())
            .map_err(|(_, errors)| plain(format!("it does not read: {errors:?}"), "see projectfluent.org"))?;
        let mut bundle = FluentBundle::new_concurrent(vec![language]);
        // Marks of direction around placeables would stand in the text of every paper; the languages set so far run one way.
        bundle.set_use_isolating(false);
        bundle
            .add_resource(resource)
            .map_err(|errors| plain(format!("a message stands twice: {errors:?}"), "leave each once"))?;
        let mut pages = Map::new();
        pages.insert("language-tag".to_owned(), json!(tag));
        for (id, message) in written {
            // Formatted once with something for everything: what it refers to is there.
            let mut args = FluentArgs::new();
            for name in &message.takes {
                args.set(name.as_str(), 1);
            }
            let mut errors = Vec::new();
            if let Some(pattern) = bundle.get_message(id).and_then(|message| message.value()) {
                bundle.format_pattern(pattern, Some(&args), &mut errors);
            }
            if let Some(error) = errors.first() {
                return Err(WordsError {
                    line: Some(message.line),
                    problem: format!("the message `{id}` cannot be set: {error}"),
                    hint: "mend what it refers to".to_owned(),
                });
            }
            // What the calculation says reaches templates as it is told.
            if let Some(parts) = &message.parts
                && !id.starts_with("says-")
            {
                pages.insert(id.clone(), json_of(parts));
            }
        }
        let mut words = Self {
            tag: tag.to_owned(),
            bundle,
            decimal_mark: String::new(),
            group_mark: String::new(),
            templates: Value::Object(pages).to_string().into_bytes(),
        };
        words.decimal_mark = words.say("decimal-mark");
        words.group_mark = words.say("group-mark");
        Ok(words)
    }

    /// The language's tag.
    pub fn tag(&self) -> &str {
        &self.tag
    }

    /// What templates read as `words.json`.
    pub(crate) fn templates(&self) -> &[u8] {
        &self.templates
    }

    /// A message that takes nothing. That each `id` in the sources is a message is tested, as it is for [`Self::with`].
    pub(crate) fn say(&self, id: &str) -> String {
        self.with(id, &[])
    }

    /// A message with what stands in its braces.
    pub(crate) fn with(&self, id: &str, with: &[(&str, FluentValue)]) -> String {
        let args: FluentArgs = with.iter().map(|(name, value)| (*name, value.clone())).collect();
        match self.bundle.get_message(id).and_then(|message| message.value()) {
            Some(pattern) => {
                let mut errors = Vec::new();
                let words = self.bundle.format_pattern(pattern, Some(&args), &mut errors);
                debug_assert!(errors.is_empty(), "{id}: {errors:?}");
                words.into_owned()
            }
            None => format!("{{{id}}}"),
        }
    }

    /// A word of a list that the calculation chooses from (`verdict`, `not known`): the message `verdict-not-known`.
    pub(crate) fn one_of(&self, list: &str, word: &str) -> String {
        self.say(&one_of_id(list, word))
    }

    /// A number with so many decimals.
    pub(crate) fn number(&self, value: f64, decimals: usize) -> String {
        self.figures(&format!("{value:.decimals$}"))
    }

    /// Figures as the calculation writes them, `12.5 kg ± 0.1 kg`, with this language's decimal mark: what stands for it is a point
    /// between two figures, or before one after nothing.
    pub(crate) fn figures(&self, text: &str) -> String {
        if self.decimal_mark == "." {
            return text.to_owned();
        }
        let chars: Vec<char> = text.chars().collect();
        let figure = |at: Option<usize>| at.and_then(|at| chars.get(at)).is_some_and(char::is_ascii_digit);
        let mut out = String::with_capacity(text.len());
        for (at, &c) in chars.iter().enumerate() {
            let before = at.checked_sub(1);
            let opens = before.is_none_or(|at| matches!(chars[at], ' ' | '[' | '-' | '±' | '+'));
            if c == '.' && figure(Some(at + 1)) && (figure(before) || opens) {
                out.push_str(&self.decimal_mark);
            } else {
                out.push(c);
            }
        }
        out
    }

    /// The mark between groups of three figures.
    pub(crate) fn group_mark(&self) -> &str {
        &self.group_mark
    }
}

fn one_of_id(list: &str, word: &str) -> String {
    let parts: Vec<String> = word
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|part| !part.is_empty())
        .map(str::to_ascii_lowercase)
        .collect();
    format!("{list}-{}", parts.join("-"))
}

/// A message of the catalogue by its name; what stands in its braces by theirs.
macro_rules! say {
    ($words:expr, $id:literal) => { $words.say($id) };
    ($words:expr, $id:literal, $($name:ident = $value:expr),+ $(,)?) => {
        $words.with($id, &[$((stringify!($name), fluent_bundle::FluentValue::from($value))),+])
    };
}
pub(crate) use say;

/// The messages templates set.
fn template_ids() -> BTreeSet<&'static str> {
    let names = |text: &'static str| {
        text.split("w(\"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
    };
    TEMPLATES.into_iter().flat_map(names).collect()
}

/// All messages of a catalogue.
fn written(text: &str) -> Result<BTreeMap<String, Written>, WordsError> {
    let resource = parse(text).map_err(|(_, errors)| {
        let error = errors.first();
        WordsError {
            line: error.map(|error| line_of(text, error.pos.start)),
            problem: error.map_or_else(|| "it does not read".to_owned(), ToString::to_string),
            hint: "the format is Project Fluent's: `name = words with { $placeables }`".to_owned(),
        }
    })?;
    let mut out = BTreeMap::new();
    for entry in &resource.body {
        let Entry::Message(message) = entry else { continue };
        let id = message.id.name.to_owned();
        let line = line_of(text, message.id.name.as_ptr() as usize - text.as_ptr() as usize);
        let Some(pattern) = &message.value else {
            return Err(WordsError {
                line: Some(line),
                problem: format!("the message `{id}` has no words"),
                hint: "write them after its `=`; attributes are not used".to_owned(),
            });
        };
        let mut takes = BTreeSet::new();
        taken(pattern, &mut takes);
        let parts = parts(pattern);
        if out.insert(id.clone(), Written { line, takes, parts }).is_some() {
            return Err(WordsError {
                line: Some(line),
                problem: format!("the message `{id}` stands twice"),
                hint: "leave it once".to_owned(),
            });
        }
    }
    Ok(out)
}

fn line_of(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count()
}

/// The placeables of a pattern.
fn taken(pattern: &Pattern<&str>, takes: &mut BTreeSet<String>) {
    for element in &pattern.elements {
        let PatternElement::Placeable { expression } = element else {
            continue;
        };
        let inline = match expression {
            Expression::Inline(inline) => inline,
            Expression::Select { selector, variants } => {
                for variant in variants {
                    taken(&variant.value, takes);
                }
                selector
            }
        };
        taken_inline(inline, takes);
    }
}

fn taken_inline(inline: &InlineExpression<&str>, takes: &mut BTreeSet<String>) {
    match inline {
        InlineExpression::VariableReference { id } => {
            takes.insert(id.name.to_owned());
        }
        InlineExpression::FunctionReference { arguments, .. } => {
            for argument in &arguments.positional {
                taken_inline(argument, takes);
            }
        }
        _ => {}
    }
}

/// A pattern of text and placeables alone.
fn parts(pattern: &Pattern<&str>) -> Option<Vec<Part>> {
    pattern
        .elements
        .iter()
        .map(|element| match element {
            PatternElement::TextElement { value } => Some(Part::Text((*value).to_owned())),
            PatternElement::Placeable {
                expression: Expression::Inline(InlineExpression::StringLiteral { value }),
            } => Some(Part::Text(
                fluent_syntax::unicode::unescape_unicode_to_string(value).into_owned(),
            )),
            PatternElement::Placeable {
                expression: Expression::Inline(InlineExpression::VariableReference { id }),
            } => Some(Part::Argument(id.name.to_owned())),
            PatternElement::Placeable { .. } => None,
        })
        .collect()
}

/// A plain message as a string, another as its parts.
fn json_of(parts: &[Part]) -> Value {
    let is_plain = parts.iter().all(|part| matches!(part, Part::Text(_)));
    if is_plain {
        let words: String = parts
            .iter()
            .filter_map(|part| match part {
                Part::Text(text) => Some(text.as_str()),
                Part::Argument(_) => None,
            })
            .collect();
        return json!(words);
    }
    parts
        .iter()
        .map(|part| match part {
            Part::Text(text) => json!(text),
            Part::Argument(name) => json!({ "name": name }),
        })
        .collect()
}

#[cfg(test)]
#[path = "words_tests.rs"]
mod tests;
