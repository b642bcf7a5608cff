//! What to cut, what to try first, what it changes.

use super::study::short_verdict;
use crate::words::{degrees, degrees_pm, mm, mm_pm, number, rpm};
use workshop::study::trim::{Advice, CutWindow, Limit, Reversible, ReversibleWay, TrimStudy, Unbalance};

/// Bite between two measurements and metal left for the file, rotor degrees (common practice, no source).
const BITE_DEG: f64 = 0.5;
const LEAVE_DEG: (f64, f64) = (0.3, 0.5);

/// Before whatever comes first.
const NOTHING_YET: &str = "Cut nothing yet.";

/// What to do.
pub fn advice(study: &TrimStudy) -> String {
    one(study, &study.advice)
}

fn one(study: &TrimStudy, advice: &Advice) -> String {
    match advice {
        Advice::RuleOutFirst { explains, otherwise } => {
            let then = one(study, otherwise);
            let then = then.strip_prefix(NOTHING_YET).unwrap_or(&then);
            format!(
                "{NOTHING_YET} {} Once only the curve is left: {}",
                super::alike::before_altering(*explains),
                then.trim_start()
            )
        }
        Advice::NoneNeeded => {
            "Cut nothing. As found the curve does not make the engine hang, so a cut would not cure it.".to_owned()
        }
        Advice::TryReversibleFirst { way, otherwise } => {
            let way = study.reversible.get(*way);
            let first = way.map_or_else(String::new, |r| format!("{} ", reversible(r)));
            // A module may not exist; a plate and its leads do.
            let wanting = match way.map(|r| r.way) {
                Some(ReversibleWay::LaterModule { .. }) => "If none can be had",
                _ => "If that cannot be done",
            };
            let rest = otherwise.as_ref().map_or_else(
                || format!("{wanting}, no cut inside the limits serves either."),
                |w| format!("{wanting}: cut {} off the trailing end, and only then.", mm_pm(w.advised)),
            );
            format!("{NOTHING_YET} {first}{rest}")
        }
        Advice::Cut(w) => format!(
            "Cut {} off the trailing end of the segment, {} of crank. {}",
            mm_pm(w.advised),
            degrees_pm(w.advised_crank),
            cut_range(w)
        ),
        Advice::NoCutServes { because } => format!("Do not cut: no cut inside the limits serves. {}", limit(*because)),
    }
}

/// The window of cuts.
pub fn cut_range(w: &CutWindow) -> String {
    format!("Less than {} does not cure it; more than {} must not be taken. {}", mm(w.least_m), mm(w.most_m), limit(w.bounded_by))
}

/// A limit.
pub fn limit(l: Limit) -> &'static str {
    match l {
        Limit::KickBack => "The upper limit is kick-back: with more advance the engine may throw the pedal back when kicked.",
        Limit::SegmentLength => {
            "The upper limit is the length left: a segment shorter than the pickup's pole gives a weak or confused pulse."
        }
        Limit::HangRemains => "The second rest speed remains with every cut.",
        Limit::HalfOfSegment => "The upper limit is half of the segment; more is not planned here.",
    }
}

/// A way that can be undone.
pub fn reversible(r: &Reversible) -> String {
    let what = match r.way {
        ReversibleWay::PlateShift { by_rad } if by_rad < 0.0 => {
            format!("Turn the pickup plate with the turning direction, {} of crank later.", degrees(-by_rad))
        }
        ReversibleWay::PlateShift { by_rad } => {
            format!("Turn the pickup plate against the turning direction, {} of crank earlier.", degrees(by_rad))
        }
        ReversibleWay::PickupLeads => "Put the reversed pickup leads right.".to_owned(),
        ReversibleWay::LaterModule { start_rad_s, full_rad_s, least_advance_rad } => {
            format!(
                "If a module can be had whose advance starts later, try it before any cut. It must give {} up to {} and {} from {}, on the same segment.",
                degrees(least_advance_rad),
                rpm(start_rad_s),
                degrees(r.full_advance_rad),
                rpm(full_rad_s)
            )
        }
    };
    let found = format!("{}, full advance {}", short_verdict(r.verdict), degrees(r.full_advance_rad));
    if r.serves() {
        let knock = r.knock.as_ref().map_or_else(String::new, |k| format!("; {}", super::load::knock_room(k)));
        return format!("{what} This serves: {found}{knock}.");
    }
    let against: Vec<String> = r.objections.iter().map(super::load::objection).collect();
    format!("{what} This does not serve by itself: {found}. Against it: {}.", against.join("; "))
}

/// Unbalance, in the workshop's g·mm.
pub fn unbalance(u: &Unbalance) -> String {
    // 1 kg·m = 1e6 g·mm.
    let (made, allowed) = (u.made_kg_m * 1e6, u.permissible_kg_m * 1e6);
    let so = if made > allowed { "Balance the rotor after the cut." } else { "It may stay as it is." };
    format!(
        "The cut leaves {} g·mm of unbalance; ISO 21940-11 grade G 6.3 allows {} g·mm at top speed. {so}",
        number(made, 0),
        number(allowed, 0)
    )
}

/// What cannot be undone.
pub fn cannot_undo() -> &'static str {
    "Metal that is cut off cannot be put back. A segment cut too far needs another rotor. Everything else on this sheet can be undone."
}

/// A step of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What to do.
    pub text: String,
    /// Whether the engine is kicked or run in it.
    pub runs: bool,
}

/// The steps of the cut, with the numbers to set.
///
/// `degrees_per_mm` is for the rotor itself, `crank_per_rotor` crank degrees per rotor degree.
pub fn cutting_list(w: &CutWindow, segment_m: f64, degrees_per_mm: f64, crank_per_rotor: f64) -> Vec<Step> {
    let cut_deg = w.advised.si * 1e3 * degrees_per_mm;
    let rough = (cut_deg - LEAVE_DEG.1).max(0.0);
    let bites = (rough / BITE_DEG).ceil().max(1.0);
    let mm_of = |deg: f64| mm(deg / degrees_per_mm * 1e-3);
    let work = |text: String| Step { text, runs: false };
    let run = |text: &str| Step { text: text.to_owned(), runs: true };
    vec![
        work("Mark the turning arrow, the side it is seen from and the trailing end on the rotor before it comes off. Take photographs with a rule in them.".to_owned()),
        work(format!("Measure the segment along the rim, two people or two methods. Expected: {}. If it differs by more than 0.3 mm, stop and correct the file.", mm(segment_m))),
        work(format!(
            "Scribe the target {} from the trailing end ({}° of rotor, {}° of crank). Scribe the stop line at {}: never cross it.",
            mm(w.advised.si),
            number(cut_deg, 1),
            number(cut_deg * crank_per_rotor, 1),
            mm(w.most_m)
        )),
        work("Set up on a mandrel of the crank's own taper, centred on the bore. No jaws on the rim. Tape over the magnets.".to_owned()),
        work(format!(
            "Mill or file in bites of {}° of rotor ({}\u{a0}mm): about {} bites take it to {}. Measure after each bite.",
            number(BITE_DEG, 1),
            number(BITE_DEG / degrees_per_mm, 2),
            number(bites, 0),
            mm_of(rough)
        )),
        work(format!(
            "Leave the last {}–{}° ({}–{}) to the file. Deburr both edges alike.",
            number(LEAVE_DEG.0, 1),
            number(LEAVE_DEG.1, 1),
            number(LEAVE_DEG.0 / degrees_per_mm, 1),
            mm_of(LEAVE_DEG.1)
        )),
        work("Wash off swarf. Check for cracks and run-out (under 0.10 mm), check the balance, write down what was taken off.".to_owned()),
        work("Refit on a clean dry taper, torque by the maker's manual, turn two full turns by hand.".to_owned()),
        run("Static timing, then strobe every cylinder, rising and falling."),
        run("Reset the throttle stop to the idle speed. Blip it and let it close; try the clutch. Check again hot, and after the first ride."),
        work(format!("A smaller cut can be tried first: from {} on it should serve. Then repeat from the marking on.", mm(w.least_m))),
    ]
}
