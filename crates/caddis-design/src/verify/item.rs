//! Each item in each of six directions.
//!
//! The item falls flat on its patches with the mass it carries along the load path. Where another piece stops a patch, the
//! foam behind that piece is in series with it (its mean thickness is added), and no item is judged gentler than the one
//! it leans on. A case is used again: where a foam has data of later impacts, the worse of first and later counts. Limits:
//! rigid items, the shell stops dead, foam takes only the normal component. `fall` simulates the rest.

use super::load_path::{Load, loads};
use crate::{Brief, Direction, DirectionVerdict, Interior, ItemVerdict, Packed, Support};
use caddis_basis::{
    Acceleration, Area, Certainty, Domain, Finding, Length, Margin, Mass, Pressure, Severity, Source, Verdict,
};
use caddis_protection::{DropSettings, Foam, Impact, Law, LawError, Patch, WorkingPoint, flat_drop};
use caddis_survey::{Fragility, Item};
use std::collections::{BTreeMap, BTreeSet};

/// A bottoming margin below this is pointed out: the law steepens there and the scatter of foam decides.
const THIN_MARGIN: f64 = 0.10;

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
        let (loads, order) = loads(packed, &interior.places, &masses, side, direction);
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
    let mut left: Vec<(String, String)> = Vec::new();
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
                let place = format!("{} {}", place.instance, found.direction.as_str());
                left.extend(
                    found
                        .out_of_range
                        .iter()
                        .map(|words| (words.clone(), place.clone())),
                );
            }
        }
        out.push(item_verdict(place, item, brief, directions, is_soft, findings));
    }
    findings.extend(range_finding(brief, &left));
    for index in foams {
        findings.extend(law_finding(&brief.foams[index]));
        findings.extend(later_finding(&brief.foams[index]));
    }
    if packed.iter().any(|piece| !piece.mixes.is_empty()) && !crate::mix::can_mix(brief) {
        findings.push(series_finding(brief));
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
                Support::Shell => Some(p.patch),
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
        let leant_on: Vec<Acceleration> = loads[piece]
            .leans_on
            .iter()
            .filter_map(|(other, _)| done[*other].as_ref().and_then(|verdict| verdict.peak))
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
    leant_on: &'a [Acceleration],
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
        buckling: None,
        out_of_range: Vec::new(),
    };
    if given.direction == Direction::Down {
        verdict.creep = brief.foams[brief.base_foam]
            .creep(static_stress)
            .map(|check| Margin::at_most(check.found / 1e3, check.limit / 1e3, "kPa"));
    }
    let drop = match drop {
        Ok(drop) => drop,
        // Not measured there: no verdict is made up.
        Err(LawError::Outside(words)) => {
            verdict.verdict = Verdict::NotKnown;
            verdict.out_of_range = vec![words];
            return verdict;
        }
        Err(_) => return verdict,
    };
    let peak = given
        .leant_on
        .iter()
        .fold(drop.peak, |worst, &other| worst.max(other));
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

fn direction_findings(instance: &str, item: &Item, brief: &Brief, found: &DirectionVerdict) -> Vec<Finding> {
    let way = found.direction.as_str();
    let place = format!("{instance} {way}");
    let height = brief.handling.drop_height.most();
    let mut out = Vec::new();
    let law = Source::derived(format!(
        "energy balance on the foam's law ({})",
        brief.foams[if found.direction == Direction::Up {
            brief.lid_foam
        } else {
            brief.base_foam
        }]
        .law
        .source
    ));
    if found.area.si() == 0.0 {
        out.push(
            Finding::new(
                "no-support",
                Domain::Protection,
                Severity::Failing,
                &place,
                format!(
                    "{} has no foam that bears it when the case falls {way}",
                    item.name
                ),
                Source::derived("no patch of the item meets foam in that direction"),
            )
            .margin(Margin::at_least(0.0, 1.0, "cm²"))
            .remedy("move it so that foam lies on that side, or add a pad there"),
        );
        return out;
    }
    match (found.peak, found.bottoming_margin) {
        (None, _) if found.verdict == Verdict::NotKnown => {}
        (None, _) => out.push(
            Finding::new(
                "bottoms",
                Domain::Protection,
                Severity::Failing,
                &place,
                format!(
                    "{} crushes its {:.0} of foam solid in a {height:.0} fall {way}",
                    item.name, found.thickness
                ),
                law.clone(),
            )
            .margin(Margin::at_least(-1.0, 0.0, ""))
            .remedy("thicker foam or a stiffer grade on that side, or a larger bearing area"),
        ),
        (Some(_), Some(margin)) if margin < 0.0 => out.push(
            Finding::new(
                "bottoms",
                Domain::Protection,
                Severity::Failing,
                &place,
                format!(
                    "{} compresses its foam past the law's greatest strain in a {height:.0} fall {way}",
                    item.name
                ),
                law.clone(),
            )
            .margin(Margin::at_least(margin, 0.0, ""))
            .remedy("thicker foam or a stiffer grade on that side, or a larger bearing area"),
        ),
        (Some(_), Some(margin)) if margin < THIN_MARGIN => out.push(
            Finding::new(
                "bottoming-margin-thin",
                Domain::Protection,
                Severity::Caution,
                &place,
                format!(
                    "{} uses all but {:.0} % of its foam's stroke in a {height:.0} fall {way}",
                    item.name,
                    margin * 100.0
                ),
                Source::common_practice(),
            )
            .margin(Margin::at_least(margin, THIN_MARGIN, ""))
            .remedy("a little more foam on that side"),
        ),
        _ => {}
    }
    if let (Some(peak), Some(limit)) = (found.peak, found.limit)
        && peak > limit
    {
        let floor =
            found.static_stress.si() < brief.foams[brief.base_foam].law.initial_stress() / limit.as_g();
        out.push(
            Finding::new(
                "peak-over-fragility",
                Domain::Protection,
                Severity::Failing,
                &place,
                format!(
                    "{} sees {:.0} in a {height:.0} fall {way}, more than the {:.0} it stands",
                    item.name, peak, limit
                ),
                law.clone(),
            )
            .margin(Margin::at_most(peak.as_g(), limit.as_g(), "G"))
            .remedy(if floor {
                format!(
                    "the foam is too stiff for so light a load ({:.2} static): relief under it to raise the static stress, \
                     or a softer grade",
                    found.static_stress
                )
            } else {
                "more foam on that side, or a grade whose optimum lies nearer its static stress".to_owned()
            }),
        );
    }
    if let Some(creep) = &found.creep
        && !creep.is_kept()
    {
        let severity = if brief.handling.stored_long {
            Severity::Failing
        } else {
            Severity::Caution
        };
        out.push(
            Finding::new(
                "creep",
                Domain::Protection,
                severity,
                &place,
                format!(
                    "{} presses {:.2} on its foam, above the {:.2} kPa at which it loses a tenth of its thickness over months",
                    item.name, found.static_stress, creep.limit
                ),
                brief.foams[brief.base_foam]
                    .creep_limit
                    .as_ref()
                    .map_or_else(Source::common_practice, |(_, source)| source.clone()),
            )
            .margin(creep.clone())
            .remedy("a larger bearing area or a firmer grade"),
        );
    }
    out
}

/// Where the laws are used outside their range: one finding for the whole design, its places listed by what they leave.
fn range_finding(brief: &Brief, left: &[(String, String)]) -> Option<Finding> {
    let mut groups: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (words, place) in left {
        // "static stress 0.12 kPa is outside the law's 0.2 kPa to 12 kPa": the value goes to the place.
        let (found, bound) = words.split_once(" is ").unwrap_or((words, ""));
        let value = found.find(|c: char| c.is_ascii_digit()).unwrap_or(found.len());
        let (what, value) = found.split_at(value);
        groups
            .entry(format!("{} is {bound}", what.trim()))
            .or_default()
            .push(format!("{place} ({})", value.trim()));
    }
    if groups.is_empty() {
        return None;
    }
    let count = left.len();
    let lists: Vec<String> = groups
        .into_iter()
        .map(|(what, places)| format!("{what} for {}", places.join(", ")))
        .collect();
    Some(
        Finding::new(
            "law-out-of-range",
            Domain::Protection,
            Severity::Caution,
            "foam law",
            format!(
                "the foams' laws are used outside their range in {count} {}: {}",
                if count == 1 { "place" } else { "places" },
                lists.join("; ")
            ),
            brief.foams[brief.base_foam].law.source.clone(),
        )
        .remedy("test the packed items, or get the supplier's curve for those working points"),
    )
}

/// A case is used again, so first-impact data alone are too kind.
fn later_finding(foam: &Foam) -> Option<Finding> {
    foam.later.is_none().then(|| {
        Finding::new(
            "later-impacts-not-known",
            Domain::Protection,
            Severity::Caution,
            &foam.name,
            format!(
                "a case falls more than once, and {} has no data of later impacts: every fall is judged as a first one",
                foam.title
            ),
            foam.law.source.clone(),
        )
        .remedy("get curves of later impacts, or drop specimens on and fit the rows (`caddis foam fit`)")
    })
}

/// Two foams one behind the other that cannot be read together.
fn series_finding(brief: &Brief) -> Finding {
    Finding::new(
        "foams-in-series-not-known",
        Domain::Protection,
        Severity::Caution,
        "foam law",
        "where base and lid foam lie one behind the other, a fall is read by the thicker one's law alone: one of them has no \
         one stress at a strain",
        brief.foams[brief.lid_foam].law.source.clone(),
    )
    .remedy("drop-test the two as they lie")
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
                || "it has no fragility: no fall is judged".to_owned(),
                |soft| format!("soft goods, pressed into {}: no fall is judged", soft.volume),
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
            format!(
                "at most {peak:.0} in a {height:.0} flat fall on any side, against the {:.0} it stands",
                limit.least()
            )
        }
        (_, Some(peak)) => format!("this design holds it to about {peak:.0} from {height:.0}"),
        (_, None) if verdict == Verdict::NotKnown => {
            format!("its foam was not measured at every working point of a {height:.0} fall")
        }
        (_, None) => format!("its foam bottoms or is missing on a side in a {height:.0} fall"),
    };
    if let (Fragility::Unknown, Some(peak)) = (&item.fragility, held_to) {
        findings.push(
            Finding::new(
                "fragility-unknown",
                Domain::Protection,
                Severity::Caution,
                instance.to_string(),
                format!(
                    "nobody states what {} stands; this design holds it to about {peak:.0} from {height:.0}",
                    item.name
                ),
                Source::derived("worst of six flat falls"),
            )
            .remedy("ask its maker, or sign for a fragility class by name"),
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

/// What the law's origin means for every verdict read from it.
fn law_finding(foam: &Foam) -> Option<Finding> {
    if foam.law.is_measured_dynamic {
        return None;
    }
    let what = if foam.law.source.certainty == Certainty::Model {
        "a model"
    } else {
        "not a dynamic measurement"
    };
    Some(
        Finding::new(
            "law-not-dynamic",
            Domain::Protection,
            Severity::Caution,
            &foam.name,
            format!(
                "the law of {} is {what}, so what it says of a fall is indicative",
                foam.title
            ),
            foam.law.source.clone(),
        )
        .remedy("get the supplier's dynamic cushion curve, or run a drop test"),
    )
}
