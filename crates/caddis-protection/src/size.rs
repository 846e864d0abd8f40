//! Sizing: how much foam a side needs.

use crate::root::place_of_peak;
use crate::size_curves::{Bearing, size_on_curves};
use crate::{Foam, Law, LawError, LawKind, least_pad};
use caddis_basis::{Acceleration, Area, Length, Mass, Pressure};

/// What must be held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeRequest {
    /// Mass carried along the load path.
    pub mass: Mass,
    /// Bearing area available on this side.
    pub area: Area,
    /// Height of fall.
    pub height: Length,
    /// Largest acceleration allowed (fragility); `None` when unknown: then the need is the thickness that keeps the
    /// strain at or below the law's optimum (no bottoming), and the reverse answer is given by verification.
    pub limit: Option<Acceleration>,
    /// Least thickness whatever the law says.
    pub least: Length,
}

/// What a side needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Foam thickness.
    pub thickness: Length,
    /// Bearing area that thickness assumes (less than available when full support is too stiff).
    pub area: Area,
    /// Least area of one pad that will not buckle, if pads stand free.
    pub least_pad: Area,
    /// Peak acceleration expected with that thickness and area.
    pub expected: Acceleration,
}

/// Thickest foam that sizing answers with.
const THICKEST: f64 = 1.0;

/// Thickness and area for one side.
///
/// The thickness is the least with which any bearing area up to the available one holds the limit inside the law's
/// range of strain; the area is the largest with which that thickness (or `least`, where that is more) still does.
/// So more height or less limit never gives less foam. With an unknown limit the area is the available one.
///
/// # Errors
/// No thickness up to 1 m holds the limit on any area: the message says what the foam can do at best. A mass, area or
/// height that is not positive.
///
/// # Source
/// Derived: t = s h / (w(e) - s e) with G s = sigma(e), the s e term left out when the law's fit contains gravity's
/// work; the least is t = C h / G at the law's optimum (1.2 and 5.3 of the project's cushioning reference). The default
/// for an unknown limit is the project's own choice.
pub fn size(foam: &Foam, request: &SizeRequest) -> Result<Need, LawError> {
    let law = &foam.law;
    check(law, request)?;
    if let LawKind::CushionCurves(curves) = &law.kind {
        return size_on_curves(law, curves, request, Bearing::UpTo);
    }
    let Some(limit) = request.limit else {
        return size_unlimited(law, request);
    };
    let side = Side::new(law, request);
    let best = side.best(limit.as_g());
    if best.is_none_or(|b| b.thickness > THICKEST) {
        let best = side.best_limit().map_or_else(
            || "it bottoms on the area available".to_owned(),
            |g| format!("at best it holds {g}"),
        );
        return Err(LawError::NoThickness(format!(
            "holds {limit} from {}: {best}",
            request.height
        )));
    }
    let least = request.least.si().max(0.0);
    let chosen = match best {
        Some(b) if b.thickness < least => side.fullest(limit.as_g(), least, b),
        Some(b) => b,
        None => return Err(LawError::Bottoms),
    };
    side.need(chosen.static_stress, chosen.thickness)
}

/// Thickness for one side whose bearing area is given and may not be reduced.
///
/// # Errors
/// As [`size`]; more bearing area than the law's initial stress allows is too stiff at any thickness, and the message
/// says so.
///
/// # Source
/// As [`size`].
pub fn size_with_full_area(foam: &Foam, request: &SizeRequest) -> Result<Need, LawError> {
    law_size_with_full_area(&foam.law, request)
}

/// As [`size_with_full_area`], on a law alone.
pub(crate) fn law_size_with_full_area(law: &Law, request: &SizeRequest) -> Result<Need, LawError> {
    check(law, request)?;
    if let LawKind::CushionCurves(curves) = &law.kind {
        return size_on_curves(law, curves, request, Bearing::Full);
    }
    let Some(limit) = request.limit else {
        return size_unlimited(law, request);
    };
    let side = Side::new(law, request);
    let stress = limit.as_g() * side.least_static_stress;
    let strain = law
        .strain_at_stress(stress)
        .map_or(side.greatest, |e| e.min(side.greatest));
    match side.thickness(strain, side.least_static_stress) {
        Some(thickness) if thickness <= THICKEST => {
            side.need(side.least_static_stress, thickness.max(request.least.si()))
        }
        _ => {
            let floor = Acceleration::g(law.initial_stress() / side.least_static_stress);
            let best = law
                .peak_g(side.static_stress(), request.height, Length::from_si(THICKEST))
                .map_or_else(
                    |_| "it bottoms".to_owned(),
                    |peak| format!("1 m of it holds {peak} and no thickness less than {floor}"),
                );
            Err(LawError::NoThickness(format!(
                "holds {limit} from {} on the full area at {}: {best}",
                request.height,
                side.static_stress()
            )))
        }
    }
}

/// Unknown limit: strain at or below the optimum on the available area.
fn size_unlimited(law: &Law, request: &SizeRequest) -> Result<Need, LawError> {
    let side = Side::new(law, request);
    match side.thickness(law.optimum().strain, side.least_static_stress) {
        Some(thickness) if thickness <= THICKEST => {
            side.need(side.least_static_stress, thickness.max(request.least.si()))
        }
        _ => Err(LawError::NoThickness(format!(
            "keeps the foam from bottoming from {}: a static stress of {} is too much for it",
            request.height,
            side.static_stress()
        ))),
    }
}

fn check(law: &Law, request: &SizeRequest) -> Result<(), LawError> {
    law.check()?;
    let mut values = vec![
        ("mass", request.mass.si()),
        ("bearing area", request.area.si()),
        ("drop height", request.height.si()),
    ];
    values.extend(request.limit.map(|limit| ("acceleration limit", limit.si())));
    for (what, value) in values {
        if !(value.is_finite() && value > 0.0) {
            return Err(LawError::Settings(format!(
                "{what} must be above zero, not {value} in SI units"
            )));
        }
    }
    if !request.least.is_finite() {
        return Err(LawError::Settings("least thickness is not a number".to_owned()));
    }
    Ok(())
}

/// A static stress with the thickness that goes with it.
#[derive(Clone, Copy)]
struct Choice {
    static_stress: f64,
    thickness: f64,
    /// Strain that the choice was made by.
    strain: f64,
}

/// One side of an item over one law.
struct Side<'a> {
    law: &'a Law,
    weight: f64,
    height: f64,
    greatest: f64,
    /// Static stress on the full available area.
    least_static_stress: f64,
}

impl<'a> Side<'a> {
    fn new(law: &'a Law, request: &SizeRequest) -> Self {
        let weight = request.mass.weight().si();
        Self {
            law,
            weight,
            height: request.height.si(),
            greatest: law.range.greatest_strain,
            least_static_stress: weight / request.area.si(),
        }
    }

    fn static_stress(&self) -> Pressure {
        Pressure::from_si(self.least_static_stress)
    }

    /// The thickness that stops the drop at a strain; `None` when none does.
    fn thickness(&self, strain: f64, static_stress: f64) -> Option<f64> {
        let left = self.law.energy(strain) - self.law.pull(static_stress) * strain;
        let thickness = static_stress * self.height / left;
        (left > 0.0 && thickness.is_finite()).then_some(thickness)
    }

    /// The choice that uses the limit in full at a strain.
    fn choice(&self, limit: f64, strain: f64) -> Option<Choice> {
        let static_stress = (self.law.peak_stress(strain) / limit).max(self.least_static_stress);
        let thickness = self.thickness(strain, static_stress)?;
        Some(Choice {
            static_stress,
            thickness,
            strain,
        })
    }

    /// Least strain that the limit is worth on the full area; `None` when the full area never reaches it in range.
    fn strain_of_full_area(&self, limit: f64) -> Option<f64> {
        let stress = limit * self.least_static_stress;
        (stress < self.law.peak_stress(self.greatest)).then(|| {
            self.law
                .strain_at_stress(stress)
                .map_or(self.greatest, |e| e.min(self.greatest))
        })
    }

    /// The least thickness over all areas up to the available one.
    fn best(&self, limit: f64) -> Option<Choice> {
        let Some(low) = self.strain_of_full_area(limit) else {
            // Too little area: every bit of it is wanted and the strain goes to the end of the range.
            return self.choice(limit, self.greatest);
        };
        let strain = place_of_peak(low, self.greatest, &self.law.corners(), |e| {
            self.choice(limit, e)
                .map_or(f64::NEG_INFINITY, |c| 1.0 / c.thickness)
        });
        self.choice(limit, strain)
    }

    /// The largest area that holds the limit with `least`, a thickness that the best choice needs less than.
    fn fullest(&self, limit: f64, least: f64, best: Choice) -> Choice {
        let does = |e: f64| self.choice(limit, e).filter(|c| c.thickness <= least);
        let mut chosen = best;
        let mut low = self.strain_of_full_area(limit).unwrap_or(best.strain);
        if let Some(full) = does(low) {
            chosen = full;
        } else {
            for _ in 0..60 {
                let middle = 0.5 * (low + chosen.strain);
                match does(middle) {
                    Some(choice) => chosen = choice,
                    None => low = middle,
                }
            }
        }
        Choice {
            thickness: least,
            ..chosen
        }
    }

    /// The least limit that the thickest foam holds on the best area; `None` when it bottoms whatever the limit.
    fn best_limit(&self) -> Option<Acceleration> {
        let does = |limit: f64| self.best(limit).is_some_and(|b| b.thickness <= THICKEST);
        let mut high = 1.0;
        while !does(high) {
            if high > 1e9 {
                return None;
            }
            high *= 2.0;
        }
        let mut low = 0.5 * high;
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if does(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(Acceleration::g(high))
    }

    fn need(&self, static_stress: f64, thickness: f64) -> Result<Need, LawError> {
        let thickness = Length::from_si(thickness);
        Ok(Need {
            thickness,
            area: Area::from_si(self.weight / static_stress),
            least_pad: least_pad(thickness),
            expected: self.law.peak_g(
                Pressure::from_si(static_stress),
                Length::from_si(self.height),
                thickness,
            )?,
        })
    }
}
