//! What the user wishes beyond what must be: how the case is carried, what lies where, what lies beside what, and room kept
//! for later.

mod score;

use crate::{Brief, Interior, Place};
use caddis_basis::{Domain, Finding, InstanceId, ItemId, Length, Margin, Said, Severity, Source, said};
use caddis_geometry::{Prism, Vec2};
use caddis_survey::{IntrusionKind, Shell, Turn, Up, Wall};
pub(crate) use score::beyond_balance;
pub use score::{ScoreTerm, ScoreWeights, score};

/// How the packed case is carried: decides where its weight should lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Carried {
    /// Any way: balanced about the middle.
    #[default]
    AnyWay,
    /// Rolled on its wheels: the weight towards them.
    Rolled,
    /// By the handle on a long side: balanced along the length, since across it hangs as it will.
    SideHandle,
    /// By two, a handle at each end: balanced about the middle, the length first.
    ByTwo,
}

impl Carried {
    /// In words.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::AnyWay => "any way",
            Self::Rolled => "rolled on its wheels",
            Self::SideHandle => "by a side handle",
            Self::ByTwo => "by two",
        }
    }

    /// The same for a sentence.
    pub fn said(self) -> Said {
        match self {
            Self::AnyWay => said!("any way"),
            Self::Rolled => said!("rolled on its wheels"),
            Self::SideHandle => said!("by a side handle"),
            Self::ByTwo => said!("by two"),
        }
    }
}

/// A piece that lies where the user puts it.
#[derive(Debug, Clone, PartialEq)]
pub struct PinWish {
    /// Which piece.
    pub piece: InstanceId,
    /// Plan centre of its box.
    pub at: Vec2,
    /// Its way up; the first its item allows when `None`.
    pub up: Option<Up>,
    /// Turn about the vertical.
    pub turn: Turn,
    /// In the tray, where there is one; else in the base.
    pub in_tray: bool,
    /// In the lid, whose item may lie there; then it hangs in no tray.
    pub in_lid: bool,
}

/// Items whose pieces lie within (or at least) so far of each other.
#[derive(Debug, Clone, PartialEq)]
pub struct GapWish {
    /// The items, two or more.
    pub items: Vec<ItemId>,
    /// Between the boxes of any two neighbours in the list (together) or of any two of them (apart).
    pub gap: Length,
}

/// Room kept free of cavities for something that comes later.
#[derive(Debug, Clone, PartialEq)]
pub struct SpaceWish {
    /// For papers.
    pub name: String,
    /// Along x (or y: it may be turned).
    pub length: Length,
    /// Across.
    pub width: Length,
    /// From the tier's top down.
    pub height: Length,
}

/// All of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wishes {
    /// How the case is carried.
    pub carried: Carried,
    /// Pinned pieces.
    pub pinned: Vec<PinWish>,
    /// What lies together, in one tier.
    pub together: Vec<GapWish>,
    /// What lies apart.
    pub apart: Vec<GapWish>,
    /// Room for later.
    pub spaces: Vec<SpaceWish>,
    /// What layouts that fit are compared by.
    pub weights: ScoreWeights,
}

/// Room kept for later, where the arrangement found it: foam without a cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptSpace {
    /// As wished.
    pub name: String,
    /// Where.
    pub prism: Prism,
}

/// Whether a wish is met.
#[derive(Debug, Clone, PartialEq)]
pub struct WishVerdict {
    /// What it concerns, as findings name places.
    pub place: Said,
    /// The wish in words.
    pub wish: Said,
    /// Whether it is met.
    pub is_met: bool,
    /// What was found, and where it is not met, what was tried.
    pub sentence: Said,
    /// Found against asked, where it is a distance.
    pub margin: Option<Margin>,
}

/// Off-centre by more than this share of the inside length or width is out of balance.
///
/// # Source
/// Common practice, no source.
pub(crate) const BALANCE_SHARE: f64 = 0.08;

/// How far off the centre of mass may lie along x and y, metres.
pub(crate) fn balanced_within(shell: &Shell) -> Vec2 {
    let rim = &shell.base.rim;
    Vec2::new(rim.length.value.si(), rim.width.value.si()) * BALANCE_SHARE
}

/// How far towards the wheels the weight of a rolled case is wished, of the way from the middle to them.
const TOWARDS_WHEELS: f64 = 0.25;

/// Where the centre of mass should lie in plan, and how much each way counts.
///
/// # Source
/// Common practice, no source: a rolled case is steadier and lighter in the hand with its weight near the wheels; one that
/// hangs from a side handle turns about it until its weight hangs below.
pub(crate) fn balance(carried: Carried, shell: &Shell) -> (Vec2, Vec2) {
    let both = Vec2::new(1.0, 1.0);
    match carried {
        Carried::AnyWay => (Vec2::ZERO, both),
        Carried::ByTwo => (Vec2::ZERO, Vec2::new(1.0, 0.5)),
        Carried::SideHandle => (Vec2::ZERO, Vec2::new(1.0, 0.0)),
        Carried::Rolled => (wheels(shell).unwrap_or(Vec2::ZERO) * TOWARDS_WHEELS, both),
    }
}

/// The middle of the wheel housings in plan; `None` without any.
fn wheels(shell: &Shell) -> Option<Vec2> {
    let names: Vec<&str> = shell
        .base
        .intrusions
        .iter()
        .filter(|intrusion| intrusion.kind == IntrusionKind::WheelHousing)
        .map(|intrusion| intrusion.name.as_str())
        .collect();
    let middles: Vec<Vec2> = shell
        .obstacles(caddis_survey::HalfSide::Base)
        .iter()
        .filter(|obstacle| names.contains(&obstacle.name.as_str()))
        .filter_map(|obstacle| obstacle.outline.bounds())
        .map(|bounds| (bounds.min + bounds.max) / 2.0)
        .collect();
    let sum = middles.iter().fold(Vec2::ZERO, |sum, middle| sum + *middle);
    (!middles.is_empty()).then(|| sum / middles.len() as f64)
}

/// Towards the side that opens: away from the hinge; the front where no hinge is surveyed.
pub(crate) fn opening_side(shell: &Shell) -> Vec2 {
    match shell.hinge.as_ref().map(|hinge| hinge.wall) {
        None | Some(Wall::Back) => Vec2::new(0.0, -1.0),
        Some(Wall::Front) => Vec2::new(0.0, 1.0),
        Some(Wall::Left) => Vec2::new(1.0, 0.0),
        Some(Wall::Right) => Vec2::new(-1.0, 0.0),
    }
}

/// Every wish with what became of it, in the order they are stated.
pub fn wishes(interior: &Interior, brief: &Brief) -> Vec<WishVerdict> {
    let mut verdicts = Vec::new();
    verdicts.extend(carried(interior, brief));
    let in_base = interior.places.iter().filter(|place| !place.in_lid);
    let tiers = 1 + in_base.map(|place| place.tier).max().unwrap_or(0);
    for place in &interior.places {
        if !brief.items[place.item].reach_first {
            continue;
        }
        let name = &brief.items[place.item].name;
        let is_met = place.in_lid || place.tier + 1 == tiers || tiers == 1;
        let sentence = if place.in_lid {
            said!(
                "{item} lies in the lid, reached as soon as its cover is off",
                item = name
            )
        } else if is_met {
            said!(
                "{item} lies on top, reached as soon as the lid is open",
                item = name
            )
        } else {
            let why = interior.not_on_top.clone();
            let why = why.unwrap_or_else(|| said!("no reason is on record"));
            said!("{item} lies under the tray: {why}", item = name, why)
        };
        verdicts.push(WishVerdict {
            place: Said::from(&place.instance),
            wish: said!("reach first"),
            is_met,
            sentence,
            margin: None,
        });
    }
    for pin in &brief.wishes.pinned {
        let Some(place) = interior.places.iter().find(|place| place.instance == pin.piece) else {
            continue;
        };
        let off = place.at.distance(pin.at);
        verdicts.push(WishVerdict {
            place: Said::from(&pin.piece),
            wish: said!("pinned"),
            is_met: off < 1e-4,
            sentence: said!(
                "{piece} lies {along:.0} mm along and {across:.0} mm across from the middle, {off:.1} mm from where \
                 it is pinned",
                piece = pin.piece,
                along = place.at.x * 1e3,
                across = place.at.y * 1e3,
                off = off * 1e3
            ),
            margin: Some(Margin::at_most(off * 1e3, 0.1, "mm")),
        });
    }
    for wish in &brief.wishes.together {
        for pair in wish.items.windows(2) {
            verdicts.extend(near(interior, (&pair[0], &pair[1]), wish.gap));
        }
    }
    for wish in &brief.wishes.apart {
        for (index, first) in wish.items.iter().enumerate() {
            for second in &wish.items[index + 1..] {
                verdicts.extend(far(interior, (first, second), wish.gap));
            }
        }
    }
    for space in &brief.wishes.spaces {
        let kept = interior.spaces.iter().find(|kept| kept.name == space.name);
        verdicts.push(WishVerdict {
            place: Said::name(&space.name),
            wish: said!("space for later"),
            is_met: kept.is_some(),
            sentence: kept.map_or_else(
                || said!("no room is kept for {space}", space = space.name),
                |kept| {
                    let middle = kept
                        .prism
                        .region
                        .bounds()
                        .map_or(Vec2::ZERO, |bounds| (bounds.min + bounds.max) / 2.0);
                    said!(
                        "{length:.0} x {width:.0} x {height:.0} mm for {space} are left uncut, {along:.0} mm along \
                         and {across:.0} mm across from the middle",
                        length = space.length.as_mm(),
                        width = space.width.as_mm(),
                        height = space.height.as_mm(),
                        space = space.name,
                        along = middle.x * 1e3,
                        across = middle.y * 1e3
                    )
                },
            ),
            margin: None,
        });
    }
    verdicts
}

/// The place of the wish that concerns the case as a whole.
const CASE: &str = "case";

/// Whether the weight lies as the way of carrying wishes it; `None` where nobody says how the case is carried.
fn carried(interior: &Interior, brief: &Brief) -> Option<WishVerdict> {
    let how = brief.wishes.carried;
    if how == Carried::AnyWay {
        return None;
    }
    let (x, y, z) = crate::verify::centre_of_mass(interior, brief);
    let (wished, _) = balance(how, &brief.shell);
    let (off, within) = (score::off_balance(interior, brief), balanced_within(&brief.shell));
    let has_wheels = how != Carried::Rolled || wheels(&brief.shell).is_some();
    let found = said!(
        "the centre of mass lies {x:.0} mm along and {y:.0} mm across from the middle, {z:.0} mm above the floor; \
         {along:.0} and {across:.0} mm are wished",
        x = x * 1e3,
        y = y * 1e3,
        z = z * 1e3,
        along = wished.x * 1e3,
        across = wished.y * 1e3
    );
    let (share, share_across) = (off.x / within.x, off.y / within.y);
    let (worst, limit) = if share >= share_across {
        (off.x, within.x)
    } else {
        (off.y, within.y)
    };
    let margin = Margin::at_most(worst * 1e3, limit * 1e3, "mm");
    Some(WishVerdict {
        place: said!("case"),
        wish: said!("carried {how}", how = how.said()),
        is_met: margin.is_kept() && has_wheels,
        sentence: if has_wheels {
            found
        } else {
            said!(
                "no wheel housing is surveyed, so nobody knows where the wheels are; {found}",
                found
            )
        },
        margin: Some(margin),
    })
}

/// What was found, and what was tried.
fn searched(found: &Said) -> Said {
    said!(
        "{found}; the search moved the pieces and exchanged them with others, keeping every cushion, and came no \
         nearer",
        found
    )
}

fn pieces<'a>(interior: &'a Interior, item: &'a ItemId) -> impl Iterator<Item = &'a Place> {
    interior
        .places
        .iter()
        .filter(move |place| place.instance.item == *item)
}

/// Every piece of the second has one of the first near.
fn near(interior: &Interior, (first, second): (&ItemId, &ItemId), within: Length) -> Option<WishVerdict> {
    let worst = pieces(interior, second)
        .map(|place| {
            pieces(interior, first)
                .filter(|other| other.instance != place.instance)
                .map(|other| (gap(place, other), place.tier == other.tier))
                .min_by(|a, b| b.1.cmp(&a.1).then(a.0.total_cmp(&b.0)))
                .unwrap_or((f64::INFINITY, false))
        })
        .filter(|(gap, _)| gap.is_finite())
        .max_by(|a, b| b.1.cmp(&a.1).then(a.0.total_cmp(&b.0)))?;
    let margin = Margin::at_most(worst.0 * 1e3, within.as_mm(), "mm");
    let is_met = worst.1 && margin.is_kept();
    let found = if worst.1 {
        said!(
            "{second} lies {gap:.0} mm from {first}",
            second,
            gap = worst.0 * 1e3,
            first
        )
    } else {
        said!("{second} and {first} lie in different tiers", second, first)
    };
    Some(WishVerdict {
        place: said!("{first}, {second}", first, second),
        wish: said!("together, within {gap:.0} mm", gap = within.as_mm()),
        is_met,
        sentence: if is_met { found } else { searched(&found) },
        margin: Some(margin),
    })
}

fn far(interior: &Interior, (first, second): (&ItemId, &ItemId), by: Length) -> Option<WishVerdict> {
    let least = pieces(interior, first)
        .flat_map(|place| {
            pieces(interior, second)
                .filter(|other| other.instance != place.instance)
                .map(|other| gap(place, other))
        })
        .min_by(f64::total_cmp)?;
    let margin = Margin::at_least(least * 1e3, by.as_mm(), "mm");
    let found = said!(
        "{first} and {second} lie {gap:.0} mm apart",
        first,
        second,
        gap = least * 1e3
    );
    Some(WishVerdict {
        place: said!("{first}, {second}", first, second),
        wish: said!("apart, by {gap:.0} mm", gap = by.as_mm()),
        is_met: margin.is_kept(),
        sentence: if margin.is_kept() { found } else { searched(&found) },
        margin: Some(margin),
    })
}

/// Distance of two pieces' boxes.
fn gap(a: &Place, b: &Place) -> f64 {
    let (Some(a), Some(b)) = (a.body.bounds(), b.body.bounds()) else {
        return f64::INFINITY;
    };
    let apart = |a: (f64, f64), b: (f64, f64)| (a.0 - b.1).max(b.0 - a.1).max(0.0);
    let x = apart((a.min.x, a.max.x), (b.min.x, b.max.x));
    let y = apart((a.min.y, a.max.y), (b.min.y, b.max.y));
    let z = apart((a.min.z, a.max.z), (b.min.z, b.max.z));
    x.hypot(y).hypot(z)
}

/// A finding for every wish that is not met.
pub(crate) fn unmet(interior: &Interior, brief: &Brief) -> Vec<Finding> {
    wishes(interior, brief)
        .into_iter()
        .filter(|verdict| !verdict.is_met)
        // The case out of balance has a finding of its own.
        .filter(|verdict| verdict.place != CASE || verdict.margin.as_ref().is_some_and(Margin::is_kept))
        .map(|verdict| {
            let finding = Finding::new(
                "wish-not-met",
                Domain::Arrangement,
                Severity::Caution,
                &verdict.place,
                said!(
                    "wished: {wish}; {sentence}",
                    wish = verdict.wish,
                    sentence = verdict.sentence
                ),
                Source::derived(said!("places of the interior against the wishes of the job")),
            )
            .remedy(said!(
                "give up another wish or an item, take a larger shell, or accept it"
            ));
            match verdict.margin {
                Some(margin) if !margin.is_kept() => finding.margin(margin),
                _ => finding,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests;
