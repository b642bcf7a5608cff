//! Readings of the ignition that cannot all be true.

use crate::words::mm_to_hundredth;
use workshop::machine::Inconsistency as Odd;

/// What is wrong, and what to do; `None` where it is nothing of the ignition.
pub fn sentence(what: &Odd, path: &str) -> Option<String> {
    Some(match what {
        Odd::TooManyWindings { given, most } => format!(
            "{path}: {given} windings are given, and {most} are followed: one for low and one for high speed. Windings in line count as one."
        ),
        Odd::OneDwell => format!(
            "{path} needs its dwell either as an angle (dwell) or as a time (dwell_time), and not both. Points have an angle."
        ),
        Odd::DwellTooLong { dwell_rad, between_rad } => format!(
            "{path}: {} of dwell do not fit between two sparks, which are {} of the crank apart. Give crank degrees, and check [spark] every and serves.",
            crate::words::degrees(*dwell_rad),
            crate::words::degrees(*between_rad)
        ),
        Odd::WornBelowNew { worn_m, gap_m } => format!(
            "{path}: a worn gap of {} is less than the gap of {}. Give the gap at which the plug is changed.",
            mm_to_hundredth(*worn_m),
            mm_to_hundredth(*gap_m)
        ),
        _ => return None,
    })
}
