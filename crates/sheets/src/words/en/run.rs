//! The run in time.

use crate::words::{count, number, percent, rpm, rpm_of, rpm_pm};
use physics::{
    return_map::{Manner, Multipliers},
    run::{Idle, Run, Spell},
};
use std::f64::consts::{PI, TAU};
use workshop::study::{
    idle::{IdleStudy, RestPoint, Verdict},
    recording::over::{Beside, What},
    run::{Ending, RunStudy, Wandering},
};

/// Times by which two decay times must differ before the second one is told \[1\]. It only chooses words.
const TOLD: f64 = 1.5;

/// Difference of the stops from which it is told \[1\]: less than that no throttle stop is set to. It only chooses words.
const STOP_TOLD: f64 = 0.03;

/// Difference of idle speeds from which it is told \[1\]: less is not seen on a rev counter. It only chooses words.
const SPEED_TOLD: f64 = 0.02;

/// Heading.
pub const RUN: &str = "Run in time";
/// Series.
pub const EVEN: &str = "every burn alike";
/// Series.
pub const VARIED: &str = "burns that vary";
/// Series.
pub const HEARD: &str = "recorded";
/// Chart heading.
pub const TITLE: &str = "Speed against time";
/// Description of the chart.
pub const DESCRIPTION: &str =
    "Computed crank speed against time: idle on the throttle stop, a blip, throttle closed, clutch dragging, clutch let go.";
/// Axis.
pub const TIME: &str = "Time";
/// Its unit.
pub const SECONDS: &str = "s";
/// Rules: the stretches that begin at the stages, in order.
pub const STAGES: [&str; 4] = ["blip", "throttle closed", "clutch", "released"];
/// Rule: the first stretch, from the beginning.
pub const IDLES: &str = "idle";
/// Button that shows the run as it goes.
pub const PLAY: &str = "Play it in real time";

/// Heading over a recording that is laid over the run.
pub const OVER: &str = "Laid over the computed run";
/// Where no run was computed yet.
pub const NO_RUN_YET: &str =
    "The run has not been computed yet: open the machine's card, wait for the verdict, and read the recording again.";
/// Where the recording has no blip.
pub const NO_BLIP: &str =
    "To lay it over the computed run, a recording needs a blip: idle, a short blip, throttle shut, and a wait.";

/// What was recorded and what the run does, a sentence each.
pub fn beside(all: &[Beside]) -> Vec<String> {
    let seconds = |s: f64| format!("{}\u{a0}s", number(s, 1));
    let one = |b: &Beside| match b.what {
        What::Idle => format!("Idle: recorded {}, computed {}.", rpm_pm(b.heard), rpm(b.run)),
        What::After => format!("After the blip it settles: recorded {}, computed {}.", rpm_pm(b.heard), rpm(b.run)),
        What::Settles => {
            format!("From the fastest moment until then: recorded {}, computed {}.", seconds(b.heard.si), seconds(b.run))
        }
        What::ComesDown => format!("Down from there to the idle: recorded {}, computed {}.", seconds(b.heard.si), seconds(b.run)),
    };
    all.iter().map(one).collect()
}

/// What is said of the run: how it ends, whether rest points and run agree, and how the idle wanders.
pub fn run(idle: &IdleStudy) -> Vec<String> {
    let Some(run) = &idle.run else { return Vec::new() };
    let mut all = vec![ending(run)];
    all.extend(against_rests(idle.verdict, run.ends));
    let otherwise = |ends: &Ending| std::mem::discriminant(ends) != std::mem::discriminant(&run.ends);
    if otherwise(&run.halved_ends) {
        all.push(format!(
            "Computed in time steps half as long it ends otherwise: {}. Take how the run ends for doubtful.",
            short(run.halved_ends)
        ));
    }
    let varied: Vec<Ending> = run.varied_ends.iter().copied().filter(otherwise).collect();
    if let Some(first) = varied.first() {
        let (rows, of) = (count(varied.len()), count(run.varied_ends.len()));
        all.push(format!("With burns that vary it ends otherwise in {rows} of {of} rows of chance burns: {}.", short(*first)));
    }
    all.extend(stop(run));
    all.extend(push(run.push_at_idle, run.even.idle.map_or(f64::NAN, |i| i.mean_rad_s), idle));
    all.extend(push(run.push_at_hang, run.even.settled.map_or(f64::NAN, |s| s.mean_rad_s), idle));
    all.extend(lighter(run));
    all.extend(wandering(run));
    all
}

fn short(ending: Ending) -> String {
    match ending {
        Ending::Back => "it comes back to its idle".to_owned(),
        Ending::StillFalls { at_rad_s, .. } => format!("it is still on its way down at {} when the clutch drags", rpm(at_rad_s)),
        Ending::HangsUntilClutch { at_rad_s } => format!("it hangs near {} until the clutch pulls it down", rpm(at_rad_s)),
        Ending::HangsOn { at_rad_s } => format!("it hangs near {} and the clutch does not cure it", rpm(at_rad_s)),
        Ending::Leaves { .. } => "it climbs out of its idle by itself, before any blip".to_owned(),
        Ending::Stops => "it stops".to_owned(),
    }
}

fn ending(run: &RunStudy) -> String {
    let from = idle_of(&run.even);
    match run.ends {
        Ending::Back => format!("Run in time, the engine comes back to {from} after a blip."),
        Ending::StillFalls { at_rad_s, by_rad_s2 } => format!(
            "Run in time, the engine idles at {from} and comes down slowly after a blip: seconds after the throttle has closed it is at {} and still falls by {} a second. That is slow, not a hang.",
            rpm(at_rad_s),
            rpm(by_rad_s2)
        ),
        Ending::HangsUntilClutch { at_rad_s } => format!(
            "Run in time, the engine idles at {from}, hangs near {} after a blip, is pulled down by the clutch and stays down until the next blip.",
            rpm(at_rad_s)
        ),
        Ending::HangsOn { at_rad_s } => format!(
            "Run in time, the engine idles at {from} and hangs near {} after a blip. The clutch does not pull it down for good.",
            rpm(at_rad_s)
        ),
        Ending::Leaves { .. } => {
            "Run in time, the engine does not keep its idle: it climbs by itself, before any blip.".to_owned()
        }
        Ending::Stops => "Run in time, the engine stops before the run is over.".to_owned(),
    }
}

fn idle_of(run: &Run) -> String {
    rpm(run.idle.map_or(f64::NAN, |i| i.mean_rad_s))
}

/// Where run and rest points say different things.
fn against_rests(verdict: Verdict, ends: Ending) -> Option<String> {
    let hangs = matches!(ends, Ending::HangsUntilClutch { .. } | Ending::HangsOn { .. } | Ending::Leaves { .. });
    match (verdict, hangs) {
        (Verdict::Hangs { at_rad_s }, false) => Some(format!(
            "The rest points show a hang near {}, the run does not stay there. Take the hang for doubtful.",
            rpm(at_rad_s)
        )),
        (Verdict::Weak | Verdict::Steady, true) => Some(
            "The rest points show no second speed, but in the run the engine hangs. Take the verdict for doubtful.".to_owned(),
        ),
        _ => None,
    }
}

/// How far the run's stop lies from that of mean torque, where it matters.
fn stop(run: &RunStudy) -> Option<String> {
    let off = run.stop_share - 1.0;
    (off.abs() > STOP_TOLD).then(|| {
        format!(
            "The run needs {} {} air for the idle seen than mean torque says, because the crank speeds up and slows down within the turn. So its other speeds differ from the rest points.",
            percent(off.abs()),
            if off < 0.0 { "less" } else { "more" }
        )
    })
}

/// How far the idle wanders by itself, for the flame as given and at both ends of its ±.
fn wandering(run: &RunStudy) -> Vec<String> {
    let [given, ends @ ..] = &run.wanders;
    let varies = format!("If the flame's speed varies by {} from burn to burn", percent(given.flame_scatter));
    let mut all = vec![match given.idle {
        Idle { stopped: true, .. } => format!("{varies}, the engine does not keep its idle: it stops."),
        Idle { left_s: Some(after), .. } => {
            format!(
                "{varies}, the engine leaves its idle by itself after {} s, before anyone touches the throttle.",
                number(after, 1)
            )
        }
        Idle { spell: Some(Spell { scatter_rad_s, hunting_hz, unevenness, work_scatter, .. }), .. } => format!(
            "{varies}, the idle wanders by {} rpm (standard deviation), about {} swings a second, and a cylinder's work varies by {} from cycle to cycle. Within a turn the crank's speed varies by {}.",
            number(rpm_of(scatter_rad_s), 0),
            number(hunting_hz, 1),
            percent(work_scatter),
            percent(unevenness)
        ),
        Idle { spell: None, .. } => return Vec::new(),
    }];
    let scatter = |idle: &Idle| match idle {
        Idle { stopped: true, .. } => "it stops".to_owned(),
        Idle { left_s: Some(after), .. } => format!("it leaves after {} s", number(*after, 1)),
        Idle { spell, .. } => format!("{} rpm", number(rpm_of(spell.map_or(f64::NAN, |s| s.scatter_rad_s)), 0)),
    };
    all.push(format!("In other rows of chance burns: {}.", run.again.iter().map(scatter).collect::<Vec<_>>().join("; ")));
    let at_end = |w: &Wandering| {
        let with = format!("with {}", percent(w.flame_scatter));
        match w.idle {
            Idle { stopped: true, .. } => format!("{with} it stops"),
            Idle { left_s: Some(after), .. } => format!("{with} it leaves after {} s", number(after, 1)),
            Idle { spell, .. } => {
                format!("{with} it wanders by {} rpm", number(rpm_of(spell.map_or(f64::NAN, |s| s.scatter_rad_s)), 0))
            }
        }
    };
    let told: Vec<String> = ends.iter().filter(|w| w.flame_scatter != given.flame_scatter).map(at_end).collect();
    if !told.is_empty() {
        all.push(format!("At the ends of its ±: {}.", told.join("; ")));
    }
    all
}

/// How a push comes back at a speed [rad/s].
fn push(multipliers: Option<Multipliers>, speed_rad_s: f64, idle: &IdleStudy) -> Option<String> {
    let multipliers = multipliers?;
    let cycle_s = 4.0 * PI / speed_rad_s;
    let (at, kept) = (rpm(speed_rad_s), percent(multipliers.magnitude()));
    Some(match multipliers.manner() {
        Manner::RunsAway => format!("{at}: from cycle to cycle a push grows; it does not stay here."),
        Manner::Hunts => format!("{at}: it hunts{}; each cycle leaves {kept} of the swing before.", swing(multipliers, cycle_s)),
        Manner::Swings => {
            format!("{at}: a push swings{} before it is gone; each cycle leaves {kept} of it.", swing(multipliers, cycle_s))
        }
        Manner::Steady => {
            let seconds = multipliers.cycles() * cycle_s;
            let off = |p: &&RestPoint| (p.speed_rad_s / speed_rad_s).ln().abs();
            let said = idle.rest.points.iter().filter(|p| p.stable).min_by(|a, b| off(a).total_cmp(&off(b)));
            let otherwise = said.map(|p| p.time_constant_s).filter(|of_mean| (seconds / of_mean).ln().abs() > TOLD.ln());
            format!(
                "{at}: each cycle leaves {kept} of a push, so it falls to a third in about {} s{}.",
                number(seconds, 2),
                otherwise.map_or(String::new(), |of_mean| format!(" (by mean torque alone {} s)", number(of_mean, 2)))
            )
        }
    })
}

/// What a lighter crank changes, and what it does not.
fn lighter(run: &RunStudy) -> Option<String> {
    let comes_back = |m: Multipliers| match m.manner() {
        Manner::RunsAway => "it grows".to_owned(),
        Manner::Hunts => format!("it hunts ({} of each swing is left)", percent(m.magnitude())),
        Manner::Swings => format!("{} is left, swinging", percent(m.magnitude())),
        Manner::Steady => format!("{} is left", percent(m.magnitude())),
    };
    let part = |place: &str, lighter: Option<Multipliers>, as_is: Option<Multipliers>| {
        let (lighter, as_is) = (lighter?, as_is?);
        let now = percent(as_is.magnitude());
        let beside = if now == percent(lighter.magnitude()) { "as now".to_owned() } else { format!("not {now}") };
        Some(format!("{place} {} after each cycle, {beside}", comes_back(lighter)))
    };
    let l = &run.lighter;
    let parts: Vec<String> =
        [part("at idle", l.push_at_idle, run.push_at_idle), part("at the hang", l.push_at_hang, run.push_at_hang)]
            .into_iter()
            .flatten()
            .collect();
    if parts.is_empty() {
        return None;
    }
    let idles = match (l.idles_rad_s, run.even.idle) {
        (Some(on), Some(as_is)) if (on / as_is.mean_rad_s).ln().abs() > SPEED_TOLD => {
            format!(" It turns less evenly and idles at {} on the same stop.", rpm(on))
        }
        (None, Some(_)) => " It turns less evenly and does not keep its idle on the same stop.".to_owned(),
        _ => String::new(),
    };
    Some(format!(
        "With {} of the inertia (a lighter rotor) mean torque rests at the same speeds; a push comes back otherwise: {}.{idles}",
        percent(l.share),
        parts.join("; ")
    ))
}

/// ` 1.5 times a second`, where the swing takes several cycles.
fn swing(multipliers: Multipliers, cycle_s: f64) -> String {
    match multipliers {
        Multipliers::Pair { angle_rad, .. } => format!(" {} times a second", number(angle_rad / (TAU * cycle_s), 1)),
        Multipliers::Real(..) => " from one cycle to the next".to_owned(),
    }
}
