//! From a plan and heights to corners, edges and faces.

use super::plan::{NEAR, Plan, Stretch};
use super::{Boundary, BoundaryEdge, BoundaryError, BoundaryFace, BoundaryPiece, Surface};
use crate::plane::Edge;
use crate::{Prism, Region, Vec2};
use std::collections::{BTreeMap, BTreeSet};

/// Heights nearer than this, metres, are one.
const LEVEL: f64 = NEAR / 10.0;

/// What stands on the two sides of a stretch, band by band.
struct Sides {
    left: Vec<bool>,
    right: Vec<bool>,
}

/// Which side of a wall is solid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Wall {
    None,
    Left,
    Right,
}

impl Sides {
    /// The wall in a band; none below the lowest and above the highest.
    fn wall(&self, band: Option<usize>) -> Wall {
        let at = |side: &[bool]| band.and_then(|b| side.get(b)).copied().unwrap_or(false);
        match (at(&self.left), at(&self.right)) {
            (true, false) => Wall::Left,
            (false, true) => Wall::Right,
            _ => Wall::None,
        }
    }

    /// What a side shows at a level: `Some(true)` a face upward, `Some(false)` one downward.
    fn face(side: &[bool], level: usize) -> Option<bool> {
        let at = |band: Option<usize>| band.and_then(|b| side.get(b)).copied().unwrap_or(false);
        match (at(level.checked_sub(1)), at(Some(level))) {
            (true, false) => Some(true),
            (false, true) => Some(false),
            _ => None,
        }
    }
}

/// One end of a stretch: the stretch, and whether it leaves from there.
type End = (usize, bool);

struct Builder {
    plan: Plan,
    sides: Vec<Sides>,
    heights: Vec<f64>,
    /// Ends at each point, counter-clockwise.
    around: Vec<Vec<End>>,
    boundary: Boundary,
    corner_at: BTreeMap<(u32, usize), u32>,
    level_edge_at: BTreeMap<(usize, usize, bool), u32>,
    upright_at: BTreeMap<(End, usize), u32>,
}

pub(super) fn boundary(added: &[Prism], removed: &[Prism]) -> Result<Boundary, BoundaryError> {
    let prisms: Vec<(&Prism, bool)> = added
        .iter()
        .map(|prism| (prism, true))
        .chain(removed.iter().map(|prism| (prism, false)))
        .filter(|(prism, _)| prism.high - prism.low > LEVEL && !prism.region.is_empty())
        .collect();
    let mut heights: Vec<f64> = prisms.iter().flat_map(|(p, _)| [p.low, p.high]).collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|b, a| *b - *a <= LEVEL);
    let regions: Vec<&Region> = prisms.iter().map(|(prism, _)| &prism.region).collect();
    let mut plan = Plan::of(&regions).ok_or(BoundaryError::Unsettled)?;
    let mut sides = sides(&plan, &prisms, &heights);
    let shown: Vec<bool> = sides.iter().map(|s| s.left != s.right).collect();
    let mut keep = shown.iter().copied();
    plan.stretches.retain(|_| keep.next() == Some(true));
    let mut keep = shown.iter().copied();
    sides.retain(|_| keep.next() == Some(true));
    let around = around(&plan);
    let mut builder = Builder {
        plan,
        sides,
        heights,
        around,
        boundary: Boundary::default(),
        corner_at: BTreeMap::new(),
        level_edge_at: BTreeMap::new(),
        upright_at: BTreeMap::new(),
    };
    builder.uprights()?;
    builder.walls();
    builder.levels();
    builder.closed()?;
    builder.pieces();
    Ok(builder.boundary)
}

/// What is solid on each side of each stretch.
fn sides(plan: &Plan, prisms: &[(&Prism, bool)], heights: &[f64]) -> Vec<Sides> {
    let bands: Vec<f64> = heights
        .windows(2)
        .map(|pair| f64::midpoint(pair[0], pair[1]))
        .collect();
    let boxes: Vec<_> = prisms.iter().map(|(prism, _)| prism.region.bounds()).collect();
    plan.stretches
        .iter()
        .map(|stretch| {
            let middle = plan.edge(stretch).at(0.5);
            // Whether each prism's region lies left and right.
            let holds: Vec<(bool, bool)> = (0..)
                .zip(prisms)
                .map(|(owner, (prism, _))| {
                    if let Some(&(_, times)) = stretch.owners.iter().find(|(o, _)| *o == owner) {
                        (times >= 0, times <= 0)
                    } else {
                        let near = boxes[owner as usize].is_some_and(|b| b.grown(NEAR).holds(middle));
                        let inside = near && prism.region.is_inside(middle);
                        (inside, inside)
                    }
                })
                .collect();
            let solid = |pick: fn(&(bool, bool)) -> bool| {
                bands
                    .iter()
                    .map(|&z| {
                        let meets = |adds: bool| {
                            prisms.iter().zip(&holds).any(|((prism, added), holds)| {
                                *added == adds && prism.low <= z && z < prism.high && pick(holds)
                            })
                        };
                        meets(true) && !meets(false)
                    })
                    .collect()
            };
            Sides {
                left: solid(|holds| holds.0),
                right: solid(|holds| holds.1),
            }
        })
        .collect()
}

/// The ends at each point, by the direction in which the stretch leaves, the less left-bending first where two leave alike.
fn around(plan: &Plan) -> Vec<Vec<End>> {
    let mut around: Vec<Vec<(f64, f64, End)>> = vec![Vec::new(); plan.points.len()];
    for (index, stretch) in plan.stretches.iter().enumerate() {
        let edge = plan.edge(stretch);
        for leaves in [true, false] {
            let run = if leaves { edge } else { edge.reversed() };
            let (direction, bend) = run.departure();
            let point = if leaves { stretch.from } else { stretch.to };
            around[point as usize].push((direction.y.atan2(direction.x), bend, (index, leaves)));
        }
    }
    around
        .into_iter()
        .map(|mut ends| {
            ends.sort_by(|l, r| l.0.total_cmp(&r.0).then(l.2.cmp(&r.2)));
            // Tangents: directions alike within rounding are told apart by how they bend.
            for i in 1..ends.len() {
                let mut j = i;
                while j > 0 && (ends[j].0 - ends[j - 1].0).abs() < 1e-6 && ends[j].1 < ends[j - 1].1 {
                    ends.swap(j, j - 1);
                    j -= 1;
                }
            }
            ends.into_iter().map(|(_, _, end)| end).collect()
        })
        .collect()
}

impl Builder {
    fn corner(&mut self, point: u32, level: usize) -> u32 {
        *self.corner_at.entry((point, level)).or_insert_with(|| {
            let at = self.plan.points[point as usize].at_height(self.heights[level]);
            self.boundary.corners.push(at);
            self.boundary.corners.len() as u32 - 1
        })
    }

    fn push_edge(&mut self, from: u32, to: u32, bulge: f64) -> u32 {
        self.boundary.edges.push(BoundaryEdge { from, to, bulge });
        self.boundary.edges.len() as u32 - 1
    }

    /// Whether walls on both sides of a level stand across from each other there, so that two edges lie in one place.
    fn is_crossed(&self, stretch: usize, level: usize) -> bool {
        let sides = &self.sides[stretch];
        let (below, above) = (sides.wall(level.checked_sub(1)), sides.wall(Some(level)));
        below != Wall::None && above != Wall::None && below != above
    }

    /// The edge of a stretch at a level; of two in one place that of the solid above or below.
    fn level_edge(&mut self, index: usize, level: usize, above: bool) -> u32 {
        let key = (index, level, above && self.is_crossed(index, level));
        if let Some(&edge) = self.level_edge_at.get(&key) {
            return edge;
        }
        let Stretch { from, to, bulge, .. } = self.plan.stretches[index];
        let (from, to) = (self.corner(from, level), self.corner(to, level));
        let edge = self.push_edge(from, to, bulge);
        self.level_edge_at.insert(key, edge);
        edge
    }

    fn has_edge(&self, stretch: usize, level: usize) -> bool {
        let sides = &self.sides[stretch];
        sides.wall(level.checked_sub(1)) != sides.wall(Some(level))
    }

    /// Upright edges: at each point in each band every solid sector lies between two walls, which share the edge there.
    fn uprights(&mut self) -> Result<(), BoundaryError> {
        let bands = self.heights.len().saturating_sub(1);
        let mut open = 0;
        for point in 0..self.around.len() {
            let ends = self.around[point].clone();
            let mut before: Vec<(End, End)> = Vec::new();
            for band in 0..bands {
                // Solid counter-clockwise of the end: a sector starts there.
                let walls: Vec<(End, bool)> = ends
                    .iter()
                    .filter_map(|&end| match self.sides[end.0].wall(Some(band)) {
                        Wall::None => None,
                        wall => Some((end, (wall == Wall::Left) == end.1)),
                    })
                    .collect();
                let count = walls.len();
                let mut pairs = Vec::new();
                for (i, &(start, starts)) in walls.iter().enumerate() {
                    let (end, starts_too) = walls[(i + 1) % count];
                    if starts {
                        open += usize::from(starts_too);
                        pairs.push((start, end));
                    }
                }
                open += usize::from(pairs.len() * 2 != count);
                let is_cut = ends.iter().any(|end| self.has_edge(end.0, band));
                for &(start, end) in &pairs {
                    let going_on = (!is_cut && before.contains(&(start, end)))
                        .then(|| self.upright_at[&(start, band - 1)]);
                    let edge = if let Some(edge) = going_on {
                        edge
                    } else {
                        let from = self.corner(point as u32, band);
                        self.push_edge(from, from, 0.0)
                    };
                    self.upright_at.insert((start, band), edge);
                    self.upright_at.insert((end, band), edge);
                }
                let is_cut_above = ends.iter().any(|end| self.has_edge(end.0, band + 1));
                for (start, _) in &pairs {
                    if is_cut_above || band + 1 == bands {
                        let to = self.corner(point as u32, band + 1);
                        let edge = self.upright_at[&(*start, band)];
                        self.boundary.edges[edge as usize].to = to;
                    }
                }
                before = pairs;
            }
        }
        if open == 0 {
            Ok(())
        } else {
            Err(BoundaryError::Open { edges: open })
        }
    }

    fn walls(&mut self) {
        let bands = self.heights.len().saturating_sub(1);
        for index in 0..self.sides.len() {
            let mut low = 0;
            while low < bands {
                let wall = self.sides[index].wall(Some(low));
                let mut high = low + 1;
                while high < bands && self.sides[index].wall(Some(high)) == wall {
                    high += 1;
                }
                if wall != Wall::None {
                    self.wall(index, (low, high), wall == Wall::Left);
                }
                low = high;
            }
        }
    }

    fn wall(&mut self, index: usize, (low, high): (usize, usize), is_left: bool) {
        let bottom = self.level_edge(index, low, true);
        let top = self.level_edge(index, high, false);
        let side = |builder: &Self, leaves: bool| {
            let mut chain: Vec<u32> = (low..high)
                .map(|band| builder.upright_at[&((index, leaves), band)])
                .collect();
            chain.dedup();
            chain
        };
        // Seen from outside the bottom runs to the right.
        let (near, far) = (side(self, is_left), side(self, !is_left));
        let mut run = vec![(bottom, is_left)];
        run.extend(far.iter().map(|&edge| (edge, true)));
        run.push((top, !is_left));
        run.extend(near.iter().rev().map(|&edge| (edge, false)));
        let stretch = &self.plan.stretches[index];
        let surface = match self.plan.edge(stretch) {
            Edge::Line(a, b) => {
                let right = -(b - a).unit().perpendicular();
                Surface::Flat {
                    at: a.at_height(self.heights[low]),
                    normal: if is_left { right } else { -right },
                }
            }
            Edge::Arc(arc) => Surface::Round {
                centre: arc.centre,
                radius: arc.radius,
                outward: (arc.bulge > 0.0) == is_left,
            },
        };
        self.boundary.faces.push(BoundaryFace {
            surface,
            loops: vec![run],
        });
    }

    fn levels(&mut self) {
        for level in 0..self.heights.len() {
            for up in [true, false] {
                self.level(level, up);
            }
        }
    }

    /// The faces at one level that look one way.
    fn level(&mut self, level: usize, up: bool) {
        // Ends from which a boundary runs with the face to its left.
        let mut leaving: Vec<End> = Vec::new();
        for (index, sides) in self.sides.iter().enumerate() {
            let shows = |side: &[bool]| Sides::face(side, level) == Some(up);
            match (shows(&sides.left), shows(&sides.right)) {
                (true, false) => leaving.push((index, true)),
                (false, true) => leaving.push((index, false)),
                _ => {}
            }
        }
        let mut unused: BTreeSet<End> = leaving.into_iter().collect();
        let mut loops: Vec<(f64, Vec<(u32, bool)>)> = Vec::new();
        while let Some(&first) = unused.first() {
            let mut run = Vec::new();
            let mut at = first;
            while unused.remove(&at) {
                run.push((self.level_edge(at.0, level, !up), at.1));
                let stretch = &self.plan.stretches[at.0];
                let point = if at.1 { stretch.to } else { stretch.from };
                // Clockwise from where it came the face lies; its boundary leaves by the first that does.
                let ends = &self.around[point as usize];
                let back = (at.0, !at.1);
                let place = ends.iter().position(|&end| end == back).unwrap_or(0);
                let next = (1..=ends.len())
                    .map(|k| ends[(place + ends.len() - k) % ends.len()])
                    .find(|end| unused.contains(end));
                match next {
                    Some(next) => at = next,
                    None => break,
                }
            }
            loops.push((self.boundary.loop_area(&run), run));
        }
        let (mut outers, holes): (Vec<_>, Vec<_>) = loops.into_iter().partition(|(area, _)| *area > 0.0);
        outers.sort_by(|l, r| l.0.total_cmp(&r.0));
        let mut faces: Vec<Vec<Vec<(u32, bool)>>> = outers.iter().map(|(_, run)| vec![run.clone()]).collect();
        for (_, hole) in holes {
            let Some(&step) = hole.first() else { continue };
            let middle = self.boundary.plan_edge(step).at(0.5);
            // The smallest outer loop around it; a hole without one would leave its edges open, which is noticed.
            let around = outers.iter().position(|(_, run)| self.is_within(run, middle));
            if let Some(face) = around {
                faces[face].push(hole);
            }
        }
        for mut loops in faces {
            if !up {
                for run in &mut loops {
                    run.reverse();
                    for step in run {
                        step.1 = !step.1;
                    }
                }
            }
            self.boundary.faces.push(BoundaryFace {
                surface: Surface::Level { up },
                loops,
            });
        }
    }

    fn is_within(&self, run: &[(u32, bool)], p: Vec2) -> bool {
        let crossed: u32 = run
            .iter()
            .map(|&step| self.boundary.plan_edge(step).crossings(p))
            .sum();
        crossed % 2 == 1
    }

    /// Every edge once each way.
    fn closed(&self) -> Result<(), BoundaryError> {
        let mut uses = vec![(0_u32, 0_u32); self.boundary.edges.len()];
        for &(edge, forward) in self.boundary.faces.iter().flat_map(|f| f.loops.iter().flatten()) {
            let count = &mut uses[edge as usize];
            if forward {
                count.0 += 1;
            } else {
                count.1 += 1;
            }
        }
        let mut open = uses.iter().filter(|&&count| count != (1, 1)).count();
        // Each loop runs from corner to corner without a gap.
        for run in self.boundary.faces.iter().flat_map(|f| &f.loops) {
            let ends = |&(edge, forward): &(u32, bool)| {
                let edge = self.boundary.edges[edge as usize];
                if forward {
                    (edge.from, edge.to)
                } else {
                    (edge.to, edge.from)
                }
            };
            open += run
                .iter()
                .zip(run.iter().cycle().skip(1))
                .filter(|(one, next)| ends(one).1 != ends(next).0)
                .count();
        }
        if open == 0 {
            Ok(())
        } else {
            Err(BoundaryError::Open { edges: open })
        }
    }

    /// Faces that share edges close one skin; a skin turned inward is a void in the piece around it.
    fn pieces(&mut self) {
        let count = self.boundary.faces.len();
        let mut parent: Vec<usize> = (0..count).collect();
        let mut seen: Vec<Option<usize>> = vec![None; self.boundary.edges.len()];
        for (face, data) in self.boundary.faces.iter().enumerate() {
            for &(edge, _) in data.loops.iter().flatten() {
                match seen[edge as usize] {
                    Some(other) => {
                        let (a, b) = (root(&mut parent, other), root(&mut parent, face));
                        parent[a.max(b)] = a.min(b);
                    }
                    None => seen[edge as usize] = Some(face),
                }
            }
        }
        let mut skins: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
        for face in 0..count {
            let top = root(&mut parent, face);
            skins.entry(top).or_default().push(face as u32);
        }
        let (outers, voids): (Vec<_>, Vec<_>) = skins
            .into_values()
            .partition(|faces| self.boundary.volume_within(faces) > 0.0);
        self.boundary.pieces = outers
            .into_iter()
            .map(|outer| BoundaryPiece {
                outer,
                voids: Vec::new(),
            })
            .collect();
        for skin in voids {
            let holder = (0..self.boundary.pieces.len()).find(|&piece| self.holds(piece, &skin));
            if let Some(piece) = holder {
                self.boundary.pieces[piece].voids.push(skin);
            }
        }
    }

    /// Whether a piece's outer skin lies around another: an upright line from it crosses the skin an odd number of times.
    fn holds(&self, piece: usize, skin: &[u32]) -> bool {
        let boundary = &self.boundary;
        let Some(&step) = skin
            .iter()
            .find(|&&face| matches!(boundary.faces[face as usize].surface, Surface::Level { .. }))
            .and_then(|&face| boundary.faces[face as usize].loops.first()?.first())
        else {
            return false;
        };
        let height = |edge: u32| boundary.corners[boundary.edges[edge as usize].from as usize].z;
        let (from, at) = (height(step.0), boundary.plan_edge(step).at(0.5));
        let above = boundary.pieces[piece].outer.iter().filter(|&&face| {
            let face = &boundary.faces[face as usize];
            matches!(face.surface, Surface::Level { .. })
                && face
                    .loops
                    .first()
                    .and_then(|l| l.first())
                    .is_some_and(|&(e, _)| height(e) > from)
                && face.loops.iter().filter(|run| self.is_within(run, at)).count() % 2 == 1
        });
        above.count() % 2 == 1
    }
}

fn root(parent: &mut [usize], mut index: usize) -> usize {
    while parent[index] != index {
        parent[index] = parent[parent[index]];
        index = parent[index];
    }
    index
}
