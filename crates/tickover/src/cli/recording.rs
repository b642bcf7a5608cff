//! Arguments of the commands for recordings.

use clap::{Args, ValueEnum, ValueHint};
use sheets::words::{help as common, recording::help};
use std::path::PathBuf;

/// A channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Side {
    Left,
    Right,
}

/// What a made engine does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum MakeRun {
    Idle,
    Sweep,
    Blip,
    RunDown,
    Steady,
}

/// A recording to be heard.
#[derive(Debug, Args)]
pub struct AskedRecording {
    #[arg(help = help::FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    #[arg(help = help::MACHINE, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub machine: PathBuf,
    #[arg(help = help::EXHAUST, long, conflicts_with_all = ["trigger", "mark", "pickup"])]
    pub exhaust: bool,
    #[arg(help = help::TRIGGER, long, value_name = "CHANNEL", value_enum)]
    pub trigger: Option<Side>,
    #[arg(help = help::MARK, long, value_name = "ANGLE")]
    pub mark: Option<String>,
    #[arg(help = help::PICKUP, long, value_name = "NUMBER", default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..))]
    pub pickup: u8,
    #[arg(help = help::PICKUPS, long, conflicts_with_all = ["exhaust", "trigger", "mark", "pickup", "csv"])]
    pub pickups: bool,
    #[arg(help = help::BEFORE, long, value_name = "FILE", value_hint = ValueHint::FilePath, conflicts_with_all = ["exhaust", "pickups"])]
    pub before: Option<PathBuf>,
    #[arg(help = help::COLUMNS, long, value_name = "TIME,FIRST,SECOND", value_delimiter = ',', num_args = 1..=3)]
    pub columns: Vec<usize>,
    #[arg(help = help::RATE, long, value_name = "HZ")]
    pub rate: Option<f64>,
    #[arg(help = common::JSON, long)]
    pub json: bool,
    #[arg(help = help::FIRINGS, long, value_name = "CSV", value_hint = ValueHint::FilePath)]
    pub csv: Option<PathBuf>,
    #[arg(help = help::SHEET, long, value_name = "PDF", value_hint = ValueHint::FilePath)]
    pub sheet: Option<PathBuf>,
    #[arg(help = common::WIDTH, long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
    pub width: Option<u16>,
}

/// A recording to be made.
#[derive(Debug, Args)]
pub struct Synthesize {
    #[arg(help = common::FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub machine: PathBuf,
    #[arg(help = help::OUT, value_name = "WAV", value_hint = ValueHint::FilePath)]
    pub out: PathBuf,
    #[arg(help = help::RUN, long, value_enum, default_value_t = MakeRun::Sweep)]
    pub run: MakeRun,
    #[arg(help = help::SECONDS, long, default_value_t = 20.0)]
    pub seconds: f64,
    #[arg(help = help::SAMPLES, long, value_name = "HZ", default_value_t = 48_000)]
    pub samples: u32,
    #[arg(help = help::FASTEST, long, value_name = "RPM")]
    pub fastest: Option<f64>,
    #[arg(help = help::SWEEP_RATE, long, value_name = "RPM", default_value_t = 1000.0)]
    pub sweep_rate: f64,
    #[arg(help = help::MAKE_EXHAUST, long)]
    pub exhaust: bool,
    #[arg(help = help::MAKE_MARK, long)]
    pub mark: bool,
    #[arg(help = help::HUM, long, value_name = "SHARE", default_value_t = 0.0)]
    pub hum: f64,
    #[arg(help = help::NOISE, long, value_name = "DB")]
    pub noise: Option<f64>,
    #[arg(help = help::DRIFT, long, value_name = "SHARE", default_value_t = 0.0)]
    pub drift: f64,
    #[arg(help = help::CLIP, long, value_name = "SHARE")]
    pub clip: Option<f64>,
    #[arg(help = help::INVERTED, long)]
    pub inverted: bool,
    #[arg(help = help::SWAPPED, long)]
    pub swapped: bool,
    #[arg(help = help::MISSING, long, value_name = "SHARE", default_value_t = 0.0)]
    pub missing: f64,
    #[arg(help = help::DOUBLE, long, value_name = "SHARE", default_value_t = 0.0)]
    pub double: f64,
    #[arg(help = help::STRAY, long, value_name = "SHARE", default_value_t = 0.0)]
    pub stray: f64,
    #[arg(help = help::SPARKS, long, value_name = "NUMBER", default_value_t = 1)]
    pub sparks: u8,
    #[arg(help = help::WASTE, long)]
    pub waste: bool,
    #[arg(help = help::SEED, long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    #[arg(help = help::TRUTH, long, value_name = "CSV", value_hint = ValueHint::FilePath)]
    pub truth: Option<PathBuf>,
}
