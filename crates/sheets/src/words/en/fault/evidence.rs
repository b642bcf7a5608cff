//! What readings say by themselves, and what should be read on a machine.

use crate::words::{degrees_pm, number, percent, pm, rpm};
use workshop::study::{
    Finding,
    fault::{Case, Expected, Faults, From, Signature, TestReading},
};

fn volts(f: Finding) -> String {
    format!("{}\u{a0}V", pm(f.si, f.plus_minus_si, 1))
}

/// A reading that answers a test.
pub fn reading(faults: &Faults, found: &TestReading) -> String {
    let what = match found.from {
        From::Snap => "the throttle was snapped shut while it hung".to_owned(),
        From::Choke => "a little choke was given while it hung".to_owned(),
        From::Mist => "the joints were misted while it hung".to_owned(),
        From::FallingEarlier(by) => format!("the spark comes {} earlier with falling speed", degrees_pm(by)),
        From::Mark(speed, off) => format!("at {} the mark lies {} off the curve of the file", rpm(speed), degrees_pm(off)),
        From::Pair(apart) => format!("the cylinders fire {} apart", degrees_pm(apart)),
        From::Peak(peak, need) => format!("the pickup gives {} at the kick and the module needs {}", volts(peak), volts(need)),
        From::Leads => "how the pickup’s leads are connected is in the file".to_owned(),
        From::Output(read) => format!("the module’s output peaks at {}", volts(read)),
        From::Windings => "the windings that were measured".to_owned(),
        From::Insulation => "the insulation that was measured".to_owned(),
        From::Volts(speed, v) => format!("{} at the battery at {}", volts(v), rpm(speed)),
        From::Amps(speed, a) => format!("{}\u{a0}A into the battery at {}", pm(a.si, a.plus_minus_si, 1), rpm(speed)),
        From::Unplugged(read, sound) => format!("{} unplugged, a sound alternator gives {}", volts(read), volts(sound)),
        From::IdleStudy(share) => format!("the idle study hangs in {} of its cases", percent(share)),
    };
    let counts = if found.counted { "" } else { "; counted by what the charging looks like" };
    format!("{}: {} positive, since {what}{counts}.", faults.tests[found.test].name, percent(found.positive))
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
    let list = mine.iter().take(NAMED).map(|(c, l)| format!("“{}” {}", case.faults.causes[*c].name, number(*l, 2)));
    let list: Vec<String> = list.chain([format!("anything else {}", number(found.otherwise, 2))]).collect();
    Some(format!(
        "Charging, {} readings beside the computed circuit: likelihoods beside the best {}.",
        found.readings,
        list.join(", ")
    ))
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
    let signatures = case.evidence.signatures.iter().filter_map(|s| signature(case, s));
    bearing(case).map(|r| reading(case.faults, r)).chain(signatures).collect()
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
            let one = |(name, f): &(String, Finding)| {
                let decimals = if f.si < 10.0 { 2 } else { 0 };
                let name = if name.is_empty() { String::new() } else { format!("{name} ") };
                format!("{name}{}\u{a0}Ω", pm(f.si, f.plus_minus_si, decimals))
            };
            format!("{}.", each.iter().map(one).collect::<Vec<_>>().join(", "))
        }
    }
}
