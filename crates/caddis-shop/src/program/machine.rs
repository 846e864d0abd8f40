//! The router that follows a program, and what it engraves with, as data.

use caddis_basis::{Duration, Length, Source, Speed};

/// A three-axis router. Cutter diameter, feed, depth of one pass and motion are the process's; the rest is here. The values are
/// common practice and the shop's to edit.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// Name in the header.
    pub name: String,
    /// Whether programs are written with the cut files; shops with their own CAM leave them off.
    pub write_programs: bool,
    /// Length of the cutting edge: no cut goes deeper.
    pub flute_length: Length,
    /// Spindle speed, revolutions per minute.
    pub spindle_rpm: f64,
    /// Feed straight down.
    pub plunge_feed: Speed,
    /// Height above the sheet at which rapid moves go.
    pub safe_height: Length,
    /// Height above the sheet down to which the cutter goes at rapid speed before it plunges, and over which it passes from stroke to
    /// stroke of a name at feed; `None` plunges all the way from the safe height.
    pub approach_height: Option<Length>,
    /// Distance between clearing passes over the cutter's diameter.
    pub stepover: f64,
    /// Foam left under what would come loose: it is torn or cut by hand.
    pub skin: Length,
    /// Wait until the spindle turns at speed.
    pub spin_up: Duration,
    /// Where the values come from.
    pub source: Source,
}

impl Machine {
    /// Where a plunge begins, above the sheet.
    pub fn plunge_from(&self) -> Length {
        self.approach_height.unwrap_or(self.safe_height)
    }
}

/// The tool that engraves names and part marks. The values are common practice and the shop's to edit.
#[derive(Debug, Clone, PartialEq)]
pub struct EngravingTool {
    /// Name in the header.
    pub name: String,
    /// Width of the line it leaves.
    pub diameter: Length,
    /// Depth of the line.
    pub depth: Length,
    /// Feed along it.
    pub feed: Speed,
    /// Putting it in and finding its zero, once a sheet.
    pub change: Duration,
    /// Where the values come from.
    pub source: Source,
}

impl EngravingTool {
    /// Greatest width of a line: the smallest letters are 5 mm high, their bars 2.5 mm apart.
    pub const GREATEST_DIAMETER: Length = Length::from_si(0.002);
    /// Greatest depth: the foam under a line is counted on as whole.
    pub const GREATEST_DEPTH: Length = Length::from_si(0.003);
}
