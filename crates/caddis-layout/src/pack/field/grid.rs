//! How a field is made: convex sets are laid over a grid one after the other, the larger ones first.
//!
//! Each cell is parted into finer ones, a bit each, that hold what the sets kept in the cell cover whole. A set of which
//! nothing lies beyond those bits adds nothing to the cell and is left out there, so that a cell keeps few sets of hundreds.

use super::super::shifts::Set;
use super::sieve::Sieve;
use super::{CONTACT, Edge, FIRST, FREE, Field, SOLID, deepest};
use caddis_geometry::Vec2;

/// Bits of a row: finer cells across at most.
const BITS: usize = 128;
/// Finer cells along one side of a cell, where there is room for them.
const FINER: usize = 4;
/// What a finer cell must lie within a set to count as covered, or beyond it to count as free, share of its side: far above the
/// rounding of single precision.
const SLACK: f32 = 1e-3;

/// Cells as they are filled.
pub(super) struct Grid {
    across: usize,
    up: usize,
    low: Vec2,
    size: f64,
    /// Finer cells along a side of a cell.
    finer: usize,
    /// Finer cells that sets kept there cover, by row.
    held: Vec<u128>,
    /// Cell and set.
    kept: Vec<(u32, u32)>,
    rows: Rows,
}

/// First and last finer column that a set covers whole and touches, row by row; memory that is used again and again.
#[derive(Default)]
struct Rows {
    inner: [Vec<f32>; 2],
    outer: [Vec<f32>; 2],
}

impl Grid {
    pub(super) fn new(low: Vec2, size: f64, across: usize, up: usize) -> Self {
        let finer = (BITS / across).clamp(1, FINER);
        debug_assert!(across * finer <= BITS, "a grid of {across} cells across");
        Self {
            across,
            up,
            low,
            size,
            finer,
            held: vec![0; up * finer],
            kept: Vec::new(),
            rows: Rows::default(),
        }
    }

    /// Finer columns and rows from and to that a box touches.
    fn reach(&self, low: Vec2, high: Vec2) -> [usize; 4] {
        let fine = self.finer as f64 / self.size;
        let index = |v: f64, most: usize| (v.max(0.0) as usize).min(most - 1);
        let (low, high) = ((low - self.low) * fine, (high - self.low) * fine);
        let (wide, tall) = (self.across * self.finer, self.up * self.finer);
        [
            index(low.x, wide),
            index(high.x, wide),
            index(low.y, tall),
            index(high.y, tall),
        ]
    }

    /// Whether a box is covered already.
    pub(super) fn is_covered(&self, low: Vec2, high: Vec2) -> bool {
        let [first, last, bottom, top] = self.reach(low, high);
        let mask = bits(first, last);
        self.held[bottom..=top].iter().all(|row| row & mask == mask)
    }

    /// Lays a set over the cells; it is kept where it adds something.
    pub(super) fn add(&mut self, set: &Set, index: u32) {
        let [first, last, bottom, top] = self.reach(set.low, set.high);
        let box_mask = bits(first, last);
        let is_open = |row: &u128| row & box_mask != box_mask;
        let open = &self.held[bottom..=top];
        let (Some(lowest), Some(highest)) = (open.iter().position(is_open), open.iter().rposition(is_open))
        else {
            return;
        };
        let (from, to) = ((bottom + lowest) / self.finer, (bottom + highest) / self.finer);
        self.rows.fill(
            set,
            (self.low, self.size / self.finer as f64),
            from * self.finer..(to + 1) * self.finer,
        );
        for j in from..=to {
            let held = &mut self.held[j * self.finer..(j + 1) * self.finer];
            let at = (j - from) * self.finer;
            let mut adds = 0;
            for (k, row) in held.iter().enumerate() {
                if is_open(row) {
                    adds |= span(&self.rows.outer, at + k, (first, last)) & !row;
                }
            }
            if adds == 0 {
                continue;
            }
            // Any finer column of a cell tells for the cell.
            let mut cells = adds;
            for k in 1..self.finer {
                cells |= adds >> k;
            }
            let mut columns = 0;
            for i in first / self.finer..=last / self.finer {
                if cells >> (i * self.finer) & 1 == 1 {
                    columns |= bits(i * self.finer, (i + 1) * self.finer - 1);
                    self.kept.push(((j * self.across + i) as u32, index));
                }
            }
            for (k, row) in held.iter_mut().enumerate() {
                *row |= span(&self.rows.inner, at + k, (first, last)) & columns;
            }
        }
    }

    pub(super) fn finished(self, sets: &[Set]) -> Field {
        let across = self.across;
        let mut cells: Vec<u32> = Vec::with_capacity(across * self.up);
        for rows in self.held.chunks(self.finer) {
            let whole = rows.iter().fold(u128::MAX, |whole, row| whole & row);
            cells.extend((0..across).map(|i| {
                let own = bits(i * self.finer, (i + 1) * self.finer - 1);
                if whole & own == own { SOLID } else { FREE }
            }));
        }
        let kept = by_cell(&self.kept, &cells);
        let mut edges = Vec::with_capacity(kept.len() * 4);
        let half = self.size / 2.0;
        let step = self.size as f32;
        let mut sieve = Sieve::default();
        let (mut own_edges, mut own_sets) = (Vec::new(), Vec::new());
        for group in kept.chunk_by(|a, b| a.0 == b.0) {
            let cell = group[0].0 as usize;
            let middle = Vec2::new(
                self.low.x + ((cell % across) as f64 + 0.5) * self.size,
                self.low.y + ((cell / across) as f64 + 0.5) * self.size,
            );
            let from = edges.len();
            own_edges.clear();
            own_sets.clear();
            let mut is_solid = false;
            for &(_, set) in group {
                let start = own_edges.len() as u32;
                is_solid |= crossing(&sets[set as usize], middle, half, &mut own_edges);
                let end = own_edges.len() as u32;
                if end > start {
                    own_sets.push((start, end));
                }
            }
            if is_solid {
                cells[cell] = SOLID;
                continue;
            }
            if own_edges.is_empty() {
                continue;
            }
            if own_sets.len() > 1 {
                sieve.pass(&own_edges, &own_sets, step / 2.0);
                for kept in &sieve.kept {
                    edges.extend_from_slice(&own_edges[kept[0] as usize..kept[1] as usize]);
                }
            } else {
                edges.extend_from_slice(&own_edges);
            }
            if edges.len() == from {
                continue;
            }
            let own = &mut edges[from..];
            let count = own.len();
            own[count - 1].end = true;
            let seam = (0..9).all(|k| {
                let (x, y) = (
                    ((k % 3) as f32 - 1.0) * 0.5 * step,
                    ((k / 3) as f32 - 1.0) * 0.5 * step,
                );
                deepest(own, x, y) > 0.0
            });
            own[0].seam = seam;
            cells[cell] = FIRST + from as u32;
        }
        let mut field = Field {
            low: self.low,
            fine: 1.0 / self.size,
            step,
            contact: step * CONTACT,
            across: across as u32,
            up: self.up as u32,
            cells: cells.into_boxed_slice(),
            nodes: Box::default(),
            edges: edges.into_boxed_slice(),
        };
        field.nodes = field.corner_depths();
        field
    }
}

impl Rows {
    /// For a set, by finer rows: all columns between the outer ends may meet it, all between the inner ones lie within it.
    fn fill(&mut self, set: &Set, (low, size): (Vec2, f64), rows: std::ops::Range<usize>) {
        let count = rows.len();
        for (ends, start) in [(0, f32::NEG_INFINITY), (1, f32::INFINITY)] {
            for rows in [&mut self.inner[ends], &mut self.outer[ends]] {
                rows.clear();
                rows.resize(count, start);
            }
        }
        let bottom = low + Vec2::new(0.5, rows.start as f64 + 0.5) * size;
        for plane in &set.planes {
            // Columns by number: reach along x of the plane at the middle of the first row, its change from row to row,
            // and how much a cell that is crossed may lie to either side.
            let rest = plane.reach - plane.n.dot(bottom);
            let spread = f64::midpoint(plane.n.x.abs(), plane.n.y.abs());
            if plane.along == 0.0 {
                for k in 0..count {
                    let room = (rest / size - plane.n.y * k as f64) as f32;
                    if room < spread as f32 + SLACK {
                        self.inner[1][k] = f32::NEG_INFINITY;
                    }
                    if room < -(spread as f32) - SLACK {
                        self.outer[1][k] = f32::NEG_INFINITY;
                    }
                }
                continue;
            }
            let start = (rest / size * plane.along) as f32;
            let change = (-plane.n.y * plane.along) as f32;
            let wide = (spread * plane.along.abs()) as f32 + SLACK;
            if plane.along > 0.0 {
                narrow(&mut self.inner[1], start - wide, change, f32::min);
                narrow(&mut self.outer[1], start + wide, change, f32::min);
            } else {
                narrow(&mut self.inner[0], start + wide, change, f32::max);
                narrow(&mut self.outer[0], start - wide, change, f32::max);
            }
        }
    }
}

/// The columns of a row between two ends, no farther than a box.
#[inline]
fn span(ends: &[Vec<f32>; 2], k: usize, (first, last): (usize, usize)) -> u128 {
    let (from, to) = (ends[0][k].max(first as f32), ends[1][k].min(last as f32));
    if from > to || to < 0.0 {
        return 0;
    }
    let (whole, last) = (from as usize, to as usize);
    let first = whole + usize::from(from > whole as f32);
    if first <= last { bits(first, last) } else { 0 }
}

#[inline]
fn narrow(ends: &mut [f32], start: f32, change: f32, nearer: impl Fn(f32, f32) -> f32) {
    for (k, end) in ends.iter_mut().enumerate() {
        *end = nearer(*end, start + change * k as u32 as f32);
    }
}

/// Adds the edges of a set that cross a cell; true if the set covers it whole.
fn crossing(set: &Set, middle: Vec2, half: f64, edges: &mut Vec<Edge>) -> bool {
    let start = edges.len();
    for plane in &set.planes {
        let room = plane.reach - plane.n.dot(middle);
        let spread = (plane.n.x.abs() + plane.n.y.abs()) * half;
        if room <= -spread {
            edges.truncate(start);
            return false;
        }
        if room < spread {
            edges.push(Edge {
                nx: plane.n.x as f32,
                ny: plane.n.y as f32,
                reach: room as f32,
                last: false,
                end: false,
                seam: false,
            });
        }
    }
    match edges[start..].last_mut() {
        Some(edge) => {
            edge.last = true;
            false
        }
        None => true,
    }
}

/// Columns from the first to the last.
fn bits(first: usize, last: usize) -> u128 {
    (u128::MAX >> (BITS - 1 - (last - first))) << first
}

/// What was kept in cells that are not solid after all, sorted by cell and in the order kept within one.
fn by_cell(kept: &[(u32, u32)], cells: &[u32]) -> Vec<(u32, u32)> {
    let is_open = |kept: &&(u32, u32)| cells[kept.0 as usize] != SOLID;
    let mut places = vec![0_u32; cells.len() + 1];
    for kept in kept.iter().filter(is_open) {
        places[kept.0 as usize + 1] += 1;
    }
    for cell in 0..cells.len() {
        places[cell + 1] += places[cell];
    }
    let mut sorted = vec![(0, 0); places[cells.len()] as usize];
    for kept in kept.iter().filter(is_open) {
        let place = &mut places[kept.0 as usize];
        sorted[*place as usize] = *kept;
        *place += 1;
    }
    sorted
}
