//! Labels and short sentences of the page itself.

mod costs;
mod job;
mod measure;
mod steps;

pub use costs::*;
pub use job::*;
pub use measure::*;
pub use steps::*;

/// Title of the first page.
pub const BOOK: &str = "Job book";
/// Heading where an answer is not there yet.
pub const NOT_YET: &str = "Not yet";
/// Note of the first revision of a demonstration machine.
pub const DEMO: &str = "demonstration machine";
/// Note of a kept edit.
pub const EDITED: &str = "readings edited";
/// Heading of an unknown machine.
pub const NOT_IN_BOOK: &str = "Not in the book";
/// Heading of a clash.
pub const EDITED_MEANWHILE: &str = "Edited meanwhile";
/// Heading of a broken book.
pub const BOOK_TROUBLE: &str = "The job book";
/// An unknown address.
pub const NOTHING_HERE: &str = "Nothing is kept at this address";
/// While the surface is computed.
pub const WORKING: &str = "The engine’s idle is being worked out…";
/// In a long list, until its card is opened.
pub const NOT_WORKED_OUT: &str = "Open the card to have it worked out.";
/// Link.
pub const BEFORE: &str = "Machines before these";
/// Link.
pub const AFTER: &str = "More machines";
/// Under a chart.
pub const READ_OFF: &str = "Point at the chart to read values off it, or use the arrow keys.";
/// After it was stopped.
pub const STOPPED: &str = "The idle was not worked out: it was stopped.";
/// After a defect of the program.
pub const BROKEN: &str = "Tickover itself failed on this machine. The readings are safe; please report it with the machine file.";
/// Over refused readings.
pub const NOT_KEPT: &str = "Not kept";
/// Legend over the fields of the next row of a list, called so.
pub fn further(label: &str) -> String {
    format!("{label}: fill in and keep")
}

/// Over the rows of what was seen on the throttle stop besides the idle.
pub const MORE_SEEN: &str = "Plate nudged, stop screw turned, run down: what else was seen on this stop";
/// Link to them.
pub const TO_FURTHER: &str = "Add a strobe reading";
/// Beside a strobe reading.
pub const TAKE_AWAY: &str = "Take this reading away when the others are kept";
/// Name of the place at which a chart is read.
pub fn read_off(chart: &str) -> String {
    format!("Read values off the chart: {chart}")
}
/// How to write a reading.
pub const HOW_TO_WRITE: &str =
    "Write a reading as you would on paper: 33,2 ± 0.3 mm, 10°, 1 1/4 in. Beside it, what it was measured with.";

/// Over a file with defects.
pub fn defects_first(n: usize) -> String {
    match n {
        1 => "One reading has to be put right before anything can be said.".to_owned(),
        n => format!("{n} readings have to be put right before anything can be said."),
    }
}

/// How many are missing.
pub fn missing(n: usize) -> String {
    match n {
        0 => "nothing missing".to_owned(),
        1 => "one reading missing".to_owned(),
        n => format!("{n} readings missing"),
    }
}

/// State of the readings.
pub fn readings_state(noted: usize, defaults: usize) -> String {
    match defaults {
        0 => format!("{noted} readings"),
        1 => format!("{noted} readings, one default stands in"),
        n => format!("{noted} readings, {n} defaults stand in"),
    }
}

/// State of a fold that waits for the readings.
pub const AFTER_DEFECTS: &str = "after the readings are put right";
/// State of a fold that waits for the judgement.
pub const AFTER_JUDGE: &str = "after the judgement";
/// State of the judgement.
pub const UNDER_WAY: &str = "being worked out";
/// State of the judgement.
pub const WAS_STOPPED: &str = "stopped";
/// State of the judgement.
pub const FAILED: &str = "failed";
/// Heading.
pub const CURVE: &str = "Where the spark comes";
/// Heading.
pub const IDLE: &str = "Where the engine rests";
/// Button.
pub const STOP: &str = "Stop this work";
/// Link without the script.
pub const LOOK_AGAIN: &str = "Look again";
/// Button.
pub const WORK_IT_OUT: &str = "Work it out";
/// Heading.
pub const CAN_BE_UNDONE: &str = "First, what can be undone";
/// Heading.
pub const BEFORE_YOU_CUT: &str = "Before you cut";
/// Heading.
pub const THE_CUT: &str = "The cut";
/// Name of the handle.
pub const CUT_HANDLE: &str = "Cut at the trailing end, in millimetres along the rim";
/// Name of the field.
pub const CUT_FIELD: &str = "Cut along the rim, mm";
/// Label of a slide.
pub fn depth_of(zone: &str) -> String {
    format!("{zone}: depth of the cut")
}
/// Opens the table of a face.
pub fn table_of_depths(zone: &str) -> String {
    format!("{zone}: depth by depth")
}
/// Answers to which end leads: as sent, as shown.
pub const ENDS: [(&str, &str); 2] = [("left", "left"), ("right", "right")];
/// Why it is asked.
pub const WHY_ASKED: &str = "Turned over, a rotor seems to turn the other way, and many were scrapped by a cut at the wrong end. The sheet is printed after the right answer.";
/// Link.
pub const ROTOR_SHEET: &str = "Sheet of the rotor, PDF";
/// Link.
pub const SPARK_SHEET: &str = "Sheet of the spark, PDF";
/// Opens what is told of bonds, seat and balance.
pub const WHAT_HOLDS: &str = "Magnets, seat, pulling, balance and sides";
/// Names the tables of the cuts as the slides stand.
pub const CUTS_NOW: &str = "The cuts as the slides stand";
/// Of cuts.
pub const KEEPS_ALL_LIMITS: &str = "These cuts keep every limit.";
/// Button without the script.
pub const SHOW: &str = "Show this cut";
/// Under the drawing.
pub const HOW_TO_DRAG: &str = "Drag the ring along the rim, or use the arrow keys: 0.1 mm a step.";
/// Heading.
pub const TABLE_OF_CUTS: &str = "Cut by cut";
/// Button.
pub const SHEET: &str = "Sheet to work from (PDF)";
/// Button.
pub const JSON: &str = "Findings (JSON)";
/// Button.
pub const FILE: &str = "Machine file";
/// Under the buttons.
pub const PRINT_TRUE: &str = "Print the sheet at actual size and measure its 100 mm bar before the template is used.";
/// Heading.
pub const REVISIONS: &str = "What was kept";
/// The newest revision.
pub const PRESENT_ONE: &str = "in use";
/// Button.
pub const TAKE_BACK: &str = "Use this one again";

/// What a cut does to the idle.
pub fn with_cut(cut_m: f64, verdict: &str) -> String {
    if cut_m > 0.0 {
        format!("With {} off, and the idle set again: {verdict}.", crate::words::mm(cut_m))
    } else {
        format!("With nothing off: {verdict}.")
    }
}

/// Least advance after a cut.
pub fn least_advance(least: &str, cut: &str) -> String {
    format!("Least advance {least}; the cut is {cut} of crank.")
}

/// Segment left after a cut.
pub fn segment_left(left: &str) -> String {
    format!("{left} of segment are left along the rim.")
}

/// The kick-back test in a table.
pub fn passes(passes: bool) -> &'static str {
    if passes { "passes" } else { "fails" }
}

/// Title of the page for a new machine.
pub const NEW_MACHINE: &str = "A new machine";
/// Note of the first revision of a machine.
pub const ADDED: &str = "taken into the book";
/// Over the file.
pub const FILE_AS_TEXT: &str =
    "The whole machine file. Every line that begins with # is a comment. It is kept only if it can be read.";
/// Link.
pub const BACK_TO_CARD: &str = "Back to the card";
/// Button.
pub const KEEP_FILE: &str = "Keep this file";
/// Link.
pub const EDIT_FILE: &str = "Edit the file as text";

/// A field that is not on the card.
pub fn no_such_field(path: &str) -> String {
    format!("There is no reading “{path}” on this card.")
}

/// A defect in the file as text.
pub fn in_line(line: usize, column: usize, defect: &str) -> String {
    format!("Line {line}, column {column}: {defect}")
}

/// Note of a restored revision.
pub fn restored(number: u32) -> String {
    format!("as in {number} again")
}

/// Over the defaults.
pub fn stand_ins(n: usize) -> String {
    match n {
        1 => "One thing to know about the readings".to_owned(),
        n => format!("{n} things to know about the readings"),
    }
}

/// Title of the page with the devices.
pub const DEVICES: &str = "Other devices";
/// Without the workshop's network.
pub const NO_NETWORK: &str =
    "Only this computer can open the page. Start Tickover with --lan to let a phone or tablet of the workshop in.";
/// With it.
pub const NETWORK: &str = "A phone or tablet in the workshop’s network is let in with a code from this page.";
/// Heading.
pub const BEFORE_PAIRING: &str = "Before you let one in";
/// What the network can see.
pub const NETWORK_CAUTION: &str = "Use a network that only the workshop uses. What goes over it is not encrypted: somebody who can listen there can read along. A device that is let in can read and write everything in the book.";
/// Heading and label.
pub const CODE: &str = "Code";
/// Under the code.
pub const CODE_LIFE: &str =
    "Good for one device, within ten minutes. Point the phone’s camera at the square, or type the address and the code.";
/// Button.
pub const ANOTHER_CODE: &str = "Another code";
/// Button.
pub const INVITE: &str = "Let a device in";
/// Heading.
pub const LET_IN: &str = "Let in so far";
/// Nothing to list.
pub const NOBODY_YET: &str = "None.";
/// Button.
pub const FORGET: &str = "Let in no longer";
/// On other devices.
pub const HERE_ONLY: &str = "Devices are let in from the computer that Tickover runs on.";
/// To a device that posts without having been let in.
pub const STRANGER: &str = "This device has not been let in. Open the page’s address to type a code.";
/// Title.
pub const PAIR: &str = "May this device come in?";
/// Under the title.
pub const HOW_TO_PAIR: &str = "The computer that Tickover runs on shows a code under “Other devices”.";
/// Label.
pub const DEVICE_NAME: &str = "What to call this device";
/// A device without a name.
pub const NAMELESS: &str = "a device";
/// Button.
pub const LET_ME_IN: &str = "Come in";
/// A code that was refused.
pub const WRONG_CODE: &str = "That code is not, or no longer, good. Ask for another on the computer that Tickover runs on.";

/// Link for the keyboard, past the head.
pub const TO_THE_SHEET: &str = "To the sheet";
/// Name of the links in the head.
pub const PLACES: &str = "Book";
/// Light.
pub const AS_DEVICE: &str = "As the device";
/// Light.
pub const DAY: &str = "Light";
/// Light.
pub const NIGHT: &str = "Night";
/// Link.
pub const TO_THE_BOOK: &str = "To the job book";
/// Under the first page's title.
pub const WHAT_CARDS_ARE: &str = "Each card goes from the complaint to the sheet to work from.";
/// Name of the links between pages of a list.
pub const PAGES: &str = "Pages";
/// Name of the links to the folds.
pub const FOLDS: &str = "Folds";
/// Fold.
pub const COMPLAINT: &str = "Complaint";
/// Fold.
pub const MEASURE: &str = "Measure";
/// Fold.
pub const JUDGE: &str = "Judge";
/// Fold.
pub const ALTER: &str = "Alter";
/// Fold.
pub const HAND_OVER: &str = "Hand over";
/// Button.
pub const KEEP_READINGS: &str = "Keep these readings";
/// Beside it.
pub const OLDER_STAY: &str = "The older ones stay in the book.";
/// After the name of a part of the machine.
pub const NOT_IN_FILE: &str = " – not in the file";
/// Nothing was chosen.
pub const NOT_NOTED: &str = "not noted";
/// Choice.
pub const YES: &str = "yes";
/// Choice.
pub const NO: &str = "no";
/// In an empty field for the instrument.
pub const MEASURED_WITH: &str = "measured with";
/// In an empty field that must be filled in.
pub const NEEDED: &str = "needed";
/// Head of a column.
pub const CUT: &str = "Cut";
/// Head of a column.
pub const CRANK: &str = "Crank";
/// Head of a column.
pub const LEAST_ADVANCE: &str = "Least advance";
/// Head of a column.
pub const IDLE_SET_AGAIN: &str = "With the idle set again";
/// Head of a column.
pub const CHANCE: &str = "Chance of a hang";
/// Head of a column.
pub const MOVED_BY_AIR: &str = "1 % of air moves it";
/// Head of a column.
pub const SEGMENT_LEFT: &str = "Segment left";
/// Head of a column.
pub const KICK_BACK: &str = "Kick-back";
/// Asked at an address that is not its own.
pub const OTHER_ADDRESS: &str = "Open the bench page at the address that Tickover printed.";
/// Asked from another page.
pub const OTHER_PAGE: &str = "This request came from another web page and was not answered.";
/// Asked in another way.
pub const OTHER_METHOD: &str = "The bench page knows GET and POST.";
/// Too much was sent.
pub const TOO_LARGE: &str = "That is larger than anything that is kept here, so it was not read.";

/// Title of a page in the browser's frame.
pub fn title(page: &str) -> String {
    format!("{page} · Tickover")
}

/// Name of the field for where a reading comes from.
pub fn origin_of(label: &str) -> String {
    format!("{label}: measured with what, or maker, or estimate")
}

/// Limits of a count.
pub fn from_to(least: impl std::fmt::Display, most: impl std::fmt::Display) -> String {
    format!("{least} to {most}")
}

/// What stands in where nothing is noted, after the limits.
pub fn stands_in(limits: &str, written: &str) -> String {
    let join = if limits.is_empty() { "" } else { "; " };
    format!("{limits}{join}nothing noted, {written} stands in")
}
