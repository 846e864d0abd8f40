//! A courier parcel keeps to the network's largest.

use super::{Band, Judged, Question, Rule, Standing, passing};
use crate::chargeable::longest_first;
use crate::{CourierMaximum, length_and_girth};
use caddis_basis::{Margin, Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "courier-size",
    sentence: || {
        said!("a courier parcel keeps to the network's largest mass, longest side and length and girth")
    },
    reason: || said!("above them the network refuses it; near them it is billed as a large package"),
    source: |limits| limits.courier_maximum.dated_source(),
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (maximum, large) = (&question.limits.courier_maximum, &question.limits.courier_large);
    let (standing, what, margin) = tightest(question, &maximum.value);
    let found = |what: Said, margin: &Margin| {
        said!(
            "{what} {found:.1} {unit} against {limit:.1} {unit}",
            found = margin.found,
            limit = margin.limit,
            unit = margin.unit,
            what
        )
    };
    let for_a_parcel = |found: Said| said!("{found} for a courier parcel", found);
    if standing != Standing::Kept {
        let (verdict, severity) = if standing == Standing::Passed {
            (Verdict::Fails, Severity::Failing)
        } else {
            (Verdict::Indicative, Severity::Caution)
        };
        let sentence = super::doubt(standing, for_a_parcel(found(what, &margin)));
        let judged = Judged::new(verdict, sentence, maximum.dated_source())
            .margin(margin)
            .finding(severity, said!("send it as pallet freight, or split the kit"));
        return vec![judged];
    }
    let (large_standing, large_what, large_margin) = tightest(question, &large.value);
    if large_standing != Standing::Kept {
        let sentence = said!(
            "{found}, where a parcel counts as a large package",
            found = found(large_what, &large_margin)
        );
        let judged = Judged::new(Verdict::Indicative, sentence, large.dated_source())
            .margin(large_margin)
            .finding(
                Severity::Caution,
                said!("ask the courier for the large package charge"),
            );
        return vec![judged];
    }
    let source = maximum.dated_source();
    let sentence = for_a_parcel(found(what, &margin));
    vec![Judged::new(passing(&source), sentence, source).margin(margin)]
}

/// The limit with the least room for its size, in its own unit.
fn tightest(question: &Question<'_>, limit: &CourierMaximum) -> (Standing, Said, Margin) {
    let parcel = question.parcel;
    let (nominal, most) = (parcel.nominal_sides(), parcel.largest_sides());
    let centimetres = |nominal: caddis_basis::Length, most: caddis_basis::Length| Band {
        nominal: nominal.si() * 100.0,
        most: most.si() * 100.0,
    };
    let mass = Band {
        nominal: parcel.gross_mass.value.si(),
        most: parcel.gross_mass.most().si(),
    };
    let longest = centimetres(longest_first(nominal)[0], longest_first(most)[0]);
    let girth = centimetres(length_and_girth(nominal), length_and_girth(most));
    let mut worst = (said!("gross mass"), mass, limit.mass.si(), "kg");
    for other in [
        (said!("longest side"), longest, limit.longest.si() * 100.0, "cm"),
        (
            said!("length and girth"),
            girth,
            limit.length_and_girth.si() * 100.0,
            "cm",
        ),
    ] {
        if other.1.most * worst.2 > worst.1.most * other.2 {
            worst = other;
        }
    }
    let (what, band, limit, unit) = worst;
    (band.against(limit), what, band.margin(limit, unit))
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, sized, weighing};
    use super::*;
    use crate::LegKind;

    #[test]
    fn failing_case() {
        let long = ask(&RULE, &sized([2800.0, 200.0, 150.0]), LegKind::CourierRoad);
        assert_eq!(
            (long.verdict, long.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
        assert!(long.sentence.starts_with("longest side"), "{}", long.sentence);
        let heavy = ask(&RULE, &weighing(69.0), LegKind::CourierAir);
        assert_eq!(
            (heavy.verdict, heavy.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
        let large = ask(&RULE, &sized([1400.0, 700.0, 500.0]), LegKind::CourierRoad);
        assert_eq!(
            (large.verdict, large.severity),
            (Verdict::Indicative, Some(Severity::Caution))
        );
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &weighing(18.0), LegKind::CourierRoad);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
    }
}
