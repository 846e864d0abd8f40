//! Every leg has a drop height, and says whose it is.

use super::{Judged, Question, Rule, passing};
use crate::{DropHeights, JourneyError};
use caddis_basis::{Length, Margin, Measured, Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "drop-height",
    sentence: || said!("the drop height of every leg is stated, or taken from a table by gross mass"),
    reason: || said!("the whole protection rests on it, and the tables at hand are from memory"),
    source: |_| DropHeights::of(crate::HandlingClass::Handbook).source,
    applies: |_| true,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (leg, gross) = (question.leg, &question.parcel.gross_mass);
    let table = DropHeights::of(leg.handling_class());
    let design = question.parcel.details.design_drop.as_ref();
    if let Some(stated) = &leg.drop_height {
        let source = stated.source.clone().unwrap_or_else(|| {
            Source::new("stated with the journey", caddis_basis::Certainty::CommonPractice)
        });
        let sentence = said!("drop height {height:.2} m as stated", height = stated.most().si());
        return vec![match design.filter(|design| is_below(design, stated.most())) {
            Some(design) => Judged::new(Verdict::Fails, too_low(&sentence, design), source)
                .margin(margin(design, stated.most()))
                .finding(
                    Severity::Failing,
                    said!("design for this leg's drop (`handling.drop_height`), or take its statement back"),
                ),
            None => Judged::new(passing(&source), sentence, source),
        }];
    }
    vec![match leg.drop_height_of(gross) {
        Ok(height) => {
            let source = height.source.clone().unwrap_or_else(|| table.source.clone());
            let sentence = said!(
                "drop height {height:.2} m taken from {source} for {gross:.1} kg",
                height = height.value.si(),
                gross = gross.least().si(),
                source = source.said()
            );
            match design {
                Some(design) if is_below(design, height.value) => {
                    Judged::new(Verdict::NotKnown, too_low(&sentence, design), source)
                        .margin(margin(design, height.value))
                        .finding(
                            Severity::Caution,
                            said!("agree with the customer that this leg is gentler than the table, and state its `drop_height`; or design for it"),
                        )
                }
                Some(_) => Judged::new(passing(&source), sentence, source),
                None => Judged::new(passing(&source), sentence, source).finding(
                    Severity::Note,
                    said!("agree the drop height with the customer and state it"),
                ),
            }
        }
        Err(reason) => Judged::new(
            Verdict::NotKnown,
            said!("no drop height: {why}", why = words(&reason)),
            table.source,
        )
        .finding(
            Severity::Caution,
            said!("agree the drop height with the customer and state it"),
        ),
    }]
}

/// Whether the design is for less than a leg asks, by more than rounding.
fn is_below(design: &Measured<Length>, leg: Length) -> bool {
    design.most() < leg - Length::mm(5.0)
}

fn too_low(sentence: &Said, design: &Measured<Length>) -> Said {
    said!(
        "{sentence}, but the interior is designed for {design:.2} m",
        design = design.most().si(),
        sentence
    )
}

fn margin(design: &Measured<Length>, leg: Length) -> Margin {
    Margin::at_least(design.most().si(), leg.si(), "m")
}

/// Why a table gives no height.
fn words(reason: &JourneyError) -> Said {
    match reason {
        JourneyError::OutsideDropHeights {
            mass_kg,
            table,
            limit_kg,
        } => said!(
            "{mass_kg:.1} kg is beyond {limit_kg:.1} kg, where {table} end",
            mass_kg,
            limit_kg,
            table
        ),
        other => Said::name(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, ask_leg, parcel, weighing};
    use super::*;
    use crate::{Leg, LegKind};
    use caddis_basis::Certainty;

    #[test]
    fn failing_case() {
        let beyond = ask(&RULE, &weighing(90.0), LegKind::CourierRoad);
        assert_eq!(
            (beyond.verdict, beyond.severity),
            (Verdict::NotKnown, Some(Severity::Caution))
        );
        let table = ask(&RULE, &parcel(), LegKind::OffRoad);
        assert_eq!(
            (table.verdict, table.severity),
            (Verdict::Indicative, Some(Severity::Note))
        );
        assert!(
            table.sentence.starts_with("drop height 0.76 m"),
            "{}",
            table.sentence
        );
    }

    #[test]
    fn passing_case() {
        let mut leg = Leg::new(LegKind::OffRoad, "track");
        leg.drop_height = Some(Measured {
            value: Length::from_si(0.76),
            plus_minus: None,
            source: Some(Source::new("agreed with the customer", Certainty::Published)),
        });
        let judged = ask_leg(&RULE, &parcel(), &leg).swap_remove(0);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
    }
    #[test]
    fn a_design_for_less_than_the_leg_is_told() {
        let mut low = parcel();
        low.details.design_drop = Some(Measured::exact(Length::from_si(0.46)));
        let by_table = ask(&RULE, &low, LegKind::OffRoad);
        assert_eq!(
            (by_table.verdict, by_table.severity),
            (Verdict::NotKnown, Some(Severity::Caution))
        );
        let mut leg = Leg::new(LegKind::OffRoad, "track");
        leg.drop_height = Some(Measured::exact(Length::from_si(1.2)));
        let stated = ask_leg(&RULE, &low, &leg).swap_remove(0);
        assert_eq!(
            (stated.verdict, stated.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
        low.details.design_drop = Some(Measured::exact(Length::from_si(1.2)));
        assert_eq!(ask_leg(&RULE, &low, &leg).swap_remove(0).severity, None);
    }
}
