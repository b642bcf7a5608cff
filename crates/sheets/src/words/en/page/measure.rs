//! Labels and short sentences where readings are taken and files are kept.

use jobbook::{MOST_BLOB_BYTES, MOST_PIXELS, Media, MediaError};

/// Name of the pad.
pub const PAD: &str = "Number pad";
/// Key.
pub const PAD_DECIMAL: &str = "Decimal sign";
/// Key.
pub const PAD_PLUS_MINUS: &str = "Plus or minus";
/// Key.
pub const PAD_SPACE: &str = "Space";
/// What is on it.
pub const PAD_SPACE_KEY: &str = "space";
/// Key.
pub const PAD_DELETE: &str = "Delete";
/// Button without the pad.
pub const PAD_SHOW: &str = "Use the number pad";
/// Button with it.
pub const PAD_HIDE: &str = "Use the device’s own keyboard";
/// Before a reading as it will be kept.
pub const WILL_BE_KEPT: &str = "Will be kept as:";
/// Before the instrument that unit and ± come from.
pub const AS_LAST_TIME: &str = "as last time with";
/// Button beside it.
pub const AS_TYPED: &str = "Only as typed";
/// Name of the place where that is told.
pub const WHAT_IS_KEPT: &str = "As it will be kept";
/// Before what was just kept.
pub const KEPT_NOW: &str = "Kept:";
/// Where that does not stand any more.
pub const STANDS_NO_LONGER: &str = "This was changed or taken back since.";

/// Unit and ± that were filled in and not yet kept.
pub fn filled_in(instrument: &str) -> String {
    format!(
        "Not kept yet. What was not typed was filled in as it was last time with “{instrument}”. Look at it, change it if it is not so, and keep it."
    )
}

/// Heading.
pub const PICTURES: &str = "Photos and recordings";
/// Heading.
pub const ADD_A_FILE: &str = "A photo or a recording";
/// Label.
pub const TAKE_A_PHOTO: &str = "Take a photo";
/// Label.
pub const CHOOSE_A_FILE: &str = "or choose a file";
/// Label.
pub const WHAT_IT_SHOWS: &str = "What it shows";
/// What is usually shown (common practice, no source).
pub const USUALLY_SHOWN: [&str; 8] = [
    "rotor from the side",
    "segment, trailing end",
    "pickup and its gap",
    "timing marks under the strobe",
    "plug",
    "wiring at the module",
    "run on the stand",
    "list of readings",
];
/// Label.
pub const BELONGS_TO: &str = "Belongs to a reading";
/// Choice.
pub const TO_NONE: &str = "to none";
/// Button.
pub const KEEP_FILE_OF_JOB: &str = "Keep this file";
/// While it goes.
pub const BEING_SENT: &str = "The file is being sent. Keep the page open.";
/// When it does not arrive.
pub const NOT_SENT: &str = "Tickover does not answer, so the file was not kept. Files are too large to wait on this device: send it again when it answers.";
/// Nothing was chosen.
pub const NO_FILE: &str = "No file was chosen. Take a photo or choose a file first.";
/// More than one was.
pub const ONE_FILE: &str = "Send one file at a time, so that each says what it shows.";
/// A file without words.
pub const SAY_WHAT_IT_SHOWS: &str = "Say in a few words what it shows: without that, nobody finds it later, and it cannot be read out to somebody who cannot see it.";
/// A form that is not as it was made.
pub const FORM_BROKEN: &str = "The file did not arrive whole. Send it again.";
/// Nothing came for a while.
pub const STALLED: &str = "The file stopped arriving half-way, so it was not kept. Send it again.";
/// Too many at once.
pub const OTHERS_FIRST: &str = "Other files are arriving at the moment. Send this one again in a minute.";
/// Title of a page.
pub const FILE_NOT_KEPT: &str = "The file was not kept";
/// An address without a file.
pub const NO_SUCH_FILE: &str = "There is no such file in this job.";
/// Over a file of which the content is not what it was.
pub const FILE_DAMAGED: &str = "This file is damaged";

/// What may be kept.
pub fn what_may_be_kept() -> String {
    format!(
        "Photos (JPEG, PNG, WebP), recordings (WAV), lists and notes (CSV, plain text) and papers (PDF), up to {}. They are kept as they are and never changed. Files do not wait on this device: they are sent while Tickover answers, or not at all.",
        megabytes(MOST_BLOB_BYTES)
    )
}

/// A file larger than the book takes.
pub fn file_too_large() -> String {
    format!("A file may have up to {}. This one has more, so it was not kept.", megabytes(MOST_BLOB_BYTES))
}

fn megabytes(bytes: usize) -> String {
    format!("{} MB", bytes >> 20)
}

/// What a kind of file is called.
pub fn media(media: Media) -> &'static str {
    match media {
        Media::Jpeg => "JPEG photo",
        Media::Png => "PNG picture",
        Media::WebP => "WebP picture",
        Media::Wav => "WAV recording",
        Media::Pdf => "PDF paper",
        Media::Csv => "CSV list",
        Media::Text => "plain text",
    }
}

/// Why a file is not kept.
pub fn media_error(error: &MediaError) -> String {
    match error {
        MediaError::Empty => "There is nothing in this file.".to_owned(),
        MediaError::Unknown => {
            "By what is in it, this is no JPEG, PNG, WebP, WAV, CSV, plain text or PDF, and other files are not kept. A telephone can be set to take photos as JPEG.".to_owned()
        }
        MediaError::Encoding => "This text is not written in UTF-8. Save it again as UTF-8 and send that.".to_owned(),
        MediaError::Markup => {
            "This text is a web page or a drawing with markup, which a browser could run. Save it as PDF or as a picture.".to_owned()
        }
        MediaError::CutShort(kind) => format!("This {} ends before it should: it did not arrive whole, or is damaged.", media(*kind)),
        MediaError::Broken(kind) => format!("This begins as a {} and does not go on as one.", media(*kind)),
        MediaError::Appended(kind) => format!("Behind the end of this {} there is something else. Save it again and send that.", media(*kind)),
        MediaError::Moving => "This picture moves. Send a picture that stands still.".to_owned(),
        MediaError::TooManyPixels { width, height } => format!(
            "This picture would have {width} × {height} points, and up to {} million are shown. Make it smaller and send that.",
            MOST_PIXELS >> 20
        ),
    }
}

/// A file in a line: its name and what it shows.
pub fn file_in_words(a: &jobbook::Attachment) -> String {
    if a.words.is_empty() { a.file.clone() } else { format!("{} ({})", a.words, a.file) }
}

/// The reading that a file belongs to.
pub fn belongs_to(r: &jobbook::Reading) -> String {
    format!("to {}", reading_in_words(r))
}

/// A reading in a line.
pub fn reading_in_words(r: &jobbook::Reading) -> String {
    let place = if r.place.is_empty() { String::new() } else { format!(", {}", r.place) };
    format!("{}{place}: {}", r.words, r.typed)
}
