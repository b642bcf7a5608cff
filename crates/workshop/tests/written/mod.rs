//! Readings as they are written, and comparing what comes of them.
#![allow(dead_code)]

use quantity::{Dimension as D, Reading};
use workshop::study::Finding;

pub fn close(ours: f64, theirs: f64, relative: f64) {
    assert!((ours - theirs).abs() <= relative * theirs.abs(), "{ours} against {theirs}");
}

pub fn read(text: &str, dimension: D) -> Reading {
    Reading::parse(text, dimension).unwrap()
}

pub fn length(text: &str) -> Reading {
    read(text, D::Length)
}

pub fn number(text: &str) -> Reading {
    read(text, D::Number)
}

pub fn exact(si: f64) -> Finding {
    Finding { si, plus_minus_si: 0.0 }
}
