//! Findings and concessions as the report tells them, like ones together.

use super::PaperInput;
use super::sources::Sources;
use crate::Words;
use crate::words::say;
use caddis_basis::{Domain, Finding, Said, Severity};
use caddis_design::Concession;
use serde_json::{Value, json};

pub(super) fn finding(words: &Words, f: &Finding, sources: &mut Sources<'_>) -> Value {
    json!({
        "severity": f.severity.to_string(),
        "domain": f.domain.to_string(),
        "place": words.told(&f.place),
        "code": f.code,
        "sentence": condensed(words, &words.told(&f.sentence)),
        "margin": f.margin.as_ref().map(|margin| words.told(&margin.said())),
        "remedy": f.remedy.as_ref().map(|remedy| words.told(remedy)),
        "source": sources.cite(&f.source),
    })
}

/// A list of remarks in one sentence, those that differ in their numbers alone said once with how many more there are.
pub(super) fn condensed(words: &Words, sentence: &str) -> String {
    let shape = |part: &str| {
        part.chars()
            .filter(|c| !(c.is_ascii_digit() || *c == '.'))
            .collect::<String>()
    };
    let mut kinds: Vec<(String, &str, usize)> = Vec::new();
    for part in sentence.split("; ") {
        let key = shape(part);
        match kinds.iter_mut().find(|(known, ..)| *known == key) {
            Some(kind) => kind.2 += 1,
            None => kinds.push((key, part, 0)),
        }
    }
    let parts: Vec<String> = kinds
        .into_iter()
        .map(|(_, first, more)| {
            if more == 0 {
                first.to_owned()
            } else {
                say!(words, "data-more-alike", first = first, count = more)
            }
        })
        .collect();
    parts.join("; ")
}

/// Findings but those of the shop. What fails stands alone; of the others those of one kind with one remedy stand together, so that
/// what every leg says is read once.
pub(super) fn findings(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for f in &input.verification.findings {
        if f.domain == Domain::Shop {
            continue;
        }
        let group = groups.iter_mut().find(|group| {
            let first = group[0];
            f.severity != Severity::Failing
                && (f.severity, f.domain, &f.code, &f.remedy, &f.source)
                    == (
                        first.severity,
                        first.domain,
                        &first.code,
                        &first.remedy,
                        &first.source,
                    )
        });
        match group {
            Some(group) => group.push(f),
            None => groups.push(vec![f]),
        }
    }
    groups
        .iter()
        .map(|group| {
            let words = input.words;
            let mut row = finding(words, group[0], sources);
            if group.len() > 1 {
                row["place"] = json!(places(words, group.iter().map(|f| &f.place)));
                let is_same = |f: &&Finding| f.sentence == group[0].sentence && f.margin == group[0].margin;
                if !group.iter().all(is_same) {
                    row["sentence"] = json!(together(words, group));
                    row["margin"] = Value::Null;
                }
            }
            row
        })
        .collect()
}

/// Places in one list; legs by their numbers.
fn places<'a>(words: &Words, all: impl Iterator<Item = &'a Said>) -> String {
    let mut legs: Vec<&str> = Vec::new();
    let mut others: Vec<String> = Vec::new();
    for place in all {
        match place.strip_prefix("leg ") {
            Some(number) if number.bytes().all(|c| c.is_ascii_digit()) => {
                if !legs.contains(&number) {
                    legs.push(number);
                }
            }
            _ => {
                let name = words.told(place);
                if !others.contains(&name) {
                    others.push(name);
                }
            }
        }
    }
    let legs = match legs.len() {
        0 => None,
        1 => Some(say!(words, "data-leg", number = legs[0])),
        _ => Some(say!(words, "data-legs", numbers = legs.join(", "))),
    };
    legs.into_iter().chain(others).collect::<Vec<_>>().join(", ")
}

/// What several findings of one kind say, each sentence once with its places.
fn together(words: &Words, group: &[&Finding]) -> String {
    let mut sentences: Vec<(String, Vec<&Said>)> = Vec::new();
    for f in group {
        let margin = f
            .margin
            .as_ref()
            .map_or_else(String::new, |m| format!(" ({})", words.told(&m.said())));
        let sentence = format!("{}{margin}", condensed(words, &words.told(&f.sentence)));
        match sentences.iter_mut().find(|(known, _)| *known == sentence) {
            Some((_, places)) => places.push(&f.place),
            None => sentences.push((sentence, vec![&f.place])),
        }
    }
    sentences
        .into_iter()
        .map(|(sentence, at)| format!("{}: {sentence}", places(words, at.into_iter())))
        .collect::<Vec<_>>()
        .join("; ")
}

/// Concessions of one kind: on protection, of the shop, or the rest (asked for by any other domain).
pub(super) fn concessions(input: &PaperInput, domain: Domain) -> Value {
    let Some(release) = input.release else {
        return json!([]);
    };
    let kind = |d: Domain| match d {
        Domain::Protection | Domain::Shop => d,
        _ => Domain::Journey,
    };
    release
        .conceded()
        .iter()
        .filter(|(f, _)| kind(f.domain) == domain)
        .map(|(f, c)| concession(input.words, f, c))
        .collect()
}

fn concession(words: &Words, f: &Finding, c: &Concession) -> Value {
    let (name, date) = (c.signer.name.as_str(), c.date.as_str());
    let signed = if c.signer.is_customer {
        say!(words, "data-signed-customer", name = name, date = date)
    } else {
        say!(words, "data-signed-shop", name = name, date = date)
    };
    json!([
        words.told(&f.place),
        words.told(&f.sentence),
        c.margin
            .as_ref()
            .map_or_else(String::new, |margin| words.told(&margin.said())),
        signed,
        c.reason,
    ])
}

#[cfg(test)]
mod tests {
    use super::condensed;
    use crate::Words;

    #[test]
    fn remarks_that_differ_in_numbers_alone_are_said_once() {
        let long = "strain 0.86 is beyond 0.85; thickness 5 mm is thin; strain 0.87 is beyond 0.85; strain 0.9 is beyond 0.85";
        assert_eq!(
            condensed(Words::english(), long),
            "strain 0.86 is beyond 0.85 (and 2 more like it); thickness 5 mm is thin"
        );
        assert_eq!(condensed(Words::english(), "one sentence"), "one sentence");
    }
}
