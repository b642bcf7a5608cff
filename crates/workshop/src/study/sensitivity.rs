//! Which input the doubt about a hang comes from.
//!
//! [`crate::indices`] of two results of the sampled cases: whether it hangs, and how far from hanging it is
//! ([`Engines::spare_above`](super::cases::Engines::spare_above)). The first is the question itself but coarse, and says nothing where all cases
//! agree; the second always says something. Inputs go in the groups that a mechanic can measure better, one by one.

use super::{
    Finding, NotStudied,
    cases::{CHANGE, CURVE, Change, Engines, mean_of},
    curve::Origin,
    unknowns::Unknown,
};
use crate::indices::{Index, indices};
use physics::{law::Law, surface::Progress};

/// Points of each of the two samples in one scramble, a power of two: 2560 in all, and as many again for each group.
pub(super) const POINTS: u32 = 256;

/// An input, or several that are measured in one go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// One of engine and idle.
    Of(Unknown),
    /// Those that vary together, found by calibration.
    Calibrated,
    /// The curve.
    Curve(Origin),
    /// How exactly the cut is made.
    Cut,
}

/// What one input does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InputShare {
    /// Which.
    pub input: Input,
    /// Of the doubt whether it hangs; `None` where all cases agree.
    pub hang: Option<Shares>,
    /// Of the doubt how far from hanging it is.
    pub spare: Shares,
}

/// Indices \[1\], each with its ±.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// First order: what would go if this alone were known.
    pub first: Finding,
    /// Total: what would stay if all else were known.
    pub total: Finding,
}

/// Inputs, the weightiest first.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Sensitivity {
    /// Inputs that do anything.
    pub inputs: Vec<InputShare>,
    /// Points of the two samples.
    pub points: usize,
}

impl InputShare {
    /// What it is ranked by: its total share of the doubt whether it hangs or, where all cases agree, how far from it.
    pub fn rank(&self) -> Finding {
        self.hang.unwrap_or(self.spare).total
    }
}

/// Results over A, over B and over AB of each group, for one point.
struct Row {
    a: f64,
    b: f64,
    ab: Vec<f64>,
}

/// Where the doubt comes from, after a change, the stop set again to the idle. Points at which a case cannot be held at its idle are left out.
///
/// # Errors
/// [`NotStudied::Stopped`].
pub fn study(engines: &Engines, change: Change, watch: &Progress) -> Result<Sensitivity, NotStudied> {
    let groups = groups(engines);
    let normals = engines.normals();
    let spare = |z: &[f64]| {
        let case = engines.case(z);
        let laws = case.laws.iter().map(|l| change(l, case.change)).collect::<Option<Vec<Law>>>()?;
        engines.spare_above(&case, &laws)
    };
    let chunks = engines.chunks(POINTS, 2 * normals, (watch, groups.len() + 2), |sobol, range| {
        let row = |point: u32| {
            let of = |from: usize| -> Vec<f64> { (0..normals).map(|d| sobol.normal(point, from + d)).collect() };
            let (a, b) = (of(0), of(normals));
            let mixed = |places: &Vec<usize>| {
                let mut z = a.clone();
                places.iter().for_each(|p| z[*p] = b[*p]);
                spare(&z)
            };
            let ab = groups.iter().map(|g| mixed(&g.1)).collect::<Option<_>>()?;
            Some(Row { a: spare(&a)?, b: spare(&b)?, ab })
        };
        range.filter_map(row).collect::<Vec<Row>>()
    })?;
    let scrambles: Vec<Vec<Row>> = chunks.into_iter().map(|c| c.into_iter().flatten().collect()).collect();
    let continuous = shares(&scrambles, groups.len(), |f| f);
    let hangs = shares(&scrambles, groups.len(), |f| if f > 0.0 { 1.0 } else { 0.0 });
    let one = |(i, (input, _)): (usize, &(Input, Vec<usize>))| {
        Some(InputShare { input: *input, hang: hangs.as_ref().map(|h| h[i]), spare: continuous.as_ref()?[i] })
    };
    let mut inputs: Vec<InputShare> = groups.iter().enumerate().filter_map(one).filter(|s| s.spare.total.si > 0.0).collect();
    inputs.sort_by(|a, b| b.rank().si.total_cmp(&a.rank().si));
    Ok(Sensitivity { inputs, points: scrambles.iter().map(Vec::len).sum() })
}

/// Groups of inputs and the places of their normal numbers.
fn groups(engines: &Engines) -> Vec<(Input, Vec<usize>)> {
    let unknowns = engines.unknowns();
    let mut groups: Vec<(Input, Vec<usize>)> = unknowns.alone().map(|u| (Input::Of(u), vec![u.place()])).collect();
    if !unknowns.together().is_empty() {
        let together = unknowns.together().iter().map(|u| u.place());
        groups.push((Input::Calibrated, together.chain((0..unknowns.directions()).map(|i| CURVE + i)).collect()));
    }
    for (i, origin) in engines.origins().into_iter().enumerate().skip(unknowns.directions()) {
        match groups.iter_mut().find(|g| g.0 == Input::Curve(origin)) {
            Some(group) => group.1.push(CURVE + i),
            None => groups.push((Input::Curve(origin), vec![CURVE + i])),
        }
    }
    groups.push((Input::Cut, vec![CHANGE]));
    groups
}

/// The indices of a function of the result, mean and interval over the scrambles. `None` where it varies in fewer than half of them: an
/// interval would not be honest.
fn shares(scrambles: &[Vec<Row>], groups: usize, of: impl Fn(f64) -> f64) -> Option<Vec<Shares>> {
    let each: Vec<Vec<Index>> = scrambles
        .iter()
        .filter_map(|rows| {
            let column = |get: &dyn Fn(&Row) -> f64| rows.iter().map(|r| of(get(r))).collect::<Vec<f64>>();
            let ab: Vec<_> = (0..groups).map(|g| column(&|r| r.ab[g])).collect();
            indices(&column(&|r| r.a), &column(&|r| r.b), &ab)
        })
        .collect();
    let finding = |of: &dyn Fn(&Index) -> f64, g: usize| {
        let (si, plus_minus_si) = mean_of(&each.iter().map(|e| of(&e[g])).collect::<Vec<_>>());
        Finding { si, plus_minus_si }
    };
    let both = |g: usize| Shares { first: finding(&|i| i.first, g), total: finding(&|i| i.total, g) };
    (2 * each.len() > scrambles.len()).then(|| (0..groups).map(both).collect())
}
