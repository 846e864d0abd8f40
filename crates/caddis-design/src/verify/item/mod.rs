//! Each item in each of six directions.
//!
//! The item falls flat on its patches with the mass it carries along the load path. Where another piece stops a patch, the
//! foam behind that piece is in series with it (its mean thickness is added), and no item is judged gentler than the one
//! it leans on. A case is used again: where a foam has data of later impacts, the worse of first and later counts. Limits:
//! rigid items, the shell stops dead, foam takes only the normal component. `fall` simulates the rest.

mod findings;

use super::laws;
use super::load_path::{Load, loads};
use crate::board::PackedBoard;
use crate::{Brief, Direction, DirectionVerdict, Interior, ItemVerdict, Packed, Support};
use caddis_basis::{
    Acceleration, Area, Domain, Finding, Length, Mass, Pressure, Said, Severity, Source, Verdict, said,
};
use caddis_protection::{DropSettings, Impact, Law, LawError, OutOfRange, Patch, WorkingPoint, flat_drop};
use caddis_survey::{Fragility, Item};
use findings::direction_findings;
use std::collections::BTreeSet;

pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    packed: &[Packed],
    findings: &mut Vec<Finding>,
) -> Vec<ItemVerdict> {
    let masses: Vec<f64> = interior
        .places
        .iter()
        .map(|place| brief.items[place.item].mass.most().si())
        .collect();
    let board = PackedBoard::of(interior, brief);
    let mut by_piece: Vec<Vec<DirectionVerdict>> = vec![Vec::new(); interior.places.len()];
    let foams: BTreeSet<usize> = [brief.base_foam, brief.lid_foam].into_iter().collect();
    let mut impacts = vec![Impact::First];
    if foams.iter().any(|foam| brief.foams[*foam].later.is_some()) {
        impacts.push(Impact::Later);
    }
    let laws_of = |impact| -> Vec<Vec<Law>> {
        let of = |piece: &Packed| crate::mix::laws(brief, &piece.mixes, impact);
        packed.iter().map(of).collect()
    };
    let laws: Vec<Vec<Vec<Law>>> = impacts.into_iter().map(laws_of).collect();
    for (side, direction) in Direction::ALL.into_iter().enumerate() {
        let falls = (side, direction);
        let (loads, order) = loads(packed, &interior.places, &masses, falls, board.as_ref());
        let judged = laws
            .iter()
            .map(|laws| {
                side_verdicts(
                    interior,
                    brief,
                    packed,
                    &Fall {
                        side,
                        direction,
                        laws,
                    },
                    &loads,
                    &order,
                )
            })
            .reduce(|first, later| first.into_iter().zip(later).map(worse_of).collect());
        for (piece, verdict) in judged.into_iter().flatten().enumerate() {
            by_piece[piece].push(verdict);
        }
    }
    let mut out = Vec::with_capacity(interior.places.len());
    let mut left: Vec<(OutOfRange, Said)> = Vec::new();
    for (place, directions) in interior.places.iter().zip(by_piece) {
        let item = &brief.items[place.item];
        let is_soft = matches!(item.fragility, Fragility::None);
        if !is_soft {
            for direction in &directions {
                findings.extend(direction_findings(
                    &place.instance.to_string(),
                    item,
                    brief,
                    direction,
                ));
            }
            for found in &directions {
                let place = said!(
                    "{instance} {direction}",
                    instance = place.instance,
                    direction = found.direction
                );
                left.extend(
                    found
                        .out_of_range
                        .iter()
                        .map(|bound| (bound.clone(), place.clone())),
                );
            }
        }
        out.push(item_verdict(place, item, brief, directions, is_soft, findings));
    }
    findings.extend(laws::out_of_range(brief, &left));
    for index in foams {
        findings.extend(laws::not_dynamic(&brief.foams[index]));
        findings.extend(laws::later_not_known(&brief.foams[index]));
    }
    if packed.iter().any(|piece| !piece.mixes.is_empty()) && !crate::mix::can_mix(brief) {
        findings.push(laws::series_not_known(brief));
    }
    out
}

/// One direction of fall, with the laws of each piece's patches.
struct Fall<'a> {
    side: usize,
    direction: Direction,
    laws: &'a [Vec<Law>],
}

/// The worse verdict; of equal ones, that with the higher peak.
fn worse_of((one, other): (DirectionVerdict, DirectionVerdict)) -> DirectionVerdict {
    let is_worse = if one.verdict == other.verdict {
        other.peak > one.peak
    } else {
        one.verdict.worse(other.verdict) == other.verdict
    };
    if is_worse { other } else { one }
}

/// All pieces in one direction, by place.
fn side_verdicts(
    interior: &Interior,
    brief: &Brief,
    packed: &[Packed],
    fall: &Fall<'_>,
    loads: &[Load],
    order: &[usize],
) -> Vec<DirectionVerdict> {
    let count = interior.places.len();
    let mut mean_thickness = vec![0.0; count];
    let mut done: Vec<Option<DirectionVerdict>> = vec![None; count];
    for &piece in order {
        let patches: Vec<Patch> = packed[piece].sides[fall.side]
            .iter()
            .filter_map(|p| match p.support {
                Support::Void => None,
                // What a board stops is stopped as by the shell.
                Support::Shell | Support::Board => Some(p.patch),
                Support::Piece(other) => Some(Patch {
                    thickness: p.patch.thickness + mean_thickness[other],
                    ..p.patch
                }),
            })
            .collect();
        let bearing: f64 = patches.iter().map(|p| p.area).sum();
        if bearing > 0.0 {
            mean_thickness[piece] = patches.iter().map(|p| p.area * p.thickness).sum::<f64>() / bearing;
        }
        let leant_on: Vec<(usize, Acceleration)> = loads[piece]
            .leans_on
            .iter()
            .filter_map(|(other, _)| Some((*other, done[*other].as_ref()?.peak?)))
            .collect();
        let given = Given {
            direction: fall.direction,
            patches: &patches,
            load: &loads[piece],
            leant_on: &leant_on,
            laws: &fall.laws[piece],
        };
        done[piece] = Some(direction_verdict(interior, brief, piece, &given));
    }
    done.into_iter().flatten().collect()
}

/// What is known of one piece in one direction.
struct Given<'a> {
    direction: Direction,
    patches: &'a [Patch],
    load: &'a Load,
    leant_on: &'a [(usize, Acceleration)],
    laws: &'a [Law],
}

fn direction_verdict(
    interior: &Interior,
    brief: &Brief,
    piece: usize,
    given: &Given<'_>,
) -> DirectionVerdict {
    let item = &brief.items[interior.places[piece].item];
    let bearing: f64 = given.patches.iter().map(|p| p.area).sum();
    let thickness = if bearing > 0.0 {
        given.patches.iter().map(|p| p.area * p.thickness).sum::<f64>() / bearing
    } else {
        0.0
    };
    let least = given
        .patches
        .iter()
        .map(|p| p.thickness)
        .fold(f64::INFINITY, f64::min);
    let carried = Mass::from_si(given.load.carried);
    let limit = match &item.fragility {
        Fragility::Known(fragility) => Some(fragility.least()),
        Fragility::Unknown | Fragility::None => None,
    };
    let static_stress = if bearing > 0.0 {
        carried.weight() / Area::from_si(bearing)
    } else {
        Pressure::ZERO
    };
    let settings = DropSettings {
        mass: carried,
        height: brief.handling.drop_height.most(),
    };
    let drop = if bearing > 0.0 {
        flat_drop(given.laws, given.patches, &settings)
    } else {
        Err(LawError::Bottoms)
    };
    let mut verdict = DirectionVerdict {
        direction: given.direction,
        verdict: Verdict::Fails,
        area: Area::from_si(bearing),
        thickness: Length::from_si(thickness),
        least_thickness: Length::from_si(if least.is_finite() { least } else { 0.0 }),
        carried,
        carries: given
            .load
            .leaning
            .iter()
            .map(|(other, _)| interior.places[*other].instance.clone())
            .collect(),
        static_stress,
        peak: None,
        limit,
        deflection: None,
        strain: None,
        bottoming_margin: None,
        creep: None,
        after_creep: None,
        own_peak: None,
        with: None,
        out_of_range: Vec::new(),
    };
    if given.direction == Direction::Down {
        verdict.creep = super::creep::margin(brief, static_stress);
        verdict.after_creep = super::creep::after(brief, given.laws, given.patches, &settings);
    }
    let drop = match drop {
        Ok(drop) => drop,
        // Not measured there: no verdict is made up.
        Err(LawError::Outside(words)) => {
            verdict.verdict = Verdict::NotKnown;
            verdict.out_of_range = vec![OutOfRange::Unmeasured(words)];
            return verdict;
        }
        Err(_) => return verdict,
    };
    // No item is judged gentler than the one it leans on.
    let harder = given
        .leant_on
        .iter()
        .filter(|(_, peak)| *peak > drop.peak)
        .max_by(|a, b| a.1.si().total_cmp(&b.1.si()).then(b.0.cmp(&a.0)));
    let peak = harder.map_or(drop.peak, |(_, peak)| *peak);
    verdict.own_peak = Some(drop.peak);
    verdict.with = harder.map(|(other, _)| interior.places[*other].instance.clone());
    verdict.peak = Some(peak);
    verdict.deflection = Some(drop.deflection);
    verdict.strain = Some(drop.strain);
    verdict.bottoming_margin = Some(drop.bottoming_margin);
    // Judged at the mean working point: listing every patch would say the same thing hundreds of times.
    let area_of = |law: usize| -> f64 {
        given
            .patches
            .iter()
            .filter(|p| p.law == law)
            .map(|p| p.area)
            .sum()
    };
    let most_of = (0..given.laws.len())
        .max_by(|a, b| area_of(*a).total_cmp(&area_of(*b)).then(b.cmp(a)))
        .unwrap_or(0);
    verdict.out_of_range = given.laws[most_of].range.outside(&WorkingPoint {
        static_stress,
        thickness: verdict.thickness,
        height: brief.handling.drop_height.most(),
        strain: drop.strain,
    });
    let supported = given
        .patches
        .iter()
        .all(|p| given.laws[p.law].is_measured_dynamic);
    verdict.verdict = match limit {
        _ if drop.bottoming_margin < 0.0 => Verdict::Fails,
        Some(limit) if peak > limit => Verdict::Fails,
        None => Verdict::NotKnown,
        Some(_) if supported && verdict.out_of_range.is_empty() => Verdict::Holds,
        Some(_) => Verdict::Indicative,
    };
    verdict
}

fn item_verdict(
    place: &crate::Place,
    item: &Item,
    brief: &Brief,
    directions: Vec<DirectionVerdict>,
    is_soft: bool,
    findings: &mut Vec<Finding>,
) -> ItemVerdict {
    let instance = place.instance.clone();
    if is_soft {
        return ItemVerdict {
            instance,
            number: place.number,
            name: item.name.clone(),
            verdict: Verdict::Holds,
            directions: Vec::new(),
            falls: None,
            held_to: None,
            sentence: item.softness.as_ref().map_or_else(
                || said!("it has no fragility: no fall is judged"),
                |soft| {
                    said!(
                        "soft goods, pressed into {volume}: no fall is judged",
                        volume = soft.volume
                    )
                },
            ),
        };
    }
    let verdict = directions
        .iter()
        .map(|d| d.verdict)
        .fold(Verdict::Holds, Verdict::worse);
    let held_to = directions
        .iter()
        .map(|d| d.peak)
        .try_fold(Acceleration::ZERO, |worst, peak| peak.map(|peak| worst.max(peak)));
    let height = brief.handling.drop_height.most();
    let sentence = match (&item.fragility, held_to) {
        (Fragility::Known(limit), Some(peak)) => {
            said!(
                "at most {peak:.0} in a {height:.0} flat fall on any side, against the {limit:.0} it stands",
                peak,
                height,
                limit = limit.least()
            )
        }
        (_, Some(peak)) => said!(
            "this design holds it to about {peak:.0} from {height:.0}",
            peak,
            height
        ),
        (_, None) if verdict == Verdict::NotKnown => {
            said!(
                "its foam was not measured at every working point of a {height:.0} fall",
                height
            )
        }
        (_, None) => said!(
            "its foam bottoms or is missing on a side in a {height:.0} fall",
            height
        ),
    };
    if let (Fragility::Unknown, Some(peak)) = (&item.fragility, held_to) {
        findings.push(
            Finding::new(
                "fragility-unknown",
                Domain::Protection,
                Severity::Caution,
                &instance,
                said!(
                    "nobody states what {item} stands; this design holds it to about {peak:.0} from {height:.0}",
                    item = item.name,
                    peak,
                    height
                ),
                Source::derived(said!("worst of six flat falls")),
            )
            .remedy(said!("ask its maker, or sign for a fragility class by name")),
        );
    }
    ItemVerdict {
        instance,
        number: place.number,
        name: item.name.clone(),
        verdict,
        directions,
        falls: None,
        held_to,
        sentence,
    }
}
