//! Propagation of uncertainty against a published example.

use quantity::{Value, propagate};

/// JCGM 100:2008 (GUM), annex H.2: simultaneous resistance and reactance measurement. Five sets of V [V], I [A] and φ [rad]
/// (data from memory; results computed independently with numpy 2.4.6 and in agreement with the published ones).
const V: [f64; 5] = [5.007, 4.994, 5.005, 4.990, 4.999];
const I: [f64; 5] = [0.019663, 0.019639, 0.019640, 0.019685, 0.019678];
const PHI: [f64; 5] = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

/// The independent results carry ten figures; six of them are asked for, since the inputs' spread is a difference of near numbers.
const SIX_FIGURES: f64 = 1e-6;

fn mean(x: &[f64; 5]) -> f64 {
    x.iter().sum::<f64>() / 5.0
}

/// Covariance of two means, s(x̄, ȳ) = Σ (x − x̄)(y − ȳ)/(n (n − 1)) (GUM equation 17).
fn covariance(x: &[f64; 5], y: &[f64; 5]) -> f64 {
    let (mx, my) = (mean(x), mean(y));
    x.iter().zip(y).map(|(a, b)| (a - mx) * (b - my)).sum::<f64>() / 20.0
}

#[test]
fn correlated_inputs_of_gum_h2() {
    let (v, i, phi) = (mean(&V), mean(&I), mean(&PHI));
    let data = [&V, &I, &PHI];
    let u = data.map(|x| covariance(x, x).sqrt());
    let correlation = |a: usize, b: usize| covariance(data[a], data[b]) / (u[a] * u[b]);
    let z = v / i;
    let slopes_r = [phi.cos() / i, -z * phi.cos() / i, -z * phi.sin()];
    let slopes_x = [phi.sin() / i, -z * phi.sin() / i, z * phi.cos()];
    let slopes_z = [1.0 / i, -z / i, 0.0];
    for (slopes, expected) in [(slopes_r, 0.0710714074), (slopes_x, 0.2955816774), (slopes_z, 0.2363361301)] {
        let found = propagate(&slopes, &u, correlation);
        assert!((found / expected - 1.0).abs() < SIX_FIGURES, "{found} for {expected}");
    }
}

#[test]
fn operators_agree_with_the_general_law() {
    let a = Value { si: 5.0, standard_uncertainty_si: 0.2 };
    let b = Value { si: -3.0, standard_uncertainty_si: 0.1 };
    let u = [0.2, 0.1];
    let none = |_, _| 0.0;
    /// The same sum of squares, rounded in another order.
    const ROUNDING: f64 = 1e-15;
    for (found, slopes) in [(a + b, [1.0, 1.0]), (a - b, [1.0, -1.0]), (a * b, [-3.0, 5.0]), (a / b, [-1.0 / 3.0, -5.0 / 9.0])] {
        assert!((found.standard_uncertainty_si - propagate(&slopes, &u, none)).abs() < ROUNDING);
    }
    assert_eq!(a.scale(-2.0), Value { si: -10.0, standard_uncertainty_si: 0.4 });
}
