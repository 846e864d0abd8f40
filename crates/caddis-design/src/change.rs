//! The one vocabulary of editing.

use caddis_basis::{InstanceId, ItemId, Length};
use caddis_geometry::Vec2;
use caddis_protection::Foam;
use caddis_survey::{Item, Shell, Turn, Up};

use crate::Concession;

/// One edit of a brief or its interior.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// One more kind of equipment.
    AddItem(Box<Item>),
    /// A kind less.
    RemoveItem(ItemId),
    /// Put a piece here (plan centre).
    Move(InstanceId, Vec2),
    /// Lay a piece another way.
    Turn(InstanceId, Up, Turn),
    /// Hang a piece in another tier, 0 at the bottom.
    SetTier(InstanceId, usize),
    /// Lay a piece in the lid.
    SetInLid(InstanceId),
    /// Keep a piece where it is, or let it go again.
    Pin(InstanceId, bool),
    /// Another shell.
    SwapShell(Box<Shell>),
    /// Another foam for the base (`true`) or the lid pad.
    SetFoam(bool, Box<Foam>),
    /// Another drop height.
    SetDropHeight(Length),
    /// Sign for a failing finding.
    Concede(Box<Concession>),
}
