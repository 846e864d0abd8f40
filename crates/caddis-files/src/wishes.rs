//! What a job wishes of the arrangement beyond what must be.

use crate::error::{Fault, join};
use crate::item::way;
use crate::suggest::closest;
use crate::written::{Bench, Written};
use caddis_basis::{Angle, InstanceId, ItemId, Length};
use caddis_design::{Carried, GapWish, PinWish, ScoreWeights, SpaceWish, Wishes};
use caddis_survey::{Item, Turn};
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
    /// What layouts that fit are compared by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weights: Option<WeightsFile>,
}

impl WishesFile {
    /// Nothing is wished.
    pub(crate) fn is_empty(&self) -> bool {
        self.carried.is_none()
            && self.pinned.is_empty()
            && self.together.is_empty()
            && self.apart.is_empty()
            && self.spaces.is_empty()
            && self.weights.is_none()
    }
}

/// What one of each is worth in millimetres of spare; what is left out keeps its default.
#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeightsFile {
    /// A millimetre that the centre of mass lies off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub balance: Option<f64>,
    /// A millimetre of it beyond what still counts as balanced.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unbalanced: Option<f64>,
    /// A tray.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tray: Option<f64>,
    /// A wish that is not met.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wish: Option<f64>,
    /// A piece that shares no line with another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<f64>,
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
    /// Turn about the vertical in whole degrees, counter-clockwise from above; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn: Option<Written>,
    /// `base`, `tray` or `lid`; the base when left out.
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
        weights: weights(written.weights.unwrap_or_default())?,
        ..Wishes::default()
    };
    for (index, pin) in written.pinned.iter().enumerate() {
        let path = format!("wishes.pinned[{index}]");
        let wish = pinned(bench, pin, &path, items)?;
        if out.pinned.iter().any(|other| other.piece == wish.piece) {
            return Err(
                Fault::new(join(&path, "piece"), format!("{} is pinned twice", wish.piece))
                    .hint("a piece lies in one place: name another piece, e.g. `digitiser/2`"),
            );
        }
        out.pinned.push(wish);
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
        let by = bench.positive(&apart.by, &join(&path, "by"))?;
        for (at, first) in ids.iter().enumerate() {
            for second in &ids[at + 1..] {
                let pair = (first, second);
                if let Some(within) = kept_together(&out.together, pair).filter(|within| *within < by) {
                    return Err(Fault::new(
                        join(&path, "by"),
                        format!(
                            "{first} and {second} are to lie {by} apart, and together within {within} of each other"
                        ),
                    )
                    .hint("take one of the two wishes back, or let `by` be at most `within`"));
                }
            }
        }
        out.apart.push(GapWish { items: ids, gap: by });
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

/// How near two items that are neighbours in a list are to lie; `None` where nobody wishes them together.
fn kept_together(together: &[GapWish], (first, second): (&ItemId, &ItemId)) -> Option<Length> {
    together
        .iter()
        .filter(|wish| {
            wish.items.windows(2).any(|pair| {
                (&pair[0], &pair[1]) == (first, second) || (&pair[1], &pair[0]) == (first, second)
            })
        })
        .map(|wish| wish.gap)
        .min_by(|a, b| a.si().total_cmp(&b.si()))
}

fn weights(written: WeightsFile) -> Result<ScoreWeights, Fault> {
    let usual = ScoreWeights::default();
    let weight = |name: &str, stated: Option<f64>, usual: f64| match stated {
        Some(stated) if !(stated.is_finite() && stated >= 0.0) => Err(Fault::new(
            format!("wishes.weights.{name}"),
            format!("{stated} is no weight"),
        )
        .hint("0 or more: millimetres of spare that one of it is worth")),
        stated => Ok(stated.unwrap_or(usual)),
    };
    Ok(ScoreWeights {
        balance: weight("balance", written.balance, usual.balance)?,
        unbalanced: weight("unbalanced", written.unbalanced, usual.unbalanced)?,
        tray: weight("tray", written.tray, usual.tray)?,
        wish: weight("wish", written.wish, usual.wish)?,
        line: weight("line", written.line, usual.line)?,
    })
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
    let named = piece(&pin.piece, &join(path, "piece"), items)?;
    let id = &named.item;
    let item = known(id.as_str(), &join(path, "piece"), items)?;
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
    let turn = match &pin.turn {
        Some(written) => turned(bench, written, &join(path, "turn"), item)?,
        None => Turn::NONE,
    };
    let (in_tray, in_lid) = match pin.tier.as_deref() {
        None | Some("base") => (false, false),
        Some("tray") => (true, false),
        Some("lid") => (false, true),
        Some(other) => {
            return Err(
                Fault::new(join(path, "tier"), format!("`{other}` is no tier")).hint("use base, tray or lid")
            );
        }
    };
    if in_lid && !item.may_lie_in_lid {
        return Err(Fault::new(
            join(path, "tier"),
            format!("{} may not lie in the lid", item.name),
        )
        .hint("state `may_lie_in_lid = true` of the item, or pin it in the base"));
    }
    Ok(PinWish {
        piece: named,
        at: bench.point(&pin.at, &join(path, "at"))?,
        up,
        turn,
        in_tray,
        in_lid,
    })
}

/// A turn about the vertical that an item may make.
fn turned(bench: &Bench, written: &Written, path: &str, item: &Item) -> Result<Turn, Fault> {
    let angle: Angle = bench.signed(written, path)?;
    let turn = Turn::whole(angle.as_degrees()).ok_or_else(|| {
        Fault::new(path, format!("`{written}` is no whole number of degrees"))
            .hint("pieces are turned by whole degrees, counter-clockwise from above")
    })?;
    if turn != Turn::NONE && !item.may_turn {
        return Err(Fault::new(
            path,
            format!("{} may not be turned about the vertical", item.name),
        )
        .hint("state `may_turn = true` of the item, or leave `turn` out"));
    }
    Ok(turn)
}

/// The piece that `item` or `item/number` names.
pub(crate) fn piece(text: &str, field: &str, items: &[Item]) -> Result<InstanceId, Fault> {
    let (id, number) = match text.split_once('/') {
        None => (text, 1),
        Some((id, number)) => (
            id,
            number.parse::<u32>().map_err(|_| {
                Fault::new(field, format!("`{number}` is no number of a piece"))
                    .hint("write e.g. `digitiser/1`")
            })?,
        ),
    };
    let item = known(id, field, items)?;
    if number == 0 || number > item.quantity {
        return Err(Fault::new(
            field,
            format!(
                "there are {} pieces of {id}, none is number {number}",
                item.quantity
            ),
        )
        .hint("pieces count from 1"));
    }
    Ok(InstanceId::new(item.id.clone(), number))
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
