//! What the course of the speed says: idle, blips, hangs, run-down.

use super::firings::middle;
use crate::study::Finding;
use std::f64::consts::TAU;

/// Speed at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// When [s].
    pub at_s: f64,
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// Whether it is trusted.
    pub trusted: bool,
}

/// Where the points come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// One for each turn, by its mark.
    Turns,
    /// From sound, each from several cycles.
    Sound,
}

/// A stretch at a steady speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steady {
    /// From when to when [s].
    pub span_s: (f64, f64),
    /// Mean crank speed [rad/s].
    pub speed: Finding,
    /// Standard deviation about a straight line, as a share of the mean \[1\].
    pub scatter: f64,
    /// Frequency at which it hunts [Hz] and the height of that swing as a share \[1\], where one frequency stands out.
    pub hunts: Option<(f64, f64)>,
}

/// A blip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blip {
    /// When it was fastest [s].
    pub at_s: f64,
    /// Greatest speed [rad/s].
    pub peak_rad_s: f64,
    /// Time from there until the speed stays near that of the steady stretch that follows [s].
    pub settles_s: Option<f64>,
    /// That stretch, by index.
    pub to: Option<usize>,
}

/// A hang: after a blip the speed stays above the idle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hang {
    /// The stretch, by index.
    pub steady: usize,
    /// How long it lasts [s].
    pub lasts_s: f64,
    /// Time in which it then falls to the idle, without a blip before [s]: the clutch, or a hand.
    pub comes_down_s: Option<f64>,
    /// How long it stays down in this recording [s].
    pub stays_down_s: Option<f64>,
}

/// A run-down with the ignition cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RanDown {
    /// Crank speed at the start [rad/s].
    pub from: Finding,
    /// At the end [rad/s].
    pub to: Finding,
    /// Time between [s].
    pub takes: Finding,
}

/// The course of the speed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pace {
    /// Speed against time, no more than 4000 points.
    pub course: Vec<Point>,
    /// Least and greatest trusted speed [rad/s].
    pub range_rad_s: (f64, f64),
    /// Share of the time that is trusted \[1\].
    pub trusted: f64,
    /// Steady stretches.
    pub steady: Vec<Steady>,
    /// The idle: the slowest steady stretches together.
    pub idle: Option<Steady>,
    /// Blips.
    pub blips: Vec<Blip>,
    /// Hangs.
    pub hangs: Vec<Hang>,
    /// Run-down without sparks.
    pub run_down: Option<RanDown>,
}

/// Time over which steadiness is looked at [s], least length of a steady stretch [s], and change of the speed's logarithm per second that is
/// steady still [1/s] (own choices): an idle hunts by a few per cent once or twice a second.
const LOOK_S: f64 = 0.8;
const LEAST_S: f64 = 1.0;
const STEADY: f64 = 0.12;
/// A speed is the idle's within this factor of the slowest steady one, a blip's above the second, a hang's above the third \[1\] (own choice).
const IDLE: f64 = 1.12;
const BLIP: f64 = 1.4;
const HANG: f64 = 1.25;
/// A hang lasts at least so long [s] (common practice, no source): an engine that is merely slow to come down does so sooner.
const HANG_S: f64 = 1.5;
/// Settled within this share of the speed that follows \[1\] (own choice).
const SETTLED: f64 = 0.06;
/// A swing stands out where its power is so many times the mean over all frequencies looked at \[1\] (own choice): chance alone does it once
/// in a few thousand.
const STANDS_OUT: f64 = 9.0;
/// Hunting is looked for between these frequencies [Hz] (common practice, no source).
const HUNTS_HZ: (f64, f64) = (0.2, 4.0);
/// Speed of a turn or of a sound is no surer than this share \[1\] (own choice): clocks of sound cards are better; sound has its own bias.
const SUREST: [f64; 2] = [0.001, 0.005];
/// Most points that are kept [1] (own choice).
const MOST_POINTS: usize = 4000;

/// What a course says. `last_spark_s` is when the last spark came, where sparks were recorded.
pub fn of(points: &[Point], last_spark_s: Option<f64>, by: By) -> Pace {
    let trusted: Vec<Point> = points.iter().copied().filter(|p| p.trusted).collect();
    if trusted.len() < 4 {
        return Pace { course: thinned(points), ..Pace::default() };
    }
    let most = trusted.iter().map(|p| p.speed_rad_s).fold(0.0, f64::max);
    let least = trusted.iter().map(|p| p.speed_rad_s).fold(f64::INFINITY, f64::min);
    let running: Vec<Point> = trusted.iter().copied().filter(|p| last_spark_s.is_none_or(|end| p.at_s <= end)).collect();
    let steady = steady(&running, by);
    let slowest = steady.iter().map(|s| s.speed.si).fold(f64::INFINITY, f64::min);
    let idles: Vec<&Steady> = steady.iter().filter(|s| s.speed.si < IDLE * slowest).collect();
    let idle = together(&idles);
    let blips = blips(&running, &steady, slowest);
    let hangs = hangs(&running, &steady, &blips, slowest);
    let run_down = last_spark_s.and_then(|end| run_down(&trusted, end));
    Pace {
        course: thinned(points),
        range_rad_s: (least, most),
        trusted: trusted.len() as f64 / points.len() as f64,
        steady,
        idle,
        blips,
        hangs,
        run_down,
    }
}

fn thinned(points: &[Point]) -> Vec<Point> {
    let every = points.len().div_ceil(MOST_POINTS).max(1);
    points.iter().copied().step_by(every).collect()
}

/// Slope of the logarithm about a point, by least squares over the points near it.
fn slope(points: &[Point], i: usize) -> Option<f64> {
    let t = points[i].at_s;
    let from = points[..i].partition_point(|p| p.at_s < t - 0.5 * LOOK_S);
    let to = i + points[i..].partition_point(|p| p.at_s <= t + 0.5 * LOOK_S);
    let near = &points[from..to];
    // Cut off at the ends of a recording it is still half of the time.
    if near.len() < 4 || near[near.len() - 1].at_s - near[0].at_s < 0.45 * LOOK_S {
        return None;
    }
    let n = near.len() as f64;
    let (mt, ml) = (near.iter().map(|p| p.at_s).sum::<f64>() / n, near.iter().map(|p| p.speed_rad_s.ln()).sum::<f64>() / n);
    let stt: f64 = near.iter().map(|p| (p.at_s - mt).powi(2)).sum();
    let stl: f64 = near.iter().map(|p| (p.at_s - mt) * (p.speed_rad_s.ln() - ml)).sum();
    Some(stl / stt)
}

fn steady(points: &[Point], by: By) -> Vec<Steady> {
    let mut all = Vec::new();
    let mut start: Option<usize> = None;
    for i in 0..=points.len() {
        let goes_on = i < points.len()
            && slope(points, i).is_some_and(|s| s.abs() < STEADY)
            && start.is_none_or(|s| points[i].at_s - points[i - 1].at_s < LOOK_S && i > s);
        match (start, goes_on) {
            (None, true) => start = Some(i),
            (Some(s), false) => {
                if points[i - 1].at_s - points[s].at_s >= LEAST_S {
                    all.push(stretch(&points[s..i], by));
                }
                start = None;
            }
            _ => {}
        }
    }
    all
}

fn stretch(points: &[Point], by: By) -> Steady {
    let n = points.len() as f64;
    let span_s = (points[0].at_s, points[points.len() - 1].at_s);
    let length = span_s.1 - span_s.0;
    let mean = points.iter().map(|p| p.speed_rad_s).sum::<f64>() / n;
    let mt = points.iter().map(|p| p.at_s).sum::<f64>() / n;
    let stt: f64 = points.iter().map(|p| (p.at_s - mt).powi(2)).sum();
    let stw: f64 = points.iter().map(|p| (p.at_s - mt) * (p.speed_rad_s - mean)).sum();
    let off: Vec<f64> = points.iter().map(|p| p.speed_rad_s - mean - stw / stt * (p.at_s - mt)).collect();
    let deviation = (off.iter().map(|d| d * d).sum::<f64>() / n).sqrt();
    // Swings of an idle last about a second: no more than one value of its own in each.
    let own = length.max(1.0);
    let surest = SUREST[usize::from(by == By::Sound)];
    let speed = Finding { si: mean, plus_minus_si: (2.0 * deviation / own.sqrt()).hypot(surest * mean) };
    Steady { span_s, speed, scatter: deviation / mean, hunts: hunts(points, &off, length, mean) }
}

/// The frequency that stands out, by the periodogram of what is left about the line (Schuster 1898; Lomb, Astrophys. Space Sci. 39 (1976)
/// 447–462, for points that are not evenly apart).
fn hunts(points: &[Point], off: &[f64], length_s: f64, mean: f64) -> Option<(f64, f64)> {
    // Swings that a stretch must hold [1] (own choice).
    const LEAST_SWINGS: f64 = 3.0;
    let (from, to) = ((LEAST_SWINGS / length_s).max(HUNTS_HZ.0), HUNTS_HZ.1);
    if from >= to || points.len() < 16 {
        return None;
    }
    // No more points than are needed for the highest frequency.
    let every = (points.len() as f64 / (length_s * 10.0 * to)).floor().max(1.0) as usize;
    let step = 0.25 / length_s;
    let count = ((to - from) / step) as usize + 1;
    let power = |f: f64| {
        let (mut s, mut c, mut n) = (0.0, 0.0, 0.0);
        for (p, d) in points.iter().zip(off).step_by(every) {
            let (sin, cos) = (TAU * f * p.at_s).sin_cos();
            s += d * sin;
            c += d * cos;
            n += 1.0;
        }
        4.0 * (s * s + c * c) / (n * n)
    };
    let powers: Vec<(f64, f64)> = (0..count.min(4000)).map(|k| from + k as f64 * step).map(|f| (f, power(f))).collect();
    let (f, best) = powers.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let usual = middle(powers.iter().map(|p| p.1).collect())?;
    // The mean of an exponential variable is its median over ln 2.
    let mean_power = usual / std::f64::consts::LN_2;
    (best > STANDS_OUT * mean_power && mean_power > 0.0).then(|| (f, best.sqrt() / mean))
}

/// Several stretches as one.
fn together(all: &[&Steady]) -> Option<Steady> {
    let first = all.first()?;
    let length = |s: &Steady| s.span_s.1 - s.span_s.0;
    let total: f64 = all.iter().map(|s| length(s)).sum();
    let mean = |of: &dyn Fn(&Steady) -> f64| all.iter().map(|s| of(s) * length(s)).sum::<f64>() / total;
    let si = mean(&|s| s.speed.si);
    // Stretches that differ by more than their own ± widen it.
    let between = all.iter().map(|s| (s.speed.si - si).powi(2) * length(s)).sum::<f64>() / total;
    let within = mean(&|s| s.speed.plus_minus_si.powi(2)) / all.len() as f64;
    let longest = all.iter().max_by(|a, b| length(a).total_cmp(&length(b)))?;
    Some(Steady {
        span_s: (first.span_s.0, all[all.len() - 1].span_s.1),
        speed: Finding { si, plus_minus_si: (within + 4.0 * between / all.len() as f64).sqrt() },
        scatter: mean(&|s| s.scatter.powi(2)).sqrt(),
        hunts: longest.hunts,
    })
}

fn blips(points: &[Point], steady: &[Steady], slowest: f64) -> Vec<Blip> {
    if !slowest.is_finite() {
        return Vec::new();
    }
    // Tops between steady stretches: where a top is, no stretch is.
    let mut all = Vec::new();
    let mut bounds: Vec<(f64, f64)> = steady.iter().map(|s| s.span_s).collect();
    bounds.push((f64::INFINITY, f64::INFINITY));
    let mut from = f64::NEG_INFINITY;
    for (i, span) in bounds.iter().enumerate() {
        let between = points.iter().filter(|p| p.at_s > from && p.at_s < span.0);
        let top = between.clone().max_by(|a, b| a.speed_rad_s.total_cmp(&b.speed_rad_s));
        let base = [i.checked_sub(1).and_then(|j| steady.get(j)), steady.get(i)];
        let base = base.into_iter().flatten().map(|s| s.speed.si).fold(slowest, f64::max);
        if let Some(top) = top.filter(|t| t.speed_rad_s > BLIP * slowest && t.speed_rad_s > (1.0 + SETTLED) * base) {
            let to = steady.get(i).map(|_| i);
            let settles_s = to.and_then(|to| {
                let at = steady[to].speed.si;
                let last = points
                    .iter()
                    .filter(|p| p.at_s > top.at_s && p.at_s < steady[to].span_s.1)
                    .rfind(|p| p.speed_rad_s > (1.0 + SETTLED) * at && p.at_s < steady[to].span_s.0 + 0.5 * LOOK_S);
                last.map(|p| p.at_s - top.at_s)
            });
            all.push(Blip { at_s: top.at_s, peak_rad_s: top.speed_rad_s, settles_s, to });
        }
        from = span.1;
    }
    all
}

fn hangs(points: &[Point], steady: &[Steady], blips: &[Blip], slowest: f64) -> Vec<Hang> {
    let mut all = Vec::new();
    for blip in blips {
        let Some(i) = blip.to.filter(|i| steady[*i].speed.si > HANG * slowest) else { continue };
        let s = &steady[i];
        let lasts_s = s.span_s.1 - blip.at_s - blip.settles_s.unwrap_or(0.0);
        if lasts_s < HANG_S {
            continue;
        }
        let next = steady.get(i + 1).filter(|n| n.speed.si < IDLE * slowest);
        // Down without being blipped first.
        let straight = next.filter(|n| !blips.iter().any(|b| b.at_s > s.span_s.1 && b.at_s < n.span_s.0));
        let comes_down_s = straight.map(|n| {
            let inside = points.iter().filter(|p| p.at_s > s.span_s.0 && p.at_s < n.span_s.1);
            let leaves = inside.clone().rfind(|p| p.speed_rad_s > (1.0 - SETTLED) * s.speed.si).map_or(s.span_s.1, |p| p.at_s);
            let arrives = inside.clone().find(|p| p.at_s > leaves && p.speed_rad_s < (1.0 + SETTLED) * n.speed.si);
            (arrives.map_or(n.span_s.0, |p| p.at_s) - leaves).max(0.0)
        });
        let stays_down_s = straight.map(|n| n.span_s.1 - n.span_s.0);
        all.push(Hang { steady: i, lasts_s, comes_down_s, stays_down_s });
    }
    all
}

/// From half a turn behind the last spark down to the last turn that is followed.
fn run_down(points: &[Point], last_spark_s: f64) -> Option<RanDown> {
    /// Points that make a run-down, and the share by which it must slow down [1] (own choice).
    const LEAST: usize = 6;
    const SLOWS: f64 = 0.8;
    let all: Vec<&Point> = points.iter().skip_while(|p| p.at_s <= last_spark_s + 0.02).collect();
    let (first, last) = (all.first()?, all.last()?);
    if all.len() < LEAST || last.speed_rad_s > SLOWS * first.speed_rad_s {
        return None;
    }
    let of = |p: &Point| Finding { si: p.speed_rad_s, plus_minus_si: 0.01 * p.speed_rad_s };
    let takes = last.at_s - first.at_s;
    Some(RanDown { from: of(first), to: of(last), takes: Finding { si: takes, plus_minus_si: 0.005 } })
}
