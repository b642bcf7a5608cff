//! Where the doubt comes from, on an engine whose torque is a formula.

#[allow(dead_code, reason = "shared between tests")]
mod formula;

use formula::{exactly, machine, model_with};
use physics::{law::Law, surface::Progress};
use quantity::CrankAngle;
use workshop::{
    machine::{LawData, Machine, SegmentLength},
    study::{
        cases::{self, Change, Engines},
        curve::{self, Origin},
        sensitivity::{self, Input, Sensitivity},
        unknowns::{Joint, Unknown, Unknowns},
    },
};

/// A single input has both indices 1 by definition. What is left is the scatter of 2560 points: a normal input's estimates have a standard deviation of
/// about √3, which makes 0.034, and 0.1 is three of them.
const SCATTER: f64 = 0.1;

fn found(machine: &Machine, joint: Option<Joint>, change: Change) -> Sensitivity {
    let model = model_with(5.0);
    let curve = curve::study(machine).expect("a curve");
    let stated = Unknowns::stated(machine, &model);
    let unknowns = match joint {
        Some(joint) => stated.with(joint),
        None => stated,
    };
    let engines = Engines::new(machine, &curve, &model, unknowns);
    sensitivity::study(&engines, change, &Progress::default()).expect("not stopped")
}

/// Nothing uncertain.
fn certain() -> Machine {
    let mut machine = machine();
    machine.law = Some(LawData::Ramp { start: exactly(115.0, 0.0), full: exactly(300.0, 0.0) });
    let trigger = machine.trigger.as_mut().expect("a trigger");
    trigger.rim_diameter = exactly(0.0955, 0.0);
    trigger.segment = SegmentLength::Arc(exactly(0.8 * 0.0955 / 2.0, 0.0));
    trigger.lead = exactly(0.75, 0.0);
    machine.idle.as_mut().expect("an idle").speed = exactly(105.0, 0.0);
    machine.engine.burn_factor.plus_minus_si = 0.0;
    machine.engine.friction_factor.plus_minus_si = 0.0;
    machine
}

#[test]
fn one_uncertain_input_has_all_of_the_doubt() {
    assert!(found(&certain(), None, &cases::as_found).inputs.is_empty());
    let mut idle = certain();
    idle.idle.as_mut().expect("an idle").speed = exactly(105.0, 4.0);
    let mut friction = certain();
    friction.engine.friction_factor.plus_minus_si = 0.1;
    let mut law = certain();
    law.law = Some(LawData::Ramp { start: exactly(115.0, 2.0), full: exactly(300.0, 5.0) });
    let mut segment = certain();
    segment.trigger.as_mut().expect("a trigger").lead = exactly(0.75, 0.01);
    for (machine, input) in [
        (idle, Input::Of(Unknown::IdleSpeed)),
        (friction, Input::Of(Unknown::FrictionFactor)),
        (law, Input::Curve(Origin::Law)),
        (segment, Input::Curve(Origin::Segment)),
    ] {
        let inputs = found(&machine, None, &cases::as_found).inputs;
        let [only] = inputs[..] else { panic!("{inputs:?}") };
        assert_eq!(only.input, input);
        for share in [only.spare.first, only.spare.total] {
            assert!((share.si - 1.0).abs() < SCATTER, "{only:?}");
            assert!(share.plus_minus_si < SCATTER, "{only:?}");
        }
    }
}

#[test]
fn how_exactly_a_cut_is_made_counts_only_after_one() {
    let cut = |law: &Law, z: f64| law.with_trailing_cut(CrankAngle::from_radians(0.1 + 0.01 * z));
    let inputs = found(&certain(), None, &cut).inputs;
    assert_eq!(inputs.iter().map(|i| i.input).collect::<Vec<_>>(), [Input::Cut]);
}

#[test]
fn first_order_shares_sum_to_at_most_one_and_totals_to_at_least_one() {
    let inputs = found(&machine(), None, &cases::as_found).inputs;
    assert!(inputs.len() >= 4, "{inputs:?}");
    let sum = |of: &dyn Fn(&sensitivity::InputShare) -> f64| inputs.iter().map(of).sum::<f64>();
    let doubt = sum(&|i| i.spare.first.plus_minus_si + i.spare.total.plus_minus_si);
    assert!(sum(&|i| i.spare.first.si) < 1.0 + doubt && sum(&|i| i.spare.total.si) > 1.0 - doubt, "{inputs:?}");
    assert!(inputs.windows(2).all(|w| w[0].rank().si >= w[1].rank().si));
}

/// What varies together is one input, whatever its parts.
#[test]
fn what_was_calibrated_counts_as_one() {
    let names = vec![Unknown::BurnFactor, Unknown::FrictionFactor];
    let burn = machine().engine.burn_factor.si;
    let joint = Joint::new(names, 0, vec![burn, 1.0], &[4e-4, 4e-4, 4e-4, 25e-4]).expect("positive definite");
    let inputs = found(&certain(), Some(joint), &cases::as_found).inputs;
    let [only] = inputs[..] else { panic!("{inputs:?}") };
    assert_eq!(only.input, Input::Calibrated);
    assert!((only.spare.total.si - 1.0).abs() < SCATTER, "{only:?}");
}
