//! Drop heights by gross mass, for legs that state none.
//!
//! Every table here is **from memory**: two versions of the handbook's table circulate, and neither the tables nor
//! the test procedure could be read. A drop height agreed with the customer replaces them. Only the edgewise drop of
//! a unit load was read.

use crate::error::JourneyError;
use caddis_basis::{Certainty, Length, Mass, Measured, Said, Source, said};

/// Which table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HandlingClass {
    /// A parcel network, after ISTA procedure 1A.
    Parcel,
    /// Hands and light equipment, after the packaging handbooks.
    Handbook,
    /// The same in the older, harsher version.
    HandbookOlder,
    /// ASTM D4169 schedule A, assurance level I, the harshest.
    ScheduleAOne,
    /// Assurance level II.
    ScheduleATwo,
    /// Assurance level III.
    ScheduleAThree,
}

impl HandlingClass {
    /// Every class.
    pub const ALL: [Self; 6] = [
        Self::Parcel,
        Self::Handbook,
        Self::HandbookOlder,
        Self::ScheduleAOne,
        Self::ScheduleATwo,
        Self::ScheduleAThree,
    ];

    /// The word in files.
    pub fn words(self) -> &'static str {
        match self {
            Self::Parcel => "parcel",
            Self::Handbook => "handbook",
            Self::HandbookOlder => "handbook-older",
            Self::ScheduleAOne => "schedule-a-1",
            Self::ScheduleATwo => "schedule-a-2",
            Self::ScheduleAThree => "schedule-a-3",
        }
    }
}

/// One row: up to a mass, fall from a height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropHeightRow {
    /// The row ends here; infinite in the last row of an open table.
    pub to: Mass,
    /// Whether a parcel of exactly that mass is still in the row.
    pub to_included: bool,
    /// The drop height.
    pub height: Length,
    /// How such a parcel is handled.
    pub handling: &'static str,
}

/// A table of drop heights by gross mass.
#[derive(Debug, Clone, PartialEq)]
pub struct DropHeights {
    /// What it is called.
    pub title: Said,
    /// Rows by rising mass.
    pub rows: Vec<DropHeightRow>,
    /// Where it comes from.
    pub source: Source,
}

/// Pounds and inches as the tables give them.
type Row = (f64, f64, &'static str);

const OPEN: f64 = f64::INFINITY;

/// # Source
/// ISTA procedure 1A, from memory.
const PARCEL: [Row; 5] = [
    (21.0, 30.0, "parcel network"),
    (41.0, 24.0, "parcel network"),
    (61.0, 18.0, "parcel network"),
    (100.0, 12.0, "parcel network"),
    (150.0, 8.0, "parcel network"),
];

/// # Source
/// Packaging handbook practice, from memory; one of two versions in circulation.
const HANDBOOK: [Row; 6] = [
    (10.0, 42.0, "one person throwing"),
    (20.0, 36.0, "one person carrying"),
    (50.0, 30.0, "one person carrying"),
    (100.0, 24.0, "two persons carrying"),
    (250.0, 18.0, "light equipment"),
    (OPEN, 12.0, "heavy equipment"),
];

/// # Source
/// Packaging handbook practice, from memory; the older of two versions in circulation.
const HANDBOOK_OLDER: [Row; 6] = [
    (20.0, 42.0, "by hand"),
    (50.0, 36.0, "by hand"),
    (250.0, 30.0, "by hand or light equipment"),
    (500.0, 24.0, "equipment"),
    (1000.0, 18.0, "equipment"),
    (OPEN, 12.0, "heavy equipment"),
];

/// # Source
/// ASTM D4169 schedule A (handling), from memory: heights at assurance levels I, II and III.
const SCHEDULE_A: [(f64, [f64; 3]); 6] = [
    (20.0, [24.0, 15.0, 9.0]),
    (40.0, [21.0, 13.0, 8.0]),
    (60.0, [18.0, 12.0, 7.0]),
    (80.0, [15.0, 10.0, 6.0]),
    (100.0, [12.0, 9.0, 5.0]),
    (200.0, [10.0, 7.0, 4.0]),
];

/// Heights of an edgewise drop come in quarters of an inch.
const QUARTERS: f64 = 4.0;

impl DropHeights {
    /// How high the raised edge of a unit load (a loaded pallet) is let go from, the opposite edge on the floor, by the
    /// load's length and gross mass: L/2.7 + 6 in below 600 lb, L/8 + 6 in to 3000 lb, L/16 + 6 in above, to the nearest
    /// quarter of an inch.
    ///
    /// The standard's appendix B caps a table of its own (36 in at level A, 27 in at level B); those caps are not
    /// applied here.
    ///
    /// # Errors
    /// A length or mass that is not a finite value above zero.
    ///
    /// # Source
    /// MIL-STD-1660A, table H-I (published).
    pub fn edgewise(length: Length, gross: Mass) -> Result<Measured<Length>, JourneyError> {
        crate::parcel::positive("the length for an edgewise drop".to_owned(), length.si(), "m")?;
        crate::parcel::positive("the gross mass for an edgewise drop".to_owned(), gross.si(), "kg")?;
        let share = if gross < Mass::pounds(600.0) {
            2.7
        } else if gross <= Mass::pounds(3000.0) {
            8.0
        } else {
            16.0
        };
        let inches = length.as_inches() / share + 6.0;
        Ok(Measured {
            value: Length::inches((inches * QUARTERS).round() / QUARTERS),
            plus_minus: None,
            source: Some(Source::new(
                "MIL-STD-1660A, table H-I, edgewise drop of a unit load",
                Certainty::Published,
            )),
        })
    }

    /// The table of a handling class.
    pub fn of(class: HandlingClass) -> Self {
        let schedule = |level: usize| SCHEDULE_A.map(|(pounds, inches)| (pounds, inches[level], "handling"));
        let levels = [schedule(0), schedule(1), schedule(2)];
        let (title, rows, to_included): (_, &[Row], _) = match class {
            HandlingClass::Parcel => (said!("ISTA 1A drop heights"), &PARCEL, false),
            HandlingClass::Handbook => (said!("handbook drop heights by mass"), &HANDBOOK, true),
            HandlingClass::HandbookOlder => (
                said!("handbook drop heights by mass, older version"),
                &HANDBOOK_OLDER,
                true,
            ),
            HandlingClass::ScheduleAOne => (
                said!("ASTM D4169 schedule A, assurance level I"),
                &levels[0],
                true,
            ),
            HandlingClass::ScheduleATwo => (
                said!("ASTM D4169 schedule A, assurance level II"),
                &levels[1],
                true,
            ),
            HandlingClass::ScheduleAThree => (
                said!("ASTM D4169 schedule A, assurance level III"),
                &levels[2],
                true,
            ),
        };
        let last = rows.len() - 1;
        let rows = rows
            .iter()
            .enumerate()
            .map(|(at, &(pounds, inches, handling))| DropHeightRow {
                to: Mass::pounds(pounds),
                to_included: to_included || at == last,
                height: Length::inches(inches),
                handling,
            })
            .collect();
        Self {
            rows,
            source: Source::new(title.as_str(), Certainty::Memory),
            title,
        }
    }

    /// The row a gross mass falls in, the first (higher) one where rows meet and include their end.
    ///
    /// # Errors
    /// The mass is not a finite value above zero, or lies beyond the last row.
    pub fn row(&self, gross: Mass) -> Result<&DropHeightRow, JourneyError> {
        crate::parcel::positive("the gross mass for a drop height".to_owned(), gross.si(), "kg")?;
        self.rows
            .iter()
            .find(|row| gross < row.to || (row.to_included && gross <= row.to))
            .ok_or_else(|| JourneyError::OutsideDropHeights {
                mass_kg: gross.si(),
                table: self.title.clone(),
                limit_kg: self.rows.last().map_or(0.0, |row| row.to.si()),
            })
    }

    /// The drop height of a gross mass with the table as its source.
    ///
    /// # Errors
    /// As [`DropHeights::row`].
    pub fn height(&self, gross: Mass) -> Result<Measured<Length>, JourneyError> {
        let row = self.row(gross)?;
        Ok(Measured {
            value: row.height,
            plus_minus: None,
            source: Some(Source::new(
                format!("{}, {}", self.title, row.handling),
                self.source.certainty,
            )),
        })
    }
}

/// The drop height of a gross mass in a handling class.
///
/// # Errors
/// The mass is not a finite value above zero, or lies beyond the last row of the table.
///
/// # Source
/// [`DropHeights`]; from memory, unverified.
pub fn drop_height(gross: Mass, class: HandlingClass) -> Result<Measured<Length>, JourneyError> {
    DropHeights::of(class).height(gross)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn rows_meet_as_their_table_says() {
        let inches = |pounds: f64, class| {
            drop_height(Mass::pounds(pounds), class)
                .unwrap()
                .value
                .as_inches()
                .round()
        };
        assert_eq!(inches(20.99, HandlingClass::Parcel), 30.0);
        assert_eq!(inches(21.0, HandlingClass::Parcel), 24.0);
        assert_eq!(inches(150.0, HandlingClass::Parcel), 8.0);
        assert_eq!(inches(50.0, HandlingClass::Handbook), 30.0);
        assert_eq!(inches(50.01, HandlingClass::Handbook), 24.0);
        assert_eq!(inches(5000.0, HandlingClass::HandbookOlder), 12.0);
    }

    #[test]
    fn every_height_says_it_is_from_memory() {
        for class in HandlingClass::ALL {
            let height = drop_height(Mass::from_si(10.0), class).unwrap();
            assert_eq!(height.source.unwrap().certainty, Certainty::Memory);
        }
    }

    /// MIL-STD-1660A, table H-I: 40 in and 500 lb are 40/2.7 + 6 = 20.81, to the nearest quarter 20.75 in; the rows
    /// meet at 600 and at 3000 lb.
    #[test]
    fn edgewise_drops_come_in_quarters_of_an_inch() {
        let inches = |long: f64, pounds: f64| {
            DropHeights::edgewise(Length::inches(long), Mass::pounds(pounds))
                .unwrap()
                .value
                .as_inches()
        };
        for (long, pounds, expected) in [
            (40.0, 500.0, 20.75),
            (48.0, 599.99, 23.75),
            (48.0, 600.0, 12.0),
            (48.0, 3000.0, 12.0),
            (48.0, 3000.1, 9.0),
        ] {
            let off: f64 = inches(long, pounds) - expected;
            assert!(
                off.abs() < 1e-9,
                "{long} in, {pounds} lb: {}",
                inches(long, pounds)
            );
        }
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(DropHeights::edgewise(Length::from_si(bad), Mass::from_si(100.0)).is_err());
            assert!(DropHeights::edgewise(Length::from_si(1.0), Mass::from_si(bad)).is_err());
        }
    }

    #[test]
    fn beyond_the_table_is_an_error() {
        for kg in [70.0, 0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(
                drop_height(Mass::from_si(kg), HandlingClass::Parcel).is_err(),
                "{kg}"
            );
        }
    }

    proptest! {
        #[test]
        fn heavier_never_falls_farther(kg in 0.1..60.0_f64, more in 0.0..8.0_f64) {
            for class in HandlingClass::ALL {
                let light = drop_height(Mass::from_si(kg), class).unwrap();
                let heavy = drop_height(Mass::from_si(kg + more), class).unwrap();
                prop_assert!(heavy.value <= light.value);
            }
        }
    }
}
