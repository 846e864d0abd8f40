//! What is unlikely or worth knowing about an item.

use super::{Fragility, Item, ItemShape};
use crate::read::{doubt_findings, state_findings};
use caddis_basis::{Domain, Finding, Margin, Said, Severity, Source, said, sort_findings};
use caddis_geometry::Vec3;

/// Mean density of packed equipment, kg/m³ (common practice, no source).
const LIKELY_DENSITY: [f64; 2] = [30.0, 9000.0];
/// Longest side of packed equipment, millimetres (common practice, no source).
const LIKELY_SIDE: [f64; 2] = [5.0, 2500.0];
/// Fragility of equipment, G (common practice, no source).
const LIKELY_FRAGILITY: [f64; 2] = [8.0, 500.0];

impl Item {
    /// Checks the entry: mesh open, density unlikely (below 30 or above 9000 kg/m³), no ways up, zero quantity, sizes,
    /// fragility, centre of mass outside. Findings are in the order of [`sort_findings`].
    pub fn check(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        if self.quantity == 0 {
            findings.push(
                self.finding(
                    "quantity-zero",
                    Severity::Failing,
                    said!("the list asks for none of it"),
                    Source::derived(said!("a packing list")),
                )
                .margin(Margin::at_least(0.0, 1.0, ""))
                .remedy(said!("give at least 1, or leave the item out")),
            );
        }
        if self.ways_up.is_empty() {
            findings.push(
                self.finding(
                    "ways-up-missing",
                    Severity::Failing,
                    said!("no way to lie is allowed"),
                    Source::derived(said!("a packing list")),
                )
                .remedy(said!("name at least one of +z, -z, +x, -x, +y, -y")),
            );
        }
        self.check_mesh(&mut findings);
        self.check_size(&mut findings);
        self.check_density(&mut findings);
        self.check_centre(&mut findings);
        if let Fragility::Known(limit) = &self.fragility {
            let g = limit.value.as_g();
            let [least, most] = LIKELY_FRAGILITY;
            if let Some(margin) = outside(g, least, most, "G") {
                findings.push(
                    self.finding(
                        "fragility-unlikely",
                        Severity::Caution,
                        said!(
                            "its fragility is {fragility}; equipment stands {least} to {most} G",
                            fragility = limit.value,
                            least,
                            most
                        ),
                        Source::common_practice(),
                    )
                    .margin(margin)
                    .remedy(said!("ask who stated it, and for which pulse")),
                );
            }
        }
        if let Some(softness) = &self.softness {
            let volume = self.volume();
            if softness.volume.si() > volume.si() * (1.0 + 1e-9) {
                findings.push(
                    self.finding(
                        "soft-volume-larger",
                        Severity::Caution,
                        said!(
                            "its least volume is {least}, more than the {volume} of its shape",
                            least = softness.volume,
                            volume
                        ),
                        Source::derived(said!("soft goods are pressed to less than their loose shape")),
                    )
                    .margin(Margin::at_most(
                        softness.volume.as_litres(),
                        volume.as_litres(),
                        "L",
                    ))
                    .remedy(said!("give the loose shape, and the volume it can be pressed to")),
                );
            }
        }
        self.check_bend(&mut findings);
        sort_findings(&mut findings);
        findings
    }

    /// A coil lies flat and round in its shape.
    fn check_bend(&self, findings: &mut Vec<Finding>) {
        let radius = self.softness.as_ref().and_then(|soft| soft.least_bend_radius);
        let (Some(radius), Some(bounds)) = (radius, self.bounds()) else {
            return;
        };
        let size = bounds.size();
        let mut sides = [size.x, size.y, size.z];
        sides.sort_by(f64::total_cmp);
        let (room, least) = (sides[1] * 1e3, radius.as_mm() * 2.0);
        if room < least {
            findings.push(
                self.finding(
                    "bend-too-tight",
                    Severity::Failing,
                    said!(
                        "{room:.0} mm across leaves no room to coil it at its least bend radius of {radius}",
                        room,
                        radius
                    ),
                    Source::derived(said!("a coil is at least two bend radii across")),
                )
                .margin(Margin::at_least(room, least, "mm"))
                .remedy(said!(
                    "make its room at least two bend radii wide both ways, or write `{pocket}`",
                    pocket = "shape.pocket = {}"
                )),
            );
        }
    }

    fn check_mesh(&self, findings: &mut Vec<Finding>) {
        let ItemShape::Mesh { mesh, file, doubts } = &self.shape else {
            return;
        };
        findings.extend(state_findings(&mesh.check(), file, &Said::from(&self.id)));
        findings.extend(doubt_findings(
            doubts.iter().cloned(),
            file,
            &Said::from(&self.id),
        ));
    }

    fn check_size(&self, findings: &mut Vec<Finding>) {
        let size = self.bounds().map_or(Vec3::ZERO, |b| b.size());
        let longest = size.x.max(size.y).max(size.z) * 1000.0;
        let [least, most] = LIKELY_SIDE;
        if let Some(margin) = outside(longest, least, most, "mm") {
            findings.push(
                self.finding(
                    "size-unlikely",
                    Severity::Caution,
                    said!("its longest side is {longest:.1} mm; check the unit", longest),
                    Source::common_practice(),
                )
                .margin(margin)
                .remedy(said!("state the unit of its file, or measure it again")),
            );
        }
        if self.size_tolerance.si() == 0.0 {
            findings.push(
                self.finding(
                    "size-tolerance-missing",
                    Severity::Note,
                    said!("its size carries no ±; the worst case takes it as exact"),
                    Source::common_practice(),
                )
                .remedy(said!(
                    "state how far its outside may be off, for example `0.5 mm`"
                )),
            );
        }
    }

    fn check_density(&self, findings: &mut Vec<Finding>) {
        let volume = self.volume();
        if volume.si() <= 0.0 {
            return;
        }
        let density = (self.mass.value / volume).si();
        let [least, most] = LIKELY_DENSITY;
        if let Some(margin) = outside(density, least, most, "kg/m³") {
            findings.push(
                self.finding(
                    "density-unlikely",
                    Severity::Caution,
                    said!(
                        "{mass} in {volume} is {density:.0} kg/m³; equipment has {least} to {most} kg/m³",
                        mass = self.mass.value,
                        volume,
                        density,
                        least,
                        most
                    ),
                    Source::common_practice(),
                )
                .margin(margin)
                .remedy(said!("check the mass, and the unit of its shape")),
            );
        }
    }

    fn check_centre(&self, findings: &mut Vec<Finding>) {
        let (Some(centre), Some(bounds)) = (self.centre_of_mass, self.bounds()) else {
            return;
        };
        let over = (bounds.min - centre).max(centre - bounds.max);
        let over = over.x.max(over.y).max(over.z) * 1000.0;
        if over > 1e-6 {
            findings.push(
                self.finding(
                    "centre-of-mass-outside",
                    Severity::Failing,
                    said!("its centre of mass lies {over:.1} mm outside its own box", over),
                    Source::derived(said!("a body's centre of mass lies within its convex hull")),
                )
                .margin(Margin::at_most(over, 0.0, "mm"))
                .remedy(said!(
                    "give it in the item's own frame, from the same origin as its shape"
                )),
            );
        }
    }

    fn finding(&self, code: &'static str, severity: Severity, sentence: Said, source: Source) -> Finding {
        Finding::new(code, Domain::Contents, severity, &self.id, sentence, source)
    }
}

/// The margin of a value outside a range; `None` inside.
fn outside(found: f64, least: f64, most: f64, unit: &str) -> Option<Margin> {
    if found < least {
        Some(Margin::at_least(found, least, unit))
    } else if found > most {
        Some(Margin::at_most(found, most, unit))
    } else {
        None
    }
}
