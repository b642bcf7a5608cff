//! What a test should read on a machine, as JSON.

use crate::wire::{Number, deg, number, rpm};
use serde::Serialize;
use workshop::study::{Finding, fault::Expected};

#[derive(Debug, Serialize)]
#[serde(untagged)]
pub(super) enum Here {
    Advance { speed_rpm: f64, advance_deg: Vec<Number> },
    Volts { speed_rpm: f64, volts_v: Number },
    Peak { peak_v: Number, need_v: Number },
    Ohms { resistance_ohm: Vec<Number> },
    Warm { warm_resistance_ohm: Vec<Number> },
    Coil { primary_ohm: Number, secondary_ohm: Number },
    Kick { peak_v: Vec<Number> },
    Drop { copper_drop_v: Number },
    Gaps { gap_m: Vec<Number>, largest_gap_m: Vec<Option<Number>> },
    Apart { speed_rpm: f64, apart_deg: Number },
    Amps { speed_rpm: f64, battery_a: Number },
}

fn si(f: &Finding) -> Number {
    number(*f, |x| x)
}

pub(super) fn here(expected: &Expected) -> Here {
    match expected {
        Expected::Advance(speed, each) => {
            Here::Advance { speed_rpm: rpm(*speed), advance_deg: each.iter().map(|(_, f)| number(*f, deg)).collect() }
        }
        Expected::Volts(speed, v) => Here::Volts { speed_rpm: rpm(*speed), volts_v: number(*v, |x| x) },
        Expected::Peak(peak, need) => Here::Peak { peak_v: number(*peak, |x| x), need_v: number(*need, |x| x) },
        Expected::Ohms(each) => Here::Ohms { resistance_ohm: each.iter().map(|(_, f)| si(f)).collect() },
        Expected::Warm(each) => Here::Warm { warm_resistance_ohm: each.iter().map(|(_, f)| si(f)).collect() },
        Expected::Coil(primary, secondary) => Here::Coil { primary_ohm: si(primary), secondary_ohm: si(secondary) },
        Expected::PeakAlone(v) => Here::Kick { peak_v: vec![si(v)] },
        Expected::Peaks(each) => Here::Kick { peak_v: each.iter().map(si).collect() },
        Expected::Drop(v) => Here::Drop { copper_drop_v: si(v) },
        Expected::PickupGaps(each) => Here::Gaps {
            gap_m: each.iter().map(|(gap, _)| si(gap)).collect(),
            largest_gap_m: each.iter().map(|(_, most)| most.as_ref().map(si)).collect(),
        },
        Expected::PlugGap(gap) => Here::Gaps { gap_m: vec![si(gap)], largest_gap_m: Vec::new() },
        Expected::Apart(speed, apart) => Here::Apart { speed_rpm: rpm(*speed), apart_deg: number(*apart, deg) },
        Expected::Amps(speed, a) => Here::Amps { speed_rpm: rpm(*speed), battery_a: si(a) },
    }
}
