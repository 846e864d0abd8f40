//! Foam that settles under weight over months, at the temperature of its store.

use crate::{AfterCreep, Brief, DirectionVerdict};
use caddis_basis::{
    Certainty, Domain, Finding, Margin, Pressure, Said, Severity, Source, Temperature, Verdict, said,
};
use caddis_journey::{Leg, LegKind};
use caddis_protection::{DropSettings, Law, LawError, Patch, ROOM, flat_drop};
use caddis_survey::Item;

/// The hottest store of the journey, if it is hotter than a room.
fn hot_store(brief: &Brief) -> Option<(&Leg, Temperature)> {
    brief
        .journey
        .legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Store)
        .filter_map(|leg| {
            let (_, highest) = leg.temperatures(&brief.journey.limits);
            highest.map(|met| (leg, met))
        })
        .filter(|(_, met)| *met > ROOM)
        .max_by(|a, b| a.1.si().total_cmp(&b.1.si()))
}

/// Static stress on the base foam against the creep limit that speaks for the hottest store, kPa.
pub(super) fn margin(brief: &Brief, static_stress: Pressure) -> Option<Margin> {
    let met = hot_store(brief).map_or(ROOM, |(_, met)| met);
    let limit = brief.foams[brief.base_foam].creep_limit(met)?;
    Some(Margin::at_most(
        static_stress.si() / 1e3,
        limit.stress.si() / 1e3,
        "kPa",
    ))
}

/// One item whose weight settles its foam too far.
pub(super) fn finding(brief: &Brief, item: &Item, place: &str, found: &DirectionVerdict) -> Option<Finding> {
    let margin = found.creep.as_ref().filter(|margin| !margin.is_kept())?;
    let met = hot_store(brief).map_or(ROOM, |(_, met)| met);
    let limit = brief.foams[brief.base_foam].creep_limit(met)?;
    let severity = if brief.handling.stored_long {
        Severity::Failing
    } else {
        Severity::Caution
    };
    Some(
        Finding::new(
            "creep",
            Domain::Protection,
            severity,
            Said::name(place),
            said!(
                "{item} presses {stress:.2} on its foam, above the {limit:.2} kPa at which it loses a tenth of its \
                 thickness over months at up \
                 to {reach:.0}",
                item = item.name,
                stress = found.static_stress,
                limit = margin.limit,
                reach = limit.reach()
            ),
            limit.source.clone(),
        )
        .margin(margin.clone())
        .remedy(said!("a larger bearing area or a firmer grade")),
    )
}

/// What is left of the thickness where creep is held to its usual limit: design for t/0.9, or fall on 0.9 t.
const LEFT: f64 = 0.9;

/// The flat fall once the foam under it has settled by a tenth; `None` where the case is not stored packed for long.
pub(super) fn after(
    brief: &Brief,
    laws: &[Law],
    patches: &[Patch],
    settings: &DropSettings,
) -> Option<AfterCreep> {
    if !brief.handling.stored_long || patches.is_empty() {
        return None;
    }
    let settled: Vec<Patch> = patches
        .iter()
        .map(|patch| Patch {
            thickness: patch.thickness * LEFT,
            ..*patch
        })
        .collect();
    Some(match flat_drop(laws, &settled, settings) {
        Ok(drop) if drop.bottoming_margin < 0.0 => AfterCreep::Bottoms,
        Ok(drop) => AfterCreep::Peak(drop.peak),
        Err(LawError::Outside(_)) => AfterCreep::NotKnown,
        Err(_) => AfterCreep::Bottoms,
    })
}

/// A design that holds as made, and no longer once its foam has settled.
pub(super) fn thin(brief: &Brief, item: &Item, place: &str, found: &DirectionVerdict) -> Option<Finding> {
    if found.verdict == Verdict::Fails {
        return None;
    }
    let height = brief.handling.drop_height.most();
    let (peak, words) = match found.after_creep? {
        AfterCreep::Peak(peak) => {
            let limit = found.limit.filter(|limit| peak > *limit)?;
            (
                Some((peak, limit)),
                said!(
                    "sees {peak:.0} there, more than the {limit:.0} it stands",
                    peak,
                    limit
                ),
            )
        }
        AfterCreep::Bottoms => (None, said!("crushes it solid there")),
        AfterCreep::NotKnown => (None, said!("meets foam that was not measured so thin")),
    };
    let mut finding = Finding::new(
        "thin-after-creep",
        Domain::Protection,
        Severity::Caution,
        Said::name(place),
        said!(
            "stored packed for months the foam under {item} may settle from {thickness:.0} to {settled:.0}, and in a \
             {height:.0} fall {direction} it {words}",
            item = item.name,
            thickness = found.thickness,
            settled = found.thickness * LEFT,
            height,
            direction = found.direction,
            words
        ),
        Source::own(
            said!("a loss of 10 % is the usual limit of creep, so t/0.9 is made"),
            Certainty::Memory,
        ),
    )
    .remedy(said!(
        "{thickness:.0} of foam on that side, or renew the foam after long storage",
        thickness = found.thickness * (1.0 / LEFT)
    ));
    if let Some((peak, limit)) = peak {
        finding = finding.margin(Margin::at_most(peak.as_g(), limit.as_g(), "G"));
    }
    Some(finding)
}

/// Months in a heat that no creep limit of the foam is stated for.
pub(super) fn not_known(brief: &Brief) -> Option<Finding> {
    if !brief.handling.stored_long {
        return None;
    }
    let (leg, met) = hot_store(brief)?;
    let foam = &brief.foams[brief.base_foam];
    let limit = foam.creep_limit(met).filter(|limit| met > limit.reach())?;
    let reach = limit.reach();
    Some(
        Finding::new(
            "creep-in-heat-not-known",
            Domain::Protection,
            Severity::Caution,
            Said::name(&foam.name),
            said!(
                "{foam} is stored under load at up to {met:.0} ({leg}), and its creep limit of {limit:.1} is not \
                 stated for more than {reach:.0}: \
                 it settles more",
                foam = foam.title,
                met,
                leg = leg.label,
                limit = limit.stress,
                reach
            ),
            limit.source.clone(),
        )
        .margin(Margin::at_most(met.as_celsius(), reach.as_celsius(), "degC"))
        .remedy(
            said!(
                "get the supplier's creep limit at that temperature and enter it with `up_to`; look at the foam \
                 after the first hot \
             month"
            ),
        ),
    )
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::testing;
    use caddis_basis::{Certainty, Source};
    use caddis_protection::CreepLimit;

    fn stored_at(celsius: f64) -> Brief {
        let mut brief = testing::brief();
        let mut leg = Leg::new(LegKind::Store, "shed");
        leg.highest_temperature = Some(Temperature::celsius(celsius));
        brief.journey.legs = vec![leg];
        brief.handling.stored_long = true;
        brief
    }

    #[test]
    fn months_in_the_heat_are_pointed_out() {
        assert_eq!(
            not_known(&stored_at(45.0)).unwrap().code,
            "creep-in-heat-not-known"
        );
        assert!(not_known(&stored_at(25.0)).is_none());
        let mut brief = stored_at(45.0);
        brief.handling.stored_long = false;
        assert!(not_known(&brief).is_none());
    }

    #[test]
    fn settled_foam_is_judged_as_thinner_foam() {
        let mut brief = stored_at(20.0);
        let law = brief.foams[brief.base_foam].law.clone();
        let patch = |thickness: f64| Patch {
            point: caddis_geometry::Vec3::ZERO,
            direction: caddis_geometry::Vec3::new(0.0, 0.0, -1.0),
            area: 0.02,
            thickness,
            gap: 0.0,
            law: 0,
        };
        let settings = DropSettings {
            mass: caddis_basis::Mass::from_si(4.0),
            height: caddis_basis::Length::from_si(0.5),
        };
        let laws = std::slice::from_ref(&law);
        let Some(AfterCreep::Peak(peak)) = after(&brief, laws, &[patch(0.1)], &settings) else {
            panic!("the fall is within the law");
        };
        let thin = flat_drop(laws, &[patch(0.09)], &settings).unwrap().peak;
        assert!((peak.si() / thin.si() - 1.0).abs() < 1e-12);
        assert!(peak > flat_drop(laws, &[patch(0.1)], &settings).unwrap().peak);
        assert_eq!(
            after(&brief, laws, &[patch(0.003)], &settings),
            Some(AfterCreep::Bottoms)
        );
        brief.handling.stored_long = false;
        assert!(after(&brief, laws, &[patch(0.1)], &settings).is_none());
    }

    #[test]
    fn a_limit_stated_for_the_heat_is_the_one_that_counts() {
        let mut brief = stored_at(45.0);
        let base = brief.base_foam;
        brief.foams[base].creep_limits.push(CreepLimit {
            stress: Pressure::kpa(3.0),
            up_to: Some(Temperature::celsius(50.0)),
            source: Source::own(said!("test"), Certainty::Measured),
        });
        let of = |brief: &Brief| margin(brief, Pressure::kpa(5.0)).unwrap();
        assert!(not_known(&brief).is_none());
        assert!(!of(&brief).is_kept() && (of(&brief).limit - 3.0).abs() < 1e-12);
        brief.journey.legs[0].highest_temperature = Some(Temperature::celsius(20.0));
        assert!(of(&brief).is_kept() && (of(&brief).limit - 7.0).abs() < 1e-12);
        // Hotter than anyone speaks for: held against the hottest limit, and said to be not known.
        brief.journey.legs[0].highest_temperature = Some(Temperature::celsius(60.0));
        assert!((of(&brief).limit - 3.0).abs() < 1e-12);
        assert!(not_known(&brief).is_some());
    }
}
