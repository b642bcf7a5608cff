//! The page of a recording.

use crate::words::Caution;

/// Link on the card, and title of the page.
pub const HEAR: &str = "Hear a recording";
/// What it does.
pub const INTRO: &str = "Trigger and spark in two channels give the curve; the sound of the exhaust gives the speed. The file is put aside while the page runs and then forgotten; to keep it, add it to a job.";
/// Field.
pub const FILE: &str = "Recording: WAV, or an oscilloscope's CSV (drop it here or choose it)";
/// Field.
pub const WHAT: &str = "What was recorded";
/// Choice.
pub const PICKUP: &str = "trigger pickup and spark";
/// Choice.
pub const MARK: &str = "a mark and spark";
/// Choice.
pub const PICKUPS: &str = "both pickups, one in each channel";
/// Choice.
pub const EXHAUST: &str = "sound of the exhaust";
/// Field.
pub const MARK_AT: &str = "A mark passes at (0° is top dead centre)";
/// Field.
pub const TRIGGER: &str = "Channel of trigger or mark";
/// Choice.
pub const FOUND_OUT: &str = "found out";
/// Choice.
pub const LEFT: &str = "left";
/// Choice.
pub const RIGHT: &str = "right";
/// Field.
pub const CLOSER: &str = "Show the pulses from second";
/// Field.
pub const LASTS: &str = "Seconds shown";
/// While it is heard.
pub const HEARING: &str = "Hearing it.";
/// Links beside the picture of the pulses.
pub const NEARER: &str = "nearer";
/// See above.
pub const FARTHER: &str = "farther";
/// See above.
pub const EARLIER: &str = "earlier";
/// See above.
pub const LATER: &str = "later";
/// Link from what was sent to the form.
pub const ANOTHER: &str = "Hear another recording";
/// It was sent, and has made room or went with the program.
pub const NO_LONGER_ASIDE: &str = "This recording is not here any more. What is sent to this page is held until the page ends or others take its place. Send it once more, or keep it with a job.";
/// Field.
pub const BEFORE: &str = "An earlier recording of this machine, to see what has changed";
/// Choice.
pub const NO_BEFORE: &str = "none";
/// Field.
pub const WHICH_PICKUP: &str = "Pickup of the machine file, counted from one";
/// Link.
pub const SHEET: &str = "The sheet (PDF)";
/// Choice: one that was sent to the page.
pub fn put_aside(file: &str) -> String {
    format!("{file}, sent to this page")
}
/// Choice: one that is kept with a job.
pub fn of_job(file: &str, job: &str) -> String {
    format!("{file}, job {job}")
}
/// The earlier recording says nothing.
pub fn before_refused(why: &str) -> String {
    format!("The earlier recording: {why}")
}
/// The file that was sent could not be put aside.
pub fn no_room(why: &std::io::Error) -> String {
    format!("There is no room to put it aside: {why}. Make room for temporary files on the computer that shows this page.")
}
/// Button.
pub const READ_IT: &str = "Read it";
/// Title of the picture of the pulses.
pub const WAVES: &str = "Both channels";
/// Heading over so many seconds of it.
pub fn waves(lasts_s: f64) -> String {
    if lasts_s < 0.1 {
        format!("{}\u{a0}ms of it", crate::words::number(1000.0 * lasts_s, 1))
    } else {
        format!("{}\u{a0}s of it", crate::words::number(lasts_s, 2))
    }
}
/// Description of that picture.
pub const WAVES_DESCRIPTION: &str =
    "Both channels against time, each to its own greatest height; found marks and firings as signs above them.";
/// Series.
pub const TRIGGER_WAVE: &str = "trigger";
/// Series.
pub const SPARK_WAVE: &str = "spark";
/// Series.
pub const MARKS: &str = "turns found";
/// Series.
pub const FIRED: &str = "firings found";
/// Series of two pickups.
pub const LEFT_WAVE: &str = "left (first)";
/// See above.
pub const RIGHT_WAVE: &str = "right (second)";
/// Axis.
pub const HEIGHT: &str = "Height";
/// Heading before readings are taken over.
pub const TAKE_OVER: &str = "Take these readings into the machine file?";
/// Beside it.
pub const LOOK_FIRST: &str =
    "Look them over first: each is taken only if you say so, and older readings stay in the earlier revision.";
/// Button.
pub const TAKE: &str = "Take it";
/// As many recordings are heard, or files taken in, as are at one time.
pub const OTHERS_FIRST: &str = "Other recordings are being heard at the moment. Ask for this one again in a minute.";
/// The file could not be read to its end.
pub const BROKE_OFF: &str = "The file did not arrive whole. Send it once more.";

/// Cautions before a recording is made.
pub const fn cautions() -> &'static [Caution] {
    &[
        Caution {
            danger: "The high-tension side gives dangerous shocks and destroys what is connected to it.",
            protects: "A clamp or turns of wire round the outside of the plug lead, never on a conductor; fastened with the engine off.",
        },
        Caution {
            danger: "A pickup gives more volts than a sound card bears.",
            protects: "A divider of 100 kΩ to 1 kΩ with two diodes across; the laptop on its battery.",
        },
        Caution {
            danger: "Kick-back breaks bones; the exhaust burns, and its gas kills without a smell.",
            protects: "Static timing first; outdoors or with extraction; put the microphone down, do not hold it.",
        },
    ]
}
