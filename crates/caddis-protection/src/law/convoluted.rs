//! Convoluted sheets: fingers on a base, as the literature treats them.
//!
//! A convoluted cushion acts as a block of its base; its fingers reduce the effective height of the fall by several
//! finger heights. How many is a matter of test of that very sheet, best given as its own cushion curves: without one
//! the fingers are worth nothing, which errs to the severe side.

use crate::{CushionCurves, Law, LawError, LawKind, LawRange, MeasuredCurve, SpringLaw};
use caddis_basis::{Source, said};

impl Law {
    /// The law of a convoluted sheet of this foam, per its whole thickness: a block of the base alone.
    ///
    /// `finger_share` is the height of the fingers over the whole thickness. Strains and thicknesses are those of the
    /// whole sheet, so a sheet bottoms where its base does. Never counts as measured: peaks predicted in this way were
    /// about 20 % from measured ones.
    ///
    /// # Errors
    /// A share outside 0 to below 1; as [`Law::check`].
    ///
    /// # Accuracy
    /// Of the sheet: about 20 % of the peak. Of the algebra: exact.
    ///
    /// # Source
    /// Srinangyam, Michigan State University MS thesis 1999, convoluted polyurethane ester: block of the base, about 20 %
    /// from measured peaks (published). The change of variable, strain of the base = strain of the sheet / (1 - share),
    /// is derived.
    pub fn convoluted(&self, finger_share: f64) -> Result<Self, LawError> {
        if !(0.0..1.0).contains(&finger_share) {
            return Err(LawError::Settings(format!(
                "fingers of {finger_share} of a sheet's thickness: give a share from 0 to below 1"
            )));
        }
        let base = 1.0 - finger_share;
        let of_sheet = |range: Option<(f64, f64)>| range.map(|(low, high)| (low / base, high / base));
        Self {
            kind: kind(&self.kind, base)?,
            range: LawRange {
                static_stress: self.range.static_stress,
                greatest_strain: self.range.greatest_strain * base,
                thickness: of_sheet(self.range.thickness),
                drop_height: self.range.drop_height,
            },
            gravity_in_fit: self.gravity_in_fit,
            is_measured_dynamic: false,
            source: Source::derived(said!(
                "convoluted sheet as a block of its base, fingers {share:.0} % of its thickness worth nothing; Srinangyam, Michigan \
                 State University MS thesis 1999: about 20 % from measured peaks; base: {base}",
                share = finger_share * 100.0,
                base = self.source.said()
            )),
        }
        .validated()
    }
}

/// The form in strains of the sheet, of which the base is the share `base`.
fn kind(of: &LawKind, base: f64) -> Result<LawKind, LawError> {
    Ok(match of {
        LawKind::StressEnergy { a, b } => LawKind::StressEnergy { a: *a, b: b / base },
        LawKind::ClosedCellGas { s0, p0, r } => LawKind::ClosedCellGas {
            s0: *s0,
            p0: *p0,
            r: 1.0 - base * (1.0 - r),
        },
        LawKind::Table(points) => LawKind::Table(points.iter().map(|(e, s)| (e * base, *s)).collect()),
        LawKind::Spring(spring) => LawKind::Spring(match *spring {
            SpringLaw::Linear { modulus } => SpringLaw::Linear {
                modulus: modulus / base,
            },
            SpringLaw::Cubic { modulus, hardening } => SpringLaw::Cubic {
                modulus: modulus / base,
                hardening: hardening / base.powi(3),
            },
            SpringLaw::Tangent { modulus, bottoming } => SpringLaw::Tangent {
                modulus: modulus / base,
                bottoming: bottoming * base,
            },
            SpringLaw::HyperbolicTangent { modulus, ceiling } => SpringLaw::HyperbolicTangent {
                modulus: modulus / base,
                ceiling,
            },
            SpringLaw::Bilinear {
                modulus,
                knee,
                second_modulus,
            } => SpringLaw::Bilinear {
                modulus: modulus / base,
                knee: knee * base,
                second_modulus: second_modulus / base,
            },
        }),
        LawKind::CushionCurves(family) => LawKind::CushionCurves(CushionCurves::new(
            family
                .curves()
                .iter()
                .map(|curve| MeasuredCurve {
                    thickness: curve.thickness * (1.0 / base),
                    ..curve.clone()
                })
                .collect(),
        )?),
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_basis::{Acceleration, Certainty, Length, Pressure};

    fn law(kind: LawKind, greatest_strain: f64) -> Law {
        Law {
            kind,
            range: LawRange {
                static_stress: None,
                greatest_strain,
                thickness: Some((0.02, 0.1)),
                drop_height: None,
            },
            gravity_in_fit: false,
            is_measured_dynamic: false,
            source: Source::new("test", Certainty::Invented),
        }
    }

    fn forms() -> Vec<Law> {
        vec![
            law(LawKind::StressEnergy { a: 3e4, b: 3.5e-5 }, 0.8),
            law(
                LawKind::ClosedCellGas {
                    s0: 1e4,
                    p0: 101_325.0,
                    r: 0.03,
                },
                0.8,
            ),
            law(LawKind::Table(vec![(0.0, 0.0), (0.4, 3e4), (0.8, 2e5)]), 0.8),
            law(LawKind::Spring(SpringLaw::Linear { modulus: 2e5 }), 0.9),
            law(
                LawKind::Spring(SpringLaw::Cubic {
                    modulus: 1e5,
                    hardening: 3e5,
                }),
                0.9,
            ),
            law(
                LawKind::Spring(SpringLaw::Tangent {
                    modulus: 1e5,
                    bottoming: 0.9,
                }),
                0.8,
            ),
            law(
                LawKind::Spring(SpringLaw::HyperbolicTangent {
                    modulus: 1e6,
                    ceiling: 6e4,
                }),
                0.9,
            ),
            law(
                LawKind::Spring(SpringLaw::Bilinear {
                    modulus: 1e5,
                    knee: 0.5,
                    second_modulus: 9e5,
                }),
                0.9,
            ),
        ]
    }

    #[test]
    fn a_sheet_falls_as_a_block_of_its_base() {
        let (stress, height) = (Pressure::kpa(1.5), Length::mm(500.0));
        for law in forms() {
            let sheet = law.convoluted(0.4).unwrap();
            let of_sheet = sheet.cushion_point(stress, height, Length::mm(100.0)).unwrap();
            let of_base = law.cushion_point(stress, height, Length::mm(60.0)).unwrap();
            assert!((of_sheet.peak / of_base.peak - 1.0).abs() < 1e-9, "{law:?}");
            assert!((of_sheet.strain / of_base.strain - 0.6).abs() < 1e-9, "{law:?}");
            assert!((sheet.range.greatest_strain / law.range.greatest_strain - 0.6).abs() < 1e-12);
        }
    }

    #[test]
    fn measured_curves_keep_their_peaks_at_the_thickness_of_the_sheet() {
        let mut family = law(
            LawKind::CushionCurves(
                CushionCurves::new(vec![MeasuredCurve {
                    thickness: Length::mm(50.0),
                    height: Length::mm(600.0),
                    points: vec![
                        (Pressure::kpa(1.0), Acceleration::g(90.0)),
                        (Pressure::kpa(4.0), Acceleration::g(45.0)),
                    ],
                }])
                .unwrap(),
            ),
            0.3,
        );
        family.range.thickness = Some((0.05, 0.05));
        let sheet = family.convoluted(0.5).unwrap();
        let (s, h) = (Pressure::kpa(2.0), Length::mm(600.0));
        let peak = sheet.peak_g(s, h, Length::mm(100.0)).unwrap();
        assert!((peak / family.peak_g(s, h, Length::mm(50.0)).unwrap() - 1.0).abs() < 1e-9);
        assert!(sheet.peak_g(s, h, Length::mm(50.0)).is_err());
    }

    #[test]
    fn no_fingers_change_nothing_and_claims_are_lost() {
        let mut law = forms().remove(0);
        law.source = Source::new("test", Certainty::Measured);
        law.is_measured_dynamic = true;
        let sheet = law.convoluted(0.0).unwrap();
        assert_eq!(sheet.kind, law.kind);
        assert!(!sheet.is_measured_dynamic);
        for share in [-0.1, 1.0, f64::NAN] {
            assert!(law.convoluted(share).is_err(), "{share}");
        }
    }
}
