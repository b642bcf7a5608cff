//! Wires, as JSON.

use super::{Number, electric::plain};
use serde::Serialize;
use workshop::{
    machine::Machine,
    study::electric::wires::{self, AmpsFrom, Fuse, WireFound, WiresStudy},
};

/// Wires.
#[derive(Debug, Serialize)]
pub struct Wires {
    wires: Vec<Wire>,
}

#[derive(Debug, Serialize)]
struct Wire {
    from: String,
    to: String,
    section_mm2: f64,
    ohm: Number,
    amps: Option<Number>,
    amps_from: Option<&'static str>,
    drop_v: Option<Number>,
    rise_k: Option<Number>,
    carries_a: f64,
    verdict: &'static str,
    better_mm2: Option<f64>,
    fuse: Option<&'static str>,
    fuse_a: Option<f64>,
    /// It comes from the battery and has none.
    fuse_missing: bool,
}

impl Wires {
    /// From a study.
    pub fn of(machine: &Machine, study: &WiresStudy) -> Self {
        let name = |end: &(workshop::machine::charging::WirePart, String)| {
            format!("{} {}", sheets::words::electric::wire_part(end.0), end.1)
        };
        let one = |(w, f): (&workshop::machine::charging::Wire, &WireFound)| Wire {
            from: name(&w.from),
            to: name(&w.to),
            section_mm2: super::mm2(w.section.si),
            ohm: plain(f.ohm),
            amps: f.amps.map(plain),
            amps_from: f.amps_from.map(|from| match from {
                AmpsFrom::File => "file",
                AmpsFrom::Load => "load",
                AmpsFrom::Ignition => "ignition",
            }),
            drop_v: f.drop.map(plain),
            rise_k: f.rise.map(plain),
            carries_a: f.carries_a,
            verdict: match f.verdict {
                wires::Verdict::NoCurrent => "no_current",
                wires::Verdict::Good => "good",
                wires::Verdict::Drops => "drops",
                wires::Verdict::Hot => "hot",
            },
            better_mm2: f.better_m2.map(super::mm2),
            fuse: f.fuse.map(|fuse| match fuse {
                Fuse::Fits => "fits",
                Fuse::TooSmall(_) => "too_small",
                Fuse::TooLarge(_) => "too_large",
                Fuse::WireTooThin => "wire_too_thin",
            }),
            fuse_a: w.fuse.as_ref().map(|f| f.si),
            fuse_missing: f.no_fuse,
        };
        Self { wires: machine.electric.wires.iter().zip(&study.wires).map(one).collect() }
    }
}
