//! The drawing of one foam layer as it is cut, and the list of its features.

use super::case::bounds_on_paper;
use super::dimension::{horizontal, mm, vertical, width_of};
use super::frame::{Stamp, framed};
use super::view::{HATCH, MIDDLE, NARROW, PAPER, TYPE, View, WIDE, free_place, scale_bar, scale_for};
use crate::Words;
use crate::sheet::{Anchor, Fill, GREY, INK, RED, Sheet, Stroke, Text};
use crate::words::say;
use caddis_design::{BlockKind, CutTo};
use caddis_geometry::{Contour, Region, Vec2};
use caddis_shop::LayerPart;

/// One cut-out of a layer, measured from its datum.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Feature {
    /// `T1`, `P3`.
    pub(crate) mark: String,
    /// Whether it goes through.
    pub(crate) through: bool,
    /// Depth below the cut face, metres; the stock for through cuts.
    pub(crate) depth: f64,
    /// Centre of its box from the datum, metres.
    pub(crate) centre: Vec2,
    /// Its box, metres.
    pub(crate) size: Vec2,
    /// Its smallest arc, metres; `None` for straight edges alone.
    pub(crate) radius: Option<f64>,
    /// How it stands, where that is across the layer.
    pub(crate) slant: Option<Slant>,
}

/// A cut-out whose longest edge runs along neither side of the layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slant {
    /// Direction of that edge from x towards y, 0 to 180 degrees.
    pub(crate) angle: f64,
    /// Its length along the edge and across it, metres.
    pub(crate) size: Vec2,
}

impl Feature {
    /// Too small to mark: what stepped outlines leave beside a cavity.
    pub(crate) fn is_sliver(&self) -> bool {
        self.size.x.max(self.size.y) < 4e-3
    }
}

/// The lower left corner of the outline's box, from where everything is measured.
pub(crate) fn datum(part: &LayerPart) -> Vec2 {
    part.outline.bounds().map_or(Vec2::ZERO, |b| b.min)
}

/// The features of a layer in the order they are marked.
pub(crate) fn features(part: &LayerPart) -> Vec<Feature> {
    let datum = datum(part);
    let mut list = Vec::new();
    // One feature a connected piece: pockets of one depth may come as one region.
    let mut add = |letter: char, depth: f64, regions: &mut dyn Iterator<Item = (f64, &Region)>| {
        let pieces = regions.flat_map(|(own, region)| region.shapes.iter().map(move |shape| (own, shape)));
        let boxes = pieces.filter_map(|(own, shape)| shape.outer.bounds().map(|b| (own, b, shape)));
        for (index, (own, b, shape)) in boxes.enumerate() {
            list.push(Feature {
                mark: format!("{letter}{}", index + 1),
                through: letter == 'T',
                depth: if letter == 'T' { depth } else { own },
                centre: b.centre() - datum,
                size: b.size(),
                radius: least_radius(&shape.outer),
                slant: slant(&shape.outer),
            });
        }
    };
    add(
        'T',
        part.stock.si(),
        &mut part.through.iter().map(|region| (0.0, region)),
    );
    add(
        'P',
        0.0,
        &mut part
            .pockets
            .iter()
            .map(|pocket| (pocket.depth.si(), &pocket.region)),
    );
    list
}

/// Directions this close are one, degrees.
const ALONG: f64 = 0.5;
/// An edge that says how a cut-out stands is at least so long, in shares of its box: notches part its sides.
const TELLING: f64 = 0.25;

/// How a cut-out stands, if it is across the layer; its size is that between its straight sides, without notches and reliefs.
fn slant(outer: &Contour) -> Option<Slant> {
    let following = outer.vertices.iter().cycle().skip(1);
    let edges = outer.vertices.iter().zip(following);
    let straight: Vec<(Vec2, Vec2)> = edges
        .filter(|(from, to)| from.bulge == 0.0 && from.at.distance(to.at) > 1e-4)
        .map(|(from, to)| (from.at, to.at))
        .collect();
    let longest = straight
        .iter()
        .map(|(from, to)| *to - *from)
        .max_by(|a, b| a.length().total_cmp(&b.length()))?;
    let size = outer.bounds()?.size();
    let angle = longest.y.atan2(longest.x).to_degrees().rem_euclid(180.0);
    let off = (angle / 90.0 - (angle / 90.0).round()).abs() * 90.0;
    if off < ALONG || longest.length() < TELLING * size.x.max(size.y) {
        return None;
    }
    let between = |way: Vec2| {
        let sides = straight
            .iter()
            .filter(|(from, to)| (*to - *from).unit().dot(way).abs() < ALONG.to_radians());
        let at = sides.map(|(from, to)| way.dot((*from + *to) / 2.0));
        let (low, high) = at.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v), h.max(v))
        });
        (high - low > 1e-4).then_some(high - low)
    };
    let along = longest.unit();
    Some(Slant {
        angle,
        size: Vec2::new(between(along)?, between(along.perpendicular())?),
    })
}

/// The smallest arc of a contour; arcs shorter than half a millimetre are joints of other arcs, not corners.
fn least_radius(contour: &Contour) -> Option<f64> {
    let count = contour.vertices.len();
    (0..count)
        .filter(|&i| contour.vertices[i].bulge != 0.0)
        .filter_map(|i| {
            let (from, to) = (&contour.vertices[i], &contour.vertices[(i + 1) % count]);
            let chord = from.at.distance(to.at);
            (chord > 5e-4).then(|| chord * (1.0 + from.bulge * from.bulge) / (4.0 * from.bulge.abs()))
        })
        .min_by(f64::total_cmp)
}

/// The name of a block on papers.
pub(crate) fn block_words(words: &Words, kind: BlockKind) -> String {
    match kind {
        BlockKind::Base => say!(words, "paper-base-block"),
        BlockKind::Tray(n) => say!(words, "paper-tray", number = n),
        BlockKind::LidPad => say!(words, "paper-lid-pad"),
    }
}

/// The name of a part's block on papers; the cover in the lid has one of its own.
pub(crate) fn part_words(words: &Words, part: &LayerPart) -> String {
    if part.is_cover {
        say!(words, "paper-lid-cover")
    } else {
        block_words(words, part.block)
    }
}

/// The drawing of one layer: net outline, through cuts, pockets, part mark, face up, arrow to the hinge, overall size.
///
/// # Units
/// Drawn in millimetres at the stated scale, net size.
pub fn layer_drawing(words: &Words, part: &LayerPart, stamp: &Stamp) -> Sheet {
    let size = part.outline.bounds().map_or(Vec2::new(0.1, 0.1), |b| b.size());
    let scale = scale_for(size, Vec2::new(150.0, 120.0));
    let paper = size * (1000.0 / scale);
    let title = say!(
        words,
        "draw-layer",
        part = part.id.as_str(),
        block = part_words(words, part),
        number = part.number,
        of = part.of,
    );
    let mut sheet = Sheet::blank(title, PAPER, super::frame::BLOCK + paper.y + 48.0);
    let mm = |metres: f64| mm(words, metres);
    let thickness = mm(part.stock.si());
    let thickness = match part.cut_to {
        CutTo::Bottom => say!(words, "draw-outline-bottom", thickness = thickness),
        CutTo::Middle => say!(words, "draw-outline-middle", thickness = thickness),
        CutTo::Top => say!(words, "draw-outline-top", thickness = thickness),
    };
    let face = words.told(&part.face_up_said());
    let face = if part.mirrored {
        say!(words, "draw-face-up-mirrored", face = face)
    } else {
        face
    };
    let facts = [
        (
            say!(words, "stamp-foam"),
            format!("{}: {}", part.foam, part.foam_title),
        ),
        (say!(words, "stamp-thickness"), thickness),
        (say!(words, "stamp-face-up"), face),
        (say!(words, "stamp-size"), say!(words, "draw-no-kerf")),
    ];
    let (low, high) = framed(&mut sheet, words, stamp, &facts);
    let middle = part.outline.bounds().map_or(Vec2::ZERO, |b| b.centre());
    let at = Vec2::new(f64::midpoint(low.x, high.x) + 5.0, low.y + 24.0 + paper.y / 2.0);
    let view = View::centred(scale, middle, at);

    let (part_low, part_high) = bounds_on_paper(&part.outline, view);
    let (length, width) = (mm(size.x), mm(size.y));
    let middle = (part_low + part_high) / 2.0;
    let half = |figures: &str| width_of(figures, TYPE) / 2.0 + 1.0;
    let ground = Ground {
        low,
        high,
        // The figures of both dimensions and the datum's.
        taken: vec![
            (
                Vec2::new(middle.x - half(&length), part_low.y - 8.5),
                Vec2::new(middle.x + half(&length), part_low.y - 4.0),
            ),
            (
                Vec2::new(part_low.x - 12.0, middle.y - half(&width)),
                Vec2::new(part_low.x - 7.5, middle.y + half(&width)),
            ),
            (
                part_low - Vec2::new(2.5 + 2.0 * half("0,0"), 6.0),
                part_low - Vec2::new(0.0, 2.0),
            ),
        ],
    };
    part_drawn(&mut sheet, words, part, view, ground, &mm, &mut |_| {});

    horizontal(
        &mut sheet,
        (part_low.x, part_high.x),
        (part_low.y, part_low.y),
        part_low.y - 8.0,
        &length,
    );
    vertical(
        &mut sheet,
        (part_low.y, part_high.y),
        (part_low.x, part_low.x),
        part_low.x - 8.0,
        &width,
    );
    // Datum.
    let cross = NARROW;
    sheet.line(
        &[part_low - Vec2::new(2.5, 0.0), part_low + Vec2::new(2.5, 0.0)],
        cross,
    );
    sheet.line(
        &[part_low - Vec2::new(0.0, 2.5), part_low + Vec2::new(0.0, 2.5)],
        cross,
    );
    sheet.circle(part_low, 1.2, Some(cross), None);
    sheet.text(part_low + Vec2::new(-1.5, -5.2), "0,0", TYPE, Anchor::End);

    // Hinge arrow, part mark, net mark, in the free strip above.
    let strip = high.y - 9.0;
    let x = high.x - 14.0;
    let (from, to) = if part.hinge >= 0 {
        (strip - 3.0, strip + 7.0)
    } else {
        (strip + 7.0, strip - 3.0)
    };
    sheet.line(&[Vec2::new(x, from), Vec2::new(x, to)], Stroke::line(0.7, INK));
    let foot = to + (from - to).signum() * 4.0;
    sheet.solid(
        &[
            Vec2::new(x, to),
            Vec2::new(x - 1.6, foot),
            Vec2::new(x + 1.6, foot),
        ],
        INK,
    );
    sheet.text(
        Vec2::new(x - 3.0, strip + 1.0),
        say!(words, "draw-to-hinge"),
        TYPE,
        Anchor::End,
    );
    let bold = |words: &str, at: Vec2, height: f64, colour| Text {
        at,
        words: words.to_owned(),
        height,
        anchor: Anchor::Start,
        turned: 0.0,
        bold: true,
        colour,
    };
    sheet.words(bold(part.id.as_str(), Vec2::new(low.x + 2.0, strip), 5.0, INK));
    sheet.words(bold(
        &say!(words, "draw-net"),
        Vec2::new(low.x + 30.0, strip + 0.4),
        3.5,
        INK,
    ));
    if part.mirrored {
        sheet.words(bold(
            &say!(words, "draw-mirrored"),
            Vec2::new(low.x + 42.0, strip + 1.0),
            2.5,
            RED,
        ));
    }
    // Legend and scale.
    let y = low.y + 1.5;
    scale_bar(&mut sheet, words, view, Vec2::new(low.x + 3.0, y));
    let legend = Region::rectangle(Vec2::ZERO, Vec2::new(8.0, 4.0));
    for (offset, name, both) in [
        (70.0, say!(words, "draw-through"), true),
        (108.0, say!(words, "draw-pocket"), false),
    ] {
        let place = move |p: Vec2| p + Vec2::new(low.x + offset, y);
        sheet.hatch(&legend, place, 45.0, 1.6, HATCH);
        if both {
            sheet.hatch(&legend, place, 135.0, 1.6, HATCH);
        }
        sheet.region(&legend, place, Some(NARROW), None);
        sheet.text(
            Vec2::new(low.x + offset + 10.0, y + 0.8),
            name,
            TYPE,
            Anchor::Start,
        );
    }
    sheet
}

/// Where labels may lie, and what lies there already, mm on paper.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    pub(crate) low: Vec2,
    pub(crate) high: Vec2,
    pub(crate) taken: Vec<(Vec2, Vec2)>,
}

/// Draws a part net with the marks and depths of its features; gives back how many labels found no place. `size_words` writes metres, `under_labels` draws what labels may cover.
pub(crate) fn part_drawn(
    sheet: &mut Sheet,
    words: &Words,
    part: &LayerPart,
    view: View,
    ground: Ground,
    size_words: &dyn Fn(f64) -> String,
    under_labels: &mut dyn FnMut(&mut Sheet),
) -> usize {
    sheet.region(&part.outline, view.map(), None, Some(Fill { colour: [0xf7; 3] }));
    for pocket in &part.pockets {
        sheet.region(&pocket.region, view.map(), None, Some(Fill { colour: [0xe3; 3] }));
        sheet.hatch(&pocket.region, view.map(), 45.0, 2.4, HATCH);
    }
    for region in &part.through {
        sheet.region(region, view.map(), None, Some(Fill { colour: [255; 3] }));
        sheet.hatch(region, view.map(), 45.0, 2.4, Stroke::line(0.18, GREY));
        sheet.hatch(region, view.map(), 135.0, 2.4, Stroke::line(0.18, GREY));
    }
    for pocket in &part.pockets {
        sheet.region(&pocket.region, view.map(), Some(MIDDLE), None);
    }
    for region in &part.through {
        sheet.region(region, view.map(), Some(MIDDLE), None);
    }
    sheet.region(&part.outline, view.map(), Some(WIDE), None);

    under_labels(sheet);
    // Labels: features around one centre share one label.
    let origin = datum(part);
    let mut labels: Vec<(Vec2, Vec<Feature>)> = Vec::new();
    for feature in features(part).into_iter().filter(|f| !f.is_sliver()) {
        let at = view.point(origin + feature.centre);
        match labels
            .iter_mut()
            .find(|(other, _)| (other.x - at.x).abs() < 13.0 && (other.y - at.y).abs() < 6.5)
        {
            Some((_, group)) => group.push(feature),
            None => labels.push((at, vec![feature])),
        }
    }
    let (part_low, part_high) = bounds_on_paper(&part.outline, view);
    let mut hidden = 0;
    let mut placed: Vec<(Vec2, Vec2)> = Vec::new();
    let Ground { low, high, mut taken } = ground;
    taken.extend(labels.iter().flat_map(|(_, group)| group).map(|f| {
        (
            view.point(origin + f.centre - f.size / 2.0),
            view.point(origin + f.centre + f.size / 2.0),
        )
    }));
    for (at, group) in labels {
        let (marks, depths) = label(words, &group, size_words);
        let wide = width_of(&marks, TYPE).max(width_of(&depths, TYPE)) + 1.2;
        let size = Vec2::new(wide, 7.4);
        let greatest = group.iter().fold(Vec2::ZERO, |most, f| most.max(f.size));
        let is_roomy = view.length(greatest.x) > size.x + 3.0 && view.length(greatest.y) > size.y + 2.0;
        let is_free = |corner: Vec2| {
            placed.iter().all(|(l, h): &(Vec2, Vec2)| {
                corner.x + size.x < l.x || h.x < corner.x || corner.y + size.y < l.y || h.y < corner.y
            })
        };
        let corner = if is_roomy && is_free(at - size / 2.0) {
            at - size / 2.0
        } else {
            let wide = (low + Vec2::new(1.0, 8.0), high - Vec2::new(1.0, 14.0));
            let place = free_place(at, size, (part_low, part_high), &taken)
                .or_else(|| free_place(at, size, wide, &taken));
            let Some(corner) = place else {
                hidden += 1;
                continue;
            };
            let knee = Vec2::new(
                at.x.clamp(corner.x, corner.x + size.x),
                at.y.clamp(corner.y, corner.y + size.y),
            );
            sheet.line(&[at, knee], NARROW);
            sheet.circle(at, 0.5, None, Some(Fill { colour: INK }));
            corner
        };
        placed.push((corner, corner + size));
        taken.push((corner, corner + size));
        sheet.rectangle(corner, corner + size, None, Some(Fill { colour: [255; 3] }));
        let middle = corner.x + size.x / 2.0;
        sheet.words(Text {
            at: Vec2::new(middle, corner.y + 4.3),
            words: marks,
            height: TYPE,
            anchor: Anchor::Middle,
            turned: 0.0,
            bold: true,
            colour: INK,
        });
        sheet.text(Vec2::new(middle, corner.y + 0.7), depths, TYPE, Anchor::Middle);
    }
    hidden
}

/// The two lines of a label.
fn label(words: &Words, group: &[Feature], size: &dyn Fn(f64) -> String) -> (String, String) {
    let marks = match group {
        [one] => one.mark.clone(),
        [first, second] => format!("{} {}", first.mark, second.mark),
        [first, rest @ ..] => format!("{} +{}", first.mark, rest.len()),
        [] => String::new(),
    };
    let depths = group.iter().map(|f| f.depth);
    let (least, most) = depths.fold((f64::INFINITY, 0.0_f64), |(l, m), d| (l.min(d), m.max(d)));
    let depths = if group.iter().all(|f| f.through) {
        say!(words, "draw-through")
    } else if most - least < 5e-5 {
        say!(words, "draw-deep", depth = size(most))
    } else {
        say!(words, "draw-deep-range", least = size(least), most = size(most))
    };
    (marks, depths)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use caddis_geometry::Placement2;

    #[test]
    fn what_lies_across_is_told_by_its_own_sides() {
        let half = Vec2::new(0.3, 0.02);
        // A notch beside it, and a relief at a corner.
        let pocket = Region::rectangle(-half, half)
            .union(&Region::circle(Vec2::new(0.03, 0.02), 0.014))
            .union(&Region::circle(half, 0.004));
        let turned = |degrees: f64| {
            let about = Placement2 {
                angle: degrees.to_radians(),
                shift: Vec2::new(0.1, 0.2),
            };
            slant(&pocket.placed(&about).shapes[0].outer)
        };
        for degrees in [25.0, 65.0, 155.0] {
            let found = turned(degrees).unwrap();
            assert!((found.angle - degrees).abs() < 1e-4, "{found:?}");
            assert!(found.size.distance(half * 2.0) < 1e-7, "{found:?}");
        }
        for degrees in [0.0, 90.0, 180.2] {
            assert_eq!(turned(degrees), None, "{degrees}");
        }
        assert_eq!(slant(&Contour::circle(Vec2::ZERO, 0.05, true)), None);
    }
}
