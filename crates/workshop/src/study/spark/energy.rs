//! The spark itself: how long it burns, and where the energy goes.

use super::{Finding, Model, margin::Margins};
use physics::spark::{Spark, spark};
use rayon::prelude::*;

/// One spark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnergyAt {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// As computed, with the burning voltage as given.
    pub spark: Spark,
    /// Energy into the gap [J], with the ± of the burning voltage.
    pub gap: Finding,
    /// How long it burns [s], likewise.
    pub burns: Finding,
}

/// At the kick, in the middle and at the top.
pub fn study(model: &Model, margins: &Margins) -> Vec<EnergyAt> {
    let points = &margins.points;
    let Some(last) = points.len().checked_sub(1) else { return Vec::new() };
    [0, last / 2, last]
        .into_par_iter()
        .map(|k| {
            let at = &points[k];
            let circuit = model.circuit(at.filled.si, model.supply(at.kicked));
            let with = |burning: f64| spark(&circuit, at.needed.volts.si, burning);
            let b = model.burning_v;
            let (low, as_given, high) =
                (with((b.si - b.plus_minus_si).max(0.1 * b.si)), with(b.si), with(b.si + b.plus_minus_si));
            let half = |a: f64, b: f64| 0.5 * (a - b).abs();
            EnergyAt {
                speed_rad_s: at.speed_rad_s,
                spark: as_given,
                gap: Finding { si: as_given.books.gap_j, plus_minus_si: half(low.books.gap_j, high.books.gap_j) },
                burns: Finding { si: as_given.burns_s, plus_minus_si: half(low.burns_s, high.burns_s) },
            }
        })
        .collect()
}
