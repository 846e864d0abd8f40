//! What is doubtful about a mesh file.

use super::MeshReport;
use caddis_basis::{Domain, Finding, Margin, Severity, Source, sort_findings};
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
    let mut findings = state_findings(&mesh.check(), place, place);
    findings.extend(doubt_findings(&report.doubts, place, place));
    if mesh.triangles.len() > MOST_SEARCHED {
        findings.push(Finding::new(
            "mesh-crossings-not-searched",
            Domain::Contents,
            Severity::Note,
            place,
            format!(
                "{} triangles are too many to search for surfaces that cross",
                mesh.triangles.len()
            ),
            Source::derived("crossings are searched in meshes of up to 300 000 triangles"),
        ));
    } else {
        let crossing = mesh.crossing_triangles();
        if crossing > 0 {
            let together = if report.is_closed {
                let (signed, solid) = (mesh.mass_properties().volume, volume_by_sections(mesh));
                format!(
                    "; its volume counts what overlaps twice: {:.3} mL by its surface, about {:.3} mL as one solid",
                    signed * 1e6,
                    solid * 1e6
                )
            } else {
                String::new()
            };
            findings.push(
                Finding::new(
                    "mesh-crosses-itself",
                    Domain::Contents,
                    Severity::Note,
                    place,
                    format!("{crossing} triangles cross others; its outline is right{together}"),
                    Source::derived("triangles without a common corner that cut each other"),
                )
                .margin(Margin::at_most(crossing as f64, 0.0, ""))
                .remedy("unite the bodies in the program it came from, or state its mass and centre of mass"),
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
pub(crate) fn doubt_findings(doubts: &[String], file: &str, place: &str) -> Vec<Finding> {
    doubts
        .iter()
        .map(|doubt| {
            Finding::new(
                "shape-doubtful",
                Domain::Contents,
                Severity::Caution,
                place,
                format!("{file}: {doubt}"),
                Source::derived("what its reader says of the file"),
            )
            .remedy("compare its size and picture with the real piece, or export it again")
        })
        .collect()
}

/// Open, and several bodies.
pub(crate) fn state_findings(check: &MeshCheck, file: &str, place: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    if !check.is_closed {
        let wrong = check.boundary_edges + check.non_manifold_edges + check.flipped_edges;
        findings.push(
            Finding::new(
                "mesh-open",
                Domain::Contents,
                Severity::Caution,
                place,
                format!(
                    "{file} is not a closed solid ({} open edges, {} shared by more than two triangles, {} with \
                     neighbours facing apart); its outline is used, its volume is not known",
                    check.boundary_edges, check.non_manifold_edges, check.flipped_edges
                ),
                Source::derived("a closed solid shares every edge between two triangles"),
            )
            .margin(Margin::at_most(wrong as f64, 0.0, ""))
            .remedy(
                "export it as one closed solid; or write `hull = true` beside the file, so that its convex hull stands for it; state \
                 its centre of mass",
            ),
        );
    }
    if check.bodies > 1 {
        findings.push(Finding::new(
            "mesh-several-bodies",
            Domain::Contents,
            Severity::Note,
            place,
            format!("{file} holds {} separate bodies, packed as one", check.bodies),
            Source::derived("triangles joined by shared corners"),
        ));
    }
    findings
}
