//! The command line: what can be asked, and what each word does.

use clap::{Args, Parser, Subcommand, ValueHint};
use std::path::PathBuf;

/// Exit codes, as `--help`, the man page and the guide print them.
const EXIT_CODES: &str = "Exit codes:
  0    done
  1    something unexpected: a file that cannot be read or written, a damaged job book
  2    the command itself was not understood
  3    the machine file has defects; they are listed
  4    the study does not cover this machine; the reason is given
  130  stopped by Ctrl-C";

/// Ignition timing by trigger rotor, the idle, and the trim of the trigger segment.
///
/// Without a command it serves the bench page on this computer alone (with --lan, in the workshop's network too) and opens
/// the browser. No internet is needed, and nothing is sent there.
#[derive(Debug, Parser)]
#[command(name = "tickover", version, about, long_about, after_help = EXIT_CODES, args_conflicts_with_subcommands = true)]
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
    /// The job book to use or to make [default: tickover/book.sqlite in the user's data folder].
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub book: Option<PathBuf>,
    /// Serve the workshop's own network too: a phone or tablet is let in with a code, good once and for ten minutes.
    #[arg(long)]
    pub lan: bool,
    /// Port to listen on; without it 7878, or any free one if that is taken.
    #[arg(long, value_name = "PORT")]
    pub port: Option<u16>,
    /// Print the address and leave the browser alone.
    #[arg(long)]
    pub no_browser: bool,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a machine file with a comment at every reading, to fill in.
    New {
        /// Where to; an existing file is left alone. Without it, or as "-": to the terminal.
        #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: Option<PathBuf>,
    },
    /// Judge a machine file: every defect with its line and what to do, every default that stands in.
    Check {
        /// The machine file.
        #[command(flatten)]
        input: Input,
        /// Width of the text in columns.
        #[arg(long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
        width: Option<u16>,
    },
    /// Where the spark comes: curve, band, table, and the law that the strobe readings support.
    Curve(Asked),
    /// Whether the engine idles steadily on its curve, and where else it can rest.
    Idle(Asked),
    /// The least cut of the segment's trailing end that serves, and what else it changes.
    Trim(Asked),
    /// Curve, idle and trim together.
    Study(Asked),
    /// Write the sheet to work from, with the rim template true to scale, as PDF.
    Sheet {
        /// The machine file.
        #[command(flatten)]
        input: Input,
        /// Where to; "-" is the pipe [default: the machine file's name with .pdf, in this folder].
        #[arg(short, long, value_name = "PDF", value_hint = ValueHint::FilePath)]
        output: Option<PathBuf>,
        /// What was computed before.
        #[command(flatten)]
        before: Before,
    },
    /// Copy the whole job book to a file, also while the page is open, and read the copy again to prove it.
    Backup {
        /// Where to; an existing file is left alone.
        #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: PathBuf,
        /// The job book [default: the bench page's].
        #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
        book: Option<PathBuf>,
    },
    /// Make the job book what a backup is. The book as it was is kept beside it first.
    Restore {
        /// The backup.
        #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
        file: PathBuf,
        /// The job book [default: the bench page's].
        #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
        book: Option<PathBuf>,
    },
    /// Print the JSON Schema of the machine file.
    Schema,
    /// Print a completion script for a shell.
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page, in roff.
    Man,
}

/// A machine file to read.
#[derive(Debug, Args)]
pub struct Input {
    /// The machine file; "-" reads what is piped in.
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
}

/// Where what was computed before is found and kept.
#[derive(Debug, Args)]
pub struct Before {
    /// The job book in which computed engines are found and kept [default: the bench page's].
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub book: Option<PathBuf>,
    /// Work everything out afresh, and leave every job book alone.
    #[arg(long, conflicts_with = "book")]
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
    /// Answer as JSON, format 1.
    #[arg(long)]
    pub json: bool,
    /// Save the pictures: in this folder, or in this file if it ends in .svg and there is one picture.
    #[arg(long, value_name = "FOLDER|FILE.svg", value_hint = ValueHint::AnyPath)]
    pub svg: Option<PathBuf>,
    /// Width of the text in columns [default: the terminal's, 80 in a pipe].
    #[arg(long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..))]
    pub width: Option<u16>,
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
