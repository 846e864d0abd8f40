//! A cutting process as data: what it can cut, how finely, how fast.

use crate::{EngravingTool, Machine};
use caddis_basis::{Acceleration, Duration, Length, Source, Speed};

/// How foam is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProcessKind {
    /// Router: pockets with exact floors.
    Router,
    /// Jet of pure water: through cuts only.
    WaterJet,
    /// Oscillating knife: through cuts only.
    Knife,
    /// Hot wire: through cuts only, every cavity from a slit.
    HotWire,
}

/// A cutting process; the values are common practice and the shop's to edit.
#[derive(Debug, Clone, PartialEq)]
pub struct Process {
    /// Name on papers.
    pub name: String,
    /// Kind.
    pub kind: ProcessKind,
    /// Cutter diameter, or the width a jet, blade or wire takes.
    pub kerf: Length,
    /// Least radius of a curve that turns inward.
    pub least_radius: Length,
    /// Free gap between parts on a sheet (at least the kerf).
    pub gap: Length,
    /// Greatest thickness it cuts.
    pub greatest_thickness: Length,
    /// Cutting feed.
    pub feed: Speed,
    /// Depth of one pass; what cuts through at once has its greatest thickness here.
    pub pass_depth: Length,
    /// How its axes move.
    pub motion: Motion,
    /// Time of every start: piercing, plunging, threading the wire.
    pub start: Duration,
    /// Way in from the waste before a contour, and out again.
    pub lead_in: Length,
    /// The knife's blade.
    pub blade: Option<Blade>,
    /// Words of which one stands in the material of every foam that it may cut; none where it cuts any.
    pub suits: Vec<String>,
    /// Router data: time along tool paths, and programs.
    pub machine: Option<Machine>,
    /// What its machine engraves names and part marks with, in programs of their own; by hand where it is left out.
    pub engraving: Option<EngravingTool>,
    /// Tolerance class words for the sheets ("ISO 3302-1 class L1 by analogy").
    pub tolerance: String,
    /// The tolerance table of its drawings, by nominal size, rising.
    pub tolerances: Vec<ToleranceRow>,
    /// Cautions printed on shop papers.
    pub cautions: Vec<String>,
    /// Source.
    pub source: Source,
}

impl Process {
    /// Whether it cuts through the whole sheet or not at all: every cavity floor is then a joint between layers.
    pub fn cuts_through(&self) -> bool {
        self.kind != ProcessKind::Router
    }

    /// Radius it leaves in a sharp inside corner. A knife is lifted and set down anew: none.
    pub fn corner_radius(&self) -> Length {
        match self.kind {
            ProcessKind::Knife => Length::ZERO,
            ProcessKind::Router | ProcessKind::WaterJet | ProcessKind::HotWire => self.least_radius,
        }
    }

    /// Whether it may cut a foam of this material.
    pub fn suits(&self, material: &str) -> bool {
        let material = material.to_lowercase();
        self.suits.is_empty()
            || self
                .suits
                .iter()
                .any(|word| material.contains(&word.to_lowercase()))
    }

    /// The row of a nominal size; `None` beyond the table, or without one.
    pub fn tolerance_of(&self, nominal: Length) -> Option<&ToleranceRow> {
        self.tolerances.iter().find(|row| nominal <= row.up_to)
    }
}

/// How the axes move, for the time estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Speed in the air.
    pub rapid: Speed,
    /// Acceleration.
    pub acceleration: Acceleration,
    /// How far a corner may be rounded at speed.
    pub corner_deviation: Length,
}

/// A knife blade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blade {
    /// From its front to its back.
    pub width: Length,
    /// How far its back may stand off a curve.
    pub side_error: Length,
    /// Lean of its cutting edge from the vertical, radians.
    pub edge_angle: f64,
}

impl Blade {
    /// Radius below which the back of the blade leaves the curve by more than the side error.
    ///
    /// # Source
    /// R = w² / (8 e): the sagitta of a chord as long as the blade is wide (elementary geometry).
    pub fn least_radius(&self) -> Length {
        let (width, error) = (self.width.si(), self.side_error.si());
        Length::from_si(width * width / (8.0 * error))
    }

    /// How far it cuts beyond a corner at the upper face to reach the corner at the lower one.
    ///
    /// # Source
    /// o = t tan(a) for thickness t and the edge's lean a (elementary geometry).
    pub fn overcut(&self, thickness: Length) -> Length {
        thickness * self.edge_angle.tan()
    }
}

/// What the shop keeps of sizes up to a nominal one. All of it is the shop's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToleranceRow {
    /// Largest nominal size of the row.
    pub up_to: Length,
    /// Half-width on sizes and places in plan.
    pub plan: Length,
    /// Half-width on depths.
    pub depth: Length,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check values of the project's shop reference, 2.2.
    #[test]
    fn a_blade_turns_as_its_width_allows() {
        let blade = |width: f64| Blade {
            width: Length::mm(width),
            side_error: Length::mm(0.3),
            edge_angle: 20.0_f64.to_radians(),
        };
        assert!((blade(6.0).least_radius().as_mm() - 15.0).abs() < 1e-9);
        assert!((blade(2.0).least_radius().as_mm() - 1.6667).abs() < 1e-3);
        assert!((blade(6.0).overcut(Length::mm(25.0)).as_mm() - 9.0993).abs() < 1e-3);
    }
}
