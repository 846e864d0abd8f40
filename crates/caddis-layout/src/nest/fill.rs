//! Bottom-left filling of sheets in a given order.

use super::lane::Copy;
use super::{Laid, NestedPart, Sheet, SheetPart};
use crate::Sides;
use crate::engine::{Convex, Demand, NoGo, ROUNDING, convex_parts};
use caddis_geometry::{Placement2, Region as Plan, Vec2};
use std::cmp::Ordering;
use std::sync::OnceLock;

/// Height counts so much less than length, so that sheets fill from one end.
const ACROSS: f64 = 0.15;
/// Positions that are slid into contact, per part and turn.
const SLID: usize = 60;
/// Positions looked at, per part and turn.
const STARTS: usize = 600;
/// Contact lines that are combined, each way.
const LINES: usize = 24;
/// Corners of forbidden sets per part already there.
const CORNERS: usize = 12;
/// So many are looked at to find them: each is held against every set, and outlines of many pockets have thousands of both.
const LOOKED_AT: usize = 40 * CORNERS;

/// A part at one of its turns.
#[derive(Debug)]
struct Form {
    angle: f64,
    convex: Vec<Convex>,
    min: Vec2,
    max: Vec2,
}

/// Where a second form may not lie against a first, and the contact positions that come of it.
#[derive(Debug)]
struct Pair {
    no_go: NoGo,
    corners: Vec<Vec2>,
    boxes: Vec<(Vec2, Vec2)>,
}

/// Parts and sheets, prepared.
#[derive(Debug)]
pub(super) struct Bench<'a> {
    sheets: &'a [Sheet],
    forms: Vec<Form>,
    forms_of: Vec<Vec<usize>>,
    areas: Vec<f64>,
    /// Forbidden shifts by gap, first and second form.
    table: Vec<OnceLock<Box<Pair>>>,
    /// Which gap each sheet asks, as an index into the distinct gaps.
    gap_of: Vec<usize>,
    gaps: Vec<f64>,
}

/// A sheet being filled.
#[derive(Debug, Clone)]
pub(super) struct Filled {
    pub(super) kind: usize,
    pub(super) parts: Vec<NestedPart>,
    placed: Vec<(usize, Vec2)>,
    /// Parts, with their turn, that found no place; a sheet only gets fuller.
    refused: Vec<(usize, Option<usize>)>,
}

impl Filled {
    fn new(kind: usize) -> Self {
        Self {
            kind,
            parts: Vec::new(),
            placed: Vec::new(),
            refused: Vec::new(),
        }
    }
}

/// What makes one nesting better than another: fewer left over, less cost, fewer sheets, an emptier emptiest sheet, shorter use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Key {
    left_over: f64,
    cost: f64,
    sheets: usize,
    emptiest: f64,
    length: f64,
}

impl Key {
    /// Whether nothing is left over.
    pub(super) fn places_all(&self) -> bool {
        self.left_over == 0.0
    }

    /// Whether nothing is left over and the sheets cost no more.
    pub(super) fn costs_at_most(&self, enough: f64) -> bool {
        self.places_all() && self.cost <= enough * (1.0 + 1e-12)
    }
}

impl PartialOrd for Key {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(
            self.left_over
                .total_cmp(&other.left_over)
                .then(self.cost.total_cmp(&other.cost))
                .then(self.sheets.cmp(&other.sheets))
                .then(self.emptiest.total_cmp(&other.emptiest))
                .then(self.length.total_cmp(&other.length)),
        )
    }
}

impl<'a> Bench<'a> {
    pub(super) fn new(parts: &[SheetPart], sheets: &'a [Sheet]) -> Self {
        let narrowest = parts
            .iter()
            .filter_map(|part| part.outline.bounds())
            .map(|bounds| bounds.size().x.min(bounds.size().y))
            .fold(f64::INFINITY, f64::min);
        let mut forms = Vec::new();
        let mut forms_of = Vec::with_capacity(parts.len());
        let mut areas = Vec::with_capacity(parts.len());
        for asked in parts {
            let mut own = Vec::new();
            let outline = without_narrow_holes(&asked.outline, narrowest);
            let turns: &[f64] = if asked.rotations.is_empty() {
                &[0.0]
            } else {
                &asked.rotations
            };
            for &angle in turns.iter().filter(|angle| angle.is_finite()) {
                let turned = outline.placed(&Placement2 {
                    angle,
                    shift: Vec2::ZERO,
                });
                let convex = convex_parts(&turned);
                let points = || convex.iter().flat_map(|part| part.points.iter().copied());
                let (Some(min), Some(max)) = (points().reduce(Vec2::min), points().reduce(Vec2::max)) else {
                    continue;
                };
                own.push(forms.len());
                forms.push(Form {
                    angle,
                    convex,
                    min,
                    max,
                });
            }
            areas.push(if own.is_empty() { 0.0 } else { asked.outline.area() });
            forms_of.push(own);
        }
        let mut gaps: Vec<f64> = Vec::new();
        let gap_of = sheets
            .iter()
            .map(|sheet| {
                gaps.iter().position(|gap| *gap == sheet.gap).unwrap_or_else(|| {
                    gaps.push(sheet.gap);
                    gaps.len() - 1
                })
            })
            .collect();
        let mut table = Vec::new();
        let cells = gaps.len() * forms.len() * forms.len();
        if cells <= 4_000_000 {
            table.resize_with(cells, OnceLock::new);
        }
        Self {
            sheets,
            forms,
            forms_of,
            areas,
            table,
            gap_of,
            gaps,
        }
    }

    pub(super) fn sheets(&self) -> &'a [Sheet] {
        self.sheets
    }

    pub(super) fn has_outline(&self, part: usize) -> bool {
        !self.forms_of[part].is_empty()
    }

    /// Box area at the first turn: the larger, the earlier.
    pub(super) fn size(&self, part: usize) -> f64 {
        self.forms_of[part].first().map_or(0.0, |&form| {
            let size = self.forms[form].max - self.forms[form].min;
            size.x * size.y
        })
    }

    pub(super) fn fits_somewhere(&self, part: usize) -> bool {
        (0..self.sheets.len()).any(|sheet| self.fits(part, sheet))
    }

    fn fits(&self, part: usize, sheet: usize) -> bool {
        self.forms_of[part]
            .iter()
            .any(|&form| self.span(form, sheet).is_some())
    }

    /// Least and greatest position of a form on a sheet; `None` when it does not fit.
    fn span(&self, form: usize, sheet: usize) -> Option<(Vec2, Vec2)> {
        let (form, sheet) = (&self.forms[form], &self.sheets[sheet]);
        let sound = sheet.trim >= 0.0 && sheet.gap >= 0.0 && sheet.gap.is_finite() && sheet.cost.is_finite();
        if !sound || !sheet.length.is_finite() || !sheet.width.is_finite() {
            return None;
        }
        let edge = Vec2::new(sheet.trim, sheet.trim);
        let low = edge - form.min;
        let high = Vec2::new(sheet.length, sheet.width) - edge - form.max;
        // Sizes that differ only by rounding fit.
        (low.x <= high.x + ROUNDING && low.y <= high.y + ROUNDING).then(|| (low, high.max(low)))
    }

    fn with<R>(&self, gap: usize, first: usize, second: usize, ask: impl FnOnce(&Pair) -> R) -> R {
        let count = self.forms.len();
        match self.table.get((gap * count + first) * count + second) {
            Some(cell) => ask(cell.get_or_init(|| Box::new(self.pair(gap, first, second)))),
            None => ask(&self.pair(gap, first, second)),
        }
    }

    fn pair(&self, gap: usize, first: usize, second: usize) -> Pair {
        let demand = Demand {
            first: Sides::default(),
            second: Sides::default(),
            round: self.gaps[gap],
            grows: false,
        };
        let no_go = NoGo::new(&self.forms[first].convex, &self.forms[second].convex, &demand);
        let (mut corners, mut boxes) = (Vec::new(), Vec::new());
        no_go.corners(&mut corners);
        // Corners inside another of the sets are no contacts.
        let mut corners = thinned(corners, LOOKED_AT);
        corners.retain(|corner| no_go.is_kept(*corner, ROUNDING));
        let corners = thinned(corners, CORNERS);
        no_go.part_bounds(&mut boxes);
        Pair {
            no_go,
            corners,
            boxes,
        }
    }

    /// Fills sheets in the order given, opening new ones by the order of kinds.
    pub(super) fn fill(&self, order: &[Copy], kinds: &[usize], steps: &mut u64) -> (Key, Vec<Filled>) {
        let mut open: Vec<Filled> = Vec::new();
        let mut left_over = 0.0;
        'copies: for &copy in order {
            for sheet in &mut open {
                if self.place(copy, sheet, steps) {
                    continue 'copies;
                }
            }
            for &kind in kinds {
                let used = open.iter().filter(|sheet| sheet.kind == kind).count();
                let more = self.sheets[kind].limit.is_none_or(|limit| used < limit as usize);
                if !more || !self.fits(copy.part, kind) {
                    continue;
                }
                let mut sheet = Filled::new(kind);
                if self.place(copy, &mut sheet, steps) {
                    open.push(sheet);
                    continue 'copies;
                }
            }
            left_over += self.areas[copy.part].max(1e-9);
        }
        self.cheapen(&mut open, steps);
        let emptiest = open
            .iter()
            .map(|sheet| sheet.parts.iter().map(|part| self.areas[part.part]).sum::<f64>())
            .fold(f64::INFINITY, f64::min);
        let key = Key {
            left_over,
            cost: open.iter().map(|sheet| self.sheets[sheet.kind].cost).sum(),
            sheets: open.len(),
            emptiest: if open.len() > 1 { emptiest } else { 0.0 },
            length: open.iter().map(|sheet| self.used_length(sheet)).sum(),
        };
        (key, open)
    }

    fn used_length(&self, sheet: &Filled) -> f64 {
        sheet
            .placed
            .iter()
            .map(|&(form, at)| at.x + self.forms[form].max.x)
            .fold(0.0, f64::max)
    }

    /// Puts the parts of a sheet on a cheaper kind where one holds them all.
    fn cheapen(&self, open: &mut [Filled], steps: &mut u64) {
        for index in (0..open.len()).rev() {
            let now = open[index].kind;
            let mut cheaper: Vec<usize> = (0..self.sheets.len())
                .filter(|&kind| {
                    self.sheets[kind].is_plain() && self.sheets[kind].cost < self.sheets[now].cost
                })
                .collect();
            cheaper.sort_by(|&a, &b| {
                self.sheets[a]
                    .cost
                    .total_cmp(&self.sheets[b].cost)
                    .then(a.cmp(&b))
            });
            for kind in cheaper {
                let used = open.iter().filter(|sheet| sheet.kind == kind).count();
                if self.sheets[kind]
                    .limit
                    .is_some_and(|limit| used >= limit as usize)
                {
                    continue;
                }
                let mut sheet = Filled::new(kind);
                let all = open[index].parts.iter().all(|part| {
                    self.place(
                        Copy {
                            part: part.part,
                            number: part.copy,
                            turn: None,
                        },
                        &mut sheet,
                        steps,
                    )
                });
                if all {
                    open[index] = sheet;
                    break;
                }
            }
        }
    }

    /// What lies about on plain sheets laid from one end, where it takes less of their length so: what is left is one piece.
    pub(super) fn drawn_together(&self, laid: Vec<Laid>) -> Vec<Laid> {
        laid.into_iter()
            .map(|(kind, parts)| {
                if !self.sheets[kind].is_plain() {
                    return (kind, parts);
                }
                let mut order: Vec<Copy> = parts
                    .iter()
                    .map(|part| Copy {
                        part: part.part,
                        number: part.copy,
                        turn: None,
                    })
                    .collect();
                order.sort_by(|a, b| self.size(b.part).total_cmp(&self.size(a.part)).then(a.cmp(b)));
                let mut sheet = Filled::new(kind);
                let all = order.iter().all(|&copy| self.place(copy, &mut sheet, &mut 0));
                if all && self.used_length(&sheet) < self.reach(&parts) {
                    (kind, sheet.parts)
                } else {
                    (kind, parts)
                }
            })
            .collect()
    }

    /// Length in use, from 0 to the farthest of the parts.
    fn reach(&self, parts: &[NestedPart]) -> f64 {
        let form_of = |part: &NestedPart| {
            let forms = self.forms_of[part.part].iter().map(|&form| &self.forms[form]);
            forms.min_by(|a, b| {
                let off = |form: &Form| 1.0 - (form.angle - part.placement.angle).cos();
                off(a).total_cmp(&off(b))
            })
        };
        parts
            .iter()
            .filter_map(|part| Some(part.placement.shift.x + form_of(part)?.max.x))
            .fold(0.0, f64::max)
    }

    /// Places a copy at the position nearest the sheet's start; false when there is none.
    fn place(&self, copy: Copy, sheet: &mut Filled, steps: &mut u64) -> bool {
        if sheet.refused.contains(&(copy.part, copy.turn)) {
            return false;
        }
        let mut best: Option<(f64, usize, Vec2)> = None;
        let own = &self.forms_of[copy.part];
        let turns = copy.turn.map_or(own.as_slice(), |turn| {
            std::slice::from_ref(&own[turn % own.len()])
        });
        for &form in turns {
            let Some((low, high)) = self.span(form, sheet.kind) else {
                continue;
            };
            let score = |at: Vec2| at.x + self.forms[form].max.x + ACROSS * (at.y + self.forms[form].max.y);
            let (mut starts, far) = self.starts(form, sheet, low, high);
            starts.sort_by(|a, b| score(*a).total_cmp(&score(*b)));
            let stride = starts.len().div_ceil(STARTS).max(1);
            let mut slid = 0;
            let near = starts.into_iter().step_by(stride).map(|at| (at, false));
            for (at, is_far) in near.chain(far.into_iter().map(|at| (at, true))) {
                // Starts come in rising order, and sliding only lowers them a little: enough have been tried once
                // they lie well beyond the best. Far starts slide in from the open end.
                if !is_far && (slid >= SLID || best.is_some_and(|found| score(at) > found.0 + 0.05)) {
                    continue;
                }
                *steps += 1;
                if !self.is_free(form, at, sheet) {
                    continue;
                }
                slid += 1;
                let at = self.slide(form, at, sheet, low);
                if best.is_none_or(|found| score(at) < found.0 - 1e-12) && self.is_free(form, at, sheet) {
                    best = Some((score(at), form, at));
                }
            }
        }
        let Some((_, form, at)) = best else {
            sheet.refused.push((copy.part, copy.turn));
            return false;
        };
        sheet.placed.push((form, at));
        sheet.parts.push(NestedPart {
            part: copy.part,
            copy: copy.number,
            placement: Placement2 {
                angle: self.forms[form].angle,
                shift: at,
            },
        });
        true
    }

    /// Contact positions (the sheet's corner, corners of the forbidden sets, lines of their boxes combined), and
    /// positions at the open end to slide in from.
    fn starts(&self, form: usize, sheet: &Filled, low: Vec2, high: Vec2) -> (Vec<Vec2>, Vec<Vec2>) {
        let gap = self.gap_of[sheet.kind];
        let mut starts = vec![low];
        let (mut xs, mut ys) = (vec![low.x], vec![low.y]);
        for &(other, at) in &sheet.placed {
            self.with(gap, other, form, |pair| {
                starts.extend(pair.corners.iter().map(|corner| at + *corner));
                xs.extend(pair.boxes.iter().map(|reach| at.x + reach.1.x));
                ys.extend(pair.boxes.iter().map(|reach| at.y + reach.1.y));
            });
        }
        for (lines, from, to) in [(&mut xs, low.x, high.x), (&mut ys, low.y, high.y)] {
            lines.retain(|v| *v >= from - ROUNDING && *v <= to + ROUNDING);
            lines.sort_by(f64::total_cmp);
            lines.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
            *lines = thinned(std::mem::take(lines), LINES);
        }
        for &x in &xs {
            starts.extend(ys.iter().map(|&y| Vec2::new(x, y)));
        }
        starts.retain(|at| {
            at.x >= low.x - ROUNDING
                && at.y >= low.y - ROUNDING
                && at.x <= high.x + ROUNDING
                && at.y <= high.y + ROUNDING
        });
        for at in &mut starts {
            *at = at.max(low).min(high);
        }
        let mut far: Vec<Vec2> = ys.iter().map(|&y| Vec2::new(high.x, y)).collect();
        far.extend([high, Vec2::new(low.x, high.y)]);
        (starts, far)
    }

    fn is_free(&self, form: usize, at: Vec2, sheet: &Filled) -> bool {
        let gap = self.gap_of[sheet.kind];
        sheet
            .placed
            .iter()
            .all(|&(other, its)| self.with(gap, other, form, |pair| pair.no_go.is_kept(at - its, ROUNDING)))
    }

    /// Slides down and back along the sheet until it touches.
    fn slide(&self, form: usize, mut at: Vec2, sheet: &Filled, low: Vec2) -> Vec2 {
        let gap = self.gap_of[sheet.kind];
        for _ in 0..3 {
            let before = at;
            for (way, room) in [
                (Vec2::new(-1.0, 0.0), at.x - low.x),
                (Vec2::new(0.0, -1.0), at.y - low.y),
            ] {
                let run = sheet
                    .placed
                    .iter()
                    .map(|&(other, its)| {
                        self.with(gap, other, form, |pair| pair.no_go.free_run(at - its, way))
                    })
                    .fold(room.max(0.0), f64::min);
                at += way * run;
            }
            if at.distance(before) < 1e-7 {
                break;
            }
        }
        at
    }
}

/// One of every few, at most `most` of them.
fn thinned<T>(all: Vec<T>, most: usize) -> Vec<T> {
    let stride = all.len().div_ceil(most).max(1);
    all.into_iter().step_by(stride).collect()
}

/// The outline without the holes that are too narrow for the narrowest part: nothing could be nested in them.
fn without_narrow_holes(outline: &Plan, narrowest: f64) -> Plan {
    let mut plain = outline.clone();
    for shape in &mut plain.shapes {
        shape.holes.retain(|hole| {
            hole.bounds()
                .is_some_and(|bounds| bounds.size().x.min(bounds.size().y) > 0.7 * narrowest)
        });
    }
    plain
}
