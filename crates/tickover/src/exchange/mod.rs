//! Taking data out of the job book and in: each format in a file of its own.
//!
//! What comes in is judged whole: every defect is told, and nothing is kept unless all of it can be.

pub mod everything;
pub mod job_file;
pub mod netlist;
pub mod new_file;
pub mod readings;
pub mod recording;
pub mod shelf;
pub mod shelf_file;
mod when;
pub mod write_up;

/// The first sign in a text that is not to be seen, or that turns the direction of what follows (Unicode Standard Annex 9): on a
/// terminal or a page it could show something else than what is kept.
pub(crate) fn hidden_sign(text: &str) -> Option<u32> {
    let hidden = |c: &char| {
        (c.is_control() && !matches!(c, '\n' | '\r' | '\t')) || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().find(hidden).map(u32::from)
}
