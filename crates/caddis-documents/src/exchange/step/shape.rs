//! Boundaries and meshes as closed shells of advanced faces.

use super::entities::Entities;
use caddis_geometry::{Boundary, BoundaryEdge, BoundaryFace, Mesh, Pose, Surface, Vec2, Vec3};
use std::collections::BTreeMap;

const UP: Vec3 = Vec3::new(0.0, 0.0, 1.0);

/// The entities of a boundary's edges.
struct Drawn<'a> {
    boundary: &'a Boundary,
    pose: &'a Pose,
    vertices: Vec<String>,
    edges: Vec<String>,
}

impl Entities {
    /// The pieces of a boundary, each a solid.
    pub(super) fn solids(&mut self, name: &str, boundary: &Boundary, pose: &Pose) -> Vec<String> {
        let vertices: Vec<String> = boundary
            .corners
            .iter()
            .map(|&corner| self.vertex(pose.apply(corner)))
            .collect();
        let mut drawn = Drawn {
            boundary,
            pose,
            vertices,
            edges: Vec::new(),
        };
        for edge in &boundary.edges {
            let entity = self.edge(&drawn, edge);
            drawn.edges.push(entity);
        }
        let name = super::entities::text(name);
        boundary
            .pieces
            .iter()
            .map(|piece| {
                let outer = self.skin(&drawn, &piece.outer);
                if piece.voids.is_empty() {
                    return self.add(format!("MANIFOLD_SOLID_BREP('{name}',{outer})"));
                }
                let voids: Vec<String> = piece
                    .voids
                    .iter()
                    .map(|faces| {
                        let skin = self.skin(&drawn, faces);
                        self.add(format!("ORIENTED_CLOSED_SHELL('',*,{skin},.T.)"))
                    })
                    .collect();
                self.add(format!("BREP_WITH_VOIDS('{name}',{outer},({}))", voids.join(",")))
            })
            .collect()
    }

    fn vertex(&mut self, at: Vec3) -> String {
        let point = self.point(at);
        self.add(format!("VERTEX_POINT('',{point})"))
    }

    fn straight(&mut self, (from, to): (Vec3, Vec3), (start, end): (&str, &str)) -> String {
        let (point, direction) = (self.point(from), self.direction((to - from).unit()));
        let vector = self.share(format!("VECTOR('',{direction},1.)"));
        let line = self.add(format!("LINE('',{point},{vector})"));
        self.add(format!("EDGE_CURVE('',{start},{end},{line},.T.)"))
    }

    /// # Source
    /// DXF bulge b = tan(sweep / 4): r = c (1 + b²) / (4 |b|), the centre c (1 - b²) / (4 b) to the chord's left. Elementary.
    fn edge(&mut self, drawn: &Drawn, edge: &BoundaryEdge) -> String {
        let at = |corner: u32| drawn.boundary.corners[corner as usize];
        let name = |corner: u32| drawn.vertices[corner as usize].clone();
        let (from, to) = (at(edge.from), at(edge.to));
        let (start, end) = (name(edge.from), name(edge.to));
        if edge.bulge == 0.0 {
            return self.straight((drawn.pose.apply(from), drawn.pose.apply(to)), (&start, &end));
        }
        let b = edge.bulge;
        let (p, q) = (from.plan(), to.plan());
        let centre = (p + q) / 2.0 + (q - p).perpendicular() * ((1.0 - b * b) / (4.0 * b));
        let radius = p.distance(q) * (1.0 + b * b) / (4.0 * b.abs());
        let out = (p - centre).unit();
        let frame = self.frame(
            drawn.pose.apply(centre.at_height(from.z)),
            drawn.pose.turn(UP),
            drawn.pose.turn(out.at_height(0.0)),
        );
        let circle = self.add(format!(
            "CIRCLE('',{frame},{})",
            super::entities::millimetres(radius)
        ));
        self.add(format!(
            "EDGE_CURVE('',{start},{end},{circle},{})",
            truth(b > 0.0)
        ))
    }

    fn skin(&mut self, drawn: &Drawn, faces: &[u32]) -> String {
        let faces: Vec<String> = faces
            .iter()
            .map(|&face| self.face(drawn, &drawn.boundary.faces[face as usize]))
            .collect();
        self.add(format!("CLOSED_SHELL('',({}))", faces.join(",")))
    }

    fn face(&mut self, drawn: &Drawn, face: &BoundaryFace) -> String {
        let first = |face: &BoundaryFace| {
            let step = face.loops.first().and_then(|run| run.first())?;
            let edge = drawn.boundary.edges[step.0 as usize];
            Some(drawn.boundary.corners[edge.from as usize])
        };
        let corner = first(face).unwrap_or(Vec3::ZERO);
        let turn = |v: Vec3| drawn.pose.turn(v);
        let flat = |plan: Vec2| turn(plan.at_height(0.0));
        let (surface, is_same) = match face.surface {
            Surface::Level { up } => {
                let normal = turn(if up { UP } else { -UP });
                let frame = self.frame(drawn.pose.apply(corner), normal, flat(Vec2::new(1.0, 0.0)));
                (self.add(format!("PLANE('',{frame})")), true)
            }
            Surface::Flat { at, normal } => {
                let frame = self.frame(drawn.pose.apply(at), flat(normal), turn(UP));
                (self.add(format!("PLANE('',{frame})")), true)
            }
            Surface::Round {
                centre,
                radius,
                outward,
            } => {
                let out = (corner.plan() - centre).unit();
                let frame = self.frame(drawn.pose.apply(centre.at_height(corner.z)), turn(UP), flat(out));
                let radius = super::entities::millimetres(radius);
                (
                    self.add(format!("CYLINDRICAL_SURFACE('',{frame},{radius})")),
                    outward,
                )
            }
        };
        let bounds: Vec<String> = face
            .loops
            .iter()
            .enumerate()
            .map(|(number, run)| {
                let steps: Vec<(String, bool)> = run
                    .iter()
                    .map(|&(edge, forward)| (drawn.edges[edge as usize].clone(), forward))
                    .collect();
                self.bound(&steps, number == 0)
            })
            .collect();
        self.add(format!(
            "ADVANCED_FACE('',({}),{surface},{})",
            bounds.join(","),
            truth(is_same)
        ))
    }

    fn bound(&mut self, steps: &[(String, bool)], is_outer: bool) -> String {
        let edges: Vec<String> = steps
            .iter()
            .map(|(edge, forward)| self.add(format!("ORIENTED_EDGE('',*,*,{edge},{})", truth(*forward))))
            .collect();
        let run = self.add(format!("EDGE_LOOP('',({}))", edges.join(",")));
        let kind = if is_outer {
            "FACE_OUTER_BOUND"
        } else {
            "FACE_BOUND"
        };
        self.add(format!("{kind}('',{run},.T.)"))
    }

    /// A closed mesh as a solid of plane triangles.
    pub(super) fn facets(&mut self, name: &str, mesh: &Mesh) -> String {
        let vertices: Vec<String> = mesh.positions.iter().map(|&p| self.vertex(p)).collect();
        let mut edges: BTreeMap<(u32, u32), String> = BTreeMap::new();
        let mut faces = Vec::new();
        for (triangle, [a, b, c]) in mesh.triangles.iter().zip(mesh.corners()) {
            let steps: Vec<(String, bool)> = (0..3)
                .map(|k| {
                    let (from, to) = (triangle[k], triangle[(k + 1) % 3]);
                    let key = (from.min(to), from.max(to));
                    let edge = if let Some(edge) = edges.get(&key) {
                        edge.clone()
                    } else {
                        let at = |i: u32| mesh.positions[i as usize];
                        let ends = (
                            vertices[key.0 as usize].as_str(),
                            vertices[key.1 as usize].as_str(),
                        );
                        let edge = self.straight((at(key.0), at(key.1)), ends);
                        edges.insert(key, edge.clone());
                        edge
                    };
                    (edge, from == key.0)
                })
                .collect();
            let frame = self.frame(a, (b - a).cross(c - a).unit(), (b - a).unit());
            let plane = self.add(format!("PLANE('',{frame})"));
            let bound = self.bound(&steps, true);
            faces.push(self.add(format!("ADVANCED_FACE('',({bound}),{plane},.T.)")));
        }
        let skin = self.add(format!("CLOSED_SHELL('',({}))", faces.join(",")));
        let name = super::entities::text(name);
        self.add(format!("MANIFOLD_SOLID_BREP('{name}',{skin})"))
    }
}

fn truth(value: bool) -> &'static str {
    if value { ".T." } else { ".F." }
}
