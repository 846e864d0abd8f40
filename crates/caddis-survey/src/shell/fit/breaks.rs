//! Where the walls change their law: the outermost matter slice by slice, cut into straight pieces.

use super::sample::{Sample, quantile};

/// Height of a slice, metres.
const SLICE: f64 = 1.5e-3;
/// Slices at most.
const MOST_SLICES: usize = 400;
/// Slices of a piece at least.
const LEAST_PIECE: usize = 4;
/// Pieces at most.
const MOST_PIECES: usize = 10;
/// A further piece must take away so much of the squared misfit, square metres: a millimetre on one wall over four slices.
const PIECE_COST: f64 = 4e-6;
/// A slice misses a line by no more than this, metres.
const MOST_MISS: f64 = 4e-3;
/// Outermost matter lies within this, metres.
const CLUSTER: f64 = 1.5e-3;

/// How far out the outermost matter lies in one slice: left, right, front, back, each counted outwards; not known where the
/// slice holds too little.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slice {
    pub(super) z: f64,
    pub(super) out: [Option<f64>; 4],
}

/// Walls over one stretch of height, each a line: how far out at its start, and how far more per metre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) out: [f64; 4],
    pub(super) lean: [f64; 4],
}

impl Piece {
    /// How far out a wall is at a height.
    pub(super) fn at(&self, wall: usize, z: f64) -> f64 {
        self.out[wall] + self.lean[wall] * (z - self.from)
    }

    /// All four walls together.
    pub(super) fn reach(&self, z: f64) -> f64 {
        (0..4).map(|wall| self.at(wall, z)).sum()
    }
}

/// Slices of samples that stand about upright, between two heights.
pub(super) fn slices(samples: &[Sample], from: f64, to: f64) -> Vec<Slice> {
    let count = ((to - from) / SLICE).floor().clamp(0.0, MOST_SLICES as f64) as usize;
    if count == 0 {
        return Vec::new();
    }
    let height = (to - from) / count as f64;
    let middle = |along: fn(&Sample) -> f64| {
        let mut values: Vec<f64> = samples.iter().map(along).collect();
        f64::midpoint(quantile(&mut values, 0.002), quantile(&mut values, 0.998))
    };
    let (x, y) = (middle(|s| s.at.x), middle(|s| s.at.y));
    let mut lists: Vec<[Vec<f64>; 4]> = (0..count).map(|_| Default::default()).collect();
    for s in samples {
        let slice = ((s.at.z - from) / height).floor();
        if slice < 0.0 || slice >= count as f64 || s.normal.z.abs() > 0.85 {
            continue;
        }
        let lists = &mut lists[slice as usize];
        // Only what faces along a wall's normal, on that wall's side of the middle.
        if s.normal.x.abs() >= s.normal.y.abs() {
            lists[usize::from(s.at.x > x)].push(if s.at.x > x { s.at.x } else { -s.at.x });
        } else {
            lists[2 + usize::from(s.at.y > y)].push(if s.at.y > y { s.at.y } else { -s.at.y });
        }
    }
    lists
        .into_iter()
        .enumerate()
        .map(|(k, lists)| Slice {
            z: from + (k as f64 + 0.5) * height,
            out: lists.map(outermost),
        })
        .collect()
}

/// The middle of the outermost values that lie close enough together to be a wall.
fn outermost(mut values: Vec<f64>) -> Option<f64> {
    let needed = (values.len() / 6).max(8);
    values.sort_unstable_by(|a, b| b.total_cmp(a));
    (0..=values.len().checked_sub(needed)?)
        .find(|&k| values[k] - values[k + needed - 1] < CLUSTER)
        .map(|k| {
            let near = values[k..].partition_point(|v| values[k] - v < CLUSTER);
            values[k + near / 2]
        })
}

/// Sums over the slices before each, of one wall: count, z, out, z z, z out, out out.
fn sums(slices: &[Slice], wall: usize) -> Vec<[f64; 6]> {
    let mut sum = [0.0; 6];
    let mut sums = vec![sum];
    for slice in slices {
        if let Some(out) = slice.out[wall] {
            let z = slice.z;
            for (total, more) in sum.iter_mut().zip([1.0, z, out, z * z, z * out, out * out]) {
                *total += more;
            }
        }
        sums.push(sum);
    }
    sums
}

/// The line through the slices from `a` up to `b` of one wall: where it is at `z`, its lean and its squared misfit.
fn line(sums: &[[f64; 6]], a: usize, b: usize, z: f64) -> Option<(f64, f64, f64)> {
    let d: Vec<f64> = (0..6).map(|k| sums[b][k] - sums[a][k]).collect();
    if d[0] < 2.5 {
        return None;
    }
    let (mean_z, mean) = (d[1] / d[0], d[2] / d[0]);
    let (zz, zo, oo) = (d[3] - d[1] * mean_z, d[4] - d[1] * mean, d[5] - d[2] * mean);
    let lean = if zz > 0.0 { zo / zz } else { 0.0 };
    Some((mean + lean * (z - mean_z), lean, (oo - lean * zo).max(0.0)))
}

/// Cuts slices into the straight pieces that explain them best, all four walls at the same heights.
///
/// # Source
/// Segmented least squares by dynamic programming, with a cost for each piece (R. Bellman, 1961; from memory).
pub(super) fn pieces(slices: &[Slice]) -> Vec<Piece> {
    let count = slices.len();
    if count < LEAST_PIECE {
        return Vec::new();
    }
    let walls: Vec<Vec<[f64; 6]>> = (0..4).map(|wall| sums(slices, wall)).collect();
    let cost = |a: usize, b: usize| -> f64 {
        walls
            .iter()
            .map(|sums| {
                line(sums, a, b, 0.0).map_or(0.0, |found| found.2.min(MOST_MISS * MOST_MISS * (b - a) as f64))
            })
            .sum::<f64>()
            + PIECE_COST
    };
    // Cheapest cut of the first b slices into so many pieces, and where its last piece starts.
    let mut best = vec![vec![(f64::INFINITY, 0_usize); count + 1]; MOST_PIECES + 1];
    best[0][0] = (0.0, 0);
    for b in LEAST_PIECE..=count {
        for a in 0..=b - LEAST_PIECE {
            if a > 0 && a < LEAST_PIECE {
                continue;
            }
            let own = cost(a, b);
            for n in 1..=MOST_PIECES {
                let total = best[n - 1][a].0 + own;
                if total < best[n][b].0 {
                    best[n][b] = (total, a);
                }
            }
        }
    }
    let Some(mut n) = (1..=MOST_PIECES).min_by(|&a, &b| best[a][count].0.total_cmp(&best[b][count].0)) else {
        return Vec::new();
    };
    let half = (slices[1].z - slices[0].z) / 2.0;
    let mut end = count;
    let mut pieces = Vec::new();
    while n > 0 {
        let start = best[n][end].1;
        let (from, to) = (slices[start].z - half, slices[end - 1].z + half);
        let lines: Vec<Option<(f64, f64, f64)>> =
            walls.iter().map(|sums| line(sums, start, end, from)).collect();
        if let [Some(a), Some(b), Some(c), Some(d)] = lines.as_slice() {
            pieces.push(Piece {
                from,
                to,
                out: [a.0, b.0, c.0, d.0],
                lean: [a.1, b.1, c.1, d.1],
            });
        }
        (end, n) = (start, n - 1);
    }
    pieces.reverse();
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slice(z: f64, out: f64) -> Slice {
        Slice {
            z,
            out: [Some(out), Some(out), None, Some(out)],
        }
    }

    #[test]
    fn straight_walls_are_one_piece_and_a_ledge_parts_two() {
        let straight: Vec<Slice> = (0..80)
            .map(|k| f64::from(k) * 1.5e-3)
            .map(|z| Slice {
                z,
                out: [Some(0.3 + 0.03 * z); 4],
            })
            .collect();
        let found = pieces(&straight);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].lean[2] - 0.03).abs() < 1e-6);
        let ledge: Vec<Slice> = (0..80)
            .map(|k| f64::from(k) * 1.5e-3)
            .map(|z| Slice {
                z,
                out: [Some(if z < 0.06 { 0.3 } else { 0.306 }); 4],
            })
            .collect();
        let found = pieces(&ledge);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[1].from - 0.06).abs() < 1.6e-3, "{found:?}");
        // A wall of which nothing is known gives no piece.
        assert!(
            pieces(&[
                slice(0.0, 0.3),
                slice(1e-3, 0.3),
                slice(2e-3, 0.3),
                slice(3e-3, 0.3)
            ])
            .is_empty()
        );
        assert!(pieces(&[]).is_empty());
    }

    #[test]
    fn what_stands_in_does_not_hide_the_outermost_wall() {
        let mut values: Vec<f64> = (0..40).map(|k| 0.3 + 1e-5 * f64::from(k % 7)).collect();
        values.extend((0..60).map(|k| 0.2 + 1e-4 * f64::from(k)));
        values.push(0.35);
        let out = outermost(values);
        assert!(out.is_some_and(|out| (out - 0.3).abs() < 1e-4), "{out:?}");
        assert_eq!(outermost(vec![0.1; 7]), None);
    }
}
