//! Sizing on a family of measured cushion curves: only what was measured is an answer.

use crate::{CushionCurves, Law, LawError, Need, SizeRequest, least_pad};
use caddis_basis::{Acceleration, Area, Length, Pressure, said};

/// Thicknesses are looked at in steps of this, then halved down between two of them.
const STEP: f64 = 1e-3;
/// Static stresses looked at between the least and the greatest measured.
const SAMPLES: u32 = 96;

/// Which bearing areas may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bearing {
    /// The available one only.
    Full,
    /// Any up to the available one.
    UpTo,
}

/// The least measured thickness that does it, with the largest area that still does.
///
/// With an unknown limit: the least thickness at which the full area's static stress is at or below the curve's best.
pub(crate) fn size_on_curves(
    law: &Law,
    curves: &CushionCurves,
    request: &SizeRequest,
    bearing: Bearing,
) -> Result<Need, LawError> {
    let [_, (thinnest, thickest), _] = curves.reach();
    let full = request.mass.weight().si() / request.area.si();
    let start = thinnest.max(request.least.si());
    if start > thickest * (1.0 + 1e-9) {
        return Err(LawError::Outside(said!(
            "the least thickness {least} is more than the {thickest} measured",
            least = request.least,
            thickest = Length::from_si(thickest)
        )));
    }
    let mut why = None;
    let mut does = |thickness: f64| {
        let found = static_stress(law, curves, request, full, thickness, bearing);
        match found {
            Ok(stress) => stress,
            Err(error) => {
                why.get_or_insert(error);
                None
            }
        }
    };
    let steps = ((thickest - start) / STEP).ceil() as u32;
    let mut before = start;
    let mut found = None;
    for step in 0..=steps {
        let thickness = (start + f64::from(step) * STEP).min(thickest);
        if let Some(stress) = does(thickness) {
            found = Some((thickness, stress));
            break;
        }
        before = thickness;
    }
    let Some((mut thickness, mut stress)) = found else {
        return Err(match (why, request.limit) {
            (Some(error), _) => error,
            (None, Some(limit)) => {
                LawError::NoThickness(format!("that was measured holds {limit} from {}", request.height))
            }
            (None, None) => LawError::NoThickness(format!(
                "that was measured takes a static stress of {} from {} at or below its best",
                Pressure::from_si(full),
                request.height
            )),
        });
    };
    for _ in 0..20 {
        let middle = f64::midpoint(before, thickness);
        match does(middle) {
            Some(found) => (thickness, stress) = (middle, found),
            None => before = middle,
        }
    }
    let thickness = Length::from_si(thickness);
    Ok(Need {
        thickness,
        area: Area::from_si(request.mass.weight().si() / stress),
        least_pad: least_pad(thickness),
        expected: Acceleration::g(curves.peak_g(Pressure::from_si(stress), request.height, thickness)?),
    })
}

/// The least static stress at or above the full area's that does it at one thickness; `None` when none does.
fn static_stress(
    law: &Law,
    curves: &CushionCurves,
    request: &SizeRequest,
    full: f64,
    thickness: f64,
    bearing: Bearing,
) -> Result<Option<f64>, LawError> {
    let thickness = Length::from_si(thickness);
    let peak = |stress: f64| curves.peak_g(Pressure::from_si(stress), request.height, thickness);
    let Some(limit) = request.limit else {
        peak(full)?;
        let best = law.best_static_stress(request.height, thickness)?;
        return Ok((full <= best.static_stress.si() * (1.0 + 1e-3)).then_some(full));
    };
    let limit = limit.as_g();
    if bearing == Bearing::Full {
        return Ok((peak(full)? <= limit).then_some(full));
    }
    let [(low, high), _, _] = curves.reach();
    let low = low.max(full);
    if low > high {
        return Err(LawError::Outside(said!(
            "a static stress of {stress} is more than the {most} measured",
            stress = Pressure::from_si(full),
            most = Pressure::from_si(high)
        )));
    }
    for i in 0..=SAMPLES {
        let stress = low * (high / low).powf(f64::from(i) / f64::from(SAMPLES));
        if peak(stress).is_ok_and(|peak| peak <= limit) {
            return Ok(Some(stress));
        }
    }
    Ok(None)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::{LawKind, LawRange, MeasuredCurve};
    use caddis_basis::{Certainty, Mass, Source};

    fn law() -> Law {
        let (a, b) = (3e4, 3.5e-5);
        let mut curves = Vec::new();
        for thickness in [25.0, 50.0, 75.0, 100.0] {
            for height in [450.0, 600.0, 900.0] {
                let points = (1..=20)
                    .map(|i| 300.0 * f64::from(i))
                    .map(|s| {
                        (
                            Pressure::from_si(s),
                            Acceleration::g(a / s * (b * s * height / thickness).exp()),
                        )
                    })
                    .collect();
                curves.push(MeasuredCurve {
                    thickness: Length::mm(thickness),
                    height: Length::mm(height),
                    points,
                });
            }
        }
        let curves = CushionCurves::new(curves).unwrap();
        Law {
            range: LawRange {
                static_stress: Some((300.0, 6000.0)),
                greatest_strain: curves.last_strain(),
                thickness: Some((0.025, 0.1)),
                drop_height: Some((0.45, 0.9)),
            },
            kind: LawKind::CushionCurves(curves),
            gravity_in_fit: true,
            is_measured_dynamic: true,
            source: Source::new("test", Certainty::Measured),
        }
    }

    fn request(limit: Option<f64>) -> SizeRequest {
        SizeRequest {
            mass: Mass::from_si(4.0),
            area: Area::from_si(0.05),
            height: Length::mm(600.0),
            limit: limit.map(Acceleration::g),
            least: Length::mm(15.0),
        }
    }

    #[test]
    fn sized_foam_holds_its_limit_by_the_curves() {
        let law = law();
        let LawKind::CushionCurves(curves) = &law.kind else {
            panic!("a family")
        };
        let need = size_on_curves(&law, curves, &request(Some(45.0)), Bearing::UpTo).unwrap();
        assert!(need.expected.as_g() <= 45.0 + 1e-9);
        // The law behind the curves needs a b e h/G = 38.1 mm at its best.
        assert!((need.thickness.as_mm() - 38.1).abs() < 1.5, "{}", need.thickness);
        assert!(need.area.si() <= 0.05);
        // 784 Pa on the full area: too stiff for 30 G at any thickness measured (a/s is 38 G).
        assert!(size_on_curves(&law, curves, &request(Some(30.0)), Bearing::Full).is_err());
        assert!(size_on_curves(&law, curves, &request(Some(30.0)), Bearing::UpTo).is_ok());
        let unknown = size_on_curves(&law, curves, &request(None), Bearing::Full).unwrap();
        assert!(unknown.thickness.as_mm() >= 25.0);
    }

    #[test]
    fn what_was_not_measured_is_no_answer() {
        let law = law();
        let LawKind::CushionCurves(curves) = &law.kind else {
            panic!("a family")
        };
        let mut high = request(Some(45.0));
        high.height = Length::mm(1200.0);
        let error = size_on_curves(&law, curves, &high, Bearing::Full).unwrap_err();
        assert!(matches!(error, LawError::Outside(_)), "{error}");
        let mut heavy = request(Some(45.0));
        heavy.mass = Mass::from_si(60.0);
        assert!(matches!(
            size_on_curves(&law, curves, &heavy, Bearing::UpTo),
            Err(LawError::Outside(_))
        ));
    }
}
