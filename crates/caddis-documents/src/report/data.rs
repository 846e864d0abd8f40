//! The words and numbers of the report, as the template reads them. Only strings and lists: nothing in them is markup.

use super::PaperInput;
use super::case::{capital, case};
use super::figures::{Figure, Figures};
use super::findings::{concessions, condensed, finding, findings};
use super::journey::journey;
use super::shop::shop;
use super::sources::Sources;
use super::spread::spread;
use super::{shocks, vibration};
use crate::Words;
use crate::drawing::SHADES;
use crate::paper::tier_words;
use crate::words::say;
use caddis_basis::{Domain, Length, Said};
use caddis_design::{AfterCreep, DirectionVerdict, LandingCase, Place};
use caddis_protection::OutOfRange;
use caddis_survey::{Fragility, Item, ItemShape};
use serde_json::{Value, json};

/// Everything the template prints.
pub(crate) fn data(input: &PaperInput, figures: &Figures) -> Value {
    let (brief, words) = (input.brief, input.words);
    let mut sources = Sources::of(input.words);
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
        .map(|f| finding(words, f, &mut sources))
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
        "drop": say!(words, "data-cited", what = words.figures(&drop.to_string()), source = sources.cite(&brief.handling.source)),
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

pub(super) fn list(figures: &[Figure]) -> Value {
    figures
        .iter()
        .map(|f| json!({ "path": f.path, "title": f.title }))
        .collect()
}

fn summary(input: &PaperInput) -> Value {
    let words = input.words;
    let parcel = &input.verification.parcel;
    let sides = parcel
        .outside
        .iter()
        .map(|side| format!("{:.0}", side.value.as_mm()))
        .collect::<Vec<_>>();
    let pieces = input.interior.places.len();
    json!([
        [say!(words, "quotation-fact-case"), input.brief.shell.title],
        [
            say!(words, "data-fact-outside"),
            say!(words, "paper-mm", size = sides.join(" × "))
        ],
        [
            say!(words, "data-fact-gross"),
            words.figures(&parcel.gross_mass.to_string())
        ],
        [
            say!(words, "quotation-fact-equipment"),
            say!(
                words,
                "quotation-pieces",
                pieces = pieces,
                kinds = input.brief.items.len()
            )
        ],
        [
            say!(words, "data-fact-drop-height"),
            words.figures(&input.verification.drop_height.to_string())
        ],
        [say!(words, "data-fact-journey"), input.brief.journey.title],
    ])
}

fn open_findings(input: &PaperInput) -> Value {
    if input.release.is_some() {
        return json!([]);
    }
    caddis_basis::failing(&input.verification.findings)
        .map(|f| json!([input.words.told(&f.place), input.words.told(&f.sentence)]))
        .collect()
}

fn size_of(words: &Words, item: &Item) -> String {
    let band = item.size_tolerance.as_mm();
    let size = item.bounds().map_or_else(
        || say!(words, "data-no-extent"),
        |b| {
            let s = b.size() * 1000.0;
            format!("{:.0} × {:.0} × {:.0}", s.x, s.y, s.z)
        },
    );
    if band > 0.0 {
        format!("{size} ± {}", words.number(band, 1))
    } else {
        size
    }
}

fn contents(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
    let words = input.words;
    let rows: Vec<Value> = input
        .brief
        .items
        .iter()
        .map(|item| {
            let fragility = match &item.fragility {
                Fragility::Known(limit) => {
                    say!(
                        words,
                        "data-cited",
                        what = words.figures(&limit.to_string()),
                        source = sources.cite_some(limit.source.as_ref().or(Some(&item.source))),
                    )
                }
                Fragility::Unknown => say!(words, "data-not-known"),
                Fragility::None => say!(words, "data-soft"),
            };
            let shape = match &item.shape {
                ItemShape::Primitive(_) => say!(words, "data-solid"),
                ItemShape::Compound(parts) => say!(words, "data-solids", count = parts.len()),
                ItemShape::Mesh { file, .. } => say!(words, "data-mesh", file = file.as_str()),
            };
            json!([
                item.quantity.to_string(),
                item.name,
                item.note,
                size_of(words, item),
                shape,
                words.figures(&item.mass.to_string()),
                fragility,
                sources.cite(&item.source),
            ])
        })
        .collect();
    let masses: Vec<Value> = input
        .verification
        .masses
        .iter()
        .map(|(what, mass)| json!([capital(&words.told(what)), words.number(mass.si(), 2)]))
        .collect();
    json!({ "rows": rows, "masses": masses, "gross": words.number(input.verification.parcel.gross_mass.value.si(), 2) })
}

fn foams(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
    let (brief, words) = (input.brief, input.words);
    let mut used = vec![(brief.base_foam, say!(words, "data-foam-base"))];
    if brief.lid_foam == brief.base_foam {
        used[0].1 = say!(words, "data-foam-all");
    } else {
        used.push((brief.lid_foam, say!(words, "paper-lid-pad")));
    }
    used.into_iter()
        .filter_map(|(index, place)| {
            let foam = brief.foams.get(index)?;
            let law = if foam.law.is_measured_dynamic {
                say!(words, "data-impact-data")
            } else {
                say!(words, "data-model")
            };
            Some(json!([
                foam.title,
                place,
                words.figures(&foam.density.to_string()),
                law,
                sources.cite(&foam.law.source)
            ]))
        })
        .collect()
}

fn packing_list(input: &PaperInput) -> Value {
    let words = input.words;
    let mut places: Vec<&Place> = input.interior.places.iter().collect();
    places.sort_by_key(|place| place.number);
    places
        .into_iter()
        .filter_map(|place| {
            let item = input.brief.items.get(place.item)?;
            let up = if place.up.as_str() == "+z" {
                say!(words, "data-as-it-stands")
            } else {
                say!(words, "data-own-up", side = place.up.as_str())
            };
            let first = if item.reach_first {
                say!(words, "packing-reach-first")
            } else {
                String::new()
            };
            let remark = [first.as_str(), item.note.as_str()]
                .into_iter()
                .filter(|t| !t.is_empty())
                .collect::<Vec<_>>();
            Some(json!([
                place.number.to_string(),
                item.name,
                tier_words(words, place),
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
                input.words.told(&verdict.place),
                capital(&input.words.told(&verdict.wish)),
                if verdict.is_met {
                    say!(input.words, "data-met")
                } else {
                    say!(input.words, "data-not-met")
                },
                capital(&input.words.told(&verdict.sentence)),
            ])
        })
        .collect()
}

/// The terms of the score and their sum.
fn scored(input: &PaperInput) -> Value {
    let terms = caddis_design::score(input.interior, input.brief);
    let sum: f64 = terms.iter().map(caddis_design::ScoreTerm::points).sum();
    // A zero has no sign on paper.
    let words = input.words;
    let signed = |points: f64| {
        if points == 0.0 {
            "0".to_owned()
        } else {
            words.figures(&format!("{points:+.1}"))
        }
    };
    let rows: Vec<Value> = terms
        .iter()
        .map(|term| {
            let value = if term.unit.is_empty() {
                words.number(term.value, 0)
            } else {
                format!("{} {}", words.number(term.value, 1), term.unit)
            };
            json!([
                capital(&words.told(&term.name)),
                value,
                words.figures(&term.weight.to_string()),
                signed(term.points())
            ])
        })
        .collect();
    json!({ "rows": rows, "sum": signed(sum) })
}

fn some(words: &Words, value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |value| words.number(value, decimals))
}

fn direction(words: &Words, d: &DirectionVerdict) -> Value {
    json!([
        words.one_of("direction", d.direction.as_str()),
        d.verdict.words(),
        words.number(d.carried.si(), 1),
        words.number(d.area.as_cm2(), 0),
        words.number(d.static_stress.as_kpa(), 2),
        words.number(d.thickness.as_mm(), 0),
        some(words, d.own_peak.map(caddis_basis::Acceleration::as_g), 0),
        d.peak.map_or_else(
            || say!(words, "test-bottoms"),
            |peak| words.number(peak.as_g(), 0)
        ),
        some(words, d.limit.map(caddis_basis::Acceleration::as_g), 0),
        some(words, d.deflection.map(Length::as_mm), 0),
        some(words, d.bottoming_margin.map(|margin| margin * 100.0), 0),
    ])
}

fn protection(input: &PaperInput, figures: &Figures) -> Value {
    let words = input.words;
    input
        .verification
        .items
        .iter()
        .enumerate()
        .map(|(index, item)| {
            let mut notes: Vec<String> = Vec::new();
            for d in &item.directions {
                let side = || words.one_of("direction", d.direction.as_str());
                if !d.out_of_range.is_empty() {
                    notes.push(say!(
                        words,
                        "data-note",
                        direction = side(),
                        what = condensed(
                            words,
                            &words.told(&Said::row(d.out_of_range.iter().map(OutOfRange::sentence), "; "))
                        ),
                    ));
                }
                if !d.carries.is_empty() {
                    let names: Vec<String> = d.carries.iter().map(ToString::to_string).collect();
                    notes.push(say!(
                        words,
                        "data-carries",
                        direction = side(),
                        items = names.join(", ")
                    ));
                }
                if let Some(with) = &d.with {
                    notes.push(say!(
                        words,
                        "data-judged-as",
                        direction = side(),
                        item = with.to_string()
                    ));
                }
                if let Some(margin) = d.creep.as_ref().filter(|margin| !margin.is_kept()) {
                    notes.push(say!(
                        words,
                        "data-creep",
                        direction = side(),
                        margin = words.told(&margin.said())
                    ));
                }
                if let Some(AfterCreep::Peak(peak)) = d.after_creep {
                    notes.push(say!(
                        words,
                        "data-settled",
                        direction = side(),
                        peak = words.figures(&format!("{peak:.0}"))
                    ));
                }
            }
            let figure = figures.cushions.get(&index);
            json!({
                "number": item.number.to_string(),
                "name": item.name,
                "instance": item.instance.to_string(),
                "verdict": item.verdict.words(),
                "sentence": words.told(&item.sentence),
                "rows": item.directions.iter().map(|d| direction(words, d)).collect::<Vec<_>>(),
                "notes": notes,
                "figure": figure.map(|f| json!({ "path": f.path, "title": f.title })),
            })
        })
        .collect()
}

/// Simulated falls: what they assume, each item's worst, the maps.
fn falls(input: &PaperInput, figures: &Figures) -> Value {
    let words = input.words;
    let peak = |peak: Option<caddis_basis::Acceleration>, strikes: bool| match peak {
        Some(peak) => words.number(peak.as_g(), 0),
        None if strikes => say!(words, "data-strikes"),
        None => say!(words, "test-bottoms"),
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
                    words,
                    item.directions
                        .iter()
                        .find_map(|d| d.limit)
                        .map(caddis_basis::Acceleration::as_g),
                    0
                ),
                say!(
                    words,
                    "data-fall",
                    fall = words.told(&falls.worst.words),
                    landing = words.one_of("landing", falls.worst.landing.as_str()),
                ),
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
        .zip(1..)
        .map(|([r, g, b], number)| json!({ "colour": format!("#{r:02x}{g:02x}{b:02x}"), "words": words.one_of("shade", &number.to_string()) }))
        .collect();
    json!({ "assumptions": input.verification.fall_assumptions.iter().map(|one| words.told(one)).collect::<Vec<String>>(), "rows": rows, "maps": maps, "case": case, "legend": legend })
}

fn checks(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
    input
        .verification
        .case
        .iter()
        .map(|c| {
            let margin = c
                .margin
                .as_ref()
                .map_or_else(String::new, |margin| input.words.told(&margin.said()));
            json!([
                input.words.told(&c.name),
                c.verdict.words(),
                input.words.told(&c.sentence),
                margin,
                sources.cite(&c.source)
            ])
        })
        .collect()
}
