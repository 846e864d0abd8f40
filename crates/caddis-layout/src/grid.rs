//! Outlines freed of where they were drawn.

use caddis_geometry::{Region as Plan, Vec2};

/// The outline about a corner in a unit of its own, its points on a grid that takes the rounding of where it was drawn away.
pub(crate) fn on_grid(outline: &Plan, corner: Vec2, unit: f64, grid: f64) -> Plan {
    let snapped = |v: f64| (v / unit / grid).round() * grid;
    let mut plan = outline.clone();
    for shape in &mut plan.shapes {
        for contour in std::iter::once(&mut shape.outer).chain(&mut shape.holes) {
            for vertex in &mut contour.vertices {
                let from = vertex.at - corner;
                vertex.at = Vec2::new(snapped(from.x), snapped(from.y));
            }
        }
    }
    plan
}
