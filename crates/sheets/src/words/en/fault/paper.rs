//! The fault sheet.

/// Title.
pub const TITLE: &str = "Fault sheet";
/// Heading.
pub const TESTED: &str = "Tested and found";
/// Heads of the table of what was done.
pub const TESTED_HEAD: [&str; 4] = ["test", "sound shows", "found", "minutes"];
/// Heading.
pub const OPEN: &str = "Open";
/// Heads of the table of open tests.
pub const OPEN_HEAD: [&str; 4] = ["test", "how", "positive when", "found"];
/// Heads of the table of causes.
pub const CAUSES_HEAD: [&str; 3] = ["cause", "now", "before"];
/// Heading.
pub const PUT_RIGHT: &str = "To put right";
/// Nothing was done yet.
pub const NOTHING_DONE: &str = "Nothing was tested yet.";
/// Of a test.
pub const DANGER: &str =
    "What protects: hands and hair clear, ignition off and earthed where it need not be on, extinguisher and fresh air at hand.";
/// A step.
pub const PUT_RIGHT_DONE: &str = "put right; complaint stays";
/// A step.
pub const PUT_RIGHT_UNTRIED: &str = "put right; not tried yet";
/// Blank lines.
pub const FOUND_IN_THE_END: &str = "Found in the end, and by whom";
/// To fill in.
pub const FOUND: &[&str] = &["yes / no / cannot tell"];
