//! What is fitted to the shell, in what state, and what closes and seals it.

use super::Wall;
use caddis_basis::{Angle, Length, Measured, Said, said};

/// The groups a customer asks about.
#[derive(Default, Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FittingGroup {
    /// Closing and locking: latches, padlock points, hinges.
    #[default]
    Closing,
    /// Moving: wheels, handles.
    Moving,
    /// Sealing: gasket, valve.
    Sealing,
    /// Stacking: features. A load only from the maker's rating.
    Stacking,
    /// Marking: flat places for labels.
    Marking,
}

/// In what state it was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum FittingState {
    /// Works, no wear that matters.
    Good,
    /// Works, worn.
    Worn,
    /// Does not do what it is for.
    Damaged,
    /// Not there.
    Missing,
    /// Nobody looked.
    #[default]
    NotChecked,
}

/// A number in a photo that points at a fitting.
#[derive(Debug, Clone, PartialEq)]
pub struct Callout {
    /// File of the photo, as the survey names it.
    pub photo: String,
    /// The number drawn in it.
    pub number: u32,
    /// Where papers draw it, as shares of the photo from its left and from its top; `None` where the photo has it already.
    pub at: Option<[f64; 2]>,
}

/// A photo of the sample.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Its file.
    pub file: String,
    /// What it shows.
    pub shows: String,
}

/// Something fitted to the shell.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fitting {
    /// What ("padlock point", "pressure valve", "wheel").
    pub name: String,
    /// The group it belongs to.
    pub group: FittingGroup,
    /// How many.
    pub count: u32,
    /// Remarks.
    pub note: String,
    /// State.
    pub state: FittingState,
    /// Whether it wears out in use; `None` when nobody said.
    pub is_wear_part: Option<bool>,
    /// Whether it can be replaced in the field; `None` when nobody said.
    pub is_field_replaceable: Option<bool>,
    /// Middle of each, case coordinates.
    pub places: Vec<[Measured<Length>; 3]>,
    /// Size of each along x, y and z.
    pub size: Option<[Measured<Length>; 3]>,
    /// Height of a handle's grip over the ground with the case on its base.
    pub grip_height: Option<Measured<Length>>,
    /// Where photos show it.
    pub callouts: Vec<Callout>,
}

/// The gasket at the rim.
#[derive(Debug, Clone, PartialEq)]
pub struct GasketRim {
    /// Width of the ring on the rim.
    pub width: Measured<Length>,
    /// How far it stands over the rim plane, open.
    pub height: Measured<Length>,
    /// How far it stands into the opening past the wall's edge: what a rigid piece must pass on its way in.
    pub stands_in: Measured<Length>,
}

/// The axis about which the lid swings.
#[derive(Debug, Clone, PartialEq)]
pub struct Hinge {
    /// The wall it runs along.
    pub wall: Wall,
    /// How far its axis lies outside that wall's edge at the rim.
    pub beyond: Measured<Length>,
    /// How far its axis lies above the rim plane (below: negative).
    pub above_rim: Measured<Length>,
    /// How far the lid opens.
    pub opens_to: Option<Measured<Angle>>,
}

impl FittingGroup {
    /// All, in the order of papers.
    pub const ALL: [Self; 5] = [
        Self::Closing,
        Self::Moving,
        Self::Sealing,
        Self::Stacking,
        Self::Marking,
    ];

    /// As files say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Closing => "closing",
            Self::Moving => "moving",
            Self::Sealing => "sealing",
            Self::Stacking => "stacking",
            Self::Marking => "marking",
        }
    }

    /// As papers head it.
    pub fn title(self) -> &'static str {
        match self {
            Self::Closing => "Closing and locking",
            Self::Moving => "Moving",
            Self::Sealing => "Sealing",
            Self::Stacking => "Stacking",
            Self::Marking => "Marking",
        }
    }
}

impl FittingState {
    /// As files and papers say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Worn => "worn",
            Self::Damaged => "damaged",
            Self::Missing => "missing",
            Self::NotChecked => "not checked",
        }
    }
}

impl Fitting {
    /// State, wear and replacement in words, for papers.
    pub fn condition(&self) -> Said {
        let state = Said::one_of("fitting", self.state.words());
        let mut words = vec![said!("state {state}", state)];
        match self.is_wear_part {
            Some(true) => words.push(said!("wear part")),
            Some(false) => words.push(said!("no wear part")),
            None => {}
        }
        match self.is_field_replaceable {
            Some(true) => words.push(said!("replaceable in the field")),
            Some(false) => words.push(said!("not replaceable in the field")),
            None => {}
        }
        Said::row(words, ", ")
    }

    /// Whether its name holds this word.
    pub(super) fn is_called(&self, word: &str) -> bool {
        self.name.to_lowercase().contains(word)
    }
}
