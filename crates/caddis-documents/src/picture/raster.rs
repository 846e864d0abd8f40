//! A shaded picture of bodies: parallel projection, nearest surface wins, edges in ink.

use crate::glb::Body;
use caddis_geometry::Vec3;

/// A finished picture, in pixels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// sRGB, row by row from the top.
    pub pixels: Vec<[u8; 3]>,
}

/// From where one looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Eye {
    /// Unit direction to the right of the picture.
    right: Vec3,
    /// Unit direction up the picture.
    up: Vec3,
    /// Unit direction towards the eye.
    towards: Vec3,
}

/// Samples along each side of a pixel.
const FINE: usize = 2;
/// Ink of edges.
const EDGE: [f64; 3] = [30.0, 32.0, 36.0];
/// Neighbouring faces whose normals differ by more than this cosine make an edge.
const CREASE: f64 = 0.82;
/// A step in depth above this share of the picture's width makes an edge.
const STEP: f64 = 0.008;
/// Share of white in every colour: dark foam would hide its own edges.
const PALE: f64 = 0.25;
/// Edge length of the border left white, share of the picture.
const MARGIN: f64 = 0.03;

impl Eye {
    /// The eye stands in a direction, seen from the middle of the scene; z is up in the picture.
    pub(crate) fn from(direction: Vec3) -> Self {
        let towards = direction.unit();
        let up = Vec3::new(0.0, 0.0, 1.0);
        let right = if towards.cross(up).length() < 1e-9 {
            Vec3::new(1.0, 0.0, 0.0)
        } else {
            up.cross(towards).unit()
        };
        Self {
            right,
            up: towards.cross(right),
            towards,
        }
    }

    /// A point as seen: to the right, up, towards the eye.
    pub(crate) fn seen(&self, p: Vec3) -> Vec3 {
        Vec3::new(p.dot(self.right), p.dot(self.up), p.dot(self.towards))
    }
}

/// The nearest surface of each sample.
struct Surface {
    width: usize,
    height: usize,
    depth: Vec<f32>,
    body: Vec<u16>,
    normal: Vec<[f32; 3]>,
}

impl Surface {
    fn new(width: usize, height: usize) -> Self {
        let count = width * height;
        Self {
            width,
            height,
            depth: vec![f32::NEG_INFINITY; count],
            body: vec![u16::MAX; count],
            normal: vec![[0.0; 3]; count],
        }
    }

    /// Paints one triangle given in samples and depth, row by row between its own edges: foam is cut into long slivers
    /// whose boxes cover most of the picture.
    ///
    /// # Source
    /// A sample lies inside where none of its three barycentric weights is negative; each is linear along a row. Derived.
    fn triangle(&mut self, [a, b, c]: [Vec3; 3], body: u16, normal: [f32; 3]) {
        let area = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
        if area.abs() < 1e-12 {
            return;
        }
        let low = a.y.min(b.y).min(c.y).floor().max(0.0) as usize;
        let high = (a.y.max(b.y).max(c.y).ceil().max(0.0) as usize).min(self.height);
        for row in low..high {
            let y = row as f64 + 0.5;
            // The weight of the corner across from the edge p to q is (start + slope x).
            let weight = |p: Vec3, q: Vec3| {
                let start = (p.x * (q.y - y) - q.x * (p.y - y)) / area;
                (start, (p.y - q.y) / area)
            };
            let weights = [weight(b, c), weight(c, a), weight(a, b)];
            let (mut from, mut to) = (0.0_f64, self.width as f64);
            for (start, slope) in weights {
                if slope > 0.0 {
                    from = from.max(-start / slope);
                } else if slope < 0.0 {
                    to = to.min(-start / slope);
                } else if start < 0.0 {
                    to = f64::NEG_INFINITY;
                }
            }
            let first = (from - 0.5).ceil().max(0.0);
            let last = (to - 0.5).floor().min(self.width as f64 - 1.0);
            if first > last {
                continue;
            }
            let [(u, du), (v, dv), (w, dw)] = weights;
            let (start, slope) = (u * a.z + v * b.z + w * c.z, du * a.z + dv * b.z + dw * c.z);
            for column in first as usize..=last as usize {
                let depth = (start + slope * (column as f64 + 0.5)) as f32;
                let place = row * self.width + column;
                if depth > self.depth[place] {
                    self.depth[place] = depth;
                    self.body[place] = body;
                    self.normal[place] = normal;
                }
            }
        }
    }

    /// Whether ink parts two neighbouring samples.
    fn is_edge(&self, here: usize, there: usize, step: f32) -> bool {
        if self.body[here] != self.body[there] {
            return true;
        }
        if self.body[here] == u16::MAX {
            return false;
        }
        let (m, n) = (self.normal[here], self.normal[there]);
        let cosine = f64::from(m[0] * n[0] + m[1] * n[1] + m[2] * n[2]);
        cosine < CREASE || (self.depth[here] - self.depth[there]).abs() > step
    }
}

/// How colours are lit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Light {
    /// By the slope of the face.
    Lambert,
    /// Alike everywhere: colours that a legend explains stay what they are.
    Even,
}

/// Draws the bodies that are opaque, as large as the picture allows, without perspective; sizes in pixels.
///
/// # Source
/// Light that falls off with the cosine of its angle to the face (Lambert) over an even share of ambient light; how much of
/// each is common practice, no source.
pub(crate) fn picture(bodies: &[Body], eye: Eye, light: Light, width: usize, height: usize) -> Picture {
    let opaque: Vec<&Body> = bodies.iter().filter(|body| body.alpha >= 1.0).collect();
    let (mut low, mut high) = (
        Vec3::new(1.0, 1.0, 1.0) * f64::INFINITY,
        Vec3::new(1.0, 1.0, 1.0) * f64::NEG_INFINITY,
    );
    for p in opaque.iter().flat_map(|body| &body.mesh.positions) {
        let s = eye.seen(*p);
        low = Vec3::new(low.x.min(s.x), low.y.min(s.y), low.z.min(s.z));
        high = Vec3::new(high.x.max(s.x), high.y.max(s.y), high.z.max(s.z));
    }
    let mut surface = Surface::new(width * FINE, height * FINE);
    let size = high - low;
    if size.is_finite() && size.x > 0.0 && size.y > 0.0 {
        let room = 1.0 - 2.0 * MARGIN;
        let scale = (surface.width as f64 * room / size.x).min(surface.height as f64 * room / size.y);
        let middle = (low + high) * 0.5;
        let place = |p: Vec3| {
            let s = eye.seen(p) - middle;
            Vec3::new(
                surface_middle(width) + s.x * scale,
                surface_middle(height) - s.y * scale,
                s.z * scale,
            )
        };
        for (index, body) in opaque.iter().enumerate() {
            let number = u16::try_from(index).unwrap_or(u16::MAX - 1).min(u16::MAX - 1);
            for [a, b, c] in body.mesh.corners() {
                let normal = (b - a).cross(c - a);
                if !(normal.is_finite() && normal.length() > 1e-14) {
                    continue;
                }
                // A skin seen from behind is lit like its front: surveys and scans are often open.
                let normal = normal.unit();
                let facing = if normal.dot(eye.towards) < 0.0 {
                    normal * -1.0
                } else {
                    normal
                };
                let facing = [facing.x as f32, facing.y as f32, facing.z as f32];
                surface.triangle([place(a), place(b), place(c)], number, facing);
            }
        }
    }
    resolved(&surface, &opaque, (eye, light), width, height)
}

fn surface_middle(pixels: usize) -> f64 {
    (pixels * FINE) as f64 / 2.0
}

/// Lights, inks and averages the samples.
fn resolved(
    surface: &Surface,
    bodies: &[&Body],
    (eye, light): (Eye, Light),
    width: usize,
    height: usize,
) -> Picture {
    let is_even = light == Light::Even;
    let light = (eye.towards + eye.up * 0.9 - eye.right * 0.5).unit();
    let step = (surface.width as f64 * STEP) as f32;
    let sample = |row: usize, column: usize| -> [f64; 3] {
        let here = row * surface.width + column;
        let is_inked = (column + 1 < surface.width && surface.is_edge(here, here + 1, step))
            || (row + 1 < surface.height && surface.is_edge(here, here + surface.width, step));
        if is_inked {
            return EDGE;
        }
        let Some(body) = bodies.get(usize::from(surface.body[here])) else {
            return [255.0; 3];
        };
        if is_even {
            return body.colour.map(f64::from);
        }
        let n = surface.normal[here];
        let normal = Vec3::new(f64::from(n[0]), f64::from(n[1]), f64::from(n[2]));
        let shade = 0.52 + 0.48 * normal.dot(light).max(0.0);
        body.colour.map(|channel| {
            let channel = f64::from(channel);
            ((channel + (255.0 - channel) * PALE) * shade).min(255.0)
        })
    };
    let mut pixels = Vec::with_capacity(width * height);
    for row in 0..height {
        for column in 0..width {
            let mut sum = [0.0; 3];
            for fine_row in 0..FINE {
                for fine_column in 0..FINE {
                    let colour = sample(row * FINE + fine_row, column * FINE + fine_column);
                    for (total, channel) in sum.iter_mut().zip(colour) {
                        *total += channel;
                    }
                }
            }
            pixels.push(sum.map(|total| (total / (FINE * FINE) as f64).round() as u8));
        }
    }
    Picture {
        width,
        height,
        pixels,
    }
}

impl Picture {
    /// The picture as a PNG file.
    ///
    /// # Source
    /// PNG, ISO/IEC 15948.
    ///
    /// # Errors
    /// A picture without pixels, or with more of them along a side than the format counts (2^31 - 1).
    pub fn png(&self) -> Result<Vec<u8>, crate::DocumentError> {
        let failed = |error: png::EncodingError| crate::DocumentError::Picture(error.to_string());
        let mut bytes = Vec::new();
        let size = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
        let mut encoder = png::Encoder::new(&mut bytes, size(self.width), size(self.height));
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        let mut writer = encoder.write_header().map_err(failed)?;
        writer.write_image_data(&self.pixels.concat()).map_err(failed)?;
        writer.finish().map_err(failed)?;
        Ok(bytes)
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_geometry::Mesh;

    fn body(low: Vec3, high: Vec3, colour: [u8; 3]) -> Body {
        Body {
            name: String::new(),
            mesh: Mesh::cuboid(low, high),
            colour,
            alpha: 1.0,
        }
    }

    #[test]
    fn the_nearer_body_hides_the_farther() {
        let floor = body(Vec3::new(-1.0, -1.0, -0.1), Vec3::new(1.0, 1.0, 0.0), [200, 0, 0]);
        let block = body(Vec3::new(-0.3, -0.3, 0.0), Vec3::new(0.3, 0.3, 0.5), [0, 0, 200]);
        let seen = picture(
            &[block, floor],
            Eye::from(Vec3::new(0.0, 0.0, 1.0)),
            Light::Lambert,
            100,
            100,
        );
        let middle = seen.pixels[50 * 100 + 50];
        let side = seen.pixels[50 * 100 + 15];
        assert!(middle[2] > 90 + middle[0], "{middle:?}");
        assert!(side[0] > 90 + side[2], "{side:?}");
        assert_eq!(seen.pixels[0], [255; 3]);
    }

    #[test]
    fn up_is_up_and_right_is_right_seen_from_the_front() {
        let right = body(Vec3::new(0.5, 0.0, 0.5), Vec3::new(1.0, 0.1, 1.0), [0, 200, 0]);
        let left = body(
            Vec3::new(-1.0, 0.0, -1.0),
            Vec3::new(-0.5, 0.1, -0.5),
            [200, 0, 0],
        );
        let seen = picture(
            &[right, left],
            Eye::from(Vec3::new(0.0, -1.0, 0.0)),
            Light::Lambert,
            80,
            80,
        );
        let at = |row: usize, column: usize| seen.pixels[row * 80 + column];
        assert!(at(12, 68)[1] > at(12, 68)[0] && at(68, 12)[0] > at(68, 12)[1]);
    }

    #[test]
    fn nothing_gives_a_white_picture_and_a_png() {
        let seen = picture(&[], Eye::from(Vec3::new(1.0, 1.0, 1.0)), Light::Lambert, 8, 4);
        assert!(seen.pixels.iter().all(|p| *p == [255; 3]));
        assert_eq!(&seen.png().unwrap()[1..4], b"PNG");
    }
}
