//! Binary STL: the triangles of all bodies.

use super::bodies::Body;

/// Writes the bodies, millimetres.
///
/// # Source
/// Binary STL: 80 bytes of words, a count, 50 bytes a triangle, little-endian (de facto standard).
pub(super) fn write(version: &str, bodies: &[Body]) -> Vec<u8> {
    let count: usize = bodies.iter().map(|body| body.mesh.triangles.len()).sum();
    let mut words = format!("Caddis {version}, interior in case coordinates, unit millimetre").into_bytes();
    words.resize(80, b' ');
    let mut out = Vec::with_capacity(84 + 50 * count);
    out.extend_from_slice(&words);
    out.extend_from_slice(&(count as u32).to_le_bytes());
    for [a, b, c] in bodies.iter().flat_map(|body| body.mesh.corners()) {
        let normal = (b - a).cross(c - a).unit();
        for value in [normal.x, normal.y, normal.z] {
            out.extend_from_slice(&(value as f32).to_le_bytes());
        }
        for p in [a, b, c] {
            for value in [p.x, p.y, p.z] {
                out.extend_from_slice(&((value * 1e3) as f32).to_le_bytes());
            }
        }
        out.extend_from_slice(&[0, 0]);
    }
    out
}
