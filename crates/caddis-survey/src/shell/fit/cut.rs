//! Sections straight from the scan, beside what was fitted to it.

use super::recovered::{LEAST_OFF, ScanFit};
use crate::shell::check::survey;
use crate::shell::profile::Profile;
use crate::shell::{ShellHalf, TracedSection};
use caddis_basis::{Finding, Length, Margin, Measured, Severity, Source, Volume, said, sort_findings};
use caddis_geometry::{Mesh, Region, Side};

/// Heights at which the scan is cut, metres.
const STEP: f64 = 1e-3;
/// A section holds upwards until the walls have gone back by this on the mean, metres.
const GOES_BACK: f64 = 2.5e-4;
/// Outlines keep within this of the scan's, on the side of less room, metres.
const SIMPLER: f64 = 2e-4;
/// What lies farther outside the fitted walls is not of the room, metres.
const OUTSIDE: f64 = 2e-3;
/// Pieces of surface smaller than this are specks, metres.
const SPECK: f64 = 3e-3;
/// A section of less than this share of what was fitted is of a surface that does not close there.
const OPEN: f64 = 0.5;
/// Room that cannot be reached from above is worth a word, cubic metres.
const UNDERCUT: f64 = 1e-5;

impl ScanFit {
    /// The fit with sections cut straight from the scans it was made of: `base`, and `lid` where that was a scan of its own.
    /// They say what is there, also where no form was recovered; room that cannot be reached from above is left out.
    ///
    /// # Accuracy
    /// Outlines within 0.2 mm of the surface and heights within a millimetre, on the side of less room; the scan's own
    /// spread comes on top and stands beside each section as its ±.
    #[must_use]
    pub fn with_sections(mut self, base: &Mesh, lid: Option<&Mesh>) -> Self {
        let mut findings = std::mem::take(&mut self.findings);
        let halves = std::iter::once((&mut self.base, base))
            .chain(self.lid.as_mut().map(|half| (half, lid.unwrap_or(base))));
        for ((half, mesh), scanned) in halves.zip(&mut self.scanned) {
            let Some(motion) = &scanned.motion else { continue };
            half.traced = cut(half, &motion.of_mesh(mesh), scanned.spread, &mut findings);
            if !half.traced.is_empty() {
                // The sections hold what the outlines only went around.
                let formed = half.intrusions.len() - scanned.odd;
                half.intrusions.truncate(formed);
                scanned.odd = 0;
                let place = said!("{half} intrusion", half = half.side.said());
                findings.retain(|f| f.code != "fit-odd-outline" || !f.place.starts_with(place.as_str()));
            }
        }
        sort_findings(&mut findings);
        self.findings = findings;
        self
    }
}

/// The sections of a half, and what is to be said of them.
fn cut(half: &ShellHalf, mesh: &Mesh, spread: f64, findings: &mut Vec<Finding>) -> Vec<TracedSection> {
    let profile = Profile::nominal(half);
    let count = ((profile.depth - STEP) / STEP).max(0.0) as u32;
    let heights: Vec<f64> = (0..count).map(|k| (f64::from(k) + 0.5) * STEP).collect();
    let rooms = rooms(mesh, &heights);
    let mut left_out = 0_usize;
    let mut sections: Vec<(f64, Region)> = Vec::new();
    for (&h, room) in heights.iter().zip(rooms) {
        let Some(free) = profile.free_at(h) else { continue };
        let room = room.intersection(&profile.walls_at(h).region().offset(OUTSIDE, Side::Outer));
        if room.area() < OPEN * free.area() {
            left_out += 1;
            continue;
        }
        let is_same = sections.last().is_some_and(|(_, last)| {
            let back = room.area() - last.area();
            back.abs() < GOES_BACK * last.boundary_length()
        });
        if !is_same {
            sections.push((h, room.simplified(SIMPLER, Side::Inner)));
        }
    }
    let of_the_scan = said!("{half} of the scan", half = half.side.said());
    if left_out > 0 {
        findings.push(
            survey(
                "fit-section-open",
                if 2 * left_out > heights.len() {
                    Severity::Caution
                } else {
                    Severity::Note
                },
                &of_the_scan,
                said!(
                    "at {open} of {all} heights the surface does not close; no section was cut there",
                    open = left_out,
                    all = heights.len()
                ),
                Source::derived(said!("area of the section against that of the fitted walls")),
            )
            .remedy(said!(
                "give the inside alone, without the outer skin, and mend what is missing of it"
            )),
        );
    }
    let lost = nest(&mut sections);
    if lost > UNDERCUT {
        findings.push(
            survey(
                "fit-undercut",
                Severity::Note,
                of_the_scan,
                said!(
                    "{lost} of its room cannot be reached from above and are left out of the sections",
                    lost = Volume::from_si(lost)
                ),
                Source::derived(said!(
                    "each section less what the next one up does not leave free"
                )),
            )
            .margin(Margin::at_most(lost * 1e3, UNDERCUT * 1e3, "L")),
        );
    }
    let off = Length::mm((spread.max(LEAST_OFF) * 1e5).ceil() / 100.0);
    sections
        .into_iter()
        .filter(|(_, room)| !room.is_empty())
        .map(|(h, room)| TracedSection {
            at: Measured {
                value: Length::mm((h * 1e5).round() / 100.0),
                plus_minus: Some(off),
                source: None,
            },
            room,
            plus_minus: Some(off),
        })
        .collect()
}

/// The room at each height: the widest piece of surface, less every other that stands in it.
fn rooms(mesh: &Mesh, heights: &[f64]) -> Vec<Region> {
    let pieces: Vec<(f64, f64, Mesh)> = mesh
        .parts()
        .into_iter()
        .filter_map(|part| {
            let bounds = part.bounds()?;
            let size = bounds.max - bounds.min;
            (size.length() > SPECK).then_some((bounds.min.z, bounds.max.z, part))
        })
        .collect();
    let mut rooms = vec![Region::empty(); heights.len()];
    let mut standing: Vec<Vec<Region>> = vec![Vec::new(); heights.len()];
    for (low, high, piece) in &pieces {
        let first = heights.partition_point(|h| h < low);
        let last = heights.partition_point(|h| h <= high);
        for (k, section) in (first..last).zip(piece.sections(&heights[first..last])) {
            if section.area() > rooms[k].area() {
                let other = std::mem::replace(&mut rooms[k], section);
                standing[k].push(other);
            } else {
                standing[k].push(section);
            }
        }
    }
    for (room, standing) in rooms.iter_mut().zip(&standing) {
        if standing.iter().any(|region| !region.is_empty()) {
            *room = room.difference(&Region::union_all(standing));
        }
    }
    rooms
}

/// Leaves in each section only what the next one up leaves free; the volume that goes with it.
fn nest(sections: &mut [(f64, Region)]) -> f64 {
    let mut lost = 0.0;
    for k in (0..sections.len().saturating_sub(1)).rev() {
        let (low, high) = sections.split_at_mut(k + 1);
        let (from, section) = &mut low[k];
        let (to, above) = &high[0];
        let before = section.area();
        *section = section.intersection(above);
        lost += (before - section.area()) * (to - *from);
    }
    lost
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::super::fit_scan;
    use super::super::tests::{halves, spoilt, surveyed, whole};
    use super::*;
    use crate::shell::section::free;
    use crate::shell::tests::{exact, mm};
    use crate::shell::{Intrusion, IntrusionKind, OutlineShape, Shell};
    use caddis_geometry::Vec2;

    /// A housing with a bevelled inner side, which no form of the fit is.
    fn odd() -> Shell {
        let mut shell = surveyed();
        shell.base.intrusions.truncate(1);
        let corners = [(120.0, 60.0), (230.0, 20.0), (250.0, 90.0), (180.0, 140.0)];
        shell.base.intrusions.push(Intrusion {
            name: "pump housing".to_owned(),
            kind: IntrusionKind::Other,
            outline: OutlineShape::Polygon {
                points: corners.map(|(x, y)| Vec2::new(x / 1e3, y / 1e3).into()).to_vec(),
                corner_radius: exact(0.0),
            },
            from: exact(0.0),
            to: mm(80.0),
            draft: Measured::exact(caddis_basis::Angle::degrees(2.0)),
            fillet: exact(0.0),
            removable: false,
            removed: false,
        });
        shell.validated().unwrap()
    }

    /// What the sections leave free is free, to `off`, and no more than `lost` of what is free is lost.
    fn holds(found: &ShellHalf, expected: &ShellHalf, off: f64, lost: f64) {
        assert!(found.traced.len() > 8, "{} sections", found.traced.len());
        let truth = Profile::nominal(expected);
        for section in &found.traced {
            let h = section.at.value.si();
            // The mesh's cells blunt the tops of what stands in.
            if truth.bodies.iter().any(|body| (h - body.to).abs() < 4e-3) {
                continue;
            }
            let exact = free(&truth, h, h);
            let out = section.room.difference(&exact.offset(off, Side::Outer));
            assert!(
                out.area() < 2e-5,
                "{:.1} mm up {} cm2 are matter",
                h * 1e3,
                out.area() * 1e4
            );
            let missed = exact.offset(-off, Side::Inner).difference(&section.room);
            assert!(
                missed.area() < lost * exact.area(),
                "{:.1} mm up {} cm2 are lost",
                h * 1e3,
                missed.area() * 1e4
            );
        }
    }

    #[test]
    fn noise_holes_and_tilt_leave_them_true_to_the_scan() {
        let shell = odd();
        let (base, lid) = halves(&shell);
        let (base, lid) = (
            spoilt(&base, 5).repaired(1e-7).0,
            spoilt(&lid, 6).repaired(1e-7).0,
        );
        let fit = fit_scan(&base, Some(&lid), None)
            .unwrap()
            .with_sections(&base, Some(&lid));
        holds(&fit.base, &shell.base, 2e-3, 0.03);
        holds(fit.lid.as_ref().unwrap(), &shell.lid, 2e-3, 0.03);
    }

    #[test]
    fn sections_hold_what_the_fit_cannot_name() {
        let shell = odd();
        let mesh = whole(&shell).repaired(1e-7).0;
        let fit = fit_scan(&mesh, None, None).unwrap().with_sections(&mesh, None);
        holds(&fit.base, &shell.base, 7e-4, 0.01);
        holds(fit.lid.as_ref().unwrap(), &shell.lid, 7e-4, 0.01);
        assert!(
            !fit.findings.iter().any(|f| f.code == "fit-section-open"),
            "{:?}",
            fit.findings
        );
    }
}
