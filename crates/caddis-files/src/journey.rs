//! The journey and the batteries of a job as written.

use crate::document::one_of;
use crate::error::{Fault, join};
use crate::vibration::LegVibrationFile;
use crate::written::parse_source;
use crate::written::{Bench, Written, WrittenMeasure};
use caddis_basis::{Length, Source, Temperature};
use caddis_journey::{
    Battery, BatteryContent, CarriageLimits, Carrying, CaseFacts, HandleGeometry, HandlingClass, Humidity,
    IngressCode, Journey, Leg, LegKind, MoistAir, TemperatureLimit, Valve, VentFlow, WattHours,
};
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
    /// The relative humidity of the air when the lid is closed, `"60 %"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closing_humidity: Option<String>,
    /// How many cases of the kind travel together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cases: Option<u32>,
    /// The dated rows asked, by library name; `common-practice` when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<String>,
    /// What the job states of the case beyond its survey.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub case: Option<CaseFile>,
    /// The legs in order.
    #[serde(default)]
    pub legs: Vec<LegFile>,
}

/// What the job states of the case beyond its survey.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseFile {
    /// The ingress code its maker gives, `"IP67"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ingress: Option<String>,
    /// Its carrying handles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handle: Option<HandleFile>,
    /// What its valve passes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vent: Option<VentFile>,
    /// Water vapour it lets through, `"0.4 g/m2d"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vapour_rate: Option<String>,
    /// Whether it stays shut for weeks; false when it is opened daily.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stays_shut: Option<bool>,
    /// How long it stays shut in store.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shut_for: Option<Written>,
    /// Whether couriers get it in a carton.
    #[serde(default)]
    pub in_carton: bool,
    /// How many round trips it should last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub round_trips: Option<u32>,
    /// Temperatures that contents bear.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub temperatures: Vec<TemperatureLimitFile>,
}

/// A carrying handle.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandleFile {
    /// Thickness of the grip.
    pub diameter: Written,
    /// Length for the hand.
    pub length: Written,
    /// Room for the fingers.
    pub clearance: Written,
}

/// What a valve passes at a pressure difference.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VentFile {
    /// Flow, `"2 L/min"`.
    pub flow: String,
    /// The pressure difference of that flow.
    pub at: Written,
}

/// Temperatures that one thing bears.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TemperatureLimitFile {
    /// What.
    pub what: String,
    /// The coldest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest: Option<Written>,
    /// The warmest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest: Option<Written>,
    /// Who says so, with its certainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// Air with its moisture.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirFile {
    /// Temperature.
    pub temperature: Written,
    /// Relative humidity, `"60 %"`.
    pub humidity: String,
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
    /// The table that gives the drop where none is stated: `"parcel"`, `"handbook"`, `"handbook-older"`, `"schedule-a-1"` to `-3`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handling: Option<String>,
    /// Pressure altitude the closed case meets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cabin_altitude: Option<Written>,
    /// Coldest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_temperature: Option<Written>,
    /// Warmest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest_temperature: Option<Written>,
    /// A climate of the limits (`"A1"` to `"C3"`) for the temperatures left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub climate: Option<String>,
    /// How fast the case climbs or sinks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub altitude_rate: Option<Written>,
    /// What it should keep out, `"IP54"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ingress_wanted: Option<String>,
    /// The air where it is opened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opening_air: Option<AirFile>,
    /// How far it goes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<Written>,
    /// How one person carries it in a shift.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carrying: Option<CarryingFile>,
    /// What it shakes like.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vibration: Option<LegVibrationFile>,
}

/// How one person carries in a shift.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CarryingFile {
    /// How often.
    pub times: u32,
    /// How far each time.
    pub distance: Written,
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

/// The journey, asked by these limits.
pub(crate) fn journey(
    bench: &Bench,
    written: &JourneyFile,
    limits: CarriageLimits,
) -> Result<Journey, Fault> {
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
    journey.closing_humidity = written
        .closing_humidity
        .as_ref()
        .map(|text| humidity(text, "journey.closing_humidity"))
        .transpose()?;
    journey.cases = written.cases.unwrap_or(1);
    journey.limits = limits;
    if let Some(case) = &written.case {
        journey.case = facts(bench, case)?;
    }
    // Leg by leg first, so that the message stands at the leg's own line.
    for (index, leg) in journey.legs.iter().enumerate() {
        leg.validate(index + 1, &journey.limits)
            .map_err(|error| Fault::new(format!("journey.legs[{index}]"), error.to_string()))?;
    }
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
    leg.handling = written
        .handling
        .as_ref()
        .map(|word| {
            HandlingClass::ALL
                .into_iter()
                .find(|class| class.words() == word.trim())
                .ok_or_else(|| {
                    let known = HandlingClass::ALL.map(HandlingClass::words);
                    Fault::new(
                        join(path, "handling"),
                        format!("`{}` is no table of drop heights", word.trim()),
                    )
                    .hint(format!("one of {}", known.join(", ")))
                })
        })
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
    leg.climate.clone_from(&written.climate);
    leg.altitude_rate = written
        .altitude_rate
        .as_ref()
        .map(|rate| bench.positive(rate, &join(path, "altitude_rate")))
        .transpose()?;
    leg.ingress_wanted = written
        .ingress_wanted
        .as_ref()
        .map(|text| ingress(text, &join(path, "ingress_wanted")))
        .transpose()?;
    leg.opening_air = written
        .opening_air
        .as_ref()
        .map(|air| {
            let path = join(path, "opening_air");
            Ok(MoistAir {
                temperature: bench.positive(&air.temperature, &join(&path, "temperature"))?,
                humidity: humidity(&air.humidity, &join(&path, "humidity"))?,
            })
        })
        .transpose()?;
    leg.distance = written
        .distance
        .as_ref()
        .map(|distance| bench.positive(distance, &join(path, "distance")))
        .transpose()?;
    leg.carrying = written
        .carrying
        .as_ref()
        .map(|carrying| {
            Ok(Carrying {
                times: carrying.times,
                distance: bench.positive(&carrying.distance, &join(path, "carrying.distance"))?,
            })
        })
        .transpose()?;
    Ok(leg)
}

/// What the job states of the case.
fn facts(bench: &Bench, written: &CaseFile) -> Result<CaseFacts, Fault> {
    let at = |key: &str| format!("journey.case.{key}");
    let handle = |handle: &HandleFile| {
        Ok(HandleGeometry {
            diameter: bench.positive(&handle.diameter, &at("handle.diameter"))?,
            length: bench.positive(&handle.length, &at("handle.length"))?,
            clearance: bench.positive(&handle.clearance, &at("handle.clearance"))?,
        })
    };
    let vent = |vent: &VentFile| {
        Ok(VentFlow::litres_per_minute(
            number_with(&vent.flow, "L/min", &at("vent.flow"))?,
            bench.positive(&vent.at, &at("vent.at"))?,
        ))
    };
    let temperature = |(index, limit): (usize, &TemperatureLimitFile)| {
        let path = at(&format!("temperatures[{index}]"));
        let read = |written: &Option<Written>, key| {
            written
                .as_ref()
                .map(|t| bench.positive::<Temperature>(t, &join(&path, key)))
                .transpose()
        };
        let (lowest, highest) = (read(&limit.lowest, "lowest")?, read(&limit.highest, "highest")?);
        if matches!((lowest, highest), (Some(lowest), Some(highest)) if lowest > highest) {
            return Err(Fault::new(path, "the lowest temperature is above the highest")
                .hint("write e.g. `{ what = \"logger\", lowest = \"-20 degC\", highest = \"60 degC\" }`"));
        }
        Ok(TemperatureLimit {
            what: limit.what.clone(),
            lowest,
            highest,
            source: match &limit.source {
                Some(text) => parse_source(text, &join(&path, "source"))?,
                None => bench
                    .default_source
                    .clone()
                    .unwrap_or_else(Source::common_practice),
            },
        })
    };
    Ok(CaseFacts {
        ingress: written
            .ingress
            .as_ref()
            .map(|text| ingress(text, &at("ingress")))
            .transpose()?,
        handle: written.handle.as_ref().map(handle).transpose()?,
        vent_flow: written.vent.as_ref().map(vent).transpose()?,
        vapour_rate: written
            .vapour_rate
            .as_ref()
            .map(|text| number_with(text, "g/m2d", &at("vapour_rate")))
            .transpose()?,
        stays_shut: written.stays_shut,
        shut_for: written
            .shut_for
            .as_ref()
            .map(|time| bench.positive(time, &at("shut_for")))
            .transpose()?,
        in_carton: written.in_carton,
        round_trips: written.round_trips,
        temperatures: written
            .temperatures
            .iter()
            .enumerate()
            .map(temperature)
            .collect::<Result<_, _>>()?,
    })
}

fn humidity(text: &str, field: &str) -> Result<Humidity, Fault> {
    let percent = number_with(text, "%", field)?;
    if percent > 100.0 {
        return Err(Fault::new(field, format!("`{text}` is more than air can hold"))
            .hint("write the relative humidity, up to `100 %`"));
    }
    Ok(Humidity::percent(percent))
}

fn ingress(text: &str, field: &str) -> Result<IngressCode, Fault> {
    IngressCode::parse(text).map_err(|_| {
        Fault::new(field, format!("`{}` is no ingress code", text.trim()))
            .hint("write IP and two figures or X, e.g. `IP67`")
    })
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
pub(crate) fn number_with(text: &str, unit: &str, field: &str) -> Result<f64, Fault> {
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
