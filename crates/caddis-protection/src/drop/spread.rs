//! How far peaks scatter when direction, height, foam and temperature do: a quasi-random sample, the same for one seed.

use super::Gravity;
use super::fall_map::ItemFall;
use super::packing::Packing;
use super::simulate::{Fall, Landing, Precision, Watch, simulate};
use crate::LawError;
use caddis_basis::{Length, Said, in_order, said};
use caddis_geometry::Vec3;

/// What scatters, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct SpreadSettings {
    /// Height below which 95 % of drops stay.
    pub height_95: Length,
    /// Height that no drop passes.
    pub highest: Length,
    /// Share of drops that land flat on the base; the others fall in any direction alike.
    pub base_share: f64,
    /// Half-width of the factor on the foam's stress, from piece to piece.
    pub foam_scatter: f64,
    /// Factor on the foam's stress at the warmest and at the coldest.
    pub temperature_factors: (f64, f64),
    /// Falls in the sample.
    pub samples: usize,
    /// Another seed gives another sample of the same kind.
    pub seed: u64,
    /// Gravity in the stroke.
    pub gravity: Gravity,
    /// How finely each fall is followed.
    pub precision: Precision,
    /// Threads to work on; the answer does not depend on it.
    pub threads: usize,
}

/// Peaks of one item over the sample, G.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeakSpread {
    /// One fall in twenty is gentler.
    pub low: f64,
    /// Half of the falls are gentler.
    pub middle: f64,
    /// One fall in twenty is harder.
    pub high: f64,
    /// The hardest of the sample.
    pub most: f64,
    /// Whether foam was crushed past its law, or something hard was struck, in any fall of the sample: then `most` is not
    /// to be trusted.
    pub beyond_law: bool,
}

/// The spread of every item's peak.
///
/// Heights are exponential below the highest, many low and few high, with the stated 95 % level; factors are uniform. The
/// sample gives ranges of peaks under these assumptions and no chance of survival: fragility and law are uncertain too.
///
/// # Accuracy
/// Quantiles of a sample of a few hundred are good to a few per cent.
///
/// # Errors
/// Settings that make no sense; as [`simulate`].
///
/// # Source
/// Levels of measured parcel drops: ASTM Journal of Testing and Evaluation 20(5), p. 382 (published); that many drops are
/// low, few are high and about half of those of larger packages land on the base: lecture deck on shock (secondary); the
/// exponential form is assumed. Sample: Kronecker sequence of the generalised golden ratio (derived), shifted by the seed.
pub fn peak_spread(packing: &Packing, settings: &SpreadSettings) -> Result<Vec<PeakSpread>, LawError> {
    check(settings)?;
    let falls: Vec<Result<Vec<ItemFall>, LawError>> = in_order(settings.samples, settings.threads, |index| {
        one(packing, settings, index)
    });
    let falls = falls.into_iter().collect::<Result<Vec<_>, _>>()?;
    Ok((0..packing.bodies())
        .map(|item| {
            let mut peaks: Vec<f64> = falls.iter().map(|fall| fall[item].peak).collect();
            peaks.sort_by(f64::total_cmp);
            let at = |share: f64| peaks[((share * peaks.len() as f64) as usize).min(peaks.len() - 1)];
            PeakSpread {
                low: at(0.05),
                middle: at(0.5),
                high: at(0.95),
                most: at(1.0),
                beyond_law: falls.iter().any(|fall| fall[item].bottomed || fall[item].strikes),
            }
        })
        .collect())
}

/// The assumptions in sentences, for papers.
pub fn spread_assumptions(settings: &SpreadSettings) -> Vec<Said> {
    let (warm, cold) = settings.temperature_factors;
    vec![
        said!(
            "heights: exponential, 95 % below {height:.0}, none above {highest:.0} (levels measured, form assumed)",
            height = settings.height_95,
            highest = settings.highest
        ),
        said!(
            "directions: {share:.0} % flat on the base, the others any direction alike",
            share = settings.base_share * 100.0
        ),
        said!(
            "temperature: stress times {warm:.2} at the warmest to {cold:.2} at the coldest (assumed)",
            warm,
            cold
        ),
        said!(
            "{count} falls, quasi-random, seed {seed}; no chance of survival follows from them",
            count = settings.samples,
            seed = settings.seed
        ),
    ]
}

fn check(settings: &SpreadSettings) -> Result<(), LawError> {
    let complain = |words: &str| Err(LawError::Settings(words.to_owned()));
    let (warm, cold) = settings.temperature_factors;
    if settings.samples == 0 || settings.samples > 1_000_000 {
        return complain("a spread wants 1 to a million falls");
    }
    if !(settings.height_95.si() > 0.0
        && settings.highest > settings.height_95
        && settings.highest.is_finite())
    {
        return complain("the highest drop must lie above the 95 % level, and that above zero");
    }
    if !(0.0..=1.0).contains(&settings.base_share) || !(0.0..1.0).contains(&settings.foam_scatter) {
        return complain("shares of a spread must lie from 0 to 1");
    }
    if !(warm.is_finite() && cold.is_finite() && warm > 0.0 && cold > 0.0) {
        return complain("temperature factors must be positive");
    }
    Ok(())
}

fn one(packing: &Packing, settings: &SpreadSettings, index: usize) -> Result<Vec<ItemFall>, LawError> {
    let [which, around, lean, high, foam, warmth] = sample(settings.seed, index);
    let direction = if which < settings.base_share {
        Vec3::new(0.0, 0.0, -1.0)
    } else {
        let z = 1.0 - 2.0 * lean;
        let (sin, cos) = (std::f64::consts::TAU * around).sin_cos();
        let r = (1.0 - z * z).max(0.0).sqrt();
        Vec3::new(r * cos, r * sin, z).unit()
    };
    let (warm, cold) = settings.temperature_factors;
    let factor = (1.0 + settings.foam_scatter * (2.0 * foam - 1.0)) * (warm + (cold - warm) * warmth);
    let springs = packing
        .springs()
        .iter()
        .map(|spring| spring.scaled(factor))
        .collect::<Result<Vec<_>, _>>()?;
    let fall = Fall {
        direction,
        height: height(settings, high),
        gravity: settings.gravity,
        friction: 0.0,
        landing: Landing::StopsDead,
    };
    let found = simulate(
        &packing.with_springs(springs)?,
        &fall,
        &settings.precision,
        &Watch::default(),
    )?;
    Ok(found.courses.iter().map(ItemFall::of).collect())
}

/// The height with a share `u` of drops below it: exponential with its 95 % level, cut off at the highest.
fn height(settings: &SpreadSettings, u: f64) -> Length {
    let (level, highest) = (settings.height_95.si(), settings.highest.si());
    // Rate k with (1 - exp(-k level)) / (1 - exp(-k highest)) = 0.95, by halving: the left side rises with k.
    let share = |k: f64| (-k * level).exp_m1() / (-k * highest).exp_m1();
    let (mut low, mut high) = (1e-9 / level, 1e3 / level);
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if share(middle) < 0.95 {
            low = middle;
        } else {
            high = middle;
        }
    }
    let below = u * -(-low * highest).exp_m1();
    // No fall of nothing: a drop of a millimetre is none.
    Length::from_si((-(-below).ln_1p() / low).clamp(1e-3, highest))
}

/// Point `index` of the sequence in six dimensions.
fn sample(seed: u64, index: usize) -> [f64; 6] {
    // x^7 = x + 1.
    let ratio = (0..64).fold(1.2_f64, |x, _| (1.0 + x).powf(1.0 / 7.0));
    let mut state = seed;
    std::array::from_fn(|k| {
        let step = ratio.powf(-(k as f64) - 1.0);
        (shift(&mut state) + step * (index as f64 + 1.0)).fract()
    })
}

/// A number from 0 to 1 from a seed: splitmix64, whose constants are Steele, Lea and Flood's (from memory).
fn shift(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::Patch;
    use crate::drop::{Contact, RigidBody, Spring, SpringForm};

    fn settings() -> SpreadSettings {
        SpreadSettings {
            height_95: Length::mm(610.0),
            highest: Length::mm(1070.0),
            base_share: 0.5,
            foam_scatter: 0.15,
            temperature_factors: (0.9, 1.3),
            samples: 128,
            seed: 7,
            gravity: Gravity::Throughout,
            precision: Precision::DESIGN,
            threads: 1,
        }
    }

    fn pads() -> Packing {
        let axes = [
            Vec3::new(1.0, 0.0, 0.0),
            Vec3::new(0.0, 1.0, 0.0),
            Vec3::new(0.0, 0.0, 1.0),
        ];
        let contacts = axes
            .into_iter()
            .flat_map(|axis| [axis, -axis])
            .map(|n| Contact {
                patch: Patch {
                    point: n * 0.1,
                    direction: n,
                    area: 0.01,
                    thickness: 0.05,
                    gap: 0.0,
                    law: 0,
                },
                body: 0,
                against: None,
            })
            .collect();
        let body = RigidBody {
            mass: 4.0,
            centre: Vec3::ZERO,
            inertia: axes.map(|axis| axis * 0.03),
        };
        let spring = Spring::new(SpringForm::Linear { modulus: 3e5 }).unwrap();
        Packing::new(&[body], vec![spring], contacts).unwrap()
    }

    #[test]
    fn heights_keep_their_level_and_their_end() {
        let s = settings();
        assert!((height(&s, 0.95).si() - 0.61).abs() < 1e-6);
        assert!(height(&s, 1.0).si() <= 1.07 && height(&s, 0.0).si() >= 1e-3);
        assert!(height(&s, 0.5).si() < 0.25);
    }

    #[test]
    fn the_sequence_fills_its_cube_evenly() {
        let n = 4000;
        for k in 0..6 {
            let mean: f64 = (0..n).map(|i| sample(3, i)[k]).sum::<f64>() / n as f64;
            assert!((mean - 0.5).abs() < 5e-3, "{k}: {mean}");
            let below = (0..n).filter(|i| sample(3, *i)[k] < 0.1).count();
            assert!((below as f64 / n as f64 - 0.1).abs() < 5e-3, "{k}: {below}");
        }
    }

    #[test]
    fn one_seed_one_answer_whatever_the_threads_and_more_scatter_spreads_more() {
        let packing = pads();
        let one = peak_spread(&packing, &settings()).unwrap();
        let two = peak_spread(
            &packing,
            &SpreadSettings {
                threads: 3,
                ..settings()
            },
        )
        .unwrap();
        assert_eq!(one, two);
        let spread = one[0];
        assert!(spread.low < spread.middle && spread.middle < spread.high && spread.high <= spread.most);
        // Equal pads know no direction: the height at 95 %, the law as it is, lies near the 95 % quantile.
        let expected = 1.0 + (1.0 + 2.0 * 0.61 * 6e4 / (4.0 * caddis_basis::STANDARD_GRAVITY)).sqrt();
        assert!(
            (spread.high / expected - 1.0).abs() < 0.15,
            "{} {expected}",
            spread.high
        );
        let wild = peak_spread(
            &packing,
            &SpreadSettings {
                temperature_factors: (0.5, 3.0),
                ..settings()
            },
        )
        .unwrap();
        assert!(wild[0].high > spread.high);
    }

    #[test]
    fn senseless_settings_are_refused() {
        let packing = pads();
        for bad in [
            SpreadSettings {
                samples: 0,
                ..settings()
            },
            SpreadSettings {
                highest: Length::mm(100.0),
                ..settings()
            },
            SpreadSettings {
                foam_scatter: 1.0,
                ..settings()
            },
        ] {
            assert!(peak_spread(&packing, &bad).is_err());
        }
    }
}
