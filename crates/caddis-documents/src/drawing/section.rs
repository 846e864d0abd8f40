//! Long and cross section of the packed case.

use super::dimension::{beyond, horizontal, vertical};
use super::manner::Manner;
use super::view::{
    BAR, HATCH, MIDDLE, NARROW, TYPE, View, WIDE, balloons, leader, paled, scale_bar, scale_for, stretches,
    tint,
};
use crate::Words;
use crate::sheet::{Anchor, Fill, Sheet};
use crate::words::say;
use caddis_design::{BlockKind, Brief, Interior};
use caddis_geometry::{Contour, Prism, Region, Side, Vec2};
use caddis_survey::{HalfSide, IntrusionKind};

/// Colour of boards.
const BOARD: [u8; 3] = [0x8a, 0x8f, 0x94];

/// Notes beside a section stand so far apart, mm of paper.
const NOTE_GAP: f64 = 4.5;

/// Which section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Section {
    /// A-A: the plane y = 0, seen from the front.
    Long,
    /// B-B: a plane across, through the wheel housings where there are some, seen from the left.
    Cross,
}

/// The plane of the cross section, metres: through the first wheel housing, else through the middle.
pub(crate) fn cross_plane(brief: &Brief) -> f64 {
    brief
        .shell
        .base
        .intrusions
        .iter()
        .find(|i| i.kind == IntrusionKind::WheelHousing && !i.removed)
        .and_then(|i| {
            i.root_region(&brief.shell.base)
                .intersection(&brief.shell.base.rim_region())
                .bounds()
        })
        .map_or(0.0, |b| b.centre().x)
}

/// The cutting plane: which, and where along its axis.
#[derive(Debug, Clone, Copy)]
struct Plane {
    along_y: bool,
    at: f64,
}

impl Plane {
    fn point(self, u: f64) -> Vec2 {
        if self.along_y {
            Vec2::new(self.at, u)
        } else {
            Vec2::new(u, self.at)
        }
    }

    /// The cut of a prism: rectangles in (u, z).
    fn cut(self, prism: &Prism) -> Region {
        let parts: Vec<Region> = stretches(&prism.region, self.along_y, self.at)
            .into_iter()
            .map(|(a, b)| Region::rectangle(Vec2::new(a, prism.low), Vec2::new(b, prism.high)))
            .collect();
        Region::union_all(&parts)
    }
}

/// Spacing of the samples of the moulded profile, metres.
const SAMPLE: f64 = 5e-4;

/// Half the width of a slit that is taken to be closed, metres.
const SLIT: f64 = 0.003;

/// The room of a half in the plane.
fn room(brief: &Brief, plane: Plane, side: HalfSide) -> Region {
    let shell = &brief.shell;
    let rim_height = shell.rim_height().si();
    let Some(bounds) = shell.half(side).rim_region().bounds() else {
        return Region::empty();
    };
    let (low, high) = if plane.along_y {
        (bounds.min.y, bounds.max.y)
    } else {
        (bounds.min.x, bounds.max.x)
    };
    let steps = ((high - low) / SAMPLE).ceil().max(2.0) as u32;
    let mut points = Vec::new();
    for k in 0..=steps {
        // The first and last sample lie a hair inside the opening.
        let u = low + (high - low) * (f64::from(k) / f64::from(steps)).clamp(1e-6, 1.0 - 1e-6);
        let p = plane.point(u);
        let z = match side {
            HalfSide::Base => shell.floor_height(p),
            HalfSide::Lid => shell.crown_height_at(p),
        };
        let z = z.unwrap_or(rim_height);
        points.push(Vec2::new(
            u,
            if side == HalfSide::Base {
                z.min(rim_height)
            } else {
                z.max(rim_height)
            },
        ));
    }
    // Continued beyond the rim plane while slits too narrow for the wall (a housing that all but meets the wall) are
    // closed, then cut at the rim.
    let way = if side == HalfSide::Base { 1.0 } else { -1.0 };
    let beyond = rim_height + way * 0.05;
    points.push(Vec2::new(high, beyond));
    points.push(Vec2::new(low, beyond));
    if side == HalfSide::Lid {
        points.reverse();
    }
    let raw = Region::from_contours(&[Contour::polygon(points)]).simplified(5e-5, Side::Inner);
    let open = raw.offset(-SLIT, Side::Inner).offset(SLIT, Side::Inner);
    let (a, b) = if side == HalfSide::Base {
        (-1.0, rim_height)
    } else {
        (rim_height, rim_height + 1.0)
    };
    open.intersection(&Region::rectangle(
        Vec2::new(low - 1.0, a),
        Vec2::new(high + 1.0, b),
    ))
}

/// Draws a section of the packed case: wall with its thickness, foam by block, items in place; dimensioned.
///
/// # Units
/// Drawn in millimetres at the stated scale.
///
/// # Accuracy
/// The moulded profile is sampled every half millimetre.
pub fn section_drawing(words: &Words, brief: &Brief, interior: &Interior, section: Section) -> Sheet {
    section_in(brief, interior, section, &Manner::report(words, 120.0))
}

/// The same in a shop's manner.
pub(crate) fn section_in(brief: &Brief, interior: &Interior, section: Section, manner: &Manner) -> Sheet {
    let words = manner.words;
    let shell = &brief.shell;
    let plane = match section {
        Section::Long => Plane {
            along_y: false,
            at: 0.0,
        },
        Section::Cross => Plane {
            along_y: true,
            at: cross_plane(brief),
        },
    };
    let title = match section {
        Section::Long => say!(words, "draw-section-long"),
        Section::Cross => say!(words, "draw-section-cross", x = manner.sized(plane.at)),
    };
    let (rim, crown) = (shell.rim_height().si(), shell.crown_height().si());
    let rooms = [
        room(brief, plane, HalfSide::Base),
        room(brief, plane, HalfSide::Lid),
    ];
    let far = 10.0;
    let walls: Vec<Region> = [(&shell.base, 0, (-far, rim)), (&shell.lid, 1, (rim, far))]
        .into_iter()
        .map(|(half, index, (low, high))| {
            let grown = rooms[index].offset(half.wall.value.si(), Side::Outer);
            let part = Region::rectangle(Vec2::new(-far, low), Vec2::new(far, high));
            grown.intersection(&part).difference(&rooms[index])
        })
        .collect();
    let whole = Region::union_all(walls.iter().chain(&rooms));
    let Some(bounds) = whole.bounds() else {
        return Sheet::blank(title, manner.width, 20.0);
    };

    let (left, right) = (15.0, 30.0);
    let scale = scale_for(
        bounds.size(),
        Vec2::new(manner.width - left - right, manner.height),
    );
    let paper = bounds.size() * (1000.0 / scale);
    let lid = manner.figures(&shell.lid.depth);
    let depth = manner.figures(&shell.base.depth);
    // Where its figures do not fit within the lid's depth, they stand above it, and those of the base's depth below it.
    let top = beyond((crown - rim) * 1000.0 / scale, &lid).max(11.0) + 2.0;
    let bottom = (beyond(rim * 1000.0 / scale, &depth) + 2.0).max(13.0);
    let mut sheet = Sheet::blank(title, manner.width, paper.y + bottom + top + BAR + 2.0);
    let at = Vec2::new(
        (manner.width + left - right) / 2.0,
        BAR + 2.0 + bottom + paper.y / 2.0,
    );
    let view = View::centred(scale, bounds.centre(), at);

    let free = Region::union_all(&rooms);
    let voids: Vec<Region> = interior.voids().map(|prism| plane.cut(prism)).collect();
    let voids = Region::union_all(&voids);
    for block in &interior.blocks {
        let (angle, spacing) = match block.kind {
            BlockKind::Base => (45.0, 2.4),
            BlockKind::Tray(n) => (135.0, 2.0 + 0.4 * f64::from(n % 3)),
            BlockKind::LidPad => (60.0, 1.6),
        };
        for layer in &block.layers {
            let colour = brief.shade(block, layer).map_or([0xe0; 3], paled);
            let prism = Prism {
                region: layer.outline.clone(),
                low: layer.low,
                high: layer.high,
            };
            let foam = plane.cut(&prism).difference(&voids).intersection(&free);
            sheet.region(&foam, view.map(), None, Some(Fill { colour }));
            sheet.hatch(&foam, view.map(), angle, spacing, HATCH);
            sheet.region(&foam, view.map(), Some(NARROW), None);
        }
    }
    if let Some(board) = interior.back_board(brief) {
        let board = plane.cut(&board).intersection(&free);
        sheet.region(&board, view.map(), Some(MIDDLE), Some(Fill { colour: BOARD }));
    }
    if let Some(board) = interior.tray_board() {
        let board = plane.cut(board).intersection(&free);
        sheet.region(&board, view.map(), Some(MIDDLE), Some(Fill { colour: BOARD }));
    }
    let mut things = Vec::new();
    for place in &interior.places {
        let parts: Vec<Region> = place.body.slabs.iter().map(|slab| plane.cut(slab)).collect();
        let body = Region::union_all(&parts);
        if body.is_empty() {
            continue;
        }
        let (colour, _) = tint(place.item);
        sheet.region(&body, view.map(), Some(MIDDLE), Some(Fill { colour }));
        if let Some(b) = body.bounds() {
            things.push((view.point(b.centre()), place.number));
        }
    }
    balloons(&mut sheet, &things, &[]);
    for wall in &walls {
        sheet.region(wall, view.map(), Some(WIDE), Some(Fill { colour: [0x9a; 3] }));
    }

    // Dimensions.
    let (low, high) = (view.point(bounds.min), view.point(bounds.max));
    let base = &shell.base;
    let (opening, floor) = if plane.along_y {
        (&base.rim.width, &base.floor.width)
    } else {
        (&base.rim.length, &base.floor.length)
    };
    let centre = |o: &caddis_survey::Opening| if plane.along_y { o.centre.y } else { o.centre.x };
    let across = |value: f64, middle: f64| {
        (
            view.point(Vec2::new(middle - value / 2.0, 0.0)).x,
            view.point(Vec2::new(middle + value / 2.0, 0.0)).x,
        )
    };
    horizontal(
        &mut sheet,
        across(floor.value.si(), centre(&base.floor)),
        (low.y, low.y),
        low.y - 9.0,
        &say!(words, "draw-floor", size = manner.figures(floor)),
    );
    horizontal(
        &mut sheet,
        across(opening.value.si(), centre(&base.rim)),
        (high.y, high.y),
        high.y + 7.0,
        &say!(words, "draw-opening", size = manner.figures(opening)),
    );
    let level = |z: f64| view.point(Vec2::new(0.0, z)).y;
    vertical(
        &mut sheet,
        (level(rim), level(0.0)),
        (low.x, low.x),
        low.x - 9.0,
        &depth,
    );
    vertical(
        &mut sheet,
        (level(rim), level(crown)),
        (low.x, low.x),
        low.x - 9.0,
        &lid,
    );
    // On the right: drafts, fillet, wall; each at its own height so that no leader meets another.
    let drafts = shell.drafts(HalfSide::Base);
    let lid_drafts = shell.drafts(HalfSide::Lid);
    let side = if plane.along_y { 3 } else { 1 };
    let x_at = |z: f64| stretches(&whole, false, z).last().map_or(bounds.max.x, |s| s.1);
    let word_x = high.x + 4.0;
    let fillet = base.fillet.value.si();
    let draft = |drafts: &[caddis_basis::Angle; 4]| {
        say!(
            words,
            "draw-draft",
            angle = words.number(drafts[side].as_degrees(), 1)
        )
    };
    let notes = [
        (f64::midpoint(rim, crown), draft(&lid_drafts)),
        (
            rim * 0.85,
            say!(words, "draw-wall", size = manner.sized(base.wall.value.si())),
        ),
        (rim * 0.5, draft(&drafts)),
        (
            fillet * 0.3,
            say!(words, "draw-fillet", size = manner.sized(fillet)),
        ),
    ];
    if let Some(board) = interior.tray_board()
        && let Some(edge) = plane.cut(board).intersection(&free).bounds()
    {
        let z = edge.centre().y;
        let taken = notes.iter().map(|(z, _)| level(*z));
        let is_free = |y: &f64| taken.clone().all(|other| (other - y).abs() >= NOTE_GAP);
        let y = [0.0, 1.0, -1.0, 2.0, -2.0].map(|step| level(z) + step * NOTE_GAP);
        let y = y.into_iter().find(is_free).unwrap_or(level(z));
        let note = say!(
            words,
            "draw-tray-board",
            size = manner.sized(board.high - board.low)
        );
        let place = Vec2::new(view.point(edge.max).x - 2.0, level(z));
        leader(&mut sheet, place, Vec2::new(word_x, y), &note, Anchor::Start);
    }
    for (z, note) in notes {
        let place = Vec2::new(
            view.point(Vec2::new(x_at(z), z)).x - view.length(base.wall.value.si()) / 2.0,
            level(z),
        );
        leader(
            &mut sheet,
            place,
            Vec2::new(word_x, level(z)),
            &note,
            Anchor::Start,
        );
    }
    scale_bar(&mut sheet, words, view, Vec2::new(4.0, 1.0));
    sheet.text(
        Vec2::new(66.0, 1.0),
        say!(words, "draw-section-note", manner = manner.note()),
        TYPE,
        Anchor::Start,
    );
    sheet
}
