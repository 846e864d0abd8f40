//! What one person, two and three may lift by the practices at hand, beside the gross mass.

use crate::{CarriageLimits, LiftZone, Parcel};
use caddis_basis::{Mass, Said, Source, Verdict, said};

/// One practice's limit for so many persons.
#[derive(Debug, Clone, PartialEq)]
pub struct HandlingLimit {
    /// Whose, and for what.
    pub practice: Said,
    /// How many persons.
    pub persons: u32,
    /// The limit.
    pub limit: Mass,
    /// Indicative while the gross mass keeps it, else fails: none of them is a safe weight.
    pub verdict: Verdict,
    /// Where it comes from.
    pub source: Source,
}

/// The lifting limits of every practice of the limits, against the heaviest the parcel may be.
///
/// # Source
/// The dated rows of [`CarriageLimits`]; teams as each practice counts them.
pub fn handling_limits(parcel: &Parcel, limits: &CarriageLimits) -> Vec<HandlingLimit> {
    let gross = parcel.gross_mass.most();
    let mut rows = Vec::new();
    let mut add = |practice: &Said, persons: u32, limit: Mass, source: Source| {
        rows.push(HandlingLimit {
            practice: practice.clone(),
            persons,
            limit,
            verdict: if gross <= limit {
                Verdict::Indicative
            } else {
                Verdict::Fails
            },
            source,
        });
    };
    for (row, who) in [
        (&limits.lift, said!("men and women")),
        (&limits.lift_men, said!("men")),
    ] {
        let lift = row.value;
        let source = || row.dated_source();
        add(
            &said!("floor to 0.91 m, {who}", who),
            1,
            lift.floor_to_waist,
            source(),
        );
        add(
            &said!("floor to 0.91 m, {who}", who),
            2,
            lift.floor_to_waist * 2.0,
            source(),
        );
        let three = lift.floor_to_waist * (2.0 + lift.share_beyond_two);
        add(&said!("floor to 0.91 m, {who}", who), 3, three, source());
        add(
            &said!("floor to 1.52 m, {who}", who),
            1,
            lift.floor_to_shoulder,
            source(),
        );
        add(&said!("carried up to 10 m, {who}", who), 1, lift.carry, source());
    }
    let masses = limits.reference_masses.value;
    for (who, mass) in [
        (said!("men of 20 to 45 years"), masses.men),
        (said!("women of 20 to 45 years"), masses.women),
        (said!("men younger or older"), masses.men_young_or_old),
        (said!("women younger or older"), masses.women_young_or_old),
    ] {
        let source = limits.reference_masses.dated_source();
        add(
            &said!("reference mass under good conditions, {who}", who),
            1,
            mass,
            source,
        );
    }
    let shares = limits.team_shares.value;
    for filter in &limits.lift_filter.value {
        if !matches!(filter.zone, LiftZone::KnuckleToElbow | LiftZone::FloorToLowerLeg) {
            continue;
        }
        for (who, mass) in [
            (said!("men"), filter.men_close),
            (said!("women"), filter.women_close),
        ] {
            let practice = said!(
                "guideline filter, {zone}, held close, {who}",
                zone = filter.zone.said(),
                who
            );
            let source = || limits.lift_filter.dated_source();
            add(&practice, 1, mass, source());
            add(
                &practice,
                2,
                mass * (2.0 * shares[0]),
                limits.team_shares.dated_source(),
            );
            add(
                &practice,
                3,
                mass * (3.0 * shares[1]),
                limits.team_shares.dated_source(),
            );
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::fixture::weighing;

    #[test]
    fn more_persons_lift_more_and_the_mass_decides() {
        let rows = handling_limits(&weighing(21.0), &CarriageLimits::common());
        let find = |practice: &str, persons| {
            rows.iter()
                .find(|row| row.practice.starts_with(practice) && row.persons == persons)
                .map(|row| (row.limit.si(), row.verdict))
        };
        assert_eq!(
            find("floor to 0.91 m, men and women", 1),
            Some((20.0, Verdict::Fails))
        );
        assert_eq!(
            find("floor to 0.91 m, men and women", 2),
            Some((40.0, Verdict::Indicative))
        );
        assert_eq!(
            find("floor to 0.91 m, men and women", 3),
            Some((55.0, Verdict::Indicative))
        );
        for row in &rows {
            assert!(row.limit > Mass::ZERO && row.verdict != Verdict::Holds);
        }
    }
}
