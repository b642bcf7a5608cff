//! Readings of the rotor that cannot all be true.

use crate::words::{en::reading::short, mm, mm_to_hundredth, mpa};
use workshop::machine::Inconsistency as Odd;

/// What is wrong, and what to do; `None` where it is nothing of the rotor.
pub fn sentence(what: &Odd, path: &str) -> Option<String> {
    Some(match what {
        Odd::SamePiece => format!("{path}: two pieces have this name. Give each its own."),
        Odd::NoSuchPiece { found, did_you_mean, known } => match did_you_mean {
            Some(near) => format!("there is no piece “{}”. Did you mean “{near}”?", short(found)),
            None if known.is_empty() => format!("there is no piece “{}”. Add the pieces of the section first.", short(found)),
            None => format!("there is no piece “{}”. There are: {}.", short(found), known.join(", ")),
        },
        Odd::NoPieces => format!("{path} needs the pieces of the rotor's section. Add them, each under [[rotor.piece]]."),
        Odd::EndsWithoutLength => format!(
            "{path} lies where it begins, or before it. Both are measured from the engine-side face, the nearer one first."
        ),
        Odd::InsideOut { inside_m, outside_m } => format!(
            "{path}: an inside of {} is not smaller than an outside of {}. Both are diameters.",
            mm(*inside_m),
            mm(*outside_m)
        ),
        Odd::PiecesOverlap { other, at_m } => format!(
            "{path} takes the same room as “{}”, {} from the engine-side face. Where two pieces meet, give both the same diameter or the same place.",
            short(other),
            mm(*at_m)
        ),
        Odd::PieceLoose => {
            format!("{path} touches no other piece. Where two pieces meet, give both the same diameter or the same place.")
        }
        Odd::HoleOutsideMetal { at_m } => format!(
            "{path} leaves the metal {} from the engine-side face. A hole must lie in one piece at every place; check circle, diameter, and where it begins and ends.",
            mm(*at_m)
        ),
        Odd::HolesMeet => {
            format!("{path}: the holes run into each other, or into another row. Check their number, circle and diameter.")
        }
        Odd::MagnetsNoRing => format!(
            "{path}: these magnets cover more than a turn, or end where they begin. Check number, arc, places and diameters."
        ),
        Odd::MagnetInMetal { piece } => format!(
            "{path} takes the same room as the piece “{}”. Give the seat and the magnets' back the same diameter.",
            short(piece)
        ),
        Odd::MagnetsMeet => format!("{path} takes the same room as magnets before it."),
        Odd::MagnetNotSeated { gap_m: Some(gap) } => format!(
            "{path} stands {} clear of the metal that it sits on. Check its diameters, and whether it sits inside the rim or outside the hub.",
            mm_to_hundredth(*gap)
        ),
        Odd::MagnetNotSeated { gap_m: None } => format!(
            "{path} has no metal behind it along its whole length. Check its places, and whether it sits inside the rim or outside the hub."
        ),
        Odd::ZoneDiametersOnSide => {
            format!(
                "{path}: an outside or an inside is cut all along. Take the least and greatest diameter out, or name an end face."
            )
        }
        Odd::ZoneOffFace { inside_m, outside_m } => {
            format!("{path} does not lie on its face, which goes from {} to {} in diameter.", mm(*inside_m), mm(*outside_m))
        }
        Odd::CutThrough { deepest_m, wall_m } => {
            format!("{path}: a cut of {} goes through a wall of {}.", mm(*deepest_m), mm(*wall_m))
        }
        Odd::WiresWithoutLength => format!("{path}: a swing on wires needs their length. Give it, or write on = \"knife edge\"."),
        Odd::WiresOnKnifeEdge => {
            format!(
                "{path}: on a knife edge there is no wire and no plate. Leave length and plate away, or write on = \"wires\"."
            )
        }
        Odd::DiscDidNothing => {
            format!(
                "{path}: with the disc the run-down must take longer than without it. Read both again, between the same two speeds."
            )
        }
        Odd::CoilsIncomplete => format!("{path}: coils in series and the ring's teeth go together. Give both or neither."),
        Odd::MoreCoilsThanTeeth { coils, teeth } => format!("{path}: {coils} coils do not go on {teeth} teeth. Count again."),
        Odd::PlateIncomplete => format!("{path}: a plate needs both its mass and the time of its own swing."),
        Odd::ProofAboveTensile { proof_pa, tensile_pa } => format!(
            "{path}: a proof stress of {} lies above the tensile strength of {}. Are they exchanged?",
            mpa(*proof_pa),
            mpa(*tensile_pa)
        ),
        other => return held(other, path),
    })
}

/// What holds the rotor, and what was read to balance it.
fn held(what: &Odd, path: &str) -> Option<String> {
    Some(match what {
        Odd::PointsNotRising => format!("{path}: the temperatures must rise from point to point. Put them in order, each once."),
        Odd::KeyIncomplete => format!("{path}: a key needs its width, height and length. Give all three or none."),
        Odd::TaperToAPoint { small_m } => format!(
            "{path}: over this length the taper would come down to {}. Check diameter, length and ratio; a ratio is 0.2 for 1 in 5.",
            mm(*small_m)
        ),
        Odd::HubInsideTaper { hub_m, large_m } => {
            format!("{path}: a boss of {} cannot hold a bore of {}.", mm(*hub_m), mm(*large_m))
        }
        Odd::FaceInsideThread { face_m, thread_m } => {
            format!("{path}: a face of {} has no room outside a thread of {}.", mm(*face_m), mm(*thread_m))
        }
        Odd::PitchTooCoarse { pitch_m, diameter_m } => {
            format!("{path}: a pitch of {} leaves a thread of {} no core.", mm_to_hundredth(*pitch_m), mm(*diameter_m))
        }
        Odd::BoltsIncomplete => {
            format!("{path}: a plate with bolts needs their number (bolts) and the diameter of their circle (circle).")
        }
        Odd::TrialIncomplete => {
            format!("{path}: a trial weight needs its mass, radius and place (at). A run without a weight has none of them.")
        }
        _ => return None,
    })
}
