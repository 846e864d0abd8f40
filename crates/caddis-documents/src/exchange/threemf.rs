//! 3MF: an archive with one model of named, coloured meshes.

use super::bodies::Body;
use crate::DocumentError;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
"#;
const RELATIONS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
"#;

/// Writes the bodies, millimetres; the archive carries no clock.
pub(super) fn write(title: &str, bodies: &[Body]) -> Result<Vec<u8>, DocumentError> {
    let failed = |error: String| DocumentError::Exchange(format!("interior.3mf: {error}"));
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(zip::DateTime::default());
    let model = model(title, bodies);
    for (path, text) in [
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", RELATIONS),
        ("3D/3dmodel.model", &model),
    ] {
        archive
            .start_file(path, options)
            .map_err(|error| failed(error.to_string()))?;
        archive
            .write_all(text.as_bytes())
            .map_err(|error| failed(error.to_string()))?;
    }
    let cursor = archive.finish().map_err(|error| failed(error.to_string()))?;
    Ok(cursor.into_inner())
}

fn model(title: &str, bodies: &[Body]) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n",
    );
    let mut line = |text: std::fmt::Arguments<'_>| {
        // Writing to a string cannot fail.
        let _ = out.write_fmt(text);
        out.push('\n');
    };
    line(format_args!(
        "<metadata name=\"Title\">{}</metadata>",
        escaped(title)
    ));
    line(format_args!("<resources>\n<basematerials id=\"1\">"));
    for body in bodies {
        let [r, g, b] = body.colour;
        line(format_args!(
            "<base name=\"{}\" displaycolor=\"#{r:02X}{g:02X}{b:02X}\"/>",
            escaped(&body.name)
        ));
    }
    line(format_args!("</basematerials>"));
    for (index, body) in bodies.iter().enumerate() {
        line(format_args!(
            "<object id=\"{}\" type=\"model\" name=\"{}\" pid=\"1\" pindex=\"{index}\"><mesh><vertices>",
            index + 2,
            escaped(&body.name)
        ));
        for p in &body.mesh.positions {
            line(format_args!(
                "<vertex x=\"{}\" y=\"{}\" z=\"{}\"/>",
                number(p.x),
                number(p.y),
                number(p.z)
            ));
        }
        line(format_args!("</vertices><triangles>"));
        for [a, b, c] in &body.mesh.triangles {
            line(format_args!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>"));
        }
        line(format_args!("</triangles></mesh></object>"));
    }
    line(format_args!("</resources>\n<build>"));
    for index in 0..bodies.len() {
        line(format_args!("<item objectid=\"{}\"/>", index + 2));
    }
    line(format_args!("</build>\n</model>"));
    out
}

/// Millimetres to a hundredth of a micrometre.
fn number(metres: f64) -> f64 {
    let rounded = (metres * 1e8).round() / 1e5;
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn escaped(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_control())
        .map(|c| match c {
            '&' => "&amp;".to_owned(),
            '<' => "&lt;".to_owned(),
            '>' => "&gt;".to_owned(),
            '"' => "&quot;".to_owned(),
            c => c.to_string(),
        })
        .collect()
}
