//! Foams and contents bear the heat and the cold of the leg.

use super::{Judged, Question, Rule, passing};
use caddis_basis::{Margin, Said, Severity, Source, Temperature, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "temperature-limits",
    sentence: || said!("foams and contents bear the coldest and the warmest the closed case becomes"),
    reason: || {
        said!(
            "cold foam turns hard and passes shocks on, hot foam softens and keeps its dents; instruments fail out of their range"
        )
    },
    source: |_| Source::common_practice(),
    applies: |_| true,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (low, high) = question.temperatures();
    if low.is_none() && high.is_none() {
        return vec![Judged::missing(
            said!("the temperatures or the climate of the leg"),
            Source::common_practice(),
        )];
    }
    let things = || {
        question
            .parcel
            .details
            .temperatures
            .iter()
            .chain(&question.journey.case.temperatures)
            .filter(|thing| thing.lowest.is_some() || thing.highest.is_some())
    };
    if things().next().is_none() {
        return vec![Judged::missing(
            said!("what temperatures foams and contents bear"),
            Source::common_practice(),
        )];
    }
    let mut fails = Vec::new();
    let mut worst: Option<(Margin, &Source)> = None;
    let mut at_most = 0_usize;
    for thing in things() {
        let sides = [(low, thing.lowest, true), (high, thing.highest, false)];
        let mut broken = Vec::new();
        for (leg, bears, is_cold) in sides {
            let (Some(leg), Some(bears)) = (
                leg.map(Temperature::as_celsius),
                bears.map(Temperature::as_celsius),
            ) else {
                continue;
            };
            let margin = if is_cold {
                Margin::at_least(leg, bears, "degC")
            } else {
                Margin::at_most(leg, bears, "degC")
            };
            if !margin.is_kept() {
                broken.push(said!("{leg:.0} degC where it bears {bears:.0} degC", leg, bears));
            }
            if worst
                .as_ref()
                .is_none_or(|(known, _)| margin.room() < known.room())
            {
                worst = Some((margin, &thing.source));
            }
        }
        at_most += 1;
        if !broken.is_empty() {
            fails.push((thing, Said::row(broken, ", ")));
        }
    }
    let Some((margin, source)) = worst else {
        return vec![Judged::missing(
            said!("what temperatures foams and contents bear"),
            Source::common_practice(),
        )];
    };
    if fails.is_empty() {
        let sentence = said!(
            "{count} foams and contents with stated temperatures bear this leg",
            count = at_most
        );
        return vec![Judged::new(passing(source), sentence, source.clone()).margin(margin)];
    }
    fails.into_iter()
        .map(|(thing, broken)| {
            Judged::new(Verdict::Fails, said!(
                "{what} at {broken}",
                what = thing.what,
                broken
            ), thing.source.clone())
                .part(Said::name(&thing.what))
                .finding(
                    Severity::Caution,
                    said!("shade or insulate the case, let it come back to temperature before it is dropped, opened or used, or take another foam"),
                )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, ask_leg, parcel};
    use super::*;
    use crate::{Leg, LegKind};

    fn leg(low: f64, high: f64) -> Leg {
        let mut leg = Leg::new(LegKind::OffRoad, "track");
        leg.lowest_temperature = Some(Temperature::celsius(low));
        leg.highest_temperature = Some(Temperature::celsius(high));
        leg
    }

    #[test]
    fn failing_case() {
        let judged = ask_leg(&RULE, &parcel(), &leg(-45.0, 80.0)).swap_remove(0);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        for said in [
            "-45 degC where it bears -40 degC",
            "80 degC where it bears 70 degC",
        ] {
            assert!(judged.sentence.contains(said), "{}", judged.sentence);
        }
        assert!(ask(&RULE, &parcel(), LegKind::Store).missing.is_some());
    }

    #[test]
    fn passing_case() {
        let judged = ask_leg(&RULE, &parcel(), &leg(-20.0, 50.0)).swap_remove(0);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
        assert_eq!(judged.margin.map(|m| m.room()), Some(20.0));
    }

    #[test]
    fn a_climate_stands_in() {
        let mut hot = Leg::new(LegKind::Store, "depot");
        hot.climate = Some("A1".to_owned());
        let judged = ask_leg(&RULE, &parcel(), &hot).swap_remove(0);
        assert!(judged.sentence.contains("71 degC"), "{}", judged.sentence);
    }
}
