//! What papers are printed from.

use crate::picture::{exploded_of, open_case_of};
use crate::scene::{Piece, pieces, scene_of};
use crate::words::say;
use crate::{Document, DocumentError, Words};
use caddis_basis::{Domain, Mass, Measured, both};
use caddis_design::{Brief, Interior, Place, Release, Verification};
use caddis_shop::{Shop, ShopSet};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// A job made as far as its parts: what the report and the customer's papers print.
#[derive(Debug, Clone, Copy)]
pub struct PaperInput<'a> {
    /// The question.
    pub brief: &'a Brief,
    /// The answer.
    pub interior: &'a Interior,
    /// What verification says of it.
    pub verification: &'a Verification,
    /// The release; without one every page says NOT RELEASED.
    pub release: Option<&'a Release>,
    /// The shop.
    pub shop: &'a Shop,
    /// What the shop makes.
    pub set: &'a ShopSet,
    /// Pictures that several papers show.
    pub pictures: &'a Pictures,
    /// The language.
    pub words: &'a Words,
    /// ISO date, year-month-day.
    pub date: &'a str,
    /// Revision of the job.
    pub revision: &'a str,
    /// Version of the program.
    pub version: &'a str,
}

/// Solids of the scene and pictures rendered of them, made once for all papers.
#[derive(Debug, Clone, PartialEq)]
pub struct Pictures {
    /// Everything in the case, closed.
    pub(crate) pieces: Vec<Piece>,
    /// The case, open and packed; PNG.
    pub(crate) open: Vec<u8>,
    /// Foam and equipment lifted apart; PNG.
    pub(crate) apart: Vec<u8>,
    /// Photos of the shell, PNG or JPEG, by the names its survey gives them.
    pub(crate) photos: BTreeMap<String, Vec<u8>>,
}

impl Pictures {
    /// Renders them on up to `threads` threads; the same whatever their number.
    ///
    /// # Errors
    /// A picture that cannot be written.
    pub fn of(brief: &Brief, interior: &Interior, threads: usize) -> Result<Self, DocumentError> {
        let pieces = pieces(brief, interior, threads);
        let (open, apart) = both(
            threads,
            || open_case_of(brief, &pieces, 1500, 1000).png(),
            || exploded_of(interior, &pieces, 1300, 1500).png(),
        );
        let (open, apart) = (open?, apart?);
        Ok(Self {
            pieces,
            open,
            apart,
            photos: BTreeMap::new(),
        })
    }

    /// The same with photos of the shell, by the names its survey gives them.
    #[must_use]
    pub fn with_photos(mut self, photos: &BTreeMap<String, Vec<u8>>) -> Self {
        self.photos.clone_from(photos);
        self
    }

    /// The packed case as glTF, as [`crate::scene`] writes it.
    pub fn scene(&self, brief: &Brief) -> Document {
        scene_of(brief, &self.pieces)
    }
}

/// A mass to a tenth of a kilogram with its band, as labels carry it.
pub(crate) fn mass_words(words: &Words, mass: &Measured<Mass>) -> String {
    let kg = |mass: Mass| words.number(mass.si(), 1);
    match mass.plus_minus {
        Some(band) if band.si() >= 0.05 => {
            say!(words, "paper-kg-band", mass = kg(mass.value), band = kg(band))
        }
        _ => say!(words, "paper-kg", mass = kg(mass.value)),
    }
}

/// What page, header and footer of every paper print.
pub(crate) fn head(input: &PaperInput) -> Value {
    json!({
        "job": input.brief.job,
        "title": input.brief.title,
        "customer": input.brief.customer,
        "date": input.date,
        "revision": input.revision,
        "version": input.version,
        "shop_name": input.shop.name,
        "released": input.release.is_some(),
    })
}

/// Length, width and height over everything, millimetres: "702 × 476 × 370".
pub(crate) fn outside_mm(input: &PaperInput) -> String {
    let sides = input.verification.parcel.outside.iter();
    sides
        .map(|side| format!("{:.0}", side.value.as_mm()))
        .collect::<Vec<_>>()
        .join(" × ")
}

/// Whether a tier of an interior is its lid.
pub(crate) fn is_lid(interior: &Interior, tier: usize) -> bool {
    interior
        .places
        .iter()
        .any(|place| place.in_lid && place.tier == tier)
}

/// The tier a piece lies in, as lists name it.
pub(crate) fn tier_words(words: &Words, place: &Place) -> String {
    if place.in_lid {
        say!(words, "paper-in-lid")
    } else {
        (place.tier + 1).to_string()
    }
}

/// The places of one tier by their numbers.
pub(crate) fn places_of_tier(interior: &Interior, tier: usize) -> Vec<&Place> {
    let mut places: Vec<&Place> = interior
        .places
        .iter()
        .filter(|place| place.tier == tier)
        .collect();
    places.sort_by_key(|place| place.number);
    places
}

/// What fails, where there is no release.
pub(crate) fn open_findings(input: &PaperInput) -> Vec<String> {
    if input.release.is_some() {
        return Vec::new();
    }
    caddis_basis::failing(&input.verification.findings)
        .map(|f| {
            format!(
                "{}: {}",
                input.words.told(&f.place),
                input.words.told(&f.sentence)
            )
        })
        .collect()
}

/// Concessions on protection: place, finding, margin, who signed, why.
pub(crate) fn concessions_on_protection(input: &PaperInput) -> Vec<[String; 5]> {
    input
        .release
        .into_iter()
        .flat_map(Release::conceded)
        .filter(|(f, _)| f.domain == Domain::Protection)
        .map(|(f, c)| {
            [
                input.words.told(&f.place),
                input.words.told(&f.sentence),
                c.margin
                    .as_ref()
                    .map_or_else(String::new, |margin| input.words.told(&margin.said())),
                format!("{}, {}", c.signer.name, c.date),
                c.reason.clone(),
            ]
        })
        .collect()
}
