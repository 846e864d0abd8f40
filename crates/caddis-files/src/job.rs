//! A job as written: `job.toml`.

use crate::error::{Fault, join};
use crate::furnishing::FurnishingFile;
use crate::item::ItemFile;
use crate::journey::JourneyFile;
use crate::scatter::ScatterFile;
use crate::wishes::WishesFile;
use crate::written::{Bench, Written, WrittenMeasure};
use caddis_basis::{Length, Margin};
use caddis_design::{Clearances, Concession, Signer};
use caddis_shop::Process;
use serde::{Deserialize, Serialize};

/// `job.toml`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobFile {
    /// Schema number.
    pub schema: u32,
    /// Job id, for marks and papers.
    pub id: String,
    /// Title on papers.
    pub title: String,
    /// Customer on papers.
    pub customer: String,
    /// Date of the papers (ISO); the program's argument wins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// The bench unit, when lengths are bare numbers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub units: Option<String>,
    /// Source of every value that names none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// Name of the shell in the library, or `auto` to have one selected.
    pub shell: String,
    /// Intrusions of the shell taken off for this job, by name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub removed: Vec<String>,
    /// Name of the shop in the library.
    pub shop: String,
    /// The process the foam is cut by, by its name in the library; the shop's own when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub process: Option<String>,
    /// State of the pressure valve: working, manual, none, not-tight, unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valve: Option<String>,
    /// Mass of other things in the case.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sundries: Option<WrittenMeasure>,
    /// Area that trapped pressure acts on; the rim opening when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lid_area: Option<Written>,
    /// Foams by library name.
    pub foams: FoamsFile,
    /// How the case is handled.
    pub handling: HandlingFile,
    /// The journey.
    pub journey: JourneyFile,
    /// Search.
    #[serde(default)]
    pub choices: ChoicesFile,
    /// What is wished of the arrangement.
    #[serde(default, skip_serializing_if = "WishesFile::is_empty")]
    pub wishes: WishesFile,
    /// What is asked of the foam beside cavities.
    #[serde(default, skip_serializing_if = "FurnishingFile::is_empty")]
    pub interior: FurnishingFile,
    /// What this job sets otherwise than its shop.
    #[serde(default)]
    pub clearances: ClearancesFile,
    /// Equipment.
    #[serde(default)]
    pub items: Vec<ItemFile>,
    /// Failing findings signed for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub concessions: Vec<ConcessionFile>,
}

impl JobFile {
    /// Takes every item off the list, and the wishes, channels and signatures that name them.
    pub fn clear_items(&mut self) {
        self.items.clear();
        self.wishes = WishesFile::default();
        self.interior.cable_channels.clear();
        self.concessions.clear();
    }
}

/// Foams by library name.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoamsFile {
    /// Base block and trays.
    pub base: String,
    /// Lid pad.
    pub lid: String,
}

/// How the case is handled.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandlingFile {
    /// The drop the design must hold, with its source; `by mass` for the handling tables of the legs.
    pub drop_height: WrittenMeasure,
    /// Stored packed for longer than a month.
    #[serde(default)]
    pub stored_long: bool,
    /// How drops, foam and temperature scatter; measured parcel drops when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scatter: Option<ScatterFile>,
    /// Coefficient of friction between foam and items, with its source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foam_friction: Option<ShareFile>,
    /// Rebound speed of the shell over its impact speed, with its source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shell_rebound: Option<ShareFile>,
}

/// A number without unit, with who measured it.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShareFile {
    /// The number.
    pub value: f64,
    /// Who measured it.
    pub source: String,
}

/// How to search.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChoicesFile {
    /// Seed of the search.
    #[serde(default = "default_seed")]
    pub seed: u64,
    /// Step budget of the search.
    #[serde(default = "default_steps")]
    pub steps: u64,
    /// What shells are ranked by where the job leaves the choice open: gross-mass, linear-size, chargeable-weight, price,
    /// spare-room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rank_by: Option<String>,
}

fn default_seed() -> u64 {
    1
}

fn default_steps() -> u64 {
    200_000
}

impl Default for ChoicesFile {
    fn default() -> Self {
        Self {
            seed: default_seed(),
            steps: default_steps(),
            rank_by: None,
        }
    }
}

/// Geometric choices; a shop states all, a job those it changes.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct ClearancesFile {
    /// Layer thicknesses the interior may be stacked from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layer_thicknesses: Option<Vec<Written>>,
    /// Height lost per joint.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joint_loss: Option<Written>,
    /// Thickness tolerance of a layer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layer_tolerance: Option<Written>,
    /// Vertical squeeze of the closed stack, least and most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stack_squeeze: Option<[Written; 2]>,
    /// Depth bands of cavities.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cavity_step: Option<Written>,
    /// Least foam under an item.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_floor: Option<Written>,
    /// Radius of a finger notch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notch_radius: Option<Written>,
    /// Depth of a finger notch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notch_depth: Option<Written>,
    /// Least foam between a notch and the next cavity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_notch_web: Option<Written>,
    /// Least cutter radius in a cavity corner.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cutter_radius: Option<Written>,
    /// Diameter of a push-out hole; room for one finger in a thin glove when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub push_out_diameter: Option<Written>,
    /// Length and width of a tray's lift hole; room for four fingers when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift_hole: Option<[Written; 2]>,
}

impl ClearancesFile {
    /// The clearances of a shop, which states all of them; the radius of corners may be left to its process.
    pub(crate) fn whole(&self, bench: &Bench, path: &str, process: &Process) -> Result<Clearances, Fault> {
        let named = [
            ("layer_thicknesses", self.layer_thicknesses.is_some()),
            ("joint_loss", self.joint_loss.is_some()),
            ("layer_tolerance", self.layer_tolerance.is_some()),
            ("stack_squeeze", self.stack_squeeze.is_some()),
            ("cavity_step", self.cavity_step.is_some()),
            ("least_floor", self.least_floor.is_some()),
            ("notch_radius", self.notch_radius.is_some()),
            ("notch_depth", self.notch_depth.is_some()),
            ("least_notch_web", self.least_notch_web.is_some()),
        ];
        if let Some((name, _)) = named.iter().find(|(_, stated)| !stated) {
            return Err(Fault::new(join(path, name), format!("`{name}` is missing"))
                .hint("a shop states every clearance; a job only those it changes"));
        }
        self.over(
            &Clearances {
                layer_thicknesses: Vec::new(),
                joint_loss: Length::ZERO,
                layer_tolerance: Length::ZERO,
                stack_squeeze: (Length::ZERO, Length::ZERO),
                cavity_step: Length::ZERO,
                least_floor: Length::ZERO,
                notch_radius: Length::ZERO,
                notch_depth: Length::ZERO,
                least_notch_web: Length::ZERO,
                cutter_radius: process.corner_radius(),
                through_cuts: process.cuts_through(),
                push_out_diameter: Clearances::PUSH_OUT_DIAMETER,
                lift_hole: Clearances::LIFT_HOLE,
            },
            bench,
            path,
        )
    }

    /// `base` with what is stated here.
    pub(crate) fn over(&self, base: &Clearances, bench: &Bench, path: &str) -> Result<Clearances, Fault> {
        let mut all = base.clone();
        if let Some(written) = &self.layer_thicknesses {
            let field = join(path, "layer_thicknesses");
            all.layer_thicknesses = written
                .iter()
                .enumerate()
                .map(|(index, written)| bench.positive(written, &format!("{field}[{index}]")))
                .collect::<Result<Vec<Length>, _>>()?;
            if all.layer_thicknesses.is_empty() {
                return Err(Fault::new(field, "there is no layer thickness")
                    .hint("name at least one, e.g. \"50 mm\""));
            }
            all.layer_thicknesses.sort_by(|a, b| a.si().total_cmp(&b.si()));
            all.layer_thicknesses.dedup();
        }
        if let Some(written) = &self.stack_squeeze {
            all.stack_squeeze = bench.range(written, &join(path, "stack_squeeze"))?;
        }
        if let Some([length, width]) = &self.lift_hole {
            let field = join(path, "lift_hole");
            all.lift_hole = (bench.positive(length, &field)?, bench.positive(width, &field)?);
        }
        let positive: [(&Option<Written>, &mut Length, &str); 5] = [
            (&self.cavity_step, &mut all.cavity_step, "cavity_step"),
            (&self.least_floor, &mut all.least_floor, "least_floor"),
            (&self.notch_radius, &mut all.notch_radius, "notch_radius"),
            (&self.notch_depth, &mut all.notch_depth, "notch_depth"),
            (
                &self.push_out_diameter,
                &mut all.push_out_diameter,
                "push_out_diameter",
            ),
        ];
        for (written, value, name) in positive {
            if let Some(written) = written {
                *value = bench.positive(written, &join(path, name))?;
            }
        }
        let not_negative: [(&Option<Written>, &mut Length, &str); 4] = [
            (&self.cutter_radius, &mut all.cutter_radius, "cutter_radius"),
            (&self.joint_loss, &mut all.joint_loss, "joint_loss"),
            (&self.layer_tolerance, &mut all.layer_tolerance, "layer_tolerance"),
            (&self.least_notch_web, &mut all.least_notch_web, "least_notch_web"),
        ];
        for (written, value, name) in not_negative {
            if let Some(written) = written {
                *value = bench.not_negative(written, &join(path, name))?;
            }
        }
        Ok(all)
    }
}

/// A failing finding signed for.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConcessionFile {
    /// The finding's code.
    pub code: String,
    /// The finding's place.
    pub place: String,
    /// The margin at signing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub margin: Option<MarginFile>,
    /// Who signs.
    pub name: String,
    /// For whom.
    pub role: RoleFile,
    /// Why.
    pub reason: String,
    /// ISO date.
    pub date: String,
}

/// For whom a person signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RoleFile {
    /// The customer.
    Customer,
    /// The shop.
    Shop,
}

/// A margin as written: exactly one of `at_most` and `at_least`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarginFile {
    /// What was found, in `unit`.
    pub found: f64,
    /// The limit that should not be passed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most: Option<f64>,
    /// The limit that should be reached.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<f64>,
    /// The unit of both, as the finding prints it.
    #[serde(default)]
    pub unit: String,
}

/// Concessions as the core knows them.
pub(crate) fn concessions(written: &[ConcessionFile]) -> Result<Vec<Concession>, Fault> {
    written
        .iter()
        .enumerate()
        .map(|(index, written)| {
            let path = format!("concessions[{index}]");
            for (key, text) in [("name", &written.name), ("reason", &written.reason)] {
                if text.trim().is_empty() {
                    return Err(Fault::new(join(&path, key), format!("the {key} is empty"))
                        .hint("a concession carries the name of who signs and why"));
                }
            }
            check_date(&written.date, &join(&path, "date"))?;
            let margin = written
                .margin
                .as_ref()
                .map(|margin| {
                    let field = join(&path, "margin");
                    match (margin.at_most, margin.at_least) {
                        (Some(limit), None) => Ok(Margin::at_most(margin.found, limit, &margin.unit)),
                        (None, Some(limit)) => Ok(Margin::at_least(margin.found, limit, &margin.unit)),
                        _ => Err(Fault::new(field, "a margin has one limit").hint(
                            "give either `at_most` or `at_least` beside `found`, as the finding prints it",
                        )),
                    }
                })
                .transpose()?;
            Ok(Concession {
                code: written.code.clone(),
                place: written.place.clone(),
                margin,
                signer: Signer {
                    name: written.name.clone(),
                    is_customer: written.role == RoleFile::Customer,
                },
                reason: written.reason.clone(),
                date: written.date.clone(),
            })
        })
        .collect()
}

/// Refuses what is not `YYYY-MM-DD`.
pub(crate) fn check_date(text: &str, field: &str) -> Result<(), Fault> {
    let digits = |range: std::ops::Range<usize>| text.get(range).and_then(|part| part.parse::<u32>().ok());
    let plain = text.len() == 10
        && text.bytes().enumerate().all(|(at, byte)| {
            if at == 4 || at == 7 {
                byte == b'-'
            } else {
                byte.is_ascii_digit()
            }
        });
    let good = plain
        && match (digits(0..4), digits(5..7), digits(8..10)) {
            (Some(year), Some(month), Some(day)) => {
                let leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
                let days = [
                    31,
                    if leap { 29 } else { 28 },
                    31,
                    30,
                    31,
                    30,
                    31,
                    31,
                    30,
                    31,
                    30,
                    31,
                ];
                (1..=12).contains(&month) && day >= 1 && day <= days[month as usize - 1]
            }
            _ => false,
        };
    if good {
        Ok(())
    } else {
        Err(Fault::new(field, format!("`{text}` is not a date")).hint("write it as 2026-11-25, in quotes"))
    }
}
