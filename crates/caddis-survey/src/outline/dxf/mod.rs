//! DXF drawings, text and binary, release 9 to 2018: lines, arcs, circles, ellipses, polylines, splines, and blocks of them.
//!
//! Not the `dxf` crate: it pulls in crates for pictures and big numbers that the rest of the tree would have to be rebuilt
//! with, and passes over in silence what it does not know. Here everything that is no line is counted by name.

mod entity;
mod pairs;

use super::{CHORD, CHORD_UNKNOWN, Drawing, Path, Trouble};
use caddis_basis::BenchUnit;
use caddis_geometry::{Vec2, Vertex};
use entity::{Found, Record, read_entity, records};
pub(in crate::outline) use pairs::BINARY_MARK;
use pairs::Pair;
use std::collections::BTreeMap;

/// Blocks within blocks at most.
const DEEPEST: u32 = 16;

pub(super) fn read(bytes: &[u8], unit: Option<BenchUnit>) -> Result<Drawing, Trouble> {
    let pairs = pairs::pairs(bytes)?;
    if !pairs
        .iter()
        .any(|pair| pair.code == 0 && pair.text() == "SECTION")
    {
        return Err(Trouble::Broken("it has no sections".to_owned()));
    }
    let mut drawing = Drawing::default();
    let (own, metric) = header(&pairs);
    drawing.unit = own;
    drawing.hint = metric.map(|is_metric| {
        if is_metric {
            ("mm", "its $MEASUREMENT says metric".to_owned())
        } else {
            ("in", "its $MEASUREMENT says inches".to_owned())
        }
    });
    let metres = unit.map(BenchUnit::metres).or(own.map(|(_, metres)| metres));
    let chord = metres.map_or(CHORD_UNKNOWN, |metres| CHORD / metres);
    let all = records(&pairs);
    let blocks = blocks(&all);
    let mut reading = Reading {
        blocks: &blocks,
        chord,
        left: super::MOST_VERTICES,
        drawing,
    };
    let model: Vec<Record<'_>> = section(&all, "ENTITIES");
    reading.entities(&model, &Placed::AS_DRAWN, None, 0)?;
    Ok(reading.drawing)
}

/// The unit, and whether the drawing calls itself metric.
///
/// # Source
/// DXF reference, header variables $INSUNITS and $MEASUREMENT.
fn header(pairs: &[Pair]) -> (Option<(&'static str, f64)>, Option<bool>) {
    let variable = |name: &str| {
        pairs
            .windows(2)
            .find(|two| two[0].code == 9 && two[0].text() == name)
            .map(|two| two[1].whole())
    };
    let unit = match variable("$INSUNITS") {
        Some(1) => Some(("in", 0.0254)),
        Some(2) => Some(("foot", 0.3048)),
        Some(4) => Some(("mm", 1e-3)),
        Some(5) => Some(("cm", 1e-2)),
        Some(6) => Some(("m", 1.0)),
        Some(9) => Some(("thousandth of an inch", 2.54e-5)),
        Some(10) => Some(("yard", 0.9144)),
        Some(13) => Some(("micron", 1e-6)),
        Some(14) => Some(("dm", 0.1)),
        _ => None,
    };
    (unit, variable("$MEASUREMENT").map(|value| value != 0))
}

/// The records between a section's name and its end.
fn section<'a>(all: &[Record<'a>], name: &str) -> Vec<Record<'a>> {
    all.iter()
        .skip_while(|record| !(record.kind == "SECTION" && record.text(2) == name))
        .skip(1)
        .take_while(|record| record.kind != "ENDSEC")
        .copied()
        .collect()
}

/// A block: where its base point lies, and what is in it.
#[derive(Debug)]
struct Block<'a> {
    base: Vec2,
    records: Vec<Record<'a>>,
}

fn blocks<'a>(all: &[Record<'a>]) -> BTreeMap<String, Block<'a>> {
    let mut blocks = BTreeMap::new();
    let mut open: Option<(String, Block<'a>)> = None;
    for record in section(all, "BLOCKS") {
        match record.kind {
            "BLOCK" => {
                let block = Block {
                    base: record.point(10),
                    records: Vec::new(),
                };
                open = Some((record.text(2).to_lowercase(), block));
            }
            "ENDBLK" => blocks.extend(open.take()),
            _ => {
                if let Some((_, block)) = &mut open {
                    block.records.push(record);
                }
            }
        }
    }
    blocks
}

/// An affine map of the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Placed {
    x: Vec2,
    y: Vec2,
    origin: Vec2,
}

impl Placed {
    const AS_DRAWN: Self = Self {
        x: Vec2 { x: 1.0, y: 0.0 },
        y: Vec2 { x: 0.0, y: 1.0 },
        origin: Vec2::ZERO,
    };

    fn apply(&self, p: Vec2) -> Vec2 {
        self.x * p.x + self.y * p.y + self.origin
    }

    /// `inner` first.
    fn after(&self, inner: &Self) -> Self {
        let turn = |v: Vec2| self.x * v.x + self.y * v.y;
        Self {
            x: turn(inner.x),
            y: turn(inner.y),
            origin: self.apply(inner.origin),
        }
    }

    /// 1 where arcs stay arcs, -1 where they turn the other way, 0 where they become something else.
    fn arcs(&self) -> f64 {
        let (a, b) = (self.x.length(), self.y.length());
        let is_similar = (a - b).abs() <= 1e-9 * a.max(b) && self.x.dot(self.y).abs() <= 1e-9 * a * b;
        if is_similar {
            self.x.cross(self.y).signum()
        } else {
            0.0
        }
    }
}

struct Reading<'a> {
    blocks: &'a BTreeMap<String, Block<'a>>,
    chord: f64,
    /// Vertices that may still come.
    left: usize,
    drawing: Drawing,
}

impl<'a> Reading<'a> {
    fn entities(
        &mut self,
        records: &[Record<'a>],
        placed: &Placed,
        layer: Option<&str>,
        depth: u32,
    ) -> Result<(), Trouble> {
        let mut rest = records;
        while let Some((first, after)) = rest.split_first() {
            // A polyline's vertices are records of their own, up to SEQEND.
            let followers = if matches!(first.kind, "POLYLINE" | "INSERT") && first.whole(66) != 0 {
                after
                    .iter()
                    .position(|record| record.kind == "SEQEND")
                    .map_or(after.len(), |at| at + 1)
            } else {
                after
                    .iter()
                    .take_while(|record| matches!(record.kind, "VERTEX" | "SEQEND" | "ATTRIB"))
                    .count()
            };
            let (own, next) = after.split_at(followers);
            rest = next;
            if first.whole(60) != 0 || first.whole(67) != 0 {
                // Hidden, or on paper.
                continue;
            }
            // What stands on layer 0 of a block is on the layer of its insert.
            let own_layer = match (first.text(8), layer) {
                ("0" | "", Some(layer)) => layer.to_owned(),
                (own, _) => own.to_owned(),
            };
            if first.kind == "INSERT" {
                self.insert(*first, placed, &own_layer, depth)?;
                continue;
            }
            let fine = self.chord / placed.x.length().max(placed.y.length()).max(1e-12);
            match read_entity(first, own, fine) {
                Found::Line { vertices, is_closed } => {
                    self.add(vertices, is_closed, placed, fine, own_layer)?;
                }
                Found::Nothing => {}
                Found::Other(kind) => *self.drawing.passed_over.entry(kind).or_default() += 1,
            }
        }
        Ok(())
    }

    fn insert(
        &mut self,
        record: Record<'a>,
        placed: &Placed,
        layer: &str,
        depth: u32,
    ) -> Result<(), Trouble> {
        let blocks = self.blocks;
        let Some(block) = blocks.get(&record.text(2).to_lowercase()) else {
            *self
                .drawing
                .passed_over
                .entry("insert of a block that is not there".to_owned())
                .or_default() += 1;
            return Ok(());
        };
        if depth >= DEEPEST {
            return Err(Trouble::Broken(format!(
                "its blocks lie more than {DEEPEST} deep in each other, or hold themselves"
            )));
        }
        let Some(mirror) = record.in_plan() else {
            *self
                .drawing
                .passed_over
                .entry("insert out of plan".to_owned())
                .or_default() += 1;
            return Ok(());
        };
        let or_one = |code| record.real(code).unwrap_or(1.0);
        let (sx, sy) = (or_one(41), or_one(42));
        let turn = record.real(50).unwrap_or(0.0).to_radians();
        let count = |code| usize::try_from(record.whole(code).clamp(1, 10_000)).unwrap_or(1);
        let (columns, rows) = (count(70), count(71));
        let spacing = Vec2::new(record.real(44).unwrap_or(0.0), record.real(45).unwrap_or(0.0));
        for row in 0..rows {
            for column in 0..columns {
                let step = Vec2::new(spacing.x * column as f64, spacing.y * row as f64).rotated(turn);
                let (x, y) = (Vec2::new(sx, 0.0).rotated(turn), Vec2::new(0.0, sy).rotated(turn));
                let at = record.point(10) + step;
                let flat = Placed {
                    x,
                    y,
                    origin: at - (x * block.base.x + y * block.base.y),
                };
                let flipped = Placed {
                    x: Vec2::new(flat.x.x * mirror, flat.x.y),
                    y: Vec2::new(flat.y.x * mirror, flat.y.y),
                    origin: Vec2::new(flat.origin.x * mirror, flat.origin.y),
                };
                // Counts against an array of nothing too.
                self.left = self.left.checked_sub(1).ok_or(Trouble::TooMuch)?;
                self.entities(&block.records, &placed.after(&flipped), Some(layer), depth + 1)?;
            }
        }
        Ok(())
    }

    fn add(
        &mut self,
        vertices: Vec<Vertex>,
        is_closed: bool,
        placed: &Placed,
        fine: f64,
        layer: String,
    ) -> Result<(), Trouble> {
        let arcs = placed.arcs();
        let vertices: Vec<Vertex> = if arcs == 0.0 && vertices.iter().any(|v| v.bulge != 0.0) {
            entity::straightened(&vertices, is_closed, fine)
        } else {
            vertices
        };
        self.left = self.left.checked_sub(vertices.len()).ok_or(Trouble::TooMuch)?;
        self.drawing.paths.push(Path {
            layer,
            vertices: vertices
                .into_iter()
                .map(|v| Vertex {
                    at: placed.apply(v.at),
                    bulge: v.bulge * arcs,
                })
                .collect(),
            is_closed,
        });
        Ok(())
    }
}
