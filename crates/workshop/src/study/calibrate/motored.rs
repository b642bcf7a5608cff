//! Torque of the gas with the ignition cut.

use crate::study::model::EngineModel;
use physics::interp::MonotoneCubic;

/// Openings at which it is computed, as multiples of the one at the stop \[1\] (own choice): the readings leave it less open than that.
const OPENINGS: [f64; 3] = [0.5, 1.0, 2.0];
const SPEEDS: usize = 8;

/// Mean torque [N·m] of the whole engine turned without fire, throttle near its stop: gas is drawn past the throttle, squeezed and let go, and
/// what that takes is the same cycle's work as when it burns. It hardly depends on the flame (not at all) and little on volumes
/// and valve timing, so those of the file stand.
pub struct Motored {
    ln_opening: [f64; 3],
    by_speed: [MonotoneCubic; 3],
}

impl Motored {
    /// Between two crank speeds [rad/s] about an opening [m²]. `None` for an engine that cannot tell.
    pub fn new(model: &EngineModel, (least, most): (f64, f64), opening_m2: f64) -> Option<Self> {
        let ratio = (most / least).powf(1.0 / (SPEEDS - 1) as f64);
        let line = |opening: f64| {
            let at: [(f64, f64); SPEEDS] = std::array::from_fn(|i| (least * ratio.powi(i as i32), opening));
            let torque = model.cycle().motored_nm(&at)?;
            let points: Vec<(f64, f64)> = at.iter().zip(torque).map(|((speed, _), t)| (*speed, t)).collect();
            MonotoneCubic::new(&points).ok()
        };
        let [a, b, c] = OPENINGS.map(|share| share * opening_m2);
        Some(Self { ln_opening: [a, b, c].map(f64::ln), by_speed: [line(a)?, line(b)?, line(c)?] })
    }

    /// The torque at a speed [rad/s] and an opening [m²]: a parabola over the logarithm of the opening, the ends holding beyond them.
    pub fn torque_nm(&self, speed_rad_s: f64, opening_m2: f64) -> f64 {
        let [low, middle, high] = self.ln_opening;
        let x = opening_m2.ln().clamp(low, high);
        let [a, b, c] = [0, 1, 2].map(|i| self.by_speed[i].value(speed_rad_s));
        a * (x - middle) * (x - high) / ((low - middle) * (low - high))
            + b * (x - low) * (x - high) / ((middle - low) * (middle - high))
            + c * (x - low) * (x - middle) / ((high - low) * (high - middle))
    }
}
