//! The sampled cases: the quick answer against the rest points themselves, and what a sample is made of.

#[allow(dead_code, reason = "shared between tests")]
mod formula;

use formula::{machine, model_with};
use physics::{
    interval::wilson,
    rest::{Hold, Running},
    surface::Progress,
};
use quantity::CrankAngle;
use workshop::{
    sampling::{SplitMix64, normal_quantile},
    study::{
        NotStudied,
        cases::{self, Engines, Sampling},
        curve, idle, trim,
        unknowns::{Joint, Unknown, Unknowns},
    },
};

/// Torques here are sums of some hundred products of about 10 N·m, taken in another order.
const ROUNDING: f64 = 1e-10;
/// A rest above the idle counts as another one from this ratio on (`study::judge::APART`).
const APART: f64 = 1.10;

/// Every case laid out by `physics::rest::Running`, which finds rest points and does not sum in the quick way's order.
#[test]
fn the_quick_answer_is_that_of_the_rest_points() {
    let (machine, model) = (machine(), model_with(5.0));
    let curve = curve::study(&machine).expect("a curve");
    let engines = Engines::new(&machine, &curve, &model, Unknowns::stated(&machine, &model));
    let mut random = SplitMix64::new(5);
    let (mut hanging, mut firm) = (0, 0);
    for _ in 0..300 {
        // Wider than stated, so that both outcomes are there.
        let z: Vec<f64> = (0..engines.normals()).map(|_| 2.0 * normal_quantile(random.unit())).collect();
        let case = engines.case(&z);
        let drawn = engines.unknowns().draw(&std::array::from_fn(|i| z[i]), &mut []);
        let cut = CrankAngle::from_radians(0.25 * random.unit());
        let laws: Vec<_> = case.laws.iter().map(|l| l.with_trailing_cut(cut).expect("a law")).collect();
        let burn = machine.engine.burn_factor.clone();
        let maps = model.varied(&[(drawn[Unknown::BurnFactor.place()].expect("burn") - burn.si) / burn.plus_minus_si]);
        let factor = drawn[Unknown::FrictionFactor.place()].expect("friction");
        let friction = |n: f64| factor * model.cycle().friction_nm(n);
        let advance = |c: usize, n: f64| laws[c].advance(n).radians();
        let running = Running::new(&maps, laws.len(), &advance, &friction, 0.01);
        let Hold::At { opening_m2, .. } = running.opening_for(case.idle) else {
            assert_eq!(engines.hangs(&case, &laws), None);
            continue;
        };
        let expected = running.stable_above(case.idle * APART, opening_m2).is_some();
        let spare = engines.spare_above(&case, &laws).expect("a stop holds it");
        assert!(spare.abs() > ROUNDING, "a case on the edge itself says nothing: {spare}");
        assert_eq!(engines.hangs(&case, &laws), Some(expected), "{spare}");
        assert_eq!(spare > 0.0, expected, "{spare}");
        // The spare torque at the speed where it is greatest, read off the whole engine, is nowhere exceeded.
        let most = (0..200)
            .map(|i| case.idle * APART * (900.0 / (case.idle * APART)).powf(f64::from(i) / 199.0))
            .map(|n| running.torque(n, opening_m2) / friction(n))
            .fold(f64::NEG_INFINITY, f64::max);
        // Read at 2 % steps of speed in both, so they agree to what the hump bends between two of them.
        assert!((most - spare).abs() < 0.02 * (1.0 + spare.abs()), "{most} {spare}");
        if expected { hanging += 1 } else { firm += 1 }
    }
    assert!(hanging > 30 && firm > 30, "{hanging} {firm}");
}

/// Plain random cases from the generator, 20,000 of them, laid out by the same engine after the cut that cures about half of them: both intervals
/// must meet.
#[test]
fn the_share_is_that_of_plain_random_cases() {
    let (machine, model) = (machine(), model_with(5.0));
    let curve = curve::study(&machine).expect("a curve");
    let engines = Engines::new(&machine, &curve, &model, Unknowns::stated(&machine, &model));
    let angle = CrankAngle::from_radians;
    let row: Vec<_> = (0..80).map(|i| (angle(0.004 * f64::from(i)), angle(0.0))).collect();
    let over = engines.over_cuts(&row, &Progress::default()).expect("not stopped");
    let half = over.chances.iter().position(|c| 2 * c.hanging < c.of).expect("a cut that cures half of them");
    let cut = move |law: &physics::law::Law, _: f64| law.with_trailing_cut(row[half].0);
    let (chance, left_out) = engines.share(&cut, cases::POINTS, &Progress::default()).expect("not stopped");
    let mut random = SplitMix64::new(11);
    let (mut hits, mut of) = (0, 0);
    for _ in 0..20_000 {
        let z: Vec<f64> = (0..engines.normals()).map(|_| normal_quantile(random.unit())).collect();
        let case = engines.case(&z);
        let laws: Vec<_> = case.laws.iter().map(|l| cut(l, 0.0).expect("a law")).collect();
        let Some(hangs) = engines.hangs(&case, &laws) else { continue };
        of += 1;
        hits += usize::from(hangs);
    }
    let (low, high) = wilson(hits, of);
    assert!(chance.low <= high && low <= chance.high, "{chance:?} {low} {high}");
    assert!(chance.high - chance.low < 0.02, "known to ±1 %: {chance:?}");
    assert!(chance.low > 0.05 && chance.high < 0.95, "a test where all cases agree would say nothing: {chance:?}");
    assert_eq!(chance.of, ((1.0 - left_out) * 20_480.0).round() as usize);
}

#[test]
fn the_least_cuts_give_the_chances_of_each_cut() {
    let (machine, model) = (machine(), model_with(5.0));
    let curve = curve::study(&machine).expect("a curve");
    let engines = Engines::new(&machine, &curve, &model, Unknowns::stated(&machine, &model));
    let angle = CrankAngle::from_radians;
    let row: Vec<_> = (0..40).map(|i| (angle(0.006 * f64::from(i)), angle(if i > 0 { 0.002 } else { 0.0 }))).collect();
    let over = engines.over_cuts(&row, &Progress::default()).expect("not stopped");
    assert_eq!((over.tried, over.out_of_order), (160, 0));
    assert!(over.chances.windows(2).all(|w| w[1].hanging <= w[0].hanging));
    assert!(over.chances[0].hanging > 0 && over.chances[39].hanging < over.chances[0].hanging);
    // Each cut by itself, every case laid out for it.
    for i in [0, 5, 12, 20, 39] {
        let (cut, doubt) = row[i];
        let after =
            move |law: &physics::law::Law, z: f64| law.with_trailing_cut(angle((cut.radians() + z * doubt.radians()).max(0.0)));
        let (alone, _) = engines.share(&after, cases::POINTS, &Progress::default()).expect("not stopped");
        assert_eq!(over.chances[i].hanging, alone.hanging, "cut {i}");
    }
}

#[test]
fn the_same_cases_on_one_thread_and_on_three() {
    let (machine, model) = (machine(), model_with(5.0));
    let curve = curve::study(&machine).expect("a curve");
    let engines = Engines::new(&machine, &curve, &model, Unknowns::stated(&machine, &model));
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| engines.share(&cases::as_found, cases::FEWER_POINTS, &Progress::default()).expect("not stopped"))
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn it_counts_and_can_be_stopped() {
    let (machine, model) = (machine(), model_with(5.0));
    let curve = curve::study(&machine).expect("a curve");
    let engines = Engines::new(&machine, &curve, &model, Unknowns::stated(&machine, &model));
    let watch = Progress::default();
    watch.begin(5120);
    engines.share(&cases::as_found, cases::FEWER_POINTS, &watch).expect("not stopped");
    assert_eq!(watch.state(), (5120, 5120));
    watch.stop();
    let sampling = Sampling { engines: &engines, watch: &watch };
    assert_eq!(idle::sampled(&machine, &curve, &model, sampling).expect_err("stopped"), NotStudied::Stopped);
    let load = workshop::study::load::study(&machine, &curve, model.cycle(), None);
    assert_eq!(trim::sampled(&machine, &curve, &model, &load, None, sampling).expect_err("stopped"), NotStudied::Stopped);
}

/// A joint distribution takes the place of the readings that it names, and of no others; its covariance comes out of the draws.
#[test]
fn a_joint_distribution_takes_the_place_of_readings() {
    let (machine, model) = (machine(), model_with(5.0));
    let stated = Unknowns::stated(&machine, &model);
    let names = vec![Unknown::BurnFactor, Unknown::FrictionFactor, Unknown::FrictionSlope];
    let covariance = [0.0009, -0.0012, 0.0003, -0.0012, 0.0025, 0.0, 0.0003, 0.0, 0.0016];
    let joint = Joint::new(names.clone(), 0, vec![0.5, 1.1, 0.02], &covariance).expect("positive definite");
    let both = stated.clone().with(joint);
    let mut random = SplitMix64::new(3);
    const DRAWS: usize = 40_000;
    let mut sums = [0.0; 9];
    for _ in 0..DRAWS {
        let z = std::array::from_fn(|_| normal_quantile(random.unit()));
        let (with, without) = (both.draw(&z, &mut []), stated.draw(&z, &mut []));
        assert_eq!(with[Unknown::IdleSpeed.place()], without[Unknown::IdleSpeed.place()]);
        let off: Vec<f64> = names.iter().zip([0.5, 1.1, 0.02]).map(|(n, m)| with[n.place()].expect("named") - m).collect();
        for i in 0..9 {
            sums[i] += off[i / 3] * off[i % 3] / DRAWS as f64;
        }
    }
    for i in 0..9 {
        // A covariance of n draws scatters by √((C_ii C_jj + C_ij²)/n); five of them.
        let scatter = ((covariance[4 * (i / 3)] * covariance[4 * (i % 3)] + covariance[i] * covariance[i]) / DRAWS as f64).sqrt();
        assert!((sums[i] - covariance[i]).abs() < 5.0 * scatter, "{i}: {} {}", sums[i], covariance[i]);
    }
    assert_eq!(Joint::new(names.clone(), 0, vec![0.0; 3], &[1.0; 9]), Err(workshop::study::unknowns::NotJoint::NotPositive));
    assert_eq!(Joint::new(names, 0, vec![0.0; 2], &[1.0; 4]), Err(workshop::study::unknowns::NotJoint::Shape));
}
