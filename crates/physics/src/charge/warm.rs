//! How warm the winding gets.

/// A winding in balance with its heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warm {
    /// Temperature [K].
    pub kelvin: f64,
    /// Heat at it [W].
    pub heat_w: f64,
}

/// Why there is no balance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TooHot<E> {
    /// The heat could not be worked out.
    #[error(transparent)]
    Heat(#[from] E),
    /// It warms past the melting of any insulation: its heat grows with its own resistance faster than it is carried off.
    #[error("no balance below {MOST_K} K")]
    Runaway,
}

/// Warmer than this no winding is [K] (own choice): solder runs at 456 K, the best enamels char below 600 K.
const MOST_K: f64 = 700.0;
/// How near the balance is found [K] (own choice).
const NEAR_K: f64 = 0.05;
/// Tries \[1\] (own choice).
const MOST: usize = 30;

/// The temperature T [K] at which the heat is carried off: T = surroundings + thermal resistance × heat(T). `heat` gives the heat of copper [W] at a temperature [K].
///
/// Found by Steffensen's way from the surroundings on. Steady heat; iron losses are in it only where the thermal resistance was measured with them.
///
/// # Errors
/// [`TooHot`].
pub fn warm<E>(surroundings_k: f64, k_per_w: f64, mut heat: impl FnMut(f64) -> Result<f64, E>) -> Result<Warm, TooHot<E>> {
    let mut at = surroundings_k;
    for _ in 0..MOST {
        let heat_w = heat(at)?;
        let next = surroundings_k + k_per_w * heat_w;
        if (next - at).abs() < NEAR_K {
            return Ok(Warm { kelvin: next, heat_w });
        }
        let after = surroundings_k + k_per_w * heat(next.min(MOST_K))?;
        let bend = after - 2.0 * next + at;
        let guess = if bend.abs() > f64::EPSILON * at { at - (next - at).powi(2) / bend } else { after };
        // A slope of one or more: every kelvin more makes more than a kelvin's worth of heat.
        if !(guess.is_finite() && guess >= surroundings_k && after <= MOST_K && guess <= MOST_K) {
            return Err(TooHot::Runaway);
        }
        at = guess;
    }
    Err(TooHot::Runaway)
}
