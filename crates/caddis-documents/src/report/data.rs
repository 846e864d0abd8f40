//! The words and numbers of the report, as the template reads them. Only strings and lists: nothing in them is markup.

use super::PaperInput;
use super::figures::{Figure, Figures};
use super::journey::journey;
use super::sources::Sources;
use super::spread::spread;
use super::{shocks, vibration};
use crate::drawing::{SHADES, block_words, features};
use crate::fall_case::SHADE_WORDS;
use caddis_basis::{Domain, Finding, Length, Measured, Severity, Source};
use caddis_design::{AfterCreep, Concession, DirectionVerdict, LandingCase, Place};
use caddis_geometry::Vec2;
use caddis_survey::{Fitting, FittingGroup, Fragility, HalfSide, Item, ItemShape, Shell, ShellHalf};
use serde_json::{Value, json};

/// Everything the template prints.
pub(crate) fn data(input: &PaperInput, figures: &Figures) -> Value {
    let brief = input.brief;
    let mut sources = Sources::default();
    let case = case(input, &mut sources);
    let contents = contents(input, &mut sources);
    let foams = foams(input, &mut sources);
    let protection = protection(input, figures);
    let shocks = shocks::data(input, figures, &mut sources);
    let vibration = vibration::data(input, figures, &mut sources);
    let checks = checks(input, &mut sources);
    let journey = journey(input, &mut sources);
    let findings = findings(input, &mut sources);
    let shop_findings: Vec<Value> = input
        .set
        .findings
        .iter()
        .map(|f| finding(f, &mut sources))
        .collect();
    let shop = shop(input, figures, &mut sources);
    let drop = &brief.handling.drop_height;
    json!({
        "job": brief.job,
        "title": brief.title,
        "customer": brief.customer,
        "date": input.date,
        "revision": input.revision,
        "version": input.version,
        "shop_name": input.shop.name,
        "released": input.release.is_some(),
        "summary": summary(input),
        "open": open_findings(input),
        "case": case,
        "contents": contents,
        "foams": foams,
        "drop": format!("{drop}, {}", sources.cite(&brief.handling.source)),
        "stored_long": brief.handling.stored_long,
        "cover": list(&figures.cover),
        "apart": list(&figures.apart),
        "plan": list(&figures.plan),
        "sections": list(&figures.sections),
        "packing": list(&figures.packing),
        "packing_list": packing_list(input),
        "wishes": wished(input),
        "score": scored(input),
        "protection": protection,
        "falls": falls(input, figures),
        "shocks": shocks,
        "spread": spread(input),
        "vibration": vibration,
        "checks": checks,
        "journey": journey,
        "findings": findings,
        "concessions": concessions(input, Domain::Protection),
        "other_concessions": concessions(input, Domain::Journey),
        "shop_concessions": concessions(input, Domain::Shop),
        "shop_findings": shop_findings,
        "shop": shop,
        "sources": sources.rows(),
    })
}

fn list(figures: &[Figure]) -> Value {
    figures
        .iter()
        .map(|f| json!({ "path": f.path, "title": f.title }))
        .collect()
}

fn summary(input: &PaperInput) -> Value {
    let parcel = &input.verification.parcel;
    let sides = parcel
        .outside
        .iter()
        .map(|side| format!("{:.0}", side.value.as_mm()))
        .collect::<Vec<_>>();
    let pieces = input.interior.places.len();
    json!([
        ["Case", input.brief.shell.title],
        ["Outside, with fittings", format!("{} mm", sides.join(" × "))],
        ["Gross mass", parcel.gross_mass.to_string()],
        [
            "Equipment",
            format!("{pieces} pieces of {} kinds", input.brief.items.len())
        ],
        [
            "Drop height of the design",
            input.verification.drop_height.to_string()
        ],
        ["Journey", input.brief.journey.title],
    ])
}

fn open_findings(input: &PaperInput) -> Value {
    if input.release.is_some() {
        return json!([]);
    }
    caddis_basis::failing(&input.verification.findings)
        .map(|f| json!([f.place, f.sentence]))
        .collect()
}

fn case(input: &PaperInput, sources: &mut Sources) -> Value {
    let shell = &input.brief.shell;
    let mut rows: Vec<Value> = Vec::new();
    let mut row = |what: String, value: String, source: Option<&Source>, sources: &mut Sources| {
        let source = sources.cite_some(Some(source.unwrap_or(&shell.source)));
        rows.push(json!([what, value, source]));
    };
    for (name, half) in [("Base", &shell.base), ("Lid", &shell.lid)] {
        half_rows(name, half, &mut |what, measured| {
            row(what, measured.to_string(), measured.source.as_ref(), sources);
        });
        row(
            format!("{name} wall thickness"),
            half.wall.to_string(),
            half.wall.source.as_ref(),
            sources,
        );
        let side = half.side;
        let drafts: Vec<String> = shell
            .drafts(side)
            .iter()
            .map(|draft| format!("{:.1}°", draft.as_degrees()))
            .collect();
        let derived = Source::derived("drafts from the two openings and the depth of each half");
        row(
            format!("{name} drafts: left, right, front, back"),
            drafts.join(", "),
            Some(&derived),
            sources,
        );
        let edge = if side == HalfSide::Base { "floor" } else { "crown" };
        for (index, intrusion) in half.intrusions.iter().enumerate() {
            let letter = char::from(b'a' + (index % 26) as u8);
            let mark = if side == HalfSide::Base {
                format!(" ({letter})")
            } else {
                String::new()
            };
            let state = if intrusion.removed {
                "; taken off for this job"
            } else {
                ""
            };
            let what = format!("{}{mark}", capital(&intrusion.name));
            let value = format!("reaches {} from the {edge}{state}", intrusion.to);
            row(what, value, intrusion.to.source.as_ref(), sources);
        }
    }
    for (name, side) in ["length", "width", "height"].into_iter().zip(&shell.outside) {
        row(
            format!("Outside {name}, closed, over fittings"),
            side.to_string(),
            side.source.as_ref(),
            sources,
        );
    }
    row(
        "Empty mass".to_owned(),
        shell.empty_mass.to_string(),
        shell.empty_mass.source.as_ref(),
        sources,
    );
    let ledger: Vec<Value> = shell
        .volume_ledger()
        .into_iter()
        .map(|(cause, lost)| json!([capital(&cause), signed(-lost.as_litres())]))
        .collect();
    let (base, lid) = (
        shell.usable_volume(HalfSide::Base),
        shell.usable_volume(HalfSide::Lid),
    );
    let nominal = shell.nominal_volume();
    let usable = base.as_litres() + lid.as_litres();
    let share = if nominal.as_litres() > 0.0 {
        100.0 * usable / nominal.as_litres()
    } else {
        0.0
    };
    let record = &shell.record;
    let fittings: Vec<Value> = FittingGroup::ALL
        .into_iter()
        .flat_map(|group| {
            let of_group = shell.fittings.iter().filter(move |f| f.group == group);
            of_group.enumerate().map(move |(index, f)| {
                let head = if index == 0 { group.title() } else { "" };
                json!([head, f.count.to_string(), f.name, fitting_state(f)])
            })
        })
        .collect();
    json!({
        "title": shell.title,
        "record": format!(
            "Which sample: {}; mould revision: {}; measured by {} on {}.",
            said(&record.sample), said(&record.mould_revision), said(&record.measured_by), said(&record.measured_on),
        ),
        "rows": rows,
        "nominal": format!("{:.2}", nominal.as_litres()),
        "ledger": ledger,
        "usable": format!("{usable:.2}"),
        "usable_words": format!(
            "Usable, after draft, radii and intrusions: {base} in the base and {lid} in the lid, {share:.0} % of the nominal {nominal}."
        ),
        "fittings": fittings,
        "fitting_words": fitting_words(shell),
    })
}

fn fitting_state(fitting: &Fitting) -> String {
    let mut words = vec![capital(&fitting.condition())];
    if let Some(height) = &fitting.grip_height {
        words.push(format!("grip {height} over the ground"));
    }
    if !fitting.note.is_empty() {
        words.push(fitting.note.clone());
    }
    words.extend(
        fitting
            .callouts
            .iter()
            .map(|callout| format!("see {} in {}", callout.number, callout.photo)),
    );
    words.join("; ")
}

/// What the fittings add up to for the customer's questions.
fn fitting_words(shell: &Shell) -> Vec<String> {
    let mut words: Vec<String> = shell
        .unlocked_spans()
        .into_iter()
        .map(|span| {
            format!(
                "Longest stretch of the rim between {}: {:.0} mm, about ({:.0}, {:.0}) mm from its middle. It says where the \
                 lid is held least, not what it takes to force it.",
                span.held_by,
                span.length.as_mm(),
                span.middle.x * 1e3,
                span.middle.y * 1e3
            )
        })
        .collect();
    words.push(match &shell.stacking_rating {
        Some(rating) => format!("Stacking load by the maker's rating: {rating}."),
        None => "Stacking load: none is stated by a maker, and none is assumed.".to_owned(),
    });
    words
}

/// Two decimals, and no minus before nought.
fn signed(value: f64) -> String {
    let text = format!("{value:.2}");
    if text == "-0.00" {
        "0.00".to_owned()
    } else {
        text.replace('-', "−")
    }
}

fn half_rows(name: &str, half: &ShellHalf, row: &mut dyn FnMut(String, &Measured<Length>)) {
    let end = if half.side == HalfSide::Base {
        "floor"
    } else {
        "crown"
    };
    row(format!("{name} opening, length"), &half.rim.length);
    row(format!("{name} opening, width"), &half.rim.width);
    row(format!("{name} opening, corner radius"), &half.rim.corner_radius);
    row(format!("{name} {end}, length"), &half.floor.length);
    row(format!("{name} {end}, width"), &half.floor.width);
    row(format!("{name} {end}, corner radius"), &half.floor.corner_radius);
    row(format!("{name} depth from the rim plane"), &half.depth);
    row(format!("{name} {end} fillet"), &half.fillet);
}

fn said(text: &str) -> &str {
    if text.trim().is_empty() {
        "not stated"
    } else {
        text
    }
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

fn size_of(item: &Item) -> String {
    let band = item.size_tolerance.as_mm();
    let size = item.bounds().map_or_else(
        || "no extent".to_owned(),
        |b| {
            let s = b.size() * 1000.0;
            format!("{:.0} × {:.0} × {:.0}", s.x, s.y, s.z)
        },
    );
    if band > 0.0 {
        format!("{size} ± {band:.1}")
    } else {
        size
    }
}

fn contents(input: &PaperInput, sources: &mut Sources) -> Value {
    let rows: Vec<Value> = input
        .brief
        .items
        .iter()
        .map(|item| {
            let fragility = match &item.fragility {
                Fragility::Known(limit) => {
                    format!(
                        "{limit}, {}",
                        sources.cite_some(limit.source.as_ref().or(Some(&item.source)))
                    )
                }
                Fragility::Unknown => "not known".to_owned(),
                Fragility::None => "none: soft goods".to_owned(),
            };
            let shape = match &item.shape {
                ItemShape::Primitive(_) => "simple solid".to_owned(),
                ItemShape::Compound(parts) => format!("{} solids", parts.len()),
                ItemShape::Mesh { file, .. } => format!("mesh {file}"),
            };
            json!([
                item.quantity.to_string(),
                item.name,
                item.note,
                size_of(item),
                shape,
                item.mass.to_string(),
                fragility,
                sources.cite(&item.source),
            ])
        })
        .collect();
    let masses: Vec<Value> = input
        .verification
        .masses
        .iter()
        .map(|(what, mass)| json!([capital(what), format!("{:.2}", mass.si())]))
        .collect();
    json!({ "rows": rows, "masses": masses, "gross": format!("{:.2}", input.verification.parcel.gross_mass.value.si()) })
}

fn foams(input: &PaperInput, sources: &mut Sources) -> Value {
    let brief = input.brief;
    let mut used = vec![(brief.base_foam, "base block and trays")];
    if brief.lid_foam == brief.base_foam {
        used[0].1 = "base block, trays and lid pad";
    } else {
        used.push((brief.lid_foam, "lid pad"));
    }
    used.into_iter()
        .filter_map(|(index, place)| {
            let foam = brief.foams.get(index)?;
            let law = if foam.law.is_measured_dynamic {
                "impact data"
            } else {
                "a model: verdicts are indicative"
            };
            Some(json!([
                foam.title,
                place,
                foam.density.to_string(),
                law,
                sources.cite(&foam.law.source)
            ]))
        })
        .collect()
}

fn packing_list(input: &PaperInput) -> Value {
    let mut places: Vec<&Place> = input.interior.places.iter().collect();
    places.sort_by_key(|place| place.number);
    places
        .into_iter()
        .filter_map(|place| {
            let item = input.brief.items.get(place.item)?;
            let up = if place.up.as_str() == "+z" {
                "as it stands".to_owned()
            } else {
                format!("its own {} up", place.up.as_str())
            };
            let first = if item.reach_first { "reach first" } else { "" };
            let remark = [first, item.note.as_str()]
                .into_iter()
                .filter(|t| !t.is_empty())
                .collect::<Vec<_>>();
            Some(json!([
                place.number.to_string(),
                item.name,
                (place.tier + 1).to_string(),
                up,
                remark.join("; "),
            ]))
        })
        .collect()
}

fn wished(input: &PaperInput) -> Value {
    caddis_design::wishes(input.interior, input.brief)
        .into_iter()
        .map(|verdict| {
            json!([
                verdict.place,
                capital(&verdict.wish),
                if verdict.is_met { "met" } else { "not met" },
                capital(&verdict.sentence),
            ])
        })
        .collect()
}

/// The terms of the score and their sum.
fn scored(input: &PaperInput) -> Value {
    let terms = caddis_design::score(input.interior, input.brief);
    let sum: f64 = terms.iter().map(caddis_design::ScoreTerm::points).sum();
    // A zero has no sign on paper.
    let signed = |points: f64| {
        if points == 0.0 {
            "0".to_owned()
        } else {
            format!("{points:+.1}")
        }
    };
    let rows: Vec<Value> = terms
        .iter()
        .map(|term| {
            let value = if term.unit.is_empty() {
                format!("{:.0}", term.value)
            } else {
                format!("{:.1} {}", term.value, term.unit)
            };
            json!([
                capital(term.name),
                value,
                format!("{}", term.weight),
                signed(term.points())
            ])
        })
        .collect();
    json!({ "rows": rows, "sum": signed(sum) })
}

fn some(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |value| format!("{value:.decimals$}"))
}

fn direction(d: &DirectionVerdict) -> Value {
    json!([
        d.direction.as_str(),
        d.verdict.words(),
        format!("{:.1}", d.carried.si()),
        format!("{:.0}", d.area.as_cm2()),
        format!("{:.2}", d.static_stress.as_kpa()),
        format!("{:.0}", d.thickness.as_mm()),
        some(d.own_peak.map(caddis_basis::Acceleration::as_g), 0),
        d.peak
            .map_or_else(|| "bottoms".to_owned(), |peak| format!("{:.0}", peak.as_g())),
        some(d.limit.map(caddis_basis::Acceleration::as_g), 0),
        some(d.deflection.map(Length::as_mm), 0),
        some(d.bottoming_margin.map(|margin| margin * 100.0), 0),
    ])
}

fn protection(input: &PaperInput, figures: &Figures) -> Value {
    input
        .verification
        .items
        .iter()
        .enumerate()
        .map(|(index, item)| {
            let mut notes: Vec<String> = Vec::new();
            for d in &item.directions {
                if !d.out_of_range.is_empty() {
                    notes.push(format!(
                        "{}: {}",
                        d.direction.as_str(),
                        condensed(&d.out_of_range.join("; "))
                    ));
                }
                if !d.carries.is_empty() {
                    let names: Vec<String> = d.carries.iter().map(ToString::to_string).collect();
                    notes.push(format!("{}: carries {}", d.direction.as_str(), names.join(", ")));
                }
                if let Some(with) = &d.with {
                    notes.push(format!(
                        "{}: judged as {with}, which it leans on",
                        d.direction.as_str()
                    ));
                }
                if let Some(margin) = d.creep.as_ref().filter(|margin| !margin.is_kept()) {
                    notes.push(format!("{}: creep, kPa: {margin}", d.direction.as_str()));
                }
                if let Some(AfterCreep::Peak(peak)) = d.after_creep {
                    notes.push(format!(
                        "{}: {peak:.0} once its foam has settled by a tenth",
                        d.direction.as_str()
                    ));
                }
            }
            let figure = figures.cushions.get(&index);
            json!({
                "number": item.number.to_string(),
                "name": item.name,
                "instance": item.instance.to_string(),
                "verdict": item.verdict.words(),
                "sentence": item.sentence,
                "rows": item.directions.iter().map(direction).collect::<Vec<_>>(),
                "notes": notes,
                "figure": figure.map(|f| json!({ "path": f.path, "title": f.title })),
            })
        })
        .collect()
}

/// Simulated falls: what they assume, each item's worst, the maps.
fn falls(input: &PaperInput, figures: &Figures) -> Value {
    let peak = |peak: Option<caddis_basis::Acceleration>, strikes: bool| match peak {
        Some(peak) => format!("{:.0}", peak.as_g()),
        None if strikes => "strikes".to_owned(),
        None => "bottoms".to_owned(),
    };
    let rows: Vec<Value> = input
        .verification
        .items
        .iter()
        .filter_map(|item| {
            let falls = item.falls.as_ref()?;
            let of_landing = |landing: LandingCase| {
                falls
                    .worst_of_each
                    .iter()
                    .find(|fall| fall.landing == landing)
                    .map_or_else(|| "–".to_owned(), |fall| peak(fall.peak, fall.strikes))
            };
            Some(json!([
                item.number.to_string(),
                item.name,
                falls.verdict.words(),
                of_landing(LandingCase::StopsDead),
                of_landing(LandingCase::Rubs),
                of_landing(LandingCase::Bounces),
                of_landing(LandingCase::EndFirst),
                some(
                    item.directions
                        .iter()
                        .find_map(|d| d.limit)
                        .map(caddis_basis::Acceleration::as_g),
                    0
                ),
                format!("{} ({})", falls.worst.words, falls.worst.landing.as_str()),
            ]))
        })
        .collect();
    let maps: Vec<Value> = figures
        .falls
        .iter()
        .map(|(_, figure)| json!({ "path": figure.path, "title": figure.title }))
        .collect();
    let case: Vec<Value> = figures
        .fall_case
        .iter()
        .map(|figure| json!({ "path": figure.path, "title": figure.title }))
        .collect();
    let legend: Vec<Value> = SHADES
        .iter()
        .zip(SHADE_WORDS)
        .map(|([r, g, b], words)| json!({ "colour": format!("#{r:02x}{g:02x}{b:02x}"), "words": words }))
        .collect();
    json!({ "assumptions": input.verification.fall_assumptions, "rows": rows, "maps": maps, "case": case, "legend": legend })
}

fn checks(input: &PaperInput, sources: &mut Sources) -> Value {
    input
        .verification
        .case
        .iter()
        .map(|c| {
            let margin = c.margin.as_ref().map_or_else(String::new, ToString::to_string);
            json!([
                c.name,
                c.verdict.words(),
                c.sentence,
                margin,
                sources.cite(&c.source)
            ])
        })
        .collect()
}

fn finding(f: &Finding, sources: &mut Sources) -> Value {
    json!({
        "severity": f.severity.to_string(),
        "domain": f.domain.to_string(),
        "place": f.place,
        "code": f.code,
        "sentence": condensed(&f.sentence),
        "margin": f.margin.as_ref().map(ToString::to_string),
        "remedy": f.remedy,
        "source": sources.cite(&f.source),
    })
}

/// A list of remarks in one sentence, those that differ in their numbers alone said once with how many more there are.
fn condensed(sentence: &str) -> String {
    let shape = |part: &str| {
        part.chars()
            .filter(|c| !(c.is_ascii_digit() || *c == '.'))
            .collect::<String>()
    };
    let mut kinds: Vec<(String, &str, usize)> = Vec::new();
    for part in sentence.split("; ") {
        let key = shape(part);
        match kinds.iter_mut().find(|(known, ..)| *known == key) {
            Some(kind) => kind.2 += 1,
            None => kinds.push((key, part, 0)),
        }
    }
    let parts: Vec<String> = kinds
        .into_iter()
        .map(|(_, first, more)| {
            if more == 0 {
                first.to_owned()
            } else {
                format!("{first} (and {more} more like it)")
            }
        })
        .collect();
    parts.join("; ")
}

/// Findings but those of the shop. What fails stands alone; of the others those of one kind with one remedy stand together, so that
/// what every leg says is read once.
fn findings(input: &PaperInput, sources: &mut Sources) -> Value {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for f in &input.verification.findings {
        if f.domain == Domain::Shop {
            continue;
        }
        let group = groups.iter_mut().find(|group| {
            let first = group[0];
            f.severity != Severity::Failing
                && (f.severity, f.domain, &f.code, &f.remedy, &f.source)
                    == (
                        first.severity,
                        first.domain,
                        &first.code,
                        &first.remedy,
                        &first.source,
                    )
        });
        match group {
            Some(group) => group.push(f),
            None => groups.push(vec![f]),
        }
    }
    groups
        .iter()
        .map(|group| {
            let mut row = finding(group[0], sources);
            if group.len() > 1 {
                row["place"] = json!(places(group.iter().map(|f| f.place.as_str())));
                let is_same = |f: &&Finding| f.sentence == group[0].sentence && f.margin == group[0].margin;
                if !group.iter().all(is_same) {
                    row["sentence"] = json!(together(group));
                    row["margin"] = Value::Null;
                }
            }
            row
        })
        .collect()
}

/// Places in one list; legs by their numbers.
fn places<'a>(all: impl Iterator<Item = &'a str>) -> String {
    let mut legs: Vec<&str> = Vec::new();
    let mut others: Vec<&str> = Vec::new();
    for place in all {
        let (list, name) = match place.strip_prefix("leg ") {
            Some(number) if number.bytes().all(|c| c.is_ascii_digit()) => (&mut legs, number),
            _ => (&mut others, place),
        };
        if !list.contains(&name) {
            list.push(name);
        }
    }
    let legs = match legs.len() {
        0 => None,
        1 => Some(format!("leg {}", legs[0])),
        _ => Some(format!("legs {}", legs.join(", "))),
    };
    legs.into_iter()
        .chain(others.into_iter().map(str::to_owned))
        .collect::<Vec<_>>()
        .join(", ")
}

/// What several findings of one kind say, each sentence once with its places.
fn together(group: &[&Finding]) -> String {
    let mut sentences: Vec<(String, Vec<&str>)> = Vec::new();
    for f in group {
        let margin = f.margin.as_ref().map_or_else(String::new, |m| format!(" ({m})"));
        let sentence = format!("{}{margin}", condensed(&f.sentence));
        match sentences.iter_mut().find(|(known, _)| *known == sentence) {
            Some((_, places)) => places.push(&f.place),
            None => sentences.push((sentence, vec![&f.place])),
        }
    }
    sentences
        .into_iter()
        .map(|(sentence, at)| format!("{}: {sentence}", places(at.into_iter())))
        .collect::<Vec<_>>()
        .join("; ")
}

/// Concessions of one kind: on protection, of the shop, or the rest (asked for by any other domain).
fn concessions(input: &PaperInput, domain: Domain) -> Value {
    let Some(release) = input.release else {
        return json!([]);
    };
    let kind = |d: Domain| match d {
        Domain::Protection | Domain::Shop => d,
        _ => Domain::Journey,
    };
    release
        .conceded()
        .iter()
        .filter(|(f, _)| kind(f.domain) == domain)
        .map(|(f, c)| concession(f, c))
        .collect()
}

fn concession(f: &Finding, c: &Concession) -> Value {
    let signer = if c.signer.is_customer {
        "for the customer"
    } else {
        "for the shop"
    };
    json!([
        f.place,
        f.sentence,
        c.margin.as_ref().map_or_else(String::new, ToString::to_string),
        format!("{}, {signer}, {}", c.signer.name, c.date),
        c.reason,
    ])
}

fn shop(input: &PaperInput, figures: &Figures, sources: &mut Sources) -> Value {
    let set = input.set;
    let layers: Vec<Value> = set
        .layers
        .iter()
        .zip(&figures.layers)
        .map(|(part, figure)| {
            let mm = |v: f64| format!("{:.1}", v * 1000.0);
            let point = |p: Vec2| [mm(p.x), mm(p.y)];
            let all = features(part);
            let slivers = all.iter().filter(|f| f.is_sliver()).count();
            let rows: Vec<Value> = all
                .into_iter()
                .filter(|f| !f.is_sliver())
                .map(|f| {
                    let ([x, y], [l, w]) = (point(f.centre), point(f.size));
                    json!([f.mark, x, y, l, w, if f.through { "through".to_owned() } else { mm(f.depth) }])
                })
                .collect();
            let slivers = (slivers > 0).then(|| {
                format!("{slivers} slivers of cavities, none wider than 4 mm, are in the geometry but neither marked nor listed.")
            });
            let glue = part.glue.as_ref().map(|glue| {
                format!(
                    "Glue to {}: {:.0} cm² of adhesive, held back {} from every cavity.",
                    glue.below,
                    glue.region.area() * 1e4,
                    input.shop.glue_holdback
                )
            });
            json!({
                "path": figure.path,
                "title": figure.title,
                "block": block_words(input.words, part.block),
                "rows": rows,
                "slivers": slivers,
                "glue": glue,
                "cut": format!("{:.2} m", part.cut_length.si()),
            })
        })
        .collect();
    let money = |m: Option<caddis_basis::Money>| m.map_or_else(|| "–".to_owned(), |m| m.to_string());
    let bill = &set.bill;
    let lines: Vec<Value> = bill
        .lines
        .iter()
        .map(|line| {
            let quantity = format!("{:.3}", line.quantity);
            let quantity = quantity.trim_end_matches('0').trim_end_matches('.').to_owned();
            json!([
                line.position.to_string(),
                line.description,
                format!("{quantity} {}", line.unit),
                money(line.unit_price),
                money(line.total),
            ])
        })
        .collect();
    let costs: Vec<Value> = bill
        .costs
        .iter()
        .map(|cost| json!([capital(&cost.name), cost.basis, cost.amount.to_string()]))
        .collect();
    json!({
        "process": input.shop.process.name,
        "tolerance": input.shop.process.tolerance,
        "process_source": sources.cite(&input.shop.process.source),
        "rates_source": sources.cite(&input.shop.rates.source),
        "cautions": input.shop.process.cautions,
        "layers": layers,
        "nests": list(&figures.nests),
        "lines": lines,
        "costs": costs,
        "cost": bill.cost.to_string(),
        "price": bill.price.to_string(),
        "yield": format!("{:.0} %", bill.foam_yield * 100.0),
        "difference": format!("{:.1} cm³", set.volume_difference.si() * 1e6),
    })
}

#[cfg(test)]
mod tests {
    use super::condensed;

    #[test]
    fn remarks_that_differ_in_numbers_alone_are_said_once() {
        let long = "strain 0.86 is beyond 0.85; thickness 5 mm is thin; strain 0.87 is beyond 0.85; strain 0.9 is beyond 0.85";
        assert_eq!(
            condensed(long),
            "strain 0.86 is beyond 0.85 (and 2 more like it); thickness 5 mm is thin"
        );
        assert_eq!(condensed("one sentence"), "one sentence");
    }
}
