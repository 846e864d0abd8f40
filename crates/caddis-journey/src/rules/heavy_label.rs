//! A heavy parcel says so.

use super::{Band, Judged, Question, Rule, Standing, passing};
use caddis_basis::{Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "heavy-label",
    sentence: || said!("a courier parcel above the mass of a heavy parcel carries a heavy label"),
    reason: || said!("whoever lifts it next must know before lifting"),
    source: |limits| limits.heavy_label.dated_source(),
    applies: |question| question.leg.kind.is_courier(),
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let row = &question.limits.heavy_label;
    let gross = &question.parcel.gross_mass;
    let band = Band {
        nominal: gross.value.si(),
        most: gross.most().si(),
    };
    let (limit, source) = (row.value.si(), row.dated_source());
    let found = said!(
        "gross mass {gross:.1} kg against {limit:.1} kg for a heavy label",
        gross = band.most,
        limit
    );
    let judged = if band.against(limit) == Standing::Kept {
        Judged::new(passing(&source), found, source)
    } else {
        Judged::new(Verdict::Indicative, found, source).finding(
            Severity::Caution,
            said!("print the heavy label with the mass on two sides"),
        )
    };
    vec![judged.margin(band.margin(limit, "kg"))]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, weighing};
    use super::*;
    use crate::LegKind;

    #[test]
    fn failing_case() {
        let heavy = ask(&RULE, &weighing(33.0), LegKind::CourierRoad);
        assert_eq!(heavy.severity, Some(Severity::Caution));
    }

    #[test]
    fn passing_case() {
        let light = ask(&RULE, &weighing(31.0), LegKind::CourierRoad);
        assert_eq!((light.verdict, light.severity), (Verdict::Holds, None));
    }
}
