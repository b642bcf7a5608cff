//! The engine run in time: idle, blip, closed throttle, clutch, and let go.

use super::{
    idle::RestPicture,
    judge::{APART, Subject},
    model::EngineModel,
};
use crate::{
    machine::Machine,
    sampling::{SplitMix64, normal_quantile},
};
use physics::{
    cycle::{Drive, Outside, Prepared, Start, turn},
    return_map::{self, Multipliers},
    run::{Idle, Manoeuvre, Run, idle, run},
};
use rayon::prelude::*;

/// Least factor on a flame's speed \[1\] (own choice): a wide scatter must not turn it round.
const LEAST_FLAME: f64 = 0.2;
/// Seeds of the rows of chance burns. Any numbers would do; they are fixed so that the same job gives the same sheet. One row alone would not tell what is chance in it.
const SEEDS: [u64; 3] = [125, 126, 127];

/// A blip opens this part of the throttle's area \[1\], within so many seconds, and closes it as quickly (own choice).
const BLIP: f64 = 0.25;
const RAMP_S: f64 = 0.15;
/// It goes on to this ratio above the fastest rest that holds, and above the idle \[1\] (own choice).
const ABOVE_REST: f64 = 1.4;
const ABOVE_IDLE: f64 = 3.0;
/// Seconds of idle, of settling, and after the clutch [s] (own choice): several time constants of a hang.
const IDLE_S: f64 = 4.0;
const SETTLE_S: f64 = 3.0;
const RELEASED_S: f64 = 3.0;
/// The clutch drags as much as the engine's own friction at idle \[1\], for at most so many seconds [s] (own choice).
const DRAG: f64 = 1.0;
const LONGEST_DRAG_S: f64 = 3.0;

/// The stop at which the run idles as seen lies between these shares of the opening that mean torque gives \[1\]; it is looked for in thirds, two trials at once, so often
/// that the stop is known to 0.3 % (own choice). A trial lasts so long [s]: a push at idle dies in a fifth of that.
const STOPS: (f64, f64) = (0.5, 1.25);
const THIRDS: usize = 5;
const TRIAL_S: f64 = 1.2;

/// The idle by itself is watched for so long [s] (own choice): some tens of its slow swings.
const WATCHED_S: f64 = 12.0;
/// The lighter crank that is looked at too, as a share of the inertia \[1\] (own choice): about what turning down a heavy rotor does.
const LIGHTER: f64 = 0.75;

/// What a run in time shows.
#[derive(Clone, Debug)]
pub struct RunStudy {
    /// The opening [m²] at which the run idles at the speed seen, as a share of the one that mean torque gives \[1\].
    pub stop_share: f64,
    /// How a push comes back at the idle and at the hang; `None` where two multipliers do not tell it, or there is no hang.
    pub push_at_idle: Option<Multipliers>,
    /// See `push_at_idle`.
    pub push_at_hang: Option<Multipliers>,
    /// Every burn alike.
    pub even: Run,
    /// Flames that vary from burn to burn, the first row of chance burns.
    pub varied: Run,
    /// The idle by itself, with flames that vary as given, and at both ends of the ±.
    pub wanders: [Wandering; 3],
    /// The idle by itself with flames that vary as given, in other rows of chance burns.
    pub again: [Idle; SEEDS.len() - 1],
    /// What a lighter crank changes.
    pub lighter: Lighter,
    /// How the even run ends, and the varied one in each row of chance burns.
    pub ends: Ending,
    /// See `ends`.
    pub varied_ends: [Ending; SEEDS.len()],
    /// How the even run ends when every time step is half as long: otherwise than `ends` where the computation itself is in doubt.
    pub halved_ends: Ending,
}

/// The idle by itself with flames that vary from burn to burn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wandering {
    /// Standard deviation of the flame's speed \[1\].
    pub flame_scatter: f64,
    /// What came of it.
    pub idle: Idle,
}

/// A lighter crank on the same stop: its rest points are the same, as mean torque knows no inertia.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lighter {
    /// Its inertia, as a share of the given one \[1\].
    pub share: f64,
    /// How a push comes back at the idle and at the hang, as in [`RunStudy`].
    pub push_at_idle: Option<Multipliers>,
    /// See `push_at_idle`.
    pub push_at_hang: Option<Multipliers>,
    /// Mean speed at which it idles there [rad/s]: not quite the same, as it turns less evenly. `None` where it stops or leaves.
    pub idles_rad_s: Option<f64>,
}

/// How a run ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ending {
    /// After the blip it is back at its idle.
    Back,
    /// It is not back, but on its way: at the rate at which it still falls it would be back within as long again as it was watched.
    StillFalls {
        /// Where it is when the clutch begins to drag [rad/s].
        at_rad_s: f64,
        /// How fast it falls there [rad/s²].
        by_rad_s2: f64,
    },
    /// It hangs after the blip; pulled down by the clutch it stays down.
    HangsUntilClutch {
        /// Where it hangs [rad/s].
        at_rad_s: f64,
    },
    /// It hangs, and climbs again after the clutch, or the clutch does not pull it down.
    HangsOn {
        /// Where it hangs [rad/s].
        at_rad_s: f64,
    },
    /// It climbs out of its idle by itself, before any blip.
    Leaves {
        /// Mean speed before the blip [rad/s].
        at_rad_s: f64,
    },
    /// It stops.
    Stops,
}

/// Runs an engine that idles at a speed [rad/s], for which mean torque gives an opening [m²], with the rest points that it has there.
///
/// The unevenness within the turn shifts the mean torque of a light crank, so the stop is set anew, as a mechanic would, until the *run* idles at the speed seen.
/// `None` for an engine that cannot be turned, or that no stop lets idle so.
pub fn study(
    subject: &Subject,
    machine: &Machine,
    model: &EngineModel,
    rest: &RestPicture,
    (idle_rad_s, opening_m2): (f64, f64),
) -> Option<RunStudy> {
    let p = model.cycle().turning()?;
    let advance = |c: usize, n: f64| subject.laws.get(c).map_or(0.0, |law| law.advance(n).radians());
    let friction = |n: f64| model.cycle().corrected_friction_nm(n, subject.friction_factor, subject.friction_slope);
    let drive = Drive { inertia_kg_m2: machine.engine.inertia.si, friction: &friction, advance: &advance, finer: 1 };
    let stop_share = stop_share(p, &drive, idle_rad_s, opening_m2)?;
    let stop_m2 = stop_share * opening_m2;
    let holds = rest.points.iter().filter(|r| r.stable).map(|r| r.speed_rad_s).fold(0.0, f64::max);
    let hand = Manoeuvre {
        stop_m2,
        blip_m2: (BLIP * model.cycle().wide_open_m2()).max(2.0 * stop_m2),
        ramp_s: RAMP_S,
        blip_to_rad_s: (ABOVE_REST * holds).max(ABOVE_IDLE * idle_rad_s).min(machine.engine.top_speed.si),
        idle_s: IDLE_S,
        settle_s: SETTLE_S,
        released_s: RELEASED_S,
        drag_nm: DRAG * friction(idle_rad_s),
        drag_to_rad_s: idle_rad_s,
        longest_drag_s: LONGEST_DRAG_S,
    };
    let burns = |scatter: f64, seed: u64| {
        move |cylinder: usize, firing: usize| {
            let bits = SplitMix64::new(seed ^ ((cylinder as u64) << 32) ^ firing as u64).next_bits();
            (1.0 + scatter * normal_quantile(SplitMix64::new(bits).unit())).max(LEAST_FLAME)
        }
    };
    let given = &machine.engine.burn_scatter;
    let runs = |scatter: f64, seed: u64| run(p, &drive, idle_rad_s, &hand, &burns(scatter, seed));
    let halved = || run(p, &Drive { finer: 2 * drive.finer, ..drive }, idle_rad_s, &hand, &burns(0.0, SEEDS[0]));
    let start = Start { speed_rad_s: idle_rad_s, opening_m2: stop_m2, push: 0.0 };
    let alone =
        |drive: &Drive, scatter: f64, seed: u64| idle(p, drive, start, WATCHED_S, APART * idle_rad_s, &burns(scatter, seed));
    let wander = |off: f64| {
        let flame_scatter = (given.si + off * given.plus_minus_si).max(0.0);
        Wandering { flame_scatter, idle: alone(&drive, flame_scatter, SEEDS[0]) }
    };
    let lighter = Drive { inertia_kg_m2: LIGHTER * drive.inertia_kg_m2, ..drive };
    let (((even, halved), lightly), (mut varied, (wanders, again))) = rayon::join(
        || (rayon::join(|| runs(0.0, SEEDS[0]), halved), alone(&lighter, 0.0, SEEDS[0])),
        || {
            let varied: Vec<Run> = SEEDS.par_iter().map(|seed| runs(given.si, *seed)).collect();
            let wanders: Vec<Wandering> = [0.0, -1.0, 1.0].into_par_iter().map(wander).collect();
            let again: Vec<Idle> = SEEDS[1..].par_iter().map(|seed| alone(&drive, given.si, *seed)).collect();
            (varied, (wanders, again))
        },
    );
    let ends = ending(&even, idle_rad_s);
    let varied_ends = std::array::from_fn(|n| ending(&varied[n], idle_rad_s));
    let hang = match ends {
        Ending::HangsUntilClutch { at_rad_s } | Ending::HangsOn { at_rad_s } => Some(at_rad_s),
        Ending::Back | Ending::StillFalls { .. } | Ending::Leaves { .. } | Ending::Stops => None,
    };
    let push = |share: f64, speed: f64| {
        return_map::at_rest(p, &Drive { inertia_kg_m2: share * drive.inertia_kg_m2, ..drive }, speed, stop_m2)
    };
    let pushes = |share: f64| rayon::join(|| push(share, idle_rad_s), || hang.and_then(|speed| push(share, speed)));
    let ((push_at_idle, push_at_hang), (lightly_at_idle, lightly_at_hang)) = rayon::join(|| pushes(1.0), || pushes(LIGHTER));
    Some(RunStudy {
        stop_share,
        push_at_idle,
        push_at_hang,
        lighter: Lighter {
            share: LIGHTER,
            push_at_idle: lightly_at_idle,
            push_at_hang: lightly_at_hang,
            idles_rad_s: lightly.spell.map(|s| s.mean_rad_s),
        },
        even,
        varied: varied.swap_remove(0),
        wanders: std::array::from_fn(|n| wanders[n]),
        again: std::array::from_fn(|n| again[n]),
        ends,
        varied_ends,
        halved_ends: ending(&halved, idle_rad_s),
    })
}

/// How a push comes back at the idle, and at a hang [rad/s] on the same stop, where there is one: what a lighter or heavier crank changes. The stop is set as in [`study`].
pub fn pushes(
    subject: &Subject,
    machine: &Machine,
    model: &EngineModel,
    (idle_rad_s, opening_m2): (f64, f64),
    hang_rad_s: Option<f64>,
) -> [Option<Multipliers>; 2] {
    let Some(p) = model.cycle().turning() else { return [None; 2] };
    let advance = |c: usize, n: f64| subject.laws.get(c).map_or(0.0, |law| law.advance(n).radians());
    let friction = |n: f64| model.cycle().corrected_friction_nm(n, subject.friction_factor, subject.friction_slope);
    let drive = Drive { inertia_kg_m2: machine.engine.inertia.si, friction: &friction, advance: &advance, finer: 1 };
    let Some(share) = stop_share(p, &drive, idle_rad_s, opening_m2) else { return [None; 2] };
    let push = |speed: f64| return_map::at_rest(p, &drive, speed, share * opening_m2);
    [push(idle_rad_s), hang_rad_s.and_then(push)]
}

/// The stop, as a share of `opening_m2`, at which the run idles at `idle_rad_s`.
fn stop_share(p: &Prepared, drive: &Drive, idle_rad_s: f64, opening_m2: f64) -> Option<f64> {
    // Faster than the idle seen, or slower?
    let faster = |share: f64| {
        let outside = Outside { opening_m2: share * opening_m2, drag_nm: 0.0 };
        let start = Start { speed_rad_s: idle_rad_s, opening_m2: outside.opening_m2, push: 0.0 };
        let mut speed = idle_rad_s;
        let account = turn(p, drive, start, &|_, _| 1.0, &mut |now| {
            speed = now.mean_rad_s;
            (now.time_s < TRIAL_S && speed < APART * APART * idle_rad_s).then_some(outside)
        });
        !account.stopped && speed > idle_rad_s
    };
    let (mut low, mut high) = STOPS;
    if rayon::join(|| faster(low), || faster(high)) != (false, true) {
        return None;
    }
    for _ in 0..THIRDS {
        let third = (high - low) / 3.0;
        let (one, two) = (low + third, high - third);
        (low, high) = match rayon::join(|| faster(one), || faster(two)) {
            (true, _) => (low, one),
            (false, true) => (one, two),
            (false, false) => (two, high),
        };
    }
    Some(low)
}

/// Over so much of the end of a stage it is read how fast the speed falls [s] (own choice): some turns of the slowest hang.
const FALLS_S: f64 = 0.6;

/// Speed at the end of the closed throttle [rad/s], and how fast it falls there [rad/s²]: the means of the last two halves of [`FALLS_S`].
fn falls(run: &Run) -> Option<(f64, f64)> {
    let end = *run.stages_s.get(2)?;
    let mean = |from: f64, to: f64| {
        let speeds: Vec<f64> = run.turns.iter().filter(|t| t.time_s > from && t.time_s <= to).map(|t| t.mean_rad_s).collect();
        (!speeds.is_empty()).then(|| speeds.iter().sum::<f64>() / speeds.len() as f64)
    };
    let half = 0.5 * FALLS_S;
    let (before, last) = (mean(end - FALLS_S, end - half)?, mean(end - half, end)?);
    Some((last, (before - last) / half))
}

/// A speed at less than [`APART`] above the idle is the idle.
fn ending(run: &Run, idle_rad_s: f64) -> Ending {
    let (Some(idle), Some(settled), Some(released)) = (run.idle, run.settled, run.released) else { return Ending::Stops };
    let hangs = |speed: f64| speed > APART * idle_rad_s;
    if hangs(idle.mean_rad_s) {
        return Ending::Leaves { at_rad_s: idle.mean_rad_s };
    }
    if let Some((at_rad_s, by_rad_s2)) = falls(run)
        && hangs(settled.mean_rad_s)
        && !hangs(at_rad_s - SETTLE_S * by_rad_s2)
    {
        return Ending::StillFalls { at_rad_s, by_rad_s2 };
    }
    match (hangs(settled.mean_rad_s), hangs(released.mean_rad_s)) {
        (false, _) => Ending::Back,
        (true, false) => Ending::HangsUntilClutch { at_rad_s: settled.mean_rad_s },
        (true, true) => Ending::HangsOn { at_rad_s: settled.mean_rad_s },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use physics::{
        cycle::Account,
        run::{Spell, Turn},
    };

    /// Idle, after the blip, after the clutch; as shares of the idle seen.
    fn ends(idle: Option<f64>, settled: Option<f64>, released: Option<f64>) -> Ending {
        let spell = |share: f64| Spell {
            mean_rad_s: 100.0 * share,
            scatter_rad_s: 0.0,
            hunting_hz: 0.0,
            unevenness: 0.0,
            work_scatter: 0.0,
        };
        let run = Run {
            turns: Vec::new(),
            stages_s: Vec::new(),
            idle: idle.map(spell),
            settled: settled.map(spell),
            released: released.map(spell),
            account: Account::default(),
        };
        ending(&run, 100.0)
    }

    #[test]
    fn what_still_falls_does_not_hang() {
        let run = |speed: &dyn Fn(f64) -> f64| {
            let spell =
                |mean_rad_s: f64| Spell { mean_rad_s, scatter_rad_s: 0.0, hunting_hz: 0.0, unevenness: 0.0, work_scatter: 0.0 };
            let turns = (0..300).map(|k| 0.03 * f64::from(k));
            Run {
                turns: turns.map(|time_s| Turn { time_s, mean_rad_s: speed(time_s), unevenness: 0.0 }).collect(),
                stages_s: vec![4.0, 4.3, 7.3, 8.0],
                idle: Some(spell(100.0)),
                settled: Some(spell(speed(7.0))),
                released: Some(spell(100.0)),
                account: Account::default(),
            }
        };
        // Straight down by 40 rad/s a second: 3 s later it would be at 80.
        let Ending::StillFalls { at_rad_s, by_rad_s2 } = ending(&run(&|t| 200.0 - 40.0 * (t - 7.3)), 100.0) else { panic!() };
        assert!((by_rad_s2 - 40.0).abs() < 2.0 && (at_rad_s - 206.0).abs() < 2.0, "{at_rad_s} {by_rad_s2}");
        // As slowly as it needs much longer: that is a hang to anybody who waits.
        assert!(matches!(ending(&run(&|t| 200.0 - 10.0 * (t - 7.3)), 100.0), Ending::HangsUntilClutch { .. }));
        assert!(matches!(ending(&run(&|_| 200.0), 100.0), Ending::HangsUntilClutch { .. }));
    }

    #[test]
    fn every_ending_is_told() {
        assert_eq!(ends(Some(1.0), Some(1.02), Some(1.01)), Ending::Back);
        assert_eq!(ends(Some(1.0), Some(2.0), Some(1.01)), Ending::HangsUntilClutch { at_rad_s: 200.0 });
        assert_eq!(ends(Some(1.0), Some(2.0), Some(2.0)), Ending::HangsOn { at_rad_s: 200.0 });
        assert_eq!(ends(Some(1.5), Some(2.0), Some(2.0)), Ending::Leaves { at_rad_s: 150.0 });
        assert_eq!(ends(Some(1.0), Some(1.0), None), Ending::Stops);
    }
}
