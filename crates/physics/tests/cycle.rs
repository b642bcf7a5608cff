//! The working cycle against balances, analytic limits and a general-purpose thermodynamics library.

mod common;

use common::{handbook, motorcycle, rpm};
use physics::{
    crank::{Chamber, SliderCrank},
    cycle::{
        Engine, LEAST_RUNNER, NotAnEngine, Operating, Prepared, SETTLED, Trace, first_firing, settle, settle_each, settle_eight,
        settle_walks, trace, trace_each,
    },
    flame::DILUTION_VALID_TO,
    gas::Gas,
    kickback, knock,
    surface::{Grid, NoSurface, Progress, Surface},
    valve::Valve,
};
use std::f64::consts::PI;

fn at(n: f64, opening_mm2: f64, advance_deg: f64) -> Operating {
    Operating { speed_rad_s: rpm(n), opening_m2: opening_mm2 * 1e-6, advance_rad: advance_deg.to_radians() }
}

/// Mass is moved from one account to another in the same step: rounding alone.
const MASS_LEFT_OVER: f64 = 1e-11;
/// Energy likewise, but read from the temperatures, which are solved for by one step of Newton's method: measured below 3e-11 of the fuel's heat.
const ENERGY_LEFT_OVER: f64 = 1e-9;

#[test]
fn mass_and_energy_balances_close() {
    let mut shared = motorcycle(30.0, 1.0);
    shared.shared = true;
    shared.fires_at_rad = vec![0.0, PI];
    shared.runner_m3 = 300e-6;
    for (name, engine) in
        [("own", motorcycle(45.0, 1.0)), ("slow", motorcycle(60.0, 0.6)), ("shared", shared), ("car", handbook())]
    {
        let p = Prepared::new(engine).unwrap();
        for (n, mm2, advance) in
            [(480.0, 4.0, 5.0), (1000.0, 3.0, 0.0), (1000.0, 6.0, 20.0), (2500.0, 8.0, 30.0), (4500.0, 60.0, 40.0)]
        {
            let s = settle(&p, at(n, mm2, advance));
            assert!(s.mass_left_over.abs() < MASS_LEFT_OVER, "{name} {n}: mass {:e}", s.mass_left_over);
            assert!(s.energy_left_over.abs() < ENERGY_LEFT_OVER, "{name} {n}: energy {:e}", s.energy_left_over);
        }
    }
}

/// Mass and energy that may be left over anywhere, as shares of the charge and of its heat: rounding and one Newton step, the latter large
/// only where a runner is emptied in half a degree. The mass is that of up to 10 l, the charge down to 6 cm³.
const ANYWHERE_MASS: f64 = 1e-9;
const ANYWHERE_ENERGY: f64 = 1e-4;

/// Runner or plenum, as a share of the displacement of all cylinders on it [1], below which steps were seen to be cut short. Measured: 12 of
/// the 1248 points below have such a step in their last cycle, all of them of four cylinders of 181 cm³ on a plenum of 1 cm³, which is 0.14 %.
const CUT_SHORT_BELOW: f64 = 0.002;

#[test]
fn no_engine_within_the_limits_of_a_machine_file_breaks_the_balances() {
    // Sizes to the edges of crates/workshop/src/machine/limits: bore 20–150 mm, runner 1 cm³ – 10 l, throttle bore up to 80 mm.
    let d = f64::to_radians;
    let sizes =
        [(0.02, 0.02, 4.0, 0.008, 0.001, 1.0), (0.062, 0.06, 9.0, 0.028, 0.0085, 1.0), (0.15, 0.15, 16.0, 0.08, 0.02, 3.0)];
    let (mut number, mut cut_short) = (0, 0);
    for (bore, stroke, ratio, diameter_m, lift_m, count) in sizes {
        for overlap in [-20.0, 10.0, 70.0] {
            for (runner_m3, cylinders) in [(1e-6, 1), (1e-6, 4), (20e-6, 2), (500e-6, 3), (10e-3, 1)] {
                let crank = SliderCrank::new(0.5 * stroke, 2.0 * stroke, 0.0).unwrap();
                let valve =
                    |opens: f64, closes: f64| Valve { opens_rad: d(opens), closes_rad: d(closes), diameter_m, lift_m, count };
                let tested = Prepared::new(Engine {
                    chamber: Chamber::new(crank, bore, ratio).unwrap(),
                    fires_at_rad: [0.0, 2.0 * PI, PI, 3.0 * PI][..cylinders].to_vec(),
                    inlet: valve(360.0 - overlap, 600.0),
                    exhaust: valve(120.0, 360.0 + overlap),
                    runner_m3,
                    shared: cylinders > 1,
                    ..motorcycle(45.0, 0.7)
                });
                let p = match tested {
                    Err(NotAnEngine::RunnerTooSmall { swept, .. }) => {
                        assert!(runner_m3 < LEAST_RUNNER * swept);
                        continue;
                    }
                    tested => tested.unwrap(),
                };
                for n in [100.0, 450.0, 2500.0, 9000.0] {
                    // Eight openings from nearly shut to wide open.
                    let row = std::array::from_fn(|i| {
                        at(n, 0.05 * 5.0_f64.powi(i as i32).min(1e5), [35.0, -10.0, 60.0][(number + i) % 3])
                    });
                    number += 1;
                    for (at, s) in row.iter().zip(settle_eight(&p, &row)) {
                        let what = format!("bore {bore} overlap {overlap} runner {runner_m3} of {cylinders}: {at:?} {s:?}");
                        assert!(s.torque_nm.is_finite() && s.charge_kg_s.is_finite(), "{what}");
                        assert!((0.0..=1.0).contains(&s.residual), "{what}");
                        assert!(s.mass_left_over.abs() < ANYWHERE_MASS, "{what}");
                        assert!(s.energy_left_over.abs() < ANYWHERE_ENERGY, "{what}");
                        let tiny = runner_m3 < CUT_SHORT_BELOW * cylinders as f64 * p.swept_m3();
                        assert!(s.cut_short == 0 || tiny && !s.settled, "{what}");
                        cut_short += usize::from(s.cut_short > 0);
                    }
                }
            }
        }
    }
    println!("{cut_short} of {} points with a step cut short", 8 * number);
    assert!(cut_short > 0, "no point has a step cut short: the bound is checked nowhere");
}

/// What "settled" may be off by, after a hundred cycles more: the 0.2 % wanted.
const SETTLED_FOR_GOOD: f64 = 2e-3;

#[test]
fn what_is_called_settled_stays_so() {
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    let least = 0.5e5 * p.swept_m3() / (4.0 * PI);
    // The first two misfire for a dozen cycles with almost the same work each, then burn again.
    let points = [(5514.0, 2.24, -10.0), (3855.0, 0.66, 0.0), (6213.0, 3.03, -10.0), (5514.0, 0.9, -5.0), (1000.0, 3.0, 10.0)];
    let rest = [(450.0, 40.0, 10.0), (2500.0, 8.0, 30.0), (3855.0, 1.65, -10.0)];
    let rows: Vec<Vec<Operating>> = points.iter().chain(&rest).map(|&(n, mm2, advance)| vec![at(n, mm2, advance); 26]).collect();
    for row in rows {
        // Each of the row starts where the one before it ended, and runs three cycles at least.
        let rows = vec![row.clone(); 8];
        let settled = settle_walks(&p, &rows, &mut |_| true).swap_remove(0);
        let (first, last) = (&settled[0], &settled[25]);
        assert!(first.settled && last.settled, "{first:?}");
        let off = (first.torque_nm - last.torque_nm).abs() / last.torque_nm.abs().max(least);
        assert!(off < SETTLED_FOR_GOOD, "{:?}: {} {}", row[0], first.torque_nm, last.torque_nm);
    }
}

/// The surface gives cylinders on a plenum one advance, their mean. Measured for a twin with 2° more and 2° less: torque off by 0.2 %.
const SPLIT_TORQUE: f64 = 0.01;

#[test]
fn cylinders_on_a_plenum_have_their_own_advance() {
    let twin = Engine { shared: true, fires_at_rad: vec![0.0, PI], runner_m3: 300e-6, ..motorcycle(30.0, 1.0) };
    let p = Prepared::new(twin).unwrap();
    let least = 0.5e5 * p.swept_m3() / (4.0 * PI);
    for (n, mm2, advance) in [(1000.0, 8.0, 10.0), (1500.0, 10.0, 15.0), (2500.0, 16.0, 25.0), (4500.0, 60.0, 35.0)] {
        let point = at(n, mm2, advance);
        let mean = settle(&p, point);
        assert_eq!(mean, settle_each(&p, point, &[point.advance_rad; 2]));
        let split = [point.advance_rad + f64::to_radians(2.0), point.advance_rad - f64::to_radians(2.0)];
        let each = settle_each(&p, point, &split);
        let off = (each.torque_nm - mean.torque_nm) / mean.torque_nm.abs().max(least);
        println!("{n} {mm2} {advance}: {:.4} {:.4} off {off:.5}", mean.torque_nm, each.torque_nm);
        assert!(off.abs() < SPLIT_TORQUE, "{n}: {off}");
        // The work of the traces is that of the summary, and the cylinder that fires earlier has the higher peak.
        let traces = trace_each(&p, point, &split);
        assert_eq!(traces.len(), 2);
        let end = traces.iter().map(|t| t.samples.iter().map(|s| s.angle_rad).fold(0.0, f64::max)).fold(f64::INFINITY, f64::min);
        assert!((end - 2.0 * PI).abs() < 1e-9);
        let torque = traces.iter().map(|t| t.samples[t.samples.len() - 1].work_j / (4.0 * PI)).sum::<f64>() / 2.0;
        assert!((torque - each.torque_nm).abs() < 2.0 * SETTLED * each.torque_nm.abs().max(least), "{torque} {}", each.torque_nm);
        let peaks = traces.iter().map(|t| t.samples.iter().map(|s| s.pressure_pa).fold(0.0, f64::max)).collect::<Vec<_>>();
        assert!(peaks[0] > peaks[1], "{peaks:?}");
    }
}

/// Columns of a table made by reference/thermo/make.py.
fn table(name: &str) -> Vec<Vec<f64>> {
    let path = format!("{}/../../reference/thermo/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    text.lines().filter(|l| !l.starts_with('#')).map(|l| l.split('\t').map(|x| x.parse().unwrap()).collect()).collect()
}

fn between(rows: &[Vec<f64>], column: usize, t: f64) -> f64 {
    let k = rows.partition_point(|r| r[0] < t).clamp(1, rows.len() - 1);
    let f = (t - rows[k - 1][0]) / (rows[k][0] - rows[k - 1][0]);
    rows[k - 1][column] + f * (rows[k][column] - rows[k - 1][column])
}

/// Same polynomials, molar masses rounded apart.
const LIBRARY_RELATIVE: f64 = 2e-4;

#[test]
fn fresh_and_burned_gas_match_the_library() {
    let fresh = Gas::fresh(1.1);
    for row in table("fresh.tsv") {
        let state = fresh.at(row[0]);
        assert!((state.cv / row[2] - 1.0).abs() < LIBRARY_RELATIVE, "cv at {}", row[0]);
        assert!((state.energy - row[3]).abs() < LIBRARY_RELATIVE * 1e6, "u at {}: {} {}", row[0], state.energy, row[3]);
        assert!((fresh.gas_constant / row[4] - 1.0).abs() < LIBRARY_RELATIVE);
    }
    for row in table("burn.tsv") {
        // Constant volume, no heat: the energy of the fresh gas is that of the burned gas at the library's temperature.
        let (fresh, burned) = (Gas::fresh(row[0]), Gas::burned(row[0]));
        let (before, after) = (fresh.at(row[1]).energy, burned.at(row[2]).energy);
        assert!((before - after).abs() / burned.at(row[2]).cv < 1.0, "{row:?}: off by more than 1 K");
        let pressure_ratio = burned.gas_constant * row[2] / (fresh.gas_constant * row[1]);
        assert!((pressure_ratio / row[3] - 1.0).abs() < LIBRARY_RELATIVE);
    }
}

/// Entropy drift of the adiabatic motored compression against the library's entropy, as a share of R ln(p₂/p₁): the table's linear
/// interpolation and the 2° step.
const ISENTROPIC_RELATIVE: f64 = 1e-3;

#[test]
fn motored_compression_without_heat_is_isentropic() {
    let mut engine = motorcycle(20.0, 1.0);
    engine.heat_factor = 0.0;
    let p = Prepared::new(engine).unwrap();
    let t = trace(&p, Operating { advance_rad: kickback::NO_SPARK, ..at(1500.0, 40.0, 0.0) });
    let sample = |deg: f64| {
        t.samples
            .iter()
            .min_by(|a, b| (a.angle_rad - deg.to_radians()).abs().total_cmp(&(b.angle_rad - deg.to_radians()).abs()))
            .unwrap()
    };
    let (a, b) = (sample(-100.0), sample(0.0));
    let rows = table("fresh.tsv");
    let r = rows[0][4];
    let work_of_pressure = r * (b.pressure_pa / a.pressure_pa).ln();
    let entropy_rise = between(&rows, 1, b.temperature_k) - between(&rows, 1, a.temperature_k);
    assert!((entropy_rise / work_of_pressure - 1.0).abs() < ISENTROPIC_RELATIVE, "{entropy_rise} {work_of_pressure}");
    // With nothing lost and nothing burned, expansion gives back what compression took.
    let after = t.samples.partition_point(|s| s.angle_rad < -a.angle_rad);
    let [c, d] = [&t.samples[after - 1], &t.samples[after]];
    let there = (-a.angle_rad - c.angle_rad) / (d.angle_rad - c.angle_rad);
    let temperature_k = c.temperature_k + there * (d.temperature_k - c.temperature_k);
    assert!((temperature_k / a.temperature_k - 1.0).abs() < 1e-4, "{temperature_k} {}", a.temperature_k);
}

#[test]
fn wall_heat_takes_from_the_motored_cycle() {
    let p = Prepared::new(motorcycle(20.0, 1.0)).unwrap();
    let s = settle(&p, Operating { advance_rad: kickback::NO_SPARK, ..at(1500.0, 40.0, 0.0) });
    assert!(s.torque_nm < 0.0, "a motored engine takes torque: {}", s.torque_nm);
}

#[test]
fn residual_grows_with_overlap_and_with_throttling() {
    // Heywood (1988), section 6.4 (from memory): more overlap and lower inlet pressure raise the residual; a few per cent at full
    // throttle, tens of per cent near idle with a plenum.
    let residual = |overlap: f64, mm2: f64, runner_m3: f64| {
        let mut engine = motorcycle(overlap, 1.0);
        engine.runner_m3 = runner_m3;
        settle(&Prepared::new(engine).unwrap(), at(1200.0, mm2, 25.0)).residual
    };
    let open = residual(20.0, 400.0, 1e-3);
    let idle = residual(20.0, 3.0, 1e-3);
    let idle_overlap = residual(40.0, 3.0, 1e-3);
    assert!(open > 0.01 && open < 0.10, "{open}");
    assert!(idle > 0.12 && idle > 2.0 * open, "{idle}");
    assert!(idle_overlap > idle, "{idle_overlap} {idle}");
    assert!(idle_overlap < 0.6);
    // A short inlet of its own fills up between breaths, so it holds less residual than a plenum does.
    assert!(residual(40.0, 3.0, 60e-6) < idle_overlap);
    assert!(residual(20.0, 400.0, 1e-3) < DILUTION_VALID_TO);
}

#[test]
fn knock_needs_load_and_poor_fuel() {
    let p = Prepared::new(handbook()).unwrap();
    let full = trace(&p, at(1500.0, 900.0, 30.0));
    let idle = trace(&p, at(1500.0, 8.0, 30.0));
    assert!(knock::integral(&full, 70.0) > 1.0, "70 octane at full throttle knocks");
    assert!(knock::integral(&idle, 95.0) < 0.5, "95 octane at a small opening does not");
    assert!(knock::integral(&full, 95.0) < knock::integral(&full, 85.0));
}

#[test]
fn kick_back_grows_with_advance() {
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    let work = |advance: f64| kickback::test(&p, at(450.0, 30.0, advance), 0.012);
    let (none, some, much) = (work(0.0), work(12.0), work(35.0));
    assert!(none.work_against_j < 0.2, "{none:?}");
    assert!(some.work_against_j > none.work_against_j && much.work_against_j > 3.0 * some.work_against_j, "{some:?} {much:?}");
    assert!(none.passes() && !much.passes());
    // ½ J ω² of 0.012 kg·m² at 450 1/min.
    assert!((none.turning_energy_j - 0.5 * 0.012 * (450.0 * PI / 30.0_f64).powi(2)).abs() < 1e-12);
}

#[test]
fn one_lane_and_eight_agree() {
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    let points = std::array::from_fn(|i| at(1400.0, 3.0 + i as f64, 15.0));
    let eight = settle_eight(&p, &points);
    for (point, eight) in points.iter().zip(eight) {
        let one = settle(&p, *point);
        let scale = one.torque_nm.abs().max(0.5e5 * p.swept_m3() / (4.0 * PI));
        // Both are within SETTLED of the same limit; they stop at different cycles and share the smallest step.
        assert!((one.torque_nm - eight.torque_nm).abs() < 2.0 * SETTLED * scale, "{} {}", one.torque_nm, eight.torque_nm);
    }
}

/// A trace is the last cycle of what it settled to, and the first firing the one after the last that was turned.
#[test]
fn a_trace_is_the_settled_cycle() {
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    for (n, mm2, advance) in [(480.0, 30.0, 5.0), (1500.0, 6.0, 20.0), (5000.0, 400.0, 35.0)] {
        let point = at(n, mm2, advance);
        let (t, settled) = (trace(&p, point), settle(&p, point));
        assert_eq!((t.settled.torque_nm, t.settled.cycles), (settled.torque_nm, settled.cycles));
        let work = t.samples.last().unwrap().work_j / (4.0 * PI);
        // The torque of a settled point is that of its last cycle.
        assert!(settled.settled, "{n}");
        assert!((work / settled.torque_nm - 1.0).abs() < 1e-12, "{n}: {work} {}", settled.torque_nm);
        let first = first_firing(&p, point);
        let turned = settle(&p, Operating { advance_rad: kickback::NO_SPARK, ..point });
        assert_eq!((first.settled.torque_nm, first.settled.cycles), (turned.torque_nm, turned.cycles));
        // What the flame has burned counts until the inlet opens, before the cycle is over.
        let burned = first.samples.iter().map(|s| s.burned).fold(0.0, f64::max);
        assert!(first.samples.iter().all(|s| s.pressure_pa.is_finite()) && burned > 0.5, "{n}: {burned}");
    }
}

/// A step of the trace, half a peak's width away at most, and what a cycle differs from the one before it when both count as settled.
const PEAK_RELATIVE: f64 = 2e-3;
const PEAK_AT_DEG: f64 = 1.6;

#[test]
fn peaks_on_a_plenum_are_those_of_whole_firings() {
    // When the first cylinder's cycle ends, the others stand 50° before, on, or 180° around their firing.
    for fires in [vec![0.0, 410.0], vec![0.0, 360.0], vec![0.0, 180.0, 360.0, 540.0], vec![0.0, 240.0, 480.0]] {
        let fires_at_rad = fires.iter().map(|deg: &f64| deg.to_radians()).collect();
        let p = Prepared::new(Engine { shared: true, fires_at_rad, runner_m3: 400e-6, ..motorcycle(30.0, 1.0) }).unwrap();
        let point = at(2500.0, 60.0, 25.0);
        let settled = settle(&p, point);
        let traces = trace_each(&p, point, &[25_f64.to_radians(); 4][..fires.len()]);
        let mean = |of: &dyn Fn(&Trace) -> f64| traces.iter().map(of).sum::<f64>() / traces.len() as f64;
        let highest = |t: &Trace| *t.samples.iter().max_by(|a, b| a.pressure_pa.total_cmp(&b.pressure_pa)).unwrap();
        let (peak, peak_at) = (mean(&|t| highest(t).pressure_pa), mean(&|t| highest(t).angle_rad));
        let burned = mean(&|t| t.samples.iter().map(|s| s.burned).fold(0.0, f64::max));
        assert!((settled.peak_pa / peak - 1.0).abs() < PEAK_RELATIVE, "{fires:?}: {} {peak}", settled.peak_pa);
        assert!((settled.peak_at_rad - peak_at).to_degrees().abs() < PEAK_AT_DEG, "{fires:?}: {} {peak_at}", settled.peak_at_rad);
        assert!((settled.burned_share / burned - 1.0).abs() < PEAK_RELATIVE, "{fires:?}: {} {burned}", settled.burned_share);
        let half = mean(&|t| t.samples.iter().find(|s| s.burned >= 0.5).unwrap().angle_rad);
        assert!(
            (settled.half_burned_rad - half).to_degrees().abs() < PEAK_AT_DEG,
            "{fires:?}: {} {half}",
            settled.half_burned_rad
        );
    }
}

#[test]
fn a_plenum_of_one_is_a_runner() {
    let own = motorcycle(30.0, 1.0);
    let shared = Engine { shared: true, ..own.clone() };
    let point = at(1500.0, 5.0, 20.0);
    let (a, b) = (settle(&Prepared::new(own).unwrap(), point), settle(&Prepared::new(shared).unwrap(), point));
    assert_eq!(a, b);
}

#[test]
fn surface_is_the_same_on_one_thread_and_stops_when_asked() {
    let p = Prepared::new(motorcycle(45.0, 1.0)).unwrap();
    let grid = Grid {
        speed_rad_s: [900.0, 1200.0, 1700.0, 2400.0].map(rpm).to_vec(),
        opening_m2: [2e-6, 3e-6, 5e-6, 9e-6, 15e-6].to_vec(),
        advance_rad: [0.0_f64, 10.0, 20.0, 30.0].map(f64::to_radians).to_vec(),
    };
    let many = Surface::compute(&p, &grid, &Progress::default()).unwrap();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let one = pool.install(|| Surface::compute(&p, &grid, &Progress::default())).unwrap();
    assert_eq!(many, one);
    let k = (5 + 2) * 4 + 1;
    assert_eq!(many.gas_torque(grid.speed_rad_s[1], grid.opening_m2[2], grid.advance_rad[1]), many.gas_torque_nm[k]);
    let progress = Progress::default();
    progress.stop();
    assert!(Surface::compute(&p, &grid, &progress).is_err());
}

#[test]
fn a_surface_without_numbers_is_no_surface() {
    // Every one is finite, and the heat to the walls overflows.
    let p = Prepared::new(Engine { heat_factor: 1e300, ..motorcycle(45.0, 1.0) }).unwrap();
    let axis = |from: f64, step: f64| (0..4).map(|k| from + step * f64::from(k)).collect::<Vec<f64>>();
    let grid = Grid { speed_rad_s: axis(100.0, 50.0), opening_m2: axis(5e-6, 5e-6), advance_rad: axis(0.0, 0.1) };
    let found = Surface::compute(&p, &grid, &Progress::default());
    assert!(matches!(found, Err(NoSurface::NoNumber { at }) if at.speed_rad_s == 100.0), "{found:?}");
}
