//! The spectra of transport standards, each with how sure its points are.
//!
//! Certainties are those of the reading: two come from a second text, most are remembered break points whose integral
//! closes on the overall level remembered with them. Nothing here replaces the standard's own text.

use super::{Spectrum, VibrationError};
use caddis_basis::{Certainty, Said, Source, said};

/// A spectrum with its name in files.
#[derive(Debug, Clone, PartialEq)]
pub struct PublishedSpectrum {
    /// Name in job files.
    pub name: &'static str,
    /// The spectrum.
    pub spectrum: Spectrum,
    /// Overall level its source quotes, in standard gravities.
    pub quoted: f64,
}

type Points = &'static [(f64, f64)];

const COMMON_CARRIER: &str =
    "MIL-STD-810H Method 514.8 Annex C, common carrier, as a public toolbox lists it";
const TRUCK_BY_ROAD: &str = "ASTM D4169-09 schedule E, truck";
const RAIL: &str = "ASTM D4169-09 schedule E, rail";
const AIR: &str = "ASTM D4169-09 schedule E, air";
const TRUCK_2016: &str = "ASTM D4169-16 and later, truck";
const TRAILER: &str = "ISTA 3A, over-the-road trailer";

const VERTICAL: Points = &[(5.0, 0.015), (40.0, 0.015), (500.0, 0.000_15)];
const TRANSVERSE: Points = &[
    (5.0, 1.3e-4),
    (10.0, 1.3e-4),
    (20.0, 6.5e-4),
    (30.0, 6.5e-4),
    (78.0, 2e-5),
    (79.0, 1.9e-4),
    (120.0, 1.9e-4),
    (500.0, 1e-5),
];
const LONGITUDINAL: Points = &[
    (5.0, 6.5e-3),
    (20.0, 6.5e-3),
    (120.0, 2e-4),
    (121.0, 3e-3),
    (200.0, 3e-3),
    (240.0, 1.5e-3),
    (340.0, 3e-5),
    (500.0, 1.5e-4),
];
const TRUCK_II: Points = &[
    (1.0, 5e-5),
    (4.0, 0.01),
    (16.0, 0.01),
    (40.0, 0.001),
    (80.0, 0.001),
    (200.0, 1e-5),
];
const RAIL_II: Points = &[
    (1.0, 1e-5),
    (2.0, 0.001),
    (50.0, 0.001),
    (90.0, 4e-4),
    (200.0, 1e-5),
];
const AIR_II: Points = &[(2.0, 2e-4), (12.0, 0.01), (100.0, 0.01), (300.0, 1e-5)];
const TRUCK_2016_HIGH: Points = &[
    (1.0, 0.0012),
    (3.0, 0.030),
    (4.0, 0.030),
    (6.0, 0.0012),
    (12.0, 0.0012),
    (16.0, 0.006),
    (25.0, 0.006),
    (30.0, 0.0012),
    (40.0, 0.006),
    (80.0, 0.006),
    (100.0, 0.0006),
    (200.0, 0.000_03),
];
const TRAILER_POINTS: Points = &[
    (1.0, 0.0007),
    (3.0, 0.02),
    (5.0, 0.02),
    (7.0, 0.001),
    (12.0, 0.001),
    (15.0, 0.004),
    (24.0, 0.004),
    (28.0, 0.001),
    (36.0, 0.001),
    (42.0, 0.003),
    (75.0, 0.003),
    (200.0, 4e-6),
];
const WORKMANSHIP: Points = &[(20.0, 0.0053), (150.0, 0.04), (800.0, 0.04), (2000.0, 0.0064)];
const SCREENING: Points = &[(20.0, 0.01), (80.0, 0.04), (350.0, 0.04), (2000.0, 0.007)];

/// All of them, in the order of the reference.
///
/// # Errors
/// Points that make no spectrum: never for the table below, which a test reads.
pub fn published_spectra() -> Result<Vec<PublishedSpectrum>, VibrationError> {
    use Certainty::{MemoryChecked, Published, Secondary};
    let rows: Vec<(&str, Said, &str, Certainty, Points, f64, f64)> = vec![
        (
            "common-carrier-vertical",
            said!("common carrier, vertical"),
            COMMON_CARRIER,
            Secondary,
            VERTICAL,
            1.0,
            1.08,
        ),
        (
            "common-carrier-transverse",
            said!("common carrier, transverse"),
            COMMON_CARRIER,
            Secondary,
            TRANSVERSE,
            1.0,
            0.21,
        ),
        (
            "common-carrier-longitudinal",
            said!("common carrier, longitudinal"),
            COMMON_CARRIER,
            Secondary,
            LONGITUDINAL,
            1.0,
            0.76,
        ),
        (
            "truck-level-i",
            said!("truck, level I"),
            TRUCK_BY_ROAD,
            MemoryChecked,
            TRUCK_II,
            2.0,
            0.73,
        ),
        (
            "truck-level-ii",
            said!("truck, level II"),
            TRUCK_BY_ROAD,
            MemoryChecked,
            TRUCK_II,
            1.0,
            0.52,
        ),
        (
            "truck-level-iii",
            said!("truck, level III"),
            TRUCK_BY_ROAD,
            MemoryChecked,
            TRUCK_II,
            0.5,
            0.37,
        ),
        (
            "rail-level-i",
            said!("rail, level I"),
            RAIL,
            MemoryChecked,
            RAIL_II,
            2.0,
            0.41,
        ),
        (
            "rail-level-ii",
            said!("rail, level II"),
            RAIL,
            MemoryChecked,
            RAIL_II,
            1.0,
            0.29,
        ),
        (
            "rail-level-iii",
            said!("rail, level III"),
            RAIL,
            MemoryChecked,
            RAIL_II,
            0.5,
            0.20,
        ),
        (
            "air-level-i",
            said!("air, level I"),
            AIR,
            MemoryChecked,
            AIR_II,
            2.0,
            1.49,
        ),
        (
            "air-level-ii",
            said!("air, level II"),
            AIR,
            MemoryChecked,
            AIR_II,
            1.0,
            1.05,
        ),
        (
            "air-level-iii",
            said!("air, level III"),
            AIR,
            MemoryChecked,
            AIR_II,
            0.5,
            0.74,
        ),
        (
            "truck-high",
            said!("truck, high level"),
            TRUCK_2016,
            MemoryChecked,
            TRUCK_2016_HIGH,
            1.0,
            0.70,
        ),
        (
            "truck-medium",
            said!("truck, medium level"),
            TRUCK_2016,
            MemoryChecked,
            TRUCK_2016_HIGH,
            0.6,
            0.54,
        ),
        (
            "truck-low",
            said!("truck, low level"),
            TRUCK_2016,
            MemoryChecked,
            TRUCK_2016_HIGH,
            1.0 / 3.0,
            0.40,
        ),
        (
            "trailer",
            said!("over-the-road trailer"),
            TRAILER,
            MemoryChecked,
            TRAILER_POINTS,
            1.0,
            0.53,
        ),
        (
            "workmanship",
            said!("minimum workmanship (a test level, no journey)"),
            "SMC-S-016",
            Published,
            WORKMANSHIP,
            1.0,
            6.9,
        ),
        (
            "screening",
            said!("stress screening (a test level, no journey)"),
            "NAVMAT P-9492",
            Published,
            SCREENING,
            1.0,
            6.06,
        ),
    ];
    rows.into_iter()
        .map(|(name, title, citation, certainty, points, factor, quoted)| {
            Ok(PublishedSpectrum {
                name,
                spectrum: Spectrum::in_g(title, Source::new(citation, certainty), points)?.scaled(factor)?,
                quoted,
            })
        })
        .collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn every_spectrum_closes_on_the_level_it_is_quoted_with() {
        let all = published_spectra().unwrap();
        assert_eq!(all.len(), 18);
        for one in &all {
            let got = one.spectrum.overall().as_g();
            // Quoted to two decimals; 6.9 to one.
            let allowed = if one.quoted == 6.9 { 0.05 } else { 0.0051 };
            assert!((got - one.quoted).abs() < allowed, "{}: {got}", one.name);
        }
    }

    #[test]
    fn names_are_told_apart() {
        let all = published_spectra().unwrap();
        for (i, one) in all.iter().enumerate() {
            assert!(all[..i].iter().all(|other| other.name != one.name));
        }
    }
}
