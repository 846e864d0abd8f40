//! Triangles in memory to fifty cumulative, 3 mm grown, simplified layers, against trimesh + shapely and manifold3d.
//!
//! Processor seconds on one core, the least of three rounds on both sides. Ours must agree with the finely rounded areas
//! of the reference within 0.1 % on every layer, or the bench stops. The last case reads and repairs half a million
//! triangles of an STL file.
#![expect(clippy::print_stdout, reason = "a benchmark prints its result on stdout")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot run must stop")]

use caddis_basis::{BenchUnit, Name};
use caddis_geometry::{CavityCut, Mesh, Region, Vec3};
use caddis_survey::read_mesh;
use caddis_tests::{Folder, slicing_reference};
use serde_json::json;
use std::path::Path;

const ROUNDS: usize = 3;
const PLANES: u32 = 50;
const CUT: CavityCut = CavityCut {
    clearance: 0.003,
    tolerance: 5e-5,
};

fn main() {
    let folder = Folder::new();
    let names = slicing_reference("make", [folder.path()]);
    let (mut manifold, mut shapely) = (Vec::new(), Vec::new());
    for name in names.as_array().unwrap() {
        let name = name.as_str().unwrap();
        let path = folder.path().join(format!("{name}.bin"));
        let mesh = load(&path);
        let (ours, layers) = least(|| layers(&mesh));
        let theirs = slicing_reference("layers", [&path]);
        let corners: usize = layers
            .iter()
            .flat_map(Region::contours)
            .map(|c| c.vertices.len())
            .sum();
        let mut worst: f64 = 0.0;
        for (layer, area) in layers.iter().zip(theirs["areas"].as_array().unwrap()) {
            worst = worst.max((layer.area() * 1e6 / area.as_f64().unwrap() - 1.0).abs());
        }
        assert!(worst <= 1e-3, "{name}: a layer's area differs by {worst}");
        let ratio = |key: &str| theirs[key].as_f64().unwrap() / ours;
        manifold.push(ratio("manifold_seconds"));
        shapely.push(ratio("shapely_seconds"));
        println!(
            "{}",
            json!({
                "case": name, "triangles": mesh.triangles.len(), "ours": ours, "unit": "s",
                "manifold": theirs["manifold_seconds"], "ratio_manifold": ratio("manifold_seconds"),
                "shapely": theirs["shapely_seconds"], "ratio_shapely": ratio("shapely_seconds"),
                "area_worst": worst, "corners": corners, "manifold_corners": theirs["manifold_corners"],
            })
        );
    }
    let path = folder.path().join("read.stl");
    let bytes = std::fs::read(&path).unwrap();
    let name = Name::new("read.stl");
    let (ours, report) = least(|| read_mesh(&bytes, &name, Some(BenchUnit::Millimetre)).unwrap().1);
    let theirs = slicing_reference("read", [&path])["seconds"].as_f64().unwrap();
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

fn layers(mesh: &Mesh) -> Vec<Region> {
    let bounds = mesh.bounds().unwrap();
    let height = bounds.max.z - bounds.min.z;
    let heights: Vec<f64> = (0..PLANES)
        .map(|k| bounds.min.z + (f64::from(k) + 0.5) / f64::from(PLANES) * height)
        .collect();
    mesh.cavity_layers(&heights, CUT)
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
