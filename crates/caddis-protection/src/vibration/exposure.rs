//! Time at risk: how long an item's own resonance is past what it stands.
//!
//! A part inside the item (a board, a mirror mount) is an oscillator on the item, which is an oscillator on its cushion,
//! which the vehicle moves. Its response is taken as Gaussian; the time past a limit is then a share of the time under way.

use super::{Oscillator, RandomResponse, Spectrum, VibrationError};
use caddis_basis::{Acceleration, Duration, Frequency, Source};
use std::f64::consts::SQRT_2;

/// A resonance inside an item, as its maker or a survey states it.
#[derive(Debug, Clone, PartialEq)]
pub struct Resonance {
    /// Its frequency.
    pub frequency: Frequency,
    /// Amplification there.
    pub amplification: f64,
    /// Acceleration the part stands, if stated.
    pub limit: Option<Acceleration>,
    /// Who states it.
    pub source: Source,
}

/// What a resonance sees on one leg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// What the cushion makes of vibration at the resonance: above 1 it amplifies.
    pub cushion_passes: f64,
    /// Level of the part's acceleration.
    pub level: Acceleration,
    /// Cycles at the resonance over the leg.
    pub cycles: f64,
    /// Time past the limit, either way; `None` without a limit.
    pub at_risk: Option<Duration>,
}

impl Exposure {
    /// Three times the level, as [`RandomResponse::design_peak`].
    pub fn design_peak(&self) -> Acceleration {
        self.level * 3.0
    }
}

impl Resonance {
    fn part(&self) -> Result<Oscillator, VibrationError> {
        Oscillator::of_amplification(self.frequency, self.amplification)
    }
}

/// The exposure of a resonance on an item on its cushion, for as long as a leg lasts.
///
/// # Accuracy
/// The part is light beside its item and does not act back; the item is rigid but for it.
///
/// # Errors
/// A resonance that makes no oscillator.
///
/// # Source
/// Densities multiply along the chain (T² each); share of time beyond ± a limit for a Gaussian response is
/// erfc(limit/(level sqrt 2)); textbook.
pub fn exposure(
    resonance: &Resonance,
    cushion: &Oscillator,
    spectrum: &Spectrum,
    time: Duration,
) -> Result<Exposure, VibrationError> {
    let part = resonance.part()?;
    let square = spectrum.integrate(&[cushion.sharp(), part.sharp()], |f| {
        let f = Frequency::from_si(f);
        (cushion.transmissibility(f) * part.transmissibility(f)).powi(2)
    });
    let level = Acceleration::from_si(square.sqrt());
    Ok(Exposure {
        cushion_passes: cushion.transmissibility(resonance.frequency),
        level,
        cycles: resonance.frequency.si() * time.si(),
        at_risk: resonance.limit.map(|limit| {
            let share = if level.si() > 0.0 {
                libm::erfc(limit / level / SQRT_2)
            } else {
                0.0
            };
            time * share
        }),
    })
}

impl RandomResponse {
    /// Time past an acceleration, either way.
    ///
    /// # Source
    /// As [`exposure`].
    pub fn time_past(&self, limit: Acceleration, time: Duration) -> Duration {
        time * libm::erfc(limit / self.level / SQRT_2)
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::Certainty;

    fn resonance(frequency: f64, limit: f64) -> Resonance {
        Resonance {
            frequency: Frequency::from_si(frequency),
            amplification: 20.0,
            limit: Some(Acceleration::g(limit)),
            source: Source::new("test", Certainty::Invented),
        }
    }

    fn ask(frequency: f64, limit: f64) -> Exposure {
        let spectrum = Spectrum::in_g(
            caddis_basis::Said::name("flat"),
            Source::new("test", Certainty::Invented),
            &[(1.0, 0.01), (500.0, 0.01)],
        )
        .unwrap();
        let cushion = Oscillator {
            natural: Frequency::from_si(20.0),
            damping: 0.1,
        };
        exposure(
            &resonance(frequency, limit),
            &cushion,
            &spectrum,
            Duration::from_si(3600.0),
        )
        .unwrap()
    }

    #[test]
    fn a_resonance_on_the_cushion_s_own_is_worst() {
        let (on, above) = (ask(20.0, 10.0), ask(120.0, 10.0));
        assert!(on.cushion_passes > 5.0 && above.cushion_passes < 0.1);
        assert!(on.level > above.level * 5.0, "{on:?} {above:?}");
        assert!(on.at_risk.unwrap() > above.at_risk.unwrap());
        assert!((on.cycles - 72_000.0).abs() < 1e-6);
    }

    #[test]
    fn a_third_of_the_time_lies_past_one_level() {
        let level = ask(40.0, 1.0).level.as_g();
        let found = ask(40.0, level).at_risk.unwrap().si() / 3600.0;
        assert!((found - 0.317_310_5).abs() < 1e-6, "{found}");
        let found = ask(40.0, 3.0 * level).at_risk.unwrap().si() / 3600.0;
        assert!((found - 0.002_699_8).abs() < 1e-6, "{found}");
        let none = Resonance {
            limit: None,
            amplification: 0.5,
            ..resonance(10.0, 1.0)
        };
        assert!(none.part().is_err());
    }
}
