//! What a job asks of its foam beside cavities: `[interior]`.

use crate::error::{Fault, join};
use crate::shop::named;
use crate::wishes::piece;
use crate::written::{Bench, Written};
use caddis_basis::Length;
use caddis_design::{
    BackBoard, ChannelWish, Clearances, Furnishing, HeldBy, LabelWish, LayerColour, LayerColours, TrayLift,
};
use caddis_shop::Shop;
use caddis_survey::Item;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// `[interior]`; what is left out is not asked for.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FurnishingFile {
    /// How people take a tray out: `holes`, `straps`; by its edges when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tray_lift: Option<String>,
    /// Pieces of a tray that no fingers take get a hole to push them out by.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub push_out_holes: bool,
    /// A tray gets the shop's board, between the foam that bears what lies in it and foam that covers what lies below.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tray_board: bool,
    /// Channels from cavity to cavity.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cable_channels: Vec<ChannelFile>,
    /// Recess for a label in the uppermost foam under the lid pad.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<LabelFile>,
    /// What keeps the base block in: `squeeze`, `adhesive`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub base_held_by: Option<String>,
    /// What keeps the lid pad in: `squeeze`, `adhesive`, `board`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lid_held_by: Option<String>,
    /// How layers' edges follow the walls: `stepped` (square, unless stated) or `bevelled`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edges: Option<String>,
    /// Colours of the layers, by their names on the shop's stock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colours: Option<LayerColoursFile>,
}

impl FurnishingFile {
    /// Nothing is asked for.
    pub(crate) fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// A cable channel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChannelFile {
    /// `item` or `item/number`.
    pub from: String,
    /// `item` or `item/number`.
    pub to: String,
    /// Width.
    pub width: Written,
    /// Depth below the tier's top.
    pub depth: Written,
}

/// A label's recess.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LabelFile {
    /// Side along the opening.
    pub length: Written,
    /// The other.
    pub width: Written,
    /// Depth.
    pub depth: Written,
}

/// Colours of the layers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LayerColoursFile {
    /// Of each block's uppermost layer.
    pub top: String,
    /// Of the layers below, in which cavities have their floors.
    pub floors: String,
}

/// What keeps foam in, by its word.
const HELD_BY: [(&str, HeldBy); 3] = [
    ("squeeze", HeldBy::Squeeze),
    ("adhesive", HeldBy::Adhesive),
    ("board", HeldBy::Board),
];

/// The furnishing of a job about these items, at this shop.
pub(crate) fn furnishing(
    bench: &Bench,
    written: &FurnishingFile,
    (items, clearances): (&[Item], &Clearances),
    (shop, foam): (&Shop, &str),
) -> Result<Furnishing, Fault> {
    let tray_lift = named(
        written.tray_lift.as_deref(),
        &[("holes", TrayLift::Holes), ("straps", TrayLift::Straps)],
        "interior.tray_lift",
    )?;
    if tray_lift == TrayLift::Straps && shop.fittings.pull_strap.is_none() {
        return Err(Fault::new(
            "interior.tray_lift",
            format!("{} states no pull strap", shop.name),
        )
        .hint("state `[fittings.pull_strap]` in the shop's file, or ask for `holes`"));
    }
    if let Some(index) = items.iter().position(|item| item.may_lie_in_lid)
        && shop.fittings.lid_strip.is_none()
    {
        return Err(Fault::new(
            format!("items[{index}].may_lie_in_lid"),
            format!("{} states nothing that fastens a cover in the lid", shop.name),
        )
        .hint("state `[fittings.lid_strip]` in the shop's file, or leave `may_lie_in_lid` out"));
    }
    let edges = [("stepped", false), ("bevelled", true)];
    let bevelled_edges = named(written.edges.as_deref(), &edges, "interior.edges")?;
    if bevelled_edges && shop.fittings.bevel_per_layer.is_none() {
        return Err(Fault::new(
            "interior.edges",
            format!("{} does not say that it bevels", shop.name),
        )
        .hint("state `bevel_per_layer` in `[fittings]` of the shop's file, or ask for `stepped`"));
    }
    let (base, lid) = ("interior.base_held_by", "interior.lid_held_by");
    let base_held_by = named(written.base_held_by.as_deref(), &HELD_BY, base)?;
    let lid_held_by = named(written.lid_held_by.as_deref(), &HELD_BY, lid)?;
    if base_held_by == HeldBy::Board {
        return Err(Fault::new(base, "a board holds the lid pad alone").hint("use squeeze or adhesive"));
    }
    let stated = shop.fittings.board.as_ref().map(|board| BackBoard {
        thickness: board.thickness,
        mass_per_area: board.mass_per_area,
        modulus: board.bending_modulus,
    });
    let board = match (lid_held_by, &stated) {
        (HeldBy::Board, None) => {
            return Err(Fault::new(lid, format!("{} states no board", shop.name))
                .hint("state `[fittings.board]` in the shop's file, or use squeeze or adhesive"));
        }
        (HeldBy::Board, board) => board.clone(),
        _ => None,
    };
    if written.tray_board && stated.is_none() {
        return Err(
            Fault::new("interior.tray_board", format!("{} states no board", shop.name))
                .hint("state `[fittings.board]` in the shop's file, or leave `tray_board` out"),
        );
    }
    let mut channels = Vec::new();
    for (index, channel) in written.cable_channels.iter().enumerate() {
        channels.push(wished(bench, channel, items, clearances, index)?);
    }
    Ok(Furnishing {
        tray_lift,
        push_out_holes: written.push_out_holes,
        tray_board: stated.filter(|_| written.tray_board),
        channels,
        label: written
            .label
            .as_ref()
            .map(|label| wanted(bench, label))
            .transpose()?,
        base_held_by,
        lid_held_by,
        board,
        bevelled_edges,
        colours: written
            .colours
            .as_ref()
            .map(|colours| stocked(colours, shop, foam))
            .transpose()?,
    })
}

fn wished(
    bench: &Bench,
    channel: &ChannelFile,
    items: &[Item],
    clearances: &Clearances,
    index: usize,
) -> Result<ChannelWish, Fault> {
    let path = format!("interior.cable_channels[{index}]");
    let between = (
        piece(&channel.from, &join(&path, "from"), items)?,
        piece(&channel.to, &join(&path, "to"), items)?,
    );
    if between.0 == between.1 {
        return Err(Fault::new(join(&path, "to"), "a channel joins two pieces").hint("name another piece"));
    }
    let width: Length = bench.positive(&channel.width, &join(&path, "width"))?;
    let least = clearances.cutter_radius * 2.0;
    if width < least {
        return Err(Fault::new(
            join(&path, "width"),
            format!("{width} is narrower than the cutter, {least}"),
        )
        .hint("make it wider, or choose a process with a finer cutter"));
    }
    Ok(ChannelWish {
        between,
        width,
        depth: bench.positive(&channel.depth, &join(&path, "depth"))?,
    })
}

fn wanted(bench: &Bench, label: &LabelFile) -> Result<LabelWish, Fault> {
    Ok(LabelWish {
        length: bench.positive(&label.length, "interior.label.length")?,
        width: bench.positive(&label.width, "interior.label.width")?,
        depth: bench.positive(&label.depth, "interior.label.depth")?,
    })
}

/// Colours that the shop stocks the foam in; which thicknesses of them is asked when it is made.
fn stocked(written: &LayerColoursFile, shop: &Shop, foam: &str) -> Result<LayerColours, Fault> {
    let stocked: BTreeMap<&str, &LayerColour> = shop
        .stock
        .iter()
        .filter(|sheet| sheet.foam == foam)
        .filter_map(|sheet| sheet.colour.as_ref())
        .map(|colour| (colour.name.as_str(), colour))
        .collect();
    let known = |text: &str, key: &str| {
        let name = text.trim();
        if let Some(colour) = stocked.get(name) {
            return Ok((*colour).clone());
        }
        let names: Vec<&str> = stocked.keys().copied().collect();
        let field = format!("interior.colours.{key}");
        let fault = Fault::new(field, format!("{} stocks no `{foam}` in `{name}`", shop.name));
        Err(if names.is_empty() {
            fault.hint("none of its stock of that foam states a colour: give each row of it its `colour`")
        } else {
            fault.hint(format!("it stocks {}", names.join(", ")))
        })
    };
    let colours = LayerColours {
        top: known(&written.top, "top")?,
        floors: known(&written.floors, "floors")?,
    };
    if colours.top.name == colours.floors.name {
        return Err(
            Fault::new("interior.colours.floors", "top and floors have the same colour")
                .hint("a missing piece shows where the floor has another colour than the top"),
        );
    }
    Ok(colours)
}
