//! From the machine file to the working cycle: engines, grids, and a cycle that answers the studies.

use super::{
    NotStudied,
    idle::{Parameter, given},
    model::{CyclePoint, EngineModel, SparkPoint, Which, WorkingCycle, coarser, difference},
};
use crate::machine::{Arrangement, Machine, Strokes, Valves};
use physics::{
    crank::{Chamber, SliderCrank},
    cycle::{Engine, Operating, Prepared, settle, settle_eight, trace},
    friction, kickback, knock,
    surface::{Grid, NoSurface, Progress, Surface},
    valve::Valve,
};
use std::f64::consts::{PI, TAU};

/// Slowest speed computed [rad/s]: 450 1/min, below any idle that a single or twin keeps (900 1/min and more; common practice, no source).
const SLOWEST: f64 = 450.0 * TAU / 60.0;
/// Fastest speed computed, where the engine turns as fast [rad/s]: 6000 1/min, far above any speed at which an engine hangs on its throttle
/// stop (2000 to 3500 1/min; common practice, no source).
const FASTEST: f64 = 6000.0 * TAU / 60.0;
/// Flow that stands for an idle: the charge of 35 % filling [1] at 1000 1/min [rad/s], through a choked throttle. Both usual, no source;
/// they only place the range of openings.
const IDLE_FILLING: f64 = 0.35;
const IDLE_SPEED: f64 = 1000.0 * TAU / 60.0;
/// Density of ambient air [kg/m³] and mass flow of air per effective area through a choked throttle [kg/(s·m²)], both at 1 bar and 293 K:
/// p/(R T), and p/√(R T) · 0.685 (isentropic flow, ratio of specific heats 1.4; both follow by definition).
const AIR_KG_M3: f64 = 1.19;
const CHOKED_KG_S_M2: f64 = 236.0;
/// The range of openings, as multiples of that [1] (own choice): down to a third, for engines that idle on very little; up to 24, for a late spark at speed.
const NARROW: f64 = 0.33;
const WIDE: f64 = 24.0;

/// Effective share of a throttle's bore, wide open [1]: between the 0.6 of a sharp-edged orifice and the 0.97 of a smooth nozzle (ISO 5167-2:2022
/// and 5167-3:2022, from memory). The middle is this project's choice; no source for carburettors.
pub(crate) const OPEN_DISCHARGE: f64 = 0.8;

/// Advances from 10° after to 60° before top dead centre [°], 5° apart (own choice): the best advance of a slow burn at idle lies inside.
const LATEST: f64 = -10.0;
const ADVANCES: u8 = 15;

/// The advance of a spark that never comes [rad]: it lies a whole cycle after the cycle's end, by definition.
const NEVER_LIT: f64 = -4.0 * TAU;

/// Weakest mixture computed, as equivalence ratio \[1\]: the end of the range in which the flame-speed correlation was published
/// (Metghalchi & Keck 1982; see `physics::flame`).
pub const LEANEST: f64 = 0.8;
/// A mixture that may get weaker by less than this share [1] is not varied (own choice): no mechanic would tell.
const LEAST_LEAN: f64 = 0.02;

/// The engine as given, and varied ones for each parameter with a ±, the nominal first. Weaker mixtures come last, where a hang was seen
/// that a weak mixture might explain.
///
/// # Errors
/// [`NotStudied::TwoStroke`], [`NotStudied::NoBreathing`], [`NotStudied::NotComputable`].
pub fn surfaces_needed(machine: &Machine) -> Result<Vec<(Which, Engine)>, NotStudied> {
    let mut engines = vec![(Which::Nominal, engine(machine, Which::Nominal)?)];
    for parameter in [Parameter::BurnFactor, Parameter::RunnerVolume, Parameter::Overlap] {
        if given(machine, parameter).is_some_and(|f| f.plus_minus_si > 0.0) {
            for which in [Which::Low(parameter), Which::High(parameter)] {
                engines.push((which, engine(machine, which)?));
            }
        }
    }
    if machine.idle.as_ref().is_some_and(|i| i.hangs_at.is_some()) && most_lean(machine) > LEAST_LEAN {
        for which in [Which::HalfLean, Which::Lean] {
            engines.push((which, engine(machine, which)?));
        }
    }
    Ok(engines)
}

/// Share of the fuel that is missing at the weakest mixture computed [1].
fn most_lean(machine: &Machine) -> f64 {
    1.0 - LEANEST / machine.engine.mixture.si
}

/// The grid of a surface: the full one for the engine as given, every second point for the others. It depends on the engine alone,
/// so a new curve or idle speed needs no new surface.
pub fn grid(machine: &Machine, which: Which) -> Grid {
    let e = &machine.engine;
    let shared = e.inlet.as_ref().is_some_and(|i| i.arrangement == Arrangement::Shared);
    let behind_one = e.swept_m3() * if shared { e.cylinders.len().max(1) as f64 } else { 1.0 };
    let idle = IDLE_FILLING * AIR_KG_M3 * behind_one * IDLE_SPEED / (4.0 * PI) / CHOKED_KG_S_M2;
    let mut full = Grid::for_idle((SLOWEST, e.top_speed.si.clamp(2.0 * SLOWEST, FASTEST)), (NARROW * idle, WIDE * idle));
    full.advance_rad = (0..ADVANCES).map(|k| (LATEST + f64::from(k) * 5.0).to_radians()).collect();
    match which {
        Which::Nominal => full,
        Which::HalfLean | Which::Lean => Grid { opening_m2: eight_of(&full.opening_m2), ..coarser(&full) },
        Which::Low(_) | Which::High(_) => coarser(&full),
    }
}

/// Eight points of an axis, ends included: as many openings as are computed side by side, so a ninth would double the time.
fn eight_of(axis: &[f64]) -> Vec<f64> {
    let last = axis.len().saturating_sub(1);
    (0..8).map(|k| axis[(k * last + 3) / 7]).collect()
}

/// Computes everything the studies need of this engine.
///
/// `progress` counts the points of one surface after the other; the engine as given comes first.
///
/// # Errors
/// As [`surfaces_needed`]; [`NotStudied::Stopped`].
pub fn compute(machine: &Machine, progress: &Progress) -> Result<EngineModel, NotStudied> {
    let mut surfaces = Vec::new();
    for (which, engine) in surfaces_needed(machine)? {
        let prepared = Prepared::new(engine).map_err(|_| NotStudied::NotComputable)?;
        let surface = Surface::compute(&prepared, &grid(machine, which), progress).map_err(no_surface)?;
        surfaces.push((which, surface));
    }
    from_surfaces(machine, &surfaces)
}

/// What a missing surface means for the studies.
pub fn no_surface(why: NoSurface) -> NotStudied {
    match why {
        NoSurface::Stopped => NotStudied::Stopped,
        NoSurface::BadGrid | NoSurface::NoNumber { .. } => NotStudied::NotComputable,
    }
}

/// The same from surfaces that were computed before, the nominal one first.
///
/// # Errors
/// As [`surfaces_needed`]; [`NotStudied::NotComputable`] without a nominal surface.
pub fn from_surfaces(machine: &Machine, surfaces: &[(Which, Surface)]) -> Result<EngineModel, NotStudied> {
    let Some(((Which::Nominal, nominal), varied)) = surfaces.split_first() else { return Err(NotStudied::NotComputable) };
    let model = EngineModel::new(nominal, varied, Box::new(Computed::new(machine)?));
    let of = |which: Which| Some(difference(model.torque(), nominal, &varied.iter().find(|(w, _)| *w == which)?.1));
    let lean = of(Which::HalfLean).zip(of(Which::Lean));
    Ok(match lean {
        Some((half, full)) => model.with_lean(most_lean(machine), [half, full]),
        None => model,
    })
}

/// The working cycle alone, for what needs no surface.
///
/// # Errors
/// As [`surfaces_needed`].
pub fn cycle(machine: &Machine) -> Result<Box<dyn WorkingCycle>, NotStudied> {
    Ok(Box::new(Computed::new(machine)?))
}

/// A machine's engine in the terms of the working cycle.
pub(super) fn engine(machine: &Machine, which: Which) -> Result<Engine, NotStudied> {
    let e = &machine.engine;
    if e.strokes == Strokes::Two {
        return Err(NotStudied::TwoStroke);
    }
    let (Some(valves), Some(inlet)) = (&e.valves, &e.inlet) else { return Err(NotStudied::NoBreathing) };
    let off = |parameter: Parameter| -> f64 {
        let doubt = given(machine, parameter).map_or(0.0, |f| f.plus_minus_si);
        match which {
            Which::Low(p) if p == parameter => -doubt,
            Which::High(p) if p == parameter => doubt,
            _ => 0.0,
        }
    };
    let crank = SliderCrank::new(0.5 * e.stroke.si, e.rod.si, e.pin_offset.si).map_err(|_| NotStudied::NotComputable)?;
    let chamber = Chamber::new(crank, e.bore.si, e.compression_ratio.si).map_err(|_| NotStudied::NotComputable)?;
    let (inlet_valve, exhaust_valve) = valve_pair(valves, off(Parameter::Overlap));
    Ok(Engine {
        chamber,
        fires_at_rad: e.cylinders.iter().map(|c| c.fires_at.si).collect(),
        inlet: inlet_valve,
        exhaust: exhaust_valve,
        runner_m3: inlet.volume.si + off(Parameter::RunnerVolume),
        shared: inlet.arrangement == Arrangement::Shared,
        equivalence_ratio: e.mixture.si
            * match which {
                Which::HalfLean => 1.0 - 0.5 * most_lean(machine),
                Which::Lean => 1.0 - most_lean(machine),
                _ => 1.0,
            },
        burn_factor: e.burn_factor.si + off(Parameter::BurnFactor),
        heat_factor: 1.0,
        ambient_pa: e.ambient_pressure.si,
        ambient_k: e.ambient_temperature.si,
    })
}

/// Valves in crank angle from firing top dead centre; gas exchange is a turn later. A change of overlap is shared by both valves.
fn valve_pair(v: &Valves, more_overlap: f64) -> (Valve, Valve) {
    let inlet = Valve {
        opens_rad: TAU - v.inlet_opens.si - 0.5 * more_overlap,
        closes_rad: 3.0 * PI + v.inlet_closes.si,
        diameter_m: v.inlet_diameter.si,
        lift_m: v.inlet_lift.si,
        count: f64::from(v.inlet_count),
    };
    let exhaust = Valve {
        opens_rad: PI - v.exhaust_opens.si,
        closes_rad: TAU + v.exhaust_closes.si + 0.5 * more_overlap,
        diameter_m: v.exhaust_diameter.si,
        lift_m: v.exhaust_lift.si,
        count: f64::from(v.exhaust_count),
    };
    (inlet, exhaust)
}

/// The working cycle of the engine as given, and with its flame at both ends of its ±.
struct Computed {
    prepared: Prepared,
    varied: Vec<(Which, Prepared)>,
    cylinders: f64,
    wide_open_m2: f64,
    displacement_m3: f64,
    inertia_kg_m2: f64,
    kick_opening_m2: f64,
}

impl Computed {
    fn new(machine: &Machine) -> Result<Self, NotStudied> {
        let prepared = Prepared::new(engine(machine, Which::Nominal)?).map_err(|_| NotStudied::NotComputable)?;
        let opening = grid(machine, Which::Nominal).opening_m2;
        let flame = Parameter::BurnFactor;
        let doubt = given(machine, flame).is_some_and(|f| f.plus_minus_si > 0.0);
        let ends = [Which::Low(flame), Which::High(flame)].into_iter().filter(|_| doubt);
        let varied =
            ends.map(|which| Ok((which, Prepared::new(engine(machine, which)?).map_err(|_| NotStudied::NotComputable)?)));
        let bore = machine.engine.inlet.as_ref().map_or(0.0, |i| i.throttle_bore.si);
        Ok(Self {
            varied: varied.collect::<Result<_, NotStudied>>()?,
            cylinders: machine.engine.cylinders.len() as f64,
            wide_open_m2: OPEN_DISCHARGE * 0.25 * PI * bore * bore,
            displacement_m3: prepared.swept_m3() * machine.engine.cylinders.len() as f64,
            inertia_kg_m2: machine.engine.inertia.si,
            kick_opening_m2: opening.last().copied().unwrap_or(0.0),
            prepared,
        })
    }

    /// An engine, where it is at hand.
    fn of(&self, which: Which) -> Option<&Prepared> {
        match which {
            Which::Nominal => Some(&self.prepared),
            varied => Some(&self.varied.iter().find(|(w, _)| *w == varied)?.1),
        }
    }
}

impl WorkingCycle for Computed {
    fn friction_nm(&self, speed_rad_s: f64) -> f64 {
        friction::mean_torque_nm(speed_rad_s, self.displacement_m3, 1.0)
    }

    fn motored_nm(&self, at: &[(f64, f64); 8]) -> Option<[f64; 8]> {
        let at = at.map(|(speed_rad_s, opening_m2)| Operating { speed_rad_s, opening_m2, advance_rad: NEVER_LIT });
        Some(settle_eight(&self.prepared, &at).map(|s| s.torque_nm * self.cylinders))
    }

    fn at(&self, speed_rad_s: f64, opening_m2: f64, advance_rad: f64) -> CyclePoint {
        let s = settle(&self.prepared, Operating { speed_rad_s, opening_m2, advance_rad });
        CyclePoint { residual: s.residual, half_burned_rad: s.half_burned_rad, peak_pa: s.peak_pa, runner_pa: s.runner_pa }
    }

    /// With the throttle well open, so that the cylinder fills: the worst case.
    fn kick_back_work_of_j(&self, which: Which, speed_rad_s: f64, advance_rad: f64) -> Option<f64> {
        let at = Operating { speed_rad_s, opening_m2: self.kick_opening_m2, advance_rad };
        Some(kickback::test(self.of(which)?, at, self.inertia_kg_m2).work_against_j)
    }

    fn eight(&self, which: Which, speed_rad_s: f64, opening_m2: f64, advance_rad: [f64; 8]) -> Option<[SparkPoint; 8]> {
        let prepared = self.of(which)?;
        let at = advance_rad.map(|advance_rad| Operating { speed_rad_s, opening_m2, advance_rad });
        let settled = settle_eight(prepared, &at);
        Some(std::array::from_fn(|i| SparkPoint {
            advance_rad: advance_rad[i],
            torque_nm: settled[i].torque_nm * self.cylinders,
            peak_pa: settled[i].peak_pa,
            peak_at_rad: settled[i].peak_at_rad,
            settled: settled[i].settled,
        }))
    }

    fn knock_of(
        &self,
        which: Which,
        (speed_rad_s, opening_m2): (f64, f64),
        advance_rad: f64,
        octane: f64,
        warmer: f64,
    ) -> Option<f64> {
        let at = Operating { speed_rad_s, opening_m2, advance_rad };
        Some(knock::integral_warmer(&trace(self.of(which)?, at), octane, warmer))
    }

    fn wide_open_m2(&self) -> f64 {
        self.wide_open_m2
    }

    fn turning(&self) -> Option<&Prepared> {
        Some(&self.prepared)
    }
}
