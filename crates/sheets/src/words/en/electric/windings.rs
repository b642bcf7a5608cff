//! Windings that were measured.

use super::ohms;
use crate::words::{Caution, number, pm};
use workshop::study::electric::windings::{
    Insulation, JudgedBy, RECORD_SPREAD, TWINS_SPREAD, Verdict, WindingFound, WindingsStudy,
};

/// Heading.
pub const WINDINGS: &str = "Windings";
/// Heads of the table.
pub const WINDINGS_HEAD: [&str; 4] = ["winding", "at 20 °C", "should be", "verdict"];
/// Title of the sheet.
pub const WINDINGS_SHEET: &str = "Winding check";
/// What holds for every row.
pub const HOW_WINDINGS: &str = "Resistances are brought to 20 °C by (234.5 + 20)/(234.5 + temperature), as copper has it (IEC 60028), with the meter's leads taken off.";
/// What resistance cannot show.
pub const NOT_SHOWN: &str = "What ohms do not show: a few turns shorted among hundreds change the resistance by less than the meter's ±, and a short or a break that comes only with heat shows nothing cold. Compare the no-load volts of the phases at one speed (within 10 %), or the inductance of each; for a short to the frame, the insulation test.";
/// Heading of the steps.
pub const WINDING_STEPS: &str = "How to measure";

/// A row: name, resistance, range, verdict.
pub fn winding_row(w: &WindingFound) -> Vec<String> {
    let range = match w.by {
        JudgedBy::Record(least, most) | JudgedBy::Trade(least, most) => {
            let decimals = if most < 20.0 { 2 } else { 0 };
            format!("{} to {}\u{a0}Ω", number(least, decimals), number(most, decimals))
        }
        JudgedBy::Nothing => "not known".to_owned(),
    };
    vec![w.name.clone(), ohms(w.at_20), range, short(w.verdict).to_owned()]
}

fn short(v: Verdict) -> &'static str {
    match v {
        Verdict::Within => "good",
        Verdict::OnTheEdge => "cannot tell",
        Verdict::Low => "too low",
        Verdict::High => "too high",
        Verdict::NotJudged => "not judged",
    }
}

/// What is to be said of a winding.
pub fn winding(w: &WindingFound) -> Vec<String> {
    let name = &w.name;
    let mut all = Vec::new();
    let against = match w.by {
        JudgedBy::Record(..) => format!("the record ±\u{a0}{}\u{a0}%", number(RECORD_SPREAD * 100.0, 0)),
        JudgedBy::Trade(..) => {
            "what is common of its kind (common practice, no source; a record of this type would say more)".to_owned()
        }
        JudgedBy::Nothing => String::new(),
    };
    match w.verdict {
        Verdict::Within => {}
        Verdict::Low => all.push(format!("{name}: {} at 20 °C lies below {against}. Turns shorted to each other, or another part than thought.", ohms(w.at_20))),
        Verdict::High => all.push(format!("{name}: {} at 20 °C lies above {against}. A bad joint or plug, thinner wire, or another part. Read again at the winding itself.", ohms(w.at_20))),
        Verdict::OnTheEdge => all.push(format!("{name}: the ± of {} reaches over an end of {against}. A meter with four leads would tell.", ohms(w.at_20))),
        Verdict::NotJudged => all.push(format!("{name}: {} at 20 °C, with nothing to judge it by. Note it for the next one.", ohms(w.at_20))),
    }
    if w.leads_unknown {
        all.push(format!("{name}: the meter's leads were not read. They have 0.2 to 0.5\u{a0}Ω as a rule, which may be the whole winding: hold them together, read, and put it under leads."));
    }
    if let Some(t) = &w.twins
        && t.odd != Some(false)
    {
        let off = format!("{}\u{a0}%", pm(t.off.si * 100.0, t.off.plus_minus_si * 100.0, 0));
        let limit = number(TWINS_SPREAD * 100.0, 0);
        all.push(match (t.odd, t.count) {
            (Some(_), 2) => format!("{name}: it differs from its twin by {off}, more than {limit}\u{a0}%. One of the two is not as it was made; nothing here says which."),
            (Some(_), _) => format!("{name}: it differs from the others like it by {off}, more than {limit}\u{a0}%."),
            (None, _) => format!("{name}: it differs from those like it by {off}; whether that is more than {limit}\u{a0}%, the meter cannot tell."),
        });
    }
    if let Some((ohm, verdict)) = w.insulation {
        let megohms = number(ohm * 1e-6, usize::from(ohm < 1e7));
        all.push(match verdict {
            Insulation::Good => format!("{name}: {megohms}\u{a0}MΩ to the frame is good."),
            Insulation::Doubtful => {
                format!("{name}: {megohms}\u{a0}MΩ to the frame is doubtful: oil, damp or dirt; the steps say what to do.")
            }
            Insulation::ToFrame => {
                format!("{name}: {megohms}\u{a0}MΩ to the frame is a fault: the winding touches its core. Take it out of use.")
            }
        });
    }
    all
}

/// All in one sentence.
pub fn windings_verdict(study: &WindingsStudy) -> String {
    let bad = |w: &WindingFound| {
        matches!(w.verdict, Verdict::Low | Verdict::High)
            || w.twins.as_ref().is_some_and(|t| t.odd == Some(true))
            || matches!(w.insulation, Some((_, Insulation::ToFrame)))
    };
    let open = |w: &WindingFound| {
        w.verdict == Verdict::OnTheEdge
            || w.leads_unknown
            || w.twins.as_ref().is_some_and(|t| t.odd.is_none())
            || matches!(w.insulation, Some((_, Insulation::Doubtful)))
    };
    let named = |of: &dyn Fn(&WindingFound) -> bool| {
        study.windings.iter().filter(|w| of(w)).map(|w| w.name.clone()).collect::<Vec<_>>().join(", ")
    };
    let (wrong, unsure) = (named(&bad), named(&|w| !bad(w) && open(w)));
    match (wrong.is_empty(), unsure.is_empty()) {
        (true, true) => "No reading speaks against these windings.".to_owned(),
        (true, false) => format!("No winding is wrong for sure. Look again at: {unsure}."),
        (false, true) => format!("Not right: {wrong}."),
        (false, false) => format!("Not right: {wrong}. Look again at: {unsure}."),
    }
}

/// Steps, each with what must be heeded before it.
pub fn winding_steps() -> Vec<(Option<Caution>, &'static str)> {
    vec![
        (Some(super::HOT_STATOR), "Let the winding come to the room's temperature and note it."),
        (None, "Unplug it. Hold the meter's leads together, read, and note that too."),
        (None, "Read each pair of leads twice, turning the plugs a little: a reading that jumps is a plug, not a winding."),
        (Some(super::INSULATION_TEST), "Test each winding against the frame at 500 V for a minute; then discharge it."),
        (
            None,
            "Under 1 MΩ: clean it without petrol, let every solvent go in free air, then dry it at 60 to 80 °C and test again.",
        ),
        (
            Some(super::RUNNING),
            "Run it with the rectifier unplugged at one low, steady speed and read the alternating volts of each pair: this shows shorted turns and weak magnets, which ohms do not.",
        ),
    ]
}

/// Column to fill in.
pub const AS_MEASURED_AGAIN: &str = "measured again";
/// Box.
pub const OHMS_BOX: &[&str] = &["Ω", "°C"];
/// Heads of what is filled in while it runs.
pub const RUN_HEAD: [&str; 4] = ["speed", "battery", "volts", "ripple"];
/// The last of them.
pub const BETWEEN_LEADS: &str = "between leads 12, 23, 31";
/// Box.
pub const SPEED_BOX: &[&str] = &["rpm"];
/// Box.
pub const AMPS_BOX: &[&str] = &["A"];
/// Box.
pub const VOLTS_BOX: &[&str] = &["V"];
/// Box.
pub const RIPPLE_BOX: &[&str] = &["V ~"];
/// Box.
pub const LEADS_BOX: &[&str] = &["V ~", "V ~", "V ~"];
