//! What holds the rotor and its magnets.

use crate::words::{celsius, mm, mm_pm, mm_to_hundredth, mpa, number, percent, pm, rpm_pm};
use physics::rotor::bond::{Never, Seat};
use workshop::{
    machine::limits,
    study::{
        Finding,
        rotor::{
            flux::{At, FluxFound, ForGood, LostBy, OnePole, Regained},
            held::HeldStudy,
            magnets::{BondFound, Chance, Cold, Look, NotFound},
            pulling::{Enough, PullFound},
            taper::{Carries, Remark, TaperFound},
        },
    },
};

/// Heading.
pub const BONDS: &str = "Bonds of the magnets";
/// Heading.
pub const FLUX: &str = "Flux of the magnets";
/// Heading.
pub const TAPER: &str = "Seat on the taper";
/// Heading.
pub const PULLING: &str = "Pulling it off";
/// Heading.
pub const GLUING: &str = "Gluing magnets in again";

/// Why nothing is told.
pub fn not_found(why: NotFound) -> String {
    match why {
        NotFound::Missing(path) => match limits::field(path) {
            Some(field) => format!("Not told: {path} is not in the file ({}).", field.label),
            None => format!("Not told: [{path}] is not in the file."),
        },
        NotFound::BeyondPoints { wanted_k, least_k, most_k } => format!(
            "Not told: the rotor gets to {}, and the adhesive's strength is known from {} to {} only. Nothing is guessed beyond. Add a point to [[rotor.bond.point]].",
            celsius(wanted_k),
            celsius(least_k),
            celsius(most_k)
        ),
        NotFound::OnePoint => "Not told: the adhesive's strength is known at one temperature only, and the rotor gets hotter and colder. Give two or more under [[rotor.bond.point]].".to_owned(),
        NotFound::Impossible => "Not told: these sizes cannot be. Check the readings.".to_owned(),
    }
}

fn newtons(f: Finding) -> String {
    format!("{}\u{a0}N", pm(f.si, f.plus_minus_si, 0))
}

fn kilonewtons(f: Finding) -> String {
    format!("{}\u{a0}kN", pm(f.si * 1e-3, f.plus_minus_si * 1e-3, 1))
}

fn newton_metres(f: Finding) -> String {
    format!("{}\u{a0}N·m", pm(f.si, f.plus_minus_si, 0))
}

fn megapascals(f: Finding) -> String {
    format!("{}\u{a0}MPa", pm(f.si * 1e-6, f.plus_minus_si * 1e-6, 1))
}

fn times(f: Finding) -> String {
    format!("{} times", pm(f.si, f.plus_minus_si, 1))
}

/// What to do about a group of bonds.
pub fn look(b: &BondFound) -> &'static str {
    match b.look {
        Look::NotToBeRun => "Do not run it: take the magnets off the old glue and set them anew, or have it done.",
        Look::EachService => "Look at the bonds after the first heat and at each service: ring, feeler, firm push.",
        Look::WheneverOff => "Look at the bonds after the first heat and whenever the cover is off.",
        Look::Specialist => "Speed pulls these magnets off, and adhesive alone is not enough: a sleeve, or a specialist.",
    }
}

/// What the bonds carry and bear, a sentence each.
pub fn bond(b: &BondFound) -> Vec<String> {
    let seat = match b.seat {
        Seat::InsideRim => "Speed presses them into the rim; the glue keeps them from sliding and chattering.",
        Seat::OnHub => "Speed pulls them off the hub.",
    };
    let used = match &b.used_up {
        Ok(speed) => format!("The strength is used up at {}.", rpm_pm(*speed)),
        Err(Never::Pressed) => "No speed uses the strength up by itself: it presses harder the faster it turns.".to_owned(),
        Err(Never::AlreadyGone) => "Heat and shock use the strength up without any speed.".to_owned(),
    };
    let mut said = vec![
        format!("{} magnets. At top speed each pulls with {}. {seat}", b.count, newtons(b.pull)),
        format!(
            "Hot, the joint bears {} and carries {} along the layer{}: {}. Unequal expansion alone makes {} at a corner of a stiff layer.",
            megapascals(b.strength),
            megapascals(b.along),
            if b.across.si > 0.0 { format!(" and {} of pull across it", megapascals(b.across)) } else { String::new() },
            margin(b.margin),
            megapascals(b.thermal)
        ),
        cold(&b.cold),
        used,
        chance(&b.chance, &b.begins),
    ];
    if b.chance.untold > 0.0 {
        said.push(format!(
            "In {} of the cases the rotor is hotter or colder than any point of the adhesive's strength. Nothing is told of them, and “any of them” counts them as letting go.",
            crate::words::percent(b.chance.untold)
        ));
    }
    said.push(
        "Not in it: the shock when a magnet touches the coils, peel from an end, and what oil does from now on.".to_owned(),
    );
    said
}

/// Strength over load; a ± as large as itself comes of a load that may be next to nothing.
fn margin(m: Finding) -> String {
    if m.plus_minus_si < m.si {
        format!("{} what it carries", times(m))
    } else {
        format!("{} times what it carries, with a ± as large as that", number(m.si, 1))
    }
}

fn cold(c: &Cold) -> String {
    let bears = c
        .margin
        .map_or_else(|| "the adhesive's strength there is not known".to_owned(), |m| format!("there it is {}", margin(m)));
    let so = if c.gone() { " Corners may part in the cold: look at them after a frost." } else { "" };
    format!(
        "At {} unequal expansion makes {} with the layer as stiff as at room temperature, and {bears}; colder it is stiffer, and bears less than that.{so}",
        celsius(c.temperature_k),
        megapascals(c.thermal)
    )
}

fn odds(share: f64) -> String {
    match share {
        s if s < 1e-6 => "less than one in a million".to_owned(),
        s if s < 0.01 => {
            // Two figures are more than the inputs know.
            let of = 1.0 / s;
            let step = 10f64.powf(of.log10().floor());
            format!("about one in {}", number((of / step).round() * step, 0))
        }
        s => crate::words::percent(s),
    }
}

fn chance(c: &Chance, begins: &Chance) -> String {
    format!(
        "Chance that what pulls and shakes it makes a given bond let go: {}; any of them: at most {}. That heat opens one at a corner, which need not run on: {}. All this rests on the ± as entered and on strengths being lognormal.",
        odds(c.one),
        odds(c.any_at_most),
        odds(begins.one)
    )
}

/// How magnets lose flux for good.
pub fn lost_by(by: LostBy) -> &'static str {
    match by {
        LostBy::Cold => {
            "Ferrite loses flux for good in deep cold with the coils' field against it, not by heat. How much, only the grade's own curve tells ([rotor.grade])."
        }
        LostBy::Heat { beyond_plain_grade: true } => {
            "The rotor gets hotter than the 80 °C that a plain rare-earth grade bears. Find out the grade; what it has lost does not come back."
        }
        LostBy::Heat { beyond_plain_grade: false } => {
            "Rare earth loses flux for good by heat; 80 °C is the limit of a plain grade."
        }
        LostBy::KnocksAndOpen => {
            "Alnico is weakened by knocks and by lying open. No number is told for that: no hammer, and a keeper while it is off."
        }
    }
}

/// What heat and cold take for good, a sentence each.
fn for_good(found: &ForGood) -> Vec<String> {
    let at = |at: &At| {
        let lost = match (at.lost > LEAST_LOSS, at.lost_at_worst > LEAST_LOSS) {
            (true, _) => format!(
                "it loses {} for good, {} with all that is doubtful at its worst. A weaker field against it, a thicker magnet or a harder grade would keep it",
                percent(at.lost),
                percent(at.lost_at_worst)
            ),
            (false, true) => {
                format!("it loses nothing for good, but with all that is doubtful at its worst {}", percent(at.lost_at_worst))
            }
            (false, false) => "it loses nothing for good, not even with all that is doubtful at its worst".to_owned(),
        };
        format!(
            "At {} its grade has {} the field to the knee that it works at: {lost}.",
            celsius(at.temperature_k),
            times(at.to_knee)
        )
    };
    found.hot.iter().chain([&found.cold]).map(at).collect()
}

/// A share below this counts as nothing lost \[1\] (own choice): a thousandth.
const LEAST_LOSS: f64 = 1e-3;

/// Flux that is left, what one faulty magnet would leave, and what goes for good: a sentence or two each.
pub fn flux(study: &HeldStudy) -> Vec<String> {
    let mut said = match &study.flux {
        Ok(found) => vec![left(found)],
        Err(why) => vec![not_found(*why)],
    };
    said.extend(study.one_pole.as_ref().map(one_pole));
    said.extend(study.regained.as_ref().map(regained));
    said.extend(study.for_good.iter().flat_map(for_good));
    said
}

/// What comes back.
fn regained(r: &Regained) -> String {
    let [missing, pm_of] = [r.missing.si.abs() * 100.0, r.missing.plus_minus_si * 100.0];
    let than = if r.missing.si < 0.0 { "more" } else { "less" };
    format!(
        "At {} there is {}\u{a0}% {than} flux than at 20 °C. That is not lost: it comes back with the temperature.",
        celsius(r.temperature_k),
        pm(missing, pm_of, 0)
    )
}

fn left(f: &FluxFound) -> String {
    let so = if f.lost { "Some is lost." } else { "Within the ± nothing is lost." };
    format!(
        "Of the recorded flux {}\u{a0}% is left, the temperature taken out. {so}",
        pm(f.left.si * 100.0, f.left.plus_minus_si * 100.0, 0)
    )
}

fn one_pole(both: &[OnePole; 2]) -> String {
    let [dead, reversed] = both;
    let so = match (dead.fits, reversed.fits) {
        (true, false) => "One dead magnet would explain it.",
        (false, true) => "One magnet put in the wrong way round would explain it.",
        (true, true) => "Either would explain it.",
        (false, false) => "Neither explains it: all may be weaker, or the gap to the coils wider.",
    };
    format!(
        "With sound coils, one dead magnet leaves {}\u{a0}% of the volts, one reversed {}\u{a0}%. {so} Go round with a compass and a thin steel feeler: the poles change over from one to the next and pull alike.",
        number(dead.leaves * 100.0, 0),
        number(reversed.leaves * 100.0, 0)
    )
}

/// What the seat carries, a sentence each.
pub fn taper(t: &TaperFound) -> Vec<String> {
    let mut said = vec![format!(
        "The nut clamps with {}, {}\u{a0}% of the thread's proof load. The seat slips at {}, by the safe formula of the two in the books (pressed on dry); the other gives {}.",
        kilonewtons(t.clamp),
        pm(t.of_proof.si * 100.0, t.of_proof.plus_minus_si * 100.0, 0),
        newton_metres(t.slips_at),
        newton_metres(t.worked_home)
    )];
    said.push(match t.margin {
        None => "How much it must carry is neither in the file (rotor.taper.peak_torque) nor known from the engine, so no margin is told.".to_owned(),
        Some(m) => {
            let so = match m.carries {
                Carries::Yes => "It carries that.",
                Carries::Unsure => "Whether it carries that cannot be told within the ±: clean, blue and torque it again.",
                Carries::No => "It does not carry that.",
            };
            let gas = m.by_gas.map_or(String::new(), |gas| {
                format!(" The gas alone, with the rotor's share of all that turns and nothing drawn from the crank, asks for {}.", newton_metres(gas))
            });
            format!("It must carry {}: {} over. {so}{gas}", newton_metres(m.wanted), times(m.times))
        }
    });
    said.push(format!(
        "From first touch the nut draws it on by {}; the seat is pressed with {} where it touches.",
        mm_to_hundredth(t.travel.si),
        megapascals(t.pressure)
    ));
    if let Some(a) = t.mismatch {
        let end = if a.at_large_end { "large" } else { "small" };
        said.push(format!(
            "The angles differ: it touches at the {end} end first, with a gap of {} at the other. Tight, about {} of the length touches.",
            mm_to_hundredth(a.gap.si),
            crate::words::percent(a.share)
        ));
        if !a.at_large_end {
            said.push("Held at its small end the rotor rocks, whatever the torque says. Do not run it so.".to_owned());
        }
    }
    if let Some(k) = t.key {
        said.push(format!(
            "The key only gives the place and is not counted. If the seat slipped, it would see {} of shear and {} on its flank.",
            mpa(k.shear_pa),
            mpa(k.bearing_pa)
        ));
    }
    said.extend(t.remarks.iter().map(|r| remark(*r)));
    said
}

fn remark(r: Remark) -> String {
    match r {
        Remark::LittleContact { share } => format!(
            "Blue shows {} of contact; 70 % is wanted. Friction does not ask for area, but a small patch frets and lets the rotor rock: clean, deburr, lap to finish without the key.",
            crate::words::percent(share)
        ),
        Remark::SmallEndOnly => {
            "It touches at the small end only: the rotor rocks on it, whatever the torque says. Do not run it so.".to_owned()
        }
        Remark::BeyondProof => {
            "This torque takes the thread past its proof load. Check the maker's figure and what is on the thread.".to_owned()
        }
        Remark::LetsGo => "At this friction the taper does not hold itself: it lets go when the nut does.".to_owned(),
        Remark::HighPressure => "The pressure is more than mild steel bears without yielding.".to_owned(),
    }
}

/// The pull, a sentence each.
pub fn pull(p: &PullFound) -> Vec<String> {
    let so = match p.enough {
        Enough::Yes => "That frees it, if nothing has rusted or fretted fast.",
        Enough::Perhaps if p.may_warm => "That may not free it: warm the boss first.",
        Enough::Perhaps => "That may not free it: then a puller with more thread.",
        Enough::No if p.may_warm => "That does not free it: warm the boss, or use a puller with more thread.",
        Enough::No => "That does not free it: use a puller with more thread.",
    };
    let release = if p.release.si > 0.0 {
        format!(
            "As it was put on, the seat lets go at {} or more, with {} on a greased screw.",
            kilonewtons(p.release),
            newton_metres(p.torque)
        )
    } else {
        "At this friction the seat does not hold itself: it comes off with the nut, and may fly. Hands clear.".to_owned()
    };
    let warm = format!("Warming the boss by {} above the shaft frees it by itself.", kelvin_pm(p.frees_at));
    let mut said = vec![
        release,
        format!(
            "The thread in the rotor strips, or a bolt yields, at {}; no more than a third of that is put on, {}. {so}",
            kilonewtons(p.strips_at),
            newton_metres(p.most.1)
        ),
        match p.bears_k {
            Some(most) if p.may_warm => {
                format!("{warm} Glue or magnets bear no more than {}: no hotter than that.", celsius(most))
            }
            Some(most) => format!("{warm} Glue or magnets bear no more than {}: do not warm it.", celsius(most)),
            None => warm,
        },
    ];
    if let Some(s) = &p.shortened {
        let so = match s.enough {
            Enough::Yes => "that still frees it",
            Enough::Perhaps => "that may no longer free it",
            Enough::No => "that no longer frees it: plan another way to pull it before you cut",
        };
        said.push(format!(
            "The thread that is filled is {} long now, and the planned cut leaves {}. Once it is cut the thread strips at {}, no more than {} may be put on, and {so}. Bolts that much shorter, too.",
            mm(s.now_m),
            mm_pm(s.left),
            kilonewtons(s.strips_at),
            format_args!("{}\u{a0}N·m", number(s.most_n_m, 0))
        ));
    }
    if let Some(b) = p.bolts {
        said.push(if b.stands {
            "Three or more bolts hold the plate square. Keep the screw in the middle.".to_owned()
        } else {
            "Two bolts do not hold the plate square: it tips and binds. Use three where there are holes for three.".to_owned()
        });
    }
    said
}

/// A difference of temperature.
pub fn kelvin_pm(k: Finding) -> String {
    format!("{}\u{a0}°C", pm(k.si, k.plus_minus_si, 0))
}
