//! Triangles in memory to fifty cumulative, 3 mm grown, simplified layers, against trimesh + shapely and manifold3d.
//!
//! Processor seconds on one core, the least of three rounds on both sides. Every mesh is a closed solid. Areas are held
//! against the finely rounded, not simplified layers of the reference, or the bench stops:
//!
//! - cut as finely as 5 µm, every layer agrees within 0.1 %: the sections, their union and their growth are right;
//! - the layers that are timed are simplified by up to 50 µm, to the outer side only (the reference's by up to 100 µm, to
//!   either side), so none is smaller than the reference by more than its rounding, and none larger than by a rim of
//!   50 µm. On a small layer such a rim is more than 0.1 %: on one of 20 mm radius, 0.5 %.
//!
//! Of the mesh with the most triangles the cost is also measured against the number of planes: per plane it must stay as it is.
//!
//! The last case reads and repairs half a million triangles of an STL file.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_basis::{BenchUnit, Name};
use caddis_geometry::{CavityCut, Mesh, Region, Vec3};
use caddis_survey::read_mesh;
use caddis_tests::{Folder, reference};
use serde_json::json;
use std::path::Path;

const ROUNDS: usize = 3;
const PLANES: u32 = 50;
/// Numbers of planes that are compared.
const MORE_PLANES: [u32; 4] = [25, 50, 100, 200];
/// Growth all round, metres.
const CLEARANCE: f64 = 0.003;
/// How far outside a timed layer may lie, metres.
const TOLERANCE: f64 = 5e-5;
/// How far outside the layers may lie that must agree within [`AGREE`], metres.
const FINE: f64 = 5e-6;
/// Share of an area.
const AGREE: f64 = 1e-3;
/// Share of an area by which the reference's own rounding (64 chords a quadrant) may make its layers differ.
const ROUNDING: f64 = 1e-4;

fn main() {
    let folder = Folder::new();
    let names = reference("slicing", "make", [folder.path()]);
    let (mut manifold, mut shapely) = (Vec::new(), Vec::new());
    let mut largest_mesh: Option<(String, Mesh)> = None;
    for name in names.as_array().unwrap() {
        let name = name.as_str().unwrap();
        let path = folder.path().join(format!("{name}.bin"));
        let mesh = load(&path);
        let (ours, layers) = least(|| layers(&mesh, PLANES, TOLERANCE));
        let theirs = reference("slicing", "layers", [&path]);
        let corners: usize = layers
            .iter()
            .flat_map(Region::contours)
            .map(|c| c.vertices.len())
            .sum();
        let areas: Vec<f64> = theirs["areas"]
            .as_array()
            .unwrap()
            .iter()
            .map(|a| a.as_f64().unwrap() * 1e-6)
            .collect();
        let over = |layers: &[Region]| -> Vec<f64> {
            assert_eq!(layers.len(), areas.len(), "{name}: as many layers");
            layers
                .iter()
                .zip(&areas)
                .map(|(layer, area)| layer.area() / area - 1.0)
                .collect()
        };
        let fine = over(&self::layers(&mesh, PLANES, FINE));
        let worst = fine.iter().fold(0.0_f64, |worst, over| worst.max(over.abs()));
        assert!(worst <= AGREE, "{name}: a layer's area differs by {worst}");
        let coarse = over(&layers);
        for ((over, layer), area) in coarse.iter().zip(&layers).zip(&areas) {
            assert!(*over >= -ROUNDING, "{name}: a layer is smaller by {over}");
            let rim = layer.boundary_length() * TOLERANCE / area;
            assert!(
                *over <= rim + ROUNDING,
                "{name}: a layer is larger by {over}, its rim is {rim}"
            );
        }
        if largest_mesh
            .as_ref()
            .is_none_or(|(_, largest)| largest.triangles.len() < mesh.triangles.len())
        {
            largest_mesh = Some((name.to_owned(), mesh.clone()));
        }
        let largest = coarse.iter().fold(0.0_f64, |most, over| most.max(*over));
        let all = layers.iter().map(Region::area).sum::<f64>() / areas.iter().sum::<f64>() - 1.0;
        let ratio = |key: &str| theirs[key].as_f64().unwrap() / ours;
        manifold.push(ratio("manifold_seconds"));
        shapely.push(ratio("shapely_seconds"));
        println!(
            "{}",
            json!({
                "case": name, "triangles": mesh.triangles.len(), "ours": ours, "unit": "s",
                "manifold": theirs["manifold_seconds"], "ratio_manifold": ratio("manifold_seconds"),
                "shapely": theirs["shapely_seconds"], "ratio_shapely": ratio("shapely_seconds"),
                "area_worst_fine": worst, "area_over_timed": largest, "area_over_all_timed": all,
                "corners": corners, "manifold_corners": theirs["manifold_corners"],
            })
        );
    }
    if let Some((name, mesh)) = &largest_mesh {
        planes(name, mesh);
    }
    let path = folder.path().join("read.stl");
    let bytes = std::fs::read(&path).unwrap();
    let name = Name::new("read.stl");
    let (ours, report) = least(|| read_mesh(&bytes, &name, Some(BenchUnit::Millimetre)).unwrap().1);
    let theirs = reference("slicing", "read", [&path])["seconds"].as_f64().unwrap();
    println!(
        "{}",
        json!({
            "case": "read and repair", "triangles": report.triangles, "ours": ours, "unit": "s",
            "trimesh_without_repair": theirs, "ratio": theirs / ours,
        })
    );
    let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len() as f64;
    println!(
        "mean ratio {:.2} to manifold3d with its build, {:.2} to trimesh + shapely",
        mean(&manifold),
        mean(&shapely)
    );
}

/// What each number of planes costs. Linear in planes: cutting and growing cost so much for each, beside what sorting the
/// triangles costs once; so the cost per plane may fall, and not rise by more than noise and finer layers explain.
fn planes(name: &str, mesh: &Mesh) {
    let mut least_each = f64::INFINITY;
    for count in MORE_PLANES {
        let (seconds, layers) = least(|| layers(mesh, count, TOLERANCE));
        assert_eq!(layers.len(), count as usize, "{name}: as many layers");
        let each = seconds / f64::from(count);
        least_each = least_each.min(each);
        println!(
            "{}",
            json!({
                "case": format!("{name} by planes"), "triangles": mesh.triangles.len(), "planes": count,
                "ours": seconds, "unit": "s", "per_plane": each, "per_plane_over_least": each / least_each,
            })
        );
    }
}

fn layers(mesh: &Mesh, planes: u32, tolerance: f64) -> Vec<Region> {
    let bounds = mesh.bounds().unwrap();
    let height = bounds.max.z - bounds.min.z;
    let heights: Vec<f64> = (0..planes)
        .map(|k| bounds.min.z + (f64::from(k) + 0.5) / f64::from(planes) * height)
        .collect();
    mesh.cavity_layers(
        &heights,
        CavityCut {
            clearance: CLEARANCE,
            tolerance,
        },
    )
}

fn least<T>(work: impl Fn() -> T) -> (f64, T) {
    let mut best = f64::INFINITY;
    let mut result = None;
    for _ in 0..ROUNDS {
        let start = processor_seconds();
        result = Some(work());
        best = best.min(processor_seconds() - start);
    }
    (best, result.unwrap())
}

/// Time this thread has had on a processor: other work on the machine does not count.
fn processor_seconds() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    text.split(' ').next().unwrap().parse::<f64>().unwrap() * 1e-9
}

/// A mesh as the reference wrote it.
fn load(path: &Path) -> Mesh {
    let bytes = std::fs::read(path).unwrap();
    let count = |at: usize| u64::from_le_bytes(bytes[at..at + 8].try_into().unwrap()) as usize;
    let (vertices, triangles) = (count(0), count(8));
    let number = |at: usize| f64::from_le_bytes(bytes[at..at + 8].try_into().unwrap()) * 1e-3;
    let corner = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
    let from = 16 + 24 * vertices;
    Mesh {
        positions: (0..vertices)
            .map(|i| 16 + 24 * i)
            .map(|at| Vec3::new(number(at), number(at + 8), number(at + 16)))
            .collect(),
        triangles: (0..triangles)
            .map(|i| from + 12 * i)
            .map(|at| [corner(at), corner(at + 4), corner(at + 8)])
            .collect(),
    }
}
