//! The body of a piece, shared: what the engine derives from it is derived once, however many rooms it is tried in.

use crate::engine::Sweep;
use caddis_geometry::SectionStack;
use std::ops::Deref;
use std::sync::{Arc, OnceLock};

/// An Outer section stack that knows its lift-out sweep once somebody has asked for it; cheap to clone.
#[derive(Debug, Clone)]
pub struct Body(Arc<Known>);

#[derive(Debug)]
struct Known {
    stack: SectionStack,
    sweep: OnceLock<Sweep>,
}

impl Body {
    pub(crate) fn sweep(&self) -> &Sweep {
        self.0.sweep.get_or_init(|| Sweep::new(&self.0.stack))
    }
}

impl From<SectionStack> for Body {
    fn from(stack: SectionStack) -> Self {
        Self(Arc::new(Known {
            stack,
            sweep: OnceLock::new(),
        }))
    }
}

impl Deref for Body {
    type Target = SectionStack;

    fn deref(&self) -> &SectionStack {
        &self.0.stack
    }
}

impl PartialEq for Body {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0.stack == other.0.stack
    }
}
