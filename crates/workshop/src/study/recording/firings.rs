//! Firings gathered: place by place, and by speed as rows of a curve.

use super::{Given, MarkFound};
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
    recording::{Firing, Mark, Paired, Rhythm},
};
use quantity::{Reading, Source, Unit};
use std::f64::consts::TAU;

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

/// Rows of all places, in the order of place, trend and speed.
pub(super) fn rows(paired: &Paired, cylinders: &[Vec<usize>]) -> Vec<Row> {
    let step = |f: &Firing| (f.speed_rad_s.ln() / STEP).round() as i64;
    let order = |t: Trend| match t {
        Trend::Rising => 0,
        Trend::Falling => 1,
        Trend::Held => 2,
    };
    let mut sorted: Vec<(usize, u8, i64, &Firing)> =
        paired.firings.iter().map(|f| (f.place, order(trend(f)), step(f), f)).collect();
    sorted.sort_by_key(|s| (s.0, s.1, s.2));
    let mut rows = Vec::new();
    for group in sorted.chunk_by(|a, b| (a.0, a.1, a.2) == (b.0, b.1, b.2)) {
        let firings: Vec<&Firing> = group.iter().map(|g| g.3).collect();
        if paired.rhythm[group[0].0] != Rhythm::NotHeard {
            rows.push(row(&firings, group[0].0, cylinders[group[0].0][0], trend(firings[0])));
        }
    }
    // A handful of firings does not tell its own scatter: that of all rows stands in.
    let pooled = middle(rows.iter().filter(|r| r.count >= MANY).map(|r| r.scatter_rad).collect());
    // In a fast sweep one speed has one firing only.
    rows.retain(|r| r.count >= LEAST || pooled.is_some());
    for row in &mut rows {
        let scatter = if row.count < MANY { pooled.unwrap_or(row.scatter_rad).max(SUREST_RAD) } else { row.scatter_rad };
        let freedom = if row.count < MANY && pooled.is_some() { MANY } else { row.count.saturating_sub(2).max(1) };
        let wide = student_95(freedom) * scatter / (row.count as f64).sqrt();
        row.advance.plus_minus_si = wide.hypot(SUREST_RAD);
    }
    rows
}

fn row(firings: &[&Firing], place: usize, cylinder: usize, trend: Trend) -> Row {
    let n = firings.len() as f64;
    let speed = firings.iter().map(|f| f.speed_rad_s).sum::<f64>() / n;
    // A line through the firings, twice: what lies far off it the first time is left out the second.
    let mut kept: Vec<&&Firing> = firings.iter().collect();
    let (mut mean, mut scatter) = (0.0, 0.0);
    for _ in 0..2 {
        let m = kept.len() as f64;
        let x0 = kept.iter().map(|f| f.speed_rad_s).sum::<f64>() / m;
        let y0 = kept.iter().map(|f| f.advance_rad).sum::<f64>() / m;
        let sxx: f64 = kept.iter().map(|f| (f.speed_rad_s - x0).powi(2)).sum();
        let sxy: f64 = kept.iter().map(|f| (f.speed_rad_s - x0) * (f.advance_rad - y0)).sum();
        let slope = if sxx > 0.0 && kept.len() > 2 { sxy / sxx } else { 0.0 };
        mean = y0 + slope * (speed - x0);
        let off = |f: &Firing| f.advance_rad - mean - slope * (f.speed_rad_s - speed);
        scatter = MAD_TO_DEVIATION * middle(kept.iter().map(|f| off(f).abs()).collect()).unwrap_or(0.0);
        let limit = (4.0 * scatter).max(SUREST_RAD);
        let near: Vec<&&Firing> = kept.iter().copied().filter(|f| off(f).abs() <= limit).collect();
        if near.len() >= LEAST {
            kept = near;
        }
    }
    Row {
        place,
        cylinder,
        trend,
        count: firings.len(),
        speed: Finding { si: speed, plus_minus_si: SUREST_SPEED * speed },
        advance: Finding { si: mean, plus_minus_si: SUREST_RAD },
        scatter_rad: scatter,
    }
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

/// What is said of every place.
pub(super) fn places(paired: &Paired, marks: &[Mark], cylinders: &[Vec<usize>], may_waste: bool) -> Vec<PlaceFound> {
    let rows = rows(paired, cylinders);
    let one = |place: usize| {
        let own: Vec<&Firing> = paired.firings.iter().filter(|f| f.place == place).collect();
        let repeated: Vec<&&Firing> = own.iter().filter(|f| f.repeats > 0).collect();
        let top = repeated.iter().map(|f| f.speed_rad_s).collect::<Vec<_>>();
        let usual_top = middle(top).unwrap_or(0.0);
        let below: Vec<&&Firing> = own.iter().filter(|f| f.speed_rad_s <= usual_top).collect();
        let by_design = below.len() > 4 && below.iter().filter(|f| f.repeats > 0).count() as f64 > BY_DESIGN * below.len() as f64;
        let jitters: Vec<f64> = rows.iter().filter(|r| r.place == place && r.count > 4).map(|r| r.scatter_rad).collect();
        PlaceFound {
            cylinders: cylinders[place].clone(),
            rhythm: paired.rhythm[place],
            fired: own.len(),
            due: paired.due[place],
            repeated: repeated.len(),
            repeats: repeated.iter().map(|f| usize::from(f.repeats)).sum(),
            several_by_design: by_design,
            jitter_rad: middle(jitters).unwrap_or(0.0),
            weaker_share: (may_waste && paired.rhythm[place] == Rhythm::EveryTurn).then(|| weaker(&own, marks)).flatten(),
            rising_less_falling: apart(&rows, place),
        }
    };
    (0..cylinders.len()).map(one).collect()
}

/// Heights of every second firing against the others', while the row of marks is unbroken.
fn weaker(own: &[&Firing], marks: &[Mark]) -> Option<f64> {
    // Turns counted from the first mark; a break keeps the count from saying anything.
    let mut ratios = Vec::new();
    for w in own.windows(3) {
        let whole = marks[w[0].mark + 1..=w[2].mark].iter().all(|m| m.turns == 1);
        if whole && w[2].mark == w[0].mark + 2 && w[1].mark == w[0].mark + 1 {
            ratios.push(f64::from(w[1].height) / (0.5 * f64::from(w[0].height + w[2].height)));
        }
    }
    if ratios.len() < 10 {
        return None;
    }
    // In turn above and below 1 where they alternate.
    let logs: Vec<f64> = ratios.iter().map(|r| r.ln()).collect();
    let turned = logs.windows(2).filter(|w| w[0] * w[1] < 0.0).count() as f64 / (logs.len() - 1) as f64;
    let share = (-middle(logs.iter().map(|l| l.abs()).collect())?).exp();
    (turned > 0.9 && share < WEAKER).then_some(share)
}

/// Advance with rising less with falling speed, over the steps that have both.
fn apart(rows: &[Row], place: usize) -> Option<Finding> {
    let step = |r: &Row| (r.speed.si.ln() / STEP).round() as i64;
    let of = |t: Trend| rows.iter().filter(move |r| r.place == place && r.trend == t);
    let both: Vec<(f64, f64)> = of(Trend::Rising)
        .filter_map(|up| {
            let down = of(Trend::Falling).find(|d| step(d) == step(up))?;
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
