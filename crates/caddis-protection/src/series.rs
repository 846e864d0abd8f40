//! Layers of foam one behind the other: they share the stress and add their deflections.

use crate::root::rising_root;
use crate::{Law, LawError};
use caddis_basis::{Acceleration, Length, Pressure};

/// One layer of a stack of foams in series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeriesLayer<'a> {
    /// Its law; a table must rise at every point.
    pub law: &'a Law,
    /// Its thickness.
    pub thickness: Length,
}

/// What a flat drop does to a stack.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesDrop {
    /// Peak acceleration.
    pub peak: Acceleration,
    /// Deflection of the whole stack.
    pub deflection: Length,
    /// Strain of each layer, in the order given.
    pub strains: Vec<f64>,
}

/// Layers of one and the same foam act as one of their summed thickness.
///
/// # Source
/// Derived: at equal stress equal foams have equal strain.
pub fn same_foam_thickness(layers: &[Length]) -> Length {
    layers.iter().copied().sum()
}

/// Energy that a stack takes per bearing area when its shared stress has risen to a value; `None` when a layer never
/// reaches that stress.
///
/// # Units
/// J/m².
///
/// # Source
/// Derived: sum of t w(e) with sigma equal in every layer.
pub fn series_energy(layers: &[SeriesLayer<'_>], stress: Pressure) -> Option<f64> {
    layers
        .iter()
        .map(|layer| Some(layer.thickness.si() * layer.law.energy(layer.law.strain_at_stress(stress.si())?)))
        .sum()
}

/// The flat drop of a static stress on a stack of layers in series.
///
/// # Errors
/// No layer; a law that is none; a table that dips or runs level; a value that is not positive; a layer bottoms.
///
/// # Accuracy
/// To rounding; a layer that has not yet yielded (stress below its initial stress) stays rigid.
///
/// # Source
/// Derived: s (h + sum of e t) = sum of t w(e); the part of the sum whose laws contain gravity's work left out.
pub fn series_drop(
    layers: &[SeriesLayer<'_>],
    static_stress: Pressure,
    height: Length,
) -> Result<SeriesDrop, LawError> {
    let mut values = vec![static_stress.si(), height.si()];
    values.extend(layers.iter().map(|layer| layer.thickness.si()));
    if !values.iter().all(|v| v.is_finite() && *v > 0.0) {
        return Err(LawError::Settings(
            "static stress, height and thicknesses must be above zero".to_owned(),
        ));
    }
    if layers.is_empty() {
        return Err(LawError::NoPatch);
    }
    for layer in layers {
        layer.law.check()?;
        if layer.law.is_family() || !layer.law.always_rises() {
            return Err(LawError::Constants(
                "a law whose stress dips or runs level, or has no one stress at a strain, cannot stand in series".to_owned(),
            ));
        }
    }
    let s = static_stress.si();
    // Energy taken less energy given, at one stress in all layers: negative, then rising for good once the stress
    // exceeds the static stress.
    let at = |stress: f64| -> f64 {
        layers
            .iter()
            .map(|layer| {
                let strain = layer.law.strain_at_stress(stress).unwrap_or(f64::NAN);
                layer.thickness.si() * (layer.law.energy(strain) - layer.law.pull(s) * strain)
            })
            .sum::<f64>()
            - s * height.si()
    };
    let low = layers
        .iter()
        .map(|l| l.law.initial_stress())
        .fold(f64::INFINITY, f64::min);
    let high = layers
        .iter()
        .map(|l| l.law.stress(l.law.solid_strain()))
        .fold(f64::INFINITY, f64::min);
    let end = at(high);
    if end.is_nan() || end < 0.0 {
        return Err(LawError::Bottoms);
    }
    // No slope is at hand, so every step halves the bracket.
    let stress = rising_root(low, high, |x| (at(x), 0.0));
    let strains: Vec<f64> = layers
        .iter()
        .map(|l| l.law.strain_at_stress(stress).unwrap_or(l.law.last_strain()))
        .collect();
    let deflection: Length = layers.iter().zip(&strains).map(|(l, e)| l.thickness * *e).sum();
    let peak = Acceleration::g(stress / s);
    if !(peak.is_finite() && deflection.is_finite()) {
        return Err(LawError::Bottoms);
    }
    Ok(SeriesDrop {
        peak,
        deflection,
        strains,
    })
}
