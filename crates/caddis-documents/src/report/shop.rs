//! The report's chapter for the shop: layers, nests, bill and cost.

use super::PaperInput;
use super::case::capital;
use super::data::list;
use super::figures::Figures;
use super::sources::Sources;
use crate::drawing::{features, mm, part_words};
use crate::words::say;
use caddis_geometry::Vec2;
use caddis_shop::{SheetPath, offcuts};
use serde_json::{Value, json};

pub(super) fn shop(input: &PaperInput, figures: &Figures, sources: &mut Sources<'_>) -> Value {
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
                "block": part_words(words, part),
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
                words.told(&line.description),
                format!("{quantity} {}", words.told(&line.unit)),
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
                capital(&words.told(&cost.name)),
                words.told(&cost.basis),
                words.figures(&cost.amount.to_string())
            ])
        })
        .collect();
    let size = |length: caddis_basis::Length| mm(words, length.si());
    let kept: Vec<Value> = offcuts(&set.nests, input.shop, &input.brief.job)
        .iter()
        .map(|piece| {
            let size = say!(
                words,
                "data-offcut-size",
                length = size(piece.length),
                width = size(piece.width),
                thickness = size(piece.thickness),
            );
            json!([piece.name, size, words.figures(&piece.price.to_string())])
        })
        .collect();
    let process = &input.shop.process;
    let programs = process
        .machine
        .as_ref()
        .is_some_and(|machine| machine.write_programs);
    let engraving = match &process.engraving {
        Some(tool) if programs => Some(say!(
            words,
            "data-engraved-by-program",
            tool = tool.name.as_str(),
            diameter = size(tool.diameter),
            depth = size(tool.depth),
            minutes = words.number(
                set.paths
                    .iter()
                    .filter_map(SheetPath::engraving_time)
                    .map(|time| time.si() / 60.0)
                    .sum(),
                0,
            ),
            source = sources.cite(&tool.source),
        )),
        None if programs => Some(say!(words, "data-engraved-by-hand")),
        _ => None,
    };
    json!({
        "engraving": engraving,
        "process": input.shop.process.name,
        "tolerance": input.shop.process.tolerance,
        "process_source": sources.cite(&input.shop.process.source),
        "rates_source": sources.cite(&input.shop.rates.source),
        "cautions": input.shop.process.cautions,
        "layers": layers,
        "nests": list(&figures.nests),
        "offcuts": kept,
        "lines": lines,
        "costs": costs,
        "cost": words.figures(&bill.cost.to_string()),
        "price": words.figures(&bill.price.to_string()),
        "yield": say!(words, "data-per-cent", share = words.number(bill.foam_yield * 100.0, 0)),
        "difference": say!(words, "data-cubic", volume = words.number(set.volume_difference.si() * 1e6, 1)),
    })
}
