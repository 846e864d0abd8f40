//! Handling marks to print on the case.

use crate::{Journey, Parcel, Valve};
use caddis_basis::{Certainty, Said, Source, Temperature, said};

/// One mark.
#[derive(Debug, Clone, PartialEq)]
pub struct HandlingMark {
    /// Its number in the standard.
    pub number: u8,
    /// What it says.
    pub name: &'static str,
    /// What stands beside it, where the mark takes a figure.
    pub figure: Option<Said>,
    /// Why this case carries it.
    pub why: Said,
    /// Where the mark comes from.
    pub source: Source,
}

/// The marks that a case and its journey ask for, by their numbers.
///
/// # Source
/// ISO 780:2015, numbers and names from memory: optional, not for dangerous goods.
pub fn marks_to_print(parcel: &Parcel, journey: &Journey) -> Vec<HandlingMark> {
    let mut marks = Vec::new();
    let mut mark = |number, name, figure: Option<Said>, why: Said| {
        marks.push(HandlingMark {
            number,
            name,
            figure,
            why,
            source: Source::new("ISO 780:2015", Certainty::Memory),
        });
    };
    mark(
        1,
        "fragile",
        None,
        said!("the contents are cushioned for a stated drop height, not for any"),
    );
    mark(
        3,
        "this way up",
        None,
        said!("the foam is sized and the items lie for the base down"),
    );
    let wet = !journey
        .case
        .ingress
        .is_some_and(crate::IngressCode::is_watertight)
        || parcel.valve == Valve::NotTight;
    if wet {
        mark(
            6,
            "keep away from rain",
            None,
            said!("the case is not stated to be tight"),
        );
    }
    if let Some([x, y]) = parcel.details.centre_offset
        && (x.abs().si() > 0.05 || y.abs().si() > 0.05)
    {
        mark(
            7,
            "centre of gravity",
            Some(said!(
                "{along:+.0} mm along, {across:+.0} mm across",
                along = x.as_mm(),
                across = y.as_mm()
            )),
            said!("it lies more than 50 mm off the middle"),
        );
    }
    if !parcel.wheels {
        mark(
            8,
            "do not roll",
            None,
            said!("it has no wheels; rolling is a row of drops"),
        );
    }
    match parcel.stacking_rating {
        Some(rating) => {
            mark(
                13,
                "stacking limit by mass",
                Some(said!("{mass:.0} kg", mass = rating.si())),
                said!("its maker states the load"),
            );
            if journey.cases > 1 {
                let above = (rating / parcel.gross_mass.most()).floor().min(99.0);
                mark(
                    14,
                    "stacking limit by number",
                    Some(said!("{above:.0} above it", above)),
                    said!("cases of its kind travel with it, and its maker states the load"),
                );
            }
        }
        None => mark(
            15,
            "do not stack",
            None,
            said!("nobody states what its lid bears"),
        ),
    }
    let things = || {
        parcel
            .details
            .temperatures
            .iter()
            .chain(&journey.case.temperatures)
    };
    let low = things().filter_map(|thing| thing.lowest).reduce(Temperature::max);
    let high = things()
        .filter_map(|thing| thing.highest)
        .reduce(Temperature::min);
    // A store or a leg in the sun that is hotter than what is inside may become.
    let hottest = journey
        .legs
        .iter()
        .filter_map(|leg| leg.temperatures(&journey.limits).1)
        .reduce(Temperature::max);
    if let (Some(high), Some(hottest)) = (high, hottest)
        && hottest > high
    {
        mark(
            4,
            "keep away from sunlight",
            None,
            said!(
                "a leg reaches {hottest:.0}, and {high:.0} is the most its foams and contents bear",
                hottest,
                high
            ),
        );
    }
    if low.is_some() || high.is_some() {
        let words = |t: Option<Temperature>| {
            t.map_or_else(
                || Said::name("-"),
                |t| said!("{degrees:.0} degC", degrees = t.as_celsius()),
            )
        };
        mark(
            17,
            "temperature limits",
            Some(said!(
                "{lowest} to {highest}",
                lowest = words(low),
                highest = words(high)
            )),
            said!("the narrowest of its foams and contents"),
        );
    }
    marks.sort_by_key(|mark| mark.number);
    marks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::fixture::parcel;

    #[test]
    fn marks_follow_the_case() {
        let journey = Journey::new("out", Vec::new());
        let numbers = |parcel: &Parcel| {
            marks_to_print(parcel, &journey)
                .iter()
                .map(|m| m.number)
                .collect::<Vec<_>>()
        };
        assert_eq!(numbers(&parcel()), [1, 3, 6, 13, 17]);
        let mut other = parcel();
        other.wheels = false;
        other.stacking_rating = None;
        other.details.temperatures.clear();
        assert_eq!(numbers(&other), [1, 3, 6, 8, 15]);
    }
}
