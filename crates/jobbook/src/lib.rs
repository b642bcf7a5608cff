//! The job book: one SQLite file with the machines, every revision of each, the jobs, and all that was ever noted on them.
//!
//! The book is a log. What is noted is an [`Entry`]; an entry is never changed or removed, a correction is a new entry
//! that takes the place of the old one, and the [`Present`] is what the log comes to. So what was found is never written
//! over by what was left, and any earlier state can be read.
//!
//! This is the only room that knows SQL. It has no clock, so every time is given by the caller, and it says nothing to
//! people: its errors are types.
//!
//! ```
//! use jobbook::{Book, Draft, Headline, Kept, Note, Place, Stamp, UnixSeconds};
//! let mut book = Book::in_memory()?;
//! let at = UnixSeconds(1_700_000_000);
//! book.add("corran-360", &Kept { name: "Corran 360", text: "format = 1", note: "first readings", at })?;
//!
//! let stamp = Stamp { who: "E.", at };
//! let complaint = "Hangs at 2500 when warm".to_owned();
//! let (job, _) = book.open_job("corran-360", stamp, Headline { complaint, ..Headline::default() }, None)?;
//! let note = Note { words: "air leak looked for, none".to_owned(), about: String::new() };
//! let written = book.append(Place::Job(job), stamp, &[Draft::new(note)])?;
//!
//! assert_eq!(book.job(job)?.number, "2023-0001");
//! assert_eq!(book.present(Place::Job(job))?.notes().count(), 1);
//! book.undo(written[0].id, stamp, None)?;
//! assert_eq!(book.present(Place::Job(job))?.notes().count(), 0);
//! # Ok::<(), jobbook::BookError>(())
//! ```

mod append;
mod backup;
mod blobs;
mod body;
mod book;
mod check;
mod devices;
mod entry;
mod error;
mod instants;
mod instruments;
mod jobs;
mod leftovers;
mod machines;
mod media;
mod present;
mod schema;
mod search;
mod surfaces;
mod take_in;
mod totals;

pub use append::{Appended, LONGEST_TOKEN};
pub use backup::{CopyStep, Restored};
pub use blobs::{Blob, ContentHash, MOST_BLOB_BYTES, Unproven};
pub use body::*;
pub use book::{Book, Opened};
pub use check::Tally;
pub use devices::Device;
pub use entry::{Draft, Entry, EntryId, JobId, Place, Stamp};
pub use error::BookError;
pub use instants::UnixSeconds;
pub use jobs::{Due, FinishedSearch, JobRecord, MachineLine};
pub use machines::{Kept, MachineRecord, Revision};
pub use media::{MOST_PIXELS, Media, MediaError};
pub use present::{Moment, Present, Standing};
pub use schema::VERSION;
pub use search::Found;
pub use take_in::Parcel;
pub use totals::{Cost, Totals};
