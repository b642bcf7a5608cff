//! Headings and standing text of the papers of a job.

/// Name of a paper.
pub const JOB_SHEET: &str = "Job sheet";
/// Name of a paper.
pub const READINGS: &str = "As found and as left";
/// Name of a paper.
pub const HAND_OVER: &str = "For the owner";
/// Name of a paper.
pub const SHOP_RECORD: &str = "Shop record";

/// Box.
pub const JOB: &str = "Job";
/// Box.
pub const OPENED: &str = "Opened";
/// Box.
pub const BROUGHT_IN: &str = "Brought in";
/// Box.
pub const HANDED_OVER: &str = "Handed over";
/// Box.
pub const ODOMETER: &str = "Odometer";
/// Box.
pub const PRINTED: &str = "Printed";

/// Section.
pub const COMPLAINT: &str = "Complaint, in the owner’s words";
/// Section.
pub const MACHINE: &str = "The machine";
/// Section.
pub const ALLOWED: &str = "What the owner allows";
/// Name.
pub const MAY_SPEND: &str = "To be spent, at most";
/// Name.
pub const MAY_CUT: &str = "To be cut or changed for good";
/// Section.
pub const LOOK_FIRST: &str = "Look first";
/// Under it.
pub const LOOK_FIRST_TEXT: &str = "If one of these applies, nothing is kicked or run until it is put right.";
/// Things to tick (common practice, no source).
pub const STOP_FIRST: [&str; 6] =
    ["Kicks back", "Noise under a cover", "Stiff or seized", "Petrol leaks", "Throttle sticks", "No kill switch"];
/// Section.
pub const FOUND: &str = "What was found";
/// Section.
pub const PLAN: &str = "Plan of work";
/// Section.
pub const CONSENT: &str = "Consent";
/// Section.
pub const READINGS_HERE: &str = "Readings";
/// Under it.
pub const READINGS_TEXT: &str = "Write value, ± and unit, and what it was read with. As found is never overwritten by as left.";
/// Section.
pub const NOTES: &str = "Notes";

/// Column.
pub const WHAT: &str = "What and where";
/// Column.
pub const AS_FOUND: &str = "As found";
/// Column.
pub const DURING: &str = "During the work";
/// Column.
pub const AS_LEFT: &str = "As left";
/// Under lines to write a reading on.
pub const WRITE_READING: &[&str] = &["value ± unit", "instrument, °C, rpm, loaded or open, who"];
/// Under a line to write a quantity on.
pub const WRITE_WHAT: &[&str] = &["what", "where"];
/// On the sheet of readings, when all are there.
pub const ALL_THERE: &str = "Every reading has its value as found and as left.";

/// `3 readings as found and 1 as left are still to be written in.`
pub fn still_missing(found: usize, left: usize) -> String {
    let be = if found + left == 1 { "is" } else { "are" };
    format!("Still to be written in {be} {found} as found and {left} as left.")
}

/// A state of an alteration.
pub const PLANNED: &str = "planned";
/// A state of an alteration.
pub const DONE: &str = "done";
/// A state of an alteration.
pub const GIVEN_UP: &str = "given up";
/// Column.
pub const WORK: &str = "Work";
/// Column.
pub const STATE: &str = "State";
/// Before a reason.
pub const WHY: &str = "Why:";
/// Before a planned value.
pub const PLANNED_VALUE: &str = "Planned:";
/// Before values measured after an alteration.
pub const MEASURED_AFTER: &str = "Measured after:";
/// Marks an irreversible alteration.
pub const CANNOT_BE_UNDONE: &str = "Cannot be undone.";
/// An irreversible one without consent.
pub const NO_CONSENT: &str = "No consent is noted: do not begin.";
/// Above the signatures.
pub const CONSENT_TEXT: &str =
    "I have been told that this cannot be undone, and what may happen if it does not help. I agree to the work described above.";
/// Before the sentence of risk.
pub const RISK: &str = "Risk";
/// Before the work that is agreed to.
pub const AGREED_WORK: &str = "Work agreed to";
/// Before who agreed.
pub const AGREED_BY: &str = "Agreed by";

/// Name.
pub const OWNER: &str = "Owner";
/// Name.
pub const CONTACT: &str = "Contact";
/// Name.
pub const PLATE: &str = "Number plate";
/// Name.
pub const FRAME: &str = "Frame number";
/// Section.
pub const CUSTODY: &str = "Whose it is";
/// Under it.
pub const STAYS_HERE: &str = "This sheet names the owner. It stays in the shop.";
/// Section.
pub const STUDY: &str = "What the study says";
/// Section.
pub const ALTERATIONS: &str = "Alterations";
/// Section.
pub const PARTS_AND_TIME: &str = "Parts, time and cost";
/// Section.
pub const REMINDERS: &str = "What is due";
/// Section.
pub const ATTACHMENTS: &str = "Pictures and recordings";
/// Section.
pub const HISTORY: &str = "Corrections";
/// Under it.
pub const HISTORY_TEXT: &str = "What was written first, and what took its place.";
/// Section.
pub const BEFORE: &str = "As found";
/// Section.
pub const AFTER: &str = "As left";
/// Column.
pub const PART: &str = "Part or work";
/// Column.
pub const QUANTITY: &str = "Quantity";
/// Column.
pub const EACH: &str = "Each";
/// Column.
pub const COST: &str = "Cost";
/// Row.
pub const TOTAL: &str = "Total";
/// In place of a price.
pub const NO_PRICE: &str = "—";
/// Column.
pub const WAS: &str = "Was";
/// Column.
pub const NOW: &str = "Is now";
/// Column.
pub const WHO_WHEN: &str = "Who, when, why";
/// Where something was taken back.
pub const TAKEN_BACK: &str = "taken back";
/// Name.
pub const TIME_IN_ALL: &str = "Time in all";

/// `2 lines have no price; the total is without them.`
pub fn unpriced(count: u32) -> String {
    let (line, have, them) = if count == 1 { ("line", "has", "it") } else { ("lines", "have", "them") };
    format!("{count} {line} {have} no price; the total is without {them}.")
}

/// `1 h 25 min`.
pub fn time(minutes: u64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m}\u{a0}min"),
        (h, 0) => format!("{h}\u{a0}h"),
        (h, m) => format!("{h}\u{a0}h\u{a0}{m}\u{a0}min"),
    }
}

/// In place of a picture without room.
pub fn too_large(title: &str) -> String {
    format!("The picture “{title}” is too large for this paper and was left out.")
}

/// `Job 2026-0014 · Corran 360 · Job sheet`.
pub fn foot(number: &str, machine: &str, paper: &str) -> String {
    format!("{JOB} {number} · {paper} · {machine}")
}

/// `done 2026-03-04`.
pub fn state_on(state: &str, when: &str) -> String {
    if when.is_empty() { state.to_owned() } else { format!("{state} {when}") }
}

/// `done 2026-03-04` in brackets behind what was due.
pub fn was_done(when: &str) -> String {
    format!("(done {when})")
}

/// The owner's page, in words for people who do not mend engines.
pub mod owner {
    /// Section.
    pub const TOLD_US: &str = "What you told us";
    /// Section.
    pub const WRONG: &str = "What was wrong";
    /// Section.
    pub const DONE: &str = "What we did, and why";
    /// Where all that was planned was left undone.
    pub const NOTHING_DONE: &str = "We have changed nothing.";
    /// Section.
    pub const NOT_DONE: &str = "What we did not do";
    /// Section.
    pub const FOR_GOOD: &str = "What cannot be undone";
    /// Where nothing irreversible is among what was done.
    pub const NOTHING_FOR_GOOD: &str = "Nothing: all that was done can be put back as it was.";
    /// Section.
    pub const COST: &str = "What it cost";
    /// Row.
    pub const WORK: &str = "Work";
    /// Section.
    pub const LISTEN: &str = "What to listen for";
    /// What to listen for (common practice, no source).
    pub const LISTEN_FOR: [&str; 4] = [
        "A scrape or knock from under a cover: stop the engine at once and leave it off.",
        "An engine that runs on fast, or gets faster by itself, when you close the throttle.",
        "A light rattle, like gravel in a tin, when it pulls hard.",
        "A stumble or a stall once it is hot.",
    ];
    /// After them.
    pub const CALL_US: &str = "If you notice one of these, remember when it came and call us before you ride on.";
    /// Section.
    pub const BEWARE: &str = "Take care";
    /// Section.
    pub const COME_BACK: &str = "When to come back";
    /// Section.
    pub const OLD_PARTS: &str = "Your old parts";
    /// Where none are named.
    pub const OLD_PARTS_TICKS: [&str; 3] = ["Given back to you", "Kept at your wish", "There are none"];
    /// Before the parts given back.
    pub const GIVEN_BACK: &str = "Given back to you:";
    /// Under the signature lines.
    pub const SIGNATURES: [&str; 2] = ["Explained by, date", "Received by, date"];
}
