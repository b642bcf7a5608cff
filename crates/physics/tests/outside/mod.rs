//! Comparing with outside values.
#![allow(dead_code)]

/// Digits given by the sources of closed forms [1].
pub const RELATIVE: f64 = 1e-8;

pub fn near(ours: f64, theirs: f64, within: f64) {
    assert!((ours - theirs).abs() <= within, "{ours} against {theirs}");
}

pub fn close(ours: f64, theirs: f64, relative: f64) {
    near(ours, theirs, relative * theirs.abs());
}

/// Rows of a reference table after its comments and its line of names, with the words in them left out.
pub fn table(text: &str) -> Vec<Vec<f64>> {
    let lines = text.lines().filter(|l| !l.starts_with('#')).skip(1);
    lines.map(|l| l.split(',').filter_map(|n| n.trim().parse().ok()).collect()).collect()
}
