//! Pulling the rotor off: what it takes, what the puller gives and bears, step by step.

use super::taper::TaperFound;
use crate::study::doubt::{finding, input};
use crate::{
    machine::{Puller, PullsBy},
    study::Finding,
};
use physics::rotor::{
    puller::{Screw, Shared, shared, strips_at_n},
    thread::{Class, Metric},
};

/// What is found of a pull.
#[derive(Clone, Debug, PartialEq)]
pub struct PullFound {
    /// What the puller takes hold of.
    pub by: PullsBy,
    /// Axial force that frees the seat as it was put on [N]; the least, since rust and fretting add to it.
    pub release: Finding,
    /// Torque of the puller's screw for it [N·m].
    pub torque: Finding,
    /// Force at which the thread in the rotor strips, or a bolt reaches its proof load, all bolts together [N].
    pub strips_at: Finding,
    /// Most that should be put on: a share of it, as a force [N] and a torque of the screw [N·m].
    pub most: (Finding, Finding),
    /// Whether that frees the seat.
    pub enough: Enough,
    /// How bolts share the pull when the screw stands a millimetre off.
    pub bolts: Option<Shared>,
    /// Warming of the boss that frees it by itself [K].
    pub frees_at: Finding,
    /// Most that glue and magnets bear [K], where that is known, and whether the boss may be warmed so far that it helps.
    pub bears_k: Option<f64>,
    /// See there.
    pub may_warm: bool,
    /// What changes once the planned cut has shortened the thread.
    pub shortened: Option<Shortened>,
    /// The steps.
    pub steps: Vec<PullStep>,
}

/// Pulling once the thread in the rotor is shorter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shortened {
    /// Thread that is filled now [m].
    pub now_m: f64,
    /// And then [m].
    pub left: Finding,
    /// Force at which it then strips [N].
    pub strips_at: Finding,
    /// Most torque of the screw then, the low end of its ± [N·m].
    pub most_n_m: f64,
    /// Whether that frees the seat.
    pub enough: Enough,
}

/// See [`PullFound`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Enough {
    /// Yes, ± and all.
    Yes,
    /// Perhaps: warm it first.
    Perhaps,
    /// No: warm it, or another puller.
    No,
}

/// A step of the pull. `sheets` has the words and the caution before each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PullStep {
    /// Turning arrow and side on the rotor.
    MarkDirection,
    /// Hold the rotor by a strap or the crank, never through the rotor.
    Hold,
    /// Nut off, and back on flush a few turns to catch the rotor.
    NutBackOn,
    /// A cap over the shaft end.
    Cap,
    /// Thread in by hand to this depth [m]; bolts no longer than the boss.
    ThreadIn {
        /// Depth [m].
        depth_m: f64,
        /// What the planned cut leaves of it [m], where that is less.
        left_m: Option<f64>,
    },
    /// Three bolts where there are holes for three.
    ThreeBolts,
    /// Tighten to no more than this [N·m].
    Tighten {
        /// Torque [N·m].
        most_n_m: f64,
    },
    /// A sharp tap on the screw's end.
    Tap,
    /// Warm the boss quickly by this much, magnets kept cool.
    Warm {
        /// Warming above the shaft that frees it, with its ± [K].
        by: Finding,
        /// No hotter than this [K], where glue or magnets do not bear more.
        not_above_k: Option<f64>,
    },
    /// Not to be warmed, since glue or magnets bear no more than this [K]: another puller.
    DoNotWarm {
        /// Most that they bear [K].
        most_k: f64,
    },
    /// Wait, and again.
    Wait,
    /// Catch it, keep swarf off the magnets, keeper on where there is one.
    Catch,
    /// Look at taper, key and thread.
    Look,
}

/// Share of a thread's stripping force that is put on \[1\] (own choice): a third, since old threads are worn and never shared evenly.
pub const OF_STRIPPING: f64 = 1.0 / 3.0;
/// Screw off the middle for which the bolts' share is worked out [m] (own choice).
pub const OFF: f64 = 1e-3;
/// Friction of a greased puller screw and its point, with its ± \[1\] (common practice, no source).
const GREASED: (f64, f64) = (0.12, 0.03);
/// Diameter of the point of a puller's screw as a share of the screw \[1\] (own choice): half.
const POINT: f64 = 0.5;
/// The puller's own threads [Pa]: as of class 8.8 (common practice, no source).
const PULLER_CLASS: Class = Class::C8_8;

/// What else is known where a rotor is pulled.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Beside {
    /// Most that the glue of its magnets and they themselves bear [K]: no hotter is the boss made, though they sit farther out.
    pub bears_k: Option<f64>,
    /// Thread for the bolts that the planned cut leaves [m].
    pub thread_left: Option<Finding>,
}

/// Temperature of a workshop from which a boss is warmed [K] (own choice): 20 °C.
const ROOM_K: f64 = 293.15;

/// The pull. `None` where a thread cannot be, which the machine file's own checks refuse.
pub fn study(puller: &Puller, seat: &TaperFound, beside: Beside) -> Option<PullFound> {
    let left = beside.thread_left.filter(|left| puller.by == PullsBy::Bolts && left.si < puller.engaged.si);
    let may_warm = beside.bears_k.is_none_or(|most| ROOM_K + seat.frees_at.si <= most);
    let thread = Metric::new(puller.thread.si, puller.pitch.si)?;
    let screw_thread = Metric::new(puller.screw.si, puller.screw_pitch.si)?;
    let screw =
        |friction: f64| Screw { thread: screw_thread, friction, point_friction: friction, point_m: POINT * puller.screw.si };
    let release = seat.release;
    let of = |f: &Finding| (f.si, f.plus_minus_si);
    let torque = finding(|x| screw(x[1]).torque_n_m(x[0]), &[of(&release), GREASED]);
    let n = match (puller.by, &puller.bolts) {
        (PullsBy::Bolts, Some((n, _))) => f64::from(*n),
        _ => 1.0,
    };
    let bolts = puller.bolts.as_ref().filter(|_| puller.by == PullsBy::Bolts);
    let shares = bolts.and_then(|(count, circle)| shared(1.0, usize::from(*count), circle.si, OFF));
    // The bolt that bears most strips first.
    let worst = shares.map_or(1.0 / n, |s| s.most_n);
    // A bolt itself bears no more than its proof load; a boss takes a puller body much thicker than its thread.
    let bears = if bolts.is_some() { PULLER_CLASS.proof_pa(puller.thread.si) * thread.stress_area_m2() } else { f64::INFINITY };
    let by_thread = |engaged| {
        let strips_at = finding(
            |x| strips_at_n(&thread, x[0].max(0.0), x[1], PULLER_CLASS.tensile_pa()).min(bears) / worst,
            &[engaged, input(&puller.hub_strength)],
        );
        let most = Finding { si: OF_STRIPPING * strips_at.si, plus_minus_si: OF_STRIPPING * strips_at.plus_minus_si };
        let torque = finding(|x| screw(x[1]).torque_n_m(x[0]), &[of(&most), GREASED]);
        let enough = match () {
            () if release.si + release.plus_minus_si <= most.si - most.plus_minus_si => Enough::Yes,
            () if release.si <= most.si => Enough::Perhaps,
            () => Enough::No,
        };
        (strips_at, most, torque, enough)
    };
    let (strips_at, most, most_torque, enough) = by_thread(input(&puller.engaged));
    // Never more than the screw gives at the least friction for what the threads bear.
    let least = |torque: Finding| (torque.si - torque.plus_minus_si).max(0.0);
    let shortened = left.map(|left| {
        let (strips_at, _, torque, enough) = by_thread(of(&left));
        Shortened { now_m: puller.engaged.si, left, strips_at, most_n_m: least(torque), enough }
    });
    let mut steps = vec![PullStep::MarkDirection, PullStep::Hold, PullStep::NutBackOn, PullStep::Cap];
    steps.push(PullStep::ThreadIn { depth_m: puller.engaged.si, left_m: left.map(|left| left.si) });
    if bolts.is_some_and(|(n, _)| *n < 3) {
        steps.push(PullStep::ThreeBolts);
    }
    steps.extend([
        PullStep::Tighten { most_n_m: least(most_torque) },
        PullStep::Tap,
        PullStep::Wait,
        match beside.bears_k {
            Some(most_k) if !may_warm => PullStep::DoNotWarm { most_k },
            not_above_k => PullStep::Warm { by: seat.frees_at, not_above_k },
        },
        PullStep::Catch,
        PullStep::Look,
    ]);
    Some(PullFound {
        by: puller.by,
        release,
        torque,
        strips_at,
        most: (most, most_torque),
        enough,
        bolts: shares,
        frees_at: seat.frees_at,
        bears_k: beside.bears_k,
        may_warm,
        shortened,
        steps,
    })
}
