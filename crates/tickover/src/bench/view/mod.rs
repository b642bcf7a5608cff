//! What the pages look like.

pub mod alter;
pub mod card;
pub mod exchange;
pub mod fault;
pub mod file;
pub mod hand_over;
pub mod job;
pub mod jobs;
pub mod judge;
pub mod lighten;
pub mod list;
pub mod measure;
pub mod pair;
pub mod parts;
pub mod question;
pub mod recording;
pub mod sheet;
