//! What the foams' laws are good for: where they are used outside their range, whether they were measured in drops.

use crate::Brief;
use caddis_basis::{Certainty, Domain, Finding, Severity};
use caddis_protection::{Foam, LawRecord};
use std::collections::BTreeMap;

/// Where the laws are used outside their range: one finding for the whole design, its places listed by what they leave.
pub(super) fn out_of_range(brief: &Brief, left: &[(String, String)]) -> Option<Finding> {
    let mut groups: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (words, place) in left {
        // "static stress 0.12 kPa is outside the law's 0.2 kPa to 12 kPa": the value goes to the place.
        let (found, bound) = words.split_once(" is ").unwrap_or((words, ""));
        let value = found.find(|c: char| c.is_ascii_digit()).unwrap_or(found.len());
        let (what, value) = found.split_at(value);
        groups
            .entry(format!("{} is {bound}", what.trim()))
            .or_default()
            .push(format!("{place} ({})", value.trim()));
    }
    if groups.is_empty() {
        return None;
    }
    let count = left.len();
    let lists: Vec<String> = groups
        .into_iter()
        .map(|(what, places)| format!("{what} for {}", places.join(", ")))
        .collect();
    Some(
        Finding::new(
            "law-out-of-range",
            Domain::Protection,
            Severity::Caution,
            "foam law",
            format!(
                "the foams' laws are used outside their range in {count} {}: {}",
                if count == 1 { "place" } else { "places" },
                lists.join("; ")
            ),
            brief.foams[brief.base_foam].law.source.clone(),
        )
        .remedy("test the packed items, or get the supplier's curve for those working points"),
    )
}

/// A case is used again, so first-impact data alone are too kind.
pub(super) fn later_not_known(foam: &Foam) -> Option<Finding> {
    foam.later.is_none().then(|| {
        Finding::new(
            "later-impacts-not-known",
            Domain::Protection,
            Severity::Caution,
            &foam.name,
            format!(
                "a case falls more than once, and {} has no data of later impacts: every fall is judged as a first one",
                foam.title
            ),
            foam.law.source.clone(),
        )
        .remedy("get curves of later impacts, or drop specimens on and fit the rows (`caddis foam fit`)")
    })
}

/// Two foams one behind the other that cannot be read together.
pub(super) fn series_not_known(brief: &Brief) -> Finding {
    Finding::new(
        "foams-in-series-not-known",
        Domain::Protection,
        Severity::Caution,
        "foam law",
        "where base and lid foam lie one behind the other, a fall is read by the thicker one's law alone: one of them has no \
         one stress at a strain",
        brief.foams[brief.lid_foam].law.source.clone(),
    )
    .remedy("drop-test the two as they lie")
}

/// What the law's origin means for every verdict read from it.
pub(super) fn not_dynamic(foam: &Foam) -> Option<Finding> {
    if foam.law.is_measured_dynamic {
        return None;
    }
    let what = if foam.law.source.certainty == Certainty::Model {
        "a model"
    } else {
        "not a dynamic measurement"
    };
    let conditions = conditions(&foam.record);
    Some(
        Finding::new(
            "law-not-dynamic",
            Domain::Protection,
            Severity::Caution,
            &foam.name,
            format!(
                "the law of {} is {what}{conditions}, so what it says of a fall is indicative",
                foam.title
            ),
            foam.law.source.clone(),
        )
        .remedy("get the supplier's dynamic cushion curve, or run a drop test"),
    )
}

/// How a slow test was made, as far as its record says.
fn conditions(record: &LawRecord) -> String {
    let rate = record
        .strain_rate
        .map(|rate| format!("{rate} of strain a second"));
    let temperature = record.temperature.map(|t| format!("{t:.0}"));
    let words: Vec<String> = rate.into_iter().chain(temperature).collect();
    if words.is_empty() {
        String::new()
    } else {
        format!(" (tested at {})", words.join(", "))
    }
}
