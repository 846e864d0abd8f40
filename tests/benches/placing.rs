//! May this piece go here: one question asked as the page asks it on every mouse move, against shapely.
//!
//! Processor seconds of one question on one core, the least of three rounds on both sides, for rooms of 12, 25 and 40 pieces: boxes,
//! angles and outlines of 60 corners. Ours also says by how much and which way out; shapely answers yes or no. Ours must never
//! allow what shapely refuses (by more than 0.2 mm), nor refuse what shapely allows beyond its stated accuracy, or the bench stops.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_geometry::{Contour, Region as Plan, SectionStack, Slab, Vec2};
use caddis_layout::{
    Body, Facet, Orientation, Piece, Placement, Prepared, Problem, Region, Sides, Tier, Weights,
};
use caddis_tests::{Folder, reference};
use serde_json::json;

const ROUNDS: usize = 3;
/// All questions so often between two looks at the clock, which ticks in milliseconds.
const REPEATS: usize = 20;
/// Questions asked of every piece.
const ASKED: usize = 100;
/// Pieces lie on a grid of this pitch, metres.
const PITCH: f64 = 0.12;
const DEPTH: f64 = 0.1;
/// Where shapely sees an overlap ours says at most so much room, metres.
const CLEAR: f64 = 2e-4;
/// Where shapely sees none ours lacks at most so much: 2 mm in pockets of ragged outlines, as `Contact::distance` states, metres.
const POCKET: f64 = 2.2e-3;

/// A small generator, so that the bench repeats.
struct Dice(u64);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }
}

/// Corners of a piece, its box about the origin.
fn outline(kind: usize, dice: &mut Dice) -> Vec<Vec2> {
    let (x, y) = (dice.between(0.06, 0.09), dice.between(0.05, 0.09));
    let points: Vec<Vec2> = match kind % 3 {
        0 => [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)]
            .map(|(x, y)| Vec2::new(x, y))
            .to_vec(),
        1 => {
            let thick = 0.4 * x.min(y);
            [
                (0.0, 0.0),
                (x, 0.0),
                (x, thick),
                (thick, thick),
                (thick, y),
                (0.0, y),
            ]
            .map(|(x, y)| Vec2::new(x, y))
            .to_vec()
        }
        _ => (0..60)
            .map(|k| {
                let angle = f64::from(k) * std::f64::consts::TAU / 60.0;
                let reach = 0.5 * x * (0.8 + 0.2 * (3.0 * angle).cos());
                Vec2::new(reach * angle.cos(), reach * angle.sin())
            })
            .collect(),
    };
    let low = points.iter().copied().reduce(Vec2::min).unwrap();
    let high = points.iter().copied().reduce(Vec2::max).unwrap();
    points.into_iter().map(|p| p - (low + high) / 2.0).collect()
}

fn all_round(side: f64) -> Sides {
    Sides {
        left: side,
        right: side,
        front: side,
        back: side,
    }
}

fn piece(index: usize, corners: &[Vec2], wall: f64, web: f64) -> Piece {
    Piece {
        name: format!("piece {index}"),
        kind: index as u32,
        mass: 1.0,
        orientations: vec![Orientation {
            tag: 0,
            body: Body::from(SectionStack {
                slabs: vec![Slab {
                    region: Plan::from_contours(&[Contour::polygon(corners.iter().copied())]),
                    low: 0.0,
                    high: 0.05,
                }],
            }),
            wall: all_round(wall),
            web: all_round(web),
            below: 0.02,
            above: Vec::new(),
            cost: 0.0,
        }],
        tiers: vec![0],
        may_pass: false,
        keeps_clear_above: false,
        pinned: None,
    }
}

/// A room of so many pieces on a grid, each moved a little.
fn room(columns: usize, rows: usize) -> (Problem, Vec<Vec<Vec2>>, Vec<(usize, Placement)>) {
    let mut dice = Dice(columns as u64 * 31 + rows as u64);
    let (length, width) = (columns as f64 * PITCH + 0.04, rows as f64 * PITCH + 0.04);
    let facet = |x: f64, y: f64, offset: f64| Facet::new(Vec2::new(x, y), offset, 0.0);
    let (mut pieces, mut rings, mut placements) = (Vec::new(), Vec::new(), Vec::new());
    for row in 0..rows {
        for column in 0..columns {
            let index = pieces.len();
            let corners = outline(index, &mut dice);
            pieces.push(piece(index, &corners, 0.02, dice.between(0.01, 0.015)));
            rings.push(corners);
            let at = Vec2::new(
                (column as f64 + 0.5) * PITCH - (length - 0.04) / 2.0,
                (row as f64 + 0.5) * PITCH - (width - 0.04) / 2.0,
            );
            placements.push((
                index,
                Placement {
                    orientation: 0,
                    tier: 0,
                    at,
                    bottom: DEPTH - 0.05,
                },
            ));
        }
    }
    let problem = Problem {
        region: Region {
            facets: vec![
                facet(1.0, 0.0, length / 2.0),
                facet(-1.0, 0.0, length / 2.0),
                facet(0.0, 1.0, width / 2.0),
                facet(0.0, -1.0, width / 2.0),
            ],
            hindrances: Vec::new(),
            low: 0.0,
            high: DEPTH,
        },
        tiers: vec![Tier::upward(0.0, DEPTH)],
        pieces,
        balance: Vec2::ZERO,
        balance_counts: Vec2::new(1.0, 1.0),
        wishes: Vec::new(),
        weights: Weights::default(),
    };
    (problem, rings, placements)
}

fn main() {
    let folder = Folder::new();
    let mut ratios = Vec::new();
    for (columns, rows) in [(4, 3), (5, 5), (8, 5)] {
        let (problem, rings, placements) = room(columns, rows);
        let mut dice = Dice(7);
        let mut asked = Vec::new();
        for (index, placement) in &placements {
            for _ in 0..ASKED {
                let by = Vec2::new(dice.between(-0.04, 0.04), dice.between(-0.04, 0.04));
                let at = placement.at + by;
                asked.push((*index, Placement { at, ..*placement }));
            }
        }
        let half = Vec2::new(problem.region.facets[0].offset, problem.region.facets[2].offset);
        let ring = |points: &[Vec2]| points.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>();
        let walls = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| Vec2::new(x * half.x, y * half.y));
        let file = folder.path().join("asked.json");
        let written = json!({
            "room": ring(&walls),
            "pieces": placements.iter().map(|(index, placement)| json!({
                "ring": ring(&rings[*index]),
                "at": [placement.at.x, placement.at.y],
                "wall": problem.pieces[*index].orientations[0].wall.left,
                "web": problem.pieces[*index].orientations[0].web.left,
            })).collect::<Vec<_>>(),
            "asked": asked.iter().map(|(piece, placement)| json!([piece, placement.at.x, placement.at.y])).collect::<Vec<_>>(),
        });
        std::fs::write(&file, written.to_string()).unwrap();
        let theirs = reference("placing", "answer", [&file]);
        let prepared = Prepared::new(problem);
        let mut ours = f64::INFINITY;
        let mut distances = Vec::new();
        for _ in 0..ROUNDS {
            let start = processor_seconds();
            for _ in 0..REPEATS {
                distances = asked
                    .iter()
                    .map(|(piece, placement)| prepared.check(*piece, placement, &placements).distance)
                    .collect();
            }
            ours = ours.min((processor_seconds() - start) / (REPEATS * asked.len()) as f64);
        }
        let verdicts = theirs["verdicts"].as_array().unwrap();
        let mut free = 0;
        for ((distance, verdict), (piece, placement)) in distances.iter().zip(verdicts).zip(&asked) {
            let verdict = verdict.as_bool().unwrap();
            free += usize::from(verdict);
            assert!(
                if verdict {
                    *distance > -POCKET
                } else {
                    *distance < CLEAR
                },
                "piece {piece} at {:?}: ours {distance} m, shapely {verdict}",
                placement.at
            );
        }
        let seconds = theirs["seconds"].as_f64().unwrap();
        ratios.push(seconds / ours);
        println!(
            "{}",
            json!({
                "case": format!("{} pieces", placements.len()), "ours": ours, "unit": "s a question", "shapely": seconds,
                "ratio": seconds / ours, "asked": asked.len(), "free": free,
            })
        );
    }
    println!(
        "mean ratio {:.1}",
        ratios.iter().sum::<f64>() / ratios.len() as f64
    );
}

/// Time this thread has had on a processor: other work on the machine does not count.
fn processor_seconds() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    text.split(' ').next().unwrap().parse::<f64>().unwrap() * 1e-9
}
