//! The wall clock, for dates on papers and times in histories.

use std::time::{SystemTime, UNIX_EPOCH};

/// Now in UTC as `2026-11-27T10:15:00Z`, by the civil-from-days rule (proleptic Gregorian calendar).
pub fn now() -> String {
    written(
        SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .map_or(0, |since| since.as_secs()),
    )
}

fn written(seconds: u64) -> String {
    let days = i64::try_from(seconds / 86_400).unwrap_or(0) + 719_468;
    let era = days.div_euclid(146_097);
    let day_of_era = days.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    let of_day = seconds % 86_400;
    format!(
        "{year:04}-{month:02}-{day:02}T{:02}:{:02}:{:02}Z",
        of_day / 3600,
        of_day / 60 % 60,
        of_day % 60
    )
}

#[cfg(test)]
mod tests {
    use super::written;

    #[test]
    fn known_instants_are_written_right() {
        // `date -u -d @N +%FT%TZ` of GNU coreutils.
        assert_eq!(written(0), "1970-01-01T00:00:00Z");
        assert_eq!(written(951_782_400), "2000-02-29T00:00:00Z");
        assert_eq!(written(1_795_775_999), "2026-11-27T10:39:59Z");
    }
}
