//! Flat nesting: foam parts on sheets, true shape, never turned over.

mod fill;
mod home;
mod lane;
mod left;
mod verdict;

use crate::SearchOptions;
use crate::pack::{Figures, SheetQuestion, pack_sheets};
use caddis_basis::Progress;
use caddis_geometry::{Placement2, Region as Plan};
use fill::Bench;
use home::Home;
use lane::{Copy, best_filling};
pub use left::{Keepable, left_of};
use verdict::finished;

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
    PreparedNesting::new(parts.to_vec(), sheets).nested(enough, options, progress)
}

/// Parts and sheets prepared for several nestings that differ in nothing but how many copies are wanted: where two outlines may
/// lie against each other is found once for all of them.
#[derive(Debug)]
pub struct PreparedNesting<'a> {
    bench: Bench<'a>,
    home: Home,
    figures: Figures,
    parts: Vec<SheetPart>,
}

impl<'a> PreparedNesting<'a> {
    /// Prepares them.
    pub fn new(parts: Vec<SheetPart>, sheets: &'a [Sheet]) -> Self {
        let home = Home::new(&parts);
        Self {
            bench: Bench::new(&home.parts, sheets),
            home,
            figures: Figures::default(),
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
        self.nested(enough, options, progress)
    }

    fn nested(&self, enough: f64, options: &SearchOptions, progress: &dyn Progress) -> Nesting {
        let (bench, home, parts) = (&self.bench, &self.home, &self.parts);
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
            parts: &home.parts,
            sheets,
            copies: &wanted,
            figures: &self.figures,
            options,
            progress,
        };
        let (filling, steps) = if sheets.iter().any(Sheet::is_plain) {
            best_filling(bench, &copies, enough, options, progress)
        } else {
            (None, 0)
        };
        let is_plain = sheets.iter().all(Sheet::is_plain);
        let (laid, steps) = match filling {
            Some((key, filled)) if key.places_all() || is_plain => {
                let laid: Vec<Laid> = filled
                    .into_iter()
                    .map(|sheet| (sheet.kind, sheet.parts))
                    .collect();
                if key.costs_at_most(enough) {
                    (laid, steps)
                } else {
                    let (better, more) = pack_sheets(&question, Some(&laid));
                    (
                        better.map_or(laid, |better| bench.drawn_together(better)),
                        steps + more,
                    )
                }
            }
            _ => {
                // Without a start there is no answer only where there is nothing to place, or nothing to place it on.
                let (laid, more) = pack_sheets(&question, None);
                (bench.drawn_together(laid.unwrap_or_default()), steps + more)
            }
        };
        let laid = home.put_back(laid);
        finished(parts, sheets, laid, &copies, unplaced, steps)
    }
}
