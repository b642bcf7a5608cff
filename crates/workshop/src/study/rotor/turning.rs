//! What the engine does to its crank, so far as inertia changes it: the swing of energy at idle, wide open and with the ignition cut.

use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        doubt::{finding, input},
        engine,
        judge::friction_slope,
        load,
        model::Which,
    },
};
use physics::{
    cycle::{Operating, Prepared, Sample, first_firing, settle_eight, trace},
    kickback::KickBack,
    rotor::unevenness,
    run_down,
};
use quantity::Reading;
use std::f64::consts::TAU;

/// Angles of a cycle at which the work of all cylinders is added up (own choice): every degree of the crank.
const ANGLES: usize = 720;
/// Wide open from and to these shares of the engine's top speed \[1\] (own choice): where a rider blips.
const REV_UP: (f64, f64) = (0.25, 0.75);
/// With the ignition cut from this multiple of the idle speed \[1\] down to it (own choice): the end of a blip.
const RUN_DOWN: f64 = 3.0;
/// How far the working cycle is from an engine, as a share of the energy's swing and of times [1], 95 % half-width: own choice, no source; the masses of pistons and rods are not in the file and are left out.
const MODEL: f64 = 0.25;

/// The engine as far as inertia matters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turning {
    /// Idle speed seen [rad/s].
    pub idle_rad_s: f64,
    /// Effective flow area of each throttle that holds that idle [m²].
    pub opening_m2: f64,
    /// Swing of the stored energy over a cycle at idle, from the pressure of the gas alone [J].
    pub swing_j: f64,
    /// From and to [rad/s], and time for an inertia of 1 kg·m² [s]: wide open.
    pub rev_up: Option<[f64; 3]>,
    /// The same with the ignition cut, the throttle on its stop.
    pub run_down: Option<[f64; 3]>,
    /// Work against the kick [J], and kicking speed [rad/s].
    pub kick: Option<[f64; 2]>,
    /// Greatest torque of the gas on the crank, either way, wide open: at a kick by one cylinder, and at the speeds of `rev_up` by all [N·m].
    pub peak: Peak,
}

/// See [`Turning::peak`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Greatest torque [N·m].
    pub torque_nm: f64,
    /// Speed at which it comes [rad/s].
    pub speed_rad_s: f64,
}

impl Turning {
    /// Share of doubt in what the engine does \[1\].
    pub const DOUBT: f64 = MODEL;

    /// Runs the working cycle at two dozen points; no surface is needed.
    ///
    /// # Errors
    /// [`NotStudied`] where there is no idle, no working cycle or no opening that holds the idle.
    pub fn of(machine: &Machine, curve: &CurveStudy) -> Result<Self, NotStudied> {
        let cycle = engine::cycle(machine)?;
        let idle = machine.idle.as_ref().ok_or(NotStudied::NoIdleSeen)?.speed.si;
        let p = cycle.turning().ok_or(NotStudied::NotComputable)?;
        let law = &curve.cylinders.first().ok_or(NotStudied::NoCurve)?.law;
        let advance = |speed: f64| law.advance(speed).radians();
        let friction =
            |speed: f64| cycle.corrected_friction_nm(speed, machine.engine.friction_factor.si, friction_slope(machine));
        let cylinders = machine.engine.cylinders.len() as f64;
        let openings = engine::grid(machine, Which::Nominal).opening_m2;
        let ends = openings.first().zip(openings.last()).ok_or(NotStudied::NotComputable)?;
        let opening =
            holds(p, idle, advance(idle), friction(idle) / cylinders, (*ends.0, *ends.1)).ok_or(NotStudied::IdleNotReproduced)?;
        let traced = trace(p, Operating { speed_rad_s: idle, opening_m2: opening, advance_rad: advance(idle) });
        let air = machine.engine.ambient_pressure.si;
        let fires: Vec<f64> = machine.engine.cylinders.iter().map(|c| c.fires_at.si).collect();
        let swing_j = unevenness::energy_swing_j(&work(&traced.samples, &fires, air)).ok_or(NotStudied::NotComputable)?;
        let top = machine.engine.top_speed.si;
        let (from, to) = (REV_UP.0 * top, REV_UP.1 * top);
        let speeds = eight(from, to);
        let at = speeds.map(|speed_rad_s| Operating {
            speed_rad_s,
            opening_m2: cycle.wide_open_m2(),
            advance_rad: advance(speed_rad_s),
        });
        let pulls = settle_eight(p, &at).map(|s| s.torque_nm * cylinders);
        let rev_up = unevenness::rev_up_s(1.0, from, to, |w| between(&speeds, &pulls, w) - friction(w)).map(|t| [from, to, t]);
        let fast = (RUN_DOWN * idle).min(top);
        let speeds = eight(idle, fast);
        let motored = cycle.motored_nm(&speeds.map(|w| (w, opening)));
        let run_down = motored
            .and_then(|m| run_down::time_s(1.0, fast, idle, |w| friction(w) - between(&speeds, &m, w)))
            .map(|t| [fast, idle, t]);
        let kicked = machine.engine.kicking_speed.si;
        let earliest = load::earliest(curve, kicked);
        let kick = earliest.map(|a| [cycle.kick_back_work_j(kicked, a.si), kicked]);
        let wide = |speed_rad_s: f64, advance_rad: f64| Operating { speed_rad_s, opening_m2: cycle.wide_open_m2(), advance_rad };
        let turned = [from, to].map(|speed| {
            let samples = trace(p, wide(speed, advance(speed))).samples;
            Peak { torque_nm: steepest(&work(&samples, &fires, air), 2.0 * TAU / ANGLES as f64), speed_rad_s: speed }
        });
        let kick_peak = earliest.map(|a| {
            let samples = first_firing(p, wide(kicked, a.si)).samples;
            Peak { torque_nm: steepest(&work(&samples, &[0.0], air), 2.0 * TAU / ANGLES as f64), speed_rad_s: kicked }
        });
        let peak = turned
            .into_iter()
            .chain(kick_peak)
            .filter(|p| p.torque_nm.is_finite())
            .max_by(|a, b| a.torque_nm.total_cmp(&b.torque_nm))
            .ok_or(NotStudied::NotComputable)?;
        Ok(Self {
            idle_rad_s: idle,
            opening_m2: opening,
            swing_j,
            rev_up,
            run_down,
            kick: kick.filter(|[work, _]| work.is_finite()),
            peak,
        })
    }

    /// Whether a kick cannot turn back with this inertia [kg·m²] at the low end of the energy's ±, from inertia and kicking speed [rad/s]; true where the work against it is
    /// not known, see `kick`.
    pub fn kicks(&self, inertia: Finding, kicking_speed: &Reading) -> bool {
        self.kick.is_none_or(|[work_against_j, _]| {
            let energy = finding(|x| 0.5 * x[0] * x[1] * x[1], &[(inertia.si, inertia.plus_minus_si), input(kicking_speed)]);
            KickBack { work_against_j, turning_energy_j: energy.si - energy.plus_minus_si }.passes()
        })
    }
}

/// Eight speeds from one to another.
fn eight(from: f64, to: f64) -> [f64; 8] {
    std::array::from_fn(|k| from + (to - from) * k as f64 / 7.0)
}

/// Straight between the points.
fn between(x: &[f64; 8], y: &[f64; 8], at: f64) -> f64 {
    let k = x.partition_point(|x| *x < at).clamp(1, 7);
    y[k - 1] + (y[k] - y[k - 1]) * (at - x[k - 1]) / (x[k] - x[k - 1])
}

/// The opening [m²] at which a cylinder's torque holds its share of the friction [N·m].
fn holds(p: &Prepared, speed_rad_s: f64, advance_rad: f64, friction_nm: f64, mut ends: (f64, f64)) -> Option<f64> {
    let mut found = None;
    // Twice in eighths: to about a fiftieth of the range of openings, and straight between two neighbours from there on.
    for _ in 0..2 {
        let openings = eight(ends.0.ln(), ends.1.ln()).map(f64::exp);
        let settled = settle_eight(p, &openings.map(|opening_m2| Operating { speed_rad_s, opening_m2, advance_rad }));
        let left = settled.map(|s| s.torque_nm - friction_nm);
        let k = (1..8).find(|k| left[k - 1] < 0.0 && left[*k] >= 0.0)?;
        ends = (openings[k - 1], openings[k]);
        found = Some(ends.0 + (ends.1 - ends.0) * left[k - 1] / (left[k - 1] - left[k]));
    }
    found
}

/// Greatest change of the work over an angle, either way: the torque [N·m] where it is greatest.
fn steepest(work: &[f64], angle_rad: f64) -> f64 {
    work.windows(2).map(|w| ((w[1] - w[0]) / angle_rad).abs()).fold(0.0, f64::max)
}

/// Work [J] of all cylinders up to every degree of the cycle, from one cylinder's; what the air under the pistons takes back is taken off.
fn work(samples: &[Sample], fires_at_rad: &[f64], air_pa: f64) -> Vec<f64> {
    let start_m3 = samples.last().map_or(0.0, |s| s.volume_m3);
    let net = |s: &Sample| s.work_j - air_pa * (s.volume_m3 - start_m3);
    let whole = samples.last().map_or(0.0, net);
    let cycle = 2.0 * TAU;
    // Work up to an angle after the gas-exchange top dead centre, which is a turn before firing.
    let up_to = |angle: f64| {
        let turns = angle.div_euclid(cycle);
        let at = angle.rem_euclid(cycle) - TAU;
        let k = samples.partition_point(|s| s.angle_rad < at);
        let before = if k == 0 { (-TAU, 0.0) } else { (samples[k - 1].angle_rad, net(&samples[k - 1])) };
        let after = samples.get(k).map_or((TAU, whole), |s| (s.angle_rad, net(s)));
        let share = if after.0 > before.0 { (at - before.0) / (after.0 - before.0) } else { 0.0 };
        turns * whole + before.1 + share * (after.1 - before.1)
    };
    let all = |theta: f64| fires_at_rad.iter().map(|f| up_to(theta - f + TAU)).sum::<f64>();
    let start = all(0.0);
    (1..=ANGLES).map(|k| all(cycle * k as f64 / ANGLES as f64) - start).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_cylinders_a_turn_apart_are_one_of_twice_the_rate() {
        // Work of one cylinder: a step of 10 J over a radian after firing. By hand: two of them half a cycle apart swing by less than one alone, and
        // each cycle does twice the work.
        let samples: Vec<Sample> = (1..=ANGLES)
            .map(|k| {
                let angle_rad = -TAU + 2.0 * TAU * k as f64 / ANGLES as f64;
                Sample {
                    angle_rad,
                    volume_m3: 0.0,
                    pressure_pa: 0.0,
                    temperature_k: 0.0,
                    unburned_k: 0.0,
                    burned: 0.0,
                    work_j: 10.0 * angle_rad.clamp(0.0, 1.0),
                }
            })
            .collect();
        let swing = |fires: &[f64]| unevenness::energy_swing_j(&work(&samples, fires, 0.0)).unwrap();
        let one = swing(&[0.0]);
        // From the valley at firing to the peak a radian later: 10 J less the mean's share of that radian.
        assert!((one - 10.0 * (1.0 - 1.0 / (2.0 * TAU))).abs() < 0.05, "{one}");
        let two = swing(&[0.0, TAU]);
        assert!((two - 10.0 * (1.0 - 2.0 / (2.0 * TAU))).abs() < 0.05, "{two}");
        assert!((work(&samples, &[0.0, 2.0], 0.0).last().unwrap() - 20.0).abs() < 1e-9);
        // Both at once is twice one.
        assert!((swing(&[1.0, 1.0]) - 2.0 * one).abs() < 0.1);
    }
}
