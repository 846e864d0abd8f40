//! The finished drawing: marks on paper, in millimetres, origin at the lower left, y up.

use caddis_geometry::{Contour, Region, Side, Vec2};

/// How a line is broken. Lengths follow ISO 128 in multiples of the line's width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    Continuous,
    /// Hidden edges.
    Dashed,
    /// Centre lines and cutting planes.
    LongDashDot,
    /// Adjacent parts.
    LongDashDotDot,
}

impl Dash {
    /// Dashes and gaps in turn, in widths of the line; none for an unbroken one.
    ///
    /// # Source
    /// ISO 128: dash 12 d, long dash 24 d, gap 3 d, dot half d, from memory; here half as long, the sheets being small.
    pub(crate) const fn lengths(self) -> &'static [f64] {
        match self {
            Self::Continuous => &[],
            Self::Dashed => &[6.0, 3.0],
            Self::LongDashDot => &[18.0, 3.0, 1.0, 3.0],
            Self::LongDashDotDot => &[18.0, 3.0, 1.0, 3.0, 1.0, 3.0],
        }
    }
}

/// A line's look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Width, mm.
    pub width: f64,
    /// sRGB.
    pub colour: [u8; 3],
    /// How it is broken.
    pub dash: Dash,
}

/// An area's look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fill {
    /// sRGB.
    pub colour: [u8; 3],
}

/// One step of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// A straight line to a point.
    Line(Vec2),
    /// An arc to a point; the bulge as in [`caddis_geometry::Vertex`].
    Arc(Vec2, f64),
}

/// A line or closed boundary on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// First point, mm.
    pub start: Vec2,
    /// Steps.
    pub segments: Vec<Segment>,
    /// Returns to the first point.
    pub closed: bool,
}

/// Where a text's point lies along its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// At its start.
    Start,
    /// At its middle.
    Middle,
    /// At its end.
    End,
}

/// Words on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Point on the base line, mm.
    pub at: Vec2,
    /// The words.
    pub words: String,
    /// Height of capitals, mm; never below [`Text::LEAST_HEIGHT`].
    pub height: f64,
    /// Where `at` lies along the line.
    pub anchor: Anchor,
    /// Turned counter-clockwise, degrees.
    pub turned: f64,
    /// Bold.
    pub bold: bool,
    /// sRGB.
    pub colour: [u8; 3],
}

/// One thing on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// Outlines filled together by the even-odd rule and drawn around.
    Path {
        /// The outlines.
        outlines: Vec<Outline>,
        /// The line around.
        stroke: Option<Stroke>,
        /// The inside.
        fill: Option<Fill>,
    },
    /// Words.
    Text(Text),
    /// Marks that belong together, by name.
    Group(String, Vec<Mark>),
}

/// A finished drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// What it shows.
    pub title: String,
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// Marks, painted in order.
    pub marks: Vec<Mark>,
}

/// Black.
pub(crate) const INK: [u8; 3] = [0x1a, 0x1a, 0x1a];
/// Secondary lines.
pub(crate) const GREY: [u8; 3] = [0x70, 0x70, 0x70];
/// The one warning colour; always beside a word.
pub(crate) const RED: [u8; 3] = [0xa3, 0x1d, 0x1d];
/// The one accent.
pub(crate) const BLUE: [u8; 3] = [0x1f, 0x4e, 0x79];

impl Stroke {
    /// A continuous line.
    pub const fn line(width: f64, colour: [u8; 3]) -> Self {
        Self {
            width,
            colour,
            dash: Dash::Continuous,
        }
    }

    /// The same line broken.
    #[must_use]
    pub const fn dashed(mut self, dash: Dash) -> Self {
        self.dash = dash;
        self
    }
}

impl Outline {
    /// A straight polyline.
    pub fn polyline(points: &[Vec2], closed: bool) -> Option<Self> {
        let (&start, rest) = points.split_first()?;
        Some(Self {
            start,
            segments: rest.iter().map(|&p| Segment::Line(p)).collect(),
            closed,
        })
    }

    /// A contour taken to paper by a similarity (`to_paper` keeps angles and their sense).
    pub fn contour(contour: &Contour, to_paper: impl Fn(Vec2) -> Vec2) -> Option<Self> {
        let first = contour.vertices.first()?;
        let n = contour.vertices.len();
        let segments = (0..n)
            .map(|i| {
                let to = to_paper(contour.vertices[(i + 1) % n].at);
                let bulge = contour.vertices[i].bulge;
                if bulge == 0.0 {
                    Segment::Line(to)
                } else {
                    Segment::Arc(to, bulge)
                }
            })
            .collect();
        Some(Self {
            start: to_paper(first.at),
            segments,
            closed: true,
        })
    }
}

impl Text {
    /// The least height of type on paper, mm.
    pub const LEAST_HEIGHT: f64 = 2.5;
}

impl Sheet {
    /// A blank sheet.
    pub fn blank(title: impl Into<String>, width: f64, height: f64) -> Self {
        Self {
            title: title.into(),
            width,
            height,
            marks: Vec::new(),
        }
    }

    /// Draws a polyline.
    pub(crate) fn line(&mut self, points: &[Vec2], stroke: Stroke) {
        if let Some(outline) = Outline::polyline(points, false) {
            self.marks.push(Mark::Path {
                outlines: vec![outline],
                stroke: Some(stroke),
                fill: None,
            });
        }
    }

    /// Fills a polygon, without a line around.
    pub(crate) fn solid(&mut self, points: &[Vec2], colour: [u8; 3]) {
        if let Some(outline) = Outline::polyline(points, true) {
            self.marks.push(Mark::Path {
                outlines: vec![outline],
                stroke: None,
                fill: Some(Fill { colour }),
            });
        }
    }

    /// Draws a rectangle.
    pub(crate) fn rectangle(&mut self, min: Vec2, max: Vec2, stroke: Option<Stroke>, fill: Option<Fill>) {
        let points = [min, Vec2::new(max.x, min.y), max, Vec2::new(min.x, max.y)];
        if let Some(outline) = Outline::polyline(&points, true) {
            self.marks.push(Mark::Path {
                outlines: vec![outline],
                stroke,
                fill,
            });
        }
    }

    /// Draws a circle.
    pub(crate) fn circle(&mut self, centre: Vec2, radius: f64, stroke: Option<Stroke>, fill: Option<Fill>) {
        if let Some(outline) = Outline::contour(&Contour::circle(centre, radius, true), |p| p) {
            self.marks.push(Mark::Path {
                outlines: vec![outline],
                stroke,
                fill,
            });
        }
    }

    /// Draws a region.
    pub(crate) fn region(
        &mut self,
        region: &Region,
        to_paper: impl Fn(Vec2) -> Vec2,
        stroke: Option<Stroke>,
        fill: Option<Fill>,
    ) {
        let outlines: Vec<Outline> = region
            .contours()
            .filter_map(|contour| Outline::contour(contour, &to_paper))
            .collect();
        if !outlines.is_empty() {
            self.marks.push(Mark::Path {
                outlines,
                stroke,
                fill,
            });
        }
    }

    /// Hatches a region: parallel lines at `angle` degrees, `spacing` mm apart on paper.
    pub(crate) fn hatch(
        &mut self,
        region: &Region,
        to_paper: impl Fn(Vec2) -> Vec2,
        angle: f64,
        spacing: f64,
        stroke: Stroke,
    ) {
        let rings: Vec<Vec<Vec2>> = region
            .contours()
            .map(|c| {
                c.flattened(2e-4, Side::Inner)
                    .into_iter()
                    .map(&to_paper)
                    .collect()
            })
            .collect();
        let outlines: Vec<Outline> = hatch_lines(&rings, angle.to_radians(), spacing)
            .into_iter()
            .filter_map(|(a, b)| Outline::polyline(&[a, b], false))
            .collect();
        if !outlines.is_empty() {
            self.marks.push(Mark::Path {
                outlines,
                stroke: Some(stroke),
                fill: None,
            });
        }
    }

    /// Writes words.
    pub(crate) fn text(&mut self, at: Vec2, words: impl Into<String>, height: f64, anchor: Anchor) {
        self.words(Text {
            at,
            words: words.into(),
            height,
            anchor,
            turned: 0.0,
            bold: false,
            colour: INK,
        });
    }

    /// Writes a heading, bold, from its lower left.
    pub(crate) fn heading(&mut self, at: Vec2, words: &str) {
        self.words(Text {
            at,
            words: words.to_owned(),
            height: 3.0,
            anchor: Anchor::Start,
            turned: 0.0,
            bold: true,
            colour: INK,
        });
    }

    /// Writes words, never smaller than the least height.
    pub(crate) fn words(&mut self, mut text: Text) {
        text.height = text.height.max(Text::LEAST_HEIGHT);
        self.marks.push(Mark::Text(text));
    }
}

/// Where parallel lines cross rings, by the even-odd rule. Lines lie on multiples of the spacing, so that neighbours match.
fn hatch_lines(rings: &[Vec<Vec2>], angle: f64, spacing: f64) -> Vec<(Vec2, Vec2)> {
    let turned: Vec<Vec<Vec2>> = rings
        .iter()
        .map(|r| r.iter().map(|p| p.rotated(-angle)).collect())
        .collect();
    let heights = turned.iter().flatten().map(|p| p.y);
    let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| {
        (l.min(y), h.max(y))
    });
    if !(low.is_finite() && high.is_finite() && spacing > 0.0) || (high - low) / spacing > 5000.0 {
        return Vec::new();
    }
    let mut lines = Vec::new();
    let mut k = (low / spacing).ceil();
    while k * spacing < high {
        let y = k * spacing + 1e-7;
        for (x0, x1) in crossings(&turned, y) {
            lines.push((Vec2::new(x0, y).rotated(angle), Vec2::new(x1, y).rotated(angle)));
        }
        k += 1.0;
    }
    lines
}

/// The inside stretches of the line at `y` through rings, by the even-odd rule.
pub(crate) fn crossings(rings: &[Vec<Vec2>], y: f64) -> Vec<(f64, f64)> {
    let mut xs = Vec::new();
    for ring in rings {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            if (a.y <= y) != (b.y <= y) {
                xs.push(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
            }
        }
    }
    xs.sort_by(f64::total_cmp);
    xs.chunks_exact(2)
        .map(|pair| (pair[0], pair[1]))
        .filter(|(a, b)| b > a)
        .collect()
}
