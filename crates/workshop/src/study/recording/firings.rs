//! Firings gathered: place by place, and by speed as rows of a curve.

use super::{Given, MarkFound, reservoir::Reservoir};
use crate::{
    machine::{Machine, StrobeReading},
    study::{
        Finding, NotStudied,
        curve::{self, CurveStudy},
    },
};
use physics::{
    interval::student_95,
    law::Trend,
    recording::{Firing, Rhythm, Totals},
};
use quantity::{Reading, Source, Unit};
use std::{collections::BTreeMap, f64::consts::TAU};

/// One place of the turn at which sparks come.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceFound {
    /// Cylinders that fire there, by index.
    pub cylinders: Vec<usize>,
    /// How often it fires.
    pub rhythm: Rhythm,
    /// Firings found, and those that should have been.
    pub fired: usize,
    /// See `fired`.
    pub due: usize,
    /// Firings with more than one spark, and sparks in all of them.
    pub repeated: usize,
    /// See `repeated`.
    pub repeats: usize,
    /// Whether several sparks are its way: most firings below some speed have them.
    pub several_by_design: bool,
    /// Scatter of the advance from firing to firing about the curve, as a standard deviation [rad].
    pub jitter_rad: f64,
    /// Of every two firings one is weaker: its height as a share of the other's \[1\].
    pub weaker_share: Option<f64>,
    /// Mean advance with rising less with falling speed at the same speeds [rad], where both were recorded.
    pub rising_less_falling: Option<Finding>,
}

/// Firings of one place at about one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Place, by index.
    pub place: usize,
    /// First cylinder of it.
    pub cylinder: usize,
    /// Rising, falling or held.
    pub trend: Trend,
    /// Firings.
    pub count: usize,
    /// Crank speed [rad/s].
    pub speed: Finding,
    /// Advance [rad].
    pub advance: Finding,
    /// Scatter of one firing [rad].
    pub scatter_rad: f64,
}

/// Width of a step of speed in its logarithm \[1\] (own choice).
const STEP: f64 = 0.05;
/// Speed counts as held while it changes by less than this share of itself in a second [1/s] (own choice).
const HELD: f64 = 0.1;
/// Least firings of a row where no row tells the scatter [1] (own choice), and those from which it tells its own.
const LEAST: usize = 3;
const MANY: usize = 8;
/// No row is surer than this [rad], [1] (own choice): 0.1°, what is left of the pulses' shapes; speed a thousandth.
const SUREST_RAD: f64 = 0.1 * TAU / 360.0;
const SUREST_SPEED: f64 = 1e-3;
/// Heights of two in turn that differ by this share are told \[1\] (own choice).
const WEAKER: f64 = 0.9;
/// Several sparks are by design in this share of the firings up to some speed \[1\] (own choice).
const BY_DESIGN: f64 = 0.6;

/// From the median of sizes to a standard deviation for normal scatter \[1\], exactly 1/Φ⁻¹(¾).
pub(super) const MAD_TO_DEVIATION: f64 = 1.482_602_218_505_602;

pub(super) fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    (n > 0).then(|| 0.5 * (values[(n - 1) / 2] + values[n / 2]))
}

fn trend(f: &Firing) -> Trend {
    let share = f.gain_rad_s2 / f.speed_rad_s;
    if share > HELD {
        Trend::Rising
    } else if share < -HELD {
        Trend::Falling
    } else {
        Trend::Held
    }
}

/// Firings of a row that are kept [1] (own choice): with them its middle is known to a twentieth of its scatter.
const SAMPLED: usize = 512;
/// Heights of a place, and ratios of heights, that are kept [1] (own choice).
const HEIGHTS: usize = 1024;

/// Firings, folded: as much as there are speeds.
#[derive(Clone, Debug)]
pub(super) struct Firings {
    /// By place, trend and step of speed.
    bins: BTreeMap<(usize, u8, i64), Reservoir<One>>,
    places: Vec<Place>,
}

/// What is kept of one firing, and the mean of several.
#[derive(Clone, Copy, Debug)]
pub(super) struct One {
    pub(super) speed_rad_s: f64,
    pub(super) gain_rad_s2: f64,
    pub(super) advance_rad: f64,
}

/// What is kept of one place.
#[derive(Clone, Debug)]
struct Place {
    heights: Reservoir<f64>,
    /// By step of speed: firings, and those with more than one spark.
    steps: BTreeMap<i64, (usize, usize)>,
    repeats: usize,
    turns: EverySecond,
    last_s: Option<f64>,
}

/// Heights of every second firing against the others'.
#[derive(Clone, Debug)]
struct EverySecond {
    before: [Option<(usize, usize, f32)>; 2],
    last_log: Option<f64>,
    turned: usize,
    sizes: Reservoir<f64>,
}

fn step(speed_rad_s: f64) -> i64 {
    (speed_rad_s.ln() / STEP).round() as i64
}

const TRENDS: [Trend; 3] = [Trend::Rising, Trend::Falling, Trend::Held];

impl Firings {
    pub(super) fn new(places: usize) -> Self {
        let place = Place {
            heights: Reservoir::new(HEIGHTS),
            steps: BTreeMap::new(),
            repeats: 0,
            turns: EverySecond { before: [None; 2], last_log: None, turned: 0, sizes: Reservoir::new(HEIGHTS) },
            last_s: None,
        };
        Self { bins: BTreeMap::new(), places: vec![place; places] }
    }

    pub(super) fn add(&mut self, f: &Firing) {
        let order = TRENDS.iter().position(|t| *t == trend(f)).unwrap_or(0) as u8;
        let bin = self.bins.entry((f.place, order, step(f.speed_rad_s))).or_insert_with(|| Reservoir::new(SAMPLED));
        bin.push(One { speed_rad_s: f.speed_rad_s, gain_rad_s2: f.gain_rad_s2, advance_rad: f.advance_rad });
        let place = &mut self.places[f.place];
        place.heights.push(f64::from(f.height));
        let counts = place.steps.entry(step(f.speed_rad_s)).or_default();
        *counts = (counts.0 + 1, counts.1 + usize::from(f.repeats > 0));
        place.repeats += usize::from(f.repeats);
        place.turns.add(f);
        place.last_s = Some(f.at_s);
    }

    /// Heights of the sparks of all places that are heard, and when the last of them came [s].
    pub(super) fn heights(&self, totals: &Totals) -> (Vec<f64>, Option<f64>) {
        let heard = || self.places.iter().zip(&totals.rhythm).filter(|(_, r)| **r != Rhythm::NotHeard).map(|(p, _)| p);
        let last = heard().filter_map(|p| p.last_s).reduce(f64::max);
        (heard().flat_map(|p| p.heights.kept()).copied().collect(), last)
    }

    /// Values that are held.
    pub(super) fn held(&self) -> usize {
        let place = |p: &Place| p.heights.kept().len() + p.turns.sizes.kept().len() + p.steps.len();
        self.bins.values().map(|b| b.kept().len()).sum::<usize>() + self.places.iter().map(place).sum::<usize>()
    }

    /// Rows of all places that are heard, in the order of place, trend and speed. `known` tells the advance at a place by all that is known by now, and the ± of what the
    /// mark does not see.
    pub(super) fn rows(&self, totals: &Totals, cylinders: &[Vec<usize>], known: impl Fn(usize, One) -> Finding) -> Vec<Row> {
        let heard = self.bins.iter().filter(|((place, ..), _)| totals.rhythm[*place] != Rhythm::NotHeard);
        let mut rows: Vec<Row> = heard
            .map(|((place, order, _), bin)| {
                let (mean, scatter_rad) = middle_of(bin.kept());
                Row {
                    place: *place,
                    cylinder: cylinders[*place][0],
                    trend: TRENDS[usize::from(*order)],
                    count: bin.came(),
                    speed: Finding { si: mean.speed_rad_s, plus_minus_si: SUREST_SPEED * mean.speed_rad_s },
                    advance: known(*place, mean),
                    scatter_rad,
                }
            })
            .collect();
        // A handful of firings does not tell its own scatter: that of all rows stands in.
        let pooled = middle(rows.iter().filter(|r| r.count >= MANY).map(|r| r.scatter_rad).collect());
        // In a fast sweep one speed has one firing only.
        rows.retain(|r| r.count >= LEAST || pooled.is_some());
        for row in &mut rows {
            let scatter = if row.count < MANY { pooled.unwrap_or(row.scatter_rad).max(SUREST_RAD) } else { row.scatter_rad };
            let used = row.count.min(SAMPLED);
            let freedom = if used < MANY && pooled.is_some() { MANY } else { used.saturating_sub(2).max(1) };
            let wide = student_95(freedom) * scatter / (used as f64).sqrt();
            row.advance.plus_minus_si = wide.hypot(SUREST_RAD).hypot(row.advance.plus_minus_si);
        }
        rows
    }

    /// What is said of every place.
    pub(super) fn places(&self, totals: &Totals, rows: &[Row], cylinders: &[Vec<usize>], may_waste: bool) -> Vec<PlaceFound> {
        let one = |(place, own): (usize, &Place)| {
            let heard = totals.rhythm[place] != Rhythm::NotHeard;
            let repeated: usize = own.steps.values().map(|s| s.1).sum();
            // The step that the middle one of them lies in.
            let mut below = 0;
            let top = own.steps.iter().find(|(_, s)| {
                below += s.1;
                2 * below >= repeated
            });
            let top = top.map_or(i64::MIN, |(step, _)| *step);
            let (fired, several) = own.steps.range(..=top).fold((0, 0), |sums, (_, s)| (sums.0 + s.0, sums.1 + s.1));
            let by_design = repeated > 0 && fired > 4 && several as f64 > BY_DESIGN * fired as f64;
            let jitters: Vec<f64> = rows.iter().filter(|r| r.place == place && r.count > 4).map(|r| r.scatter_rad).collect();
            PlaceFound {
                cylinders: cylinders[place].clone(),
                rhythm: totals.rhythm[place],
                fired: totals.fired[place],
                due: totals.due[place],
                repeated: if heard { repeated } else { 0 },
                repeats: if heard { own.repeats } else { 0 },
                several_by_design: heard && by_design,
                jitter_rad: middle(jitters).unwrap_or(0.0),
                weaker_share: (may_waste && totals.rhythm[place] == Rhythm::EveryTurn).then(|| own.turns.weaker()).flatten(),
                rising_less_falling: apart(rows, place),
            }
        };
        self.places.iter().enumerate().map(one).collect()
    }
}

impl EverySecond {
    fn add(&mut self, f: &Firing) {
        let own = (f.mark, f.breaks, f.height);
        if let [Some(first), Some(second)] = self.before
            && first.1 == own.1
            && own.0 == first.0 + 2
            && second.0 == first.0 + 1
        {
            let log = f64::from(second.2 / (0.5 * (first.2 + own.2))).ln();
            self.turned += usize::from(self.last_log.is_some_and(|last| last * log < 0.0));
            self.last_log = Some(log);
            self.sizes.push(log.abs());
        }
        self.before = [self.before[1], Some(own)];
    }

    /// In turn above and below 1 where they alternate.
    fn weaker(&self) -> Option<f64> {
        if self.sizes.came() < 10 {
            return None;
        }
        let turned = self.turned as f64 / (self.sizes.came() - 1) as f64;
        let share = (-middle(self.sizes.kept().to_vec())?).exp();
        (turned > 0.9 && share < WEAKER).then_some(share)
    }
}

/// Mean of the firings of a row, and the scatter of their advance [rad].
fn middle_of(firings: &[One]) -> (One, f64) {
    let mean_of = |of: &[One], value: fn(&One) -> f64| of.iter().map(value).sum::<f64>() / of.len() as f64;
    let speed_rad_s = mean_of(firings, |f| f.speed_rad_s);
    let gain_rad_s2 = mean_of(firings, |f| f.gain_rad_s2);
    // A line through the firings, twice: what lies far off it the first time is left out the second.
    let mut kept: Vec<One> = firings.to_vec();
    let (mut advance_rad, mut scatter) = (0.0, 0.0);
    for _ in 0..2 {
        let (x0, y0) = (mean_of(&kept, |f| f.speed_rad_s), mean_of(&kept, |f| f.advance_rad));
        let sxx: f64 = kept.iter().map(|f| (f.speed_rad_s - x0).powi(2)).sum();
        let sxy: f64 = kept.iter().map(|f| (f.speed_rad_s - x0) * (f.advance_rad - y0)).sum();
        let slope = if sxx > 0.0 && kept.len() > 2 { sxy / sxx } else { 0.0 };
        advance_rad = y0 + slope * (speed_rad_s - x0);
        let off = |f: &One| f.advance_rad - advance_rad - slope * (f.speed_rad_s - speed_rad_s);
        scatter = MAD_TO_DEVIATION * middle(kept.iter().map(|f| off(f).abs()).collect()).unwrap_or(0.0);
        let limit = (4.0 * scatter).max(SUREST_RAD);
        let near: Vec<One> = kept.iter().copied().filter(|f| off(f).abs() <= limit).collect();
        if near.len() >= LEAST {
            kept = near;
        }
    }
    (One { speed_rad_s, gain_rad_s2, advance_rad }, scatter)
}

/// The law fitted to the rows, as if a lamp without delay had read them.
pub(super) fn fitted(machine: &Machine, rows: &[Row], mark: MarkFound, given: &Given) -> Result<CurveStudy, NotStudied> {
    let mut machine = as_read(machine, rows);
    machine.law = None;
    if let Some(trigger) = &mut machine.trigger
        && matches!(mark, MarkFound::Segment { .. })
        && given.mark_rad.is_none()
    {
        // Its place is in the rows already.
        trigger.pickups.iter_mut().for_each(|p| p.place_error.plus_minus_si = p.place_error.plus_minus_si.max(SUREST_RAD));
    }
    curve::study(&machine)
}

/// The machine with the rows in place of its strobe readings.
pub(super) fn as_read(machine: &Machine, rows: &[Row]) -> Machine {
    let reading = |f: Finding, unit: Unit| Reading {
        si: f.si,
        plus_minus_si: f.plus_minus_si,
        unit,
        source: Source::Measured { with: String::new() },
    };
    let mut machine = machine.clone();
    machine.strobe = rows
        .iter()
        .map(|r| StrobeReading {
            cylinder: Some(r.cylinder),
            speed: reading(r.speed, Unit::Rpm),
            advance: reading(r.advance, Unit::DegreeBtdc),
            trend: r.trend,
        })
        .collect();
    machine.lamp.delay.si = 0.0;
    machine.lamp.delay.plus_minus_si = 0.0;
    machine
}

/// Advance with rising less with falling speed, over the steps that have both.
fn apart(rows: &[Row], place: usize) -> Option<Finding> {
    let of = |t: Trend| rows.iter().filter(move |r| r.place == place && r.trend == t);
    let both: Vec<(f64, f64)> = of(Trend::Rising)
        .filter_map(|up| {
            let down = of(Trend::Falling).find(|d| step(d.speed.si) == step(up.speed.si))?;
            let by = up.advance.si - down.advance.si;
            Some((by, up.advance.plus_minus_si.hypot(down.advance.plus_minus_si)))
        })
        .collect();
    let n = both.len() as f64;
    (both.len() > 1).then(|| Finding {
        si: both.iter().map(|b| b.0).sum::<f64>() / n,
        plus_minus_si: both.iter().map(|b| b.1.powi(2)).sum::<f64>().sqrt() / n,
    })
}
