//! What an item's falls come to, in words.

use super::greatest_strain;
use crate::{Brief, FallVerdict, ItemVerdict};
use caddis_basis::{Acceleration, Domain, Finding, Margin, Severity, Source};

/// What fails in the worst fall.
pub(super) fn finding(
    brief: &Brief,
    item: &ItemVerdict,
    worst: &FallVerdict,
    limit: Option<Acceleration>,
) -> Option<Finding> {
    let height = brief.handling.drop_height.most();
    let place = item.instance.to_string();
    let fall = format!("a {height:.0} fall {}, {}", worst.words, worst.landing.as_str());
    let source = Source::derived("simulated fall of rigid items on their foam, docs/drop-model.md");
    let finding = |code, words: String, margin: Margin, remedy: &str| {
        Finding::new(
            code,
            Domain::Protection,
            Severity::Failing,
            &place,
            words,
            source.clone(),
        )
        .margin(margin)
        .remedy(remedy)
    };
    match (worst.peak, limit) {
        (None, _) if worst.strikes => Some(finding(
            "fall-strikes",
            format!(
                "{} strikes the shell or a neighbour in {fall}: no foam lies between",
                item.name
            ),
            Margin::at_most(1.0, 0.0, "strikes"),
            "foam on that side, or more of it on the others",
        )),
        (None, _) => Some(finding(
            "fall-bottoms",
            format!(
                "{} compresses its foam past the law's greatest strain in {fall}",
                item.name
            ),
            Margin::at_most(worst.strain, greatest_strain(brief), "strain"),
            "thicker foam or a stiffer grade where it lands",
        )),
        (Some(peak), Some(limit)) if peak > limit => Some(finding(
            "fall-over-fragility",
            format!(
                "{} sees {peak:.0} in {fall}, more than the {limit:.0} it stands",
                item.name
            ),
            Margin::at_most(peak.as_g(), limit.as_g(), "G"),
            "more foam where it lands, relief where light foam would do, or a softer grade",
        )),
        _ => None,
    }
}

/// The item in words: the worse of its flat falls, with all that leans on it, and its simulated ones.
pub(super) fn sentence(
    brief: &Brief,
    item: &ItemVerdict,
    worst: &FallVerdict,
    flat: Option<Acceleration>,
    limit: Option<Acceleration>,
) -> String {
    let height = brief.handling.drop_height.most();
    let landing = worst.landing.as_str();
    let Some(peak) = worst.peak else {
        let what = if worst.strikes {
            "it strikes something hard"
        } else {
            "its foam bottoms"
        };
        return format!("{what} in a {height:.0} fall {} ({landing})", worst.words);
    };
    let Some(held) = item.held_to else {
        return format!(
            "its foam bottoms or is missing in a flat {height:.0} fall; {peak:.0} where all move together"
        );
    };
    let flat_side = item
        .directions
        .iter()
        .filter(|verdict| flat.is_some_and(|flat| flat > peak) && verdict.peak == flat)
        .map(|verdict| match &verdict.with {
            Some(other) => format!(
                "flat {}, taken from {other} that it leans on",
                verdict.direction.as_str()
            ),
            None => format!("flat {} with all that leans on it", verdict.direction.as_str()),
        })
        .next();
    let where_from = match flat_side {
        Some(side) => format!("{side}; simulated {peak:.0}, {}, {landing}", worst.words),
        None => format!("{}; {landing}", worst.words),
    };
    match limit {
        Some(limit) => format!(
            "at most {held:.0} in a {height:.0} fall ({where_from}), against the {limit:.0} it stands"
        ),
        None => format!("this design holds it to about {held:.0} from {height:.0} ({where_from})"),
    }
}
