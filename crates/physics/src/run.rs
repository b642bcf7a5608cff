//! A run in time: idle on the throttle stop, a blip, closed again, held back by the clutch, let go.
//!
//! The engine is [`crate::cycle::turn`]; here is only what a hand does to it, and what is read off: mean speed of each turn, scatter and hunting of the idle,
//! unevenness within the turn.

use crate::cycle::{Account, Drive, Moment, Outside, Prepared, Scatter, Start, turn};
use std::f64::consts::TAU;

/// Longest blip [s] (own choice): the throttle is closed then, whatever speed was reached.
const LONGEST_BLIP_S: f64 = 1.5;
/// Part of a stretch at its end in which the engine counts as settled \[1\] (own choice).
const AT_THE_END: f64 = 0.4;
/// Part of an idle by itself that is left out at its beginning \[1\] (own choice).
const SETTLING: f64 = 0.1;
/// Swings of less than this many standard deviations are not counted as crossings of the mean \[1\] (own choice).
const CROSSING: f64 = 0.5;

/// What the hand does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Manoeuvre {
    /// Opening at the stop, and in the blip [m²].
    pub stop_m2: f64,
    /// See `stop_m2`.
    pub blip_m2: f64,
    /// Time of opening, and of closing [s].
    pub ramp_s: f64,
    /// The throttle is closed when the mean speed of a cycle gets here [rad/s].
    pub blip_to_rad_s: f64,
    /// Idle before the blip, time from the closed throttle to the clutch, and time after its release [s].
    pub idle_s: f64,
    /// See `idle_s`.
    pub settle_s: f64,
    /// See `idle_s`.
    pub released_s: f64,
    /// Torque of the dragging clutch [N·m].
    pub drag_nm: f64,
    /// It drags until the mean speed of a cycle is down here [rad/s],
    pub drag_to_rad_s: f64,
    /// or for so long [s].
    pub longest_drag_s: f64,
}

/// Mean, least and greatest speed of one turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// End of the turn [s].
    pub time_s: f64,
    /// Mean speed [rad/s].
    pub mean_rad_s: f64,
    /// Greatest less least speed, as a share of the mean \[1\].
    pub unevenness: f64,
}

/// The engine as it has settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spell {
    /// Mean speed [rad/s].
    pub mean_rad_s: f64,
    /// Standard deviation of the turns' mean speeds [rad/s].
    pub scatter_rad_s: f64,
    /// How often the speed swings about its mean [1/s]: half the rate of crossings.
    pub hunting_hz: f64,
    /// Mean unevenness within a turn \[1\].
    pub unevenness: f64,
    /// Standard deviation of the gas's work from cycle to cycle of one cylinder, as a share of its mean; the cylinders' mean \[1\]. What engine makers call the
    /// coefficient of variation of the indicated mean effective pressure. Not a number where the mean work is not above zero, or there are too few cycles.
    pub work_scatter: f64,
}

/// A run. Stages that were not reached are `None`.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Every turn.
    pub turns: Vec<Turn>,
    /// When the throttle begins to open, is closed again, and when the clutch begins to drag and lets go [s].
    pub stages_s: Vec<f64>,
    /// Idle before the blip.
    pub idle: Option<Spell>,
    /// After the blip, before the clutch.
    pub settled: Option<Spell>,
    /// After the clutch.
    pub released: Option<Spell>,
    /// Where the energy went.
    pub account: Account,
}

/// The idle by itself, nobody touching it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Idle {
    /// As it settled; `None` if it stopped or left before that.
    pub spell: Option<Spell>,
    /// When the mean speed of a cycle first rose to what counts as another speed [s].
    pub left_s: Option<f64>,
    /// The engine stopped.
    pub stopped: bool,
}

/// What is noted while the engine turns.
struct Log {
    turns: Vec<Turn>,
    /// Time [s] and work [J] of each cylinder's cycles.
    works: Vec<Vec<(f64, f64)>>,
    least: f64,
    most: f64,
}

impl Log {
    fn new(p: &Prepared) -> Self {
        let works = vec![Vec::new(); p.engine().fires_at_rad.len().max(1)];
        Self { turns: Vec::new(), works, least: f64::INFINITY, most: 0.0 }
    }

    fn hear(&mut self, now: &Moment) {
        (self.least, self.most) = (self.least.min(now.speed_rad_s), self.most.max(now.speed_rad_s));
        if let Some((cylinder, work_j)) = now.finished {
            self.works[cylinder].push((now.time_s, work_j));
        }
        // Half a degree stands for the rounding of the angles' sum.
        if now.turned_rad + TAU / 720.0 > TAU * (self.turns.len() + 1) as f64 {
            let mean_rad_s = TAU / (now.time_s - self.turns.last().map_or(0.0, |t| t.time_s));
            self.turns.push(Turn { time_s: now.time_s, mean_rad_s, unevenness: (self.most - self.least) / mean_rad_s });
            (self.least, self.most) = (f64::INFINITY, 0.0);
        }
    }
}

/// Lets an engine idle at `start_rad_s` for so many seconds, or until it has left for `left_rad_s`.
pub fn idle(p: &Prepared, drive: &Drive, start: Start, seconds: f64, left_rad_s: f64, scatter: Scatter) -> Idle {
    let mut log = Log::new(p);
    let mut left_s = None;
    let account = turn(p, drive, start, scatter, &mut |now| {
        log.hear(now);
        left_s = (now.mean_rad_s >= left_rad_s).then_some(now.time_s);
        (left_s.is_none() && now.time_s < seconds).then_some(Outside { opening_m2: start.opening_m2, drag_nm: 0.0 })
    });
    let whole = left_s.is_none() && !account.stopped;
    let spell = if whole { spell(&log.turns, &log.works, (SETTLING * seconds, seconds)) } else { None };
    Idle { spell, left_s, stopped: account.stopped }
}

/// Where the hand is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stage {
    Idle,
    Opening,
    Closing,
    Settling,
    Dragging,
    Released,
}

/// Runs an engine that idles at `start_rad_s`.
pub fn run(p: &Prepared, drive: &Drive, start_rad_s: f64, hand: &Manoeuvre, scatter: Scatter) -> Run {
    let (mut log, mut stages_s) = (Log::new(p), Vec::new());
    let (mut stage, mut since, mut opened_m2) = (Stage::Idle, 0.0, hand.stop_m2);
    let start = Start { speed_rad_s: start_rad_s, opening_m2: hand.stop_m2, push: 0.0 };
    let account = turn(p, drive, start, scatter, &mut |now: &Moment| {
        log.hear(now);
        let past = now.time_s - since;
        let next = match stage {
            Stage::Idle if past >= hand.idle_s => Stage::Opening,
            Stage::Opening if now.mean_rad_s >= hand.blip_to_rad_s || past >= LONGEST_BLIP_S => Stage::Closing,
            Stage::Closing if past >= hand.ramp_s => Stage::Settling,
            Stage::Settling if past >= hand.settle_s => Stage::Dragging,
            Stage::Dragging if now.mean_rad_s <= hand.drag_to_rad_s || past >= hand.longest_drag_s => Stage::Released,
            Stage::Released if past >= hand.released_s => return None,
            same => same,
        };
        let part = |past: f64| (past / hand.ramp_s).min(1.0);
        if next != stage {
            if stage == Stage::Opening {
                opened_m2 = hand.stop_m2 + part(past) * (hand.blip_m2 - hand.stop_m2);
            }
            if next != Stage::Closing {
                stages_s.push(now.time_s);
            }
            (stage, since) = (next, now.time_s);
        }
        let past = now.time_s - since;
        let opening_m2 = match stage {
            Stage::Opening => hand.stop_m2 + part(past) * (hand.blip_m2 - hand.stop_m2),
            Stage::Closing => opened_m2 + part(past) * (hand.stop_m2 - opened_m2),
            _ => hand.stop_m2,
        };
        Some(Outside { opening_m2, drag_nm: if stage == Stage::Dragging { hand.drag_nm } else { 0.0 } })
    });
    let Log { turns, works, .. } = log;
    let spell = |from: usize| {
        let began = if from == 0 { Some(0.0) } else { stages_s.get(from - 1).copied() }?;
        let end = match stages_s.get(from) {
            Some(end) => *end,
            None if from == stages_s.len() && !account.stopped => turns.last()?.time_s,
            None => return None,
        };
        spell(&turns, &works, (end - AT_THE_END * (end - began), end))
    };
    let (idle, settled, released) = (spell(0), spell(2), spell(4));
    Run { turns, stages_s, idle, settled, released, account }
}

/// What turns and works (time [s], work [J]) of each cylinder between two times come to; `None` for fewer than three turns.
fn spell(turns: &[Turn], works: &[Vec<(f64, f64)>], (from_s, to_s): (f64, f64)) -> Option<Spell> {
    let work_scatter = |of: &Vec<(f64, f64)>| {
        let works: Vec<f64> = of.iter().filter(|(time, _)| *time > from_s && *time <= to_s).map(|(_, work)| *work).collect();
        let (mean, deviation) = mean_and_deviation(&works);
        if mean > 0.0 { deviation / mean } else { f64::NAN }
    };
    // Of two cylinders that fire together one alone is heard.
    let heard: Vec<f64> = works.iter().filter(|of| !of.is_empty()).map(work_scatter).collect();
    let work_scatter = heard.iter().sum::<f64>() / heard.len() as f64;
    let within: Vec<&Turn> = turns.iter().filter(|t| t.time_s > from_s && t.time_s <= to_s).collect();
    if within.len() < 3 {
        return None;
    }
    let of = within.len() as f64;
    let (mean, scatter) = mean_and_deviation(&within.iter().map(|t| t.mean_rad_s).collect::<Vec<_>>());
    let (mut side, mut crossings) = (0.0, 0);
    for turn in &within {
        let off = turn.mean_rad_s - mean;
        if off.abs() > CROSSING * scatter {
            crossings += usize::from(side * off < 0.0);
            side = off;
        }
    }
    Some(Spell {
        mean_rad_s: mean,
        scatter_rad_s: scatter,
        hunting_hz: 0.5 * crossings as f64 / (to_s - from_s),
        unevenness: within.iter().map(|t| t.unevenness).sum::<f64>() / of,
        work_scatter,
    })
}

/// Mean, and standard deviation as estimated from a sample; not numbers where there are too few.
fn mean_and_deviation(of: &[f64]) -> (f64, f64) {
    let mean = of.iter().sum::<f64>() / of.len() as f64;
    (mean, (of.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (of.len() as f64 - 1.0)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sine_is_read_off() {
        // 3 Hz about 100 rad/s with an amplitude of 2: standard deviation 2/√2, by definition; turns each 10 ms.
        let sine = |k: usize| Turn {
            time_s: 0.01 * k as f64,
            mean_rad_s: 100.0 + 2.0 * (TAU * 0.03 * k as f64 + 0.1).sin(),
            unevenness: 0.1,
        };
        let turns: Vec<Turn> = (1..=1000).map(sine).collect();
        // Work of 5 J and of 3 J in turn: mean 4, standard deviation 1, by definition.
        let works: Vec<(f64, f64)> = (1..=1000).map(|k| (0.01 * k as f64, if k % 2 == 0 { 5.0 } else { 3.0 })).collect();
        let got = spell(&turns, std::slice::from_ref(&works), (0.0, 10.0)).expect("many turns");
        // Ten seconds hold thirty whole swings; the first and the last crossing may be missed.
        const EDGES_HZ: f64 = 0.11;
        // A thousand in place of infinitely many points.
        const SAMPLED: f64 = 2e-3;
        assert!((got.mean_rad_s - 100.0).abs() < SAMPLED);
        assert!((got.scatter_rad_s - 2f64.sqrt()).abs() < SAMPLED);
        assert!((got.hunting_hz - 3.0).abs() < EDGES_HZ);
        assert!((got.unevenness - 0.1).abs() < SAMPLED);
        assert!((got.work_scatter - 0.25).abs() < SAMPLED);
        assert_eq!(spell(&turns, &[works], (20.0, 30.0)), None);
    }
}
