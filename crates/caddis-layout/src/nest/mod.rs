//! Flat nesting: foam parts on rectangular sheets, true shape, never turned over.

mod fill;

use crate::SearchOptions;
use crate::pack::{SheetQuestion, pack_sheets};
use crate::random::Random;
use caddis_basis::{Flow, Progress};
use caddis_geometry::{Bounds2, Placement2, Region as Plan, Vec2};
use fill::{Bench, Filled, Key};

/// A flat part to be cut so many times.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPart {
    /// For messages.
    pub name: String,
    /// Outline in the part's own frame, holes included.
    pub outline: Plan,
    /// Copies wanted.
    pub quantity: u32,
    /// Turns it may be cut at, radians counter-clockwise; empty means as it is. Grain is a matter of turns.
    pub rotations: Vec<f64>,
    /// Least quality of what it may lie on: defects below it are kept clear of; at least 1.
    pub quality: u32,
}

/// A place on a sheet that is not as good as the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Defect {
    /// Outline on the sheet.
    pub outline: Plan,
    /// Parts that ask for no more may lie on it; 0 is a hole, on which nothing may lie.
    pub quality: u32,
}

/// A kind of stock sheet or an offcut; its corner is at the origin, its length along x, its width along y.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// For messages.
    pub name: String,
    /// Metres along x.
    pub length: f64,
    /// Metres along y.
    pub width: f64,
    /// Edge that is not used, metres.
    pub trim: f64,
    /// Least distance between two parts, metres.
    pub gap: f64,
    /// How many there are; `None` for as many as needed.
    pub limit: Option<u32>,
    /// What one costs, in any one unit; the sum over the sheets used is kept low.
    pub cost: f64,
    /// What there is of it where it is no whole rectangle (an offcut, a hide), within its length and width.
    pub outline: Option<Plan>,
    /// Holes and places of less quality.
    pub defects: Vec<Defect>,
}

impl Sheet {
    /// Area there is to place parts on, before trim; places of less quality count.
    pub fn area(&self) -> f64 {
        let whole = self.outline.as_ref().map_or(self.length * self.width, Plan::area);
        let holes = self.defects.iter().filter(|defect| defect.quality == 0);
        whole - holes.map(|hole| hole.outline.area()).sum::<f64>()
    }

    fn is_plain(&self) -> bool {
        self.outline.is_none() && self.defects.is_empty()
    }
}

/// A sheet (an index into the sheets given) and what lies on it.
pub(crate) type Laid = (usize, Vec<NestedPart>);

/// One copy of a part on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NestedPart {
    /// Index into the parts.
    pub part: usize,
    /// Which copy, from 0.
    pub copy: u32,
    /// From the part's own frame to the sheet.
    pub placement: Placement2,
}

/// One sheet and what is cut from it.
#[derive(Debug, Clone, PartialEq)]
pub struct NestedSheet {
    /// Index into the sheets given.
    pub sheet: usize,
    /// Parts in the order they were placed.
    pub parts: Vec<NestedPart>,
    /// Area of the parts over the area of the sheet.
    pub yield_share: f64,
    /// Length of the sheet in use, from x = 0 to the farthest part, metres.
    pub used_length: f64,
}

/// Why copies of a part are not nested.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnplacedReason {
    /// No sheet holds even one, whatever the turn.
    TooLarge,
    /// The sheets are used up.
    NoSheetLeft,
    /// The outline is empty or not finite.
    NoOutline,
    /// More copies than one nesting takes (2000 in all).
    TooMany,
}

/// Copies that found no place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unplaced {
    /// Index into the parts.
    pub part: usize,
    /// How many.
    pub copies: u32,
    /// Why.
    pub reason: UnplacedReason,
}

/// Parts on sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct Nesting {
    /// Sheets used, in order.
    pub sheets: Vec<NestedSheet>,
    /// What is left over.
    pub unplaced: Vec<Unplaced>,
    /// Area of all nested parts over the area of all sheets used; 0 without sheets.
    pub yield_share: f64,
    /// Sum of the sheets' costs.
    pub cost: f64,
    /// Positions evaluated.
    pub steps: u64,
}

/// Copies one nesting takes.
const MOST_COPIES: usize = 2000;
/// Lanes, rounds and fruitless tries of the re-ordering; fixed, so that workers never change the result.
const LANES: usize = 4;
const ROUNDS: u64 = 8;
const FRUITLESS: usize = 60;
/// Lanes that start with all parts turned one way: as drawn, and by a quarter.
const ALIKE: usize = 2;

/// One copy to place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Copy {
    part: usize,
    number: u32,
    /// The only turn to try, if the search wants one.
    turn: Option<usize>,
}

#[derive(Debug, Clone)]
struct Lane {
    random: Random,
    order: Vec<Copy>,
    types: Vec<usize>,
    best: Option<(Key, Vec<Filled>)>,
    steps: u64,
    fruitless: usize,
}

/// Nests the parts on as cheap a set of sheets as it finds: bottom left with contact positions, then other orders
/// within the step budget (positions evaluated). Stops early when asked to, with the best so far.
///
/// Outlines are held by convex parts that never fall short of them; distances are measured along edge normals and so
/// never more than true, and every pair is measured again with geometry's own distances at the end. The same input
/// gives the same nesting whatever the number of workers.
pub fn nest(
    parts: &[SheetPart],
    sheets: &[Sheet],
    options: &SearchOptions,
    progress: &dyn Progress,
) -> Nesting {
    nest_to(parts, sheets, f64::NEG_INFINITY, options, progress)
}

/// As [`nest`], but content with the first plain filling that leaves nothing over and costs no more than `enough`:
/// for whoever asks for the price of the sheets alone and knows what they cost at least.
pub fn nest_to(
    parts: &[SheetPart],
    sheets: &[Sheet],
    enough: f64,
    options: &SearchOptions,
    progress: &dyn Progress,
) -> Nesting {
    nest_on(&Bench::new(parts, sheets), parts, enough, options, progress)
}

/// Parts and sheets prepared for several nestings that differ in nothing but how many copies are wanted: where two outlines may
/// lie against each other is found once for all of them.
#[derive(Debug)]
pub struct PreparedNesting<'a> {
    bench: Bench<'a>,
    parts: Vec<SheetPart>,
}

impl<'a> PreparedNesting<'a> {
    /// Prepares them.
    pub fn new(parts: Vec<SheetPart>, sheets: &'a [Sheet]) -> Self {
        Self {
            bench: Bench::new(&parts, sheets),
            parts,
        }
    }

    /// As [`nest_to`], with so many copies of every part.
    pub fn nest_copies(
        &mut self,
        copies: u32,
        enough: f64,
        options: &SearchOptions,
        progress: &dyn Progress,
    ) -> Nesting {
        for part in &mut self.parts {
            part.quantity = copies;
        }
        nest_on(&self.bench, &self.parts, enough, options, progress)
    }
}

fn nest_on(
    bench: &Bench,
    parts: &[SheetPart],
    enough: f64,
    options: &SearchOptions,
    progress: &dyn Progress,
) -> Nesting {
    let sheets = bench.sheets();
    let mut unplaced = Vec::new();
    let mut copies: Vec<Copy> = Vec::new();
    for (part, asked) in parts.iter().enumerate() {
        if asked.quantity == 0 {
            continue;
        }
        let reason = if !bench.has_outline(part) {
            Some(UnplacedReason::NoOutline)
        } else if !bench.fits_somewhere(part) {
            Some(UnplacedReason::TooLarge)
        } else {
            None
        };
        if let Some(reason) = reason {
            unplaced.push(Unplaced {
                part,
                copies: asked.quantity,
                reason,
            });
            continue;
        }
        let taken = asked.quantity.min((MOST_COPIES - copies.len()) as u32);
        if taken < asked.quantity {
            let copies = asked.quantity - taken;
            unplaced.push(Unplaced {
                part,
                copies,
                reason: UnplacedReason::TooMany,
            });
        }
        copies.extend((0..taken).map(|number| Copy {
            part,
            number,
            turn: None,
        }));
    }
    copies.sort_by(|a, b| bench.size(b.part).total_cmp(&bench.size(a.part)).then(a.cmp(b)));
    let wanted: Vec<(usize, u32)> = copies.iter().map(|copy| (copy.part, copy.number)).collect();
    let question = SheetQuestion {
        parts,
        sheets,
        copies: &wanted,
        options,
        progress,
    };
    let (laid, steps) = if sheets.iter().all(Sheet::is_plain) {
        let lanes = reorder(bench, &copies, sheets, enough, options, progress);
        let steps: u64 = lanes.iter().map(|lane| lane.steps).sum();
        let best = lanes
            .into_iter()
            .filter_map(|lane| lane.best)
            .reduce(|a, b| if b.0 < a.0 { b } else { a });
        let is_enough = best.as_ref().is_none_or(|best| best.0.costs_at_most(enough));
        let filled = best.map_or_else(Vec::new, |best| best.1);
        let laid: Vec<Laid> = filled
            .into_iter()
            .map(|sheet| (sheet.kind, sheet.parts))
            .collect();
        if is_enough {
            (laid, steps)
        } else {
            let (laid, more) = pack_sheets(&question, Some(laid));
            (laid, steps + more)
        }
    } else {
        pack_sheets(&question, None)
    };
    finished(parts, sheets, laid, &copies, unplaced, steps)
}

fn reorder(
    bench: &Bench,
    copies: &[Copy],
    sheets: &[Sheet],
    enough: f64,
    options: &SearchOptions,
    progress: &dyn Progress,
) -> Vec<Lane> {
    let mut types: Vec<usize> = (0..sheets.len()).collect();
    types.sort_by(|&a, &b| {
        let price = |sheet: &Sheet| sheet.cost / sheet.area();
        price(&sheets[a]).total_cmp(&price(&sheets[b])).then(a.cmp(&b))
    });
    let mut lanes: Vec<Lane> = (0..LANES)
        .map(|lane| Lane {
            random: Random::new(options.seed, 100 + lane as u64),
            order: copies.to_vec(),
            types: types.clone(),
            best: None,
            steps: 0,
            fruitless: 0,
        })
        .collect();
    if copies.is_empty() {
        return lanes;
    }
    if enough > 0.0 {
        // The first tries: by size, and by size with everything turned one way.
        let is_enough = |best: &(Key, Vec<Filled>)| best.0.costs_at_most(enough);
        for index in 0..LANES.min(1 + ALIKE) {
            lanes[index].run(bench, 0, index);
            if lanes[index].best.as_ref().is_some_and(is_enough) {
                return lanes;
            }
        }
    }
    let share = options.steps / LANES as u64 / ROUNDS;
    for round in 0..ROUNDS {
        let workers = options.workers.clamp(1, LANES);
        let group = LANES.div_ceil(workers);
        let end = share * (round + 1);
        if workers == 1 {
            for (index, lane) in lanes.iter_mut().enumerate() {
                lane.run(bench, end, index);
            }
        } else {
            std::thread::scope(|scope| {
                for (first, lanes) in lanes.chunks_mut(group).enumerate() {
                    scope.spawn(move || {
                        for (index, lane) in lanes.iter_mut().enumerate() {
                            lane.run(bench, end, first * group + index);
                        }
                    });
                }
            });
        }
        let least = lanes
            .iter()
            .filter_map(|lane| lane.best.as_ref())
            .map(|best| best.1.len())
            .min()
            .unwrap_or(0);
        let words = format!("{least} sheets");
        let fraction = (round + 1) as f64 / ROUNDS as f64;
        if progress.report("nest", fraction, Some(&words)) == Flow::Stop {
            break;
        }
        if lanes.iter().all(|lane| lane.fruitless >= FRUITLESS) {
            break;
        }
    }
    lanes
}

impl Lane {
    /// Tries other orders until so many steps are used; the first try is strictly by size, of the next lanes with all parts turned one
    /// way, as a person lays equal plates.
    fn run(&mut self, bench: &Bench, end: u64, index: usize) {
        loop {
            let is_first = self.best.is_none() && index <= ALIKE;
            if !is_first && (self.steps >= end || self.fruitless >= FRUITLESS) {
                return;
            }
            let mut order = self.order.clone();
            let mut types = self.types.clone();
            if is_first {
                for copy in &mut order {
                    copy.turn = index.checked_sub(1);
                }
            } else {
                self.disturb(&mut order, &mut types);
            }
            let (key, filled) = bench.fill(&order, &types, &mut self.steps);
            let accepted = self.best.as_ref().is_none_or(|best| key <= best.0);
            let better = self.best.as_ref().is_none_or(|best| key < best.0);
            if accepted {
                (self.order, self.types) = (order, types);
                self.best = Some((key, filled));
            }
            self.fruitless = if better { 0 } else { self.fruitless + 1 };
        }
    }

    fn disturb(&mut self, order: &mut Vec<Copy>, types: &mut [usize]) {
        let turned = self.random.unit();
        if turned < 0.4 {
            // One copy, or all of its part, at one turn only, or free again.
            let at = self.random.below(order.len());
            let (part, all) = (order[at].part, self.random.unit() < 0.6);
            let turn = (self.random.unit() < 0.8).then(|| self.random.below(4));
            for (index, copy) in order.iter_mut().enumerate() {
                if index == at || (all && copy.part == part) {
                    copy.turn = turn;
                }
            }
        }
        for _ in 0..=self.random.below(3) {
            if turned < 0.25 {
                break;
            }
            let from = self.random.below(order.len());
            let to = self.random.below(order.len());
            if self.random.unit() < 0.5 {
                order.swap(from, to);
            } else {
                let copy = order.remove(from);
                order.insert(to, copy);
            }
        }
        if types.len() > 1 && self.random.unit() < 0.2 {
            let a = self.random.below(types.len());
            let b = self.random.below(types.len());
            types.swap(a, b);
        }
    }
}

/// Measures every pair once more and counts what is left over.
fn finished(
    parts: &[SheetPart],
    sheets: &[Sheet],
    laid: Vec<Laid>,
    copies: &[Copy],
    mut unplaced: Vec<Unplaced>,
    steps: u64,
) -> Nesting {
    let mut nested = Vec::with_capacity(laid.len());
    let mut left: Vec<u32> = vec![0; parts.len()];
    for copy in copies {
        left[copy.part] += 1;
    }
    for (index, on_it) in laid {
        let kind = &sheets[index];
        let mut kept: Vec<(NestedPart, Plan, Bounds2)> = Vec::with_capacity(on_it.len());
        for part in on_it {
            let plan = parts[part.part].outline.placed(&part.placement);
            let Some(bounds) = plan.bounds() else { continue };
            if is_clear(kind, &plan, &bounds, &kept) && is_good(kind, &plan, parts[part.part].quality) {
                left[part.part] -= 1;
                kept.push((part, plan, bounds));
            }
        }
        if kept.is_empty() {
            continue;
        }
        let area: f64 = kept.iter().map(|part| part.1.area()).sum();
        nested.push(NestedSheet {
            sheet: index,
            yield_share: area / kind.area(),
            used_length: kept.iter().map(|part| part.2.max.x).fold(0.0, f64::max),
            parts: kept.into_iter().map(|part| part.0).collect(),
        });
    }
    for (part, &copies) in left.iter().enumerate() {
        if copies > 0 {
            unplaced.push(Unplaced {
                part,
                copies,
                reason: UnplacedReason::NoSheetLeft,
            });
        }
    }
    unplaced.sort_by_key(|left| left.part);
    let area = |sheet: &NestedSheet| sheets[sheet.sheet].area();
    let whole: f64 = nested.iter().map(area).sum();
    let used: f64 = nested.iter().map(|sheet| sheet.yield_share * area(sheet)).sum();
    Nesting {
        yield_share: if whole > 0.0 { used / whole } else { 0.0 },
        cost: nested.iter().map(|sheet| sheets[sheet.sheet].cost).sum(),
        sheets: nested,
        unplaced,
        steps,
    }
}

/// Whether a part lies on the sheet's matter and clear of defects it minds.
fn is_good(sheet: &Sheet, plan: &Plan, quality: u32) -> bool {
    let slack = 1e-6 * plan.boundary_length();
    let within = |outline: &Plan| plan.difference(outline).area() <= slack;
    sheet.outline.as_ref().is_none_or(within)
        && sheet
            .defects
            .iter()
            .filter(|defect| defect.quality < quality.max(1))
            .all(|defect| plan.intersection(&defect.outline).area() <= slack)
}

/// Whether a part keeps the trim of its sheet and the gap to the parts already there, by exact distances.
fn is_clear(sheet: &Sheet, plan: &Plan, bounds: &Bounds2, placed: &[(NestedPart, Plan, Bounds2)]) -> bool {
    const SLACK: f64 = 1e-6;
    let far = Vec2::new(sheet.length - sheet.trim, sheet.width - sheet.trim);
    let inside = bounds.min.x >= sheet.trim - SLACK
        && bounds.min.y >= sheet.trim - SLACK
        && bounds.max.x <= far.x + SLACK
        && bounds.max.y <= far.y + SLACK;
    inside
        && placed.iter().all(|(_, other, its)| {
            let away = (its.min.x - bounds.max.x)
                .max(bounds.min.x - its.max.x)
                .max(its.min.y - bounds.max.y)
                .max(bounds.min.y - its.max.y);
            if away >= sheet.gap.max(SLACK) {
                return true;
            }
            // Parts may touch where no gap is asked, but not overlap.
            if sheet.gap > SLACK {
                plan.distance(other) >= sheet.gap - SLACK
            } else {
                plan.intersection(other).area() <= SLACK * plan.boundary_length()
            }
        })
}
