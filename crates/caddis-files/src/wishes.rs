//! What a job wishes of the arrangement beyond what must be.

use crate::error::{Fault, join};
use crate::item::way;
use crate::suggest::closest;
use crate::written::{Bench, Written};
use caddis_basis::{InstanceId, ItemId, Length};
use caddis_design::{Carried, GapWish, PinWish, SpaceWish, Wishes};
use caddis_survey::Item;
use serde::{Deserialize, Serialize};

/// `[wishes]`; what is left out is not wished.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WishesFile {
    /// How the packed case is carried: `rolled`, `side-handle`, `by-two`; any way when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carried: Option<String>,
    /// Pieces that lie where they are put.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pinned: Vec<PinFile>,
    /// Items kept together.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub together: Vec<TogetherFile>,
    /// Items kept apart.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub apart: Vec<ApartFile>,
    /// Room kept uncut for later.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spaces: Vec<SpaceFile>,
}

impl WishesFile {
    /// Nothing is wished.
    pub(crate) fn is_empty(&self) -> bool {
        self.carried.is_none()
            && self.pinned.is_empty()
            && self.together.is_empty()
            && self.apart.is_empty()
            && self.spaces.is_empty()
    }
}

/// A pinned piece.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PinFile {
    /// `item` or `item/number`.
    pub piece: String,
    /// Plan centre of its box, from the middle of the opening.
    pub at: [Written; 2],
    /// Its way up; the first of its `ways_up` when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up: Option<String>,
    /// Quarter turns about the vertical, counter-clockwise from above.
    #[serde(default)]
    pub quarter_turns: u8,
    /// `base` or `tray`; the base when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tier: Option<String>,
}

/// Items kept together.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TogetherFile {
    /// Items by id, two or more.
    pub items: Vec<String>,
    /// Greatest distance of each from the one before it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within: Option<Written>,
}

/// Items kept apart.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ApartFile {
    /// Items by id, two or more; one alone keeps its own pieces apart.
    pub items: Vec<String>,
    /// Least distance of any two.
    pub by: Written,
}

/// Room kept uncut.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpaceFile {
    /// What for.
    pub name: String,
    /// One side in plan.
    pub length: Written,
    /// The other.
    pub width: Written,
    /// From the top of its tier down.
    pub height: Written,
}

/// How near is together where nobody says, millimetres: cushions between two neighbours and a hand's breadth.
const TOGETHER: f64 = 80.0;

/// The wishes of a job about these items.
pub(crate) fn wishes(bench: &Bench, written: &WishesFile, items: &[Item]) -> Result<Wishes, Fault> {
    let mut out = Wishes {
        carried: carried(written.carried.as_deref())?,
        ..Wishes::default()
    };
    for (index, pin) in written.pinned.iter().enumerate() {
        out.pinned
            .push(pinned(bench, pin, &format!("wishes.pinned[{index}]"), items)?);
    }
    for (index, together) in written.together.iter().enumerate() {
        let path = format!("wishes.together[{index}]");
        if together.items.len() < 2 {
            return Err(
                Fault::new(join(&path, "items"), "one item alone is always together")
                    .hint("name two items or more"),
            );
        }
        out.together.push(GapWish {
            items: named(&together.items, &path, items)?,
            gap: match &together.within {
                Some(within) => bench.positive(within, &join(&path, "within"))?,
                None => Length::mm(TOGETHER),
            },
        });
    }
    for (index, apart) in written.apart.iter().enumerate() {
        let path = format!("wishes.apart[{index}]");
        let mut ids = named(&apart.items, &path, items)?;
        match ids.as_slice() {
            [] => {
                return Err(
                    Fault::new(join(&path, "items"), "no item is named").hint("name two items or more")
                );
            }
            [one] => ids.push(one.clone()),
            _ => {}
        }
        out.apart.push(GapWish {
            items: ids,
            gap: bench.positive(&apart.by, &join(&path, "by"))?,
        });
    }
    for (index, space) in written.spaces.iter().enumerate() {
        let path = format!("wishes.spaces[{index}]");
        let is_known = out
            .spaces
            .iter()
            .any(|other: &SpaceWish| other.name == space.name);
        if space.name.trim().is_empty() || is_known {
            return Err(Fault::new(
                join(&path, "name"),
                format!("`{}` does not tell this space from others", space.name),
            )
            .hint("give every space a name of its own"));
        }
        out.spaces.push(SpaceWish {
            name: space.name.clone(),
            length: bench.positive(&space.length, &join(&path, "length"))?,
            width: bench.positive(&space.width, &join(&path, "width"))?,
            height: bench.positive(&space.height, &join(&path, "height"))?,
        });
    }
    Ok(out)
}

fn carried(written: Option<&str>) -> Result<Carried, Fault> {
    match written {
        None => Ok(Carried::AnyWay),
        Some("rolled") => Ok(Carried::Rolled),
        Some("side-handle") => Ok(Carried::SideHandle),
        Some("by-two") => Ok(Carried::ByTwo),
        Some(other) => Err(
            Fault::new("wishes.carried", format!("`{other}` is no way a case is carried"))
                .hint("use rolled, side-handle or by-two, or leave it out"),
        ),
    }
}

fn pinned(bench: &Bench, pin: &PinFile, path: &str, items: &[Item]) -> Result<PinWish, Fault> {
    let (id, number) = match pin.piece.split_once('/') {
        None => (pin.piece.as_str(), 1),
        Some((id, number)) => (
            id,
            number.parse::<u32>().map_err(|_| {
                Fault::new(join(path, "piece"), format!("`{number}` is no number of a piece"))
                    .hint("write e.g. `digitiser/1`")
            })?,
        ),
    };
    let item = known(id, &join(path, "piece"), items)?;
    if number == 0 || number > item.quantity {
        return Err(Fault::new(
            join(path, "piece"),
            format!(
                "there are {} pieces of {id}, none is number {number}",
                item.quantity
            ),
        )
        .hint("pieces count from 1"));
    }
    let up = match &pin.up {
        Some(up) => Some(way(up, &join(path, "up"))?),
        None => None,
    };
    if let Some(up) = up.filter(|up| !item.ways_up.contains(up)) {
        return Err(Fault::new(
            join(path, "up"),
            format!("{id} may not lie with {} up", up.as_str()),
        )
        .hint("name one of its `ways_up`, or allow this one there"));
    }
    if pin.quarter_turns > 3 {
        return Err(Fault::new(
            join(path, "quarter_turns"),
            format!("{} quarter turns are more than a full one", pin.quarter_turns),
        )
        .hint("0 to 3, counter-clockwise from above"));
    }
    let in_tray = match pin.tier.as_deref() {
        None | Some("base") => false,
        Some("tray") => true,
        Some(other) => {
            return Err(
                Fault::new(join(path, "tier"), format!("`{other}` is no tier")).hint("use base or tray")
            );
        }
    };
    Ok(PinWish {
        piece: InstanceId::new(item.id.clone(), number),
        at: bench.point(&pin.at, &join(path, "at"))?,
        up,
        quarter_turns: pin.quarter_turns,
        in_tray,
    })
}

fn named(written: &[String], path: &str, items: &[Item]) -> Result<Vec<ItemId>, Fault> {
    written
        .iter()
        .enumerate()
        .map(|(index, id)| known(id, &format!("{path}.items[{index}]"), items).map(|item| item.id.clone()))
        .collect()
}

fn known<'a>(id: &str, field: &str, items: &'a [Item]) -> Result<&'a Item, Fault> {
    items.iter().find(|item| item.id.as_str() == id).ok_or_else(|| {
        let fault = Fault::new(field, format!("no item of this job is called `{id}`"));
        match closest(id, items.iter().map(|item| item.id.as_str())) {
            Some(meant) => fault.hint(format!("did you mean `{meant}`?")),
            None => fault.hint("wishes name items by their `id`"),
        }
    })
}
