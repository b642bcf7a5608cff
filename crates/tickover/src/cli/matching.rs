//! What can be asked of substitute parts.

use super::{Before, Input};
use clap::{Args, ValueHint};
use sheets::words::help;
use std::path::PathBuf;

/// A shelf that is handed on.
#[derive(Debug, Args)]
pub struct ShelfOut {
    #[arg(help = help::SHELF_NAME, value_name = "NAME")]
    pub name: String,
    #[arg(help = help::SHELF_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    #[arg(help = help::MATCH_KINDS, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub kinds: Option<PathBuf>,
    #[arg(help = help::BACKUP_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub book: Option<PathBuf>,
}

/// A kind of part or a set of kinds, a shelf, and the form of the answer.
#[derive(Debug, Args)]
pub struct AskedMatch {
    /// The machine file.
    #[command(flatten)]
    pub input: Input,
    #[arg(help = help::MATCH_KIND, long, value_name = "KIND", group = "what")]
    pub kind: Option<String>,
    #[arg(help = help::MATCH_SET, long, value_name = "SET", group = "what", requires = "from")]
    pub set: Option<String>,
    #[arg(help = help::MATCH_SHELF, long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "what", group = "from")]
    pub shelf: Option<PathBuf>,
    #[arg(help = help::MATCH_KEPT, long, value_name = "NAME", requires = "what", group = "from")]
    pub kept: Option<String>,
    #[arg(help = help::MATCH_NEED, long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "what")]
    pub need: Option<PathBuf>,
    #[arg(help = help::MATCH_KINDS, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub kinds: Option<PathBuf>,
    #[arg(help = help::MATCH_MOST, long, value_name = "NUMBER", default_value_t = 5)]
    pub most: u16,
    #[arg(help = help::MATCH_IDLE, long, requires = "from")]
    pub idle: bool,
    #[arg(help = help::MATCH_SHEET, long, value_name = "PDF", value_hint = ValueHint::FilePath, requires = "kind")]
    pub sheet: Option<PathBuf>,
    #[arg(help = help::JSON, long, requires = "what")]
    pub json: bool,
    #[arg(help = help::WIDTH, long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
    pub width: Option<u16>,
    /// Where surfaces are kept.
    #[command(flatten)]
    pub before: Before,
}
