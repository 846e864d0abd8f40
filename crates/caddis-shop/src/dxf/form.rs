//! The finished form of a DXF file, in millimetres.

/// How lines of a layer are broken: lengths of dash, gap, dash, …, mm; empty for an unbroken line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DxfLineType {
    /// Its name, `HIDDEN_25`; empty for an unbroken line.
    pub name: String,
    /// What it is for.
    pub words: String,
    /// Lengths of dashes and gaps in turn, mm.
    pub lengths: Vec<f64>,
}

/// A layer.
#[derive(Debug, Clone, PartialEq)]
pub struct DxfLayer {
    /// Name: capitals, figures, `_` and `-`.
    pub name: String,
    /// Colour index by the usual numbering: 1 red, 3 green, 5 blue, 7 black or white, 8 grey.
    pub colour: u8,
    /// Line type.
    pub line: DxfLineType,
    /// Width of its lines in hundredths of a millimetre; `None` for the reader's own.
    pub weight: Option<u16>,
}

/// Where the point of a text lies along its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DxfAlign {
    /// At its start.
    Left,
    /// At its middle.
    Centre,
    /// At its end.
    Right,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum DxfShape {
    /// A line of corners (x, y, bulge of the edge that leaves it), mm.
    Polyline {
        /// Corners.
        vertices: Vec<(f64, f64, f64)>,
        /// Whether the last edge returns to the first corner.
        is_closed: bool,
    },
    /// An area filled with the colour, its boundaries closed polylines.
    Filled {
        /// Corners of each boundary, as of a polyline.
        boundaries: Vec<Vec<(f64, f64, f64)>>,
    },
    /// Words on a base line.
    Text {
        /// The point on the base line, mm.
        at: (f64, f64),
        /// The words.
        words: String,
        /// Height of capitals, mm.
        height: f64,
        /// Where the point lies.
        align: DxfAlign,
        /// Turned counter-clockwise, degrees.
        turned: f64,
        /// Bold.
        is_bold: bool,
    },
}

/// One thing on a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct DxfEntity {
    /// Name of its layer.
    pub layer: String,
    /// A colour of its own, else the layer's.
    pub colour: Option<u8>,
    /// What it is.
    pub shape: DxfShape,
}

/// The paper a drawing is finished on.
#[derive(Debug, Clone, PartialEq)]
pub struct DxfPaper {
    /// Its name: `A3`.
    pub name: String,
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
}

/// A finished file.
#[derive(Debug, Clone, PartialEq)]
pub struct DxfDrawing {
    /// First line of the comments.
    pub title: String,
    /// Comments at the head of the file.
    pub comments: Vec<String>,
    /// Layers besides `0`.
    pub layers: Vec<DxfLayer>,
    /// Entities in drawing order.
    pub entities: Vec<DxfEntity>,
    /// Least and greatest x and y, mm.
    pub extents: ((f64, f64), (f64, f64)),
    /// The paper, where it is drawn for one.
    pub paper: Option<DxfPaper>,
}
