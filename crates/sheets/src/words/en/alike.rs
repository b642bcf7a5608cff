//! What else makes an engine hang: the verdict, what to try next and with what care, expected against seen.

use super::{Caution, calibrate};
use crate::words::{degrees, degrees_pm, number, percent, pm, rpm_pm};
use workshop::study::alike::{Alike, Cause, Expected, Explains, Observation, Outcome, Seen, Size, Weighed};

/// Heading.
pub const ALIKE: &str = "What else hangs";
/// Summary over the table.
pub const TABLE: &str = "Each cause: what it lets expect, and what was seen";
/// Head of a column.
pub const WHAT: &str = "What to look at";
/// Head of a column.
pub const SEEN: &str = "Seen";
/// Row.
pub const SHARE: &str = "Share, all taken together";
/// Row.
pub const SIZE: &str = "How large it would be";
/// A cell of something not tried.
pub const NOT_TRIED: &str = "not tried";
/// A cell where nothing is to be expected.
pub const OPEN: &str = "–";
/// Under the table.
pub const HOW_WEIGHED: &str = "Speeds, those with the plate turned among them, and whether it stays down, are computed with each fault in the engine, over all sizes that it may have and all ± of the file. What choke, mist and a snap of the throttle show is common practice without a source. Before anything was seen every cause had the same share.";

/// A cause, to stand in a sentence.
pub fn cause(cause: Cause) -> &'static str {
    match cause {
        Cause::Curve => "the curve",
        Cause::AirLeak => "an air leak",
        Cause::WeakPilot => "a weak pilot mixture",
        Cause::StickingSlide => "a sticking slide",
        Cause::StickingWeights => "sticking weights",
        Cause::NoneOfThese => "something else",
    }
}

/// What is looked at, in a few words.
pub fn observation(observation: Observation) -> String {
    let what = match observation {
        Observation::Nudge { turned_rad } => return format!("Plate {}", calibrate::turned(turned_rad)),
        Observation::HangSpeed => "Hangs at",
        Observation::Clutch => "Pulled down by the clutch, then let go",
        Observation::Snap => "Throttle snapped shut, slide knocked down",
        Observation::Choke => "A little choke while it hangs",
        Observation::Mist => "Joints misted with water",
        Observation::RisingFalling => "Earlier with falling than with rising speed",
    };
    what.to_owned()
}

/// What came of it.
pub fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::StaysDown => "stays down",
        Outcome::ClimbsAgain => "climbs again",
        Outcome::ComesDown => "comes down",
        Outcome::Dies => "dies",
        Outcome::NoChange => "no change",
        Outcome::SpeedChanges => "speed changes",
        Outcome::Same => "the same",
        Outcome::Earlier => "earlier",
    }
}

fn value(of: Observation, f: workshop::study::Finding) -> String {
    if of == Observation::RisingFalling { degrees_pm(f) } else { rpm_pm(f) }
}

/// What was seen.
pub fn seen(of: Observation, seen: Option<Seen>) -> String {
    match seen {
        None => NOT_TRIED.to_owned(),
        Some(Seen::Outcome(o)) => outcome(o).to_owned(),
        Some(Seen::Value(f)) => value(of, f),
    }
}

/// What a cause lets expect.
pub fn expected(of: Observation, expected: Expected) -> String {
    match expected {
        Expected::NoHang => "no hang".to_owned(),
        Expected::Nothing => OPEN.to_owned(),
        Expected::Outcome(o, chance) => format!("{} ({})", outcome(o), percent(chance)),
        Expected::Value(f) => value(of, f),
    }
}

/// How large a fault would be.
pub fn size(size: Size) -> String {
    match size {
        // A ± as large as the value itself: all that is known is how large it may be at most.
        Size::Leak(f) if f.plus_minus_si >= f.si => format!("up to {}\u{a0}mm²", number((f.si + f.plus_minus_si) * 1e6, 1)),
        Size::Play(f) if f.plus_minus_si >= f.si => format!("up to {}", degrees(f.si + f.plus_minus_si)),
        Size::Leak(f) => format!("{}\u{a0}mm²", pm(f.si * 1e6, f.plus_minus_si * 1e6, 1)),
        Size::Mixture(f) => format!("{} of the right fuel", pm(f.si, f.plus_minus_si, 2)),
        Size::Opening(f) => format!("{}\u{a0}× the stop", pm(f.si, f.plus_minus_si, 1)),
        Size::Play(f) => degrees_pm(f),
    }
}

/// The verdict in a sentence or two.
pub fn explains(study: &Alike) -> String {
    let share = |c: Cause| study.causes.iter().find(|w| w.cause == c).map_or_else(String::new, |w| percent(w.share));
    match study.explains {
        Explains::Curve => format!(
            "The curve explains the hang ({} of what is possible). Nothing that can be put right explains what was seen nearly as well.",
            share(Cause::Curve)
        ),
        Explains::First(fault) => {
            format!("{} It explains what was seen best ({}).", first(fault), share(fault))
        }
        Explains::Elsewhere => format!(
            "Neither the curve nor any fault listed here explains what was seen ({} for something else). {ELSEWHERE}",
            share(Cause::NoneOfThese)
        ),
        Explains::ReadingsDisagree => DISAGREE.to_owned(),
        Explains::CannotTell { .. } => {
            let several: Vec<String> = study
                .causes
                .iter()
                .filter(|w| w.share >= TOLD)
                .map(|w| format!("{} ({})", cause(w.cause), percent(w.share)))
                .collect();
            format!("Cannot tell yet what makes it hang. Possible: {}.", several.join(", "))
        }
    }
}

/// Shares from which a cause is named in the verdict; the others stand in the table.
const TOLD: f64 = 0.05;

const DISAGREE: &str = "What was read on the throttle stop does not go together with this engine as the file has it. Find out which of them is wrong first.";

const ELSEWHERE: &str = "Look at spindle and balance pipe, fuel level, and the readings themselves.";

/// What to look for first.
fn first(fault: Cause) -> &'static str {
    match fault {
        Cause::Curve => "The curve makes it hang.",
        Cause::AirLeak => "Look for air first: stub, gaskets, balance pipe, spindle.",
        Cause::WeakPilot => "Look at the pilot mixture first: jet, passages, screw, fuel level.",
        Cause::StickingSlide => "Look at slide and cable first.",
        Cause::StickingWeights => "Look at the bob weights first: pivots, springs, cam.",
        Cause::NoneOfThese => ELSEWHERE,
    }
}

/// Why nothing is to be altered yet, for the advice on the cut.
pub fn before_altering(explains: Explains) -> &'static str {
    match explains {
        Explains::Curve => "",
        Explains::First(fault) => first(fault),
        Explains::Elsewhere => "The curve does not explain what was seen.",
        Explains::ReadingsDisagree => DISAGREE,
        Explains::CannotTell { do_this: Some(_) } => {
            "What was seen does not tell the curve from faults that can be put right: first do what stands under “What else hangs”."
        }
        Explains::CannotTell { do_this: None } => {
            "What was seen does not tell the curve from faults that can be put right: put those right first, one at a time."
        }
    }
}

/// The next thing to try.
pub fn next(study: &Alike) -> Option<String> {
    match study.explains {
        Explains::CannotTell { do_this: Some(observation) } => Some(do_this(observation)),
        Explains::CannotTell { do_this: None } => {
            Some("Nothing more that is listed here would tell. Put right what can be, one thing at a time, and see whether the hang goes.".to_owned())
        }
        _ => None,
    }
}

fn do_this(observation: Observation) -> String {
    let nudge;
    let what = match observation {
        Observation::Nudge { turned_rad } => {
            nudge = calibrate::nudge(turned_rad);
            &nudge
        }
        Observation::HangSpeed => "note the speed at which it hangs",
        Observation::Clutch => "while it hangs, pull it down with the clutch, let go, and see whether it stays down",
        Observation::Snap => {
            "while it hangs, snap the throttle shut by hand or knock the slide down, and see whether it comes down for good"
        }
        Observation::Choke => {
            "while it hangs, give it a little choke or hold a hand over part of the inlet, and see what the speed does"
        }
        Observation::Mist => {
            "at idle, mist stub, gaskets, balance pipe and spindle ends with water, or use smoke with the engine stopped"
        }
        Observation::RisingFalling => {
            "read the advance with the strobe at one speed half-way up, first rising slowly, then falling slowly"
        }
    };
    format!("Do this next (about {}\u{a0}min): {what}.", number(observation.minutes(), 0))
}

/// Before an observation is made (common practice, no source).
pub const fn cautions_for(observation: Observation) -> &'static [Caution] {
    const RUNNING: Caution = Caution {
        danger: "The engine runs: turning parts, hot exhaust, and exhaust gas that kills.",
        protects: "Sleeves and hair back, hands away from chain and rotor. Outdoors or extraction. Local rules come first.",
    };
    const RACES: Caution = Caution {
        danger: "A throttle that sticks can race the engine.",
        protects: "Prove the kill switch first, gear in neutral, a hand on it.",
    };
    const SPITS: Caution = Caution {
        danger: "It may spit back through the inlet and set petrol alight.",
        protects: "No bare hand right over the bore, no leaking petrol, extinguisher in reach.",
    };
    const SPRAY: Caution = Caution {
        danger: "Spray that burns, on a hot engine with sparks about, burns at once; water on hot metal scalds.",
        protects: "Water or smoke only: never petrol, carburettor cleaner or starting spray. A fine mist at the joints, none on exhaust, leads and caps.",
    };
    const STROBE: Caution = Caution {
        danger: "Under the strobe turning parts look still.",
        protects: "Leads and clothes tied back; nobody in the plane of the rotor.",
    };
    const CLUTCH: Caution = Caution {
        danger: "With a gear in, the machine may leap forward.",
        protects: "Front brake and wheel chock; let the clutch in only as far as it drags.",
    };
    const PLATE: Caution = Caution {
        danger: "A plate that works loose shifts the spark, and an early spark kicks back.",
        protects: "Turn it with the engine stopped, tighten it before starting, and prove the static timing when it is back.",
    };
    match observation {
        Observation::Nudge { .. } => &[RUNNING, PLATE],
        Observation::HangSpeed => &[RUNNING],
        Observation::Clutch => &[RUNNING, CLUTCH],
        Observation::Snap => &[RUNNING, RACES],
        Observation::Choke => &[RUNNING, SPITS],
        Observation::Mist => &[RUNNING, SPRAY],
        Observation::RisingFalling => &[RUNNING, STROBE],
    }
}

/// The cautions before what is to be tried next.
pub fn cautions_for_next(study: &Alike) -> &'static [Caution] {
    match study.explains {
        Explains::CannotTell { do_this: Some(observation) } => cautions_for(observation),
        Explains::First(Cause::AirLeak) => cautions_for(Observation::Mist),
        Explains::First(Cause::StickingSlide) => cautions_for(Observation::Snap),
        _ => &[],
    }
}

/// A cause in one line: its share, its size, and what it lets expect against what was seen.
pub fn line(study: &Alike, weighed: &Weighed) -> String {
    let size = weighed.size.map_or_else(String::new, |s| format!(", {}", size(s)));
    let each = study
        .seen
        .iter()
        .zip(&weighed.expected)
        .map(|((o, s), e)| format!("{}: {}, seen: {}", observation(*o), expected(*o, *e), seen(*o, *s)));
    format!("{} ({}{size}). {}.", capital(cause(weighed.cause)), percent(weighed.share), each.collect::<Vec<_>>().join("; "))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What must be said about how it came about.
pub fn remarks(study: &Alike) -> Vec<String> {
    let mut all = Vec::new();
    if study.mixture_unknown {
        all.push("The mixture in the file is weak already, so what a weaker one does was not computed. Air leak and pilot mixture are judged by what else was seen.".to_owned());
    }
    if study.left_out > 0.0 {
        all.push(format!(
            "{} of the engines within the ± cannot idle at the speed seen; they are left out.",
            percent(study.left_out)
        ));
    }
    all
}

/// Head of the table: what, seen, then the causes.
pub fn head(study: &Alike) -> Vec<String> {
    let causes = study.causes.iter().map(|w| capital(cause(w.cause)));
    [WHAT.to_owned(), SEEN.to_owned()].into_iter().chain(causes).collect()
}

/// Rows of the table.
pub fn rows(study: &Alike) -> Vec<Vec<String>> {
    let row = |name: &str, seen: String, of: &dyn Fn(usize) -> String| {
        [name.to_owned(), seen].into_iter().chain((0..study.causes.len()).map(of)).collect::<Vec<String>>()
    };
    let mut rows = vec![row(SHARE, String::new(), &|n| percent(study.causes[n].share))];
    for (i, (o, s)) in study.seen.iter().enumerate() {
        rows.push(row(&observation(*o), seen(*o, *s), &|n| expected(*o, study.causes[n].expected[i])));
    }
    rows.push(row(SIZE, String::new(), &|n| study.causes[n].size.map_or_else(|| OPEN.to_owned(), size)));
    rows
}
