//! Families of measured cushion curves: peak G against static stress, one curve for each thickness and drop height.
//!
//! The only honest form for open-cell foam, whose stress depends on how fast it is crushed: such a family has no one
//! stress at a strain. At one working point it gives an equivalent law, `CushionCurves::table`, from which everything
//! else is read. Nothing is read outside what was measured.

use crate::LawError;
use caddis_basis::{Acceleration, Length, Pressure, said};

/// One measured curve.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredCurve {
    /// Thickness of the cushion.
    pub thickness: Length,
    /// Height of fall.
    pub height: Length,
    /// Static stress and peak acceleration, rising static stress.
    pub points: Vec<(Pressure, Acceleration)>,
}

/// A family of measured cushion curves of one foam and one kind of impact (first, or later ones).
#[derive(Debug, Clone, PartialEq)]
pub struct CushionCurves {
    /// By thickness, then height.
    curves: Vec<MeasuredCurve>,
    /// Largest equivalent strain over the curves.
    last_strain: f64,
}

/// Steps between two measured points, so that the table follows the interpolation.
const STEPS: u32 = 8;
/// Thicknesses, heights and stresses this close (relative) are the measured ones.
const SAME: f64 = 1e-6;

impl CushionCurves {
    /// A family from its curves, in any order.
    ///
    /// # Errors
    /// No curve; a curve with fewer than two points, values that are not positive or static stresses that do not rise;
    /// two curves of the same thickness and height.
    pub fn new(mut curves: Vec<MeasuredCurve>) -> Result<Self, LawError> {
        let complain = |words: String| Err(LawError::Constants(words));
        if curves.is_empty() {
            return complain("a family of cushion curves needs at least one curve".to_owned());
        }
        for curve in &curves {
            let name = format!("the curve of {} from {}", curve.thickness, curve.height);
            if !(positive(curve.thickness.si()) && positive(curve.height.si())) {
                return complain(format!("{name}: thickness and height must be above zero"));
            }
            if curve.points.len() < 2 {
                return complain(format!("{name} has fewer than two points"));
            }
            if let Some((stress, peak)) = curve
                .points
                .iter()
                .find(|(stress, peak)| !(positive(stress.si()) && positive(peak.si())))
            {
                return complain(format!("{name}: ({stress}, {peak}) is not above zero"));
            }
            if let Some(pair) = curve.points.windows(2).find(|pair| pair[1].0 <= pair[0].0) {
                return complain(format!("{name}: static stresses do not rise after {}", pair[0].0));
            }
        }
        curves.sort_by(|a, b| {
            (a.thickness.si().total_cmp(&b.thickness.si())).then(a.height.si().total_cmp(&b.height.si()))
        });
        if let Some(pair) = curves.windows(2).find(|pair| {
            is_same(pair[0].thickness.si(), pair[1].thickness.si())
                && is_same(pair[0].height.si(), pair[1].height.si())
        }) {
            return complain(format!(
                "two curves of {} from {}",
                pair[0].thickness, pair[0].height
            ));
        }
        let mut family = Self {
            curves,
            last_strain: 0.0,
        };
        let mut last_strain = 0.0_f64;
        for curve in &family.curves {
            let table = family.table(curve.height, curve.thickness)?;
            last_strain = last_strain.max(table.last().map_or(0.0, |p| p.0));
        }
        family.last_strain = last_strain;
        Ok(family)
    }

    /// The curves, by thickness, then height.
    pub fn curves(&self) -> &[MeasuredCurve] {
        &self.curves
    }

    /// Largest equivalent strain that any of the curves reaches.
    pub fn last_strain(&self) -> f64 {
        self.last_strain
    }

    /// Least and greatest measured static stress, thickness and height.
    pub fn reach(&self) -> [(f64, f64); 3] {
        let over = |values: &mut dyn Iterator<Item = f64>| {
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(v), high.max(v))
            })
        };
        [
            over(&mut self.curves.iter().flat_map(|c| c.points.iter().map(|p| p.0.si()))),
            over(&mut self.curves.iter().map(|c| c.thickness.si())),
            over(&mut self.curves.iter().map(|c| c.height.si())),
        ]
    }

    /// The measured thicknesses, rising.
    pub fn thicknesses(&self) -> Vec<Length> {
        let mut out: Vec<Length> = Vec::new();
        for curve in &self.curves {
            if out
                .last()
                .is_none_or(|last| !is_same(last.si(), curve.thickness.si()))
            {
                out.push(curve.thickness);
            }
        }
        out
    }

    /// Peak G at a working point: ln(G s) straight in s along a curve, ln G straight in the height and in 1/thickness
    /// between curves.
    ///
    /// # Errors
    /// [`LawError::Outside`] beyond what was measured.
    ///
    /// # Accuracy
    /// Exact at measured points; between curves, as good as the curves are close. Exact throughout for foam that follows
    /// the stress-energy method.
    ///
    /// # Source
    /// Interpolation, the project's own choice: ln(G s) = ln a + b s h/t is straight in each of the three.
    pub fn peak_g(
        &self,
        static_stress: Pressure,
        height: Length,
        thickness: Length,
    ) -> Result<f64, LawError> {
        let parts = self.parts(height.si(), thickness.si())?;
        let (low, high) = common_stress(&parts);
        let stress = static_stress.si();
        if stress < low * (1.0 - SAME) || stress > high * (1.0 + SAME) {
            return Err(LawError::Outside(said!(
                "static stress {static_stress} is outside the {low} to {high} measured at {thickness} from {height}",
                low = Pressure::from_si(low),
                high = Pressure::from_si(high),
                static_stress,
                thickness,
                height
            )));
        }
        Ok(blend(&parts, stress))
    }

    /// The equivalent law at one height and thickness as (strain, stress) points from strain 0.
    ///
    /// Each point of the curve is a drop that took energy s h/t per volume and met the stress G s; strains follow from
    /// the energy between points. Below the least static stress measured, the stress rises in a straight line from 0.
    /// The strains are equivalents, not measured: gravity's work is inside the measured energy.
    ///
    /// # Errors
    /// [`LawError::Outside`] where no measured curves enclose height and thickness.
    ///
    /// # Source
    /// Derived: de = dw / sigma with w = s h/t and sigma = G s, the step behind the stress-energy method.
    pub fn table(&self, height: Length, thickness: Length) -> Result<Vec<(f64, f64)>, LawError> {
        let parts = self.parts(height.si(), thickness.si())?;
        let (low, high) = common_stress(&parts);
        if low > high {
            return Err(LawError::Outside(said!(
                "the curves around {thickness} from {height} share no static stress",
                thickness,
                height
            )));
        }
        let mut stresses: Vec<f64> = parts
            .iter()
            .flat_map(|(_, curve)| curve.points.iter().map(|p| p.0.si()))
            .filter(|s| (low..=high).contains(s))
            .collect();
        stresses.push(low);
        stresses.push(high);
        stresses.sort_by(f64::total_cmp);
        stresses.dedup_by(|a, b| is_same(*a, *b));
        let mut grid = vec![stresses[0]];
        for pair in stresses.windows(2) {
            let ratio = pair[1] / pair[0];
            grid.extend((1..=STEPS).map(|i| pair[0] * ratio.powf(f64::from(i) / f64::from(STEPS))));
        }
        let mut points = vec![(0.0, 0.0)];
        let mut taken = 0.0;
        for stress in grid {
            let (energy, peak) = (
                stress * height.si() / thickness.si(),
                stress * blend(&parts, stress),
            );
            let (strain, before) = points[points.len() - 1];
            points.push((strain + 2.0 * (energy - taken) / (before + peak), peak));
            taken = energy;
        }
        Ok(points)
    }

    /// The curves around a height and thickness with their shares, which add up to one.
    fn parts(&self, height: f64, thickness: f64) -> Result<Vec<(f64, &MeasuredCurve)>, LawError> {
        let thicknesses: Vec<f64> = self.thicknesses().iter().map(|t| t.si()).collect();
        let ends = |known: &[f64]| {
            let end = |value: Option<&f64>| Length::from_si(value.copied().unwrap_or(0.0));
            (end(known.first()), end(known.last()))
        };
        let too_thin_or_thick = || {
            let (low, high) = ends(&thicknesses);
            LawError::Outside(said!(
                "thickness {found} is outside the {low} to {high} measured",
                found = Length::from_si(thickness),
                low,
                high
            ))
        };
        let too_low_or_high = |heights: &[f64]| {
            let (low, high) = ends(heights);
            LawError::Outside(said!(
                "drop height {found} is outside the {low} to {high} measured",
                found = Length::from_si(height),
                low,
                high
            ))
        };
        let around_thickness = around(&thicknesses, thickness, |t| 1.0 / t).ok_or_else(too_thin_or_thick)?;
        let mut parts: Vec<(f64, &MeasuredCurve)> = Vec::with_capacity(4);
        for (share, t) in around_thickness {
            let curves: Vec<&MeasuredCurve> = self
                .curves
                .iter()
                .filter(|c| is_same(c.thickness.si(), t))
                .collect();
            let heights: Vec<f64> = curves.iter().map(|c| c.height.si()).collect();
            let around_height = around(&heights, height, |h| h).ok_or_else(|| too_low_or_high(&heights))?;
            for (inner, h) in around_height {
                if let Some(curve) = curves.iter().find(|c| c.height.si() == h) {
                    parts.push((share * inner, curve));
                }
            }
        }
        Ok(parts)
    }
}

fn positive(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

fn is_same(one: f64, other: f64) -> bool {
    (one - other).abs() <= SAME * one.abs().max(other.abs())
}

/// The known values around one, with their shares on the given scale; one alone where it is met.
fn around(known: &[f64], value: f64, scale: fn(f64) -> f64) -> Option<Vec<(f64, f64)>> {
    if let Some(&met) = known.iter().find(|&&k| is_same(k, value)) {
        return Some(vec![(1.0, met)]);
    }
    let pair = known.windows(2).find(|pair| pair[0] < value && value < pair[1])?;
    let share = (scale(value) - scale(pair[0])) / (scale(pair[1]) - scale(pair[0]));
    Some(vec![(1.0 - share, pair[0]), (share, pair[1])])
}

/// The static stresses that every part was measured at.
fn common_stress(parts: &[(f64, &MeasuredCurve)]) -> (f64, f64) {
    parts
        .iter()
        .fold((0.0, f64::INFINITY), |(low, high), (_, curve)| {
            let first = curve.points.first().map_or(f64::INFINITY, |p| p.0.si());
            let last = curve.points.last().map_or(0.0, |p| p.0.si());
            (f64::max(low, first), f64::min(high, last))
        })
}

fn blend(parts: &[(f64, &MeasuredCurve)], stress: f64) -> f64 {
    if let [(_, curve)] = parts {
        return along(curve, stress);
    }
    parts
        .iter()
        .map(|(share, curve)| share * along(curve, stress).ln())
        .sum::<f64>()
        .exp()
}

/// Along one curve: ln(G s) in a straight line over s from point to point.
fn along(curve: &MeasuredCurve, stress: f64) -> f64 {
    let points = &curve.points;
    let after = points
        .partition_point(|p| p.0.si() <= stress)
        .clamp(1, points.len() - 1);
    let ((s0, g0), (s1, g1)) = (points[after - 1], points[after]);
    let share = ((stress - s0.si()) / (s1 - s0).si()).clamp(0.0, 1.0);
    if share == 0.0 {
        return g0.as_g();
    }
    if share == 1.0 {
        return g1.as_g();
    }
    let (y0, y1) = (g0.as_g() * s0.si(), g1.as_g() * s1.si());
    (y0.ln() * (1.0 - share) + y1.ln() * share).exp() / stress
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    /// Curves of the stress-energy form with invented constants.
    fn curve(thickness: f64, height: f64) -> MeasuredCurve {
        let (a, b) = (3e4, 3.5e-5);
        MeasuredCurve {
            thickness: Length::mm(thickness),
            height: Length::mm(height),
            points: (1..=12)
                .map(|i| {
                    let s = 400.0 * f64::from(i);
                    let g = a / s * (b * s * height / thickness).exp();
                    (Pressure::from_si(s), Acceleration::g(g))
                })
                .collect(),
        }
    }

    fn family() -> CushionCurves {
        CushionCurves::new(vec![
            curve(75.0, 600.0),
            curve(50.0, 600.0),
            curve(50.0, 900.0),
            curve(75.0, 900.0),
        ])
        .unwrap()
    }

    #[test]
    fn measured_points_come_back_exactly() {
        let family = family();
        for curve in family.curves() {
            for (stress, peak) in &curve.points {
                let got = family.peak_g(*stress, curve.height, curve.thickness).unwrap();
                assert!((got / peak.as_g() - 1.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn between_curves_it_gives_the_law_behind_them() {
        let family = family();
        let (h, t, s) = (0.75, 0.06, 2000.0_f64);
        let exact = 3e4 / s * (3.5e-5 * s * h / t).exp();
        let got = family
            .peak_g(Pressure::from_si(s), Length::from_si(h), Length::from_si(t))
            .unwrap();
        assert!((got / exact - 1.0).abs() < 1e-9, "{got} {exact}");
    }

    #[test]
    fn nothing_is_read_outside_what_was_measured() {
        let family = family();
        let ask = |s: f64, h: f64, t: f64| family.peak_g(Pressure::from_si(s), Length::mm(h), Length::mm(t));
        assert!(ask(2000.0, 600.0, 75.0).is_ok());
        for (s, h, t, word) in [
            (300.0, 600.0, 50.0, "static stress"),
            (9000.0, 600.0, 50.0, "static stress"),
            (2000.0, 500.0, 50.0, "drop height"),
            (2000.0, 600.0, 49.0, "thickness"),
            (2000.0, 600.0, 76.0, "thickness"),
        ] {
            let error = ask(s, h, t).unwrap_err();
            assert!(
                matches!(&error, LawError::Outside(words) if words.contains(word)),
                "{error}"
            );
        }
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(CushionCurves::new(Vec::new()).is_err());
        assert!(CushionCurves::new(vec![curve(50.0, 600.0), curve(50.0, 600.0)]).is_err());
        let mut falling = curve(50.0, 600.0);
        falling.points.reverse();
        assert!(CushionCurves::new(vec![falling]).is_err());
        let mut short = curve(50.0, 600.0);
        short.points.truncate(1);
        assert!(CushionCurves::new(vec![short]).is_err());
    }
}
