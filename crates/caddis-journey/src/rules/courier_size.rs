//! A courier parcel keeps to the network's largest.

use super::{Band, Judged, Question, Rule, Standing, passing};
use crate::chargeable::longest_first;
use crate::{CourierMaximum, length_and_girth};
use caddis_basis::{Margin, Severity, Verdict};

pub(crate) const RULE: Rule = Rule {
    name: "courier-size",
    sentence: "a courier parcel keeps to the network's largest mass, longest side and length and girth",
    reason: "above them the network refuses it; near them it is billed as a large package",
    source: |limits| limits.courier_maximum.dated_source(),
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let (maximum, large) = (&question.limits.courier_maximum, &question.limits.courier_large);
    let (standing, what, margin) = tightest(question, &maximum.value);
    let found = |what: &str, margin: &Margin| {
        format!(
            "{what} {:.1} {unit} against {:.1} {unit}",
            margin.found,
            margin.limit,
            unit = margin.unit
        )
    };
    if standing != Standing::Kept {
        let (verdict, severity) = if standing == Standing::Passed {
            (Verdict::Fails, Severity::Failing)
        } else {
            (Verdict::Indicative, Severity::Caution)
        };
        let sentence = found(what, &margin) + " for a courier parcel" + super::doubt(standing);
        let judged = Judged::new(verdict, sentence, maximum.dated_source())
            .margin(margin)
            .finding(severity, "send it as pallet freight, or split the kit");
        return vec![judged];
    }
    let (large_standing, large_what, large_margin) = tightest(question, &large.value);
    if large_standing != Standing::Kept {
        let sentence = found(large_what, &large_margin) + ", where a parcel counts as a large package";
        let judged = Judged::new(Verdict::Indicative, sentence, large.dated_source())
            .margin(large_margin)
            .finding(Severity::Caution, "ask the courier for the large package charge");
        return vec![judged];
    }
    let source = maximum.dated_source();
    let sentence = found(what, &margin) + " for a courier parcel";
    vec![Judged::new(passing(&source), sentence, source).margin(margin)]
}

/// The limit with the least room for its size, in its own unit.
fn tightest(question: &Question<'_>, limit: &CourierMaximum) -> (Standing, &'static str, Margin) {
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
    let mut worst = ("gross mass", mass, limit.mass.si(), "kg");
    for other in [
        ("longest side", longest, limit.longest.si() * 100.0, "cm"),
        (
            "length and girth",
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
