//! The chance of being within a tolerance, and the middle of prices, against SciPy (`reference/part/make.py`).

mod outside;

use outside::{close, near, table};
use physics::{
    middle::middle,
    within::{Allowed, share_within},
};

/// The sum of normals is good to twice 7.5e-8, and the table to 1e-9 [1].
const CHANCE: f64 = 2e-7;

#[test]
fn the_chance_of_being_within_is_that_of_an_integral() {
    let text = include_str!("../../../reference/part/within.csv");
    let rules = text.lines().filter(|l| !l.starts_with('#')).skip(1).map(|l| l.split(',').nth(4).unwrap_or(""));
    let rows = table(text);
    assert_eq!(rows.len(), 60);
    for (row, rule) in rows.iter().zip(rules) {
        let &[part, part_u, need, need_u, low, high, chance] = &row[..] else { panic!("{row:?}") };
        let allowed = match rule {
            "share" => Allowed::Share { least: low, most: high },
            "off" => Allowed::Off { below: low, above: high },
            _ => Allowed::Range { least: low, most: high },
        };
        near(share_within((part, part_u), (need, need_u), allowed), chance, CHANCE);
    }
}

#[test]
fn numbers_without_doubt_are_within_or_not_and_the_ends_count_as_within() {
    let fifteen = Allowed::Share { least: 0.85, most: 1.15 };
    for (x, chance) in [(3.4 * 1.15, 1.0), (3.4 * 0.85, 1.0), (3.4 * 1.15 + 1e-6, 0.0), (3.4 * 0.85 - 1e-6, 0.0)] {
        assert_eq!(share_within((x, 0.0), (3.4, 0.0), fifteen), chance, "{x}");
    }
    let exact = Allowed::Off { below: 0.0, above: 0.0 };
    assert_eq!(share_within((0.1 + 0.2, 0.0), (0.3, 0.0), exact), 1.0);
    assert_eq!(share_within((6.0, 0.0), (8.0, 0.0), exact), 0.0);
    let open = Allowed::Off { below: 0.0, above: f64::INFINITY };
    assert_eq!(share_within((9.0, 0.0), (8.0, 0.0), open), 1.0);
    // An exact value is asked for, and any doubt spoils it.
    assert!(share_within((6.0, 0.1), (6.0, 0.0), exact) < 1e-6);
}

#[test]
fn middle_and_spread_are_scipys() {
    let text = include_str!("../../../reference/part/prices.csv");
    let mut rows = 0;
    for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let prices: Vec<f64> = fields[0].split(' ').map(|p| p.parse().unwrap()).collect();
        let found = middle(&prices).unwrap();
        close(found.median, fields[1].parse().unwrap(), 1e-11);
        near(found.spread, fields[2].parse().unwrap(), 1e-9);
        rows += 1;
    }
    assert_eq!(rows, 7);
    assert_eq!(middle(&[]), None);
}
