//! How deep the room is under a point.

use super::profile::Profile;
use super::{HalfSide, Shell};
use caddis_basis::{Angle, Length};
use caddis_geometry::Vec2;

impl Shell {
    /// Free room below the rim plane at a plan point: from the highest base matter there up to the rim; zero outside.
    pub fn base_depth_at(&self, p: Vec2) -> Length {
        self.floor_height(p).map_or(Length::ZERO, |height| {
            (self.rim_height() - Length::from_si(height)).max(Length::ZERO)
        })
    }

    /// Height of the base's matter at a plan point (0 on the bare floor, higher on fillet, housing, rib), metres above
    /// the floor; `None` outside the rim opening. Where the wall stands over the point the wall's height counts.
    ///
    /// # Accuracy
    /// Exact for the surveyed dimensions, to rounding.
    pub fn floor_height(&self, p: Vec2) -> Option<f64> {
        Profile::nominal(&self.base).matter_over(p)
    }

    /// Height of the lid's lowest matter above a plan point; `None` outside the lid's rim opening.
    ///
    /// # Accuracy
    /// As [`Shell::floor_height`].
    pub fn crown_height_at(&self, p: Vec2) -> Option<f64> {
        Profile::nominal(&self.lid)
            .matter_over(p)
            .map(|height| self.crown_height().si() - height)
    }

    /// As [`Shell::floor_height`] for many points at once, in their order.
    pub fn floor_heights(&self, points: &[Vec2]) -> Vec<Option<f64>> {
        let profile = Profile::nominal(&self.base);
        points.iter().map(|&p| profile.matter_over(p)).collect()
    }

    /// Draft of the four walls (-x, +x, -y, +y) of a half: arctangent of how far the wall leans out over its height, from
    /// the floor, or from the last step or the dome's end, to the rim.
    ///
    /// # Source
    /// Definition of draft. A moulded base that narrows by 0.55 in overall in 8.55 in has 1.84 degrees a side (common
    /// practice, no source).
    pub fn drafts(&self, side: HalfSide) -> [Angle; 4] {
        let profile = Profile::nominal(self.half(side));
        let rim = profile.rim;
        let (floor, height) = profile
            .stations
            .len()
            .checked_sub(2)
            .and_then(|below| profile.stations.get(below))
            .map_or((profile.floor, profile.depth), |foot| {
                (foot.walls, profile.depth - foot.height)
            });
        [
            (floor.centre.x - floor.half.x) - (rim.centre.x - rim.half.x),
            (rim.centre.x + rim.half.x) - (floor.centre.x + floor.half.x),
            (floor.centre.y - floor.half.y) - (rim.centre.y - rim.half.y),
            (rim.centre.y + rim.half.y) - (floor.centre.y + floor.half.y),
        ]
        .map(|lean| Angle::from_si(lean.atan2(height)))
    }
}
