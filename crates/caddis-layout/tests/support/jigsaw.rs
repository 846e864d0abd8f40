//! Twenty cases whose answer is known: a cavity with draft and a well, cut into pieces and shuffled.

use super::{Dice, block, problem, rectangle, room};
use caddis_geometry::Vec2;
use caddis_layout::{Hindrance, Piece, Placement, Problem};

/// Share of the floor that bodies take, from loose to full.
pub(crate) const FILLS: [f64; 5] = [0.45, 0.55, 0.65, 0.75, 0.85];
/// Generator and number of pieces of the four cases of each fill.
pub(crate) const SHUFFLES: [(u64, usize); 4] = [(1, 6), (2, 8), (3, 10), (4, 12)];

const SIZE: (f64, f64) = (0.60, 0.40);
const DEPTH: f64 = 0.20;
/// Draft of the walls, metres per metre.
const DRAFT: f64 = 0.03;

/// A cavity with draft and a well, cut into pieces, each with its place: the answer is known. `fill` is the bodies' share of
/// the floor; half of the gaps between them is foam that is demanded, half is slack.
pub(crate) fn jigsaw(seed: u64, pieces: usize, fill: f64) -> (Problem, Vec<Placement>) {
    let mut dice = Dice(seed * 7919 + 17);
    // Cut the largest cell across its longer side, near the middle.
    let mut cells = vec![(
        Vec2::new(-SIZE.0 / 2.0, -SIZE.1 / 2.0),
        Vec2::new(SIZE.0 / 2.0, SIZE.1 / 2.0),
    )];
    while cells.len() < pieces {
        let area = |cell: &(Vec2, Vec2)| (cell.1.x - cell.0.x) * (cell.1.y - cell.0.y);
        let largest = (0..cells.len())
            .max_by(|&a, &b| area(&cells[a]).total_cmp(&area(&cells[b])))
            .unwrap_or(0);
        let (low, high) = cells.swap_remove(largest);
        let share = dice.between(0.35, 0.65);
        let size = high - low;
        if size.x >= size.y {
            let x = low.x + share * size.x;
            cells.extend([(low, Vec2::new(x, high.y)), (Vec2::new(x, low.y), high)]);
        } else {
            let y = low.y + share * size.y;
            cells.extend([(low, Vec2::new(high.x, y)), (Vec2::new(low.x, y), high)]);
        }
    }
    // The gap that leaves the bodies their share.
    let share = |gap: f64| {
        let bodies: f64 = cells
            .iter()
            .map(|(low, high)| (high.x - low.x - gap).max(0.0) * (high.y - low.y - gap).max(0.0))
            .sum();
        bodies / (SIZE.0 * SIZE.1)
    };
    let (mut narrow, mut wide) = (0.0, 0.2);
    for _ in 0..60 {
        let middle = f64::midpoint(narrow, wide);
        if share(middle) > fill {
            narrow = middle;
        } else {
            wide = middle;
        }
    }
    let gap = narrow;
    let foam = (gap / 4.0, gap / 2.0, 0.01);
    // A well in the corner of the first cell: whatever lies there is shallow enough to lie over it.
    let well = 0.08;
    let mut region = room(SIZE.0, SIZE.1, DEPTH, DRAFT);
    let over = cells[0];
    region.hindrances.push(Hindrance {
        name: "well".to_owned(),
        outline: rectangle(0.5 * (over.1.x - over.0.x), 0.5 * (over.1.y - over.0.y)).placed(
            &caddis_geometry::Placement2 {
                angle: 0.0,
                shift: (over.0 + over.1) / 2.0,
            },
        ),
        low: 0.0,
        high: well,
    });
    let mut known = Vec::new();
    for (index, (low, high)) in cells.iter().enumerate() {
        let size = *high - *low - Vec2::new(gap, gap);
        let height = if index == 0 {
            DEPTH - well - 0.02
        } else {
            dice.between(0.4, 0.9) * DEPTH
        };
        let piece = block(
            &format!("piece {index}"),
            index as u32,
            (size.x, size.y, height),
            foam,
        );
        let placement = Placement {
            orientation: 0,
            tier: 0,
            at: (*low + *high) / 2.0,
            bottom: DEPTH - height,
        };
        known.push((piece, placement));
    }
    // Shuffled.
    for last in (1..known.len()).rev() {
        let other = (dice.unit() * (last + 1) as f64) as usize;
        known.swap(last, other);
    }
    let (pieces, placements): (Vec<Piece>, Vec<Placement>) = known.into_iter().unzip();
    (problem(region, pieces), placements)
}
