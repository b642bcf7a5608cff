//! What drops over each wire, how warm it gets, and whether its fuse fits.

use crate::{
    machine::{
        Machine,
        charging::{Wire, WirePart},
    },
    study::{
        Finding,
        doubt::{Input, finding, input},
        spark::feed,
    },
};
use physics::wire;

/// Temperature of a wire in the loom with the machine warm [K], and its ± (common practice, no source: 40 ± 15 °C).
const LOOM_K: (f64, f64) = (313.15, 15.0);
/// What a square metre of a wire's skin gives off for each kelvin in a loom [W/(m²·K)], and its ± (common practice, no source).
const SKIN: (f64, f64) = (9.0, 3.0);
/// Thickness of thin insulation [m] (ISO 6722-1 thin wall, from memory: 0.25 to 0.4 mm).
const WALL_M: f64 = 0.3e-3;
/// Share of a strand's outline that is copper \[1\] (common practice, no source).
const FILLED: f64 = 0.75;
/// Most that may drop over one wire [V] (common practice, no source: 0.3 V a side).
pub const MOST_DROP_V: f64 = 0.3;
/// Warmer than its surroundings by this no wire should get [K] (common practice, no source: plain PVC bears 70 to 90 °C).
pub const MOST_RISE_K: f64 = 35.0;
/// A fuse carries steadily this share of its rating \[1\] (common practice, no source: three quarters).
const FUSE_CARRIES: f64 = 0.75;
/// Ratings of fuses [A] (ISO 8820-3, from memory).
const FUSES_A: [f64; 10] = [2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0];
/// Terminals by DIN 72552-2 that a motorcycle has.
pub const TERMINALS: [&str; 34] = [
    "1", "2", "4", "15", "15a", "30", "31", "31b", "49", "49a", "50", "51", "54", "55", "56", "56a", "56b", "58", "59", "59a",
    "59b", "59c", "61", "85", "86", "87", "B+", "D+", "D-", "DF", "L", "U", "V", "W",
];

/// How a wire stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing says what it carries.
    NoCurrent,
    /// Good.
    Good,
    /// More drops over it than should.
    Drops,
    /// It gets too warm.
    Hot,
}

/// Where a wire's current comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AmpsFrom {
    /// The file has it.
    File,
    /// The load that it feeds.
    Load,
    /// Worked out: what the ignition takes.
    Ignition,
}

/// How a fuse stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fuse {
    /// It fits.
    Fits,
    /// It will go in ordinary use; one of this rating would not [A].
    TooSmall(f64),
    /// The wire burns before it goes; the largest that protects it [A], where there is one.
    TooLarge(Option<f64>),
    /// None both holds this load and goes before this wire.
    WireTooThin,
}

/// One wire.
#[derive(Clone, Debug, PartialEq)]
pub struct WireFound {
    /// Its resistance in the warm loom, one way [Ω].
    pub ohm: Finding,
    /// What it carries [A].
    pub amps: Option<Finding>,
    /// Where that comes from.
    pub amps_from: Option<AmpsFrom>,
    /// What drops over it [V].
    pub drop: Option<Finding>,
    /// How much warmer than the loom it gets [K]; not a number where nothing holds it.
    pub rise: Option<Finding>,
    /// Current at which it gets too warm [A].
    pub carries_a: f64,
    /// How it stands.
    pub verdict: Verdict,
    /// Section that would do [m²], where it does not and the table has one.
    pub better_m2: Option<f64>,
    /// Its fuse.
    pub fuse: Option<Fuse>,
    /// It comes from the battery and has no fuse.
    pub no_fuse: bool,
    /// Its ends whose terminals DIN 72552 does not know: the first, the second.
    pub unknown: [bool; 2],
}

/// The study.
#[derive(Clone, Debug, PartialEq)]
pub struct WiresStudy {
    /// In the order of the file.
    pub wires: Vec<WireFound>,
    /// Parts that no wire joins to the battery's frame side, as a reminder to look for their earth.
    pub without_earth: Vec<WirePart>,
}

/// Judges every wire of a file; `None` where there is none.
pub fn study(machine: &Machine) -> Option<WiresStudy> {
    let wires = &machine.electric.wires;
    if wires.is_empty() {
        return None;
    }
    let takes = feed::takes(machine).ok().flatten();
    let found = wires.iter().map(|w| one(machine, w, takes)).collect();
    // Lamps, ignition and regulator work against the frame; which of them is earthed by its bolts alone is worth a look.
    let earthed = |part: WirePart| {
        wires.iter().any(|w| (w.from.0 == part && w.to.0 == WirePart::Frame) || (w.to.0 == part && w.from.0 == WirePart::Frame))
    };
    let used = |part: WirePart| wires.iter().any(|w| w.from.0 == part || w.to.0 == part);
    let works = [WirePart::Regulator, WirePart::Battery, WirePart::Ignition, WirePart::Load];
    Some(WiresStudy { wires: found, without_earth: works.into_iter().filter(|p| used(*p) && !earthed(*p)).collect() })
}

/// Diameter over the insulation of a wire [m].
fn skin_m(section_m2: f64) -> f64 {
    (4.0 * section_m2 / (std::f64::consts::PI * FILLED)).sqrt() + 2.0 * WALL_M
}

/// Resistance of a metre at 20 °C [Ω/m]: gauge numbers as solid copper, sections by the table of flexible wires.
fn ohm_per_m(w: &Wire, section_m2: f64) -> f64 {
    if w.gauge.is_some() { wire::solid_ohm_per_m(section_m2) } else { wire::flexible_ohm_per_m(section_m2) }
}

/// Share of what the ignition takes that flows through it \[1\]: all from battery, fuse or switch to ignition; of an inductive one, whose coils are alike, an even share through each wire to a coil, and
/// through each between coil and contacts.
pub fn feeds_ignition(machine: &Machine, w: &Wire) -> Option<f64> {
    use WirePart::{Battery, Coil, Fuse, Ignition, Switch};
    let way = |w: &Wire| {
        [(w.from.0, w.to.0), (w.to.0, w.from.0)].iter().find_map(|(a, b)| match (a, b) {
            (Battery | Fuse | Switch, Ignition) => Some(Ignition),
            (Battery | Fuse | Switch, Coil) => Some(Switch),
            (Coil, Ignition) => Some(Coil),
            _ => None,
        })
    };
    let own = way(w)?;
    let inductive = machine.ignition.spark.is_some_and(|s| !s.kind.discharges());
    match own {
        Ignition => Some(1.0),
        _ => inductive.then(|| 1.0 / machine.electric.wires.iter().filter(|w| way(w) == Some(own)).count() as f64),
    }
}

/// Whether it joins battery or ignition to the frame.
pub fn is_earth(w: &Wire) -> bool {
    let other = |a: WirePart, b: WirePart| (a == WirePart::Frame).then_some(b);
    let joined = other(w.from.0, w.to.0).or(other(w.to.0, w.from.0));
    joined.is_some_and(|part| matches!(part, WirePart::Battery | WirePart::Ignition))
}

/// What a wire carries [A], by the file, its load, or what the ignition takes.
fn carried(machine: &Machine, w: &Wire, takes: Option<Finding>) -> Option<(Input, AmpsFrom)> {
    let file = w.amps.as_ref().map(|r| (input(r), AmpsFrom::File));
    let load = || w.load.map(|k| (input(&machine.electric.loads[k].amps), AmpsFrom::Load));
    let ignition = || {
        let (f, share) = (takes?, feeds_ignition(machine, w)?);
        Some(((share * f.si, share * f.plus_minus_si), AmpsFrom::Ignition))
    };
    file.or_else(load).or_else(ignition)
}

fn one(machine: &Machine, w: &Wire, takes: Option<Finding>) -> WireFound {
    let carried = carried(machine, w, takes);
    let amps = carried.map(|c| c.0);
    let (section, length) = (input(&w.section), w.length.si);
    let ohm = finding(|x| wire::drop_v(1.0, ohm_per_m(w, x[0]), length, x[1]), &[section, LOOM_K]);
    let of = |amps| [amps, section, LOOM_K, SKIN];
    let drop = amps.map(|i| {
        let warm = |x: &[f64]| {
            let r = ohm_per_m(w, x[1]);
            let rise = wire::rise_k(x[0], r, x[2], skin_m(x[1]), x[3]);
            wire::drop_v(x[0], r, length, x[2] + if rise.is_finite() { rise } else { 0.0 })
        };
        finding(warm, &of(i))
    });
    let rise = amps.map(|i| finding(|x| wire::rise_k(x[0], ohm_per_m(w, x[1]), x[2], skin_m(x[1]), x[3]), &of(i)));
    let carries = |m2: f64| wire::current_for_rise(MOST_RISE_K, ohm_per_m(w, m2), LOOM_K.0, skin_m(m2), SKIN.0);
    let carries_a = carries(section.0);
    let verdict = match (drop, rise) {
        (Some(_), Some(rise)) if rise.si.is_nan() || rise.si > MOST_RISE_K => Verdict::Hot,
        (Some(drop), _) if drop.si > MOST_DROP_V => Verdict::Drops,
        (Some(_), _) => Verdict::Good,
        _ => Verdict::NoCurrent,
    };
    let better_m2 = amps.filter(|_| matches!(verdict, Verdict::Hot | Verdict::Drops)).and_then(|(i, _)| {
        let sections = wire::CLASS_5.iter().map(|(mm2, _)| mm2 * 1e-6);
        sections.into_iter().find(|&m2| {
            let r = wire::flexible_ohm_per_m(m2);
            let rise = wire::rise_k(i, r, LOOM_K.0, skin_m(m2), SKIN.0);
            rise <= MOST_RISE_K && wire::drop_v(i, r, length, LOOM_K.0 + rise) <= MOST_DROP_V
        })
    });
    let known = |at: &str| TERMINALS.contains(&at);
    WireFound {
        ohm,
        amps: amps.map(|(si, plus_minus_si)| Finding { si, plus_minus_si }),
        amps_from: carried.map(|c| c.1),
        drop,
        rise,
        carries_a,
        verdict,
        better_m2,
        fuse: w.fuse.as_ref().map(|f| fuse(f.si, amps.map(|a| a.0), carries_a)),
        no_fuse: w.fuse.is_none() && feeds(w),
        unknown: [!known(&w.from.1), !known(&w.to.1)],
    }
}

/// Whether it takes current from the battery's live side to anything but a fuse. The starter's and the frame's wires have none.
fn feeds(w: &Wire) -> bool {
    let live = |end: &(WirePart, String)| end.0 == WirePart::Battery && end.1 != "31";
    let other = if live(&w.from) { w.to.0 } else { w.from.0 };
    (live(&w.from) || live(&w.to)) && !matches!(other, WirePart::Frame | WirePart::Fuse)
}

fn fuse(rated_a: f64, amps: Option<f64>, carries_a: f64) -> Fuse {
    if rated_a > carries_a {
        return Fuse::TooLarge(FUSES_A.into_iter().rev().find(|f| *f <= carries_a));
    }
    match amps.filter(|i| *i > FUSE_CARRIES * rated_a) {
        // A fuse that holds the load must still go before the wire.
        Some(i) => {
            FUSES_A.into_iter().find(|f| FUSE_CARRIES * f >= i && *f <= carries_a).map_or(Fuse::WireTooThin, Fuse::TooSmall)
        }
        None => Fuse::Fits,
    }
}
