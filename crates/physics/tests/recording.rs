//! Events, speed and advance against recordings made by SciPy (`reference/recording/make.py`).

use physics::recording::exhaust::{ExhaustEar, Sounding};
use physics::recording::{Ear, Heard, Mark, MarkKind, Paired, Phase, Places, Rhythm, kind, marks, pair};

/// A row of a table: time, kind, speed [rpm], advance [°].
struct Row {
    at_s: f64,
    kind: String,
    rpm: f64,
    advance_deg: f64,
}

fn table(name: &str) -> Vec<Row> {
    let path = format!("{}/../../reference/recording/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let lines = text.lines().filter(|l| !l.starts_with('#')).skip(1);
    lines
        .map(|l| {
            let c: Vec<&str> = l.split(',').collect();
            let n = |i: usize| c[i].parse().unwrap();
            Row { at_s: n(0), kind: c[1].to_owned(), rpm: n(2), advance_deg: n(3) }
        })
        .collect()
}

/// Rate and channels of a file that SciPy wrote: 16 bits, 44 bytes of heading.
fn wav(name: &str) -> (f64, Vec<Vec<f32>>) {
    let path = format!("{}/../../reference/recording/{name}", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).unwrap();
    let channels = usize::from(u16::from_le_bytes([bytes[22], bytes[23]]));
    let rate = u32::from_le_bytes([bytes[24], bytes[25], bytes[26], bytes[27]]);
    assert_eq!(&bytes[36..40], b"data");
    let samples: Vec<f32> = bytes[44..].chunks_exact(2).map(|b| f32::from(i16::from_le_bytes([b[0], b[1]])) / 32768.0).collect();
    (f64::from(rate), (0..channels).map(|c| samples.iter().skip(c).step_by(channels).copied().collect()).collect())
}

fn hear(rate: f64, samples: &[f32]) -> Heard {
    let mut ear = Ear::new(rate);
    samples.chunks(4096).for_each(|c| ear.push(c));
    ear.finish()
}

/// The invented rotor of the script.
const LEAD_DEG: f64 = 36.0;
const ARC_DEG: f64 = 40.0;

fn paired(trigger: &Heard, spark: &Heard) -> (Vec<Mark>, MarkKind, Paired) {
    let found = kind(&trigger.lobes).unwrap();
    let row = marks(&trigger.lobes, found, 1.0).unwrap();
    // The mark is the middle of the segment.
    let top = (LEAD_DEG - 0.5 * ARC_DEG).to_radians();
    let paired = pair(&row.marks, &spark.onsets, &Places { turns: 1.0, tops_rad: vec![top] }, Some(ARC_DEG.to_radians()));
    (row.marks, found, paired)
}

/// The share of sizes that must lie below the limit.
fn quantile(sizes: &[f64], share: f64) -> f64 {
    let mut sorted = sizes.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[((sorted.len() - 1) as f64 * share).round() as usize]
}

/// Errors of advance [°] and speed, matched by time; how many of the true ones were not found.
fn errors(found: &Paired, truth: &[Row]) -> (Vec<f64>, Vec<f64>, usize) {
    const SAME_S: f64 = 0.2e-3;
    let (mut advance, mut speed, mut lost) = (vec![], vec![], 0);
    for row in truth.iter().filter(|r| r.kind == "fires") {
        match found.told.firings.iter().find(|f| (f.at_s - row.at_s).abs() < SAME_S) {
            Some(f) => {
                advance.push((f.advance_rad.to_degrees() - row.advance_deg).abs());
                speed.push((f.speed_rad_s * 60.0 / std::f64::consts::TAU / row.rpm - 1.0).abs());
            }
            None => lost += 1,
        }
    }
    (advance, speed, lost)
}

/// What is promised: 95 % of firings within 0.3°, speed within 0.2 %.
const ADVANCE_DEG: f64 = 0.3;
const SPEED: f64 = 0.002;

#[test]
fn a_sweep_up_to_6000_rpm_in_noise_of_20_db() {
    let (rate, channels) = wav("sweep.wav");
    let (trigger, spark) = (hear(rate, &channels[0]), hear(rate, &channels[1]));
    let (row, kind, found) = paired(&trigger, &spark);
    let truth = table("sweep.csv");
    let (advance, speed, lost) = errors(&found, &truth);
    eprintln!(
        "{} firings, lost {lost}, advance 95 % {:.3}°, worst {:.3}°; speed 95 % {:.5}, worst {:.5}; stray {}, outside {}",
        truth.len(),
        quantile(&advance, 0.95),
        quantile(&advance, 1.0),
        quantile(&speed, 0.95),
        quantile(&speed, 1.0),
        found.told.stray.len(),
        found.totals.without_turn
    );
    assert!(matches!(kind, MarkKind::Pair { leading_up: true, .. }));
    assert!(row.iter().skip(1).all(|m| m.turns == 1));
    // The first and the last firing may lie outside of the row of marks.
    assert!(
        lost <= 2 && found.told.stray.is_empty() && found.told.missing.is_empty(),
        "{lost} {:?} {:?}",
        found.told.stray,
        found.told.missing
    );
    assert!(quantile(&advance, 0.95) < ADVANCE_DEG && quantile(&speed, 0.95) < SPEED);
    // The segment's arc, from its own two pulses.
    let mut phase = Phase::new(&row);
    let arcs: Vec<f64> = row[2..row.len() - 2]
        .iter()
        .filter_map(|m| {
            let (a, b) = (phase.at(m.ends_s.0)?, phase.at(m.ends_s.1)?);
            Some((b.past_rad - a.past_rad).rem_euclid(std::f64::consts::TAU).to_degrees())
        })
        .collect();
    assert!((quantile(&arcs, 0.5) - ARC_DEG).abs() < 0.1, "{}", quantile(&arcs, 0.5));
}

#[test]
fn hum_drift_clipping_upside_down_and_several_sparks() {
    let (rate, channels) = wav("hard.wav");
    let (trigger, spark) = (hear(rate, &channels[1]), hear(rate, &channels[0]));
    assert!(trigger.level.clipped > 10 && spark.level.clipped > 0, "{:?} {:?}", trigger.level, spark.level);
    let (_, kind, found) = paired(&trigger, &spark);
    assert!(matches!(kind, MarkKind::Pair { leading_up: false, .. }), "{kind:?}");
    let truth = table("hard.csv");
    let (advance, speed, lost) = errors(&found, &truth);
    eprintln!(
        "{} rows, lost {lost}, advance 95 % {:.3}° worst {:.3}°, speed 95 % {:.5}, missing {:?}, stray {:?}",
        truth.len(),
        quantile(&advance, 0.95),
        quantile(&advance, 1.0),
        quantile(&speed, 0.95),
        found.told.missing,
        found.told.stray
    );
    assert!(lost <= 2);
    assert_eq!(found.totals.rhythm, [Rhythm::EveryTurn]);
    for (kind, times) in [
        ("missing", found.told.missing.iter().map(|m| m.1).collect::<Vec<_>>()),
        ("stray", found.told.stray.iter().map(|s| s.0).collect()),
    ] {
        let true_times: Vec<f64> = truth.iter().filter(|r| r.kind == kind).map(|r| r.at_s).collect();
        assert_eq!(times.len(), true_times.len(), "{kind}");
        assert!(times.iter().zip(&true_times).all(|(a, b)| (a - b).abs() < 3e-3), "{kind}");
    }
    // Three sparks a firing below 1500 rpm.
    let slow = found.told.firings.iter().filter(|f| f.speed_rad_s < 140.0);
    assert!(
        slow.clone().count() > 10 && slow.clone().all(|f| f.repeats == 2),
        "{:?}",
        slow.map(|f| f.repeats).collect::<Vec<_>>()
    );
    assert!(quantile(&advance, 0.95) < ADVANCE_DEG && quantile(&speed, 0.95) < SPEED);
}

#[test]
fn kicked_over_at_150_to_350_rpm() {
    let (rate, channels) = wav("kick.wav");
    let (trigger, spark) = (hear(rate, &channels[0]), hear(rate, &channels[1]));
    let (row, kind, found) = paired(&trigger, &spark);
    assert!(matches!(kind, MarkKind::Pair { leading_up: true, .. }) && row.iter().skip(1).all(|m| m.turns == 1));
    let truth = table("kick.csv");
    let (advance, _, lost) = errors(&found, &truth);
    // Each leading pulse: place, height in proportion to the speed at that moment, width 2 arcosh √2 · 0.8 mm along the rim.
    let rad = |rpm: f64| rpm * std::f64::consts::TAU / 60.0;
    let (mut off_deg, mut high, mut wide) = (vec![], vec![], vec![]);
    for pass in truth.iter().filter(|r| r.kind == "passes") {
        let Some(mark) = row.iter().find(|m| (m.ends_s.0 - pass.at_s).abs() < 3e-3) else { continue };
        off_deg.push(((mark.ends_s.0 - pass.at_s) * rad(pass.rpm)).to_degrees().abs());
        high.push((f64::from(mark.peaks.0) / (rad(pass.rpm) / 60.0) - 1.0).abs());
        wide.push((f64::from(mark.width_s) * rad(pass.rpm) / (1.762_747 * 0.8 / 54.0) - 1.0).abs());
    }
    eprintln!(
        "{} passes of {}, {lost} firings lost; leading end within {:.3}°, height {:.4}, width {:.4}; advance 95 % {:.3}°, worst {:.3}°",
        off_deg.len(),
        truth.iter().filter(|r| r.kind == "passes").count(),
        quantile(&off_deg, 1.0),
        quantile(&high, 1.0),
        quantile(&wide, 1.0),
        quantile(&advance, 0.95),
        quantile(&advance, 1.0)
    );
    assert!(off_deg.len() >= 14 && lost <= 1 && found.told.stray.is_empty());
    // The spark comes where the trailing end passes: both ends tell the speed there, one mark a turn would be 2° off.
    assert!(quantile(&advance, 0.95) < ADVANCE_DEG, "{advance:?}");
    assert!(quantile(&off_deg, 1.0) < KICK_DEG && quantile(&high, 1.0) < KICK_HEIGHT && quantile(&wide, 1.0) < KICK_WIDTH);
}

/// Own choices: as near as at speed; noise 34 dB below the slowest pulses lifts the highest of the samples near a top by 2 to 4 %, and narrows the width at half of it.
const KICK_DEG: f64 = 0.3;
const KICK_HEIGHT: f64 = 0.06;
const KICK_WIDTH: f64 = 0.1;

#[test]
fn exhaust_of_a_twin_that_hangs_at_10_db() {
    let (rate, channels) = wav("exhaust.wav");
    let rpm = |n: f64| n * std::f64::consts::TAU / 60.0;
    let engine = Sounding { fires: vec![0.0, 0.25], turns: 2.0, speeds_rad_s: (rpm(500.0), rpm(9000.0)) };
    let mut ear = ExhaustEar::new(rate, &engine).unwrap();
    channels[0].chunks(4096).for_each(|c| ear.push(c));
    let moments = ear.finish();
    let truth = table("exhaust.csv");
    let (mut near, mut gentle, mut gentle_near, mut wrong) = (0, 0, 0, 0);
    for m in &moments {
        let i = truth.iter().position(|r| r.at_s > m.at_s).unwrap();
        let (a, b) = (&truth[i - 1], &truth[i]);
        let slope = (b.rpm - a.rpm) / (b.at_s - a.at_s);
        let want = a.rpm + slope * (m.at_s - a.at_s);
        let off = (m.speed_rad_s / rpm(1.0) / want - 1.0).abs();
        let ok = usize::from(off < EXHAUST);
        near += ok;
        if slope.abs() < GENTLE {
            gentle += 1;
            gentle_near += ok;
        }
        // Half and twice the speed, or any other.
        wrong += usize::from(m.trusted && off > 0.2);
    }
    eprintln!("{} moments, {near} within 2 %; {gentle} gentle ones, {gentle_near}; {wrong} wrong", moments.len());
    assert!(gentle_near as f64 >= 0.98 * gentle as f64 && wrong == 0);
    assert!(near as f64 >= 0.98 * moments.len() as f64);
}

/// What is promised \[1\].
const EXHAUST: f64 = 0.02;
/// Its blip goes up at 6000 rpm a second, by a tenth from one firing to the next [rpm/s].
const GENTLE: f64 = 1500.0;

/// A bump of noise, kept alive by less than it takes to be one, and a spark two milliseconds later: the spark is heard where it is (of the 30,697 sparks of
/// `bench/firings.py` five were lost so).
#[test]
fn noise_before_a_spark_does_not_hide_it() {
    const RATE: f64 = 48_000.0;
    let mut state = 1u64;
    let mut even = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f32 / (1u64 << 24) as f32
    };
    // A sum of twelve is nearly normal, of deviation 1.
    let mut samples: Vec<f32> = (0..96_000).map(|_| 0.02 * ((0..12).map(|_| even()).sum::<f32>() - 6.0)).collect();
    let spark = |samples: &mut Vec<f32>, at: usize| {
        [0.2, 0.15, -0.19, -0.16, 0.05, 0.13, 0.09, -0.05, -0.08].iter().enumerate().for_each(|(k, y)| samples[at + k] = *y);
    };
    let usual: Vec<usize> = (1..90).map(|k| 1000 * k).collect();
    usual.iter().for_each(|at| spark(&mut samples, *at));
    let late = 91_000 + 96;
    samples[91_000] = 0.075;
    (1..10).for_each(|k| samples[91_000 + 10 * k] = 0.05);
    spark(&mut samples, late);
    let heard = hear(RATE, &samples);
    let near = |at: usize| heard.onsets.iter().filter(|o| !o.weak && (o.at_s - at as f64 / RATE).abs() < 50e-6).count();
    assert!(usual.iter().all(|at| near(*at) == 1));
    assert_eq!(near(late), 1, "{:?}", heard.onsets.iter().filter(|o| o.at_s > 1.89).collect::<Vec<_>>());
}

/// A big single at idle and speeding up with the throttle open, whose speed changes within the turn (`reference/recording/within_turn.py`).
#[test]
fn both_ends_tell_the_angle_where_the_speed_changes_within_the_turn() {
    /// Advance by the ends, on them and a quarter of the segment inside [°]; the mark's middle alone is off by more than the third at idle.
    const ON_END_DEG: f64 = 0.01;
    const INSIDE_DEG: f64 = 0.3;
    const BY_MIDDLE_DEG: f64 = 0.5;
    /// Speed and its change as means over the cycle \[1\]; that of a steady engine [1/s].
    const SPEED: f64 = 2e-3;
    const GAIN: f64 = 0.05;
    const GAIN_PER_S: f64 = 0.01;
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/recording/within_turn_passes.csv");
    let text = std::fs::read_to_string(path).unwrap();
    for does in ["idling", "speeding"] {
        let rows: Vec<Vec<f64>> = text
            .lines()
            .filter_map(|l| l.strip_prefix(does)?.strip_prefix(','))
            .map(|l| l.split(',').map(|x| x.parse().unwrap()).collect())
            .collect();
        let mut row: Vec<Mark> = Vec::new();
        for r in rows.iter().step_by(2) {
            row.push(Mark {
                at_s: 0.5 * (r[0] + r[1]),
                ends_s: (r[0], r[1]),
                peaks: (1.0, -1.0),
                width_s: 0.0,
                foot_s: 0.0,
                turns: u32::from(!row.is_empty()),
            });
        }
        let mut by_ends = Phase::new(&row).with_ends(Some(ARC_DEG.to_radians()));
        let mut by_middle = Phase::new(&row);
        let mut worst_by_middle = 0.0f64;
        for r in &rows[6..rows.len() - 6] {
            let s = by_ends.at(r[2]).unwrap();
            let advance = |past_rad: f64| (LEAD_DEG - 0.5 * ARC_DEG - past_rad.to_degrees() + 180.0).rem_euclid(360.0) - 180.0;
            let off = (advance(s.past_rad) - r[3]).abs();
            worst_by_middle = worst_by_middle.max((advance(by_middle.at(r[2]).unwrap().past_rad) - r[3]).abs());
            let (speed, gain) = (s.speed_rad_s / r[4] - 1.0, (s.gain_rad_s2 - r[5]) / r[4]);
            eprintln!("{does} {:5.1}° off {off:.4}°, speed {speed:.5}, gain {gain:.4} a second of {:.3}", r[3], r[5] / r[4]);
            assert!(off < if r[3] < 0.0 { ON_END_DEG } else { INSIDE_DEG });
            assert!(speed.abs() < SPEED && gain.abs() < GAIN * (r[5] / r[4]).abs() + GAIN_PER_S);
        }
        eprintln!("{does}: by the middle alone off by up to {worst_by_middle:.2}°");
        assert!(does != "idling" || worst_by_middle > BY_MIDDLE_DEG);
    }
}
