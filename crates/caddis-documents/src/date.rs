//! Days of the calendar, as papers write them.

use crate::DocumentError;

/// Year, month and day of an ISO date.
///
/// # Errors
/// A day the calendar does not have.
pub(crate) fn ymd(text: &str) -> Result<(i32, u8, u8), DocumentError> {
    let bad = || DocumentError::Date(text.to_owned());
    let mut parts = text.trim().splitn(3, '-');
    let mut next = || parts.next().ok_or_else(bad);
    let year: i32 = next()?.parse().map_err(|_| bad())?;
    let month: u8 = next()?.parse().map_err(|_| bad())?;
    let day: u8 = next()?.parse().map_err(|_| bad())?;
    let is_day = (1900..=9999).contains(&year)
        && (1..=12).contains(&month)
        && (1..=days_of(year, month)).contains(&day);
    if is_day {
        Ok((year, month, day))
    } else {
        Err(bad())
    }
}

/// The ISO date so many days after another.
///
/// # Errors
/// A date that is none.
pub(crate) fn days_after(date: &str, days: u32) -> Result<String, DocumentError> {
    let (mut year, mut month, day) = ymd(date)?;
    let mut day = u32::from(day) + days;
    while day > u32::from(days_of(year, month)) {
        day -= u32::from(days_of(year, month));
        (year, month) = if month == 12 {
            (year + 1, 1)
        } else {
            (year, month + 1)
        };
    }
    Ok(format!("{year:04}-{month:02}-{day:02}"))
}

/// # Source
/// Gregorian calendar.
fn days_of(year: i32, month: u8) -> u8 {
    let leaps = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    match month {
        2 if leaps => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::{days_after, ymd};

    #[test]
    fn dates_are_read_or_refused() {
        assert_eq!(ymd("2026-11-25").unwrap(), (2026, 11, 25));
        assert_eq!(ymd("2028-02-29").unwrap(), (2028, 2, 29));
        for bad in [
            "",
            "2026-11",
            "25.11.2026",
            "2026-13-01",
            "2026-00-10",
            "x-y-z",
            "2026-02-29",
            "1900-02-29",
        ] {
            assert!(ymd(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn days_are_counted_over_months_and_years() {
        // `date -d "DATE + N days" +%F` of GNU coreutils.
        for (date, days, then) in [
            ("2026-11-25", 30, "2026-12-25"),
            ("2026-12-15", 30, "2027-01-14"),
            ("2028-02-01", 30, "2028-03-02"),
            ("2026-11-25", 400, "2027-12-30"),
            ("2026-11-25", 0, "2026-11-25"),
        ] {
            assert_eq!(days_after(date, days).unwrap(), then);
        }
    }
}
