//! What the engine does to its crank, so far as inertia changes it: the swing of energy at idle, wide open and with the ignition cut.

use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        doubt::{finding, input},
        engine,
        judge::friction_slope,
        known::Known,
        load,
        model::{Which, WorkingCycle},
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
    /// Greatest torque of the gas on the crank, either way, wide open: at a kick by one cylinder, and at the speeds of `rev_up` by all [N·m]. Nought where it was not
    /// asked for, see [`Turns::under`].
    pub peak: Peak,
}

/// See [`Turning::peak`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
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
        let turns = Turns::of(machine)?;
        let found = turns.under(curve)?;
        Ok(Self { peak: turns.peak(curve)?, ..found })
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

/// An engine under one curve after the other. The idle hangs on the advance there alone, the blip on that at its speeds, the kick on that at the kick: what was worked
/// out for one curve serves for the next. Inertia counts in nothing of it.
pub struct Turns<'m> {
    machine: &'m Machine,
    cycle: Box<dyn WorkingCycle>,
    idle_rad_s: f64,
    idles: Known<1, Result<Idles, NotStudied>>,
    pulls: Known<8, [f64; 8]>,
    against: Known<1, f64>,
}

/// At idle: opening [m²], swing [J], the time down from [rad/s] for an inertia of 1 kg·m² [s].
#[derive(Clone, Copy)]
struct Idles {
    opening_m2: f64,
    swing_j: f64,
    run_down: Option<[f64; 3]>,
}

impl Idles {
    /// A share of the way to another.
    fn towards(&self, other: &Self, share: f64) -> Self {
        let line = |a: f64, b: f64| a + share * (b - a);
        Self {
            opening_m2: line(self.opening_m2, other.opening_m2),
            swing_j: line(self.swing_j, other.swing_j),
            run_down: self.run_down.zip(other.run_down).map(|(a, b)| std::array::from_fn(|k| line(a[k], b[k]))),
        }
    }
}

/// The whole degrees of advance on both sides of one [rad], the later first, and its share of the way \[1\].
fn beside(advance_rad: f64) -> (f64, f64, f64) {
    let degree = advance_rad.to_degrees();
    let late = degree.floor();
    (late.to_radians(), (late + 1.0).to_radians(), degree - late)
}

impl<'m> Turns<'m> {
    /// Of a machine.
    ///
    /// # Errors
    /// [`NotStudied`] where there is no idle or no working cycle.
    pub fn of(machine: &'m Machine) -> Result<Self, NotStudied> {
        let cycle = engine::cycle(machine)?;
        let idle_rad_s = machine.idle.as_ref().ok_or(NotStudied::NoIdleSeen)?.speed.si;
        cycle.turning().ok_or(NotStudied::NotComputable)?;
        let (idles, pulls, against) = (Known::default(), Known::default(), Known::default());
        Ok(Self { machine, cycle, idle_rad_s, idles, pulls, against })
    }

    /// Under a curve, without the greatest torque.
    ///
    /// # Errors
    /// [`NotStudied`] where there is no curve, or no opening holds the idle.
    pub fn under(&self, curve: &CurveStudy) -> Result<Turning, NotStudied> {
        self.with(curve, |at| self.idles(at), |at| self.against(at))
    }

    /// The same for one of many curves: idle and kick are worked out at whole degrees of advance, for all curves together, and are straight between them.
    ///
    /// # Errors
    /// As [`under`](Self::under).
    pub fn near(&self, curve: &CurveStudy) -> Result<Turning, NotStudied> {
        let idles = |at: f64| self.idles.or([at], || self.idles(at));
        let against = |at: f64| self.against.or([at], || self.against(at));
        let kick = |at: f64| {
            let (late, early, share) = beside(at);
            if share == 0.0 { against(late) } else { (1.0 - share) * against(late) + share * against(early) }
        };
        let idle = |at: f64| {
            let (late, early, share) = beside(at);
            match (idles(late), idles(early)) {
                (Ok(late), Ok(early)) => Ok(late.towards(&early, share)),
                _ => self.idles(at),
            }
        };
        self.with(curve, idle, kick)
    }

    fn with(
        &self,
        curve: &CurveStudy,
        idles: impl Fn(f64) -> Result<Idles, NotStudied>,
        against: impl Fn(f64) -> f64,
    ) -> Result<Turning, NotStudied> {
        let law = &curve.cylinders.first().ok_or(NotStudied::NoCurve)?.law;
        let advance = |speed: f64| law.advance(speed).radians();
        let Idles { opening_m2, swing_j, run_down } = idles(advance(self.idle_rad_s))?;
        let (from, to) = self.blip();
        let speeds = eight(from, to);
        let advances = speeds.map(advance);
        let pulls = self.pulls.or(advances, || self.pulls(&speeds, &advances));
        let rev_up =
            unevenness::rev_up_s(1.0, from, to, |w| between(&speeds, &pulls, w) - self.friction(w)).map(|t| [from, to, t]);
        let kicked = self.machine.engine.kicking_speed.si;
        let kick = load::earliest(curve, kicked).map(|a| [against(a.si), kicked]).filter(|[work, _]| work.is_finite());
        Ok(Turning { idle_rad_s: self.idle_rad_s, opening_m2, swing_j, rev_up, run_down, kick, peak: Peak::default() })
    }

    fn friction(&self, speed_rad_s: f64) -> f64 {
        let level = self.machine.engine.friction_factor.si;
        self.cycle.corrected_friction_nm(speed_rad_s, level, friction_slope(self.machine))
    }

    fn prepared(&self) -> Result<&Prepared, NotStudied> {
        self.cycle.turning().ok_or(NotStudied::NotComputable)
    }

    fn cylinders(&self) -> f64 {
        self.machine.engine.cylinders.len() as f64
    }

    fn fires_at(&self) -> Vec<f64> {
        self.machine.engine.cylinders.iter().map(|c| c.fires_at.si).collect()
    }

    /// Speeds of a blip, from and to [rad/s].
    fn blip(&self) -> (f64, f64) {
        let top = self.machine.engine.top_speed.si;
        (REV_UP.0 * top, REV_UP.1 * top)
    }

    fn wide(&self, speed_rad_s: f64, advance_rad: f64) -> Operating {
        Operating { speed_rad_s, opening_m2: self.cycle.wide_open_m2(), advance_rad }
    }

    /// Work of the burn against a kick [J].
    fn against(&self, advance_rad: f64) -> f64 {
        self.cycle.kick_back_work_j(self.machine.engine.kicking_speed.si, advance_rad)
    }

    fn idles(&self, advance_rad: f64) -> Result<Idles, NotStudied> {
        let (p, idle) = (self.prepared()?, self.idle_rad_s);
        let openings = engine::grid(self.machine, Which::Nominal).opening_m2;
        let ends = openings.first().zip(openings.last()).ok_or(NotStudied::NotComputable)?;
        let share = self.friction(idle) / self.cylinders();
        let opening_m2 = holds(p, idle, advance_rad, share, (*ends.0, *ends.1)).ok_or(NotStudied::IdleNotReproduced)?;
        let traced = trace(p, Operating { speed_rad_s: idle, opening_m2, advance_rad });
        let air = self.machine.engine.ambient_pressure.si;
        let swing_j =
            unevenness::energy_swing_j(&work(&traced.samples, &self.fires_at(), air)).ok_or(NotStudied::NotComputable)?;
        let fast = (RUN_DOWN * idle).min(self.machine.engine.top_speed.si);
        let speeds = eight(idle, fast);
        let motored = self.cycle.motored_nm(&speeds.map(|w| (w, opening_m2)));
        let run_down = motored
            .and_then(|m| run_down::time_s(1.0, fast, idle, |w| self.friction(w) - between(&speeds, &m, w)))
            .map(|t| [fast, idle, t]);
        Ok(Idles { opening_m2, swing_j, run_down })
    }

    /// Torque of the gas wide open, all cylinders [N·m].
    fn pulls(&self, speeds: &[f64; 8], advances: &[f64; 8]) -> [f64; 8] {
        let Some(p) = self.cycle.turning() else { return [f64::NAN; 8] };
        let at = std::array::from_fn(|k| self.wide(speeds[k], advances[k]));
        settle_eight(p, &at).map(|s| s.torque_nm * self.cylinders())
    }

    /// See [`Turning::peak`].
    fn peak(&self, curve: &CurveStudy) -> Result<Peak, NotStudied> {
        let p = self.prepared()?;
        let law = &curve.cylinders.first().ok_or(NotStudied::NoCurve)?.law;
        let (air, fires) = (self.machine.engine.ambient_pressure.si, self.fires_at());
        let step = 2.0 * TAU / ANGLES as f64;
        let (from, to) = self.blip();
        let turned = [from, to].map(|speed_rad_s| {
            let samples = trace(p, self.wide(speed_rad_s, law.advance(speed_rad_s).radians())).samples;
            Peak { torque_nm: steepest(&work(&samples, &fires, air), step), speed_rad_s }
        });
        let speed_rad_s = self.machine.engine.kicking_speed.si;
        let kicked = load::earliest(curve, speed_rad_s).map(|a| {
            let samples = first_firing(p, self.wide(speed_rad_s, a.si)).samples;
            Peak { torque_nm: steepest(&work(&samples, &[0.0], air), step), speed_rad_s }
        });
        let told = turned.into_iter().chain(kicked).filter(|p| p.torque_nm.is_finite());
        told.max_by(|a, b| a.torque_nm.total_cmp(&b.torque_nm)).ok_or(NotStudied::NotComputable)
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

    #[test]
    fn between_whole_degrees_is_near_what_is_run_there() {
        /// How far the straight line over a degree may be off [1]: a hundredth of [`MODEL`] and less.
        const BEND: f64 = 2e-3;
        let (machine, _) = crate::machine::read(crate::machine::EXAMPLES[0].1).unwrap();
        let curve = crate::study::curve::study(&machine).unwrap();
        let turns = Turns::of(&machine).unwrap();
        let (run, near) = (turns.under(&curve).unwrap(), turns.near(&curve).unwrap());
        let same = |a: f64, b: f64| assert!((a / b - 1.0).abs() < BEND, "{a} {b}");
        same(near.opening_m2, run.opening_m2);
        same(near.swing_j, run.swing_j);
        same(near.run_down.unwrap()[2], run.run_down.unwrap()[2]);
        assert_eq!(near.rev_up, run.rev_up);
        // Against the turning energy: the work itself may be next to nothing.
        let energy = 0.5 * machine.engine.inertia.si * machine.engine.kicking_speed.si.powi(2);
        assert!((near.kick.unwrap()[0] - run.kick.unwrap()[0]).abs() < BEND * energy);
        assert_eq!(beside(7.25_f64.to_radians()).0, 7_f64.to_radians());
    }
}
