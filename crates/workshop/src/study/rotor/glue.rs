//! Gluing magnets in again, step by step.

use super::{flux::PLAIN_RARE_EARTH, magnets::Look};
use crate::machine::{Bond, metal::MagnetMaterial};
use physics::rotor::bond::Seat;

/// A step of gluing magnets in again, in order. `sheets` has the words, and the caution before each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GlueStep {
    /// Mark pole and place of each, map with a compass, photograph.
    MarkAndMap,
    /// Take off what is loose.
    TakeOff,
    /// Old glue off by hand tools.
    OldGlueOff,
    /// Both faces roughened.
    Roughen,
    /// Degreased twice, not touched again.
    Degrease,
    /// Weigh out and mix the adhesive as its sheet says.
    Mix,
    /// Spread, set in place with spacers that keep the pitch, of this thickness [µm].
    SetIn {
        /// Thickness of the layer [µm].
        layer_um: u32,
    },
    /// Poles against the map, while they can still be turned.
    CheckPoles,
    /// Cure as the sheet says, by thermometer.
    Cure {
        /// Never hotter than the magnets bear [K], where that is known.
        not_above_k: Option<f64>,
    },
    /// Clean off what came out; ring, feeler, firm push.
    Prove,
    /// Balance again.
    Balance,
    /// Warm run at idle, cool, look, then speed in steps.
    RunInSteps,
    /// Batch, ratio, surface, times on the record.
    Note,
}

/// The steps of gluing magnets in again, for magnets inside a rim. Magnets on a hub are pulled off by speed, and are not glued by these.
///
/// # Errors
/// [`Look::Specialist`] for a seat on a hub.
pub fn glue_steps(seat: Seat, material: MagnetMaterial, bond: &Bond) -> Result<Vec<GlueStep>, Look> {
    if seat == Seat::OnHub {
        return Err(Look::Specialist);
    }
    use GlueStep::*;
    Ok(vec![
        MarkAndMap,
        TakeOff,
        OldGlueOff,
        Roughen,
        Degrease,
        Mix,
        SetIn { layer_um: (bond.thickness.si * 1e6).round() as u32 },
        CheckPoles,
        // No grade in the file tells how hot the new ones may get.
        Cure { not_above_k: (material == MagnetMaterial::RareEarth).then_some(PLAIN_RARE_EARTH) },
        Prove,
        Balance,
        RunInSteps,
        Note,
    ])
}
