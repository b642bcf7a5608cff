//! The chance of a hang over a row of cuts.
//!
//! A longer cut raises the least advance and leaves the rest of the curve, so what a cut has cured a longer one hardly makes ill again. Each
//! case then has *one least cut* that cures it, found by halving the row: seven or eight looks where every cut of the row would be seventy.
//! That the order holds is not proven, so some cases are tried at every cut, and the share of them in which it fails is reported.

use super::{Case, Count, Engines, LOOKS_AT_CUTS, POINTS, chance};
use crate::study::{NotStudied, idle::Chance};
use physics::surface::Progress;
use quantity::CrankAngle;

/// Every so many-th case is tried at every cut: 160 of 20,480.
const TRIED_EVERY: u32 = 128;

/// Chances over a row of cuts.
#[derive(Clone, Debug, PartialEq)]
pub struct OverCuts {
    /// In the order of the cuts.
    pub chances: Vec<Chance>,
    /// Cases that were tried at every cut.
    pub tried: usize,
    /// Those of them that hang again at a longer cut than the least that cured them.
    pub out_of_order: usize,
    /// Share of cases that no stop holds at their idle as found \[1\].
    pub left_out: f64,
}

/// What one chunk of cases came to: for each cut, cases with that as the least that cures them; the last place is for those that none
/// cures. Then tried and out of order.
#[derive(Clone, Debug, Default)]
struct Cured {
    at: Vec<usize>,
    tried: usize,
    out_of_order: usize,
    left_out: usize,
}

/// A cut as it comes out, so many standard uncertainties off.
pub fn made(cut: CrankAngle, doubt: CrankAngle, z: f64) -> CrankAngle {
    CrankAngle::from_radians((cut.radians() + z * doubt.radians()).max(0.0))
}

impl Cured {
    fn add(mut self, other: &Cured) -> Self {
        self.at.resize(self.at.len().max(other.at.len()), 0);
        self.at.iter_mut().zip(&other.at).for_each(|(a, b)| *a += b);
        Self {
            tried: self.tried + other.tried,
            out_of_order: self.out_of_order + other.out_of_order,
            left_out: self.left_out + other.left_out,
            ..self
        }
    }
}

impl Engines<'_> {
    /// The chance of a hang after each of a row of cuts that rise from none: crank angle of the cut, and its standard uncertainty. A case that
    /// no stop holds at its idle as found is left out of all; where it is a cut that makes it so, or leaves no segment, it counts as not cured.
    ///
    /// # Errors
    /// [`NotStudied::Stopped`].
    pub fn over_cuts(&self, cuts: &[(CrankAngle, CrankAngle)], watch: &Progress) -> Result<OverCuts, NotStudied> {
        let chunks = self.chunks(POINTS, self.normals(), (watch, LOOKS_AT_CUTS), |sobol, range| {
            let mut cured = Cured { at: vec![0; cuts.len() + 1], ..Cured::default() };
            for point in range {
                let case = self.drawn(sobol, point);
                let Some(found) = self.hangs(&case, &case.laws) else {
                    cured.left_out += 1;
                    continue;
                };
                let least = if found { self.least_cure(&case, cuts) } else { 0 };
                cured.at[least] += 1;
                if point % TRIED_EVERY == 0 {
                    cured.tried += 1;
                    let again = (least.max(1)..cuts.len()).any(|i| self.after(&case, cuts[i]));
                    // Between none and the least one it must hang all the way.
                    let early = (1..least.min(cuts.len())).any(|i| !self.after(&case, cuts[i]));
                    cured.out_of_order += usize::from(again || early);
                }
            }
            cured
        })?;
        let scrambles: Vec<Cured> = chunks.iter().map(|c| c.iter().fold(Cured::default(), Cured::add)).collect();
        let at_cut = |i: usize| {
            let count = |s: &Cured| -> Count {
                let of = s.at.iter().sum();
                (s.at.iter().skip(i + 1).sum(), of, of)
            };
            chance(&scrambles.iter().map(count).collect::<Vec<_>>())
        };
        let all = scrambles.iter().fold(Cured::default(), Cured::add);
        let in_all = all.left_out + all.at.iter().sum::<usize>();
        Ok(OverCuts {
            chances: (0..cuts.len()).map(at_cut).collect(),
            tried: all.tried,
            out_of_order: all.out_of_order,
            left_out: all.left_out as f64 / in_all.max(1) as f64,
        })
    }

    /// Is a case not cured by a cut?
    fn after(&self, case: &Case, (cut, doubt): (CrankAngle, CrankAngle)) -> bool {
        self.ill_after(case, &|law, z| law.with_trailing_cut(made(cut, doubt, z)))
    }

    /// Index of the least cut after which a case that hangs as found no longer does; their number where none of them serves.
    fn least_cure(&self, case: &Case, cuts: &[(CrankAngle, CrankAngle)]) -> usize {
        let (mut hangs, mut cured) = (0, cuts.len());
        while cured - hangs > 1 {
            let middle = hangs + (cured - hangs) / 2;
            if self.after(case, cuts[middle]) {
                hangs = middle;
            } else {
                cured = middle;
            }
        }
        cured
    }
}
