//! The equations of motion of the packing, in the frame of the shell.
//!
//! State of a body: displacement and velocity of its centre, quaternion (body to case), angular velocity in body axes.
//! The shell adds its own travel along the fall, below the floor positive. The model is exact rigid-body motion; see
//! `docs/drop-model.md` for what it leaves out.

use super::kernel::{Affine, Run, Sums};
use super::packing::{Body, Group, Packing};
use crate::LawError;
use caddis_basis::STANDARD_GRAVITY;
use caddis_geometry::Vec3;

/// Sliding speed about which friction fades, m/s: small beside an impact, large enough that steps stay long.
const CREEPING: f64 = 0.02;

/// Numbers of one body in the state.
pub(super) const BODY: usize = 13;

/// What pulls while the foam is in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gravity {
    /// Always.
    Throughout,
    /// Only while an item touches no foam: for laws that already hold gravity's work in the stroke.
    UntilContact,
    /// Not at all: the speed at impact still comes from the height.
    Never,
}

/// The shell's own motion in the simulation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum ShellState {
    /// Stopped dead.
    Still,
    /// On the floor, free to leave it.
    Grounded { mass: f64, restitution: f64 },
    /// In the air.
    Aloft { mass: f64, restitution: f64 },
}

/// Position of one body as read from a state.
#[derive(Debug, Clone, Copy)]
pub(super) struct Posture {
    pub x: Vec3,
    pub v: Vec3,
    /// Unit quaternion: real part and vector.
    pub real: f64,
    pub turn: Vec3,
    /// Body axes.
    pub spin: Vec3,
}

impl Posture {
    pub(super) fn read(state: &[f64]) -> Self {
        let length = state[6..10].iter().map(|q| q * q).sum::<f64>().sqrt();
        Self {
            x: Vec3::new(state[0], state[1], state[2]),
            v: Vec3::new(state[3], state[4], state[5]),
            real: state[6] / length,
            turn: Vec3::new(state[7], state[8], state[9]) / length,
            spin: Vec3::new(state[10], state[11], state[12]),
        }
    }

    /// (R - 1) r without the loss of forming R first.
    pub(super) fn moved(&self, r: Vec3) -> Vec3 {
        let t = self.turn.cross(r);
        t * (2.0 * self.real) + self.turn.cross(t) * 2.0
    }

    /// (R^T - 1) r.
    pub(super) fn moved_back(&self, r: Vec3) -> Vec3 {
        let t = self.turn.cross(r);
        t * (-2.0 * self.real) + self.turn.cross(t) * 2.0
    }

    /// R r.
    pub(super) fn turned(&self, r: Vec3) -> Vec3 {
        r + self.moved(r)
    }

    /// R^T r.
    pub(super) fn turned_back(&self, r: Vec3) -> Vec3 {
        r + self.moved_back(r)
    }

    /// Angle of the rotation, radians.
    pub(super) fn angle(&self) -> f64 {
        2.0 * self.turn.length().atan2(self.real.abs())
    }
}

/// What the foam does at one moment.
#[derive(Debug, Clone, Default)]
pub(super) struct Loads {
    /// On each body: force and moment about its displaced centre, case axes; largest strain of its patches.
    pub force: Vec<Vec3>,
    pub moment: Vec<Vec3>,
    pub strain: Vec<f64>,
    /// Force on each body of foam beyond the greatest strain of its law, N, and whether it meets something hard.
    pub beyond: Vec<(f64, bool)>,
    /// On the shell.
    pub shell: Vec3,
    /// Angular acceleration of each body, body axes.
    pub twist: Vec<Vec3>,
    /// The bodies' postures, read once.
    postures: Vec<Posture>,
}

/// Packing, fall and shell: what the right-hand side needs.
pub(super) struct Motion<'a> {
    pub packing: &'a Packing,
    pub direction: Vec3,
    pub gravity: Gravity,
    pub friction: f64,
    pub shell: ShellState,
}

impl Motion<'_> {
    /// Numbers in the state.
    pub(super) fn len(&self) -> usize {
        self.packing.bodies.len() * BODY + 2
    }

    /// Forces at a state.
    pub(super) fn loads(&self, state: &[f64], loads: &mut Loads) {
        let count = self.packing.bodies.len();
        loads.force.clear();
        loads.force.resize(count, Vec3::ZERO);
        loads.moment.clear();
        loads.moment.resize(count, Vec3::ZERO);
        loads.strain.clear();
        loads.strain.resize(count, 0.0);
        loads.beyond.clear();
        loads.beyond.resize(count, (0.0, false));
        loads.shell = Vec3::ZERO;
        loads.postures.clear();
        loads
            .postures
            .extend((0..count).map(|i| Posture::read(&state[i * BODY..])));
        for group in &self.packing.groups {
            let own = loads.postures[group.body];
            let other = group.against.map(|b| loads.postures[b]);
            let sums = self.sums(group, &own, other.as_ref());
            let spring = &self.packing.springs[group.spring];
            for b in [Some(group.body), group.against].into_iter().flatten() {
                if spring.is_hard {
                    loads.beyond[b].1 |= sums.strain > 0.0;
                } else {
                    loads.strain[b] = loads.strain[b].max(sums.strain);
                    loads.beyond[b].0 += sums.beyond;
                }
            }
            if sums.force == 0.0 {
                continue;
            }
            let push = group.normal * sums.force;
            let rub = if self.friction > 0.0 {
                self.rub(group, &own, other.as_ref(), &sums)
            } else {
                Vec3::ZERO
            };
            // Both act at the centre of the pressure; moments are times the force, so that no division is needed.
            let on_body = group.normal - rub;
            loads.force[group.body] -= push - rub * sums.force;
            loads.moment[group.body] -= own.turned(sums.moment).cross(on_body);
            match (group.against, other) {
                (Some(b), Some(other)) => {
                    // At the point of its own that the foam is fixed to, so that the pair keeps its energy.
                    let apart = self.packing.bodies[group.body].centre - self.packing.bodies[b].centre;
                    let arm = other.turned(sums.moment + apart * sums.force);
                    loads.force[b] += push - rub * sums.force;
                    loads.moment[b] += arm.cross(on_body);
                }
                _ => loads.shell += push - rub * sums.force,
            }
        }
    }

    /// Friction of a group of patches on the body they belong to, per newton of their pressure: against the way their centre
    /// of pressure slides over the foam, its size the coefficient save where the sliding comes to rest.
    ///
    /// # Accuracy
    /// All patches of a group are taken to slide as their centre of pressure does: turning on the spot does not rub. Below a
    /// few times [`CREEPING`] it fades with the speed.
    ///
    /// # Source
    /// Coulomb's law of dry friction, made smooth at rest as v / sqrt(v² + v0²).
    fn rub(&self, group: &Group, own: &Posture, other: Option<&Posture>, sums: &Sums) -> Vec3 {
        let at = sums.moment / sums.force;
        let mut speed = own.v + own.turned(own.spin.cross(at));
        if let (Some(b), Some(other)) = (group.against, other) {
            let apart = self.packing.bodies[group.body].centre - self.packing.bodies[b].centre;
            speed -= other.v + other.turned(other.spin.cross(at + apart));
        }
        let slides = speed - group.normal * speed.dot(group.normal);
        slides * (-self.friction / (slides.dot(slides) + CREEPING * CREEPING).sqrt())
    }

    fn sums(&self, group: &Group, own: &Posture, other: Option<&Posture>) -> Sums {
        let spring = &self.packing.springs[group.spring];
        let compression = self.compression(group, own, other);
        let rate = if spring.is_rated() {
            self.rate(group, own, other)
        } else {
            Affine {
                value: 0.0,
                slope: Vec3::ZERO,
            }
        };
        let mut sums = Sums::NONE;
        let mut open: Option<(usize, usize)> = None;
        let mut run = |from, to| {
            sums.add(
                Run {
                    columns: &group.columns,
                    from,
                    to,
                    compression,
                    rate,
                }
                .sums(spring, self.packing.arch),
            );
        };
        for tile in &group.tiles {
            let s = compression.slope;
            let reach = compression.value
                + (s.x * tile.low.x).max(s.x * tile.high.x)
                + (s.y * tile.low.y).max(s.y * tile.high.y)
                + (s.z * tile.low.z).max(s.z * tile.high.z);
            let touches = reach > tile.gap;
            open = match (open, touches) {
                (Some((from, _)), true) => Some((from, tile.to)),
                (None, true) => Some((tile.from, tile.to)),
                (Some((from, to)), false) => {
                    run(from, to);
                    None
                }
                (None, false) => None,
            };
        }
        if let Some((from, to)) = open {
            run(from, to);
        }
        sums
    }

    /// Compression over the patches of a group, as a function of their place on the body.
    fn compression(&self, group: &Group, own: &Posture, other: Option<&Posture>) -> Affine {
        let n = group.normal;
        let mut out = Affine {
            value: n.dot(own.x),
            slope: own.moved_back(n),
        };
        if let (Some(b), Some(other)) = (group.against, other) {
            // The same material line on the other body moves by its own displacement and turn.
            let apart = self.packing.bodies[group.body].centre - self.packing.bodies[b].centre;
            let slope = other.moved_back(n);
            out.value -= n.dot(other.x) + slope.dot(apart);
            out.slope -= slope;
        }
        out
    }

    /// The rate of [`Motion::compression`].
    fn rate(&self, group: &Group, own: &Posture, other: Option<&Posture>) -> Affine {
        let n = group.normal;
        let mut out = Affine {
            value: n.dot(own.v),
            slope: own.turned_back(n.cross(own.turned(own.spin))),
        };
        if let (Some(b), Some(other)) = (group.against, other) {
            let apart = self.packing.bodies[group.body].centre - self.packing.bodies[b].centre;
            let slope = other.turned_back(n.cross(other.turned(other.spin)));
            out.value -= n.dot(other.v) + slope.dot(apart);
            out.slope -= slope;
        }
        out
    }

    /// The derivative of a state; leaves the forces in `loads`.
    pub(super) fn derive(&self, state: &[f64], loads: &mut Loads, out: &mut [f64]) {
        self.loads(state, loads);
        let tail = self.packing.bodies.len() * BODY;
        let push = loads.shell.dot(self.direction);
        out[tail] = 0.0;
        out[tail + 1] = 0.0;
        let mut frame = 0.0;
        if let ShellState::Aloft { mass, .. } = self.shell {
            let pull = if self.gravity == Gravity::Throughout {
                STANDARD_GRAVITY
            } else {
                0.0
            };
            frame = pull + push / mass;
            out[tail] = state[tail + 1];
            out[tail + 1] = frame;
        }
        loads.twist.clear();
        for (i, body) in self.packing.bodies.iter().enumerate() {
            let at = i * BODY;
            let posture = loads.postures[i];
            let pull = match self.gravity {
                Gravity::Throughout => STANDARD_GRAVITY,
                Gravity::UntilContact if loads.strain[i] <= 0.0 => STANDARD_GRAVITY,
                Gravity::UntilContact | Gravity::Never => 0.0,
            };
            let acceleration = loads.force[i] / body.mass + self.direction * (pull - frame);
            let twist = twist(body, &posture, loads.moment[i]);
            loads.twist.push(twist);
            let (q, v, w) = (posture.real, posture.turn, posture.spin);
            let real = -0.5 * v.dot(w);
            let turn = (w * q + v.cross(w)) * 0.5;
            out[at..at + BODY].copy_from_slice(&[
                posture.v.x,
                posture.v.y,
                posture.v.z,
                acceleration.x,
                acceleration.y,
                acceleration.z,
                real,
                turn.x,
                turn.y,
                turn.z,
                twist.x,
                twist.y,
                twist.z,
            ]);
        }
    }

    /// Energy of a state: motion, foam as if without losses, height.
    pub(super) fn energy(&self, state: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (i, body) in self.packing.bodies.iter().enumerate() {
            let p = Posture::read(&state[i * BODY..]);
            let pull = if self.gravity == Gravity::Throughout {
                STANDARD_GRAVITY
            } else {
                0.0
            };
            sum += 0.5 * body.mass * p.v.dot(p.v) + 0.5 * p.spin.dot(product(&body.inertia, p.spin))
                - body.mass * pull * p.x.dot(self.direction);
        }
        for contact in &self.packing.contacts {
            let strain = self.strain(state, contact);
            let patch = &contact.patch;
            sum += patch.area * patch.thickness * self.packing.springs[patch.law].energy(strain);
        }
        sum
    }

    /// Strain of one patch; at or below 0 out of contact.
    pub(super) fn strain(&self, state: &[f64], contact: &super::packing::Contact) -> f64 {
        let n = contact.patch.direction;
        let moved = |body: usize| {
            let p = Posture::read(&state[body * BODY..]);
            p.x + p.moved(contact.patch.point - self.packing.bodies[body].centre)
        };
        let against = contact.against.map_or(Vec3::ZERO, moved);
        ((moved(contact.body) - against).dot(n) - contact.patch.gap) / contact.patch.thickness
    }
}

/// Angular acceleration in body axes: I dw/dt = R^T T - w x (I w).
fn twist(body: &Body, posture: &Posture, moment: Vec3) -> Vec3 {
    let w = posture.spin;
    let own = posture.turned_back(moment) - w.cross(product(&body.inertia, w));
    product(&body.inverse, own)
}

/// A matrix by rows times a vector.
pub(super) fn product(rows: &[Vec3; 3], v: Vec3) -> Vec3 {
    Vec3::new(rows[0].dot(v), rows[1].dot(v), rows[2].dot(v))
}

/// State of one item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodyState {
    /// Displacement of the centre, m.
    pub displacement: Vec3,
    /// Velocity of the centre, m/s.
    pub velocity: Vec3,
    /// Quaternion from body to case (real part, vector); need not be of unit length.
    pub quaternion: (f64, Vec3),
    /// Angular velocity in body axes, rad/s.
    pub spin: Vec3,
}

/// Strain above which a patch counts as in contact: below, it is rounding.
const TOUCH: f64 = 1e-12;

/// What the model says of one item in one state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instant {
    /// Force of the foam, N.
    pub force: Vec3,
    /// Its moment about the displaced centre, N m.
    pub moment: Vec3,
    /// Angular acceleration in body axes, rad/s².
    pub twist: Vec3,
    /// Largest strain.
    pub strain: f64,
    /// Patches in contact.
    pub in_contact: usize,
}

impl Packing {
    /// Forces and energy (J) of a state of every item, without integration; the shell stands still.
    ///
    /// # Errors
    /// Not one state for each item.
    pub fn instant(
        &self,
        states: &[BodyState],
        direction: Vec3,
        gravity: Gravity,
    ) -> Result<(Vec<Instant>, f64), LawError> {
        if states.len() != self.bodies.len() {
            return Err(LawError::Settings(format!(
                "{} states for {} items",
                states.len(),
                self.bodies.len()
            )));
        }
        let motion = Motion {
            packing: self,
            direction,
            gravity,
            friction: 0.0,
            shell: ShellState::Still,
        };
        let mut state = Vec::with_capacity(motion.len());
        for s in states {
            let (q, t) = s.quaternion;
            state.extend([s.displacement.x, s.displacement.y, s.displacement.z]);
            state.extend([s.velocity.x, s.velocity.y, s.velocity.z]);
            state.extend([q, t.x, t.y, t.z, s.spin.x, s.spin.y, s.spin.z]);
        }
        state.extend([0.0, 0.0]);
        let mut loads = Loads::default();
        let mut rate = vec![0.0; motion.len()];
        motion.derive(&state, &mut loads, &mut rate);
        let instants = (0..states.len())
            .map(|i| Instant {
                force: loads.force[i],
                moment: loads.moment[i],
                twist: loads.twist[i],
                strain: loads.strain[i],
                in_contact: self
                    .contacts
                    .iter()
                    .filter(|c| (c.body == i || c.against == Some(i)) && motion.strain(&state, c) > TOUCH)
                    .count(),
            })
            .collect();
        Ok((instants, motion.energy(&state)))
    }
}
