//! Words, drawings and charts, printed sheets. Every picture is drawn once, here, for page, paper and terminal alike.
//!
//! - [`scene`]: a drawing in millimetres and its renderers, SVG and PDF.
//! - [`chart`]: line charts, and the three that the studies need.
//! - [`rotor`]: the trigger rotor, drawn true. [`template`]: its rim at true size.
//! - [`beside`]: what to look at beside a test.
//! - [`qr`]: an address as a code to point a phone at.
//! - [`words`]: every sentence for people. [`report`]: studies as text for a terminal.
//! - [`sheet`]: the printed sheet to work from. [`job`]: the printed papers of a job.

pub mod beside;
pub mod chart;
mod flow;
pub mod font;
pub mod job;
pub mod part;
mod probes;
pub mod qr;
pub mod report;
pub mod rotor;
pub mod scene;
pub mod sheet;
pub mod template;
pub mod wiring;

pub mod words;
