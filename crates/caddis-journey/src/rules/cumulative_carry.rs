//! What is carried over a whole shift.

use super::{Judged, Question, Rule};
use crate::LegKind;
use caddis_basis::{Margin, Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "cumulative-carry",
    sentence: || {
        said!(
            "what one person carries in a shift, all loads added up, keeps to the mass recommended for the distance"
        )
    },
    reason: || said!("a case that may be carried once may not be carried all day; nor may many light ones"),
    source: |limits| limits.cumulative_carry.dated_source(),
    applies: |question| question.leg.kind == LegKind::HandCarry,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.cumulative_carry;
    let (limits, source) = (row.value, row.dated_source());
    let gross = question.parcel.gross_mass.most();
    let hours = limits.shift.si() / 3600.0;
    let Some(carrying) = question.leg.carrying else {
        let times = |mass: caddis_basis::Mass| (mass / gross).floor();
        return vec![Judged::new(
            Verdict::Indicative,
            said!(
                "{gross:.1} kg adds up to {near_mass:.0} kg in {hours:.0} h after {near_times:.0} carries of up to {near:.0} m, or to {far_mass:.0} kg after {far_times:.0} of {far:.0} m",
                gross = gross.si(),
                near_mass = limits.near_mass.si(),
                near_times = times(limits.near_mass),
                near = limits.near.si(),
                far_mass = limits.far_mass.si(),
                far_times = times(limits.far_mass),
                far = limits.far.si(),
                hours
            ),
            source,
        )];
    };
    let whole = gross * f64::from(carrying.times);
    let found = said!(
        "{count} carries of {gross:.1} kg over {distance:.0} m add up to {whole:.0} kg",
        count = carrying.times,
        gross = gross.si(),
        distance = carrying.distance.si(),
        whole = whole.si()
    );
    if carrying.distance > limits.far {
        return vec![
            Judged::new(
                Verdict::NotKnown,
                said!(
                    "{found}; no mass is recommended beyond {far:.0} m",
                    far = limits.far.si(),
                    found
                ),
                source,
            )
            .finding(Severity::Caution, remedy()),
        ];
    }
    // Between the two distances the lower mass counts: nothing says that it falls evenly.
    let limit = if carrying.distance <= limits.near {
        limits.near_mass
    } else {
        limits.far_mass
    };
    let margin = Margin::at_most(whole.si(), limit.si(), "kg");
    vec![if whole <= limit {
        Judged::new(Verdict::Indicative, found, source).margin(margin)
    } else {
        Judged::new(Verdict::Fails, found, source)
            .margin(margin)
            .finding(Severity::Caution, remedy())
    }]
}

fn remedy() -> Said {
    said!("roll or cart it, share the carrying, or carry less far; local codes on manual handling decide")
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, ask_leg, weighing};
    use super::*;
    use crate::{Carrying, Leg};
    use caddis_basis::Length;

    fn carried(kg: f64, times: u32, metres: f64) -> Judged {
        let mut leg = Leg::new(LegKind::HandCarry, "test");
        leg.carrying = Some(Carrying {
            times,
            distance: Length::from_si(metres),
        });
        ask_leg(&RULE, &weighing(kg), &leg).swap_remove(0)
    }

    #[test]
    fn failing_case() {
        let often = carried(20.0, 501, 10.0);
        assert_eq!(
            (often.verdict, often.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        assert_eq!(carried(20.0, 301, 15.0).verdict, Verdict::Fails);
        assert_eq!(carried(20.0, 1, 21.0).verdict, Verdict::NotKnown);
    }

    #[test]
    fn passing_case() {
        let kept = carried(20.0, 500, 10.0);
        assert_eq!((kept.verdict, kept.severity), (Verdict::Indicative, None));
        assert_eq!(carried(20.0, 300, 20.0).verdict, Verdict::Indicative);
        let unstated = ask(&RULE, &weighing(20.0), LegKind::HandCarry);
        assert!(
            unstated.sentence.contains("after 500 carries of up to 10 m"),
            "{}",
            unstated.sentence
        );
    }
}
