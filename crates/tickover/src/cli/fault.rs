//! What can be asked of fault finding.

use super::{Before, Input};
use clap::{Args, ValueHint};
use sheets::words::help;
use std::path::PathBuf;
use workshop::study::fault::SYSTEMS;

/// A complaint, what was done about it, and the form of the answer.
#[derive(Debug, Args)]
pub struct AskedFault {
    /// The machine file.
    #[command(flatten)]
    pub input: Input,
    #[arg(help = help::FAULT_COMPLAINT, long, value_name = "COMPLAINT")]
    pub complaint: Option<String>,
    #[arg(help = help::FAULT_JOB, long, value_name = "JOB")]
    pub job: Option<String>,
    #[arg(help = help::FAULT_ANSWER, long, value_name = "TEST=ANSWER")]
    pub answer: Vec<String>,
    #[arg(help = help::FAULT_RECORDING, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub recording: Vec<PathBuf>,
    #[arg(help = help::FAULT_IGNITION, long, value_name = "IGNITION", value_parser = clap::builder::PossibleValuesParser::new(SYSTEMS.iter().copied()))]
    pub ignition: Option<String>,
    #[arg(help = help::FAULT_IN_HAND, long, value_name = "TEST")]
    pub in_hand: Vec<String>,
    #[arg(help = help::FAULT_IDLE, long)]
    pub idle: bool,
    /// What was computed before.
    #[command(flatten)]
    pub before: Before,
    #[arg(help = help::FAULT_OWN, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub own: Option<PathBuf>,
    #[arg(help = help::FAULT_ALL, long)]
    pub all: bool,
    #[arg(help = help::FAULT_ASK, long, conflicts_with_all = ["json", "sheet"])]
    pub ask: bool,
    #[arg(help = help::JSON, long)]
    pub json: bool,
    #[arg(help = help::OWN_SHEET, long, value_name = "PDF", value_hint = ValueHint::FilePath)]
    pub sheet: Option<PathBuf>,
    #[arg(help = help::WIDTH, long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
    pub width: Option<u16>,
}
