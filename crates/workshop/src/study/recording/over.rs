//! A recording laid over the run in time: the same blip, seen and computed.
//!
//! The run's turns are read by the same rules as a recording's ([`pace::of`]), so that "settled" and "hangs" mean the same in both. The two blips are laid over
//! each other at their fastest moment, for that is seen most sharply; when the hand began and how far it opened differs anyway.

use super::{
    Finding,
    pace::{self, Blip, By, Pace, Point},
};
use crate::study::run::RunStudy;

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Idle speed [rad/s].
    Idle,
    /// Speed to which it settles after the blip [rad/s].
    After,
    /// Time from the fastest moment until it has settled there [s].
    Settles,
    /// Time in which it comes down from a hang to the idle [s].
    ComesDown,
}

/// A thing heard, and the same in the run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// Which.
    pub what: What,
    /// Heard; a time has no ± of its own.
    pub heard: Finding,
    /// In the run with every burn alike.
    pub run: f64,
}

/// A recording on the run's clock.
#[derive(Clone, Debug, PartialEq)]
pub struct Over {
    /// Trusted time [s] and speed [rad/s], as long as the run lasts.
    pub course: Vec<(f64, f64)>,
    /// What both have.
    pub beside: Vec<Beside>,
}

/// Lays a recording over a run; `None` where it has no blip, or the run none.
pub fn laid_over(study: &RunStudy, heard: &Pace) -> Option<Over> {
    let points: Vec<Point> =
        study.even.turns.iter().map(|t| Point { at_s: t.time_s, speed_rad_s: t.mean_rad_s, trusted: true }).collect();
    let end = points.last()?.at_s;
    let run = pace::of(&points, None, By::Turns);
    let (blip, own) = (telling(heard)?, telling(&run)?);
    let shift = own.at_s - blip.at_s;
    let shifted = heard.course.iter().filter(|p| p.trusted).map(|p| (p.at_s + shift, p.speed_rad_s));
    let settled = |p: &Pace, b: &Blip| b.to.and_then(|i| p.steady.get(i)).map(|s| s.speed);
    let down = |p: &Pace, b: &Blip| p.hangs.iter().find(|h| Some(h.steady) == b.to).and_then(|h| h.comes_down_s);
    let exactly = |si: f64| Finding { si, plus_minus_si: 0.0 };
    let both = |what, heard: Option<Finding>, run: Option<f64>| Some(Beside { what, heard: heard?, run: run? });
    let beside = [
        both(What::Idle, heard.idle.map(|i| i.speed), run.idle.map(|i| i.speed.si)),
        both(What::After, settled(heard, blip), settled(&run, own).map(|s| s.si)),
        both(What::Settles, blip.settles_s.map(exactly), own.settles_s),
        both(What::ComesDown, down(heard, blip).map(exactly), down(&run, own)),
    ];
    Some(Over {
        course: shifted.filter(|(t, _)| (0.0..=end).contains(t)).collect(),
        beside: beside.into_iter().flatten().collect(),
    })
}

/// The blip that a hang follows, otherwise the one to the greatest speed.
fn telling(pace: &Pace) -> Option<&Blip> {
    let hangs = |b: &&Blip| b.to.is_some() && pace.hangs.iter().any(|h| Some(h.steady) == b.to);
    pace.blips.iter().find(hangs).or_else(|| pace.blips.iter().max_by(|a, b| a.peak_rad_s.total_cmp(&b.peak_rad_s)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::run::{Ending, Lighter, Wandering};
    use physics::{
        cycle::Account,
        run::{Idle, Run, Turn},
    };

    /// Idle at 120, a blip to 400 that settles at `after`, from 10.3 s (on this clock) down to the idle.
    fn speed(t: f64, after: f64) -> f64 {
        match t {
            t if t < 4.0 => 120.0,
            t if t < 4.3 => 120.0 + 280.0 * (t - 4.0) / 0.3,
            t if t < 10.3 => after + (400.0 - after) * (-(t - 4.3) / 0.4).exp(),
            t => 120.0 + (after - 120.0) * (-(t - 10.3) / 0.2).exp(),
        }
    }

    fn turns(after: f64) -> Vec<Turn> {
        (0..350).map(|k| 0.04 * f64::from(k)).map(|t| Turn { time_s: t, mean_rad_s: speed(t, after), unevenness: 0.0 }).collect()
    }

    fn run(after: f64) -> RunStudy {
        let none = Idle { spell: None, left_s: None, stopped: false };
        let run = || Run {
            turns: turns(after),
            stages_s: vec![4.0, 4.3, 10.0, 10.3],
            idle: None,
            settled: None,
            released: None,
            account: Account::default(),
        };
        RunStudy {
            stop_share: 1.0,
            push_at_idle: None,
            push_at_hang: None,
            even: run(),
            varied: run(),
            wanders: [Wandering { flame_scatter: 0.0, idle: none }; 3],
            lighter: Lighter { share: 0.75, push_at_idle: None, push_at_hang: None, idles_rad_s: None },
            ends: Ending::Back,
            again: [none; 2],
            varied_ends: [Ending::Back; 3],
            halved_ends: Ending::Back,
        }
    }

    fn heard(after: f64, later_s: f64) -> Pace {
        let points: Vec<Point> = turns(after)
            .into_iter()
            .map(|t| Point { at_s: t.time_s + later_s, speed_rad_s: t.mean_rad_s, trusted: true })
            .collect();
        pace::of(&points, None, By::Sound)
    }

    #[test]
    fn the_same_course_lies_on_itself_whenever_the_recording_began() {
        let over = laid_over(&run(230.0), &heard(230.0, 17.0)).expect("both have a blip");
        // The clock of the recording is shifted in sums of tenths: a rounding away.
        assert!(over.course.iter().all(|(t, n)| (n - speed(*t, 230.0)).abs() < 1e-6), "{:?}", &over.course[..3]);
        assert_eq!(
            over.beside.iter().map(|b| b.what).collect::<Vec<_>>(),
            [What::Idle, What::After, What::Settles, What::ComesDown]
        );
        assert!(over.beside.iter().all(|b| (b.heard.si - b.run).abs() < 1e-9 * b.run), "{:?}", over.beside);
    }

    #[test]
    fn what_differs_is_told_and_a_recording_without_a_blip_is_not_laid_over() {
        let over = laid_over(&run(230.0), &heard(210.0, 3.0)).expect("both have a blip");
        let after = over.beside.iter().find(|b| b.what == What::After).expect("both settle");
        assert!((after.heard.si - 210.0).abs() < 2.0 && (after.run - 230.0).abs() < 2.0, "{after:?}");
        let steady: Vec<Point> =
            (0..300).map(|k| Point { at_s: 0.04 * f64::from(k), speed_rad_s: 120.0, trusted: true }).collect();
        assert_eq!(laid_over(&run(230.0), &pace::of(&steady, None, By::Turns)), None);
    }
}
