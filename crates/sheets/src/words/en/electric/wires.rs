//! Wires and earths.

use super::{amps, volts};
use crate::{
    probes::Probe,
    words::{Caution, number, pm},
};
use workshop::{
    machine::charging::{Wire, WirePart},
    study::electric::wires::{AmpsFrom, Fuse, MOST_DROP_V, MOST_RISE_K, Verdict, WireFound, WiresStudy},
};

/// Heading.
pub const WIRES_TITLE: &str = "Wires and earths";
/// Title of the drawing with probes.
pub const PROBES_SHEET: &str = "Wiring, with the probes";
/// Title of the sheet.
pub const WIRES_SHEET: &str = "Wiring of ignition and charging, as fitted";
/// Button.
pub const WIRES_BUTTON: &str = "Wiring as fitted";
/// Heads of the list.
pub const WIRES_HEAD: [&str; 6] = ["wire", "colour", "size", "carries", "drops", "warmer by"];
/// How it was computed.
pub const HOW_WIRES: &str = "Resistance of flexible wire by IEC 60228 class 5, of gauge numbers as solid copper by ASTM B258 and IEC 60028, warm in the loom. Current to a load comes back through the frame. How warm a wire gets in a loom is good to a third.";
/// Description of the drawing.
pub const WIRING_SEEN: &str =
    "Every wire in the file as a line between the terminals of its two parts. Terminals are numbered by DIN 72552.";
/// The sign of an unknown number.
pub const NOT_DIN: &str = "not a number of DIN 72552";

/// Where probes stand, in the order of their numbers.
pub fn probes_at(probes: &[Probe]) -> String {
    let one = |(n, probe): (usize, &Probe)| match probe {
        Probe::At(part, name) => format!("{} {} {name}", n + 1, wire_part(*part)),
        Probe::Frame => format!("{} bare {}", n + 1, wire_part(WirePart::Frame)),
    };
    format!("{}.", probes.iter().enumerate().map(one).collect::<Vec<_>>().join(", "))
}

/// A part.
pub fn wire_part(part: WirePart) -> &'static str {
    match part {
        WirePart::Alternator => "alternator",
        WirePart::Regulator => "regulator",
        WirePart::Battery => "battery",
        WirePart::Fuse => "fuse",
        WirePart::Switch => "switch",
        WirePart::Ignition => "ignition",
        WirePart::Coil => "coil",
        WirePart::Load => "loads",
        WirePart::Frame => "frame",
    }
}

/// `regulator B+ to battery 30`.
pub fn wire_name(w: &Wire) -> String {
    format!("{} {} to {} {}", wire_part(w.from.0), w.from.1, wire_part(w.to.0), w.to.1)
}

/// `1.5 mm²`, `AWG 16`.
pub fn wire_size(w: &Wire) -> String {
    w.gauge.map_or_else(
        || {
            let mm2 = w.section.si * 1e6;
            let decimals = if (mm2 * 10.0).fract().abs() > 1e-6 { 2 } else { usize::from(mm2.fract().abs() > 1e-6) };
            format!("{}\u{a0}mm²", number(mm2, decimals))
        },
        |g| format!("AWG\u{a0}{g}"),
    )
}

/// A row of the list.
pub fn wire_row(w: &Wire, found: &WireFound) -> Vec<String> {
    let dash = || number(f64::NAN, 0);
    vec![
        wire_name(w),
        w.colour.clone().unwrap_or_else(dash),
        wire_size(w),
        found.amps.map_or_else(dash, amps),
        found.drop.map_or_else(dash, |f| format!("{}\u{a0}V", pm(f.si, f.plus_minus_si, 2))),
        found.rise.map_or_else(dash, |f| format!("{}\u{a0}K", pm(f.si, f.plus_minus_si, 0))),
    ]
}

/// What is to be said of a wire.
pub fn wire(w: &Wire, found: &WireFound) -> Vec<String> {
    let name = wire_name(w);
    let mut all = Vec::new();
    let better = found.better_m2.map_or_else(
        || " No section of the table is enough: halve the length or the current.".to_owned(),
        |m2| format!(" {}\u{a0}mm² would do.", number(m2 * 1e6, 2).trim_end_matches('0').trim_end_matches('.')),
    );
    if let (Some(AmpsFrom::Ignition), Some(carries)) = (found.amps_from, found.amps) {
        all.push(format!(
            "{name}: {} is what the ignition takes by its own readings, contacts closed or converter at work.",
            amps(carries)
        ));
    }
    match (found.verdict, found.drop) {
        (Verdict::Drops, Some(drop)) => {
            all.push(format!("{name}: {} drop over it, more than {}\u{a0}V.{better}", volts(drop), number(MOST_DROP_V, 1)));
        }
        (Verdict::Hot, _) => all.push(format!(
            "{name}: it gets warmer than the loom by more than {}\u{a0}K; it carries {}\u{a0}A without.{better}",
            number(MOST_RISE_K, 0),
            number(found.carries_a, 0)
        )),
        _ => {}
    }
    match found.fuse {
        Some(Fuse::TooSmall(would)) => all.push(format!(
            "{name}: its fuse will go in ordinary use; {}\u{a0}A would hold.",
            number(would, 1).trim_end_matches(".0")
        )),
        Some(Fuse::TooLarge(Some(largest))) => all.push(format!(
            "{name}: its fuse does not protect it: the wire bears {}\u{a0}A for long. At most {}\u{a0}A.",
            number(found.carries_a, 0),
            number(largest, 1).trim_end_matches(".0")
        )),
        Some(Fuse::WireTooThin) => all.push(format!(
            "{name}: no fuse both holds this load and protects this wire, which bears {}\u{a0}A for long: a thicker wire first.",
            number(found.carries_a, 0)
        )),
        Some(Fuse::TooLarge(None)) => all.push(format!("{name}: no fuse is small enough for this wire.")),
        _ => {}
    }
    if found.no_fuse {
        all.push(format!("{name}: it comes from the battery and has no fuse: a short sets it alight. A fuse close to the battery (only a starter's own cable has none)."));
    }
    for (at, unknown) in [(&w.from.1, found.unknown[0]), (&w.to.1, found.unknown[1])] {
        if unknown {
            all.push(format!("{name}: “{at}” is {NOT_DIN}."));
        }
    }
    all
}

/// All in one sentence.
pub fn wires_verdict(study: &WiresStudy) -> String {
    let bad = study
        .wires
        .iter()
        .filter(|w| matches!(w.verdict, Verdict::Drops | Verdict::Hot) || !matches!(w.fuse, None | Some(Fuse::Fits)) || w.no_fuse)
        .count();
    let open = study.wires.iter().filter(|w| w.verdict == Verdict::NoCurrent).count();
    let of = study.wires.len();
    let rest = if open > 0 { format!(" Of {open} the file does not say what they carry.") } else { String::new() };
    match bad {
        0 => format!("No wire of {of} is too thin or without a fuse by these figures.{rest}"),
        1 => format!("One wire of {of} needs a look.{rest}"),
        n => format!("{n} wires of {of} need a look.{rest}"),
    }
}

/// Parts without an earth wire of their own.
pub fn without_earth(study: &WiresStudy) -> Option<String> {
    let names: Vec<&str> = study.without_earth.iter().map(|p| wire_part(*p)).collect();
    (!names.is_empty()).then(|| {
        format!(
            "Without an earth wire in the file: {}. If they are earthed by their bolts, read the drop to the battery's minus with everything on: more than {}\u{a0}V asks for a wire.",
            names.join(", "),
            number(MOST_DROP_V, 1)
        )
    })
}

/// Steps, each with what must be heeded before it.
pub fn wire_steps() -> Vec<(Option<Caution>, &'static str)> {
    vec![
        (
            Some(super::BATTERY),
            "Read the drop of each feed and each earth with everything on, with probes at the battery's own poles, nothing laid across them.",
        ),
        (Some(super::WIRES), "Make good what drops more than it should, the earths first; read again."),
    ]
}

/// `fuse 15 A`.
pub fn fuse_of(rated_a: f64) -> String {
    format!("fuse {}\u{a0}A", number(rated_a, 1).trim_end_matches(".0"))
}
