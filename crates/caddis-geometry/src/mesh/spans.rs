//! Triangles by the heights they span.

use super::Mesh;
use crate::Vec3;

/// A mesh's triangles sorted for questions about heights.
pub(crate) struct Spans {
    /// (lowest, highest, corners), by lowest.
    spans: Vec<(f64, f64, [Vec3; 3])>,
    /// The greatest height spanned by one triangle.
    tallest: f64,
}

impl Spans {
    pub(crate) fn new(mesh: &Mesh) -> Self {
        let span = |corners: [Vec3; 3]| {
            let [a, b, c] = corners.map(|p| p.z);
            (a.min(b).min(c), a.max(b).max(c), corners)
        };
        let mut spans: Vec<(f64, f64, [Vec3; 3])> = mesh.corners().map(span).collect();
        spans.sort_by(|l, r| l.0.total_cmp(&r.0));
        let tallest = spans.iter().map(|(low, high, _)| high - low).fold(0.0, f64::max);
        Self { spans, tallest }
    }

    /// The lowest vertex.
    pub(crate) fn bottom(&self) -> Option<f64> {
        self.spans.first().map(|s| s.0)
    }

    /// Triangles that meet the closed interval.
    pub(crate) fn reaching(&self, low: f64, high: f64) -> impl Iterator<Item = [Vec3; 3]> + '_ {
        let from = self.spans.partition_point(|s| s.0 < low - self.tallest);
        let to = self.spans.partition_point(|s| s.0 <= high).max(from);
        self.spans[from..to]
            .iter()
            .filter(move |s| s.1 >= low)
            .map(|s| s.2)
    }
}
