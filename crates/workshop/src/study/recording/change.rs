//! Two recordings of one machine, before and after a change.

use super::{Caution, Fires, PlaceFound, Recorded, Row};
use crate::study::Finding;
use physics::{law::Trend, recording::Rhythm};

/// The same place and speed in both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// First cylinder of the place.
    pub cylinder: usize,
    /// Rising, falling or held.
    pub trend: Trend,
    /// Crank speed, middle of both rows [rad/s].
    pub speed_rad_s: f64,
    /// Advance before and after [rad].
    pub advance: (Finding, Finding),
    /// After less before [rad]; the ± of both.
    pub by: Finding,
}

impl Moved {
    /// Whether it is more than its ±.
    pub fn surely(&self) -> bool {
        self.by.si.abs() > self.by.plus_minus_si
    }
}

/// What a place had and has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaceChange {
    /// First cylinder of the place.
    pub cylinder: usize,
    /// Scatter of the advance from firing to firing before and after [rad].
    pub jitter_rad: (f64, f64),
    /// After as a share of before \[1\], with the ± of both; `None` where one of them has no scatter.
    pub jitter_share: Option<Finding>,
    /// Share of the firings due that are missing, before and after \[1\].
    pub missing: (f64, f64),
}

/// A trouble that a recording shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// Firings of this cylinder are missing.
    Missing(usize),
    /// No sparks of this cylinder are heard, while they are in the other recording.
    NotHeard(usize),
    /// Second sparks behind the first that are not the unit's way.
    SecondSparks(usize),
    /// Stray sparks.
    Stray,
    /// Rising and falling speed give different advance.
    RisingIsNotFalling(usize),
    /// The rotor is not as measured.
    RotorOff,
    /// Turns are lost in the trigger's channel.
    TurnsMissing,
    /// A channel of the recording itself is clipped or noisy.
    Recorded,
}

/// The change.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Places, trends and speeds that both have, in order.
    pub moved: Vec<Moved>,
    /// Mean of those differences [rad], by the cylinder.
    pub mean: Vec<(usize, Finding)>,
    /// Places that are heard in both.
    pub places: Vec<PlaceChange>,
    /// Troubles that were and are not any more.
    pub gone: Vec<Trouble>,
    /// Troubles that were not before.
    pub new: Vec<Trouble>,
    /// Troubles in both.
    pub left: Vec<Trouble>,
    /// Segment from end to end, after less before [rad crank], where both have it.
    pub arc: Option<Finding>,
}

/// Rows are of the same speed where they differ by no more than half a step of it \[1\] (own choice, as the rows' own steps).
const SAME_SPEED: f64 = 0.025;
/// Firings missing, stray or doubled above this share of all are a trouble \[1\] (own choice): one in a thousand.
const TROUBLE: f64 = 1e-3;

/// Holds one recording against another of the same machine.
///
/// Rows are compared where both have the same cylinder, the same trend and nearly the same speed. What the two have in common, the lead in the file and the shape
/// of the pulses, falls out of a difference; its ± is still that of both rows, which is a little too wide and never too narrow.
pub fn change(before: &Recorded, after: &Recorded) -> Change {
    let moved: Vec<Moved> = after.rows.iter().filter_map(|a| same(&before.rows, a).map(|b| moved(b, a))).collect();
    let mut cylinders: Vec<usize> = moved.iter().map(|m| m.cylinder).collect();
    cylinders.dedup();
    let mean = cylinders.into_iter().filter_map(|c| Some((c, mean(&moved, c)?))).collect();
    let heard = |p: &&PlaceFound| p.rhythm != Rhythm::NotHeard;
    let places = after.places.iter().filter(heard).filter_map(|a| {
        let b = before.places.iter().filter(heard).find(|b| b.cylinders == a.cylinders)?;
        Some(place(before, after, b, a))
    });
    let (was, is) = (troubles(before, after), troubles(after, before));
    Change {
        mean,
        places: places.collect(),
        gone: was.iter().copied().filter(|t| !is.contains(t)).collect(),
        new: is.iter().copied().filter(|t| !was.contains(t)).collect(),
        left: is.iter().copied().filter(|t| was.contains(t)).collect(),
        arc: arc(before).zip(arc(after)).map(|(b, a)| less(a, b)),
        moved,
    }
}

fn arc(r: &Recorded) -> Option<Finding> {
    match r.mark {
        super::MarkFound::Segment { arc, .. } => Some(arc),
        super::MarkFound::Mark { .. } => None,
    }
}

fn less(after: Finding, before: Finding) -> Finding {
    Finding { si: after.si - before.si, plus_minus_si: after.plus_minus_si.hypot(before.plus_minus_si) }
}

/// The row of the same cylinder and trend that is nearest in speed.
fn same<'a>(rows: &'a [Row], to: &Row) -> Option<&'a Row> {
    let off = |r: &Row| (r.speed.si / to.speed.si).ln().abs();
    let fit = rows.iter().filter(|r| r.cylinder == to.cylinder && r.trend == to.trend && off(r) <= SAME_SPEED);
    fit.min_by(|a, b| off(a).total_cmp(&off(b)))
}

fn moved(before: &Row, after: &Row) -> Moved {
    Moved {
        cylinder: after.cylinder,
        trend: after.trend,
        speed_rad_s: 0.5 * (before.speed.si + after.speed.si),
        advance: (before.advance, after.advance),
        by: less(after.advance, before.advance),
    }
}

/// The rows of one recording share the shape of its pulses, so the mean is no surer than its surest row.
fn mean(moved: &[Moved], cylinder: usize) -> Option<Finding> {
    let own: Vec<&Moved> = moved.iter().filter(|m| m.cylinder == cylinder).collect();
    let surest = own.iter().map(|m| m.by.plus_minus_si).reduce(f64::min)?;
    let n = own.len() as f64;
    let si = own.iter().map(|m| m.by.si).sum::<f64>() / n;
    // They need not have moved alike.
    let spread = (own.iter().map(|m| (m.by.si - si).powi(2)).sum::<f64>() / (n - 1.0).max(1.0) / n).sqrt();
    Some(Finding { si, plus_minus_si: surest.hypot(2.0 * spread) })
}

fn place(before: &Recorded, after: &Recorded, b: &PlaceFound, a: &PlaceFound) -> PlaceChange {
    let lost = |p: &PlaceFound| p.due.saturating_sub(p.fired) as f64 / p.due.max(1) as f64;
    // Firings in rows that tell their own scatter, whose median the jitter is.
    let firings = |r: &Recorded, p: &PlaceFound| -> f64 {
        let cylinder = p.cylinders.first().copied();
        let own = r.rows.iter().filter(|row| Some(row.cylinder) == cylinder && row.count > 4);
        own.map(|row| row.count as f64).sum()
    };
    let share = (b.jitter_rad > 0.0 && a.jitter_rad > 0.0).then(|| {
        let si = a.jitter_rad / b.jitter_rad;
        // Relative standard error of a deviation by the median of sizes: 1.17/√n for normal scatter (efficiency 0.37, Huber 1981).
        let error = |n: f64| 1.17 / n.max(1.0).sqrt();
        Finding { si, plus_minus_si: 2.0 * si * error(firings(before, b)).hypot(error(firings(after, a))) }
    });
    PlaceChange {
        cylinder: a.cylinders.first().copied().unwrap_or(0),
        jitter_rad: (b.jitter_rad, a.jitter_rad),
        jitter_share: share,
        missing: (lost(b), lost(a)),
    }
}

fn troubles(r: &Recorded, other: &Recorded) -> Vec<Trouble> {
    let mut all = Vec::new();
    for p in &r.places {
        let Some(cylinder) = p.cylinders.first().copied() else { continue };
        if p.rhythm == Rhythm::NotHeard {
            let heard = other.places.iter().any(|o| o.cylinders == p.cylinders && o.rhythm != Rhythm::NotHeard);
            if heard {
                all.push(Trouble::NotHeard(cylinder));
            }
            continue;
        }
        let share = |n: usize| n as f64 > TROUBLE * p.due as f64;
        if share(p.due.saturating_sub(p.fired)) {
            all.push(Trouble::Missing(cylinder));
        }
        if share(p.repeated) && !p.several_by_design {
            all.push(Trouble::SecondSparks(cylinder));
        }
        if p.rising_less_falling.is_some_and(|f| f.si.abs() > f.plus_minus_si) {
            all.push(Trouble::RisingIsNotFalling(cylinder));
        }
    }
    if r.paired.stray as f64 > TROUBLE * r.paired.firings() as f64 {
        all.push(Trouble::Stray);
    }
    if matches!(r.edges.verdict, Fires::Off { .. }) {
        all.push(Trouble::RotorOff);
    }
    if r.cautions.iter().any(|c| matches!(c, Caution::TurnsMissing { .. })) {
        all.push(Trouble::TurnsMissing);
    }
    if r.cautions.iter().any(|c| matches!(c, Caution::Clipped { .. } | Caution::Noisy { .. })) {
        all.push(Trouble::Recorded);
    }
    all
}
