//! What can be asked of substitute parts.

use super::Input;
use clap::{Args, ValueHint};
use sheets::words::help;
use std::path::PathBuf;

/// A kind of part, a shelf, and the form of the answer.
#[derive(Debug, Args)]
pub struct AskedMatch {
    /// The machine file.
    #[command(flatten)]
    pub input: Input,
    #[arg(help = help::MATCH_KIND, long, value_name = "KIND")]
    pub kind: Option<String>,
    #[arg(help = help::MATCH_SHELF, long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "kind")]
    pub shelf: Option<PathBuf>,
    #[arg(help = help::MATCH_NEED, long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "kind")]
    pub need: Option<PathBuf>,
    #[arg(help = help::MATCH_KINDS, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub kinds: Option<PathBuf>,
    #[arg(help = help::MATCH_MOST, long, value_name = "NUMBER", default_value_t = 5)]
    pub most: u16,
    #[arg(help = help::JSON, long, requires = "kind")]
    pub json: bool,
    #[arg(help = help::WIDTH, long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
    pub width: Option<u16>,
}
