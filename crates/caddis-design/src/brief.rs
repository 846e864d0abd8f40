//! What is asked: the shell, the equipment, the foams, the journey, the choices.

use crate::{Block, Concession, Furnishing, LayerPlan, VibrationBrief, Wishes};
use caddis_basis::{Area, Certainty, Length, Mass, Measured, Source};
use caddis_journey::{Battery, Journey, Valve};
use caddis_protection::Foam;
use caddis_survey::{Item, Shell};

/// Who signs what.
#[derive(Debug, Clone, PartialEq)]
pub struct Signer {
    /// A person's name.
    pub name: String,
    /// True when the customer signs, false for the shop.
    pub is_customer: bool,
}

/// How the case is handled: decides the drop height and the balance wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Handling {
    /// Drop height the design must hold.
    pub drop_height: Measured<Length>,
    /// Source of the drop height.
    pub source: Source,
    /// How long the case is stored packed, for creep ("months" in words on papers); true when longer than a month.
    pub stored_long: bool,
    /// How drops, foam and temperature scatter about the design.
    pub scatter: Scatter,
    /// Coefficient of friction between foam and items, and who measured it; without it falls are simulated without friction
    /// only.
    pub foam_friction: Option<(f64, Source)>,
    /// Rebound speed of the shell over its impact speed, and who measured it; an assumption stands for it otherwise.
    pub shell_rebound: Option<(f64, Source)>,
}

/// What the spread of peaks assumes.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// Height below which 95 % of drops stay.
    pub height_95: Length,
    /// Height that no drop passes.
    pub highest: Length,
    /// Who measured the heights.
    pub source: Source,
    /// Share of drops that land flat on the base; the others fall in any direction alike.
    pub base_share: f64,
    /// Half-width of the factor on the foam's stress, from piece to piece, where the job states it.
    pub foam: Option<f64>,
    /// Factor on the foam's stress at the warmest and at the coldest.
    pub temperature_factors: (f64, f64),
}

impl Default for Scatter {
    /// The levels measured for medium and heavy parcels, their highest drop, and factors that nobody measured.
    ///
    /// # Source
    /// 26 in at 95 % and 42.1 in the highest: ASTM Journal of Testing and Evaluation 20(5), p. 382 (published). Half the
    /// drops of larger packages on the base: lecture deck on shock (secondary). Factors on the foam: assumed, no source.
    fn default() -> Self {
        Self {
            height_95: Length::mm(660.0),
            highest: Length::mm(1069.0),
            source: Source::new(
                "ASTM Journal of Testing and Evaluation 20(5), p. 382: a parcel network, 35 round trips, parcels of medium size",
                Certainty::Published,
            ),
            base_share: 0.5,
            foam: None,
            temperature_factors: (0.8, 1.4),
        }
    }
}

/// The shop's geometric choices that shape the interior (data, with the shop's defaults).
#[derive(Debug, Clone, PartialEq)]
pub struct Clearances {
    /// Layer thicknesses the interior may be stacked from, rising.
    pub layer_thicknesses: Vec<Length>,
    /// Height lost per joint between layers of one block.
    pub joint_loss: Length,
    /// Thickness tolerance of a layer, half-width.
    pub layer_tolerance: Length,
    /// Target vertical squeeze of the closed stack, least and most.
    pub stack_squeeze: (Length, Length),
    /// Depth bands of cavities: floors of round shapes step by this.
    pub cavity_step: Length,
    /// Least foam under an item whatever the law says.
    pub least_floor: Length,
    /// Radius of a finger notch (thumb or finger plus clearance) and how far it reaches below the item's top.
    pub notch_radius: Length,
    /// Depth of a finger notch below the tier's top.
    pub notch_depth: Length,
    /// Least foam between a notch and the next cavity.
    pub least_notch_web: Length,
    /// Least cutter radius in a cavity corner.
    pub cutter_radius: Length,
    /// Layers are cut through or not at all: cavity floors are joints between layers.
    pub through_cuts: bool,
    /// Diameter of a hole by which a piece is pushed out of a tray from below.
    pub push_out_diameter: Length,
    /// Length and width of the hole that takes the fingers of a hand lifting a tray.
    pub lift_hole: (Length, Length),
}

impl Clearances {
    /// Diameter of a push-out hole where the shop states none: one finger in a thin glove.
    ///
    /// # Source
    /// The project's shop reference, 1.3: 25 mm bare, 30 mm thin glove, 38 mm heavy glove.
    pub const PUSH_OUT_DIAMETER: Length = Length::from_si(0.030);
    /// Lift hole where the shop states none: the fingers of one hand side by side, and room for them.
    ///
    /// # Source
    /// The project's shop reference, 1.3: w = n b + (n - 1) 1 mm + 2 c with b = 23 mm (men's index finger, 95 %), n = 4 and c = 2 mm
    /// gives 99 mm; 38 mm of finger room is the gloved recess of 1.2.
    pub const LIFT_HOLE: (Length, Length) = (Length::from_si(0.100), Length::from_si(0.038));
}

/// The whole question of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct Brief {
    /// Job id, for marks and papers.
    pub job: String,
    /// Title on papers.
    pub title: String,
    /// Customer on papers.
    pub customer: String,
    /// The shell.
    pub shell: Shell,
    /// Equipment.
    pub items: Vec<Item>,
    /// Foams of the job; the two indices below point into it.
    pub foams: Vec<Foam>,
    /// Foam of base block and trays.
    pub base_foam: usize,
    /// Foam of the lid pad.
    pub lid_foam: usize,
    /// The journey.
    pub journey: Journey,
    /// Handling.
    pub handling: Handling,
    /// Shop choices.
    pub clearances: Clearances,
    /// Mass of other things in the case (papers, desiccant), and its source.
    pub sundries: Measured<Mass>,
    /// Batteries among the equipment.
    pub batteries: Vec<Battery>,
    /// The state the pressure valve is taken to be in.
    pub valve: Valve,
    /// Area of the lid that trapped pressure acts on; the rim opening when `None`.
    pub lid_area: Option<Area>,
    /// What is known of vibration.
    pub vibration: VibrationBrief,
    /// What the user wishes beyond what must be.
    pub wishes: Wishes,
    /// What the foam carries beside cavities, how it is kept in, its colours.
    pub furnishing: Furnishing,
    /// What was conceded, by whom.
    pub concessions: Vec<Concession>,
}

impl Brief {
    /// How pictures show a layer of a block: in the colour it is to have, else in its foam's.
    pub fn shade(&self, block: &Block, layer: &LayerPlan) -> Option<[u8; 3]> {
        let number = block.layers.iter().position(|other| other.id == layer.id)?;
        let asked = self
            .furnishing
            .colour_of(block, number)
            .map(|colour| colour.shade);
        asked.or_else(|| self.foams.get(block.foam).map(|foam| foam.colour))
    }

    /// Where the room for foam ends: the lid's crown, less the board behind the lid pad.
    pub fn crown(&self) -> Length {
        let board = self.furnishing.board.as_ref();
        self.shell.crown_height() - board.map_or(Length::ZERO, |board| board.thickness)
    }
}
