//! How long the sampled cases take here, for `bench/run.py`: one line of JSON.
//!
//! The engine is that of `examples/corran-360.toml`. With `--values FILE` the maps and what was drawn for every case are written there, so that
//! `bench/chance_numba.py` can lay out the very same engines.

use physics::surface::Progress;
use std::{io::Write, time::Instant};
use workshop::{
    machine,
    study::{
        cases::{self, Engines, POINTS},
        curve, engine, sensitivity,
        unknowns::Unknowns,
    },
};

/// Timed so many times; the best counts.
const RUNS: usize = 3;

fn main() -> std::io::Result<()> {
    let (machine, _) = machine::read(include_str!("../../../examples/corran-360.toml")).expect("the example reads");
    let curve = curve::study(&machine).expect("a curve");
    let model = engine::compute(&machine, &Progress::default()).expect("an engine");
    let watch = Progress::default();
    let engines = Engines::new(&machine, &curve, &model, Unknowns::stated(&machine, &model));
    let timed = |of: &dyn Fn()| {
        let once = || {
            let began = Instant::now();
            of();
            began.elapsed().as_secs_f64()
        };
        (0..RUNS).map(|_| once()).fold(f64::INFINITY, f64::min)
    };
    let seconds = timed(&|| assert!(engines.share(&cases::as_found, POINTS, &watch).is_ok()));
    let row: Vec<_> = (0..75).map(|i| cut(f64::from(i))).collect();
    let cuts_seconds = timed(&|| assert!(engines.over_cuts(&row, &watch).is_ok()));
    let doubt_seconds = timed(&|| assert!(sensitivity::study(&engines, &cases::as_found, &watch).is_ok()));
    let (chance, _) = engines.share(&cases::as_found, POINTS, &watch).expect("not stopped");
    println!(
        "{{\"seconds\": {seconds:.4}, \"cases\": {}, \"cases_per_second\": {:.0}, \"hanging\": {}, \"low\": {:.5}, \"high\": {:.5}, \
         \"cuts\": {}, \"cuts_cases\": {}, \"cuts_seconds\": {cuts_seconds:.4}, \"doubt_seconds\": {doubt_seconds:.4}, \"threads\": {}}}",
        chance.of,
        chance.of as f64 / seconds,
        chance.hanging,
        chance.low,
        chance.high,
        row.len(),
        POINTS as usize * cases::SCRAMBLES,
        rayon::current_num_threads(),
    );
    if let Some(path) = std::env::args().skip_while(|a| a != "--values").nth(1) {
        write(&path, &engines, &model)?;
    }
    Ok(())
}

/// A row of cuts of a quarter of a degree, with an eighth of a degree of doubt.
fn cut(steps: f64) -> (quantity::CrankAngle, quantity::CrankAngle) {
    let degrees = quantity::CrankAngle::from_degrees;
    (degrees(0.25 * steps), degrees(if steps > 0.0 { 0.125 } else { 0.0 }))
}

/// Numbers of eight bytes, little end first: how many maps, speeds, advances, openings, cylinders and cases; first value and step of the axes of ln
/// speed, advance and ln opening; the maps; then for each case its idle, friction there, the weights, the advances there, and for each speed
/// the friction and the advances.
fn write(path: &str, engines: &Engines, model: &workshop::study::model::EngineModel) -> std::io::Result<()> {
    let mut file = std::io::BufWriter::new(std::fs::File::create(path)?);
    let mut put = |x: f64| file.write_all(&x.to_le_bytes());
    let maps = model.maps();
    let first = maps[0];
    let axes = [first.ln_speed, first.advance, first.ln_opening];
    let all: Vec<_> = engines.sample(POINTS).collect();
    for n in [maps.len(), axes[0].count(), axes[1].count(), axes[2].count(), all[0].laws.len(), all.len()] {
        put(n as f64)?;
    }
    for axis in axes {
        put(axis.point(0))?;
        put(axis.point(1) - axis.point(0))?;
    }
    for map in maps {
        map.torques_nm().iter().try_for_each(|t| put(*t))?;
    }
    for case in all {
        put(case.idle)?;
        put(engines.friction_nm(&case, case.idle))?;
        case.weights.iter().try_for_each(|w| put(*w))?;
        case.laws.iter().try_for_each(|l| put(l.advance(case.idle).radians()))?;
        for n in (0..axes[0].count()).map(|i| axes[0].point(i).exp()) {
            put(engines.friction_nm(&case, n))?;
            case.laws.iter().try_for_each(|l| put(l.advance(n).radians()))?;
        }
    }
    Ok(())
}
