//! The rotor's part of the file.

use super::small_count;
use crate::machine::{
    defect::Inconsistency,
    held,
    limits::*,
    metal::{METALS, MagnetMaterial, Metal},
    rotor::{Face, Grade, Hole, Hung, Keyway, Magnet, Part, Piece, Plate, Purpose, Rotor, RunDown, Sits, Swing, Zone},
    walk::{Node, Walk, most_like},
};

pub(super) fn read_rotor(node: &Node<'_>, walk: &mut Walk<'_>) -> Rotor {
    node.refuse_unknown_in(walk, &ROTOR);
    let pieces = node.rows(walk, &PIECE, |row, walk| Piece {
        name: row.name(walk, &PIECE_NAME),
        part: row.pick(walk, &PART, [Part::Boss, Part::Web, Part::Rim]),
        from: row.reading(walk, &FROM),
        to: row.reading(walk, &TO),
        outside: row.reading(walk, &OUTSIDE),
        inside: row.reading(walk, &INSIDE),
        outside_at_to: row.optional_reading(walk, &OUTSIDE_AT_TO),
        inside_at_to: row.optional_reading(walk, &INSIDE_AT_TO),
        metal: metal(row, walk, &PIECE_METAL),
    });
    let holes = node.rows(walk, &HOLE, |row, walk| Hole {
        purpose: row.pick(walk, &PURPOSE, [Purpose::Puller, Purpose::Bolt, Purpose::Lightening, Purpose::Other]),
        count: small_count(row, walk, &HOLES),
        on_circle: row.reading(walk, &ON_CIRCLE),
        diameter: row.reading(walk, &HOLE_DIAMETER),
        from: row.reading(walk, &HOLE_FROM),
        to: row.reading(walk, &HOLE_TO),
        at: row.optional_reading(walk, &HOLE_AT),
    });
    let magnets = node.rows(walk, &MAGNET, |row, walk| Magnet {
        material: row.pick(walk, &MATERIAL, [MagnetMaterial::Ferrite, MagnetMaterial::RareEarth, MagnetMaterial::Alnico]),
        sits: row.pick(walk, &SITS, [Sits::InsideRim, Sits::OutsideHub]),
        count: small_count(row, walk, &MAGNETS),
        from: row.reading(walk, &MAGNET_FROM),
        to: row.reading(walk, &MAGNET_TO),
        outside: row.reading(walk, &MAGNET_OUTSIDE),
        inside: row.reading(walk, &MAGNET_INSIDE),
        arc: row.reading(walk, &ARC),
        mass: row.optional_reading(walk, &MAGNET_MASS),
    });
    let zones = node.rows(walk, &ZONE, |row, walk| Zone {
        piece: piece(row, walk, &pieces),
        face: row.pick(walk, &FACE, [Face::CoverSide, Face::EngineSide, Face::Outside, Face::Inside]),
        least: row.optional_reading(walk, &LEAST),
        greatest: row.optional_reading(walk, &GREATEST),
        deepest: row.reading(walk, &DEEPEST),
        leave: row.reading(walk, &LEAVE),
    });
    let keyway =
        node.optional_reading(walk, &KEYWAY_DEPTH).map(|depth| Keyway { depth, corner: node.reading(walk, &KEYWAY_CORNER) });
    Rotor {
        metal: metal(node, walk, &METAL),
        density: node.optional_reading(walk, &DENSITY),
        proof_stress: node.optional_reading(walk, &PROOF_STRESS),
        tensile_strength: node.optional_reading(walk, &TENSILE_STRENGTH),
        top_speed: node.optional_reading(walk, &ROTOR_TOP_SPEED),
        corner: node.reading(walk, &CORNER),
        keyway,
        pieces,
        holes,
        magnets,
        zones,
        held: held::read(node, walk),
        swing: node.child(walk, &SWING).map(|node| swing(&node, walk)),
        run_down: node.child(walk, &DISC_RUNS).map(|node| run_down(&node, walk)),
        grade: node.child(walk, &MAGNET_GRADE).map(|node| {
            node.refuse_unknown_in(walk, &MAGNET_GRADE);
            Grade {
                remanence: node.reading(walk, &REMANENCE),
                coercivity: node.reading(walk, &COERCIVITY),
                permeance: node.reading(walk, &PERMEANCE),
                against: node.reading(walk, &AGAINST),
                knee: node.reading(walk, &KNEE),
                coldest: node.reading(walk, &COLDEST),
            }
        }),
    }
}

fn swing(node: &Node<'_>, walk: &mut Walk<'_>) -> Swing {
    node.refuse_unknown_in(walk, &SWING);
    let on_wires = node.pick(walk, &SWING_ON, [true, false]);
    let length = node.optional_reading(walk, &SWING_LENGTH);
    let plate = [&PLATE_MASS, &PLATE_PERIOD].map(|field| node.optional_reading(walk, field));
    if plate[0].is_some() != plate[1].is_some() {
        walk.inconsistent(&node.path, Inconsistency::PlateIncomplete);
    }
    if !on_wires && (length.is_some() || plate.iter().any(Option::is_some)) {
        walk.inconsistent(&node.path, Inconsistency::WiresOnKnifeEdge);
    }
    let [mass, period] = plate;
    let hung = match length {
        Some(length) if on_wires => Hung::Wires { length, plate: mass.zip(period).map(|(mass, period)| Plate { mass, period }) },
        // What is written for wires was told above.
        _ => {
            if on_wires {
                walk.inconsistent(&node.path, Inconsistency::WiresWithoutLength);
            }
            Hung::KnifeEdge
        }
    };
    Swing { hung, radius: node.reading(walk, &SWING_RADIUS), period: node.reading(walk, &SWING_PERIOD) }
}

fn run_down(node: &Node<'_>, walk: &mut Walk<'_>) -> RunDown {
    node.refuse_unknown_in(walk, &DISC_RUNS);
    let read = RunDown {
        disc: node.reading(walk, &DISC),
        without: node.reading(walk, &WITHOUT_DISC),
        with_disc: node.reading(walk, &WITH_DISC),
    };
    if read.with_disc.si <= read.without.si {
        walk.inconsistent(&node.path, Inconsistency::DiscDidNothing);
    }
    read
}

fn metal(node: &Node<'_>, walk: &mut Walk<'_>, field: &'static Field) -> Option<&'static Metal> {
    node.choice(walk, field).and_then(|k| METALS.get(k))
}

/// The piece that a zone names; where there is none that is noted, and a number that no piece has stands in.
fn piece(node: &Node<'_>, walk: &mut Walk<'_>, pieces: &[Piece]) -> usize {
    let found = node.name(walk, &ZONE_PIECE);
    let at = pieces.iter().position(|p| p.name == found);
    if at.is_none() && !found.is_empty() {
        let known: Vec<String> = pieces.iter().map(|p| p.name.clone()).collect();
        let did_you_mean = most_like(&found, known.iter().map(String::as_str)).map(str::to_owned);
        walk.inconsistent(&node.path_of(ZONE_PIECE.key()), Inconsistency::NoSuchPiece { found, did_you_mean, known });
    }
    at.unwrap_or(usize::MAX)
}
