//! What a machine file says of the rotor in the hand.

use workshop::machine::{
    DefectKind, EXAMPLES, Inconsistency as Odd,
    metal::{METALS, MagnetMaterial, WORDS},
    read,
};
use workshop::study::warning::Warning;

const CORRAN: &str = EXAMPLES[0].1;

/// The only inconsistency of the Corran with one piece of its text replaced, and its path.
fn odd(from: &str, to: &str) -> (Odd, String) {
    assert_eq!(CORRAN.matches(from).count(), 1, "{from:?} must stand there once");
    let mut found = read(&CORRAN.replacen(from, to, 1)).expect_err("must be refused");
    assert_eq!(found.len(), 1, "{found:#?}");
    let defect = found.remove(0);
    let DefectKind::Inconsistent(kind) = defect.kind else { panic!("{:?}", defect.kind) };
    assert!(!defect.span.is_empty(), "{} has no place", defect.path);
    (kind, defect.path)
}

#[test]
fn metals_stand_in_the_order_of_their_words() {
    assert_eq!(METALS.map(|m| m.word), WORDS);
    for metal in METALS {
        assert!(metal.proof_pa.0 <= metal.tensile_pa.0, "{}", metal.word);
        assert!(metal.poisson.0 < 0.5 && metal.density_kg_m3.1 < 0.05 * metal.density_kg_m3.0);
    }
    // Handbook ranges: steel 7800 to 7870 kg/m³ and aluminium 2700 (from memory), hard ferrite 4600 to 5100, sintered rare earth 7400 to 7700 (makers' pages).
    let range = |(value, half): (f64, f64)| (value - half, value + half);
    let (least, most) = range(METALS[0].density_kg_m3);
    assert!(least >= 7800.0 && most <= 7870.0);
    assert_eq!(METALS[6].density_kg_m3.0, 2700.0);
    assert_eq!(range(MagnetMaterial::Ferrite.density_kg_m3()), (4600.0, 5100.0));
    assert_eq!(range(MagnetMaterial::RareEarth.density_kg_m3()), (7400.0, 7700.0));
}

#[test]
fn the_corran_has_a_rotor() {
    let (machine, _) = read(CORRAN).unwrap();
    let rotor = machine.rotor.expect("a rotor");
    assert_eq!(rotor.pieces.len(), 3);
    assert_eq!(rotor.metal.map(|m| m.word), Some("forged steel"));
    assert_eq!(rotor.zones[0].piece, 1);
    assert_eq!(rotor.pieces[0].outside.si, machine.trigger.expect("a trigger").rim_diameter.si);
    for (_, text) in &EXAMPLES[1..] {
        assert!(read(text).unwrap().0.rotor.is_none());
    }
}

#[test]
fn parts_that_do_not_fit_are_refused_with_their_place() {
    let web = "name = \"web\"\npart = \"web\"\nfrom = { value = \"32.4 ± 0.1 mm\", with = \"depth gauge\" }\nto = { value = \"40.0 ± 0.1 mm\", with = \"caliper\" }\noutside = { value = \"96.0 ± 0.1 mm\"";
    let (kind, path) = odd(web, &web.replace("96.0", "97.0"));
    assert!(matches!(kind, Odd::PiecesOverlap { other, at_m } if other == "rim" && at_m > 0.032));
    assert_eq!(path, "rotor.piece[1]");
    let (kind, path) = odd("name = \"boss\"", "name = \"rim\"");
    assert_eq!((kind, path.as_str()), (Odd::SamePiece, "rotor.piece[2].name"));
    let (kind, _) = odd("inside = { value = \"19.6 ± 0.1 mm\"", "inside = { value = \"41 mm\"");
    assert!(matches!(kind, Odd::InsideOut { .. }));
    let (kind, path) = odd("on_circle = { value = \"62.0", "on_circle = { value = \"44.0");
    assert!(matches!(kind, Odd::HoleOutsideMetal { .. }) && path == "rotor.hole[0]");
    assert_eq!(odd("diameter = { value = \"6.8", "diameter = { value = \"60").0, Odd::HolesMeet);
    let magnets = "outside = { value = \"96.0 ± 0.1 mm\", with = \"caliper\" }\ninside = { value = \"83";
    let (kind, path) = odd(magnets, &magnets.replace("96.0", "94.0"));
    assert!(matches!(kind, Odd::MagnetNotSeated { gap_m: Some(gap) } if (gap - 1e-3).abs() < 1e-9), "{kind:?}");
    assert_eq!(path, "rotor.magnet[0]");
    let (kind, _) = odd(magnets, &magnets.replace("96.0", "97.0"));
    assert!(matches!(kind, Odd::MagnetInMetal { piece } if piece == "rim"));
    assert!(matches!(odd("sits = \"inside the rim\"", "sits = \"outside the hub\"").0, Odd::MagnetNotSeated { .. }));
    assert_eq!(odd("arc = { value = \"50 ± 1°\"", "arc = { value = \"61°\"").0, Odd::MagnetsNoRing);
    let (kind, path) = odd("piece = \"web\"", "piece = \"wed\"");
    assert!(matches!(kind, Odd::NoSuchPiece { did_you_mean: Some(near), .. } if near == "web"));
    assert_eq!(path, "rotor.zone[0].piece");
    assert!(matches!(odd("greatest = { value = \"92 mm\"", "greatest = { value = \"98 mm\"").0, Odd::ZoneOffFace { .. }));
    assert_eq!(odd("face = \"outside\"", "face = \"outside\"\nleast = \"20 mm\"").0, Odd::ZoneDiametersOnSide);
    assert!(matches!(odd("deepest = \"1.8 mm\"", "deepest = \"8 mm\"").0, Odd::CutThrough { .. }));
    assert_eq!(odd("[rotor.swing]", "[rotor.swing]\nplate_mass = \"300 ± 1 g\"").0, Odd::PlateIncomplete);
    let wires = "length = { value = \"600 ± 1 mm\", with = \"tape\" }\n";
    assert_eq!(odd(wires, "").0, Odd::WiresWithoutLength);
    assert_eq!(odd("on = \"wires\"", "on = \"knife edge\"").0, Odd::WiresOnKnifeEdge);
    let runs = |with: &str| {
        format!("[rotor.run_down]\ndisc = \"0.003 kg·m²\"\nwithout = \"2.0 s\"\nwith_disc = \"{with}\"\n\n[rotor.swing]")
    };
    assert_eq!(odd("[rotor.swing]", &runs("1.9 s")).0, Odd::DiscDidNothing);
    assert_eq!(odd("[rotor.flux]", "[rotor.flux]\ncoils = 4").0, Odd::CoilsIncomplete);
    assert_eq!(odd("[rotor.flux]", "[rotor.flux]\ncoils = 7\nteeth = 6").0, Odd::MoreCoilsThanTeeth { coils: 7, teeth: 6 });
    let stresses = "metal = \"forged steel\"\nproof_stress = \"500 ± 20 MPa\"\ntensile_strength = \"400 ± 20 MPa\"";
    assert!(matches!(odd("metal = \"forged steel\"", stresses).0, Odd::ProofAboveTensile { .. }));
}

#[test]
fn a_rotor_slower_than_its_engine_is_said() {
    let text = CORRAN.replacen("\"9500 rpm\"", "\"8500 rpm\"", 1);
    let (_, warnings) = read(&text).unwrap();
    assert!(warnings.iter().any(|w| matches!(w, Warning::RotorSlowerThanEngine { .. })));
    assert!(!read(CORRAN).unwrap().1.iter().any(|w| matches!(w, Warning::RotorSlowerThanEngine { .. })));
}

/// Putty on knife edges as the file has it; a mass of nothing is a reading, a mass below nothing is not.
#[test]
fn putty_on_knife_edges_is_read() {
    let with = |grams: &str| {
        let row = format!(
            "\n[[rotor.balance.edges]]\nmass = \"{grams} ± 0.1 g\"\nradius = \"47 ± 1 mm\"\nat = \"132 ± 3°\"\n\n[spark]\n"
        );
        assert_eq!(CORRAN.matches("\n[spark]\n").count(), 1);
        read(&CORRAN.replacen("\n[spark]\n", &row, 1))
    };
    for (grams, kg) in [("1.3", 1.3e-3), ("0", 0.0)] {
        let balance = with(grams).unwrap().0.rotor.and_then(|r| r.held.balance).expect("a balance");
        let [[mass, radius, at]] = &balance.edges[..] else { panic!("{:?}", balance.edges) };
        assert!((mass.si - kg).abs() < 1e-12 && (radius.si - 0.047).abs() < 1e-12);
        assert!((at.si.to_degrees() - 132.0).abs() < 1e-9);
    }
    assert!(with("-1").is_err());
}
