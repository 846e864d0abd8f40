//! Who leans on whom when the case falls.
//!
//! In an end drop the last wall carries the whole row, and the floor below a tier carries what the tray passes down. A
//! piece whose patches in the direction of fall are stopped by another piece passes that share of its mass on.

use crate::board::PackedBoard;
use crate::{Direction, Packed, PackedPatch, Place, Support};

/// What one piece does in one direction of fall.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Load {
    /// Its own mass and what leans on it, kg.
    pub carried: f64,
    /// The pieces that lean on it (indices of places) with the share of their load.
    pub leaning: Vec<(usize, f64)>,
    /// The pieces it leans on, with the share of its bearing area.
    pub leans_on: Vec<(usize, f64)>,
}

/// Loads of all pieces in one direction, and the order from the first to be stopped (nearest the shell) to the last.
pub(super) fn loads(
    packed: &[Packed],
    places: &[Place],
    masses: &[f64],
    (side, direction): (usize, Direction),
    board: Option<&PackedBoard>,
) -> (Vec<Load>, Vec<usize>) {
    let fall = direction.vector();
    let mut order: Vec<usize> = (0..places.len()).collect();
    // Farthest along the fall first; ties by index, so that the order never depends on anything else.
    order.sort_by(|&a, &b| {
        let reach = |i: usize| places[i].centre_of_mass.dot(fall);
        reach(b).total_cmp(&reach(a)).then(a.cmp(&b))
    });
    let mut rank = vec![0; places.len()];
    for (position, &piece) in order.iter().enumerate() {
        rank[piece] = position;
    }
    let mut loads: Vec<Load> = masses
        .iter()
        .map(|&mass| Load {
            carried: mass,
            leaning: Vec::new(),
            leans_on: Vec::new(),
        })
        .collect();
    // A tray's board passes on what leans on it, and its own mass; sideways the shell takes it.
    let through = match board {
        Some(board) if side < 2 => board.passes(packed, side),
        _ => Vec::new(),
    };
    for (other, share) in &through {
        loads[*other].carried += board.map_or(0.0, |board| board.mass) * share;
    }
    // From the last to be stopped towards the shell, so that what a piece carries is complete before it passes it on.
    for &piece in order.iter().rev() {
        let (shares, on_board) = shares(&packed[piece].sides[side], places.len());
        let carried = loads[piece].carried;
        for (other, share) in through.iter().map(|(other, share)| (*other, share * on_board)) {
            if share > 0.0 && rank[other] < rank[piece] {
                loads[other].carried += carried * share;
                loads[other].leaning.push((piece, share));
            }
        }
        for (other, share) in shares {
            // Interlocking pieces may each stop the other at some height; the load goes towards the shell only.
            if rank[other] < rank[piece] {
                loads[other].carried += carried * share;
                loads[other].leaning.push((piece, share));
                loads[piece].leans_on.push((other, share));
            }
        }
    }
    (loads, order)
}

/// Share of the bearing area stopped by each other piece, and by a board.
fn shares(patches: &[PackedPatch], count: usize) -> (Vec<(usize, f64)>, f64) {
    let mut areas = vec![0.0; count];
    let mut on_board = 0.0;
    let mut total = 0.0;
    for patch in patches {
        match patch.support {
            Support::Void => {}
            Support::Shell => total += patch.patch.area,
            Support::Piece(other) => {
                total += patch.patch.area;
                areas[other] += patch.patch.area;
            }
            Support::Board => {
                total += patch.patch.area;
                on_board += patch.patch.area;
            }
        }
    }
    let of_pieces = areas
        .into_iter()
        .enumerate()
        .filter(|(_, area)| *area > 0.0)
        .map(|(i, area)| (i, area / total))
        .collect();
    (of_pieces, if on_board > 0.0 { on_board / total } else { 0.0 })
}
