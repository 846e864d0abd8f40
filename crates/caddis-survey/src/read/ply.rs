//! PLY, binary or text: the `vertex` element's x, y, z and the `face` element's corner lists.

use super::{Raw, Trouble, fan};
use caddis_geometry::{Mesh, Vec3};

#[derive(Debug, Clone, Copy, PartialEq)]
enum Form {
    Text,
    Little,
    Big,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Kind {
    fn parse(word: &str) -> Option<Self> {
        Some(match word {
            "char" | "int8" => Self::I8,
            "uchar" | "uint8" => Self::U8,
            "short" | "int16" => Self::I16,
            "ushort" | "uint16" => Self::U16,
            "int" | "int32" => Self::I32,
            "uint" | "uint32" => Self::U32,
            "float" | "float32" => Self::F32,
            "double" | "float64" => Self::F64,
            _ => return None,
        })
    }

    fn size(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }
}

#[derive(Debug)]
struct Property {
    name: String,
    /// The kind of a list's count.
    list: Option<Kind>,
    kind: Kind,
}

#[derive(Debug)]
struct Element {
    name: String,
    count: usize,
    properties: Vec<Property>,
}

pub(super) fn read(bytes: &[u8]) -> Result<Raw, Trouble> {
    let (form, elements, body) = header(bytes)?;
    let mut body = Body {
        form,
        rest: body,
        line: &[],
        is_short: false,
    };
    let mut mesh = Mesh::default();
    let mut larger = 0_usize;
    let mut values: Vec<f64> = Vec::new();
    for element in &elements {
        // Each row takes at least a byte, so no count outlives the file.
        if element.count > body.rest.len() || (element.properties.is_empty() && element.count > 0) {
            return Err(Trouble::broken(format!(
                "it declares {} rows of `{}`, but {} bytes are left for them",
                element.count,
                element.name,
                body.rest.len()
            )));
        }
        let place = |name: &str| {
            element
                .properties
                .iter()
                .position(|p| p.name == name && p.list.is_none())
        };
        let is_vertex = element.name == "vertex";
        let axes = [place("x"), place("y"), place("z")];
        if is_vertex && axes.contains(&None) {
            return Err(Trouble::broken("its vertices have no x, y or z"));
        }
        for row in 0..element.count {
            body.begin_row();
            let mut position = [None; 3];
            let mut has_corners = element.name != "face";
            for (k, property) in element.properties.iter().enumerate() {
                // A text row may leave out what comes last and is not needed; a binary one cannot.
                let Some(value) = body.next(property.list.unwrap_or(property.kind)) else {
                    break;
                };
                if property.list.is_none() {
                    if let Some(axis) = axes.iter().position(|&place| place == Some(k)) {
                        position[axis] = Some(value);
                    }
                    continue;
                }
                values.clear();
                if (0.0..=body.left() as f64).contains(&value) {
                    values.extend((0..value as usize).map_while(|_| body.next(property.kind)));
                }
                if values.len() as f64 != value {
                    return Err(short(element, row));
                }
                if element.name == "face"
                    && matches!(property.name.as_str(), "vertex_indices" | "vertex_index")
                {
                    larger += usize::from(values.len() > 4);
                    face(&mut mesh, &values, row)?;
                    has_corners = true;
                }
            }
            if !has_corners || (form != Form::Text && body.is_short) {
                return Err(short(element, row));
            }
            if is_vertex {
                let [Some(x), Some(y), Some(z)] = position else {
                    return Err(short(element, row));
                };
                mesh.positions.push(Vec3::new(x, y, z));
            }
        }
        if element.name == "tristrips" && element.count > 0 {
            return Err(Trouble::with_remedy(
                "it holds triangle strips",
                "export it with single triangles",
            ));
        }
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

fn short(element: &Element, row: usize) -> Trouble {
    Trouble::broken(format!(
        "row {row} of `{}` is too short or not made of numbers",
        element.name
    ))
}

fn face(mesh: &mut Mesh, values: &[f64], row: usize) -> Result<(), Trouble> {
    let mut corners = Vec::with_capacity(values.len());
    for &value in values {
        // Held against the vertices once all are read: faces may come first.
        if value.fract() != 0.0 || !(0.0..f64::from(u32::MAX)).contains(&value) {
            return Err(Trouble::broken(format!("face {row} names vertex {value}")));
        }
        corners.push(value as u32);
    }
    fan(mesh, &corners)
}

fn header(bytes: &[u8]) -> Result<(Form, Vec<Element>, &[u8]), Trouble> {
    let mut rest = bytes.trim_ascii_start();
    let mut form = None;
    let mut elements: Vec<Element> = Vec::new();
    loop {
        let Some(end) = rest.iter().position(|&b| b == b'\n' || b == b'\r') else {
            return Err(Trouble::broken("its header has no `end_header`"));
        };
        let line = String::from_utf8_lossy(&rest[..end]).into_owned();
        let skip = if rest[end] == b'\r' && rest.get(end + 1) == Some(&b'\n') {
            2
        } else {
            1
        };
        rest = &rest[end + skip..];
        let words: Vec<&str> = line.split_ascii_whitespace().collect();
        let odd = || {
            Trouble::broken(format!(
                "its header says `{}`",
                line.chars().take(60).collect::<String>()
            ))
        };
        match words.as_slice() {
            ["format", word, ..] => {
                form = Some(match *word {
                    "ascii" => Form::Text,
                    "binary_little_endian" => Form::Little,
                    "binary_big_endian" => Form::Big,
                    _ => return Err(odd()),
                });
            }
            ["element", name, count] => elements.push(Element {
                name: (*name).to_owned(),
                count: count.parse().map_err(|_| odd())?,
                properties: Vec::new(),
            }),
            ["property", "list", counter, kind, name] => {
                let property = Property {
                    name: (*name).to_owned(),
                    list: Some(Kind::parse(counter).ok_or_else(odd)?),
                    kind: Kind::parse(kind).ok_or_else(odd)?,
                };
                elements.last_mut().ok_or_else(odd)?.properties.push(property);
            }
            ["property", kind, name] => {
                let property = Property {
                    name: (*name).to_owned(),
                    list: None,
                    kind: Kind::parse(kind).ok_or_else(odd)?,
                };
                elements.last_mut().ok_or_else(odd)?.properties.push(property);
            }
            ["end_header"] => break,
            _ => {}
        }
    }
    let form = form.ok_or_else(|| Trouble::broken("its header has no `format`"))?;
    Ok((form, elements, rest))
}

/// What is left to read after the header.
struct Body<'a> {
    form: Form,
    rest: &'a [u8],
    /// What is left of a text row.
    line: &'a [u8],
    /// A number was asked for that was not there.
    is_short: bool,
}

impl Body<'_> {
    /// Takes the next line of a text file that is not blank.
    fn begin_row(&mut self) {
        if self.form == Form::Text {
            let rest = self.rest.trim_ascii_start();
            let end = rest
                .iter()
                .position(|&b| b == b'\n' || b == b'\r')
                .unwrap_or(rest.len());
            (self.line, self.rest) = rest.split_at(end);
        }
    }

    /// Bytes left in the row (text) or the file.
    fn left(&self) -> usize {
        if self.form == Form::Text {
            self.line.len()
        } else {
            self.rest.len()
        }
    }

    fn next(&mut self, kind: Kind) -> Option<f64> {
        let number = self.number(kind);
        self.is_short |= number.is_none();
        number
    }

    fn number(&mut self, kind: Kind) -> Option<f64> {
        if self.form == Form::Text {
            let line = self.line.trim_ascii_start();
            let end = line
                .iter()
                .position(u8::is_ascii_whitespace)
                .unwrap_or(line.len());
            let (word, rest) = line.split_at(end);
            self.line = rest;
            return std::str::from_utf8(word).ok()?.parse().ok();
        }
        let (taken, rest) = self.rest.split_at_checked(kind.size())?;
        self.rest = rest;
        let mut eight = [0_u8; 8];
        eight[..taken.len()].copy_from_slice(taken);
        if self.form == Form::Big {
            eight[..taken.len()].reverse();
        }
        let [a, b, c, d, ..] = eight;
        Some(match kind {
            Kind::I8 => f64::from(i8::from_le_bytes([a])),
            Kind::U8 => f64::from(a),
            Kind::I16 => f64::from(i16::from_le_bytes([a, b])),
            Kind::U16 => f64::from(u16::from_le_bytes([a, b])),
            Kind::I32 => f64::from(i32::from_le_bytes([a, b, c, d])),
            Kind::U32 => f64::from(u32::from_le_bytes([a, b, c, d])),
            Kind::F32 => f64::from(f32::from_le_bytes([a, b, c, d])),
            Kind::F64 => f64::from_le_bytes(eight),
        })
    }
}
