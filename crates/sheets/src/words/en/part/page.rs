//! The page of substitute parts.

/// Link on the card, and title of the page.
pub const TITLE: &str = "Find a part that does the same";
/// Button.
pub const OPEN: &str = "Lay a shelf beside it";
/// What it does.
pub const INTRO: &str = "A shelf of measured parts is laid beside what this machine needs: what rules a part out, how likely the rest fits, what it would do in the machine, what would make it fit.";
/// Heading.
pub const IN_BOOK: &str = "Shelves in the book";
/// Heading.
pub const ANOTHER: &str = "Another shelf, or a newer one";
/// Of a shelf that is sent.
pub const KEPT_BY_ITSELF: &str = "A shelf without defects is kept in the book for every job; a file takes the place of the one of its name. One with a defect is not kept, nor are the photos that come with it.";
/// Link.
pub const ALL_SHELVES: &str = "All shelves";
/// Link.
pub const AS_IT_CAME: &str = "as it came";
/// Field.
pub const PHOTOS: &str = "Photos that the shelf names (JPEG, PNG, WebP; may stay empty)";
/// Summary.
pub const MORE_PHOTOS: &str = "Photos for a shelf in the book";
/// Button.
pub const KEEP_PHOTOS: &str = "Keep the photos";
/// Field.
pub const KIND: &str = "Kind of part";
/// No choice yet.
pub const CHOOSE: &str = "choose";
/// No kind was chosen.
pub const CHOOSE_KIND: &str = "Choose a kind of part.";
/// Field.
pub const FILE: &str = "Shelf: CSV or TOML, or a ZIP of another workshop with its photos (drop it here or choose it)";
/// Field.
pub const NEED_FIELD: &str = "What the job needs beside the machine file (may stay empty)";
/// The same as the name of a file.
pub const NEED: &str = "what the job needs";
/// How it is written.
pub const NEED_HOW: &str =
    "A table for each kind, such as [coil], then a line for each need: ends = \"single\". “any” if it does not matter here.";
/// Button.
pub const LOOK: &str = "Lay it beside";
/// Link.
pub const SHEET: &str = "Match sheet with shopping list (PDF)";
/// Link beside a file of a job.
pub const AS_SHELF: &str = "As a shelf of parts";
/// Idle is not told yet.
pub const SURFACE_COMING: &str = "Rest speeds at idle, and how a push comes back: being worked out beside this page, seconds the first time. Lay it beside again in a moment.";
/// Idle is not told.
pub const NO_SURFACE: &str = "Rest speeds at idle, and how a push comes back: not computed for this machine; its card says why.";
/// The work came to an end by itself.
pub const BROKE_OFF: &str = "The computation broke off. Nothing was kept.";

/// A set among the kinds.
pub fn set(name: &str) -> String {
    format!("together: {name}")
}

/// How many parts are on a shelf.
pub fn parts_on_it(count: usize) -> String {
    if count == 1 { "1 part".to_owned() } else { format!("{count} parts") }
}

/// A shelf that is read and not kept.
pub fn too_large_to_keep(most: usize) -> String {
    format!("The shelf was read, but not kept: the book keeps files of up to {} MB. Divide it by kinds of part.", most >> 20)
}

/// A file among the photos that is none.
pub fn no_photo(name: &str) -> String {
    format!("“{name}” is no photo. Take JPEG, PNG or WebP.")
}

/// What a photo shows.
pub fn photo_of(part: &str) -> String {
    format!("Photo of {part}")
}

/// A photo that the shelf names.
pub fn photo_not_here(name: &str) -> String {
    format!("The shelf names a photo “{name}”, which is not kept here yet.")
}

/// Button.
pub fn take_out(name: &str) -> String {
    format!("Take {name} out")
}
