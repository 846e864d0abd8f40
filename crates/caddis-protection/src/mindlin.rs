//! Mindlin's closed forms for a mass dropped on one cushion: the outside check of every drop this crate computes.
//!
//! R. D. Mindlin, "Dynamics of Package Cushioning", Bell System Technical Journal 24, July-October 1945, pp. 353-461.
//! Read there (published): d = 2 h / G for the linear cushion (p. 369-370). The other forms are from memory as his, and
//! derived again here from energy balance. Gravity's work in the stroke is left out, as he does, except where the name
//! says otherwise.

use crate::LawError;
use caddis_basis::{Acceleration, Duration, Force, Length, Mass, STANDARD_GRAVITY};
use std::f64::consts::PI;

/// What falls how far onto the cushion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fall {
    /// Mass.
    pub mass: Mass,
    /// Height of fall.
    pub height: Length,
}

/// Where and how hard it stops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Peak acceleration.
    pub peak: Acceleration,
    /// Greatest deflection.
    pub deflection: Length,
}

/// F = k x + r x³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cubic {
    /// k, N/m.
    pub stiffness: f64,
    /// r, N/m³.
    pub hardening: f64,
}

/// F = (2 k d/π) tan(π x / 2 d): hardens and bottoms at d.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tangent {
    /// k, N/m.
    pub stiffness: f64,
    /// d.
    pub bottoming: Length,
}

/// F = F0 tanh(k x / F0): softens towards a ceiling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HyperbolicTangent {
    /// k, N/m.
    pub stiffness: f64,
    /// F0.
    pub ceiling: Force,
}

/// F = k x up to the knee, then rises with the second stiffness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bilinear {
    /// k, N/m.
    pub stiffness: f64,
    /// Deflection of the knee.
    pub knee: Length,
    /// Stiffness beyond the knee, N/m.
    pub second_stiffness: f64,
}

impl Fall {
    fn checked(self, constants: &[f64]) -> Result<(f64, f64), LawError> {
        let (weight, height) = (self.mass.si() * STANDARD_GRAVITY, self.height.si());
        if [weight, height]
            .iter()
            .chain(constants)
            .all(|v| v.is_finite() && *v > 0.0)
        {
            Ok((weight, weight * height))
        } else {
            Err(LawError::Settings(
                "mass, height and cushion constants must be above zero".to_owned(),
            ))
        }
    }
}

fn stop(force: f64, weight: f64, deflection: f64) -> Result<Stop, LawError> {
    if force.is_finite() && deflection.is_finite() {
        Ok(Stop {
            peak: Acceleration::g(force / weight),
            deflection: Length::from_si(deflection),
        })
    } else {
        Err(LawError::Bottoms)
    }
}

/// Linear cushion, stiffness in N/m.
///
/// # Errors
/// A value that is not positive.
///
/// # Source
/// G = sqrt(2 k h / W), d = 2 h / G; Mindlin 1945, p. 369-370 (published).
pub fn linear(fall: &Fall, stiffness: f64) -> Result<Stop, LawError> {
    let (weight, energy) = fall.checked(&[stiffness])?;
    let deflection = (2.0 * energy / stiffness).sqrt();
    stop(stiffness * deflection, weight, deflection)
}

/// Linear cushion with gravity's work in the stroke, stiffness in N/m.
///
/// # Errors
/// A value that is not positive.
///
/// # Source
/// G = 1 + sqrt(1 + 2 k h / W), derived.
pub fn linear_with_gravity(fall: &Fall, stiffness: f64) -> Result<Stop, LawError> {
    let (weight, energy) = fall.checked(&[stiffness])?;
    let peak = 1.0 + (1.0 + 2.0 * stiffness * energy / (weight * weight)).sqrt();
    stop(peak * weight, weight, peak * weight / stiffness)
}

/// Time on a linear cushion from touch to return, stiffness in N/m.
///
/// # Errors
/// A value that is not positive.
///
/// # Source
/// tau = pi sqrt(m/k), derived.
pub fn linear_contact_time(fall: &Fall, stiffness: f64) -> Result<Duration, LawError> {
    fall.checked(&[stiffness])?;
    Ok(Duration::from_si(PI * (fall.mass.si() / stiffness).sqrt()))
}

/// Cubic cushion.
///
/// # Errors
/// A value that is not positive.
///
/// # Source
/// d² = [-k + sqrt(k² + 4 r W h)] / r, derived; from memory as Mindlin's.
pub fn cubic(fall: &Fall, cushion: &Cubic) -> Result<Stop, LawError> {
    let (k, r) = (cushion.stiffness, cushion.hardening);
    let (weight, energy) = fall.checked(&[k, r])?;
    // The form that keeps its digits as r goes to 0.
    let square = 4.0 * energy / (k + (k * k + 4.0 * r * energy).sqrt());
    let deflection = square.sqrt();
    stop((k + r * square) * deflection, weight, deflection)
}

/// Tangent cushion.
///
/// # Errors
/// A value that is not positive; bottoming.
///
/// # Source
/// G = (2 k d / pi W) sqrt(exp(pi² W h / (2 k d²)) - 1), derived; from memory as Mindlin's.
pub fn tangent(fall: &Fall, cushion: &Tangent) -> Result<Stop, LawError> {
    let (k, bottoming) = (cushion.stiffness, cushion.bottoming.si());
    let (weight, energy) = fall.checked(&[k, bottoming])?;
    let tan = (PI * PI * energy / (2.0 * k * bottoming * bottoming))
        .exp_m1()
        .sqrt();
    stop(
        2.0 * k * bottoming / PI * tan,
        weight,
        2.0 * bottoming / PI * tan.atan(),
    )
}

/// Hyperbolic tangent cushion.
///
/// # Errors
/// A value that is not positive; a deflection beyond all numbers.
///
/// # Source
/// cosh(k d / F0) = exp(k W h / F0²), derived; from memory as Mindlin's.
pub fn hyperbolic_tangent(fall: &Fall, cushion: &HyperbolicTangent) -> Result<Stop, LawError> {
    let (k, ceiling) = (cushion.stiffness, cushion.ceiling.si());
    let (weight, energy) = fall.checked(&[k, ceiling])?;
    let exponent = k * energy / (ceiling * ceiling);
    // tanh = sqrt(1 - exp(-2 q)); acosh(exp q) = q + ln(1 + tanh) without overflow.
    let tanh = (-(-2.0 * exponent).exp_m1()).sqrt();
    stop(ceiling * tanh, weight, ceiling / k * (exponent + tanh.ln_1p()))
}

/// Bilinear cushion.
///
/// # Errors
/// A value that is not positive.
///
/// # Source
/// k2 y²/2 + k d y = W h - k d²/2 beyond the knee, derived; from memory as Mindlin's.
pub fn bilinear(fall: &Fall, cushion: &Bilinear) -> Result<Stop, LawError> {
    let (k, knee, second) = (cushion.stiffness, cushion.knee.si(), cushion.second_stiffness);
    let (weight, energy) = fall.checked(&[k, knee, second])?;
    let rest = energy - 0.5 * k * knee * knee;
    if rest <= 0.0 {
        return linear(fall, k);
    }
    let at_knee = k * knee;
    let beyond = 2.0 * rest / (at_knee + (at_knee * at_knee + 2.0 * second * rest).sqrt());
    stop(at_knee + second * beyond, weight, knee + beyond)
}
