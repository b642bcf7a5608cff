//! The rotor's pieces, holes, magnets and zones set against each other.

use physics::rotor::solid::{Magnets, NotARotor, SLACK_M, Solid};
use quantity::Reading;

use crate::machine::{
    Machine,
    defect::Inconsistency as Odd,
    rotor::{Face, Magnet, Part, Rotor, Sits},
    walk::Walk,
};
use crate::study::{
    Finding,
    doubt::{finding, input},
    warning::{BoreNumber, Warning},
};

/// Any density serves to judge whether parts fit [kg/m³] (own choice).
const SOME: f64 = 1000.0;
/// A magnet counts as seated where its face is within this of the metal's [m] (own choice): a thick bond line, and the play of a caliper on either.
const SEATED_M: f64 = 0.4e-3;

pub(super) fn rotor(machine: &Machine, walk: &mut Walk<'_>) {
    let Some(rotor) = &machine.rotor else { return };
    for (i, piece) in rotor.pieces.iter().enumerate() {
        let again = !piece.name.is_empty() && rotor.pieces[..i].iter().any(|other| other.name == piece.name);
        if again {
            walk.inconsistent(&format!("rotor.piece[{i}].name"), Odd::SamePiece);
        }
    }
    if let (Some(proof), Some(tensile)) = (&rotor.proof_stress, &rotor.tensile_strength)
        && proof.si > tensile.si
    {
        walk.inconsistent("rotor.proof_stress", Odd::ProofAboveTensile { proof_pa: proof.si, tensile_pa: tensile.si });
    }
    if let Some(top) = &rotor.top_speed {
        let turns = machine.trigger.as_ref().map_or(1.0, |t| t.drive.turns_per_crank_turn());
        let engine = machine.engine.top_speed.si * turns;
        if top.si < engine {
            walk.warnings
                .push(crate::study::warning::Warning::RotorSlowerThanEngine { rotor_rad_s: top.si, engine_rad_s: engine });
        }
    }
    if fits(rotor, walk) {
        seats(rotor, walk);
        bore(rotor, walk);
        zones(rotor, walk);
    }
}

/// Whether all parts fit; the first that does not is noted.
fn fits(rotor: &Rotor, walk: &mut Walk<'_>) -> bool {
    if rotor.pieces.is_empty() {
        let needs = [("rotor.hole", rotor.holes.is_empty()), ("rotor.magnet", rotor.magnets.is_empty())];
        needs.iter().filter(|(_, none)| !none).for_each(|(path, _)| walk.inconsistent(path, Odd::NoPieces));
        return false;
    }
    let pieces: Vec<_> = rotor.pieces.iter().map(|p| p.solid(SOME)).collect();
    let holes: Vec<_> = rotor.holes.iter().map(|h| h.solid()).collect();
    let magnets: Vec<Magnets> = rotor.magnets.iter().map(|m| m.solid(SOME)).collect();
    // A reading that could not be read has its own defect, and proves nothing here.
    let numbers = pieces.iter().flat_map(|p| [p.from_m, p.to_m, p.outside_m[0], p.outside_m[1], p.inside_m[0], p.inside_m[1]]);
    let drilled = holes.iter().flat_map(|h| [h.circle_m, h.radius_m, h.from_m, h.to_m]);
    let hung = magnets.iter().flat_map(|m| [m.from_m, m.to_m, m.inside_m, m.outside_m, m.arc_rad]);
    if numbers.chain(drilled).chain(hung).any(f64::is_nan) {
        return false;
    }
    let Err(odd) = Solid::new(pieces, holes, magnets) else { return true };
    let name = |k: usize| rotor.pieces[k].name.clone();
    let (path, kind) = match odd {
        NotARotor::Empty => return false,
        NotARotor::BadPiece { piece } => (format!("rotor.piece[{piece}].to"), Odd::EndsWithoutLength),
        NotARotor::InsideOut { piece, inside_m, outside_m } => {
            (format!("rotor.piece[{piece}].inside"), Odd::InsideOut { inside_m: 2.0 * inside_m, outside_m: 2.0 * outside_m })
        }
        NotARotor::Overlap { first, second, at_m } => {
            (format!("rotor.piece[{second}]"), Odd::PiecesOverlap { other: name(first), at_m })
        }
        NotARotor::Loose { piece } => (format!("rotor.piece[{piece}]"), Odd::PieceLoose),
        NotARotor::BadHoles { holes } => (format!("rotor.hole[{holes}].to"), Odd::EndsWithoutLength),
        NotARotor::HoleOutside { holes, at_m } => (format!("rotor.hole[{holes}]"), Odd::HoleOutsideMetal { at_m }),
        NotARotor::HolesMeet { second, .. } => (format!("rotor.hole[{second}]"), Odd::HolesMeet),
        NotARotor::BadMagnets { magnets } => (format!("rotor.magnet[{magnets}]"), Odd::MagnetsNoRing),
        NotARotor::MagnetInMetal { magnets, piece } => {
            (format!("rotor.magnet[{magnets}]"), Odd::MagnetInMetal { piece: name(piece) })
        }
        NotARotor::MagnetsMeet { second, .. } => (format!("rotor.magnet[{second}]"), Odd::MagnetsMeet),
    };
    walk.inconsistent(&path, kind);
    false
}

/// Every magnet touches the metal that it sits on, all along.
fn seats(rotor: &Rotor, walk: &mut Walk<'_>) {
    for (i, magnet) in rotor.magnets.iter().enumerate() {
        let gap_m = gap(rotor, magnet);
        if gap_m.is_none_or(|gap| gap > SEATED_M) {
            walk.inconsistent(&format!("rotor.magnet[{i}]"), Odd::MagnetNotSeated { gap_m });
        }
    }
}

/// Greatest gap between a magnet and its seat, at its two ends [m]; `None` where there is no metal behind it.
fn gap(rotor: &Rotor, magnet: &Magnet) -> Option<f64> {
    let at = |z: f64| {
        let pieces = rotor.pieces.iter().map(|p| p.solid(SOME)).filter(|p| p.from_m <= z + SLACK_M && p.to_m >= z - SLACK_M);
        let gaps = pieces.map(|p| match magnet.sits {
            Sits::InsideRim => p.inside_at(z) - 0.5 * magnet.outside.si,
            Sits::OutsideHub => 0.5 * magnet.inside.si - p.outside_at(z),
        });
        gaps.filter(|gap| *gap > -SLACK_M).min_by(f64::total_cmp)
    };
    Some(at(magnet.from.si)?.max(at(magnet.to.si)?))
}

/// The bore of the boss that is a cone is the seat on the taper: the same ends and the same ratio, within both ±.
fn bore(rotor: &Rotor, walk: &mut Walk<'_>) {
    let Some(taper) = &rotor.held.taper else { return };
    let cone = rotor.pieces.iter().find(|p| p.part == Part::Boss && p.inside_at_to.is_some());
    let Some(cone) = cone.or_else(|| rotor.pieces.iter().find(|p| p.part == Part::Boss)) else { return };
    let [a, b] = cone.insides();
    let (large, small) = if a.si >= b.si { (a, b) } else { (b, a) };
    let ratio = taper.hub_ratio.as_ref().unwrap_or(&taper.ratio);
    let own = [input(large), input(small), input(&cone.from), input(&cone.to)];
    let seat = [input(&taper.large_diameter), input(ratio), input(&taper.length)];
    let numbers = [
        (BoreNumber::LargeEnd, Finding::of(&taper.large_diameter), Finding::of(large)),
        (BoreNumber::SmallEnd, finding(|x| x[0] - x[1] * x[2], &seat), Finding::of(small)),
        (BoreNumber::Ratio, Finding::of(ratio), finding(|x| (x[0] - x[1]) / (x[3] - x[2]), &own)),
    ];
    for (number, taper, section) in numbers {
        if (taper.si - section.si).abs() > taper.plus_minus_si + section.plus_minus_si {
            walk.warnings.push(Warning::BoreNotTheTaper { number, taper, section });
        }
    }
}

/// Every zone lies on its face, and leaves something of its piece.
fn zones(rotor: &Rotor, walk: &mut Walk<'_>) {
    for (i, zone) in rotor.zones.iter().enumerate() {
        let Some(piece) = rotor.pieces.get(zone.piece) else { continue };
        let at = match zone.face {
            Face::CoverSide => 1,
            _ => 0,
        };
        let (inside, outside) = (piece.insides()[at].si, piece.outsides()[at].si);
        let end_face = matches!(zone.face, Face::CoverSide | Face::EngineSide);
        let of = |reading: &Option<Reading>, whole: f64| reading.as_ref().map_or(whole, |r| r.si);
        let (least, greatest) = (of(&zone.least, inside), of(&zone.greatest, outside));
        if !end_face && (zone.least.is_some() || zone.greatest.is_some()) {
            walk.inconsistent(&format!("rotor.zone[{i}]"), Odd::ZoneDiametersOnSide);
        } else if end_face && (least < inside - SLACK_M || greatest > outside + SLACK_M || least >= greatest) {
            walk.inconsistent(&format!("rotor.zone[{i}]"), Odd::ZoneOffFace { inside_m: inside, outside_m: outside });
        }
        let wall = if end_face { piece.to.si - piece.from.si } else { 0.5 * (outside - inside) };
        if zone.deepest.si >= wall {
            walk.inconsistent(&format!("rotor.zone[{i}].deepest"), Odd::CutThrough { deepest_m: zone.deepest.si, wall_m: wall });
        }
    }
}
