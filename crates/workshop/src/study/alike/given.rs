//! What the hang's speed, the clutch and the nudges say of each cause, for whoever counts by itself what else was seen.
//!
//! By the chain rule P(all seen | cause) = P(tests | cause) · P(hang's speed, clutch, nudges | tests, cause). Snap, choke and mist depend on the cause alone, so they fall out of
//! the second factor; the strobe's reading both ways tells of the size of the weights' play, so every size counts there as that reading leaves it. That it hangs at all belongs to
//! the complaint, so that the second factor is taken among the sizes that make it hang. Only where fewer than [`ENOUGH`] of a fault's sizes make this engine hang does that
//! count against the fault, in proportion: about so many do on engines that come with the complaint. Of the curve it does not, for whether it hangs by the curve alone is the
//! idle study's own answer.

use super::{
    Cause, Observation, Seen,
    evidence::{MISREAD, Range, likelihood},
    predict::Predicted,
};

/// Share of a fault's sizes that make an engine hang which comes with that complaint \[1\] (own choice).
const ENOUGH: f64 = 0.5;

/// What the hang's speed, the clutch and the nudges say, given that it hangs and what else was seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// Causes with the likelihood of all of it together \[1, or a density over the logarithm of speeds\].
    pub causes: Vec<(Cause, f64)>,
    /// How many readings it is.
    pub readings: usize,
}

/// The observations that are weighed here.
fn is_weighed(observation: Observation) -> bool {
    matches!(observation, Observation::HangSpeed | Observation::Clutch | Observation::Nudge { .. })
}

/// From the predictions of `engines`, engine by engine and cause by cause, and what was seen.
pub fn given(
    range: Range,
    causes: &[Cause],
    engines: &[Vec<Vec<(f64, Predicted)>>],
    observed: &[(Observation, Option<Seen>)],
) -> Given {
    let seen = || observed.iter().filter_map(|(o, s)| Some((*o, (*s)?)));
    let of = |n: usize, cause: Cause| {
        let (mut hanging, mut not) = ((0.0, 0.0), (0.0, 0.0));
        for (weight, p) in engines.iter().flat_map(|e| &e[n]) {
            let hangs = p.hang_rad_s.is_some();
            let both_ways = seen().filter(|(o, _)| *o == Observation::RisingFalling);
            let before = weight * both_ways.map(|(o, s)| likelihood(range, cause, p, o, s)).product::<f64>();
            // What does not hang says nothing of where it hangs, or whether it climbs there again.
            let by = |o: Observation| {
                if hangs || matches!(o, Observation::Nudge { .. }) { cause } else { Cause::NoneOfThese }
            };
            let after = seen().filter(|(o, _)| is_weighed(*o)).map(|(o, s)| likelihood(range, by(o), p, o, s));
            let sums = if hangs { &mut hanging } else { &mut not };
            sums.0 += before;
            sums.1 += before * after.product::<f64>();
        }
        let all = hanging.0 + not.0;
        if all <= 0.0 {
            // It cannot idle with such a fault of any size.
            return 0.0;
        }
        if cause == Cause::NoneOfThese {
            return (hanging.1 + not.1) / all;
        }
        let hangs = hanging.0 + MISREAD * not.0;
        let often = if cause == Cause::Curve { 1.0 } else { (hangs / all / ENOUGH).min(1.0) };
        often * (hanging.1 + MISREAD * not.1) / hangs
    };
    Given {
        causes: causes.iter().enumerate().map(|(n, cause)| (*cause, of(n, *cause))).collect(),
        readings: seen().filter(|(o, _)| is_weighed(*o)).count(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::{
        Finding,
        alike::{Outcome, predict::Nudged},
    };

    /// Sums of a few products, worked out twice.
    const ROUNDED: f64 = 1e-12;
    const RANGE: Range = Range { from: 100.0, to: 800.0 };
    const TURNED: f64 = 0.05;

    fn predicted(hang: Option<f64>, stays_down: bool, play: f64, nudged_to: f64) -> Predicted {
        let nudged = vec![Nudged { turned_rad: TURNED, from_rad_s: 100.0, to_rad_s: Some(nudged_to) }];
        Predicted { hang_rad_s: hang, stays_down, falling_earlier_rad: play, nudged, size: 0.0 }
    }

    fn at(si: f64, plus_minus_si: f64) -> Seen {
        Seen::Value(Finding { si, plus_minus_si })
    }

    /// One engine; each cause with two predictions: one that hangs at 200 rad/s and one that does not.
    fn engines() -> Vec<Vec<Vec<(f64, Predicted)>>> {
        let each = vec![(0.5, predicted(Some(200.0), true, 0.14, 110.0)), (0.5, predicted(None, true, 0.0, 130.0))];
        vec![vec![each; Cause::ALL.len()]]
    }

    fn of(observed: &[(Observation, Seen)], cause: Cause) -> f64 {
        let observed: Vec<_> = observed.iter().map(|(o, s)| (*o, Some(*s))).collect();
        let found = given(RANGE, &Cause::ALL, &engines(), &observed);
        found.causes.iter().find(|(c, _)| *c == cause).unwrap().1
    }

    const HANG: (Observation, Seen) = (Observation::HangSpeed, Seen::Value(Finding { si: 205.0, plus_minus_si: 10.0 }));
    const STAYS: (Observation, Seen) = (Observation::Clutch, Seen::Outcome(Outcome::StaysDown));

    #[test]
    fn what_fault_finding_counts_by_itself_falls_out() {
        let alone = of(&[HANG, STAYS], Cause::AirLeak);
        for (o, s) in [
            (Observation::Snap, Outcome::ComesDown),
            (Observation::Choke, Outcome::ComesDown),
            (Observation::Mist, Outcome::SpeedChanges),
        ] {
            assert_eq!(of(&[HANG, STAYS, (o, Seen::Outcome(s))], Cause::AirLeak), alone);
        }
    }

    /// The chain rule, summed up by hand: sizes weigh as the strobe's reading leaves them, and what both say together is the product.
    #[test]
    fn a_reading_both_ways_weighs_the_sizes_and_is_not_counted_itself() {
        let both = (Observation::RisingFalling, at(0.15, 0.03));
        let engines = engines();
        let parts: Vec<(f64, f64)> = engines[0][4]
            .iter()
            .map(|(w, p)| {
                let one = |o: Observation, s: Seen| likelihood(RANGE, Cause::StickingWeights, p, o, s);
                let where_it_hangs = match p.hang_rad_s {
                    Some(_) => one(HANG.0, HANG.1) * one(STAYS.0, STAYS.1),
                    None => MISREAD * 0.5 / (800f64 / 110.0).ln(),
                };
                let hangs = if p.hang_rad_s.is_some() { 1.0 } else { MISREAD };
                (w * one(both.0, both.1) * where_it_hangs, w * one(both.0, both.1) * hangs)
            })
            .collect();
        let want = parts.iter().map(|p| p.0).sum::<f64>() / parts.iter().map(|p| p.1).sum::<f64>();
        let got = of(&[HANG, STAYS, both], Cause::StickingWeights);
        assert!((got / want - 1.0).abs() < ROUNDED, "{got} for {want}");
        // Without it both sizes are as likely; with it the one that plays is, which hangs.
        assert!(got > of(&[HANG, STAYS], Cause::StickingWeights));
    }

    #[test]
    fn hanging_at_all_is_not_counted_but_for_a_fault_of_which_hardly_any_size_hangs() {
        let found = |share: f64, cause: Cause| {
            let each = vec![(share, predicted(Some(200.0), true, 0.0, 110.0)), (1.0 - share, predicted(None, true, 0.0, 110.0))];
            let all = given(RANGE, &Cause::ALL, &[vec![each; Cause::ALL.len()]], &[(HANG.0, Some(HANG.1))]);
            all.causes.iter().find(|(c, _)| *c == cause).unwrap().1
        };
        assert!((found(1.0, Cause::AirLeak) / found(0.7, Cause::AirLeak) - 1.0).abs() < 0.05);
        // None of its sizes hangs: a twentieth is misread, of a half that is usual, and then any speed is as likely.
        let anything = 1.0 / (800f64 / 110.0).ln();
        assert!((found(0.0, Cause::AirLeak) / (0.1 * anything) - 1.0).abs() < ROUNDED);
        assert!((found(0.0, Cause::Curve) / anything - 1.0).abs() < ROUNDED);
        assert!((found(1.0, Cause::NoneOfThese) / anything - 1.0).abs() < ROUNDED);
    }

    #[test]
    fn a_nudge_speaks_of_every_size_and_what_cannot_idle_is_nothing() {
        let nudge = (Observation::Nudge { turned_rad: TURNED }, at(110.0, 2.0));
        assert!(of(&[HANG, nudge], Cause::WeakPilot) > 5.0 * of(&[HANG, (nudge.0, at(160.0, 2.0))], Cause::WeakPilot));
        let none = vec![vec![Vec::new(); Cause::ALL.len()]];
        assert!(given(RANGE, &Cause::ALL, &none, &[(HANG.0, Some(HANG.1))]).causes.iter().all(|(_, l)| *l == 0.0));
    }
}
