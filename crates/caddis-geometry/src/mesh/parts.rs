//! A mesh taken apart into what hangs together.

use super::Mesh;
use super::bodies::EdgeUses;

impl Mesh {
    /// The pieces whose triangles share edges, in order of their first triangles; triangles that name missing vertices
    /// are left out.
    pub fn parts(&self) -> Vec<Self> {
        let (body, count) = EdgeUses::of(self).bodies(self.triangles.len());
        let mut parts = vec![Self::default(); count];
        // The part a vertex was last taken into, and its number there.
        let mut taken: Vec<(u32, u32)> = vec![(u32::MAX, 0); self.positions.len()];
        for (triangle, body) in self.triangles.iter().zip(body) {
            if triangle.iter().any(|&v| v as usize >= self.positions.len()) {
                continue;
            }
            let part = &mut parts[body as usize];
            let triangle = triangle.map(|v| {
                let place = &mut taken[v as usize];
                if place.0 != body {
                    *place = (body, part.positions.len() as u32);
                    part.positions.push(self.positions[v as usize]);
                }
                place.1
            });
            part.triangles.push(triangle);
        }
        parts.retain(|part| !part.triangles.is_empty());
        parts
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Vec3;

    #[test]
    fn two_cubes_come_apart_whole() {
        let one = Mesh::cuboid(Vec3::ZERO, Vec3::new(0.1, 0.1, 0.1));
        let two = Mesh::cuboid(Vec3::new(0.2, 0.0, 0.0), Vec3::new(0.3, 0.2, 0.1));
        let mut both = one.clone();
        both.append(&two);
        let parts = both.parts();
        assert_eq!(parts.len(), 2);
        assert_eq!(
            parts[0].corners().collect::<Vec<_>>(),
            one.corners().collect::<Vec<_>>()
        );
        assert_eq!(parts[1].bounds(), two.bounds());
        assert!(Mesh::default().parts().is_empty());
    }
}
