//! Readings of a job beside the machine's file, as JSON.

use super::{FORMAT, Head, Number};
use crate::beside::Beside;
use serde::Serialize;
use workshop::study::Finding;

/// All of them.
#[derive(Debug, Serialize)]
pub struct BesideAnswer {
    tickover: Head,
    job: String,
    machine: String,
    readings: Vec<BesideWire>,
}

#[derive(Debug, Serialize)]
struct BesideWire {
    quantity: String,
    place: String,
    unit: &'static str,
    read: Number,
    computed: Number,
    agrees: bool,
    said: String,
}

impl BesideAnswer {
    /// Of a job and its machine by name.
    pub(crate) fn of(job: &str, machine: &str, found: &[Beside]) -> Self {
        let number = |f: Finding| Number { value: f.si, plus_minus: f.plus_minus_si };
        let one = |b: &Beside| BesideWire {
            quantity: b.what.clone(),
            place: b.place.clone(),
            unit: b.unit,
            read: number(b.read),
            computed: number(b.computed),
            agrees: b.agrees,
            said: b.said.clone(),
        };
        Self {
            tickover: Head { format: FORMAT, version: env!("CARGO_PKG_VERSION") },
            job: job.to_owned(),
            machine: machine.to_owned(),
            readings: found.iter().map(one).collect(),
        }
    }

    /// The text to send.
    ///
    /// # Panics
    /// Never: these structs have only string keys.
    pub fn to_text(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).expect("string keys and plain values");
        text.push('\n');
        text
    }
}
