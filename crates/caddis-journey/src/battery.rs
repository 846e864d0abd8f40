//! Batteries and the classes passenger baggage puts them in.

use crate::error::JourneyError;
use crate::parcel::positive;
use crate::{CarriageLimits, Dated};
use caddis_basis::{Manner, Mass, Part, Sayable};
use std::fmt;

/// Rated energy of a battery, watt-hours.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct WattHours(f64);

/// What is printed on a battery without a watt-hour rating.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatteryRating {
    /// Nominal voltage, V.
    pub volts: f64,
    /// Rated capacity, A h.
    pub ampere_hours: f64,
}

impl WattHours {
    /// From watt-hours.
    pub const fn new(value: f64) -> Self {
        Self(value)
    }

    /// From what is printed on the battery: `E = V C`.
    ///
    /// # Source
    /// Definition; the same product is asked for by the passenger baggage rules.
    pub fn from_rating(rating: BatteryRating) -> Self {
        Self(rating.volts * rating.ampere_hours)
    }

    /// The value in watt-hours.
    pub const fn value(self) -> f64 {
        self.0
    }
}

impl fmt::Display for WattHours {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} Wh", self.0)
    }
}

impl Sayable for WattHours {
    fn part(&self, manner: Manner) -> Part {
        match manner.decimals {
            Some(decimals) => Part::Figure(format!("{:.decimals$} Wh", self.0)),
            None => Part::Figure(self.to_string()),
        }
    }
}

/// What a battery is made of, and its rating for one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BatteryContent {
    /// Rechargeable lithium.
    LithiumIon {
        /// Rated energy.
        energy: WattHours,
    },
    /// Lithium metal, not rechargeable.
    LithiumMetal {
        /// Lithium inside.
        lithium: Mass,
    },
    /// A non-spillable lead battery.
    NonSpillableLead {
        /// Nominal voltage, V.
        volts: f64,
        /// Rated energy.
        energy: WattHours,
    },
    /// Nobody said.
    NotKnown,
}

/// One kind of battery in the parcel.
#[derive(Debug, Clone, PartialEq)]
pub struct Battery {
    /// What the people of the job call it.
    pub label: String,
    /// What it is made of.
    pub content: BatteryContent,
    /// Fitted in its equipment; a spare or a power bank is not.
    pub installed: bool,
    /// How many.
    pub count: u32,
}

impl Battery {
    pub(crate) fn validate(&self) -> Result<(), JourneyError> {
        let field = |what: &str| format!("the {what} of battery `{}`", self.label);
        match self.content {
            BatteryContent::LithiumIon { energy } => positive(field("energy"), energy.0, "Wh"),
            BatteryContent::LithiumMetal { lithium } => positive(field("lithium"), lithium.si(), "kg"),
            BatteryContent::NonSpillableLead { volts, energy } => {
                positive(field("voltage"), volts, "V")?;
                positive(field("energy"), energy.0, "Wh")
            }
            BatteryContent::NotKnown => Ok(()),
        }
    }

    /// Whether it is of lithium, or may be.
    pub fn may_be_lithium(&self) -> bool {
        !matches!(self.content, BatteryContent::NonSpillableLead { .. })
    }
}

/// What passenger baggage says to one battery by its rating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BatteryClass {
    /// Goes without approval of the operator.
    Free,
    /// Goes with approval of the operator only.
    OperatorApproval,
    /// Does not go as passenger baggage.
    Forbidden,
    /// The rating is not known.
    NotKnown,
}

/// The class of a battery, and the dated row that decided.
///
/// # Source
/// 49 CFR 175.10(a) and its airline equivalents; each row of [`CarriageLimits`] carries its own certainty.
pub fn battery_class<'a>(
    content: &BatteryContent,
    limits: &'a CarriageLimits,
) -> (BatteryClass, &'a Dated<crate::BatteryLimits>) {
    let (free, approval, lead) = (
        &limits.battery_free,
        &limits.battery_approval,
        &limits.battery_lead,
    );
    let class = |found: f64, most: fn(&crate::BatteryLimits) -> f64| {
        if found <= most(&free.value) {
            (BatteryClass::Free, free)
        } else if found <= most(&approval.value) {
            (BatteryClass::OperatorApproval, approval)
        } else {
            (BatteryClass::Forbidden, approval)
        }
    };
    match *content {
        BatteryContent::LithiumIon { energy } => class(energy.0, |row| row.energy.0),
        BatteryContent::LithiumMetal { lithium } => class(lithium.si(), |row| row.lithium.si()),
        BatteryContent::NonSpillableLead { volts, energy } => {
            let small = volts <= lead.value.volts && energy.0 <= lead.value.energy.0;
            let class = if small {
                BatteryClass::Free
            } else {
                BatteryClass::Forbidden
            };
            (class, lead)
        }
        BatteryContent::NotKnown => (BatteryClass::NotKnown, free),
    }
}
