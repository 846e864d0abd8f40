//! The ingress code: what a case keeps out, as wanted and as given.

use crate::error::JourneyError;
use caddis_basis::{Certainty, Manner, Part, Said, Sayable, Source, said};
use std::fmt;

/// An ingress code: first figure against dust (0 to 6 or X), second against water (0 to 9 or X).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct IngressCode {
    /// Solid bodies and dust; `None` for X.
    pub solids: Option<u8>,
    /// Water; `None` for X.
    pub water: Option<u8>,
}

impl IngressCode {
    /// Reads `IP67`, `IP6X`, `IPX7`.
    ///
    /// # Errors
    /// Anything else.
    pub fn parse(text: &str) -> Result<Self, JourneyError> {
        let wrong = || JourneyError::Ingress {
            text: text.trim().to_owned(),
        };
        let figures = text.trim().strip_prefix("IP").ok_or_else(wrong)?;
        let mut figures = figures.chars();
        let mut next = |most: u8| match figures.next() {
            Some('X') => Ok(None),
            Some(figure) => match figure.to_digit(10) {
                Some(digit) if digit <= u32::from(most) => Ok(Some(digit as u8)),
                _ => Err(wrong()),
            },
            None => Err(wrong()),
        };
        let (solids, water) = (next(6)?, next(9)?);
        if figures.next().is_some() || (solids.is_none() && water.is_none()) {
            return Err(wrong());
        }
        Ok(Self { solids, water })
    }

    /// What this code, as given, does not answer of what is wanted; empty when it answers all.
    ///
    /// Dust figures include the lower ones; water figures do up to 6. Immersion (7, 8) does not include jets (5, 6).
    ///
    /// # Source
    /// IEC 60529 as laboratories explain it; that immersion does not include jets is from memory.
    pub fn lacks(self, wanted: Self) -> Vec<Said> {
        let mut lacks = Vec::new();
        if let Some(wanted) = wanted.solids.filter(|&wanted| wanted > 0)
            && self.solids.is_none_or(|given| given < wanted)
        {
            lacks.push(said!("dust figure {wanted}", wanted = u32::from(wanted)));
        }
        if let Some(wanted) = wanted.water.filter(|&wanted| wanted > 0) {
            let answered = match self.water {
                None => false,
                Some(given) if wanted <= 4 => given >= wanted,
                Some(given) if wanted <= 6 => (wanted..=6).contains(&given),
                Some(given) if wanted <= 8 => (wanted..=8).contains(&given),
                Some(given) => given == wanted,
            };
            if !answered {
                lacks.push(said!("water figure {wanted}", wanted = u32::from(wanted)));
            }
        }
        lacks
    }

    /// Whether it claims to keep water out when it is under it.
    pub fn is_watertight(self) -> bool {
        matches!(self.water, Some(7 | 8))
    }
}

impl fmt::Display for IngressCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figure = |figure: Option<u8>| figure.map_or_else(|| "X".to_owned(), |figure| figure.to_string());
        write!(f, "IP{}{}", figure(self.solids), figure(self.water))
    }
}

impl Sayable for IngressCode {
    fn part(&self, _: Manner) -> Part {
        Part::Name(self.to_string())
    }
}

/// One test of an ingress code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IngressTest {
    /// The figure it answers: `IP6X`, `IPX7`.
    pub code: Said,
    /// What is done.
    pub condition: Said,
    /// Where that stands.
    pub source: Source,
}

/// The tests a code asks for, dust first; the lower figures it includes are not listed.
///
/// # Source
/// IEC 60529; each row says how sure it is.
pub fn ingress_tests(code: IngressCode) -> Vec<IngressTest> {
    let row = |code: String, condition: Said, certainty| IngressTest {
        code: Said::name(code),
        condition,
        source: Source::new("IEC 60529", certainty),
    };
    let mut tests = Vec::new();
    match code.solids {
        Some(figure @ (5 | 6)) => tests.push(row(
            format!("IP{figure}X"),
            said!("talc dust chamber, up to 2 kPa of vacuum, 80 volumes drawn at up to 60 volumes an hour, else 8 h; for figure 6 no dust at all inside"),
            Certainty::Memory,
        )),
        Some(figure @ 1..=4) => tests.push(row(
            format!("IP{figure}X"),
            said!("rigid probe of the figure's size does not enter; ask the laboratory"),
            Certainty::Memory,
        )),
        _ => {}
    }
    match code.water {
        Some(5) => tests.push(row(
            "IPX5".to_owned(),
            said!("jet from a 6.3 mm nozzle, 12.5 L/min, 30 kPa, from 2.5 to 3 m, 1 min for each m² and at least 3 min"),
            Certainty::Published,
        )),
        Some(6) => tests.push(row(
            "IPX6".to_owned(),
            said!("jet from a 12.5 mm nozzle, 100 L/min, 100 kPa, from 2.5 to 3 m, 1 min for each m² and at least 3 min"),
            Certainty::Published,
        )),
        Some(7) => {
            tests.push(row(
            "IPX7".to_owned(),
            said!("30 min under water, bottom at least 1 m deep, or top at least 150 mm deep, whichever is deeper (which of a case's heights asks for which: from the laboratory's own copy)"),
            Certainty::Published,
        ));
            tests.push(IngressTest {
                code: said!("warm"),
                condition: said!("lid opened and shut three times, then 30 min at 1 m, the case 27 K warmer than the water, so that it cools and sucks; not for a case that floats unless it is held down"),
                source: Source::new("MIL-STD-810 512, in two reviews of the method", Certainty::Secondary),
            });
        }
        Some(8) => tests.push(row(
            "IPX8".to_owned(),
            said!("the maker's own conditions, harder than those of IPX7"),
            Certainty::Published,
        )),
        Some(figure @ (1..=4 | 9)) => tests.push(row(
            format!("IPX{figure}"),
            match figure {
                1 => said!("water dripping from straight above on the case as it stands; times and rates from the laboratory's own copy"),
                2 => said!("dripping water with the case tilted by up to 15 degrees; times and rates from the laboratory's own copy"),
                3 => said!("spray from up to 60 degrees off the vertical; times and rates from the laboratory's own copy"),
                4 => said!("splashes from every direction; times and rates from the laboratory's own copy"),
                _ => said!("hot water under high pressure from near by; times and rates from the laboratory's own copy"),
            },
            Certainty::Memory,
        )),
        _ => {}
    }
    tests
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn code(text: &str) -> IngressCode {
        IngressCode::parse(text).unwrap()
    }

    #[test]
    fn codes_are_read_and_printed_or_refused() {
        for text in ["IP67", "IP6X", "IPX7", "IP00"] {
            assert_eq!(code(text).to_string(), text);
        }
        for bad in ["", "67", "IP", "IP6", "IP77", "IP678", "IPXX", "ip67", "IP6é"] {
            assert!(IngressCode::parse(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn immersion_does_not_include_jets() {
        assert!(code("IP67").lacks(code("IP67")).is_empty());
        assert!(code("IP67").lacks(code("IP54")).is_empty());
        assert_eq!(code("IP67").lacks(code("IP65")), ["water figure 5"]);
        assert_eq!(
            code("IP54").lacks(code("IP67")),
            ["dust figure 6", "water figure 7"]
        );
        assert_eq!(code("IPX7").lacks(code("IP5X")), ["dust figure 5"]);
    }

    #[test]
    fn every_figure_has_its_test() {
        assert_eq!(ingress_tests(code("IP67")).len(), 3);
        assert!(ingress_tests(code("IP00")).is_empty());
    }
}
