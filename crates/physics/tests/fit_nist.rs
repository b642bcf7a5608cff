//! The solver against certified regressions: NIST/ITL Statistical Reference Datasets (reference/nist).

use physics::fit::{Fit, least_squares};

struct Dataset {
    starts: [Vec<f64>; 2],
    certified: Vec<f64>,
    deviations: Vec<f64>,
    sum_of_squares: f64,
    residual_deviation: f64,
    y: Vec<f64>,
    x: Vec<f64>,
}

/// Reads starts and certified values ("b1 = 500 250 2.38E+02 2.7E+00"), the sums and the data of a StRD file.
fn read(text: &str) -> Dataset {
    let numbers = |line: &str| line.split_whitespace().filter_map(|w| w.parse::<f64>().ok()).collect::<Vec<_>>();
    let rows: Vec<Vec<f64>> = text
        .lines()
        .filter(|l| l.trim_start().starts_with('b') && l.contains('='))
        .map(|l| numbers(l.split_once('=').unwrap().1))
        .filter(|r| r.len() == 4)
        .collect();
    let after = |label: &str| {
        let line = text.lines().find(|l| l.starts_with(label)).unwrap();
        numbers(line.split_once(':').unwrap().1)[0]
    };
    let data = text.lines().rev().take_while(|l| !l.starts_with("Data:")).map(numbers).filter(|r| r.len() == 2);
    let (y, x) = data.map(|r| (r[0], r[1])).unzip();
    let column = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<_>>();
    Dataset {
        starts: [column(0), column(1)],
        certified: column(2),
        deviations: column(3),
        sum_of_squares: after("Residual Sum of Squares"),
        residual_deviation: after("Residual Standard Deviation"),
        y,
        x,
    }
}

fn fits(data: &Dataset, model: impl Fn(&[f64], f64) -> f64) -> Vec<Fit> {
    data.starts
        .iter()
        .map(|start| {
            let scale: Vec<f64> = start.iter().map(|p| p.abs()).collect();
            let residuals = |p: &[f64]| data.y.iter().zip(&data.x).map(|(y, x)| y - model(p, *x)).collect();
            least_squares(residuals, start, &scale).unwrap()
        })
        .collect()
}

fn close(ours: f64, certified: f64, relative: f64, what: &str) {
    let off = (ours / certified - 1.0).abs();
    assert!(off < relative, "{what}: {ours} against {certified}, off by {off:e}");
}

/// Certified to 11 digits; six are what NIST itself calls a good result for double precision with numerical derivatives.
const PARAMETERS: f64 = 1e-6;
/// Standard deviations come from a Jacobian by central differences.
const DEVIATIONS: f64 = 1e-5;
/// The sum of squares is level at its least, so it is closer than the parameters.
const SUMS: f64 = 1e-8;

fn check(text: &str, model: impl Fn(&[f64], f64) -> f64) {
    let data = read(text);
    for fit in fits(&data, model) {
        for (ours, certified) in fit.parameters.iter().zip(&data.certified) {
            close(*ours, *certified, PARAMETERS, "parameter");
        }
        for (ours, certified) in fit.standard_errors().iter().zip(&data.deviations) {
            close(*ours, *certified, DEVIATIONS, "standard deviation");
        }
        close(fit.sum_of_squares(), data.sum_of_squares, SUMS, "residual sum of squares");
        close(fit.residual_deviation(), data.residual_deviation, SUMS, "residual standard deviation");
    }
}

#[test]
fn misra1a_from_both_starts() {
    let text = include_str!("../../../reference/nist/Misra1a.dat");
    assert_eq!(read(text).y.len(), 14);
    check(text, |b, x| b[0] * (1.0 - (-b[1] * x).exp()));
}

#[test]
fn thurber_from_both_starts() {
    let text = include_str!("../../../reference/nist/Thurber.dat");
    assert_eq!(read(text).y.len(), 37);
    check(text, |b, x| (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6]))));
}

/// NIST StRD Norris (linear, ozone monitors); data and certified values as in SciPy's own test `test_nist_norris`, refitted
/// with SciPy 1.17.1 `linregress`.
#[test]
fn norris_is_a_straight_line() {
    let x = [
        0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
        556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
    ];
    let y = [
        0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
        557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
    ];
    let residuals = |p: &[f64]| x.iter().zip(&y).map(|(x, y)| y - p[0] - p[1] * x).collect();
    let fit = least_squares(residuals, &[0.0, 0.5], &[1.0, 1.0]).unwrap();
    close(fit.parameters[0], -0.2623230738, PARAMETERS, "intercept");
    close(fit.parameters[1], 1.002116818, PARAMETERS, "slope");
    close(fit.standard_errors()[0], 0.2328182343, DEVIATIONS, "intercept's deviation");
    close(fit.standard_errors()[1], 0.0004297968482, DEVIATIONS, "slope's deviation");
}
