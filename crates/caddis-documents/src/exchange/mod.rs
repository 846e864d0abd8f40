//! The interior for other people's programs: the same bodies as STEP, 3MF and STL, in case coordinates.
//!
//! Foam layers stand at their net size as they are cut; equipment as what is known of it. What stands for what is said in the
//! files themselves: a body's name carries it.

mod bodies;
mod step;
mod stl;
mod threemf;

use crate::date::ymd;
use crate::{Document, DocumentError};
use bodies::{Body, body, count};
use caddis_basis::in_order;
use caddis_design::{Brief, Interior};

/// What the exchange files are written from.
#[derive(Debug, Clone, Copy)]
pub struct ExchangeInput<'a> {
    /// The question.
    pub brief: &'a Brief,
    /// The answer.
    pub interior: &'a Interior,
    /// Without a release every body's name begins with NOT RELEASED.
    pub is_released: bool,
    /// ISO date, year-month-day.
    pub date: &'a str,
    /// Version of the program.
    pub version: &'a str,
}

/// The interior as bodies, made once for every file that holds them.
#[derive(Debug, Clone)]
pub struct Solids {
    title: String,
    date: String,
    version: String,
    bodies: Vec<Body>,
    /// Why bodies are left out, one sentence each.
    missing: Vec<String>,
}

impl Solids {
    /// Makes them on up to `threads` threads; their order and shape do not depend on how many. Foam whose outlines come too near each
    /// other to be told apart is left out: the titles then say so, and [`Solids::incomplete`] says which.
    ///
    /// # Errors
    /// An interior that is not of its brief.
    pub fn of(input: &ExchangeInput, threads: usize) -> Result<Self, DocumentError> {
        let mut bodies = Vec::new();
        let mut missing = Vec::new();
        for made in in_order(count(input), threads, |index| body(input, index)) {
            match made {
                Ok(body) => bodies.push(body),
                Err(DocumentError::Exchange(why)) => missing.push(why),
                Err(other) => return Err(other),
            }
        }
        let whole = if missing.is_empty() { "" } else { "INCOMPLETE " };
        Ok(Self {
            title: format!("{whole}{}{}", marked(input.is_released), input.brief.title),
            date: input.date.to_owned(),
            version: input.version.to_owned(),
            bodies,
            missing,
        })
    }

    /// Which bodies the files lack and why, as a file of its own beside them; `None` where they lack none.
    pub fn incomplete(&self) -> Option<Document> {
        if self.missing.is_empty() {
            return None;
        }
        let mut text = "interior.step, interior.3mf and interior.stl lack these bodies; cut files and papers do not rest on them:\n".to_owned();
        for why in &self.missing {
            text.push_str(why);
            text.push('\n');
        }
        Some(Document {
            name: INCOMPLETE.to_owned(),
            media_type: "text/plain",
            bytes: text.into_bytes(),
        })
    }
}

/// The file that says which bodies the exchange files lack.
pub const INCOMPLETE: &str = "interior-incomplete.txt";

/// How far chords may leave arcs in files of triangles, metres.
pub(crate) const CHORD: f64 = 1e-4;

/// The interior as STEP: planes and cylinders, exact.
///
/// # Units
/// Millimetres.
///
/// # Accuracy
/// Foam layers and simple equipment are exact: one solid for each connected piece, arcs as cylinders. Equipment given as a mesh
/// is that mesh where it is small and closed, else its outer sections.
///
/// # Source
/// ISO 10303-21 (clear text), application protocol 214; the entities as in AP214 (from memory), each file read by a second
/// program in the tests.
///
/// # Errors
/// A date that is none.
pub fn interior_step(solids: &Solids) -> Result<Document, DocumentError> {
    ymd(&solids.date)?;
    Ok(Document {
        name: "interior.step".to_owned(),
        media_type: "model/step",
        bytes: step::write(&solids.title, &solids.date, &solids.version, &solids.bodies).into_bytes(),
    })
}

/// The interior as 3MF: named, coloured, closed triangle meshes.
///
/// # Units
/// Millimetres.
///
/// # Accuracy
/// Chords within 0.1 mm of arcs; numbers to a hundredth of a micrometre.
///
/// # Source
/// 3MF core specification 1.x (from memory), opened by a second program in the tests.
///
/// # Errors
/// An archive that cannot be written.
pub fn interior_3mf(solids: &Solids) -> Result<Document, DocumentError> {
    Ok(Document {
        name: "interior.3mf".to_owned(),
        media_type: "model/3mf",
        bytes: threemf::write(&solids.title, &solids.bodies)?,
    })
}

/// The interior as one binary STL, without names and colours.
///
/// # Units
/// Millimetres, which the format cannot say.
pub fn interior_stl(solids: &Solids) -> Document {
    Document {
        name: "interior.stl".to_owned(),
        media_type: "model/stl",
        bytes: stl::write(&solids.version, &solids.bodies),
    }
}

/// What stands before names.
fn marked(is_released: bool) -> &'static str {
    if is_released { "" } else { "NOT RELEASED " }
}
