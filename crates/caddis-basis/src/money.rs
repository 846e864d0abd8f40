//! Money in integer minor units: sums are exact, rounding happens once per printed line.

use std::fmt;

/// A three-letter currency with two decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// Parses a three-letter upper-case code.
    ///
    /// # Errors
    /// Anything else.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        match text.as_bytes() {
            [a, b, c] if [a, b, c].iter().all(|x| x.is_ascii_uppercase()) => Ok(Self([*a, *b, *c])),
            _ => Err(MoneyError::Currency(text.to_owned())),
        }
    }

    /// The code.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("???")
    }
}

/// Why an amount cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MoneyError {
    /// Not a three-letter code.
    #[error("`{0}` is not a currency; write three capital letters, e.g. EUR")]
    Currency(String),
    /// Not an amount.
    #[error("`{0}` is not an amount; write e.g. `12.50 EUR`")]
    Amount(String),
}

/// An amount of money.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Money {
    minor: i64,
    currency: Currency,
}

impl Money {
    /// From minor units (cents).
    pub fn from_minor(minor: i64, currency: Currency) -> Self {
        Self { minor, currency }
    }

    /// Rounds a computed amount in major units to the nearest minor unit, once.
    pub fn rounded(major: f64, currency: Currency) -> Self {
        Self {
            minor: (major * 100.0).round() as i64,
            currency,
        }
    }

    /// Parses `12.50 EUR`.
    ///
    /// # Errors
    /// More than two decimals, no currency, no number.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        let bad = || MoneyError::Amount(text.to_owned());
        let (number, code) = text.trim().split_once(char::is_whitespace).ok_or_else(bad)?;
        let currency = Currency::parse(code.trim())?;
        let (sign, digits) = number.strip_prefix('-').map_or((1, number), |rest| (-1, rest));
        let (whole, cents) = digits.split_once('.').unwrap_or((digits, "0"));
        if cents.is_empty()
            || cents.len() > 2
            || !(whole.bytes().chain(cents.bytes())).all(|b| b.is_ascii_digit())
        {
            return Err(bad());
        }
        let whole: i64 = whole.parse().map_err(|_| bad())?;
        let mut minor: i64 = cents.parse().map_err(|_| bad())?;
        if cents.len() == 1 {
            minor *= 10;
        }
        let total = whole
            .checked_mul(100)
            .and_then(|x| x.checked_add(minor))
            .ok_or_else(bad)?;
        Ok(Self {
            minor: sign * total,
            currency,
        })
    }

    /// In minor units.
    pub fn minor(self) -> i64 {
        self.minor
    }

    /// In major units, for computing; round the result with [`Money::rounded`].
    pub fn major(self) -> f64 {
        self.minor as f64 / 100.0
    }

    /// The currency.
    pub fn currency(self) -> Currency {
        self.currency
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.minor < 0 { "-" } else { "" };
        let minor = self.minor.unsigned_abs();
        write!(
            f,
            "{sign}{}.{:02} {}",
            minor / 100,
            minor % 100,
            self.currency.code()
        )
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn amounts_read_and_print() {
        for (text, minor) in [
            ("12.50 EUR", 1250),
            ("0.5 USD", 50),
            ("-3.07 EUR", -307),
            ("7 EUR", 700),
        ] {
            assert_eq!(Money::parse(text).unwrap().minor(), minor, "{text}");
        }
        assert_eq!(Money::parse("12.5 EUR").unwrap().to_string(), "12.50 EUR");
        for bad in [
            "12.50",
            "EUR",
            "1.234 EUR",
            "1,2 EUR",
            "x EUR",
            "12 eur",
            "99999999999999999999 EUR",
        ] {
            assert!(Money::parse(bad).is_err(), "{bad}");
        }
    }
}
