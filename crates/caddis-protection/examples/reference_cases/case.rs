//! One reference case of the drop: reading its input, simulating it, writing its outputs under their names.

use caddis_basis::{Length, STANDARD_GRAVITY};
use caddis_geometry::Vec3;
use caddis_protection::Patch;
use caddis_protection::drop::{
    BodyState, Contact, Course, Extremes, Fall, Gravity, Hysteresis, Landing, Packing, Peak, Precision,
    RigidBody, Spring, SpringForm, Watch, simulate,
};
use serde_json::{Map, Value, json};

/// A case as read.
pub(crate) struct Case {
    /// Its name.
    pub(crate) id: String,
    packing: Packing,
    fall: Fall,
    mass: f64,
    centre: Vec3,
    point: Vec3,
    horizon: f64,
    elastic: bool,
    snapshots: Vec<(f64, BodyState)>,
    interval: f64,
}

/// A field that is missing or is not what it should be.
pub(crate) type Complaint = String;

fn field<'a>(value: &'a Value, name: &str) -> Result<&'a Value, Complaint> {
    value
        .get(name)
        .ok_or_else(|| format!("field \"{name}\" is missing"))
}

fn number(value: &Value, name: &str) -> Result<f64, Complaint> {
    field(value, name)?
        .as_f64()
        .ok_or_else(|| format!("field \"{name}\" is not a number"))
}

fn numbers(value: &Value, what: &str, count: usize) -> Result<Vec<f64>, Complaint> {
    value
        .as_array()
        .map(|list| list.iter().filter_map(Value::as_f64).collect::<Vec<f64>>())
        .filter(|list| list.len() == count)
        .ok_or_else(|| format!("{what} is not a list of {count} numbers"))
}

fn vector(value: &Value, what: &str) -> Result<Vec3, Complaint> {
    let v = numbers(value, what, 3)?;
    Ok(Vec3::new(v[0], v[1], v[2]))
}

/// A spring from its JSON form.
pub(crate) fn spring(law: &Value) -> Result<Spring, Complaint> {
    let get = |name| number(law, name);
    let form = match field(law, "type")?.as_str() {
        Some("closed_cell") => SpringForm::PlateauGas {
            s0: get("s0")?,
            e0: get("e0")?,
            p0: get("p0")?,
            r: get("R")?,
        },
        Some("stress_energy") => SpringForm::StressEnergy {
            a: get("a")?,
            b: get("b")?,
            ramp: get("e1")?,
        },
        Some("mindlin_tangent") => SpringForm::Tangent {
            modulus: get("k")?,
            lock: get("eb")?,
        },
        Some("linear") => SpringForm::Linear { modulus: get("E")? },
        other => return Err(format!("law type {other:?} is not one of the reference's four")),
    };
    let spring = Spring::new(form).map_err(|e| e.to_string())?;
    match law.get("hysteresis").filter(|h| !h.is_null()) {
        None => Ok(spring),
        Some(h) => spring
            .with_hysteresis(Hysteresis {
                eta: number(h, "eta")?,
                rate: number(h, "edot0")?,
            })
            .map_err(|e| e.to_string()),
    }
}

impl Case {
    /// Reads one case of a `drop-reference-1` file.
    pub(crate) fn read(case: &Value) -> Result<Self, Complaint> {
        let id = field(case, "id")?.as_str().unwrap_or_default().to_owned();
        let input = field(case, "input")?;
        let item = field(input, "item")?;
        let laws = field(input, "laws")?
            .as_array()
            .ok_or("field \"laws\" is not a list")?;
        let springs = laws.iter().map(spring).collect::<Result<Vec<_>, _>>()?;
        let contacts = field(input, "patches")?
            .as_array()
            .ok_or("field \"patches\" is not a list")?
            .iter()
            .map(|row| {
                let v = numbers(row, "a patch", 10)?;
                Ok(Contact {
                    patch: Patch {
                        point: Vec3::new(v[0], v[1], v[2]),
                        // Directions are printed to twelve digits.
                        direction: Vec3::new(v[3], v[4], v[5]).unit(),
                        area: v[6],
                        thickness: v[7],
                        gap: v[8],
                        law: v[9] as usize,
                    },
                    body: 0,
                    against: None,
                })
            })
            .collect::<Result<Vec<_>, Complaint>>()?;
        let tensor = field(item, "inertia_com")?
            .as_array()
            .filter(|rows| rows.len() == 3)
            .ok_or("field \"inertia_com\" is not three rows")?;
        let body = RigidBody {
            mass: number(item, "mass")?,
            centre: vector(field(item, "com")?, "\"com\"")?,
            inertia: [
                vector(&tensor[0], "a row of \"inertia_com\"")?,
                vector(&tensor[1], "a row of \"inertia_com\"")?,
                vector(&tensor[2], "a row of \"inertia_com\"")?,
            ],
        };
        let gravity = field(input, "gravity_in_stroke")?
            .as_bool()
            .ok_or("field \"gravity_in_stroke\" is not true or false")?;
        let expected = case.get("expected");
        let snapshots = expected
            .and_then(|e| e.get("snapshots"))
            .and_then(Value::as_array)
            .map_or(Ok(Vec::new()), |list| list.iter().map(state).collect())?;
        Ok(Self {
            id,
            packing: Packing::new(&[body], springs, contacts).map_err(|e| e.to_string())?,
            fall: Fall {
                direction: vector(field(input, "direction")?, "\"direction\"")?.unit(),
                height: Length::from_si(number(input, "height")?),
                gravity: if gravity {
                    Gravity::Throughout
                } else {
                    Gravity::Never
                },
                friction: 0.0,
                landing: Landing::StopsDead,
            },
            mass: body.mass,
            centre: body.centre,
            point: vector(field(field(input, "point")?, "p")?, "\"p\"")?,
            horizon: number(input, "t_end")?,
            elastic: laws
                .iter()
                .all(|law| law.get("hysteresis").is_none_or(Value::is_null)),
            snapshots,
            interval: expected
                .and_then(|e| e.get("history"))
                .and_then(|h| h.get("dt"))
                .and_then(Value::as_f64)
                .unwrap_or(1e-4),
        })
    }

    /// Simulates the case and writes what the reference writes.
    pub(crate) fn outputs(&self) -> Result<Value, Complaint> {
        let watch = Watch {
            points: vec![(0, self.point)],
            every: Some(self.interval),
            energy: true,
            ..Watch::default()
        };
        let simulation = simulate(
            &self.packing,
            &self.fall,
            &Precision::reference(self.horizon),
            &watch,
        )
        .map_err(|e| e.to_string())?;
        let course = &simulation.courses[0];
        let v0 = (2.0 * STANDARD_GRAVITY * self.fall.height.si()).sqrt();
        let e0 = 0.5 * self.mass * v0 * v0;
        let mut first = window(&course.first_pulse, &course.most_strained.0);
        if let Some(end) = &course.end {
            let rebound = -end.velocity.dot(self.fall.direction);
            let (q, t) = end.quaternion;
            first.insert("t_end_pulse".into(), json!(end.time));
            first.insert("delta_v".into(), list(end.velocity_change));
            first.insert("delta_v_mag".into(), json!(end.velocity_change.length()));
            first.insert("rebound_speed".into(), json!(rebound));
            first.insert("rebound_ratio".into(), json!(rebound / v0));
            first.insert("v_end".into(), list(end.velocity));
            first.insert("x_end".into(), list(end.displacement));
            first.insert("omega_end".into(), list(end.spin));
            first.insert("quat_end".into(), json!([q, t.x, t.y, t.z]));
            first.insert("energy_end_over_E0".into(), json!(end.energy / e0));
            first.insert("rot_energy_end_over_E0".into(), json!(end.turning_energy / e0));
        }
        Ok(json!({
            "id": self.id,
            "v0": v0,
            "E0": e0,
            "first_pulse": first,
            "horizon": window(&course.horizon, &course.most_strained.1),
            "energy_residual": self.elastic.then_some(simulation.energy_error / e0),
            "energy_lost_at_horizon_over_E0": (!self.elastic).then_some((e0 - simulation.energy_end) / e0),
            "snapshots": self.snapshots()?,
            "history": history(course, self.interval),
        }))
    }

    fn snapshots(&self) -> Result<Vec<Value>, Complaint> {
        let radius = self.point - self.centre;
        self.snapshots
            .iter()
            .map(|(t, state)| {
                let (instants, energy) = self
                    .packing
                    .instant(&[*state], self.fall.direction, self.fall.gravity)
                    .map_err(|e| e.to_string())?;
                let now = &instants[0];
                // In body axes first: alpha x r + w x (w x r), then turned into the case frame.
                let own = now.twist.cross(radius) + state.spin.cross(state.spin.cross(radius));
                let point = now.force / self.mass + turned(state.quaternion, own);
                Ok(json!({
                    "t": t,
                    "force": list(now.force),
                    "torque_about_com": list(now.moment),
                    "domega_body_dt": list(now.twist),
                    "a_point_proper": list(point),
                    "energy": energy,
                    "max_strain": now.strain,
                    "patches_in_contact": now.in_contact,
                }))
            })
            .collect()
    }
}

fn turned((q, t): (f64, Vec3), v: Vec3) -> Vec3 {
    let length = (q * q + t.dot(t)).sqrt();
    let (q, t) = (q / length, t / length);
    let c = t.cross(v);
    v + c * (2.0 * q) + t.cross(c) * 2.0
}

fn state(snapshot: &Value) -> Result<(f64, BodyState), Complaint> {
    let q = numbers(field(snapshot, "quat_wxyz")?, "\"quat_wxyz\"", 4)?;
    Ok((
        number(snapshot, "t")?,
        BodyState {
            displacement: vector(field(snapshot, "x")?, "\"x\"")?,
            velocity: vector(field(snapshot, "v")?, "\"v\"")?,
            quaternion: (q[0], Vec3::new(q[1], q[2], q[3])),
            spin: vector(field(snapshot, "omega_body")?, "\"omega_body\"")?,
        },
    ))
}

fn list(v: Vec3) -> Value {
    json!([v.x, v.y, v.z])
}

fn window(extremes: &Extremes, patches: &[usize]) -> Map<String, Value> {
    let point = extremes.points.first().copied().unwrap_or_default();
    // Widened by a microsecond, as the reference does.
    let span = |peak: &Peak| json!([peak.window.0 - 1e-6, peak.window.1 + 1e-6]);
    let mut out = Map::new();
    for (name, value) in [
        ("peak_G_cm", json!(extremes.centre.value)),
        ("t_peak_cm", json!(extremes.centre.time)),
        ("t_peak_cm_window", span(&extremes.centre)),
        ("peak_G_point", json!(point.value)),
        ("t_peak_point", json!(point.time)),
        ("t_peak_point_window", span(&point)),
        ("max_strain", json!(extremes.strain.value)),
        ("t_max_strain", json!(extremes.strain.time)),
        ("max_strain_patches", json!(patches)),
        ("max_disp_cm", json!(extremes.travel)),
        ("max_disp_cm_along_d", json!(extremes.travel_along)),
        ("max_disp_point", json!(extremes.point_travels.first())),
        ("max_rotation_deg", json!(extremes.rotation.to_degrees())),
    ] {
        out.insert(name.to_owned(), value);
    }
    out
}

fn history(course: &Course, interval: f64) -> Value {
    let rows: Vec<Value> = course
        .history
        .iter()
        .map(|r| {
            let (a, x, (q, t), w) = (r.acceleration, r.displacement, r.quaternion, r.spin);
            let point = r.points.first().map_or(0.0, |p| p.length());
            json!([
                r.time, a.x, a.y, a.z, point, x.x, x.y, x.z, q, t.x, t.y, t.z, w.x, w.y, w.z, r.strain
            ])
        })
        .collect();
    json!({
        "dt": interval,
        "columns": [
            "t", "acm_x_G", "acm_y_G", "acm_z_G", "apoint_G", "x", "y", "z", "qw", "qx", "qy", "qz", "wx", "wy", "wz",
            "max_strain"
        ],
        "rows": rows,
    })
}
