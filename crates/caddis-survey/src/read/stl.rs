//! STL: 80 bytes of anything, a count and 50 bytes a triangle; or text with `facet` and `vertex`.

use super::{MOST_TRIANGLES, Raw, Trouble, text_of};
use caddis_geometry::{Mesh, Vec3};

const HEADER: usize = 84;
const TRIANGLE: usize = 50;

/// Whether the length is exactly what the count says. Text files that begin with `solid` never pass; binary files that do
/// still pass.
pub(super) fn is_binary(bytes: &[u8]) -> bool {
    declared(bytes)
        .is_some_and(|count| bytes.len() as u64 == HEADER as u64 + TRIANGLE as u64 * u64::from(count))
}

fn declared(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(80..HEADER)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

pub(super) fn read(bytes: &[u8]) -> Result<Raw, Trouble> {
    if is_binary(bytes) {
        return binary(bytes, Vec::new());
    }
    let start = bytes
        .strip_prefix(b"\xef\xbb\xbf")
        .unwrap_or(bytes)
        .trim_ascii_start();
    if start
        .get(..5)
        .is_some_and(|word| word.eq_ignore_ascii_case(b"solid"))
    {
        return text(bytes);
    }
    let Some(count) = declared(bytes) else {
        return Err(Trouble::broken(format!(
            "its {} bytes are fewer than a header, and it does not begin with `solid`",
            bytes.len()
        )));
    };
    let room = (bytes.len() - HEADER) / TRIANGLE;
    if count as usize > room {
        return Err(Trouble::broken(format!(
            "it declares {count} triangles, but its {} bytes have room for {room}",
            bytes.len()
        )));
    }
    let extra = bytes.len() - HEADER - TRIANGLE * count as usize;
    binary(
        bytes,
        vec![format!("bytes after the last triangle passed over: {extra}")],
    )
}

fn binary(bytes: &[u8], notes: Vec<String>) -> Result<Raw, Trouble> {
    let count = declared(bytes).unwrap_or(0) as usize;
    if count > MOST_TRIANGLES {
        return Err(Trouble::TooManyTriangles);
    }
    let mut mesh = Mesh::default();
    for record in bytes[HEADER..].chunks_exact(TRIANGLE).take(count) {
        let number = |at: usize| {
            let mut four = [0; 4];
            four.copy_from_slice(&record[at..at + 4]);
            f64::from(f32::from_le_bytes(four))
        };
        // The normal comes first and is not needed.
        let corner = |k: usize| {
            let at = 12 + 12 * k;
            Vec3::new(number(at), number(at + 4), number(at + 8))
        };
        push(&mut mesh, [corner(0), corner(1), corner(2)]);
    }
    Ok(Raw {
        mesh,
        unit: None,
        notes,
    })
}

fn push(mesh: &mut Mesh, corners: [Vec3; 3]) {
    let base = mesh.positions.len() as u32;
    mesh.positions.extend(corners);
    mesh.triangles.push([base, base + 1, base + 2]);
}

fn text(bytes: &[u8]) -> Result<Raw, Trouble> {
    let text = text_of(bytes);
    let mut mesh = Mesh::default();
    let mut corners: Vec<Vec3> = Vec::with_capacity(3);
    let mut is_open = false;
    for (number, line) in text.lines().enumerate() {
        let mut words = line.split_ascii_whitespace();
        let Some(first) = words.next() else { continue };
        let at = number + 1;
        match first.to_ascii_lowercase().as_str() {
            "facet" => {
                is_open = true;
                corners.clear();
            }
            "vertex" => {
                let mut next = || {
                    let word = words.next().unwrap_or("");
                    word.parse::<f64>()
                        .map_err(|_| Trouble::broken(format!("line {at}: `{word}` is not a number")))
                };
                corners.push(Vec3::new(next()?, next()?, next()?));
                if corners.len() > 3 {
                    return Err(Trouble::broken(format!(
                        "line {at}: a fourth vertex in one facet"
                    )));
                }
            }
            "endfacet" => {
                let Ok(three) = <[Vec3; 3]>::try_from(corners.as_slice()) else {
                    return Err(Trouble::broken(format!(
                        "line {at}: a facet of {} vertices",
                        corners.len()
                    )));
                };
                if mesh.triangles.len() >= MOST_TRIANGLES {
                    return Err(Trouble::TooManyTriangles);
                }
                push(&mut mesh, three);
                corners.clear();
                is_open = false;
            }
            "solid" | "outer" | "endloop" | "endsolid" => {}
            // Names after `endsolid` may wrap; between facets nothing else counts.
            _ if !is_open => {}
            other => {
                let shown: String = other.chars().take(20).collect();
                return Err(Trouble::broken(format!("line {at}: `{shown}` inside a facet")));
            }
        }
    }
    if is_open {
        return Err(Trouble::broken("it ends inside a facet"));
    }
    Ok(Raw {
        mesh,
        unit: None,
        notes: Vec::new(),
    })
}
