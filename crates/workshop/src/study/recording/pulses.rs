//! The pickup's own pulses.

use super::{firings::MAD_TO_DEVIATION, firings::middle, turns::Turns};
use crate::{machine::Machine, study::Finding};
use physics::recording::{Mark, MarkKind, gap_and_pole};
use std::f64::consts::PI;

/// What the pulses show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PulsesFound {
    /// The first pulse of a turn points upward.
    pub first_up: bool,
    /// Peak of the first and of the second pulse per crank speed [unit of the samples·s/rad], each with the scatter from turn to turn; `None`
    /// where the channel is clipped.
    pub peak_per_speed: Option<(Finding, Finding)>,
    /// Whether that is volts.
    pub volts: bool,
    /// By how much the peak grows more slowly than speed from the slowest to the fastest turns \[1\]: 0 where it is in proportion.
    pub lags: Option<f64>,
    /// Width of the first pulse at half height along the rim [m]; `None` without a rim.
    pub width: Option<Finding>,
    /// The gap [m] for which a sharp pole gives that width: no gap is wider.
    pub gap_at_most: Option<Finding>,
    /// The gap [m] that goes with the widest pole that the pulse's shape allows: no gap is narrower. `None` where the channel is clipped, or the shape leaves
    /// every pole possible.
    pub gap_at_least: Option<Finding>,
}

/// Width at half height of 1/cosh²(x/w), in w \[1\], exactly 2 arcosh √2.
const WIDTH_OF_PULSE: f64 = 1.762_747_174_039_086;
/// Turns that are needed [1] (own choice).
const LEAST: usize = 8;
/// How well the ratio of both widths is known at best \[1\] (own choice): a line that is off by a hundredth of the height moves the foot by as much.
const SUREST_RATIO: f64 = 0.03;

/// Middle, and the scatter of a single value as ±.
pub(super) fn spread(values: &[f64]) -> Option<Finding> {
    let si = middle(values.to_vec())?;
    let off = middle(values.iter().map(|v| (v - si).abs()).collect())?;
    Some(Finding { si, plus_minus_si: 2.0 * MAD_TO_DEVIATION * off })
}

/// Middle, with the ± of the middle itself: the median's standard error is 1.253 times the mean's.
pub(super) fn centre(values: &[f64]) -> Option<Finding> {
    let f = spread(values)?;
    Some(Finding { plus_minus_si: 1.253 * f.plus_minus_si / (values.len() as f64).sqrt(), ..f })
}

pub(super) fn found(
    turns: &Turns,
    kind: MarkKind,
    machine: &Machine,
    drive: f64,
    clipped: bool,
    volts: Option<f64>,
) -> Option<PulsesFound> {
    let MarkKind::Pair { leading_up, .. } = kind else { return None };
    let passes = turns.passes.kept();
    if passes.len() < LEAST {
        return None;
    }
    let scale = volts.unwrap_or(1.0);
    let each = |of: &dyn Fn(f64, &Mark) -> f64| -> Vec<f64> { passes.iter().map(|(w, m)| of(*w, m)).collect() };
    let per_speed = |of: fn(&Mark) -> f32| spread(&each(&|w, m| scale * f64::from(of(m).abs()) / w));
    let mut by_speed = passes.to_vec();
    by_speed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let fifth = by_speed.len().div_ceil(5);
    let mean = |part: &[(f64, Mark)]| part.iter().map(|(w, m)| f64::from(m.peaks.0.abs()) / w).sum::<f64>() / part.len() as f64;
    let (slow, fast) = (mean(&by_speed[..fifth]), mean(&by_speed[by_speed.len() - fifth..]));
    let radius = machine.trigger.as_ref().map(|t| 0.5 * t.rim_diameter.si);
    let width = radius.and_then(|r| spread(&each(&|w, m| f64::from(m.width_s) * w * drive * r)));
    let scaled = |by: f64, f: Finding| Finding { si: by * f.si, plus_minus_si: by * f.plus_minus_si };
    let ratio = centre(&each(&|_, m| f64::from(m.foot_s / m.width_s)));
    let gap_at_least = width.zip(ratio).filter(|_| !clipped).and_then(|(width, ratio)| {
        let least = ratio.si - ratio.plus_minus_si.hypot(SUREST_RATIO);
        let (gap, _) = gap_and_pole(width.si, least * width.si)?;
        Some(scaled(gap / width.si, width))
    });
    Some(PulsesFound {
        first_up: leading_up,
        peak_per_speed: if clipped { None } else { per_speed(|m| m.peaks.0).zip(per_speed(|m| m.peaks.1)) },
        volts: volts.is_some(),
        lags: (!clipped && slow > 0.0).then(|| 1.0 - fast / slow),
        width,
        // Width scale of the flux step w = 2 g/π, see `physics::law::Pickup`.
        gap_at_most: width.map(|w| scaled(0.5 * PI / WIDTH_OF_PULSE, w)),
        gap_at_least,
    })
}
