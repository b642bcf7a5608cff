//! The engine behind the studies: torque surfaces as given and at the ends of what the mechanic is unsure of.

use super::idle::Parameter;
use physics::{
    best_torque::Tried,
    cycle::Prepared,
    rest::TorqueMap,
    surface::{Grid, Surface},
};

/// What the working cycle says about single points. Computed engines and test engines answer alike.
pub trait WorkingCycle: Send + Sync {
    /// Mean friction torque of the whole engine [N·m] at a crank speed [rad/s], friction factor 1.
    fn friction_nm(&self, speed_rad_s: f64) -> f64;
    /// The same with another level and slope ([`physics::friction::corrected_nm`]).
    fn corrected_friction_nm(&self, speed_rad_s: f64, level: f64, slope: f64) -> f64 {
        physics::friction::corrected_nm(self.friction_nm(speed_rad_s), self.friction_nm(0.0), level, slope)
    }
    /// Mean torque [N·m] of the gas on the crank, all cylinders, at speeds [rad/s] and openings [m²] *without a fire*: the ignition is cut.
    /// Negative: it takes torque. `None` for an engine that cannot tell.
    fn motored_nm(&self, _at: &[(f64, f64); 8]) -> Option<[f64; 8]> {
        None
    }
    /// The settled cycle at a speed [rad/s], an opening [m²] and an advance [rad].
    fn at(&self, speed_rad_s: f64, opening_m2: f64, advance_rad: f64) -> CyclePoint;
    /// Work [J] that the burning gas does against the rising piston beyond the motored work, at kicking speed [rad/s] and an advance [rad].
    /// `None` for an engine that is not at hand. The engine as given always is.
    fn kick_back_work_of_j(&self, which: Which, speed_rad_s: f64, advance_rad: f64) -> Option<f64>;
    /// The same of the engine as given.
    fn kick_back_work_j(&self, speed_rad_s: f64, advance_rad: f64) -> f64 {
        self.kick_back_work_of_j(Which::Nominal, speed_rad_s, advance_rad).unwrap_or(f64::NAN)
    }
    /// Eight settled cycles at a speed [rad/s] and an opening [m²], at eight advances [rad] that rise; `None` for an engine that is not
    /// at hand. The engine as given always is.
    fn eight(&self, which: Which, speed_rad_s: f64, opening_m2: f64, advance_rad: [f64; 8]) -> Option<[SparkPoint; 8]>;
    /// Livengood & Wu's knock integral \[1\] at a speed [rad/s] and an opening [m²], at an advance [rad], on a fuel of this octane number; 1 or more
    /// knocks.
    fn knock(&self, at: (f64, f64), advance_rad: f64, octane: f64) -> f64 {
        self.knock_of(Which::Nominal, at, advance_rad, octane, 0.0).unwrap_or(f64::NAN)
    }
    /// The same in air that is warmer by a share of its absolute temperature \[1\]. `None` for an engine that is not at hand. The engine as given
    /// always is.
    fn knock_of(&self, which: Which, at: (f64, f64), advance_rad: f64, octane: f64, warmer: f64) -> Option<f64>;
    /// Effective flow area of each throttle, wide open [m²].
    fn wide_open_m2(&self) -> f64;
    /// The engine, to be let turn freely; `None` where there is a formula in place of one.
    fn turning(&self) -> Option<&Prepared>;
}

/// What one advance gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkPoint {
    /// Advance [rad].
    pub advance_rad: f64,
    /// Mean torque of the gas on the crank, all cylinders, before friction [N·m].
    pub torque_nm: f64,
    /// Peak pressure [Pa].
    pub peak_pa: f64,
    /// Where, after firing top dead centre [rad].
    pub peak_at_rad: f64,
    /// The cycle repeats itself; otherwise these are means of the last cycles.
    pub settled: bool,
}

impl SparkPoint {
    /// A point about which nothing is known.
    pub(crate) const fn nowhere(advance_rad: f64) -> Self {
        Self { advance_rad, torque_nm: f64::NAN, peak_pa: f64::NAN, peak_at_rad: f64::NAN, settled: false }
    }

    /// What the search for best torque wants of it.
    pub(crate) fn tried(&self) -> Tried {
        Tried { torque: self.torque_nm, settled: self.settled }
    }
}

/// A settled cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CyclePoint {
    /// Burned share of the charge [1, mass].
    pub residual: f64,
    /// Half burned, after firing top dead centre [rad]; NaN where less burns.
    pub half_burned_rad: f64,
    /// Peak pressure [Pa].
    pub peak_pa: f64,
    /// Mean pressure behind the throttle [Pa].
    pub runner_pa: f64,
}

/// Which engine a surface belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Which {
    /// As given.
    Nominal,
    /// One parameter at the low end of its ±.
    Low(Parameter),
    /// One parameter at the high end of its ±.
    High(Parameter),
    /// Mixture half-way from as given to [`Which::Lean`].
    HalfLean,
    /// Mixture as weak as the flame-speed correlation was published for.
    Lean,
}

/// How torque changes over the ± of one parameter.
struct Variation {
    parameter: Parameter,
    /// Torque at the low end less torque as given.
    low: TorqueMap,
    /// Torque at the high end less torque as given.
    high: TorqueMap,
}

/// How torque changes as the mixture gets weaker.
struct Lean {
    /// Share of the fuel that is missing at [`Which::Lean`] \[1\].
    most: f64,
    /// Torque half-way there less torque as given.
    half: TorqueMap,
    /// Torque there less torque as given.
    full: TorqueMap,
}

/// The engine as the studies use it. Made once per engine; any number of curves are judged on it.
pub struct EngineModel {
    nominal: TorqueMap,
    variations: Vec<Variation>,
    lean: Option<Lean>,
    unsettled: f64,
    cycle: Box<dyn WorkingCycle>,
}

/// Deviations beyond this many half-widths [1] are cut off (own choice): 1.5 are three standard uncertainties, and the parabola through three
/// points is not to be trusted further out.
const FURTHEST: f64 = 1.5;

impl EngineModel {
    /// From the surface as given, those of the varied engines in any order, and the cycle.
    ///
    /// A parameter takes part if both its ends are there. The surface of a varied engine may stand on a coarser grid, as long as
    /// its points are points of the nominal one ([`coarser`]): only its difference from the nominal surface at those points is used.
    pub fn new(nominal: &Surface, varied: &[(Which, Surface)], cycle: Box<dyn WorkingCycle>) -> Self {
        let map = TorqueMap::new(nominal);
        let difference = |which: Which| Some(difference(&map, nominal, &varied.iter().find(|(w, _)| *w == which)?.1));
        let differences = [Parameter::BurnFactor, Parameter::RunnerVolume, Parameter::Overlap]
            .into_iter()
            .filter_map(|p| Some((p, [difference(Which::Low(p))?, difference(Which::High(p))?])))
            .collect();
        Self::of_maps(map, differences, nominal.unsettled, cycle)
    }

    /// From maps: the engine as given, and for each parameter the torque at its low and high end *less* the torque as given,
    /// on the same axes. `unsettled` is the share of points that did not settle \[1\].
    pub fn of_maps(
        nominal: TorqueMap,
        differences: Vec<(Parameter, [TorqueMap; 2])>,
        unsettled: f64,
        cycle: Box<dyn WorkingCycle>,
    ) -> Self {
        let variations = differences.into_iter().map(|(parameter, [low, high])| Variation { parameter, low, high }).collect();
        Self { nominal, variations, lean: None, unsettled, cycle }
    }

    /// The same engine, knowing what a mixture weaker by up to the share `most` \[1\] does: torque with half of that and with all of it,
    /// both less the torque as given and on the same axes.
    pub fn with_lean(mut self, most: f64, [half, full]: [TorqueMap; 2]) -> Self {
        self.lean = Some(Lean { most, half, full });
        self
    }

    /// Share of the fuel \[1\] up to whose absence torque is known; 0 where it is not known at all.
    pub fn most_lean(&self) -> f64 {
        self.lean.as_ref().map_or(0.0, |l| l.most)
    }

    /// What is to be added to the torque of [`EngineModel::varied`] where a share of the fuel is missing \[1\]: a parabola through none,
    /// half and all of what is known. Nothing is added for a share of zero, and no more than the most for a greater one.
    pub fn leaned(&self, share: f64) -> Vec<(f64, &TorqueMap)> {
        let Some(lean) = self.lean.as_ref().filter(|_| share > 0.0) else { return Vec::new() };
        let t = (share / lean.most).min(1.0);
        vec![(4.0 * t * (1.0 - t), &lean.half), (t * (2.0 * t - 1.0), &lean.full)]
    }

    /// Torque of one cylinder of the engine as given.
    pub fn torque(&self) -> &TorqueMap {
        &self.nominal
    }

    /// Share of the surface's points that did not settle [1].
    pub fn unsettled(&self) -> f64 {
        self.unsettled
    }

    /// Single points.
    pub fn cycle(&self) -> &dyn WorkingCycle {
        &*self.cycle
    }

    /// Parameters over which torque is known to vary, in the order that [`EngineModel::varied`] takes them.
    pub fn parameters(&self) -> impl Iterator<Item = Parameter> + '_ {
        self.variations.iter().map(|v| v.parameter)
    }

    /// The torque of an engine whose parameters lie off by so many half-widths of their ±: a weighted sum of maps.
    ///
    /// For each parameter a parabola through low, given and high; several deviations are added up, so what two of them do together
    /// beyond their sum is left out. Missing deviations count as none.
    pub fn varied(&self, half_widths: &[f64]) -> Vec<(f64, &TorqueMap)> {
        let weighted = self.weights(half_widths).into_iter().zip(self.maps());
        weighted.enumerate().filter(|(i, (w, _))| *i == 0 || *w != 0.0).map(|(_, map)| map).collect()
    }

    /// All maps: the engine as given, and for each parameter low less given and high less given.
    pub fn maps(&self) -> Vec<&TorqueMap> {
        std::iter::once(&self.nominal).chain(self.variations.iter().flat_map(|v| [&v.low, &v.high])).collect()
    }

    /// The weights of [`EngineModel::maps`] for deviations as [`EngineModel::varied`] has them \[1\].
    pub fn weights(&self, half_widths: &[f64]) -> Vec<f64> {
        let of = |i: usize| half_widths.get(i).copied().unwrap_or(0.0).clamp(-FURTHEST, FURTHEST);
        let pair = |u: f64| [0.5 * u * (u - 1.0), 0.5 * u * (u + 1.0)];
        std::iter::once(1.0).chain((0..self.variations.len()).flat_map(|i| pair(of(i)))).collect()
    }
}

/// Every second point of each axis, ends included: an eighth of the points, for varied engines.
pub fn coarser(grid: &Grid) -> Grid {
    let thin = |axis: &[f64]| {
        let last = axis.len().saturating_sub(1);
        axis.iter().enumerate().filter(|(i, _)| i % 2 == 0 || *i == last).map(|(_, x)| *x).collect()
    };
    Grid { speed_rad_s: thin(&grid.speed_rad_s), opening_m2: thin(&grid.opening_m2), advance_rad: thin(&grid.advance_rad) }
}

/// Torque less that of the nominal surface, laid out on the axes of its map.
pub(super) fn difference(map: &TorqueMap, nominal: &Surface, varied: &Surface) -> TorqueMap {
    let less = less_nominal(varied, nominal);
    TorqueMap::from_fn(map.speeds(), map.openings(), map.advances(), |n, a, s| less.gas_torque(n, a, s))
}

/// Torque less that of the nominal surface, at the points of `varied`.
fn less_nominal(varied: &Surface, nominal: &Surface) -> Surface {
    let mut less = varied.clone();
    let grid = &varied.grid;
    let mut torques = less.gas_torque_nm.iter_mut();
    for n in &grid.speed_rad_s {
        for a in &grid.opening_m2 {
            for s in &grid.advance_rad {
                if let Some(t) = torques.next() {
                    *t -= nominal.gas_torque(*n, *a, *s);
                }
            }
        }
    }
    less
}
