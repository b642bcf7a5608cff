//! Faults of charging, and what readings look like.

use super::{amps, volts};
use crate::words::{label, number, percent, rpm};
use workshop::study::electric::{
    charge::Compared,
    likeness::{Fault, Likeness, Shown, Signature, What},
};

/// Heading.
pub const SIGNATURES: &str = "How faults would show";
/// Heads of the table of signatures.
pub const SIGNATURES_HEAD: [&str; 5] = ["fault", "battery", "volts", "ripple", "between leads 12, 23, 31"];
/// Heading.
pub const LOOKS_LIKE: &str = "What the readings look like";
/// Heads of what was measured.
pub const COMPARED_HEAD: [&str; 4] = ["reading", "as read", "sound", "verdict"];
/// How to read the table of signatures.
pub const HOW_SIGNATURES: &str = "Alternating volts between leads are those of a meter that answers to the mean, as most do. For shorted turns the current in the short itself, which heats it, is left out.";

/// A fault in words.
pub fn fault(fault: Fault) -> String {
    let lead = |k: usize| k + 1;
    let side = |upper: bool| if upper { "to plus" } else { "from the frame" };
    match fault {
        Fault::Sound => "a sound system".to_owned(),
        Fault::DeadPhase(k) => format!("phase {} broken", lead(k)),
        Fault::OpenDiode(k, upper) => format!("diode of lead {} {} open", lead(k), side(upper)),
        Fault::ShortedDiode(k, upper) => format!("diode of lead {} {} shorted", lead(k), side(upper)),
        Fault::WeakMagnets(left) => format!("weak magnets, about {} of the flux left", percent(left)),
        Fault::TurnsShorted(k, share) => format!("about {} of the turns of phase {} shorted", percent(share), lead(k)),
        Fault::BadJoint(k, ohm) => format!("a joint of about {}\u{a0}Ω in phase {}", number(ohm, 1), lead(k)),
        Fault::AlwaysJoined => "a regulator that shorts the windings for good".to_owned(),
        Fault::NeverHeld => "a regulator that does not regulate".to_owned(),
    }
}

/// Which reading.
pub fn what(w: What) -> String {
    let pair = |k: usize| ["1–2", "2–3", "3–1"][k.min(2)];
    match w {
        What::Amps => "amps into the battery".to_owned(),
        What::Volts => "volts at the battery".to_owned(),
        What::Ripple => "alternating volts at the battery".to_owned(),
        What::Leads(k) => format!("leads {}, plugged in", pair(k)),
        What::Unplugged(k) => format!("leads {}, unplugged", pair(k)),
    }
}

/// A reading beside a sound system.
pub fn compared_row(c: &Compared) -> Vec<String> {
    let of = |f| if c.what == What::Amps { amps(f) } else { volts(f) };
    let verdict = if c.agrees() { "agrees" } else { "does not agree" };
    vec![what(c.what), of(c.read), of(c.computed), verdict.to_owned()]
}

/// What the readings look like.
pub fn likeness(found: &Likeness) -> Vec<String> {
    let mut all = Vec::new();
    let Some(first) = found.kinds.first() else { return all };
    /// Share from which one cause is taken for it, and the least that is named \[1\] (own choice).
    const TAKEN: f64 = 0.8;
    const NAMED: f64 = 0.05;
    if !found.fits {
        all.push(format!(
            "None of the faults in the list explains these {} readings. Nearest is {}. Look for two faults at once, a slipped rev counter, or a wrong figure in the file.",
            found.readings,
            fault(first.best)
        ));
        return all;
    }
    let named: Vec<String> =
        found.kinds.iter().filter(|k| k.share >= NAMED).map(|k| format!("{} ({})", fault(k.best), percent(k.share))).collect();
    if first.share >= TAKEN {
        let share = if first.share > 0.99 { "more than 99\u{a0}%".to_owned() } else { percent(first.share) };
        all.push(format!("The readings look like {} ({share} of what could be).", fault(first.best)));
    } else {
        all.push(format!("The readings do not tell these apart: {}.", named.join("; ")));
    }
    all.push(
        "Each kind of fault counts as equally likely before; fit a part that is known to be sound and read again, to prove it."
            .to_owned(),
    );
    all
}

/// A row of the table of signatures.
pub fn signature_row(s: &Signature) -> Vec<String> {
    let Shown { amps, volts, ripple, leads, .. } = s.shown;
    let one = |v: f64, decimals| number(v, decimals);
    let leads = if leads[1] == 0.0 && leads[2] == 0.0 { one(leads[0], 1) } else { leads.map(|v| one(v, 1)).join(", ") };
    vec![
        fault(s.fault),
        format!("{}\u{a0}A", one(amps, 1)),
        format!("{}\u{a0}V", one(volts, 1)),
        format!("{}\u{a0}V", one(ripple, 2)),
        format!("{leads}\u{a0}V"),
    ]
}

/// Above the table.
pub fn signatures_at(rad_s: f64) -> String {
    format!("{} {}, everything switched on.", label::SPEED, rpm(rad_s))
}
