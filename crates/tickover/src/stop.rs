//! How a command ends, and the codes that it ends with.

use std::{fmt, process::ExitCode};

/// Why a command stopped short of its answer.
#[derive(Debug)]
pub enum Stop {
    /// Something unexpected, told in a sentence.
    Unexpected(anyhow::Error),
    /// The machine file has defects; they were printed.
    Defects,
    /// The study does not cover this machine; the reason was printed.
    NotCovered,
    /// Ctrl-C.
    Interrupted,
    /// The reader of the pipe has seen enough (`| head`): an end like any other.
    ReaderGone,
}

impl Stop {
    /// The code for the shell, as the help prints them.
    pub fn code(&self) -> u8 {
        match self {
            Stop::ReaderGone => 0,
            Stop::Unexpected(_) => 1,
            // 2 is clap's, for a command that was not understood.
            Stop::Defects => 3,
            Stop::NotCovered => 4,
            // 128 + SIGINT, as POSIX shells report it.
            Stop::Interrupted => 130,
        }
    }

    /// The same for `main`.
    pub fn exit_code(&self) -> ExitCode {
        ExitCode::from(self.code())
    }
}

impl fmt::Display for Stop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Stop::Unexpected(why) => write!(f, "{why:#}"),
            Stop::Interrupted => f.write_str(sheets::words::INTERRUPTED),
            Stop::Defects | Stop::NotCovered | Stop::ReaderGone => Ok(()),
        }
    }
}

impl<E: Into<anyhow::Error>> From<E> for Stop {
    fn from(e: E) -> Self {
        let e = e.into();
        match e.downcast_ref::<std::io::Error>() {
            Some(io) if io.kind() == std::io::ErrorKind::BrokenPipe => Stop::ReaderGone,
            _ => Stop::Unexpected(e),
        }
    }
}
