//! What volts say of a rotor's flux, and how its magnets lose it for good.

use super::{
    doubt::{Input, finding, input},
    magnets::NotFound,
};
use crate::{
    machine::{FluxRead, metal::MagnetMaterial, rotor::Magnet},
    study::Finding,
};
use physics::rotor::flux::{self, NoLoad, Poles};

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
/// As many coils as poles, in series: each coil sees every pole in turn, so nothing in their sum comes once a turn, and a meter cannot tell which magnet it is.
pub fn one_pole(found: &FluxFound, magnets: &Magnet) -> Option<[OnePole; 2]> {
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
        let leaves =
            Poles { strength, pole_arc_rad: arc, tooth_arc_rad: arc, coils: Poles::full_ring(count) }.beside_sound(count / 2)?;
        Some(OnePole { fault, leaves, fits: (found.left.si - leaves).abs() <= found.left.plus_minus_si })
    };
    Some([of(OneFault::Dead)?, of(OneFault::Reversed)?])
}

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
