//! What the alternator gives over the speed, against what the loads take.

use super::{
    NotTold,
    alternator::{Alternator, Moved, On},
    heat::{fast_hot, fast_w, hot, hot_on, slow_w, switches, warmed},
    likeness::{self, Likeness, Signature},
};
use crate::{
    machine::Machine,
    study::{
        Finding,
        doubt::{finding, findings},
    },
};
use physics::{
    charge::{Bus, NotSettled, Regulated, Sample, steady},
    root::bracketed,
};

/// Speeds of the curve \[1\] (own choice).
pub const SPEEDS: usize = 12;
/// The slowest as a share of the fastest \[1\] (own choice): below it nothing charges.
const SLOWEST: f64 = 0.08;
/// How near the speed at which charging covers the loads is found, as a share of the fastest \[1\] (own choice).
const NEAR: f64 = 1e-4;

/// One speed.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Crank speed [rad/s].
    pub crank_rad_s: f64,
    /// Most current that the alternator gives here, the regulator letting all of it through [A].
    pub gives: Finding,
    /// What the loads take [A].
    pub loads_a: f64,
    /// Into the battery, after the regulator; negative: out of it [A].
    pub battery: Finding,
    /// Volts at the battery [V].
    pub plus: Finding,
    /// Alternating volts there, as a meter reads them through a capacitor [V].
    pub ripple_v: f64,
    /// Peak to peak of the rectified current [A].
    pub swing_a: f64,
    /// Heat of the stator's copper [W].
    pub stator_w: f64,
    /// Heat of rectifier and regulator [W].
    pub unit_w: f64,
    /// Share of the time in which the regulator lets it through \[1\].
    pub through: f64,
    /// Root mean square of the current in each winding [A].
    pub winding_rms_a: f64,
}

/// Where charging covers the loads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BreakEven {
    /// At this crank speed [rad/s].
    At(Finding),
    /// At no speed of this engine.
    Never,
    /// At every speed.
    Always,
    /// Cannot be told: at some speed the circuit is not solved.
    Unknown(NotSettled),
}

/// How warm the winding gets at the highest speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HotWinding {
    /// Thermal resistance is not known; heat alone is told.
    NotKnown,
    /// Temperature [K].
    At(Finding),
    /// Its heat outruns the cooling.
    Runaway,
}

/// Something that is dangerous in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Warning {
    /// Volts at the battery, read or computed, may come to more than boils it dry.
    Boils {
        /// The highest [V].
        volts: Finding,
        /// More than this boils it [V].
        limit_v: f64,
        /// They were read, not computed.
        read: bool,
    },
    /// The winding may get warmer than its insulation bears.
    WindingTooWarm {
        /// Its temperature [K].
        reaches: Finding,
        /// What it bears [K].
        bears_k: f64,
    },
    /// No balance of the winding's heat is found: it would burn.
    WindingRunsAway,
}

/// Volts for each of nominal past which a battery boils \[1\] (common practice, no source: 15 V).
const BOILS: f64 = 1.25;
/// What insulation of class F bears [K] (IEC 60085: 155 °C).
const CLASS_F_K: f64 = 428.15;

/// Something measured beside what was computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// Which reading.
    pub what: likeness::What,
    /// As read.
    pub read: Finding,
    /// As computed for a sound system.
    pub computed: Finding,
}

impl Compared {
    /// Whether both lie within their ± together.
    pub fn agrees(&self) -> bool {
        self.read.agrees_with(self.computed)
    }
}

/// The study.
#[derive(Clone, Debug, PartialEq)]
pub struct ChargeStudy {
    /// From slow to fast, everything switched on.
    pub points: Vec<Point>,
    /// Where it covers all loads.
    pub break_even: BreakEven,
    /// Where it covers those that must stay on.
    pub break_even_needed: BreakEven,
    /// Crank speed at which it begins to charge [rad/s], by the formula.
    pub cut_in: Finding,
    /// The winding at the highest speed, with the loads that heat it most.
    pub hot: HotWinding,
    /// Which those are: a shunt regulator makes most heat with only what must stay on, one that opens the windings, or none, with everything.
    pub hot_on: On,
    /// Heat there: stator, rectifier and regulator [W].
    pub hot_w: (Finding, f64),
    /// The stator's [W] if a shunt regulator switches many times in a period, and the winding then; `None` for others, and where it has nothing to hold.
    pub hot_fast: Option<(Finding, HotWinding)>,
    /// The period at the middle speed: current into plus over the electrical angle.
    pub period: Vec<Sample>,
    /// Its crank speed [rad/s].
    pub period_rad_s: f64,
    /// Each set of readings beside what was computed: crank speed [rad/s].
    pub seen: Vec<(f64, Vec<Compared>)>,
    /// How faults would show, at the speed of the first readings or the middle one.
    pub signatures: Vec<Signature>,
    /// What the readings look like; `None` without readings.
    pub likeness: Option<Likeness>,
    /// The readings with all that meters could show there.
    pub sets: Vec<likeness::Set>,
    /// What is dangerous.
    pub warnings: Vec<Warning>,
}

/// Works it out.
///
/// # Errors
/// [`NotTold`].
pub fn study(machine: &Machine) -> Result<ChargeStudy, NotTold> {
    let a = Alternator::of(machine)?;
    let x = a.middle();
    let top = machine.engine.top_speed.si;
    let speeds: Vec<f64> = (0..SPEEDS).map(|k| top * (SLOWEST + (1.0 - SLOWEST) * k as f64 / (SPEEDS - 1) as f64)).collect();
    let points = speeds.iter().map(|&s| point(&a, s)).collect::<Result<Vec<_>, _>>()?;
    let middle = speeds[SPEEDS / 2];
    let at_middle = a.works(&x, &a.circuit(&x), a.regulator(&x), On::All, a.electrical(middle))?;
    let doubts = a.doubts();
    let (hot_on, hot, hot_w) = hot(&a, top)?;
    let hot_fast = fast_hot(&a, top, hot_on)?;
    let warnings = warnings(&a, &points, [Some(hot), hot_fast.map(|(_, hot)| hot)]);
    let sets = likeness::sets(&a)?;
    let shown = a.charging.seen.first().map_or(middle, |s| s.speed.si);
    Ok(ChargeStudy {
        points,
        break_even: break_even(&a, On::All, top),
        break_even_needed: break_even(&a, On::Needed, top),
        cut_in: finding(|x| cut_in(&a, &moved(x)), &doubts),
        hot,
        hot_on,
        hot_w,
        hot_fast,
        warnings,
        period: at_middle.open.samples,
        period_rad_s: middle,
        signatures: likeness::signatures(&a, shown)?,
        likeness: likeness::likeness(&a, &[sets.iter().collect()]),
        seen: likeness::compared(&sets),
        sets,
    })
}

/// Charging in short.
#[derive(Clone, Debug, PartialEq)]
pub struct Brief {
    /// At the speeds that were asked for, everything switched on.
    pub points: Vec<Point>,
    /// Where it covers all loads.
    pub break_even: BreakEven,
    /// The winding at the highest speed, with the loads that heat it most.
    pub hot: HotWinding,
    /// What is dangerous.
    pub warnings: Vec<Warning>,
}

/// Works out what a change of a part moves, at a few crank speeds [rad/s].
///
/// # Errors
/// [`NotTold`].
pub fn brief(machine: &Machine, speeds: &[f64]) -> Result<Brief, NotTold> {
    let a = Alternator::of(machine)?;
    let top = machine.engine.top_speed.si;
    let points = speeds.iter().map(|&s| point(&a, s)).collect::<Result<Vec<_>, _>>()?;
    let on = hot_on(&a, top)?;
    let hot = warmed(&a, |x, k| slow_w(&a, x, k, on, a.electrical(top)))?;
    let hot_fast = if switches(&a, top, on)? { Some(warmed(&a, |x, k| fast_w(&a, x, k, on, top))?) } else { None };
    let warnings = warnings(&a, &points, [Some(hot), hot_fast]);
    Ok(Brief { points, break_even: break_even(&a, On::All, top), hot, warnings })
}

/// The most that the alternator gives, the regulator letting all of it through [A]: at the top speed, for more turns give more volts.
///
/// # Errors
/// [`NotTold`].
pub fn greatest(machine: &Machine) -> Result<Finding, NotTold> {
    Ok(point(&Alternator::of(machine)?, machine.engine.top_speed.si)?.gives)
}

/// What is dangerous in what was found and read.
fn warnings(a: &Alternator, points: &[Point], hot: [Option<HotWinding>; 2]) -> Vec<Warning> {
    let read = a.charging.seen.iter().filter_map(|s| s.volts.as_ref()).map(|v| (Finding::of(v), true));
    let upper = |f: &Finding| f.si + f.plus_minus_si;
    let most = points.iter().map(|p| (p.plus, false)).chain(read).max_by(|a, b| upper(&a.0).total_cmp(&upper(&b.0)));
    let limit_v = BOILS * a.nominal();
    let boils = most.filter(|(volts, _)| upper(volts) > limit_v).map(|(volts, read)| Warning::Boils { volts, limit_v, read });
    let hotter = |a: &HotWinding, b: &HotWinding| match (a, b) {
        (HotWinding::At(a), HotWinding::At(b)) => upper(a).total_cmp(&upper(b)),
        (a, b) => matches!(a, HotWinding::Runaway).cmp(&matches!(b, HotWinding::Runaway)),
    };
    let warm = match hot.into_iter().flatten().max_by(hotter) {
        Some(HotWinding::At(reaches)) if upper(&reaches) > CLASS_F_K => {
            Some(Warning::WindingTooWarm { reaches, bears_k: CLASS_F_K })
        }
        Some(HotWinding::Runaway) => Some(Warning::WindingRunsAway),
        _ => None,
    };
    boils.into_iter().chain(warm).collect()
}

/// The same numbers as an array.
pub(super) fn moved(x: &[f64]) -> Moved {
    let mut all = [0.0; super::alternator::DOUBTS];
    all.copy_from_slice(&x[..super::alternator::DOUBTS]);
    all
}

/// One speed of the curve.
///
/// # Errors
/// [`NotTold`].
pub fn point(a: &Alternator, crank_rad_s: f64) -> Result<Point, NotTold> {
    let omega = a.electrical(crank_rad_s);
    let at = |x: &Moved| a.works(x, &a.circuit(x), a.regulator(x), On::All, omega);
    let found = at(&a.middle())?;
    let of = |r: Regulated| [r.open.totals.mean_a, r.battery_a, r.plus_v];
    let [gives, battery, plus] = findings(|x| at(&moved(x)).map_or([f64::NAN; 3], of), &a.doubts());
    let t = &found.open.totals;
    let bus_ohm = a.taken(&a.middle(), On::All).bus().resistance_ohm;
    let alternating = (t.rms_a * t.rms_a - t.mean_a * t.mean_a).max(0.0).sqrt();
    Ok(Point {
        crank_rad_s,
        gives,
        loads_a: found.loads_a,
        battery,
        plus,
        ripple_v: alternating * bus_ohm,
        swing_a: t.range_a.1 - t.range_a.0,
        stator_w: found.copper_w.iter().sum(),
        unit_w: found.valves_w,
        through: found.through,
        winding_rms_a: found.winding_rms_a.iter().copied().fold(0.0, f64::max),
    })
}

/// Where the peak EMF reaches the battery's volts and the diodes.
fn cut_in(a: &Alternator, x: &Moved) -> f64 {
    use physics::charge::Kind;
    let c = a.circuit(x);
    let linkage = c.windings[0].linkage_vs;
    let (peak, drops) = match a.charging.kind {
        Kind::HalfWave => (linkage, 1.0),
        Kind::FullWave | Kind::Delta => (linkage, 2.0),
        Kind::Star => (linkage * 3f64.sqrt(), 2.0),
    };
    (a.rest(x) + drops * x[6]) / (peak * a.electrical(1.0))
}

/// Crank speed at which the alternator gives what the loads take while the battery rests; its ± from that of the surplus there, over its slope.
fn break_even(a: &Alternator, on: On, top: f64) -> BreakEven {
    let lowest = SLOWEST * top;
    let solved = |x: &Moved, crank: f64| {
        let volts = a.rest(x);
        let bus = Bus { emf_v: volts, resistance_ohm: 0.0 };
        let (conductance, constant) = a.loads(x, on);
        steady(&a.circuit(x), bus, a.electrical(crank)).map(|s| s.totals.mean_a - conductance * volts - constant)
    };
    let x = a.middle();
    match (solved(&x, lowest), solved(&x, top)) {
        (Err(why), _) | (_, Err(why)) => return BreakEven::Unknown(why),
        (_, Ok(fast)) if fast < 0.0 => return BreakEven::Never,
        (Ok(slow), _) if slow >= 0.0 => return BreakEven::Always,
        _ => {}
    }
    let failed = std::cell::Cell::new(NotSettled::Wanders);
    let surplus = |x: &Moved, crank: f64| {
        solved(x, crank).unwrap_or_else(|why| {
            failed.set(why);
            f64::NAN
        })
    };
    let Ok(place) = bracketed(|crank| surplus(&x, crank), lowest, top, NEAR * top) else {
        return BreakEven::Unknown(failed.get());
    };
    /// How far on both sides the slope is taken, as a share of the fastest speed \[1\] (own choice).
    const BESIDE: f64 = 0.01;
    let beside = BESIDE * top;
    let slope = (surplus(&x, place + beside) - surplus(&x, place - beside)) / (2.0 * beside);
    let by = finding(|x| surplus(&moved(x), place), &a.doubts()).plus_minus_si / slope;
    BreakEven::At(Finding { si: place, plus_minus_si: by.abs() })
}
