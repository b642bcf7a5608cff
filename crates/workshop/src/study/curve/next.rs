//! Where the strobe should be held next.

use super::{
    Margins,
    fitted::{Fits, kind},
    from_fit,
    plate::Plate,
    strobe::Corrected,
    types::{LawKind, NextReading},
};
use crate::{machine::Machine, study::Finding};
use physics::law::{Law, Trend};

/// A law with less than this share of the support is no rival any more \[1\]: 5 %, as every ± here (own choice).
const RIVAL: f64 = 0.05;
/// Two curves this many standard uncertainties apart are told from each other by one reading \[1\] (own choice): the odds change by
/// e² = 7 or more.
const TELLS: f64 = 2.0;
/// Speeds that are looked at \[1\], and the least ratio between two that are advised \[1\] (own choice): nearer ones say the same.
const SPEEDS: usize = 121;
const APART: f64 = 1.15;
/// Most speeds that are advised \[1\] (own choice).
const MOST: usize = 2;

/// The readings that would best part the laws that are still open; none where one law is left, or where no reading would part them.
///
/// Two laws are best told apart where their curves lie furthest apart, in standard uncertainties of a further reading less either curve.
/// Only speeds between the idle and the fastest reading are looked at: there the engine has been held already. Where bob weights
/// are open and no reading says how the speed was moving, one reading with rising and one with falling speed, half-way up the advance,
/// come first: friction shows itself in nothing else.
pub(super) fn readings(machine: &Machine, plate: &Plate, fits: &Fits, corrected: &[Corrected]) -> Vec<NextReading> {
    let support = fits.support();
    let Some(best) = fits.best() else { return Vec::new() };
    let open = |kind: LawKind| support.iter().any(|s| s.kind == kind && s.share >= RIVAL);
    let moving = |trend: Trend| corrected.iter().any(|c| c.reading.trend == trend);
    let mut next = Vec::new();
    if open(LawKind::BobWeights) && !(moving(Trend::Rising) && moving(Trend::Falling)) {
        let of_weights = fits.best_of(LawKind::BobWeights);
        let middle = of_weights.and_then(|i| fits.fits[i].law(0)).and_then(|law| law.knees());
        next.extend(
            middle.map(|(start, full)| NextReading::BothWays { speed_rad_s: (0.5 * (start * start + full * full)).sqrt() }),
        );
    }
    let rival = support.iter().find(|s| s.kind != kind(&fits.fits[best].family.shape) && s.share >= RIVAL);
    let Some((rival, other)) = rival.and_then(|r| Some((r.kind, fits.best_of(r.kind)?))) else { return next };
    let law_of = |i: usize| {
        let curve = from_fit(fits, i, plate)?.into_iter().next()?;
        Some((curve.law.clone(), curve.doubt.margins()))
    };
    let (Some(one), Some(two)) = (law_of(best), law_of(other)) else { return next };
    let speeds = corrected.iter().map(|c| c.reading.speed_rad_s);
    let fastest = speeds.clone().fold(0.0, f64::max);
    let slowest = machine.idle.as_ref().map_or_else(|| speeds.fold(f64::INFINITY, f64::min), |i| i.speed.si);
    if !(slowest > 0.0 && fastest > slowest) {
        return next;
    }
    let mut all: Vec<(f64, f64, Finding)> = (0..SPEEDS)
        .map(|k| slowest * (fastest / slowest).powf(k as f64 / (SPEEDS - 1) as f64))
        .map(|n| {
            let apart = (one.0.advance(n) - two.0.advance(n)).radians();
            let u = doubt(machine, &one, n).hypot(two.1.standard_rad(n));
            (apart.abs() / u.max(f64::MIN_POSITIVE), n, Finding { si: apart, plus_minus_si: 2.0 * u })
        })
        .filter(|(z, ..)| *z >= TELLS)
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut advised: Vec<f64> = Vec::new();
    for (_, speed_rad_s, apart) in all {
        if advised.len() < MOST && advised.iter().all(|n| (n / speed_rad_s).ln().abs() >= APART.ln()) {
            advised.push(speed_rad_s);
            next.push(NextReading::Parts { kinds: (kind(&fits.fits[best].family.shape), rival), speed_rad_s, apart });
        }
    }
    next
}

/// Standard uncertainty [rad] of a further reading less a curve: mark, rev counter through the slope, and the curve's own.
fn doubt(machine: &Machine, (law, margins): &(Law, Margins), speed: f64) -> f64 {
    let lamp = &machine.lamp;
    let by = 0.5 * lamp.rev_counter.si.abs() * speed;
    let through_speed = 0.5 * (law.advance(speed + by) - law.advance(speed - by)).radians();
    (0.5 * lamp.mark.si.abs()).hypot(through_speed).hypot(margins.standard_rad(speed))
}
