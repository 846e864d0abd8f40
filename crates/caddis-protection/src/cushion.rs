//! The cushion curve of a law: peak G against static stress, and the law's optimum.

use crate::root::place_of_peak;
use crate::size::law_size_with_full_area;
use crate::{CushionCurves, Law, LawError, LawKind, SizeRequest, WorkingPoint};
use caddis_basis::{Acceleration, Length, Pressure, STANDARD_GRAVITY, Speed};

/// Speed at the end of a free fall.
///
/// # Source
/// v = sqrt(2 g h), derived (also read as code in a public vibration toolbox).
pub fn impact_speed(height: Length) -> Speed {
    Speed::from_si((2.0 * STANDARD_GRAVITY * height.si().max(0.0)).sqrt())
}

/// Change of speed of a fall that rebounds with `restitution` times the speed it landed with (0 to 1).
///
/// # Source
/// dV = (1 + e) sqrt(2 g h), derived.
pub fn velocity_change(height: Length, restitution: f64) -> Speed {
    impact_speed(height) * (1.0 + restitution.clamp(0.0, 1.0))
}

/// The free fall that changes the speed as much, landing with `restitution` (0 to 1).
///
/// # Source
/// h = dV² / (2 g (1 + e)²), derived: the inverse of [`velocity_change`].
pub fn equivalent_height(change: Speed, restitution: f64) -> Length {
    let landing = change.si() / (1.0 + restitution.clamp(0.0, 1.0));
    Length::from_si(landing * landing / (2.0 * STANDARD_GRAVITY))
}

/// Where a law cushions best: the least cushion factor within its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Optimum {
    /// Strain.
    pub strain: f64,
    /// Stress there. Divided by the limit in G it is the best static stress.
    pub stress: Pressure,
    /// Energy per volume there, J/m³.
    pub energy: f64,
    /// Cushion factor there.
    pub cushion_factor: f64,
    /// True when the factor is still falling at the greatest strain of the range: the data stop before the optimum.
    pub is_at_end_of_range: bool,
}

/// One point of a cushion curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CushionPoint {
    /// Weight over bearing area.
    pub static_stress: Pressure,
    /// Peak acceleration.
    pub peak: Acceleration,
    /// Strain reached.
    pub strain: f64,
    /// Whether static stress, thickness, height and strain lie inside the law's range.
    pub is_in_range: bool,
}

impl Law {
    /// The least cushion factor within the law's range.
    ///
    /// # Accuracy
    /// Stress-energy: exact. Others: the factor to rounding, its strain to about 1e-8.
    ///
    /// # Source
    /// Derived. Stress-energy: C = a b e at strain (1 - 1/e)/(a b). Others: numerical minimum of sigma/w.
    pub fn optimum(&self) -> Optimum {
        let greatest = self.range.greatest_strain;
        if let LawKind::CushionCurves(curves) = &self.kind {
            return self.best_of(curves);
        }
        let strain = match &self.kind {
            LawKind::StressEnergy { a, b } => ((1.0 - (-1.0_f64).exp()) / (a * b)).min(greatest),
            _ => place_of_peak(0.0, greatest, &self.corners(), |e| {
                let stress = self.peak_stress(e);
                if stress > 0.0 {
                    self.energy(e) / stress
                } else {
                    f64::NEG_INFINITY
                }
            }),
        };
        Optimum {
            strain,
            stress: Pressure::from_si(self.peak_stress(strain)),
            energy: self.energy(strain),
            cushion_factor: self.cushion_factor(strain),
            is_at_end_of_range: strain >= greatest * (1.0 - 1e-9),
        }
    }

    /// The best of a family's measured curves: the one with the least cushion factor C = G t/h.
    fn best_of(&self, curves: &CushionCurves) -> Optimum {
        let mut best = Optimum {
            strain: self.range.greatest_strain,
            stress: Pressure::ZERO,
            energy: f64::NAN,
            cushion_factor: f64::INFINITY,
            is_at_end_of_range: true,
        };
        for curve in curves.curves() {
            if let Ok(law) = self.at(curve.height, curve.thickness) {
                let found = law.optimum();
                if found.cushion_factor < best.cushion_factor {
                    best = found;
                }
            }
        }
        best
    }

    /// The static stress at which a thickness cushions best from a height, and the peak there.
    ///
    /// # Errors
    /// As [`Law::cushion_point`]; no static stress in the law's range is stopped.
    ///
    /// # Accuracy
    /// The peak to about 1e-6 of itself, the static stress to about 1e-3: the curve is flat there.
    ///
    /// # Source
    /// Derived: the least of the cushion curve; for a stress-energy fit s = t/(b h) where its range allows it.
    pub fn best_static_stress(&self, height: Length, thickness: Length) -> Result<CushionPoint, LawError> {
        let law = self.at(height, thickness)?;
        let strain_end = law.range.greatest_strain;
        // Each strain of the range is one static stress: s h = (w - pull e) t with the pull of gravity where it counts.
        let stress_at = |strain: f64| {
            let fall = height.si()
                + if law.gravity_in_fit {
                    0.0
                } else {
                    strain * thickness.si()
                };
            law.energy(strain) * thickness.si() / fall
        };
        let inside = |stress: f64| {
            law.range
                .static_stress
                .is_none_or(|(low, high)| stress >= low * (1.0 - 1e-9) && stress <= high * (1.0 + 1e-9))
        };
        let strain = place_of_peak(0.0, strain_end, &law.corners(), |strain| {
            let stress = stress_at(strain);
            let peak = law.peak_stress(strain) / stress;
            if stress > 0.0 && peak > 0.0 && inside(stress) {
                -peak
            } else {
                f64::NEG_INFINITY
            }
        });
        let mut stress = stress_at(strain);
        if let Some((low, high)) = law.range.static_stress {
            stress = stress.clamp(low, high);
        }
        law.cushion_point(Pressure::from_si(stress), height, thickness)
    }

    /// The least thickness with which a static stress is held to a limit inside the law's range.
    ///
    /// # Errors
    /// A law that is none; a value that is not positive; [`LawError::NoThickness`] when no thickness up to 1 m, or none
    /// that a family of curves was measured at, does it.
    ///
    /// # Source
    /// Derived: t = s h / (w(e) - s e) at the strain where sigma(e) = G s, the s e term left out when the fit contains
    /// gravity's work.
    pub fn thickness_for(
        &self,
        static_stress: Pressure,
        height: Length,
        limit: Acceleration,
    ) -> Result<Length, LawError> {
        let foam_area = caddis_basis::Area::from_si(1.0);
        let request = SizeRequest {
            mass: caddis_basis::Mass::from_si(static_stress.si() / STANDARD_GRAVITY),
            area: foam_area,
            height,
            limit: Some(limit),
            least: Length::ZERO,
        };
        Ok(law_size_with_full_area(self, &request)?.thickness)
    }

    /// Peak acceleration of a flat drop on one thickness of foam.
    ///
    /// # Errors
    /// As [`Law::cushion_point`].
    ///
    /// # Example
    /// ```
    /// use caddis_basis::{Certainty, Length, Pressure, Source};
    /// use caddis_protection::{Law, LawKind, LawRange};
    ///
    /// let law = Law {
    ///     kind: LawKind::StressEnergy { a: 3e4, b: 3.5e-5 },
    ///     range: LawRange { static_stress: None, greatest_strain: 0.8, thickness: None, drop_height: None },
    ///     gravity_in_fit: true,
    ///     is_measured_dynamic: false,
    ///     source: Source::new("invented, no material", Certainty::Invented),
    /// };
    /// let peak = law.peak_g(Pressure::kpa(2.0), Length::mm(600.0), Length::mm(50.0))?;
    /// assert_eq!(peak.to_string(), "34.7 G");
    /// # Ok::<(), caddis_protection::LawError>(())
    /// ```
    pub fn peak_g(
        &self,
        static_stress: Pressure,
        height: Length,
        thickness: Length,
    ) -> Result<Acceleration, LawError> {
        Ok(self.cushion_point(static_stress, height, thickness)?.peak)
    }

    /// The point of the cushion curve at one static stress.
    ///
    /// The balance is s h = w(e) t when the law's fit already contains gravity's work in the stroke, else
    /// s (h + e t) = w(e) t; the peak is G = sigma(e)/s.
    ///
    /// # Errors
    /// A law that is none; a static stress, height or thickness that is not positive; the foam bottoms.
    ///
    /// # Source
    /// Derived from energy balance; for a stress-energy fit it is G = (a/s) exp(b s h/t) again.
    pub fn cushion_point(
        &self,
        static_stress: Pressure,
        height: Length,
        thickness: Length,
    ) -> Result<CushionPoint, LawError> {
        self.check()?;
        for (what, value) in [
            ("static stress", static_stress.si()),
            ("drop height", height.si()),
            ("thickness", thickness.si()),
        ] {
            if !(value.is_finite() && value > 0.0) {
                return Err(LawError::Settings(format!(
                    "{what} must be above zero, not {value} in SI units"
                )));
            }
        }
        let s = static_stress.si();
        // A family's own reading stands; its table serves for the strain. Says what was not measured, too.
        let read = match &self.kind {
            LawKind::CushionCurves(curves) => Some(curves.peak_g(static_stress, height, thickness)?),
            _ => None,
        };
        let law = self.at(height, thickness)?;
        let strain = law
            .strain_at_balance(s * height.si() / thickness.si(), law.pull(s))
            .ok_or(LawError::Bottoms)?;
        let peak = Acceleration::g(read.unwrap_or_else(|| law.peak_stress(strain) / s));
        if !peak.is_finite() {
            return Err(LawError::Bottoms);
        }
        let point = WorkingPoint {
            static_stress,
            thickness,
            height,
            strain,
        };
        Ok(CushionPoint {
            static_stress,
            peak,
            strain,
            is_in_range: law.range.outside(&point).is_empty(),
        })
    }

    /// The cushion curve at one thickness and height, one point for each static stress; stresses at which the foam
    /// is crushed solid, or that a family was not measured at, are left out.
    ///
    /// # Errors
    /// As [`Law::cushion_point`], except bottoming.
    pub fn cushion_curve(
        &self,
        thickness: Length,
        height: Length,
        static_stresses: &[Pressure],
    ) -> Result<Vec<CushionPoint>, LawError> {
        let mut points = Vec::with_capacity(static_stresses.len());
        for &static_stress in static_stresses {
            match self.cushion_point(static_stress, height, thickness) {
                Ok(point) => points.push(point),
                Err(LawError::Bottoms | LawError::Outside(_)) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(points)
    }

    /// The static stress whose work in the stroke is still to be counted: none when the fit contains it.
    pub(crate) fn pull(&self, static_stress: f64) -> f64 {
        if self.gravity_in_fit { 0.0 } else { static_stress }
    }
}
