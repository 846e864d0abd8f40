//! What the foams' laws are good for: where they are used outside their range, whether they were measured in drops.

use crate::Brief;
use caddis_basis::{Certainty, Domain, Finding, Said, Severity, said};
use caddis_protection::{Foam, LawError, LawRecord, OutOfRange};
use std::collections::BTreeMap;

/// Why a law cannot answer, for a sentence.
pub(super) fn law_error(error: &LawError) -> Said {
    match error {
        LawError::Outside(words) => words.clone(),
        LawError::NoPatch => said!("no foam lies in the direction of the fall"),
        LawError::Bottoms => said!(
            "the foam bottoms: the drop's energy exceeds what the law can take before it is crushed solid"
        ),
        // Constants and settings that make no sense name the field and what stands there.
        other => Said::name(other.to_string()),
    }
}

/// Where the laws are used outside their range: one finding for the whole design, its places listed by what they leave.
pub(super) fn out_of_range(brief: &Brief, left: &[(OutOfRange, Said)]) -> Option<Finding> {
    let mut groups: BTreeMap<Said, Vec<Said>> = BTreeMap::new();
    for (left, place) in left {
        // What was found goes to the place.
        let place = match left.found() {
            Some(value) => said!("{place} ({value})", place, value),
            None => place.clone(),
        };
        groups.entry(left.bound()).or_default().push(place);
    }
    if groups.is_empty() {
        return None;
    }
    let lists = groups
        .into_iter()
        .map(|(what, places)| said!("{what} for {places}", what, places = Said::row(places, ", ")));
    let lists = Said::row(lists, "; ");
    let sentence = match left.len() {
        1 => said!(
            "the foams' laws are used outside their range in 1 place: {lists}",
            lists
        ),
        count => said!(
            "the foams' laws are used outside their range in {count} places: {lists}",
            count,
            lists
        ),
    };
    Some(
        Finding::new(
            "law-out-of-range",
            Domain::Protection,
            Severity::Caution,
            said!("foam law"),
            sentence,
            brief.foams[brief.base_foam].law.source.clone(),
        )
        .remedy(said!(
            "test the packed items, or get the supplier's curve for those working points"
        )),
    )
}

/// A case is used again, so first-impact data alone are too kind.
pub(super) fn later_not_known(foam: &Foam) -> Option<Finding> {
    foam.later.is_none().then(|| {
        Finding::new(
            "later-impacts-not-known",
            Domain::Protection,
            Severity::Caution,
            Said::name(&foam.name),
            said!(
                "a case falls more than once, and {foam} has no data of later impacts: every fall is judged as a \
                 first one",
                foam = foam.title
            ),
            foam.law.source.clone(),
        )
        .remedy(said!("get curves of later impacts, or drop specimens on and fit the rows (`caddis foam fit`)"))
    })
}

/// Two foams one behind the other that cannot be read together.
pub(super) fn series_not_known(brief: &Brief) -> Finding {
    Finding::new(
        "foams-in-series-not-known",
        Domain::Protection,
        Severity::Caution,
        said!("foam law"),
        said!(
            "where base and lid foam lie one behind the other, a fall is read by the thicker one's law alone: one of \
             them has no one stress at a strain"
        ),
        brief.foams[brief.lid_foam].law.source.clone(),
    )
    .remedy(said!("drop-test the two as they lie"))
}

/// What the law's origin means for every verdict read from it.
pub(super) fn not_dynamic(foam: &Foam) -> Option<Finding> {
    if foam.law.is_measured_dynamic {
        return None;
    }
    let title = &foam.title;
    let is_model = foam.law.source.certainty == Certainty::Model;
    let sentence = match (is_model, conditions(&foam.record)) {
        (true, None) => said!(
            "the law of {foam} is a model, so what it says of a fall is indicative",
            foam = title
        ),
        (true, Some(conditions)) => said!(
            "the law of {foam} is a model (tested at {conditions}), so what it says of a fall is indicative",
            foam = title,
            conditions
        ),
        (false, None) => said!(
            "the law of {foam} is not a dynamic measurement, so what it says of a fall is indicative",
            foam = title
        ),
        (false, Some(conditions)) => said!(
            "the law of {foam} is not a dynamic measurement (tested at {conditions}), so what it says of a fall is \
             indicative",
            foam = title,
            conditions
        ),
    };
    Some(
        Finding::new(
            "law-not-dynamic",
            Domain::Protection,
            Severity::Caution,
            Said::name(&foam.name),
            sentence,
            foam.law.source.clone(),
        )
        .remedy(said!(
            "get the supplier's dynamic cushion curve, or run a drop test"
        )),
    )
}

/// How a slow test was made, as far as its record says.
fn conditions(record: &LawRecord) -> Option<Said> {
    let rate = record
        .strain_rate
        .map(|rate| said!("{rate} of strain a second", rate));
    let temperature = record
        .temperature
        .map(|temperature| said!("{temperature:.0}", temperature));
    let words: Vec<Said> = rate.into_iter().chain(temperature).collect();
    (!words.is_empty()).then(|| Said::row(words, ", "))
}
