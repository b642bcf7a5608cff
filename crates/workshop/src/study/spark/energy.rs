//! The spark itself: how long it burns, and where the energy goes.

use super::{Finding, Model, margin::Margins};
use physics::spark::{Burned, Spark, burned, spark};
use rayon::prelude::*;

/// One spark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnergyAt {
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// As computed from the values as given.
    pub spark: Spark,
    /// Energy into the gap [J], with the ± of what is stored, of the voltage needed and of that it burns at.
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
            // The three that it rests on: what the store holds or the coil carries, the voltage that breaks the gap down, the voltage it burns at.
            let given = [at.filled, at.needed.volts, model.burning_v];
            let with = |x: [f64; 3]| {
                let circuit = if x[0] == at.filled.si { circuit } else { model.circuit(x[0], model.supply(at.kicked)) };
                burned(&circuit, x[1], x[2])
            };
            let values = given.map(|f| f.si);
            let as_given = spark(&circuit, values[1], values[2]);
            let moved = [0, 1, 2].map(|k| {
                [1.0, -1.0].map(|sign| {
                    let mut x = values;
                    x[k] = (x[k] + sign * given[k].plus_minus_si).max(0.1 * x[k]);
                    with(x)
                })
            });
            let half = |of: &dyn Fn(&Burned) -> f64| {
                moved.iter().map(|[up, down]| (0.5 * (of(up) - of(down))).powi(2)).sum::<f64>().sqrt()
            };
            EnergyAt {
                speed_rad_s: at.speed_rad_s,
                spark: as_given,
                gap: Finding { si: as_given.books.gap_j, plus_minus_si: half(&|s| s.gap_j) },
                burns: Finding { si: as_given.burns_s, plus_minus_si: half(&|s| s.burns_s) },
            }
        })
        .collect()
}
