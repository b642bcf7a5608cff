//! What holds the rotor and its magnets.

use quantity::Reading;

use super::{
    Balancing, TrialRun, balancing,
    defect::Inconsistency,
    limits::*,
    walk::{Node, Walk},
};
use physics::rotor::thread::Class;

/// The bond of the magnets.
#[derive(Clone, Debug, PartialEq)]
pub struct Bond {
    /// Strength [Pa] against temperature [K].
    pub points: Vec<(Reading, Reading)>,
    /// Greatest temperature of the rotor in use [K].
    pub rotor_temperature: Reading,
    /// Coldest of the rotor in use [K].
    pub coldest: Reading,
    /// Thickness of the layer [m].
    pub thickness: Reading,
    /// Shear modulus of the layer [Pa].
    pub shear_modulus: Reading,
    /// Temperature at which it set [K].
    pub set_at: Reading,
    /// Share of strength that age has left \[1\].
    pub age_factor: Reading,
    /// Share of a test piece's strength that the joint reaches \[1\].
    pub quality_factor: Reading,
    /// Bonded area of each magnet [m²], where it is less than its back.
    pub area: Option<Reading>,
    /// Force of a sleeve on each [N].
    pub sleeve: Reading,
    /// Thickness of the metal behind [m].
    pub backing: Reading,
    /// Shock along the shaft, in multiples of gravity \[1\].
    pub shock: Reading,
    /// Fastest less slowest within a turn, over the mean \[1\].
    pub unevenness: Reading,
    /// Force of the poles on one magnet along the rim [N].
    pub pole_force: Reading,
}

/// No-load volts at a speed and temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct NoLoadRead {
    /// Volts [V].
    pub volts: Reading,
    /// Speed [rad/s].
    pub speed: Reading,
    /// Temperature of the magnets [K].
    pub temperature: Reading,
}

/// Volts now and as recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct FluxRead {
    /// Now.
    pub now: NoLoadRead,
    /// As recorded.
    pub recorded: NoLoadRead,
    /// Coils in series, and teeth of the whole ring; as many as poles where neither is given.
    pub coils: Option<(u8, u8)>,
}

/// Where blue shows contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContactAt {
    /// All over.
    AllOver,
    /// At the large end only.
    LargeEnd,
    /// At the small end only.
    SmallEnd,
}

/// State of thread and face of a nut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lubrication {
    /// Dry.
    Dry,
    /// Oiled.
    Oiled,
    /// Greased.
    Greased,
}

/// The seat on the shaft's taper, and its nut.
#[derive(Clone, Debug, PartialEq)]
pub struct Taper {
    /// Diameter at the large end [m].
    pub large_diameter: Reading,
    /// Length of the seat [m].
    pub length: Reading,
    /// Change of diameter over length of the shaft \[1\].
    pub ratio: Reading,
    /// The same of the bore, where it was measured \[1\].
    pub hub_ratio: Option<Reading>,
    /// Diameter over the boss [m].
    pub hub_diameter: Reading,
    /// Share that touches \[1\].
    pub contact: Reading,
    /// Where it touches.
    pub contact_at: ContactAt,
    /// Friction of the seat \[1\].
    pub friction: Reading,
    /// Nominal diameter of the nut's thread [m].
    pub thread: Reading,
    /// Its pitch [m].
    pub pitch: Reading,
    /// Outside diameter of the face that rubs [m].
    pub nut_face: Reading,
    /// Property class of the thread.
    pub class: Class,
    /// Torque of the nut [N·m].
    pub nut_torque: Reading,
    /// State of thread and face.
    pub lubrication: Lubrication,
    /// Greatest torque that the seat must carry [N·m].
    pub peak_torque: Option<Reading>,
    /// Width, height and length of the key [m].
    pub key: Option<[Reading; 3]>,
}

/// What a puller takes hold of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PullsBy {
    /// The thread of the boss.
    Boss,
    /// Bolts in the rotor's tapped holes, through a plate.
    Bolts,
}

/// The puller.
#[derive(Clone, Debug, PartialEq)]
pub struct Puller {
    /// What it takes hold of.
    pub by: PullsBy,
    /// Nominal diameter of the thread in the rotor [m].
    pub thread: Reading,
    /// Its pitch [m].
    pub pitch: Reading,
    /// Length of thread that is filled [m].
    pub engaged: Reading,
    /// Bolts of the plate \[1\], and their circle [m].
    pub bolts: Option<(u8, Reading)>,
    /// Nominal diameter of the puller's screw [m].
    pub screw: Reading,
    /// Its pitch [m].
    pub screw_pitch: Reading,
    /// Tensile strength of the rotor's metal there [Pa].
    pub hub_strength: Reading,
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Held {
    /// Bond of the magnets.
    pub bond: Option<Bond>,
    /// No-load volts.
    pub flux: Option<FluxRead>,
    /// Seat and nut.
    pub taper: Option<Taper>,
    /// Puller.
    pub puller: Option<Puller>,
    /// Balancing runs.
    pub trials: Vec<TrialRun>,
    /// Balance.
    pub balance: Option<Balancing>,
}

/// Reads the parts of `[rotor]` that tell what holds it.
pub(super) fn read(rotor: &Node<'_>, walk: &mut Walk<'_>) -> Held {
    Held {
        bond: rotor.child(walk, &BOND).map(|node| read_bond(&node, walk)),
        flux: rotor.child(walk, &FLUX).map(|node| read_flux(&node, walk)),
        taper: rotor.child(walk, &TAPER).map(|node| read_taper(&node, walk)),
        puller: rotor.child(walk, &PULLER).map(|node| read_puller(&node, walk)),
        trials: rotor.rows(walk, &TRIAL, balancing::read_trial),
        balance: rotor.child(walk, &BALANCE).map(|node| balancing::read(&node, walk)),
    }
}

fn read_bond(node: &Node<'_>, walk: &mut Walk<'_>) -> Bond {
    node.refuse_unknown_in(walk, &BOND);
    let points =
        node.rows(walk, &STRENGTH_POINT, |row, walk| (row.reading(walk, &POINT_TEMPERATURE), row.reading(walk, &POINT_STRENGTH)));
    for (i, pair) in points.windows(2).enumerate() {
        // A placeholder for a bad reading proves nothing.
        if pair[0].0.si >= pair[1].0.si {
            walk.inconsistent(&format!("rotor.bond.point[{}].temperature", i + 1), Inconsistency::PointsNotRising);
        }
    }
    Bond {
        points,
        rotor_temperature: node.reading(walk, &ROTOR_HOT),
        coldest: node.reading(walk, &ROTOR_COLD),
        thickness: node.reading(walk, &LAYER),
        shear_modulus: node.reading(walk, &SHEAR_MODULUS),
        set_at: node.reading(walk, &SET_AT),
        age_factor: node.reading(walk, &AGE_FACTOR),
        quality_factor: node.reading(walk, &QUALITY_FACTOR),
        area: node.optional_reading(walk, &BOND_AREA),
        sleeve: node.reading(walk, &SLEEVE),
        backing: node.reading(walk, &BACKING),
        shock: node.reading(walk, &SHOCK),
        unevenness: node.reading(walk, &UNEVENNESS),
        pole_force: node.reading(walk, &POLE_FORCE),
    }
}

fn read_flux(node: &Node<'_>, walk: &mut Walk<'_>) -> FluxRead {
    node.refuse_unknown_in(walk, &FLUX);
    FluxRead {
        now: NoLoadRead {
            volts: node.reading(walk, &VOLTS_NOW),
            speed: node.reading(walk, &SPEED_NOW),
            temperature: node.reading(walk, &MAGNETS_NOW),
        },
        recorded: NoLoadRead {
            volts: node.reading(walk, &VOLTS_RECORDED),
            speed: node.reading(walk, &SPEED_RECORDED),
            temperature: node.reading(walk, &MAGNETS_RECORDED),
        },
        coils: read_coils(node, walk),
    }
}

/// Coils and teeth, both or neither.
fn read_coils(node: &Node<'_>, walk: &mut Walk<'_>) -> Option<(u8, u8)> {
    let [coils, teeth] = [&COILS, &TEETH].map(|field| node.count(walk, field).and_then(|n| u8::try_from(n).ok()));
    match (coils, teeth) {
        (Some(coils), Some(teeth)) if coils <= teeth => return Some((coils, teeth)),
        (Some(coils), Some(teeth)) => {
            walk.inconsistent("rotor.flux.coils", Inconsistency::MoreCoilsThanTeeth { coils, teeth });
        }
        (None, None) => {}
        _ => walk.inconsistent("rotor.flux", Inconsistency::CoilsIncomplete),
    }
    None
}

fn read_taper(node: &Node<'_>, walk: &mut Walk<'_>) -> Taper {
    node.refuse_unknown_in(walk, &TAPER);
    let key = [&KEY_WIDTH, &KEY_HEIGHT, &KEY_LENGTH].map(|field| node.optional_reading(walk, field));
    let key = match key {
        [Some(width), Some(height), Some(length)] => Some([width, height, length]),
        [None, None, None] => None,
        _ => {
            walk.inconsistent("rotor.taper", Inconsistency::KeyIncomplete);
            None
        }
    };
    let taper = Taper {
        large_diameter: node.reading(walk, &TAPER_LARGE),
        length: node.reading(walk, &TAPER_LENGTH),
        ratio: node.reading(walk, &TAPER_RATIO),
        hub_ratio: node.optional_reading(walk, &HUB_RATIO),
        hub_diameter: node.reading(walk, &HUB_OUTSIDE),
        contact: node.reading(walk, &CONTACT),
        contact_at: node.pick(walk, &CONTACT_AT, [ContactAt::AllOver, ContactAt::LargeEnd, ContactAt::SmallEnd]),
        friction: node.reading(walk, &SEAT_FRICTION),
        thread: node.reading(walk, &NUT_THREAD),
        pitch: node.reading(walk, &NUT_PITCH),
        nut_face: node.reading(walk, &NUT_FACE),
        class: node.pick(
            walk,
            &NUT_CLASS,
            [Class::C4_6, Class::C4_8, Class::C5_8, Class::C8_8, Class::C9_8, Class::C10_9, Class::C12_9],
        ),
        nut_torque: node.reading(walk, &NUT_TORQUE),
        lubrication: node.pick(walk, &LUBRICATION, [Lubrication::Dry, Lubrication::Oiled, Lubrication::Greased]),
        peak_torque: node.optional_reading(walk, &PEAK_TORQUE),
        key,
    };
    let small_m = taper.large_diameter.si - taper.ratio.si * taper.length.si;
    if small_m <= 0.0 {
        walk.inconsistent("rotor.taper.length", Inconsistency::TaperToAPoint { small_m });
    }
    if taper.hub_diameter.si <= taper.large_diameter.si {
        let (hub_m, large_m) = (taper.hub_diameter.si, taper.large_diameter.si);
        walk.inconsistent("rotor.taper.hub_diameter", Inconsistency::HubInsideTaper { hub_m, large_m });
    }
    // The nut's face is a ring round its thread.
    if taper.nut_face.si <= taper.thread.si {
        let (face_m, thread_m) = (taper.nut_face.si, taper.thread.si);
        walk.inconsistent("rotor.taper.nut_face", Inconsistency::FaceInsideThread { face_m, thread_m });
    }
    pitch_fits(walk, "rotor.taper.pitch", &taper.thread, &taper.pitch);
    taper
}

/// A pitch must leave a core.
fn pitch_fits(walk: &mut Walk<'_>, path: &str, thread: &Reading, pitch: &Reading) {
    let (diameter_m, pitch_m) = (thread.si, pitch.si);
    let sound = diameter_m.is_nan() || pitch_m.is_nan() || physics::rotor::thread::Metric::new(diameter_m, pitch_m).is_some();
    if !sound {
        walk.inconsistent(path, Inconsistency::PitchTooCoarse { pitch_m, diameter_m });
    }
}

fn read_puller(node: &Node<'_>, walk: &mut Walk<'_>) -> Puller {
    node.refuse_unknown_in(walk, &PULLER);
    let by = node.pick(walk, &PULLS_BY, [PullsBy::Boss, PullsBy::Bolts]);
    let count = node.count(walk, &BOLTS).and_then(|n| u8::try_from(n).ok());
    let circle = node.optional_reading(walk, &BOLT_CIRCLE);
    let bolts = count.zip(circle);
    if by == PullsBy::Bolts && bolts.is_none() {
        walk.inconsistent("rotor.puller", Inconsistency::BoltsIncomplete);
    }
    let puller = Puller {
        by,
        thread: node.reading(walk, &PULL_THREAD),
        pitch: node.reading(walk, &PULL_PITCH),
        engaged: node.reading(walk, &ENGAGED),
        bolts,
        screw: node.reading(walk, &PULL_SCREW),
        screw_pitch: node.reading(walk, &PULL_SCREW_PITCH),
        hub_strength: node.reading(walk, &HUB_STRENGTH),
    };
    pitch_fits(walk, "rotor.puller.pitch", &puller.thread, &puller.pitch);
    pitch_fits(walk, "rotor.puller.screw_pitch", &puller.screw, &puller.screw_pitch);
    puller
}
