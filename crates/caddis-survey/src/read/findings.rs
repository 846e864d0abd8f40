//! What is doubtful about a mesh file.

use super::{Doubt, MeshReport};
use caddis_basis::{Domain, Finding, Margin, Said, Severity, Source, said, sort_findings};
use caddis_geometry::{Mesh, MeshCheck, Region};

/// Meshes of more triangles are not searched for crossings.
const MOST_SEARCHED: usize = 300_000;
/// Heights at which the section is taken to measure the solid that crossing bodies make together.
const HEIGHTS: u32 = 200;

/// Findings about one mesh on its own: open, several bodies, surfaces that cross. In the order of [`sort_findings`].
///
/// # Accuracy
/// The volume said for crossing bodies is the sum of 200 sections, about 0.5 %.
pub fn mesh_findings(mesh: &Mesh, report: &MeshReport, place: &str) -> Vec<Finding> {
    let (file, place) = (place, Said::name(place));
    let mut findings = state_findings(&mesh.check(), file, &place);
    findings.extend(doubt_findings(
        report.doubts.iter().map(Doubt::said),
        file,
        &place,
    ));
    if mesh.triangles.len() > MOST_SEARCHED {
        findings.push(Finding::new(
            "mesh-crossings-not-searched",
            Domain::Contents,
            Severity::Note,
            place,
            said!(
                "{triangles} triangles are too many to search for surfaces that cross",
                triangles = mesh.triangles.len()
            ),
            Source::derived(said!(
                "crossings are searched in meshes of up to 300 000 triangles"
            )),
        ));
    } else {
        let crossing = mesh.crossing_triangles();
        if crossing > 0 {
            let sentence = if report.is_closed {
                let (signed, solid) = (mesh.mass_properties().volume, volume_by_sections(mesh));
                said!(
                    "{crossing} triangles cross others; its outline is right; its volume counts what overlaps twice: \
                     {signed:.3} mL by its surface, about {solid:.3} mL as one solid",
                    crossing,
                    signed = signed * 1e6,
                    solid = solid * 1e6
                )
            } else {
                said!(
                    "{crossing} triangles cross others; its outline is right",
                    crossing
                )
            };
            findings.push(
                Finding::new(
                    "mesh-crosses-itself",
                    Domain::Contents,
                    Severity::Note,
                    place,
                    sentence,
                    Source::derived(said!("triangles without a common corner that cut each other")),
                )
                .margin(Margin::at_most(crossing as f64, 0.0, ""))
                .remedy(said!(
                    "unite the bodies in the program it came from, or state its mass and centre of mass"
                )),
            );
        }
    }
    sort_findings(&mut findings);
    findings
}

pub(super) fn volume_by_sections(mesh: &Mesh) -> f64 {
    let Some(bounds) = mesh.bounds() else { return 0.0 };
    let step = (bounds.max.z - bounds.min.z) / f64::from(HEIGHTS);
    let heights: Vec<f64> = (0..HEIGHTS)
        .map(|k| bounds.min.z + (f64::from(k) + 0.5) * step)
        .collect();
    mesh.sections(&heights).iter().map(Region::area).sum::<f64>() * step
}

/// Why a shape may not be the whole piece.
pub(crate) fn doubt_findings(
    doubts: impl IntoIterator<Item = Said>,
    file: &str,
    place: &Said,
) -> Vec<Finding> {
    doubts
        .into_iter()
        .map(|doubt| {
            Finding::new(
                "shape-doubtful",
                Domain::Contents,
                Severity::Caution,
                place,
                said!("{file}: {doubt}", file, doubt),
                Source::derived(said!("what its reader says of the file")),
            )
            .remedy(said!(
                "compare its size and picture with the real piece, or export it again"
            ))
        })
        .collect()
}

/// Open, and several bodies.
pub(crate) fn state_findings(check: &MeshCheck, file: &str, place: &Said) -> Vec<Finding> {
    let mut findings = Vec::new();
    if !check.is_closed {
        let wrong = check.boundary_edges + check.non_manifold_edges + check.flipped_edges;
        findings.push(
            Finding::new(
                "mesh-open",
                Domain::Contents,
                Severity::Caution,
                place,
                said!(
                    "{file} is not a closed solid ({open} open edges, {shared} shared by more than two triangles, \
                     {flipped} with neighbours facing apart); its outline is used, its volume is not known",
                    file,
                    open = check.boundary_edges,
                    shared = check.non_manifold_edges,
                    flipped = check.flipped_edges
                ),
                Source::derived(said!("a closed solid shares every edge between two triangles")),
            )
            .margin(Margin::at_most(wrong as f64, 0.0, ""))
            .remedy(said!(
                "export it as one closed solid; or write `hull = true` beside the file, so that its convex hull stands for it; state \
                 its centre of mass"
            )),
        );
    }
    if check.bodies > 1 {
        findings.push(Finding::new(
            "mesh-several-bodies",
            Domain::Contents,
            Severity::Note,
            place,
            said!(
                "{file} holds {bodies} separate bodies, packed as one",
                file,
                bodies = check.bodies
            ),
            Source::derived(said!("triangles joined by shared corners")),
        ));
    }
    findings
}
