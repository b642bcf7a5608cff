//! The engine as the cycle needs it, and what can be tabulated once for all operating points.

use crate::{
    crank::Chamber,
    flame::{FrontArea, LaminarSpeed},
    gas::Gas,
    heat,
    orifice::{LINEAR, Orifice},
    valve::Valve,
};
use std::{
    f64::consts::{PI, TAU},
    sync::LazyLock,
};

/// Wall temperature of an air-cooled engine, head, piston and barrel together [K]: 400–500 K usual, no source.
const WALL_K: f64 = 450.0;
/// Plug beside the axis of a two-valve head, as a share of the bore's radius [1]: usual, no source.
const PLUG_OFFSET: f64 = 0.4;
/// The front's area is the same table for every engine: its lengths are in bore radii.
static FRONT: LazyLock<FrontArea> = LazyLock::new(|| FrontArea::new(PLUG_OFFSET));
/// Ratio of specific heats of the inlet and throttle flows [1]: fresh mixture with petrol vapour near 350 K, computed with the polynomials of [`crate::gas`] (NASA TM-4513).
const INLET_GAMMA: f64 = 1.35;
/// The same of the exhaust flow [1]: burned gas near 1000 K, computed in the same way (NASA TM-4513).
const EXHAUST_GAMMA: f64 = 1.30;
/// Gas that the exhaust port holds and mixes, as a share of the displacement [1] at ambient pressure and 800 K [K]: a port of usual size,
/// no source. Only backflow near overlap sees it.
const PORT_SHARE: f64 = 0.5;
const PORT_K: f64 = 800.0;

/// A four-stroke engine, all cylinders alike. SI throughout.
#[derive(Clone, Debug, PartialEq)]
pub struct Engine {
    /// Bore, stroke, rod and compression.
    pub chamber: Chamber,
    /// Firing top dead centre of each cylinder in the cycle [rad, 0 ≤ … < 4π].
    pub fires_at_rad: Vec<f64>,
    /// Inlet valves; angles from firing top dead centre.
    pub inlet: Valve,
    /// Exhaust valves.
    pub exhaust: Valve,
    /// Volume between throttle and valve [m³]: each runner's, or the plenum's.
    pub runner_m3: f64,
    /// One plenum and one throttle for all cylinders.
    pub shared: bool,
    /// Fuel/air equivalence ratio [1].
    pub equivalence_ratio: f64,
    /// Factor on the flame's laminar and turbulent speed [1]; 1 = as published.
    pub burn_factor: f64,
    /// Factor on the heat to the walls [1]; 1 = Woschni as published, 0 = none.
    pub heat_factor: f64,
    /// Ambient pressure [Pa], also in the exhaust.
    pub ambient_pa: f64,
    /// Ambient temperature [K].
    pub ambient_k: f64,
}

/// Least volume between throttle and valve, as a share of one cylinder's displacement [1] (own choice): no engine has less. Below it
/// balances were seen to fail at kicking speed, with four cylinders of 2.6 l on a plenum of 1 cm³.
pub const LEAST_RUNNER: f64 = 0.005;

/// Why an engine cannot be computed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotAnEngine {
    /// A shared plenum is computed for at most this many cylinders.
    #[error("a shared plenum serves at most {most} cylinders here, not {given}")]
    TooManyOnOnePlenum {
        /// Given.
        given: usize,
        /// Limit.
        most: usize,
    },
    /// The runner is smaller than [`LEAST_RUNNER`] of a cylinder's displacement: the steps cannot follow what passes it.
    #[error("a runner of {given} m³ is too small for a displacement of {swept} m³")]
    RunnerTooSmall {
        /// Runner or plenum given [m³].
        given: f64,
        /// Displacement of one cylinder [m³].
        swept: f64,
    },
    /// A quantity that must be positive and finite is not.
    #[error("{what} must be positive and finite, not {given}")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// Given.
        given: f64,
    },
    /// The inlet closes or the exhaust opens inside the range of the spark.
    #[error("the {which} valve is open within 90° of firing top dead centre")]
    ValveOpenAtFiring {
        /// "inlet" or "exhaust".
        which: &'static str,
    },
}

/// Places tabulated in one cycle, an eighth of a degree apart; a time step spans an even number of them.
pub(super) const PLACES: usize = 5760;
/// Angle between places [rad], by definition.
pub(super) const PLACE_RAD: f64 = 2.0 * TAU / PLACES as f64;
/// Places in a time step (own choice): 1.5°, but 0.5° in the overlap, where a degree more would leave up
/// to 3 % of torque in some idles, or where the throttle alone would make the explicit step unstable.
const STRIDE: usize = 12;
const STRIDE_FAST: usize = 4;
/// The same where more than a share [1] of a body of gas may leave in such a step (own choice): 0.5° instead of 1.5°, and this instead of 0.5°.
const STRIDE_EMPTYING: usize = 2;
const MUCH: f64 = 0.5;
/// And less [1] while a cylinder draws (own choice): just after the exhaust has closed its pressure crosses that of the runner, and steps of 1.5° were off by up to 1.6 % of torque there, those of half
/// as much by 0.3 %.
const MUCH_DRAWING: f64 = 0.1;
/// Choked flow over A ρ √(RT) [1]: for γ = 1.35, Heywood (1988), equation C.9 (from memory).
const CHOKED: f64 = 0.68;
/// Step times decay rate [1] that the explicit step bears with a margin (own choice; its limit is 2.51).
const STABLE: f64 = 1.2;
/// √(RT) of the gas that passes the throttle and of that which passes the exhaust valve [m/s]: 450 K and 1200 K with R = 290 J/(kg·K),
/// no source; they only choose the step.
const FAST_M_S: f64 = 360.0;
const HOT_M_S: f64 = 590.0;
/// Most cylinders on one plenum.
pub(super) const MOST_SHARED: usize = 4;

/// Geometry at one crank angle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub volume: f64,
    pub volume_rate: f64,
    pub inlet_area: f64,
    pub exhaust_area: f64,
    pub wall_area: f64,
    pub front_row: (usize, f64),
    /// (V at inlet closing / V)^n for Woschni's motored pressure.
    pub motored: f64,
}

/// One time step of a cycle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// First place, counted in the first cylinder's cycle.
    pub from: usize,
    /// Places that it spans, even.
    pub stride: usize,
    /// How it is made.
    pub manner: Manner,
}

/// How a time step is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Manner {
    /// By Kutta's explicit method: nothing but the throttle is open.
    Explicit,
    /// Pressures may equalise fast (see `equalise`).
    Equalising,
    /// A body may be emptied (see `emptying`).
    Emptying,
}

/// An engine with its tables, ready to run.
#[derive(Clone, Debug)]
pub struct Prepared {
    pub(super) engine: Engine,
    pub(super) fresh: Gas,
    pub(super) burned: Gas,
    pub(super) laminar: LaminarSpeed,
    pub(super) front: &'static FrontArea,
    pub(super) inlet_flow: Orifice,
    pub(super) exhaust_flow: Orifice,
    /// Every eighth of a degree from gas-exchange top dead centre (−2π) on.
    pub(super) places: Vec<Place>,
    /// Places of one cylinder's events, even, counted from gas-exchange top dead centre.
    pub(super) inlet_opens: usize,
    /// Where the flame is over: the inlet opens, or the cycle ends before it does.
    pub(super) flame_ends: usize,
    pub(super) inlet_closes: usize,
    pub(super) exhaust_opens: usize,
    /// Places by which each cylinder runs ahead of the first, even.
    pub(super) ahead: Vec<usize>,
    pub(super) swept: f64,
    pub(super) radius: f64,
    pub(super) ambient_rt: f64,
    pub(super) ambient_enthalpy: f64,
    pub(super) port_mass: f64,
    /// Clearance height of a flat chamber of the same volume [m].
    pub(super) clearance_height: f64,
    pub(super) wall_k: f64,
}

impl Prepared {
    /// Tabulates an engine.
    ///
    /// # Errors
    /// [`NotAnEngine`] names what cannot be computed.
    pub fn new(engine: Engine) -> Result<Self, NotAnEngine> {
        for (what, given) in [
            ("runner volume", engine.runner_m3),
            ("equivalence ratio", engine.equivalence_ratio),
            ("burn factor", engine.burn_factor),
            ("ambient pressure", engine.ambient_pa),
            ("ambient temperature", engine.ambient_k),
            ("inlet lift", engine.inlet.lift_m),
            ("exhaust lift", engine.exhaust.lift_m),
        ] {
            if !(given > 0.0 && given.is_finite()) {
                return Err(NotAnEngine::NotPositive { what, given });
            }
        }
        if !(engine.heat_factor >= 0.0 && engine.heat_factor.is_finite()) {
            return Err(NotAnEngine::NotPositive { what: "heat factor", given: engine.heat_factor });
        }
        if engine.shared && engine.fires_at_rad.len() > MOST_SHARED {
            return Err(NotAnEngine::TooManyOnOnePlenum { given: engine.fires_at_rad.len(), most: MOST_SHARED });
        }
        for (which, valve) in [("inlet", &engine.inlet), ("exhaust", &engine.exhaust)] {
            if [-90.0_f64, 0.0, 90.0].iter().any(|a| valve.lift(a.to_radians()) > 0.0) {
                return Err(NotAnEngine::ValveOpenAtFiring { which });
            }
        }
        let chamber = &engine.chamber;
        let swept = chamber.swept_m3();
        if engine.runner_m3 < LEAST_RUNNER * swept {
            return Err(NotAnEngine::RunnerTooSmall { given: engine.runner_m3, swept });
        }
        let piston = chamber.piston_area_m2;
        let radius = (piston / PI).sqrt();
        let even = |angle: f64| 2 * (angle.rem_euclid(2.0 * TAU) / (2.0 * PLACE_RAD)).round() as usize % PLACES;
        let step_of = |angle: f64| even(angle + TAU);
        let (closing_volume, _) = chamber.volume_and_rate(engine.inlet.closes_rad);
        let places = (0..PLACES)
            .map(|k| {
                let angle = -TAU + k as f64 * PLACE_RAD;
                let (volume, volume_rate) = chamber.volume_and_rate(angle);
                let height = volume / piston;
                Place {
                    volume,
                    volume_rate,
                    inlet_area: engine.inlet.area(angle),
                    exhaust_area: engine.exhaust.area(angle),
                    wall_area: 2.0 * piston + TAU * radius * height,
                    front_row: FrontArea::row(height / radius),
                    motored: (closing_volume / volume).powf(heat::MOTORED_EXPONENT),
                }
            })
            .collect();
        let fresh = Gas::fresh(engine.equivalence_ratio);
        let burned = Gas::burned(engine.equivalence_ratio);
        let first = engine.fires_at_rad.first().copied().unwrap_or(0.0);
        let ahead = engine.fires_at_rad.iter().map(|a| (PLACES - even(a - first)) % PLACES).collect();
        let (inlet_opens, inlet_closes) = (step_of(engine.inlet.opens_rad), step_of(engine.inlet.closes_rad));
        Ok(Self {
            fresh,
            burned,
            laminar: LaminarSpeed::new(engine.equivalence_ratio),
            front: &FRONT,
            inlet_flow: Orifice::new(INLET_GAMMA),
            exhaust_flow: Orifice::new(EXHAUST_GAMMA),
            places,
            inlet_opens,
            flame_ends: if inlet_opens < inlet_closes { PLACES } else { inlet_opens },
            inlet_closes,
            exhaust_opens: step_of(engine.exhaust.opens_rad),
            ahead,
            swept,
            radius,
            ambient_rt: fresh.gas_constant * engine.ambient_k,
            ambient_enthalpy: fresh.at(engine.ambient_k).energy + fresh.gas_constant * engine.ambient_k,
            port_mass: PORT_SHARE * engine.ambient_pa * swept / (burned.gas_constant * PORT_K),
            clearance_height: chamber.clearance_m3 / piston,
            wall_k: WALL_K,
            engine,
        })
    }

    /// Time steps of one cycle at crank speeds down to `speed_rad_s`, never across an event of any cylinder. They end at multiples of their length from place
    /// `offset`, for a step cut in two at the end of a stretch of [`super::free`] would cost twice.
    pub(super) fn plan(&self, speed_rad_s: f64, throttle_m2: f64, offset: usize) -> Vec<Step> {
        let cylinders = self.on_one_inlet();
        let events: Vec<usize> = (0..cylinders)
            .flat_map(|c| {
                [self.inlet_opens, self.flame_ends, self.inlet_closes, self.exhaust_opens]
                    .map(|e| (e + PLACES - self.ahead[c]) % PLACES)
            })
            .collect();
        // At equal pressures a volume follows the one behind an opening at the rate γ A √(RT)/V · √(2/linear share).
        let decay = INLET_GAMMA * throttle_m2 * FAST_M_S / self.engine.runner_m3 * (2.0 / LINEAR).sqrt();
        let stiff = decay * STRIDE as f64 * PLACE_RAD / speed_rad_s > STABLE;
        let mut steps = Vec::with_capacity(PLACES / STRIDE);
        let mut from = 0;
        while from < PLACES {
            let next = events.iter().filter(|e| **e > from).min().copied().unwrap_or(PLACES);
            let at = |c: usize, past: usize| &self.places[(from + past + self.ahead[c]) % PLACES];
            let any = |is: &dyn Fn(&Place) -> bool| (0..cylinders).any(|c| is(at(c, 0)) || is(at(c, STRIDE)));
            let open = any(&|place| place.inlet_area + place.exhaust_area > 0.0);
            let both = any(&|place| place.inlet_area > 0.0 && place.exhaust_area > 0.0);
            // Share of a body that may leave through its openings, or that a piston takes, in a radian.
            let mut share: f64 = 0.0;
            let mut from_runner = CHOKED * FAST_M_S * throttle_m2 / speed_rad_s;
            for c in 0..cylinders {
                let place = at(c, STRIDE_FAST / 2);
                let inlet = CHOKED * FAST_M_S * place.inlet_area / speed_rad_s;
                let exhaust = CHOKED * HOT_M_S * place.exhaust_area / speed_rad_s;
                share = share.max((inlet + exhaust) / place.volume);
                from_runner += if place.inlet_area > 0.0 { inlet.max(place.volume_rate.abs()) } else { 0.0 };
            }
            share = share.max(from_runner / self.engine.runner_m3);
            let draws = (0..cylinders).any(|c| {
                let place = at(c, STRIDE_FAST / 2);
                place.inlet_area > 0.0 && place.exhaust_area <= 0.0 && place.volume_rate > 0.0
            });
            let much_in = |stride: usize, much: f64| share * stride as f64 * PLACE_RAD > much;
            let (manner, longest) = match (open, stiff) {
                (false, false) => (Manner::Explicit, STRIDE),
                _ if much_in(STRIDE_FAST, MUCH) => (Manner::Emptying, STRIDE_EMPTYING),
                (true, _) if !both && !much_in(STRIDE, if draws { MUCH_DRAWING } else { MUCH }) => (Manner::Equalising, STRIDE),
                (true, _) if !both && !much_in(STRIDE / 2, MUCH) => (Manner::Equalising, STRIDE / 2),
                _ => (Manner::Equalising, STRIDE_FAST),
            };
            let to_end = longest - (from + PLACES - offset) % longest;
            let stride = to_end.min(next - from).min(PLACES - from);
            steps.push(Step { from, stride, manner });
            from += stride;
        }
        steps
    }

    /// Cylinders that draw from one volume, and so have to be followed together.
    pub(super) fn on_one_inlet(&self) -> usize {
        if self.engine.shared { self.ahead.len().clamp(1, MOST_SHARED) } else { 1 }
    }

    /// The engine.
    pub fn engine(&self) -> &Engine {
        &self.engine
    }

    /// Displacement of one cylinder [m³].
    pub fn swept_m3(&self) -> f64 {
        self.swept
    }
}
