//! The spark: what is available, what is needed, and what follows.

pub mod coils;
pub mod defect;
pub mod paper;

use crate::words::{Caution, before_tdc, celsius, number, percent, pm, rpm, rpm_pm};
use workshop::machine::{Machine, Polarity, spark::Kind};
use workshop::study::{
    Check, Finding,
    spark::{
        Held, SparkStudy,
        battery::Lowest,
        beside::Beside,
        energy::EnergyAt,
        margin::{At, Case, CaseCurve, Verdict, least, verdict},
        needed::From,
        signal::{Edge, SignalAt},
    },
};

/// Heading.
pub const SPARK: &str = "The spark";
/// Heading.
pub const MARGIN: &str = "Available against needed";
/// Heading.
pub const ENERGY: &str = "Where the energy goes";
/// Heading.
pub const COILS: &str = "Which coil belongs here";
/// Heading.
pub const SIGNAL: &str = "Signal of the pickup";
/// Heading of a chart.
pub const MARGIN_TITLE: &str = "Voltage at the plug";
/// Heading of a chart.
pub const SIGNAL_TITLE: &str = "Pickup's peak against the module's need";
/// Axis.
pub const VOLTAGE: &str = "Voltage";
/// Unit.
pub const KV: &str = "kV";
/// Unit.
pub const V: &str = "V";
/// Series.
pub const AVAILABLE: &str = "available";
/// Series.
pub const NEEDED: &str = "needed";
/// Series.
pub const NEEDED_WORN: &str = "needed, worn plug";
/// Series.
pub const NEED_OF_MODULE: &str = "module needs";
/// Rule.
pub const KICK: &str = "kick";
/// What a chart shows.
pub const MARGIN_DESCRIPTION: &str = "Voltage available at the plug and voltage that the gap needs, each with its ±, against crank speed, throttle wide open; beside it the ways in which it gets worse.";
/// What a chart shows.
pub const SIGNAL_DESCRIPTION: &str =
    "Peak of each pickup's pulse against crank speed, and what the module needs, each with its ±.";
/// Heads of the table of speeds.
pub const SPEEDS_HEAD: [&str; 6] = ["crank speed", "filled", "available", "rise", "needed", "margin"];
/// Heads of the table of cases.
pub const CASES_HEAD: [&str; 4] = ["case", "at the kick", "least", "at"];
/// Heads of the table of sparks.
pub const ENERGY_HEAD: [&str; 6] = ["crank speed", "before", "into the gap", "burns for", "heat of the coil", "in cap and lead"];
/// What holds for every number of this part.
pub const HOW_COMPUTED: &str = "Available is the first swing at the plug with no spark, coil without iron losses or saturation. Needed is a uniform field's breakdown at the pressure and temperature of the spark, throttle wide open, times a plug's factor: 0.85 ± 0.17 with sharp edges, from published ranges at 1 bar, 1.0 ± 0.2 with rounded ones (own choice). A weak mixture may need more.";
/// The same of the spark.
pub const HOW_BURNT: &str = "The gap breaks down at the needed voltage and then burns at the volts of the file; the first discharge of the plug's own capacitance counts as gap.";
/// The same of the signal.
pub const HOW_SIGNALLED: &str =
    "The pulse goes with speed, and for a sharp pole with one over the square of the gap: a wide pole allows more.";

/// Before anything is measured at the ignition.
pub const fn cautions() -> &'static [Caution] {
    &[
        Caution {
            danger: "High voltage. The output of a capacitor ignition, the capacitor in its module and its source coil can hurt badly, and so can the points side of a coil (200 to 400 V) and a condenser under test; a pacemaker may fail.",
            protects: "Wearers of a pacemaker stay away. Key off, engine still, the capacitor in the module or the condenser under test discharged through a resistor, before anything is touched. One hand, the other away from metal.",
        },
        Caution {
            danger: "A lead that hangs open lets the voltage run up until coil, cap or module breaks through.",
            protects: "Never let a lead hang open. Earthed tester with a gap on every lead, also on the second cylinder.",
        },
        Caution {
            danger: "Petrol vapour: a spark near an open plug hole or a leaking carburettor sets it alight.",
            protects: "No spark test there. Plug holes closed, fuel off, extinguisher at hand, nothing sprayed on a hot engine.",
        },
    ]
}

/// First line of a netlist.
pub fn netlist_of(machine: &str, speed_rad_s: f64) -> String {
    format!("{machine}: one spark at {}, the plug's gap left open", rpm(speed_rad_s))
}

/// Name of a kind.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::CapacitorFromSource => "capacitor discharge, filled by a source coil",
        Kind::CapacitorFromBattery => "capacitor discharge, filled from the battery",
        Kind::Points => "coil and points",
        Kind::Transistor => "coil and transistor",
    }
}

/// What is missing.
pub fn held(why: Held) -> String {
    let Held::Missing(table) = why;
    format!("The file has no [{table}], so this is left out.")
}

/// `15.4 ± 4.7 kV`.
pub fn kv(f: Finding) -> String {
    format!("{}\u{a0}kV", pm(f.si * 1e-3, f.plus_minus_si * 1e-3, 1))
}

/// `168 ± 46 V`.
pub fn volts(f: Finding) -> String {
    format!("{}\u{a0}V", pm(f.si, f.plus_minus_si, 1))
}

/// `1.11 ± 0.42`.
pub fn times(f: Finding) -> String {
    pm(f.si, f.plus_minus_si, 2)
}

/// `0.55 ± 0.05 mm`: gaps are read to a hundredth.
pub fn gap(f: Finding) -> String {
    format!("{}\u{a0}mm", pm(f.si * 1e3, f.plus_minus_si * 1e3, 2))
}

/// `20 µs`.
pub fn microseconds(s: f64) -> String {
    format!("{}\u{a0}µs", number(s * 1e6, usize::from(s < 10e-6)))
}

/// `31.2 mJ`.
pub fn millijoules(j: f64) -> String {
    format!("{}\u{a0}mJ", number(j * 1e3, 1))
}

fn mj_pm(f: Finding) -> String {
    format!("{}\u{a0}mJ", pm(f.si * 1e3, f.plus_minus_si * 1e3, 1))
}

fn burns(f: Finding) -> String {
    if f.si >= 1e-3 {
        format!("{}\u{a0}ms", pm(f.si * 1e3, f.plus_minus_si * 1e3, 1))
    } else {
        format!("{}\u{a0}µs", pm(f.si * 1e6, f.plus_minus_si * 1e6, 0))
    }
}

/// Store or primary, when the spark comes.
fn filled(study: &SparkStudy, f: Finding) -> String {
    if study.kind.discharges() { volts(f) } else { format!("{}\u{a0}A", pm(f.si, f.plus_minus_si, 2)) }
}

/// The verdict: the kick and the least margin.
pub fn verdict_line(study: &SparkStudy) -> String {
    let Some(first) = study.margin.points.first() else { return String::new() };
    let kick = match verdict(first.margin) {
        Verdict::Fires => "At the kick it fires with all of its ±",
        Verdict::Doubtful => "At the kick it is in doubt whether it fires",
        Verdict::Misses => "At the kick it does not fire, not even with all of its ±",
    };
    let mut said =
        format!("{kick}: {} available, {} needed, {} times.", kv(first.available), kv(first.needed.volts), times(first.margin));
    if let Some((k, margin)) = study.margin.least().filter(|(k, _)| *k > 0) {
        said += &format!(" It has least in hand at {}: {} times.", rpm(study.margin.points[k].speed_rad_s), times(margin));
    }
    said
}

/// What it is, and how often it fires.
pub fn what(study: &SparkStudy) -> String {
    let often = match study.turns_between {
        t if (t - 1.0).abs() < 1e-9 => "a spark every turn of the crank".to_owned(),
        t => format!("a spark every {} turns of the crank", number(t, if t.fract() == 0.0 { 0 } else { 2 })),
    };
    format!("{}, {often} for each store or coil.", capital(kind(study.kind)))
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// Where pressure and temperature at the kick and at the top come from.
pub fn gas(at: &At) -> String {
    let how = match at.needed.from {
        From::Cycle => "by the working cycle, wide open",
        From::Motored => "by the working cycle wide open, without a fire",
        From::Plain => "by plain compression of a full cylinder, since the cycle is not computed for this machine",
    };
    let bar = |f: Finding| format!("{}\u{a0}bar", pm(f.si * 1e-5, f.plus_minus_si * 1e-5, 1));
    format!(
        "At {} the spark comes {} into {} and {}, {how}.",
        rpm(at.speed_rad_s),
        before_tdc(Finding { si: at.needed.advance_rad, plus_minus_si: 0.0 }),
        bar(at.needed.pressure),
        celsius(at.needed.temperature.si)
    )
}

/// One speed as a row.
pub fn speed_row(study: &SparkStudy, at: &At) -> Vec<String> {
    vec![
        rpm(at.speed_rad_s),
        filled(study, at.filled),
        kv(at.available),
        microseconds(at.rise_s),
        kv(at.needed.volts),
        times(at.margin),
    ]
}

/// Name of a case.
pub fn case(case: Case) -> &'static str {
    match case {
        Case::Fouled => "fouled plug",
        Case::Worn => "worn plug",
        Case::Hot => "hot coil",
        Case::WeakBattery => "weak battery",
    }
}

/// One case as a row.
pub fn case_row(study: &SparkStudy, c: &CaseCurve) -> Vec<String> {
    let kick = c.margin.first().copied().unwrap_or_default();
    let (k, low) = least(&c.margin).unwrap_or_default();
    let at = study.margin.points.get(k).map_or_else(String::new, |p| rpm(p.speed_rad_s));
    vec![case(c.case).to_owned(), times(kick), times(low), at]
}

/// The cases in which it does not surely fire, in a sentence.
pub fn worse(study: &SparkStudy) -> Option<String> {
    let at_kick = |c: &&CaseCurve| c.margin.first().is_some_and(|m| verdict(*m) != Verdict::Fires);
    let weak: Vec<String> =
        study.margin.cases.iter().filter(at_kick).map(|c| format!("{} ({} times)", case(c.case), times(c.margin[0]))).collect();
    (!weak.is_empty()).then(|| format!("At the kick it does not surely fire with: {}.", weak.join(", ")))
}

/// One spark as a row.
pub fn energy_row(e: &EnergyAt) -> Vec<String> {
    let b = &e.spark.books;
    let mut row = vec![rpm(e.speed_rad_s), millijoules(b.before_j)];
    if e.spark.struck_s.is_some() {
        row.extend([mj_pm(e.gap), burns(e.burns)]);
    } else {
        row.extend([NO_SPARK.to_owned(), "–".to_owned()]);
    }
    row.extend([millijoules(b.primary_j + b.secondary_j), millijoules(b.series_j)]);
    row
}

/// In place of an energy.
pub const NO_SPARK: &str = "no spark";

/// A reading of the module's output.
pub fn output(check: &Check) -> String {
    let (read, computed) = (volts(check.read), volts(check.computed));
    if check.agrees() {
        format!("The module's output was read as {read}; {computed} is computed: they agree.")
    } else if check.read.si < check.computed.si {
        format!(
            "The module's output was read as {read}, but {computed} is computed: the store is not filled as it should be. Look for a leaking store, a diode, a shorted source coil, or a meter without a peak-hold adaptor."
        )
    } else {
        format!(
            "The module's output was read as {read}, but {computed} is computed: readings and file do not go together. Check source coil, speed and capacitance."
        )
    }
}

/// Heading: readings of a job against the file.
pub const BESIDE: &str = "Readings of this job, beside the machine's file";

/// A reading of a job beside what the file has or gives, by its name and as it was typed.
pub fn beside(name: &str, typed: &str, b: &Beside, unit: quantity::Unit) -> String {
    let (value, by) = (unit.from_si(b.check.computed.si), unit.from_si(b.check.computed.plus_minus_si) - unit.from_si(0.0));
    let decimals = if value.abs() < 10.0 { 2 } else { usize::from(value.abs() < 1000.0) };
    let computed = format!("{}\u{a0}{}", pm(value, by, decimals), unit.symbol());
    if b.check.agrees() {
        format!("{name}: {typed}; by the file {computed}: they agree.")
    } else {
        format!(
            "{name}: {typed}, but by the file {computed}. Either the part has changed or the file is wrong: read again, and correct the one that is."
        )
    }
}

/// The lowest battery volts.
pub fn battery(lowest: &Lowest) -> String {
    let Some(v) = lowest.volts else {
        return format!("Not even twice the {}\u{a0}V at the kick would fire it.", number(lowest.kicking_v, 1));
    };
    let stops = if lowest.stops_v > 0.0 && (v.si - lowest.stops_v).abs() < 0.05 {
        " There the converter stops; above it the voltage would do."
    } else {
        ""
    };
    format!(
        "At the kick it fires down to {} at the ignition; it has {}\u{a0}V there.{stops}",
        volts(v),
        number(lowest.kicking_v, 1)
    )
}

/// The pickup, as the mechanic calls it.
pub fn pickup(machine: &Machine, k: usize) -> String {
    let fires = machine.trigger.as_ref().and_then(|t| t.pickups.get(k)).map(|p| &p.fires[..]).unwrap_or_default();
    let names: Vec<&str> = fires.iter().filter_map(|c| machine.engine.cylinders.get(*c)).map(|c| c.name.as_str()).collect();
    format!("pickup {} ({})", k + 1, names.join(", "))
}

fn edge(edge: Edge) -> &'static str {
    match edge {
        Edge::Leading => "leading",
        Edge::Trailing => "trailing",
    }
}

/// One pickup in sentences.
pub fn signal(machine: &Machine, s: &SignalAt) -> Vec<String> {
    let fires = match verdict(s.margin) {
        Verdict::Fires => "it fires",
        Verdict::Doubtful => "whether it fires is in doubt",
        Verdict::Misses => "it does not fire",
    };
    let mut said = vec![format!(
        "{}: {} at the kick over {}, the module needs {}: {} times, {fires}. It fires from {} on, and at the kick up to a gap of {}.",
        capital(&pickup(machine, s.pickup)),
        volts(s.peak),
        gap(s.gap),
        volts(s.need),
        times(s.margin),
        rpm_pm(s.fires_from),
        gap(s.largest_gap)
    )];
    if let (Some(kick), Some(top)) = (s.kick_edge, s.top_edge) {
        said.push(if kick == top {
            format!("The spark comes at the {} edge at all speeds.", edge(kick))
        } else {
            format!("At the kick the spark comes at the {} edge, at top speed at the {} one.", edge(kick), edge(top))
        });
    }
    match s.polarity {
        Polarity::Right => {}
        Polarity::Reversed => said.push(
            "Its leads are reversed: the edges change places, and the spark comes wrong by the segment's length. Change them over."
                .to_owned(),
        ),
        Polarity::Unknown => said.push(
            "Which way round its leads belong is not known. A spark at the wrong end of the segment under the strobe means that they are reversed."
                .to_owned(),
        ),
    }
    said
}

/// How much of the energy reaches the gap in the middle of the speeds, in a sentence.
pub fn energy_line(study: &SparkStudy) -> Option<String> {
    let e = study.energy.get(1).filter(|e| e.spark.struck_s.is_some())?;
    let share = e.gap.si / (e.spark.books.before_j + e.spark.books.given_j);
    Some(format!(
        "At {} the spark has {}, {} of what is stored, and burns for {}. For a sure start of the flame 30 to 50 mJ are the usual figure for coils (common practice); short, strong sparks do with less.",
        rpm(e.speed_rad_s),
        mj_pm(e.gap),
        percent(share),
        burns(e.burns)
    ))
}
