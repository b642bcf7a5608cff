//! Warnings.

use crate::words::{degrees, degrees_pm, mm_pm, percent, pm, rpm};
use workshop::study::{
    Finding,
    warning::{BoreNumber, Submodel, Warning},
};

/// A warning as a sentence. Readings and pickups are counted from 1.
pub fn warning(w: &Warning) -> String {
    match w {
        Warning::DefaultUsed { field } => format!("{field} was not given; the project's default stands in for it."),
        Warning::TakenAsExact { field } => format!(
            "{field} has no ±, so it is taken as exact and the answers look surer than they are. Note how well it was measured."
        ),
        Warning::WildReading { index, off_rad } => format!(
            "Strobe reading {} lies {} {} the curve and was set aside. Read it again.",
            index + 1,
            degrees(off_rad.abs()),
            if *off_rad < 0.0 { "below" } else { "above" }
        ),
        Warning::LawFitsPoorly { misfit } => format!(
            "The strobe readings scatter {misfit:.1} times as far from the best law as their ± say. The curve's ± has been widened to match. Take them again before anything is cut.",
        ),
        Warning::LawsAlike => "Two laws explain the readings about equally well.".to_owned(),
        Warning::PickupReversed { pickup, late_rad } => format!(
            "Pickup {} is connected the wrong way round: its spark comes {} {}. Put the leads right before anything is cut.",
            pickup + 1,
            degrees(late_rad.abs()),
            if *late_rad < 0.0 { "early" } else { "late" }
        ),
        Warning::PolarityUnknown { pickup } => format!("Which way pickup {} is connected is not known. Reversed, it would fire on the wrong edge.", pickup + 1),
        Warning::WeakPulse { pickup, fires_from_rad_s } => format!(
            "Pickup {} wakes the module only from {}, faster than the kick. Check its gap and its peak volts.",
            pickup + 1,
            rpm(*fires_from_rad_s)
        ),
        Warning::CylindersDiffer { by_rad } => format!(
            "The cylinders' curves differ by up to {}. More than 2° is worth correcting at the pickups first.",
            degrees(*by_rad)
        ),
        Warning::NotCalibrated => "No engine could be fitted to what was read on the throttle stop, so those readings count for nothing in the chances. Look for one that is wrong.".to_owned(),
        Warning::IdleNotReproduced => "No throttle opening in the computed range lets the model idle at the speed seen. Something in the file does not fit this engine.".to_owned(),
        Warning::HangNotReproduced { seen_rad_s, nearest_rad_s } => match nearest_rad_s {
            Some(nearest) => format!("The hang was seen at {}, the nearest rest speed found is {}. The model does not match that reading.", rpm(*seen_rad_s), rpm(*nearest)),
            None => format!("The hang was seen at {}; the model finds no rest speed there.", rpm(*seen_rad_s)),
        },
        Warning::CyclesUnsettled { share } => format!("{} of the computed points did not settle to a steady cycle; the answer is less sure for it.", percent(*share)),
        Warning::LateTrailingEdge { least_advance_rad } => format!(
            "By lead and segment the spark could come as late as {} after top dead centre. Check both readings.",
            degrees(-least_advance_rad)
        ),
        Warning::ReadingUnusable { index } => format!("Strobe reading {} cannot be used: this engine cannot have that speed, travel or cylinder.", index + 1),
        Warning::LawAgainstReadings { by_rad, at_rad_s } => format!(
            "The law in the file and the strobe readings disagree by up to {}, at {}: more than their ± allow. The strobe decides; check the law.",
            degrees(by_rad.abs()),
            rpm(*at_rad_s)
        ),
        Warning::NoPickupFires { cylinder } => format!("No pickup in the file fires cylinder {}; its timing is taken as the rotor's.", cylinder + 1),
        Warning::RestBeyondRange { from_rad_s } => format!("The engine still pulls at {}, the fastest speed computed; its highest rest lies beyond.", rpm(*from_rad_s)),
        Warning::CasesLeftOut { share } => format!("In {} of the sampled cases the engine cannot idle at the speed seen; they are left out of the chance.", percent(*share)),
        Warning::BestTorqueNotFound { from_rad_s, tried_rad } => format!(
            "Wide open at {} the computed torque still rises at {} before top dead centre, which hardly any engine does: the flame in the file is too slow for that load. Best torque and knock limit are not known there.",
            rpm(*from_rad_s),
            degrees(*tried_rad)
        ),
        Warning::BeyondKnockLimit { at_rad_s, by_rad, plus_minus_rad } => format!(
            "At {} wide open the curve lies {} beyond the computed knock limit. Listen for knock before it is loaded there, and use better fuel or less advance if it does.",
            rpm(*at_rad_s),
            degrees_pm(Finding { si: *by_rad, plus_minus_si: *plus_minus_rad })
        ),
        Warning::RotorSlowerThanEngine { rotor_rad_s, engine_rad_s } => format!(
            "The rotor's maker allows {}, and the engine's top speed turns it at {}. It must not be turned faster than its maker allows.",
            rpm(*rotor_rad_s),
            rpm(*engine_rad_s)
        ),
        Warning::BoreNotTheTaper { number, taper, section } => {
            let ratio = |f: &Finding| pm(f.si, f.plus_minus_si, 3);
            let (what, by_taper, by_section) = match number {
                BoreNumber::LargeEnd => ("large end", mm_pm(*taper), mm_pm(*section)),
                BoreNumber::SmallEnd => ("small end", mm_pm(*taper), mm_pm(*section)),
                BoreNumber::Ratio => ("change of diameter over length", ratio(taper), ratio(section)),
            };
            format!(
                "The bore's {what} is {by_taper} by [rotor.taper], and {by_section} by the boss in [[rotor.piece]] (inside, inside_at_to): more apart than both ±. Measure both again; neither is changed."
            )
        }
        Warning::OutsideValidity { model } => format!("The answer uses {} outside the range in which it was published.", submodel(*model)),
    }
}

fn submodel(model: Submodel) -> &'static str {
    match model {
        Submodel::FlameSpeed => "the flame-speed correlation",
        Submodel::Dilution => "the correlation for dilution by burned gas",
        Submodel::Friction => "the friction correlation",
    }
}
