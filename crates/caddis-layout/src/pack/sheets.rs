//! Parts on sheets, offcuts and hides: filled one after the other, then one of them is given up, for nothing or for cheaper ones,
//! and its parts are pushed in among the others.

use super::budget::Budget;
use super::fill::slid;
use super::forms::Forms;
use super::rack::Rack;
use super::relocate::Effort;
use super::separate::{Lanes, Patience, separate};
use super::state::{Board, Obstacle, Pose, Scene, State};
use super::trade::trades;
use crate::SearchOptions;
use crate::nest::{Laid, NestedPart, Sheet, SheetPart};
use crate::random::Random;
use caddis_basis::Progress;
use caddis_geometry::{Placement2, Region as Plan, Side, Vec2};
use std::sync::{Arc, OnceLock};

/// The figures of parts and sheets that several questions share.
#[derive(Debug, Default)]
pub(crate) struct Figures(OnceLock<Arc<Forms>>);

/// What is to be placed on what.
pub(crate) struct SheetQuestion<'a> {
    pub(crate) parts: &'a [SheetPart],
    pub(crate) sheets: &'a [Sheet],
    /// Part and number of each copy, largest first.
    pub(crate) copies: &'a [(usize, u32)],
    /// Figures of the same parts and sheets, made when first asked for and kept for the next number of copies.
    pub(crate) figures: &'a Figures,
    pub(crate) options: &'a SearchOptions,
    pub(crate) progress: &'a dyn Progress,
}

/// Places of this search are looked up, not measured: so many of them for one step of the budget.
const PLACES_PER_STEP: u64 = 10;
/// Samples per copy, turn and sheet while filling.
const SAMPLES: usize = 300;
/// Share of the budget after which copies that are left over stay so.
const PLACING: f64 = 0.7;
const PATIENCE: Patience = Patience {
    rounds: 60,
    strikes: 2,
    hope: f64::INFINITY,
};

struct Search<'a> {
    question: &'a SheetQuestion<'a>,
    scene: Scene,
    /// One board per sheet given.
    boards: Vec<Board>,
    random: Random,
    lanes: Lanes,
    steps: u64,
}

/// An arrangement: which sheets are used, and where each copy lies (its board an index into them), if anywhere.
#[derive(Clone)]
struct Arrangement {
    used: Vec<usize>,
    poses: Vec<Option<Pose>>,
}

impl Arrangement {
    /// Without boards on which nothing lies.
    fn without_empty(mut self) -> Self {
        for board in (0..self.used.len()).rev() {
            let mut placed = self.poses.iter().flatten();
            if placed.any(|pose| pose.board as usize == board) {
                continue;
            }
            self.used.remove(board);
            for pose in self.poses.iter_mut().flatten() {
                pose.board -= u16::from(pose.board as usize > board);
            }
        }
        self
    }
}

/// Parts on as cheap sheets as the search finds, of equal cost as few, never at more cost than `start` has them on; `None` where
/// `start` stands; and the places evaluated.
pub(crate) fn pack_sheets(question: &SheetQuestion, start: Option<&[Laid]>) -> (Option<Vec<Laid>>, u64) {
    let is_settled = question.copies.is_empty()
        || question.sheets.is_empty()
        || start.is_some_and(|laid| !may_save(question, laid));
    if is_settled {
        return (None, 0);
    }
    let mut search = Search::new(question);
    let budget = Budget::new(
        question.options.steps.saturating_mul(PLACES_PER_STEP),
        None,
        question.progress,
    );
    let mut arrangement = match start {
        Some(laid) => search.arranged(laid),
        None => search.filled(),
    };
    let mut is_better = start.is_none();
    while search.make_cheaper(&mut arrangement, &budget) {
        is_better = true;
    }
    (is_better.then(|| search.laid(&arrangement)), search.steps)
}

/// Whether the parts could lie on fewer or cheaper sheets, by area.
fn may_save(question: &SheetQuestion, laid: &[Laid]) -> bool {
    let placed: usize = laid.iter().map(|sheet| sheet.1.len()).sum();
    let area = |part: &NestedPart| question.parts[part.part].outline.area();
    let used: Vec<usize> = laid.iter().map(|sheet| sheet.0).collect();
    let on: Vec<f64> = laid.iter().map(|sheet| sheet.1.iter().map(area).sum()).collect();
    placed == question.copies.len() && !trades(question.sheets, &used, &on).is_empty()
}

impl<'a> Search<'a> {
    fn new(question: &'a SheetQuestion<'a>) -> Self {
        let mut outlines: Vec<(Plan, Vec<f64>)> = question
            .parts
            .iter()
            .map(|part| (part.outline.clone(), part.rotations.clone()))
            .collect();
        let movable = outlines.len();
        let mut walls: Vec<Vec<(usize, u32)>> = Vec::new();
        for sheet in question.sheets {
            let mut own = Vec::new();
            for (wall, quality) in walls_of(sheet) {
                own.push((outlines.len(), quality));
                outlines.push((wall, Vec::new()));
            }
            walls.push(own);
        }
        let gap = question.sheets.iter().map(|sheet| sheet.gap).fold(0.0, f64::max);
        let made = || Arc::new(Forms::new(&outlines, movable, gap));
        let forms = Arc::clone(question.figures.0.get_or_init(made));
        let boards = question
            .sheets
            .iter()
            .zip(&walls)
            .map(|(sheet, walls)| Board {
                low: Vec2::new(sheet.trim, sheet.trim),
                high: Vec2::new(sheet.length - sheet.trim, sheet.width - sheet.trim),
                obstacles: walls
                    .iter()
                    .map(|&(kind, quality)| Obstacle {
                        kind,
                        at: forms.kinds[kind].middle,
                        quality,
                    })
                    .collect(),
            })
            .collect();
        let kind_of = question.copies.iter().map(|copy| copy.0).collect();
        let mut quality: Vec<u32> = question.parts.iter().map(|part| part.quality.max(1)).collect();
        quality.resize(forms.kinds.len(), 0);
        Self {
            question,
            scene: Scene::new(forms, kind_of, quality),
            boards,
            random: Random::new(question.options.seed, 31),
            lanes: Lanes::new(question.options.seed, question.options.workers),
            steps: 0,
        }
    }

    /// What a start has where.
    fn arranged(&self, laid: &[Laid]) -> Arrangement {
        let mut poses = vec![None; self.question.copies.len()];
        for (board, (_, parts)) in laid.iter().enumerate() {
            for part in parts {
                let Some(copy) = self
                    .question
                    .copies
                    .iter()
                    .position(|copy| *copy == (part.part, part.copy))
                else {
                    continue;
                };
                let kind = &self.scene.forms.kinds[part.part];
                let turn = self.scene.forms.nearest_turn(part.part, part.placement.angle);
                let middle = self.scene.forms.turns[turn as usize].apply(kind.middle);
                poses[copy] = Some(Pose {
                    at: middle + part.placement.shift,
                    turn,
                    board: board as u16,
                });
            }
        }
        Arrangement {
            used: laid.iter().map(|sheet| sheet.0).collect(),
            poses,
        }
    }

    fn laid(&self, arrangement: &Arrangement) -> Vec<Laid> {
        let mut laid: Vec<Laid> = arrangement
            .used
            .iter()
            .map(|&sheet| (sheet, Vec::new()))
            .collect();
        for (copy, pose) in arrangement.poses.iter().enumerate() {
            let Some(pose) = pose else { continue };
            let (part, number) = self.question.copies[copy];
            let turn = self.scene.forms.turns[pose.turn as usize];
            laid[pose.board as usize].1.push(NestedPart {
                part,
                copy: number,
                placement: Placement2 {
                    angle: turn.angle,
                    shift: pose.at - turn.apply(self.scene.forms.kinds[part].middle),
                },
            });
        }
        laid.retain(|sheet| !sheet.1.is_empty());
        laid
    }

    /// Largest first, each as far back as samples find room on the sheets begun, else on the next cheapest by area.
    fn filled(&mut self) -> Arrangement {
        let sheets = self.question.sheets;
        let mut order: Vec<usize> = (0..sheets.len()).collect();
        let price = |sheet: &Sheet| sheet.cost / sheet.area().max(1e-9);
        order.sort_by(|&a, &b| price(&sheets[a]).total_cmp(&price(&sheets[b])).then(a.cmp(&b)));
        let mut arrangement = Arrangement {
            used: Vec::new(),
            poses: vec![None; self.question.copies.len()],
        };
        for copy in 0..self.question.copies.len() {
            let begun = (0..arrangement.used.len()).find_map(|board| self.found(&arrangement, copy, board));
            let found = begun.or_else(|| {
                order.iter().find_map(|&sheet| {
                    let count = arrangement.used.iter().filter(|used| **used == sheet).count();
                    if sheets[sheet].limit.is_some_and(|limit| count >= limit as usize) {
                        return None;
                    }
                    arrangement.used.push(sheet);
                    let found = self.found(&arrangement, copy, arrangement.used.len() - 1);
                    if found.is_none() {
                        arrangement.used.pop();
                    }
                    found
                })
            });
            arrangement.poses[copy] = found;
        }
        arrangement
    }

    /// A clear place for one more copy on a board.
    fn found(&mut self, arrangement: &Arrangement, copy: usize, board: usize) -> Option<Pose> {
        let scene = &self.scene;
        let kind = scene.kind_of[copy];
        let own = &scene.forms.kinds[kind];
        let sheet = &self.boards[arrangement.used[board]];
        // Copies without a place wait on a board beyond the last.
        let beyond = arrangement.used.len() as u16;
        let waiting = Pose {
            at: Vec2::ZERO,
            turn: 0,
            board: beyond,
        };
        let poses = arrangement
            .poses
            .iter()
            .map(|pose| pose.unwrap_or(waiting))
            .collect();
        let state = State::new(self.boards_of(&arrangement.used), poses);
        let mut rack = Rack::default();
        let mut best: Option<(f64, Pose)> = None;
        for &turn in &own.turns {
            let Some((low, high)) = scene.span(sheet, kind, turn) else {
                continue;
            };
            state.rack(scene, copy, turn, board as u16, &mut rack);
            let bounds = own.bounds[turn as usize];
            let score = |at: Vec2| at.x + bounds.max.x + 0.3 * (at.y + bounds.max.y);
            for sample in 0..SAMPLES {
                let at = if sample == 0 {
                    low
                } else {
                    let x = low.x + (high.x - low.x) * self.random.unit();
                    Vec2::new(x, low.y + (high.y - low.y) * self.random.unit())
                };
                self.steps += 1;
                if rack.price(scene, at, 0.0) <= 0.0 {
                    let at = slid(scene, &rack, at, low, own.narrow);
                    if best.is_none_or(|best| score(at) < best.0) {
                        let board = board as u16;
                        best = Some((score(at), Pose { at, turn, board }));
                    }
                }
            }
        }
        best.map(|best| best.1)
    }

    fn boards_of(&self, used: &[usize]) -> Vec<Board> {
        used.iter().map(|&sheet| self.boards[sheet].clone()).collect()
    }

    /// Tries to do without one sheet or with cheaper ones; true when everything lies there.
    fn make_cheaper(&mut self, arrangement: &mut Arrangement, budget: &Budget) -> bool {
        if arrangement.poses.iter().any(Option::is_none) {
            return self.place_the_rest(arrangement, budget);
        }
        let mut on = vec![0.0; arrangement.used.len()];
        for (copy, pose) in arrangement.poses.iter().enumerate() {
            if let Some(pose) = pose {
                on[pose.board as usize] += self.question.parts[self.scene.kind_of[copy]].outline.area();
            }
        }
        let trades = trades(self.question.sheets, &arrangement.used, &on);
        let shares = trades.len();
        for (tried, trade) in trades.into_iter().enumerate() {
            let left = 1.0 - budget.used(self.steps);
            let until = 1.0 - left * (1.0 - 1.0 / (shares - tried) as f64);
            let victim = trade.victim;
            let mut used = arrangement.used.clone();
            used.remove(victim);
            used.extend(trade.instead);
            let moved = |pose: &Option<Pose>| {
                pose.filter(|pose| pose.board as usize != victim).map(|mut pose| {
                    pose.board -= u16::from(pose.board as usize > victim);
                    pose
                })
            };
            let poses: Vec<Option<Pose>> = arrangement.poses.iter().map(moved).collect();
            if let Some(found) = self.pushed_in(Arrangement { used, poses }, budget, until) {
                *arrangement = found.without_empty();
                return true;
            }
        }
        false
    }

    /// Copies left over are pushed in among the others and on what stock is left, if that is possible.
    fn place_the_rest(&mut self, arrangement: &mut Arrangement, budget: &Budget) -> bool {
        if arrangement.poses.iter().all(Option::is_some) || !budget.lasts(self.steps, PLACING) {
            return false;
        }
        let mut wider = arrangement.clone();
        for (index, sheet) in self.question.sheets.iter().enumerate() {
            let count = wider.used.iter().filter(|used| **used == index).count();
            let left = sheet
                .limit
                .map_or(1, |limit| (limit as usize).saturating_sub(count));
            wider
                .used
                .extend(std::iter::repeat_n(index, left.min(wider.poses.len())));
        }
        match self.pushed_in(wider, budget, PLACING) {
            Some(found) => {
                *arrangement = found;
                true
            }
            None => false,
        }
    }

    /// Everything clear on the boards of an arrangement, those without a place put down anywhere to begin with.
    fn pushed_in(&mut self, arrangement: Arrangement, budget: &Budget, until: f64) -> Option<Arrangement> {
        let boards = self.boards_of(&arrangement.used);
        loop {
            let mut poses = Vec::with_capacity(arrangement.poses.len());
            for (copy, pose) in arrangement.poses.iter().enumerate() {
                poses.push(match pose {
                    Some(pose) => *pose,
                    None => self.anywhere(copy, &boards)?,
                });
            }
            let mut state = State::new(boards.clone(), poses);
            state.steps = self.steps;
            state.measure(&self.scene);
            let effort = Effort {
                local: 25,
                anywhere: 25 + 25 * boards.len().min(8),
                descents: 3,
            };
            let going = |steps: u64| budget.lasts(steps, until);
            let clear = separate(&self.scene, &mut state, PATIENCE, effort, &mut self.lanes, &going);
            self.steps = state.steps;
            if clear {
                return Some(Arrangement {
                    used: arrangement.used,
                    poses: state.poses.into_iter().map(Some).collect(),
                });
            }
            if !budget.lasts(self.steps, until) {
                return None;
            }
        }
    }

    /// A place on any board that is large enough.
    fn anywhere(&mut self, copy: usize, boards: &[Board]) -> Option<Pose> {
        let kind = self.scene.kind_of[copy];
        let turns = &self.scene.forms.kinds[kind].turns;
        let mut fits = Vec::new();
        for (index, board) in boards.iter().enumerate() {
            for &turn in turns {
                if let Some(span) = self.scene.span(board, kind, turn) {
                    fits.push((index as u16, turn, span));
                }
            }
        }
        if fits.is_empty() {
            return None;
        }
        let (board, turn, (low, high)) = fits[self.random.below(fits.len())];
        let x = low.x + (high.x - low.x) * self.random.unit();
        let at = Vec2::new(x, low.y + (high.y - low.y) * self.random.unit());
        Some(Pose { at, turn, board })
    }
}

/// What stands in the way on a sheet: all round it, and by quality.
fn walls_of(sheet: &Sheet) -> Vec<(Plan, u32)> {
    let mut walls = Vec::new();
    if let Some(outline) = &sheet.outline {
        let rectangle = Plan::rectangle(Vec2::ZERO, Vec2::new(sheet.length, sheet.width));
        let mut rest = rectangle.difference(outline);
        if sheet.trim > 0.0 {
            rest = rest.offset(sheet.trim, Side::Outer);
        }
        walls.push((rest, 0));
    }
    let mut qualities: Vec<u32> = sheet.defects.iter().map(|defect| defect.quality).collect();
    qualities.sort_unstable();
    qualities.dedup();
    for quality in qualities {
        let same = sheet.defects.iter().filter(|defect| defect.quality == quality);
        let mut wall = Plan::union_all(same.map(|defect| &defect.outline));
        if quality == 0
            && let Some((round, 0)) = walls.first()
        {
            wall = wall.union(round);
            walls.clear();
        }
        walls.push((wall, quality));
    }
    walls.retain(|wall| !wall.0.is_empty());
    walls
}
