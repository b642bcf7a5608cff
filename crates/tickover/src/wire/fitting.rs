//! Which puller and mandrel fit, as JSON.

use super::{Number, deg, mm, number};
use serde::Serialize;
use workshop::study::rotor::fitting as study;

/// A mandrel that fits.
#[derive(Debug, Serialize)]
pub struct Mandrel {
    ratio: Number,
    side_deg: Number,
    large_mm: Number,
    small_mm: Number,
    length_mm: Number,
    thread_mm: f64,
    pitch_mm: f64,
}

impl Mandrel {
    /// From the finding.
    pub fn of(m: &study::Mandrel) -> Self {
        Self {
            ratio: number(m.ratio, |x| x),
            side_deg: number(m.side, deg),
            large_mm: number(m.large, mm),
            small_mm: number(m.small, mm),
            length_mm: number(m.length, mm),
            thread_mm: mm(m.thread_m[0]),
            pitch_mm: mm(m.thread_m[1]),
        }
    }
}

/// What does not fit: which number, the puller's or its bound, and the rotor's [mm]; counts as they are.
#[derive(Debug, Serialize)]
pub struct Misfit {
    which: &'static str,
    puller: Option<f64>,
    rotor: Option<f64>,
}

impl Misfit {
    /// From the finding.
    pub fn of(m: &study::Misfit) -> Self {
        use study::Misfit as M;
        let both = |which, puller: f64, rotor: f64| Self { which, puller: Some(puller), rotor: Some(rotor) };
        match *m {
            M::Count { bolts, holes } => both("count", f64::from(bolts), f64::from(holes)),
            M::Circle { bolts, holes } => both("circle", mm(bolts.si), mm(holes.si)),
            M::HoleTooWide { hole, most_m } => both("hole_too_wide", mm(most_m), mm(hole.si)),
            M::HoleTooNarrow { hole, least_m } => both("hole_too_narrow", mm(least_m), mm(hole.si)),
            M::TooDeep { engaged, deep } => both("too_deep", mm(engaged.si), mm(deep.si)),
            M::OnRim => Self { which: "on_rim", puller: None, rotor: None },
            M::BossTooThin { thread_m, boss } => both("boss_too_thin", mm(thread_m), mm(boss.si)),
            M::BoreTooWide { bore, most_m } => both("bore_too_wide", mm(most_m), mm(bore.si)),
        }
    }
}
