//! The laws behind an item's patches: the base foam, the lid foam, and the two one behind the other.

use crate::Brief;
use caddis_protection::{Impact, Law, StackPart};

/// Shares of lid foam are told apart in steps of this.
const STEPS: usize = 16;

/// The law index of a patch by the foam that lies behind it: 0 base foam, 1 lid foam, above that 1 + sixteenths of lid
/// foam.
pub(crate) fn index_of(base: f64, lid: f64) -> usize {
    let whole = base + lid;
    if whole <= 0.0 {
        return 0;
    }
    match ((lid / whole * STEPS as f64).round() as usize).min(STEPS) {
        0 => 0,
        STEPS => 1,
        sixteenths => 1 + sixteenths,
    }
}

/// Makes the indices of [`index_of`] follow each other from 2 on, and gives the lid foam's share of each.
pub(crate) fn renumber<'a>(laws: impl Iterator<Item = &'a mut usize>) -> Vec<f64> {
    let laws: Vec<&mut usize> = laws.collect();
    let mut used: Vec<usize> = laws.iter().map(|law| **law).filter(|law| *law > 1).collect();
    used.sort_unstable();
    used.dedup();
    for law in laws {
        if let Ok(place) = used.binary_search(law) {
            *law = place + 2;
        }
    }
    used.into_iter()
        .map(|index| (index - 1) as f64 / STEPS as f64)
        .collect()
}

/// The laws of an impact: base, lid, then one for each share of lid foam in `mixes`.
///
/// A foam without data of later impacts stands in with its first; verification says so. Foams that have no one stress at a
/// strain cannot be read one behind the other: the thicker one's law stands in, and verification says that too.
pub(crate) fn laws(brief: &Brief, mixes: &[f64], impact: Impact) -> Vec<Law> {
    let of = |foam: usize| {
        let foam = &brief.foams[foam];
        foam.law_for(impact).unwrap_or(&foam.law).clone()
    };
    let (base, lid) = (of(brief.base_foam), of(brief.lid_foam));
    let mut laws = Vec::with_capacity(2 + mixes.len());
    for &share in mixes {
        laws.push(
            in_series(&base, &lid, share)
                .unwrap_or_else(|| if share > 0.5 { lid.clone() } else { base.clone() }),
        );
    }
    laws.splice(0..0, [base, lid]);
    laws
}

/// Whether the two foams can be read one behind the other.
pub(crate) fn can_mix(brief: &Brief) -> bool {
    let law = |foam: usize| &brief.foams[foam].law;
    in_series(law(brief.base_foam), law(brief.lid_foam), 0.5).is_some()
}

fn in_series(base: &Law, lid: &Law, share: f64) -> Option<Law> {
    Law::in_series(&[
        StackPart {
            law: base,
            share: 1.0 - share,
        },
        StackPart { law: lid, share },
    ])
    .ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;

    #[test]
    fn shares_are_told_apart_and_numbered_in_order() {
        assert_eq!(
            (index_of(0.05, 0.0), index_of(0.0, 0.02), index_of(0.0, 0.0)),
            (0, 1, 0)
        );
        let mut laws = vec![
            index_of(0.03, 0.03),
            0,
            index_of(0.045, 0.015),
            1,
            index_of(0.031, 0.029),
        ];
        let mixes = renumber(laws.iter_mut());
        assert_eq!((laws, mixes), (vec![3, 0, 2, 1, 3], vec![0.25, 0.5]));
    }

    #[test]
    fn two_foams_in_series_lie_between_them() {
        let brief = testing::brief();
        let laws = laws(&brief, &[0.25, 0.75], Impact::First);
        assert_eq!(laws.len(), 4);
        let strain = |law: &Law| law.strain_at_stress(1e5).unwrap_or(f64::NAN);
        let (base, lid) = (strain(&laws[0]), strain(&laws[1]));
        for (law, share) in [(&laws[2], 0.25), (&laws[3], 0.75)] {
            let expected = base * (1.0 - share) + lid * share;
            assert!(
                (strain(law) / expected - 1.0).abs() < 1e-2,
                "{} {expected}",
                strain(law)
            );
            assert!(!law.is_measured_dynamic);
        }
        assert!(can_mix(&brief));
    }
}
