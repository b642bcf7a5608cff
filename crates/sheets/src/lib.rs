//! Words, drawings and charts, printed sheets. Every picture is drawn once, here, for page, paper and terminal alike.
//!
//! - [`scene`]: a drawing in millimetres and its renderers, SVG and PDF.
//! - [`chart`]: line charts, and the three that the studies need.
//! - [`rotor`]: the trigger rotor, drawn true.

pub mod font;
pub mod scene;
