//! Whether the foams suit what they touch and where they go: static, flame, fuel, damp, shedding, staining, heat,
//! colour, firmness.

mod wishes;

use crate::{Brief, Interior};
use caddis_basis::{Domain, Finding, Margin, Said, Severity, Source, said};
use caddis_protection::{Foam, FoamProperty};
use caddis_survey::{Item, Requirement};
use std::collections::{BTreeMap, BTreeSet};

/// Foams that what is packed rules out, that nobody vouches for, and that the journey is too hot or cold for.
pub(super) fn findings(interior: &Interior, brief: &Brief) -> Vec<Finding> {
    let mut asked: BTreeMap<Requirement, BTreeSet<&str>> = BTreeMap::new();
    for place in &interior.places {
        let item: &Item = &brief.items[place.item];
        for requirement in &item.requires {
            asked.entry(*requirement).or_default().insert(&item.name);
        }
    }
    let mut out = Vec::new();
    let packed: BTreeSet<usize> = interior.places.iter().map(|place| place.item).collect();
    let packed: Vec<&Item> = packed.into_iter().map(|index| &brief.items[index]).collect();
    let foams: BTreeSet<usize> = [brief.base_foam, brief.lid_foam].into_iter().collect();
    for foam in foams.into_iter().map(|index| &brief.foams[index]) {
        for (requirement, names) in &asked {
            let names = Said::row(names.iter().map(|name| Said::name(*name)), ", ");
            out.extend(asked_of(foam, *requirement, &names));
        }
        for item in &packed {
            out.extend(wishes::findings(foam, item));
        }
        out.extend(temperature(foam, brief));
    }
    out
}

fn property(requirement: Requirement) -> FoamProperty {
    match requirement {
        Requirement::StaticDissipative => FoamProperty::StaticDissipative,
        Requirement::FlameRated => FoamProperty::FlameRated,
        Requirement::FuelResistant => FoamProperty::FuelResistant,
        Requirement::DampResistant => FoamProperty::DampResistant,
        Requirement::NonShedding => FoamProperty::NonShedding,
        Requirement::NonStaining => FoamProperty::NonStaining,
    }
}

/// What a foam is asked to be, for a sentence.
fn required(requirement: Requirement) -> Said {
    match requirement {
        Requirement::StaticDissipative => said!("static-dissipative"),
        Requirement::FlameRated => said!("flame-rated"),
        Requirement::FuelResistant => said!("fuel-resistant"),
        Requirement::DampResistant => said!("damp-resistant"),
        Requirement::NonShedding => said!("non-shedding"),
        Requirement::NonStaining => said!("non-staining"),
    }
}

fn asked_of(foam: &Foam, requirement: Requirement, names: &Said) -> Option<Finding> {
    let asked = required(requirement);
    let place = said!("{foam} {property}", foam = foam.name, property = asked);
    match foam.stated(property(requirement)) {
        Some(stated) if stated.has => None,
        Some(stated) => Some(
            Finding::new(
                "foam-ruled-out",
                Domain::Protection,
                Severity::Failing,
                place,
                said!(
                    "{items} must lie in {property} foam, and {foam} is not",
                    items = names,
                    property = asked,
                    foam = foam.title
                ),
                stated.source.clone(),
            )
            .margin(Margin::at_least(0.0, 1.0, ""))
            .remedy(said!("choose a foam that is")),
        ),
        None => Some(
            Finding::new(
                "foam-property-not-known",
                Domain::Protection,
                Severity::Caution,
                place,
                said!(
                    "{items} must lie in {property} foam, and nobody states whether {foam} is",
                    items = names,
                    property = asked,
                    foam = foam.title
                ),
                foam.source.clone(),
            )
            .remedy(said!(
                "ask the supplier and enter the answer under the foam's `properties`"
            )),
        ),
    }
}

/// The journey's extremes against the foam's working temperatures.
fn temperature(foam: &Foam, brief: &Brief) -> Option<Finding> {
    let legs = &brief.journey.legs;
    let Some((low, high)) = foam.temperatures else {
        let stated = legs
            .iter()
            .find(|leg| leg.temperatures(&brief.journey.limits) != (None, None))?;
        return Some(
            Finding::new(
                "foam-temperature-not-known",
                Domain::Protection,
                Severity::Caution,
                Said::name(&foam.name),
                said!(
                    "the leg {leg} states its temperatures, and nobody states where {foam} works",
                    leg = stated.label,
                    foam = foam.title
                ),
                foam.source.clone(),
            )
            .remedy(said!(
                "ask the supplier and enter the answer as the foam's `temperatures`"
            )),
        );
    };
    let worst = legs
        .iter()
        .flat_map(|leg| {
            let (lowest, highest) = leg.temperatures(&brief.journey.limits);
            let hot = highest.map(|t| (t.si() - high.si(), t, leg));
            let cold = lowest.map(|t| (low.si() - t.si(), t, leg));
            [hot, cold].into_iter().flatten()
        })
        .filter(|(over, ..)| *over > 0.0)
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let (over, met, leg) = worst;
    Some(
        Finding::new(
            "foam-temperature",
            Domain::Protection,
            Severity::Caution,
            Said::name(&foam.name),
            said!(
                "{foam} works from {low} to {high} and meets {met} on the leg {leg}",
                foam = foam.title,
                low,
                high,
                met,
                leg = leg.label
            ),
            foam.source.clone(),
        )
        .margin(Margin::at_most(over, 0.0, "K beyond"))
        .remedy(said!(
            "another foam, or keep the case out of it: foam stiffens in the cold, softens and creeps in the heat"
        )),
    )
}

/// Items whose fragility someone assumed and signed for.
pub(super) fn assumed(interior: &Interior, brief: &Brief) -> Vec<Finding> {
    let packed: BTreeSet<usize> = interior.places.iter().map(|place| place.item).collect();
    packed
        .into_iter()
        .map(|index| &brief.items[index])
        .filter_map(|item| {
            let signer = item.fragility_assumed_by.as_ref()?;
            let source = match &item.fragility {
                caddis_survey::Fragility::Known(limit) => limit.source.clone(),
                _ => None,
            };
            Some(
                Finding::new(
                    "fragility-assumed",
                    Domain::Protection,
                    Severity::Caution,
                    &item.id,
                    said!(
                        "nobody states what {item} stands: a class is assumed, signed for by {signer}",
                        item = item.name,
                        signer
                    ),
                    source.unwrap_or_else(Source::common_practice),
                )
                .remedy(said!("ask its maker")),
            )
        })
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_basis::{Certainty, Temperature};
    use caddis_protection::StatedProperty;

    fn codes(findings: &[Finding]) -> Vec<(&'static str, Severity)> {
        findings.iter().map(|f| (f.code, f.severity)).collect()
    }

    #[test]
    fn a_foam_is_ruled_out_not_known_or_fine() {
        let foam = testing::brief().foams[0].clone();
        let ask = |has: Option<bool>| {
            let mut foam = foam.clone();
            foam.properties = has
                .map(|has| StatedProperty {
                    property: FoamProperty::StaticDissipative,
                    has,
                    source: Source::new("test", Certainty::Invented),
                })
                .into_iter()
                .collect();
            let found: Vec<Finding> = asked_of(&foam, Requirement::StaticDissipative, &Said::name("Logger"))
                .into_iter()
                .collect();
            codes(&found)
        };
        assert_eq!(ask(Some(true)), []);
        assert_eq!(ask(Some(false)), [("foam-ruled-out", Severity::Failing)]);
        assert_eq!(ask(None), [("foam-property-not-known", Severity::Caution)]);
    }

    #[test]
    fn a_hot_leg_is_pointed_out_with_its_margin() {
        let mut brief = testing::brief();
        let leg = caddis_journey::Leg::new(caddis_journey::LegKind::Store, "shed");
        brief.journey.legs = vec![leg];
        let mut foam = brief.foams[0].clone();
        foam.temperatures = Some((Temperature::from_si(230.0), Temperature::from_si(340.0)));
        assert!(
            temperature(&foam, &brief).is_none(),
            "no leg states a temperature"
        );
        brief.journey.legs[0].highest_temperature = Some(Temperature::from_si(350.0));
        let found = temperature(&foam, &brief).unwrap();
        assert!(found.sentence.contains("shed"));
        assert!((found.margin.unwrap().found - 10.0).abs() < 1e-9);
        foam.temperatures = None;
        assert_eq!(
            temperature(&foam, &brief).map(|f| f.code),
            Some("foam-temperature-not-known")
        );
        brief.journey.legs[0].highest_temperature = None;
        assert!(temperature(&foam, &brief).is_none());
    }
}
