//! The general arrangement: plan, two sections and the lid's plan on one sheet, the open case on the next, then the lists.

use super::frame::{Title, framed, notes};
use super::isometric::isometric;
use super::paper_size;
use crate::drawing::{
    Manner, Section, TYPE, case_plan_in, cut_words, packing_plan_in, part_words, section_in, sized,
    wrapped_words,
};
use crate::sheet::{Anchor, GREY, INK, Mark, Sheet, Stroke, Text};
use crate::words::say;
use crate::{PaperInput, Words};
use caddis_design::{BlockKind, Place};
use caddis_geometry::Vec2;
use caddis_shop::Projection;

/// A picture on a sheet: its lower left corner and size, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Inset {
    pub(crate) at: Vec2,
    pub(crate) size: Vec2,
}

/// Height of title and of what a view holds beside the thing itself, mm: a section, the plan, the lid.
const AROUND: [f64; 3] = [41.0, 53.0, 25.0];
/// A picture lower than this shows nothing, mm.
const LEAST_PICTURE: f64 = 40.0;
/// Frames narrower than this get a sheet a view, mm.
const NARROW_FRAME: f64 = 350.0;

fn is_narrow(input: &PaperInput) -> bool {
    let (low, high) = paper_size::frame(input.shop.drawing.paper);
    high.x - low.x < NARROW_FRAME
}

fn has_lid(input: &PaperInput) -> bool {
    let blocks = &input.interior.blocks;
    blocks.iter().any(|block| block.kind == BlockKind::LidPad)
}

/// How many sheets the arrangement takes.
pub(crate) fn arrangement_count(input: &PaperInput) -> usize {
    if is_narrow(input) {
        3 + usize::from(has_lid(input))
    } else {
        1
    }
}

/// The arrangement on as many sheets as it takes.
pub(crate) fn arrangements(input: &PaperInput, of: usize) -> Vec<Sheet> {
    if !is_narrow(input) {
        return vec![arrangement(input, (1, of))];
    }
    let practice = &input.shop.drawing;
    let (low, high) = paper_size::frame(practice.paper);
    let room = Vec2::new(high.x - low.x - 4.0, high.y - low.y - super::frame::STRIP - 15.0);
    let words = input.words;
    let manner = |around: f64| Manner {
        words,
        width: room.x,
        height: room.y - around,
        units: practice.units,
        projection: practice.projection,
    };
    let (brief, interior) = (input.brief, input.interior);
    // A view whose figures stand outside is higher than the usual: the thing itself gets so much less.
    let fitted = |around: f64, view: &dyn Fn(&Manner) -> Sheet| {
        let first = view(&manner(around));
        let over = first.height - room.y;
        if over > 0.0 {
            view(&manner(around + over))
        } else {
            first
        }
    };
    let mut views = vec![
        fitted(AROUND[0], &|m| section_in(brief, interior, Section::Long, m)),
        fitted(AROUND[1], &|m| case_plan_in(brief, interior, m)),
        fitted(AROUND[0], &|m| section_in(brief, interior, Section::Cross, m)),
    ];
    if has_lid(input) {
        views.push(fitted(AROUND[2], &|m| packing_plan_in(brief, interior, None, m)));
    }
    views
        .iter()
        .enumerate()
        .map(|(index, view)| {
            let title = Title {
                shows: say!(words, "sheet-arrangement"),
                number: format!("{}-GA{}", brief.job, index + 1),
                scale: say!(words, "sheet-scale-stated"),
                material: brief.shell.title.clone(),
                sheet: (index + 1, of),
            };
            let (mut page, (low, high)) = framed(input, &title);
            let gap = (high.y - low.y - view.height - 5.0).max(0.0) / 2.0;
            placed(&mut page, view, low.x, high.y - gap);
            notes(&mut page, input, &[]);
            page
        })
        .collect()
}

/// The views of the arrangement.
struct Views {
    long: Sheet,
    cross: Sheet,
    plan: Sheet,
    lid: Option<Sheet>,
}

impl Views {
    /// Height of the right column with its titles, mm.
    fn beside(&self) -> f64 {
        let views = std::iter::once(&self.cross).chain(&self.lid);
        views.map(|view| view.height + 5.0).sum()
    }
}

/// Puts a view on a page below `top`, its title over it; gives back where it ends.
fn placed(page: &mut Sheet, view: &Sheet, x: f64, top: f64) -> f64 {
    let corner = Vec2::new(x, top - 4.0 - view.height);
    page.marks.push(Mark::Group(
        view.title.clone(),
        view.marks.iter().map(|mark| shifted(mark, corner)).collect(),
    ));
    page.words(Text {
        at: Vec2::new(x + view.width / 2.0, top - 3.0),
        words: cut_words(&view.title, view.width),
        height: TYPE,
        anchor: Anchor::Middle,
        turned: 0.0,
        bold: true,
        colour: INK,
    });
    corner.y
}

/// Plan, sections and lid. Plan and long section stand one over the other as the projection asks; section B-B and the lid are
/// named by their letters and words.
fn arrangement(input: &PaperInput, sheet: (usize, usize)) -> Sheet {
    let practice = &input.shop.drawing;
    let (brief, interior, words) = (input.brief, input.interior, input.words);
    let title = Title {
        shows: say!(words, "sheet-arrangement"),
        number: format!("{}-GA", brief.job),
        scale: say!(words, "sheet-scale-stated"),
        material: brief.shell.title.clone(),
        sheet,
    };
    let (mut page, (low, high)) = framed(input, &title);
    let frame_low = paper_size::frame(practice.paper).0;
    let full = high.y - frame_low.y - 4.0;
    let beside = high.y - low.y;
    let right = super::frame::TITLE;
    let left = high.x - low.x - right - 4.0;
    // The things themselves, metres: length, height of the closed case, width.
    let wall = brief.shell.base.wall.value.si() * 2.0;
    let length = brief.shell.base.rim.length.value.si() + wall;
    let tall = brief.shell.crown_height().si() + wall;
    let wide = brief.shell.base.rim.width.value.si() + wall;
    let views = |scale: f64| {
        let manner = |column: f64, thing: f64| Manner {
            words,
            width: column,
            height: thing * 1000.0 / scale + 1.0,
            units: practice.units,
            projection: practice.projection,
        };
        let lid = || packing_plan_in(brief, interior, None, &manner(right, wide));
        Views {
            long: section_in(brief, interior, Section::Long, &manner(left, tall)),
            cross: section_in(brief, interior, Section::Cross, &manner(right, tall)),
            plan: case_plan_in(brief, interior, &manner(left, wide)),
            lid: has_lid(input).then(lid),
        }
    };
    let may_fit = |n: &f64| {
        let mm = |metres: f64| metres * 1000.0 / n;
        mm(tall) + mm(wide) + AROUND[0] + AROUND[1] <= full
            && mm(tall) + mm(wide) + AROUND[0] + AROUND[2] <= beside
            && mm(length) + 46.0 <= left.min(right)
    };
    // Figures that stand outside make a view higher than the usual.
    let scales = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
    let drawn = scales.into_iter().filter(may_fit).map(views);
    let Views {
        long,
        cross,
        plan,
        lid,
    } = drawn
        .into_iter()
        .find(|views| views.long.height + views.plan.height + 10.0 <= full && views.beside() <= beside)
        .unwrap_or_else(|| views(100.0));
    let column = match practice.projection {
        Projection::FirstAngle => [&long, &plan],
        Projection::ThirdAngle => [&plan, &long],
    };
    let spare = |height: f64, views: &[&Sheet]| {
        let used: f64 = views.iter().map(|view| view.height + 5.0).sum();
        ((height - used) / (views.len() as f64 + 1.0)).max(0.0)
    };
    let gap = spare(full, &column);
    let mut top = high.y - gap;
    for view in column {
        top = placed(&mut page, view, low.x, top) - 1.0 - gap;
    }
    let others: Vec<&Sheet> = std::iter::once(&cross).chain(lid.as_ref()).collect();
    let gap = spare(beside, &others);
    let mut top = high.y - gap;
    for view in others {
        top = placed(&mut page, view, high.x - right, top) - 1.0 - gap;
    }
    page
}

/// The mark moved over the paper.
fn shifted(mark: &Mark, by: Vec2) -> Mark {
    use crate::sheet::{Outline, Segment};
    match mark {
        Mark::Path {
            outlines,
            stroke,
            fill,
        } => Mark::Path {
            outlines: outlines
                .iter()
                .map(|outline| Outline {
                    start: outline.start + by,
                    segments: outline
                        .segments
                        .iter()
                        .map(|segment| match *segment {
                            Segment::Line(to) => Segment::Line(to + by),
                            Segment::Arc(to, bulge) => Segment::Arc(to + by, bulge),
                        })
                        .collect(),
                    closed: outline.closed,
                })
                .collect(),
            stroke: *stroke,
            fill: *fill,
        },
        Mark::Text(text) => Mark::Text(Text {
            at: text.at + by,
            ..text.clone()
        }),
        Mark::Group(name, marks) => {
            Mark::Group(name.clone(), marks.iter().map(|mark| shifted(mark, by)).collect())
        }
    }
}

/// The open case in isometric view, and beside it what its balloons number.
pub(crate) fn open_view(input: &PaperInput, sheet: (usize, usize)) -> Sheet {
    let words = input.words;
    let title = Title {
        shows: say!(words, "sheet-arrangement-open"),
        number: format!("{}-GA{}", input.brief.job, sheet.0),
        scale: say!(words, "sheet-scale-stated"),
        material: input.brief.shell.title.clone(),
        sheet,
    };
    let (mut page, (low, high)) = framed(input, &title);
    let wide = (high.x - low.x) * 0.6;
    let tall = high.y - low.y - 6.0;
    let view = isometric(input, Vec2::new(wide, tall));
    placed(&mut page, &view, low.x, high.y);
    let mut places: Vec<&Place> = input.interior.places.iter().collect();
    places.sort_by_key(|place| place.number);
    let mut column = Column {
        x: low.x + wide + 4.0,
        wide: high.x - low.x - wide - 6.0,
        y: high.y - 4.0,
        floor: low.y + 6.0,
    };
    let head = [
        say!(words, "sheet-column-balloon"),
        say!(words, "sheet-column-equipment"),
        say!(words, "sheet-column-mass"),
        say!(words, "sheet-column-tier"),
    ];
    let rows = places
        .into_iter()
        .filter_map(|place| {
            let item = input.brief.items.get(place.item)?;
            Some([
                place.number.to_string(),
                item.name.clone(),
                crate::paper::mass_words(words, &item.mass),
                crate::paper::tier_words(words, place),
            ])
        })
        .collect();
    column.table(&mut page, words, [17.0, 35.0, 10.0], head, rows);
    notes(&mut page, input, &[say!(words, "sheet-hidden")]);
    page
}

/// Where the rows of a list go: a column of a page, filled from the top.
struct Column {
    x: f64,
    wide: f64,
    /// The next row.
    y: f64,
    /// The lowest row.
    floor: f64,
}

/// From row to row, and from line to line within one, mm.
const ROW: f64 = 4.6;
const LINE: f64 = 3.6;

/// The lines of a row's longest cell, the second.
fn row_lines(row: &[String; 4], width: f64) -> Vec<String> {
    wrapped_words(&row[1], width, 2)
        .iter()
        .map(|line| cut_words(line, width))
        .collect()
}

impl Column {
    /// Widths of the columns: the second takes what the others leave.
    fn widths(&self, others: [f64; 3]) -> [f64; 4] {
        let [first, third, fourth] = others;
        [first, self.wide - first - third - fourth, third, fourth]
    }

    /// How high a table is, mm.
    fn height(&self, others: [f64; 3], rows: &[[String; 4]]) -> f64 {
        let long = self.widths(others)[1] - 1.5;
        let more = |row| LINE * (row_lines(row, long).len().max(1) - 1) as f64;
        ROW * (rows.len() + 1) as f64 + rows.iter().map(more).sum::<f64>()
    }

    fn table(
        &mut self,
        page: &mut Sheet,
        words: &Words,
        others: [f64; 3],
        head: [String; 4],
        rows: Vec<[String; 4]>,
    ) {
        let widths = self.widths(others);
        let total = rows.len();
        for (index, row) in std::iter::once(head).chain(rows).enumerate() {
            let long = row_lines(&row, widths[1] - 1.5);
            let more = LINE * (long.len().max(1) - 1) as f64;
            if self.y - more < self.floor {
                page.text(
                    Vec2::new(self.x, self.y),
                    say!(words, "sheet-more-rows", count = total + 1 - index),
                    TYPE,
                    Anchor::Start,
                );
                self.y -= ROW;
                return;
            }
            let mut at = self.x;
            for (column, (cell, width)) in row.iter().zip(widths).enumerate() {
                let cell = match column {
                    _ if cell.is_empty() => Vec::new(),
                    1 => long.clone(),
                    _ => vec![cut_words(cell, width - 1.5)],
                };
                for (line, words) in cell.into_iter().enumerate() {
                    page.words(Text {
                        at: Vec2::new(at, self.y - LINE * line as f64),
                        words,
                        height: TYPE,
                        anchor: Anchor::Start,
                        turned: 0.0,
                        bold: false,
                        colour: if index == 0 { GREY } else { INK },
                    });
                }
                at += width;
            }
            self.y -= more;
            page.line(
                &[
                    Vec2::new(self.x, self.y - 1.2),
                    Vec2::new(self.x + self.wide - 2.0, self.y - 1.2),
                ],
                Stroke::line(0.13, GREY),
            );
            self.y -= ROW;
        }
        self.y -= 4.0;
    }
}

/// The lists of foam parts and bought material, and the shaded picture of foam and equipment lifted apart, which is set in
/// afterwards. A bill that does not fit below the parts stands beside them, over the picture; `None` where that leaves it no room.
pub(crate) fn lists(input: &PaperInput, sheet: (usize, usize)) -> (Sheet, Option<Inset>) {
    let (units, words) = (input.shop.drawing.units, input.words);
    let title = Title {
        shows: say!(words, "sheet-parts"),
        number: format!("{}-BOM", input.brief.job),
        scale: String::new(),
        material: String::new(),
        sheet,
    };
    let (mut page, (low, high)) = framed(input, &title);
    let wide = (high.x - low.x - 6.0) / 2.0;
    let column = |x: f64| Column {
        x,
        wide,
        y: high.y - 4.0,
        floor: low.y + 6.0,
    };
    let (mut left, mut right) = (column(low.x + 2.0), column(low.x + wide + 8.0));
    right.wide -= 2.0;
    left.table(
        &mut page,
        words,
        [13.0, 22.0, 14.0],
        [
            say!(words, "sheet-column-part"),
            say!(words, "sheet-column-foam-part"),
            say!(words, "sheet-column-thickness"),
            say!(words, "sheet-column-pieces"),
        ],
        input
            .set
            .layers
            .iter()
            .map(|part| {
                [
                    part.id.to_string(),
                    say!(
                        words,
                        "sheet-foam-part",
                        block = part_words(words, part),
                        foam = part.foam_title.as_str(),
                    ),
                    sized(words, units, part.stock.si()),
                    "1".to_owned(),
                ]
            })
            .collect(),
    );
    let others = [13.0, 32.0, 0.0];
    let bought: Vec<[String; 4]> = input
        .set
        .bill
        .lines
        .iter()
        .map(|line| {
            [
                line.position.to_string(),
                words.told(&line.description),
                format!("{} {}", words.number(line.quantity, 2), words.told(&line.unit)),
                String::new(),
            ]
        })
        .collect();
    let fits = left.y - left.height(others, &bought) >= left.floor;
    let column = if fits { &mut left } else { &mut right };
    column.table(
        &mut page,
        words,
        others,
        [
            say!(words, "sheet-column-bill"),
            say!(words, "sheet-column-material"),
            say!(words, "sheet-column-quantity"),
            String::new(),
        ],
        bought,
    );
    let size = Vec2::new(right.wide, right.y - right.floor);
    let inset = (size.y >= LEAST_PICTURE).then_some(Inset {
        at: Vec2::new(right.x, right.floor),
        size,
    });
    if inset.is_some() {
        page.text(
            Vec2::new(right.x + size.x / 2.0, low.y + 1.0),
            say!(words, "sheet-open-note"),
            TYPE,
            Anchor::Middle,
        );
    }
    notes(
        &mut page,
        input,
        &[
            say!(words, "sheet-note-sizes"),
            say!(
                words,
                "sheet-note-gross",
                mass = crate::paper::mass_words(words, &input.verification.parcel.gross_mass),
                height = words.figures(&input.verification.drop_height.to_string()),
            ),
            say!(words, "sheet-note-stock"),
        ],
    );
    (page, inset)
}
