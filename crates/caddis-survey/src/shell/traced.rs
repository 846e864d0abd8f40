//! Sections that were traced at the bench, or cut from a scan: the room as it is, whatever its form.
//!
//! A traced section is the free plan at its height. As the plan of a half never shrinks towards the rim, what is free at one
//! height is free above it too; so from each section to the next the lower one holds, and below the lowest one the lowest.
//! Where walls, fillet and intrusions say less room than the section, they count: of two statements the severe one.

use super::check::survey;
use super::error::half_name;
use super::profile::Profile;
use super::{ShellError, ShellHalf};
use caddis_basis::{Finding, Length, Margin, Measured, Said, Severity, Source, said};
use caddis_geometry::{Region, Side, Vec2};

/// A section that states no ± may be off by this (common practice, no source: a pencil round a template).
const PENCIL: Length = Length::mm(1.0);
/// Traces of one wall may lie apart by this much more than their ± before they contradict each other, metres.
const SLACK: f64 = 1e-3;
/// Sections that lie inside each other to this are not cut again, metres.
const NESTED: f64 = 1e-6;
/// More room than this beyond the walls is worth a word, metres.
const BEYOND_WALLS: f64 = 3e-3;

/// The free plan at one height of a half.
#[derive(Debug, Clone, PartialEq)]
pub struct TracedSection {
    /// Over floor or crown.
    pub at: Measured<Length>,
    /// The free plan, about the middle of the rim opening of the base; matter that stands free in it is a hole.
    pub room: Region,
    /// How far its outline may be off.
    pub plus_minus: Option<Length>,
}

/// A traced section by numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Trace {
    /// It holds from here to the next one.
    pub(super) from: f64,
    room: Region,
    off: f64,
}

impl Trace {
    pub(super) fn nominal(section: &TracedSection) -> Self {
        Self {
            from: section.at.value.si(),
            room: section.room.clone(),
            off: 0.0,
        }
    }

    /// At its smallest: measured higher than it is, and its outline drawn in by its ±.
    pub(super) fn least(section: &TracedSection) -> Self {
        Self {
            from: section.at.most().si(),
            room: section.room.clone(),
            off: section.plus_minus.unwrap_or(Length::ZERO).si(),
        }
    }

    /// What it leaves free.
    pub(super) fn room(&self) -> Region {
        if self.off > 0.0 {
            self.room.offset(-self.off, Side::Inner)
        } else {
            self.room.clone()
        }
    }

    fn holds(&self, p: Vec2) -> bool {
        self.room.signed_distance(p) <= -self.off
    }
}

impl Profile {
    /// The trace that holds at a height.
    pub(super) fn trace_at(&self, h: f64) -> Option<&Trace> {
        let above = self.traces.partition_point(|trace| trace.from <= h);
        self.traces.get(above.saturating_sub(1))
    }

    /// Height up to which traces say that a plan point is matter.
    pub(super) fn traced_over(&self, p: Vec2) -> f64 {
        match self.traces.iter().position(|trace| trace.holds(p)) {
            // What the lowest one leaves free it leaves free down to the floor.
            Some(0) => 0.0,
            Some(free) => self.traces[free].from,
            None if self.traces.is_empty() => 0.0,
            None => self.depth,
        }
    }

    /// The stretches of height over which one trace holds, with its room.
    pub(super) fn traced_bands(&self) -> Vec<(f64, f64, Region)> {
        (0..self.traces.len())
            .map(|k| {
                let low = if k == 0 { 0.0 } else { self.traces[k].from };
                let high = self.traces.get(k + 1).map_or(self.depth, |next| next.from);
                (low, high, self.traces[k].room())
            })
            .filter(|(low, high, _)| high > low)
            .collect()
    }
}

/// Sections in order of height, each inside the next one up, so that what is free in one is reached from above.
///
/// # Errors
/// A section that encloses nothing, lies outside its half, stands at the height of another, or is wider than one above it by
/// more than tracing explains.
pub(super) fn sorted(half: &ShellHalf) -> Result<Vec<TracedSection>, ShellError> {
    let name = half_name(half.side);
    let mut order: Vec<(usize, TracedSection)> = half.traced.iter().cloned().enumerate().collect();
    order.sort_by(|a, b| a.1.at.value.si().total_cmp(&b.1.at.value.si()));
    for pair in order.windows(2) {
        if pair[1].1.at.value.si() - pair[0].1.at.value.si() < 1e-6 {
            return Err(ShellError::Traced {
                field: format!("{name}.traced[{}].at", pair[1].0),
                problem: format!(
                    "is {}, the height of `{name}.traced[{}]` too; give one section a height",
                    pair[1].1.at.value, pair[0].0
                ),
            });
        }
    }
    for k in (0..order.len().saturating_sub(1)).rev() {
        let (low, high) = order.split_at_mut(k + 1);
        let ((index, section), (other, above)) = (&mut low[k], &high[0]);
        let out = reaches_out(&section.room, &above.room);
        let off = |s: &TracedSection| s.plus_minus.unwrap_or(PENCIL).si();
        if out > off(section) + off(above) + SLACK {
            return Err(ShellError::Traced {
                field: format!("{name}.traced[{index}].outline"),
                problem: format!(
                    "reaches out past `{name}.traced[{other}]`, traced {} higher, by {}; the plan never narrows towards the \
                     rim, so check both, and leave out room that cannot be reached from above",
                    above.at.value - section.at.value,
                    Length::from_si(out)
                ),
            });
        }
        if out > NESTED {
            section.room = section.room.intersection(&above.room);
        }
        if section.room.is_empty() {
            return Err(ShellError::Traced {
                field: format!("{name}.traced[{index}].outline"),
                problem: format!("has no room in common with `{name}.traced[{other}]` above it"),
            });
        }
    }
    Ok(order.into_iter().map(|(_, section)| section).collect())
}

/// How far some point of a region lies outside another.
fn reaches_out(inner: &Region, outer: &Region) -> f64 {
    (-inner.room_inside(outer)).max(0.0)
}

/// Traced sections against opening, floor and depth.
pub(super) fn check_traced(half: &ShellHalf, findings: &mut Vec<Finding>) {
    let profile = Profile::nominal(half);
    for section in &half.traced {
        let h = section.at.value.si();
        let Some(traced) = section.room.bounds() else {
            continue;
        };
        let walls = profile.walls_at(h);
        let spare = walls.half * 2.0 - traced.size();
        let beyond = (-spare.x).max(-spare.y);
        let allowed = section.plus_minus.unwrap_or(PENCIL).si() * 2.0 + BEYOND_WALLS;
        if beyond > allowed {
            findings.push(
                survey(
                    "traced-beyond-walls",
                    Severity::Caution,
                    said!(
                        "{half} section {height} up",
                        half = half.side.said(),
                        height = section.at.value
                    ),
                    said!(
                        "the traced section is {beyond} wider than opening, floor and depth make the walls there; the \
                         narrower counts",
                        beyond = Length::from_si(beyond)
                    ),
                    Source::derived(said!("walls run straight between the openings stated")),
                )
                .margin(Margin::at_most(beyond * 1e3, allowed * 1e3, "mm"))
                .remedy(said!("measure opening and floor again, or state a step where the walls change")),
            );
        }
    }
    let taken_off: Vec<Said> = half
        .intrusions
        .iter()
        .filter(|intrusion| intrusion.removed)
        .map(|intrusion| Said::name(&intrusion.name))
        .collect();
    if !half.traced.is_empty() && !taken_off.is_empty() {
        findings.push(
            survey(
                "traced-before-removal",
                Severity::Caution,
                half.side.said(),
                said!(
                    "the traced sections still hold what was taken off: {intrusions}; its room stays lost",
                    intrusions = Said::row(taken_off, ", ")
                ),
                Source::derived(said!(
                    "of walls, intrusions and traced sections the severe one counts"
                )),
            )
            .remedy(said!("trace or scan again without it")),
        );
    }
}
