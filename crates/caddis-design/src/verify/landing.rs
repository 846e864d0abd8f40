//! Directions and landings that are tried beside the net of directions.

use crate::Brief;
use caddis_basis::{STANDARD_GRAVITY, Said, said};
use caddis_geometry::Vec3;
use caddis_protection::drop::Landing;

/// Faces, edges and corners.
pub(super) fn principal() -> Vec<Vec3> {
    let mut out = Vec::with_capacity(26);
    for x in [-1.0, 0.0, 1.0] {
        for y in [-1.0, 0.0, 1.0] {
            for z in [-1.0, 0.0, 1.0] {
                let direction = Vec3::new(x, y, z);
                if direction.length() > 0.0 {
                    out.push(direction.unit());
                }
            }
        }
    }
    out
}

/// The landings one end first: every side, every edge of it about which the case is long enough that the far end comes
/// down faster than it fell.
///
/// # Source
/// Derived: a uniform box of length L and height H that stops dead with one edge keeps its angular momentum about it,
/// m v0 L/2 = m (L² + H²)/3 w; the far end then moves at 1.5 v0 L²/(L² + H²) along the fall.
pub(super) fn ends_first(brief: &Brief) -> Vec<(Vec3, Landing, Said)> {
    let outside = [0, 1, 2].map(|axis| brief.shell.outside[axis].value.si());
    let speed = (2.0 * STANDARD_GRAVITY * brief.handling.drop_height.most().si()).sqrt();
    let axes = [
        Vec3::new(1.0, 0.0, 0.0),
        Vec3::new(0.0, 1.0, 0.0),
        Vec3::new(0.0, 0.0, 1.0),
    ];
    let ends = [
        [said!("left edge first"), said!("right edge first")],
        [said!("front edge first"), said!("back edge first")],
        [said!("base edge first"), said!("lid edge first")],
    ];
    // The middle of the outside: the inside's middle, the wall alike above and below.
    let middle = axes[2] * (brief.shell.crown_height().si() / 2.0);
    let mut out = Vec::new();
    for fall in 0..3 {
        for along in (0..3).filter(|along| *along != fall) {
            let (length, height) = (outside[along], outside[fall]);
            if length * length <= 2.0 * height * height {
                continue;
            }
            let spin = 1.5 * speed * length / (length * length + height * height);
            for sign in [-1.0, 1.0] {
                let direction = axes[fall] * sign;
                for (end, side) in [(-1.0, 0), (1.0, 1)] {
                    let to_far = axes[along] * -end;
                    let pivot = middle + axes[along] * (end * length / 2.0) + direction * (height / 2.0);
                    let landing = Landing::EndFirst {
                        pivot,
                        spin: to_far.cross(direction) * spin,
                    };
                    out.push((direction, landing, ends[along][side].clone()));
                }
            }
        }
    }
    out
}
