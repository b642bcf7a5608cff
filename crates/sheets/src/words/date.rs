//! Days and times, as ISO 8601 writes them.

use jobbook::UnixSeconds;

/// A time in UTC: there is no way to know the bench's own zone without a database of zones.
pub fn at(time: UnixSeconds) -> String {
    let (days, seconds) = (time.0.div_euclid(86_400), time.0.rem_euclid(86_400));
    let (year, month, day) = civil(days);
    format!("{year:04}-{month:02}-{day:02} {:02}:{:02} UTC", seconds / 3600, seconds / 60 % 60)
}

/// The last second of the year 9999, after which years have more than four figures.
pub const LAST_SECOND: UnixSeconds = UnixSeconds(253_402_300_799);

/// A day in UTC, as ISO 8601 writes it.
pub fn on(time: UnixSeconds) -> String {
    at(time).chars().take(10).collect()
}

/// The beginning of a day in UTC, from ISO 8601.
pub fn day(text: &str) -> Option<UnixSeconds> {
    let mut parts = text.trim().splitn(3, '-');
    let mut next = || parts.next()?.parse::<i64>().ok();
    let (year, month, in_month) = (next()?, next()?, next()?);
    if !(1970..=9999).contains(&year) || !(1..=12).contains(&month) || !(1..=31).contains(&in_month) {
        return None;
    }
    // Counted from a 1 March, as in `civil`.
    let (y, m) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let days = 365 * y + y.div_euclid(4) - y.div_euclid(100) + y.div_euclid(400) + (153 * m + 2) / 5 + in_month - 1 - 719_468;
    let time = UnixSeconds(days * 86_400);
    // The 31st of a month with 30 days comes out as another day.
    (on(time) == format!("{year:04}-{month:02}-{in_month:02}")).then_some(time)
}

/// Year, month and day of a count of days since 1970-01-01, proleptic Gregorian. The calendar repeats every 400
/// years, which have 146 097 days; counted from a 1 March, the leap day is the last of its year.
fn civil(days: i64) -> (i64, u32, u32) {
    // 1970-01-01 is day 719 468 counted from 0000-03-01.
    let days = days + 719_468;
    let (era, day) = (days.div_euclid(146_097), days.rem_euclid(146_097));
    let year = (day - day / 1460 + day / 36_524 - day / 146_096) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    let month = (5 * day + 2) / 153;
    let in_month = day - (153 * month + 2) / 5 + 1;
    let (month, later) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
    (year + 400 * era + later, month as u32, in_month as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_turn_into_themselves_and_no_other() {
        // `date -u -d DAY +%s` of GNU coreutils 9.
        for (text, seconds) in
            [("1970-01-01", 0), ("2000-02-29", 951_782_400), ("2100-03-01", 4_107_542_400), ("2027-03-31", 1_806_451_200)]
        {
            assert_eq!(day(text), Some(UnixSeconds(seconds)), "{text}");
        }
        for text in ["", "2027-02-29", "2027-04-31", "2027-13-01", "31.03.2027", "2027-1", "-1-01-01"] {
            assert_eq!(day(text), None, "{text}");
        }
    }

    #[test]
    fn dates_as_the_system_calendar_has_them() {
        // `date -u -d @N +%F` of GNU coreutils 9.
        for (seconds, date) in [
            (0, "1970-01-01 00:00 UTC"),
            (951_782_399, "2000-02-28 23:59 UTC"),
            (951_782_400, "2000-02-29 00:00 UTC"),
            (1_000_000_000, "2001-09-09 01:46 UTC"),
            (-86_400, "1969-12-31 00:00 UTC"),
            (4_107_542_399, "2100-02-28 23:59 UTC"),
            (4_107_542_400, "2100-03-01 00:00 UTC"),
        ] {
            assert_eq!(at(UnixSeconds(seconds)), date);
        }
    }
}
