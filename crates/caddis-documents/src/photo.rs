//! Photos of a shell, with the numbers that point into them.

use crate::DocumentError;
use caddis_survey::Shell;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Puts photos beside a template as `photo-0.png`, …, and says of each where it lies, what it shows and what its numbers point at.
///
/// # Errors
/// A photo that is neither PNG nor JPEG.
pub(crate) fn placed(
    shell: &Shell,
    photos: &BTreeMap<String, Vec<u8>>,
    files: &mut BTreeMap<String, Vec<u8>>,
) -> Result<Vec<Value>, DocumentError> {
    let mut placed = Vec::new();
    for (index, (name, bytes)) in photos.iter().enumerate() {
        let ending = picture_format(bytes)
            .ok_or_else(|| DocumentError::Picture(format!("the photo {name} is neither PNG nor JPEG")))?;
        let path = format!("photo-{index}.{ending}");
        files.insert(path.clone(), bytes.clone());
        placed.push(photo(shell, name, &path));
    }
    Ok(placed)
}

/// A photo with the numbers that point into it.
fn photo(shell: &Shell, name: &str, path: &str) -> Value {
    let shows = shell
        .photos
        .iter()
        .find(|photo| photo.file == name)
        .map_or("", |photo| photo.shows.as_str());
    let numbers: Vec<Value> = shell
        .fittings
        .iter()
        .flat_map(|fitting| fitting.callouts.iter().map(move |callout| (fitting, callout)))
        .filter(|(_, callout)| callout.photo == name)
        .map(|(fitting, callout)| json!({ "number": callout.number.to_string(), "name": fitting.name, "at": callout.at }))
        .collect();
    json!({ "file": name, "path": path, "shows": shows, "numbers": numbers })
}

/// By its first bytes, as the PNG specification and JPEG (ISO/IEC 10918-1) state them.
fn picture_format(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("png")
    } else if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
        Some("jpg")
    } else {
        None
    }
}
