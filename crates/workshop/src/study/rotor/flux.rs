//! What volts say of a rotor's flux, and how its magnets lose it for good.

use super::magnets::NotFound;
use crate::study::doubt::{Input, finding, input};
use crate::{
    machine::{
        FluxRead,
        metal::MagnetMaterial,
        rotor::{Grade, Magnet},
    },
    study::Finding,
};
use physics::rotor::flux::{self, NoLoad, Poles, Square};
use quantity::Reading;

/// Change of flux with temperature, back and forth, with its ± [1/K]. Ferrite −0.20 ± 0.02 %/K (IEC 60404-8-1 as a maker prints it), rare earth −0.10 ± 0.02
/// (a maker's table), alnico −0.02 ± 0.01 (from memory).
pub fn reversible_per_k(material: MagnetMaterial) -> Input {
    match material {
        MagnetMaterial::Ferrite => (-2.0e-3, 0.2e-3),
        MagnetMaterial::RareEarth => (-1.0e-3, 0.2e-3),
        MagnetMaterial::Alnico => (-0.2e-3, 0.1e-3),
    }
}

/// What volts say of the flux.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FluxFound {
    /// Share of the flux that is left, temperature taken out \[1\].
    pub left: Finding,
    /// Whether less than all is left by more than the ±.
    pub lost: bool,
}

/// Flux left, from no-load volts now and as recorded.
///
/// # Errors
/// [`NotFound`].
pub fn flux_left(read: Option<&FluxRead>, material: Option<MagnetMaterial>) -> Result<FluxFound, NotFound> {
    let read = read.ok_or(NotFound::Missing("rotor.flux"))?;
    let material = material.ok_or(NotFound::Missing("rotor.magnet"))?;
    let inputs = [
        input(&read.now.volts),
        input(&read.now.speed),
        input(&read.now.temperature),
        input(&read.recorded.volts),
        input(&read.recorded.speed),
        input(&read.recorded.temperature),
        reversible_per_k(material),
    ];
    let left = finding(
        |x| {
            let at = |k: usize| NoLoad { volts: x[k], speed_rad_s: x[k + 1], temperature_k: x[k + 2] };
            flux::left(at(0), at(3), x[6]).unwrap_or(f64::NAN)
        },
        &inputs,
    );
    if !left.si.is_finite() {
        return Err(NotFound::Impossible);
    }
    Ok(FluxFound { left, lost: left.si + left.plus_minus_si < 1.0 })
}

/// Flux that is missing in the heat and is there again when it is cold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Regained {
    /// Temperature of the rotor at work [K].
    pub temperature_k: f64,
    /// Share of the flux at 20 °C that is missing there \[1\]; below nothing in the cold, where there is more.
    pub missing: Finding,
}

/// What magnets at work lack beside 20 °C and get back: `−α (T − 20 °C)`.
pub fn regained(material: MagnetMaterial, hot: &Reading) -> Regained {
    let missing = finding(|x| 1.0 - flux::share_when_warm(x[0], x[1]), &[reversible_per_k(material), input(hot)]);
    Regained { temperature_k: hot.si, missing }
}

/// What is wrong with one magnet of a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OneFault {
    /// It has no flux left, or is gone.
    Dead,
    /// It was put in the wrong way round.
    Reversed,
}

/// One faulty magnet against the flux that is left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnePole {
    /// What is wrong with it.
    pub fault: OneFault,
    /// Share of the volts that it would leave, with sound coils all round \[1\].
    pub leaves: f64,
    /// That lies within the ± of what is left.
    pub fits: bool,
}

/// What one dead and one reversed magnet among these would leave of the volts, beside what is left. `None` where they are no whole ring of pole pairs.
///
/// `coils` are those in series, of one phase, and the teeth of the whole ring; without them there are as many coils as poles. Then each coil sees every pole in turn, nothing in their
/// sum comes once a turn, and a meter cannot tell which magnet it is. The meter reads effective volts.
pub fn one_pole(found: &FluxFound, magnets: &Magnet, coils: Option<(u8, u8)>) -> Option<[OnePole; 2]> {
    let count = usize::from(magnets.count);
    if count < 2 || count % 2 == 1 {
        return None;
    }
    let of = |fault: OneFault| {
        let mut strength = vec![1.0; count];
        strength[0] = match fault {
            OneFault::Dead => 0.0,
            OneFault::Reversed => -1.0,
        };
        let arc = magnets.arc.si;
        let (coils, teeth) = coils.map_or((count, count), |(coils, teeth)| (usize::from(coils), usize::from(teeth)));
        let coils = Poles::in_series(coils, teeth, count);
        let leaves = Poles { strength, pole_arc_rad: arc, tooth_arc_rad: arc, coils }.meter_beside_sound(HARMONICS * count)?;
        Some(OnePole { fault, leaves, fits: (found.left.si - leaves).abs() <= found.left.plus_minus_si })
    };
    Some([of(OneFault::Dead)?, of(OneFault::Reversed)?])
}

/// Harmonics per turn that are added up, for each pole [1] (own choice): what is above them changes the shares by less than a thousandth.
const HARMONICS: usize = 8;

/// Change of intrinsic coercivity with temperature, with its ± [1/K]: ferrite +0.35 ± 0.15 %/K, rare earth −0.60 ± 0.15 (common values of data sheets, from
/// memory; no source read again). Alnico's curve bends from the start, so none is given.
fn coercivity_per_k(material: MagnetMaterial) -> Option<Input> {
    match material {
        MagnetMaterial::Ferrite => Some((3.5e-3, 1.5e-3)),
        MagnetMaterial::RareEarth => Some((-6.0e-3, 1.5e-3)),
        MagnetMaterial::Alnico => None,
    }
}

/// What one temperature takes for good.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct At {
    /// Temperature [K].
    pub temperature_k: f64,
    /// Field at the knee over the field that the magnet works at \[1\]; below one it loses flux.
    pub to_knee: Finding,
    /// Share of the flux that does not come back \[1\].
    pub lost: f64,
    /// The same where all that is doubtful is at its worst together.
    pub lost_at_worst: f64,
}

/// What heat and cold take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForGood {
    /// At the hottest, where the file has it.
    pub hot: Option<At>,
    /// At the coldest.
    pub cold: At,
}

/// What the hottest [K] and the coldest take from magnets of a grade for good. `None` for alnico, and where a temperature leaves no magnet.
pub fn for_good(grade: &Grade, material: MagnetMaterial, hot: Option<&Reading>) -> Option<ForGood> {
    let beta = coercivity_per_k(material)?;
    let at = |temperature: &Reading| {
        let inputs = [
            input(&grade.remanence),
            input(&grade.coercivity),
            input(&grade.permeance),
            input(&grade.against),
            input(&grade.knee),
            input(temperature),
            reversible_per_k(material),
            beta,
        ];
        let working = |x: &[f64]| {
            let magnet = Square {
                remanence_t: x[0],
                coercivity_a_m: x[1],
                knee_share: x[4].clamp(0.0, MOST_KNEE),
                recoil: RECOIL,
                alpha_per_k: x[6],
                beta_per_k: x[7],
            };
            magnet.working(x[5], x[2].max(0.0), x[3].max(0.0))
        };
        let to_knee = finding(|x| working(x).map_or(f64::NAN, |w| w.knee_a_m / w.field_a_m), &inputs);
        let lost = |x: &[f64]| working(x).map(|w| w.lost);
        let nominal = inputs.map(|i| i.0);
        // Each input is moved the way that takes more by itself, then all together.
        let mut worst = nominal;
        for (k, (value, pm)) in inputs.iter().enumerate() {
            let reserve = |by: f64| {
                let mut x = nominal;
                x[k] += by;
                working(&x).map_or(f64::NEG_INFINITY, |w| w.knee_a_m / w.field_a_m)
            };
            worst[k] = value + if reserve(*pm) < reserve(-pm) { *pm } else { -pm };
        }
        Some(At {
            temperature_k: temperature.si,
            to_knee,
            lost: lost(&nominal)?,
            // No magnet at all is left there.
            lost_at_worst: lost(&worst).unwrap_or(1.0),
        })
    };
    Some(ForGood { hot: hot.and_then(at), cold: at(&grade.coldest)? })
}

/// Recoil permeability of ferrite and rare earth [1] (common values of data sheets, 1.03 to 1.1, from memory; no source read again).
const RECOIL: f64 = 1.05;
/// A knee stays below the coercive field \[1\] (own choice).
const MOST_KNEE: f64 = 0.99;

/// How magnets of a kind lose flux for good. No number is given: it takes the grade's own curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LostBy {
    /// Ferrite: deep cold, with the coils' field against it.
    Cold,
    /// Rare earth: heat.
    Heat {
        /// The rotor gets hotter than a plain grade bears.
        beyond_plain_grade: bool,
    },
    /// Alnico: knocks, and lying open without a keeper.
    KnocksAndOpen,
}

/// Temperature that a plain rare-earth grade bears [K]: 80 °C (common practice, no source).
pub const PLAIN_RARE_EARTH: f64 = 353.15;

/// See [`LostBy`].
pub fn lost_by(material: MagnetMaterial, hot_k: Option<f64>) -> LostBy {
    match material {
        MagnetMaterial::Ferrite => LostBy::Cold,
        MagnetMaterial::RareEarth => LostBy::Heat { beyond_plain_grade: hot_k.is_none_or(|t| t > PLAIN_RARE_EARTH) },
        MagnetMaterial::Alnico => LostBy::KnocksAndOpen,
    }
}
