//! Alternator, battery, loads, ride, windings and wires in the file.

use quantity::Reading;

use crate::machine::{
    charging::{
        Battery, ChargeSeen, Charging, Choke, Electric, Keeps, Kind, Load, Ride, RideKind, RidePart, WindingKind, WindingRead,
        Wire, WirePart,
    },
    defect::Inconsistency,
    limits::*,
    walk::{Node, Walk, most_like, placeholder},
};

/// Reads these parts of the file.
pub(super) fn read_electric(root: &Node<'_>, walk: &mut Walk<'_>) -> Electric {
    let battery = root.child(walk, &BATTERY).map(|node| read_battery(&node, walk));
    let nominal = battery.as_ref().map(|b| 2.0 * f64::from(b.cells));
    let loads: Vec<Load> = root.rows(walk, &LOAD, |row, walk| read_load(row, walk, nominal));
    for k in 1..loads.len() {
        if !loads[k].name.is_empty() && loads[..k].iter().any(|l| l.name == loads[k].name) {
            walk.inconsistent(&format!("load[{k}].name"), Inconsistency::SameLoad);
        }
    }
    Electric {
        charging: root.child(walk, &CHARGING).map(|node| read_charging(&node, walk)),
        ride: root.child(walk, &RIDE).map(|node| read_ride(&node, walk)),
        windings: root.rows(walk, &WINDING, |row, walk| WindingRead {
            name: row.name(walk, &WINDING_NAME),
            kind: row.pick(
                walk,
                &WINDING_KIND,
                [
                    WindingKind::StatorThree,
                    WindingKind::StatorOne,
                    WindingKind::Pickup,
                    WindingKind::SourceLow,
                    WindingKind::SourceHigh,
                    WindingKind::SourceSingle,
                    WindingKind::Other,
                ],
            ),
            resistance: row.reading(walk, &WINDING_OHMS),
            temperature: row.reading(walk, &WINDING_AT),
            leads: row.optional_reading(walk, &WINDING_LEADS),
            record: row.optional_reading(walk, &WINDING_RECORD),
            twins: row.optional_name(walk, &WINDING_TWINS),
            insulation: row.optional_reading(walk, &INSULATION),
        }),
        wires: root.rows(walk, &WIRE, |row, walk| read_wire(row, walk, &loads)),
        battery,
        loads,
    }
}

fn read_charging(node: &Node<'_>, walk: &mut Walk<'_>) -> Charging {
    node.refuse_unknown_in(walk, &CHARGING);
    let volts = node.optional_reading(walk, &REGULATOR_VOLTS);
    let keeps = match (node.choice(walk, &REGULATOR), volts) {
        (Some(1), Some(volts)) => Keeps::Shunt(volts),
        (Some(2), Some(volts)) => Keeps::Series(volts),
        (Some(1 | 2), None) => {
            walk.inconsistent("charging.regulator", Inconsistency::RegulatorWithoutVolts);
            Keeps::Nothing
        }
        (Some(0), Some(_)) => {
            walk.inconsistent(&node.path_of(REGULATOR_VOLTS.key()), Inconsistency::VoltsWithoutRegulator);
            Keeps::Nothing
        }
        _ => Keeps::Nothing,
    };
    let joined = [&JOINED_AMPS, &JOINED_SPEED].map(|field| node.optional_reading(walk, field));
    if joined[0].is_some() != joined[1].is_some() {
        walk.inconsistent(&node.path, Inconsistency::JoinedIncomplete);
    }
    let [amps, speed] = joined;
    let amps = amps.zip(speed);
    let inductance = node.optional_reading(walk, &INDUCTANCE);
    if inductance.is_some() && amps.is_some() {
        walk.inconsistent(&node.path_of(INDUCTANCE.key()), Inconsistency::InductanceOrJoined);
    }
    Charging {
        kind: node.pick(walk, &CHARGING_KIND, [Kind::HalfWave, Kind::FullWave, Kind::Star, Kind::Delta]),
        pole_pairs: node.count(walk, &POLE_PAIRS).and_then(|n| u8::try_from(n).ok()).unwrap_or(1),
        turns: node.reading(walk, &CHARGING_TURNS),
        no_load_volts: node.reading(walk, &NO_LOAD_VOLTS),
        no_load_speed: node.reading(walk, &NO_LOAD_SPEED),
        resistance: node.reading(walk, &CHARGING_OHMS),
        resistance_at: node.reading(walk, &CHARGING_OHMS_AT),
        choke: inductance.map(Choke::Inductance).or(amps.map(|(amps, speed)| Choke::Joined(amps, speed))),
        diode_volts: node.reading(walk, &DIODE_VOLTS),
        keeps,
        winding_temperature: node.reading(walk, &WINDING_HOT),
        heats_by: node.optional_reading(walk, &HEATS_BY),
        around: node.reading(walk, &AROUND),
        seen: node.rows(walk, &SEEN, |row, walk| ChargeSeen {
            speed: row.reading(walk, &SEEN_SPEED),
            lights: row.flag(walk, &SEEN_LIGHTS).unwrap_or_else(|| {
                walk.inconsistent(&row.path, Inconsistency::LightsNotSaid);
                false
            }),
            amps: row.optional_reading(walk, &SEEN_AMPS),
            volts: row.optional_reading(walk, &SEEN_VOLTS),
            ripple: row.optional_reading(walk, &SEEN_RIPPLE),
            leads: [&SEEN_FIRST, &SEEN_SECOND, &SEEN_THIRD].map(|field| row.optional_reading(walk, field)),
            unplugged: [&SEEN_BARE_12, &SEEN_BARE_23, &SEEN_BARE_31].map(|field| row.optional_reading(walk, field)),
        }),
    }
}

fn read_battery(node: &Node<'_>, walk: &mut Walk<'_>) -> Battery {
    node.refuse_unknown_in(walk, &BATTERY);
    let rest_volts = node.optional_reading(walk, &REST_VOLTS);
    let warnings = walk.warnings.len();
    let charge = node.reading(walk, &CHARGE);
    if rest_volts.is_some() {
        if charge.source != quantity::Source::Default {
            walk.inconsistent(&node.path_of(CHARGE.key()), Inconsistency::ChargeOrRestVolts);
        }
        // Rest volts tell the charge; nothing stands in for it.
        walk.warnings.truncate(warnings);
    }
    Battery {
        cells: node.pick(walk, &BATTERY_VOLTS, [3, 6]),
        capacity: node.reading(walk, &CAPACITY),
        rated_over: node.reading(walk, &RATED_OVER),
        capacity_left: node.reading(walk, &CAPACITY_LEFT),
        peukert: node.reading(walk, &PEUKERT),
        resistance: node.reading(walk, &BATTERY_OHMS),
        temperature: node.reading(walk, &BATTERY_AT),
        rest_volts,
        charge,
        takes: node.reading(walk, &TAKES),
    }
}

fn read_load(node: &Node<'_>, walk: &mut Walk<'_>, nominal_v: Option<f64>) -> Load {
    let amps = match (node.optional_reading(walk, &LOAD_POWER), node.optional_reading(walk, &LOAD_AMPS), nominal_v) {
        (None, Some(amps), _) => amps,
        (Some(power), None, Some(volts)) => {
            Reading { si: power.si / volts, plus_minus_si: power.plus_minus_si / volts, unit: quantity::Unit::Ampere, ..power }
        }
        (Some(_), None, None) => {
            walk.inconsistent(&node.path, Inconsistency::PowerWithoutBattery);
            placeholder()
        }
        _ => {
            walk.inconsistent(&node.path, Inconsistency::PowerOrAmps);
            placeholder()
        }
    };
    Load {
        name: node.name(walk, &LOAD_NAME),
        amps,
        ohmic: node.choice(walk, &LOAD_KIND) != Some(1),
        on: node.reading(walk, &LOAD_ON),
        off: node.count(walk, &LOAD_OFF).and_then(|n| u8::try_from(n).ok()),
    }
}

fn read_ride(node: &Node<'_>, walk: &mut Walk<'_>) -> Ride {
    node.refuse_unknown_in(walk, &RIDE);
    let kind = node.pick(walk, &RIDE_KIND, [RideKind::Town, RideKind::Country, RideKind::Own]);
    let parts = node.rows(walk, &RIDE_PART, |row, walk| RidePart {
        crank_rad_s: row.reading(walk, &PART_SPEED).si,
        road_m_s: row.reading(walk, &PART_ROAD).si,
        share: row.reading(walk, &PART_SHARE).si,
    });
    /// How far shares may miss the whole \[1\] (own choice): three thirds of 33 %.
    const ROUNDED: f64 = 0.015;
    let total: f64 = parts.iter().map(|p| p.share).sum();
    if (kind == RideKind::Own) == parts.is_empty() {
        walk.inconsistent(&node.path_of(RIDE_KIND.key()), Inconsistency::RideParts);
    } else if (total - 1.0).abs() > ROUNDED && !parts.is_empty() {
        walk.inconsistent(&node.path_of("part"), Inconsistency::RideShares { total });
    }
    Ride { kind, lasts: node.reading(walk, &RIDE_LASTS), ignition_needs: node.optional_reading(walk, &IGNITION_NEEDS), parts }
}

fn read_wire(node: &Node<'_>, walk: &mut Walk<'_>, loads: &[Load]) -> Wire {
    let section = node.optional_reading(walk, &WIRE_SECTION);
    let gauge = node.count(walk, &WIRE_GAUGE).and_then(|n| u8::try_from(n).ok());
    let section = match (section, gauge) {
        (Some(section), None) => section,
        (None, Some(gauge)) => Reading {
            si: physics::wire::awg_section_m2(f64::from(gauge)),
            plus_minus_si: 0.0,
            unit: quantity::Unit::SquareMillimetre,
            source: quantity::Source::NotStated,
        },
        _ => {
            walk.inconsistent(&node.path, Inconsistency::SectionOrGauge);
            placeholder()
        }
    };
    let fed = node.optional_name(walk, &WIRE_LOAD);
    let load = fed.as_ref().and_then(|name| loads.iter().position(|l| l.name == *name));
    if let (Some(found), None) = (fed, load) {
        let known: Vec<String> = loads.iter().map(|l| l.name.clone()).collect();
        let did_you_mean = most_like(&found, known.iter().map(String::as_str)).map(str::to_owned);
        walk.inconsistent(&node.path_of(WIRE_LOAD.key()), Inconsistency::NoSuchLoad { found, did_you_mean, known });
    }
    Wire {
        from: (node.pick(walk, &WIRE_FROM, WirePart::ALL), node.name(walk, &WIRE_FROM_AT)),
        to: (node.pick(walk, &WIRE_TO, WirePart::ALL), node.name(walk, &WIRE_TO_AT)),
        colour: node.optional_name(walk, &WIRE_COLOUR),
        section,
        gauge,
        length: node.reading(walk, &WIRE_LENGTH),
        amps: node.optional_reading(walk, &WIRE_AMPS),
        load,
        fuse: node.optional_reading(walk, &WIRE_FUSE),
    }
}
