//! A lead-acid battery: rest volts, capacity against current and temperature, what it takes.

/// Rest volts of one flooded cell [V] at states of charge of 0, 25, 50, 75 and 100 %: a sixth of the 12 V table of its source: Battery Council International
/// (11.89, 12.06, 12.24, 12.45, 12.65 V at 26.7 °C; other published tables differ by up to 0.05 V).
const CELL_V: [f64; 5] = [11.89 / 6.0, 12.06 / 6.0, 12.24 / 6.0, 12.45 / 6.0, 12.65 / 6.0];

/// By how much published tables differ from this one, each way, for one cell [V] (Source: battery makers' tables beside that of the Battery Council International, from
/// memory): 0.05 V at 12 V.
pub const TABLE_BY_V: f64 = 0.05 / 6.0;

/// Rest volts of `cells` cells [V] at a state of charge \[1\], straight between the table's points. Sealed batteries read higher.
///
/// Source: table of the Battery Council International, page read.
pub fn rest_volts(cells: f64, charge: f64) -> f64 {
    let place = charge.clamp(0.0, 1.0) * 4.0;
    let k = (place as usize).min(3);
    cells * (CELL_V[k] + (place - k as f64) * (CELL_V[k + 1] - CELL_V[k]))
}

/// State of charge \[1\] that a battery shows at rest, 0 to 1.
pub fn charge_of(cells: f64, volts: f64) -> f64 {
    let v = volts / cells;
    let k = (0..4).find(|&k| v < CELL_V[k + 1]).unwrap_or(3);
    ((k as f64 + (v - CELL_V[k]) / (CELL_V[k + 1] - CELL_V[k])) / 4.0).clamp(0.0, 1.0)
}

/// How much the state of charge changes for each volt at rest [1/V], by the stretch of the table that the volts lie in; past its ends as at them, so that a battery that shows
/// full or empty has a ± too.
pub fn charge_per_volt(cells: f64, volts: f64) -> f64 {
    let v = volts / cells;
    let k = (0..4).find(|&k| v < CELL_V[k + 1]).unwrap_or(3);
    0.25 / (cells * (CELL_V[k + 1] - CELL_V[k]))
}

/// Current at the rated time that empties a battery as fast as `current_a` [A]: by it the charge is counted down.
///
/// Peukert: t = H (C/(I H))^k, with C the capacity [C] that lasts H seconds. So the charge goes as if I (I H/C)^(k−1) flowed. Currents below the rated one
/// count as they are, because nothing shows that a battery gives more than its rating.
///
/// Source: Peukert, Elektrotechnische Zeitschrift 20 (1897) 287, in the form with the rated time.
///
/// # Example
/// ```
/// // 100 A·h at 20 h and k = 1.2: 20 A last 20 (100/(20·20))^1.2 = 3.789 h, not 5.
/// let as_if = physics::battery::peukert_current(20.0, 100.0 * 3600.0, 20.0 * 3600.0, 1.2);
/// assert!((100.0 / as_if - 3.7892914).abs() < 1e-6);
/// ```
pub fn peukert_current(current_a: f64, capacity_c: f64, rated_s: f64, exponent: f64) -> f64 {
    let rated_a = capacity_c / rated_s;
    if current_a <= rated_a { current_a } else { current_a * (current_a / rated_a).powf(exponent - 1.0) }
}

/// Share of the rated capacity at a temperature [K] \[1\]: it falls by `per_k` for each kelvin below 25 °C, and is not counted above.
pub fn at_temperature(kelvin: f64, per_k: f64) -> f64 {
    /// Temperature of ratings [K]: 25 °C (IEC 60095-1:2018, from memory).
    const RATED_K: f64 = 298.15;
    (1.0 - per_k * (RATED_K - kelvin).max(0.0)).clamp(0.0, 1.0)
}

/// Most current that it takes at the regulator's volts [A]: `share` of its capacity in an hour up to `bulk` of its charge, from there on falling straight to nothing when full.
pub fn accepts(capacity_c: f64, charge: f64, share: f64, bulk: f64) -> f64 {
    /// An hour [s], by definition.
    const HOUR_S: f64 = 3600.0;
    share * capacity_c / HOUR_S * ((1.0 - charge) / (1.0 - bulk)).clamp(0.0, 1.0)
}
