//! Vectors, boxes and rigid poses.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

macro_rules! vector {
    ($(#[$doc:meta])* $name:ident { $($field:ident),+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Default)]
        pub struct $name { $(#[doc = concat!("Coordinate ", stringify!($field), ".")] pub $field: f64),+ }

        impl $name {
            /// The zero vector.
            pub const ZERO: Self = Self { $($field: 0.0),+ };
            /// From coordinates.
            pub const fn new($($field: f64),+) -> Self { Self { $($field),+ } }
            /// The scalar product.
            pub fn dot(self, other: Self) -> f64 { 0.0 $(+ self.$field * other.$field)+ }
            /// The Euclidean length.
            pub fn length(self) -> f64 { self.dot(self).sqrt() }
            /// The distance between two points.
            pub fn distance(self, other: Self) -> f64 { (self - other).length() }
            /// The unit vector along `self`, or zero for the zero vector.
            #[must_use]
            pub fn unit(self) -> Self { let n = self.length(); if n > 0.0 { self / n } else { self } }
            /// Coordinate-wise minimum.
            #[must_use]
            pub fn min(self, other: Self) -> Self { Self { $($field: self.$field.min(other.$field)),+ } }
            /// Coordinate-wise maximum.
            #[must_use]
            pub fn max(self, other: Self) -> Self { Self { $($field: self.$field.max(other.$field)),+ } }
            /// Linear interpolation, `0` gives `self`.
            #[must_use]
            pub fn lerp(self, other: Self, t: f64) -> Self { self + (other - self) * t }
            /// Whether every coordinate is finite.
            pub fn is_finite(self) -> bool { true $(&& self.$field.is_finite())+ }
        }
        impl Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self { $($field: self.$field + o.$field),+ } } }
        impl Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self { $($field: self.$field - o.$field),+ } } }
        impl AddAssign for $name { fn add_assign(&mut self, o: Self) { $(self.$field += o.$field;)+ } }
        impl SubAssign for $name { fn sub_assign(&mut self, o: Self) { $(self.$field -= o.$field;)+ } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self { $($field: -self.$field),+ } } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self { $($field: self.$field * k),+ } } }
        impl Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self { $($field: self.$field / k),+ } } }
    };
}

vector!(
    /// A point or vector in the plane, metres.
    Vec2 { x, y }
);
vector!(
    /// A point or vector in space, metres.
    Vec3 { x, y, z }
);

impl Vec2 {
    /// The z component of the cross product.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Turned a quarter turn counter-clockwise.
    #[must_use]
    pub fn perpendicular(self) -> Self {
        Self::new(-self.y, self.x)
    }

    /// Turned counter-clockwise by `angle` radians.
    #[must_use]
    pub fn rotated(self, angle: f64) -> Self {
        let (sin, cos) = angle.sin_cos();
        Self::new(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }

    /// The point at height `z`.
    pub fn at_height(self, z: f64) -> Vec3 {
        Vec3::new(self.x, self.y, z)
    }
}

impl Vec3 {
    /// The cross product.
    #[must_use]
    pub fn cross(self, o: Self) -> Self {
        Self::new(
            self.y * o.z - self.z * o.y,
            self.z * o.x - self.x * o.z,
            self.x * o.y - self.y * o.x,
        )
    }

    /// The plan view.
    pub fn plan(self) -> Vec2 {
        Vec2::new(self.x, self.y)
    }
}

/// An axis-aligned box in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds3 {
    /// Least corner.
    pub min: Vec3,
    /// Greatest corner.
    pub max: Vec3,
}

impl Bounds3 {
    /// The box around points; `None` without points.
    pub fn around(points: impl IntoIterator<Item = Vec3>) -> Option<Self> {
        points.into_iter().fold(None, |bounds, p| match bounds {
            None => Some(Self { min: p, max: p }),
            Some(b) => Some(Self {
                min: b.min.min(p),
                max: b.max.max(p),
            }),
        })
    }

    /// Edge lengths.
    pub fn size(&self) -> Vec3 {
        self.max - self.min
    }

    /// The centre.
    pub fn centre(&self) -> Vec3 {
        (self.min + self.max) / 2.0
    }

    /// Grown by `by` on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        let by = Vec3::new(by, by, by);
        Self {
            min: self.min - by,
            max: self.max + by,
        }
    }

    /// Whether a point lies in the closed box.
    pub fn holds(&self, p: Vec3) -> bool {
        let (low, high) = (p - self.min, self.max - p);
        low.x.min(low.y).min(low.z) >= 0.0 && high.x.min(high.y).min(high.z) >= 0.0
    }

    /// Whether the closed boxes meet.
    pub fn meets(&self, other: &Self) -> bool {
        let (low, high) = (other.max - self.min, self.max - other.min);
        low.x.min(low.y).min(low.z) >= 0.0 && high.x.min(high.y).min(high.z) >= 0.0
    }
}

/// A rigid motion: `p -> rotation * p + translation`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Rows of a proper rotation matrix.
    pub rotation: [Vec3; 3],
    /// Applied after the rotation, metres.
    pub translation: Vec3,
}

impl Pose {
    /// No motion.
    pub const IDENTITY: Self = Self {
        rotation: [
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, 1.0, 0.0),
            Vec3::new(0.0, 0.0, 1.0),
        ],
        translation: Vec3::ZERO,
    };

    /// A translation.
    pub const fn translation(by: Vec3) -> Self {
        Self {
            rotation: Self::IDENTITY.rotation,
            translation: by,
        }
    }

    /// A rotation about the z axis, radians, counter-clockwise from above.
    pub fn about_z(angle: f64) -> Self {
        // Exact for quarter turns, so that boxes stay boxes.
        let quarter = angle / std::f64::consts::FRAC_PI_2;
        let (sin, cos) = if (quarter - quarter.round()).abs() < 1e-12 {
            [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][quarter.round().rem_euclid(4.0) as usize]
        } else {
            angle.sin_cos()
        };
        Self {
            rotation: [
                Vec3::new(cos, -sin, 0.0),
                Vec3::new(sin, cos, 0.0),
                Vec3::new(0.0, 0.0, 1.0),
            ],
            translation: Vec3::ZERO,
        }
    }

    /// Where a point goes.
    pub fn apply(&self, p: Vec3) -> Vec3 {
        self.turn(p) + self.translation
    }

    /// Where a direction goes (no translation).
    pub fn turn(&self, v: Vec3) -> Vec3 {
        Vec3::new(
            self.rotation[0].dot(v),
            self.rotation[1].dot(v),
            self.rotation[2].dot(v),
        )
    }

    /// `self` first, then `next`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let column = |i: usize| {
            let pick = |v: Vec3| [v.x, v.y, v.z][i];
            next.turn(Vec3::new(
                pick(self.rotation[0]),
                pick(self.rotation[1]),
                pick(self.rotation[2]),
            ))
        };
        let (a, b, c) = (column(0), column(1), column(2));
        Self {
            rotation: [
                Vec3::new(a.x, b.x, c.x),
                Vec3::new(a.y, b.y, c.y),
                Vec3::new(a.z, b.z, c.z),
            ],
            translation: next.apply(self.translation),
        }
    }

    /// The opposite motion.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let r = self.rotation;
        let rotation = [
            Vec3::new(r[0].x, r[1].x, r[2].x),
            Vec3::new(r[0].y, r[1].y, r[2].y),
            Vec3::new(r[0].z, r[1].z, r[2].z),
        ];
        let back = Self {
            rotation,
            translation: Vec3::ZERO,
        };
        Self {
            rotation,
            translation: -back.turn(self.translation),
        }
    }
}
