//! What the calculation says in words: a sentence with what stands in its places kept apart, so that a paper can say the same in
//! another language.

use crate::{CavityId, InstanceId, ItemId, LayerId, Manner, Name, Part, Sayable};
use std::fmt::{self, Write as _};
use std::hash::{Hash, Hasher};
use std::ops::Deref;

/// Words in English that know how they were put together; made by [`said!`](crate::said). Reads as the English text wherever a
/// `&str` is asked for.
#[derive(Debug, Clone)]
pub struct Said {
    english: String,
    saying: Saying,
}

/// How words were put together.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Saying {
    /// A sentence, or a piece of one: its words with `{name}` where something stands, and what stands there.
    Sentence {
        /// The words.
        template: &'static str,
        /// What stands in each of its places.
        with: Vec<(&'static str, Part)>,
    },
    /// A word of a list that papers know by name: `direction`, `down`.
    OneOf {
        /// The list.
        list: &'static str,
        /// The word.
        word: &'static str,
    },
    /// A name, as the job or the library writes it: the same in every language.
    Name(String),
    /// One after the other.
    Row {
        /// What is said.
        of: Vec<Said>,
        /// What stands between two.
        between: &'static str,
    },
}

/// Says a sentence: `said!("{who} sees {peak:.0} in a fall {way}", who = item.name, peak, way)`. The places are as in `format!`,
/// each by name; `peak` alone stands for `peak = peak`. That all places are filled, and no more, is held by the compiler.
#[macro_export]
macro_rules! said {
    (@value $name:ident) => { $name };
    (@value $name:ident = $value:expr) => { $value };
    ($template:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {
        $crate::Said::sentence(
            $template,
            &[$((stringify!($name), &$crate::said!(@value $name $(= $value)?))),*],
            format_args!($template $(, $name = 0.0_f64)*),
        )
    };
}

impl Said {
    /// For [`said!`](crate::said), whose `_held` is there for the compiler: it holds the places against the names.
    #[doc(hidden)]
    pub fn sentence(
        template: &'static str,
        given: &[(&'static str, &dyn Sayable)],
        _held: fmt::Arguments<'_>,
    ) -> Self {
        let mut english = String::with_capacity(template.len() + 16);
        let mut with: Vec<(&'static str, Part)> = Vec::with_capacity(given.len());
        for piece in pieces(template) {
            let (name, manner) = match piece {
                Piece::Text(text) => {
                    english.push_str(text);
                    continue;
                }
                Piece::Place(name, manner) => (name, manner),
            };
            let Some((name, value)) = given.iter().find(|(given, _)| *given == name) else {
                // The compiler has held the places against the names.
                continue;
            };
            let part = value.part(manner);
            let _ = write!(english, "{part}");
            if !with.iter().any(|(known, _)| known == name) {
                with.push((name, part));
            }
        }
        Self {
            english,
            saying: Saying::Sentence { template, with },
        }
    }

    /// A name, as the job or the library writes it.
    pub fn name(name: impl Into<String>) -> Self {
        let english = name.into();
        Self {
            saying: Saying::Name(english.clone()),
            english,
        }
    }

    /// The word `word` of a list that papers know by name (`direction`, `down`).
    pub fn one_of(list: &'static str, word: &'static str) -> Self {
        Self {
            english: word.to_owned(),
            saying: Saying::OneOf { list, word },
        }
    }

    /// One after the other with `between` between: a comma, a semicolon.
    pub fn row(of: impl IntoIterator<Item = Self>, between: &'static str) -> Self {
        let mut of: Vec<Self> = of.into_iter().collect();
        if of.len() == 1 {
            return of.remove(0);
        }
        let english: Vec<&str> = of.iter().map(|said| said.english.as_str()).collect();
        Self {
            english: english.join(between),
            saying: Saying::Row { of, between },
        }
    }

    /// All of them, as a sentence counts them up: `a, b and c`.
    pub fn all(of: impl IntoIterator<Item = Self>) -> Self {
        let mut of: Vec<Self> = of.into_iter().collect();
        match of.pop() {
            Some(last) if !of.is_empty() => {
                let first = Self::row(of, ", ");
                said!("{first} and {last}", first, last)
            }
            Some(only) => only,
            None => Self::name(""),
        }
    }

    /// The English words.
    pub fn as_str(&self) -> &str {
        &self.english
    }

    /// How they were put together.
    pub fn saying(&self) -> &Saying {
        &self.saying
    }
}

/// The message of a catalogue that says a sentence: its first words and a check over all of it, so that other words are
/// another message.
pub fn message_id(template: &str) -> String {
    let mut plain = String::new();
    for piece in pieces(template) {
        match piece {
            Piece::Text(text) => plain.push_str(text),
            Piece::Place(..) => plain.push(' '),
        }
    }
    let words = plain
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .take(7);
    let mut id = "says".to_owned();
    for word in words {
        id.push('-');
        id.push_str(&word.to_ascii_lowercase());
    }
    // FNV-1a, 32 bits, folded to 16: Fowler, Noll, Vo; draft-eastlake-fnv (from memory).
    let check = message_text(template)
        .bytes()
        .fold(0x811c_9dc5_u32, |hash, byte| {
            (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
        });
    let _ = write!(id, "-{:04x}", (check >> 16) ^ (check & 0xffff));
    id
}

/// A sentence as a catalogue writes it: `{ $peak }` where `{peak:.0}` stands.
pub fn message_text(template: &str) -> String {
    let mut text = String::new();
    for piece in pieces(template) {
        match piece {
            Piece::Text(words) => text.push_str(words),
            Piece::Place(name, _) => {
                let _ = write!(text, "{{ ${name} }}");
            }
        }
    }
    text
}

enum Piece<'a> {
    Text(&'a str),
    Place(&'a str, Manner),
}

/// The text and the places of a sentence, in order.
fn pieces(template: &str) -> impl Iterator<Item = Piece<'_>> {
    let mut rest = template;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        if let Some(inside) = rest.strip_prefix('{')
            && let Some((place, after)) = inside.split_once('}')
        {
            rest = after;
            let (name, manner) = place.split_once(':').unwrap_or((place, ""));
            return Some(Piece::Place(
                name,
                Manner {
                    signed: manner.starts_with('+'),
                    decimals: manner
                        .split_once('.')
                        .and_then(|(_, decimals)| decimals.parse().ok()),
                },
            ));
        }
        let next = rest.char_indices().skip(1).find(|(_, c)| *c == '{');
        let end = next.map_or(rest.len(), |(at, _)| at);
        let (text, after) = rest.split_at(end);
        rest = after;
        Some(Piece::Text(text))
    })
}

impl Deref for Said {
    type Target = str;
    fn deref(&self) -> &str {
        &self.english
    }
}

impl AsRef<str> for Said {
    fn as_ref(&self) -> &str {
        &self.english
    }
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.english)
    }
}

// Two that read alike are alike, in order as in equality.
impl PartialEq for Said {
    fn eq(&self, other: &Self) -> bool {
        self.english == other.english
    }
}

impl Eq for Said {}

impl Hash for Said {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.english.hash(state);
    }
}

impl PartialOrd for Said {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Said {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.english.cmp(&other.english)
    }
}

impl PartialEq<str> for Said {
    fn eq(&self, other: &str) -> bool {
        self.english == other
    }
}

impl PartialEq<String> for Said {
    fn eq(&self, other: &String) -> bool {
        self.english == *other
    }
}

impl PartialEq<Said> for String {
    fn eq(&self, other: &Said) -> bool {
        *self == other.english
    }
}

impl PartialEq<&str> for Said {
    fn eq(&self, other: &&str) -> bool {
        self.english == *other
    }
}

impl Default for Said {
    fn default() -> Self {
        Self::name("")
    }
}

impl From<&Said> for Said {
    fn from(said: &Said) -> Self {
        said.clone()
    }
}

macro_rules! named {
    ($($name:ty),+) => { $(
        impl From<$name> for Said {
            fn from(name: $name) -> Self {
                Self::name(name.to_string())
            }
        }
        impl From<&$name> for Said {
            fn from(name: &$name) -> Self {
                Self::name(name.to_string())
            }
        }
    )+ };
}

named!(Name, ItemId, CavityId, LayerId, InstanceId);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Length;

    #[test]
    fn a_sentence_reads_as_english_and_keeps_its_parts() {
        let height = Length::from_si(0.75);
        let way = Said::one_of("direction", "down");
        let said = said!(
            "{who} sees {peak:.0} G in {count} falls {way} of {height:.0}",
            who = "gps 2.1",
            peak = 41.6,
            count = 3_usize,
            way,
            height
        );
        assert_eq!(said, "gps 2.1 sees 42 G in 3 falls down of 750 mm");
        let Saying::Sentence { template, with } = said.saying() else {
            panic!("a sentence")
        };
        assert_eq!(
            message_text(template),
            "{ $who } sees { $peak } G in { $count } falls { $way } of { $height }"
        );
        assert_eq!(
            with,
            &[
                ("who", Part::Name("gps 2.1".to_owned())),
                ("peak", Part::Figure("42".to_owned())),
                ("count", Part::Count(3)),
                ("way", Part::Said(Said::one_of("direction", "down"))),
                ("height", Part::Figure("750 mm".to_owned())),
            ]
        );
    }

    #[test]
    fn other_words_or_places_are_another_message_another_manner_is_not() {
        let id = message_id("the lid lifts {gap:.1} mm");
        assert!(id.starts_with("says-the-lid-lifts-mm-"), "{id}");
        assert_eq!(id, message_id("the lid lifts {gap:.0} mm"));
        assert_ne!(id, message_id("the lid lifts {room:.1} mm"));
        assert_ne!(id, message_id("the lid, lifts {gap:.1} mm"));
        let kept = |id: &str| id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
        assert!(kept(&message_id("ε {a} – 5 %: “{b:+.2}”")));
    }

    #[test]
    fn rows_and_counts_read_as_a_person_would_say_them() {
        let names = |all: &[&str]| Said::all(all.iter().map(|one| Said::name(*one)));
        assert_eq!(names(&[]), "");
        assert_eq!(names(&["a"]), "a");
        assert_eq!(names(&["a", "b"]), "a and b");
        assert_eq!(names(&["a", "b", "c"]), "a, b and c");
        let signed = said!("{gap:+.1} mm, {share:.2}", gap = 0.26, share = 0.5);
        assert_eq!(signed, "+0.3 mm, 0.50");
    }
}
