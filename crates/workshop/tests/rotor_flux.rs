//! What volts and the grade say of the magnets' flux.

mod written;

use quantity::Dimension as D;
use workshop::{
    machine::{metal::MagnetMaterial, rotor::Grade, *},
    study::rotor::{flux, magnets::NotFound},
};
use written::{close, number, read};

/// Digits of a closed form, worked out in another order.
const RELATIVE: f64 = 1e-8;

/// Hard ferrite as IEC 60404-8-1 gives it, −0.20 %/K: 380 mT at 20 °C are 319.2 at 100 °C, so 16 % are missing; arithmetic.
#[test]
fn what_heat_takes_for_a_while_comes_back() {
    let hot = flux::regained(MagnetMaterial::Ferrite, &read("100 ± 10 °C", D::Temperature));
    close(hot.missing.si, 1.0 - 319.2 / 380.0, RELATIVE);
    // ± 0.02 %/K over 80 °C, and 10 °C of 0.20 %/K.
    close(hot.missing.plus_minus_si, 0.016f64.hypot(0.020), RELATIVE);
    let cold = flux::regained(MagnetMaterial::RareEarth, &read("-10 °C", D::Temperature));
    close(cold.missing.si, -0.03, RELATIVE);
}

#[test]
fn volts_tell_the_flux() {
    let at = |volts: &str, rpm: &str, t: &str| NoLoadRead {
        volts: read(volts, D::Voltage),
        speed: read(rpm, D::Speed),
        temperature: read(t, D::Temperature),
    };
    let flux = FluxRead { coils: None, now: at("42 ± 1 V", "3000 rpm", "20 °C"), recorded: at("50 V", "3000 rpm", "20 °C") };
    let found = flux::flux_left(Some(&flux), Some(MagnetMaterial::Ferrite)).unwrap();
    close(found.left.si, 0.84, RELATIVE);
    close(found.left.plus_minus_si, 0.02, 1e-6);
    assert!(found.lost);
    // Every coil of a full ring passes every pole: of six, one without flux takes a sixth of the volts and a reversed one two sixths. Arithmetic.
    let (machine, _) = workshop::machine::read(workshop::machine::EXAMPLES[0].1).unwrap();
    let mut ring = machine.rotor.unwrap().magnets.swap_remove(0);
    ring.count = 6;
    let [dead, reversed] = flux::one_pole(&found, &ring, None).unwrap();
    close(dead.leaves, 5.0 / 6.0, RELATIVE);
    close(reversed.leaves, 4.0 / 6.0, RELATIVE);
    assert!(dead.fits && !reversed.fits);
    // Two coils beside each other of six: reference/rotor/meter.csv has 0.8553 with arcs of 0.83 of the pitch, these have 50° of 60°.
    let [few, _] = flux::one_pole(&found, &ring, Some((2, 6))).unwrap();
    assert!((few.leaves - 0.8553).abs() < 0.003, "{few:?}");
    ring.count = 5;
    assert_eq!(flux::one_pole(&found, &ring, None), None);
    assert_eq!(flux::flux_left(Some(&flux), None), Err(NotFound::Missing("rotor.magnet")));
}

fn grade() -> Grade {
    Grade {
        remanence: read("0.38 T", D::FluxDensity),
        coercivity: read("199 kA/m", D::MagneticField),
        permeance: number("1.5"),
        against: read("120 kA/m", D::MagneticField),
        knee: read("90 %", D::Number),
        coldest: read("-20 °C", D::Temperature),
    }
}

/// Ferrite in deep cold, by hand along the level part: B_r = 0.38 · 1.08, H_k = 0.9 · 199 · (1 − 0.0035 · 40), H = (B_r/μ₀ + P H_a)/(P + 1.05).
#[test]
fn cold_takes_flux_from_ferrite_and_heat_from_rare_earth() {
    let hot = read("95 °C", D::Temperature);
    let found = flux::for_good(&grade(), MagnetMaterial::Ferrite, Some(&hot)).unwrap();
    // The working point lies past the knee, so only its side of one is by hand.
    assert!(found.cold.to_knee.si < 1.0 && found.cold.lost > 0.2 && found.cold.lost_at_worst > found.cold.lost, "{found:?}");
    let calm = Grade { against: read("0 kA/m", D::MagneticField), permeance: number("4"), ..grade() };
    let found = flux::for_good(&calm, MagnetMaterial::Ferrite, Some(&hot)).unwrap();
    let by_hand = 0.9 * 199e3 * (1.0 - 0.0035 * 40.0) / (0.38 * 1.08 / 1.25663706212e-6 / (4.0 + 1.05));
    close(found.cold.to_knee.si, by_hand, RELATIVE);
    assert_eq!((found.cold.lost, found.hot.unwrap().lost), (0.0, 0.0));
    // Its coercivity grows with heat: there is more room hot than cold.
    assert!(found.hot.unwrap().to_knee.si > found.cold.to_knee.si);
    let strong = Grade {
        remanence: read("1.2 T", D::FluxDensity),
        coercivity: read("955 kA/m", D::MagneticField),
        permeance: number("1"),
        ..grade()
    };
    let very_hot = read("140 °C", D::Temperature);
    let found = flux::for_good(&strong, MagnetMaterial::RareEarth, Some(&very_hot)).unwrap();
    assert!(found.hot.unwrap().lost > 0.3 && found.cold.lost == 0.0, "{found:?}");
    assert_eq!(flux::for_good(&grade(), MagnetMaterial::Alnico, Some(&hot)), None);
}
