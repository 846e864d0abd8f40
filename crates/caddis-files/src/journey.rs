//! The journey and the batteries of a job as written.

use crate::document::one_of;
use crate::error::{Fault, join};
use crate::written::{Bench, Written, WrittenMeasure};
use caddis_basis::Length;
use caddis_journey::{Battery, BatteryContent, Journey, Leg, LegKind, Valve, WattHours};
use serde::{Deserialize, Serialize};

/// The way a case goes.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JourneyFile {
    /// What the people of the job call it.
    pub title: String,
    /// The temperature of the air when the lid is closed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closing_temperature: Option<Written>,
    /// The legs in order.
    #[serde(default)]
    pub legs: Vec<LegFile>,
}

/// One leg.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LegFile {
    /// How it is travelled.
    pub kind: LegKindFile,
    /// What the people of the job call it.
    pub label: String,
    /// The drop it must bear.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_height: Option<WrittenMeasure>,
    /// Pressure altitude the closed case meets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cabin_altitude: Option<Written>,
    /// Coldest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_temperature: Option<Written>,
    /// Warmest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest_temperature: Option<Written>,
}

/// How a leg is travelled, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LegKindFile {
    /// Checked baggage.
    AirHold,
    /// Cabin baggage.
    AirCabin,
    /// A parcel network by road.
    CourierRoad,
    /// A parcel network by air.
    CourierAir,
    /// On a pallet.
    PalletFreight,
    /// In a vehicle off made roads.
    OffRoad,
    /// Carried by hand.
    HandCarry,
    /// Stored.
    Store,
}

impl LegKindFile {
    fn core(self) -> LegKind {
        match self {
            Self::AirHold => LegKind::AirHold,
            Self::AirCabin => LegKind::AirCabin,
            Self::CourierRoad => LegKind::CourierRoad,
            Self::CourierAir => LegKind::CourierAir,
            Self::PalletFreight => LegKind::PalletFreight,
            Self::OffRoad => LegKind::OffRoad,
            Self::HandCarry => LegKind::HandCarry,
            Self::Store => LegKind::Store,
        }
    }
}

/// A battery that comes with an item.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BatteryFile {
    /// What it is made of.
    pub kind: BatteryKindFile,
    /// Rated energy, `"96 Wh"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy: Option<String>,
    /// Nominal voltage, `"12 V"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub voltage: Option<String>,
    /// Lithium inside one battery of lithium metal, `"1.5 g"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lithium: Option<Written>,
    /// Fitted in its equipment; a spare or a power bank is not.
    pub installed: bool,
    /// How many in one piece of the item.
    #[serde(default = "one")]
    pub count: u32,
}

fn one() -> u32 {
    1
}

/// What a battery is made of, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BatteryKindFile {
    /// Rechargeable lithium.
    LithiumIon,
    /// Lithium metal.
    LithiumMetal,
    /// A non-spillable lead battery.
    NonSpillableLead,
    /// Nobody said.
    Unknown,
}

pub(crate) fn journey(bench: &Bench, written: &JourneyFile) -> Result<Journey, Fault> {
    let legs = written
        .legs
        .iter()
        .enumerate()
        .map(|(index, leg)| convert_leg(bench, leg, &format!("journey.legs[{index}]")))
        .collect::<Result<Vec<_>, _>>()?;
    if legs.is_empty() {
        return Err(Fault::new("journey.legs", "the journey has no leg")
            .hint("add at least one `[[journey.legs]]` with `kind` and `label`"));
    }
    let mut journey = Journey::new(written.title.clone(), legs);
    journey.closing_temperature = written
        .closing_temperature
        .as_ref()
        .map(|t| bench.positive(t, "journey.closing_temperature"))
        .transpose()?;
    journey
        .validate()
        .map_err(|error| Fault::new("journey", error.to_string()))?;
    Ok(journey)
}

fn convert_leg(bench: &Bench, written: &LegFile, path: &str) -> Result<Leg, Fault> {
    let mut leg = Leg::new(written.kind.core(), written.label.clone());
    leg.drop_height = written
        .drop_height
        .as_ref()
        .map(|height| bench.measured_positive(height, &join(path, "drop_height")))
        .transpose()?;
    leg.cabin_altitude = written
        .cabin_altitude
        .as_ref()
        .map(|altitude| bench.signed::<Length>(altitude, &join(path, "cabin_altitude")))
        .transpose()?;
    leg.lowest_temperature = written
        .lowest_temperature
        .as_ref()
        .map(|t| bench.positive(t, &join(path, "lowest_temperature")))
        .transpose()?;
    leg.highest_temperature = written
        .highest_temperature
        .as_ref()
        .map(|t| bench.positive(t, &join(path, "highest_temperature")))
        .transpose()?;
    Ok(leg)
}

/// The batteries of one kind of item, counted over its quantity.
pub(crate) fn batteries(
    bench: &Bench,
    written: &[BatteryFile],
    item_name: &str,
    quantity: u32,
    path: &str,
) -> Result<Vec<Battery>, Fault> {
    written
        .iter()
        .enumerate()
        .map(|(index, battery)| {
            let path = format!("{path}.batteries[{index}]");
            let energy = |needed: bool| -> Result<WattHours, Fault> {
                match &battery.energy {
                    Some(text) => Ok(WattHours::new(number_with(text, "Wh", &join(&path, "energy"))?)),
                    None if needed => Err(Fault::new(
                        join(&path, "energy"),
                        "the battery's energy is missing",
                    )
                    .hint("add `energy = \"96 Wh\"` from its label, or `kind = \"unknown\"`")),
                    None => Ok(WattHours::new(0.0)),
                }
            };
            let content = match battery.kind {
                BatteryKindFile::LithiumIon => BatteryContent::LithiumIon {
                    energy: energy(true)?,
                },
                BatteryKindFile::LithiumMetal => BatteryContent::LithiumMetal {
                    lithium: match &battery.lithium {
                        Some(lithium) => bench.positive(lithium, &join(&path, "lithium"))?,
                        None => {
                            return Err(
                                Fault::new(join(&path, "lithium"), "the mass of lithium is missing")
                                    .hint("add `lithium = \"1.5 g\"`, or `kind = \"unknown\"`"),
                            );
                        }
                    },
                },
                BatteryKindFile::NonSpillableLead => BatteryContent::NonSpillableLead {
                    volts: match &battery.voltage {
                        Some(text) => number_with(text, "V", &join(&path, "voltage"))?,
                        None => {
                            return Err(Fault::new(
                                join(&path, "voltage"),
                                "the battery's voltage is missing",
                            )
                            .hint("add `voltage = \"12 V\"` from its label"));
                        }
                    },
                    energy: energy(true)?,
                },
                BatteryKindFile::Unknown => BatteryContent::NotKnown,
            };
            let count = battery
                .count
                .checked_mul(quantity)
                .filter(|count| *count > 0)
                .ok_or_else(|| {
                    Fault::new(
                        join(&path, "count"),
                        format!("{} is not a number of batteries", battery.count),
                    )
                    .hint("give 1 or more")
                })?;
            Ok(Battery {
                label: format!("battery of {item_name}"),
                content,
                installed: battery.installed,
                count,
            })
        })
        .collect()
}

/// A positive number with exactly this unit (`"96 Wh"`).
fn number_with(text: &str, unit: &str, field: &str) -> Result<f64, Fault> {
    let example = format!("write e.g. `96 {unit}`");
    let trimmed = text.trim();
    let digits = trimmed
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .unwrap_or(trimmed.len());
    let (number, found) = trimmed.split_at(digits);
    let found = found.trim();
    if found != unit {
        let problem = if found.is_empty() {
            format!("`{trimmed}` has no unit")
        } else {
            format!("`{found}` in `{trimmed}` is not a unit known here")
        };
        return Err(Fault::new(field, problem).hint(example));
    }
    match number.parse::<f64>() {
        Ok(value) if value.is_finite() && value > 0.0 => Ok(value),
        _ => Err(Fault::new(field, format!("`{trimmed}` is not a value above zero")).hint(example)),
    }
}

/// The valve's state by its written word.
pub(crate) fn valve(text: Option<&str>) -> Result<Valve, Fault> {
    const WORDS: [&str; 5] = ["working", "manual", "none", "not-tight", "unknown"];
    match text.unwrap_or("unknown") {
        "working" => Ok(Valve::Working),
        "manual" => Ok(Valve::Manual),
        "none" => Ok(Valve::None),
        "not-tight" => Ok(Valve::NotTight),
        "unknown" => Ok(Valve::Unknown),
        other => {
            Err(Fault::new("valve", format!("`{other}` is no state of a valve")).hint(one_of(other, &WORDS)))
        }
    }
}
