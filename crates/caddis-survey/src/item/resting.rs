//! How a piece stands by itself, on the bench or where it is put down.

use super::{Item, Up};
use caddis_basis::{Area, Length};
use caddis_geometry::{Mesh, Vec3};

/// What tips at less rolls, or falls at a touch: it is no way to stand (5 degrees; common practice, no source).
const LEAST_TIP: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// A way up is one of the item's own axes when it is this close to it: cos of half a degree.
const ALONG: f64 = 0.999_962;

/// One way a piece stands by itself, the foam left aside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RestingPose {
    /// Which direction of its own frame points up then.
    pub up: Vec3,
    /// The axis of its own frame that this is, within half a degree.
    pub axis: Option<Up>,
    /// Height of its centre of mass above the floor.
    pub centre_height: Length,
    /// Area of the hull of what touches the floor.
    pub footprint: Area,
    /// Least tilt at which it tips over, radians.
    pub tip_angle: f64,
    /// Where it tips to then: a level direction of its own frame.
    pub tips_to: Vec3,
    /// How far its centre of mass rises until then.
    pub rise: Length,
}

/// Every way a shape stands by itself and takes a tilt of 5 degrees, the steadiest first; `centre` is its centre of mass.
///
/// # Accuracy
/// As [`Mesh::resting`]. What rolls is no pose: chords of a round part count only where they are more than 10 degrees long.
///
/// # Source
/// As [`Mesh::resting`]; the 5 degrees are common practice without a source.
pub fn resting_poses(mesh: &Mesh, centre: Vec3) -> Vec<RestingPose> {
    mesh.resting(centre, LEAST_TIP)
        .into_iter()
        .map(|pose| RestingPose {
            up: pose.up,
            axis: Up::ALL
                .into_iter()
                .find(|axis| axis.direction().dot(pose.up) > ALONG),
            centre_height: Length::from_si(pose.centre_height),
            footprint: Area::from_si(pose.footprint),
            tip_angle: pose.tip_angle,
            tips_to: pose.tips_to,
            rise: Length::from_si(pose.rise),
        })
        .collect()
}

impl Item {
    /// Every way one piece stands by itself, by its centre of mass: [`resting_poses`].
    pub fn resting_poses(&self) -> Vec<RestingPose> {
        let centre = self.centre_of_mass.unwrap_or_else(|| self.centre_of_volume());
        resting_poses(&self.mesh(), centre)
    }
}
