//! What the alternator gives.

use super::{amps, volts, volts_alone, watts};
use crate::words::{Caution, celsius, number, pm, rpm, rpm_pm};
use workshop::{
    machine::{
        Machine,
        charging::{Keeps, Kind},
    },
    study::electric::{
        alternator::On,
        charge::{BreakEven, ChargeStudy, HotWinding, Point, Warning},
    },
};

/// Heading.
pub const CHARGING: &str = "Charging";
/// Title of the sheet.
pub const CHARGE_SHEET: &str = "Charging and ride balance";
/// Title of the chart.
pub const CHARGE_TITLE: &str = "Charge current";
/// Its axis.
pub const CURRENT: &str = "Current";
/// Unit.
pub const AMPERE: &str = "A";
/// Series.
pub const GIVES: &str = "alternator can give";
/// Series.
pub const LOADS_TAKE: &str = "loads take";
/// Series.
pub const INTO_BATTERY: &str = "into the battery";
/// Rule.
pub const EVEN_AT: &str = "loads covered";
/// Description of the chart.
pub const CHARGE_DESCRIPTION: &str =
    "Current that the alternator can give, that all loads take, and that goes into the battery, against crank speed.";
/// Heads of the table.
pub const CHARGE_HEAD: [&str; 7] = ["speed", "can give", "loads", "battery", "volts", "stator heat", "rectifier heat"];
/// How it was computed.
pub const HOW_CHARGED: &str = "Every phase as a sine of volts behind resistance and inductance, diodes with a constant drop, solved in time until the period repeats itself. Left out: losses in iron, fields that are not sines. A regulator is taken as switching slowly beside a period; for a shunt the heat of fast switching stands beside it. The battery puts up more volts the more it takes.";
/// Heading.
pub const AS_MEASURED: &str = "As measured, beside a sound system";

/// Kind of alternator in words.
pub fn kind_of(machine: &Machine) -> Option<String> {
    let c = machine.electric.charging.as_ref()?;
    let kind = match c.kind {
        Kind::HalfWave => "one phase and one diode",
        Kind::FullWave => "one phase and a bridge of four diodes",
        Kind::Star => "three phases in a star and a bridge of six diodes",
        Kind::Delta => "three phases in delta and a bridge of six diodes",
    };
    let keeps = match &c.keeps {
        Keeps::Nothing => "no regulator".to_owned(),
        Keeps::Shunt(v) => format!("a shunt regulator at {}", volts_alone(v.si)),
        Keeps::Series(v) => format!("a series regulator at {}", volts_alone(v.si)),
    };
    Some(format!("Permanent magnets, {kind}, {keeps}."))
}

/// What is found, in sentences; the verdict first.
pub fn charging(study: &ChargeStudy) -> Vec<String> {
    let mut all = vec![even(study.break_even, "everything switched on")];
    if study.break_even_needed != study.break_even {
        all.push(even(study.break_even_needed, "only what must stay on"));
    }
    all.push(format!("It begins to charge at {}.", rpm_pm(study.cut_in)));
    if let Some(last) = study.points.last() {
        let most = study.points.iter().map(|p| p.gives.si).fold(0.0, f64::max);
        let worst = study.points.iter().find(|p| p.gives.si == most).map_or(last.gives, |p| p.gives);
        all.push(format!(
            "It can give at most {}; at {} the loads take {}\u{a0}A of it.",
            amps(worst),
            rpm(last.crank_rad_s),
            number(last.loads_a, 1)
        ));
        all.push(format!(
            "Fast, with everything on, there are {} at the battery{}.",
            volts(last.plus),
            if last.through < 1.0 {
                ", the regulator at work".to_owned()
            } else {
                format!(
                    ", and the ripple there is {}\u{a0}V as a meter for alternating volts reads it through a capacitor",
                    number(last.ripple_v, 2)
                )
            }
        ));
    }
    all.push(heat(study));
    all
}

fn even(found: BreakEven, with: &str) -> String {
    match found {
        BreakEven::At(speed) => {
            format!("With {with}, charging covers the loads from {} on; below it the battery runs down.", rpm_pm(speed))
        }
        BreakEven::Never => {
            format!("With {with}, charging covers the loads at no speed of this engine: the battery always runs down.")
        }
        BreakEven::Unknown(why) => {
            format!("With {with}, whether charging covers the loads cannot be told: {}.", super::not_solved(why))
        }
        BreakEven::Always => format!("With {with}, charging covers the loads at every speed from the kick on."),
    }
}

fn heat(study: &ChargeStudy) -> String {
    let (stator, unit) = study.hot_w;
    let fast = study.hot_fast.map_or_else(String::new, |(w, hot)| {
        let so = match hot {
            HotWinding::NotKnown => String::new(),
            HotWinding::At(k) => format!(", which makes the winding about {} °C warm", pm(k.si - 273.15, k.plus_minus_si, 0)),
            HotWinding::Runaway => ", for which no balance is found: it would burn".to_owned(),
        };
        format!(
            " If the regulator switches many times in a period the windings carry more, and the copper makes {}{so}.",
            watts(w)
        )
    });
    let said = format!(
        "At top speed with {}, the stator's copper makes {}, rectifier and regulator {}\u{a0}W.",
        if study.hot_on == On::All { "everything on" } else { "only what must stay on" },
        watts(stator),
        number(unit, 0)
    );
    match study.hot {
        HotWinding::NotKnown => format!("{said} How warm that makes it is not told: charging.heats_by is not in the file.{fast}"),
        HotWinding::At(k) => {
            format!("{said} That makes the winding about {} °C warm.{fast}", pm(k.si - 273.15, k.plus_minus_si, 0))
        }
        HotWinding::Runaway => format!(
            "{said}{fast} By the thermal resistance in the file no balance is found below {}: it would burn. Check charging.heats_by.",
            celsius(700.0)
        ),
    }
}

/// What is dangerous in it.
pub fn charge_warnings(study: &ChargeStudy) -> Vec<String> {
    study.warnings.iter().map(warning).collect()
}

fn warning(warning: &Warning) -> String {
    match warning {
        Warning::Boils { volts: most, limit_v, read } => format!(
            "Volts at the battery {} {}: more than {} boils it dry.",
            if *read { "were read as" } else { "may reach" },
            volts(*most),
            volts_alone(*limit_v)
        ),
        Warning::WindingTooWarm { bears_k, .. } => format!(
            "The winding may get warmer than {}, which class F insulation bears (IEC 60085): look for browned varnish.",
            celsius(*bears_k)
        ),
        Warning::WindingRunsAway => "The winding's heat outruns its cooling by the thermal resistance in the file.".to_owned(),
    }
}

/// A row of the table.
pub fn charge_row(p: &Point) -> Vec<String> {
    vec![
        rpm(p.crank_rad_s),
        amps(p.gives),
        format!("{}\u{a0}A", number(p.loads_a, 1)),
        amps(p.battery),
        volts(p.plus),
        format!("{}\u{a0}W", number(p.stator_w, 0)),
        format!("{}\u{a0}W", number(p.unit_w, 0)),
    ]
}

/// Steps of a charging check, each with what must be heeded before it.
pub fn charge_steps() -> Vec<(Option<Caution>, &'static str)> {
    vec![
        (Some(super::BATTERY), "Charge the battery, let it rest for hours, read its volts."),
        (
            None,
            "A clamp round the battery's lead (an ammeter in line only where its fuse bears the whole charge current, and never through the starter), voltmeter across the battery; everything off that may be off.",
        ),
        (
            Some(super::RUNNING),
            "Run it at three speeds, everything off and everything on. Note speed, amps, volts, alternating volts at the battery through a capacitor.",
        ),
        (
            None,
            "Alternating volts between each pair of the alternator's leads, plugged in; stop, unplug the rectifier, and the same again at one low, steady speed.",
        ),
        (
            Some(super::HOT_STATOR),
            "If its inductance is not known: engine still, all the alternator's leads bolted together, a clamp meter round one of them; then run it at a known speed and read. No ammeter in line: if its fuse goes, the leads open under load.",
        ),
        (None, "Put the readings under [[charging.seen]] and ask again what they look like."),
    ]
}

/// First line of a netlist.
pub fn netlist_of(machine: &str, rpm: f64) -> String {
    format!("{machine}: charging at {} rpm of the crank, written by Tickover", number(rpm, 0))
}
