//! What the calculation says, in the language of the papers.

use crate::Words;
use caddis_basis::{Part, Said, Saying, message_id};
use fluent_bundle::FluentValue;

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
