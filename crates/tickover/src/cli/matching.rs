//! What can be asked of substitute parts.

use super::{Before, Input};
use clap::{Args, ValueHint};
use sheets::words::help;
use std::path::PathBuf;

/// A kind of part or a set of kinds, a shelf, and the form of the answer.
#[derive(Debug, Args)]
pub struct AskedMatch {
    /// The machine file.
    #[command(flatten)]
    pub input: Input,
    #[arg(help = help::MATCH_KIND, long, value_name = "KIND", group = "what")]
    pub kind: Option<String>,
    #[arg(help = help::MATCH_SET, long, value_name = "SET", group = "what", requires = "shelf")]
    pub set: Option<String>,
    #[arg(help = help::MATCH_SHELF, long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "what")]
    pub shelf: Option<PathBuf>,
    #[arg(help = help::MATCH_NEED, long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "what")]
    pub need: Option<PathBuf>,
    #[arg(help = help::MATCH_KINDS, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub kinds: Option<PathBuf>,
    #[arg(help = help::MATCH_MOST, long, value_name = "NUMBER", default_value_t = 5)]
    pub most: u16,
    #[arg(help = help::MATCH_IDLE, long, requires = "shelf")]
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
