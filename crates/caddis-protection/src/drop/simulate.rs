//! A fall, simulated.

use super::account::{CLOSER, Sampling, Tally, finish, merge, most_strained, sample, take, tally};
use super::course::{Course, PulseEnd, Record, Simulation};
use super::motion::{BODY, Gravity, Motion, Posture, ShellState, product};
use super::packing::Packing;
use super::step::{Moment, Stepper, start};
use crate::LawError;
use caddis_basis::{Length, Mass, STANDARD_GRAVITY};
use caddis_geometry::Vec3;

/// How the shell lands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Landing {
    /// It stops dead and stays: the plain model.
    StopsDead,
    /// It leaves the floor again with this share of its speed while the items still sink; free along the fall only, and
    /// free to jump with the items.
    Bounces {
        /// Mass of the shell with the foam fixed in it.
        mass: Mass,
        /// Rebound speed over impact speed, 0 to 1.
        restitution: f64,
    },
    /// It turns about an edge that landed first, and stops dead when the other end lands.
    EndFirst {
        /// A point of that edge, case frame, m.
        pivot: Vec3,
        /// Angular velocity at the second landing, rad/s, case frame.
        spin: Vec3,
    },
}

/// One fall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fall {
    /// Unit direction of the fall in the case frame.
    pub direction: Vec3,
    /// Height.
    pub height: Length,
    /// Gravity in the stroke.
    pub gravity: Gravity,
    /// Coefficient of friction between the items and the foam they press; 0 is the plain model.
    pub friction: f64,
    /// How the shell lands.
    pub landing: Landing,
}

/// How finely the motion is followed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// Error of a step: share of 10 mm of travel and of the impact speed.
    pub tolerance: f64,
    /// Longest step, s.
    pub greatest_step: f64,
    /// Longest time followed, s.
    pub horizon: f64,
    /// Whether to stop once every item has rebounded.
    pub stops_after_pulse: bool,
    /// An item that comes back and is pushed by less than this share of its greatest push counts as rebounded; 0 waits for the
    /// end of its pulse.
    pub past_peak: f64,
    /// Whether tops are looked at again in small steps, the moment of a pulse's end is found exactly, and the most
    /// strained patches are named.
    pub looks_closer: bool,
}

impl Precision {
    /// For design: peaks within about 0.2 %. Pulses longer than 40 ms are cut off: on foam of usual depth the peak lies in
    /// their first half.
    pub const DESIGN: Self = Self {
        tolerance: 3e-5,
        greatest_step: 5e-4,
        horizon: 0.04,
        stops_after_pulse: true,
        past_peak: 0.0,
        looks_closer: false,
    };

    /// For searching a design: strains and peaks within a few per cent, at a quarter of the cost. Motions are left as soon as
    /// every item is on its way back: velocity changes and durations say nothing.
    pub const ROUGH: Self = Self {
        tolerance: 1e-3,
        greatest_step: 1e-3,
        past_peak: 0.5,
        ..Self::DESIGN
    };

    /// For comparison with references: peaks within about 1e-7, over the whole of a horizon.
    pub fn reference(horizon: f64) -> Self {
        Self {
            tolerance: 1e-10,
            greatest_step: 5e-6,
            horizon,
            stops_after_pulse: false,
            past_peak: 0.0,
            looks_closer: true,
        }
    }
}

/// What else to record.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Watch {
    /// Points of items (body, rest position in the case frame) whose acceleration is followed.
    pub points: Vec<(usize, Vec3)>,
    /// Interval of the history, s; none without it.
    pub every: Option<f64>,
    /// Whether to keep account of the energy.
    pub energy: bool,
    /// Whether to keep the largest strain of every patch.
    pub strains: bool,
}

/// Share of the greatest push so far that foam beyond its law must carry for the item to count as bottomed.
const CRUSHED: f64 = 0.1;
/// Steps after which a motion counts as lost.
const MOST_STEPS: usize = 400_000;
/// Share of its maximum below which the force along the fall ends the first pulse.
const PULSE_ENDS: f64 = 1e-3;

/// Largest coefficient of friction that is taken for one.
pub const MOST_FRICTION: f64 = 2.0;

/// Simulates a fall.
///
/// # Accuracy
/// As [`Precision`]; the model itself is stated in `docs/drop-model.md`.
///
/// # Errors
/// A direction that is not of unit length; a height that is not positive; a precision, restitution or watched point that
/// makes no sense; a motion that does not settle to the tolerance.
///
/// # Source
/// Newton and Euler; the patches' law; `docs/drop-model.md` states the model.
pub fn simulate(
    packing: &Packing,
    fall: &Fall,
    precision: &Precision,
    watch: &Watch,
) -> Result<Simulation, LawError> {
    check(packing, fall, precision, watch)?;
    let speed = (2.0 * STANDARD_GRAVITY * fall.height.si()).sqrt();
    let (shell, shell_speed) = match fall.landing {
        Landing::Bounces { mass, restitution } => {
            let mass = mass.si();
            if restitution > 0.0 {
                (ShellState::Aloft { mass, restitution }, -restitution * speed)
            } else {
                (ShellState::Grounded { mass, restitution }, 0.0)
            }
        }
        Landing::StopsDead | Landing::EndFirst { .. } => (ShellState::Still, 0.0),
    };
    let velocities: Vec<(Vec3, Vec3)> = packing
        .bodies
        .iter()
        .map(|body| match fall.landing {
            Landing::EndFirst { pivot, spin } => (spin.cross(body.centre - pivot), spin),
            Landing::StopsDead | Landing::Bounces { .. } => {
                (fall.direction * (speed - shell_speed), Vec3::ZERO)
            }
        })
        .collect();
    let motion = Motion {
        packing,
        direction: fall.direction,
        gravity: fall.gravity,
        friction: fall.friction,
        shell,
    };
    Run::new(motion, speed, *precision, watch, start(&velocities, shell_speed)).finish()
}

fn check(packing: &Packing, fall: &Fall, precision: &Precision, watch: &Watch) -> Result<(), LawError> {
    let complain = |words: String| Err(LawError::Settings(words));
    if !fall.direction.is_finite() || (fall.direction.length() - 1.0).abs() > 1e-6 {
        return complain("the direction of a fall must be of unit length".to_owned());
    }
    let height = fall.height.si();
    if !(height.is_finite() && height > 0.0) {
        return complain(format!("the drop height must be above zero, not {height} m"));
    }
    if !(0.0..=MOST_FRICTION).contains(&fall.friction) {
        return complain(format!(
            "the friction of foam must lie from 0 to {MOST_FRICTION}, not {}",
            fall.friction
        ));
    }
    for (what, value) in [
        ("tolerance", precision.tolerance),
        ("longest step", precision.greatest_step),
        ("horizon", precision.horizon),
        ("interval of the history", watch.every.unwrap_or(1.0)),
    ] {
        if !(value.is_finite() && value > 0.0) {
            return complain(format!("the {what} must be above zero, not {value}"));
        }
    }
    if let Landing::Bounces { mass, restitution } = fall.landing
        && !(mass.si() > 0.0 && mass.is_finite() && (0.0..=1.0).contains(&restitution))
    {
        return complain(format!(
            "a bouncing shell wants a mass above zero and a restitution from 0 to 1, not {mass} and {restitution}"
        ));
    }
    if let Landing::EndFirst { pivot, spin } = fall.landing
        && !(pivot.is_finite() && spin.is_finite())
    {
        return complain("a landing end first wants a pivot and a spin".to_owned());
    }
    if watch
        .points
        .iter()
        .any(|(body, point)| *body >= packing.bodies.len() || !point.is_finite())
    {
        return complain("a watched point names no item or lies nowhere".to_owned());
    }
    Ok(())
}

/// One item's progress.
struct Item {
    whole: Tally,
    pulse: Tally,
    beyond: (bool, bool),
    most_push: f64,
    end: Option<PulseEnd>,
    history: Vec<Record>,
    /// Watched points of this item: place about the centre.
    points: Vec<Vec3>,
}

struct Run<'a> {
    motion: Motion<'a>,
    precision: Precision,
    watch: &'a Watch,
    stepper: Stepper,
    before: Moment,
    previous: Moment,
    now: Moment,
    next: Moment,
    items: Vec<Item>,
    start: Vec<Vec3>,
    energy_start: f64,
    energy_error: f64,
    evaluations: usize,
    next_record: usize,
    /// Largest strain of every contact so far, where asked for.
    strains: Vec<f64>,
}

impl<'a> Run<'a> {
    fn new(motion: Motion<'a>, speed: f64, precision: Precision, watch: &'a Watch, state: Vec<f64>) -> Self {
        let now = Moment::at(&motion, 0.0, state);
        let energy_start = if watch.energy {
            motion.energy(&now.state)
        } else {
            0.0
        };
        let items = (0..motion.packing.bodies.len())
            .map(|i| {
                let points: Vec<Vec3> = watch
                    .points
                    .iter()
                    .filter(|(body, _)| *body == i)
                    .map(|(_, point)| *point - motion.packing.bodies[i].centre)
                    .collect();
                let tally = tally(points.len());
                Item {
                    whole: tally.clone(),
                    pulse: tally,
                    beyond: (false, false),
                    most_push: 0.0,
                    end: None,
                    history: Vec::new(),
                    points,
                }
            })
            .collect();
        Self {
            stepper: Stepper::new(&motion, speed),
            start: (0..motion.packing.bodies.len())
                .map(|i| Posture::read(&now.state[i * BODY..]).v)
                .collect(),
            next: now.clone(),
            before: now.clone(),
            previous: now.clone(),
            motion,
            precision,
            watch,
            now,
            items,
            energy_start,
            energy_error: 0.0,
            evaluations: 1,
            next_record: 0,
            strains: Vec::new(),
        }
    }

    fn finish(mut self) -> Result<Simulation, LawError> {
        self.observe();
        let mut h: f64 = 1e-6_f64.min(self.precision.greatest_step);
        for _ in 0..MOST_STEPS {
            let left = self.precision.horizon - self.now.t;
            if left <= 1e-12 || (self.precision.stops_after_pulse && self.has_rebounded()) {
                return Ok(self.done());
            }
            let mut tried = h.min(self.precision.greatest_step).min(left);
            if let Some(every) = self.watch.every {
                let due = self.next_record as f64 * every - self.now.t;
                if due > 1e-12 {
                    tried = tried.min(due);
                }
            }
            let error =
                self.stepper.step(&self.motion, &self.now, tried, &mut self.next) / self.precision.tolerance;
            self.evaluations += 6;
            if error.is_nan() || error > 1.0 {
                h = tried
                    * if error.is_nan() {
                        0.1
                    } else {
                        (0.9 * error.powf(-0.2)).max(0.2)
                    };
                if h < 1e-13 {
                    break;
                }
                continue;
            }
            let grown = tried * (0.9 * error.max(1e-10).powf(-0.2)).clamp(0.2, 5.0);
            // A step cut short by a record says nothing about the next.
            h = if tried < h { grown.max(h) } else { grown };
            self.locate_landing(tried);
            self.locate_pulse_ends(self.next.t - self.now.t);
            // Moments move up one place.
            std::mem::swap(&mut self.previous, &mut self.before);
            std::mem::swap(&mut self.now, &mut self.previous);
            std::mem::swap(&mut self.now, &mut self.next);
            self.observe();
            self.change_shell();
        }
        Err(LawError::Settings(format!(
            "the motion could not be followed beyond {:.3} ms to the tolerance asked for",
            self.now.t * 1e3
        )))
    }

    fn has_rebounded(&self) -> bool {
        self.items.iter().enumerate().all(|(i, item)| {
            let speed = || {
                Posture::read(&self.now.state[i * BODY..])
                    .v
                    .dot(self.motion.direction)
            };
            let push = -self.now.loads.force[i].dot(self.motion.direction);
            item.end.is_some()
                || ((item.most_push == 0.0 || push < self.precision.past_peak * item.most_push)
                    && speed() <= 0.0)
        })
    }

    /// Shortens the step just taken to the moment at which a shell in the air comes down.
    fn locate_landing(&mut self, taken: f64) {
        let tail = self.now.state.len() - 2;
        if !matches!(self.motion.shell, ShellState::Aloft { .. }) || self.next.state[tail] <= 0.0 {
            return;
        }
        let (mut low, mut high) = (0.0, taken);
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            let mut trial = Moment::default();
            self.stepper.step(&self.motion, &self.now, middle, &mut trial);
            self.evaluations += 6;
            if trial.state[tail] > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
            if high - low < 1e-9 {
                break;
            }
        }
        self.stepper.step(&self.motion, &self.now, high, &mut self.next);
    }

    /// Lets the shell come down, stay down or leave the floor.
    fn change_shell(&mut self) {
        let tail = self.now.state.len() - 2;
        match self.motion.shell {
            ShellState::Aloft { mass, restitution }
                if self.now.state[tail] >= 0.0 && self.now.state[tail + 1] > 0.0 =>
            {
                let before = self.now.state[tail + 1];
                let mut after = -restitution * before;
                // A hop of a few hundredths of a metre a second is not worth following.
                let stays = after.abs() < 0.05;
                if stays {
                    after = 0.0;
                    self.motion.shell = ShellState::Grounded { mass, restitution };
                }
                self.now.state[tail] = 0.0;
                self.now.state[tail + 1] = after;
                for i in 0..self.items.len() {
                    let jump = self.motion.direction * (before - after);
                    for (k, part) in [jump.x, jump.y, jump.z].into_iter().enumerate() {
                        self.now.state[i * BODY + 3 + k] += part;
                    }
                }
                self.refresh();
            }
            ShellState::Grounded { mass, restitution } => {
                let weight = if self.motion.gravity == Gravity::Throughout {
                    mass * STANDARD_GRAVITY
                } else {
                    0.0
                };
                let push = self.now.loads.shell.dot(self.motion.direction);
                if push + weight < -1e-9 * (mass * STANDARD_GRAVITY) {
                    self.motion.shell = ShellState::Aloft { mass, restitution };
                    self.now.state[tail] = 0.0;
                    self.now.state[tail + 1] = -1e-12;
                    self.refresh();
                }
            }
            _ => {}
        }
    }

    fn refresh(&mut self) {
        let Moment {
            state, rate, loads, ..
        } = &mut self.now;
        self.motion.derive(state, loads, rate);
    }

    /// Ends the first pulses that end within the step just taken, at their own moment.
    fn locate_pulse_ends(&mut self, taken: f64) {
        for i in 0..self.items.len() {
            if self.items[i].end.is_some() || self.items[i].most_push == 0.0 {
                continue;
            }
            let limit = PULSE_ENDS * self.items[i].most_push;
            if -self.next.loads.force[i].dot(self.motion.direction) > limit {
                continue;
            }
            // An item in a row may barely touch its neighbour while both still fall: that is no end of a pulse.
            let along = |v: Vec3| v.dot(self.motion.direction);
            let speed = along(Posture::read(&self.next.state[i * BODY..]).v);
            if !self.precision.looks_closer && speed > 0.5 * along(self.start[i]) {
                continue;
            }
            let (mut low, mut high) = (0.0, taken);
            let mut at = self.next.clone();
            if self.precision.looks_closer {
                let mut trial = Moment::default();
                for _ in 0..60 {
                    let middle = f64::midpoint(low, high);
                    self.stepper.step(&self.motion, &self.now, middle, &mut trial);
                    self.evaluations += 6;
                    if -trial.loads.force[i].dot(self.motion.direction) > limit {
                        low = middle;
                    } else {
                        high = middle;
                        std::mem::swap(&mut at, &mut trial);
                    }
                    if high - low < 1e-13 {
                        break;
                    }
                }
            }
            self.observe_pulse(i, &at);
            let body = &self.motion.packing.bodies[i];
            let p = Posture::read(&at.state[i * BODY..]);
            let pulled = match self.motion.gravity {
                Gravity::Throughout => at.t,
                Gravity::UntilContact | Gravity::Never => 0.0,
            };
            self.items[i].end = Some(PulseEnd {
                time: at.t,
                velocity_change: p.v - self.start[i] - self.motion.direction * (STANDARD_GRAVITY * pulled),
                displacement: p.x,
                velocity: p.v,
                quaternion: (p.real, p.turn),
                spin: p.turned(p.spin),
                energy: if self.watch.energy {
                    self.motion.energy(&at.state)
                } else {
                    0.0
                },
                turning_energy: 0.5 * p.spin.dot(product(&body.inertia, p.spin)),
            });
        }
    }

    fn observe_pulse(&mut self, i: usize, at: &Moment) {
        let how = self.sampling();
        let item = &mut self.items[i];
        let sample = sample(&self.motion, i, at, &item.points);
        take(&mut item.pulse, at, i, &how, &sample);
    }

    fn sampling(&self) -> Sampling {
        let is_close = self.precision.looks_closer;
        Sampling {
            direction: self.motion.direction,
            keeps_states: is_close,
            looks_closer: is_close,
        }
    }

    /// Looks closer at the two steps around a top: where the force has a kink, no parabola reads it.
    fn look_closer(&mut self) {
        let how = Sampling {
            looks_closer: false,
            ..self.sampling()
        };
        let step = (self.now.t - self.before.t) / f64::from(CLOSER);
        if step <= 0.0 {
            return;
        }
        let mut closer: Vec<Tally> = self.items.iter().map(|item| tally(item.points.len())).collect();
        let mut at = self.before.clone();
        let mut next = at.clone();
        for k in 0..=CLOSER {
            for (i, tally) in closer.iter_mut().enumerate() {
                let sample = sample(&self.motion, i, &at, &self.items[i].points);
                take(tally, &at, i, &how, &sample);
            }
            if k < CLOSER {
                self.stepper.step(&self.motion, &at, step, &mut next);
                self.evaluations += 6;
                std::mem::swap(&mut at, &mut next);
            }
        }
        for (item, closer) in self.items.iter_mut().zip(&closer) {
            merge(&mut item.whole, closer);
            if item.end.is_none() {
                merge(&mut item.pulse, closer);
            }
        }
    }

    /// Takes the present moment into every account.
    fn observe(&mut self) {
        let mut top = false;
        let how = self.sampling();
        let due = self
            .watch
            .every
            .is_some_and(|every| self.now.t >= self.next_record as f64 * every - 1e-12);
        for i in 0..self.items.len() {
            let item = &mut self.items[i];
            let sample = sample(&self.motion, i, &self.now, &item.points);
            top |= take(&mut item.whole, &self.now, i, &how, &sample);
            let push = -self.now.loads.force[i].dot(self.motion.direction);
            if item.end.is_none() {
                item.most_push = item.most_push.max(push);
                let (crushed, strikes) = self.now.loads.beyond[i];
                item.beyond.0 |= crushed > CRUSHED * item.most_push;
                item.beyond.1 |= strikes;
                top |= take(&mut item.pulse, &self.now, i, &how, &sample);
            }
            if due {
                let p = &sample.posture;
                item.history.push(Record {
                    time: self.now.t,
                    acceleration: self.now.loads.force[i]
                        / (self.motion.packing.bodies[i].mass * STANDARD_GRAVITY),
                    points: sample.points.iter().map(|(a, _)| *a / STANDARD_GRAVITY).collect(),
                    displacement: p.x,
                    quaternion: (p.real, p.turn),
                    spin: p.turned(p.spin),
                    strain: self.now.loads.strain[i],
                });
            }
        }
        if due {
            self.next_record += 1;
        }
        if top && how.looks_closer && self.motion.shell == ShellState::Still {
            self.look_closer();
        }
        if self.watch.strains {
            let contacts = &self.motion.packing.contacts;
            self.strains.resize(contacts.len(), 0.0);
            for (most, contact) in self.strains.iter_mut().zip(contacts) {
                *most = most.max(self.motion.strain(&self.now.state, contact));
            }
        }
        if self.watch.energy {
            let energy = self.motion.energy(&self.now.state);
            self.energy_error = self.energy_error.max((energy - self.energy_start).abs());
        }
    }

    fn done(self) -> Simulation {
        let motion = &self.motion;
        let energy_end = if self.watch.energy {
            motion.energy(&self.now.state)
        } else {
            0.0
        };
        let courses = self
            .items
            .into_iter()
            .enumerate()
            .map(|(i, item)| {
                let most = |tally: &Tally| most_strained(motion, i, tally);
                let most_strained = if self.precision.looks_closer {
                    (most(&item.pulse), most(&item.whole))
                } else {
                    (Vec::new(), Vec::new())
                };
                Course {
                    first_pulse: finish(item.pulse),
                    horizon: finish(item.whole),
                    end: item.end,
                    bottomed: item.beyond.0,
                    strikes: item.beyond.1,
                    most_strained,
                    history: item.history,
                }
            })
            .collect();
        Simulation {
            courses,
            energy_error: self.energy_error,
            energy_end,
            evaluations: self.evaluations,
            strains: self.strains,
        }
    }
}
