//! Strip packing: everything in a strip of given width, as short as the search finds.

use super::forms::Forms;
use super::relocate::Effort;
use super::separate::{Lane, Patience, separate};
use super::state::{Board, Pose, Rack, Scene, State};
use crate::random::Random;
use caddis_basis::{Flow, Progress};
use caddis_geometry::{Placement2, Region as Plan, Vec2};
use std::time::Instant;

/// A flat part to be placed so many times.
#[derive(Debug, Clone, PartialEq)]
pub struct StripPart {
    /// Outline in the part's own frame, holes included.
    pub outline: Plan,
    /// Copies.
    pub quantity: u32,
    /// Turns it may lie at, radians counter-clockwise; empty means as it is.
    pub rotations: Vec<f64>,
}

/// How long to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripOptions {
    /// Seed.
    pub seed: u64,
    /// Step budget: places evaluated. The same seed and budget give the same packing.
    pub steps: u64,
    /// Threads; never changes the result, only the time.
    pub workers: usize,
    /// Extra stop, seconds; a packing that is stopped by it depends on the machine.
    pub seconds: Option<f64>,
}

/// A packing of the strip.
#[derive(Debug, Clone, PartialEq)]
pub struct StripPacking {
    /// Length used, from 0 to the farthest part.
    pub length: f64,
    /// Part and placement of every copy, by part.
    pub placements: Vec<(usize, Placement2)>,
    /// Area of the parts over length times width.
    pub density: f64,
    /// Places evaluated.
    pub steps: u64,
}

/// Shares of the budget by phase.
const EXPLORE: f64 = 0.8;

/// Budget and clock.
struct Budget<'a> {
    steps: u64,
    seconds: Option<f64>,
    begun: Instant,
    cpu: f64,
    progress: &'a dyn Progress,
    stopped: std::cell::Cell<bool>,
}

fn cpu() -> f64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|t| t.split(' ').next().and_then(|v| v.parse::<f64>().ok()))
        .unwrap_or(0.0)
        * 1e-9
}

impl Budget<'_> {
    fn used(&self, steps: u64) -> f64 {
        let by_steps = steps as f64 / self.steps.max(1) as f64;
        let by_time = self.seconds.map_or(0.0, |seconds| {
            if self.cpu >= 0.0 {
                return (cpu() - self.cpu) / seconds;
            }
            self.begun.elapsed().as_secs_f64() / seconds
        });
        by_steps.max(by_time)
    }

    /// Whether there is budget left until so large a share of it is used.
    fn lasts(&self, steps: u64, share: f64) -> bool {
        let used = self.used(steps);
        if self.progress.report("strip", used.min(1.0), None) == Flow::Stop {
            self.stopped.set(true);
        }
        !self.stopped.get() && used < share
    }
}

/// Packs all copies into a strip of the given width, as short as it finds; `None` if a part is empty or wider than the strip
/// at all its turns.
pub fn pack_strip(
    width: f64,
    parts: &[StripPart],
    options: &StripOptions,
    progress: &dyn Progress,
) -> Option<StripPacking> {
    let budget = Budget {
        steps: options.steps,
        seconds: options.seconds,
        begun: Instant::now(),
        cpu: if std::env::var_os("T_CPU").is_some() { cpu() } else { -1.0 },
        progress,
        stopped: std::cell::Cell::new(false),
    };
    let outlines: Vec<(Plan, Vec<f64>)> = parts
        .iter()
        .map(|part| (scaled(&part.outline, 1.0 / width), part.rotations.clone()))
        .collect();
    let forms = Forms::new(&outlines, 0.0);
    let kind_of: Vec<usize> = parts
        .iter()
        .enumerate()
        .flat_map(|(kind, part)| std::iter::repeat_n(kind, part.quantity as usize))
        .collect();
    let area: f64 = kind_of.iter().map(|&kind| forms.kinds[kind].area).sum();
    let quality = vec![0; forms.kinds.len()];
    let scene = Scene::new(forms, kind_of, quality);
    let mut search = Strip {
        scene: &scene,
        budget: &budget,
        lanes: Lane::several(super::tune().lanes, options.seed),
        random: Random::new(options.seed, 7),
    };
    let mut state = search.filled()?;
    let poses = search.run(&mut state);
    let length = length_of(&scene, &poses);
    let placements = poses
        .iter()
        .zip(&scene.kind_of)
        .map(|(pose, &kind)| {
            let own = &scene.forms.kinds[kind];
            let turn = scene.forms.turns[pose.turn as usize];
            let shift = (pose.at - turn.apply(own.middle)) * width;
            (kind, Placement2 { angle: turn.angle, shift })
        })
        .collect();
    Some(StripPacking {
        length: length * width,
        placements,
        density: area / length,
        steps: state.steps,
    })
}

fn scaled(plan: &Plan, by: f64) -> Plan {
    let mut plan = plan.clone();
    for shape in &mut plan.shapes {
        for contour in std::iter::once(&mut shape.outer).chain(&mut shape.holes) {
            for vertex in &mut contour.vertices {
                vertex.at = vertex.at * by;
            }
        }
    }
    plan
}

fn length_of(scene: &Scene, poses: &[Pose]) -> f64 {
    poses
        .iter()
        .zip(&scene.kind_of)
        .map(|(pose, &kind)| pose.at.x + scene.forms.kinds[kind].bounds[pose.turn as usize].max.x)
        .fold(0.0, f64::max)
}

struct Strip<'a> {
    scene: &'a Scene,
    budget: &'a Budget<'a>,
    lanes: Vec<Lane>,
    random: Random,
}

const EFFORT_COMPRESS: Patience = Patience { rounds: 100, strikes: 5 };

impl Strip<'_> {
    fn effort() -> Effort {
        let tune = super::tune();
        Effort {
            local: tune.local,
            anywhere: tune.anywhere,
            descents: tune.descents,
        }
    }

    /// A first packing: largest first, as far back as samples find room.
    fn filled(&mut self) -> Option<State> {
        let scene = self.scene;
        let kinds = &scene.forms.kinds;
        let mut order: Vec<usize> = (0..scene.kind_of.len()).collect();
        let size = |copy: usize| {
            let kind = &kinds[scene.kind_of[copy]];
            kind.hull_area * kind.diameter
        };
        order.sort_by(|&a, &b| size(b).total_cmp(&size(a)).then(a.cmp(&b)));
        let far: f64 = kinds.iter().map(|kind| kind.diameter).fold(0.0, f64::max);
        let board = Board {
            low: Vec2::ZERO,
            high: Vec2::new(far, 1.0),
            obstacles: Vec::new(),
        };
        // Copies not yet placed wait on a board of their own.
        let waiting = Pose {
            at: Vec2::ZERO,
            turn: 0,
            board: 1,
        };
        let poses: Vec<Pose> = vec![waiting; order.len()];
        let mut state = State::new(vec![board.clone(), board], poses);
        let mut rack = Rack::default();
        for &copy in &order {
            let kind = scene.kind_of[copy];
            let own = &kinds[kind];
            let mut best: Option<(f64, Pose)> = None;
            for &turn in &own.turns {
                state.rack(scene, copy, turn, 0, &mut rack);
                let used = state.used_length(scene, 0);
                let mut reach = used;
                loop {
                    state.boards[0].high.x = reach.max(own.bounds[turn as usize].size().x) + 0.25 * own.diameter;
                    let Some((low, high)) = scene.span(&state.boards[0], kind, turn) else { break };
                    let mut found = None;
                    for _ in 0..600 {
                        let at = Vec2::new(
                            low.x + (high.x - low.x) * self.random.unit(),
                            low.y + (high.y - low.y) * self.random.unit(),
                        );
                        let score = 10.0 * (at.x + own.bounds[turn as usize].max.x) + at.y;
                        if best.is_some_and(|best| best.0 <= score) {
                            continue;
                        }
                        state.steps += 1;
                        if rack.price(scene, at, 0.0) <= 0.0 {
                            let (score, at) = slid(scene, &rack, at, low, own.narrow, own.bounds[turn as usize].max.x);
                            if best.is_none_or(|best| score < best.0) {
                                best = Some((score, Pose { at, turn, board: 0 }));
                            }
                            found = Some(());
                        }
                    }
                    if found.is_some() || best.is_some() {
                        break;
                    }
                    reach += 0.5 * own.diameter;
                }
            }
            state.poses[copy] = best?.1;
        }
        state.boards.truncate(1);
        state.boards[0].high.x = state.used_length(scene, 0);
        state.measure(scene);
        Some(state)
    }

    fn run(&mut self, state: &mut State) -> Vec<Pose> {
        let mut best = (state.boards[0].high.x, state.poses.clone());
        self.explore(state, &mut best);
        if std::env::var_os("T_SAY").is_some() {
            eprintln!("explored: length {:.5}, steps {}", best.0, state.steps);
        }
        self.compress(state, &mut best);
        best.1
    }

    fn explore(&mut self, state: &mut State, best: &mut (f64, Vec<Pose>)) {
        let scene = self.scene;
        let budget = self.budget;
        let going = move |steps: u64| budget.lasts(steps, EXPLORE);
        let mut pool: Vec<(f64, Vec<Pose>)> = Vec::new();
        let tune = super::tune();
        self.shrink(state, best.0 * (1.0 - tune.shrink), 0.5);
        while going(state.steps) {
            state.forget_weights();
            let patience = Patience { rounds: tune.rounds, strikes: 3 };
            if separate(scene, state, patience, Self::effort(), &mut self.lanes, &going) {
                let length = length_of(scene, &state.poses);
                *best = (length, state.poses.clone());
                if std::env::var_os("T_SAY").is_some_and(|v| v == "2") {
                    eprintln!("{:.5} at {} steps", length, state.steps);
                }
                pool.clear();
                self.shrink(state, length * (1.0 - tune.shrink), 0.5);
            } else {
                let total = state.total();
                let place = pool.partition_point(|kept| kept.0 <= total);
                pool.insert(place, (total, state.poses.clone()));
                let normal = self.normal().abs() * 0.25;
                let pick = ((normal * pool.len() as f64) as usize).min(pool.len() - 1);
                state.poses.clone_from(&pool[pick].1);
                self.swap_large(state);
                state.measure(scene);
            }
        }
    }

    fn compress(&mut self, state: &mut State, best: &mut (f64, Vec<Pose>)) {
        let scene = self.scene;
        let budget = self.budget;
        let going = move |steps: u64| budget.lasts(steps, 1.0);
        while going(state.steps) {
            let done = ((budget.used(state.steps) - EXPLORE) / (1.0 - EXPLORE)).clamp(0.0, 1.0);
            let step = 5e-4 + (1e-5 - 5e-4) * done;
            state.poses.clone_from(&best.1);
            state.boards[0].high.x = best.0;
            let cut = self.random.unit();
            self.shrink(state, best.0 * (1.0 - step), cut);
            state.forget_weights();
            if separate(scene, state, EFFORT_COMPRESS, Self::effort(), &mut self.lanes, &going) {
                *best = (length_of(scene, &state.poses), state.poses.clone());
            }
        }
    }

    /// Shortens the strip; what lies beyond the cut (a share of the length) moves along.
    fn shrink(&mut self, state: &mut State, to: f64, cut: f64) {
        let scene = self.scene;
        let before = state.boards[0].high.x.max(length_of(scene, &state.poses));
        let by = before - to;
        state.boards[0].high.x = to;
        for copy in 0..state.poses.len() {
            if state.poses[copy].at.x > cut * before {
                state.poses[copy].at.x -= by;
            }
            let pose = state.poses[copy];
            if let Some((low, high)) = scene.span(&state.boards[0], scene.kind_of[copy], pose.turn) {
                state.poses[copy].at = pose.at.max(low).min(high);
            }
        }
        state.measure(scene);
    }

    fn normal(&mut self) -> f64 {
        let (u, v) = (self.random.unit().max(1e-12), self.random.unit());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    /// Two large unlike copies change places.
    fn swap_large(&mut self, state: &mut State) {
        let scene = self.scene;
        let kinds = &scene.forms.kinds;
        let area = |copy: usize| kinds[scene.kind_of[copy]].hull_area;
        let mut order: Vec<usize> = (0..state.poses.len()).collect();
        order.sort_by(|&a, &b| area(b).total_cmp(&area(a)).then(a.cmp(&b)));
        let whole: f64 = order.iter().map(|&copy| area(copy)).sum();
        let mut sum = 0.0;
        let large: Vec<usize> = order
            .into_iter()
            .take_while(|&copy| {
                let before = sum;
                sum += area(copy);
                before < 0.75 * whole
            })
            .collect();
        let unlike: Vec<usize> = {
            let first = large[self.random.below(large.len())];
            let own = scene.kind_of[first];
            let mut all: Vec<usize> = vec![first];
            all.extend(large.iter().copied().filter(|&copy| {
                let other = scene.kind_of[copy];
                let (a, b) = (&kinds[own], &kinds[other]);
                (a.hull_area - b.hull_area).abs() > 0.01 * a.hull_area
                    || (a.diameter - b.diameter).abs() > 0.01 * a.diameter
            }));
            all
        };
        if unlike.len() < 2 {
            // All alike: any two, with new turns.
            let copy = self.random.below(state.poses.len());
            let turns = &kinds[scene.kind_of[copy]].turns;
            state.poses[copy].turn = turns[self.random.below(turns.len())];
            self.clamp(state, copy);
            return;
        }
        let first = unlike[0];
        let second = unlike[1 + self.random.below(unlike.len() - 1)];
        let (a, b) = (state.poses[first].at, state.poses[second].at);
        state.poses[first].at = b;
        state.poses[second].at = a;
        self.clamp(state, first);
        self.clamp(state, second);
    }

    fn clamp(&self, state: &mut State, copy: usize) {
        let scene = self.scene;
        let kind = scene.kind_of[copy];
        let pose = state.poses[copy];
        if let Some((low, high)) = scene.span(&state.boards[0], kind, pose.turn) {
            state.poses[copy].at = pose.at.max(low).min(high);
            return;
        }
        for &turn in &scene.forms.kinds[kind].turns {
            if let Some((low, high)) = scene.span(&state.boards[0], kind, turn) {
                state.poses[copy].turn = turn;
                state.poses[copy].at = pose.at.max(low).min(high);
            }
        }
    }
}

/// Steps back along the strip and down as far as it stays clear.
fn slid(scene: &Scene, rack: &Rack, mut at: Vec2, low: Vec2, narrow: f64, ahead: f64) -> (f64, Vec2) {
    let mut step = 0.5 * narrow;
    while step > 2e-3 * narrow {
        let mut moved = false;
        for way in [Vec2::new(-step, 0.0), Vec2::new(0.0, -step)] {
            let to = (at + way).max(low);
            if to != at && rack.price(scene, to, 0.0) <= 0.0 {
                at = to;
                moved = true;
                break;
            }
        }
        if !moved {
            step *= 0.5;
        }
    }
    (10.0 * (at.x + ahead) + at.y, at)
}
