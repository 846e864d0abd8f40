//! How far the surface lies off what was recovered.

use super::is_cover;
use super::sample::{Sample, quantile};
use super::stands::Stand;
use super::walls::Walls;
use crate::shell::HalfSide;
use caddis_basis::Length;
use caddis_geometry::{Vec2, Vec3};

/// A point of the surface and how far it lies off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// On the half folded flat: floor and tops in plan, each wall turned out about its foot. Metres.
    pub unfolded: Vec2,
    /// In plan and height over floor or crown, metres.
    pub place: Vec3,
    /// Into the room positive.
    pub off: Length,
}

/// The residuals of one half.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfResidual {
    /// Which half.
    pub side: HalfSide,
    /// Points spread evenly over the surface.
    pub points: Vec<Residual>,
    /// Walls at their feet: left, right, front, back.
    pub foot: [Length; 4],
    /// From floor or crown to rim.
    pub depth: Length,
    /// Root of the mean square.
    pub root_mean_square: Length,
    /// 95 of 100 points lie within this.
    pub within_95: Length,
    /// The point that lies farthest off.
    pub worst: Option<Residual>,
    /// Beyond this a point counts as not explained.
    pub beyond: Length,
    /// Share of the surface that is not explained.
    pub unexplained: f64,
    /// Box around what is not explained (1 % off each end), plan and height.
    pub unexplained_box: Option<[Vec3; 2]>,
}

impl HalfResidual {
    pub(super) fn of(
        side: HalfSide,
        own: &[Sample],
        walls: &Walls,
        depth: f64,
        stands: &[Stand],
        beyond: f64,
    ) -> Self {
        let points: Vec<Residual> = own
            .iter()
            .filter(|s| !is_cover(s, depth))
            .map(|sample| {
                let p = sample.at;
                let inside = walls.inside(p);
                let beside = stands
                    .iter()
                    .map(|stand| stand.outside(p))
                    .fold(f64::INFINITY, f64::min);
                // The room is inside the walls and outside of everything that stands in: its surface is the nearer. A face
                // that goes on behind or below what stands in, as drawings have it, is hidden and no surface of the room.
                let off = if beside < -beyond && inside.abs() <= beyond {
                    inside
                } else if inside < -beyond && beside.abs() <= beyond {
                    beside
                } else {
                    inside.min(beside)
                };
                let on_wall = inside <= beside && -walls.at(p.z).signed_distance(p.plan()) < p.z;
                Residual {
                    unfolded: if on_wall { unfolded(walls, p) } else { p.plan() },
                    place: p,
                    off: Length::from_si(off),
                }
            })
            .collect();
        let count = points.len().max(1) as f64;
        let square: f64 = points.iter().map(|r| r.off.si().powi(2)).sum();
        let mut sizes: Vec<f64> = points.iter().map(|r| r.off.si().abs()).collect();
        let worst = points
            .iter()
            .max_by(|a, b| a.off.si().abs().total_cmp(&b.off.si().abs()))
            .copied();
        let open: Vec<Vec3> = points
            .iter()
            .filter(|r| {
                let off = r.off.si().abs();
                // Edges are blunt, in scans as in meshes.
                off > beyond && !(off < 3.0 * beyond && walls.is_at_edge(r.place))
            })
            .map(|r| r.place)
            .collect();
        let span = |along: fn(Vec3) -> f64, share: f64| {
            let mut values: Vec<f64> = open.iter().map(|p| along(*p)).collect();
            quantile(&mut values, share)
        };
        let at = |share: f64| Vec3::new(span(|p| p.x, share), span(|p| p.y, share), span(|p| p.z, share));
        let unexplained_box = (!open.is_empty()).then(|| [at(0.01), at(0.99)]);
        Self {
            side,
            foot: walls.floor_sides().map(Length::from_si),
            depth: Length::from_si(depth),
            root_mean_square: Length::from_si((square / count).sqrt()),
            within_95: Length::from_si(quantile(&mut sizes, 0.95)),
            worst,
            beyond: Length::from_si(beyond),
            unexplained: open.len() as f64 / count,
            unexplained_box,
            points,
        }
    }
}

/// A wall's point turned out about the wall's foot.
fn unfolded(walls: &Walls, p: Vec3) -> Vec2 {
    let at = walls.at(p.z);
    let from = p.plan() - at.centre;
    let gaps = [
        from.x + at.half.x,
        at.half.x - from.x,
        from.y + at.half.y,
        at.half.y - from.y,
    ];
    let nearest = (0..4).min_by(|&a, &b| gaps[a].total_cmp(&gaps[b])).unwrap_or(0);
    let foot = walls.floor_sides();
    match nearest {
        0 => Vec2::new(foot[0] - p.z, p.y),
        1 => Vec2::new(foot[1] + p.z, p.y),
        2 => Vec2::new(p.x, foot[2] - p.z),
        _ => Vec2::new(p.x, foot[3] + p.z),
    }
}
