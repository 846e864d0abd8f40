//! The free plan at a height.

use super::profile::{Profile, Root};
use super::{HalfSide, Shell};
use caddis_geometry::Region;

impl Shell {
    /// The free plan at height `z` (metres, case coordinates), nominal: walls with draft, radii and fillet, minus
    /// intrusions. Empty outside the room. Arcs are arcs. The rim plane belongs to the base.
    pub fn section(&self, z: f64) -> Region {
        let rim = self.rim_height().si();
        let crown = self.crown_height().si();
        if (0.0..=rim).contains(&z) {
            free(&Profile::nominal(&self.base), z, z)
        } else if z > rim && z <= crown {
            let h = crown - z;
            free(&Profile::nominal(&self.lid), h, h)
        } else {
            Region::empty()
        }
    }

    /// As [`Shell::section`] with every dimension at its unfavourable limit (worst-case tolerance).
    ///
    /// Between the least and the most height of the rim plane both halves must leave the room. The crown is at its
    /// lowest, which is the least depth of both halves together.
    pub fn least_section(&self, z: f64) -> Region {
        let (base, lid) = (&self.base, &self.lid);
        let (rim_low, rim_high) = (base.depth.least().si(), base.depth.most().si());
        let crown_low = rim_low + lid.depth.least().si();
        let crown_high = rim_high + lid.depth.most().si();
        if !(z >= 0.0 && z <= crown_low) {
            return Region::empty();
        }
        let in_base = || free(&Profile::least(base), z, z);
        // The crown may be anywhere between: walls as if it were lowest, intrusions wherever they may reach.
        let in_lid = || free(&Profile::least(lid), crown_low - z, crown_high - z);
        if z <= rim_low {
            in_base()
        } else if z > rim_high {
            in_lid()
        } else {
            in_base().intersection(&in_lid())
        }
    }

    /// The plan at height `z` between walls, fillet and traced sections, without intrusions. Empty outside the room.
    pub fn wall_section(&self, z: f64) -> Region {
        let (side, h) = self.height_in_half(z);
        let profile = Profile::nominal(self.half(side));
        if (0.0..=profile.depth).contains(&h) {
            profile.room_at(h).unwrap_or_else(Region::empty)
        } else {
            Region::empty()
        }
    }

    /// Which half a height lies in, and its height over that half's floor or crown.
    fn height_in_half(&self, z: f64) -> (HalfSide, f64) {
        if z <= self.rim_height().si() {
            (HalfSide::Base, z)
        } else {
            (HalfSide::Lid, self.crown_height().si() - z)
        }
    }
}

/// Walls at `low` minus every intrusion met between `low` and `high` (the same height unless tolerance spreads them).
pub(super) fn free(profile: &Profile, low: f64, high: f64) -> Region {
    let Some(walls) = profile.free_at(low) else {
        return Region::empty();
    };
    let around = Root::Rounded(walls);
    let standing: Vec<Region> = profile
        .bodies
        .iter()
        .filter(|body| high >= body.from && low < body.to)
        .filter_map(|body| body.outline_at(low.max(body.from)))
        .filter(|outline| around.overlaps_box_of(outline))
        .map(|outline| outline.region())
        .collect();
    let room = profile.room_at(low).unwrap_or_else(Region::empty);
    if standing.is_empty() {
        room
    } else {
        room.difference(&Region::union_all(&standing))
    }
}
