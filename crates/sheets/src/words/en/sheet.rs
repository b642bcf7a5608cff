//! Headings and standing text of the printed sheet and the rim template.

use std::collections::BTreeSet;
use workshop::machine::{SeenFrom, Turns};

/// Heading of the sheet.
pub const TITLE: &str = "Ignition timing and trigger rotor";
/// Section.
pub const FINDINGS: &str = "Findings";
/// Section.
pub const BE_AWARE: &str = "How sure this is";
/// Section.
pub const FIRST: &str = "First, what can be undone";
/// Section.
pub const CUT: &str = "The cut";
/// Section.
pub const CHANGES: &str = "What the cut changes";
/// Section.
pub const STEPS: &str = "Steps";
/// Section.
pub const CONSENT: &str = "Consent and record";
/// Above a caution.
pub const CAUTION: &str = "Caution";
/// Column.
pub const BEFORE: &str = "as found";
/// Column.
pub const AFTER: &str = "after the cut";
/// Row.
pub const LEAST_ADVANCE: &str = "Least advance";
/// Row.
pub const IDLE: &str = "Idle";
/// Row.
pub const CHANCE: &str = "Cases that hang";
/// Row.
pub const STIFFNESS: &str = "Speed for 1 % more air";
/// Row.
pub const BEST_SHARE: &str = "Torque at idle, share of the best";
/// Row.
pub const SEGMENT: &str = "Segment length";
/// Row.
pub const KICK_BACK: &str = "Kick-back test";
/// Passed.
pub const PASSED: &str = "passed";
/// Failed.
pub const FAILED: &str = "FAILED";
/// Deference.
pub const DEFER: &str = "The maker's manual and local codes come before this sheet. Road-worthiness, rotor stress approval and licensed trades are for those who hold the licence. The sheet advises; the mechanic decides and signs.";
/// Consent line.
pub const CONSENT_TEXT: &str = "I have been told that metal cut off cannot be put back, and what may happen if the cut does not help. I agree to the cut described above.";
/// Signature lines.
pub const SIGN_OWNER: &str = "Owner, date";
/// Signature lines.
pub const SIGN_MECHANIC: &str = "Mechanic, date";
/// Record lines.
pub const RECORD: [&str; 4] = ["Segment before (mm)", "Taken off (mm)", "Idle after (rpm)", "Strobe at idle / full (°)"];
/// Without a date.
pub const NO_DATE: &str = "Date:";

/// Template heading.
pub const TEMPLATE_TITLE: &str = "Rim template, true size";
/// Print instruction.
pub const ACTUAL_SIZE: &str = "Print at actual size (100 %, no fitting to the page). Measure both bars: each must be 100 mm. If not, do not use the template.";
/// Bar.
pub const BAR: &str = "100 mm";
/// Where it goes.
pub const WRAP: &str = "Cut it out, narrower if the rim needs it. Wrap it round the rim beside the segment, print outwards. The closing line must meet the first line; if it does not, the rim diameter in the file is wrong.";
/// Mark.
pub const FIRST_LINE: &str = "first line";
/// Mark.
pub const CLOSING_LINE: &str = "closing line";
/// Tab.
pub const GLUE: &str = "glue under";
/// Mark.
pub const TDC: &str = "TDC cyl. 1";
/// Scale name.
pub const ROTOR_DEGREES: &str = "rotor °";
/// Scale name.
pub const CRANK_DEGREES: &str = "crank ° before TDC";
/// Short labels on the strip.
pub const LEAD: &str = "leading end";
/// Short labels on the strip.
pub const TRAIL: &str = "trailing end";
/// Short labels on the strip.
pub const CUT_TO: &str = "cut to here";
/// At the arrow.
pub const TURNS: &str = "turns";

/// `This edge towards the cover side`.
pub fn towards(side: SeenFrom) -> String {
    format!("This edge towards the {}", super::label::side(side))
}

/// `Piece 1 of 2`.
pub fn piece(n: usize, of: usize) -> String {
    format!("Piece {n} of {of}")
}

/// What the template was drawn for.
pub fn template_for(rim_mm: f64, paper_mm: f64, length_mm: f64, turns: Turns, from: SeenFrom) -> String {
    let n = crate::words::number;
    format!(
        "Rim {} mm, paper {} mm thick: the strip is π × ({} + {}) = {} mm long. {}.",
        n(rim_mm, 1),
        n(paper_mm, 2),
        n(rim_mm, 1),
        n(paper_mm, 2),
        n(length_mm, 1),
        super::label::turns_seen(turns, from)
    )
}

/// `Sheet 1 of 3`.
pub fn page(n: usize, of: usize) -> String {
    format!("Sheet {n} of {of}")
}

/// A figure that is missing.
pub const NOT_COMPUTED: &str = "not computed";

/// What the stand-in on a page stands for. The first few characters are named by their numbers in Unicode.
pub fn stand_in(missing: &BTreeSet<char>) -> String {
    const NAMED: usize = 6;
    let named: Vec<String> = missing.iter().take(NAMED).map(|c| format!("U+{:04X}", u32::from(*c))).collect();
    let more = missing.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let which = if missing.len() == 1 { "a character" } else { "characters" };
    format!("{} stands for {which} that the typeface of this sheet lacks: {}{more}.", crate::font::STAND_IN, named.join(" "))
}
