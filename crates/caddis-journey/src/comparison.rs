//! Measured drops held against what was calculated.

use crate::{JourneyError, Landing};
use caddis_basis::{Acceleration, Length, Said, Verdict, said};

/// What was calculated for one item in one landing.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The item, as the design calls the piece.
    pub item: String,
    /// How the case lands.
    pub landing: Landing,
    /// From where.
    pub height: Length,
    /// Peak of the item; `None` where the foam bottoms or nothing supports it.
    pub peak: Option<Acceleration>,
    /// What the item bears, where somebody says.
    pub limit: Option<Acceleration>,
}

/// One measured drop.
#[derive(Debug, Clone, PartialEq)]
pub struct TestResult {
    /// Which row of the file, from 1.
    pub row: usize,
    /// The item whose acceleration was measured, as the design calls the piece.
    pub item: String,
    /// How the case landed.
    pub landing: Landing,
    /// From where.
    pub height: Length,
    /// The filtered peak.
    pub peak: Acceleration,
    /// What was damaged, in words; empty when nothing was.
    pub damage: String,
}

/// How far a measured peak may lie from the calculated one and still bear it out, as fractions of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComparisonBand {
    /// Below this the foam does better than calculated.
    pub low: f64,
    /// Above this it does worse.
    pub high: f64,
    /// Heights this near are the same height, as a fraction.
    pub height: f64,
}

impl Default for ComparisonBand {
    /// A quarter either way, heights to 2 %: what drop tests of one design scatter by (common practice, no source).
    fn default() -> Self {
        Self {
            low: 0.75,
            high: 1.25,
            height: 0.02,
        }
    }
}

/// How a measured drop stands to the calculated one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Inside the band.
    Inside,
    /// Below it.
    Better,
    /// Above it.
    Worse,
    /// Nothing was calculated for this landing, this item or this height.
    NotCompared,
}

impl Standing {
    /// The words on screens.
    pub fn words(self) -> &'static str {
        match self {
            Self::Inside => "inside the band",
            Self::Better => "better",
            Self::Worse => "worse",
            Self::NotCompared => "not compared",
        }
    }
}

/// One measured drop with what was calculated.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Which row of the file, from 1.
    pub row: usize,
    /// The item and how it landed.
    pub place: Said,
    /// How it stands.
    pub standing: Standing,
    /// Fails when the item was damaged, came over what it bears, or above the band; holds inside or below it.
    pub verdict: Verdict,
    /// One sentence with the numbers.
    pub sentence: Said,
    /// Measured and calculated peak, where both are known, standard gravities.
    pub peaks: Option<(f64, f64)>,
}

/// Holds every result against its prediction, in the order of the file.
///
/// # Errors
/// A result for an item that has no prediction at all; a peak or a height that is not above zero; a band that is none.
pub fn compare(
    results: &[TestResult],
    predictions: &[Prediction],
    band: &ComparisonBand,
) -> Result<Vec<Comparison>, JourneyError> {
    crate::parcel::positive("the low end of the band".to_owned(), band.low, "")?;
    crate::parcel::positive("the width of the band".to_owned(), band.high - band.low, "")?;
    results
        .iter()
        .map(|result| one(result, predictions, band))
        .collect()
}

fn one(
    result: &TestResult,
    predictions: &[Prediction],
    band: &ComparisonBand,
) -> Result<Comparison, JourneyError> {
    crate::parcel::positive(format!("the peak of row {}", result.row), result.peak.as_g(), "G")?;
    crate::parcel::positive(
        format!("the height of row {}", result.row),
        result.height.si(),
        "m",
    )?;
    let of_item = || {
        predictions
            .iter()
            .filter(|prediction| prediction.item == result.item)
    };
    let Some(any) = of_item().next() else {
        let mut known: Vec<String> = predictions
            .iter()
            .map(|prediction| prediction.item.clone())
            .collect();
        known.dedup();
        return Err(JourneyError::UnknownItem {
            row: result.row,
            item: result.item.clone(),
            known,
        });
    };
    let measured = result.peak.as_g();
    let place = said!(
        "{item} on {landing}",
        item = result.item,
        landing = result.landing.said()
    );
    let mut notes = Vec::new();
    let mut fails = false;
    if let Some(limit) = any.limit.map(Acceleration::as_g)
        && measured > limit
    {
        fails = true;
        notes.push(said!("above the {limit:.0} G that the item bears", limit));
    }
    if !result.damage.is_empty() {
        fails = true;
        notes.push(said!("damage: {damage}", damage = result.damage));
    }
    let done = |standing, verdict: Verdict, mut words: Said, peaks| {
        for note in &notes {
            words = said!("{words}; {note}", words, note);
        }
        Ok(Comparison {
            row: result.row,
            place: place.clone(),
            standing,
            verdict: if fails { Verdict::Fails } else { verdict },
            sentence: words,
            peaks,
        })
    };
    let found = said!(
        "{measured:.0} G measured from {height:.0} mm",
        height = result.height.as_mm(),
        measured
    );
    let Some(prediction) = of_item().find(|prediction| prediction.landing == result.landing) else {
        let words = said!(
            "{found}; nothing is calculated for a landing on {landing}",
            landing = result.landing.said(),
            found
        );
        return done(Standing::NotCompared, Verdict::NotKnown, words, None);
    };
    let apart = (result.height / prediction.height - 1.0).abs();
    if apart > band.height {
        let words = said!(
            "{found}; it is calculated for {height:.0} mm, and peaks do not carry over between heights",
            height = prediction.height.as_mm(),
            found
        );
        return done(Standing::NotCompared, Verdict::NotKnown, words, None);
    }
    let Some(calculated) = prediction.peak.map(Acceleration::as_g) else {
        let words = said!(
            "{found}; the foam is calculated to bottom, so there is no peak to compare with",
            found
        );
        return done(Standing::NotCompared, Verdict::NotKnown, words, None);
    };
    let ratio = measured / calculated;
    let span = said!(
        "{low:.0} to {high:.0} G",
        low = calculated * band.low,
        high = calculated * band.high
    );
    let (standing, verdict, words) = if ratio < band.low {
        (
            Standing::Better,
            Verdict::Holds,
            said!(
                "{found}, calculated {calculated:.0} G: below the band of {span}, better than calculated; check sensor and filter before relying on it",
                found,
                calculated,
                span
            ),
        )
    } else if ratio > band.high {
        (
            Standing::Worse,
            Verdict::Fails,
            said!(
                "{found}, calculated {calculated:.0} G: above the band of {span}, worse than calculated; the law does not hold for this foam",
                found,
                calculated,
                span
            ),
        )
    } else {
        (
            Standing::Inside,
            Verdict::Holds,
            said!(
                "{found}, calculated {calculated:.0} G: inside the band of {span}",
                found,
                calculated,
                span
            ),
        )
    };
    done(standing, verdict, words, Some((measured, calculated)))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn prediction() -> Prediction {
        Prediction {
            item: "seismometer/1".to_owned(),
            landing: Landing::parse("base").unwrap(),
            height: Length::mm(460.0),
            peak: Some(Acceleration::g(50.0)),
            limit: Some(Acceleration::g(75.0)),
        }
    }

    fn result(g: f64) -> TestResult {
        TestResult {
            row: 1,
            item: "seismometer/1".to_owned(),
            landing: Landing::parse("base").unwrap(),
            height: Length::mm(460.0),
            peak: Acceleration::g(g),
            damage: String::new(),
        }
    }

    fn judge(result: &TestResult) -> Comparison {
        let band = ComparisonBand::default();
        compare(std::slice::from_ref(result), &[prediction()], &band)
            .unwrap()
            .swap_remove(0)
    }

    #[test]
    fn results_stand_below_inside_or_above_the_band() {
        for (g, standing, verdict) in [
            (30.0, Standing::Better, Verdict::Holds),
            (37.5, Standing::Inside, Verdict::Holds),
            (62.0, Standing::Inside, Verdict::Holds),
            (63.0, Standing::Worse, Verdict::Fails),
        ] {
            let judged = judge(&result(g));
            assert_eq!((judged.standing, judged.verdict), (standing, verdict), "{g}");
        }
    }

    #[test]
    fn what_was_not_calculated_is_not_compared() {
        let mut edge = result(40.0);
        edge.landing = Landing::parse("base-front").unwrap();
        assert_eq!(judge(&edge).standing, Standing::NotCompared);
        let mut high = result(40.0);
        high.height = Length::mm(760.0);
        assert_eq!(
            (judge(&high).standing, judge(&high).verdict),
            (Standing::NotCompared, Verdict::NotKnown)
        );
        // But damage and a peak above what the item bears count from any height.
        high.peak = Acceleration::g(90.0);
        assert_eq!(judge(&high).verdict, Verdict::Fails);
        edge.damage = "cracked foot".to_owned();
        assert!(judge(&edge).sentence.contains("cracked foot"));
        assert_eq!(judge(&edge).verdict, Verdict::Fails);
    }

    #[test]
    fn broken_results_are_refused() {
        let refused =
            |result: TestResult| compare(&[result], &[prediction()], &ComparisonBand::default()).unwrap_err();
        assert!(refused(result(0.0)).to_string().contains("peak of row 1"));
        let mut other = result(40.0);
        other.item = "seismo/1".to_owned();
        assert!(refused(other).to_string().contains("seismometer/1"));
    }

    proptest! {
        #[test]
        fn a_harder_knock_never_gets_a_better_word(g in 1.0..200.0_f64, more in 0.0..100.0_f64) {
            let (low, high) = (judge(&result(g)).verdict, judge(&result(g + more)).verdict);
            prop_assert_eq!(low.worse(high), high);
        }
    }
}
