//! A small writer of binary glTF 2.0: flat-shaded meshes, named nodes, materials with alpha.
//!
//! Case coordinates (z up) become glTF's (y up): (x, y, z) -> (x, z, -y), metres.

use caddis_geometry::{Mesh, Vec3};
use serde_json::{Value, json};

/// A coloured thing of the scene.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Body {
    /// Node name.
    pub(crate) name: String,
    /// Triangles in case coordinates, outward.
    pub(crate) mesh: Mesh,
    /// sRGB.
    pub(crate) colour: [u8; 3],
    /// 1 is opaque.
    pub(crate) alpha: f64,
}

/// Writes the bodies that have triangles.
///
/// # Source
/// glTF 2.0, Khronos (binary container: magic, version 2, JSON chunk padded with spaces, BIN chunk padded with zeros).
pub(crate) fn write(title: &str, bodies: &[&Body]) -> Vec<u8> {
    let mut buffer: Vec<u8> = Vec::new();
    let mut views = Vec::new();
    let mut accessors = Vec::new();
    let mut meshes = Vec::new();
    let mut nodes = Vec::new();
    let mut materials = Vec::new();
    for body in bodies {
        let (positions, normals) = flat(&body.mesh);
        if positions.is_empty() {
            continue;
        }
        let mut accessor = |values: &[[f32; 3]], bounded: bool| {
            let offset = buffer.len();
            for value in values.iter().flatten() {
                buffer.extend_from_slice(&value.to_le_bytes());
            }
            views.push(json!({
                "buffer": 0, "byteOffset": offset, "byteLength": buffer.len() - offset, "target": 34962
            }));
            let mut entry = json!({
                "bufferView": views.len() - 1, "componentType": 5126, "count": values.len(), "type": "VEC3"
            });
            if bounded {
                let fold = |pick: fn(f32, f32) -> f32, start: f32| {
                    values
                        .iter()
                        .fold([start; 3], |m, v| std::array::from_fn(|i| pick(m[i], v[i])))
                };
                entry["min"] = json!(fold(f32::min, f32::INFINITY));
                entry["max"] = json!(fold(f32::max, f32::NEG_INFINITY));
            }
            accessors.push(entry);
            accessors.len() - 1
        };
        let position = accessor(&positions, true);
        let normal = accessor(&normals, false);
        let mut material = json!({
            "name": body.name,
            "pbrMetallicRoughness": {
                "baseColorFactor": [
                    linear(body.colour[0]), linear(body.colour[1]), linear(body.colour[2]), body.alpha
                ],
                "metallicFactor": 0.0,
                "roughnessFactor": 0.85
            }
        });
        if body.alpha < 1.0 {
            material["alphaMode"] = json!("BLEND");
            material["doubleSided"] = json!(true);
        }
        materials.push(material);
        meshes.push(json!({
            "name": body.name,
            "primitives": [{
                "attributes": { "POSITION": position, "NORMAL": normal },
                "material": materials.len() - 1, "mode": 4
            }]
        }));
        nodes.push(json!({ "name": body.name, "mesh": meshes.len() - 1 }));
    }
    let mut root = json!({
        "asset": { "version": "2.0", "generator": "Caddis" },
        "scene": 0,
        "scenes": [{ "name": title, "nodes": (0..nodes.len()).collect::<Vec<_>>() }]
    });
    // glTF forbids empty lists.
    let lists = [
        ("nodes", nodes),
        ("meshes", meshes),
        ("materials", materials),
        ("accessors", accessors),
        ("bufferViews", views),
    ];
    for (key, list) in lists {
        if !list.is_empty() {
            root[key] = Value::Array(list);
        }
    }
    if !buffer.is_empty() {
        root["buffers"] = json!([{ "byteLength": buffer.len() }]);
    }
    container(&root.to_string(), &buffer)
}

fn container(text: &str, binary: &[u8]) -> Vec<u8> {
    let pad = |n: usize| (4 - n % 4) % 4;
    let json_length = text.len() + pad(text.len());
    let binary_length = binary.len() + pad(binary.len());
    let total = 12 + 8 + json_length + if binary.is_empty() { 0 } else { 8 + binary_length };
    let mut out = Vec::with_capacity(total);
    let word = |out: &mut Vec<u8>, value: usize| out.extend_from_slice(&(value as u32).to_le_bytes());
    out.extend_from_slice(b"glTF");
    word(&mut out, 2);
    word(&mut out, total);
    word(&mut out, json_length);
    out.extend_from_slice(b"JSON");
    out.extend_from_slice(text.as_bytes());
    out.resize(out.len() + pad(text.len()), b' ');
    if !binary.is_empty() {
        word(&mut out, binary_length);
        out.extend_from_slice(b"BIN\0");
        out.extend_from_slice(binary);
        out.resize(out.len() + pad(binary.len()), 0);
    }
    out
}

/// Three vertices a triangle, each with the triangle's normal; triangles without area are left out.
fn flat(mesh: &Mesh) -> (Vec<[f32; 3]>, Vec<[f32; 3]>) {
    let turned = |p: Vec3| [p.x as f32, p.z as f32, -p.y as f32];
    let mut positions = Vec::new();
    let mut normals = Vec::new();
    for triangle in &mesh.triangles {
        let corners: Option<Vec<Vec3>> = triangle
            .iter()
            .map(|&i| mesh.positions.get(i as usize).copied())
            .collect();
        let Some([a, b, c]) = corners.as_deref().and_then(|c| <[Vec3; 3]>::try_from(c).ok()) else {
            continue;
        };
        let normal = (b - a).cross(c - a);
        if !(normal.is_finite() && normal.length() > 1e-14) {
            continue;
        }
        for p in [a, b, c] {
            positions.push(turned(p));
            normals.push(turned(normal.unit()));
        }
    }
    (positions, normals)
}

/// From sRGB to linear light.
///
/// # Source
/// IEC 61966-2-1 transfer function (from memory).
fn linear(value: u8) -> f64 {
    let v = f64::from(value) / 255.0;
    let light = if v <= 0.040_45 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    };
    // Four digits are beyond what eight bits hold, and the same on every machine.
    (light * 1e4).round() / 1e4
}
