//! What verification says.

use crate::Direction;
use caddis_basis::{
    Acceleration, Area, Duration, Finding, InstanceId, Length, Manner, Margin, Mass, Part, Pressure, Said,
    Sayable, Source, Speed, Verdict,
};
use caddis_geometry::Vec3;
use caddis_journey::{LegVerdict, Parcel};
use caddis_protection::{OutOfRange, response::ShockSpectrum};

/// One item in one direction of fall.
#[derive(Debug, Clone, PartialEq)]
pub struct DirectionVerdict {
    /// The direction.
    pub direction: Direction,
    /// The verdict.
    pub verdict: Verdict,
    /// Bearing area.
    pub area: Area,
    /// Foam along the fall: area-weighted mean.
    pub thickness: Length,
    /// The thinnest patch that bears.
    pub least_thickness: Length,
    /// Mass carried: the item and its share of those that lean on it.
    pub carried: Mass,
    /// Those that lean on it.
    pub carries: Vec<InstanceId>,
    /// Static stress.
    pub static_stress: Pressure,
    /// Peak acceleration from the drop height; `None` when the foam bottoms or nothing supports it.
    pub peak: Option<Acceleration>,
    /// The item's fragility, if known.
    pub limit: Option<Acceleration>,
    /// Greatest deflection.
    pub deflection: Option<Length>,
    /// Largest strain.
    pub strain: Option<f64>,
    /// Bottoming margin as in `protection::FlatDrop`.
    pub bottoming_margin: Option<f64>,
    /// The peak of its own foam under what it carries.
    pub own_peak: Option<Acceleration>,
    /// The piece it leans on whose peak is higher and counts for it as well.
    pub with: Option<InstanceId>,
    /// Static stress against the creep limit, kPa, where it matters (down only) and the foam has one.
    pub creep: Option<Margin>,
    /// The same fall once the foam has settled by a tenth, where the case is stored packed for long (down only).
    pub after_creep: Option<AfterCreep>,
    /// What lies outside the law's range.
    pub out_of_range: Vec<OutOfRange>,
}

/// A flat fall on foam that has lost a tenth of its thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AfterCreep {
    /// Peak acceleration.
    Peak(Acceleration),
    /// The rest is crushed solid.
    Bottoms,
    /// The foam was not measured so thin.
    NotKnown,
}

/// How the case lands in a simulated fall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LandingCase {
    /// The shell stops dead.
    StopsDead,
    /// The same with the friction that the job states between foam and items.
    Rubs,
    /// The shell leaves the floor again while the items still sink.
    Bounces,
    /// One end lands first, the other comes down faster.
    EndFirst,
}

impl LandingCase {
    /// All of them, in their order.
    pub const ALL: [Self; 4] = [Self::StopsDead, Self::Rubs, Self::Bounces, Self::EndFirst];

    /// The words on papers.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::StopsDead => "the shell stops dead",
            Self::Rubs => "the foam rubs",
            Self::Bounces => "the shell bounces",
            Self::EndFirst => "one end lands first",
        }
    }
}

impl Sayable for LandingCase {
    fn part(&self, _: Manner) -> Part {
        Part::Said(Said::one_of("landing", self.as_str()))
    }
}

/// One item in one simulated fall.
#[derive(Debug, Clone, PartialEq)]
pub struct FallVerdict {
    /// How the case lands.
    pub landing: LandingCase,
    /// Unit direction of the fall, case axes.
    pub direction: Vec3,
    /// The same in words.
    pub words: Said,
    /// Peak acceleration of the centre of mass; `None` when its foam is crushed past its law or it strikes something
    /// hard.
    pub peak: Option<Acceleration>,
    /// Largest strain of its foam.
    pub strain: f64,
    /// Whether it strikes the shell or a neighbour where no foam lies between.
    pub strikes: bool,
}

/// One item in every simulated fall.
#[derive(Debug, Clone, PartialEq)]
pub struct Falls {
    /// Peak over every direction of fall, the shell stopping dead.
    pub map: Vec<(Vec3, Option<Acceleration>)>,
    /// The highest peak of every landing flat on each face, in the order of [`Direction::ALL`]; `None` where one crushes its
    /// foam or strikes, or was not simulated.
    pub on_faces: [Option<Acceleration>; 6],
    /// The largest velocity change of all falls, m/s.
    pub velocity_change: Speed,
    /// The worst fall of each landing, in the order of [`LandingCase`].
    pub worst_of_each: Vec<FallVerdict>,
    /// The worst of all, which the verdict takes.
    pub worst: FallVerdict,
    /// What it sees in that fall; `None` where no pulse was found.
    pub shock: Option<Shock>,
    /// From what height it is held to which acceleration: to its fragility, or where nobody states one to the low edges of
    /// the fragility classes.
    pub held_from: Vec<HeldFrom>,
    /// The verdict on it.
    pub verdict: Verdict,
}

/// What an item sees in its worst fall.
#[derive(Debug, Clone, PartialEq)]
pub struct Shock {
    /// Time from one sample to the next, the first at the impact.
    pub step: Duration,
    /// The centre of mass, then the item's named points.
    pub traces: Vec<ShockTrace>,
    /// Velocity change of the first pulse.
    pub velocity_change: Speed,
    /// Length of the first pulse.
    pub duration: Duration,
    /// The laboratory filter of the filtered peaks, in words.
    pub filter: Said,
    /// Shock response spectrum of the centre of mass along the fall, unfiltered.
    pub spectrum: ShockSpectrum,
}

/// Acceleration of one point.
#[derive(Debug, Clone, PartialEq)]
pub struct ShockTrace {
    /// The point's name.
    pub name: Said,
    /// The component against the fall, unfiltered, at even steps.
    pub along: Vec<Acceleration>,
    /// Peak of the whole vector, unfiltered.
    pub peak: Acceleration,
    /// Peak of the component along the fall, filtered.
    pub filtered: Acceleration,
}

/// The reverse answer: the height from which a design holds an item to an acceleration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldFrom {
    /// The acceleration.
    pub limit: Acceleration,
    /// The height; `None` where the lowest height looked at already exceeds it.
    pub height: Option<Length>,
    /// Whether it still holds from the greatest height looked at: then the height is that one.
    pub is_beyond: bool,
    /// The lowest height looked at.
    pub lowest: Length,
}

/// Drops of a standard sequence, one after the other, on foam that remembers.
#[derive(Debug, Clone, PartialEq)]
pub struct DropSequence {
    /// Whose sequence.
    pub schedule: Said,
    /// Whose, with edition and day.
    pub source: Source,
    /// What is assumed, in sentences.
    pub assumptions: Vec<Said>,
    /// The drops in order: how the case lands.
    pub drops: Vec<Said>,
    /// From where.
    pub height: Length,
    /// Every hard item.
    pub items: Vec<ItemSequence>,
}

/// One item in a sequence.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemSequence {
    /// Which piece.
    pub instance: InstanceId,
    /// Number on the packing plan.
    pub number: u32,
    /// Name.
    pub name: String,
    /// Peak of each drop; `None` where its foam is crushed past its law or it strikes something hard.
    pub peaks: Vec<Option<Acceleration>>,
    /// Share of its foam that was worn in each drop.
    pub worn: Vec<f64>,
    /// The verdict on the worst of them.
    pub verdict: Verdict,
    /// In words.
    pub sentence: Said,
}

/// One item.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemVerdict {
    /// Which piece.
    pub instance: InstanceId,
    /// Number on the packing plan.
    pub number: u32,
    /// Name.
    pub name: String,
    /// The worst of its directions.
    pub verdict: Verdict,
    /// Six directions in the order of [`Direction::ALL`]; empty for soft goods.
    pub directions: Vec<DirectionVerdict>,
    /// Simulated falls in every direction; `None` for soft goods, or where they were not asked for.
    pub falls: Option<Falls>,
    /// "this design holds it to about 45 G from 760 mm": the worst peak over the six.
    pub held_to: Option<Acceleration>,
    /// In words, for papers.
    pub sentence: Said,
}

/// One check on the case as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseVerdict {
    /// Kebab-case code of the check ("gross-mass", "stack-sum", "worst-case-fit", ...).
    pub code: &'static str,
    /// Name on papers.
    pub name: Said,
    /// The verdict.
    pub verdict: Verdict,
    /// Found against limit, where there is one.
    pub margin: Option<Margin>,
    /// One sentence with numbers and units.
    pub sentence: Said,
    /// The rule's source.
    pub source: Source,
}

/// Everything verification says.
#[derive(Debug, Clone, PartialEq)]
pub struct Verification {
    /// Items in the interior's order.
    pub items: Vec<ItemVerdict>,
    /// Each item under vibration, in the interior's order, soft goods left out.
    pub vibration: Vec<crate::VibrationVerdict>,
    /// How far peaks scatter; `None` where it was not asked for or could not be simulated.
    pub spread: Option<crate::Spread>,
    /// Case checks.
    pub case: Vec<CaseVerdict>,
    /// Every rule on every leg.
    pub legs: Vec<LegVerdict>,
    /// The parcel the journey was checked with.
    pub parcel: Parcel,
    /// Mass of shell, foam, items and sundries: (what, mass).
    pub masses: Vec<(Said, Mass)>,
    /// Drop height used.
    pub drop_height: Length,
    /// The journey's test drops one after the other; `None` where no foam of the job has data of later impacts, or falls
    /// were not asked for.
    pub sequence: Option<DropSequence>,
    /// What the simulated falls assume, in sentences; empty where they were not asked for.
    pub fall_assumptions: Vec<Said>,
    /// All findings, sorted.
    pub findings: Vec<Finding>,
}
