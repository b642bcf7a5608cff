//! Headings and rows of the terminal report.

use workshop::machine::{SeenFrom, Turns};

/// Heading.
pub const CURVE: &str = "Curve";
/// Heading.
pub const IDLE: &str = "Idle";
/// Heading.
pub const TRIM: &str = "Trim of the segment";
/// Before the reversible ways.
pub const FIRST: &str = "First, what can be undone:";
/// Column.
pub const ON_RIM: &str = "on the rim";
/// Column.
pub const ON_PISTON: &str = "on the piston";
/// Column.
pub const CUT: &str = "Cut";
/// Column.
pub const PER_CENT_AIR: &str = "1 % air";
/// Row.
pub const RESIDUAL: &str = "Burned gas left in the charge";
/// Row.
pub const HALF_BURNED: &str = "Half burned, after TDC";
/// Row.
pub const BEST_ADVANCE: &str = "Advance for best torque at idle";
/// Row.
pub const PEAK_PRESSURE: &str = "Peak pressure at idle";
/// Row.
pub const RUNNER_PRESSURE: &str = "Mean pressure behind the throttle";

/// A pressure [Pa] in bar.
pub fn bar(pa: f64) -> String {
    format!("{}\u{a0}bar", crate::words::number(pa * 1e-5, 1))
}

/// Before the fitted figures of a cylinder.
pub fn fitted(cylinder: &str, law: &str) -> String {
    if cylinder.is_empty() {
        format!("Fitted to the readings: {law}.")
    } else {
        format!("Cylinder “{cylinder}”, fitted to the readings: {law}.")
    }
}

/// Which end is the trailing one.
pub fn which_end(turns: Turns, from: SeenFrom) -> String {
    format!(
        "The rotor turns {}, seen from the {}. The trailing end is the one that passes the pickup last. Print the sheet for the drawing and the template.",
        super::label::turns(turns),
        super::label::side(from)
    )
}

/// Columns that had no room.
pub fn left_out(columns: &[&str]) -> String {
    format!("(No room for: {}. Widen the window.)", columns.join(", "))
}

/// Above the figures of one cylinder.
pub fn of_cylinder(cylinder: &str) -> String {
    format!("Cylinder “{cylinder}”:")
}
