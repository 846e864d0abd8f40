//! Findings: what is weak, by how much, and what would help.

use crate::{Part, Said, Source, said};
use std::fmt;

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Good to know.
    Note,
    /// Look at it; it does not block.
    Caution,
    /// Blocks release unless conceded.
    Failing,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Note => "note",
            Self::Caution => "caution",
            Self::Failing => "failing",
        })
    }
}

/// Whose finding it is: decides who may concede it and on whose papers it prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Domain {
    /// What was measured of the shell.
    Survey,
    /// What the customer's list says.
    Contents,
    /// Where things lie.
    Arrangement,
    /// How the foam protects. A concession needs the customer's name.
    Protection,
    /// What carriers and journeys ask.
    Journey,
    /// What the shop can make. A concession stays on shop papers.
    Shop,
}

impl fmt::Display for Domain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Survey => "survey",
            Self::Contents => "contents",
            Self::Arrangement => "arrangement",
            Self::Protection => "protection",
            Self::Journey => "journey",
            Self::Shop => "shop",
        })
    }
}

/// On which side of its limit a value should lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sense {
    /// Good while found <= limit.
    AtMost,
    /// Good while found >= limit.
    AtLeast,
}

/// How far a value lies from its limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Margin {
    /// What was found, in `unit`.
    pub found: f64,
    /// The limit, in `unit`.
    pub limit: f64,
    /// The unit of both, as printed ("mm", "G", "kg", "kPa"; empty for a ratio).
    pub unit: String,
    /// The good side.
    pub sense: Sense,
}

impl Margin {
    /// A margin for a value that should not exceed its limit.
    pub fn at_most(found: f64, limit: f64, unit: &str) -> Self {
        Self {
            found,
            limit,
            unit: unit.to_owned(),
            sense: Sense::AtMost,
        }
    }

    /// A margin for a value that should reach its limit.
    pub fn at_least(found: f64, limit: f64, unit: &str) -> Self {
        Self {
            found,
            limit,
            unit: unit.to_owned(),
            sense: Sense::AtLeast,
        }
    }

    /// Room left, in `unit`; negative when the limit is passed.
    pub fn room(&self) -> f64 {
        match self.sense {
            Sense::AtMost => self.limit - self.found,
            Sense::AtLeast => self.found - self.limit,
        }
    }

    /// Units that are words; every other is a symbol.
    pub const UNITS_IN_WORDS: [&str; 7] = [
        "kg of fresh water",
        "K beyond",
        "% of the side",
        "bottoms",
        "strikes",
        "strain",
        "drops",
    ];

    /// In words, figures to about four places: `12.3 mm, at most 10 mm`.
    pub fn said(&self) -> Said {
        let unit = Self::UNITS_IN_WORDS.into_iter().find(|word| *word == self.unit);
        let unit = unit.map_or_else(|| Said::name(&self.unit), |word| Said::one_of("unit", word));
        let [found, limit] = [self.found, self.limit].map(|value| {
            let figure = Part::Figure(Short(value).to_string());
            if unit.is_empty() {
                said!("{figure}", figure)
            } else {
                said!("{figure} {unit}", figure, unit)
            }
        });
        match self.sense {
            Sense::AtMost => said!("{found}, at most {limit}", found, limit),
            Sense::AtLeast => said!("{found}, at least {limit}", found, limit),
        }
    }

    /// Whether the limit is kept.
    pub fn is_kept(&self) -> bool {
        self.room() >= 0.0
    }

    /// Whether `self` is worse than `signed` by more than rounding (one part in a million of the limit).
    pub fn is_worse_than(&self, signed: &Self) -> bool {
        self.room() < signed.room() - 1e-6 * signed.limit.abs().max(1e-9)
    }
}

impl fmt::Display for Margin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said())
    }
}

/// Prints about four significant figures without trailing zeros.
struct Short(f64);

impl fmt::Display for Short {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let magnitude = self.0.abs();
        let decimals = if magnitude >= 1000.0 {
            0
        } else if magnitude >= 100.0 {
            1
        } else if magnitude >= 1.0 {
            2
        } else {
            4
        };
        let text = format!("{:.decimals$}", self.0);
        let text = if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.')
        } else {
            &text
        };
        f.write_str(if text == "-0" { "0" } else { text })
    }
}

/// Something weak, surprising or worth knowing, that is not broken input.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// A stable code in kebab case, e.g. `peak-over-fragility`.
    pub code: &'static str,
    /// Whose it is.
    pub domain: Domain,
    /// How much it weighs.
    pub severity: Severity,
    /// One sentence without a full stop, naming what was found with its units.
    pub sentence: Said,
    /// Where: an instance, a face, a layer, a leg ("gps-receiver/1 down", "lid", "leg 2").
    pub place: Said,
    /// How far from the limit, where there is one.
    pub margin: Option<Margin>,
    /// The source of the rule.
    pub source: Source,
    /// What would help.
    pub remedy: Option<Said>,
}

impl Finding {
    /// A finding without margin or remedy; add them with [`Finding::margin`] and [`Finding::remedy`].
    pub fn new(
        code: &'static str,
        domain: Domain,
        severity: Severity,
        place: impl Into<Said>,
        sentence: impl Into<Said>,
        source: Source,
    ) -> Self {
        Self {
            code,
            domain,
            severity,
            sentence: sentence.into(),
            place: place.into(),
            margin: None,
            source,
            remedy: None,
        }
    }

    /// The same finding with a margin.
    #[must_use]
    pub fn margin(mut self, margin: Margin) -> Self {
        self.margin = Some(margin);
        self
    }

    /// The same finding with a remedy.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<Said>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }

    /// The id that survives a re-solve: `code@place`.
    pub fn id(&self) -> String {
        format!("{}@{}", self.code, self.place)
    }
}

/// The failing findings, in order.
pub fn failing(findings: &[Finding]) -> impl Iterator<Item = &Finding> {
    findings
        .iter()
        .filter(|finding| finding.severity == Severity::Failing)
}

/// Sorts findings: failing first, then by domain, code and place, so that the order never depends on how they
/// were found.
pub fn sort_findings(findings: &mut [Finding]) {
    findings.sort_by(|a, b| {
        b.severity
            .cmp(&a.severity)
            .then(a.domain.cmp(&b.domain))
            .then_with(|| a.code.cmp(b.code))
            .then_with(|| a.place.cmp(&b.place))
    });
}
