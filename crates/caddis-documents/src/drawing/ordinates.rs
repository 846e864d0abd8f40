//! Ordinate dimensions: every place from one datum, their figures moved apart so that none meets another.

use super::view::{NARROW, TYPE};
use crate::sheet::{Anchor, GREY, INK, Sheet, Stroke, Text};
use caddis_geometry::Vec2;

/// Least distance between the base lines of two figures, mm.
pub(crate) const PITCH: f64 = TYPE + 1.1;
/// From the part to where the figures begin, mm.
pub(crate) const REACH: f64 = 12.0;
/// Hair lines from features to their figures.
const HAIR: Stroke = Stroke::line(0.13, GREY);

/// One place to dimension.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Ordinate {
    /// Where on paper along the axis, mm.
    pub(crate) at: f64,
    /// Where across the axis the edge lies that is meant, mm.
    pub(crate) edge: f64,
    /// The figure.
    pub(crate) words: String,
}

/// Places for figures wanted at rising places, at least `pitch` apart and between `low` and `high`, moved as little as can be;
/// `None` where they do not all fit.
///
/// # Source
/// Least squares under order constraints by pooling adjacent violators: Barlow et al. 1972, from memory.
pub(crate) fn spread(wanted: &[f64], pitch: f64, (low, high): (f64, f64)) -> Option<Vec<f64>> {
    let count = wanted.len();
    let last = count.saturating_sub(1) as f64 * pitch;
    if high - low < last {
        return None;
    }
    // In the frame where every figure is a pitch nearer to the first, apart means rising.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (index, want) in wanted.iter().enumerate() {
        pools.push((want - index as f64 * pitch, 1));
        while let [.., (a, n), (b, m)] = pools[..] {
            if a <= b {
                break;
            }
            let size = n + m;
            let mean = (a * n as f64 + b * m as f64) / size as f64;
            pools.truncate(pools.len() - 2);
            pools.push((mean, size));
        }
    }
    let means = pools
        .into_iter()
        .flat_map(|(mean, size)| std::iter::repeat_n(mean, size));
    Some(
        means
            .enumerate()
            .map(|(index, mean)| mean.clamp(low, high - last) + index as f64 * pitch)
            .collect(),
    )
}

/// Those of the places that differ by more than a hair on paper, rising; at most as many as fit, the rest counted.
fn chosen(mut list: Vec<Ordinate>, room: (f64, f64)) -> (Vec<Ordinate>, usize) {
    list.sort_by(|a, b| a.at.total_cmp(&b.at).then(a.edge.total_cmp(&b.edge)));
    list.dedup_by(|next, kept| next.words == kept.words || (next.at - kept.at).abs() < 0.02);
    let fit = (((room.1 - room.0) / PITCH).floor() + 1.0).max(0.0) as usize;
    let left = list.len().saturating_sub(fit);
    if left > 0 {
        // Both ends are overall sizes and stay; what goes lies nearest its neighbour.
        while list.len() > fit.max(2) {
            let nearest = (1..list.len() - 1)
                .min_by(|&i, &j| (list[i].at - list[i - 1].at).total_cmp(&(list[j].at - list[j - 1].at)));
            match nearest {
                Some(index) => list.remove(index),
                None => break,
            };
        }
    }
    (list, left)
}

/// Draws ordinates along x below a part whose lower side is at `foot`; figures read from the right. Gives back how many found
/// no room.
pub(crate) fn along(sheet: &mut Sheet, list: Vec<Ordinate>, foot: f64, room: (f64, f64)) -> usize {
    let (list, left) = chosen(list, room);
    let wanted: Vec<f64> = list.iter().map(|ordinate| ordinate.at).collect();
    let Some(places) = spread(&wanted, PITCH, room) else {
        return left + list.len();
    };
    for (ordinate, x) in list.iter().zip(places) {
        sheet.line(
            &[
                Vec2::new(ordinate.at, ordinate.edge),
                Vec2::new(ordinate.at, foot - 1.0),
            ],
            HAIR,
        );
        sheet.line(
            &[
                Vec2::new(ordinate.at, foot - 1.0),
                Vec2::new(ordinate.at, foot - 4.0),
                Vec2::new(x, foot - 8.5),
                Vec2::new(x, foot - REACH + 1.0),
            ],
            NARROW,
        );
        sheet.words(Text {
            at: Vec2::new(x + TYPE / 2.0, foot - REACH),
            words: ordinate.words.clone(),
            height: TYPE,
            anchor: Anchor::End,
            turned: 90.0,
            bold: false,
            colour: INK,
        });
    }
    left
}

/// The same along y, left of a part whose left side is at `foot`; figures read from below.
pub(crate) fn beside(sheet: &mut Sheet, list: Vec<Ordinate>, foot: f64, room: (f64, f64)) -> usize {
    let (list, left) = chosen(list, room);
    let wanted: Vec<f64> = list.iter().map(|ordinate| ordinate.at).collect();
    let Some(places) = spread(&wanted, PITCH, room) else {
        return left + list.len();
    };
    for (ordinate, y) in list.iter().zip(places) {
        sheet.line(
            &[
                Vec2::new(ordinate.edge, ordinate.at),
                Vec2::new(foot - 1.0, ordinate.at),
            ],
            HAIR,
        );
        sheet.line(
            &[
                Vec2::new(foot - 1.0, ordinate.at),
                Vec2::new(foot - 4.0, ordinate.at),
                Vec2::new(foot - 8.5, y),
                Vec2::new(foot - REACH + 1.0, y),
            ],
            NARROW,
        );
        sheet.text(
            Vec2::new(foot - REACH, y - TYPE / 2.0),
            ordinate.words.clone(),
            TYPE,
            Anchor::End,
        );
    }
    left
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn figures_keep_apart_in_order_and_inside() {
        // Clustered places, as cavities with notches give them.
        let wanted: Vec<f64> = (0..30)
            .map(|i| f64::from(i / 3) * 9.0 + f64::from(i % 3) * 0.4)
            .collect();
        let places = spread(&wanted, PITCH, (-5.0, 110.0)).unwrap();
        for pair in places.windows(2) {
            assert!(pair[1] - pair[0] >= PITCH - 1e-9, "{pair:?}");
        }
        assert!(places[0] >= -5.0 && *places.last().unwrap() <= 110.0 + 1e-9);
        assert_eq!(spread(&wanted, PITCH, (0.0, 50.0)), None);
        // What already stands apart stays.
        assert_eq!(
            spread(&[0.0, 10.0, 20.0], PITCH, (-1.0, 30.0)).unwrap(),
            [0.0, 10.0, 20.0]
        );
        assert_eq!(spread(&[], PITCH, (0.0, 1.0)).unwrap(), [] as [f64; 0]);
    }

    #[test]
    fn what_does_not_fit_is_counted_and_the_ends_stay() {
        let list: Vec<Ordinate> = (0..40)
            .map(|i| Ordinate {
                at: f64::from(i),
                edge: 0.0,
                words: i.to_string(),
            })
            .collect();
        let (kept, left) = chosen(list, (0.0, 39.0));
        assert_eq!(kept.len() + left, 40);
        assert_eq!((kept[0].at, kept.last().unwrap().at), (0.0, 39.0));
        assert!(spread(&kept.iter().map(|o| o.at).collect::<Vec<_>>(), PITCH, (0.0, 39.0)).is_some());
    }
}
