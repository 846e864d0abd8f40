//! Heights of drops as recorders measured them in parcel networks.

use caddis_basis::{Certainty, Length, Source};

/// What one study measured for one class of parcel.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredDrops {
    /// In kebab case, as files name it.
    pub name: &'static str,
    /// Height below which 95 % of drops stayed.
    pub height_95: Length,
    /// The highest drop of the study.
    pub highest: Length,
    /// Who measured, and where.
    pub source: Source,
}

/// Every study of which both heights could be read. The borders of the classes of size and mass could not: a job says which
/// class its case is nearest to.
///
/// # Source
/// ASTM Journal of Testing and Evaluation 20(5), p. 382: a parcel network, 35 round trips; El-Khateeb, Michigan State
/// University MS thesis 1993: a postal express network, 25 round trips (both published).
pub fn measured_drops() -> Vec<MeasuredDrops> {
    let network = |name, class: &str, inches| MeasuredDrops {
        name,
        height_95: Length::inches(inches),
        highest: Length::inches(42.1),
        source: Source::new(
            format!(
                "ASTM Journal of Testing and Evaluation 20(5), p. 382: a parcel network, 35 round trips, {class} parcels: 95 % below {inches} in, highest of all 42.1 in"
            ),
            Certainty::Published,
        ),
    };
    vec![
        network("parcel-small-light", "small/light", 30.0),
        network("parcel-small-medium", "small/medium", 24.0),
        network("parcel-medium-light", "medium/light", 18.0),
        network("parcel-medium-medium", "medium/medium", 24.0),
        network("parcel-medium-heavy", "medium/heavy", 26.0),
        network("parcel-large", "large", 18.0),
        MeasuredDrops {
            name: "postal-express",
            height_95: Length::inches(32.0),
            highest: Length::inches(72.5),
            source: Source::new(
                "El-Khateeb, Michigan State University MS thesis 1993: a postal express network, 25 round trips: 95 % of drops below 32 in, highest 72.5 in",
                Certainty::Published,
            ),
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_heights_in_order() {
        let rows = measured_drops();
        for row in &rows {
            assert!(row.height_95 < row.highest, "{}", row.name);
            assert_eq!(rows.iter().filter(|other| other.name == row.name).count(), 1);
        }
    }
}
