//! What is wrong with one item in one direction, and what would mend it.

use crate::{Brief, Direction, DirectionVerdict};
use caddis_basis::{Domain, Finding, Margin, Severity, Source, Verdict, said};
use caddis_survey::Item;

/// A bottoming margin below this is pointed out: the law steepens there and the scatter of foam decides.
const THIN_MARGIN: f64 = 0.10;

pub(super) fn direction_findings(
    instance: &str,
    item: &Item,
    brief: &Brief,
    found: &DirectionVerdict,
) -> Vec<Finding> {
    let way = found.direction;
    let place = said!("{instance} {direction}", instance, direction = way);
    let height = brief.handling.drop_height.most();
    let mut out = Vec::new();
    let foam = &brief.foams[if found.direction == Direction::Up {
        brief.lid_foam
    } else {
        brief.base_foam
    }];
    let law = Source::derived(said!(
        "energy balance on the foam's law ({foam})",
        foam = foam.law.source.said()
    ));
    if found.area.si() == 0.0 {
        out.push(
            Finding::new(
                "no-support",
                Domain::Protection,
                Severity::Failing,
                &place,
                said!(
                    "{item} has no foam that bears it when the case falls {way}",
                    item = item.name,
                    way
                ),
                Source::derived(said!("no patch of the item meets foam in that direction")),
            )
            .margin(Margin::at_least(0.0, 1.0, "cm²"))
            .remedy(said!(
                "move it so that foam lies on that side, or add a pad there"
            )),
        );
        return out;
    }
    match (found.peak, found.bottoming_margin) {
        (None, _) if found.verdict == Verdict::NotKnown => {}
        (None, _) => out.push(
            Finding::new(
                "bottoms",
                Domain::Protection,
                Severity::Failing,
                &place,
                said!(
                    "{item} crushes its {thickness:.0} of foam solid in a {height:.0} fall {way}",
                    item = item.name,
                    thickness = found.thickness,
                    height,
                    way
                ),
                law.clone(),
            )
            .margin(Margin::at_least(-1.0, 0.0, ""))
            .remedy(said!(
                "thicker foam or a stiffer grade on that side, or a larger bearing area"
            )),
        ),
        (Some(_), Some(margin)) if margin < 0.0 => out.push(
            Finding::new(
                "bottoms",
                Domain::Protection,
                Severity::Failing,
                &place,
                said!(
                    "{item} compresses its foam past the law's greatest strain in a {height:.0} fall {way}",
                    item = item.name,
                    height,
                    way
                ),
                law.clone(),
            )
            .margin(Margin::at_least(margin, 0.0, ""))
            .remedy(said!(
                "thicker foam or a stiffer grade on that side, or a larger bearing area"
            )),
        ),
        (Some(_), Some(margin)) if margin < THIN_MARGIN => out.push(
            Finding::new(
                "bottoming-margin-thin",
                Domain::Protection,
                Severity::Caution,
                &place,
                said!(
                    "{item} uses all but {left:.0} % of its foam's stroke in a {height:.0} fall {way}",
                    item = item.name,
                    left = margin * 100.0,
                    height,
                    way
                ),
                Source::common_practice(),
            )
            .margin(Margin::at_least(margin, THIN_MARGIN, ""))
            .remedy(said!("a little more foam on that side")),
        ),
        _ => {}
    }
    if let (Some(peak), Some(limit)) = (found.peak, found.limit)
        && peak > limit
    {
        let floor =
            found.static_stress.si() < brief.foams[brief.base_foam].law.initial_stress() / limit.as_g();
        out.push(
            Finding::new(
                "peak-over-fragility",
                Domain::Protection,
                Severity::Failing,
                &place,
                said!(
                    "{item} sees {peak:.0} in a {height:.0} fall {way}, more than the {limit:.0} it stands",
                    item = item.name,
                    peak,
                    height,
                    way,
                    limit
                ),
                law.clone(),
            )
            .margin(Margin::at_most(peak.as_g(), limit.as_g(), "G"))
            .remedy(if floor {
                said!(
                    "the foam is too stiff for so light a load ({static_stress:.2} static): relief under it to raise \
                     the static stress, \
                     or a softer grade",
                    static_stress = found.static_stress
                )
            } else {
                said!("more foam on that side, or a grade whose optimum lies nearer its static stress")
            }),
        );
    }
    out.extend(crate::verify::creep::finding(brief, item, &place, found));
    out.extend(crate::verify::creep::thin(brief, item, &place, found));
    out
}
