//! Edges between triangles, and the bodies they join.

use super::Mesh;

/// One triangle's use of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct EdgeUse {
    /// The lower and the higher vertex.
    pub(crate) edge: (u32, u32),
    pub(crate) triangle: u32,
    /// Runs from the lower to the higher vertex.
    pub(crate) forward: bool,
}

/// All uses of all edges, uses of one edge together.
pub(crate) struct EdgeUses(Vec<EdgeUse>);

impl EdgeUses {
    pub(crate) fn of(mesh: &Mesh) -> Self {
        // Dropped into bins by their lower vertex, so that only the few uses at one vertex are ever compared.
        // Triangles that name missing vertices have no edges.
        let vertices = mesh.positions.len();
        let sides = |t: &[u32; 3]| {
            let known = t.iter().all(|&v| (v as usize) < vertices);
            [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])].map(|(a, b)| if known { (a, b) } else { (0, 0) })
        };
        let mut end = vec![0usize; vertices + 1];
        for (a, b) in mesh.triangles.iter().flat_map(sides) {
            if a != b {
                end[a.min(b) as usize + 1] += 1;
            }
        }
        for v in 0..vertices {
            end[v + 1] += end[v];
        }
        let blank = EdgeUse {
            edge: (0, 0),
            triangle: 0,
            forward: false,
        };
        let mut uses = vec![blank; end[vertices]];
        let mut at = end.clone();
        for (triangle, t) in mesh.triangles.iter().enumerate() {
            for (a, b) in sides(t) {
                if a != b {
                    let slot = &mut at[a.min(b) as usize];
                    uses[*slot] = EdgeUse {
                        edge: (a.min(b), a.max(b)),
                        triangle: triangle as u32,
                        forward: a < b,
                    };
                    *slot += 1;
                }
            }
        }
        for v in 0..vertices {
            uses[end[v]..end[v + 1]].sort_unstable();
        }
        Self(uses)
    }

    pub(crate) fn groups(&self) -> impl Iterator<Item = &[EdgeUse]> {
        self.0.chunk_by(|l, r| l.edge == r.edge)
    }

    /// How many triangles use an edge (lower vertex first).
    pub(crate) fn count(&self, edge: (u32, u32)) -> usize {
        let from = self.0.partition_point(|u| u.edge < edge);
        self.0[from..].iter().take_while(|u| u.edge == edge).count()
    }

    /// The body of each triangle, numbered in order of first triangles, and how many there are.
    pub(crate) fn bodies(&self, triangles: usize) -> (Vec<u32>, usize) {
        let mut parent: Vec<u32> = (0..triangles as u32).collect();
        for group in self.groups() {
            for pair in group.windows(2) {
                let (a, b) = (
                    root(&mut parent, pair[0].triangle),
                    root(&mut parent, pair[1].triangle),
                );
                parent[a.max(b) as usize] = a.min(b);
            }
        }
        let mut number = vec![u32::MAX; triangles];
        let mut count = 0;
        let mut body = vec![0; triangles];
        for (t, body) in body.iter_mut().enumerate() {
            let r = root(&mut parent, t as u32) as usize;
            if number[r] == u32::MAX {
                number[r] = count;
                count += 1;
            }
            *body = number[r];
        }
        (body, count as usize)
    }

    /// Which triangles must turn over so that neighbours agree; the greater part of each body stays. Edges of more
    /// than two triangles bind nobody.
    pub(crate) fn disagreeing(&self, body: &[u32], bodies: usize) -> Vec<bool> {
        let n = body.len();
        let mut neighbours: Vec<(u32, u32, bool)> = Vec::new();
        for group in self.groups() {
            if let [one, two] = group {
                let opposed = one.forward == two.forward;
                neighbours.push((one.triangle, two.triangle, opposed));
                neighbours.push((two.triangle, one.triangle, opposed));
            }
        }
        let mut flip = vec![false; n];
        if neighbours.iter().all(|l| !l.2) {
            return flip;
        }
        neighbours.sort_unstable();
        let mut seen = vec![false; n];
        for start in 0..n {
            if seen[start] {
                continue;
            }
            seen[start] = true;
            let mut waiting = vec![start as u32];
            while let Some(t) = waiting.pop() {
                let from = neighbours.partition_point(|l| l.0 < t);
                for &(_, other, opposed) in neighbours[from..].iter().take_while(|l| l.0 == t) {
                    if !seen[other as usize] {
                        seen[other as usize] = true;
                        flip[other as usize] = flip[t as usize] ^ opposed;
                        waiting.push(other);
                    }
                }
            }
        }
        let mut turned = vec![(0usize, 0usize); bodies];
        for t in 0..n {
            turned[body[t] as usize].0 += usize::from(flip[t]);
            turned[body[t] as usize].1 += 1;
        }
        for t in 0..n {
            let (turns, all) = turned[body[t] as usize];
            flip[t] ^= turns * 2 > all;
        }
        flip
    }
}

fn root(parent: &mut [u32], mut i: u32) -> u32 {
    while parent[i as usize] != i {
        let up = parent[parent[i as usize] as usize];
        parent[i as usize] = up;
        i = up;
    }
    i
}
