//! Windings that were measured: at 20 °C, without the meter's leads, against record or trade and against each other.

use crate::{
    machine::{
        Machine,
        charging::{WindingKind, WindingRead},
    },
    study::{
        Finding,
        doubt::{finding, input},
    },
};
use physics::copper;

/// Part of a record by which a sound winding may differ from it, as a ± \[1\] (common practice, no source: ±15 %).
pub const RECORD_SPREAD: f64 = 0.15;
/// The same between windings that are alike \[1\] (common practice, no source: 10 to 15 %).
pub const TWINS_SPREAD: f64 = 0.12;
/// Insulation at 500 V below which a winding is suspect [Ω] (common practice, no source: 1 MΩ).
pub const SUSPECT_OHM: f64 = 1e6;
/// Insulation from which it is good [Ω] (common practice, no source: 10 MΩ).
pub const GOOD_OHM: f64 = 1e7;
/// Below this resistance the meter's leads are too large a part of a reading to be left in [Ω] (own choice).
const LEADS_MATTER_OHM: f64 = 10.0;

/// What a resistance is judged by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum JudgedBy {
    /// The record: least and most at 20 °C [Ω].
    Record(f64, f64),
    /// What is common in the trade for its kind [Ω].
    Trade(f64, f64),
    /// Nothing is known of it.
    Nothing,
}

/// How it stands to that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within, ± and all.
    Within,
    /// The ± reaches over an end: cannot tell.
    OnTheEdge,
    /// Below, by more than its ±: turns shorted, or the wrong part.
    Low,
    /// Above, by more than its ±: a bad joint, or the wrong part.
    High,
    /// Nothing to judge it by.
    NotJudged,
}

/// How insulation stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Insulation {
    /// Good.
    Good,
    /// Damp or dirty: dry it and read again.
    Doubtful,
    /// It leads to the frame.
    ToFrame,
}

/// A winding compared with those like it.
#[derive(Clone, Debug, PartialEq)]
pub struct Twins {
    /// How many there are, itself included.
    pub count: usize,
    /// By which part of their middle it differs \[1\].
    pub off: Finding,
    /// Whether that is more than a sound one does, by more than its ±; `None` = cannot tell.
    pub odd: Option<bool>,
}

/// One winding.
#[derive(Clone, Debug, PartialEq)]
pub struct WindingFound {
    /// Its name.
    pub name: String,
    /// Its kind.
    pub kind: WindingKind,
    /// Resistance at 20 °C, leads taken off [Ω].
    pub at_20: Finding,
    /// The leads were not read, and matter.
    pub leads_unknown: bool,
    /// What it is judged by.
    pub by: JudgedBy,
    /// How it stands.
    pub verdict: Verdict,
    /// Beside those like it.
    pub twins: Option<Twins>,
    /// Insulation, as read [Ω].
    pub insulation: Option<(f64, Insulation)>,
}

/// All of them.
#[derive(Clone, Debug, PartialEq)]
pub struct WindingsStudy {
    /// In the order of the file.
    pub windings: Vec<WindingFound>,
}

/// Judges every winding of a file; `None` where there is none.
pub fn study(machine: &Machine) -> Option<WindingsStudy> {
    let read = &machine.electric.windings;
    if read.is_empty() {
        return None;
    }
    let cold: Vec<Finding> = read.iter().map(at_20).collect();
    let windings = read.iter().enumerate().map(|(k, w)| {
        let by = judged_by(w);
        WindingFound {
            name: w.name.clone(),
            kind: w.kind,
            at_20: cold[k],
            leads_unknown: w.leads.is_none() && w.resistance.si < LEADS_MATTER_OHM,
            by,
            verdict: verdict(cold[k], by),
            twins: twins(read, &cold, k),
            insulation: w.insulation.as_ref().map(|r| (r.si, insulation(r.si))),
        }
    });
    Some(WindingsStudy { windings: windings.collect() })
}

/// R₂₀ = (R − R_leads)·254.5/(234.5 + ϑ).
fn at_20(w: &WindingRead) -> Finding {
    let leads = w.leads.as_ref().map_or((0.0, 0.0), input);
    let inputs = [input(&w.resistance), leads, input(&w.temperature)];
    finding(|x| (x[0] - x[1]) * copper::ratio(x[2], copper::COLD_K), &inputs)
}

/// Ranges at 20 °C that are common practice, no source [Ω].
fn judged_by(w: &WindingRead) -> JudgedBy {
    if let Some(record) = &w.record {
        let spread = RECORD_SPREAD.hypot(record.plus_minus_si / record.si);
        return JudgedBy::Record(record.si * (1.0 - spread), record.si * (1.0 + spread));
    }
    match w.kind {
        WindingKind::StatorThree => JudgedBy::Trade(0.1, 1.0),
        WindingKind::StatorOne => JudgedBy::Trade(0.3, 2.0),
        WindingKind::Pickup => JudgedBy::Trade(72.0, 600.0),
        WindingKind::SourceLow => JudgedBy::Trade(100.0, 500.0),
        WindingKind::SourceHigh => JudgedBy::Trade(5.0, 50.0),
        WindingKind::SourceSingle => JudgedBy::Trade(20.0, 60.0),
        WindingKind::Other => JudgedBy::Nothing,
    }
}

fn verdict(r: Finding, by: JudgedBy) -> Verdict {
    let (JudgedBy::Record(least, most) | JudgedBy::Trade(least, most)) = by else { return Verdict::NotJudged };
    let (low, high) = (r.si - r.plus_minus_si, r.si + r.plus_minus_si);
    if high < least {
        Verdict::Low
    } else if low > most {
        Verdict::High
    } else if low < least || high > most {
        Verdict::OnTheEdge
    } else {
        Verdict::Within
    }
}

/// Beside the middle of the others that are alike; meter, leads and temperature are shared, so only the rest of each ± counts.
fn twins(read: &[WindingRead], cold: &[Finding], k: usize) -> Option<Twins> {
    let group = read[k].twins.as_ref()?;
    let alike: Vec<usize> = (0..read.len()).filter(|&j| read[j].twins.as_ref() == Some(group)).collect();
    if alike.len() < 2 {
        return None;
    }
    let mut others: Vec<f64> = alike.iter().filter(|&&j| j != k).map(|&j| cold[j].si).collect();
    others.sort_by(f64::total_cmp);
    let middle = 0.5 * (others[(others.len() - 1) / 2] + others[others.len() / 2]);
    let off = cold[k].si / middle - 1.0;
    if middle <= 0.0 || !off.is_finite() {
        return Some(Twins { count: alike.len(), off: Finding { si: off, plus_minus_si: f64::INFINITY }, odd: None });
    }
    // Beside the middle, so that a winding of nothing is as sure as the others.
    let own = |j: usize| read[j].resistance.plus_minus_si / middle;
    let mean_square: f64 =
        alike.iter().filter(|&&j| j != k).map(|&j| own(j).powi(2)).sum::<f64>() / (others.len() * others.len()) as f64;
    let by = (own(k).powi(2) + mean_square).sqrt();
    let odd = match off.abs() {
        // Of two that differ nobody can tell which is wrong, but both are told.
        x if x - by > TWINS_SPREAD => Some(true),
        x if x + by > TWINS_SPREAD => None,
        _ => Some(false),
    };
    Some(Twins { count: alike.len(), off: Finding { si: off, plus_minus_si: by }, odd })
}

fn insulation(ohm: f64) -> Insulation {
    if ohm >= GOOD_OHM {
        Insulation::Good
    } else if ohm >= SUSPECT_OHM {
        Insulation::Doubtful
    } else {
        Insulation::ToFrame
    }
}
