//! What an item's falls come to, in words.

use super::greatest_strain;
use crate::{Brief, FallVerdict, ItemVerdict};
use caddis_basis::{Acceleration, Domain, Finding, Margin, Said, Severity, Source, said};

/// What fails in the worst fall.
pub(super) fn finding(
    brief: &Brief,
    item: &ItemVerdict,
    worst: &FallVerdict,
    limit: Option<Acceleration>,
) -> Option<Finding> {
    let height = brief.handling.drop_height.most();
    let fall = said!(
        "a {height:.0} fall {way}, {landing}",
        height,
        way = worst.words,
        landing = worst.landing
    );
    let source = Source::derived(said!(
        "simulated fall of rigid items on their foam, docs/drop-model.md"
    ));
    let finding = |code, words: Said, margin: Margin, remedy: Said| {
        Finding::new(
            code,
            Domain::Protection,
            Severity::Failing,
            &item.instance,
            words,
            source.clone(),
        )
        .margin(margin)
        .remedy(remedy)
    };
    match (worst.peak, limit) {
        (None, _) if worst.strikes => Some(finding(
            "fall-strikes",
            said!(
                "{item} strikes the shell or a neighbour in {fall}: no foam lies between",
                item = item.name,
                fall
            ),
            Margin::at_most(1.0, 0.0, "strikes"),
            said!("foam on that side, or more of it on the others"),
        )),
        (None, _) => Some(finding(
            "fall-bottoms",
            said!(
                "{item} compresses its foam past the law's greatest strain in {fall}",
                item = item.name,
                fall
            ),
            Margin::at_most(worst.strain, greatest_strain(brief), "strain"),
            said!("thicker foam or a stiffer grade where it lands"),
        )),
        (Some(peak), Some(limit)) if peak > limit => Some(finding(
            "fall-over-fragility",
            said!(
                "{item} sees {peak:.0} in {fall}, more than the {limit:.0} it stands",
                item = item.name,
                peak,
                fall,
                limit
            ),
            Margin::at_most(peak.as_g(), limit.as_g(), "G"),
            said!("more foam where it lands, relief where light foam would do, or a softer grade"),
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
) -> Said {
    let height = brief.handling.drop_height.most();
    let (way, landing) = (&worst.words, worst.landing);
    let Some(peak) = worst.peak else {
        let what = if worst.strikes {
            said!("it strikes something hard")
        } else {
            said!("its foam bottoms")
        };
        return said!(
            "{what} in a {height:.0} fall {way} ({landing})",
            what,
            height,
            way,
            landing
        );
    };
    let Some(held) = item.held_to else {
        return said!(
            "its foam bottoms or is missing in a flat {height:.0} fall; {peak:.0} where all move together",
            height,
            peak
        );
    };
    let flat_side = item
        .directions
        .iter()
        .filter(|verdict| flat.is_some_and(|flat| flat > peak) && verdict.peak == flat)
        .map(|verdict| match &verdict.with {
            Some(other) => said!(
                "flat {direction}, taken from {other} that it leans on",
                direction = verdict.direction,
                other
            ),
            None => said!(
                "flat {direction} with all that leans on it",
                direction = verdict.direction
            ),
        })
        .next();
    let where_from = match flat_side {
        Some(side) => said!(
            "{side}; simulated {peak:.0}, {way}, {landing}",
            side,
            peak,
            way,
            landing
        ),
        None => said!("{way}; {landing}", way, landing),
    };
    match limit {
        Some(limit) => said!(
            "at most {held:.0} in a {height:.0} fall ({where_from}), against the {limit:.0} it stands",
            held,
            height,
            where_from,
            limit
        ),
        None => said!(
            "this design holds it to about {held:.0} from {height:.0} ({where_from})",
            held,
            height,
            where_from
        ),
    }
}
