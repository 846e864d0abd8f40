//! Models the demonstration job's shapes as closed triangle meshes and writes them as STL, 3MF and GLB.
//!
//! `cargo run --release -p caddis-files --example demo_meshes -- jobs/tindra-ridge/shapes`
//!
//! Every body is a surface spun about an axis or swept along a path, with knurls, lobes, flats and bores, closed at both
//! ends by a fan; triangles wind counter-clockwise seen from outside. Millimetres inside.

use caddis_geometry::Vec3;
use std::error::Error;
use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use std::path::Path;

/// A triangle mesh in millimetres.
#[derive(Default)]
struct Body {
    points: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
}

/// A corner of a profile: distance along the axis and radius, millimetres.
type Corner = (f64, f64);

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).ok_or("name the folder to write to")?;
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    let files = [
        ("seismometer.3mf", three_mf(&seismometer())?),
        ("gnss-antenna.glb", glb(&antenna(), "gnss antenna")?),
        ("tripod-leg.glb", glb(&tripod_leg(), "tripod leg")?),
        ("carrying-handle.stl", stl(&handle(), "carrying handle")),
        ("connector-set.stl", stl(&connectors(), "connector set")),
    ];
    for (name, bytes) in files {
        eprintln!("{name}: {} bytes", bytes.len());
        std::fs::write(folder.join(name), bytes)?;
    }
    Ok(())
}

/// A broadband seismometer: three-lobed foot flange, knurled ring, body with a connector boss, shoulder, level well.
fn seismometer() -> Body {
    let profile = [
        (3.0, 30.0),
        (0.0, 32.0),
        (0.0, 54.0),
        (2.0, 57.0),
        (14.0, 57.0),
        (16.0, 52.0),
        (18.0, 53.0),
        (30.0, 53.0),
        (32.0, 55.0),
        (62.0, 55.0),
        (68.0, 52.0),
        (72.0, 44.0),
        (73.0, 24.0),
        (80.0, 23.0),
        (82.0, 21.0),
        (82.0, 12.0),
        (75.0, 11.0),
    ];
    spun(&profile, 1.5, 240, |z, radius, angle| {
        let mut r = radius;
        if (0.0..=15.0).contains(&z) && radius > 40.0 {
            let lobe = (3.0 * angle).cos().max(0.0);
            r += 5.0 * lobe.powi(6) * (1.0 - (z / 15.5).powi(8));
        }
        if (18.5..=29.5).contains(&z) {
            r += 0.9 * (60.0 * angle).cos();
        }
        let boss = bump(turn(angle, 3.5), 0.24) * bump(z - 46.0, 12.0);
        r + 6.0 * boss
    })
}

/// A GNSS antenna: mounting bore, knurled collar, domed cover.
fn antenna() -> Body {
    let mut profile = vec![
        (16.0, 7.5),
        (0.0, 8.0),
        (0.0, 43.0),
        (2.0, 45.0),
        (20.0, 45.0),
        (22.0, 44.0),
        (24.0, 46.0),
    ];
    for step in 1..=12 {
        let t = f64::from(step) / 12.5 * PI / 2.0;
        profile.push((24.0 + 34.0 * t.sin(), 46.0 * t.cos()));
    }
    spun(&profile, 1.8, 150, |z, radius, angle| {
        if (4.0..=18.0).contains(&z) && radius > 40.0 {
            radius + 0.7 * (50.0 * angle).cos()
        } else {
            radius
        }
    })
}

/// A tripod leg, lying along x: foot, lower tube, clamp collar with its lever, upper tube, square hinge block.
fn tripod_leg() -> Body {
    let profile = [
        (0.0, 9.0),
        (6.0, 11.0),
        (8.0, 22.0),
        (16.0, 23.0),
        (20.0, 14.0),
        (24.0, 13.0),
        (268.0, 13.0),
        (272.0, 18.5),
        (314.0, 18.5),
        (318.0, 15.0),
        (510.0, 15.0),
        (516.0, 21.5),
        (544.0, 21.5),
        (548.0, 19.5),
    ];
    let mut leg = spun(&profile, 4.2, 112, |along, radius, angle| {
        let mut r = radius;
        if (276.0..=310.0).contains(&along) {
            r += 0.8 * (28.0 * angle).cos()
                + 6.5 * bump(turn(angle, PI / 2.0), 0.45) * bump(along - 293.0, 15.0);
        }
        if along >= 516.0 {
            // Square with rounded corners: flats at the profile's radius, corners held at 1.2 times it.
            let flat = 1.0 / angle.cos().abs().max(angle.sin().abs());
            r *= flat.min(1.2);
        }
        r
    });
    // The axis becomes x, what was x becomes z: a cyclic change keeps the winding.
    for p in &mut leg.points {
        *p = Vec3::new(p.z, p.x, p.y);
    }
    leg
}

/// A carrying handle: a bar bent twice, with flanged feet and a ribbed grip.
fn handle() -> Body {
    let (half, rise, bend) = (58.0, 14.0, 18.0);
    let quarter = bend * PI / 2.0;
    let flat = 2.0 * (half - bend);
    let total = 2.0 * rise + 2.0 * quarter + flat;
    let at = |s: f64| -> (Vec3, f64) {
        // Position in the x-z plane and the angle of the tangent from +z towards +x.
        if s <= rise {
            (Vec3::new(-half, 0.0, s), 0.0)
        } else if s <= rise + quarter {
            let a = (s - rise) / bend;
            (
                Vec3::new(-half + bend * (1.0 - a.cos()), 0.0, rise + bend * a.sin()),
                a,
            )
        } else if s <= rise + quarter + flat {
            (
                Vec3::new(-half + bend + s - rise - quarter, 0.0, rise + bend),
                PI / 2.0,
            )
        } else if s <= rise + 2.0 * quarter + flat {
            let a = (s - rise - quarter - flat) / bend;
            (
                Vec3::new(half - bend + bend * a.sin(), 0.0, rise + bend * a.cos()),
                PI / 2.0 + a,
            )
        } else {
            (Vec3::new(half, 0.0, total - s), PI)
        }
    };
    let rows = 118;
    let segments = 46;
    let mut body = Body::default();
    for row in 0..=rows {
        let s = total * f64::from(row) / f64::from(rows);
        let (centre, tilt) = at(s);
        let side = Vec3::new(tilt.cos(), 0.0, -tilt.sin());
        let from_end = s.min(total - s);
        let mut radius = if from_end < 4.0 {
            12.0
        } else if from_end < 6.0 {
            12.0 - 2.0 * (from_end - 4.0)
        } else {
            8.0
        };
        let from_middle = (s - total / 2.0).abs();
        if from_middle < 36.0 {
            radius = 11.0 + 0.9 * (from_middle * TAU / 6.0).cos() - 2.5 * (from_middle / 36.0).powi(6);
        }
        for segment in 0..segments {
            let angle = TAU * f64::from(segment) / f64::from(segments);
            body.points
                .push(centre + side * (radius * angle.cos()) + Vec3::new(0.0, radius * angle.sin(), 0.0));
        }
    }
    close(
        &mut body,
        rows as u32 + 1,
        segments as u32,
        at(0.0).0,
        at(total).0,
    );
    body
}

/// Three bulkhead connectors side by side, as they are strapped together: hexagonal nut, ribbed shell, blind socket.
fn connectors() -> Body {
    let profile = [
        (0.0, 7.0),
        (10.0, 7.5),
        (11.0, 13.0),
        (18.0, 13.0),
        (19.0, 10.5),
        (21.0, 12.0),
        (42.0, 12.0),
        (44.0, 11.0),
        (44.0, 8.0),
        (30.0, 7.5),
    ];
    let mut set = Body::default();
    for x in [-31.0, 0.0, 31.0] {
        let mut one = spun(&profile, 3.4, 72, |z, radius, angle| {
            if (11.0..=18.0).contains(&z) {
                let sixth = (angle + PI / 6.0).rem_euclid(PI / 3.0) - PI / 6.0;
                (radius / sixth.cos()).min(radius * 1.12)
            } else if (23.0..=41.0).contains(&z) && radius > 11.5 {
                radius + 0.7 * (18.0 * angle).cos()
            } else {
                radius
            }
        });
        for p in &mut one.points {
            p.x += x;
        }
        let base = set.points.len() as u32;
        set.points.append(&mut one.points);
        set.triangles
            .extend(one.triangles.iter().map(|t| t.map(|i| i + base)));
    }
    set
}

/// Smooth from 1 at zero to 0 at `reach`.
fn bump(distance: f64, reach: f64) -> f64 {
    let t = (distance / reach).abs();
    if t < 1.0 { (1.0 - t * t).powi(2) } else { 0.0 }
}

/// The turn from `to` to `angle`, between -π and π.
fn turn(angle: f64, to: f64) -> f64 {
    (angle - to + PI).rem_euclid(TAU) - PI
}

/// Spins a profile about z; `shape` gives the radius at a height and angle from the profile's radius. The profile runs
/// from the axis at the bottom to the axis at the top with matter on its left, and is closed by fans at its ends.
fn spun(profile: &[Corner], spacing: f64, segments: u32, shape: impl Fn(f64, f64, f64) -> f64) -> Body {
    let mut rows: Vec<Corner> = Vec::new();
    for pair in profile.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let pieces = ((b.0 - a.0).hypot(b.1 - a.1) / spacing).ceil().max(1.0);
        for piece in 0..pieces as u32 {
            let t = f64::from(piece) / pieces;
            rows.push((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t));
        }
    }
    rows.extend(profile.last().copied());
    let mut body = Body::default();
    for &(z, radius) in &rows {
        for segment in 0..segments {
            let angle = TAU * f64::from(segment) / f64::from(segments);
            let r = shape(z, radius, angle);
            body.points.push(Vec3::new(r * angle.cos(), r * angle.sin(), z));
        }
    }
    let bottom = Vec3::new(0.0, 0.0, rows.first().map_or(0.0, |row| row.0));
    let top = Vec3::new(0.0, 0.0, rows.last().map_or(0.0, |row| row.0));
    close(&mut body, rows.len() as u32, segments, bottom, top);
    body
}

/// Triangles between rows of points that run counter-clockwise seen from the end of the axis, and fans at both ends.
fn close(body: &mut Body, rows: u32, segments: u32, first: Vec3, last: Vec3) {
    for row in 0..rows - 1 {
        for segment in 0..segments {
            let next = (segment + 1) % segments;
            let (a, b) = (row * segments + segment, row * segments + next);
            let (c, d) = (a + segments, b + segments);
            body.triangles.push([a, b, d]);
            body.triangles.push([a, d, c]);
        }
    }
    let bottom = body.points.len() as u32;
    body.points.push(first);
    body.points.push(last);
    for segment in 0..segments {
        let next = (segment + 1) % segments;
        body.triangles.push([bottom, next, segment]);
        let top = (rows - 1) * segments;
        body.triangles.push([bottom + 1, top + segment, top + next]);
    }
}

/// Binary STL, millimetres.
fn stl(body: &Body, title: &str) -> Vec<u8> {
    let mut header = format!("{title}, millimetres, generated for the demonstration").into_bytes();
    header.resize(80, b' ');
    let mut out = header;
    out.extend((body.triangles.len() as u32).to_le_bytes());
    for triangle in &body.triangles {
        let [a, b, c] = triangle.map(|i| body.points[i as usize]);
        let normal = (b - a).cross(c - a).unit();
        for p in [normal, a, b, c] {
            for value in [p.x, p.y, p.z] {
                out.extend((value as f32).to_le_bytes());
            }
        }
        out.extend([0, 0]);
    }
    out
}

/// Binary glTF: metres, y up, area-weighted normals.
fn glb(body: &Body, title: &str) -> Result<Vec<u8>, Box<dyn Error>> {
    let turned = |p: Vec3, scale: f64| [(p.x * scale) as f32, (p.z * scale) as f32, (-p.y * scale) as f32];
    let mut normals = vec![Vec3::ZERO; body.points.len()];
    for triangle in &body.triangles {
        let [a, b, c] = triangle.map(|i| body.points[i as usize]);
        for &i in triangle {
            normals[i as usize] += (b - a).cross(c - a);
        }
    }
    let mut bytes: Vec<u8> = Vec::new();
    let (mut low, mut high) = ([f32::MAX; 3], [f32::MIN; 3]);
    for &p in &body.points {
        for (axis, value) in turned(p, 0.001).into_iter().enumerate() {
            low[axis] = low[axis].min(value);
            high[axis] = high[axis].max(value);
            bytes.extend(value.to_le_bytes());
        }
    }
    let positions = bytes.len();
    for normal in normals {
        for value in turned(normal.unit(), 1.0) {
            bytes.extend(value.to_le_bytes());
        }
    }
    let both = bytes.len();
    for index in body.triangles.iter().flatten() {
        bytes.extend(index.to_le_bytes());
    }
    let count = body.points.len();
    let document = serde_json::json!({
        "asset": { "version": "2.0", "generator": "caddis demo_meshes" },
        "scene": 0,
        "scenes": [{ "nodes": [0] }],
        "nodes": [{ "mesh": 0, "name": title }],
        "meshes": [{ "name": title, "primitives": [{ "attributes": { "POSITION": 0, "NORMAL": 1 }, "indices": 2 }] }],
        "buffers": [{ "byteLength": bytes.len() }],
        "bufferViews": [
            { "buffer": 0, "byteOffset": 0, "byteLength": positions, "target": 34962 },
            { "buffer": 0, "byteOffset": positions, "byteLength": both - positions, "target": 34962 },
            { "buffer": 0, "byteOffset": both, "byteLength": bytes.len() - both, "target": 34963 },
        ],
        "accessors": [
            { "bufferView": 0, "componentType": 5126, "count": count, "type": "VEC3", "min": low, "max": high },
            { "bufferView": 1, "componentType": 5126, "count": count, "type": "VEC3" },
            { "bufferView": 2, "componentType": 5125, "count": body.triangles.len() * 3, "type": "SCALAR" },
        ],
    });
    let mut json = serde_json::to_vec(&document)?;
    while json.len() % 4 != 0 {
        json.push(b' ');
    }
    let mut out = Vec::new();
    out.extend(b"glTF");
    out.extend(2u32.to_le_bytes());
    out.extend(((12 + 8 + json.len() + 8 + bytes.len()) as u32).to_le_bytes());
    out.extend((json.len() as u32).to_le_bytes());
    out.extend(b"JSON");
    out.extend(json);
    out.extend((bytes.len() as u32).to_le_bytes());
    out.extend(b"BIN\0");
    out.extend(bytes);
    Ok(out)
}

/// 3MF, millimetres.
fn three_mf(body: &Body) -> Result<Vec<u8>, Box<dyn Error>> {
    let mut model = String::from(concat!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n",
        "<model unit=\"millimeter\" xml:lang=\"en\" xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n",
        "<resources><object id=\"1\" type=\"model\"><mesh><vertices>\n",
    ));
    for p in &body.points {
        writeln!(
            model,
            "<vertex x=\"{:.4}\" y=\"{:.4}\" z=\"{:.4}\"/>",
            p.x, p.y, p.z
        )?;
    }
    model.push_str("</vertices><triangles>\n");
    for [a, b, c] in &body.triangles {
        writeln!(model, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>")?;
    }
    model.push_str(
        "</triangles></mesh></object></resources>\n<build><item objectid=\"1\"/></build>\n</model>\n",
    );
    let parts = [
        (
            "[Content_Types].xml",
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"><Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/><Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/></Types>\n",
        ),
        (
            "_rels/.rels",
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship Target=\"/3D/3dmodel.model\" Id=\"rel0\" Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>\n",
        ),
        ("3D/3dmodel.model", model.as_str()),
    ];
    // A fixed date: the same meshes give the same bytes.
    let options = zip::write::SimpleFileOptions::default().last_modified_time(zip::DateTime::default());
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive.start_file(name, options)?;
        archive.write_all(text.as_bytes())?;
    }
    Ok(archive.finish()?.into_inner())
}
