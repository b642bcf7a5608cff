//! Steps of pulling and of gluing, each with its caution (common practice, no source).

use crate::words::{Caution, celsius, mm, number};
use workshop::study::rotor::{glue::GlueStep, pulling::PullStep};

const DIRECTION: Caution = Caution {
    danger: "Turned over, the rotor's rotation looks reversed.",
    protects: "Arrow and side on the rotor before it comes off.",
};
const FLYING: Caution = Caution {
    danger: "A seat that lets go throws the rotor at you; strong magnets then pull it and fingers together.",
    protects: "Nut on flush a few turns, hands clear, pacemakers away.",
};
const HEAT: Caution = Caution {
    danger: "Heat ruins glue and rare-earth magnets, sets vapour alight and burns.",
    protects: "Warm the boss only, quickly, no petrol about, gloves, stop when it spits.",
};
const SPRING: Caution = Caution {
    danger: "Levers, clawed pullers and screwdrivers through it bend the rim and crack magnets.",
    protects: "Pull by boss or tapped holes alone; hold by a strap on the rim's outside or by the crank.",
};
const MAGNETS: Caution = Caution {
    danger: "Loose magnets jump together or onto iron from a hand's breadth: they crush fingers, and splinters fly.",
    protects: "One at a time, the others far off in wood or plastic; goggles, no steel tools near, pacemakers away.",
};
const GLUE: Caution = Caution {
    danger: "Solvent and resin burn skin and lungs; old dust may hold asbestos.",
    protects: "Gloves, extraction, the data sheet; no dry brushing.",
};
const RUN: Caution = Caution {
    danger: "A magnet that comes loose at speed goes through the cover.",
    protects: "Cover on, nobody in the plane of the rotor, stop at any noise.",
};

/// The caution that stands before a step, and the step.
pub fn pull(step: PullStep) -> (Option<Caution>, String) {
    match step {
        PullStep::MarkDirection => (Some(DIRECTION), "Mark the turning arrow and the side that it is seen from.".to_owned()),
        PullStep::Hold => (Some(SPRING), "Hold the rotor by a strap or the crank.".to_owned()),
        PullStep::NutBackOn => (Some(FLYING), "Undo the nut; leave it on, flush with the end of the thread.".to_owned()),
        PullStep::Cap => (None, "Put a cap over the end of the shaft, so that the screw does not spread it.".to_owned()),
        PullStep::ThreadIn { depth_m, left_m } => {
            let left = left_m.map_or_else(String::new, |left| {
                format!(" After the planned cut there are {}: then shorter bolts, or they stand out behind the web.", mm(left))
            });
            (
                None,
                format!(
                    "Turn the puller in by hand over all of {} of thread.{left} Bolts no longer than the thread: behind it are the coils.",
                    mm(depth_m)
                ),
            )
        }
        PullStep::ThreeBolts => (None, "Look for a third hole: two bolts tip the plate and bind.".to_owned()),
        PullStep::Tighten { most_n_m } => {
            (Some(FLYING), format!("Grease the screw and tighten it, to no more than {}\u{a0}N·m.", number(most_n_m, 0)))
        }
        PullStep::Tap => (None, "One sharp tap on the end of the screw, never on rotor or shaft.".to_owned()),
        PullStep::Wait => (None, "Wait with the screw tight, ten minutes or a night, and tap again.".to_owned()),
        PullStep::Warm { by, not_above_k } => {
            let most = not_above_k.map_or_else(String::new, |k| {
                format!(" No hotter than {}, by thermometer: glue or magnets bear no more.", celsius(k))
            });
            (
                Some(HEAT),
                format!("Still fast: warm the boss quickly, by {} above the shaft, and tap.{most}", super::holds::kelvin_pm(by)),
            )
        }
        PullStep::DoNotWarm { most_k } => (
            Some(HEAT),
            format!(
                "Still fast: do not warm it, glue or magnets bear no more than {}. Another puller, with more thread.",
                celsius(most_k)
            ),
        ),
        PullStep::Catch => (None, "Take the nut off and catch the rotor; swarf off its magnets, alnico on a keeper.".to_owned()),
        PullStep::Look => (None, "Look at taper, key, keyway and thread; blue the seat before it goes on again.".to_owned()),
    }
}

/// As [`pull`], for gluing.
pub fn glue(step: GlueStep) -> (Option<Caution>, String) {
    match step {
        GlueStep::MarkAndMap => {
            (Some(DIRECTION), "Mark pole and place of every magnet, map them with a compass, photograph.".to_owned())
        }
        GlueStep::TakeOff => {
            (Some(MAGNETS), "Take off what is loose. What holds stays, unless all of it is done anew.".to_owned())
        }
        GlueStep::OldGlueOff => {
            (Some(GLUE), "Old glue off by scraper and abrasive, wet. No torch, no chisel against a magnet.".to_owned())
        }
        GlueStep::Roughen => (None, "Roughen both faces evenly.".to_owned()),
        GlueStep::Degrease => (Some(GLUE), "Degrease both twice with clean solvent, and touch them no more.".to_owned()),
        GlueStep::Mix => {
            (None, "Weigh out and mix the adhesive as its sheet says: oil-proof, for at least 150 °C, toughened.".to_owned())
        }
        GlueStep::SetIn { layer_um } => (
            Some(MAGNETS),
            format!(
                "Spread over all of both faces, no voids, and set in with spacers for pitch and a layer of {}\u{a0}mm.",
                number(f64::from(layer_um) * 1e-3, 2)
            ),
        ),
        GlueStep::CheckPoles => (
            None,
            "Before it sets: every pole against the map, north and south by turns. One that is wrong comes out now.".to_owned(),
        ),
        GlueStep::Cure { not_above_k } => {
            let most = not_above_k.map_or_else(String::new, |k| {
                format!(" Rare-earth magnets no hotter than {}, unless their grade is known to bear it; else an adhesive that cures colder.", celsius(k))
            });
            (None, format!("Cure as the sheet says, by thermometer and not by guess.{most}"))
        }
        GlueStep::Prove => {
            (None, "Clean off what came out. Ring it, try a feeler round each, push firmly with a soft drift.".to_owned())
        }
        GlueStep::Balance => (None, "Balance it again.".to_owned()),
        GlueStep::RunInSteps => (Some(RUN), "Warm at idle, let it cool, look; then speed in steps, looking between.".to_owned()),
        GlueStep::Note => (None, "Batch, ratio, surface, times and temperatures on the record.".to_owned()),
    }
}
