//! The rotor in the hand, as the mechanic measured it. Places along the axis count from its engine-side face, away from the engine.

use quantity::Reading;

use super::metal::{MagnetMaterial, Metal};

/// The rotor's section, metal and magnets.
#[derive(Clone, Debug, PartialEq)]
pub struct Rotor {
    /// What it is of.
    pub metal: Option<&'static Metal>,
    /// Its density [kg/m³], in place of the metal's.
    pub density: Option<Reading>,
    /// Its 0.2 % proof stress [Pa], in place of the metal's.
    pub proof_stress: Option<Reading>,
    /// Its tensile strength [Pa], in place of the metal's.
    pub tensile_strength: Option<Reading>,
    /// Greatest speed that its maker allows [rad/s].
    pub top_speed: Option<Reading>,
    /// Radius in its corners [m].
    pub corner: Reading,
    /// Keyway in the bore.
    pub keyway: Option<Keyway>,
    /// Turned pieces.
    pub pieces: Vec<Piece>,
    /// Rows of holes.
    pub holes: Vec<Hole>,
    /// Rings of magnets.
    pub magnets: Vec<Magnet>,
    /// Where metal may come off.
    pub zones: Vec<Zone>,
    /// Swing on wires or on a knife edge.
    pub swing: Option<Swing>,
    /// Run-downs without and with a disc.
    pub run_down: Option<RunDown>,
    /// The grade of its magnets.
    pub grade: Option<Grade>,
    /// What holds it and its magnets, and what was read to balance it.
    pub held: super::Held,
}

/// A keyway.
#[derive(Clone, Debug, PartialEq)]
pub struct Keyway {
    /// Depth [m].
    pub depth: Reading,
    /// Radius in its corners [m].
    pub corner: Reading,
}

/// How a piece bears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Round the bore.
    Boss,
    /// Between boss and rim.
    Web,
    /// The rim.
    Rim,
}

/// A turned piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// How it bears.
    pub part: Part,
    /// End nearer to the engine [m].
    pub from: Reading,
    /// End farther from it [m].
    pub to: Reading,
    /// Outside diameter at the engine-side end [m].
    pub outside: Reading,
    /// Inside diameter there [m].
    pub inside: Reading,
    /// Outside diameter at the other end [m], where it is another.
    pub outside_at_to: Option<Reading>,
    /// Inside diameter there [m], where it is another.
    pub inside_at_to: Option<Reading>,
    /// What it is of, where that is another metal.
    pub metal: Option<&'static Metal>,
}

/// What holes are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Threads for a puller.
    Puller,
    /// Bolts or rivets.
    Bolt,
    /// To lighten it.
    Lightening,
    /// Anything else.
    Other,
}

/// A row of round holes along the axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// What they are for.
    pub purpose: Purpose,
    /// How many.
    pub count: u8,
    /// Diameter of their circle [m].
    pub on_circle: Reading,
    /// Diameter of each [m].
    pub diameter: Reading,
    /// Where they begin [m].
    pub from: Reading,
    /// Where they end [m].
    pub to: Reading,
    /// Place of the first, in the turning direction from the rotor's mark [rad].
    pub at: Option<Reading>,
}

/// Where magnets sit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sits {
    /// In a rim that turns round them.
    InsideRim,
    /// On a hub.
    OutsideHub,
}

/// Magnets alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Magnet {
    /// What they are of.
    pub material: MagnetMaterial,
    /// Where they sit.
    pub sits: Sits,
    /// How many.
    pub count: u8,
    /// End nearer to the engine [m].
    pub from: Reading,
    /// End farther from it [m].
    pub to: Reading,
    /// Diameter over their outside [m].
    pub outside: Reading,
    /// Diameter inside them [m].
    pub inside: Reading,
    /// Arc that each covers [rad rotor].
    pub arc: Reading,
    /// Mass of each [kg], where weighed.
    pub mass: Option<Reading>,
}

/// Faces of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// The end face away from the engine.
    CoverSide,
    /// The end face towards the engine.
    EngineSide,
    /// The outside.
    Outside,
    /// The inside.
    Inside,
}

/// A face from which metal may come off.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// Index of the piece.
    pub piece: usize,
    /// Which face of it.
    pub face: Face,
    /// Lesser diameter of the cut on an end face [m]; `None` = the whole face.
    pub least: Option<Reading>,
    /// Greater diameter of it [m]; `None` = the whole face.
    pub greatest: Option<Reading>,
    /// Deepest cut thought of [m].
    pub deepest: Reading,
    /// Share of the wall that must be left [1].
    pub leave: Reading,
}

/// How the rotor swings.
#[derive(Clone, Debug, PartialEq)]
pub enum Hung {
    /// Level on two or three upright wires.
    Wires {
        /// Length of each [m].
        length: Reading,
        /// The plate under it.
        plate: Option<Plate>,
    },
    /// On an edge parallel to its axis.
    KnifeEdge,
}

/// A swing.
#[derive(Clone, Debug, PartialEq)]
pub struct Swing {
    /// How it hangs.
    pub hung: Hung,
    /// From the axis to each wire, or to the edge [m].
    pub radius: Reading,
    /// Time of a whole swing [s].
    pub period: Reading,
}

/// Two run-downs between the same two speeds.
#[derive(Clone, Debug, PartialEq)]
pub struct RunDown {
    /// Inertia of the disc that is added for the second [kg·m²].
    pub disc: Reading,
    /// Time without it [s].
    pub without: Reading,
    /// Time with it [s].
    pub with_disc: Reading,
}

/// A magnet's grade by its own curve, at 20 °C.
#[derive(Clone, Debug, PartialEq)]
pub struct Grade {
    /// Remanence [T].
    pub remanence: Reading,
    /// Intrinsic coercivity [A/m].
    pub coercivity: Reading,
    /// Permeance coefficient of its place \[1\].
    pub permeance: Reading,
    /// Greatest field of the coils against it [A/m].
    pub against: Reading,
    /// Field of the knee as a share of the coercivity \[1\].
    pub knee: Reading,
    /// Coldest that it gets in use [K].
    pub coldest: Reading,
}

/// A plate on the wires.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Its mass [kg].
    pub mass: Reading,
    /// Time of its own whole swing [s].
    pub period: Reading,
}

impl Rotor {
    /// What the boss is of.
    pub fn boss_metal(&self) -> Option<&'static Metal> {
        self.pieces.iter().find(|p| p.part == Part::Boss).and_then(|p| p.metal).or(self.metal)
    }
}

impl Piece {
    /// Outside diameters at its ends [m].
    pub fn outsides(&self) -> [&Reading; 2] {
        [&self.outside, self.outside_at_to.as_ref().unwrap_or(&self.outside)]
    }

    /// Inside diameters at its ends [m].
    pub fn insides(&self) -> [&Reading; 2] {
        [&self.inside, self.inside_at_to.as_ref().unwrap_or(&self.inside)]
    }

    /// Its section, of this density.
    pub fn solid(&self, density_kg_m3: f64) -> physics::rotor::solid::Piece {
        physics::rotor::solid::Piece {
            from_m: self.from.si,
            to_m: self.to.si,
            outside_m: self.outsides().map(|d| 0.5 * d.si),
            inside_m: self.insides().map(|d| 0.5 * d.si),
            density_kg_m3,
        }
    }
}

impl Hole {
    /// As a row of cylinders.
    pub fn solid(&self) -> physics::rotor::solid::Holes {
        physics::rotor::solid::Holes {
            count: usize::from(self.count),
            circle_m: 0.5 * self.on_circle.si,
            radius_m: 0.5 * self.diameter.si,
            from_m: self.from.si,
            to_m: self.to.si,
        }
    }
}

impl Magnet {
    /// As sectors of a ring, of this density.
    pub fn solid(&self, density_kg_m3: f64) -> physics::rotor::solid::Magnets {
        physics::rotor::solid::Magnets {
            count: usize::from(self.count),
            from_m: self.from.si,
            to_m: self.to.si,
            inside_m: 0.5 * self.inside.si,
            outside_m: 0.5 * self.outside.si,
            arc_rad: self.arc.si,
            density_kg_m3,
        }
    }
}
