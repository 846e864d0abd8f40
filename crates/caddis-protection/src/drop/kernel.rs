//! Sums over the patches that face one way: force, its moment and the largest strain.
//!
//! Patches that share a direction compress by an affine function of their place on the item, so one pass needs one
//! multiply-add a coordinate; the passes run in the widest vectors the processor has, chosen when the program runs.
#![expect(
    clippy::inline_always,
    reason = "a function that is not inlined into the dispatched pass is compiled without its instructions"
)]

use super::spring::{Spring, SpringForm, sample, tangent};
use caddis_geometry::Vec3;
use pulp::{Arch, Simd, WithSimd};

/// Patches are padded to full vectors of at most eight.
pub(super) const LANES: usize = 8;

/// value + slope . place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Affine {
    pub value: f64,
    pub slope: Vec3,
}

/// Columns of the patches of one direction, padded with patches without area.
#[derive(Debug, Clone, Default)]
pub(super) struct Columns {
    pub x: Vec<f64>,
    pub y: Vec<f64>,
    pub z: Vec<f64>,
    pub area: Vec<f64>,
    /// 1 / thickness.
    pub inverse: Vec<f64>,
    /// Gap in units of the thickness.
    pub gap: Vec<f64>,
}

/// What a pass returns: sums of area times stress, of the same times place, of the part beyond the greatest strain of the
/// law, and the largest strain.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sums {
    pub force: f64,
    pub moment: Vec3,
    pub beyond: f64,
    pub strain: f64,
}

impl Sums {
    pub(super) const NONE: Self = Self {
        force: 0.0,
        moment: Vec3::ZERO,
        beyond: 0.0,
        strain: 0.0,
    };

    pub(super) fn add(&mut self, other: Self) {
        self.force += other.force;
        self.moment += other.moment;
        self.beyond += other.beyond;
        self.strain = self.strain.max(other.strain);
    }
}

/// A run of patches of one direction at one moment.
pub(super) struct Run<'a> {
    pub columns: &'a Columns,
    pub from: usize,
    pub to: usize,
    /// Compression before the gap, metres.
    pub compression: Affine,
    /// Its rate, metres per second; only where the spring depends on it.
    pub rate: Affine,
}

impl Run<'_> {
    /// The sums over the run.
    pub(super) fn sums(&self, spring: &Spring, arch: Arch) -> Sums {
        match &spring.form {
            SpringForm::PlateauGas { s0, e0, p0, r } => self.vector(
                spring,
                arch,
                PlateauGas {
                    s0: *s0,
                    twice: 2.0 / e0,
                    p0: *p0,
                    room: 1.0 - r,
                },
            ),
            SpringForm::RampGas { s0, ramp, p0, r } => self.vector(
                spring,
                arch,
                RampGas {
                    s0: *s0,
                    slope: s0 / ramp,
                    p0: *p0,
                    room: 1.0 - r,
                },
            ),
            SpringForm::StressEnergy { a, b, ramp } => self.vector(
                spring,
                arch,
                StressEnergy {
                    a: *a,
                    ab: a * b,
                    slope: a / (1.0 - a * b * ramp) / ramp,
                },
            ),
            SpringForm::Linear { modulus } => self.vector(spring, arch, Linear { modulus: *modulus }),
            SpringForm::PlateauDensifying { s0, e0, d } => self.vector(
                spring,
                arch,
                PlateauDensifying {
                    s0: *s0,
                    twice: 2.0 / e0,
                    d: *d,
                },
            ),
            SpringForm::Tangent { modulus, lock } => self.scalar(spring, |e| tangent(*modulus, *lock, e)),
            SpringForm::Sampled { step, stresses } => self.scalar(spring, |e| sample(*step, stresses, e)),
        }
    }

    fn vector<F: Form>(&self, spring: &Spring, arch: Arch, form: F) -> Sums {
        if spring.is_rated() {
            arch.dispatch(Pass::<F, true> {
                run: self,
                spring,
                form,
            })
        } else {
            arch.dispatch(Pass::<F, false> {
                run: self,
                spring,
                form,
            })
        }
    }

    /// One by one, for forms that no vector computes.
    fn scalar(&self, spring: &Spring, within: impl Fn(f64) -> f64) -> Sums {
        let c = self.columns;
        let mut sums = Sums::NONE;
        for i in self.from..self.to {
            let place = Vec3::new(c.x[i], c.y[i], c.z[i]);
            let strain =
                (self.compression.value + self.compression.slope.dot(place)) * c.inverse[i] - c.gap[i];
            sums.strain = sums.strain.max(strain);
            if strain <= 0.0 {
                continue;
            }
            let e = strain.min(spring.end);
            let mut stress = within(e) + spring.end_slope * (strain - e);
            if spring.is_rated() {
                let rate = (self.rate.value + self.rate.slope.dot(place)) * c.inverse[i];
                let share = spring.hysteresis.map_or(1.0, |h| {
                    h.eta + (1.0 - h.eta) * 0.5 * (1.0 + (rate / h.rate).tanh())
                });
                stress = (stress * share + spring.damping * rate).max(0.0);
            }
            sums.force += c.area[i] * stress;
            if strain > spring.greatest {
                sums.beyond += c.area[i] * stress;
            }
            sums.moment += place * (c.area[i] * stress);
        }
        sums
    }
}

/// A closed form in vectors; strains are at or above 0 and at or below the form's end.
trait Form: Copy {
    fn stress<S: Simd>(self, simd: S, e: S::f64s) -> S::f64s;
}

#[derive(Clone, Copy)]
struct PlateauGas {
    s0: f64,
    twice: f64,
    p0: f64,
    room: f64,
}

impl Form for PlateauGas {
    #[inline(always)]
    fn stress<S: Simd>(self, simd: S, e: S::f64s) -> S::f64s {
        // tanh = (1 - E)/(1 + E) with E = exp(-2 e/e0); one division for both terms.
        let fade = fading(simd, simd.mul_f64s(e, simd.splat_f64s(self.twice)));
        let one = simd.splat_f64s(1.0);
        let below = simd.add_f64s(one, fade);
        let room = simd.sub_f64s(simd.splat_f64s(self.room), e);
        let plateau = simd.mul_f64s(simd.splat_f64s(self.s0), simd.sub_f64s(one, fade));
        let gas = simd.mul_f64s(simd.splat_f64s(self.p0), e);
        simd.div_f64s(
            simd.mul_add_e_f64s(plateau, room, simd.mul_f64s(gas, below)),
            simd.mul_f64s(below, room),
        )
    }
}

#[derive(Clone, Copy)]
struct RampGas {
    s0: f64,
    slope: f64,
    p0: f64,
    room: f64,
}

impl Form for RampGas {
    #[inline(always)]
    fn stress<S: Simd>(self, simd: S, e: S::f64s) -> S::f64s {
        let plateau = simd.min_f64s(
            simd.mul_f64s(e, simd.splat_f64s(self.slope)),
            simd.splat_f64s(self.s0),
        );
        let room = simd.sub_f64s(simd.splat_f64s(self.room), e);
        let gas = simd.div_f64s(simd.mul_f64s(simd.splat_f64s(self.p0), e), room);
        simd.add_f64s(plateau, gas)
    }
}

#[derive(Clone, Copy)]
struct StressEnergy {
    a: f64,
    ab: f64,
    slope: f64,
}

impl Form for StressEnergy {
    #[inline(always)]
    fn stress<S: Simd>(self, simd: S, e: S::f64s) -> S::f64s {
        // The curve bends upwards and starts above the ramp, so the lesser of the two is the ramp before their meeting.
        let left = simd.negate_mul_add_e_f64s(simd.splat_f64s(self.ab), e, simd.splat_f64s(1.0));
        simd.min_f64s(
            simd.div_f64s(simd.splat_f64s(self.a), left),
            simd.mul_f64s(e, simd.splat_f64s(self.slope)),
        )
    }
}

#[derive(Clone, Copy)]
struct Linear {
    modulus: f64,
}

impl Form for Linear {
    #[inline(always)]
    fn stress<S: Simd>(self, simd: S, e: S::f64s) -> S::f64s {
        simd.mul_f64s(simd.splat_f64s(self.modulus), e)
    }
}

#[derive(Clone, Copy)]
struct PlateauDensifying {
    s0: f64,
    twice: f64,
    d: f64,
}

impl Form for PlateauDensifying {
    #[inline(always)]
    fn stress<S: Simd>(self, simd: S, e: S::f64s) -> S::f64s {
        let one = simd.splat_f64s(1.0);
        let fade = fading(simd, simd.mul_f64s(e, simd.splat_f64s(self.twice)));
        let below = simd.add_f64s(one, fade);
        let left = simd.max_f64s(simd.sub_f64s(one, e), simd.splat_f64s(0.02));
        let left = simd.mul_f64s(left, left);
        let plateau = simd.mul_f64s(simd.splat_f64s(self.s0), simd.sub_f64s(one, fade));
        let cube = simd.mul_f64s(simd.mul_f64s(e, e), simd.mul_f64s(e, simd.splat_f64s(self.d)));
        simd.div_f64s(
            simd.mul_add_e_f64s(plateau, left, simd.mul_f64s(cube, below)),
            simd.mul_f64s(below, left),
        )
    }
}

/// exp(-y) for y at or above 0: a polynomial of y/64, squared six times. Absolute error below 1e-12; relative error
/// falls to rounding as y goes to 0, where 1 - exp(-y) needs it.
#[inline(always)]
fn fading<S: Simd>(simd: S, y: S::f64s) -> S::f64s {
    let x = simd.mul_f64s(
        simd.min_f64s(y, simd.splat_f64s(40.0)),
        simd.splat_f64s(-1.0 / 64.0),
    );
    let mut sum = simd.splat_f64s(1.0 / 40_320.0);
    for inverse in [
        1.0 / 5040.0,
        1.0 / 720.0,
        1.0 / 120.0,
        1.0 / 24.0,
        1.0 / 6.0,
        0.5,
        1.0,
        1.0,
    ] {
        sum = simd.mul_add_e_f64s(sum, x, simd.splat_f64s(inverse));
    }
    for _ in 0..6 {
        sum = simd.mul_f64s(sum, sum);
    }
    sum
}

struct Pass<'a, F, const RATED: bool> {
    run: &'a Run<'a>,
    spring: &'a Spring,
    form: F,
}

impl<F: Form, const RATED: bool> WithSimd for Pass<'_, F, RATED> {
    type Output = Sums;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Sums {
        let Self { run, spring, form } = self;
        let span = run.from..run.to;
        let (x, _) = S::as_simd_f64s(&run.columns.x[span.clone()]);
        let (y, _) = S::as_simd_f64s(&run.columns.y[span.clone()]);
        let (z, _) = S::as_simd_f64s(&run.columns.z[span.clone()]);
        let (area, _) = S::as_simd_f64s(&run.columns.area[span.clone()]);
        let (inverse, _) = S::as_simd_f64s(&run.columns.inverse[span.clone()]);
        let (gap, _) = S::as_simd_f64s(&run.columns.gap[span]);
        let zero = simd.splat_f64s(0.0);
        let affine = |of: Affine| {
            (
                simd.splat_f64s(of.value),
                simd.splat_f64s(of.slope.x),
                simd.splat_f64s(of.slope.y),
                simd.splat_f64s(of.slope.z),
            )
        };
        let (c, ax, ay, az) = affine(run.compression);
        let (rc, rx, ry, rz) = affine(run.rate);
        let end = simd.splat_f64s(spring.end);
        let end_slope = simd.splat_f64s(spring.end_slope);
        let greatest = simd.splat_f64s(spring.greatest);
        let (mut force, mut mx, mut my, mut mz) = (zero, zero, zero, zero);
        let (mut beyond, mut most) = (zero, zero);
        for (((((&x, &y), &z), &area), &inverse), &gap) in
            x.iter().zip(y).zip(z).zip(area).zip(inverse).zip(gap)
        {
            let travel =
                simd.mul_add_e_f64s(ax, x, simd.mul_add_e_f64s(ay, y, simd.mul_add_e_f64s(az, z, c)));
            let strain = simd.sub_f64s(simd.mul_f64s(travel, inverse), gap);
            let strain = simd.max_f64s(strain, zero);
            let e = simd.min_f64s(strain, end);
            let mut stress = simd.mul_add_e_f64s(end_slope, simd.sub_f64s(strain, e), form.stress(simd, e));
            if RATED {
                let rate = simd.mul_f64s(
                    simd.mul_add_e_f64s(rx, x, simd.mul_add_e_f64s(ry, y, simd.mul_add_e_f64s(rz, z, rc))),
                    inverse,
                );
                if let Some(h) = spring.hysteresis {
                    // (1 + tanh u)/2 = 1/(1 + exp(-2 u)).
                    let u = simd.mul_f64s(rate, simd.splat_f64s(2.0 / h.rate));
                    let fade = fading(simd, simd.abs_f64s(u));
                    let one = simd.splat_f64s(1.0);
                    let top = simd.select_f64s(simd.less_than_f64s(u, zero), fade, one);
                    let half = simd.div_f64s(top, simd.add_f64s(one, fade));
                    let share =
                        simd.mul_add_e_f64s(simd.splat_f64s(1.0 - h.eta), half, simd.splat_f64s(h.eta));
                    stress = simd.mul_f64s(stress, share);
                }
                let damped = simd.max_f64s(
                    simd.mul_add_e_f64s(simd.splat_f64s(spring.damping), rate, stress),
                    zero,
                );
                stress = simd.select_f64s(simd.greater_than_f64s(strain, zero), damped, zero);
            }
            let push = simd.mul_f64s(area, stress);
            force = simd.add_f64s(force, push);
            mx = simd.mul_add_e_f64s(push, x, mx);
            my = simd.mul_add_e_f64s(push, y, my);
            mz = simd.mul_add_e_f64s(push, z, mz);
            let is_beyond = simd.greater_than_f64s(strain, greatest);
            beyond = simd.add_f64s(beyond, simd.select_f64s(is_beyond, push, zero));
            most = simd.max_f64s(most, strain);
        }
        Sums {
            force: simd.reduce_sum_f64s(force),
            moment: Vec3::new(
                simd.reduce_sum_f64s(mx),
                simd.reduce_sum_f64s(my),
                simd.reduce_sum_f64s(mz),
            ),
            beyond: simd.reduce_sum_f64s(beyond),
            strain: simd.reduce_max_f64s(most),
        }
    }
}
