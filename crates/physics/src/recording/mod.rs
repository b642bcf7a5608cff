//! What a recording of an ignition or of an exhaust tells: blocks of samples in, events and tracks out.
//!
//! Each of two channels goes through an [`Ear`], which may be fed block by block and holds no more than a fraction of a second of samples.
//! [`MarkRow`] picks the passes of one mark out of the lobes of the one, [`Phase`] gives the angle at any time, [`Pairing`] sets every spark of
//! the other against it; both stretch by stretch, so that what is held does not grow with the recording. A single channel of exhaust sound goes through [`exhaust::ExhaustEar`].
//!
//! Times are seconds from the first sample. Heights are in the unit of the samples.

mod baseline;
mod ear;
pub mod exhaust;
mod firing;
mod hum;
mod interpolate;
mod likeness;
mod lobes;
mod marks;
mod middles;
mod onsets;
mod pairing;
mod phase;
mod pole;
mod row;

pub use baseline::Level;
pub use ear::{Ear, Heard};
pub use firing::{Firing, Rhythm, Stretch, Totals};
pub use lobes::Lobe;
pub use marks::{Mark, MarkKind, Marks, NoMarks, kind, marks};
pub use onsets::Onset;
pub use pairing::{Paired, Pairing, Places, pair};
pub use phase::{Phase, Standing};
pub use pole::gap_and_pole;
pub use row::MarkRow;
