//! What was found of the rotor: weight, inertia, stress.

use crate::words::{mm, mm_pm, mm_to_hundredth, mpa, number, percent, pm, rpm, rpm_pm};
use physics::rotor::{cup::NotACup, unevenness::VALID_TO};
use workshop::machine::{
    Machine,
    rotor::{Face, Rotor, Zone},
};
use workshop::study::{
    Check, Finding,
    rotor::{Notch, NotchKind, Place, ReturnPath, RotorStudy, Section, Strength, Stuff},
};

/// Heading of the drawing.
pub const SECTION_TITLE: &str = "The rotor in half section";
/// The side towards the engine.
pub const ENGINE_SIDE: &str = "engine side";
/// Heading.
pub const ROTOR: &str = "The rotor in the hand";
/// Heading.
pub const STRENGTH: &str = "What spin does to it";
/// Heading.
pub const LIGHTEN: &str = "What metal may come off";
/// Row of a table.
pub const MAGNETS: &str = "magnets";
/// Heads of the table of pieces.
pub const PIECES_HEAD: [&str; 3] = ["piece", "mass", "inertia"];
/// Heads of the table of notches.
pub const NOTCHES_HEAD: [&str; 4] = ["where", "radius", "smooth", "in the notch"];
/// Heads of the table of cuts: the metal.
pub const CUTS_HEAD: [&str; 6] = ["depth", "mass off", "inertia off", "wall left", "stress", "in notches"];
/// Heads of the table of cuts: what it does to the engine.
pub const ENGINE_HEAD: [&str; 6] = ["depth", "of its inertia", "bursts at", "uneven", "rev-up", "run-down"];
/// What holds for every number of this part.
pub const HOW_STRESSED: &str = "Boss, web and rim are taken as plates and shells of the thicknesses read, free at the bore; magnets pull on the rim evenly, and bend it where there are gaps. Corners, holes and keyway count by published factors. The press of the taper, where the file has the seat, stretches the boss as a thick ring at rest; that the web helps it and spin eases it is left out, and so is the press in corners and holes.";
/// What a drawing of the section shows.
pub fn section_seen(rotor: &Rotor) -> String {
    let names: Vec<&str> = rotor.pieces.iter().map(|p| p.name.as_str()).collect();
    let zones = match rotor.zones.len() {
        0 => String::new(),
        1 => " The face that may be cut is marked 1.".to_owned(),
        n => format!(" The faces that may be cut are marked 1 to {n}."),
    };
    format!("Half section to scale, the axis below, the engine on the left: {}.{zones}", names.join(", "))
}

/// `Ø 108.0 mm`.
pub fn diameter(metres: f64) -> String {
    format!("Ø\u{a0}{}", mm(metres))
}

/// `1.409 ± 0.016 kg`.
pub fn kg(f: Finding) -> String {
    format!("{}\u{a0}kg", pm(f.si, f.plus_minus_si, 3))
}

/// `62 ± 2 g`.
pub fn grams(f: Finding) -> String {
    format!("{}\u{a0}g", pm(f.si * 1e3, f.plus_minus_si * 1e3, 0))
}

/// `25.1 ± 0.3 kg·cm²`.
pub fn kg_cm2(f: Finding) -> String {
    format!("{}\u{a0}kg·cm²", pm(f.si * 1e4, f.plus_minus_si * 1e4, 2))
}

/// `37 ± 2 MPa`.
pub fn mpa_pm(f: Finding) -> String {
    format!("{}\u{a0}MPa", pm(f.si * 1e-6, f.plus_minus_si * 1e-6, 0))
}

/// Mass, centre and inertia in a sentence.
pub fn section(found: &Section) -> String {
    format!(
        "By its section it weighs {}, with its centre of mass {} from the engine-side face, and its moment of inertia is {}.",
        kg(found.mass),
        mm_pm(found.centre),
        kg_cm2(found.inertia)
    )
}

/// What was read of the whole, against what was computed: a sentence for each that is there.
pub fn checks(found: &Section) -> Vec<String> {
    let all = [found.weighed.as_ref().map(weighed), found.swung.as_ref().map(swung), found.ran_down.as_ref().map(ran_down)];
    all.into_iter().flatten().collect()
}

fn weighed(check: &Check) -> String {
    let (read, computed) = (kg(check.read), kg(check.computed));
    if check.agrees() {
        format!("The scales say {read}: they agree with the section ({computed}).")
    } else {
        format!(
            "The scales say {read}, the section {computed}: they do not agree. Look for a piece that was forgotten, a wrong diameter, or another metal."
        )
    }
}

fn swung(check: &Check) -> String {
    if !check.read.si.is_finite() {
        return "The swing was too quick for where it hung: nothing swings faster than a point at that distance. Measure the distance and the time again.".to_owned();
    }
    let (read, computed) = (kg_cm2(check.read), kg_cm2(check.computed));
    if check.agrees() {
        format!("The swing says {read}: it agrees with the section ({computed}).")
    } else {
        format!(
            "The swing says {read}, the section {computed}: they do not agree. Time more swings, measure what it hung on again, then look at the outer diameters."
        )
    }
}

fn ran_down(check: &Check) -> String {
    let (read, computed) = (kg_cm2(check.read), kg_cm2(check.computed));
    if check.agrees() {
        format!("By its run-downs all that turns with the crank has {read}: that agrees with the file ({computed}).")
    } else {
        format!(
            "By its run-downs all that turns with the crank has {read}, the file says {computed}: they do not agree. Take the run-down's value (engine.inertia), or read both run-downs again at one temperature."
        )
    }
}

/// Why the pieces do not bear each other, where that is what is missing.
pub fn not_bearing(why: &NotACup) -> String {
    match why {
        NotACup::NoDisc => "No piece is a boss or a web, so nothing holds the rim.".to_owned(),
        NotACup::TwoWebs { radius_m } => format!("At a radius of {} there are two walls with a gap between them.", mm(*radius_m)),
        NotACup::TwoRims { place_m } => {
            format!("{} from the engine-side face the rim is not one wall: there are two with a gap, or none.", mm(*place_m))
        }
        NotACup::NotHeld => "The rim touches the web neither on its outside nor on a face.".to_owned(),
        NotACup::NotSolved(_) => "The equations of the stresses were not solved: check the sizes.".to_owned(),
    }
}

/// Where its strength comes from.
pub fn stuff(stuff: &Stuff) -> String {
    let of = if stuff.of_the_kind { "taken from what is common of its metal, not read from this rotor" } else { "as read" };
    format!("Proof stress {}, tensile strength {}: {of}.", mpa_pm(stuff.proof), mpa_pm(stuff.tensile))
}

/// The stresses in a few sentences.
pub fn strength(machine: &Machine, s: &Strength, stuff: Option<&Stuff>) -> String {
    let by_spin = stuff.map(|stuff| stuff.proof.over(s.greatest));
    let times = |r: Finding| pm(r.si, r.plus_minus_si, 1);
    let mut said = match &s.pressed {
        Some(p) => format!(
            "At {} the greatest stress away from notches is {}, {}, with the press of the seat: {} times below what it bears without yielding. At rest the seat, pressed with {}, makes {} of pull round the bore. By spin alone it is {}, {}.",
            rpm(s.speed_rad_s),
            mpa_pm(p.greatest),
            place(machine, p.at),
            times(p.reserve),
            mpa_pm(p.pressure),
            mpa_pm(p.hoop),
            mpa_pm(s.greatest),
            place(machine, s.greatest_at)
        ),
        None => format!(
            "At {} the greatest stress away from notches is {}, {}, the press of its seat not counted: {} times below what it bears without yielding.",
            rpm(s.speed_rad_s),
            mpa_pm(s.greatest),
            place(machine, s.greatest_at),
            by_spin.map_or_else(String::new, times)
        ),
    };
    said += &if s.yields_at.si > 0.0 {
        format!(" It would yield at {}, and burst at about {}.", rpm_pm(s.yields_at), rpm_pm(s.bursts_at))
    } else {
        format!(" The press of the seat makes it yield at rest; it would burst at about {}.", rpm_pm(s.bursts_at))
    };
    said += &format!(" The mean pull round the whole section is {}", mpa_pm(s.mean_hoop));
    if let Some(rim) = s.rim_alone {
        said += &format!("; a rim that the web did not help would have {}", mpa_pm(rim));
    }
    said += &format!(". The free edge of the rim opens by {} µm in radius.", number(s.opens_m * 1e6, 0));
    if s.between_magnets_pa > 0.0 {
        said += &format!(" Of the rim's stress {} is bending from the gaps between magnets.", mpa(s.between_magnets_pa));
    }
    said
}

/// `in the rim, at 51.0 mm radius`.
pub fn place(machine: &Machine, p: Place) -> String {
    let rotor = machine.rotor.as_ref();
    let name = rotor.and_then(|r| r.pieces.get(p.piece)).map_or("rotor", |p| p.name.as_str());
    format!("in the {name}, at a radius of {}, {} from the engine-side face", mm(p.radius_m), mm(p.place_m))
}

/// A notch in a word or two.
pub fn notch_kind(kind: NotchKind) -> String {
    match kind {
        NotchKind::Keyway => "keyway".to_owned(),
        NotchKind::BossCorner => "corner at the boss".to_owned(),
        NotchKind::RimCorner => "corner at the rim".to_owned(),
        NotchKind::Step => "step in the web".to_owned(),
        NotchKind::Hole(k) => format!("holes, row {}", k + 1),
    }
}

/// A notch as a row.
pub fn notch_row(n: &Notch) -> Vec<String> {
    use physics::rotor::notch::NoFactor;
    let peak = match n.peak {
        Ok(peak) => mpa_pm(peak),
        Err(NoFactor::OffChart { value, .. }) if value > 1.0 => "too sharp for the charts".to_owned(),
        Err(NoFactor::OffChart { .. }) => "too round for the charts".to_owned(),
        Err(NoFactor::Crowded { .. }) => "holes too close together".to_owned(),
        Err(NoFactor::BadLength) => "cannot tell".to_owned(),
    };
    vec![notch_kind(n.kind), mm(n.at.radius_m), mpa(n.smooth_pa), peak]
}

/// What the worst notch means.
pub fn worst_notch(s: &Strength, stuff: &Stuff) -> Option<String> {
    let (kind, peak) = s.notches.iter().filter_map(|n| Some((n.kind, n.peak.ok()?))).max_by(|a, b| a.1.si.total_cmp(&b.1.si))?;
    let kind = notch_kind(kind);
    Some(if stuff.brittle {
        format!(
            "The {kind} is the worst notch, with {}. This metal breaks without yielding first, so that is what counts.",
            mpa_pm(peak)
        )
    } else if peak.si > stuff.proof.si {
        format!(
            "At the {kind} the stress would be {} if nothing yielded: more than the proof stress. It yields a little there when it is drawn on or first turned so fast, and cracks begin there. Look there first.",
            mpa_pm(peak)
        )
    } else {
        format!("The {kind} is the worst notch, with {}. Look there first when you test for cracks.", mpa_pm(peak))
    })
}

/// The wall behind magnets as a way for their flux.
pub fn return_path(p: &ReturnPath) -> String {
    let flux = format!("{}\u{a0}T", pm(p.flux.si, p.flux.plus_minus_si, 2));
    // Aluminium, and stainless that carries next to none.
    if p.saturates.si <= p.saturates.plus_minus_si {
        return format!(
            "The wall of {} behind the magnets carries no flux to speak of: its metal is not magnetic. What carries it, a ring of iron, is not in the file.",
            mm(p.wall_m)
        );
    }
    if p.carries() {
        format!(
            "The wall of {} behind the magnets carries their flux: at most {flux}, and it is full at about {}\u{a0}T. Below {} it would be full, and the lights dimmer.",
            mm(p.wall_m),
            number(p.saturates.si, 1),
            mm(p.least_wall_m)
        )
    } else {
        format!(
            "The wall of {} behind the magnets may be full of their flux already: up to {flux}, and it is full at about {}\u{a0}T. It must not get thinner.",
            mm(p.wall_m),
            number(p.saturates.si, 1)
        )
    }
}

/// `face 1: web, cover side, 44.0 to 92.0 mm`.
pub fn zone_name(rotor: &Rotor, k: usize) -> String {
    let Some(zone) = rotor.zones.get(k) else { return String::new() };
    let piece = rotor.pieces.get(zone.piece).map_or("", |p| p.name.as_str());
    format!("face {}: {piece}, {}", k + 1, zone_face(zone))
}

/// `cover side, Ø 44.0 to 92.0 mm`.
pub fn zone_face(zone: &Zone) -> String {
    let face = match zone.face {
        Face::CoverSide => "cover side",
        Face::EngineSide => "engine side",
        Face::Outside => "outside",
        Face::Inside => "inside",
    };
    match (&zone.least, &zone.greatest) {
        (Some(a), Some(b)) => format!("{face}, Ø {} to {}", number(a.si * 1e3, 1), mm(b.si)),
        (Some(a), None) => format!("{face}, from Ø {}", mm(a.si)),
        (None, Some(b)) => format!("{face}, up to Ø {}", mm(b.si)),
        (None, None) => face.to_owned(),
    }
}

/// What the engine does at its idle, so far as the crank's inertia matters; `None` where that is not known.
pub fn turning(study: &RotorStudy) -> Option<String> {
    let t = study.turning.ok()?;
    let uneven =
        study.lighten.iter().flat_map(|l| l.steps.iter().map(|s| &s.after).chain([&l.as_found])).filter_map(|f| f.unevenness);
    let beyond = if uneven.map(|u| u.si).fold(0.0, f64::max) > VALID_TO {
        format!(" Beyond {} the formula stands no longer: read it as “very uneven”.", percent(VALID_TO))
    } else {
        String::new()
    };
    let up = t.rev_up.map_or(String::new(), |[from, to, _]| format!(" Rev-up is wide open from {} to {}.", rpm(from), rpm(to)));
    let down = t.run_down.map_or(String::new(), |[from, to, _]| {
        format!(" Run-down is from {} to {}, ignition cut, throttle on its stop.", rpm(from), rpm(to))
    });
    Some(format!(
        "“Uneven” is the fastest less the slowest speed within a cycle at the idle of {}, as a share of the mean: the gas swings {} J there.{beyond}{up}{down}",
        rpm(t.idle_rad_s),
        number(t.swing_j, 0)
    ))
}

/// `0.25 ± 0.05 mm`.
pub fn depth(f: Finding) -> String {
    if f.plus_minus_si > 0.0 { format!("{}\u{a0}mm", pm(f.si * 1e3, f.plus_minus_si * 1e3, 2)) } else { mm_to_hundredth(f.si) }
}

/// A cut of the segment that is longer than the segment, or less than nothing [mm]; and the segment [m].
pub fn no_such_trim(cut_mm: f64, segment_m: f64) -> String {
    format!(
        "A cut of {}\u{a0}mm cannot be: the segment is {} long. Give the millimetres along the rim that come off its trailing end.",
        number(cut_mm, 1),
        mm(segment_m)
    )
}
