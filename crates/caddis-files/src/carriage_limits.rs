//! The dated rows a journey is asked by, as a file of the library.

use crate::document::Document;
use crate::error::{Fault, FileError, join};
use crate::job::check_date;
use crate::journey::number_with;
use crate::written::{Bench, Written, parse_source};
use caddis_basis::{Density, Length, Mass, Parse, Said};
use caddis_journey::{
    AdditionalHandling, AltitudeTest, BatteryLimits, BilledBy, CarriageLimits, Climate, CourierMaximum,
    CumulativeCarry, Dated, DimensionalRow, DimensionalRule, Divisor, FreightStep, LiftFilter, LiftLimits,
    LiftZone, LoadSpace, MassStep, MechanicalHandling, PostalLimits, PowerBankNote, ReferenceMasses,
    ReuseCategories, RoadVibration, SideRounding, SpaceKind, TransitDropRow, VehicleStack, WattHours,
};
use serde::Deserialize;

/// A row: its value, its edition, the day it was written down, its source.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row<V> {
    value: V,
    edition: String,
    as_of: String,
    source: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitsFile {
    #[serde(rename = "schema")]
    _schema: u32,
    #[serde(rename = "title")]
    _title: String,
    checked_linear_size: Row<Written>,
    checked_linear_size_charged: Row<Written>,
    checked_linear_size_largest: Row<Written>,
    checked_mass: Row<Written>,
    checked_mass_one_piece: Row<Written>,
    checked_mass_largest: Row<Written>,
    carry_on: Row<[Written; 3]>,
    carry_on_wide: Row<[Written; 3]>,
    carry_on_mass: Row<Written>,
    carry_on_mass_wide: Row<Written>,
    courier_maximum: Row<CourierFile>,
    courier_large: Row<CourierFile>,
    courier_large_volume: Row<Written>,
    courier_large_billed: Row<Written>,
    additional_handling: Row<HandlingFile>,
    additional_handling_volume: Row<Written>,
    heavy_label: Row<Written>,
    postal: Row<PostalFile>,
    freight_classes: Row<Vec<StepFile>>,
    lift: Row<LiftFile>,
    lift_men: Row<LiftFile>,
    load_constant: Row<Written>,
    reference_masses: Row<ReferenceFile>,
    lift_filter: Row<Vec<FilterFile>>,
    team_shares: Row<[f64; 2]>,
    cabin_altitude: Row<Written>,
    feeder_altitude: Row<Written>,
    altitude_rate: Row<Written>,
    altitude_tests: Vec<Row<AltitudeFile>>,
    battery_free: Row<BatteryFile>,
    battery_approval: Row<BatteryFile>,
    battery_lead: Row<BatteryFile>,
    battery_mobility: Row<BatteryFile>,
    battery_of_bag: Row<BatteryFile>,
    battery_devices: Row<u32>,
    battery_spares: Row<u32>,
    battery_charge: Row<f64>,
    vehicle_stack: Row<StackFile>,
    vehicle_factors: Row<[f64; 3]>,
    warehouse_factors: Row<[f64; 3]>,
    warehouse_factors_creeping: Row<[f64; 3]>,
    road_vibration: Row<VibrationFile>,
    off_road_vibration: Row<VibrationFile>,
    dimensional: Vec<Row<DimensionalFile>>,
    climates: Vec<Row<ClimateFile>>,
    spaces: Vec<Row<SpaceFile>>,
    transit_drops: Vec<Row<DropFile>>,
    cumulative_carry: Row<CarryFile>,
    power_banks: Row<PowerBankFile>,
    reuse_categories: Row<ReuseFile>,
    mechanical_handling: Row<MechanicalFile>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct CourierFile {
    mass: Written,
    longest: Written,
    length_and_girth: Written,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct HandlingFile {
    mass: Written,
    longest: Written,
    second: Written,
    length_and_girth: Written,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct PostalFile {
    mass: Written,
    length_and_girth: Written,
    length_and_girth_oversize: Written,
    longest: Written,
    longest_lower_fee: Written,
    volume: Written,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct StepFile {
    /// Left out in the last step.
    below: Option<Written>,
    class: f64,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct LiftFile {
    floor_to_waist: Written,
    floor_to_shoulder: Written,
    carry: Written,
    share_beyond_two: f64,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReferenceFile {
    men: Written,
    women: Written,
    men_young_or_old: Written,
    women_young_or_old: Written,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum ZoneFile {
    AboveShoulder,
    ElbowToShoulder,
    KnuckleToElbow,
    LowerLegToKnuckle,
    FloorToLowerLeg,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct FilterFile {
    zone: ZoneFile,
    men_close: Written,
    men_far: Written,
    women_close: Written,
    women_far: Written,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct AltitudeFile {
    what: String,
    altitude: Written,
    hold: Written,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct BatteryFile {
    energy: String,
    lithium: Written,
    /// Left out where none is set.
    volts: Option<String>,
    spares: Option<u32>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct StackFile {
    density: Written,
    height: Written,
    small_height: Written,
    small_mass: Written,
    small_volume: Written,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct VibrationFile {
    vertical: f64,
    transverse: f64,
    longitudinal: f64,
    time: Written,
    distance: Written,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum BilledByFile {
    Express,
    Road,
    AirFreight,
    Postal,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum SidesFile {
    AsMeasured,
    NearestInch,
    NextInch,
    NextCentimetre,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum MassStepFile {
    AsMeasured,
    HalfKilogram,
    Kilogram,
    Pound,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct DimensionalFile {
    name: String,
    billed_by: BilledByFile,
    /// `"5000 cm3/kg"` or `"139 in3/lb"`.
    divisor: String,
    sides: SidesFile,
    step: MassStepFile,
    above: Option<Written>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct ClimateFile {
    name: String,
    lowest: Option<Written>,
    highest: Option<Written>,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum SpaceKindFile {
    Pallet,
    Container,
    Vehicle,
    UnitLoadDevice,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct SpaceFile {
    name: String,
    kind: SpaceKindFile,
    length: Written,
    width: Written,
    height: Written,
    load: Written,
    own_height: Option<Written>,
    own_mass: Option<Written>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct CarryFile {
    shift: Written,
    near: Written,
    near_mass: Written,
    far: Written,
    far_mass: Written,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct PowerBankFile {
    advice: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReuseFile {
    first: u32,
    second: u32,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct MechanicalFile {
    light_to: Written,
    light: [Written; 3],
    heavy: [Written; 3],
    side_impact: [Written; 3],
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct DropFile {
    /// Left out in the last row.
    below: Option<Written>,
    included: bool,
    height_small: Written,
    height_large: Written,
    faces: u32,
    edges: u32,
    corners: u32,
    style: String,
}

/// Reads the dated rows of a journey; `file` is what messages call it.
///
/// # Errors
/// Anything that is no such file, with file, line, field and what would do; limits that no carrier can mean.
pub fn read_carriage_limits(bytes: &[u8], file: &str) -> Result<CarriageLimits, FileError> {
    let document = Document::new(bytes, file)?;
    let written: LimitsFile = document.parse()?;
    convert(&written).map_err(|fault| document.locate(fault))
}

/// One row, its value converted at `field.value`.
fn row<V, T>(
    written: &Row<V>,
    field: &str,
    value: impl FnOnce(&V, &str) -> Result<T, Fault>,
) -> Result<Dated<T>, Fault> {
    check_date(&written.as_of, &join(field, "as_of"))?;
    if written.edition.trim().is_empty() {
        return Err(Fault::new(join(field, "edition"), "the edition is empty")
            .hint("name the text or the practice, and which edition of it"));
    }
    Ok(Dated {
        value: value(&written.value, &join(field, "value"))?,
        edition: written.edition.clone(),
        as_of: written.as_of.clone(),
        source: parse_source(&written.source, &join(field, "source"))?,
    })
}

/// A row of one quantity.
fn plain<Q: Parse>(bench: &Bench, written: &Row<Written>, field: &str) -> Result<Dated<Q>, Fault> {
    row(written, field, |value, at| bench.positive(value, at))
}

/// Rows of a list.
fn rows<V, T>(
    written: &[Row<V>],
    field: &str,
    value: impl Fn(&V, &str) -> Result<T, Fault>,
) -> Result<Vec<Dated<T>>, Fault> {
    written
        .iter()
        .enumerate()
        .map(|(index, written)| row(written, &format!("{field}[{index}]"), &value))
        .collect()
}

fn convert(written: &LimitsFile) -> Result<CarriageLimits, Fault> {
    let bench = Bench::new(None)?;
    let bench = &bench;
    let frame = |written: &Row<[Written; 3]>, field: &str| {
        row(written, field, |sides, at| {
            let side = |index: usize| bench.positive::<Length>(&sides[index], &format!("{at}[{index}]"));
            Ok([side(0)?, side(1)?, side(2)?])
        })
    };
    let courier = |written: &Row<CourierFile>, field: &str| {
        row(written, field, |v, at| {
            Ok(CourierMaximum {
                mass: bench.positive(&v.mass, &join(at, "mass"))?,
                longest: bench.positive(&v.longest, &join(at, "longest"))?,
                length_and_girth: bench.positive(&v.length_and_girth, &join(at, "length_and_girth"))?,
            })
        })
    };
    let lift = |written: &Row<LiftFile>, field: &str| {
        row(written, field, |v, at| {
            Ok(LiftLimits {
                floor_to_waist: bench.positive(&v.floor_to_waist, &join(at, "floor_to_waist"))?,
                floor_to_shoulder: bench.positive(&v.floor_to_shoulder, &join(at, "floor_to_shoulder"))?,
                carry: bench.positive(&v.carry, &join(at, "carry"))?,
                share_beyond_two: v.share_beyond_two,
            })
        })
    };
    let battery = |written: &Row<BatteryFile>, field: &str| {
        row(written, field, |v, at| {
            Ok(BatteryLimits {
                energy: WattHours::new(number_with(&v.energy, "Wh", &join(at, "energy"))?),
                lithium: bench.not_negative(&v.lithium, &join(at, "lithium"))?,
                volts: match &v.volts {
                    Some(text) => number_with(text, "V", &join(at, "volts"))?,
                    None => f64::INFINITY,
                },
                spares: v.spares,
            })
        })
    };
    let w = written;
    let limits = CarriageLimits {
        checked_linear_size: plain(bench, &w.checked_linear_size, "checked_linear_size")?,
        checked_linear_size_charged: plain(
            bench,
            &w.checked_linear_size_charged,
            "checked_linear_size_charged",
        )?,
        checked_linear_size_largest: plain(
            bench,
            &w.checked_linear_size_largest,
            "checked_linear_size_largest",
        )?,
        checked_mass: plain(bench, &w.checked_mass, "checked_mass")?,
        checked_mass_one_piece: plain(bench, &w.checked_mass_one_piece, "checked_mass_one_piece")?,
        checked_mass_largest: plain(bench, &w.checked_mass_largest, "checked_mass_largest")?,
        carry_on: frame(&w.carry_on, "carry_on")?,
        carry_on_wide: frame(&w.carry_on_wide, "carry_on_wide")?,
        carry_on_mass: plain(bench, &w.carry_on_mass, "carry_on_mass")?,
        carry_on_mass_wide: plain(bench, &w.carry_on_mass_wide, "carry_on_mass_wide")?,
        dimensional: rows(&w.dimensional, "dimensional", |v, at| dimensional(bench, v, at))?,
        courier_maximum: courier(&w.courier_maximum, "courier_maximum")?,
        courier_large: courier(&w.courier_large, "courier_large")?,
        courier_large_volume: plain(bench, &w.courier_large_volume, "courier_large_volume")?,
        courier_large_billed: plain(bench, &w.courier_large_billed, "courier_large_billed")?,
        additional_handling: row(&w.additional_handling, "additional_handling", |v, at| {
            Ok(AdditionalHandling {
                mass: bench.positive(&v.mass, &join(at, "mass"))?,
                longest: bench.positive(&v.longest, &join(at, "longest"))?,
                second: bench.positive(&v.second, &join(at, "second"))?,
                length_and_girth: bench.positive(&v.length_and_girth, &join(at, "length_and_girth"))?,
            })
        })?,
        additional_handling_volume: plain(
            bench,
            &w.additional_handling_volume,
            "additional_handling_volume",
        )?,
        heavy_label: plain(bench, &w.heavy_label, "heavy_label")?,
        postal: row(&w.postal, "postal", |v, at| postal(bench, v, at))?,
        freight_classes: row(&w.freight_classes, "freight_classes", |steps, at| {
            let step = |(index, v): (usize, &StepFile)| {
                let below = v
                    .below
                    .as_ref()
                    .map_or(Ok(Density::from_si(f64::INFINITY)), |below| {
                        bench.positive(below, &format!("{at}[{index}].below"))
                    })?;
                Ok(FreightStep {
                    below,
                    class: v.class,
                })
            };
            steps.iter().enumerate().map(step).collect()
        })?,
        lift: lift(&w.lift, "lift")?,
        lift_men: lift(&w.lift_men, "lift_men")?,
        load_constant: plain(bench, &w.load_constant, "load_constant")?,
        reference_masses: row(&w.reference_masses, "reference_masses", |v, at| {
            Ok(ReferenceMasses {
                men: bench.positive(&v.men, &join(at, "men"))?,
                women: bench.positive(&v.women, &join(at, "women"))?,
                men_young_or_old: bench.positive(&v.men_young_or_old, &join(at, "men_young_or_old"))?,
                women_young_or_old: bench.positive(&v.women_young_or_old, &join(at, "women_young_or_old"))?,
            })
        })?,
        lift_filter: row(&w.lift_filter, "lift_filter", |boxes, at| {
            let filter = |(index, v): (usize, &FilterFile)| filter(bench, v, &format!("{at}[{index}]"));
            boxes.iter().enumerate().map(filter).collect()
        })?,
        team_shares: row(&w.team_shares, "team_shares", |v, _| Ok(*v))?,
        cabin_altitude: plain(bench, &w.cabin_altitude, "cabin_altitude")?,
        feeder_altitude: plain(bench, &w.feeder_altitude, "feeder_altitude")?,
        altitude_rate: plain(bench, &w.altitude_rate, "altitude_rate")?,
        altitude_tests: rows(&w.altitude_tests, "altitude_tests", |v, at| {
            Ok(AltitudeTest {
                what: Said::name(&v.what),
                altitude: bench.positive(&v.altitude, &join(at, "altitude"))?,
                hold: bench.positive(&v.hold, &join(at, "hold"))?,
            })
        })?,
        climates: rows(&w.climates, "climates", |v, at| {
            let at_temperature = |written: &Option<Written>, key| {
                written
                    .as_ref()
                    .map(|t| bench.positive(t, &join(at, key)))
                    .transpose()
            };
            Ok(Climate {
                name: v.name.clone(),
                lowest: at_temperature(&v.lowest, "lowest")?,
                highest: at_temperature(&v.highest, "highest")?,
            })
        })?,
        battery_free: battery(&w.battery_free, "battery_free")?,
        battery_approval: battery(&w.battery_approval, "battery_approval")?,
        battery_lead: battery(&w.battery_lead, "battery_lead")?,
        battery_mobility: battery(&w.battery_mobility, "battery_mobility")?,
        battery_of_bag: battery(&w.battery_of_bag, "battery_of_bag")?,
        battery_devices: row(&w.battery_devices, "battery_devices", |v, _| Ok(*v))?,
        battery_spares: row(&w.battery_spares, "battery_spares", |v, _| Ok(*v))?,
        battery_charge: row(&w.battery_charge, "battery_charge", |v, _| Ok(*v))?,
        vehicle_stack: row(&w.vehicle_stack, "vehicle_stack", |v, at| {
            Ok(VehicleStack {
                density: bench.positive(&v.density, &join(at, "density"))?,
                height: bench.positive(&v.height, &join(at, "height"))?,
                small_height: bench.positive(&v.small_height, &join(at, "small_height"))?,
                small_mass: bench.positive(&v.small_mass, &join(at, "small_mass"))?,
                small_volume: bench.positive(&v.small_volume, &join(at, "small_volume"))?,
            })
        })?,
        vehicle_factors: row(&w.vehicle_factors, "vehicle_factors", |v, _| Ok(*v))?,
        warehouse_factors: row(&w.warehouse_factors, "warehouse_factors", |v, _| Ok(*v))?,
        warehouse_factors_creeping: row(
            &w.warehouse_factors_creeping,
            "warehouse_factors_creeping",
            |v, _| Ok(*v),
        )?,
        spaces: rows(&w.spaces, "spaces", |v, at| space(bench, v, at))?,
        transit_drops: rows(&w.transit_drops, "transit_drops", |v, at| {
            transit_drop(bench, v, at)
        })?,
        cumulative_carry: row(&w.cumulative_carry, "cumulative_carry", |v, at| {
            Ok(CumulativeCarry {
                shift: bench.positive(&v.shift, &join(at, "shift"))?,
                near: bench.positive(&v.near, &join(at, "near"))?,
                near_mass: bench.positive(&v.near_mass, &join(at, "near_mass"))?,
                far: bench.positive(&v.far, &join(at, "far"))?,
                far_mass: bench.positive(&v.far_mass, &join(at, "far_mass"))?,
            })
        })?,
        power_banks: row(&w.power_banks, "power_banks", |v, _| {
            Ok(PowerBankNote {
                advice: Said::name(&v.advice),
            })
        })?,
        reuse_categories: row(&w.reuse_categories, "reuse_categories", |v, _| {
            Ok(ReuseCategories {
                first: v.first,
                second: v.second,
            })
        })?,
        mechanical_handling: row(&w.mechanical_handling, "mechanical_handling", |v, at| {
            Ok(MechanicalHandling {
                light_to: bench.positive(&v.light_to, &join(at, "light_to"))?,
                light: three(bench, &v.light, &join(at, "light"))?,
                heavy: three(bench, &v.heavy, &join(at, "heavy"))?,
                side_impact: three(bench, &v.side_impact, &join(at, "side_impact"))?,
            })
        })?,
        road_vibration: row(&w.road_vibration, "road_vibration", |v, at| vehicle(bench, v, at))?,
        off_road_vibration: row(&w.off_road_vibration, "off_road_vibration", |v, at| {
            vehicle(bench, v, at)
        })?,
    };
    limits
        .validate()
        .map_err(|error| Fault::new("", error.to_string()))?;
    Ok(limits)
}

fn dimensional(bench: &Bench, v: &DimensionalFile, at: &str) -> Result<DimensionalRow, Fault> {
    let field = join(at, "divisor");
    let divisor = if v.divisor.trim_end().ends_with("in3/lb") {
        Divisor::CubicInchesPerPound(number_with(&v.divisor, "in3/lb", &field)?)
    } else {
        Divisor::CubicCentimetresPerKilogram(number_with(&v.divisor, "cm3/kg", &field)?)
    };
    Ok(DimensionalRow {
        name: Said::name(&v.name),
        billed_by: match v.billed_by {
            BilledByFile::Express => BilledBy::Express,
            BilledByFile::Road => BilledBy::Road,
            BilledByFile::AirFreight => BilledBy::AirFreight,
            BilledByFile::Postal => BilledBy::Postal,
        },
        rule: DimensionalRule {
            divisor,
            sides: match v.sides {
                SidesFile::AsMeasured => SideRounding::Unrounded,
                SidesFile::NearestInch => SideRounding::NearestInch,
                SidesFile::NextInch => SideRounding::NextInch,
                SidesFile::NextCentimetre => SideRounding::NextCentimetre,
            },
            step: match v.step {
                MassStepFile::AsMeasured => MassStep::Unrounded,
                MassStepFile::HalfKilogram => MassStep::HalfKilogram,
                MassStepFile::Kilogram => MassStep::Kilogram,
                MassStepFile::Pound => MassStep::Pound,
            },
        },
        above: v
            .above
            .as_ref()
            .map(|above| bench.positive(above, &join(at, "above")))
            .transpose()?,
    })
}

fn postal(bench: &Bench, v: &PostalFile, at: &str) -> Result<PostalLimits, Fault> {
    Ok(PostalLimits {
        mass: bench.positive(&v.mass, &join(at, "mass"))?,
        length_and_girth: bench.positive(&v.length_and_girth, &join(at, "length_and_girth"))?,
        length_and_girth_oversize: bench.positive(
            &v.length_and_girth_oversize,
            &join(at, "length_and_girth_oversize"),
        )?,
        longest: bench.positive(&v.longest, &join(at, "longest"))?,
        longest_lower_fee: bench.positive(&v.longest_lower_fee, &join(at, "longest_lower_fee"))?,
        volume: bench.positive(&v.volume, &join(at, "volume"))?,
    })
}

fn filter(bench: &Bench, v: &FilterFile, at: &str) -> Result<LiftFilter, Fault> {
    Ok(LiftFilter {
        zone: match v.zone {
            ZoneFile::AboveShoulder => LiftZone::AboveShoulder,
            ZoneFile::ElbowToShoulder => LiftZone::ElbowToShoulder,
            ZoneFile::KnuckleToElbow => LiftZone::KnuckleToElbow,
            ZoneFile::LowerLegToKnuckle => LiftZone::LowerLegToKnuckle,
            ZoneFile::FloorToLowerLeg => LiftZone::FloorToLowerLeg,
        },
        men_close: bench.positive(&v.men_close, &join(at, "men_close"))?,
        men_far: bench.positive(&v.men_far, &join(at, "men_far"))?,
        women_close: bench.positive(&v.women_close, &join(at, "women_close"))?,
        women_far: bench.positive(&v.women_far, &join(at, "women_far"))?,
    })
}

fn space(bench: &Bench, v: &SpaceFile, at: &str) -> Result<LoadSpace, Fault> {
    Ok(LoadSpace {
        name: Said::name(&v.name),
        kind: match v.kind {
            SpaceKindFile::Pallet => SpaceKind::Pallet,
            SpaceKindFile::Container => SpaceKind::Container,
            SpaceKindFile::Vehicle => SpaceKind::Vehicle,
            SpaceKindFile::UnitLoadDevice => SpaceKind::UnitLoadDevice,
        },
        length: bench.positive(&v.length, &join(at, "length"))?,
        width: bench.positive(&v.width, &join(at, "width"))?,
        height: bench.positive(&v.height, &join(at, "height"))?,
        load: bench.positive(&v.load, &join(at, "load"))?,
        own: match (&v.own_height, &v.own_mass) {
            (Some(height), Some(mass)) => Some((
                bench.positive(height, &join(at, "own_height"))?,
                bench.positive(mass, &join(at, "own_mass"))?,
            )),
            (None, None) => None,
            _ => {
                return Err(Fault::new(at, "an empty pallet has a height and a mass")
                    .hint("give both `own_height` and `own_mass`, or neither"));
            }
        },
    })
}

fn vehicle(bench: &Bench, v: &VibrationFile, at: &str) -> Result<RoadVibration, Fault> {
    Ok(RoadVibration {
        vertical: v.vertical,
        transverse: v.transverse,
        longitudinal: v.longitudinal,
        time: bench.positive(&v.time, &join(at, "time"))?,
        distance: bench.positive(&v.distance, &join(at, "distance"))?,
    })
}

/// A value for each of the three assurance levels.
fn three<Q: Parse>(bench: &Bench, written: &[Written; 3], at: &str) -> Result<[Q; 3], Fault> {
    let one = |level: usize| bench.positive::<Q>(&written[level], &format!("{at}[{level}]"));
    Ok([one(0)?, one(1)?, one(2)?])
}

fn transit_drop(bench: &Bench, v: &DropFile, at: &str) -> Result<TransitDropRow, Fault> {
    Ok(TransitDropRow {
        below: v
            .below
            .as_ref()
            .map_or(Ok(Mass::from_si(f64::INFINITY)), |below| {
                bench.positive(below, &join(at, "below"))
            })?,
        included: v.included,
        height_small: bench.positive(&v.height_small, &join(at, "height_small"))?,
        height_large: bench.positive(&v.height_large, &join(at, "height_large"))?,
        faces: v.faces,
        edges: v.edges,
        corners: v.corners,
        style: Said::name(&v.style),
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn shipped() -> String {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../library/journey/common-practice.toml");
        std::fs::read_to_string(path).unwrap()
    }

    /// Two copies of the same rows: whoever edits the library's edits the crate's.
    #[test]
    fn the_librarys_rows_are_those_of_the_crate() {
        let read = read_carriage_limits(shipped().as_bytes(), "common-practice.toml").unwrap();
        // Word for word: what the crate says may be said in another language, what a file says stands as it is.
        assert_eq!(read, CarriageLimits::common());
    }

    #[test]
    fn a_wrong_row_is_named() {
        for (find, replace, field, word) in [
            (
                "value = \"62 in\"",
                "value = \"62\"",
                "checked_linear_size.value",
                "no unit",
            ),
            (
                "as_of = \"2026-11-25\"",
                "as_of = \"lately\"",
                "checked_linear_size.as_of",
                "date",
            ),
            (
                "quoting airlines (secondary)",
                "quoting airlines",
                "checked_linear_size.source",
                "how sure",
            ),
            ("[heavy_label]", "[heavy_lable]", "heavy_lable", "not a key"),
            (
                "divisor = \"5000 cm3/kg\"",
                "divisor = \"5000\"",
                "dimensional[0].value.divisor",
                "unit",
            ),
            ("below = \"1.0 lb/ft3\"", "below = \"9.0 lb/ft3\"", "", "rise"),
        ] {
            let text = shipped().replace("below = \"1 lb/ft3\"", "below = \"1.0 lb/ft3\"");
            assert!(text.contains(find), "{find}");
            let error =
                read_carriage_limits(text.replacen(find, replace, 1).as_bytes(), "rows.toml").unwrap_err();
            assert_eq!(error.place().field, field, "{error}");
            assert!(error.to_string().contains(word), "{error}");
        }
    }
}
