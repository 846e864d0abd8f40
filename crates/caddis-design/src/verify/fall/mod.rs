//! Every item in simulated falls: every direction, and the harsher landings.
//!
//! All items move together, each on the patches that rays found behind it, coupled to the neighbours its foam leans on.
//! The shell stopping dead is the map over 642 directions. A bouncing shell is tried in the 26 directions of faces, edges
//! and corners and in every item's own worst; a case long enough that its far end comes down faster than it fell, landing
//! one end first, on every side that allows it. The verdict takes the worst.

mod asked;
mod assumptions;
mod words;

use super::FallChecks;
use super::landing::{ends_first, principal};
use super::laws::law_error;
use super::packing::{gravity, packing, shell_mass};
use super::reverse::{heights, reverse_words};
use super::shock::shock;
use super::tried::tried;
use crate::{Brief, Direction, FallVerdict, Falls, Interior, ItemVerdict, LandingCase, Packed};
pub(crate) use asked::{AskedFoam, asked};
use assumptions::{assumptions, rebound};
use caddis_basis::{Acceleration, Domain, Finding, Said, Severity, Source, Speed, Verdict, said};
use caddis_geometry::Vec3;
use caddis_protection::LawError;
use caddis_protection::drop::{
    Fall, FallMemory, ItemFall, Landing, Packing, Precision, fall_directions, name_of_direction,
};
use caddis_survey::Fragility;
use words::{finding, sentence};

/// Judges every item and adds its falls, verdict and findings; returns what was assumed.
pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    (packed, memory): (&[Packed], &FallMemory),
    asked: &FallChecks,
    items: &mut [ItemVerdict],
    findings: &mut Vec<Finding>,
) -> Vec<Said> {
    let answer = packing(interior, brief, packed, asked.cell).and_then(|packing| {
        let found = simulated((&packing, memory), interior, brief, asked, &fall_directions())?;
        let heights = heights((&packing, memory), &found, asked.threads)?;
        Ok((packing, found, heights))
    });
    match answer {
        Ok((packing, found, heights)) => {
            for (index, item) in items.iter_mut().enumerate() {
                let survey = &brief.items[interior.places[index].item];
                if !matches!(survey.fragility, Fragility::None) {
                    judge(brief, &survey.fragility, item, &found, index, findings);
                    let Some(falls) = &mut item.falls else { continue };
                    if falls.verdict == Verdict::Fails {
                        let limit = known_limit(&survey.fragility);
                        if let (_, Some(worst)) = worst(&found, index)
                            && !found[worst].items[index].strikes
                            && let Some(words) = tried(&packing, &found[worst].fall, index, limit)
                        {
                            set_remedy(findings, &interior.places[index].instance.to_string(), words);
                        }
                    }
                    falls.held_from = heights.held_from(index, &survey.fragility);
                    let (_, worst) = worst(&found, index);
                    falls.shock =
                        worst.and_then(|fall| shock(&packing, &found[fall].fall, interior, brief, index));
                    reverse_words(item, &survey.fragility, brief, findings);
                }
            }
            let mut words = assumptions(brief, interior, asked, found.len());
            words.push(heights.words());
            words
        }
        Err(error) => {
            findings.push(
                Finding::new(
                    "falls-not-simulated",
                    Domain::Protection,
                    Severity::Failing,
                    said!("case"),
                    said!(
                        "the falls could not be simulated: {error}",
                        error = law_error(&error)
                    ),
                    Source::derived(said!("the simulation's own limits")),
                )
                .remedy(said!("correct what it names and verify again")),
            );
            Vec::new()
        }
    }
}

/// Puts what was tried into the finding of an item's falls.
fn set_remedy(findings: &mut [Finding], place: &str, words: Said) {
    let of_falls = |f: &&mut Finding| f.place == *place && f.code.starts_with("fall-");
    if let Some(finding) = findings.iter_mut().find(of_falls) {
        finding.remedy = Some(words);
    }
}

/// What an item stands, where somebody says.
fn known_limit(fragility: &Fragility) -> Option<Acceleration> {
    match fragility {
        Fragility::Known(limit) => Some(limit.least()),
        Fragility::Unknown | Fragility::None => None,
    }
}

/// One fall and what each item did in it.
pub(super) struct Found {
    pub landing: LandingCase,
    pub fall: Fall,
    /// Which edge lands first, where one does.
    pub edge: Option<Said>,
    pub items: Vec<ItemFall>,
}

fn simulated(
    (packing, memory): (&Packing, &FallMemory),
    interior: &Interior,
    brief: &Brief,
    asked: &FallChecks,
    net: &[Vec3],
) -> Result<Vec<Found>, LawError> {
    let height = brief.handling.drop_height.most();
    let gravity = gravity(brief);
    let fall = |direction, landing| Fall {
        direction,
        height,
        gravity,
        friction: 0.0,
        landing,
    };
    let run = |falls: &[Fall]| memory.simulate_all(packing, falls, &Precision::DESIGN, asked.threads);
    let falls: Vec<Fall> = net.iter().map(|d| fall(*d, Landing::StopsDead)).collect();
    let mut found: Vec<Found> = run(&falls)?
        .into_iter()
        .zip(&falls)
        .map(|(items, fall)| Found {
            landing: LandingCase::StopsDead,
            fall: *fall,
            edge: None,
            items,
        })
        .collect();
    let by_fall: Vec<Vec<ItemFall>> = found.iter().map(|fall| fall.items.clone()).collect();
    let chosen = chosen(net, &by_fall, packing.bodies());
    let harsher = landings(interior, brief, asked, &chosen, fall);
    let falls: Vec<Fall> = harsher.iter().map(|(_, fall, _)| *fall).collect();
    for (items, (landing, fall, edge)) in run(&falls)?.into_iter().zip(harsher) {
        found.push(Found {
            landing,
            fall,
            edge,
            items,
        });
    }
    Ok(found)
}

/// Faces, edges, corners and each item's worst direction.
fn chosen(directions: &[Vec3], found: &[Vec<ItemFall>], items: usize) -> Vec<Vec3> {
    let mut chosen = principal();
    for item in 0..items {
        let worst = (0..found.len()).fold(0, |best, i| {
            if severity(&found[i][item]) > severity(&found[best][item]) {
                i
            } else {
                best
            }
        });
        if !chosen.contains(&directions[worst]) {
            chosen.push(directions[worst]);
        }
    }
    chosen
}

/// The falls beside those in which the shell stops dead: with friction and bouncing in the chosen directions, and one end
/// first, with which edge that is.
fn landings(
    interior: &Interior,
    brief: &Brief,
    asked: &FallChecks,
    chosen: &[Vec3],
    fall: impl Fn(Vec3, Landing) -> Fall,
) -> Vec<(LandingCase, Fall, Option<Said>)> {
    let mut out = Vec::new();
    if let Some((friction, _)) = &brief.handling.foam_friction {
        out.extend(chosen.iter().map(|d| {
            let rubs = Fall {
                friction: *friction,
                ..fall(*d, Landing::StopsDead)
            };
            (LandingCase::Rubs, rubs, None)
        }));
    }
    if let Some(restitution) = rebound(brief, asked) {
        let landing = Landing::Bounces {
            mass: shell_mass(interior, brief),
            restitution,
        };
        out.extend(
            chosen
                .iter()
                .map(|d| (LandingCase::Bounces, fall(*d, landing), None)),
        );
    }
    if asked.end_first {
        let ends = ends_first(brief).into_iter();
        out.extend(ends.map(|(d, landing, edge)| (LandingCase::EndFirst, fall(d, landing), Some(edge))));
    }
    out
}

/// Higher is worse: whatever bottoms or strikes is worse than whatever does not.
pub(super) fn severity(fall: &ItemFall) -> f64 {
    if fall.bottomed || fall.strikes {
        1e9 + fall.peak
    } else {
        fall.peak
    }
}

pub(super) fn peak(fall: &ItemFall) -> Option<Acceleration> {
    (!fall.bottomed && !fall.strikes).then(|| Acceleration::g(fall.peak))
}

/// The worst fall of each landing for an item, and the worst of all: indices into the falls, the first of equals.
pub(super) fn worst(found: &[Found], item: usize) -> (Vec<usize>, Option<usize>) {
    let worse = |one: usize, other: usize| {
        if severity(&found[other].items[item]) > severity(&found[one].items[item]) {
            other
        } else {
            one
        }
    };
    let each: Vec<usize> = LandingCase::ALL
        .into_iter()
        .filter_map(|landing| {
            (0..found.len())
                .filter(|i| found[*i].landing == landing)
                .reduce(worse)
        })
        .collect();
    let worst = each.iter().copied().reduce(worse);
    (each, worst)
}

fn judge(
    brief: &Brief,
    fragility: &Fragility,
    item: &mut ItemVerdict,
    found: &[Found],
    index: usize,
    findings: &mut Vec<Finding>,
) {
    let fall_verdict = |fall: &Found| {
        let name = name_of_direction(fall.fall.direction);
        let words = match &fall.edge {
            Some(edge) => said!("{name}, {edge}", name, edge),
            None => name,
        };
        FallVerdict {
            landing: fall.landing,
            direction: fall.fall.direction,
            words,
            peak: peak(&fall.items[index]),
            strain: fall.items[index].strain,
            strikes: fall.items[index].strikes,
        }
    };
    let (each, worst) = worst(found, index);
    let worst_of_each = each.into_iter().map(|i| fall_verdict(&found[i])).collect();
    let Some(worst) = worst.map(|i| fall_verdict(&found[i])) else {
        return;
    };
    let limit = known_limit(fragility);
    let backed = [brief.base_foam, brief.lid_foam]
        .iter()
        .all(|foam| brief.foams[*foam].law.is_measured_dynamic);
    let verdict = match (worst.peak, limit) {
        (None, _) => Verdict::Fails,
        (Some(peak), Some(limit)) if peak > limit => Verdict::Fails,
        (Some(_), None) => Verdict::NotKnown,
        (Some(_), Some(_)) if backed && worst.strain <= greatest_strain(brief) => Verdict::Holds,
        (Some(_), Some(_)) => Verdict::Indicative,
    };
    findings.extend(finding(brief, item, &worst, limit));
    let flat = item.held_to;
    item.held_to = match (flat, worst.peak) {
        (Some(flat), Some(fall)) => Some(flat.max(fall)),
        _ => None,
    };
    item.sentence = sentence(brief, item, &worst, flat, limit);
    item.verdict = Verdict::worse(item.verdict, verdict);
    item.falls = Some(Falls {
        map: found
            .iter()
            .filter(|fall| fall.landing == LandingCase::StopsDead)
            .map(|fall| (fall.fall.direction, peak(&fall.items[index])))
            .collect(),
        on_faces: on_faces(found, index),
        velocity_change: Speed::from_si(
            found
                .iter()
                .map(|fall| fall.items[index].velocity_change)
                .fold(0.0, f64::max),
        ),
        worst_of_each,
        worst,
        shock: None,
        held_from: Vec::new(),
        verdict,
    });
}

/// The highest peak of all landings flat on each face.
fn on_faces(found: &[Found], index: usize) -> [Option<Acceleration>; 6] {
    Direction::ALL.map(|direction| {
        let axis = direction.vector();
        found
            .iter()
            .filter(|fall| fall.fall.direction.dot(axis) > 1.0 - 1e-9)
            .map(|fall| peak(&fall.items[index]))
            .reduce(|a, b| Some(a?.max(b?)))
            .flatten()
    })
}

/// The least of the greatest strains of the job's foams.
fn greatest_strain(brief: &Brief) -> f64 {
    [brief.base_foam, brief.lid_foam]
        .iter()
        .map(|foam| brief.foams[*foam].law.range.greatest_strain)
        .fold(f64::INFINITY, f64::min)
}
