//! What readings say by themselves, and what should be read on a machine.

use crate::words::{celsius, degrees_pm, number, percent, pm, rpm};
use workshop::study::{
    Finding,
    fault::{Case, Expected, From, Of, Signature, TestReading, WARM_K},
};

fn volts(f: Finding) -> String {
    format!("{}\u{a0}V", pm(f.si, f.plus_minus_si, 1))
}

/// A reading that answers a test.
pub fn reading(case: &Case, found: &TestReading) -> String {
    let what = match found.from {
        From::Snap => "the throttle was snapped shut while it hung".to_owned(),
        From::Choke => "a little choke was given while it hung".to_owned(),
        From::Mist => "the joints were misted while it hung".to_owned(),
        From::FallingEarlier(by) => format!("the spark comes {} earlier with falling speed", degrees_pm(by)),
        From::Mark(speed, off) => format!("at {} the mark lies {} off the curve of the file", rpm(speed), degrees_pm(off)),
        From::Pair(apart) => format!("the cylinders fire {} apart", degrees_pm(apart)),
        From::Peak(peak, need) => format!("the pickup gives {} at the kick and the module needs {}", volts(peak), volts(need)),
        From::Leads => "how the pickup’s leads are connected is in the file".to_owned(),
        From::Output(read, None) => format!("the module’s output peaks at {}", volts(read)),
        From::Output(read, Some(sound)) => {
            format!("the module’s output peaks at {}, and {} are computed for a sound one", volts(read), volts(sound))
        }
        From::Ohms(read, file) => format!("{} were read where the file has {} at that temperature", ohms(read), ohms(file)),
        From::SourcePeak(read, computed) => {
            format!("the source coil peaks at {} and {} are computed for that speed", volts(read), volts(computed))
        }
        From::Drop(read, None) => format!("{} were lost", millivolts(read)),
        From::Drop(read, Some(copper)) => {
            format!("{} were lost and the copper of the wires makes {} of it", millivolts(read), millivolts(copper))
        }
        From::Copper(drop) => format!("the copper of the wires alone loses {}", millivolts(drop)),
        From::Gap(read, (least, most)) => {
            format!("the gap is {} and {} to {} are usual", gap(read), hundredths(least), hundredths(most))
        }
        From::GapHeard(least, most) => {
            let bound = |g: Option<Finding>, word: &str| g.map(|g| format!("{word} {}", gap(g)));
            let bounds: Vec<String> = [bound(least, "at least"), bound(most, "at most")].into_iter().flatten().collect();
            format!("by the recorded pulse the gap is {}", bounds.join(" and "))
        }
        From::Turned => {
            "two recorded pickups point against each other; so does a recorder’s plug that is the wrong way round".to_owned()
        }
        From::RunOut(read) => format!("the rim runs out by {}", gap(read)),
        From::Static(read, file) => {
            format!("static timing is {} and the file has {} before top dead centre", degrees_pm(read), degrees_pm(file))
        }
        From::Windings => "the windings that were measured".to_owned(),
        From::Insulation => "the insulation that was measured".to_owned(),
        From::Volts(speed, v) => format!("{} at the battery at {}", volts(v), rpm(speed)),
        From::Amps(speed, a) => format!("{}\u{a0}A into the battery at {}", pm(a.si, a.plus_minus_si, 1), rpm(speed)),
        From::Unplugged(read, sound) => format!("{} unplugged, a sound alternator gives {}", volts(read), volts(sound)),
        From::IdleStudy(share) => format!("the idle study hangs in {} of its cases", percent(share)),
    };
    let counts = match found.within.filter(|of| case.signatures().any(|s| s.of == *of)) {
        Some(of) => format!("; weighed with {}", self::of(of)),
        None if case.counts(found) => String::new(),
        None => "; your own answer counts in its place".to_owned(),
    };
    format!("{}: {} positive, since {what}{counts}.", case.faults.tests[found.test].name, percent(found.positive))
}

/// Readings that were taken after a repair.
pub fn after_repair(count: usize) -> Option<String> {
    let (some, them) = match count {
        0 => return None,
        1 => ("1 reading of the job was".to_owned(), "its test"),
        n => (format!("{n} readings of the job were"), "their tests"),
    };
    Some(format!(
        "{some} taken after something was put right, and the causes are weighed by what was read before. Answer {them} by hand."
    ))
}

/// While a recording is being heard.
pub fn hearing(name: &str) -> String {
    format!("hearing “{name}”")
}

/// A recording from which nothing is taken.
pub fn not_counted(name: &str, why: &str) -> String {
    format!("The recording “{name}” does not count: {why}")
}

/// What a signature was worked out from.
fn of(of: Of) -> &'static str {
    match of {
        Of::Charging => "the charging beside the computed circuit",
        Of::Marks => "the marks beside the file’s curve",
        Of::Flux => "the alternator’s volts beside the recorded ones, for what is left of the flux",
        Of::Feed => "the drop in the feed beside its copper’s",
        Of::Earth => "the drop in the earths beside their copper’s",
        Of::Recorded => "the recorded sparks beside the file’s curve",
        Of::Segment => "the recorded segment beside the file’s",
        Of::Scatter => "the scatter of the recorded spark",
        Of::Missing => "recorded firings, for those that are missing",
        Of::Doubled => "recorded firings, for those with a second spark",
        Of::Pickups => "the peaks of two recorded pickups",
        Of::Hang => "the recorded speed after a blip beside the speeds at which the engine rests",
        Of::Bonds => "the computed strength of the magnets’ bonds at the engine’s top speed",
        Of::Alike => "the hang, clutch and nudges beside what the computed engine does with each fault",
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn hundredths(metres: f64) -> String {
    format!("{}\u{a0}mm", number(metres * 1e3, 2))
}

fn gap(f: Finding) -> String {
    format!("{}\u{a0}mm", pm(f.si * 1e3, f.plus_minus_si * 1e3, 2))
}

fn millivolts(f: Finding) -> String {
    format!("{}\u{a0}V", pm(f.si, f.plus_minus_si, 2))
}

fn ohms(f: Finding) -> String {
    let decimals = if f.si < 10.0 { 2 } else { 0 };
    format!("{}\u{a0}Ω", pm(f.si, f.plus_minus_si, decimals))
}

/// What readings say of causes directly; `None` where none of them is a cause of the complaint.
pub fn signature(case: &Case, found: &Signature) -> Option<String> {
    /// Causes that are named.
    const NAMED: usize = 3;
    let mut mine: Vec<(usize, f64)> = found.causes.iter().copied().filter(|(c, _)| case.causes.contains(c)).collect();
    mine.sort_by(|a, b| b.1.total_cmp(&a.1));
    if mine.is_empty() {
        return None;
    }
    let best = mine[0].1.max(found.otherwise);
    let fits = |l: f64, first: bool| if first { "best".to_owned() } else { worse(best / l) };
    let sound_first = found.otherwise > mine[0].1;
    let one = |(k, (c, l)): (usize, &(usize, f64))| {
        format!("“{}” fits {}", case.faults.causes[*c].name, fits(*l, k == 0 && !sound_first))
    };
    let mut list: Vec<String> = mine.iter().take(NAMED).enumerate().map(one).collect();
    match mine.len().saturating_sub(NAMED) {
        0 => {}
        1 => list.push("1 more cause fits no better".to_owned()),
        n => list.push(format!("{n} more causes fit no better")),
    }
    let without = if mine.len() == 1 { "a machine without this cause" } else { "a machine with none of these causes" };
    list.insert(if sound_first { 0 } else { list.len() }, format!("{without} fits {}", fits(found.otherwise, sound_first)));
    Some(format!(
        "{} ({}): {}.",
        capital(of(found.of)),
        if found.readings == 1 { "1 reading".to_owned() } else { format!("{} readings", found.readings) },
        list.join("; ")
    ))
}

/// How much worse than the best.
fn worse(times: f64) -> String {
    /// Up to here nobody tells two apart \[1\] (own choice).
    const AS_WELL: f64 = 1.05;
    /// From here on the number says nothing more \[1\] (own choice).
    const MOST: f64 = 1000.0;
    match times {
        t if t < AS_WELL => "as well".to_owned(),
        t if t < MOST => format!("{} times worse", number(t, if t < 9.95 { 1 } else { 0 })),
        _ => format!("more than {} times worse", number(MOST, 0)),
    }
}

/// The readings of the file that answer a test of this complaint on this machine and bear on its causes.
pub fn bearing<'c>(case: &'c Case) -> impl Iterator<Item = &'c TestReading> {
    case.evidence.tests.iter().filter(|r| {
        let test = &case.faults.tests[r.test];
        case.bike.bears(test) && case.answers(test) && test.hits.iter().any(|h| case.causes.contains(&h.cause))
    })
}

/// Everything that the readings of the file say.
pub fn all(case: &Case) -> Vec<String> {
    let signatures = case.signatures().filter_map(|s| signature(case, s));
    bearing(case).map(|r| reading(case, r)).chain(signatures).collect()
}

fn windings(each: &[(String, Finding)]) -> String {
    let one = |(name, f): &(String, Finding)| if name.is_empty() { ohms(*f) } else { format!("{name} {}", ohms(*f)) };
    each.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// What should be read on this machine.
pub fn expected(expected: &Expected, cylinders: &[String]) -> String {
    match expected {
        Expected::Advance(speed, each) => {
            let one = |(k, f): &(usize, Finding)| {
                let name = cylinders.get(*k).filter(|_| each.len() > 1).map_or_else(String::new, |c| format!("{c} "));
                format!("{name}{} before top dead centre", degrees_pm(*f))
            };
            format!("At {}: {}.", rpm(*speed), each.iter().map(one).collect::<Vec<_>>().join(", "))
        }
        Expected::Volts(speed, v) => format!("{} at {}.", volts(*v), rpm(*speed)),
        Expected::Peak(peak, need) => format!("{}; the module needs {}.", volts(*peak), volts(*need)),
        Expected::Ohms(each) => {
            format!("{}.", windings(each))
        }
        Expected::Warm(each) => format!("At {}: {}.", celsius(WARM_K), windings(each)),
        Expected::Coil(primary, secondary) => format!("Primary {}, secondary {}.", ohms(*primary), ohms(*secondary)),
        Expected::PeakAlone(v) => format!("{} at the kick.", volts(*v)),
        Expected::Peaks(each) => {
            format!("{} at the kick, nothing connected.", each.iter().map(|v| volts(*v)).collect::<Vec<_>>().join(", "))
        }
        Expected::Drop(v) => format!("The copper of the wires loses {}; more is lost in joints.", millivolts(*v)),
        Expected::PickupGaps(each) => {
            let one = |(now, most): &(Finding, Option<Finding>)| match most {
                Some(most) => format!("{}, and it still fires at the kick up to {}", gap(*now), gap(*most)),
                None => gap(*now),
            };
            format!("{}.", each.iter().map(one).collect::<Vec<_>>().join("; "))
        }
        Expected::PlugGap(now) => format!("Gap {}.", gap(*now)),
        Expected::Apart(speed, apart) => {
            let [one, other] = [0, 1].map(|k| cylinders.get(k).map_or("", String::as_str));
            format!("At {}: {one} {} earlier than {other}.", rpm(*speed), degrees_pm(*apart))
        }
        Expected::Amps(speed, a) => format!("{}\u{a0}A into the battery at {}.", pm(a.si, a.plus_minus_si, 1), rpm(*speed)),
    }
}
