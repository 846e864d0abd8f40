//! What `caddis survey` writes: the paper with its maps and curves, and the worksheet.

use crate::arguments::SurveyOptions;
use crate::command::job::date;
use crate::command::{print, print_json};
use crate::failure::{DONE, Failure};
use crate::out_folder::OutFolder;
use caddis_basis::{Finding, Length};
use caddis_documents::{
    DocumentError, SurveyInput, Words, clear_sizes_plot, depth_map_plot, survey_paper, svg,
    worksheet as sheet,
};
use caddis_files::{FileError, Manifest, SurveySection, read_photos, to_json};
use caddis_survey::{ClearSize, RoomOf, Shell};
use serde_json::{Value, json};
use std::path::Path;

/// Distance of the nodes of the map.
const CELL: Length = Length::mm(2.0);
/// Distance of the heights of the curve, metres.
const HEIGHT_STEP: f64 = 0.01;

/// Writes the survey's papers into a folder.
pub(super) fn write(
    path: &Path,
    shell: &Shell,
    findings: &[Finding],
    out: &Path,
    asked: Option<&String>,
) -> Result<(), Failure> {
    let date = date(asked, None)?;
    let photos = read_photos(path, shell)?;
    let folder = OutFolder::begin(out)?;
    let maps = [RoomOf::Base, RoomOf::Closed].map(|of| shell.depth_map(of, CELL));
    let closed = shell.clear_sizes(RoomOf::Closed, &heights(shell.crown_height()));
    let base = shell.clear_sizes(RoomOf::Base, &heights(shell.rim_height()));
    let paper = survey_paper(&SurveyInput {
        shell,
        findings,
        maps: [&maps[0], &maps[1]],
        clear: [&closed, &base],
        photos: &photos,
        words: Words::english(),
        date: &date,
        version: env!("CARGO_PKG_VERSION"),
    })
    .map_err(|error| match error {
        DocumentError::Picture(_) | DocumentError::Layout(_) if !photos.is_empty() => {
            Failure::Input(FileError::content(
                path.display().to_string(),
                format!("its photos cannot be printed: {error}"),
                Some("save the photos as PNG or JPEG".to_owned()),
            ))
        }
        other => Failure::Internal(other.to_string()),
    })?;
    let survey: Value = serde_json::from_str(&to_json(&SurveySection::of(shell)).map_err(Failure::Internal)?)
        .map_err(|e| Failure::Internal(e.to_string()))?;
    let data = json!({
        "survey": survey,
        "largest_closed": closed.iter().map(clear).collect::<Vec<_>>(),
        "largest_in_base": base.iter().map(clear).collect::<Vec<_>>(),
    });
    let data = serde_json::to_string_pretty(&data).map_err(|e| Failure::Internal(e.to_string()))?;
    let files = [
        ("survey.json".to_owned(), data.into_bytes()),
        (
            "clear-depth-base.svg".to_owned(),
            svg(&depth_map_plot(Words::english(), shell, &maps[0])).into_bytes(),
        ),
        (
            "clear-depth-closed.svg".to_owned(),
            svg(&depth_map_plot(Words::english(), shell, &maps[1])).into_bytes(),
        ),
        (
            "clear-sizes.svg".to_owned(),
            svg(&clear_sizes_plot(Words::english(), shell, &closed, &base)).into_bytes(),
        ),
        (paper.name, paper.bytes),
    ];
    place(folder, &shell.name, &files)
}

/// Writes the files and the manifest, and puts the folder in its place.
pub(super) fn place(folder: OutFolder, name: &str, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    let mut manifest = Manifest::new(env!("CARGO_PKG_VERSION"), name, 0, 0);
    for (path, bytes) in files {
        folder.write(path, bytes)?;
        manifest.add(path.as_str(), bytes);
    }
    folder.write(
        "manifest.json",
        manifest.to_json().map_err(Failure::Internal)?.as_bytes(),
    )?;
    folder.place()
}

/// Writes the worksheet.
pub(super) fn worksheet(shell: Option<&Shell>, options: &SurveyOptions) -> Result<u8, Failure> {
    let path = options.worksheet.as_deref().unwrap_or(Path::new("worksheet.pdf"));
    if path.exists() {
        return Err(Failure::Use {
            problem: format!("{} is there already", path.display()),
            hint: "move it away, or give another name: `--worksheet=FILE`".to_owned(),
        });
    }
    let date = date(options.date.as_ref(), None)?;
    let document = sheet(Words::english(), shell, &date, env!("CARGO_PKG_VERSION"))
        .map_err(|e| Failure::Internal(e.to_string()))?;
    std::fs::write(path, &document.bytes).map_err(|reason| Failure::Write {
        path: path.display().to_string(),
        reason,
    })?;
    let written = path.display().to_string();
    if options.output.json {
        print_json(&json!({ "worksheet": written, "shell": shell.map(|shell| &shell.name) }))?;
    } else {
        print(&format!("worksheet: {written}"))?;
    }
    Ok(DONE)
}

/// Every step, and the room itself.
fn heights(room: Length) -> Vec<Length> {
    let count = (room.si() / HEIGHT_STEP).floor() as usize;
    (1..=count)
        .map(|k| Length::from_si(k as f64 * HEIGHT_STEP))
        .filter(|height| room.si() - height.si() > 1e-6)
        .chain([room])
        .collect()
}

fn clear(size: &ClearSize) -> Value {
    json!({
        "height_m": size.height.si(),
        "block": size.block.map(|block| json!({
            "length_m": block.length.si(),
            "width_m": block.width.si(),
            "centre_m": [block.centre.x, block.centre.y],
            "bottom_m": block.bottom.si(),
        })),
        "cylinder": size.cylinder.map(|round| json!({
            "diameter_m": round.diameter.si(),
            "axis_m": [round.centre.x, round.centre.y],
            "bottom_m": round.bottom.si(),
        })),
    })
}
