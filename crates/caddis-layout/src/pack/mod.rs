//! Irregular packing by overlap: everything is laid down at once, overlaps and all, and then pushed apart.

mod field;
mod forms;
mod relocate;
mod separate;
mod state;
mod strip;

pub use strip::{StripOptions, StripPacking, StripPart, pack_strip};

/// Experiment.
pub(crate) struct Tune {
    kind: u32,
    eps: f64,
    pub(crate) up_most: f64,
    pub(crate) up_least: f64,
    pub(crate) down: f64,
    pub(crate) lanes: usize,
    pub(crate) local: usize,
    pub(crate) anywhere: usize,
    pub(crate) descents: usize,
    pub(crate) shrink: f64,
    pub(crate) rounds: usize,
}

impl Tune {
    #[inline]
    fn shape(&self, deep: f64, least: f64) -> f64 {
        let e = least * self.eps;
        match self.kind {
            0 => deep + e,
            1 => (deep * deep + e * e).sqrt(),
            2 => (deep * least + e * e).sqrt(),
            _ => deep + (deep * e).sqrt(),
        }
    }
}

pub(crate) fn tune() -> &'static Tune {
    static T: std::sync::OnceLock<Tune> = std::sync::OnceLock::new();
    T.get_or_init(|| {
        let get = |name: &str, or: f64| std::env::var(name).ok().and_then(|v| v.parse().ok()).unwrap_or(or);
        Tune {
            kind: get("T_KIND", 0.0) as u32,
            eps: get("T_EPS", 1.0),
            up_most: get("T_UPM", 2.0),
            up_least: get("T_UPL", 1.2),
            down: get("T_DOWN", 0.95),
            lanes: get("T_LANES", 1.0) as usize,
            local: get("T_LOCAL", 25.0) as usize,
            anywhere: get("T_ANY", 50.0) as usize,
            descents: get("T_DESC", 3.0) as usize,
            shrink: get("T_SHRINK", 0.001),
            rounds: get("T_ROUNDS", 200.0) as usize,
        }
    })
}
