//! The figures of the report as SVG files.

use super::{PaperInput, shocks, vibration};
use crate::drawing::{
    FallMark, MapSize, Section, Stamp, case_plan, cushion_plot, fall_map_plot, layer_drawing, nest_drawing,
    packing_plan, section_drawing,
};
use crate::fall_case::fall_pictures;
use crate::picture::Picture;
use crate::words::say;
use crate::{DocumentError, Sheet, Words, svg};
use caddis_basis::{Acceleration, Length, Pressure};
use caddis_design::{BlockKind, Brief, Direction, ItemVerdict};
use std::collections::{BTreeMap, BTreeSet};

/// A figure: where it lies and what it shows.
#[derive(Debug, Clone)]
pub(crate) struct Figure {
    pub(crate) path: String,
    pub(crate) title: String,
}

/// All figures.
#[derive(Debug, Default)]
pub(crate) struct Figures {
    /// SVG and PNG by path.
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    pub(crate) plan: Vec<Figure>,
    pub(crate) sections: Vec<Figure>,
    pub(crate) packing: Vec<Figure>,
    /// By index into the verification's items.
    pub(crate) cushions: BTreeMap<usize, Figure>,
    /// Fall maps by index into the verification's items, the most critical first.
    pub(crate) falls: Vec<(usize, Figure)>,
    /// The worst falls of the items nearest their limits.
    pub(crate) shocks: Vec<Figure>,
    /// The case coloured by its falls, from two sides.
    pub(crate) fall_case: Vec<Figure>,
    /// One for each leg that states a spectrum.
    pub(crate) vibration: Vec<Figure>,
    pub(crate) layers: Vec<Figure>,
    pub(crate) nests: Vec<Figure>,
    pub(crate) cover: Vec<Figure>,
    pub(crate) apart: Vec<Figure>,
}

impl Figures {
    pub(super) fn add(&mut self, path: String, sheet: &Sheet) -> Figure {
        self.files.insert(path.clone(), svg(sheet).into_bytes());
        Figure {
            path,
            title: sheet.title.clone(),
        }
    }

    fn shared(&mut self, path: &str, title: &str, png: &[u8]) -> Figure {
        self.files.insert(path.to_owned(), png.to_vec());
        Figure {
            path: path.to_owned(),
            title: title.to_owned(),
        }
    }

    fn picture(&mut self, path: &str, title: &str, picture: &Picture) -> Result<Figure, DocumentError> {
        self.files.insert(path.to_owned(), picture.png()?);
        Ok(Figure {
            path: path.to_owned(),
            title: title.to_owned(),
        })
    }
}

pub(crate) fn figures(input: &PaperInput) -> Result<Figures, DocumentError> {
    let (brief, interior) = (input.brief, input.interior);
    let mut figures = Figures::default();
    let plan = figures.add(
        "figures/plan.svg".to_owned(),
        &case_plan(input.words, brief, interior),
    );
    figures.plan.push(plan);
    for (name, section) in [("long", Section::Long), ("cross", Section::Cross)] {
        let sheet = section_drawing(input.words, brief, interior, section);
        let figure = figures.add(format!("figures/section-{name}.svg"), &sheet);
        figures.sections.push(figure);
    }
    let tiers: BTreeSet<usize> = interior.places.iter().map(|place| place.tier).collect();
    let has_lid = interior
        .blocks
        .iter()
        .any(|block| block.kind == BlockKind::LidPad);
    for tier in tiers.into_iter().map(Some).chain(has_lid.then_some(None)) {
        let name = tier.map_or_else(|| "lid".to_owned(), |tier| format!("tier-{}", tier + 1));
        let figure = figures.add(
            format!("figures/packing-{name}.svg"),
            &packing_plan(input.words, brief, interior, tier),
        );
        figures.packing.push(figure);
    }
    for (index, item) in worst_of_each_kind(input) {
        if let Some(sheet) = item_cushion(input.words, brief, input.verification.drop_height, item) {
            let figure = figures.add(format!("figures/cushion-{}.svg", item.number), &sheet);
            figures.cushions.insert(index, figure);
        }
    }
    for (index, item) in worst_falls_of_each_kind(input) {
        // The template prints the first two across the page, the others two beside each other.
        let size = if figures.falls.len() < 2 {
            MapSize::Full
        } else {
            MapSize::Half
        };
        if let Some(sheet) = fall_map(input.words, item, size) {
            let figure = figures.add(format!("figures/falls-{}.svg", item.number), &sheet);
            figures.falls.push((index, figure));
        }
    }
    shocks::figures(input.words, &worst_falls_of_each_kind(input), &mut figures);
    vibration::figures(input, &mut figures);
    let of = input.set.layers.len() + input.set.nests.len();
    let stamp = |number: usize| Stamp {
        job: brief.job.clone(),
        owner: input.shop.name.clone(),
        revision: input.revision.to_owned(),
        date: input.date.to_owned(),
        tolerance: input.shop.process.tolerance.clone(),
        released: input.release.is_some(),
        number,
        of,
    };
    for (index, part) in input.set.layers.iter().enumerate() {
        let sheet = layer_drawing(input.words, part, &stamp(index + 1));
        let figure = figures.add(format!("figures/layer-{}.svg", index + 1), &sheet);
        figures.layers.push(figure);
    }
    for (index, nest) in input.set.nests.iter().enumerate() {
        let sheet = nest_drawing(
            input.words,
            nest,
            input.set,
            input.shop,
            &stamp(input.set.layers.len() + index + 1),
        )?;
        let figure = figures.add(format!("figures/nest-{}.svg", index + 1), &sheet);
        figures.nests.push(figure);
    }
    let cover = figures.shared(
        "figures/open-case.png",
        &say!(input.words, "figure-open"),
        &input.pictures.open,
    );
    figures.cover.push(cover);
    if let Some([above, below]) = fall_pictures(brief, input.verification, 900, 560) {
        for (name, title, picture) in [
            ("falls-above", say!(input.words, "figure-above"), &above),
            ("falls-below", say!(input.words, "figure-below"), &below),
        ] {
            let figure = figures.picture(&format!("figures/{name}.png"), &title, picture)?;
            figures.fall_case.push(figure);
        }
    }
    let apart = figures.shared(
        "figures/apart.png",
        &say!(input.words, "figure-apart"),
        &input.pictures.apart,
    );
    figures.apart.push(apart);
    Ok(figures)
}

/// Of every kind of equipment the piece whose peak comes nearest its limit (without a limit: the highest peak).
fn worst_of_each_kind<'a>(input: &PaperInput<'a>) -> Vec<(usize, &'a ItemVerdict)> {
    let mut worst: BTreeMap<&str, (f64, usize, &ItemVerdict)> = BTreeMap::new();
    for (index, item) in input.verification.items.iter().enumerate() {
        let nearness = item
            .directions
            .iter()
            .filter_map(|d| {
                let peak = d.peak?.as_g();
                Some(d.limit.map_or(peak, |limit| 1e3 * peak / limit.as_g()))
            })
            .fold(f64::NEG_INFINITY, f64::max);
        if !nearness.is_finite() {
            continue;
        }
        let entry = worst
            .entry(item.instance.item.as_str())
            .or_insert((nearness, index, item));
        if nearness > entry.0 {
            *entry = (nearness, index, item);
        }
    }
    let mut list: Vec<_> = worst
        .into_values()
        .map(|(_, index, item)| (index, item))
        .collect();
    list.sort_by_key(|(index, _)| *index);
    list
}

/// Of every kind of equipment the piece whose worst fall comes nearest its limit; the most critical kind first, those
/// without a limit last.
fn worst_falls_of_each_kind<'a>(input: &PaperInput<'a>) -> Vec<(usize, &'a ItemVerdict)> {
    let mut worst: BTreeMap<&str, (f64, usize, &ItemVerdict)> = BTreeMap::new();
    for (index, item) in input.verification.items.iter().enumerate() {
        let Some(falls) = &item.falls else { continue };
        let limit = item.directions.iter().find_map(|d| d.limit);
        let nearness = match (falls.worst.peak, limit) {
            (None, _) => f64::MAX,
            (Some(peak), Some(limit)) => peak.as_g() / limit.as_g(),
            (Some(peak), None) => peak.as_g() / 1e6,
        };
        let entry = worst
            .entry(item.instance.item.as_str())
            .or_insert((nearness, index, item));
        if nearness > entry.0 {
            *entry = (nearness, index, item);
        }
    }
    let mut list: Vec<_> = worst.into_values().collect();
    list.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    list.into_iter().map(|(_, index, item)| (index, item)).collect()
}

/// The map of one item, its own worst direction marked.
fn fall_map(words: &Words, item: &ItemVerdict, size: MapSize) -> Option<Sheet> {
    let falls = item.falls.as_ref()?;
    let marks: Vec<FallMark> = falls
        .map
        .iter()
        .map(|(direction, peak)| FallMark {
            direction: *direction,
            peak: *peak,
        })
        .collect();
    let plain = falls.worst_of_each.first()?;
    let worst = match plain.peak {
        Some(peak) => say!(
            words,
            "figure-worst",
            peak = words.number(peak.as_g(), 0),
            fall = words.told(&plain.words)
        ),
        None => say!(words, "figure-worst-crushed", fall = words.told(&plain.words)),
    };
    Some(fall_map_plot(
        words,
        &say!(
            words,
            "figure-falls",
            number = item.number,
            item = item.name.as_str()
        ),
        &marks,
        item.directions.iter().find_map(|d| d.limit),
        Some((plain.direction, worst)),
        size,
    ))
}

/// The cushion curve of an item's base foam from a drop height, its flat falls marked; `None` where no fall has a peak.
pub fn item_cushion(words: &Words, brief: &Brief, drop_height: Length, item: &ItemVerdict) -> Option<Sheet> {
    let foam = brief.foams.get(brief.base_foam)?;
    let one_foam = brief.base_foam == brief.lid_foam;
    let shown = item
        .directions
        .iter()
        .filter(|d| one_foam || d.direction != Direction::Up);
    let mut points: Vec<(String, Pressure, Acceleration)> = Vec::new();
    let mut thicknesses: Vec<Length> = Vec::new();
    for d in shown {
        let Some(peak) = d.own_peak else { continue };
        points.push((
            say!(
                words,
                "figure-cushion-point",
                direction = words.one_of("direction", d.direction.as_str()),
                thickness = words.number(d.thickness.as_mm(), 0),
            ),
            d.static_stress,
            peak,
        ));
        thicknesses.push(Length::mm(d.thickness.as_mm().round()));
    }
    let first = *thicknesses.first()?;
    let mut curves = vec![first];
    let mut rising = thicknesses.clone();
    rising.sort_by(|a, b| a.si().total_cmp(&b.si()));
    for other in [rising.first(), rising.last()].into_iter().flatten() {
        if curves.iter().all(|t| (t.as_mm() - other.as_mm()).abs() > 4.0) {
            curves.push(*other);
        }
    }
    if curves.len() == 1 {
        curves.push(Length::mm((first.as_mm() * 1.5).round()));
    }
    let limit = item.directions.iter().find_map(|d| d.limit);
    let title = say!(
        words,
        "figure-cushion",
        item = item.name.as_str(),
        foam = foam.title.as_str(),
        height = words.figures(&drop_height.to_string()),
    );
    Some(cushion_plot(
        words,
        &title,
        &foam.law,
        drop_height,
        &curves,
        &points,
        limit,
    ))
}
