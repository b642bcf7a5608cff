//! The job book: one SQLite file with the machines, every revision of each, and the torque surfaces already computed.
//!
//! This is the only room that knows SQL. It stores text and bytes that it is handed and does not look inside them;
//! it has no clock, so every time is given by the caller.
//!
//! ```
//! let mut book = jobbook::Book::in_memory()?;
//! let machine = jobbook::Kept { name: "Corran 360", text: "format = 1", note: "first readings", at: jobbook::UnixSeconds(0) };
//! book.add("corran-360", &machine)?;
//! assert_eq!(book.machine("corran-360")?.newest.number, 1);
//! # Ok::<(), jobbook::BookError>(())
//! ```

mod book;
mod devices;
mod error;
mod machines;
mod schema;
mod surfaces;

pub use book::{Book, Opened};
pub use devices::Device;
pub use error::BookError;
pub use machines::{Kept, MachineRecord, Revision};
pub use schema::VERSION;

/// Seconds since 1970-01-01 00:00 UTC, as the caller's clock has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct UnixSeconds(pub i64);
