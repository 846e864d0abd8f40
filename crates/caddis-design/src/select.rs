//! Select: the stages tried over a library of shells.
//!
//! Every shell is tried. Outer bounds come first and cost microseconds; what they let pass gets a quick layout; the best by
//! the measure asked are arranged in full and verified. Where no shell holds everything, or none within the mass asked, the packing
//! list is split over several. Prices come from outside, since design knows none.

mod alternatives;
mod bounds;
mod figures;
mod split;

use crate::arrange::{Glance, KnownWays, UNPROVED, glance};
use crate::{ArrangeOptions, Brief, Checks, Interior, Verification, arrange, release, verify};
pub use alternatives::alternatives;
use bounds::Bounds;
use caddis_basis::{Domain, Finding, Flow, Mass, Money, Outcome, Progress, Said, Severity, Source, said};
use caddis_layout::SearchOptions;
use caddis_survey::Shell;
use figures::Contents;
pub use figures::{Figures, Measure};
pub use split::{Split, SplitCase};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Steps of a quick layout, at most.
const GLANCE_STEPS: u64 = 60_000;

/// Shells laid out between two looks at what is already found.
const BATCH: usize = 32;

/// What a design costs, asked of whoever knows prices.
pub trait Pricing: Sync {
    /// The price of the interior with its shell; `None` where it cannot be told.
    fn price(&self, brief: &Brief, interior: &Interior) -> Option<Money>;
}

/// Nobody knows a price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unpriced;

impl Pricing for Unpriced {
    fn price(&self, _: &Brief, _: &Interior) -> Option<Money> {
        None
    }
}

/// How to select.
#[derive(Debug, Clone, Copy)]
pub struct SelectOptions {
    /// What to rank by.
    pub by: Measure,
    /// How hard to look when arranging in full; the seed and the workers hold for all stages.
    pub arrange: ArrangeOptions,
    /// How many of the best are arranged in full and verified.
    pub in_full: usize,
    /// Stop laying out once so many fit and no other can rank before them; `None` lays out every shell that may fit.
    pub best: Option<usize>,
    /// Gross mass that no case may pass, with what it stands for in words.
    pub most_mass: Option<(Mass, fn() -> Said)>,
    /// Cases a packing list may be split over; 1 for no splitting.
    pub most_cases: usize,
}

/// How far a shell came.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing {
    /// It does not do: the one reason, with its margin where there is one.
    Refused(Box<Finding>),
    /// It need not be tried: it cannot rank before what was found. What it would reach at best is in the figures.
    Passed,
    /// Everything can be laid out in it.
    LaidOut {
        /// Whether its cushions are those its load path asks for.
        is_settled: bool,
    },
    /// Arranged in full and verified.
    Arranged {
        /// The interior.
        interior: Box<Interior>,
        /// What verification says of it.
        verification: Box<Verification>,
        /// Failing findings that no concession covers.
        open: usize,
    },
}

impl Standing {
    /// Where it stands before others: fewer is better.
    fn rank(&self) -> (usize, usize) {
        match self {
            Self::Arranged { open, .. } => (0, *open),
            Self::LaidOut { is_settled: true, .. } => (1, 0),
            Self::LaidOut { .. } => (1, 1),
            Self::Passed => (2, 0),
            Self::Refused(_) => (3, 0),
        }
    }

    /// Whether everything lies in it.
    pub fn fits(&self) -> bool {
        matches!(self, Self::LaidOut { .. } | Self::Arranged { .. })
    }
}

/// One shell tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Index into the shells given.
    pub shell: usize,
    /// How far it came.
    pub standing: Standing,
    /// What it measures.
    pub figures: Figures,
}

/// Every shell tried, the best first.
#[derive(Debug, Clone, PartialEq)]
pub struct Selection {
    /// What it is ranked by.
    pub by: Measure,
    /// Those that do, then those not needed, then the refused, least missing first.
    pub candidates: Vec<Candidate>,
    /// Shells that the outer bounds let pass.
    pub within_bounds: usize,
    /// The packing list over several cases, where one does not do.
    pub split: Option<Split>,
    /// Whether it was stopped before every shell was tried.
    pub is_stopped: bool,
}

impl Selection {
    /// The best shell that holds everything.
    pub fn best(&self) -> Option<&Candidate> {
        self.candidates
            .first()
            .filter(|candidate| candidate.standing.fits())
    }
}

/// Tries every shell for the brief, whose own shell does not count.
///
/// The same question gives the same selection whatever the number of workers.
pub fn select(
    brief: &Brief,
    shells: &[Shell],
    pricing: &dyn Pricing,
    options: &SelectOptions,
    progress: &dyn Progress,
) -> Selection {
    let known = KnownWays::new(brief, shells.iter());
    let contents = Contents::of(brief);
    let bounds = Bounds::new(brief, &known);
    let mut tried = Tried {
        brief,
        shells,
        known: &known,
        contents: &contents,
        bounds: &bounds,
        pricing,
        options,
        progress,
        is_stopped: false,
    };
    let mut candidates: Vec<Candidate> = Vec::with_capacity(shells.len());
    let mut open: Vec<(Figures, usize)> = Vec::new();
    for (index, shell) in shells.iter().enumerate() {
        let figures = Figures::at_best(&contents, shell);
        match bounds.refusal(shell, options.most_mass) {
            Some(finding) => candidates.push(Candidate {
                shell: index,
                standing: Standing::Refused(Box::new(finding)),
                figures,
            }),
            None => open.push((figures, index)),
        }
    }
    let within_bounds = open.len();
    open.sort_by(|a, b| a.0.cmp_by(&b.0, options.by).then(a.1.cmp(&b.1)));
    candidates.extend(tried.laid_out(open));
    sort(&mut candidates, options.by);
    tried.arranged(&mut candidates);
    sort(&mut candidates, options.by);
    let has_one = candidates
        .first()
        .is_some_and(|candidate| candidate.standing.fits());
    let split = (!has_one && options.most_cases > 1 && !tried.is_stopped)
        .then(|| split::split(&tried))
        .flatten();
    Selection {
        by: options.by,
        candidates,
        within_bounds,
        split,
        is_stopped: tried.is_stopped,
    }
}

/// What is tried, and on what.
struct Tried<'a> {
    brief: &'a Brief,
    shells: &'a [Shell],
    known: &'a KnownWays,
    contents: &'a Contents,
    bounds: &'a Bounds,
    pricing: &'a dyn Pricing,
    options: &'a SelectOptions,
    progress: &'a dyn Progress,
    is_stopped: bool,
}

impl Tried<'_> {
    fn search(&self, steps: u64) -> SearchOptions {
        SearchOptions {
            seed: self.options.arrange.seed,
            steps: self.options.arrange.steps.min(steps),
            workers: 1,
        }
    }

    /// Lays out the shells in the order given, those first that may rank first.
    fn laid_out(&mut self, open: Vec<(Figures, usize)>) -> Vec<Candidate> {
        let mut done: Vec<Candidate> = Vec::with_capacity(open.len());
        let total = open.len().max(1);
        let mut waiting = open.into_iter().peekable();
        while let Some((figures, _)) = waiting.peek() {
            // One whose load path asks for more ranks after every one that has enough: it ends no search.
            let enough = self.options.best.is_some_and(|best| {
                let better = done.iter().filter(|candidate| {
                    candidate.standing.rank() <= (1, 0)
                        && candidate.figures.cmp_by(figures, self.options.by).is_le()
                });
                better.count() >= best
            });
            let fraction = 0.8 * done.len() as f64 / total as f64;
            let words = format!("{} of {total} shells", done.len());
            if self.progress.report("select", fraction, Some(&words)) == Flow::Stop {
                self.is_stopped = true;
            }
            if enough || self.is_stopped {
                break;
            }
            let batch: Vec<(Figures, usize)> = waiting.by_ref().take(BATCH).collect();
            done.extend(self.batch(&batch));
        }
        done.extend(waiting.map(|(figures, shell)| Candidate {
            shell,
            standing: Standing::Passed,
            figures,
        }));
        done
    }

    /// Lays out some shells on all workers; the results stand in the order of the shells.
    fn batch(&self, batch: &[(Figures, usize)]) -> Vec<Candidate> {
        let next = AtomicUsize::new(0);
        let found: Vec<Mutex<Option<Candidate>>> = batch.iter().map(|_| Mutex::new(None)).collect();
        let work = || {
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed);
                let Some((figures, shell)) = batch.get(at) else {
                    return;
                };
                let candidate = self.candidate(*shell, figures);
                if let Ok(mut place) = found[at].lock() {
                    *place = Some(candidate);
                }
            }
        };
        let workers = self.options.arrange.workers.clamp(1, batch.len().max(1));
        std::thread::scope(|scope| {
            for _ in 1..workers {
                scope.spawn(work);
            }
            work();
        });
        found
            .into_iter()
            .filter_map(|place| place.into_inner().ok().flatten())
            .collect()
    }

    fn candidate(&self, shell: usize, at_best: &Figures) -> Candidate {
        let items: Vec<usize> = (0..self.brief.items.len()).collect();
        let brief = Brief {
            shell: self.shells[shell].clone(),
            ..self.brief.clone()
        };
        match self.fits(&brief, &items) {
            Ok(found) => {
                let figures = Figures::at_a_glance(&brief, self.contents, &found);
                let standing = match self.too_heavy(&figures) {
                    Some(finding) => Standing::Refused(Box::new(finding)),
                    None => Standing::LaidOut {
                        is_settled: found.is_settled,
                    },
                };
                Candidate {
                    shell,
                    standing,
                    figures,
                }
            }
            Err(finding) => Candidate {
                shell,
                standing: Standing::Refused(finding),
                figures: *at_best,
            },
        }
    }

    /// A quick layout, or the one reason against it.
    fn fits(&self, brief: &Brief, items: &[usize]) -> Result<Glance, Box<Finding>> {
        let look = |steps: u64| glance(brief, self.known, items, &self.search(steps));
        // What a quick look did not find, and did not disprove, gets the whole budget before it is refused.
        let found = look(GLANCE_STEPS).or_else(|reasons| {
            let is_proved = reasons.first().is_none_or(|reason| reason.code != UNPROVED);
            if is_proved { Err(reasons) } else { look(u64::MAX) }
        });
        found.map_err(|reasons| {
            Box::new(reasons.into_iter().next().unwrap_or_else(|| {
                Finding::new(
                    "not-laid-out",
                    Domain::Arrangement,
                    Severity::Failing,
                    said!("interior"),
                    said!("no layout was found within the step budget"),
                    Source::derived(said!("search; no proof that there is none")),
                )
            }))
        })
    }

    fn too_heavy(&self, figures: &Figures) -> Option<Finding> {
        let (limit, words) = self.options.most_mass?;
        let mass = figures.gross_mass?;
        (mass > limit).then(|| {
            bounds::heavier(mass, limit, words, |mass, more, limit| {
                said!(
                    "the packed case weighs {mass:.1}, {more:.1} more than {limit}",
                    mass,
                    more,
                    limit
                )
            })
        })
    }

    /// Arranges the best in full, in their order, and verifies them.
    fn arranged(&mut self, candidates: &mut [Candidate]) {
        let fitting = candidates
            .iter()
            .take_while(|candidate| candidate.standing.fits())
            .count();
        let asked = self.options.in_full.min(fitting);
        for (index, candidate) in candidates.iter_mut().take(asked).enumerate() {
            if self.is_stopped {
                return;
            }
            let brief = Brief {
                shell: self.shells[candidate.shell].clone(),
                ..self.brief.clone()
            };
            let part = Part {
                progress: self.progress,
                from: 0.8 + 0.2 * index as f64 / asked as f64,
                share: 0.2 / asked as f64,
            };
            match arrange(&brief, &self.options.arrange, &part) {
                Outcome::Complete(interior) => {
                    // Every candidate is judged on flat falls; the one that is taken is simulated when it is verified.
                    let checks = Checks {
                        falls: None,
                        spread: None,
                        ..Checks::default()
                    };
                    let verification = verify(&interior, &brief, &checks, &part);
                    let open = match release(&verification, &brief.concessions) {
                        Ok(_) => 0,
                        Err(blocked) => blocked.open.len(),
                    };
                    candidate.figures = Figures::of(&brief, &interior);
                    candidate.figures.price = self.pricing.price(&brief, &interior);
                    candidate.standing = match self.too_heavy(&candidate.figures) {
                        Some(finding) => Standing::Refused(Box::new(finding)),
                        None => Standing::Arranged {
                            interior: Box::new(interior),
                            verification: Box::new(verification),
                            open,
                        },
                    };
                }
                Outcome::Stopped { .. } => self.is_stopped = true,
                Outcome::Impossible { reasons } => {
                    if let Some(reason) = reasons.into_iter().next() {
                        candidate.standing = Standing::Refused(Box::new(reason));
                    }
                }
            }
        }
    }
}

/// A share of the whole progress.
struct Part<'a> {
    progress: &'a dyn Progress,
    from: f64,
    share: f64,
}

impl Progress for Part<'_> {
    fn report(&self, _: &str, fraction: f64, best: Option<&str>) -> Flow {
        let done = self.from + self.share * fraction.clamp(0.0, 1.0);
        self.progress.report("select", done, best)
    }
}

/// Those that do by the measure, then those not needed, then the refused by how little is missing.
fn sort(candidates: &mut [Candidate], by: Measure) {
    let missing = |candidate: &Candidate| match &candidate.standing {
        Standing::Refused(finding) => finding.margin.as_ref().map_or(f64::INFINITY, |margin| {
            -margin.room() / margin.limit.abs().max(1e-9)
        }),
        _ => 0.0,
    };
    candidates.sort_by(|a, b| {
        (a.standing.rank().cmp(&b.standing.rank()))
            .then(missing(a).total_cmp(&missing(b)))
            .then(a.figures.cmp_by(&b.figures, by))
            .then(a.shell.cmp(&b.shell))
    });
}

#[cfg(test)]
mod tests;
