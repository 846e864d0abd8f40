//! Lifting by hand: the revised NIOSH equation, and teams.

use caddis_basis::{Angle, Length, Mass, Said, said};

/// How well hands hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Coupling {
    /// Handles or cut-outs of optimal design on a box of optimal size.
    Good,
    /// Handles less than optimal, or a box without, that the fingers can bend under.
    Fair,
    /// Bulky, hard to hold, or sagging.
    Poor,
}

impl Coupling {
    /// The word on papers.
    pub fn said(self) -> Said {
        match self {
            Self::Good => said!("good"),
            Self::Fair => said!("fair"),
            Self::Poor => said!("poor"),
        }
    }
}

/// How long lifting goes on without a rest of its own length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LiftDuration {
    /// Up to 1 h.
    Short,
    /// Over 1 h, up to 2 h.
    Moderate,
    /// Over 2 h, up to 8 h.
    Long,
}

/// The constants the manual prints for centimetres and kilograms, or for inches and pounds; they are not exact
/// conversions of each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LiftForm {
    /// 23 kg, centimetres.
    Metric,
    /// 51 lb, inches.
    Us,
}

/// One end of a two-handed lift without carrying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    /// Hands in front of the ankles.
    pub horizontal: Length,
    /// Height of the hands at this end.
    pub vertical: Length,
    /// Height of the hands where the lift starts: the frequency table asks for it.
    pub origin: Length,
    /// Vertical travel.
    pub travel: Length,
    /// Twist.
    pub asymmetry: Angle,
    /// Lifts a minute.
    pub per_minute: f64,
    /// How long.
    pub duration: LiftDuration,
    /// How well hands hold.
    pub coupling: Coupling,
}

/// The multipliers of the equation and what they come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecommendedWeight {
    /// Horizontal multiplier.
    pub horizontal: f64,
    /// Vertical multiplier.
    pub vertical: f64,
    /// Distance multiplier.
    pub distance: f64,
    /// Asymmetry multiplier.
    pub asymmetry: f64,
    /// Frequency multiplier.
    pub frequency: f64,
    /// Coupling multiplier.
    pub coupling: f64,
    /// The recommended weight limit.
    pub limit: Mass,
}

/// Lifts a minute of the rows of the frequency table.
const FREQUENCY: [f64; 17] = [
    0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0,
];
/// # Source: NIOSH 94-110, table 5, found alike in three places.
const SHORT: [f64; 17] = [
    1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28,
];
/// # Source: as [`SHORT`].
const MODERATE: [f64; 17] = [
    0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21, 0.0, 0.0, 0.0,
];
/// # Source: as [`SHORT`].
const LONG: [f64; 17] = [
    0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0,
];

/// The frequency multiplier, linear between rows; low lifts end earlier.
///
/// # Source
/// NIOSH 94-110, table 5 and p. 7.
fn frequency(per_minute: f64, duration: LiftDuration, is_low: bool) -> f64 {
    let (table, low_end) = match duration {
        LiftDuration::Short => (&SHORT, 12.0),
        LiftDuration::Moderate => (&MODERATE, 10.0),
        LiftDuration::Long => (&LONG, 8.0),
    };
    if per_minute > 15.0 || (is_low && per_minute > low_end) {
        return 0.0;
    }
    let above = FREQUENCY.iter().position(|&row| row >= per_minute).unwrap_or(16);
    if above == 0 {
        return table[0];
    }
    let part = (per_minute - FREQUENCY[above - 1]) / (FREQUENCY[above] - FREQUENCY[above - 1]);
    table[above - 1] + part * (table[above] - table[above - 1])
}

/// The recommended weight limit at one end of a lift: `LC HM VM DM AM FM CM`.
///
/// Holds for two hands, smooth lifting without carrying beyond a step or two, good footing and 19 to 26 degC; for
/// healthy persons. It says nothing of carrying, one hand, teams, or lifting from a vehicle in mud.
///
/// # Accuracy
/// Full precision; the manual rounds each multiplier to two decimals, which moves its examples by up to 0.3 lb.
///
/// # Source
/// NIOSH 94-110, revised 9/2021, p. 1-22, in repositories quoting the manual with page numbers.
pub fn recommended_weight(lift: &Lift, form: LiftForm) -> RecommendedWeight {
    struct Constants {
        load: Mass,
        unit: f64,
        reach: (f64, f64),
        knuckle: f64,
        slope: f64,
        highest: f64,
        distance: (f64, f64, f64),
    }
    let c = match form {
        LiftForm::Metric => Constants {
            load: Mass::from_si(23.0),
            unit: 0.01,
            reach: (25.0, 63.0),
            knuckle: 75.0,
            slope: 0.003,
            highest: 175.0,
            distance: (4.5, 25.0, 175.0),
        },
        LiftForm::Us => Constants {
            load: Mass::pounds(51.0),
            unit: 0.0254,
            reach: (10.0, 25.0),
            knuckle: 30.0,
            slope: 0.0075,
            highest: 70.0,
            distance: (1.8, 10.0, 70.0),
        },
    };
    // A millionth part: a conversion does not pass a limit of the table.
    let slack = 1.0 + 1e-6;
    let [h, v, d, origin] =
        [lift.horizontal, lift.vertical, lift.travel, lift.origin].map(|length| length.si() / c.unit);
    let horizontal = if h > c.reach.1 * slack {
        0.0
    } else {
        c.reach.0 / h.max(c.reach.0)
    };
    let vertical = if v > c.highest * slack || v < 0.0 {
        0.0
    } else {
        1.0 - c.slope * (v - c.knuckle).abs()
    };
    let distance = if d > c.distance.2 * slack {
        0.0
    } else {
        (0.82 + c.distance.0 / d.max(c.distance.1)).min(1.0)
    };
    let twist = lift.asymmetry.as_degrees().abs();
    let asymmetry = if twist > 135.0 { 0.0 } else { 1.0 - 0.0032 * twist };
    let frequency = frequency(lift.per_minute, lift.duration, origin < c.knuckle / slack);
    let coupling = match lift.coupling {
        Coupling::Fair if v < c.knuckle / slack => 0.95,
        Coupling::Good | Coupling::Fair => 1.0,
        Coupling::Poor => 0.9,
    };
    RecommendedWeight {
        horizontal,
        vertical,
        distance,
        asymmetry,
        frequency,
        coupling,
        limit: c.load * (horizontal * vertical * distance * asymmetry * frequency * coupling),
    }
}

/// How far in front of the ankles hands hold a box: 20 cm and half its depth, 25 cm and half below 25 cm of height.
///
/// # Source
/// NIOSH 94-110, p. 8.
pub fn hands_in_front(box_depth: Length, vertical: Length) -> Length {
    let clear = if vertical.si() < 0.25 { 0.25 } else { 0.20 };
    Length::from_si(clear) + box_depth / 2.0
}

/// A handle a hand goes through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandleGeometry {
    /// Thickness of the grip.
    pub diameter: Length,
    /// Length for the hand.
    pub length: Length,
    /// Room for the fingers behind it.
    pub clearance: Length,
}

impl HandleGeometry {
    /// What keeps it from being a handle of optimal design, in words; empty when nothing does.
    ///
    /// # Source
    /// NIOSH 94-110, table 6 notes, p. 17: 1.9 to 3.8 cm thick, 11.5 cm long, 5 cm clear.
    pub fn shortcomings(&self) -> Vec<Said> {
        let mut short = Vec::new();
        let (d, l, c) = (self.diameter.as_mm(), self.length.as_mm(), self.clearance.as_mm());
        if !(19.0 - 1e-6..=38.0 + 1e-6).contains(&d) {
            short.push(said!(
                "{thickness:.0} mm thick, where 19 to 38 mm is optimal",
                thickness = d
            ));
        }
        if l < 115.0 - 1e-6 {
            short.push(said!(
                "{length:.0} mm long, where 115 mm is the least",
                length = l
            ));
        }
        if c < 50.0 - 1e-6 {
            short.push(said!(
                "{clearance:.0} mm clear, where 50 mm is the least",
                clearance = c
            ));
        }
        short
    }
}

/// Whether a box is small enough to be held well: 40 cm in front of the body, 30 cm high.
///
/// # Source
/// NIOSH 94-110, table 6 notes, p. 17.
pub fn is_optimal_box(frontal: Length, height: Length) -> bool {
    frontal.si() <= 0.40 + 1e-9 && height.si() <= 0.30 + 1e-9
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn lift(h: f64, v: f64, d: f64) -> Lift {
        Lift {
            horizontal: Length::from_si(h / 100.0),
            vertical: Length::from_si(v / 100.0),
            origin: Length::from_si(v / 100.0),
            travel: Length::from_si(d / 100.0),
            asymmetry: Angle::ZERO,
            per_minute: 0.2,
            duration: LiftDuration::Short,
            coupling: Coupling::Good,
        }
    }

    #[test]
    fn beyond_reach_nothing_is_recommended() {
        for bad in [
            lift(64.0, 75.0, 25.0),
            lift(30.0, 176.0, 25.0),
            lift(30.0, 75.0, 180.0),
        ] {
            assert_eq!(recommended_weight(&bad, LiftForm::Metric).limit, Mass::ZERO);
        }
        let ideal = recommended_weight(&lift(25.0, 75.0, 25.0), LiftForm::Metric).limit;
        assert!((ideal.si() - 23.0).abs() < 1e-9);
    }

    #[test]
    fn handles_say_what_they_lack() {
        let handle = HandleGeometry {
            diameter: Length::mm(25.0),
            length: Length::mm(120.0),
            clearance: Length::mm(45.0),
        };
        assert_eq!(handle.shortcomings(), ["45 mm clear, where 50 mm is the least"]);
    }

    proptest! {
        #[test]
        fn never_above_the_load_constant_and_never_negative(
            h in 0.0..80.0_f64, v in 0.0..200.0_f64, d in 0.0..200.0_f64, f in 0.0..20.0_f64,
        ) {
            let mut any = lift(h, v, d);
            any.per_minute = f;
            for (form, most) in [(LiftForm::Metric, 23.0), (LiftForm::Us, 23.2)] {
                let limit = recommended_weight(&any, form).limit.si();
                prop_assert!((0.0..=most).contains(&limit), "{limit}");
            }
        }

        #[test]
        fn farther_and_oftener_is_never_better(h in 25.0..60.0_f64, more in 0.0..10.0_f64, f in 0.2..14.0_f64) {
            let at = |h: f64, f: f64| {
                let mut one = lift(h, 80.0, 40.0);
                one.per_minute = f;
                recommended_weight(&one, LiftForm::Metric).limit.si()
            };
            prop_assert!(at(h + more, f) <= at(h, f) + 1e-12);
            prop_assert!(at(h, f + more / 10.0) <= at(h, f) + 1e-12);
        }
    }
}
