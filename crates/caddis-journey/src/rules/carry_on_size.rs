//! A cabin bag fits the airlines' frame.

use super::{Band, Judged, Question, Rule, Standing, doubt, passing};
use crate::LegKind;
use crate::chargeable::longest_first;
use caddis_basis::{Length, Said, Severity, Verdict, said};

pub(crate) const RULE: Rule = Rule {
    name: "carry-on-size",
    sentence: || said!("each side of a cabin bag keeps to the airline's frame, over wheels and handles"),
    reason: || said!("what does not fit the frame goes into the hold, where spare batteries may not be"),
    source: |limits| limits.carry_on.dated_source(),
    applies: |question| question.leg.kind == LegKind::AirCabin,
    judge,
};

fn judge(question: &Question<'_>) -> Vec<Judged> {
    let nominal = longest_first(question.parcel.nominal_sides());
    let most = longest_first(question.parcel.largest_sides());
    // The side with the least room decides.
    let tightest = |frame: [Length; 3]| {
        let rooms = (0..3).map(|at| {
            let band = Band {
                nominal: nominal[at].si() * 100.0,
                most: most[at].si() * 100.0,
            };
            (band, frame[at].si() * 100.0)
        });
        rooms.min_by(|(a, x), (b, y)| (x - a.most).total_cmp(&(y - b.most)))
    };
    let rows = [&question.limits.carry_on, &question.limits.carry_on_wide];
    let [Some((band, limit)), Some((wide_band, wide_limit))] = rows.map(|row| tightest(row.value)) else {
        return Vec::new(); // three sides always have a tightest
    };
    let source = rows[0].dated_source();
    let frame = longest_first(rows[0].value).map(|side| said!("{side:.1}", side = side.si() * 100.0));
    let found = said!(
        "{found:.1} cm where the cabin frame of {frame} cm has {limit:.1} cm",
        found = band.most,
        frame = Said::row(frame, " x "),
        limit
    );
    let standing = band.against(limit);
    let judged = match standing {
        Standing::Kept => Judged::new(passing(&source), found, source),
        Standing::Doubtful => Judged::new(Verdict::Indicative, doubt(standing, found), source).finding(
            Severity::Caution,
            said!("measure the closed case over everything"),
        ),
        Standing::Passed if wide_band.against(wide_limit) == Standing::Kept => {
            Judged::new(Verdict::Fails, found, source).finding(
                Severity::Caution,
                said!("ask the airline: some take 56 x 45 x 25 cm in the cabin"),
            )
        }
        Standing::Passed => Judged::new(Verdict::Fails, found, source).finding(
            Severity::Failing,
            said!("take a smaller shell, or plan this leg as checked baggage without spare batteries"),
        ),
    };
    vec![judged.margin(band.margin(limit, "cm"))]
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{ask, sized};
    use super::*;

    #[test]
    fn failing_case() {
        let wide = ask(&RULE, &sized([550.0, 400.0, 240.0]), LegKind::AirCabin);
        assert_eq!(
            (wide.verdict, wide.severity),
            (Verdict::Fails, Some(Severity::Caution))
        );
        let large = ask(&RULE, &sized([700.0, 450.0, 330.0]), LegKind::AirCabin);
        assert_eq!(
            (large.verdict, large.severity),
            (Verdict::Fails, Some(Severity::Failing))
        );
    }

    #[test]
    fn passing_case() {
        let judged = ask(&RULE, &sized([228.6, 558.8, 355.6]), LegKind::AirCabin);
        assert_eq!((judged.verdict, judged.severity), (Verdict::Holds, None));
    }
}
