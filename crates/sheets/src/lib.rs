//! Words, drawings and charts, printed sheets. Every picture is drawn once, here, for page, paper and terminal alike.
//!
//! - [`scene`]: a drawing in millimetres and its renderers, SVG and PDF.
//! - [`chart`]: line charts, and the three that the studies need.
//! - [`rotor`]: the trigger rotor, drawn true.
//! - [`words`]: every sentence for people. [`report`]: studies as text for a terminal.

pub mod chart;
pub mod font;
pub mod report;
pub mod rotor;
pub mod scene;
pub mod words;
