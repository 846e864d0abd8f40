//! Outer bounds: what refuses a shell in microseconds, because no layout whatever could help.

use super::figures::Contents;
use crate::Brief;
use crate::arrange::{KnownWays, Way, oblique_turns};
use caddis_basis::{Domain, Finding, Margin, Mass, Said, Severity, Source, said};
use caddis_geometry::{Placement2, SectionStack, Vec2};
use caddis_survey::{Shell, Turn};
use std::sync::Arc;

/// One way of an item at worst case, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Size {
    length: f64,
    width: f64,
    height: f64,
    /// Room that the body, grown by half a web on every side, and the foam under it take, cubic metres.
    room: f64,
}

/// An item with its ways.
#[derive(Debug, PartialEq)]
struct Sizes {
    name: String,
    place: String,
    /// Along the sides of the case.
    ways: Vec<Size>,
    /// Across it.
    across: Vec<Size>,
}

impl Size {
    fn of(body: &SectionStack, web: f64, floor: f64) -> Option<Self> {
        let size = body.bounds()?.size();
        Some(Self {
            length: size.x,
            width: size.y,
            height: size.z,
            room: room(body, web, floor),
        })
    }

    /// By how much it is longer, wider and taller than a box.
    fn beyond(&self, inside: &[f64; 3]) -> [f64; 3] {
        let sizes = [self.length, self.width, self.height];
        [0, 1, 2].map(|i: usize| (sizes[i] - inside[i]).max(0.0))
    }
}

/// The ways of an item turned obliquely: half a turn more has the same box.
fn across(ways: &[Way], web: f64, floor: f64) -> Vec<Size> {
    let flat = ways.iter().filter(|way| way.turn == Turn::NONE);
    flat.flat_map(|way| {
        oblique_turns(2).filter_map(move |turn| {
            let about = Placement2 {
                angle: turn.radians(),
                shift: Vec2::ZERO,
            };
            Size::of(&way.body.placed(&about, 0.0), web, floor)
        })
    })
    .collect()
}

/// What every shell is held against.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bounds {
    /// Items, and how many of each.
    wanted: Vec<(Arc<Sizes>, u32)>,
    contents: Mass,
    web: f64,
    floor: f64,
}

fn refused(code: &'static str, place: impl Into<Said>, sentence: Said, source: Said) -> Finding {
    Finding::new(
        code,
        Domain::Arrangement,
        Severity::Failing,
        place,
        sentence,
        Source::derived(source),
    )
}

/// A case that weighs more than asked.
pub(super) fn heavier(
    mass: Mass,
    limit: Mass,
    words: fn() -> Said,
    sentence: fn(Mass, Mass, Said) -> Said,
) -> Finding {
    refused(
        "heavier-than-asked",
        said!("case"),
        sentence(mass, mass - limit, words()),
        said!("shell, contents and what is known of the foam, against the mass asked"),
    )
    .margin(Margin::at_most(mass.si(), limit.si(), "kg"))
}

impl Bounds {
    /// Of a brief whose items are all known.
    pub(super) fn new(brief: &Brief, known: &KnownWays) -> Self {
        let web = brief.foams[brief.base_foam].least_web.si();
        let floor = brief.clearances.least_floor.si();
        let wanted = brief
            .items
            .iter()
            .enumerate()
            .map(|(index, item)| {
                let ways = known.any(index);
                let sizes = ways.iter().filter_map(|way| Size::of(&way.body, web, floor));
                let sizes = Sizes {
                    name: item.name.clone(),
                    place: item.id.as_str().to_owned(),
                    ways: sizes.collect(),
                    across: if item.may_turn {
                        across(ways, web, floor)
                    } else {
                        Vec::new()
                    },
                };
                (Arc::new(sizes), item.quantity)
            })
            .collect();
        Self {
            wanted,
            contents: Contents::mass_of(brief),
            web,
            floor,
        }
    }

    /// Of a part of the brief; `items` says which of the whole brief's items each of the part's is.
    pub(super) fn of_part(&self, part: &Brief, items: &[usize]) -> Self {
        let counted = part.items.iter().zip(items);
        Self {
            wanted: counted
                .filter_map(|(item, &index)| Some((self.wanted.get(index)?.0.clone(), item.quantity)))
                .collect(),
            contents: Contents::mass_of(part),
            ..*self
        }
    }

    /// The one reason why nothing can help this shell, if there is one.
    ///
    /// # Source
    /// Every body stays the least web from the wall, stands on the least foam and ends below the rim; bodies grown by half a
    /// web are disjoint. The room is taken as the box over the larger of opening and floor, every ± at its largest.
    pub(super) fn refusal(&self, shell: &Shell, most_mass: Option<(Mass, fn() -> Said)>) -> Option<Finding> {
        if let Some((limit, words)) = most_mass {
            let least = shell.empty_mass.value + self.contents;
            if least > limit {
                return Some(heavier(least, limit, words, |mass, more, limit| {
                    said!(
                        "shell and contents alone weigh {mass:.1}, {more:.1} more than {limit}",
                        mass,
                        more,
                        limit
                    )
                }));
            }
        }
        let base = &shell.base;
        let length = base.rim.length.most().si().max(base.floor.length.most().si());
        let width = base.rim.width.most().si().max(base.floor.width.most().si());
        let depth = base.depth.most().si();
        let inside = [
            length - 2.0 * self.web,
            width - 2.0 * self.web,
            depth - self.floor,
        ];
        let mut worst: Option<(f64, Finding)> = None;
        for (wanted, _) in self.wanted.iter().filter(|(_, quantity)| *quantity > 0) {
            let fits = |way: &Size| way.beyond(&inside).iter().sum::<f64>() <= 1e-9;
            if wanted.across.iter().any(fits) {
                continue;
            }
            // The way that comes nearest to fitting.
            let nearest = wanted
                .ways
                .iter()
                .map(|way| {
                    let missing = way.beyond(&inside);
                    let sizes = [way.length, way.width, way.height];
                    (missing.iter().sum::<f64>(), missing, sizes)
                })
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((total, missing, sizes)) = nearest else {
                continue;
            };
            if total > 1e-9 && worst.as_ref().is_none_or(|(most, _)| total > *most) {
                let side = (0..3)
                    .max_by(|&a, &b| missing[a].total_cmp(&missing[b]).then(b.cmp(&a)))
                    .unwrap_or(0);
                let (item, missing) = (&wanted.name, (missing[side] * 1e3).max(1.0));
                let sentence = match side {
                    0 => said!(
                        "{item} is {missing:.0} mm too long, whichever way it lies",
                        item,
                        missing
                    ),
                    1 => said!(
                        "{item} is {missing:.0} mm too wide, whichever way it lies",
                        item,
                        missing
                    ),
                    _ => said!(
                        "{item} is {missing:.0} mm too tall, whichever way it lies",
                        item,
                        missing
                    ),
                };
                let finding = refused(
                    "item-too-large",
                    Said::name(&wanted.place),
                    sentence,
                    said!("worst-case size against the opening less the least foam"),
                )
                .margin(Margin::at_most(sizes[side] * 1e3, inside[side] * 1e3, "mm"));
                worst = Some((total, finding));
            }
        }
        if let Some((_, finding)) = worst {
            return Some(finding);
        }
        let need: f64 = self
            .wanted
            .iter()
            .map(|(wanted, quantity)| {
                let least = wanted
                    .ways
                    .iter()
                    .chain(&wanted.across)
                    .map(|way| way.room)
                    .fold(f64::INFINITY, f64::min);
                if least.is_finite() {
                    least * f64::from(*quantity)
                } else {
                    0.0
                }
            })
            .sum();
        let has = (length - self.web).max(0.0) * (width - self.web).max(0.0) * depth;
        (need > has).then(|| {
            refused(
                "too-much-for-the-room",
                said!("items"),
                said!(
                    "the items with the least foam round them take {need:.1} L, {more:.1} L more than the base holds",
                    need = need * 1e3,
                    more = (need - has) * 1e3
                ),
                said!("sum of the bodies grown by half a web and the foam under them, against the base"),
            )
            .margin(Margin::at_most(need * 1e3, has * 1e3, "L"))
        })
    }
}

/// Volume of a body grown by half a web on every side, and of the foam under it.
///
/// # Source
/// A connected plan of area A and box e x f, grown by a box of side w, has at least A + w (e + f) + w² (Minkowski sum with
/// two segments).
fn room(body: &SectionStack, web: f64, floor: f64) -> f64 {
    let mut total = 0.0;
    for (index, slab) in body.slabs.iter().enumerate() {
        let Some(bounds) = slab.region.bounds() else {
            continue;
        };
        let size = bounds.size();
        let area = if slab.region.shapes.len() == 1 {
            slab.region.area() + web * (size.x + size.y) + web * web
        } else {
            slab.region.area()
        };
        total += area * (slab.high - slab.low + if index == 0 { floor } else { 0.0 });
    }
    total
}
