//! What a recording of an ignition or of an exhaust tells: blocks of samples in, events and tracks out.
//!
//! Each of two channels goes through an [`Ear`], which may be fed block by block and holds no more than a fraction of a second of samples.
//! [`marks`] picks the passes of one mark out of the lobes of the one, [`Phase`] gives the angle at any time, [`pair`] sets every spark of
//! the other against it. A single channel of exhaust sound goes through [`exhaust::ExhaustEar`].
//!
//! Times are seconds from the first sample. Heights are in the unit of the samples.

mod baseline;
mod ear;
pub mod exhaust;
mod hum;
mod interpolate;
mod likeness;
mod lobes;
mod marks;
mod onsets;
mod pairing;
mod phase;

pub use baseline::Level;
pub use ear::{Ear, Heard, MOST_EVENTS};
pub use lobes::Lobe;
pub use marks::{Mark, MarkKind, Marks, NoMarks, kind, marks};
pub use onsets::Onset;
pub use pairing::{Firing, Paired, Places, Rhythm, pair};
pub use phase::{Phase, Standing};
