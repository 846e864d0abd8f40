//! The rows of the verification manual, and its page.

use caddis_basis::Source;
use std::fmt::Write;

/// How far the answer may lie from what is expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Allowed {
    /// A fraction of the expected value.
    Fraction(f64),
    /// In the row's unit.
    Within(f64),
}

/// One check of one method against an outside answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The method, as the code calls it.
    pub method: &'static str,
    /// The problem it was given.
    pub problem: String,
    /// Where the expected value comes from, with its certainty.
    pub source: Source,
    /// Unit of the two values; empty for ratios and counts.
    pub unit: &'static str,
    /// What the source says.
    pub expected: f64,
    /// What Caddis says.
    pub got: f64,
    /// The tolerance.
    pub allowed: Allowed,
}

impl Row {
    /// The tolerance in the row's unit.
    fn within(&self) -> f64 {
        match self.allowed {
            Allowed::Fraction(fraction) => fraction * self.expected.abs(),
            Allowed::Within(amount) => amount,
        }
    }

    /// Whether the answer agrees. NaN never does.
    pub fn holds(&self) -> bool {
        (self.got - self.expected).abs() <= self.within()
    }

    /// Panics with both values unless they agree.
    ///
    /// # Panics
    /// The answer is off.
    pub fn assert(&self) {
        assert!(
            self.holds(),
            "{}: {}: expected {} {}, got {} (allowed {:e}); source: {}",
            self.method,
            self.problem,
            self.expected,
            self.unit,
            self.got,
            self.within(),
            self.source
        );
    }

    /// A value at the resolution the tolerance gives sense to, and seven digits at most, so that the last bits of
    /// another machine's arithmetic do not make the page stale.
    fn shown(&self, value: f64) -> String {
        if value == 0.0 || value.abs() < self.within() / 100.0 {
            return "0".into();
        }
        let leading = value.abs().log10().floor() as i32;
        let wanted = if self.within() > 0.0 {
            1 - self.within().log10().floor() as i32
        } else {
            6 - leading
        };
        let decimals = wanted.clamp(0, 12).min(6 - leading).max(0) as usize;
        if !(-4..=6).contains(&leading) {
            return format!("{value:.*e}", (leading + wanted).clamp(1, 6) as usize);
        }
        let text = format!("{value:.decimals$}");
        if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text
        }
    }

    fn shown_tolerance(&self) -> String {
        match self.allowed {
            Allowed::Fraction(fraction) => format!("{} %", trim(fraction * 100.0)),
            Allowed::Within(0.0) => "exact".into(),
            Allowed::Within(amount) => format!("± {} {}", trim(amount), self.unit).trim_end().to_owned(),
        }
    }
}

/// Three digits, and no more zeros than needed.
fn trim(value: f64) -> String {
    if value != 0.0 && value.abs() < 0.999e-4 {
        return format!("{value:.0e}");
    }
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A cell of a table: bars and line ends would break it.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

/// The page `docs/verification.md`: one section for each chapter (title, what it is about, rows).
pub fn manual(chapters: &[(&str, &str, Vec<Row>)]) -> String {
    let mut page = String::from(
        "# Verification manual\n\n\
         Each method with the problem it was given, where the expected value comes from and how sure that is, what was \
         expected, what Caddis gives, and the tolerance. The tests in `tests/oracle` compute this page and fail when it \
         is stale; `CADDIS_BLESS=1 scripts/test` writes it anew. \"Derived\" values follow by algebra from the model \
         named and check the arithmetic, not the model; nothing here replaces a drop test of the packed case.\n",
    );
    for (title, about, rows) in chapters {
        let _ = write!(
            page,
            "\n## {title}\n\n{about}\n\n\
             | method | problem | source | certainty | unit | expected | got | tolerance |\n\
             |---|---|---|---|---|---:|---:|---|\n"
        );
        for row in rows {
            let _ = writeln!(
                page,
                "| {} | {} | {} | {} | {} | {} | {} | {} |",
                cell(row.method),
                cell(&row.problem),
                if row.source.citation.is_empty() {
                    "none".into()
                } else {
                    cell(&row.source.citation)
                },
                row.source.certainty,
                row.unit,
                row.shown(row.expected),
                row.shown(row.got),
                row.shown_tolerance()
            );
        }
    }
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(expected: f64, got: f64, allowed: Allowed) -> Row {
        let source = Source::common_practice();
        Row {
            method: "m",
            problem: "p".into(),
            source,
            unit: "mm",
            expected,
            got,
            allowed,
        }
    }

    #[test]
    fn a_wrong_answer_and_nan_do_not_hold() {
        assert!(row(50.346, 50.3461, Allowed::Within(0.001)).holds());
        assert!(!row(50.346, 50.348, Allowed::Within(0.001)).holds());
        assert!(!row(50.346, f64::NAN, Allowed::Within(0.001)).holds());
        assert!(!row(100.0, 101.1, Allowed::Fraction(0.01)).holds());
    }

    #[test]
    fn values_are_shown_at_the_resolution_of_their_tolerance() {
        assert_eq!(
            row(50.346, 0.0, Allowed::Within(0.001)).shown(50.346_12),
            "50.3461"
        );
        assert_eq!(
            row(75_262.0, 0.0, Allowed::Fraction(1e-4)).shown(75_262.4),
            "75262.4"
        );
        assert_eq!(row(10.0, 0.0, Allowed::Within(0.0)).shown(10.0), "10");
        assert_eq!(
            row(2.8e-5, 0.0, Allowed::Fraction(1e-6)).shown(2.819_247e-5),
            "2.819247e-5"
        );
        assert_eq!(
            row(2.8e-5, 0.0, Allowed::Fraction(1e-6)).shown_tolerance(),
            "0.0001 %"
        );
    }
}
