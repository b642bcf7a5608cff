//! Trigger, spark and curve.

use super::channel;
use crate::words::{count, degrees, degrees_pm, mm_pm, number, percent, pm, rpm};
use physics::{law::Trend, recording::Rhythm};
use workshop::{
    machine::Machine,
    study::{
        Finding,
        recording::{Compared, Edges, Fires, MarkFound, PlaceFound, PulsesFound, Recorded, Row, Told, Which},
    },
};

/// Title of the sheet.
pub const TITLE: &str = "The curve from a recording";
/// Heading.
pub const RECORDING: &str = "What was recorded";
/// Heading.
pub const FIRINGS: &str = "Sparks";
/// Heading.
pub const CURVE: &str = "The curve";
/// Heading.
pub const ROTOR: &str = "Against the rotor as measured";
/// Heading.
pub const PULSES: &str = "The pickup's pulses";
/// Heads of the table of rows.
pub const ROWS_HEAD: [&str; 5] = ["cylinder", "speed", "going", "firings", "advance"];
/// Series of the chart.
pub const RECORDED: &str = "recorded";
/// Series of the chart.
pub const BY_THE_FILE: &str = "by the machine file";
/// Series of the chart.
pub const FITTED: &str = "law fitted to the recording";
/// Name of the chart.
pub const CHART: &str = "Advance recorded against speed";
/// Description of the chart.
pub const CHART_DESCRIPTION: &str = "Advance of the recorded firings, gathered by speed, with their ±; the law fitted to them; the curve of the machine file beside it.";
/// No curve.
pub const NO_LAW: &str = "No law can be fitted to the recorded firings: there are too few speeds.";

/// Length, rate and which channel is which.
pub fn what(found: &Recorded) -> String {
    let told = match found.roles.told {
        Told::Stated => "as was said",
        Told::ByPairs => "by its pairs of opposite pulses",
        Told::ByRinging => "because the other rings at every event",
        Told::ByWidth => "by its longer pulses",
    };
    let mark = match found.mark {
        MarkFound::Segment { leading_up, .. } => format!(
            "the two ends of the segment; the leading end gives the {} pulse",
            if leading_up { "upward" } else { "downward" }
        ),
        MarkFound::Mark { .. } => format!("a mark at {} before top dead centre, as was said", degrees(found.mark_at.si)),
    };
    format!(
        "{} s at {} samples a second. Trigger: {}, {told}: {mark}. Spark: {}. {} turns from {} to {}.",
        number(found.seconds, 1),
        number(found.rate_hz, 0),
        channel(found.roles.trigger),
        channel(1 - found.roles.trigger),
        count(found.turns),
        rpm(found.pace.range_rad_s.0),
        rpm(found.pace.range_rad_s.1),
    )
}

/// The cylinders of a place by name.
pub fn names(machine: &Machine, cylinders: &[usize]) -> String {
    let of = |c: &usize| machine.engine.cylinders.get(*c).map_or("?", |c| c.name.as_str());
    cylinders.iter().map(of).collect::<Vec<_>>().join(", ")
}

/// What is said of one place.
pub fn place(machine: &Machine, p: &PlaceFound) -> Vec<String> {
    let name = names(machine, &p.cylinders);
    let rhythm = match p.rhythm {
        Rhythm::NotHeard => return vec![format!("Cylinder {name}: no sparks of it are heard in this channel.")],
        Rhythm::EveryTurn => "one in every turn",
        Rhythm::EverySecond => "one in every second turn",
    };
    let lost = p.due.saturating_sub(p.fired);
    let mut all = vec![format!(
        "Cylinder {name}: {} sparks, {rhythm}; {} of {} that were due are missing. From firing to firing the advance scatters by {} (standard deviation).",
        count(p.fired),
        count(lost),
        count(p.due),
        format_degrees_fine(p.jitter_rad)
    )];
    if p.repeated > 0 {
        all.push(if p.several_by_design {
            format!(
                "It gives several sparks to a firing at low speed ({} firings): that is the unit's way. The first one counts.",
                count(p.repeated)
            )
        } else {
            format!("{} firings have a second spark behind the first.", count(p.repeated))
        });
    }
    if let Some(share) = p.weaker_share {
        all.push(format!(
            "Every second spark is weaker, {} as high: the waste spark, which jumps in burnt gas at low pressure.",
            percent(share)
        ));
    }
    if let Some(f) = p.rising_less_falling {
        all.push(if f.si.abs() <= f.plus_minus_si {
            format!("Rising and falling speed give the same advance, within {}.", format_degrees_fine(f.plus_minus_si))
        } else {
            format!(
                "At the same speed the spark comes {} {} with rising than with falling speed.",
                degrees_pm(Finding { si: f.si.abs(), ..f }),
                if f.si > 0.0 { "earlier" } else { "later" }
            )
        });
    }
    all
}

fn format_degrees_fine(rad: f64) -> String {
    format!("{}°", number(rad.to_degrees(), 2))
}

/// Stray sparks, and those outside of known turns.
pub fn stray(found: &Recorded) -> String {
    let p = &found.paired;
    format!(
        "{} stray sparks that belong to no firing; {} before, behind or between the turns that could be followed; {} faint ones of another lead.",
        count(p.stray),
        count(p.without_turn),
        count(p.elsewhere)
    )
}

/// A row of the table.
pub fn row(machine: &Machine, r: &Row) -> Vec<String> {
    let going = match r.trend {
        Trend::Rising => "rising",
        Trend::Falling => "falling",
        Trend::Held => "held",
    };
    vec![names(machine, &[r.cylinder]), rpm(r.speed.si), going.to_owned(), count(r.count), degrees_pm(r.advance)]
}

/// The verdict on the rotor.
pub fn verdict(edges: &Edges) -> String {
    match edges.verdict {
        Fires::AsMeasured => match edges.arc {
            Some(_) => "The segment is as long as measured, within the ±.".to_owned(),
            None => "Both ends of the segment stand where they were measured, within the ±.".to_owned(),
        },
        Fires::Off { which, by } => {
            let size = mm_pm(Finding { si: by.si.abs(), ..by });
            match which {
                Which::Leading => format!("The leading end passes {} {} than measured.", size, early(by.si)),
                Which::Trailing => format!("The trailing end passes {} {} than measured.", size, early(by.si)),
                Which::Both => format!(
                    "Both ends pass {} {} than measured: plate, rotor or key stand turned, or the mark does.",
                    size,
                    early(by.si)
                ),
                Which::OneOfBoth => format!(
                    "The segment is {} {} along the rim than measured. Which end is off a mark at top dead centre would tell.",
                    size,
                    if by.si > 0.0 { "longer" } else { "shorter" }
                ),
            }
        }
        Fires::NotShown => "Whether the rotor stands as measured is not shown: both the lowest and the full advance must be in the recording, on a law that fires from the segment's ends.".to_owned(),
        Fires::NoSegment => "There is no segment in the machine file that the sparks would come from.".to_owned(),
    }
}

fn early(by: f64) -> &'static str {
    if by > 0.0 { "earlier along the rim" } else { "later along the rim" }
}

/// Name, recorded, file, difference.
pub const COMPARED_HEAD: [&str; 4] = ["", "recorded", "by the file", "off along the rim"];

/// Rows of that table.
pub fn compared(edges: &Edges) -> Vec<Vec<String>> {
    let row = |name: &str, c: &Compared| vec![name.to_owned(), degrees_pm(c.recorded), degrees_pm(c.file), mm_pm(c.off)];
    [("segment", &edges.arc), ("leading end", &edges.leading), ("trailing end", &edges.trailing)]
        .into_iter()
        .filter_map(|(name, c)| c.as_ref().map(|c| row(name, c)))
        .collect()
}

/// Which edge fires.
pub fn which_edge(edges: &Edges) -> Option<String> {
    let (lead, trail) = edges.spark_before_ends?;
    let side =
        |f: Finding| format!("{} {}", degrees_pm(Finding { si: f.si.abs(), ..f }), if f.si >= 0.0 { "before" } else { "behind" });
    Some(format!(
        "At the greatest speed the spark comes {} the middle of the leading end's pulse, at the least speed {} that of the trailing end's.",
        side(lead),
        side(trail)
    ))
}

/// What the pulses show.
pub fn pulses(p: &PulsesFound) -> Vec<String> {
    let mut all = Vec::new();
    if let Some((first, second)) = p.peak_per_speed {
        // Per 1000 rpm.
        let scale = 1000.0 * std::f64::consts::TAU / 60.0;
        let unit = if p.volts { "V" } else { "of full scale" };
        let of = |f: Finding| format!("{} {unit}", pm(f.si * scale, f.plus_minus_si * scale, 3));
        all.push(format!("At 1000 rpm the leading pulse peaks at {}, the trailing one at {}.", of(first), of(second)));
    } else {
        all.push("The channel is clipped: how high the pulses are is not told.".to_owned());
    }
    if let Some(lags) = p.lags {
        all.push(format!(
            "From the slowest to the fastest turns the peak grows {} less than in proportion.",
            percent(lags.max(0.0))
        ));
    }
    if let (Some(width), Some(most)) = (p.width, p.gap_at_most) {
        all.push(format!("The pulse is {} wide along the rim at half its height. {}", mm_pm(width), gap(most, p.gap_at_least)));
    }
    all
}

/// Between which bounds the gap lies, or why one of them is not told.
fn gap(most: Finding, least: Option<Finding>) -> String {
    match least {
        Some(least) if least.si < 0.98 * most.si => format!(
            "The gap lies between {} and {}: the wider it is, the narrower the pole must be; the pulse's shape allows no wider pole than goes with the first.",
            mm_pm(least),
            mm_pm(most)
        ),
        Some(_) => format!("That is the shape over a sharp pole: the gap is {}.", mm_pm(most)),
        None => format!(
            "No gap wider than {} gives that. How much narrower it is is not told: a wide pole makes the real gap smaller, and the pulse's foot does not show how wide the pole is.",
            mm_pm(most)
        ),
    }
}
