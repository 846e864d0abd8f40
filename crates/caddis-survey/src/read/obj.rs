//! Wavefront OBJ: `v` and `f` lines; everything else is passed over.

use super::{Raw, Trouble, fan, text_of};
use caddis_geometry::{Mesh, Vec3};

pub(super) fn read(bytes: &[u8]) -> Result<Raw, Trouble> {
    let text = text_of(bytes);
    let mut mesh = Mesh::default();
    let mut larger = 0_usize;
    let mut corners: Vec<u32> = Vec::new();
    let mut joined = String::new();
    for (number, line) in text.lines().enumerate() {
        // A backslash at the end continues the line.
        if let Some(part) = line.trim_end().strip_suffix('\\') {
            joined.push_str(part);
            joined.push(' ');
            continue;
        }
        joined.push_str(line);
        let at = number + 1;
        let mut words = joined.split_ascii_whitespace();
        match words.next() {
            Some("v") => {
                let mut next = || {
                    let word = words.next().unwrap_or("");
                    word.parse::<f64>()
                        .map_err(|_| Trouble::broken(format!("line {at}: `{}` is not a number", short(word))))
                };
                mesh.positions.push(Vec3::new(next()?, next()?, next()?));
            }
            Some("f") => {
                corners.clear();
                for word in words {
                    corners.push(corner(word, mesh.positions.len()).ok_or_else(|| {
                        Trouble::broken(format!(
                            "line {at}: `{}` names no vertex read so far ({})",
                            short(word),
                            mesh.positions.len()
                        ))
                    })?);
                }
                if corners.len() < 3 {
                    return Err(Trouble::broken(format!(
                        "line {at}: a face of {} corners",
                        corners.len()
                    )));
                }
                larger += usize::from(corners.len() > 4);
                fan(&mut mesh, &corners)?;
            }
            _ => {}
        }
        joined.clear();
    }
    let mut notes = Vec::new();
    if larger > 0 {
        notes.push(format!("faces of more than four corners split as fans: {larger}"));
    }
    Ok(Raw {
        mesh,
        unit: None,
        notes,
    })
}

/// `7`, `7/1`, `7//3`, or `-1` for the last vertex; `None` when there is no such vertex.
fn corner(word: &str, count: usize) -> Option<u32> {
    let index: i64 = word.split('/').next()?.parse().ok()?;
    let count = i64::try_from(count).ok()?;
    let place = match index {
        1.. => index - 1,
        0 => return None,
        _ => count.checked_add(index)?,
    };
    ((0..count).contains(&place)).then_some(u32::try_from(place).ok()?)
}

fn short(word: &str) -> String {
    word.chars().take(20).collect()
}
