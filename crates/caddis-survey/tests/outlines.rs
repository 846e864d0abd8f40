//! Drawings that nobody here made, read in place from the folder that `CADDIS_INPUTS` names. Where the variable is unset the
//! test says what it leaves out.

use caddis_basis::{BenchUnit, Length, Name};
use caddis_geometry::Mesh;
use caddis_survey::{MeshReport, Profile, ReadError, read_outline};
use std::path::{Path, PathBuf};

/// Width, length and area in the drawing's own units, holes filled, and separate pieces.
///
/// # Source
/// ezdxf 1.4.5 (`ezdxf.path`, flattened) with shapely 2.1 (`polygonize`, `unary_union`), run on the same files; for the one with
/// a mark the width of the paths as written (lxml, `REFERENCE.json`), whose area nobody else gave.
const KNOWN: [(&str, f64, f64, f64, usize); 22] = [
    ("resources__blocks1.dxf", 143.8546, 102.9461, 8689.456, 1),
    (
        "resources__circlesellipsesarcs.dxf",
        212.75,
        100.9966,
        10998.636,
        2,
    ),
    ("resources__closedlwpolylinebug.dxf", 20.0, 30.0, 300.0, 1),
    ("resources__ellipticalarcs.dxf", 200.0, 100.0, 15712.343, 1),
    ("resources__issue29.dxf", 571.5, 317.5, 114_193.828, 11),
    ("resources__lwpolylines.dxf", 70.0, 60.0, 1900.0, 1),
    ("resources__openscad_export.dxf", 40.0, 40.0, 1600.0, 1),
    ("resources__squircle2.dxf", 1.512, 1.512, 1.79533, 1),
    ("data__empty_handles.dxf", 165.0, 340.0, 56100.0, 1),
    ("data__no_layouts.dxf", 20.0001, 20.0001, 198.55148, 1),
    ("optimize__forms.dxf", 1016.0, 831.3382, 394_760.9, 23),
    ("2D__1002_tray_bottom.DXF", 14.0, 14.0, 171.49577, 1),
    ("2D__angle_test.dxf", 4.5169, 4.2822, 11.77452, 1),
    ("2D__buffer_regions.dxf", 3.0, 5.0, 12.80362, 1),
    ("2D__insert.dxf", 298.0, 322.5, 54075.0, 2),
    ("2D__insert_r14.dxf", 298.0, 322.5, 54075.0, 2),
    ("2D__single_arc.dxf", 2.0, 5.0, 9.57107, 1),
    ("2D__spline.DXF", 215.2781, 140.2656, 9596.566, 4),
    ("2D__wrench.dxf", 3.2509, 0.9368, 2.13795, 1),
    ("versions__ae.r12b.dxf", 3.5459, 7.6319, 5.81253, 3),
    ("versions__ae.r2013b.dxf", 3.5498, 7.6322, 5.81869, 3),
    ("2D__MIL.svg", 1727.385, 3985.045, f64::NAN, 1),
];
/// Closed outlines that are not there, and what the sentence says of them.
const REFUSED: [(&str, &str); 19] = [
    ("resources__arc15.dxf", "none closes"),
    ("resources__elliptical-arc1.dxf", "none closes"),
    ("resources__elliptical-arc5.dxf", "none closes"),
    ("resources__empty.dxf", "nothing is drawn"),
    ("resources__points.dxf", "2 POINT"),
    ("resources__splines.dxf", "none closes"),
    ("data__ASCII_R12.dxf", "none closes"),
    ("data__bin_dxf_r12.dxf", "none closes"),
    ("data__bin_dxf_r2000.dxf", "1 TEXT"),
    ("examples_dxf__Minimal_DXF_AC1006.dxf", "none closes"),
    ("examples_dxf__Minimal_DXF_AC1009.dxf", "nothing is drawn"),
    ("examples_dxf__Minimal_DXF_AC1021.dxf", "nothing is drawn"),
    (
        "examples_dxf__circle_radius_le_0.dxf",
        "2 CIRCLE without a radius",
    ),
    ("examples_dxf__clockwise_arcs_hatch.dxf", "1 HATCH"),
    ("2D__broken_loop.dxf", "the narrowest gap is"),
    ("2D__cycloidal.dxf", "knots do not fit"),
    ("cli__invalid.svg", "XML"),
    ("svgo__billion-laughs.svg", "entity reference loop"),
    ("svgo__invalid.svg", "XML"),
];

fn read(path: &Path) -> Result<(Mesh, MeshReport), ReadError> {
    let bytes = std::fs::read(path).expect("the file is listed");
    let name = Name::new(path.file_name().expect("a file").to_string_lossy());
    let profile = Profile::of_depth(Length::mm(10.0)).expect("a depth");
    match read_outline(&bytes, &name, None, &profile) {
        Err(ReadError::UnitMissing { guess, .. }) => {
            let unit = BenchUnit::parse(guess).expect("a guess is a unit");
            read_outline(&bytes, &name, Some(unit), &profile)
        }
        other => other,
    }
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut waiting = vec![folder.to_owned()];
    while let Some(place) = waiting.pop() {
        for entry in std::fs::read_dir(place).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                waiting.push(path);
            } else {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

#[test]
fn drawings_end_in_a_solid_or_a_sentence() {
    let Some(folder) = std::env::var_os("CADDIS_INPUTS").map(PathBuf::from) else {
        eprintln!("left out: the drawings of CADDIS_INPUTS, which is not set");
        return;
    };
    let (mut read_count, mut refused, mut compared) = (0, 0, 0);
    for part in ["dxf", "svg"] {
        for path in files(&folder.join(part)) {
            let file = path.file_name().expect("a file").to_string_lossy().into_owned();
            match read(&path) {
                Ok((mesh, report)) => {
                    read_count += 1;
                    let size = mesh.bounds().expect("a box").size();
                    eprintln!(
                        "{file}: {} {:?} {:.4} x {:.4} area {:.6} {:?} {:?}",
                        report.unit,
                        report.unit_source,
                        size.x / report.metres_per_unit,
                        size.y / report.metres_per_unit,
                        mesh.mass_properties().volume / 0.01 / report.metres_per_unit.powi(2),
                        report.repairs,
                        report.doubts
                    );
                    assert!(report.is_closed, "{file}: {report:?}");
                    assert!(REFUSED.iter().all(|(name, _)| *name != file), "{file} was read");
                    if let Some(&(_, x, y, area, pieces)) = KNOWN.iter().find(|known| known.0 == file) {
                        let unit = report.metres_per_unit;
                        // Their curves are flattened to 0.05 mm or so, ours to 0.01 mm.
                        let near =
                            |found: f64, known: f64| known.is_nan() || (found / known - 1.0).abs() < 5e-4;
                        let plan = mesh.mass_properties().volume / 0.01 / unit.powi(2);
                        assert!(
                            near(size.x / unit, x) && near(size.y / unit, y) && near(plan, area),
                            "{file}: {} x {}, {plan}",
                            size.x / unit,
                            size.y / unit
                        );
                        assert_eq!(report.bodies, pieces, "{file}");
                        compared += 1;
                    }
                }
                Err(error) => {
                    refused += 1;
                    let message = error.to_string();
                    eprintln!("REFUSED {message}");
                    assert!(message.contains(&file), "`{message}` does not name {file}");
                    let known = REFUSED.iter().find(|(name, _)| *name == file);
                    assert!(
                        known.is_some_and(|(_, words)| message.contains(words)),
                        "{message}"
                    );
                }
            }
        }
    }
    eprintln!("{read_count} read, {compared} of them compared, {refused} refused");
    assert_eq!((compared, refused), (KNOWN.len(), REFUSED.len()));
    assert!(read_count > 120, "only {read_count} were found");
}
