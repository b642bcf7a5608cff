//! Time, as the caller's clock has it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Seconds since 1970-01-01 00:00 UTC, as the caller's clock has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct UnixSeconds(pub i64);

/// Seconds of a day (POSIX time has no leap seconds).
const DAY: i64 = 24 * 60 * 60;
/// Days of 400 years of the Gregorian calendar, after which it repeats: 400 · 365 + 97 leap days.
const CYCLE: i64 = 146_097;

impl UnixSeconds {
    /// Year of the Gregorian calendar, UTC.
    pub fn year(self) -> i64 {
        let day = self.0.div_euclid(DAY);
        let (cycles, mut day) = (day.div_euclid(CYCLE), day.rem_euclid(CYCLE));
        let mut year = 1970 + 400 * cycles;
        loop {
            let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
            let length = if leap { 366 } else { 365 };
            if day < length {
                return year;
            }
            day -= length;
            year += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `date -u -d @SECONDS +%Y` of GNU coreutils 9.1.
    #[test]
    fn years_begin_when_they_should() {
        let known = [
            (0, 1970),
            (-1, 1969),
            (946_684_799, 1999),
            (946_684_800, 2000),
            (978_307_199, 2000),
            (978_307_200, 2001),
            (1_798_761_599, 2026),
            (1_798_761_600, 2027),
            (4_102_444_800, 2100),
            (4_133_980_799, 2100),
            (4_133_980_800, 2101),
            (-11_676_096_000, 1600),
        ];
        for (seconds, year) in known {
            assert_eq!(UnixSeconds(seconds).year(), year, "{seconds}");
        }
    }
}
