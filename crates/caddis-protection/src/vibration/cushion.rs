//! How stiff a loaded cushion is to small motion: measured dynamic data, or not known.
//!
//! The laws that size a cushion for a fall start at a finite stress: they have no tangent there and give no natural
//! frequency. What does is a measurement under the static load: a dynamic modulus, or a natural frequency with its
//! amplification from a vibration test. Both become the apparent modulus here. It is read between the measured static
//! stresses only, and at thicknesses the data cover.

use super::{Oscillator, VibrationError};
use caddis_basis::{Frequency, Length, Pressure, STANDARD_GRAVITY, Said, Source, said};
use std::f64::consts::TAU;

/// The usual natural frequency of an item on closed-cell foam.
///
/// # Source
/// Common practice, no source.
pub const USUAL_NATURAL_FREQUENCY: (Frequency, Frequency) =
    (Frequency::from_si(15.0), Frequency::from_si(60.0));
/// The usual amplification of such a cushion at its resonance.
///
/// # Source
/// Common practice, no source.
pub const USUAL_AMPLIFICATION: (f64, f64) = (3.0, 10.0);

/// The usual range in words.
pub fn usual_range_words() -> Said {
    said!(
        "usually {low:.0} to {high:.0}, {low_times:.0} to {high_times:.0} times at resonance: common practice, no source",
        low = USUAL_NATURAL_FREQUENCY.0,
        high = USUAL_NATURAL_FREQUENCY.1,
        low_times = USUAL_AMPLIFICATION.0,
        high_times = USUAL_AMPLIFICATION.1
    )
}

/// One measured state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CushionRow {
    /// Static stress of the test.
    pub static_stress: Pressure,
    /// Dynamic modulus of the loaded cushion for small motion.
    pub modulus: Pressure,
    /// Fraction of critical damping.
    pub damping: f64,
}

impl CushionRow {
    /// From a vibration test: natural frequency and amplification of a mass on a cushion of this thickness.
    ///
    /// # Errors
    /// A value that makes no oscillator; a static stress or thickness not above zero.
    ///
    /// # Source
    /// k = E A/t and m = s A/g, so E = (2 pi f)² s t/g; derived.
    pub fn of_test(
        static_stress: Pressure,
        thickness: Length,
        natural: Frequency,
        amplification: f64,
    ) -> Result<Self, VibrationError> {
        let oscillator = Oscillator::of_amplification(natural, amplification)?;
        let omega = TAU * natural.si();
        Ok(Self {
            static_stress,
            modulus: static_stress * (omega * omega * thickness.si() / STANDARD_GRAVITY),
            damping: oscillator.damping,
        })
    }
}

/// Measured dynamic data of a foam.
#[derive(Debug, Clone, PartialEq)]
pub struct CushionVibration {
    rows: Vec<CushionRow>,
    thickness: (Length, Length),
    /// Whose measurement.
    pub source: Source,
}

/// Why a natural frequency is not known.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotKnown {
    /// The working point lies outside the data; nothing is extrapolated.
    #[error("{0}")]
    OutsideData(Said),
}

impl CushionVibration {
    /// From rows of rising static stress, measured at thicknesses from the first to the second.
    ///
    /// # Errors
    /// No row; a stress that does not rise; a value that is not above zero; damping not below 1; a range upside down.
    pub fn new(
        rows: Vec<CushionRow>,
        thickness: (Length, Length),
        source: Source,
    ) -> Result<Self, VibrationError> {
        let complain = |words: String| Err(VibrationError::Settings(words));
        if rows.is_empty() {
            return complain("vibration data need at least one row".to_owned());
        }
        for (index, row) in rows.iter().enumerate() {
            let good = |v: f64| v.is_finite() && v > 0.0;
            if !(good(row.static_stress.si())
                && good(row.modulus.si())
                && good(row.damping)
                && row.damping < 1.0)
            {
                return complain(format!(
                    "row {}: static stress {}, modulus {} and damping {} must be above zero, damping below 1",
                    index + 1,
                    row.static_stress,
                    row.modulus,
                    row.damping
                ));
            }
            if index > 0 && row.static_stress <= rows[index - 1].static_stress {
                return complain(format!(
                    "row {}: static stress {} does not rise over {}",
                    index + 1,
                    row.static_stress,
                    rows[index - 1].static_stress
                ));
            }
        }
        let (low, high) = thickness;
        if !(low.is_finite() && high.is_finite() && low.si() > 0.0 && low <= high) {
            return complain(format!("thickness from {low} to {high} is upside down"));
        }
        Ok(Self {
            rows,
            thickness,
            source,
        })
    }

    /// The rows.
    pub fn rows(&self) -> &[CushionRow] {
        &self.rows
    }

    /// The thicknesses measured.
    pub fn thickness(&self) -> (Length, Length) {
        self.thickness
    }

    /// The item on its cushion at a static stress and thickness: straight lines between rows in log stress.
    ///
    /// # Errors
    /// Outside the rows' stresses or the thicknesses measured.
    ///
    /// # Source
    /// f = sqrt(E g/(s t))/(2 pi), from k = E A/t and m = s A/g; derived.
    pub fn oscillator(&self, static_stress: Pressure, thickness: Length) -> Result<Oscillator, NotKnown> {
        let outside = |words: Said| Err(NotKnown::OutsideData(words));
        let slack = 1.0 + 1e-9;
        let (thin, thick) = self.thickness;
        if thickness < thin / slack || thickness > thick * slack {
            return outside(said!(
                "thickness {thickness} is outside the vibration data's {thin} to {thick}",
                thickness,
                thin,
                thick
            ));
        }
        let (first, last) = (self.rows[0], self.rows[self.rows.len() - 1]);
        if static_stress < first.static_stress / slack || static_stress > last.static_stress * slack {
            return outside(said!(
                "static stress {static_stress} is outside the vibration data's {low} to {high}",
                low = first.static_stress,
                high = last.static_stress,
                static_stress
            ));
        }
        let after = self.rows.partition_point(|row| row.static_stress < static_stress);
        let high = self.rows[after.min(self.rows.len() - 1)];
        let low = self.rows[after.saturating_sub(1)];
        let share = if high.static_stress > low.static_stress {
            ((static_stress / low.static_stress).ln() / (high.static_stress / low.static_stress).ln())
                .clamp(0.0, 1.0)
        } else {
            0.0
        };
        let between = |a: f64, b: f64| a + (b - a) * share;
        let modulus = between(low.modulus.si(), high.modulus.si());
        let omega = (modulus * STANDARD_GRAVITY / (static_stress.si() * thickness.si())).sqrt();
        Ok(Oscillator {
            natural: Frequency::from_si(omega / TAU),
            damping: between(low.damping, high.damping),
        })
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::Certainty;
    use proptest::prelude::*;

    fn source() -> Source {
        Source::new("invented for a test", Certainty::Invented)
    }

    fn row(kpa: f64, modulus: f64) -> CushionRow {
        CushionRow {
            static_stress: Pressure::kpa(kpa),
            modulus: Pressure::kpa(modulus),
            damping: 0.1,
        }
    }

    #[test]
    fn a_static_deflection_gives_the_handbook_frequency() {
        // E = s t/d: k d = m g, so 10 mm of deflection is 4.98403 Hz.
        let thickness = Length::mm(50.0);
        let data = CushionVibration::new(
            vec![row(4.0, 4.0 * 50.0 / 10.0)],
            (thickness, thickness),
            source(),
        );
        let o = data.unwrap().oscillator(Pressure::kpa(4.0), thickness).unwrap();
        assert!((o.natural.si() - 4.984_03).abs() < 1e-5, "{o:?}");
    }

    #[test]
    fn nothing_is_extrapolated() {
        let data = CushionVibration::new(
            vec![row(2.0, 300.0), row(6.0, 400.0)],
            (Length::mm(40.0), Length::mm(60.0)),
            source(),
        )
        .unwrap();
        let ask = |kpa, mm| data.oscillator(Pressure::kpa(kpa), Length::mm(mm));
        assert!(ask(2.0, 40.0).is_ok() && ask(6.0, 60.0).is_ok() && ask(3.0, 50.0).is_ok());
        assert!(ask(1.9, 50.0).unwrap_err().to_string().contains("static stress"));
        assert!(ask(6.1, 50.0).is_err());
        assert!(ask(3.0, 39.0).unwrap_err().to_string().contains("thickness"));
        assert!(ask(3.0, 61.0).is_err());
    }

    #[test]
    fn rows_that_make_no_sense_are_refused() {
        let thickness = (Length::mm(40.0), Length::mm(60.0));
        assert!(CushionVibration::new(vec![], thickness, source()).is_err());
        assert!(CushionVibration::new(vec![row(2.0, 300.0), row(2.0, 400.0)], thickness, source()).is_err());
        assert!(CushionVibration::new(vec![row(2.0, -1.0)], thickness, source()).is_err());
        assert!(
            CushionVibration::new(
                vec![row(2.0, 1.0)],
                (Length::mm(60.0), Length::mm(40.0)),
                source()
            )
            .is_err()
        );
    }

    proptest! {
        #[test]
        fn a_test_gives_back_its_own_frequency(
            kpa in 0.5..10.0_f64, mm in 20.0..100.0_f64, natural in 5.0..100.0_f64, q in 1.5..20.0_f64,
        ) {
            let (stress, thickness) = (Pressure::kpa(kpa), Length::mm(mm));
            let row = CushionRow::of_test(stress, thickness, Frequency::from_si(natural), q).unwrap();
            let data = CushionVibration::new(vec![row], (thickness, thickness), source()).unwrap();
            let o = data.oscillator(stress, thickness).unwrap();
            prop_assert!((o.natural.si() / natural - 1.0).abs() < 1e-9);
            prop_assert!((o.amplification() / q - 1.0).abs() < 1e-9);
        }
    }
}
