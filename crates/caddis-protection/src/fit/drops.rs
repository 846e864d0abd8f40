//! Drop tests of one foam: first and later impacts fitted apart, with what limits them.

use super::{FitError, StressEnergyFit};
use crate::{LawRange, THIN_FOAM};
use caddis_basis::{
    Acceleration, Certainty, Density, Domain, Finding, Length, Margin, Pressure, Said, Severity, Source, said,
};

/// One drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropTest {
    /// Density of the specimen.
    pub density: Density,
    /// Thickness of the cushion.
    pub thickness: Length,
    /// Height of fall.
    pub height: Length,
    /// Weight over bearing area.
    pub static_stress: Pressure,
    /// Peak acceleration, filtered as the test method asks.
    pub peak: Acceleration,
    /// Which impact on that specimen, from 1.
    pub impact: u32,
}

/// What the drops of one foam give.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamFit {
    /// Mean density.
    pub density: Density,
    /// The fit of first impacts.
    pub first: StressEnergyFit,
    /// Rows of the first impacts (indices into the tests), in the order of the fit.
    pub first_rows: Vec<usize>,
    /// Where first impacts were tested.
    pub first_range: LawRange,
    /// The fit of later impacts with its rows and range, where there are enough.
    pub later: Option<(StressEnergyFit, Vec<usize>, LawRange)>,
    /// Whether the first impacts are as many as published work asks for: then the law may count as measured.
    pub is_enough: bool,
    /// The same of the later impacts.
    pub is_enough_later: bool,
    /// What is weak.
    pub findings: Vec<Finding>,
}

/// Drops and energies that suffice.
///
/// # Source
/// Clemson University, `all_theses/135`, abstract: 15 samples (5 replicates at 3 energy levels) suffice (published).
const ENOUGH: (usize, usize) = (15, 3);
/// Above this density stress-energy fits were found limited, kg/m³.
///
/// # Source
/// Clemson University, `all_theses/135`, abstract: 2.2 lb/ft³ for the materials used (published).
const DENSE: f64 = 2.2 * 16.018_463;
/// Densities that differ by more than this share are of two foams (common practice, no source).
const DENSITY_SHARE: f64 = 0.10;
/// Energies closer than this share are one level.
const LEVEL_SHARE: f64 = 0.05;
/// A scatter above this is pointed out (common practice, no source).
const LARGE_SCATTER: f64 = 0.10;

/// Fits the drops of one foam.
///
/// # Errors
/// A row with a value that is not positive; first impacts that make no line. Later impacts that make none are left out,
/// and a finding says so.
///
/// # Source
/// Stress-energy method: ln(G s) = ln a + b s h/t (from memory: Burgess, Daum; abstracts of Clemson theses 135 and 839
/// read).
pub fn fit_drops(tests: &[DropTest]) -> Result<FoamFit, FitError> {
    for (row, test) in tests.iter().enumerate() {
        for (what, value) in [
            ("density", test.density.si()),
            ("thickness", test.thickness.si()),
            ("drop height", test.height.si()),
            ("static stress", test.static_stress.si()),
            ("peak acceleration", test.peak.si()),
            ("impact number", f64::from(test.impact)),
        ] {
            if !(value.is_finite() && value > 0.0) {
                return Err(FitError::Row {
                    row,
                    problem: format!("the {what} is not above zero"),
                });
            }
        }
    }
    let rows = |wanted: &dyn Fn(u32) -> bool| -> Vec<usize> {
        (0..tests.len()).filter(|&i| wanted(tests[i].impact)).collect()
    };
    let first_rows = rows(&|impact| impact == 1);
    let later_rows = rows(&|impact| impact > 1);
    if first_rows.is_empty() {
        return Err(FitError::Rows(
            "no row is a first impact; number impacts from 1 on each specimen".to_owned(),
        ));
    }
    let first = StressEnergyFit::of(&pairs(tests, &first_rows))?;
    let first_range = range(tests, &first_rows);
    let is_enough = is_enough(tests, &first_rows);
    let density = tests.iter().map(|t| t.density.si()).sum::<f64>() / tests.len() as f64;
    let mut findings = Vec::new();
    set_findings(tests, density, &mut findings);
    fit_findings(&said!("first"), &first, tests, &first_rows, &mut findings);
    let mut later = None;
    let mut is_enough_later = false;
    if later_rows.is_empty() {
        findings.push(
            finding(
                "no-later-impacts",
                Severity::Caution,
                said!("no row is a later impact: a case that is used again has no data of its own"),
                Source::derived(said!("impact numbers of the rows")),
            )
            .remedy(said!("drop the same specimens on, and number the impacts")),
        );
    } else {
        match StressEnergyFit::of(&pairs(tests, &later_rows)) {
            Ok(fit) => {
                fit_findings(&said!("later"), &fit, tests, &later_rows, &mut findings);
                is_enough_later = self::is_enough(tests, &later_rows);
                let range = range(tests, &later_rows);
                later = Some((fit, later_rows, range));
            }
            Err(error) => findings.push(
                finding(
                    "later-impacts-not-fitted",
                    Severity::Caution,
                    said!(
                        "{count} later impacts make no law: {error}",
                        count = later_rows.len(),
                        error = error.to_string()
                    ),
                    Source::derived(said!("least squares")),
                )
                .remedy(said!("test later impacts at three energies")),
            ),
        }
    }
    Ok(FoamFit {
        density: Density::from_si(density),
        first,
        first_rows,
        first_range,
        later,
        is_enough,
        is_enough_later,
        findings,
    })
}

/// (s h/t, G s) of rows, Pa.
fn pairs(tests: &[DropTest], rows: &[usize]) -> Vec<(f64, f64)> {
    rows.iter()
        .map(|&row| {
            let test = &tests[row];
            let s = test.static_stress.si();
            (s * (test.height / test.thickness), s * test.peak.as_g())
        })
        .collect()
}

fn range(tests: &[DropTest], rows: &[usize]) -> LawRange {
    let over = |of: fn(&DropTest) -> f64| {
        Some(
            rows.iter()
                .map(|&row| of(&tests[row]))
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                    (low.min(v), high.max(v))
                }),
        )
    };
    LawRange {
        static_stress: over(|t| t.static_stress.si()),
        // Set by the fit.
        greatest_strain: f64::NAN,
        thickness: over(|t| t.thickness.si()),
        drop_height: over(|t| t.height.si()),
    }
}

/// Number of energies further apart than a level's share.
fn levels(tests: &[DropTest], rows: &[usize]) -> usize {
    let mut energies: Vec<f64> = pairs(tests, rows).into_iter().map(|p| p.0).collect();
    energies.sort_by(f64::total_cmp);
    let mut levels = 0;
    let mut start = 0.0;
    for energy in energies {
        if levels == 0 || energy > start * (1.0 + LEVEL_SHARE) {
            levels += 1;
            start = energy;
        }
    }
    levels
}

fn is_enough(tests: &[DropTest], rows: &[usize]) -> bool {
    rows.len() >= ENOUGH.0 && levels(tests, rows) >= ENOUGH.1
}

fn finding(code: &'static str, severity: Severity, sentence: Said, source: Source) -> Finding {
    Finding::new(
        code,
        Domain::Protection,
        severity,
        said!("drop tests"),
        sentence,
        source,
    )
}

fn clemson(number: u32, words: &str) -> Source {
    Source::new(
        format!("Clemson University, all_theses/{number}, abstract: {words}"),
        Certainty::Published,
    )
}

/// What the whole set says.
fn set_findings(tests: &[DropTest], density: f64, findings: &mut Vec<Finding>) {
    let off = tests
        .iter()
        .map(|t| (t.density.si() / density - 1.0).abs())
        .fold(0.0, f64::max);
    if off > DENSITY_SHARE {
        findings.push(
            finding(
                "densities-differ",
                Severity::Caution,
                said!(
                    "densities lie up to {share:.0} % from their mean: is this one foam?",
                    share = off * 100.0
                ),
                Source::common_practice(),
            )
            .margin(Margin::at_most(off * 100.0, DENSITY_SHARE * 100.0, "%"))
            .remedy(said!("one file for each foam")),
        );
    }
    if density > DENSE {
        findings.push(
            finding(
                "dense-for-stress-energy",
                Severity::Caution,
                said!("at {density:.0} kg/m³ the foam is denser than those for which one line was found to hold all thicknesses \
                     and heights", density),
                clemson(135, "the method is limited above 2.2 lb/ft³ for the materials used"),
            )
            .margin(Margin::at_most(density, DENSE, "kg/m³"))
            .remedy(said!("enter measured cushion curves instead")),
        );
    }
    let thinnest = tests
        .iter()
        .map(|t| t.thickness.si())
        .fold(f64::INFINITY, f64::min);
    if thinnest < THIN_FOAM.si() * (1.0 - 1e-6) {
        findings.push(
            finding(
                "thin-foam-tested",
                Severity::Caution,
                said!(
                    "cushions from {thickness} are among the tests: curves of thin foam differ from those of thicker",
                    thickness = Length::from_si(thinnest)
                ),
                clemson(839, "foams thinner than one inch differ statistically"),
            )
            .margin(Margin::at_least(thinnest * 1e3, THIN_FOAM.as_mm(), "mm"))
            .remedy(said!("fit thin foam apart from thick")),
        );
    }
}

/// What one fit says.
fn fit_findings(
    which: &Said,
    fit: &StressEnergyFit,
    tests: &[DropTest],
    rows: &[usize],
    findings: &mut Vec<Finding>,
) {
    if !is_enough(tests, rows) {
        let levels = levels(tests, rows);
        findings.push(
            finding(
                "few-drop-tests",
                Severity::Caution,
                said!(
                    "{count} {which} impacts at {levels} energies: published work asks for {wanted} at {energies}; what rests on them is indicative",
                    count = rows.len(),
                    wanted = ENOUGH.0,
                    energies = ENOUGH.1,
                    which,
                    levels
                ),
                clemson(135, "15 samples, 5 replicates at 3 energy levels, suffice"),
            )
            .margin(Margin::at_least(rows.len() as f64, ENOUGH.0 as f64, "drops"))
            .remedy(said!("five drops at each of three energies s h/t")),
        );
    }
    if fit.scatter > LARGE_SCATTER {
        findings.push(
            finding(
                "scatter-large",
                Severity::Caution,
                said!(
                    "{which} impacts scatter by {share:.0} % about the line",
                    share = fit.scatter * 100.0,
                    which
                ),
                Source::common_practice(),
            )
            .margin(Margin::at_most(fit.scatter * 100.0, LARGE_SCATTER * 100.0, "%"))
            .remedy(said!(
                "look at the outliers, the filter and the specimens' history"
            )),
        );
    }
    let end = fit.densification_strain();
    if !(0.5..=1.0).contains(&end) {
        let margin = if end > 1.0 {
            Margin::at_most(end, 1.0, "")
        } else {
            Margin::at_least(end, 0.5, "")
        };
        findings.push(
            finding(
                "densification-strain-odd",
                Severity::Caution,
                said!(
                    "the line of {which} impacts would crush the foam solid at a strain of {end:.2}; foam gets there below 1",
                    which,
                    end
                ),
                Source::derived(said!("strain 1/(a b) of the equivalent law")),
            )
            .margin(margin)
            .remedy(said!("check units, and test at higher energies")),
        );
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn test(mm: f64, height: f64, kpa: f64, impact: u32, off: f64) -> DropTest {
        let s = kpa * 1e3;
        let a = if impact == 1 { 3e4 } else { 3.4e4 };
        let peak = a / s * (3.5e-5 * s * height / mm).exp() * off;
        DropTest {
            density: Density::from_si(30.0),
            thickness: Length::mm(mm),
            height: Length::mm(height),
            static_stress: Pressure::kpa(kpa),
            peak: Acceleration::g(peak),
            impact,
        }
    }

    fn tests() -> Vec<DropTest> {
        let mut out = Vec::new();
        for (i, kpa) in [1.0, 2.0, 3.0].into_iter().enumerate() {
            for k in 0..5 {
                let off = 1.0 + 0.01 * f64::from(k - 2) + 0.003 * i as f64;
                out.push(test(50.0, 600.0, kpa, 1, off));
                out.push(test(50.0, 600.0, kpa, 2, off));
            }
        }
        out
    }

    #[test]
    fn first_and_later_impacts_are_fitted_apart() {
        let fit = fit_drops(&tests()).unwrap();
        let (later, rows, _) = fit.later.as_ref().unwrap();
        assert_eq!((fit.first.count, later.count, rows.len()), (15, 15, 15));
        assert!((fit.first.a / 3e4 - 1.0).abs() < 0.02 && (later.a / 3.4e4 - 1.0).abs() < 0.02);
        assert!(fit.is_enough && fit.findings.is_empty(), "{:?}", fit.findings);
        assert_eq!(fit.first_range.static_stress, Some((1e3, 3e3)));
    }

    #[test]
    fn weak_sets_say_so() {
        let few: Vec<DropTest> = tests().into_iter().filter(|t| t.impact == 1).take(9).collect();
        let fit = fit_drops(&few).unwrap();
        let codes: Vec<_> = fit.findings.iter().map(|f| f.code).collect();
        assert!(
            codes.contains(&"few-drop-tests") && codes.contains(&"no-later-impacts"),
            "{codes:?}"
        );
        assert!(!fit.is_enough);
        let mut mixed = tests();
        mixed[0].density = Density::from_si(60.0);
        mixed[1].thickness = Length::mm(20.0);
        let codes: Vec<_> = fit_drops(&mixed)
            .unwrap()
            .findings
            .iter()
            .map(|f| f.code)
            .collect();
        assert!(
            codes.contains(&"densities-differ") && codes.contains(&"thin-foam-tested"),
            "{codes:?}"
        );
        let mut bad = tests();
        bad[4].peak = Acceleration::ZERO;
        assert!(matches!(fit_drops(&bad), Err(FitError::Row { row: 4, .. })));
    }
}
