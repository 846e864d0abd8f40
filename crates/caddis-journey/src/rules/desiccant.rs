//! Desiccant for a case that stays shut; words for one that is opened daily.

use super::{Judged, Question, Rule};
use crate::{
    Barrier, DryPackage, FinalHumidity, LegKind, desiccant_bags, desiccant_units_din, desiccant_units_mil,
};
use caddis_basis::{Certainty, Mass, Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "desiccant",
    sentence: || {
        said!(
            "a case that stays shut in store holds desiccant for its surface, its packing and its time; one that is opened daily cannot be kept dry by it"
        )
    },
    reason: || {
        said!(
            "moisture comes through plastic and gasket, and out of the packing; every opening brings more than a bag takes up"
        )
    },
    source: |_| mil(),
    applies: |question| question.leg.kind == LegKind::Store,
    judge,
};

fn mil() -> Source {
    Source::new(
        "MIL-STD-2073-1 method 50, formula I, read in a repository's text",
        Certainty::Published,
    )
}

/// Water vapour that lets formula II stand for a rigid case that is not of metal, g/(m² d): 0.001 g in 24 h through 100 in².
///
/// # Source
/// MIL-STD-2073-1 method 50, read in a repository's text (published).
const TIGHT: f64 = 0.001 / 0.064_516;

/// As [`TIGHT`]: what method 54 allows a rigid container that is not of metal, 0.075 g in 24 h through 100 in².
const METHOD_54: f64 = 0.075 / 0.064_516;

fn din() -> Said {
    said!("DIN 55474 as reprinted by a supplier")
}

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let case = &question.journey.case;
    match case.stays_shut {
        Some(false) => {
            return vec![
                Judged::new(
                    Verdict::Indicative,
                    said!("opened daily: no count of desiccant keeps it dry, since each opening changes the air"),
                    mil(),
                )
                .finding(
                    Severity::Note,
                    said!("dry the case open between uses, and bag what must stay dry with desiccant of its own and an indicator card"),
                ),
            ];
        }
        None => {
            return vec![Judged::missing(
                said!("whether the case stays shut or is opened daily (stays_shut)"),
                mil(),
            )];
        }
        Some(true) => {}
    }
    let Some(inside) = question.parcel.details.inside else {
        return vec![Judged::missing(said!("the surface inside the case"), mil())];
    };
    let units = desiccant_units_mil(
        Barrier::NotMetal { area: inside.area },
        &question.parcel.details.dunnage,
    );
    let mut sentence = said!(
        "stays shut: {units:.1} units by MIL-STD-2073-1 for {area:.2} m² and its foam ({bags})",
        units,
        area = inside.area.si(),
        bags = bags(units)
    );
    if let Some(rate) = case.vapour_rate {
        if rate <= TIGHT {
            let tight = desiccant_units_mil(
                Barrier::RigidMetal {
                    volume: inside.volume,
                },
                &question.parcel.details.dunnage,
            );
            sentence = said!(
                "{sentence}; so tight a case may be counted by formula II: {tight:.1} units for {volume:.0} L ({bags})",
                volume = inside.volume.as_litres(),
                bags = bags(tight),
                sentence,
                tight
            );
        } else if rate > METHOD_54 {
            sentence = said!(
                "{sentence}; {rate} g/m2d is more than the {limit:.2} of method 54 for rigid containers",
                limit = METHOD_54,
                sentence,
                rate
            );
        }
    }
    let missing = match (question.journey.closing_air(), case.vapour_rate, case.shut_for) {
        (Some(air), Some(vapour_rate), Some(time)) => {
            let package = DryPackage {
                volume: question.parcel.sealed_volume,
                air_moisture: air.vapour_density().si() * 1000.0,
                // Foam is no hygroscopic aid; board and wood in the case would be.
                hygroscopic: hygroscopic(question),
                area: inside.area,
                vapour_rate,
                time,
                final_humidity: FinalHumidity::Forty,
            };
            let units = desiccant_units_din(&package);
            sentence = said!(
                "{sentence}; {units:.1} units by {standard} to stay below 40 % for {days:.0} days ({bags})",
                standard = din(),
                days = time.si() / 86_400.0,
                bags = bags(units),
                sentence,
                units
            );
            None
        }
        (None, _, _) => Some(said!("the humidity of the air when the lid is closed")),
        (_, None, _) => Some(said!("what the case lets through of water vapour (vapour_rate)")),
        (_, _, None) => Some(said!("how long the case stays shut (shut_for)")),
    };
    vec![Judged {
        missing,
        ..Judged::new(Verdict::Indicative, sentence, mil()).finding(
            Severity::Note,
            said!("put in fresh bags, dust-tight near optics, with an indicator card, and change them after every opening"),
        )
    }]
}

/// Board and wood among the dunnage.
fn hygroscopic(question: &Question<'_>) -> Mass {
    question
        .parcel
        .details
        .dunnage
        .iter()
        .filter(|(kind, _)| *kind == crate::Dunnage::Cellulosic)
        .map(|(_, mass)| *mass)
        .sum()
}

fn bags(units: f64) -> Said {
    let words: Vec<Said> = desiccant_bags(units)
        .into_iter()
        .map(|(count, size)| said!("{count} of {size}", count, size))
        .collect();
    said!("bags: {bags}", bags = Said::row(words, ", "))
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask_journey, parcel};
    use super::*;
    use crate::{Humidity, Journey, Leg};
    use caddis_basis::{Duration, Temperature};

    fn journey(stays_shut: Option<bool>) -> Journey {
        let mut journey = Journey::new("store", vec![Leg::new(LegKind::Store, "depot")]);
        journey.case.stays_shut = stays_shut;
        journey
    }

    #[test]
    fn failing_case() {
        let daily = ask_journey(&RULE, &parcel(), &journey(Some(false))).swap_remove(0);
        assert!(daily.sentence.contains("no count"), "{}", daily.sentence);
        assert!(ask_journey(&RULE, &parcel(), &journey(None))[0].missing.is_some());
    }

    #[test]
    fn passing_case() {
        let mut shut = journey(Some(true));
        let partly = ask_journey(&RULE, &parcel(), &shut).swap_remove(0);
        // 1.0 m2 = 10.764 ft2 x 1.6 = 17.2, and 0.9 kg = 1.984 lb x 0.5 = 1.0
        assert!(partly.sentence.contains("18.2 units"), "{}", partly.sentence);
        assert!(partly.missing.is_some());
        shut.closing_humidity = Some(Humidity::percent(50.0));
        shut.closing_temperature = Some(Temperature::celsius(20.0));
        shut.case.vapour_rate = Some(0.4);
        shut.case.shut_for = Some(Duration::from_si(90.0 * 86_400.0));
        let whole = ask_journey(&RULE, &parcel(), &shut).swap_remove(0);
        // (0.03 x 8.62 + 1.0 x 0.7 x 0.4 x 90) / 6 = 4.24
        assert!(
            whole.sentence.contains("4.2 units by DIN 55474"),
            "{}",
            whole.sentence
        );
        assert_eq!((whole.verdict, whole.missing), (Verdict::Indicative, None));
    }
}
