//! The ignition's part of the file.

use super::small_count;
use crate::machine::{
    defect::Inconsistency,
    limits::*,
    spark::{Breaker, Coil, Converter, Diode, Ignition, Kind, Plug, Source, SourceWinding, Spark, Store, Supply},
    walk::{Node, Walk},
};
use physics::spark::source::MOST_WINDINGS;

pub(super) fn read_ignition(root: &Node<'_>, walk: &mut Walk<'_>) -> Ignition {
    Ignition {
        spark: part(root, walk, &SPARK, |node, walk| Spark {
            kind: node.pick(
                walk,
                &SPARK_KIND,
                [Kind::CapacitorFromSource, Kind::CapacitorFromBattery, Kind::Points, Kind::Transistor],
            ),
            every_turn: node.pick(walk, &EVERY, [true, false]),
            serves_all: node.pick(walk, &SERVES, [false, true]),
        }),
        supply: part(root, walk, &SUPPLY, |node, walk| Supply {
            running: node.reading(walk, &SUPPLY_RUNNING),
            kicking: node.reading(walk, &SUPPLY_KICKING),
            weak: node.optional_reading(walk, &SUPPLY_WEAK),
        }),
        store: part(root, walk, &STORE, |node, walk| Store {
            capacitance: node.reading(walk, &STORE_CAPACITANCE),
            leak: node.reading(walk, &STORE_LEAK),
            clamp: node.optional_reading(walk, &STORE_CLAMP),
            drop: node.reading(walk, &SWITCH_DROP),
            series: node.reading(walk, &SWITCH_OHM),
            diode: node.pick(walk, &SWITCH_DIODE, [Diode::Store, Diode::Switch, Diode::None]),
            output: node.optional_reading(walk, &OUTPUT_PEAK),
            output_speed: node.optional_reading(walk, &OUTPUT_SPEED),
        }),
        source: part(root, walk, &SOURCE, source),
        converter: part(root, walk, &CONVERTER, |node, walk| Converter {
            power: node.reading(walk, &CONVERTER_POWER),
            volts: node.reading(walk, &CONVERTER_VOLTS),
            held: node.pick(walk, &CONVERTER_HOLDS, [false, true]),
            stops_below: node.reading(walk, &CONVERTER_STOPS),
        }),
        breaker: part(root, walk, &BREAKER, breaker),
        coil: part(root, walk, &COIL, |node, walk| Coil {
            primary_resistance: node.reading(walk, &PRIMARY_OHM),
            primary_inductance: node.reading(walk, &PRIMARY_HENRY),
            turns: node.reading(walk, &TURNS_RATIO),
            coupling: node.reading(walk, &COUPLING),
            secondary_resistance: node.reading(walk, &SECONDARY_OHM),
            winding: node.reading(walk, &WINDING_FARAD),
            read_at: node.reading(walk, &READ_AT),
            hot: node.reading(walk, &HOT),
            rise_per_watt: node.reading(walk, &RISE_PER_WATT),
            warmest: node.reading(walk, &WARMEST),
        }),
        plug: part(root, walk, &PLUG, plug),
    }
}

fn part<T>(
    root: &Node<'_>,
    walk: &mut Walk<'_>,
    section: &'static Section,
    read: impl Fn(&Node<'_>, &mut Walk<'_>) -> T,
) -> Option<T> {
    root.child(walk, section).map(|node| {
        node.refuse_unknown_in(walk, section);
        read(&node, walk)
    })
}

fn source(node: &Node<'_>, walk: &mut Walk<'_>) -> Source {
    let windings = node.rows(walk, &SOURCE_WINDING, |row, walk| SourceWinding {
        volts: row.reading(walk, &SOURCE_VOLTS),
        speed: row.reading(walk, &SOURCE_SPEED),
        resistance: row.reading(walk, &SOURCE_OHM),
        inductance: row.reading(walk, &SOURCE_HENRY),
    });
    if windings.len() > MOST_WINDINGS {
        let path = node.path_of(SOURCE_WINDING.key());
        walk.inconsistent(&path, Inconsistency::TooManyWindings { given: windings.len(), most: MOST_WINDINGS });
    }
    Source { periods: small_count(node, walk, &SOURCE_PERIODS), diode: node.reading(walk, &SOURCE_DIODE), windings }
}

fn breaker(node: &Node<'_>, walk: &mut Walk<'_>) -> Breaker {
    let dwell = node.optional_reading(walk, &DWELL);
    let dwell_time = node.optional_reading(walk, &DWELL_TIME);
    if dwell.is_some() == dwell_time.is_some() {
        walk.inconsistent(&node.path, Inconsistency::OneDwell);
    }
    Breaker {
        dwell,
        dwell_time,
        series: node.reading(walk, &BREAKER_SERIES),
        drop: node.reading(walk, &BREAKER_DROP),
        condenser: node.reading(walk, &CONDENSER),
        limit: node.optional_reading(walk, &CURRENT_LIMIT),
        clamp: node.optional_reading(walk, &BREAKER_CLAMP),
        greatest: node.reading(walk, &GREATEST_CURRENT),
    }
}

fn plug(node: &Node<'_>, walk: &mut Walk<'_>) -> Plug {
    let gap = node.reading(walk, &PLUG_GAP);
    let worn = node.optional_reading(walk, &WORN_GAP);
    if let Some(worn) = &worn
        && worn.si < gap.si
    {
        let path = node.path_of(WORN_GAP.key());
        walk.inconsistent(&path, Inconsistency::WornBelowNew { worn_m: worn.si, gap_m: gap.si });
    }
    Plug {
        gap,
        worn,
        rounded: node.pick(walk, &EDGES, [false, true]),
        cap: node.reading(walk, &CAP_OHM),
        lead: node.reading(walk, &LEAD_FARAD),
        capacitance: node.reading(walk, &PLUG_FARAD),
        fouled: node.reading(walk, &FOULED_OHM),
        burning: node.reading(walk, &BURNING_VOLTS),
    }
}
