//! Files, and how a command ends.

use super::rotor;
use crate::{job::LabelError, scene::pdf::PdfError};
use std::path::Path;
use workshop::study::rotor::sides::Question;

/// What was piped in, as errors name it.
pub const PIPED: &str = "(piped in)";
/// After Ctrl-C.
pub const INTERRUPTED: &str = "stopped";
/// After a defect of the program.
pub const COMPUTATION_BROKE: &str = "the computation broke; please report it with the machine file";
/// The system names no home folder.
pub const NO_DATA_FOLDER: &str = "no data folder is known here; say with --book PATH where the job book belongs";
/// A sheet without a file to go to.
pub const PDF_TO_TERMINAL: &str = "a PDF is nothing for a terminal; pipe it, or name a file with -o";

/// A file that cannot be read.
pub fn cannot_read(name: &str) -> String {
    format!("cannot read {name}")
}

/// A file that cannot be written.
pub fn cannot_write(path: &Path) -> String {
    format!("cannot write {}", path.display())
}

/// A file that must not be written over.
pub fn exists(path: &Path) -> String {
    format!("{} exists already and was left as it is", path.display())
}

/// A folder where a machine file was asked for.
pub fn is_folder(name: &str) -> String {
    format!("{name} is a folder; name the machine file in it")
}

/// A file that is no typed text.
pub fn file_too_large(name: &str, most_bytes: u64) -> String {
    format!("{name} is larger than {} kB; that is no machine file", most_bytes / 1024)
}

/// A file that is not text.
pub fn not_utf8(name: &str, line: usize) -> String {
    format!("{name}:{line}: not UTF-8 text; save the file as UTF-8")
}

/// Before a sheet to cut by.
pub fn which_end_leads(question: Question) -> String {
    format!(
        "{} Answer with --leads left or --leads right; the sheet is written after the right answer",
        rotor::balance::question(question)
    )
}

/// A PDF that could not be written: a defect of the program.
pub fn no_pdf(e: &PdfError) -> String {
    match e {
        PdfError::NoPage => "the paper could not be made: it has no page; please report it".to_owned(),
        PdfError::Writer(why) => format!("the paper could not be made: {why}; please report it"),
    }
}

/// A label that could not be made.
pub fn no_label(e: &LabelError) -> String {
    match e {
        LabelError::Size { side_mm } => format!("a label cannot have a side of {side_mm} mm"),
        LabelError::AddressTooLong { bytes } => {
            format!("the page's address has {bytes} characters, too many for a code on a label")
        }
        LabelError::Pdf(e) => no_pdf(e),
    }
}

/// A folder that cannot be made.
pub fn no_folder(path: &Path) -> String {
    format!("cannot make the folder {}", path.display())
}

/// An address that is taken, or not here.
pub fn cannot_listen(address: &str) -> String {
    format!("cannot listen on {address}")
}

/// Several pictures for one file.
pub fn several_pictures(n: usize) -> String {
    format!("there are {n} pictures; name a folder for them with --svg")
}

/// While the studies run.
pub const WORKING: &str = "working out the idle";

/// A file without defects.
pub fn file_is_sound(name: &str) -> String {
    format!("{name} can be read; every reading lies within its limits.")
}

/// How many defects.
pub fn defect_count(n: usize) -> String {
    match n {
        1 => "One defect.".to_owned(),
        n => format!("{n} defects."),
    }
}
