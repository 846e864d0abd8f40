//! The words and numbers of the report, as the template reads them. Only strings and lists: nothing in them is markup.

use super::PaperInput;
use super::figures::{Figure, Figures};
use super::journey::journey;
use super::sources::Sources;
use super::spread::spread;
use super::{shocks, vibration};
use crate::Words;
use crate::drawing::{SHADES, block_words, features};
use crate::words::say;
use caddis_basis::{Domain, Finding, Length, Measured, Severity, Source};
use caddis_design::{AfterCreep, Concession, DirectionVerdict, LandingCase, Place};
use caddis_geometry::Vec2;
use caddis_survey::{Fitting, FittingGroup, Fragility, HalfSide, Item, ItemShape, Shell, ShellHalf};
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

fn list(figures: &[Figure]) -> Value {
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
        .map(|f| json!([f.place, f.sentence]))
        .collect()
}

fn case(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
    let words = input.words;
    let shell = &input.brief.shell;
    let mut rows: Vec<Value> = Vec::new();
    let mut row = |what: String, value: String, source: Option<&Source>, sources: &mut Sources| {
        let source = sources.cite_some(Some(source.unwrap_or(&shell.source)));
        rows.push(json!([what, words.figures(&value), source]));
    };
    for (name, half) in [
        (say!(words, "half-base"), &shell.base),
        (say!(words, "half-lid"), &shell.lid),
    ] {
        half_rows(words, &name, half, &mut |what, measured| {
            row(what, measured.to_string(), measured.source.as_ref(), sources);
        });
        row(
            say!(words, "data-wall", half = name.as_str()),
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
            say!(words, "data-drafts", half = name.as_str()),
            drafts.join(", "),
            Some(&derived),
            sources,
        );
        for (index, intrusion) in half.intrusions.iter().enumerate() {
            let letter = char::from(b'a' + (index % 26) as u8);
            let mark = if side == HalfSide::Base {
                format!(" ({letter})")
            } else {
                String::new()
            };
            let what = format!("{}{mark}", capital(&intrusion.name));
            let height = intrusion.to.to_string();
            let value = if side == HalfSide::Base {
                say!(words, "data-reaches-floor", height = height)
            } else {
                say!(words, "data-reaches-crown", height = height)
            };
            let value = if intrusion.removed {
                say!(words, "data-taken-off", reach = value)
            } else {
                value
            };
            row(what, value, intrusion.to.source.as_ref(), sources);
        }
    }
    for (name, side) in [
        say!(words, "data-outside-length"),
        say!(words, "data-outside-width"),
        say!(words, "data-outside-height"),
    ]
    .into_iter()
    .zip(&shell.outside)
    {
        row(name, side.to_string(), side.source.as_ref(), sources);
    }
    row(
        say!(words, "data-empty-mass"),
        shell.empty_mass.to_string(),
        shell.empty_mass.source.as_ref(),
        sources,
    );
    let ledger: Vec<Value> = shell
        .volume_ledger()
        .into_iter()
        .map(|(cause, lost)| json!([capital(&cause), signed(words, -lost.as_litres())]))
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
                let head = if index == 0 {
                    words.one_of("fittings", group.words())
                } else {
                    String::new()
                };
                json!([head, f.count.to_string(), f.name, fitting_state(words, f)])
            })
        })
        .collect();
    json!({
        "title": shell.title,
        "record": say!(
            words,
            "data-record",
            sample = said(words, &record.sample),
            mould = said(words, &record.mould_revision),
            by = said(words, &record.measured_by),
            on = said(words, &record.measured_on),
        ),
        "rows": rows,
        "nominal": words.number(nominal.as_litres(), 2),
        "ledger": ledger,
        "usable": words.number(usable, 2),
        "usable_words": say!(
            words,
            "data-usable",
            base = words.figures(&base.to_string()),
            lid = words.figures(&lid.to_string()),
            share = words.number(share, 0),
            nominal = words.figures(&nominal.to_string()),
        ),
        "fittings": fittings,
        "fitting_words": fitting_words(words, shell),
    })
}

fn fitting_state(words: &Words, fitting: &Fitting) -> String {
    let mut said = vec![capital(&fitting.condition())];
    if let Some(height) = &fitting.grip_height {
        said.push(say!(
            words,
            "data-grip",
            height = words.figures(&height.to_string())
        ));
    }
    if !fitting.note.is_empty() {
        said.push(fitting.note.clone());
    }
    said.extend(fitting.callouts.iter().map(|callout| {
        say!(
            words,
            "data-see",
            number = callout.number,
            photo = callout.photo.as_str()
        )
    }));
    said.join("; ")
}

/// What the fittings add up to for the customer's questions.
fn fitting_words(words: &Words, shell: &Shell) -> Vec<String> {
    let mut said: Vec<String> = shell
        .unlocked_spans()
        .into_iter()
        .map(|span| {
            say!(
                words,
                "data-span",
                ends = span.held_by,
                length = words.number(span.length.as_mm(), 0),
                x = words.number(span.middle.x * 1e3, 0),
                y = words.number(span.middle.y * 1e3, 0),
            )
        })
        .collect();
    said.push(match &shell.stacking_rating {
        Some(rating) => say!(
            words,
            "data-stacking",
            rating = words.figures(&rating.to_string())
        ),
        None => say!(words, "data-no-stacking"),
    });
    said
}

/// Two decimals, and no minus before nought.
fn signed(words: &Words, value: f64) -> String {
    let text = format!("{value:.2}");
    let text = if text == "-0.00" { "0.00" } else { &text };
    words.figures(text).replace('-', "−")
}

fn half_rows(words: &Words, name: &str, half: &ShellHalf, row: &mut dyn FnMut(String, &Measured<Length>)) {
    row(say!(words, "data-opening-length", half = name), &half.rim.length);
    row(say!(words, "data-opening-width", half = name), &half.rim.width);
    row(
        say!(words, "data-opening-radius", half = name),
        &half.rim.corner_radius,
    );
    let [length, width, radius, fillet] = if half.side == HalfSide::Base {
        [
            say!(words, "data-floor-length", half = name),
            say!(words, "data-floor-width", half = name),
            say!(words, "data-floor-radius", half = name),
            say!(words, "data-floor-fillet", half = name),
        ]
    } else {
        [
            say!(words, "data-crown-length", half = name),
            say!(words, "data-crown-width", half = name),
            say!(words, "data-crown-radius", half = name),
            say!(words, "data-crown-fillet", half = name),
        ]
    };
    row(length, &half.floor.length);
    row(width, &half.floor.width);
    row(radius, &half.floor.corner_radius);
    row(say!(words, "data-depth", half = name), &half.depth);
    row(fillet, &half.fillet);
}

fn said(words: &Words, text: &str) -> String {
    if text.trim().is_empty() {
        say!(words, "data-not-stated")
    } else {
        text.to_owned()
    }
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
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
        .map(|(what, mass)| json!([capital(what), words.number(mass.si(), 2)]))
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
                if verdict.is_met {
                    say!(input.words, "data-met")
                } else {
                    say!(input.words, "data-not-met")
                },
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
                capital(term.name),
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
                        what = condensed(words, &d.out_of_range.join("; ")),
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
                        margin = words.figures(&margin.to_string())
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
                "sentence": item.sentence,
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
                    fall = falls.worst.words.as_str(),
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
    json!({ "assumptions": input.verification.fall_assumptions, "rows": rows, "maps": maps, "case": case, "legend": legend })
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
                .map_or_else(String::new, |margin| input.words.figures(&margin.to_string()));
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

fn finding(words: &Words, f: &Finding, sources: &mut Sources<'_>) -> Value {
    json!({
        "severity": f.severity.to_string(),
        "domain": f.domain.to_string(),
        "place": f.place,
        "code": f.code,
        "sentence": condensed(words, &f.sentence),
        "margin": f.margin.as_ref().map(|margin| words.figures(&margin.to_string())),
        "remedy": f.remedy,
        "source": sources.cite(&f.source),
    })
}

/// A list of remarks in one sentence, those that differ in their numbers alone said once with how many more there are.
fn condensed(words: &Words, sentence: &str) -> String {
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
                say!(words, "data-more-alike", first = first, count = more)
            }
        })
        .collect();
    parts.join("; ")
}

/// Findings but those of the shop. What fails stands alone; of the others those of one kind with one remedy stand together, so that
/// what every leg says is read once.
fn findings(input: &PaperInput, sources: &mut Sources<'_>) -> Value {
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
            let words = input.words;
            let mut row = finding(words, group[0], sources);
            if group.len() > 1 {
                row["place"] = json!(places(words, group.iter().map(|f| f.place.as_str())));
                let is_same = |f: &&Finding| f.sentence == group[0].sentence && f.margin == group[0].margin;
                if !group.iter().all(is_same) {
                    row["sentence"] = json!(together(words, group));
                    row["margin"] = Value::Null;
                }
            }
            row
        })
        .collect()
}

/// Places in one list; legs by their numbers.
fn places<'a>(words: &Words, all: impl Iterator<Item = &'a str>) -> String {
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
        1 => Some(say!(words, "data-leg", number = legs[0])),
        _ => Some(say!(words, "data-legs", numbers = legs.join(", "))),
    };
    legs.into_iter()
        .chain(others.into_iter().map(str::to_owned))
        .collect::<Vec<_>>()
        .join(", ")
}

/// What several findings of one kind say, each sentence once with its places.
fn together(words: &Words, group: &[&Finding]) -> String {
    let mut sentences: Vec<(String, Vec<&str>)> = Vec::new();
    for f in group {
        let margin = f
            .margin
            .as_ref()
            .map_or_else(String::new, |m| format!(" ({})", words.figures(&m.to_string())));
        let sentence = format!("{}{margin}", condensed(words, &f.sentence));
        match sentences.iter_mut().find(|(known, _)| *known == sentence) {
            Some((_, places)) => places.push(&f.place),
            None => sentences.push((sentence, vec![&f.place])),
        }
    }
    sentences
        .into_iter()
        .map(|(sentence, at)| format!("{}: {sentence}", places(words, at.into_iter())))
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
        .map(|(f, c)| concession(input.words, f, c))
        .collect()
}

fn concession(words: &Words, f: &Finding, c: &Concession) -> Value {
    let (name, date) = (c.signer.name.as_str(), c.date.as_str());
    let signed = if c.signer.is_customer {
        say!(words, "data-signed-customer", name = name, date = date)
    } else {
        say!(words, "data-signed-shop", name = name, date = date)
    };
    json!([
        f.place,
        f.sentence,
        c.margin
            .as_ref()
            .map_or_else(String::new, |margin| words.figures(&margin.to_string())),
        signed,
        c.reason,
    ])
}

fn shop(input: &PaperInput, figures: &Figures, sources: &mut Sources<'_>) -> Value {
    let (set, words) = (input.set, input.words);
    let layers: Vec<Value> = set
        .layers
        .iter()
        .zip(&figures.layers)
        .map(|(part, figure)| {
            let mm = |v: f64| words.number(v * 1000.0, 1);
            let point = |p: Vec2| [mm(p.x), mm(p.y)];
            let all = features(part);
            let slivers = all.iter().filter(|f| f.is_sliver()).count();
            let rows: Vec<Value> = all
                .into_iter()
                .filter(|f| !f.is_sliver())
                .map(|f| {
                    let ([x, y], [l, w]) = (point(f.centre), point(f.size));
                    json!([
                        f.mark,
                        x,
                        y,
                        l,
                        w,
                        if f.through {
                            say!(words, "draw-through")
                        } else {
                            mm(f.depth)
                        }
                    ])
                })
                .collect();
            let slivers = (slivers > 0).then(|| say!(words, "data-slivers", count = slivers));
            let glue = part.glue.as_ref().map(|glue| {
                say!(
                    words,
                    "data-glue",
                    part = glue.below.to_string(),
                    area = words.number(glue.region.area() * 1e4, 0),
                    holdback = words.figures(&input.shop.glue_holdback.to_string()),
                )
            });
            json!({
                "path": figure.path,
                "title": figure.title,
                "block": block_words(words, part.block),
                "rows": rows,
                "slivers": slivers,
                "glue": glue,
                "cut": say!(words, "data-metres", length = words.number(part.cut_length.si(), 2)),
            })
        })
        .collect();
    let money =
        |m: Option<caddis_basis::Money>| m.map_or_else(|| "–".to_owned(), |m| words.figures(&m.to_string()));
    let bill = &set.bill;
    let lines: Vec<Value> = bill
        .lines
        .iter()
        .map(|line| {
            let quantity = format!("{:.3}", line.quantity);
            let quantity = quantity.trim_end_matches('0').trim_end_matches('.');
            let quantity = words.figures(quantity);
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
        .map(|cost| {
            json!([
                capital(&cost.name),
                cost.basis,
                words.figures(&cost.amount.to_string())
            ])
        })
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
        "cost": words.figures(&bill.cost.to_string()),
        "price": words.figures(&bill.price.to_string()),
        "yield": say!(words, "data-per-cent", share = words.number(bill.foam_yield * 100.0, 0)),
        "difference": say!(words, "data-cubic", volume = words.number(set.volume_difference.si() * 1e6, 1)),
    })
}

#[cfg(test)]
mod tests {
    use super::condensed;
    use crate::Words;

    #[test]
    fn remarks_that_differ_in_numbers_alone_are_said_once() {
        let long = "strain 0.86 is beyond 0.85; thickness 5 mm is thin; strain 0.87 is beyond 0.85; strain 0.9 is beyond 0.85";
        assert_eq!(
            condensed(Words::english(), long),
            "strain 0.86 is beyond 0.85 (and 2 more like it); thickness 5 mm is thin"
        );
        assert_eq!(condensed(Words::english(), "one sentence"), "one sentence");
    }
}
