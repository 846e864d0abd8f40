//! A foam: its law and what else design needs to know of it.

use crate::drop::Hysteresis;
use crate::{Law, LawError};
use caddis_basis::{Area, Certainty, Density, Length, Measured, Pressure, Source, Temperature};

/// A foam as the library lists it.
#[derive(Debug, Clone, PartialEq)]
pub struct Foam {
    /// Id in the library.
    pub name: String,
    /// Title on papers ("closed-cell polyethylene, 29 kg/m³, generic").
    pub title: String,
    /// Base material as the trade says it ("cross-linked polyethylene").
    pub material: String,
    /// Bulk density.
    pub density: Density,
    /// Closed-cell or open-cell.
    pub closed_cell: bool,
    /// The law of a first impact (or one that does not say which).
    pub law: Law,
    /// The law of later impacts, where data exist.
    pub later: Option<Law>,
    /// How the law was come by.
    pub record: LawRecord,
    /// What the foam stands and does beside cushioning, each with its source.
    pub properties: Vec<StatedProperty>,
    /// Colours it is sold in, where somebody says so.
    pub colours: Option<StatedColours>,
    /// Firmness: compression stress at 40 % by ISO 3386-1, where somebody measured it. Never taken from the law, which is
    /// one of impacts.
    pub firmness: Option<Measured<Pressure>>,
    /// Static stresses above which creep over months passes 10 %, by temperature, coolest first; none where nobody says.
    pub creep_limits: Vec<CreepLimit>,
    /// What earlier impacts leave behind beside the law of later ones, where data state it.
    pub memory: Option<FoamMemory>,
    /// What it gives back less than it took, where somebody measured it.
    pub hysteresis: Option<(Hysteresis, Source)>,
    /// Working temperatures.
    pub temperatures: Option<(Temperature, Temperature)>,
    /// Clearance (+) or squeeze (-) per side between a cavity and its item.
    pub cavity_clearance: Length,
    /// Oversize per side of blocks against the shell wall: least and most of the target squeeze range.
    pub wall_squeeze: (Length, Length),
    /// Least web between cavities.
    pub least_web: Length,
    /// Colour on pictures, sRGB.
    pub colour: [u8; 3],
    /// Source of the entry.
    pub source: Source,
}

/// Static stress a foam bears for months, up to a temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct CreepLimit {
    /// Static stress at which creep over months reaches 10 %.
    pub stress: Pressure,
    /// Highest temperature the limit is stated for; a limit without one is taken as stated up to [`ROOM`].
    pub up_to: Option<Temperature>,
    /// Whose data, with its own certainty.
    pub source: Source,
}

impl CreepLimit {
    /// Highest temperature it speaks for.
    pub fn reach(&self) -> Temperature {
        self.up_to.unwrap_or(ROOM)
    }
}

/// Highest temperature that still counts as room temperature, at which data sheets state creep (common practice, no source).
pub const ROOM: Temperature = Temperature::celsius(30.0);

/// What a foam keeps of an impact, as data state it.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamMemory {
    /// Strain from which pressed foam follows the law of later impacts.
    pub worn_from: f64,
    /// Share of the largest deflection that stays as a gap.
    pub set: f64,
    /// Share of wear and set that fades until the next impact.
    pub recovery: f64,
    /// Whose data.
    pub source: Source,
}

/// How a law was measured or fitted.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LawRecord {
    /// Rate of the compression test, strain per second; `None` for drops or when it is not stated.
    pub strain_rate: Option<f64>,
    /// Temperature of the test.
    pub temperature: Option<Temperature>,
    /// Scatter of measured peaks about the law, standard deviation of their ratio to it.
    pub scatter: Option<f64>,
    /// How many tests stand behind it.
    pub tests: Option<u32>,
}

/// Which impact of a cushion's life is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Impact {
    /// The first.
    First,
    /// Those after it.
    Later,
}

/// A property that equipment may ask of its foam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FoamProperty {
    /// Leads static charge away.
    StaticDissipative,
    /// Has a flame rating.
    FlameRated,
    /// Stands fuel and oil.
    FuelResistant,
    /// Stands damp without taking it up or breaking down.
    DampResistant,
    /// Sheds no particles.
    NonShedding,
    /// Leaves no stain or residue on finishes.
    NonStaining,
}

impl FoamProperty {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::StaticDissipative,
        Self::FlameRated,
        Self::FuelResistant,
        Self::DampResistant,
        Self::NonShedding,
        Self::NonStaining,
    ];

    /// The word in files.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::StaticDissipative => "static-dissipative",
            Self::FlameRated => "flame-rated",
            Self::FuelResistant => "fuel-resistant",
            Self::DampResistant => "damp-resistant",
            Self::NonShedding => "non-shedding",
            Self::NonStaining => "non-staining",
        }
    }
}

/// Whether a foam has a property, and who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedProperty {
    /// The property.
    pub property: FoamProperty,
    /// Whether the foam has it.
    pub has: bool,
    /// Who says so.
    pub source: Source,
}

/// The colours a foam is sold in.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedColours {
    /// Their names on the supplier's list.
    pub names: Vec<String>,
    /// Who says so.
    pub source: Source,
}

/// One check of a foam (buckling) with its numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamCheck {
    /// What was found, SI.
    pub found: f64,
    /// The limit, SI.
    pub limit: f64,
    /// The rule's source.
    pub source: Source,
}

impl Foam {
    /// The foam itself if its entry makes sense.
    ///
    /// # Errors
    /// A law that is none; no name; a density, least web or creep limit that is not positive; squeeze or temperatures
    /// upside down.
    pub fn validated(self) -> Result<Self, LawError> {
        let complain = |words: String| Err(LawError::Constants(words));
        self.law.check()?;
        if let Some(later) = &self.later {
            later.check()?;
        }
        if self.name.trim().is_empty() {
            return complain("the foam has no name".to_owned());
        }
        if !(self.density.is_finite() && self.density.si() > 0.0) {
            return complain(format!("density {} must be positive", self.density));
        }
        if !(self.least_web.is_finite() && self.least_web.si() > 0.0) {
            return complain(format!("least web {} must be positive", self.least_web));
        }
        if !self.cavity_clearance.is_finite() {
            return complain("cavity clearance is not a number".to_owned());
        }
        let (low, high) = self.wall_squeeze;
        if !(low.is_finite() && high.is_finite() && low <= high) {
            return complain(format!("wall squeeze from {low} to {high} is upside down"));
        }
        for limit in &self.creep_limits {
            if !(limit.stress.is_finite() && limit.stress.si() > 0.0 && limit.reach().is_finite()) {
                return complain(format!("creep limit {} must be positive", limit.stress));
            }
        }
        for pair in self.creep_limits.windows(2) {
            if pair[0].reach() >= pair[1].reach() || pair[0].stress < pair[1].stress {
                return complain(format!(
                    "creep limits must fall as the temperature they are stated for rises, but {} up to {:.0} is followed by {} up \
                     to {:.0}",
                    pair[0].stress,
                    pair[0].reach(),
                    pair[1].stress,
                    pair[1].reach()
                ));
            }
        }
        if let Some(memory) = &self.memory {
            check_memory(memory.worn_from, memory.set, memory.recovery).map_err(LawError::Constants)?;
        }
        if let Some((hysteresis, _)) = &self.hysteresis {
            hysteresis.check().map_err(LawError::Constants)?;
        }
        if let Some((low, high)) = self.temperatures
            && !(low.si() >= 0.0 && low < high && high.is_finite())
        {
            return complain(format!(
                "working temperatures from {low} to {high} are upside down"
            ));
        }
        Ok(self)
    }

    /// The law of an impact; `None` for later ones without data.
    pub fn law_for(&self, impact: Impact) -> Option<&Law> {
        match impact {
            Impact::First => Some(&self.law),
            Impact::Later => self.later.as_ref(),
        }
    }

    /// What is stated of a property; `None` when nobody says.
    pub fn stated(&self, property: FoamProperty) -> Option<&StatedProperty> {
        self.properties.iter().find(|stated| stated.property == property)
    }

    /// The creep limit that speaks for a temperature: the coolest stated one that reaches it, else the hottest there is; `None`
    /// when the entry has no limit.
    pub fn creep_limit(&self, temperature: Temperature) -> Option<&CreepLimit> {
        self.creep_limits
            .iter()
            .find(|limit| temperature <= limit.reach())
            .or(self.creep_limits.last())
    }

    /// Area of one free-standing pad against (1.33 t)²; limit is the least area in m².
    ///
    /// # Source
    /// As [`least_pad`].
    pub fn buckling(&self, pad_area: Area, thickness: Length) -> FoamCheck {
        FoamCheck {
            found: pad_area.si(),
            limit: least_pad(thickness).si(),
            source: Source::new(
                "least bearing area of one pad (1.33 t)^2, taken as MIL-HDBK-304 or common guide",
                Certainty::Memory,
            ),
        }
    }
}

impl FoamCheck {
    /// Whether a value that must reach its limit does (pad area against buckling).
    pub fn is_at_least(&self) -> bool {
        self.found >= self.limit
    }
}

/// Refuses a memory beyond sense, in words.
pub(crate) fn check_memory(worn_from: f64, set: f64, recovery: f64) -> Result<(), String> {
    for (what, value, most) in [
        ("strain from which foam is worn", worn_from, 1.0),
        ("set", set, 0.9),
        ("recovery", recovery, 1.0),
    ] {
        if !(0.0..=most).contains(&value) {
            return Err(format!("the {what} must lie from 0 to {most}, not {value}"));
        }
    }
    Ok(())
}

/// Least bearing area of one free-standing pad that will not buckle: (1.33 t)².
///
/// # Source
/// Taken as MIL-HDBK-304 or common guide (from memory, unverified).
pub fn least_pad(thickness: Length) -> Area {
    let side = thickness * 1.33;
    side * side
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::{LawKind, LawRange};

    fn foam() -> Foam {
        Foam {
            name: "test".to_owned(),
            title: "test foam".to_owned(),
            material: "none".to_owned(),
            density: Density::from_si(30.0),
            closed_cell: true,
            law: Law {
                kind: LawKind::StressEnergy { a: 3e4, b: 3.5e-5 },
                range: LawRange {
                    static_stress: None,
                    greatest_strain: 0.8,
                    thickness: None,
                    drop_height: None,
                },
                gravity_in_fit: true,
                is_measured_dynamic: false,
                source: Source::new("test", Certainty::Invented),
            },
            later: None,
            record: LawRecord::default(),
            properties: Vec::new(),
            colours: None,
            firmness: None,
            creep_limits: vec![limit(7.0, None)],
            memory: None,
            hysteresis: None,
            temperatures: None,
            cavity_clearance: Length::mm(-1.0),
            wall_squeeze: (Length::mm(1.0), Length::mm(3.0)),
            least_web: Length::mm(20.0),
            colour: [0, 0, 0],
            source: Source::new("test", Certainty::Invented),
        }
    }

    #[test]
    fn a_good_entry_passes_and_bad_ones_do_not() {
        assert!(foam().validated().is_ok());
        assert!(
            Foam {
                name: " ".to_owned(),
                ..foam()
            }
            .validated()
            .is_err()
        );
        assert!(
            Foam {
                density: Density::from_si(f64::NAN),
                ..foam()
            }
            .validated()
            .is_err()
        );
        assert!(
            Foam {
                wall_squeeze: (Length::mm(3.0), Length::mm(1.0)),
                ..foam()
            }
            .validated()
            .is_err()
        );
        assert!(
            Foam {
                least_web: Length::ZERO,
                ..foam()
            }
            .validated()
            .is_err()
        );
    }

    fn limit(kpa: f64, up_to: Option<f64>) -> CreepLimit {
        CreepLimit {
            stress: Pressure::kpa(kpa),
            up_to: up_to.map(Temperature::celsius),
            source: Source::new("test", Certainty::Memory),
        }
    }

    #[test]
    fn the_creep_limit_follows_the_temperature() {
        let foam = Foam {
            creep_limits: vec![limit(7.0, None), limit(4.0, Some(45.0)), limit(2.0, Some(60.0))],
            ..foam()
        };
        let at = |celsius| foam.creep_limit(Temperature::celsius(celsius)).unwrap().stress;
        assert_eq!(at(-20.0), Pressure::kpa(7.0));
        assert_eq!(at(30.0), Pressure::kpa(7.0));
        assert_eq!(at(31.0), Pressure::kpa(4.0));
        assert_eq!(at(60.0), Pressure::kpa(2.0));
        // Nobody speaks for it: the hottest there is, whose reach tells that it does not.
        assert_eq!(at(70.0), Pressure::kpa(2.0));
        assert!(foam.clone().validated().is_ok());
        let none = Foam {
            creep_limits: Vec::new(),
            ..foam.clone()
        };
        assert_eq!(none.creep_limit(ROOM), None);
        for limits in [
            vec![limit(4.0, None), limit(7.0, Some(45.0))],
            vec![limit(7.0, Some(45.0)), limit(4.0, None)],
            vec![limit(7.0, None), limit(7.0, Some(30.0))],
            vec![limit(0.0, None)],
        ] {
            let foam = Foam {
                creep_limits: limits,
                ..foam.clone()
            };
            assert!(foam.validated().is_err());
        }
    }

    #[test]
    fn a_memory_beyond_sense_is_refused() {
        let with = |set: f64, recovery: f64| Foam {
            memory: Some(FoamMemory {
                worn_from: 0.1,
                set,
                recovery,
                source: Source::new("test", Certainty::Measured),
            }),
            ..foam()
        };
        assert!(with(0.02, 0.5).validated().is_ok());
        assert!(with(0.95, 0.5).validated().is_err());
        assert!(with(0.02, f64::NAN).validated().is_err());
    }
}
