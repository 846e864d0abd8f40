//! A cabin bag keeps to the usual masses.

use super::{Band, Judged, Question, Rule, Standing, passing};
use crate::LegKind;
use caddis_basis::{Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "carry-on-mass",
    sentence: || said!("a cabin bag weighs no more than the airline takes into the cabin"),
    reason: || said!("limits run from 7 kg to 12 kg by airline, and what is heavier goes into the hold"),
    source: |limits| limits.carry_on_mass.dated_source(),
    applies: |question| question.leg.kind == LegKind::AirCabin,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (low, high) = (
        &question.limits.carry_on_mass,
        &question.limits.carry_on_mass_wide,
    );
    let gross = &question.parcel.gross_mass;
    let band = Band {
        nominal: gross.value.si(),
        most: gross.most().si(),
    };
    let found = |limit: f64| {
        said!(
            "gross mass {gross:.1} kg against {limit:.0} kg in the cabin",
            gross = band.most,
            limit
        )
    };
    let (least, most) = (low.value.si(), high.value.si());
    let judged = if band.against(least) == Standing::Kept {
        let source = low.dated_source();
        Judged::new(passing(&source), found(least), source).margin(band.margin(least, "kg"))
    } else if band.against(most) == Standing::Kept {
        Judged::new(Verdict::Indicative, found(least), low.dated_source())
            .margin(band.margin(least, "kg"))
            .finding(
                Severity::Note,
                said!("ask the airline: limits of 7, 8, 10 and 12 kg are usual"),
            )
    } else {
        Judged::new(Verdict::Fails, found(most), high.dated_source())
            .margin(band.margin(most, "kg"))
            .finding(
                Severity::Caution,
                said!("ask the airline for its cabin limit, or lighten the case"),
            )
    };
    vec![judged]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, weighing};
    use super::*;

    #[test]
    fn failing_case() {
        let judged = ask(&RULE, &weighing(18.0), LegKind::AirCabin);
        assert_eq!(
            (judged.verdict, judged.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        assert_eq!(
            ask(&RULE, &weighing(9.0), LegKind::AirCabin).severity,
            Some(Severity::Note)
        );
    }

    #[test]
    fn passing_case() {
        // From memory, so it is never more than indicative.
        let judged = ask(&RULE, &weighing(6.5), LegKind::AirCabin);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Indicative, None));
    }
}
