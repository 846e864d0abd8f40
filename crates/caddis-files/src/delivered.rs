//! A `result.json` of former times, read back: what was delivered, and where everything lay.

use crate::error::{FileError, FilePlace};
use crate::result::{RegionResult, ResultFile};
use caddis_basis::{Currency, InstanceId, ItemId, LayerId, Length, Money};
use caddis_design::{Arrangement, Spot};
use caddis_geometry::{Contour, Region, Vec2, Vec3, Vertex};
use caddis_shop::{Delivered, PartBefore, PieceBefore};
use caddis_survey::{Turn, Up};

/// Reads the result of a job that was made; `file` is what messages call it.
///
/// # Errors
/// Not a `result.json`, one of another schema, one without an interior or without parts, a word or number in it that is none.
pub fn read_delivered(bytes: &[u8], file: &str) -> Result<(Delivered, Arrangement), FileError> {
    let wrong = |field: &str, problem: String| FileError::Content {
        place: Box::new(FilePlace {
            file: file.to_owned(),
            line: None,
            field: field.to_owned(),
        }),
        problem,
        hint: Some(
            "name the `result.json` that `caddis make`, `present` or `run` wrote with `--out`".to_owned(),
        ),
    };
    let result: ResultFile = serde_json::from_slice(bytes)
        .map_err(|error| wrong("", format!("it is no result of a job: {error}")))?;
    if result.schema != crate::document::SCHEMA {
        return Err(wrong(
            "schema",
            format!("schema {} is not known to this version", result.schema),
        ));
    }
    let (Some(interior), Some(shop)) = (&result.interior, &result.shop) else {
        return Err(wrong(
            "",
            "the job was never made: it holds no interior or no parts".to_owned(),
        ));
    };
    let mut pieces = Vec::with_capacity(interior.places.len());
    let mut spots = Vec::with_capacity(interior.places.len());
    for (index, place) in interior.places.iter().enumerate() {
        let at = |key: &str| format!("interior.places[{index}].{key}");
        let number = place
            .instance
            .strip_prefix(place.item.as_str())
            .and_then(|rest| rest.strip_prefix('/'))
            .and_then(|number| number.parse().ok())
            .ok_or_else(|| wrong(&at("instance"), format!("`{}` names no piece", place.instance)))?;
        let instance = InstanceId::new(ItemId::new(&place.item), number);
        let up =
            Up::parse(&place.up).ok_or_else(|| wrong(&at("up"), format!("`{}` is no way up", place.up)))?;
        let (min, max) = (place.box_min_m, place.box_max_m);
        let centre = Vec2::new(f64::midpoint(min[0], max[0]), f64::midpoint(min[1], max[1]));
        let turn = Turn::degrees(place.turn_deg);
        spots.push((
            instance.clone(),
            Spot {
                up,
                turn,
                at: centre,
                tier: place.tier,
                in_lid: place.in_lid,
            },
        ));
        pieces.push(PieceBefore {
            instance,
            name: place.name.clone(),
            at: Vec3::new(centre.x, centre.y, min[2]),
            up,
            turn,
        });
    }
    let money = |minor: i64, code: &str, field: &str| {
        Currency::parse(code)
            .map(|currency| Money::from_minor(minor, currency))
            .map_err(|error| wrong(field, error.to_string()))
    };
    let price = &shop.bill.price;
    let costs = shop
        .bill
        .costs
        .iter()
        .map(|line| {
            let amount = money(line.amount.minor, &line.amount.currency, "shop.bill.costs")?;
            Ok((line.name.clone(), amount))
        })
        .collect::<Result<_, FileError>>()?;
    let parts = shop
        .parts
        .iter()
        .map(|part| PartBefore {
            id: LayerId::new(part.id.clone()),
            foam: part.foam.clone(),
            colour: part.colour.clone(),
            stock: Length::from_si(part.stock_m),
            outline: region(&part.outline),
            through: part.through.iter().map(region).collect(),
            pockets: part
                .pockets
                .iter()
                .map(|pocket| (Length::from_si(pocket.depth_m), region(&pocket.outline)))
                .collect(),
        })
        .collect();
    let tray = interior
        .blocks
        .iter()
        .find(|block| block.kind.starts_with("tray"));
    let arrangement = Arrangement {
        boundary: tray.map_or(0.0, |tray| tray.low_m),
        spots,
        spaces: Vec::new(),
        rounds: interior.rounds,
        seed: interior.seed,
        steps: interior.steps,
        not_on_top: None,
    };
    let delivered = Delivered {
        job: result.head.job.clone(),
        date: result.head.date.clone(),
        shell: result
            .survey
            .as_ref()
            .map_or_else(String::new, |survey| survey.shell.clone()),
        pieces,
        parts,
        costs,
        price: money(price.minor, &price.currency, "shop.bill.price")?,
    };
    Ok((delivered, arrangement))
}

fn region(written: &RegionResult) -> Region {
    let contours: Vec<Contour> = written
        .contours
        .iter()
        .map(|corners| Contour {
            vertices: corners
                .iter()
                .map(|&[x, y, bulge]| Vertex {
                    at: Vec2::new(x, y),
                    bulge,
                })
                .collect(),
        })
        .collect();
    Region::from_contours(&contours)
}
