//! Soft and loose goods: the block that a coil, a strap, a pouch or a manual is pressed into.

use super::{Primitive, Softness};
use caddis_basis::Length;
use std::f64::consts::PI;

/// Length to width to height of a pocket of which no side is stated (common practice, no source): flat goods lie flat.
const PROPORTIONS: [f64; 3] = [3.0, 2.0, 1.0];
/// What rounding takes.
const NEARLY: f64 = 1.0 - 1e-9;

impl Softness {
    /// The block they take in their pocket: sides (length, width, height) as stated, the others so that it holds the volume.
    ///
    /// A coil lies flat and round: no side of its plan is less than two least bend radii and two widths of its bundle, and
    /// the middle, which is left free, counts as taken.
    ///
    /// # Errors
    /// A sentence without a full stop: what is stated holds less than the volume, or bends it too far.
    ///
    /// # Source
    /// A ring of square section: V = 2 pi (r + s / 2) s h (derived).
    pub fn pocket(&self, stated: [Option<Length>; 3]) -> Result<Primitive, String> {
        let [length, width, height] = match self.least_bend_radius {
            None => self.block(stated)?,
            Some(radius) => self.coil(radius.si(), stated)?,
        };
        Ok(Primitive::Cuboid {
            length: Length::from_si(length),
            width: Length::from_si(width),
            height: Length::from_si(height),
        })
    }

    fn block(&self, stated: [Option<Length>; 3]) -> Result<[f64; 3], String> {
        let volume = self.volume.si();
        let known: f64 = stated.iter().flatten().map(|side| side.si()).product();
        let missing = || stated.iter().zip(PROPORTIONS).filter(|(side, _)| side.is_none());
        let count = missing().count();
        if count == 0 {
            if known < volume * NEARLY {
                return Err(format!(
                    "the pocket holds {:.2} L, less than the {} that its goods take",
                    known * 1e3,
                    self.volume
                ));
            }
            return Ok(stated.map(|side| side.map_or(0.0, Length::si)));
        }
        let shares: f64 = missing().map(|(_, share)| share).product();
        let unit = (volume / known / shares).powf(1.0 / count as f64);
        let mut sides = [0.0; 3];
        for (side, (stated, share)) in sides.iter_mut().zip(stated.iter().zip(PROPORTIONS)) {
            *side = stated.map_or(unit * share, Length::si);
        }
        Ok(sides)
    }

    fn coil(&self, radius: f64, [length, width, height]: [Option<Length>; 3]) -> Result<[f64; 3], String> {
        let volume = self.volume.si();
        let held = |bundle: f64, height: f64| PI * bundle * height * (2.0 * radius + bundle);
        let plan = [length, width].into_iter().flatten().map(Length::si);
        let narrow = plan.fold(f64::INFINITY, f64::min);
        if narrow.is_finite() {
            let bundle = narrow / 2.0 - radius;
            if bundle <= 0.0 {
                return Err(format!(
                    "a pocket {:.0} mm wide bends it tighter than {:.0} mm",
                    narrow * 1e3,
                    radius * 1e3
                ));
            }
            let least = volume / held(bundle, 1.0);
            let height = height.map_or(least, Length::si);
            if height < least * NEARLY {
                return Err(format!(
                    "a coil {:.0} mm across and {:.0} mm high holds {:.2} L, less than the {} that it takes",
                    narrow * 1e3,
                    height * 1e3,
                    held(bundle, height) * 1e3,
                    self.volume
                ));
            }
            return Ok([
                length.map_or(narrow, Length::si),
                width.map_or(narrow, Length::si),
                height,
            ]);
        }
        let (bundle, height) = if let Some(height) = height {
            let height = height.si();
            ((radius * radius + volume / (PI * height)).sqrt() - radius, height)
        } else {
            // As high as its bundle is wide.
            let (mut low, mut high) = (0.0, volume.cbrt());
            for _ in 0..200 {
                let middle = f64::midpoint(low, high);
                if held(middle, middle) < volume {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            (high, high)
        };
        let across = 2.0 * (radius + bundle);
        Ok([across, across, height])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use caddis_basis::Volume;
    use proptest::prelude::*;

    fn goods(litres: f64, radius_mm: Option<f64>) -> Softness {
        Softness {
            least_bend_radius: radius_mm.map(Length::mm),
            volume: Volume::from_si(litres * 1e-3),
        }
    }

    fn sides(pocket: &Primitive) -> [f64; 3] {
        match pocket {
            Primitive::Cuboid {
                length,
                width,
                height,
            } => [length.as_mm(), width.as_mm(), height.as_mm()],
            Primitive::Cylinder { .. } => panic!("a pocket is a block"),
        }
    }

    #[test]
    fn a_pouch_lies_flat() {
        let got = sides(&goods(0.75, None).pocket([None; 3]).expect("a pocket"));
        for (got, want) in got.into_iter().zip([150.0, 100.0, 50.0]) {
            assert!((got - want).abs() < 1e-9, "{got} {want}");
        }
        let got = sides(
            &goods(0.6, None)
                .pocket([None, None, Some(Length::mm(25.0))])
                .expect("a pocket"),
        );
        assert!((got[0] / got[1] - 1.5).abs() < 1e-9 && (got[0] * got[1] * 25.0 - 6e5).abs() < 1e-3);
    }

    #[test]
    fn a_coil_keeps_its_radius() {
        let got = sides(&goods(0.5, Some(60.0)).pocket([None; 3]).expect("a pocket"));
        let bundle = got[0] / 2.0 - 60.0;
        let ring = 2.0 * PI * (60.0 + bundle / 2.0) * bundle * got[2];
        assert!(
            (ring - 5e5).abs() < 1e-3 && (bundle - got[2]).abs() < 1e-6,
            "{got:?}"
        );
        let narrow = goods(0.5, Some(60.0)).pocket([Some(Length::mm(110.0)), None, None]);
        assert!(narrow.expect_err("too narrow").contains("tighter than 60 mm"));
        let low = goods(0.5, Some(60.0)).pocket([Some(Length::mm(150.0)), None, Some(Length::mm(20.0))]);
        assert!(low.expect_err("too low").contains("less than"));
    }

    proptest! {
        #[test]
        fn what_is_not_stated_holds_the_volume(
            litres in 0.05..20.0_f64, radius in prop::option::of(5.0..200.0_f64), height in prop::option::of(5.0..200.0_f64)
        ) {
            let pocket = goods(litres, radius).pocket([None, None, height.map(Length::mm)]).expect("a pocket");
            let [l, w, h] = sides(&pocket);
            prop_assert!(l * w * h >= litres * 1e6 * NEARLY);
            prop_assert!(radius.is_none_or(|r| l.min(w) > 2.0 * r));
            prop_assert!(height.is_none_or(|height| (h - height).abs() < 1e-9));
        }
    }
}
