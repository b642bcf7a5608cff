//! Taking data out of the job book and in: each format in a file of its own.
//!
//! What comes in is judged whole: every defect is told, and nothing is kept unless all of it can be.

pub mod everything;
pub mod job_file;
pub mod new_file;
pub mod readings;
mod when;
pub mod write_up;
