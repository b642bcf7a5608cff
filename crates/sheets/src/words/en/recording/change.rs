//! Before and after.

use super::names;
use crate::words::{count, degrees_pm, number, percent, pm, rpm};
use physics::law::Trend;
use workshop::{
    machine::Machine,
    study::{
        Finding,
        recording::change::{Change, Moved, PlaceChange, Trouble},
    },
};

/// Heading.
pub const CHANGE: &str = "Against the recording before";
/// Heads of the table.
pub const CHANGE_HEAD: [&str; 6] = ["cylinder", "speed", "going", "before", "after", "moved by"];
/// Series of the chart.
pub const RECORDED_BEFORE: &str = "recorded before";
/// No row in common.
pub const NOTHING_IN_COMMON: &str =
    "The two recordings have no speed in common with the same trend: their curves are not compared.";

/// A row of the table.
pub fn moved(machine: &Machine, m: &Moved) -> Vec<String> {
    let going = match m.trend {
        Trend::Rising => "rising",
        Trend::Falling => "falling",
        Trend::Held => "held",
    };
    let by = if m.surely() { degrees_pm(m.by) } else { format!("{} (within its ±)", degrees_pm(m.by)) };
    vec![
        names(machine, &[m.cylinder]),
        rpm(m.speed_rad_s),
        going.to_owned(),
        degrees_pm(m.advance.0),
        degrees_pm(m.advance.1),
        by,
    ]
}

/// What the change comes to, in sentences.
pub fn change(machine: &Machine, c: &Change) -> Vec<String> {
    let mut all = Vec::new();
    for (cylinder, mean) in &c.mean {
        let own = || c.moved.iter().filter(|m| m.cylinder == *cylinder);
        let (surely, of) = (own().filter(|m| m.surely()).count(), own().count());
        let name = names(machine, &[*cylinder]);
        all.push(if mean.si.abs() <= mean.plus_minus_si && surely * 10 <= of {
            format!("Cylinder {name}: the curve is the same as before, within {}.", degrees_pm(Finding { si: mean.plus_minus_si, plus_minus_si: 0.0 }))
        } else {
            format!(
                "Cylinder {name}: over the speeds in both the spark comes {} {} than before; at {} of {} speeds the difference is more than its ±.",
                degrees_pm(Finding { si: mean.si.abs(), ..*mean }),
                if mean.si >= 0.0 { "earlier" } else { "later" },
                count(surely),
                count(of)
            )
        });
    }
    if c.moved.is_empty() {
        all.push(NOTHING_IN_COMMON.to_owned());
    }
    all.extend(c.places.iter().map(|p| place(machine, p)));
    if let Some(arc) = c.arc {
        all.push(format!("The segment reads {} longer than before.", degrees_pm(arc)));
    }
    let listed = |what: &[Trouble]| what.iter().map(|t| trouble(machine, *t)).collect::<Vec<_>>().join("; ");
    all.push(if c.gone.is_empty() { "No trouble has gone.".to_owned() } else { format!("Gone: {}.", listed(&c.gone)) });
    all.push(if c.new.is_empty() { "None is new.".to_owned() } else { format!("New: {}.", listed(&c.new)) });
    if !c.left.is_empty() {
        all.push(format!("In both: {}.", listed(&c.left)));
    }
    all
}

fn place(machine: &Machine, p: &PlaceChange) -> String {
    let degrees = |rad: f64| format!("{}°", number(rad.to_degrees(), 2));
    let share = p.jitter_share.map_or_else(String::new, |s| {
        let same = (s.si - 1.0).abs() <= s.plus_minus_si;
        format!(", {} times as much{}", pm(s.si, s.plus_minus_si, 2), if same { ": no sure change" } else { "" })
    });
    format!(
        "Cylinder {}: scatter from firing to firing {} before, {} after{share}; missing {} before, {} after.",
        names(machine, &[p.cylinder]),
        degrees(p.jitter_rad.0),
        degrees(p.jitter_rad.1),
        percent(p.missing.0),
        percent(p.missing.1)
    )
}

/// A trouble in a few words.
pub fn trouble(machine: &Machine, t: Trouble) -> String {
    let of = |c: usize| names(machine, &[c]);
    match t {
        Trouble::Missing(c) => format!("missing sparks of cylinder {}", of(c)),
        Trouble::NotHeard(c) => format!("no sparks of cylinder {} heard", of(c)),
        Trouble::SecondSparks(c) => format!("second sparks of cylinder {}", of(c)),
        Trouble::Stray => "stray sparks".to_owned(),
        Trouble::RisingIsNotFalling(c) => format!("another advance with rising than with falling speed, cylinder {}", of(c)),
        Trouble::RotorOff => "the rotor not as measured".to_owned(),
        Trouble::TurnsMissing => "turns lost in the trigger's channel".to_owned(),
        Trouble::Recorded => "a channel clipped or in noise".to_owned(),
    }
}
