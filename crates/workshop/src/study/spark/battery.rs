//! The lowest battery volts that still fire at the kick.

use super::{Finding, Model, margin::Margins};

/// Halvings of the search [1] (own choice): to less than a hundredth of a volt.
const HALVINGS: usize = 24;
/// Highest volts looked at, over those of the kick [1] (own choice).
const HIGHEST: f64 = 2.0;
/// Lowest volts within this of the converter's stop are that stop [V] (own choice).
const NEAR_STOP_V: f64 = 0.05;

/// Lowest volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lowest {
    /// Battery volts at the ignition at which the margin is one, and how far the margin's ± moves them [V]; `None` where even twice the volts do not fire.
    pub volts: Option<Finding>,
    /// Volts at the kick as found [V].
    pub kicking_v: f64,
    /// Volts below which the converter stops [V]; nought for other kinds.
    pub stops_v: f64,
}

/// Looks for it; `None` without a battery.
pub fn lowest(model: &Model, margins: &Margins) -> Option<Lowest> {
    if !model.kind.on_battery() {
        return None;
    }
    let at = margins.points.first()?;
    let kicking_v = model.supply(true);
    let reaches = |volts: f64| model.pulse(at.speed_rad_s, volts).peak_v;
    // Volts at which the pulse reaches some voltage at the plug; more volts never give less.
    let search = |needed: f64| {
        let (mut low, mut high) = (0.0, HIGHEST * kicking_v);
        if reaches(high) < needed {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if reaches(middle) < needed { low = middle } else { high = middle }
        }
        Some(high)
    };
    let share = if at.margin.si > 0.0 { at.margin.plus_minus_si / at.margin.si } else { 0.0 };
    let needed = at.needed.volts.si;
    let volts = search(needed).map(|si| {
        let more = search(needed * (1.0 + share)).unwrap_or(HIGHEST * kicking_v) - si;
        let less = si - search(needed * (1.0 - share).max(0.0)).unwrap_or(si);
        // Where the converter stops is what limits it, that has a ± of its own.
        let stops = if (si - model.stops_v).abs() < NEAR_STOP_V { model.stops_by_v } else { 0.0 };
        Finding { si, plus_minus_si: more.max(less).max(stops) }
    });
    Some(Lowest { volts, kicking_v, stops_v: model.stops_v })
}
