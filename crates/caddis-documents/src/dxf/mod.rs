//! A sheet as DXF: one drawing unit is one millimetre of paper, lines by role on layers, words as words.

mod cover;

use crate::sheet::{Anchor, Dash, Mark, Outline, Segment, Sheet, Stroke, Text};
use caddis_geometry::Vec2;
use caddis_shop::{DxfAlign, DxfDrawing, DxfEntity, DxfLayer, DxfLineType, DxfPaper, DxfShape};
use cover::Cover;

/// Fills darker than this (0 black, 1 white) are drawn: dots, arrow heads, bars. Paler ones are tints beside a hatch; here they
/// only cover what lies below them.
const DARK: f64 = 0.5;
/// More lines than this in one mark, each of two points, are a hatch.
const HATCH_LINES: usize = 2;

/// Writes a sheet as DXF, release 2000. `paper` is the name of its size; `comments` stand at the head of the file.
///
/// # Units
/// Paper millimetres, as the header says; the lower left corner of the paper is the origin.
///
/// # Accuracy
/// Lines and arcs as on the sheet. What a later area covers on paper is cut away, its arcs followed within 0.02 mm.
pub(crate) fn dxf(sheet: &Sheet, paper: &str, comments: Vec<String>) -> Vec<u8> {
    let mut plotter = Plotter::default();
    for mark in &sheet.marks {
        plotter.mark(mark);
    }
    let mut layers: Vec<DxfLayer> = Vec::new();
    let mut entities = Vec::new();
    for drawn in plotter.drawn {
        if !layers.iter().any(|layer| layer.name == drawn.layer.name) {
            layers.push(drawn.layer.clone());
        }
        let own = (drawn.colour != drawn.layer.colour).then_some(drawn.colour);
        entities.extend(drawn.shapes.into_iter().map(|shape| DxfEntity {
            layer: drawn.layer.name.clone(),
            colour: own,
            shape,
        }));
    }
    layers.sort_by(|one, other| one.name.cmp(&other.name));
    caddis_shop::dxf(&DxfDrawing {
        title: sheet.title.clone(),
        comments,
        layers,
        entities,
        extents: ((0.0, 0.0), (sheet.width, sheet.height)),
        paper: Some(DxfPaper {
            name: paper.to_owned(),
            width: sheet.width,
            height: sheet.height,
        }),
    })
}

/// Shapes of one mark, on one layer.
struct Drawn {
    layer: DxfLayer,
    colour: u8,
    shapes: Vec<DxfShape>,
}

#[derive(Default)]
struct Plotter {
    drawn: Vec<Drawn>,
}

impl Plotter {
    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Path {
                outlines,
                stroke,
                fill,
            } => {
                if let Some(fill) = fill {
                    self.cover(outlines);
                    if lightness(fill.colour) < DARK {
                        self.fill(outlines, fill.colour);
                    }
                }
                if let Some(stroke) = stroke {
                    self.stroke(outlines, *stroke);
                }
            }
            Mark::Text(text) => self.text(text),
            Mark::Group(_, marks) => {
                for mark in marks {
                    self.mark(mark);
                }
            }
        }
    }

    /// Cuts away what lies below a filled area. Words are never covered: sheets are made so.
    fn cover(&mut self, outlines: &[Outline]) {
        let Some(cover) = Cover::of(outlines) else { return };
        for drawn in &mut self.drawn {
            if drawn.shapes.iter().any(|shape| cover.may_cover(shape)) {
                drawn.shapes = std::mem::take(&mut drawn.shapes)
                    .into_iter()
                    .flat_map(|shape| cover.rest_of(shape))
                    .collect();
            }
        }
    }

    fn fill(&mut self, outlines: &[Outline], colour: [u8; 3]) {
        let boundaries = outlines.iter().map(|outline| corners(outline).0).collect();
        self.drawn.push(Drawn {
            layer: layer("SOLID", 7, DxfLineType::default(), Some(13)),
            colour: index_of(colour),
            shapes: vec![DxfShape::Filled { boundaries }],
        });
    }

    fn stroke(&mut self, outlines: &[Outline], stroke: Stroke) {
        let is_hatch = outlines.len() > HATCH_LINES
            && outlines
                .iter()
                .all(|outline| !outline.closed && outline.segments.len() == 1);
        let shapes = outlines
            .iter()
            .map(|outline| {
                let (vertices, is_closed) = corners(outline);
                DxfShape::Polyline { vertices, is_closed }
            })
            .collect();
        self.drawn.push(Drawn {
            layer: role(stroke, is_hatch),
            colour: index_of(stroke.colour),
            shapes,
        });
    }

    fn text(&mut self, text: &Text) {
        if text.words.is_empty() {
            return;
        }
        self.drawn.push(Drawn {
            layer: layer("TEXT", 7, DxfLineType::default(), Some(25)),
            colour: index_of(text.colour),
            shapes: vec![DxfShape::Text {
                at: (text.at.x, text.at.y),
                words: text.words.clone(),
                height: text.height,
                align: match text.anchor {
                    Anchor::Start => DxfAlign::Left,
                    Anchor::Middle => DxfAlign::Centre,
                    Anchor::End => DxfAlign::Right,
                },
                turned: text.turned,
                is_bold: text.bold,
            }],
        });
    }
}

fn layer(name: &str, colour: u8, line: DxfLineType, weight: Option<u16>) -> DxfLayer {
    DxfLayer {
        name: name.to_owned(),
        colour,
        line,
        weight,
    }
}

/// The layer of a line by what it is for: its breaks and its width say so.
///
/// # Source
/// Kinds and widths of lines: ISO 128-2, from memory, as the sheets use them; names and colours are ours.
fn role(stroke: Stroke, is_hatch: bool) -> DxfLayer {
    let hundredths = (stroke.width * 100.0).round().clamp(5.0, 211.0) as u16;
    let broken = |name: &str, words: &str| DxfLineType {
        name: format!("{name}_{hundredths}"),
        words: words.to_owned(),
        lengths: stroke.dash.lengths().iter().map(|l| l * stroke.width).collect(),
    };
    let (name, colour, line) = match stroke.dash {
        Dash::Dashed => ("HIDDEN", 2, broken("HIDDEN", "hidden edges")),
        Dash::LongDashDot => ("CENTRE", 4, broken("CENTRE", "centre lines and cutting planes")),
        Dash::LongDashDotDot => ("ADJACENT", 6, broken("ADJACENT", "adjacent parts")),
        Dash::Continuous if is_hatch => ("HATCH", 8, DxfLineType::default()),
        Dash::Continuous if stroke.width > 0.6 => ("FRAME", 7, DxfLineType::default()),
        Dash::Continuous if stroke.width > 0.42 => ("OUTLINE", 7, DxfLineType::default()),
        Dash::Continuous if stroke.width > 0.3 => ("EDGE", 3, DxfLineType::default()),
        Dash::Continuous => ("THIN", 5, DxfLineType::default()),
    };
    // A width of its own is a layer of its own, so that lines keep their width by their layer.
    layer(
        &format!("{name}_{hundredths:03}"),
        colour,
        line,
        Some(weight(hundredths)),
    )
}

/// The nearest width that the format knows.
///
/// # Source
/// Group code 370 of the published DXF reference.
fn weight(hundredths: u16) -> u16 {
    const KNOWN: [u16; 23] = [
        5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211,
    ];
    let mut nearest = KNOWN[0];
    for known in KNOWN {
        if known.abs_diff(hundredths) < nearest.abs_diff(hundredths) {
            nearest = known;
        }
    }
    nearest
}

/// Corners and bulges of an outline, and whether it is closed; the corner that closes it stands once.
fn corners(outline: &Outline) -> (Vec<(f64, f64, f64)>, bool) {
    let mut vertices = vec![(outline.start.x, outline.start.y, 0.0)];
    for segment in &outline.segments {
        let (to, bulge) = match *segment {
            Segment::Line(to) => (to, 0.0),
            Segment::Arc(to, bulge) => (to, bulge),
        };
        if let Some(last) = vertices.last_mut() {
            let from = Vec2::new(last.0, last.1);
            if from.distance(to) < 1e-6 {
                continue;
            }
            last.2 = bulge;
        }
        vertices.push((to.x, to.y, 0.0));
    }
    let ends = vertices.len() > 1
        && outline.start.distance(Vec2::new(
            vertices[vertices.len() - 1].0,
            vertices[vertices.len() - 1].1,
        )) < 1e-6;
    if outline.closed && ends {
        vertices.pop();
    }
    (vertices, outline.closed)
}

/// How light a colour is, 0 to 1: the mean of its parts, which tells inks from tints.
fn lightness(colour: [u8; 3]) -> f64 {
    colour.iter().map(|part| f64::from(*part)).sum::<f64>() / (3.0 * 255.0)
}

/// The nearest of the usual colours.
///
/// # Source
/// 1 red, 3 green, 5 blue, 7 black or white, 8 grey: the usual numbering of colours in DXF.
fn index_of([r, g, b]: [u8; 3]) -> u8 {
    let (high, low) = (r.max(g).max(b), r.min(g).min(b));
    if high - low < 0x30 {
        return if high < 0x60 { 7 } else { 8 };
    }
    if r == high {
        1
    } else if g == high {
        3
    } else {
        5
    }
}
