//! Binary glTF 2.0: triangles of the default scene, placed by their nodes.
//!
//! # Source
//! Khronos Group, glTF 2.0 specification, sections 3.6 (binary data), 3.7 (geometry) and 4.4 (GLB) (from memory).

use super::{MOST_TRIANGLES, Placement, Raw, Trouble};
use caddis_geometry::Vec3;
use serde::Deserialize;

/// Deeper trees are refused.
const MOST_DEPTH: usize = 64;
/// More nodes than this are refused, counted as they are placed.
const MOST_PLACED: usize = 200_000;
const EXPORT_PLAIN: &str = "export it as one GLB file without compression";

#[derive(Deserialize, Default)]
#[serde(rename_all = "camelCase", default)]
struct Root {
    scene: Option<usize>,
    scenes: Vec<Scene>,
    nodes: Vec<Node>,
    meshes: Vec<MeshEntry>,
    accessors: Vec<Accessor>,
    buffer_views: Vec<View>,
    buffers: Vec<Buffer>,
    extensions_required: Vec<String>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Scene {
    nodes: Vec<usize>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Node {
    mesh: Option<usize>,
    children: Vec<usize>,
    matrix: Option<[f64; 16]>,
    translation: Option<[f64; 3]>,
    rotation: Option<[f64; 4]>,
    scale: Option<[f64; 3]>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct MeshEntry {
    primitives: Vec<Primitive>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Primitive {
    attributes: Attributes,
    indices: Option<usize>,
    mode: Option<u32>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Attributes {
    #[serde(rename = "POSITION")]
    position: Option<usize>,
}

#[derive(Deserialize, Default)]
#[serde(rename_all = "camelCase", default)]
struct Accessor {
    buffer_view: Option<usize>,
    byte_offset: u64,
    component_type: u32,
    normalized: bool,
    count: u64,
    #[serde(rename = "type")]
    shape: String,
    sparse: Option<serde_json::Value>,
}

#[derive(Deserialize, Default)]
#[serde(rename_all = "camelCase", default)]
struct View {
    buffer: usize,
    byte_offset: u64,
    byte_length: u64,
    byte_stride: Option<u64>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Buffer {
    uri: Option<String>,
}

/// Triangles of one primitive in its own frame.
struct Piece {
    positions: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
}

pub(super) fn read(bytes: &[u8]) -> Result<Raw, Trouble> {
    let (json, binary) = chunks(bytes)?;
    let root: Root =
        serde_json::from_slice(json).map_err(|error| Trouble::broken(format!("its JSON chunk: {error}")))?;
    for extension in &root.extensions_required {
        // Quantised positions are read; what compresses or replaces geometry is not.
        if extension.contains("draco") || extension.contains("meshopt") {
            return Err(Trouble::with_remedy(
                format!("its triangles are compressed by {extension}"),
                EXPORT_PLAIN,
            ));
        }
    }
    let mut notes = Vec::new();
    let mut pieces: Vec<Vec<Piece>> = Vec::with_capacity(root.meshes.len());
    let mut other_modes = 0_usize;
    let mut total = 0_usize;
    for mesh in &root.meshes {
        let mut list = Vec::with_capacity(mesh.primitives.len());
        for primitive in &mesh.primitives {
            if primitive.mode.unwrap_or(4) < 4 {
                other_modes += 1;
                continue;
            }
            let piece = piece_of(&root, binary, primitive)?;
            total += piece.triangles.len();
            if total > MOST_TRIANGLES {
                return Err(Trouble::TooManyTriangles);
            }
            list.push(piece);
        }
        pieces.push(list);
    }
    if other_modes > 0 {
        notes.push(format!("sets of points or lines passed over: {other_modes}"));
    }
    let mut raw = Raw {
        unit: Some(("m", 1.0)),
        notes,
        ..Raw::default()
    };
    // y up becomes z up.
    let upright = Placement {
        rows: [[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, -1.0, 0.0], [0.0, 1.0, 0.0, 0.0]],
    };
    let roots = match root.scenes.get(root.scene.unwrap_or(0)) {
        Some(scene) => scene.nodes.clone(),
        None if root.scenes.is_empty() => top_nodes(&root),
        None => return Err(Trouble::broken("it names a scene that is not there")),
    };
    let mut placed = 0_usize;
    let mut stack: Vec<(usize, Placement, usize)> =
        roots.into_iter().rev().map(|node| (node, upright, 0)).collect();
    while let Some((index, outer, depth)) = stack.pop() {
        placed += 1;
        if depth > MOST_DEPTH || placed > MOST_PLACED {
            return Err(Trouble::broken(
                "its nodes hold each other in a ring, or are far too many",
            ));
        }
        let node = root
            .nodes
            .get(index)
            .ok_or_else(|| Trouble::broken(format!("it names node {index} of {}", root.nodes.len())))?;
        let placement = outer.after(&placement_of(node));
        if let Some(mesh) = node.mesh {
            let list = pieces.get(mesh).ok_or_else(|| {
                Trouble::broken(format!("node {index} names mesh {mesh} of {}", pieces.len()))
            })?;
            for piece in list {
                placement.place(&mut raw.mesh, &piece.positions, &piece.triangles)?;
            }
        }
        stack.extend(
            node.children
                .iter()
                .rev()
                .map(|&child| (child, placement, depth + 1)),
        );
    }
    Ok(raw)
}

/// The JSON chunk and the binary chunk.
fn chunks(bytes: &[u8]) -> Result<(&[u8], &[u8]), Trouble> {
    let word = |at: usize| {
        let four = bytes.get(at..at + 4)?;
        Some(u32::from_le_bytes(four.try_into().ok()?))
    };
    let short = || Trouble::broken("it ends inside its header");
    if !bytes.starts_with(b"glTF") {
        return Err(Trouble::broken("it does not begin with `glTF`"));
    }
    let version = word(4).ok_or_else(short)?;
    if version != 2 {
        return Err(Trouble::with_remedy(
            format!("it is version {version}"),
            "export it as glTF 2.0",
        ));
    }
    let mut at = 12;
    let (mut json, mut binary): (Option<&[u8]>, Option<&[u8]>) = (None, None);
    while at + 8 <= bytes.len() {
        let length = word(at).ok_or_else(short)? as usize;
        let kind = word(at + 4).ok_or_else(short)?;
        let chunk = bytes
            .get(at + 8..)
            .and_then(|rest| rest.get(..length))
            .ok_or_else(|| {
                Trouble::broken(format!(
                    "a chunk declares {length} bytes, but {} are left",
                    bytes.len() - at - 8
                ))
            })?;
        match kind {
            0x4E4F_534A if json.is_none() => json = Some(chunk),
            0x004E_4942 if binary.is_none() => binary = Some(chunk),
            _ => {}
        }
        at += 8 + length;
    }
    json.map(|json| (json, binary.unwrap_or(&[])))
        .ok_or_else(|| Trouble::broken("it has no JSON chunk"))
}

fn top_nodes(root: &Root) -> Vec<usize> {
    let mut is_child = vec![false; root.nodes.len()];
    for &child in root.nodes.iter().flat_map(|node| &node.children) {
        if let Some(mark) = is_child.get_mut(child) {
            *mark = true;
        }
    }
    (0..root.nodes.len()).filter(|&node| !is_child[node]).collect()
}

fn placement_of(node: &Node) -> Placement {
    if let Some(m) = node.matrix {
        // Column by column.
        return Placement {
            rows: [0, 1, 2].map(|r| [m[r], m[4 + r], m[8 + r], m[12 + r]]),
        };
    }
    let t = node.translation.unwrap_or([0.0; 3]);
    let s = node.scale.unwrap_or([1.0; 3]);
    let [x, y, z, w] = node.rotation.unwrap_or([0.0, 0.0, 0.0, 1.0]);
    let turn = [
        [
            1.0 - 2.0 * (y * y + z * z),
            2.0 * (x * y - z * w),
            2.0 * (x * z + y * w),
        ],
        [
            2.0 * (x * y + z * w),
            1.0 - 2.0 * (x * x + z * z),
            2.0 * (y * z - x * w),
        ],
        [
            2.0 * (x * z - y * w),
            2.0 * (y * z + x * w),
            1.0 - 2.0 * (x * x + y * y),
        ],
    ];
    Placement {
        rows: [0, 1, 2].map(|r| [turn[r][0] * s[0], turn[r][1] * s[1], turn[r][2] * s[2], t[r]]),
    }
}

fn piece_of(root: &Root, binary: &[u8], primitive: &Primitive) -> Result<Piece, Trouble> {
    let position = primitive
        .attributes
        .position
        .ok_or_else(|| Trouble::broken("a primitive has no POSITION"))?;
    let numbers = values(root, binary, position, 3)?;
    let positions: Vec<Vec3> = numbers
        .chunks_exact(3)
        .map(|p| Vec3::new(p[0], p[1], p[2]))
        .collect();
    let indices: Vec<u32> = match primitive.indices {
        Some(accessor) => values(root, binary, accessor, 1)?
            .iter()
            .map(|&v| v as u32)
            .collect(),
        None => (0..positions.len() as u32).collect(),
    };
    if let Some(&wrong) = indices.iter().find(|&&i| i as usize >= positions.len()) {
        return Err(Trouble::broken(format!(
            "a triangle names vertex {wrong} of {}",
            positions.len()
        )));
    }
    let triangles = match primitive.mode.unwrap_or(4) {
        4 => indices.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect(),
        5 => indices
            .windows(3)
            .enumerate()
            .map(|(k, t)| {
                if k % 2 == 0 {
                    [t[0], t[1], t[2]]
                } else {
                    [t[1], t[0], t[2]]
                }
            })
            .collect(),
        6 => indices
            .windows(2)
            .skip(1)
            .map(|t| [indices[0], t[0], t[1]])
            .collect(),
        mode => {
            return Err(Trouble::broken(format!(
                "a primitive has the unknown mode {mode}"
            )));
        }
    };
    Ok(Piece { positions, triangles })
}

/// All components of an accessor.
fn values(root: &Root, binary: &[u8], index: usize, parts: u64) -> Result<Vec<f64>, Trouble> {
    let missing = |what: &str| Trouble::broken(format!("accessor {index} {what}"));
    let accessor = root.accessors.get(index).ok_or_else(|| missing("is not there"))?;
    if accessor.sparse.is_some() {
        return Err(Trouble::with_remedy(
            format!("accessor {index} is sparse"),
            EXPORT_PLAIN,
        ));
    }
    let expected = if parts == 3 { "VEC3" } else { "SCALAR" };
    if accessor.shape != expected {
        return Err(missing(&format!("is not {expected}")));
    }
    let view_index = accessor
        .buffer_view
        .ok_or_else(|| missing("has no buffer view"))?;
    let view = root
        .buffer_views
        .get(view_index)
        .ok_or_else(|| missing("names a buffer view that is not there"))?;
    if view.buffer != 0 || root.buffers.first().is_some_and(|buffer| buffer.uri.is_some()) {
        return Err(Trouble::with_remedy(
            "its numbers lie in another file",
            "export it as one GLB file with everything inside",
        ));
    }
    let size: u64 = match accessor.component_type {
        5120 | 5121 => 1,
        5122 | 5123 => 2,
        5125 | 5126 => 4,
        other => return Err(missing(&format!("has the unknown component type {other}"))),
    };
    let stride = view.byte_stride.unwrap_or(size * parts);
    let needed = match accessor.count {
        0 => Some(0),
        count => (count - 1)
            .checked_mul(stride)
            .and_then(|bytes| bytes.checked_add(size * parts))
            .and_then(|bytes| bytes.checked_add(accessor.byte_offset)),
    };
    let room = view
        .byte_offset
        .checked_add(view.byte_length)
        .filter(|&end| end <= binary.len() as u64);
    let (Some(needed), Some(_)) = (needed, room) else {
        return Err(missing("lies outside its buffer"));
    };
    if needed > view.byte_length || stride < size * parts {
        return Err(missing("reaches past its buffer view"));
    }
    // Everything below stays within `binary`: the checks above bound it.
    let start = (view.byte_offset + accessor.byte_offset) as usize;
    let mut numbers = Vec::with_capacity((accessor.count * parts) as usize);
    for row in 0..accessor.count {
        for part in 0..parts {
            let at = start + (row * stride + part * size) as usize;
            let item = binary
                .get(at..at + size as usize)
                .ok_or_else(|| missing("reaches past its buffer"))?;
            numbers.push(component(item, accessor.component_type, accessor.normalized));
        }
    }
    Ok(numbers)
}

fn component(item: &[u8], kind: u32, normalized: bool) -> f64 {
    let mut four = [0_u8; 4];
    four[..item.len()].copy_from_slice(item);
    let [a, b, ..] = four;
    let (value, most) = match kind {
        5120 => (f64::from(i8::from_le_bytes([a])), 127.0),
        5121 => (f64::from(a), 255.0),
        5122 => (f64::from(i16::from_le_bytes([a, b])), 32767.0),
        5123 => (f64::from(u16::from_le_bytes([a, b])), 65535.0),
        5125 => (f64::from(u32::from_le_bytes(four)), 1.0),
        _ => (f64::from(f32::from_le_bytes(four)), 1.0),
    };
    if normalized {
        (value / most).max(-1.0)
    } else {
        value
    }
}
