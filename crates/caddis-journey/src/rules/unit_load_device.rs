//! The case goes into an aircraft's unit load devices.

use super::{Judged, Question, Rule, passing};
use crate::{LegKind, SpaceKind, load_fit};
use caddis_basis::{Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "unit-load-device",
    sentence: || said!("the case goes upright into the unit load devices of the hold"),
    reason: || said!("a case longer than the devices waits for a larger aircraft"),
    source: |limits| {
        limits
            .spaces
            .iter()
            .find(|row| row.value.kind == SpaceKind::UnitLoadDevice)
            .map_or_else(Source::common_practice, crate::Dated::dated_source)
    },
    applies: |question| matches!(question.leg.kind, LegKind::CourierAir | LegKind::AirHold),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let parcel = question.parcel;
    let fits: Vec<_> = load_fit(
        parcel.largest_sides(),
        parcel.gross_mass.most(),
        question.journey.cases,
        question.limits,
    )
    .into_iter()
    .filter(|fit| fit.kind == SpaceKind::UnitLoadDevice)
    .collect();
    let source = (RULE.source)(question.limits);
    let (in_it, not): (Vec<_>, Vec<_>) = fits.iter().partition(|fit| fit.cases > 0);
    let names = |fits: &[&crate::LoadFit]| Said::row(fits.iter().map(|fit| fit.name.clone()), ", ");
    vec![if in_it.is_empty() {
        Judged::new(
            Verdict::Fails,
            said!("goes into none of the unit load devices of the limits"),
            source,
        )
        .finding(
            Severity::Caution,
            said!("ask the carrier before booking; small aircraft load by hand through small doors"),
        )
    } else if not.is_empty() {
        Judged::new(
            passing(&source),
            said!("goes into {devices}", devices = names(&in_it)),
            source,
        )
    } else {
        Judged::new(
            Verdict::Indicative,
            said!(
                "goes into {devices}, not into {others}",
                devices = names(&in_it),
                others = names(&not)
            ),
            source,
        )
    }]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, sized};
    use super::*;

    #[test]
    fn failing_case() {
        let long = ask(&RULE, &sized([7000.0, 300.0, 300.0]), LegKind::CourierAir);
        assert_eq!(
            (long.verdict, long.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        let two = ask(&RULE, &sized([2500.0, 300.0, 300.0]), LegKind::CourierAir);
        assert!(two.sentence.contains("not into LD3"), "{}", two.sentence);
    }

    #[test]
    fn passing_case() {
        assert_eq!(ask(&RULE, &parcel(), LegKind::AirHold).verdict, Verdict::Holds);
    }
}
