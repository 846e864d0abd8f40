//! How the cases stand on pallets, in containers and in vehicles.

use super::{Judged, Question, Rule};
use crate::{LegKind, LoadFit, SpaceKind, load_fit};
use caddis_basis::{Said, Severity, Source, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "pallet-fit",
    sentence: || said!("the cases stand on pallets without overhang, and in containers and vehicles"),
    reason: || said!("overhang is crushed, and a case that stands across two pallets is dropped"),
    source: |limits| {
        limits
            .spaces
            .first()
            .map_or_else(Source::common_practice, crate::Dated::dated_source)
    },
    applies: |question| question.leg.kind == LegKind::PalletFreight,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let parcel = question.parcel;
    let cases = question.journey.cases;
    let fits = load_fit(
        parcel.largest_sides(),
        parcel.gross_mass.most(),
        cases,
        question.limits,
    );
    let of = |kind: SpaceKind| {
        fits.iter()
            .filter(|fit| fit.kind == kind && fit.cases > 0)
            .map(|fit| said!("{count} on {space}", count = fit.cases, space = fit.name))
            .collect::<Vec<_>>()
    };
    let best = |kind: SpaceKind| {
        fits.iter()
            .filter(|fit| fit.kind == kind)
            .filter_map(|fit| Some((fit.spaces?, fit)))
            .min_by_key(|(spaces, _)| *spaces)
    };
    let Some((pallets, pallet)) = best(SpaceKind::Pallet) else {
        let source = (RULE.source)(question.limits);
        return vec![
            Judged::new(
                Verdict::Fails,
                said!("not one case stands on any pallet of the limits without overhang"),
                source,
            )
            .finding(
                Severity::Caution,
                said!("ask the carrier for a long pallet or a crate of its own"),
            ),
        ];
    };
    let mut sentence = said!(
        "{cases} of them need {pallets} {pallet}: {on}",
        pallet = pallet.name,
        on = Said::row(of(SpaceKind::Pallet), ", "),
        cases,
        pallets
    );
    if let Some((_, container)) = best(SpaceKind::Container) {
        sentence = said!(
            "{sentence}; loose in a {container} {cases}",
            container = container.name,
            cases = words(container),
            sentence
        );
    }
    if let Some((_, vehicle)) = best(SpaceKind::Vehicle) {
        sentence = said!(
            "{sentence}, in a {vehicle} {cases}",
            vehicle = vehicle.name,
            cases = words(vehicle),
            sentence
        );
    }
    vec![
        Judged::new(Verdict::Indicative, sentence, pallet.source.clone()).finding(
            Severity::Note,
            said!("strap the cases to the pallet; more than one layer only where the maker's stacking rating bears it; the count is of plain rows, a loader may gain by cleverer patterns"),
        ),
    ]
}

fn words(fit: &LoadFit) -> Said {
    if fit.by_mass {
        said!("{count} cases by mass", count = fit.cases)
    } else {
        said!("{count} cases", count = fit.cases)
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, parcel, sized};
    use super::*;

    #[test]
    fn failing_case() {
        let long = ask(&RULE, &sized([2500.0, 300.0, 200.0]), LegKind::PalletFreight);
        assert_eq!(
            (long.verdict, long.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
    }

    #[test]
    fn passing_case() {
        // 700 x 450 on 1200 x 800: one way 1 x 1, the other 2 x 1; 4 layers of 330 mm in 1.6 m.
        let judged = ask(&RULE, &parcel(), LegKind::PalletFreight);
        assert_eq!(judged.verdict, Verdict::Indicative);
        assert!(
            judged.sentence.contains("8 on pallet 1200 x 800"),
            "{}",
            judged.sentence
        );
    }
}
