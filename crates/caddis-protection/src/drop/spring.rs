//! What stands behind a patch: stress over strain as the simulation uses it.
//!
//! Every form starts at zero stress. A law that starts at a finite stress is given a short straight ramp first, so that the
//! equations of motion stay continuous; what the ramp costs in energy is stated at [`Spring::of_law`].

use crate::{Law, LawError, LawKind};

/// The form of a spring. Stresses in pascals, strains as fractions of the thickness.
#[derive(Debug, Clone, PartialEq)]
pub enum SpringForm {
    /// sigma = s0 tanh(e/e0) + p0 e / (1 - r - e): smooth plateau and compressed gas.
    PlateauGas {
        /// Plateau stress, Pa.
        s0: f64,
        /// Strain of the knee.
        e0: f64,
        /// Gas pressure, Pa.
        p0: f64,
        /// Solid fraction.
        r: f64,
    },
    /// sigma = s0 min(e/ramp, 1) + p0 e / (1 - r - e): plateau reached by a straight ramp.
    RampGas {
        /// Plateau stress, Pa.
        s0: f64,
        /// Strain at the end of the ramp.
        ramp: f64,
        /// Gas pressure, Pa.
        p0: f64,
        /// Solid fraction.
        r: f64,
    },
    /// sigma = a / (1 - a b e) from the end of a straight ramp on.
    StressEnergy {
        /// Pa.
        a: f64,
        /// 1/Pa.
        b: f64,
        /// Strain at the end of the ramp.
        ramp: f64,
    },
    /// sigma = (2 k eb / pi) tan(pi e / (2 eb)): Mindlin's tangent form.
    Tangent {
        /// Modulus at strain 0, Pa.
        modulus: f64,
        /// Strain at lock-up.
        lock: f64,
    },
    /// sigma = E e.
    Linear {
        /// Modulus, Pa.
        modulus: f64,
    },
    /// sigma = s0 tanh(e/e0) + d e^3 / max(1 - e, 0.02)^2: plateau and densification.
    PlateauDensifying {
        /// Plateau stress, Pa.
        s0: f64,
        /// Strain of the knee.
        e0: f64,
        /// Stress of densification, Pa.
        d: f64,
    },
    /// Straight lines between stresses at equal steps of strain, from strain 0.
    Sampled {
        /// Strain from one stress to the next.
        step: f64,
        /// Stresses, Pa; the first is 0.
        stresses: Vec<f64>,
    },
}

/// Loss between loading and unloading: the stress is multiplied by eta + (1 - eta)/2 (1 + tanh(rate/rate0)).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hysteresis {
    /// Share of the stress left in fast unloading, 0 to 1.
    pub eta: f64,
    /// Strain rate of the change-over, 1/s.
    pub rate: f64,
}

impl Hysteresis {
    /// Refuses numbers that are none, in words.
    pub(crate) fn check(&self) -> Result<(), String> {
        if (0.0..=1.0).contains(&self.eta) && positive(self.rate) {
            Ok(())
        } else {
            Err(format!(
                "hysteresis wants a share from 0 to 1 and a positive rate, not {} and {} 1/s",
                self.eta, self.rate
            ))
        }
    }
}

/// A spring with its losses and where its form ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Spring {
    pub(super) form: SpringForm,
    pub(super) hysteresis: Option<Hysteresis>,
    /// Pa s: stress per strain rate, never pulling.
    pub(super) damping: f64,
    /// Strain beyond which the spring goes on along its tangent, its stress there and that tangent.
    pub(super) end: f64,
    pub(super) end_stress: f64,
    pub(super) end_slope: f64,
    /// Energy up to each sample; empty for closed forms.
    energies: Vec<f64>,
    /// Strain beyond which the foam counts as crushed past its law.
    pub(super) greatest: f64,
    /// No foam: what an item strikes where nothing lies between.
    pub(super) is_hard: bool,
}

/// Strain over which a law with a finite initial stress is ramped up.
const RAMP: f64 = 0.002;
/// Samples of a law that has no closed form here.
const SAMPLES: usize = 4096;
/// Share of the way to a pole that the closed form is followed; beyond, the tangent.
const TO_THE_POLE: f64 = 0.995;

impl Spring {
    /// A spring without losses.
    ///
    /// # Errors
    /// Constants that are not finite or not positive, or that make no rising curve.
    pub fn new(form: SpringForm) -> Result<Self, LawError> {
        check(&form)?;
        let pole = match &form {
            SpringForm::PlateauGas { r, .. } | SpringForm::RampGas { r, .. } => (1.0 - r) * TO_THE_POLE,
            SpringForm::StressEnergy { a, b, .. } => TO_THE_POLE / (a * b),
            SpringForm::Tangent { lock, .. } => lock * TO_THE_POLE,
            SpringForm::Linear { .. } => f64::INFINITY,
            SpringForm::PlateauDensifying { .. } => 0.98,
            SpringForm::Sampled { step, stresses } => step * (stresses.len() - 1) as f64,
        };
        let mut spring = Self {
            energies: match &form {
                SpringForm::Sampled { step, stresses } => trapezoids(*step, stresses),
                _ => Vec::new(),
            },
            form,
            hysteresis: None,
            damping: 0.0,
            end: f64::INFINITY,
            end_stress: 0.0,
            end_slope: 0.0,
            greatest: pole,
            is_hard: false,
        };
        if pole.is_finite() {
            let stress = spring.stress(pole);
            let below = pole * (1.0 - 1e-6);
            // A measured curve just stops: beyond it the foam is taken as twenty times as stiff as its secant.
            let secant = 20.0 * stress / pole;
            spring.end_slope = ((stress - spring.stress(below)) / (pole - below)).max(secant);
            spring.end_stress = stress;
            spring.end = pole;
        }
        Ok(spring)
    }

    /// Something hard: a linear spring that stands where no foam does, so that a strike is noticed and has a price.
    /// Touching it counts as a strike, not as strain of foam.
    ///
    /// # Errors
    /// A modulus that is not positive.
    pub fn hard(modulus: f64) -> Result<Self, LawError> {
        let mut spring = Self::new(SpringForm::Linear { modulus })?;
        spring.is_hard = true;
        Ok(spring)
    }

    /// The spring of a law, ramped up over a strain of 0.002 where the law starts at a finite stress.
    ///
    /// # Accuracy
    /// The ramp takes half of 0.002 times the initial stress less energy than the law (J/m³): below 0.5 % of the peak
    /// wherever the drop spends more than about a hundredth of a joule per cubic decimetre for each kilopascal of
    /// initial stress. Tables and other measured forms are resampled in 4096 straight pieces of equal strain.
    ///
    /// # Errors
    /// As [`Law::check`].
    pub fn of_law(law: &Law) -> Result<Self, LawError> {
        law.check()?;
        let form = match &law.kind {
            LawKind::StressEnergy { a, b } => SpringForm::StressEnergy {
                a: *a,
                b: *b,
                ramp: RAMP,
            },
            LawKind::ClosedCellGas { s0, p0, r } => SpringForm::RampGas {
                s0: *s0,
                ramp: RAMP,
                p0: *p0,
                r: *r,
            },
            LawKind::CushionCurves(_) => {
                return Err(LawError::Constants(
                    "a family of cushion curves has no one stress at a strain; simulate the law that `Law::at` gives for \
                     the height and thickness"
                        .to_owned(),
                ));
            }
            LawKind::Table(_) | LawKind::Spring(_) => {
                let last = law.last_strain() * if law.has_pole() { TO_THE_POLE } else { 1.0 };
                let step = last / SAMPLES as f64;
                let stresses = (0..=SAMPLES)
                    .map(|i| {
                        let strain = (i as f64 * step).min(last);
                        law.stress(strain).min(if strain < RAMP {
                            law.stress(RAMP.min(last)) * strain / RAMP
                        } else {
                            f64::INFINITY
                        })
                    })
                    .collect();
                SpringForm::Sampled { step, stresses }
            }
        };
        let mut spring = Self::new(form)?;
        spring.greatest = law.range.greatest_strain;
        Ok(spring)
    }

    /// The same spring with hysteresis.
    ///
    /// # Errors
    /// A share outside 0 to 1, or a rate that is not positive.
    pub fn with_hysteresis(mut self, hysteresis: Hysteresis) -> Result<Self, LawError> {
        hysteresis.check().map_err(LawError::Constants)?;
        self.hysteresis = Some(hysteresis);
        Ok(self)
    }

    /// The same spring with a dashpot beside it, in pascal seconds; stress and dashpot together never pull.
    ///
    /// # Errors
    /// A value that is negative or not finite.
    pub fn with_damping(mut self, damping: f64) -> Result<Self, LawError> {
        if !(damping.is_finite() && damping >= 0.0) {
            return Err(LawError::Constants(format!(
                "damping {damping} Pa s must not be negative"
            )));
        }
        self.damping = damping;
        Ok(self)
    }

    /// The same spring, its stress multiplied by a factor (scatter of the foam, temperature).
    ///
    /// # Errors
    /// A factor that is not positive.
    pub fn scaled(&self, factor: f64) -> Result<Self, LawError> {
        if !positive(factor) {
            return Err(LawError::Constants(format!(
                "the factor on a foam's stress must be positive, not {factor}"
            )));
        }
        let form = match &self.form {
            SpringForm::PlateauGas { s0, e0, p0, r } => SpringForm::PlateauGas {
                s0: s0 * factor,
                e0: *e0,
                p0: p0 * factor,
                r: *r,
            },
            SpringForm::RampGas { s0, ramp, p0, r } => SpringForm::RampGas {
                s0: s0 * factor,
                ramp: *ramp,
                p0: p0 * factor,
                r: *r,
            },
            SpringForm::StressEnergy { a, b, ramp } => SpringForm::StressEnergy {
                a: a * factor,
                b: b / factor,
                ramp: *ramp,
            },
            SpringForm::Tangent { modulus, lock } => SpringForm::Tangent {
                modulus: modulus * factor,
                lock: *lock,
            },
            SpringForm::Linear { modulus } => SpringForm::Linear {
                modulus: modulus * factor,
            },
            SpringForm::PlateauDensifying { s0, e0, d } => SpringForm::PlateauDensifying {
                s0: s0 * factor,
                e0: *e0,
                d: d * factor,
            },
            SpringForm::Sampled { step, stresses } => SpringForm::Sampled {
                step: *step,
                stresses: stresses.iter().map(|stress| stress * factor).collect(),
            },
        };
        let mut scaled = Self::new(form)?;
        scaled.hysteresis = self.hysteresis;
        scaled.damping = self.damping * factor;
        scaled.greatest = self.greatest;
        scaled.is_hard = self.is_hard;
        Ok(scaled)
    }

    /// Stress at a strain, without losses.
    ///
    /// # Units
    /// Pascals.
    ///
    /// # Source
    /// The forms as stated at [`SpringForm`]; beyond their end, the tangent.
    pub fn stress(&self, strain: f64) -> f64 {
        if strain <= 0.0 {
            return 0.0;
        }
        let e = strain.min(self.end);
        let within = match &self.form {
            SpringForm::PlateauGas { s0, e0, p0, r } => s0 * (e / e0).tanh() + p0 * e / (1.0 - r - e),
            SpringForm::RampGas { s0, ramp, p0, r } => s0 * (e / ramp).min(1.0) + p0 * e / (1.0 - r - e),
            SpringForm::StressEnergy { a, b, ramp } => {
                (a / (1.0 - a * b * e)).min(a / (1.0 - a * b * ramp) * e / ramp)
            }
            SpringForm::Tangent { modulus, lock } => tangent(*modulus, *lock, e),
            SpringForm::Linear { modulus } => modulus * e,
            SpringForm::PlateauDensifying { s0, e0, d } => {
                s0 * (e / e0).tanh() + d * e.powi(3) / (1.0 - e).max(0.02).powi(2)
            }
            SpringForm::Sampled { step, stresses } => sample(*step, stresses, e),
        };
        within + self.end_slope * (strain - e)
    }

    /// Stress at a strain and a strain rate, losses included; never pulls.
    pub fn stress_at_rate(&self, strain: f64, rate: f64) -> f64 {
        if strain <= 0.0 {
            return 0.0;
        }
        let share = self.hysteresis.map_or(1.0, |h| {
            h.eta + (1.0 - h.eta) * 0.5 * (1.0 + (rate / h.rate).tanh())
        });
        (self.stress(strain) * share + self.damping * rate).max(0.0)
    }

    /// Energy per volume up to a strain, without losses.
    ///
    /// # Units
    /// J/m³.
    ///
    /// # Source
    /// Integrals of the forms, derived; by `ln_1p` where terms cancel near strain 0.
    pub fn energy(&self, strain: f64) -> f64 {
        if strain <= 0.0 {
            return 0.0;
        }
        let e = strain.min(self.end);
        let beyond = strain - e;
        let within = match &self.form {
            SpringForm::PlateauGas { s0, e0, p0, r } => s0 * e0 * ln_cosh(e / e0) + gas_energy(*p0, *r, e),
            SpringForm::RampGas { s0, ramp, p0, r } => {
                let plateau = if e < *ramp {
                    s0 * e * e / (2.0 * ramp)
                } else {
                    s0 * (e - ramp / 2.0)
                };
                plateau + gas_energy(*p0, *r, e)
            }
            SpringForm::StressEnergy { a, b, ramp } => {
                let top = a / (1.0 - a * b * ramp);
                if e < *ramp {
                    top * e * e / (2.0 * ramp)
                } else {
                    top * ramp / 2.0 + ((-a * b * ramp).ln_1p() - (-a * b * e).ln_1p()) / b
                }
            }
            SpringForm::Tangent { modulus, lock } => {
                let angle = std::f64::consts::FRAC_PI_2 * e / lock;
                // -ln cos, by the sine near 0 where the cosine is 1 to rounding.
                let minus_ln_cos = if angle < 0.5 {
                    -0.5 * (-angle.sin().powi(2)).ln_1p()
                } else {
                    -angle.cos().ln()
                };
                4.0 * modulus * lock * lock / std::f64::consts::PI.powi(2) * minus_ln_cos
            }
            SpringForm::Linear { modulus } => modulus * e * e / 2.0,
            SpringForm::PlateauDensifying { s0, e0, d } => {
                s0 * e0 * ln_cosh(e / e0) + d * densifying_energy(e)
            }
            SpringForm::Sampled { step, stresses } => {
                let cell = ((e / step) as usize).min(stresses.len() - 2);
                let start = cell as f64 * step;
                self.energies[cell] + 0.5 * (stresses[cell] + sample(*step, stresses, e)) * (e - start)
            }
        };
        within + self.end_stress * beyond + 0.5 * self.end_slope * beyond * beyond
    }

    /// Whether the stress depends on the strain rate.
    pub(super) fn is_rated(&self) -> bool {
        self.hysteresis.is_some() || self.damping > 0.0
    }
}

pub(super) fn tangent(modulus: f64, lock: f64, e: f64) -> f64 {
    2.0 * modulus * lock / std::f64::consts::PI * (std::f64::consts::FRAC_PI_2 * e / lock).tan()
}

pub(super) fn sample(step: f64, stresses: &[f64], e: f64) -> f64 {
    let at = e / step;
    let cell = (at as usize).min(stresses.len() - 2);
    stresses[cell] + (stresses[cell + 1] - stresses[cell]) * (at - cell as f64)
}

fn positive(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

fn check(form: &SpringForm) -> Result<(), LawError> {
    let values: Vec<(&str, f64, bool)> = match form {
        SpringForm::PlateauGas { s0, e0, p0, r } => vec![
            ("plateau stress", *s0, *s0 >= 0.0),
            ("strain of the knee", *e0, *e0 > 0.0),
            ("gas pressure", *p0, *p0 > 0.0),
            ("solid fraction", *r, (0.0..1.0).contains(r)),
        ],
        SpringForm::RampGas { s0, ramp, p0, r } => vec![
            ("plateau stress", *s0, *s0 >= 0.0),
            ("strain of the ramp", *ramp, *ramp > 0.0),
            ("gas pressure", *p0, *p0 > 0.0),
            ("solid fraction", *r, (0.0..1.0).contains(r)),
        ],
        SpringForm::StressEnergy { a, b, ramp } => vec![
            ("stress-energy constant a", *a, *a > 0.0),
            ("stress-energy constant b", *b, *b > 0.0),
            ("strain of the ramp", *ramp, *ramp > 0.0 && a * b * ramp < 0.5),
        ],
        SpringForm::Tangent { modulus, lock } => vec![
            ("modulus", *modulus, *modulus > 0.0),
            ("strain at lock-up", *lock, *lock > 0.0),
        ],
        SpringForm::Linear { modulus } => vec![("modulus", *modulus, *modulus > 0.0)],
        SpringForm::PlateauDensifying { s0, e0, d } => vec![
            ("plateau stress", *s0, *s0 >= 0.0),
            ("strain of the knee", *e0, *e0 > 0.0),
            ("stress of densification", *d, *d >= 0.0),
        ],
        SpringForm::Sampled { step, stresses } => {
            if stresses.len() < 2 || stresses[0] != 0.0 {
                return Err(LawError::Constants(
                    "sampled stresses must be at least two and start at 0".to_owned(),
                ));
            }
            let mut values = vec![("strain step", *step, *step > 0.0)];
            values.extend(stresses.iter().map(|stress| ("stress", *stress, *stress >= 0.0)));
            values
        }
    };
    match values
        .iter()
        .find(|(_, value, is_good)| !(value.is_finite() && *is_good))
    {
        Some((what, value, _)) => Err(LawError::Constants(format!(
            "{what} {value} makes no spring for a drop"
        ))),
        None => Ok(()),
    }
}

fn trapezoids(step: f64, stresses: &[f64]) -> Vec<f64> {
    let mut sum = 0.0;
    let mut out = vec![0.0];
    for pair in stresses.windows(2) {
        sum += 0.5 * (pair[0] + pair[1]) * step;
        out.push(sum);
    }
    out
}

/// ln cosh without loss near 0 or overflow far off.
fn ln_cosh(x: f64) -> f64 {
    if x < 0.5 {
        0.5 * x.sinh().powi(2).ln_1p()
    } else {
        x + (-2.0 * x).exp().ln_1p() - std::f64::consts::LN_2
    }
}

/// -p0 [e + (1 - r) ln(1 - e/(1 - r))], by its series where the terms cancel.
fn gas_energy(p0: f64, r: f64, e: f64) -> f64 {
    let used = e / (1.0 - r);
    let excess = if used > 0.05 {
        -(used + (-used).ln_1p())
    } else {
        (2..=16).rev().fold(0.0, |sum, n| sum * used + 1.0 / f64::from(n)) * used * used
    };
    p0 * (1.0 - r) * excess
}

/// The integral of e^3/(1 - e)^2, by its series near 0.
fn densifying_energy(e: f64) -> f64 {
    if e < 0.2 {
        // e^3 (1 + 2 e + 3 e^2 + ...) term by term.
        return (1..=28)
            .rev()
            .fold(0.0, |sum, n| sum * e + f64::from(n) / f64::from(n + 3))
            * e.powi(4);
    }
    let left = 1.0 - e;
    0.5 * e * e + 2.0 * e + 3.0 * left.ln() + 1.0 / left - 1.0
}
