//! The command line: what can be asked. What each word does is said in [`sheets::words::help`].
#![allow(missing_docs, reason = "the help that people read says it")]

mod fault;
mod matching;
mod recording;

pub use fault::AskedFault;
pub use matching::{AskedMatch, ShelfOut};
pub use recording::{AskedRecording, MakeRun, Side, Synthesize};

use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use sheets::words::{help, recording::help as recording_help};
use std::path::PathBuf;
use workshop::study::{electric::likeness::Fault, rotor::sides::End};

/// The command line.
#[derive(Debug, Parser)]
#[command(
    name = "tickover",
    version,
    about = help::ABOUT,
    long_about = help::LONG_ABOUT,
    after_help = help::EXIT_CODES,
    args_conflicts_with_subcommands = true
)]
pub struct Cli {
    /// What to do; nothing serves the bench page.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// How to serve the bench page.
    #[command(flatten)]
    pub serve: Serve,
}

/// How to serve the bench page.
#[derive(Debug, Args)]
pub struct Serve {
    #[arg(help = help::BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub book: Option<PathBuf>,
    #[arg(help = help::LAN, long)]
    pub lan: bool,
    #[arg(help = help::PORT, long, value_name = "PORT")]
    pub port: Option<u16>,
    #[arg(help = help::NO_BROWSER, long)]
    pub no_browser: bool,
    #[arg(help = help::FAULT_OWN, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub own: Option<PathBuf>,
    #[arg(help = help::MATCH_KINDS, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub kinds: Option<PathBuf>,
}

/// The end of the segment that leads, as asked before a sheet to cut by is written.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Leads {
    Left,
    Right,
}

impl From<Leads> for End {
    fn from(leads: Leads) -> Self {
        match leads {
            Leads::Left => End::Left,
            Leads::Right => End::Right,
        }
    }
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    #[command(about = help::NEW)]
    New {
        #[arg(help = help::NEW_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: Option<PathBuf>,
    },
    #[command(about = help::CHECK)]
    Check {
        /// The machine file.
        #[command(flatten)]
        input: Input,
        #[arg(help = help::CHECK_WIDTH, long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
        width: Option<u16>,
    },
    #[command(about = help::CURVE)]
    Curve(Asked),
    #[command(about = help::IDLE)]
    Idle(Asked),
    #[command(about = help::TRIM)]
    Trim(Asked),
    #[command(about = help::STUDY)]
    Study(Asked),
    #[command(about = help::ROTOR)]
    Rotor(AskedRotor),
    #[command(about = help::SPARK)]
    Spark(AskedSpark),
    #[command(about = help::WINDINGS)]
    Windings(AskedSheet),
    #[command(about = help::CHARGE)]
    Charge(AskedSheet),
    #[command(about = help::WIRE)]
    Wire(AskedSheet),
    #[command(about = help::FAULT)]
    Fault(AskedFault),
    #[command(about = help::MATCH)]
    Match(AskedMatch),
    #[command(about = help::NETLIST)]
    Netlist(AskedNetlist),
    #[command(about = recording_help::RECORDING)]
    Recording(AskedRecording),
    #[command(about = recording_help::SYNTHESIZE)]
    Synthesize(Synthesize),
    #[command(about = help::SHEET)]
    Sheet {
        /// The machine file.
        #[command(flatten)]
        input: Input,
        #[arg(help = help::SHEET_OUTPUT, short, long, value_name = "PDF", value_hint = ValueHint::FilePath)]
        output: Option<PathBuf>,
        #[arg(help = help::LEADS, long, value_name = "END", value_enum)]
        leads: Option<Leads>,
        /// What was computed before.
        #[command(flatten)]
        before: Before,
    },
    #[command(about = help::BACKUP)]
    Backup {
        #[arg(help = help::BACKUP_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: PathBuf,
        #[arg(help = help::BACKUP_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
        book: Option<PathBuf>,
    },
    #[command(about = help::RESTORE)]
    Restore {
        #[arg(help = help::RESTORE_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: PathBuf,
        #[arg(help = help::RESTORE_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
        book: Option<PathBuf>,
    },
    #[command(about = help::EXPORT)]
    Export {
        #[arg(help = help::BACKUP_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: PathBuf,
        #[arg(help = help::BACKUP_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
        book: Option<PathBuf>,
    },
    #[command(about = help::READINGS)]
    Readings {
        #[arg(help = help::BACKUP_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: PathBuf,
        #[arg(help = help::READINGS_JOB, long, value_name = "JOB", conflicts_with = "machine")]
        job: Option<String>,
        #[arg(help = help::READINGS_MACHINE, long, value_name = "MACHINE")]
        machine: Option<String>,
        #[arg(help = help::BACKUP_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
        book: Option<PathBuf>,
    },
    #[command(about = help::WRITE_UP)]
    WriteUp(WriteUp),
    #[command(about = help::TAKE_IN)]
    TakeIn(TakeIn),
    #[command(about = help::SHELF)]
    Shelf(ShelfOut),
    #[command(about = help::SCHEMA)]
    Schema {
        #[arg(help = help::SCHEMA_OF, value_enum, default_value_t = SchemaOf::Machine)]
        of: SchemaOf,
    },
    #[command(about = help::COMPLETIONS)]
    Completions {
        #[arg(help = help::COMPLETIONS_SHELL)]
        shell: clap_complete::Shell,
    },
    #[command(about = help::MAN)]
    Man,
}

/// Formats with a published schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum SchemaOf {
    Machine,
    Log,
    WriteUp,
}

/// A write-up to make.
#[derive(Debug, Args)]
pub struct WriteUp {
    #[arg(help = help::WRITE_UP_JOB, value_name = "JOB")]
    pub job: String,
    #[arg(help = help::WRITE_UP_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: Option<PathBuf>,
    #[arg(help = help::WRITE_UP_ALSO, long, value_name = "WORD")]
    pub also: Vec<String>,
    #[arg(help = help::WRITE_UP_NOTE, long, value_name = "NUMBER")]
    pub note: Vec<i64>,
    #[arg(help = help::WRITE_UP_PICTURE, long, value_name = "NUMBER")]
    pub picture: Vec<i64>,
    #[arg(help = help::BACKUP_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub book: Option<PathBuf>,
}

/// A file to take in.
#[derive(Debug, Args)]
pub struct TakeIn {
    #[arg(help = help::TAKE_IN_FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    #[arg(help = help::TAKE_IN_JOB, long, value_name = "JOB")]
    pub job: Option<String>,
    #[arg(help = help::MATCH_KINDS, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub kinds: Option<PathBuf>,
    #[arg(help = help::TAKE_IN_KEEP, long)]
    pub keep: bool,
    #[arg(help = help::TAKE_IN_WHO, long, value_name = "NAME", default_value = "")]
    pub who: String,
    #[arg(help = help::BACKUP_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub book: Option<PathBuf>,
}

/// A machine file to read.
#[derive(Debug, Args)]
pub struct Input {
    #[arg(help = help::FILE, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
}

/// Where what was computed before is found and kept.
#[derive(Debug, Args)]
pub struct Before {
    #[arg(help = help::BEFORE_BOOK, long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub book: Option<PathBuf>,
    #[arg(help = help::BEFORE_AFRESH, long, conflicts_with = "book")]
    pub afresh: bool,
}

/// A study and the form of its answer.
#[derive(Debug, Args)]
pub struct Asked {
    /// The machine file.
    #[command(flatten)]
    pub input: Input,
    /// What was computed before.
    #[command(flatten)]
    pub before: Before,
    #[arg(help = help::JSON, long)]
    pub json: bool,
    #[arg(help = help::SVG, long, value_name = "FOLDER|FILE.svg", value_hint = ValueHint::AnyPath)]
    pub svg: Option<PathBuf>,
    #[arg(help = help::WIDTH, long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
    pub width: Option<u16>,
}

/// The rotor's study, the form of its answer, and its sheet.
#[derive(Debug, Args)]
pub struct AskedRotor {
    /// The study.
    #[command(flatten)]
    pub asked: Asked,
    #[arg(help = help::ROTOR_SHEET, long, value_name = "PDF", value_hint = ValueHint::FilePath)]
    pub sheet: Option<PathBuf>,
    #[arg(help = help::ROTOR_LEADS, long, value_name = "END", value_enum)]
    pub leads: Option<Leads>,
    #[arg(help = help::TRIMMED, long, value_name = "MM")]
    pub trimmed: Option<f64>,
}

/// The spark's study, the form of its answer, and its sheet.
#[derive(Debug, Args)]
pub struct AskedSpark {
    /// The study.
    #[command(flatten)]
    pub asked: Asked,
    #[arg(help = help::SPARK_SHEET, long, value_name = "PDF", value_hint = ValueHint::FilePath)]
    pub sheet: Option<PathBuf>,
}

/// An electrical study, the form of its answer, and its sheet.
#[derive(Debug, Args)]
pub struct AskedSheet {
    /// The study.
    #[command(flatten)]
    pub asked: Asked,
    #[arg(help = help::OWN_SHEET, long, value_name = "PDF", value_hint = ValueHint::FilePath)]
    pub sheet: Option<PathBuf>,
}

/// A circuit for ngspice.
#[derive(Debug, Args)]
pub struct AskedNetlist {
    /// The machine file.
    #[command(flatten)]
    pub input: Input,
    #[arg(help = help::NETLIST_SPEED, long, value_name = "RPM", value_parser = clap::value_parser!(u16).range(100..20000))]
    pub speed: Option<u16>,
    #[arg(help = help::NETLIST_SPARK, long, conflicts_with = "fault")]
    pub spark: bool,
    #[arg(help = help::NETLIST_FAULT, long, value_name = "FAULT", value_enum)]
    pub fault: Option<PutIn>,
    #[arg(help = help::NETLIST_OUTPUT, short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub output: Option<PathBuf>,
}

/// A fault that a netlist can have.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum PutIn {
    DeadPhase,
    OpenDiode,
    ShortedDiode,
    WeakMagnets,
}

impl From<PutIn> for Fault {
    fn from(fault: PutIn) -> Self {
        match fault {
            PutIn::DeadPhase => Fault::DeadPhase(0),
            PutIn::OpenDiode => Fault::OpenDiode(0, true),
            PutIn::ShortedDiode => Fault::ShortedDiode(0, true),
            PutIn::WeakMagnets => Fault::WeakMagnets(0.75),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_definition_is_sound() {
        Cli::command().debug_assert();
    }
}
