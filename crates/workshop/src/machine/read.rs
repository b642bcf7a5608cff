//! From text to machine.

mod charging;
mod rotor;
mod spark;

use physics::crank::SliderCrank;
use quantity::{DriveRatio, Reading, Source, Unit};
use toml::de::DeTable;

use super::{
    defect::{Defect, DefectKind, Inconsistency},
    limits::{self, *},
    walk::{Node, Walk, known_keys, placeholder},
    *,
};
use crate::{document, study::warning::Warning};

/// The text of a file's bytes.
///
/// # Errors
/// [`Flaw::TooLarge`](document::Flaw::TooLarge) or [`DefectKind::NotText`], at the first bad byte.
pub fn decode(bytes: &[u8]) -> Result<&str, Defect> {
    document::fits(bytes.len()).map_err(document::Flaw::of_whole)?;
    std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        Defect { kind: DefectKind::NotText, path: String::new(), span: at..at + error.error_len().unwrap_or(1) }
    })
}

/// Reads and judges a machine file.
///
/// Warnings say what stands in for readings that are not there. Readings keep the source that the file states.
///
/// # Errors
/// All [`Defect`]s at once, in the order in which they stand in the file; beyond [`MOST_DEFECTS`](document::MOST_DEFECTS) only their number.
///
/// ```
/// let (machine, warnings) = workshop::machine::read(workshop::machine::EXAMPLES[0].1).unwrap();
/// assert_eq!(machine.engine.cylinders.len(), 2);
/// # let _ = warnings;
/// ```
pub fn read(text: &str) -> Result<(Machine, Vec<Warning>), Vec<Defect>> {
    document::fits(text.len()).map_err(|flaw| vec![flaw.of_whole()])?;
    let (walk, machine) = walked(text);
    if let Some(machine) = machine
        && walk.defects.is_empty()
    {
        return Ok((machine, walk.warnings));
    }
    Err(document::in_order(walk.defects))
}

/// The walk over a text, and what it made of it; `None` where there is no engine to judge anything by.
pub(super) fn walked(text: &str) -> (Walk<'_>, Option<Machine>) {
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut walk = Walk::new(text, !errors.is_empty());
    if let Some(newer) = document::newer(table.get_ref().get(TICKOVER.key()), TICKOVER.path, VERSION) {
        walk.defects.push(newer);
        return (walk, None);
    }
    walk.defects.extend(document::syntax(errors));
    let machine = whole(&Node::root(&table), &mut walk);
    if let Some(machine) = &machine {
        check::all(machine, &mut walk);
    }
    (walk, machine)
}

fn whole(root: &Node<'_>, walk: &mut Walk<'_>) -> Option<Machine> {
    root.refuse_unknown_in(walk, &limits::FILE);
    root.count(walk, &TICKOVER);
    let name = root.name(walk, &NAME);
    let engine = read_engine(&root.child(walk, &ENGINE)?, walk);
    let names: Vec<String> = engine.cylinders.iter().map(|cylinder| cylinder.name.clone()).collect();
    let trigger = root.child(walk, &TRIGGER).map(|node| read_trigger(&node, walk, &names));
    let crank = SliderCrank::new(0.5 * engine.stroke.si, engine.rod.si, engine.pin_offset.si).ok();
    let law = root.child(walk, &LAW).and_then(|node| read_law(&node, walk, crank.as_ref()));
    let rows = root.children(walk, &STROBE);
    let lamp = root.child_or_empty(walk, &LAMP);
    lamp.refuse_unknown_in(walk, &LAMP);
    let with = lamp.optional_name(walk, &LAMP_WITH);
    let counter = lamp.optional_name(walk, &COUNTER);
    let warnings = walk.warnings.len();
    let lamp = Lamp {
        delay: lamp.reading(walk, &DELAY),
        mark: lamp.reading(walk, &MARK),
        rev_counter: lamp.reading(walk, &REV_COUNTER),
    };
    if rows.is_empty() {
        // Without readings nothing rests on the lamp.
        walk.warnings.truncate(warnings);
    }
    let strobe = rows
        .iter()
        .map(|row| {
            row.refuse_unknown_in(walk, &STROBE);
            StrobeReading {
                cylinder: row.cylinders(walk, &STROBE_CYLINDER, &names).first().copied(),
                speed: with_instrument(row.reading(walk, &STROBE_SPEED), &counter),
                advance: with_instrument(row.reading(walk, &STROBE_ADVANCE), &with),
                trend: row.pick(walk, &TREND, [Trend::Held, Trend::Rising, Trend::Falling]),
            }
        })
        .collect();
    let idle = root.child(walk, &IDLE).map(|node| {
        node.refuse_unknown_in(walk, &IDLE);
        IdleSeen {
            speed: node.reading(walk, &IDLE_SPEED),
            hangs_at: node.optional_reading(walk, &HANGS_AT),
            clutch_pulls_down: node.flag(walk, &CLUTCH),
            tried: Tried {
                snap_brings_down: node.choice(walk, &SNAP).map(|word| word == 1),
                choke: node
                    .choice(walk, &CHOKE)
                    .map(|word| [ChokeSeen::NoChange, ChokeSeen::ComesDown, ChokeSeen::Dies][word.min(2)]),
                mist_changes: node.choice(walk, &MIST).map(|word| word == 1),
                falling_earlier: node.optional_reading(walk, &FALLING_EARLIER),
            },
            rev_counter: node.optional_reading(walk, &IDLE_COUNTER),
            screw_lift: node.optional_reading(walk, &SCREW_LIFT),
            nudges: node.rows(walk, &NUDGE, |row, walk| Nudge {
                turned: row.reading(walk, &NUDGE_TURNED),
                speed: row.reading(walk, &NUDGE_SPEED),
            }),
            screws: node.rows(walk, &SCREW, |row, walk| ScrewTurned {
                turns: row.reading(walk, &SCREW_TURNS),
                speed: row.reading(walk, &SCREW_SPEED),
            }),
            run_downs: node.rows(walk, &RUN_DOWN, |row, walk| RunDown {
                from: row.reading(walk, &RUN_DOWN_FROM),
                to: row.reading(walk, &RUN_DOWN_TO),
                takes: row.reading(walk, &RUN_DOWN_TAKES),
            }),
        }
    });
    let rotor = root.child(walk, &ROTOR).map(|node| rotor::read_rotor(&node, walk));
    let ignition = spark::read_ignition(root, walk);
    let electric = charging::read_electric(root, walk);
    Some(Machine { name, engine, trigger, law, strobe, lamp, idle, rotor, ignition, electric })
}

/// Gives a reading that names no source the instrument of its section.
fn with_instrument(reading: Reading, instrument: &Option<String>) -> Reading {
    match (&reading.source, instrument) {
        (Source::NotStated, Some(with)) => reading.from_source(Source::Measured { with: with.clone() }),
        _ => reading,
    }
}

fn read_engine(node: &Node<'_>, walk: &mut Walk<'_>) -> Engine {
    node.refuse_unknown_in(walk, &ENGINE);
    let strokes = node.count(walk, &STROKES);
    if strokes == Some(3) {
        walk.inconsistent(STROKES.path, Inconsistency::ThreeStrokes);
    }
    let cylinders = node
        .children(walk, &CYLINDER)
        .iter()
        .map(|cylinder| {
            cylinder.refuse_unknown_in(walk, &CYLINDER);
            Cylinder { name: cylinder.name(walk, &CYLINDER_NAME), fires_at: cylinder.reading(walk, &FIRES_AT) }
        })
        .collect();
    let stroke = node.reading(walk, &STROKE);
    let rod = node.optional_reading(walk, &ROD).unwrap_or_else(|| {
        walk.warnings.push(Warning::DefaultUsed { field: ROD.path });
        guessed_rod(&stroke)
    });
    Engine {
        strokes: if strokes == Some(2) { Strokes::Two } else { Strokes::Four },
        cylinders,
        bore: node.reading(walk, &BORE),
        stroke,
        rod,
        pin_offset: node.reading(walk, &PIN_OFFSET),
        compression_ratio: node.reading(walk, &COMPRESSION),
        valves: node.child(walk, &VALVES).map(|node| read_valves(&node, walk)),
        inlet: node.child(walk, &INLET).map(|node| {
            node.refuse_unknown_in(walk, &INLET);
            Inlet {
                arrangement: node.pick(walk, &ARRANGEMENT, [Arrangement::Own, Arrangement::Shared]),
                volume: node.reading(walk, &INLET_VOLUME),
                throttle_bore: node.reading(walk, &THROTTLE_BORE),
            }
        }),
        inertia: node.reading(walk, &INERTIA),
        rotor_mass: node.optional_reading(walk, &ROTOR_MASS),
        top_speed: node.reading(walk, &TOP_SPEED),
        kicking_speed: node.reading(walk, &KICKING),
        octane: node.reading(walk, &OCTANE),
        mixture: node.reading(walk, &MIXTURE),
        burn_factor: node.reading(walk, &BURN),
        burn_scatter: node.reading(walk, &BURN_SCATTER),
        friction_factor: node.reading(walk, &FRICTION_FACTOR),
        friction_slope: node.optional_reading(walk, &FRICTION_SLOPE),
        ambient_pressure: node.reading(walk, &PRESSURE),
        ambient_temperature: node.reading(walk, &TEMPERATURE),
    }
}

/// Twice the stroke, give or take a tenth: usually within 0.5° when travel is turned into degrees (common practice, no
/// source).
fn guessed_rod(stroke: &Reading) -> Reading {
    let si = 2.0 * stroke.si;
    Reading { si, plus_minus_si: 0.1 * si, unit: Unit::Millimetre, source: Source::Default }
}

/// A count that its limits keep below 256; one stands in for a bad one.
fn small_count(node: &Node<'_>, walk: &mut Walk<'_>, field: &'static Field) -> u8 {
    node.count(walk, field).and_then(|count| u8::try_from(count).ok()).unwrap_or(1)
}

fn read_valves(node: &Node<'_>, walk: &mut Walk<'_>) -> Valves {
    node.refuse_unknown_in(walk, &VALVES);
    Valves {
        inlet_opens: node.reading(walk, &INLET_OPENS),
        inlet_closes: node.reading(walk, &INLET_CLOSES),
        exhaust_opens: node.reading(walk, &EXHAUST_OPENS),
        exhaust_closes: node.reading(walk, &EXHAUST_CLOSES),
        inlet_diameter: node.reading(walk, &INLET_DIAMETER),
        exhaust_diameter: node.reading(walk, &EXHAUST_DIAMETER),
        inlet_lift: node.reading(walk, &INLET_LIFT),
        exhaust_lift: node.reading(walk, &EXHAUST_LIFT),
        inlet_count: small_count(node, walk, &INLET_COUNT),
        exhaust_count: small_count(node, walk, &EXHAUST_COUNT),
    }
}

fn read_trigger(node: &Node<'_>, walk: &mut Walk<'_>, names: &[String]) -> Trigger {
    node.refuse_unknown_in(walk, &TRIGGER);
    let arc = node.optional_reading(walk, &SEGMENT_ARC);
    let chord = node.optional_reading(walk, &SEGMENT_CHORD);
    if arc.is_some() == chord.is_some() {
        let path = if arc.is_some() { SEGMENT_CHORD.path } else { &node.path };
        walk.inconsistent(path, Inconsistency::ArcOrChord);
    }
    let segment = match (arc, chord) {
        (None, Some(chord)) => SegmentLength::Chord(chord),
        (Some(arc), _) => SegmentLength::Arc(arc),
        // Noted above.
        (None, None) => SegmentLength::Arc(placeholder()),
    };
    Trigger {
        drive: node.pick(walk, &DRIVE, [DriveRatio::CRANK, DriveRatio::CAM]),
        turns: node.pick(walk, &TURNS, [Turns::Clockwise, Turns::Anticlockwise]),
        seen_from: node.pick(walk, &SEEN_FROM, [SeenFrom::CoverSide, SeenFrom::EngineSide]),
        rim_diameter: node.reading(walk, &RIM),
        segment,
        lead: node.reading(walk, &LEAD),
        segment_width: node.optional_reading(walk, &SEGMENT_WIDTH),
        segment_height: node.optional_reading(walk, &SEGMENT_HEIGHT),
        pickups: node
            .children(walk, &PICKUP)
            .iter()
            .map(|node| {
                node.refuse_unknown_in(walk, &PICKUP);
                Pickup {
                    fires: node.cylinders(walk, &FIRES, names),
                    place_error: node.reading(walk, &PLACE_ERROR),
                    gap: node.reading(walk, &GAP),
                    polarity: node.pick(walk, &POLARITY, [Polarity::Right, Polarity::Reversed, Polarity::Unknown]),
                    pulse: node.child(walk, &PULSE).map(|node| {
                        node.refuse_unknown_in(walk, &PULSE);
                        PulseSeen {
                            volts: node.reading(walk, &VOLTS),
                            speed: node.reading(walk, &PULSE_SPEED),
                            threshold: node.reading(walk, &THRESHOLD),
                        }
                    }),
                }
            })
            .collect(),
    }
}

fn read_law(node: &Node<'_>, walk: &mut Walk<'_>, crank: Option<&SliderCrank>) -> Option<LawData> {
    let variant = &LAW.variants[node.choice(walk, &LAW_KIND)?];
    let mut known = known_keys(LAW.fields, LAW.sections);
    known.extend(known_keys(variant.fields, variant.sections));
    node.refuse_unknown(walk, &known);
    Some(match variant.kind {
        "ramp" => LawData::Ramp { start: node.reading(walk, &START), full: node.reading(walk, &FULL) },
        "two-edge" => LawData::TwoEdge { start: node.reading(walk, &START), full: node.reading(walk, &FULL) },
        "table" => LawData::Table(
            node.children(walk, &POINT)
                .iter()
                .map(|point| {
                    point.refuse_unknown_in(walk, &POINT);
                    (point.reading(walk, &POINT_SPEED), angle(point, walk, &POINT_ADVANCE, crank))
                })
                .collect(),
        ),
        "fixed" => LawData::Fixed(angle(node, walk, &FIXED_ADVANCE, crank)),
        _ => LawData::BobWeights(BobWeightData {
            drive: node.pick(walk, &BOB_DRIVE, [DriveRatio::CRANK, DriveRatio::CAM]),
            static_advance: node.reading(walk, &STATIC_ADVANCE),
            range: node.reading(walk, &ADVANCE_RANGE),
            count: small_count(node, walk, &WEIGHTS),
            mass: node.reading(walk, &WEIGHT_MASS),
            pivot_radius: node.reading(walk, &PIVOT_RADIUS),
            arm: node.reading(walk, &ARM),
            rest_angle: node.reading(walk, &REST_ANGLE),
            cam_per_swing: node.reading(walk, &CAM_PER_SWING),
            spring_arm: node.reading(walk, &SPRING_ARM),
            first_rate: node.reading(walk, &FIRST_RATE),
            first_preload: node.reading(walk, &FIRST_PRELOAD),
            second_rate: node.optional_reading(walk, &SECOND_RATE),
            second_gap: node.optional_reading(walk, &SECOND_GAP),
            friction: node.reading(walk, &BOB_FRICTION),
        }),
    })
}

/// An advance of a law as an angle: piston travel is turned into one, its ± with the slope there.
fn angle(node: &Node<'_>, walk: &mut Walk<'_>, field: &'static Field, crank: Option<&SliderCrank>) -> Reading {
    let reading = node.reading(walk, field);
    if !matches!(reading.unit, Unit::MillimetreBtdc | Unit::InchBtdc) {
        return reading;
    }
    let Some(crank) = crank else { return reading };
    let Some(before_top) = crank.before_top(reading.si) else {
        let kind = Inconsistency::TravelExceedsStroke { travel_m: reading.si, stroke_m: crank.piston_stroke_m() };
        walk.inconsistent(&node.path_of(field.key()), kind);
        return reading;
    };
    let slope = crank.travel_rate(-before_top).abs();
    let plus_minus_si = if reading.plus_minus_si > 0.0 { reading.plus_minus_si / slope } else { 0.0 };
    Reading { si: before_top.radians(), plus_minus_si, unit: Unit::DegreeBtdc, source: reading.source }
}
