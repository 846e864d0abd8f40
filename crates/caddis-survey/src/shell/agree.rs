//! Whether measurements taken apart agree: stated drafts, total depth, gasket, fittings, intrusions among themselves.

use super::check::{along_axes, survey};
use super::profile::Profile;
use super::{FittingGroup, FittingState, IntrusionKind, Shell, ShellHalf, Wall};
use caddis_basis::{Finding, Length, Margin, Measured, Said, Severity, Source, said};

/// Two readings of one size that state no ± may differ by this (common practice, no source: a steel tape read twice).
const READING: Length = Length::mm(1.0);

/// How far a value may be off as stated, else a tape's reading.
fn band(size: &Measured<Length>) -> Length {
    size.plus_minus.unwrap_or(READING)
}

impl Shell {
    /// Openings and depth against drafts that were measured apart.
    pub(super) fn check_stated_drafts(&self, half: &ShellHalf, findings: &mut Vec<Finding>) {
        let Some(stated) = &half.stated_drafts else { return };
        let last = half.steps.last().map(|step| step.at.value.si());
        let foot = last.unwrap_or_else(|| Profile::nominal(half).spring);
        let height = half.depth.value.si() - foot;
        for ((wall, found), stated) in Wall::ALL.into_iter().zip(self.drafts(half.side)).zip(stated) {
            let (rim, floor) = match wall {
                Wall::Left | Wall::Right => (&half.rim.length, &half.floor.length),
                Wall::Front | Wall::Back => (&half.rim.width, &half.floor.width),
            };
            // How far the wall leans, in lengths a tape can check.
            let leans = Length::from_si(found.si().tan() * height);
            let should = Length::from_si(stated.value.si().tan() * height);
            let allowed = (band(rim) + band(floor)) / 2.0
                + Length::from_si(
                    stated.plus_minus.map_or(0.0, |off| {
                        (stated.value + off).si().tan() - stated.value.si().tan()
                    }) * height,
                );
            let apart = (leans - should).abs();
            if apart.si() > allowed.si() + 1e-9 {
                findings.push(
                    survey(
                        "draft-disagrees",
                        Severity::Caution,
                        said!("{half} wall {wall}", half = half.side.said(), wall = wall.said()),
                        said!(
                            "opening, floor and depth make a draft of {found}, the survey states {stated}: the wall's foot \
                             differs by {apart}",
                            found,
                            stated = stated.value,
                            apart
                        ),
                        Source::derived(said!("each wall leans by depth times tan(draft)")),
                    )
                    .margin(Margin::at_most(apart.as_mm(), allowed.as_mm(), "mm"))
                    .remedy(said!(
                        "measure opening, floor and depth again; the openings are used, the stated draft is not"
                    )),
                );
            }
        }
    }

    /// Base and lid depth against the inside height closed.
    pub(super) fn check_total_depth(&self, findings: &mut Vec<Finding>) {
        let Some(total) = &self.total_depth else { return };
        let sum = self.crown_height();
        let allowed = band(&self.base.depth) + band(&self.lid.depth) + band(total);
        let apart = (total.value - sum).abs();
        if apart.si() > allowed.si() + 1e-9 {
            findings.push(
                survey(
                    "depths-disagree",
                    Severity::Caution,
                    said!("total depth"),
                    said!(
                        "base and lid are {sum} deep together, the inside height closed is stated as {stated}",
                        sum,
                        stated = total.value
                    ),
                    Source::derived(said!("both depths count from one rim plane")),
                )
                .margin(Margin::at_most(apart.as_mm(), allowed.as_mm(), "mm"))
                .remedy(said!(
                    "measure both depths from the rim plane (not from the gasket), and the closed height again"
                )),
            );
        }
    }

    /// A gasket that stands into the opening narrows the way in.
    pub(super) fn check_gasket(&self, findings: &mut Vec<Finding>) {
        let Some(gasket) = &self.gasket else { return };
        let stands_in = gasket.stands_in.most();
        if stands_in > Length::ZERO {
            let length = self.base.rim.length.value - stands_in * 2.0;
            let width = self.base.rim.width.value - stands_in * 2.0;
            findings.push(
                survey(
                    "gasket-narrows-opening",
                    Severity::Note,
                    said!("gasket"),
                    said!(
                        "the gasket stands {reach} into the opening: what is rigid must pass {length} x {width} on its way \
                         in, and foam drags along it",
                        reach = stands_in,
                        length,
                        width
                    ),
                    Source::derived(said!("opening less twice the gasket")),
                )
                .remedy(said!(
                    "lower wide items in the middle; let foam for the top layer be pressed in, never cut the gasket"
                )),
            );
        }
    }

    /// Wheels and handles inside the stated outside size; what is damaged.
    pub(super) fn check_places(&self, findings: &mut Vec<Finding>) {
        let walls = [
            [-1.0, 1.0].map(|s| s * (self.base.rim.length.value / 2.0 + self.base.wall.value).si()),
            [-1.0, 1.0].map(|s| s * (self.base.rim.width.value / 2.0 + self.base.wall.value).si()),
            [
                -self.base.wall.value.si(),
                (self.crown_height() + self.lid.wall.value).si(),
            ],
        ];
        for (axis, along) in along_axes().into_iter().enumerate() {
            let mut ends = (walls[axis][0], walls[axis][1], None, None);
            for fitting in &self.fittings {
                let reach = fitting
                    .size
                    .as_ref()
                    .map_or(0.0, |size| size[axis].value.si() / 2.0);
                for place in &fitting.places {
                    let at = place[axis].value.si();
                    if at - reach < ends.0 {
                        ends.0 = at - reach;
                        ends.2 = Some(&fitting.name);
                    }
                    if at + reach > ends.1 {
                        ends.1 = at + reach;
                        ends.3 = Some(&fitting.name);
                    }
                }
            }
            let needed = Length::from_si(ends.1 - ends.0);
            let outside = &self.outside[axis];
            if (ends.2, ends.3) != (None, None) && needed.si() > (outside.value + band(outside)).si() + 1e-9 {
                findings.push(
                    survey(
                        "fitting-outside",
                        Severity::Failing,
                        said!("outside {along}", along),
                        said!(
                            "from {one} to {other} the case measures {needed}, but the outside {along} is stated as {stated}",
                            one = named(ends.2),
                            other = named(ends.3),
                            needed,
                            along,
                            stated = outside.value
                        ),
                        Source::derived(said!("the outside size is over wheels, handles and latches")),
                    )
                    .margin(Margin::at_most(
                        needed.as_mm(),
                        (outside.value + band(outside)).as_mm(),
                        "mm",
                    ))
                    .remedy(said!("measure the outside over everything that stands out, handles folded")),
                );
            }
        }
        for fitting in &self.fittings {
            let severity = match fitting.state {
                FittingState::Damaged | FittingState::Missing => Severity::Caution,
                FittingState::Worn => Severity::Note,
                FittingState::Good | FittingState::NotChecked => continue,
            };
            let remedy = match fitting.is_field_replaceable {
                Some(true) => said!("replace it before the case is packed; it can be done in the field"),
                Some(false) => said!("have it replaced by the maker before the case is packed"),
                None => {
                    said!("find out whether it can be replaced, and have it done before the case is packed")
                }
            };
            findings.push(
                survey(
                    "fitting-condition",
                    severity,
                    Said::name(&fitting.name),
                    said!(
                        "{fitting}: {condition}",
                        fitting = fitting.name,
                        condition = fitting.condition()
                    ),
                    Source::new("as surveyed", caddis_basis::Certainty::Measured),
                )
                .remedy(remedy),
            );
        }
    }

    /// Stacking features say nothing about a load.
    pub(super) fn check_stacking(&self, findings: &mut Vec<Finding>) {
        let has_features = self
            .fittings
            .iter()
            .any(|fitting| fitting.group == FittingGroup::Stacking && fitting.count > 0);
        if has_features && self.stacking_rating.is_none() {
            findings.push(
                survey(
                    "stacking-unrated",
                    Severity::Note,
                    said!("stacking"),
                    said!(
                        "the case has stacking features, but nobody states a stacking load: none is assumed"
                    ),
                    Source::common_practice(),
                )
                .remedy(said!(
                    "ask the maker for a stacking rating before anything is stacked on it"
                )),
            );
        }
    }
}

/// A fitting's name, else the walls.
fn named(fitting: Option<&String>) -> Said {
    fitting.map_or_else(|| said!("the walls"), Said::name)
}

/// Intrusions that stand into each other. Ribs may: they run into each other and into housings.
pub(super) fn check_overlaps(half: &ShellHalf, findings: &mut Vec<Finding>) {
    let bodies = Profile::nominal(half).bodies;
    for (k, a) in bodies.iter().enumerate() {
        for b in &bodies[k + 1..] {
            let (first, second) = (&half.intrusions[a.index], &half.intrusions[b.index]);
            if [first, second].iter().any(|i| i.kind == IntrusionKind::Rib) {
                continue;
            }
            let (low, high) = (a.from.max(b.from), a.reach().1.min(b.reach().1));
            // Widest at the lower end, where both stand.
            let meet = low < high
                && a.outline_at(low).zip(b.outline_at(low)).is_some_and(|(a, b)| {
                    a.overlaps_box_of(&b) && a.region().intersection(&b.region()).area() > 1e-8
                });
            if meet {
                findings.push(
                    survey(
                        "intrusions-overlap",
                        Severity::Caution,
                        said!(
                            "{half} {intrusion}",
                            half = half.side.said(),
                            intrusion = first.name
                        ),
                        said!("it stands into {other}", other = second.name),
                        Source::derived(said!("their sections at one height have room in common")),
                    )
                    .remedy(said!(
                        "measure where both stand again; if they are one piece, survey them as one outline"
                    )),
                );
            }
        }
    }
}
