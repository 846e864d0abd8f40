//! The rules, one a file: the sentence, the reason, a failing case, a passing case.

use crate::chargeable::CONVERSION_SLACK;
use crate::{CarriageLimits, Journey, Leg, Parcel, PressureOnLid};
use caddis_basis::{Certainty, Margin, Said, Severity, Source, Verdict, said};

mod additional_handling;
mod battery_cargo;
mod battery_charge;
mod battery_devices;
mod battery_rating;
mod battery_spare_count;
mod battery_spares;
mod carry_limit;
mod carry_on_mass;
mod carry_on_size;
mod chargeable;
mod checked_linear_size;
mod checked_mass;
mod closing_dew_point;
mod courier_size;
mod cumulative_carry;
mod desiccant;
mod drop_height;
mod flotation;
mod freight_class;
mod handle_geometry;
mod handling_marks;
mod heavy_label;
mod ingress_code;
mod large_parcel;
mod lift_guideline;
mod lifting_equation;
mod one_person_lift;
mod opening_condensation;
mod padlock_points;
mod pallet_fit;
mod plunge;
mod postal_size;
mod power_banks;
mod round_trips;
mod sealed_temperature;
mod stacking_load;
mod temperature_limits;
mod trapped_pressure;
mod trapped_suction;
mod unit_load_device;
mod vent_flow;
mod warehouse_stack;

#[cfg(test)]
pub(crate) mod fixture;

/// Every rule, in the order it is asked.
pub(crate) const RULES: &[Rule] = &[
    checked_linear_size::RULE,
    checked_mass::RULE,
    carry_on_size::RULE,
    carry_on_mass::RULE,
    courier_size::RULE,
    large_parcel::RULE,
    postal_size::RULE,
    heavy_label::RULE,
    chargeable::RULE,
    additional_handling::RULE,
    freight_class::RULE,
    pallet_fit::RULE,
    unit_load_device::RULE,
    one_person_lift::RULE,
    lifting_equation::RULE,
    lift_guideline::RULE,
    carry_limit::RULE,
    cumulative_carry::RULE,
    handle_geometry::RULE,
    drop_height::RULE,
    stacking_load::RULE,
    warehouse_stack::RULE,
    trapped_pressure::RULE,
    trapped_suction::RULE,
    vent_flow::RULE,
    sealed_temperature::RULE,
    temperature_limits::RULE,
    closing_dew_point::RULE,
    opening_condensation::RULE,
    desiccant::RULE,
    ingress_code::RULE,
    flotation::RULE,
    plunge::RULE,
    battery_rating::RULE,
    battery_spares::RULE,
    battery_spare_count::RULE,
    power_banks::RULE,
    battery_devices::RULE,
    battery_cargo::RULE,
    battery_charge::RULE,
    round_trips::RULE,
    padlock_points::RULE,
    handling_marks::RULE,
];

/// What a rule looks at.
pub(crate) struct Question<'a> {
    pub(crate) parcel: &'a Parcel,
    pub(crate) leg: &'a Leg,
    pub(crate) journey: &'a Journey,
    /// `None` for a leg on the ground at an unstated altitude.
    pub(crate) on_lid: Option<PressureOnLid>,
    pub(crate) limits: &'a CarriageLimits,
}

impl Question<'_> {
    /// The coldest and the warmest the closed case becomes on this leg.
    pub(crate) fn temperatures(
        &self,
    ) -> (
        Option<caddis_basis::Temperature>,
        Option<caddis_basis::Temperature>,
    ) {
        self.leg.temperatures(self.limits)
    }
}

/// One rule.
pub(crate) struct Rule {
    /// In kebab case; also the code of its finding.
    pub(crate) name: &'static str,
    /// What it asks.
    pub(crate) sentence: fn() -> Said,
    /// Why.
    pub(crate) reason: fn() -> Said,
    /// The row or law it rests on.
    pub(crate) source: fn(&CarriageLimits) -> Source,
    /// Whether it concerns a leg.
    pub(crate) applies: fn(&Question<'_>) -> bool,
    /// What it says.
    pub(crate) judge: fn(&Question<'_>) -> Vec<Judged>,
}

/// A rule as papers print it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleText {
    /// In kebab case; also the code of its finding.
    pub name: &'static str,
    /// What it asks.
    pub sentence: Said,
    /// Why.
    pub reason: Said,
    /// The row or law it rests on, with edition and day.
    pub source: Source,
}

/// Every rule with its reason and its source under these limits, in the order [`crate::check`] asks them.
pub fn rule_texts(limits: &CarriageLimits) -> Vec<RuleText> {
    RULES
        .iter()
        .map(|rule| RuleText {
            name: rule.name,
            sentence: (rule.sentence)(),
            reason: (rule.reason)(),
            source: (rule.source)(limits),
        })
        .collect()
}

/// What a rule says of one leg, or of one thing on it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Judged {
    pub(crate) part: Option<Said>,
    pub(crate) verdict: Verdict,
    pub(crate) sentence: Said,
    pub(crate) margin: Option<Margin>,
    pub(crate) severity: Option<Severity>,
    pub(crate) remedy: Option<Said>,
    /// What the job does not state; it is said once for the journey, not as a finding of every leg.
    pub(crate) missing: Option<Said>,
    pub(crate) source: Source,
}

impl Judged {
    /// A plain answer; add what it needs.
    pub(crate) fn new(verdict: Verdict, sentence: Said, source: Source) -> Self {
        Self {
            part: None,
            verdict,
            sentence,
            margin: None,
            severity: None,
            remedy: None,
            missing: None,
            source,
        }
    }

    /// An answer that waits for something the job does not state.
    pub(crate) fn missing(what: Said, source: Source) -> Self {
        let sentence = said!("not judged: {what} is not stated", what);
        Self {
            missing: Some(what),
            ..Self::new(Verdict::NotKnown, sentence, source)
        }
    }

    pub(crate) fn part(mut self, part: Said) -> Self {
        self.part = Some(part);
        self
    }

    pub(crate) fn margin(mut self, margin: Margin) -> Self {
        self.margin = Some(margin);
        self
    }

    pub(crate) fn finding(mut self, severity: Severity, remedy: Said) -> Self {
        self.severity = Some(severity);
        self.remedy = Some(remedy);
        self
    }
}

/// The verdict of a limit that is kept: a limit from memory or from practice supports no more than `indicative`.
pub(crate) fn passing(source: &Source) -> Verdict {
    match source.certainty {
        Certainty::Defined
        | Certainty::Published
        | Certainty::Secondary
        | Certainty::Derived
        | Certainty::Measured => Verdict::Holds,
        _ => Verdict::Indicative,
    }
}

/// A value that should stay at or below a limit, nominal and at worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Band {
    pub(crate) nominal: f64,
    pub(crate) most: f64,
}

/// How a band lies to its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Standing {
    /// Kept at worst.
    Kept,
    /// Kept by the nominal value, not at worst.
    Doubtful,
    /// Passed by the nominal value.
    Passed,
}

impl Band {
    /// How it lies to `limit`; a conversion's rounding does not pass a limit.
    pub(crate) fn against(self, limit: f64) -> Standing {
        let reach = limit + limit.abs() * CONVERSION_SLACK;
        if self.most <= reach {
            Standing::Kept
        } else if self.nominal <= reach {
            Standing::Doubtful
        } else {
            Standing::Passed
        }
    }

    /// The margin at worst, with a conversion's rounding taken out.
    pub(crate) fn margin(self, limit: f64, unit: &str) -> Margin {
        let found = match self.against(limit) {
            Standing::Kept => self.most.min(limit),
            Standing::Doubtful | Standing::Passed => self.most,
        };
        Margin::at_most(found, limit, unit)
    }
}

/// What was found, with a word more where the band is kept only nominally.
pub(crate) fn doubt(standing: Standing, found: Said) -> Said {
    match standing {
        Standing::Doubtful => said!("{found} at worst (the nominal value keeps the limit)", found),
        Standing::Kept | Standing::Passed => found,
    }
}

/// What stands with every battery finding.
pub(crate) fn battery_caution() -> Said {
    said!(
        "rules differ by state and operator and change yearly: ask the operator, and for cargo a trained shipper of dangerous goods; damaged or recalled batteries do not travel"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_complete_and_names_are_unique() {
        let texts = rule_texts(&CarriageLimits::common());
        for text in &texts {
            assert!(!text.sentence.is_empty() && !text.reason.is_empty());
            assert!(
                text.name.bytes().all(|c| c.is_ascii_lowercase() || c == b'-'),
                "{}",
                text.name
            );
            assert_eq!(texts.iter().filter(|other| other.name == text.name).count(), 1);
        }
    }

    #[test]
    fn memory_never_holds() {
        assert_eq!(passing(&Source::new("", Certainty::Memory)), Verdict::Indicative);
        assert_eq!(passing(&Source::new("", Certainty::Secondary)), Verdict::Holds);
    }

    #[test]
    fn a_conversion_does_not_pass_a_limit() {
        let band = Band {
            nominal: 1.0 + 1e-12,
            most: 1.0 + 1e-12,
        };
        assert_eq!(band.against(1.0), Standing::Kept);
        assert!(band.margin(1.0, "m").is_kept());
        let over = Band {
            nominal: 1.0,
            most: 1.001,
        };
        assert_eq!(over.against(1.0), Standing::Doubtful);
        assert!(!over.margin(1.0, "m").is_kept());
    }
}
