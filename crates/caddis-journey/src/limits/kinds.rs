//! What a row may hold.

use crate::{DimensionalRule, LegKind, WattHours};
use caddis_basis::{Density, Duration, Length, Mass, Said, Speed, Temperature, Volume, said};

/// The largest parcel of a network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CourierMaximum {
    /// Heaviest.
    pub mass: Mass,
    /// Longest side.
    pub longest: Length,
    /// Longest side plus girth.
    pub length_and_girth: Length,
}

/// Where a parcel starts to cost additional handling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdditionalHandling {
    /// Heaviest without.
    pub mass: Mass,
    /// Longest side without.
    pub longest: Length,
    /// Second longest side without.
    pub second: Length,
    /// Longest side plus girth without.
    pub length_and_girth: Length,
}

/// What the post takes, and where it charges for size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PostalLimits {
    /// Heaviest.
    pub mass: Mass,
    /// Length and girth at the ordinary rate.
    pub length_and_girth: Length,
    /// Length and girth at the oversize rate, at most.
    pub length_and_girth_oversize: Length,
    /// Longest side without a fee for shape.
    pub longest: Length,
    /// Longest side up to the lower fee for shape.
    pub longest_lower_fee: Length,
    /// Volume without a fee for shape.
    pub volume: Volume,
}

/// Which carriage a divisor belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BilledBy {
    /// Express couriers.
    Express,
    /// Parcel networks by road.
    Road,
    /// Air freight.
    AirFreight,
    /// The post.
    Postal,
}

impl BilledBy {
    /// The words printed on papers.
    pub fn said(self) -> Said {
        match self {
            Self::Express => said!("express"),
            Self::Road => said!("road parcel"),
            Self::AirFreight => said!("air freight"),
            Self::Postal => said!("post"),
        }
    }

    /// Whether a leg may be billed so.
    pub fn concerns(self, kind: LegKind) -> bool {
        match kind {
            LegKind::CourierAir => matches!(self, Self::Express | Self::AirFreight | Self::Postal),
            LegKind::CourierRoad => matches!(self, Self::Express | Self::Road | Self::Postal),
            _ => false,
        }
    }
}

/// One carrier's way of billing size, with its name.
#[derive(Debug, Clone, PartialEq)]
pub struct DimensionalRow {
    /// What it is called.
    pub name: Said,
    /// Whose it is.
    pub billed_by: BilledBy,
    /// The divisor and its rounding.
    pub rule: DimensionalRule,
    /// Parcels up to this volume are billed by mass alone.
    pub above: Option<Volume>,
}

/// What persons lift and carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiftLimits {
    /// One person, from the floor to 0.91 m.
    pub floor_to_waist: Mass,
    /// One person, from the floor to 1.52 m.
    pub floor_to_shoulder: Mass,
    /// One person, carried up to 10 m.
    pub carry: Mass,
    /// The share of the one-person value that each person beyond two adds.
    pub share_beyond_two: f64,
}

/// Reference masses of a lift under good conditions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceMasses {
    /// Men from 20 to 45 years.
    pub men: Mass,
    /// Women from 20 to 45 years.
    pub women: Mass,
    /// Men younger or older.
    pub men_young_or_old: Mass,
    /// Women younger or older.
    pub women_young_or_old: Mass,
}

/// A height at which hands hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LiftZone {
    /// Above the shoulder.
    AboveShoulder,
    /// Elbow to shoulder.
    ElbowToShoulder,
    /// Knuckle to elbow.
    KnuckleToElbow,
    /// Middle of the lower leg to knuckle.
    LowerLegToKnuckle,
    /// Floor to middle of the lower leg.
    FloorToLowerLeg,
}

impl LiftZone {
    /// The words printed on papers.
    pub fn said(self) -> Said {
        match self {
            Self::AboveShoulder => said!("above the shoulder"),
            Self::ElbowToShoulder => said!("elbow to shoulder"),
            Self::KnuckleToElbow => said!("knuckle to elbow"),
            Self::LowerLegToKnuckle => said!("lower leg to knuckle"),
            Self::FloorToLowerLeg => said!("floor to lower leg"),
        }
    }
}

/// One box of the guideline filter: what needs no further assessment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiftFilter {
    /// Where the hands are.
    pub zone: LiftZone,
    /// Men, held close.
    pub men_close: Mass,
    /// Men, at arm's length.
    pub men_far: Mass,
    /// Women, held close.
    pub women_close: Mass,
    /// Women, at arm's length.
    pub women_far: Mass,
}

/// A high-altitude test.
#[derive(Debug, Clone, PartialEq)]
pub struct AltitudeTest {
    /// What is done.
    pub what: Said,
    /// Pressure altitude.
    pub altitude: Length,
    /// How long.
    pub hold: Duration,
}

/// Temperatures of closed goods in store and transit, sun included.
#[derive(Debug, Clone, PartialEq)]
pub struct Climate {
    /// What it is called: `A1` to `C3`.
    pub name: String,
    /// The coldest; `None` for a hot climate, whose cold is not its matter.
    pub lowest: Option<Temperature>,
    /// The warmest; `None` for a cold climate.
    pub highest: Option<Temperature>,
}

/// The largest battery of a class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatteryLimits {
    /// Most energy of one battery.
    pub energy: WattHours,
    /// Most lithium metal of one battery.
    pub lithium: Mass,
    /// Highest nominal voltage, V; infinite where none is set.
    pub volts: f64,
    /// Most spares a person; `None` where none is set.
    pub spares: Option<u32>,
}

/// Mixed freight standing on a case in a vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VehicleStack {
    /// Mean density of what stands above.
    pub density: Density,
    /// Height of the load.
    pub height: Length,
    /// Height of the load for small light packages.
    pub small_height: Length,
    /// A package below this mass and `small_volume` is small and light.
    pub small_mass: Mass,
    /// A package below this volume and `small_mass` is small and light.
    pub small_volume: Volume,
}

impl VehicleStack {
    /// The height of the load over a package of this mass and volume.
    pub fn height_over(&self, gross: Mass, volume: Volume) -> Length {
        if gross < self.small_mass && volume < self.small_volume {
            self.small_height
        } else {
            self.height
        }
    }
}

/// What a load space is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpaceKind {
    /// A pallet.
    Pallet,
    /// A freight container.
    Container,
    /// A road vehicle.
    Vehicle,
    /// A unit load device of an aircraft.
    UnitLoadDevice,
}

impl SpaceKind {
    /// The words printed on papers.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pallet => "pallet",
            Self::Container => "container",
            Self::Vehicle => "vehicle",
            Self::UnitLoadDevice => "unit load device",
        }
    }
}

/// Where cases are loaded.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadSpace {
    /// What it is called.
    pub name: Said,
    /// What it is.
    pub kind: SpaceKind,
    /// Inside length, or the pallet's.
    pub length: Length,
    /// Inside width, or the pallet's.
    pub width: Length,
    /// Inside height, or the height of the load on the pallet.
    pub height: Length,
    /// What it carries.
    pub load: Mass,
    /// Height and mass of the empty pallet, where they are known.
    pub own: Option<(Length, Mass)>,
}

/// Transit drops of one range of mass and size.
#[derive(Debug, Clone, PartialEq)]
pub struct TransitDropRow {
    /// The row ends below this gross mass; infinite in the last.
    pub below: Mass,
    /// Whether the row ends with that mass included.
    pub included: bool,
    /// Drop height of a case below 91 cm in its longest side.
    pub height_small: Length,
    /// Drop height of a larger one.
    pub height_large: Length,
    /// On six faces.
    pub faces: u32,
    /// On edges.
    pub edges: u32,
    /// On corners.
    pub corners: u32,
    /// How it is dropped, in words.
    pub style: Said,
}

impl TransitDropRow {
    /// How many drops.
    pub fn drops(&self) -> u32 {
        self.faces + self.edges + self.corners
    }
}

/// What one person may carry over a shift, all loads added up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CumulativeCarry {
    /// The shift the masses are for.
    pub shift: Duration,
    /// Carried up to this distance, ...
    pub near: Length,
    /// ... this mass in a shift.
    pub near_mass: Mass,
    /// Carried up to this distance, ...
    pub far: Length,
    /// ... this mass in a shift.
    pub far_mass: Mass,
}

/// What power banks meet beyond the rule of spares, which changes from state to state.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerBankNote {
    /// What to ask and to do.
    pub advice: Said,
}

/// How many round trips a reusable packaging of airline supplies is built for, by category.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReuseCategories {
    /// Category I, at least.
    pub first: u32,
    /// Category II, at least.
    pub second: u32,
}

/// Rough handling by machine: an end or a side raised and let go, and the case run into a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MechanicalHandling {
    /// Cases up to this gross mass fall from the first heights, heavier ones from the second.
    pub light_to: Mass,
    /// How high a base edge is raised at assurance levels I, II and III.
    pub light: [Length; 3],
    /// The same of a heavier case.
    pub heavy: [Length; 3],
    /// Speed of the side impact at assurance levels I, II and III.
    pub side_impact: [Speed; 3],
}

/// Vibration of a vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoadVibration {
    /// Overall vertical level, standard gravities rms.
    pub vertical: f64,
    /// Overall transverse level.
    pub transverse: f64,
    /// Overall longitudinal level.
    pub longitudinal: f64,
    /// Time an axis for each `distance`.
    pub time: Duration,
    /// The distance that time stands for.
    pub distance: Length,
}
