//! Times in files: UTC, as RFC 3339 writes them.

use jobbook::UnixSeconds;
use sheets::words::{LAST_SECOND, day, on};

/// Seconds of a day (POSIX time has no leap seconds).
const DAY: i64 = 86_400;

/// `2026-11-25T14:03:22Z`.
pub fn written(time: UnixSeconds) -> String {
    let second = time.0.rem_euclid(DAY);
    format!("{}T{:02}:{:02}:{:02}Z", on(time), second / 3600, second / 60 % 60, second % 60)
}

/// A day, or a day and a time of it with `T` or a space between; seconds may be left out. UTC, unless a distance from it
/// is given. `None` for what no calendar has, and outside the years 1970 to 9999.
pub fn read(text: &str) -> Option<UnixSeconds> {
    let text = text.trim();
    let date = text.get(..10)?;
    let begin = day(date)?;
    let rest = text[10..].strip_prefix(['T', 't', ' ']).map(str::trim);
    let seconds = match rest {
        None if text.len() == 10 => 0,
        None => return None,
        Some(rest) => time_of_day(rest)?,
    };
    let time = UnixSeconds(begin.0 + seconds);
    (UnixSeconds(0)..=LAST_SECOND).contains(&time).then_some(time)
}

/// Seconds since midnight UTC of `14:03:22Z`, `14:03`, `14:03:22+01:00`.
fn time_of_day(text: &str) -> Option<i64> {
    let text = text.strip_suffix("UTC").map_or(text, str::trim_end);
    let (clock, ahead) = match text.strip_suffix(['Z', 'z']) {
        Some(clock) => (clock, 0),
        None => match text.rfind(['+', '-']) {
            Some(at) => {
                let sign = if text[at..].starts_with('+') { 1 } else { -1 };
                (&text[..at], sign * clock_seconds(&text[at + 1..])?)
            }
            None => (text, 0),
        },
    };
    Some(clock_seconds(clock)? - ahead)
}

fn clock_seconds(text: &str) -> Option<i64> {
    let mut parts = text.split(':');
    let mut next = |most: i64| {
        let part = parts.next()?;
        let figures = part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
        part.parse::<i64>().ok().filter(|n| figures && *n <= most)
    };
    let (hour, minute) = (next(23)?, next(59)?);
    let second = if text.len() > 5 { next(59)? } else { 0 };
    parts.next().is_none().then_some(hour * 3600 + minute * 60 + second)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `date -u -d TEXT +%s` of GNU coreutils 9.
    #[test]
    fn times_as_the_system_reads_them() {
        for (text, seconds) in [
            ("2026-11-25T14:03:22Z", 1_795_615_402),
            ("2026-11-25 14:03:22", 1_795_615_402),
            ("2026-11-25 14:03 UTC", 1_795_615_380),
            ("2026-11-25T14:03:22+01:00", 1_795_611_802),
            ("2026-11-25", 1_795_564_800),
            ("2000-02-29T23:59:59Z", 951_868_799),
        ] {
            assert_eq!(read(text), Some(UnixSeconds(seconds)), "{text}");
        }
        assert_eq!(written(UnixSeconds(1_795_615_402)), "2026-11-25T14:03:22Z");
        for bad in [
            "",
            "2026-11-31",
            "25.11.2026",
            "2026-11-25T24:00:00Z",
            "2026-11-25T14",
            "2026-11-25T14:3",
            "2026-11-25Z",
            "2026-11-25T14:03:22:01Z",
            "1969-12-31",
            "1970-01-01T00:00:00+01:00",
            "ä026-11-25",
            "2026-11-2é",
        ] {
            assert_eq!(read(bad), None, "{bad}");
        }
    }
}
