//! What the calculation says, in the language of the papers.

use crate::Words;
use crate::words::say;
use caddis_basis::{Margin, Part, Said, Saying, Sense, message_id};
use fluent_bundle::FluentValue;

/// Units of margins that are words; every other is a symbol.
pub(crate) const UNITS_IN_WORDS: [&str; 7] = [
    "kg of fresh water",
    "K beyond",
    "% of the side",
    "bottoms",
    "strikes",
    "strain",
    "drops",
];

impl Words {
    /// What the calculation says. That each of its sentences is a message is tested.
    pub(crate) fn told(&self, said: &Said) -> String {
        match said.saying() {
            Saying::Sentence { template, with } => {
                let with: Vec<(&str, FluentValue)> =
                    with.iter().map(|(name, part)| (*name, self.part(part))).collect();
                self.with(&message_id(template), &with)
            }
            Saying::OneOf { list, word } => self.one_of(list, word),
            Saying::Name(name) => name.clone(),
            Saying::Row { of, between } => {
                let all: Vec<String> = of.iter().map(|said| self.told(said)).collect();
                all.join(between)
            }
        }
    }

    /// What the calculation says, where it says something.
    pub(crate) fn told_if(&self, said: Option<&Said>) -> String {
        said.map_or_else(String::new, |said| self.told(said))
    }

    /// How far a value lies from its limit: `12.3 mm, at most 10 mm`.
    pub(crate) fn margin(&self, margin: &Margin) -> String {
        let unit = if UNITS_IN_WORDS.contains(&margin.unit.as_str()) {
            self.one_of("unit", &margin.unit)
        } else {
            margin.unit.clone()
        };
        let [found, limit] = margin.figures().map(|figure| {
            let figure = self.figures(&figure);
            if unit.is_empty() {
                figure
            } else {
                say!(self, "margin-quantity", figure = figure, unit = unit.as_str())
            }
        });
        match margin.sense {
            Sense::AtMost => say!(self, "margin-at-most", found = found, limit = limit),
            Sense::AtLeast => say!(self, "margin-at-least", found = found, limit = limit),
        }
    }

    fn part<'a>(&self, part: &'a Part) -> FluentValue<'a> {
        match part {
            Part::Said(said) => self.told(said).into(),
            Part::Name(name) => name.as_str().into(),
            Part::Figure(figure) => self.figures(figure).into(),
            Part::Count(count) => (*count).into(),
        }
    }
}

#[cfg(test)]
#[path = "told_tests.rs"]
mod tests;
