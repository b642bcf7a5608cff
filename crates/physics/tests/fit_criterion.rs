//! The small-sample criterion against a general-purpose library, and where it is not defined.

use physics::{fit::*, law::Trend};
use std::f64::consts::TAU;

/// Standard uncertainty of a reading [rad].
const READ_U: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// By how much Tukey's loss, which stands in place of half the square, is less for eight residuals of at most 0.8 standard uncertainties: z⁴/(2 · 4.685²) each, 0.045
/// in all.
const TUKEYS: f64 = 0.06;

/// One fixed advance fitted to the first `n` of eight readings of it.
fn fixed(n: usize) -> LawFit {
    let degrees: [f64; 8] = [10.2, 9.7, 10.4, 9.9, 10.1, 9.6, 10.3, 9.8];
    let reading = |(a, k): (&f64, i32)| AdvanceReading {
        speed_rad_s: TAU / 60.0 * 500.0 * f64::from(k),
        speed_u: 0.0,
        advance_rad: a.to_radians(),
        advance_u: READ_U,
        pickup: Some(0),
        trend: Trend::Held,
    };
    let readings: Vec<_> = degrees.iter().zip(1..).map(reading).collect();
    let family = Family { shape: Shape::Fixed, places: vec![0.0], free: vec![false], pickups: vec![None] };
    let speeds = (readings[0].speed_rad_s, readings[7].speed_rad_s);
    let priors = Priors { lead: None, arc: None, speeds, place_u: f64::INFINITY };
    fit_law(&family, &readings[..n], &priors).expect("a mean")
}

#[test]
fn the_criterion_is_that_of_statsmodels() {
    // statsmodels 0.15.0, tools.eval_measures.aicc(llf, 8, 1), llf summed up from SciPy 1.17.1's norm.logpdf(advance, 10, 0.5); less −2 llf of residuals of
    // nothing, which all laws share: 8.679 328 308 − 3.612 661 642.
    const THEIRS: f64 = 5.066_666_667;
    let ours = fixed(8).aicc(1.0).expect("eight readings, one parameter");
    assert!((ours - THEIRS).abs() < TUKEYS, "{ours}");
}

#[test]
fn too_few_readings_say_nothing() {
    // Not defined for n ≤ k + 1: Hurvich & Tsai, Biometrika 76 (1989) 297-307 (from memory; the denominator is n − k − 1).
    assert_eq!(fixed(2).aicc(1.0), None);
    assert!(fixed(3).aicc(1.0).is_some());
    assert_eq!(akaike_shares(&[fixed(2)]), [0.0], "no share, not an even one");
}
