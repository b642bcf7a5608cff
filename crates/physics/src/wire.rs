//! Wires: what resistance their section has, what drops over them, how warm they get.

use crate::copper;

/// Sections of flexible conductors, class 5, plain copper [mm²], and their greatest resistance at 20 °C [Ω/km] (IEC 60228:2004 table 3, pages read).
pub const CLASS_5: [(f64, f64); 8] =
    [(0.5, 39.0), (0.75, 26.0), (1.0, 19.5), (1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.3), (10.0, 1.91)];

/// The same of solid and stranded conductors, classes 1 and 2 [mm²], [Ω/km] (IEC 60228:2004 tables 1 and 2, pages read).
pub const CLASS_2: [(f64, f64); 8] =
    [(0.5, 36.0), (0.75, 24.5), (1.0, 18.1), (1.5, 12.1), (2.5, 7.41), (4.0, 4.61), (6.0, 3.08), (10.0, 1.83)];

/// Square metres in a square millimetre [m²/mm²], exact.
const MM2: f64 = 1e-6;
/// Metres in a kilometre [m], exact.
const KM: f64 = 1e3;

/// Greatest resistance of a metre of flexible wire (class 5) at 20 °C [Ω/m].
///
/// A section of the standard has the table's value; one between takes the nearest smaller one's excess over 1/58 Ω·mm²/m, and below or above the table the first or last one's.
///
/// Source: IEC 60228:2004 table 3.
pub fn flexible_ohm_per_m(section_m2: f64) -> f64 {
    let mm2 = section_m2 / MM2;
    // A hair below a size of the table is that size.
    let k = CLASS_5.iter().rposition(|(size, _)| *size <= mm2 * (1.0 + 1e-9)).unwrap_or(0);
    let (size, ohm_km) = CLASS_5[k];
    ohm_km / KM * size / mm2
}

/// Diameter of a wire by its American gauge number [m]: 0.005 in · 92^((36−n)/39).
///
/// Source: ASTM B258.
pub fn awg_diameter_m(gauge: f64) -> f64 {
    /// The 36th gauge [m]: 0.005 in, exact.
    const GAUGE_36_M: f64 = 0.127e-3;
    GAUGE_36_M * 92f64.powf((36.0 - gauge) / 39.0)
}

/// Section of a wire by its American gauge number [m²].
pub fn awg_section_m2(gauge: f64) -> f64 {
    0.25 * std::f64::consts::PI * awg_diameter_m(gauge).powi(2)
}

/// Resistance of a metre of solid copper of this section at 20 °C [Ω/m], by IEC 60028.
pub fn solid_ohm_per_m(section_m2: f64) -> f64 {
    copper::RESISTIVITY_20_OHM_M / section_m2
}

/// Volts that drop over a wire [V]: current [A], resistance of a metre at 20 °C [Ω/m], length there and back [m], temperature [K].
///
/// # Example
/// ```
/// use physics::wire::{drop_v, flexible_ohm_per_m};
/// // 10 A through 2 m of 1.5 mm², out and back, at 60 °C.
/// assert!((drop_v(10.0, flexible_ohm_per_m(1.5e-6), 4.0, 333.15) - 0.6156149312).abs() < 1e-9);
/// ```
pub fn drop_v(current_a: f64, ohm_per_m: f64, length_m: f64, kelvin: f64) -> f64 {
    current_a * ohm_per_m * length_m * copper::ratio(copper::COLD_K, kelvin)
}

/// How much warmer than its surroundings a wire gets that carries a steady current [K]; not a number where its own rise of resistance outruns the cooling.
///
/// I² r(T) = h π d (T − T₀): heat of a metre over what its skin gives off. With r = r₂₀(1 + α(T − 20 °C)) that is a straight equation in T.
///
/// `skin_diameter_m` is that over the insulation, `skin_w_m2_k` what a square metre of it gives off for each kelvin [W/(m²·K)]; the drop within the insulation is left out.
pub fn rise_k(current_a: f64, ohm_per_m: f64, surroundings_k: f64, skin_diameter_m: f64, skin_w_m2_k: f64) -> f64 {
    let at = current_a * current_a * ohm_per_m * copper::ratio(copper::COLD_K, surroundings_k);
    let a_kelvin_more = copper::ratio(surroundings_k, surroundings_k + 1.0) - 1.0;
    let carried = skin_w_m2_k * std::f64::consts::PI * skin_diameter_m;
    let left = carried - at * a_kelvin_more;
    if left > 0.0 { at / left } else { f64::NAN }
}

/// Current [A] at which a wire gets warmer than its surroundings by `rise` [K]; the reverse of [`rise_k`].
pub fn current_for_rise(rise: f64, ohm_per_m: f64, surroundings_k: f64, skin_diameter_m: f64, skin_w_m2_k: f64) -> f64 {
    let hot = ohm_per_m * copper::ratio(copper::COLD_K, surroundings_k + rise);
    (skin_w_m2_k * std::f64::consts::PI * skin_diameter_m * rise / hot).sqrt()
}
