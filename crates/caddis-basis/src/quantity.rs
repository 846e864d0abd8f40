//! Physical quantities: one private SI value per type.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Standard gravity, m/s² (exact by definition; ISO 80000-3).
pub const STANDARD_GRAVITY: f64 = 9.806_65;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $si_unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);

            #[doc = concat!("From a value in ", $si_unit, ".")]
            pub const fn from_si(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("The value in ", $si_unit, ".")]
            pub const fn si(self) -> f64 {
                self.0
            }

            /// The absolute value.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// The smaller of two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// Whether it is neither infinite nor NaN.
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Mul<$name> for f64 {
            type Output = $name;
            fn mul(self, quantity: $name) -> $name {
                $name(self * quantity.0)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                Self(iter.fold(0.0, |total, x| total + x.0))
            }
        }
    };
}

/// `product!(A * B = C)`: multiplication both ways and the two divisions.
macro_rules! product {
    ($a:ident * $b:ident = $c:ident) => {
        impl Mul<$b> for $a {
            type Output = $c;
            fn mul(self, other: $b) -> $c {
                $c(self.0 * other.0)
            }
        }
        impl Mul<$a> for $b {
            type Output = $c;
            fn mul(self, other: $a) -> $c {
                $c(self.0 * other.0)
            }
        }
        impl Div<$b> for $c {
            type Output = $a;
            fn div(self, other: $b) -> $a {
                $a(self.0 / other.0)
            }
        }
        impl Div<$a> for $c {
            type Output = $b;
            fn div(self, other: $a) -> $b {
                $b(self.0 / other.0)
            }
        }
    };
}

quantity!(
    /// A length.
    Length, "metres"
);
quantity!(
    /// An area.
    Area, "square metres"
);
quantity!(
    /// A volume.
    Volume, "cubic metres"
);
quantity!(
    /// A mass.
    Mass, "kilograms"
);
quantity!(
    /// A density.
    Density, "kilograms per cubic metre"
);
quantity!(
    /// A pressure or stress.
    Pressure, "pascals"
);
quantity!(
    /// A force.
    Force, "newtons"
);
quantity!(
    /// An acceleration. Fragility is one; text in `G` counts standard gravities.
    Acceleration, "metres per second squared"
);
quantity!(
    /// A speed.
    Speed, "metres per second"
);
quantity!(
    /// A time span.
    Duration, "seconds"
);
quantity!(
    /// A frequency.
    Frequency, "hertz"
);
quantity!(
    /// A plane angle.
    Angle, "radians"
);
quantity!(
    /// A thermodynamic temperature. Differences are temperatures too: do not print them in degC.
    Temperature, "kelvins"
);

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}
impl Div<Length> for Area {
    type Output = Length;
    fn div(self, other: Length) -> Length {
        Length(self.0 / other.0)
    }
}
product!(Area * Length = Volume);
product!(Density * Volume = Mass);
product!(Pressure * Area = Force);
product!(Mass * Acceleration = Force);
product!(Acceleration * Duration = Speed);

impl Length {
    /// From millimetres.
    pub const fn mm(value: f64) -> Self {
        Self(value / 1000.0)
    }
    /// In millimetres.
    pub fn as_mm(self) -> f64 {
        self.0 * 1000.0
    }
    /// From inches (25.4 mm exactly).
    pub const fn inches(value: f64) -> Self {
        Self(value * 0.0254)
    }
    /// In inches.
    pub fn as_inches(self) -> f64 {
        self.0 / 0.0254
    }
}

impl Volume {
    /// In litres.
    pub fn as_litres(self) -> f64 {
        self.0 * 1000.0
    }
}

impl Area {
    /// In square centimetres.
    pub fn as_cm2(self) -> f64 {
        self.0 * 1e4
    }
}

impl Mass {
    /// In avoirdupois pounds (0.45359237 kg exactly).
    pub fn as_pounds(self) -> f64 {
        self.0 / 0.453_592_37
    }
    /// From avoirdupois pounds.
    pub const fn pounds(value: f64) -> Self {
        Self(value * 0.453_592_37)
    }
    /// The weight under standard gravity.
    pub fn weight(self) -> Force {
        Force(self.0 * STANDARD_GRAVITY)
    }
}

impl Pressure {
    /// From kilopascals.
    pub const fn kpa(value: f64) -> Self {
        Self(value * 1000.0)
    }
    /// In kilopascals.
    pub fn as_kpa(self) -> f64 {
        self.0 / 1000.0
    }
}

impl Acceleration {
    /// From standard gravities.
    pub const fn g(value: f64) -> Self {
        Self(value * STANDARD_GRAVITY)
    }
    /// In standard gravities.
    pub fn as_g(self) -> f64 {
        self.0 / STANDARD_GRAVITY
    }
}

impl Angle {
    /// From degrees.
    pub fn degrees(value: f64) -> Self {
        Self(value.to_radians())
    }
    /// In degrees.
    pub fn as_degrees(self) -> f64 {
        self.0.to_degrees()
    }
}

impl Temperature {
    /// From degrees Celsius.
    pub const fn celsius(value: f64) -> Self {
        Self(value + 273.15)
    }
    /// In degrees Celsius.
    pub fn as_celsius(self) -> f64 {
        self.0 - 273.15
    }
}

/// Writes `value` with at most `decimals` decimals and no trailing zeros, then the unit.
fn trimmed(f: &mut fmt::Formatter<'_>, value: f64, decimals: usize, unit: &str) -> fmt::Result {
    let decimals = f.precision().unwrap_or(decimals);
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    write!(f, "{} {unit}", if text == "-0" { "0" } else { text })
}

macro_rules! display {
    ($name:ident, $unit:literal, $decimals:literal, $get:expr) => {
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let get: fn($name) -> f64 = $get;
                trimmed(f, get(*self), $decimals, $unit)
            }
        }
    };
}

display!(Length, "mm", 1, Length::as_mm);
display!(Area, "cm²", 1, Area::as_cm2);
display!(Volume, "L", 2, Volume::as_litres);
display!(Mass, "kg", 3, Mass::si);
display!(Density, "kg/m³", 1, Density::si);
display!(Pressure, "kPa", 2, Pressure::as_kpa);
display!(Force, "N", 1, Force::si);
display!(Acceleration, "G", 1, Acceleration::as_g);
display!(Speed, "m/s", 2, Speed::si);
display!(Duration, "s", 3, Duration::si);
display!(Frequency, "Hz", 1, Frequency::si);
display!(Angle, "deg", 2, Angle::as_degrees);
display!(Temperature, "degC", 1, Temperature::as_celsius);
