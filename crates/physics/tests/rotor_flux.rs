//! Flux of a magnet rotor, against outside values.

mod outside;

use outside::{RELATIVE, close, near, table};
use physics::rotor::flux::{MU_0, NoLoad, Poles, RATED_K, Square, left};
use std::f64::consts::TAU;

#[test]
fn harmonics_of_the_poles_are_those_of_a_wave_added_up() {
    /// The reference takes 65 536 places; its corners fall between them.
    const SAMPLED: f64 = 1e-5;
    let text = include_str!("../../../reference/rotor/poles.csv");
    let cases: Vec<&str> =
        text.lines().filter(|l| !l.starts_with('#')).skip(1).map(|l| l.rsplitn(6, ',').last().unwrap()).collect();
    let rows: Vec<Vec<f64>> = text
        .lines()
        .filter(|l| !l.starts_with('#'))
        .skip(1)
        .map(|l| l.rsplitn(6, ',').take(5).map(|n| n.parse().unwrap()).collect())
        .collect();
    assert_eq!(rows.len(), 36);
    for (case, r) in cases.iter().zip(&rows) {
        // rsplitn gives them backwards: amplitude, tooth, pole, harmonic, poles.
        let n = r[4] as usize;
        let mut strength = vec![1.0; n];
        let at = |i: usize, sense: f64| (TAU * i as f64 / n as f64, sense);
        let coils = match *case {
            "one weak, one coil" | "one reversed, one coil" => vec![at(0, 1.0)],
            "one reversed, three coils" => vec![at(0, 1.0), at(1, -1.0), at(2, 1.0)],
            "one reversed, eight poles" => vec![at(0, 1.0), at(4, 1.0)],
            _ => Poles::full_ring(n),
        };
        match *case {
            c if c.contains("weak") => strength[0] = 0.7,
            "one reversed, eight poles" => strength[1] = -1.0,
            c if c.contains("reversed") => strength[2] = -1.0,
            _ => {}
        }
        let poles = Poles { strength, pole_arc_rad: r[2], tooth_arc_rad: r[1], coils };
        let (re, im) = poles.harmonic(r[3] as usize);
        near(re.hypot(im), r[0], SAMPLED * 10.0);
    }
}

#[test]
fn what_a_meter_shows_of_one_faulty_pole() {
    /// Harmonics beyond the sixty-fourth per pole are left out, and corners fall between the reference's places.
    const CUT_OFF: f64 = 2e-3;
    let rows = table(include_str!("../../../reference/rotor/meter.csv"));
    assert_eq!(rows.len(), 6);
    for r in rows {
        let (n, teeth, coils) = (r[0] as usize, r[1] as usize, r[2] as usize);
        let strength = std::iter::once(r[3]).chain(std::iter::repeat_n(1.0, n - 1)).collect();
        let poles = Poles { strength, pole_arc_rad: r[4], tooth_arc_rad: r[4], coils: Poles::in_series(coils, teeth, n) };
        close(poles.meter_beside_sound(64 * n).unwrap(), r[5], CUT_OFF);
        // Eight harmonics a pole, as the study takes, are as good for a share.
        close(poles.meter_beside_sound(8 * n).unwrap(), r[5], 5.0 * CUT_OFF);
    }
}

/// Y30 hard ferrite: 380 mT, 199 kA/m (a maker's table); −0.20 and +0.27 %/K (IEC 60404-8-1 as a maker's page prints it). Rare earth with the midst of a
/// maker's range, −0.11 and −0.60 %/K. The curve is solved by SciPy in `reference/rotor`.
#[test]
fn ferrite_is_lost_cold_and_rare_earth_hot() {
    for r in table(include_str!("../../../reference/rotor/recoil.csv")) {
        let m = Square {
            remanence_t: r[0],
            coercivity_a_m: r[1],
            knee_share: r[2],
            recoil: r[3],
            alpha_per_k: r[4],
            beta_per_k: r[5],
        };
        let w = m.working(r[6], r[7], r[8]).unwrap();
        close(w.field_a_m, r[9], RELATIVE);
        near(w.lost, r[10], RELATIVE);
        assert_eq!(w.lost > 0.0, w.field_a_m > w.knee_a_m);
    }
    let ferrite = Square {
        remanence_t: 0.38,
        coercivity_a_m: 199e3,
        knee_share: 0.9,
        recoil: 1.1,
        alpha_per_k: -0.002,
        beta_per_k: 0.0027,
    };
    // Open load line, H = −B_r/(μ₀(P + μ_r)).
    close(ferrite.working(RATED_K, 2.0, 0.0).unwrap().field_a_m, 0.38 / (MU_0 * 3.1), RELATIVE);
    let lost = |c: f64| ferrite.working(RATED_K + c, 1.0, 0.0).unwrap().lost;
    assert!(lost(-70.0) > lost(-60.0) && lost(-60.0) > 0.0 && lost(-40.0) == 0.0 && lost(60.0) == 0.0);
    assert_eq!(ferrite.working(900.0, 1.0, 0.0), None, "no remanence is left");
    assert_eq!(ferrite.working(f64::NAN, 1.0, 0.0), None);
}

#[test]
fn volts_say_what_flux_is_left() {
    let at =
        |volts: f64, rpm: f64, celsius: f64| NoLoad { volts, speed_rad_s: rpm * TAU / 60.0, temperature_k: celsius + 273.15 };
    close(left(at(20.0, 1000.0, 20.0), at(50.0, 2000.0, 20.0), -0.002).unwrap(), 0.8, RELATIVE);
    // The same rotor warm gives fewer volts, and has lost nothing.
    close(left(at(21.0, 1000.0, 100.0), at(25.0, 1000.0, 20.0), -0.002).unwrap(), 1.0, RELATIVE);
    assert_eq!(left(at(1.0, 0.0, 20.0), at(1.0, 1000.0, 20.0), 0.0), None);
    assert_eq!(left(at(1.0, 1000.0, 20.0), at(0.0, 1000.0, 20.0), 0.0), None);
}
