//! Two recordings, or two pickups, held against each other, as JSON.

use super::{Number, deg, mm, number, rpm};
use crate::wire::recording::{per_1000_rpm, same, trend};
use serde::Serialize;
use sheets::words::recording as words;
use workshop::{
    machine::Machine,
    study::{
        Finding,
        recording::{
            change::{Change, Trouble},
            pickups::{Alike, PickupFound, Pickups},
        },
    },
};

#[derive(Debug, Serialize)]
pub(super) struct ChangeWire {
    rows: Vec<MovedWire>,
    mean: Vec<MeanWire>,
    places: Vec<PlaceWire>,
    gone: Vec<TroubleWire>,
    new: Vec<TroubleWire>,
    in_both: Vec<TroubleWire>,
    segment_longer_deg: Option<Number>,
}

#[derive(Debug, Serialize)]
struct MovedWire {
    cylinder: String,
    trend: &'static str,
    speed_rpm: f64,
    before_deg: Number,
    after_deg: Number,
    earlier_by_deg: Number,
    surely: bool,
}

#[derive(Debug, Serialize)]
struct MeanWire {
    cylinder: String,
    earlier_by_deg: Number,
}

#[derive(Debug, Serialize)]
struct PlaceWire {
    cylinder: String,
    jitter_before_deg: f64,
    jitter_after_deg: f64,
    jitter_share: Option<Number>,
    missing_share_before: f64,
    missing_share_after: f64,
}

#[derive(Debug, Serialize)]
struct TroubleWire {
    trouble: &'static str,
    cylinder: Option<String>,
    said: String,
}

fn trouble(machine: &Machine, t: Trouble) -> TroubleWire {
    let (name, cylinder) = match t {
        Trouble::Missing(c) => ("missing", Some(c)),
        Trouble::NotHeard(c) => ("not_heard", Some(c)),
        Trouble::SecondSparks(c) => ("second_sparks", Some(c)),
        Trouble::Stray => ("stray", None),
        Trouble::RisingIsNotFalling(c) => ("rising_is_not_falling", Some(c)),
        Trouble::RotorOff => ("rotor_off", None),
        Trouble::TurnsMissing => ("turns_missing", None),
        Trouble::Recorded => ("recording_clipped_or_noisy", None),
    };
    TroubleWire { trouble: name, cylinder: cylinder.map(|c| words::names(machine, &[c])), said: words::trouble(machine, t) }
}

impl ChangeWire {
    pub(super) fn of(machine: &Machine, c: &Change) -> Self {
        let name = |cylinder: usize| words::names(machine, &[cylinder]);
        let troubles = |all: &[Trouble]| all.iter().map(|t| trouble(machine, *t)).collect();
        let moved = c.moved.iter().map(|m| MovedWire {
            cylinder: name(m.cylinder),
            trend: trend(m.trend),
            speed_rpm: rpm(m.speed_rad_s),
            before_deg: number(m.advance.0, deg),
            after_deg: number(m.advance.1, deg),
            earlier_by_deg: number(m.by, deg),
            surely: m.surely(),
        });
        let places = c.places.iter().map(|p| PlaceWire {
            cylinder: name(p.cylinder),
            jitter_before_deg: deg(p.jitter_rad.0),
            jitter_after_deg: deg(p.jitter_rad.1),
            jitter_share: p.jitter_share.map(|s| number(s, same)),
            missing_share_before: p.missing.0,
            missing_share_after: p.missing.1,
        });
        Self {
            rows: moved.collect(),
            mean: c.mean.iter().map(|(c, m)| MeanWire { cylinder: name(*c), earlier_by_deg: number(*m, deg) }).collect(),
            places: places.collect(),
            gone: troubles(&c.gone),
            new: troubles(&c.new),
            in_both: troubles(&c.left),
            segment_longer_deg: c.arc.map(|a| number(a, deg)),
        }
    }
}

#[derive(Debug, Serialize)]
pub(super) struct PickupsWire {
    seconds_s: f64,
    rate_hz: f64,
    least_rpm: f64,
    greatest_rpm: f64,
    verdict: &'static str,
    /// The weaker one, counted from 1.
    weaker: Option<usize>,
    said: String,
    peak_ratio: Option<Number>,
    width_ratio: Number,
    apart_deg: Number,
    apart_by_file_deg: Option<Number>,
    each: [PickupWire; 2],
    cautions: Vec<String>,
}

#[derive(Debug, Serialize)]
struct PickupWire {
    fires: Vec<String>,
    turns: usize,
    leading_up: bool,
    segment_deg: Number,
    leading_peak_per_1000_rpm: Option<Number>,
    trailing_peak_per_1000_rpm: Option<Number>,
    volts: bool,
    width_mm: Option<Number>,
    gap_at_least_mm: Option<Number>,
    gap_at_most_mm: Option<Number>,
    gap_in_file_mm: Option<Number>,
}

impl PickupsWire {
    pub(super) fn of(machine: &Machine, found: &Pickups) -> Self {
        let peak = |f: Finding| number(f, per_1000_rpm);
        let one = |p: &PickupFound| PickupWire {
            fires: p.fires.iter().map(|c| words::names(machine, &[*c])).collect(),
            turns: p.turns,
            leading_up: p.pulses.first_up,
            segment_deg: number(p.arc, deg),
            leading_peak_per_1000_rpm: p.pulses.peak_per_speed.map(|f| peak(f.0)),
            trailing_peak_per_1000_rpm: p.pulses.peak_per_speed.map(|f| peak(f.1)),
            volts: p.pulses.volts,
            width_mm: p.pulses.width.map(|f| number(f, mm)),
            gap_at_least_mm: p.pulses.gap_at_least.map(|f| number(f, mm)),
            gap_at_most_mm: p.pulses.gap_at_most.map(|f| number(f, mm)),
            gap_in_file_mm: p.gap_in_file.map(|f| number(f, mm)),
        };
        let (verdict, weaker) = match found.alike {
            Alike::Yes => ("alike", None),
            Alike::Turned => ("turned", None),
            Alike::WiderGap(c) => ("wider_gap", Some(c + 1)),
            Alike::Weaker(c) => ("weaker", Some(c + 1)),
            Alike::NotTold => ("not_told", None),
        };
        Self {
            seconds_s: found.seconds,
            rate_hz: found.rate_hz,
            least_rpm: rpm(found.range_rad_s.0),
            greatest_rpm: rpm(found.range_rad_s.1),
            verdict,
            weaker,
            said: words::pickups_verdict(found),
            peak_ratio: found.ratio.map(|r| number(r, same)),
            width_ratio: number(found.widths, same),
            apart_deg: number(found.apart.0, deg),
            apart_by_file_deg: found.apart.1.map(|a| number(a, deg)),
            each: found.each.each_ref().map(one),
            cautions: found.cautions.iter().map(words::caution).collect(),
        }
    }
}
