//! What is weak or unlikely about a survey that does not contradict itself.

use super::agree::check_overlaps;
use super::profile::Profile;
use super::traced::check_traced;
use super::{HalfSide, IntrusionKind, Shell, ShellHalf};
use caddis_basis::{Domain, Finding, Length, Margin, Measured, Said, Severity, Source, said, sort_findings};

/// Drafts of moulded cases, degrees (common practice, no source).
const LIKELY_DRAFT: [f64; 2] = [0.5, 6.0];
/// Rims of base and lid meet within this (common practice, no source).
const RIM_MATCH: Length = Length::mm(3.0);
/// A wheel or handle outside the wall needs at least this beyond it (common practice, no source).
const OUTSIDE_ROOM: Length = Length::mm(10.0);

impl Shell {
    /// Checks the survey against itself: drafts unlikely or other than stated, radii too large, corners undercut, inside
    /// larger than outside, rims that differ, depths that do not add up, intrusions into each other, a gasket that narrows
    /// the opening, wheels and handles without a place or outside the outside, intrusions taken off that may not be, missing
    /// ± and record. Findings are in the order of [`sort_findings`].
    pub fn check(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        for half in [&self.base, &self.lid] {
            self.check_drafts(half, &mut findings);
            check_radii(half, &mut findings);
            check_intrusions(half, &mut findings);
            self.check_stated_drafts(half, &mut findings);
            check_overlaps(half, &mut findings);
            check_traced(half, &mut findings);
        }
        self.check_total_depth(&mut findings);
        self.check_gasket(&mut findings);
        self.check_places(&mut findings);
        self.check_stacking(&mut findings);
        self.check_outside(&mut findings);
        self.check_rims(&mut findings);
        self.check_fittings(&mut findings);
        self.check_record(&mut findings);
        self.check_nominal(&mut findings);
        sort_findings(&mut findings);
        findings
    }

    fn check_drafts(&self, half: &ShellHalf, findings: &mut Vec<Finding>) {
        for (wall, draft) in ["-x", "+x", "-y", "+y"].into_iter().zip(self.drafts(half.side)) {
            let degrees = draft.as_degrees();
            let [least, most] = LIKELY_DRAFT;
            let margin = if degrees < least {
                Margin::at_least(degrees, least, "deg")
            } else if degrees > most {
                Margin::at_most(degrees, most, "deg")
            } else {
                continue;
            };
            findings.push(
                survey(
                    "draft-unlikely",
                    Severity::Caution,
                    said!("{half} wall {wall}", half = half.side.said(), wall),
                    said!(
                        "the wall has a draft of {draft}; moulded cases have {least} to {most} deg a side",
                        draft,
                        least,
                        most
                    ),
                    Source::common_practice(),
                )
                .margin(margin)
                .remedy(said!("measure opening, floor and depth again")),
            );
        }
    }

    fn check_outside(&self, findings: &mut Vec<Finding>) {
        let walls = |half: &ShellHalf| half.wall.value * 2.0;
        let inside = [
            (self.base.rim.length.value + walls(&self.base))
                .max(self.lid.rim.length.value + walls(&self.lid)),
            (self.base.rim.width.value + walls(&self.base)).max(self.lid.rim.width.value + walls(&self.lid)),
            self.crown_height() + self.base.wall.value + self.lid.wall.value,
        ];
        for ((along, needed), outside) in along_axes().into_iter().zip(inside).zip(&self.outside) {
            if needed.si() > outside.value.si() + 1e-9 {
                findings.push(
                    survey(
                        "inside-larger-than-outside",
                        Severity::Failing,
                        said!("outside {along}", along),
                        said!(
                            "inside {along} and walls come to {needed}, but the outside {along} is {outside}",
                            along,
                            needed,
                            outside = outside.value
                        ),
                        Source::derived(said!("inside and two walls fit within the outside size")),
                    )
                    .margin(Margin::at_most(needed.as_mm(), outside.value.as_mm(), "mm"))
                    .remedy(said!(
                        "measure the outside over wheels, handles and latches, and the wall thickness again"
                    )),
                );
            }
        }
    }

    fn check_rims(&self, findings: &mut Vec<Finding>) {
        for (along, base, lid) in [
            (said!("length"), &self.base.rim.length, &self.lid.rim.length),
            (said!("width"), &self.base.rim.width, &self.lid.rim.width),
        ] {
            let apart = (base.value - lid.value).abs();
            if apart > RIM_MATCH {
                findings.push(
                    survey(
                        "rims-differ",
                        Severity::Caution,
                        said!("rim {along}", along),
                        said!(
                            "the rim {along} is {base} on the base and {lid} on the lid",
                            along,
                            base = base.value,
                            lid = lid.value
                        ),
                        Source::common_practice(),
                    )
                    .margin(Margin::at_most(apart.as_mm(), RIM_MATCH.as_mm(), "mm"))
                    .remedy(said!("measure both openings at the rim plane, inside the gasket")),
                );
            }
        }
    }

    /// Fittings and housings must agree: what is fitted has a place, inside or outside the walls.
    fn check_fittings(&self, findings: &mut Vec<Finding>) {
        let spare =
            |outside: &Measured<Length>, inside: Length| outside.value - inside - self.base.wall.value * 2.0;
        let spare = spare(&self.outside[0], self.base.rim.length.value)
            .max(spare(&self.outside[1], self.base.rim.width.value))
            .max(self.outside[2].value - self.crown_height() - self.base.wall.value - self.lid.wall.value);
        for (word, said, kind, housing) in [
            (
                "wheel",
                said!("wheel"),
                IntrusionKind::WheelHousing,
                said!("wheel housing"),
            ),
            (
                "pull handle",
                said!("pull handle"),
                IntrusionKind::PullHandleHousing,
                said!("pull-handle housing"),
            ),
        ] {
            let fitted = self
                .fittings
                .iter()
                .any(|fitting| fitting.count > 0 && fitting.is_called(word));
            let housed = [&self.base, &self.lid]
                .iter()
                .any(|half| half.intrusions.iter().any(|intrusion| intrusion.kind == kind));
            if fitted && !housed && spare < OUTSIDE_ROOM {
                findings.push(
                    survey(
                        "fitting-without-place",
                        Severity::Caution,
                        &said,
                        said!(
                            "a {fitting} is fitted, but the survey has no {housing} and the outside leaves {spare} beyond the walls",
                            fitting = said,
                            housing,
                            spare
                        ),
                        Source::common_practice(),
                    )
                    .margin(Margin::at_least(spare.as_mm(), OUTSIDE_ROOM.as_mm(), "mm"))
                    .remedy(said!(
                        "add the {housing} or measure the outside over the {fitting}",
                        housing,
                        fitting = said
                    )),
                );
            }
            if housed && !fitted {
                findings.push(
                    survey(
                        "housing-without-fitting",
                        Severity::Note,
                        &housing,
                        said!(
                            "the survey has a {housing} but lists no {fitting} among the fittings",
                            housing,
                            fitting = said
                        ),
                        Source::common_practice(),
                    )
                    .remedy(said!(
                        "list the {fitting}, or say that it is taken off",
                        fitting = said
                    )),
                );
            }
        }
    }

    fn check_record(&self, findings: &mut Vec<Finding>) {
        let sizes: Vec<&Measured<Length>> = [&self.base, &self.lid]
            .iter()
            .flat_map(|half| {
                [
                    &half.rim.length,
                    &half.rim.width,
                    &half.rim.corner_radius,
                    &half.floor.length,
                    &half.floor.width,
                    &half.floor.corner_radius,
                    &half.depth,
                    &half.fillet,
                ]
            })
            .collect();
        let bare = sizes.iter().filter(|size| size.plus_minus.is_none()).count();
        if bare > 0 {
            findings.push(
                survey(
                    "tolerance-missing",
                    Severity::Note,
                    said!("survey"),
                    said!(
                        "{bare} of {all} dimensions carry no ±; the worst case takes them as exact",
                        bare,
                        all = sizes.len()
                    ),
                    Source::common_practice(),
                )
                .remedy(said!(
                    "state how far each may be off, for example `620 mm ± 1 mm`"
                )),
            );
        }
        if self.record.measured_by.is_empty() || self.record.measured_on.is_empty() {
            findings.push(
                survey(
                    "record-incomplete",
                    Severity::Note,
                    said!("survey"),
                    said!("the survey does not say who measured and when"),
                    Source::common_practice(),
                )
                .remedy(said!("fill in the record: sample, measured by, measured on")),
            );
        }
    }

    fn check_nominal(&self, findings: &mut Vec<Finding>) {
        if self.nominal_inside.is_none() {
            return;
        }
        let nominal = self.nominal_volume();
        let usable = self.usable_volume(HalfSide::Base) + self.usable_volume(HalfSide::Lid);
        if usable > nominal {
            findings.push(
                survey(
                    "usable-over-nominal",
                    Severity::Caution,
                    said!("nominal inside"),
                    said!(
                        "the usable volume of {usable} exceeds the nominal box of {nominal}",
                        usable,
                        nominal
                    ),
                    Source::derived(said!("a nominal box is before draft, radii and intrusions")),
                )
                .margin(Margin::at_most(usable.as_litres(), nominal.as_litres(), "L"))
                .remedy(said!("compare the nominal inside with the measured openings")),
            );
        } else {
            let lost = 100.0 * (1.0 - usable / nominal);
            findings.push(survey(
                "usable-below-nominal",
                Severity::Note,
                said!("nominal inside"),
                said!(
                    "{usable} are usable of the nominal box of {nominal}; {lost:.1} % go to draft, radii and intrusions",
                    usable,
                    nominal,
                    lost
                ),
                Source::derived(said!("integral of the surveyed sections")),
            ));
        }
    }
}

fn check_radii(half: &ShellHalf, findings: &mut Vec<Finding>) {
    let name = half.side.said();
    for (part, opening) in [(said!("rim"), &half.rim), (said!("floor"), &half.floor)] {
        let most = opening.length.value.min(opening.width.value) / 2.0;
        if opening.corner_radius.value > most {
            findings.push(
                survey(
                    "corner-radius-too-large",
                    Severity::Caution,
                    said!("{half} {part}", half = name, part),
                    said!(
                        "the corner radius is {radius}, more than half of the shorter side; {most} is used",
                        radius = opening.corner_radius.value,
                        most
                    ),
                    Source::derived(said!("two corners share a side")),
                )
                .margin(Margin::at_most(
                    opening.corner_radius.value.as_mm(),
                    most.as_mm(),
                    "mm",
                ))
                .remedy(said!("measure the radius again; it is a radius, not a diameter")),
            );
        }
    }
    let profile = Profile::nominal(half);
    if half.fillet.value.si() > profile.fillet + 1e-12 {
        let most = Length::from_si(profile.fillet);
        findings.push(
            survey(
                "fillet-too-large",
                Severity::Caution,
                said!("{half} fillet", half = name),
                said!(
                    "the fillet is {radius}, more than depth or half of the floor allow; {most} is used",
                    radius = half.fillet.value,
                    most
                ),
                Source::derived(said!("a fillet ends at the rim and at the middle of the floor")),
            )
            .margin(Margin::at_most(half.fillet.value.as_mm(), most.as_mm(), "mm"))
            .remedy(said!("measure the radius between floor and wall again")),
        );
    }
    if !profile.rim.holds(&profile.floor) {
        findings.push(
            survey(
                "corner-undercut",
                Severity::Caution,
                said!("{half} corners", half = name),
                said!(
                    "the corners are undercut: radius {floor} at the floor, {rim} at the rim, with too little draft between",
                    floor = half.floor.corner_radius.value,
                    rim = half.rim.corner_radius.value
                ),
                Source::common_practice(),
            )
            .remedy(said!(
                "measure both corner radii again; a moulded corner opens towards the rim"
            )),
        );
    }
}

fn check_intrusions(half: &ShellHalf, findings: &mut Vec<Finding>) {
    let name = half.side.said();
    for intrusion in &half.intrusions {
        let place = said!("{half} {intrusion}", half = name, intrusion = intrusion.name);
        if intrusion.removed && !intrusion.removable {
            findings.push(
                survey(
                    "removed-but-not-removable",
                    Severity::Failing,
                    place.clone(),
                    said!("it is taken off for this job, but the survey says that it may not be"),
                    Source::common_practice(),
                )
                .remedy(said!("keep it, or have the survey say `removable`")),
            );
        }
        let closes = intrusion.draft.value.si().tan() * (intrusion.to.value - intrusion.from.value).si();
        let half_side = match &intrusion.outline {
            super::OutlineShape::Rectangle { length, width, .. } => length.value.min(width.value) / 2.0,
            super::OutlineShape::Circle { radius, .. } => radius.value,
            super::OutlineShape::OnWall { width, stands_in, .. } => (width.value / 2.0).min(stands_in.value),
            super::OutlineShape::InCorner { length, width, .. } => length.value.min(width.value),
            // Half of the shorter side of its box: an outline that is thinner closes earlier still.
            super::OutlineShape::Polygon { .. } => Length::from_si(
                intrusion
                    .root_region(half)
                    .bounds()
                    .map_or(0.0, |b| b.size().x.min(b.size().y) / 2.0),
            ),
        };
        if closes > half_side.si() {
            findings.push(
                survey(
                    "intrusion-closes-early",
                    Severity::Caution,
                    place,
                    said!(
                        "with a draft of {draft} it comes to a point before it reaches {end}",
                        draft = intrusion.draft.value,
                        end = intrusion.to.value
                    ),
                    Source::derived(said!("each side moves in by tan(draft) per height")),
                )
                .margin(Margin::at_most(closes * 1000.0, half_side.as_mm(), "mm"))
                .remedy(said!("give the outline at its root, and measure its draft again")),
            );
        }
    }
}

/// The sizes of a box in words.
pub(super) fn along_axes() -> [Said; 3] {
    [said!("length"), said!("width"), said!("height")]
}

pub(super) fn survey(
    code: &'static str,
    severity: Severity,
    place: impl Into<Said>,
    sentence: impl Into<Said>,
    source: Source,
) -> Finding {
    Finding::new(code, Domain::Survey, severity, place, sentence, source)
}
