//! What each command does.

mod book;
mod electric;
mod exchange;
mod fault;
mod file;
mod matching;
mod recording;
mod rotor;
mod serve;
mod spark;
mod study;
mod synthesize;

use crate::{
    cli::{Cli, Command, SchemaOf},
    exchange::{job_file, write_up},
    stop::Stop,
};
use clap::CommandFactory;
use std::io::{self, Write};
use workshop::machine;

/// Does what was asked.
///
/// # Errors
/// See [`Stop`]; what the mechanic must read about a machine file has been printed by then.
pub fn run(cli: Cli) -> Result<(), Stop> {
    match cli.command {
        None => serve::serve(&cli.serve),
        Some(Command::New { file }) => file::new(file.as_deref()),
        Some(Command::Check { input, width }) => file::check(&input, width),
        Some(Command::Curve(asked)) => study::curve(&asked),
        Some(Command::Idle(asked)) => study::idle(&asked),
        Some(Command::Trim(asked)) => study::trim(&asked),
        Some(Command::Study(asked)) => study::study(&asked),
        Some(Command::Rotor(asked)) => rotor::rotor(&asked),
        Some(Command::Spark(asked)) => spark::spark(&asked),
        Some(Command::Windings(asked)) => electric::windings(&asked),
        Some(Command::Charge(asked)) => electric::charge(&asked),
        Some(Command::Wire(asked)) => electric::wire(&asked),
        Some(Command::Fault(asked)) => fault::fault(&asked),
        Some(Command::Match(asked)) => matching::matching(&asked),
        Some(Command::Netlist(asked)) => electric::netlist(&asked),
        Some(Command::Recording(asked)) => recording::recording(&asked),
        Some(Command::Synthesize(asked)) => synthesize::synthesize(&asked),
        Some(Command::Sheet { input, output, leads, before }) => {
            study::sheet(&input, output.as_deref(), leads.map(Into::into), &before)
        }
        Some(Command::Backup { file, book }) => book::backup(&file, book.as_deref()),
        Some(Command::Restore { file, book }) => book::restore(&file, book.as_deref()),
        Some(Command::Export { file, book }) => exchange::export(&file, book.as_deref()),
        Some(Command::Readings { file, job, machine, book }) => {
            exchange::readings(&file, job.as_deref(), machine.as_deref(), book.as_deref())
        }
        Some(Command::WriteUp(asked)) => exchange::write_up(&asked),
        Some(Command::TakeIn(asked)) => exchange::take_in(&asked),
        Some(Command::Shelf(asked)) => exchange::shelf(&asked),
        Some(Command::Schema { of }) => {
            let schema = match of {
                SchemaOf::Machine => machine::schema(),
                SchemaOf::Log => job_file::schema(),
                SchemaOf::WriteUp => write_up::schema(),
            };
            Ok(say(&format!("{schema:#}"))?)
        }
        Some(Command::Completions { shell }) => {
            // Made in memory first: the library panics on a closed pipe.
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Cli::command(), "tickover", &mut script);
            Ok(io::stdout().write_all(&script)?)
        }
        Some(Command::Man) => {
            let mut page = Vec::new();
            clap_mangen::Man::new(Cli::command()).render(&mut page)?;
            Ok(io::stdout().write_all(&page)?)
        }
    }
}

/// Prints text with its colours, if the reader wants them (`NO_COLOR`, pipes).
fn say(text: &str) -> io::Result<()> {
    let mut out = anstream::stdout();
    out.write_all(text.as_bytes())?;
    if !text.ends_with('\n') {
        out.write_all(b"\n")?;
    }
    out.flush()
}

/// Columns to fill: as asked, or the terminal's, or 80 in a pipe; never more than reads well.
fn columns(asked: Option<u16>) -> usize {
    const IN_A_PIPE: u16 = 80;
    const MOST: u16 = 120;
    let seen = || terminal_size::terminal_size().map_or(IN_A_PIPE, |(width, _)| width.0.min(MOST));
    usize::from(asked.unwrap_or_else(seen))
}
