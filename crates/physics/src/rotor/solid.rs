//! A rotor as a stack of turned pieces with holes and magnets: mass, centre of mass along the axis, moment of inertia about it.

use std::f64::consts::{PI, TAU};

/// Faces closer than this count as touching, and overlaps smaller than this as none [m] (own choice): a micrometre is below any workshop gauge.
pub const SLACK_M: f64 = 1e-6;

/// One turned piece: a ring whose outside and inside may taper from one end face to the other.
///
/// Validity: turned about the axis of the rotor, straight between its end faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Place of its first end face along the axis [m].
    pub from_m: f64,
    /// Place of its other end face [m], beyond the first.
    pub to_m: f64,
    /// Outside radius at the first and at the other end face [m].
    pub outside_m: [f64; 2],
    /// Inside radius at the first and at the other end face [m]; nought where it is solid.
    pub inside_m: [f64; 2],
    /// Density [kg/m³].
    pub density_kg_m3: f64,
}

impl Piece {
    /// Outside radius at a place along the axis [m]; straight on beyond the end faces.
    pub fn outside_at(&self, z_m: f64) -> f64 {
        self.along(self.outside_m, z_m)
    }

    /// Inside radius at a place along the axis [m]; straight on beyond the end faces.
    pub fn inside_at(&self, z_m: f64) -> f64 {
        self.along(self.inside_m, z_m)
    }

    fn along(&self, [a, b]: [f64; 2], z_m: f64) -> f64 {
        a + (b - a) * (z_m - self.from_m) / (self.to_m - self.from_m)
    }

    /// Its own mass, centre and inertia, see [`Bulk`].
    pub fn bulk(&self) -> Bulk {
        let length = self.to_m - self.from_m;
        let [outside, inside] = [self.outside_m, self.inside_m].map(|radii| Frustum::of(radii, length));
        let mass_kg = self.density_kg_m3 * (outside.volume - inside.volume);
        Bulk {
            mass_kg,
            moment_kg_m: mass_kg * self.from_m + self.density_kg_m3 * (outside.first - inside.first),
            inertia_kg_m2: self.density_kg_m3 * (outside.polar - inside.polar),
        }
    }

    /// Area of its half section [m²], and ∫ r dA [m³] and ∫ r² dA [m⁴] over it: what spin does to a ring cut in half.
    pub fn section(&self) -> [f64; 3] {
        let length = self.to_m - self.from_m;
        let powers = |[a, b]: [f64; 2]| {
            let (second, third) = ((a * a + a * b + b * b) / 3.0, (a * a * a + a * a * b + a * b * b + b * b * b) / 4.0);
            [0.5 * (a + b) * length, 0.5 * second * length, third / 3.0 * length]
        };
        let (outside, inside) = (powers(self.outside_m), powers(self.inside_m));
        std::array::from_fn(|k| outside[k] - inside[k])
    }
}

/// ∫ dV, ∫ z dV from the first face, and ∫ r² dV of a solid frustum.
struct Frustum {
    volume: f64,
    first: f64,
    polar: f64,
}

impl Frustum {
    /// With r = a + (b − a) t and t from 0 to 1 over the length h: V = πh(a² + ab + b²)/3, ∫ z dV = πh²(a² + 2ab + 3b²)/12,
    /// ∫ r² dV = πh(a⁴ + a³b + a²b² + ab³ + b⁴)/10.
    fn of([a, b]: [f64; 2], length: f64) -> Self {
        Self {
            volume: PI * length * (a * a + a * b + b * b) / 3.0,
            first: PI * length * length * (a * a + 2.0 * a * b + 3.0 * b * b) / 12.0,
            polar: PI * length * (a.powi(4) + a.powi(3) * b + a * a * b * b + a * b.powi(3) + b.powi(4)) / 10.0,
        }
    }
}

/// Round holes parallel to the axis, evenly spread on a circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Holes {
    /// How many.
    pub count: usize,
    /// Radius of the circle on which their centres lie [m].
    pub circle_m: f64,
    /// Radius of each [m].
    pub radius_m: f64,
    /// Where they begin and end along the axis [m]. They must lie in metal from end to end.
    pub from_m: f64,
    /// See `from_m`.
    pub to_m: f64,
}

/// Magnets alike, as sectors of a ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Magnets {
    /// How many.
    pub count: usize,
    /// Where they begin and end along the axis [m].
    pub from_m: f64,
    /// See `from_m`.
    pub to_m: f64,
    /// Inside and outside radius [m].
    pub inside_m: f64,
    /// See `inside_m`.
    pub outside_m: f64,
    /// Angle that each covers about the axis [rad].
    pub arc_rad: f64,
    /// Density [kg/m³].
    pub density_kg_m3: f64,
}

impl Magnets {
    /// Mass, centre and inertia of all of them together.
    pub fn bulk(&self) -> Bulk {
        let (inner, outer) = (self.inside_m * self.inside_m, self.outside_m * self.outside_m);
        let volume = 0.5 * self.count as f64 * self.arc_rad * (outer - inner) * (self.to_m - self.from_m);
        let mass_kg = self.density_kg_m3 * volume;
        let centre_m = 0.5 * (self.from_m + self.to_m);
        Bulk { mass_kg, moment_kg_m: mass_kg * centre_m, inertia_kg_m2: 0.5 * mass_kg * (inner + outer) }
    }

    /// Sum of mass times radius of the centre of mass of each [kg·m]: times ω² it is the outward pull of all of them [N].
    ///
    /// A sector's mass at its radius, not drawn towards the axis by its own arc: every part of it pulls outward along its own radius.
    pub fn pull_kg_m(&self) -> f64 {
        let cube = (self.outside_m.powi(3) - self.inside_m.powi(3)) / 3.0;
        self.density_kg_m3 * self.count as f64 * self.arc_rad * cube * (self.to_m - self.from_m)
    }
}

/// Mass, first moment along the axis, and polar moment of inertia of a body.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bulk {
    /// Mass [kg].
    pub mass_kg: f64,
    /// Mass times place along the axis [kg·m].
    pub moment_kg_m: f64,
    /// Moment of inertia about the axis [kg·m²].
    pub inertia_kg_m2: f64,
}

impl Bulk {
    /// Place of the centre of mass along the axis [m].
    pub fn centre_m(&self) -> f64 {
        self.moment_kg_m / self.mass_kg
    }

    fn add(&mut self, other: Self, sign: f64) {
        self.mass_kg += sign * other.mass_kg;
        self.moment_kg_m += sign * other.moment_kg_m;
        self.inertia_kg_m2 += sign * other.inertia_kg_m2;
    }
}

/// Why these pieces make no rotor. Indices count the pieces, holes and magnets as they were given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotARotor {
    /// There is no piece at all.
    #[error("no piece")]
    Empty,
    /// A number of a piece is not finite, negative, or its end faces are not one behind the other.
    #[error("piece {piece} is no body")]
    BadPiece {
        /// Which.
        piece: usize,
    },
    /// Its inside is not smaller than its outside at an end face.
    #[error("piece {piece}: inside {inside_m} m is not smaller than outside {outside_m} m")]
    InsideOut {
        /// Which.
        piece: usize,
        /// Inside radius there [m].
        inside_m: f64,
        /// Outside radius there [m].
        outside_m: f64,
    },
    /// Two pieces take the same room.
    #[error("pieces {first} and {second} overlap near {at_m} m along the axis")]
    Overlap {
        /// One.
        first: usize,
        /// The other.
        second: usize,
        /// A place along the axis where they do [m].
        at_m: f64,
    },
    /// A piece touches no other, directly or through others.
    #[error("piece {piece} does not hang together with the first")]
    Loose {
        /// Which.
        piece: usize,
    },
    /// A number of a row of holes is not finite, not positive, or its ends are not one behind the other.
    #[error("holes {holes} are no holes")]
    BadHoles {
        /// Which row.
        holes: usize,
    },
    /// A hole is not all in one piece of metal at some place along the axis.
    #[error("holes {holes} leave the metal at {at_m} m along the axis")]
    HoleOutside {
        /// Which row.
        holes: usize,
        /// Where along the axis [m].
        at_m: f64,
    },
    /// Neighbouring holes, or holes of two rows, run into each other.
    #[error("holes {first} and {second} run into each other")]
    HolesMeet {
        /// One row.
        first: usize,
        /// The other; the same if neighbours of one row meet.
        second: usize,
    },
    /// A number of magnets is not finite, not positive, or they cover more than a whole turn.
    #[error("magnets {magnets} are no ring of magnets")]
    BadMagnets {
        /// Which.
        magnets: usize,
    },
    /// Magnets take the same room as a piece.
    #[error("magnets {magnets} lie in piece {piece}")]
    MagnetInMetal {
        /// Which.
        magnets: usize,
        /// In which piece.
        piece: usize,
    },
    /// Two rows of magnets take the same room.
    #[error("magnets {first} and {second} overlap")]
    MagnetsMeet {
        /// One.
        first: usize,
        /// The other.
        second: usize,
    },
}

/// A rotor whose pieces, holes and magnets fit together.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    pieces: Vec<Piece>,
    holes: Vec<Holes>,
    magnets: Vec<Magnets>,
}

impl Solid {
    /// Checks that the parts fit.
    ///
    /// # Errors
    /// The first [`NotARotor`] that is found.
    ///
    /// # Example
    /// ```
    /// use physics::rotor::solid::{Piece, Solid};
    /// // A steel ring of 120 and 100 mm, 30 mm wide.
    /// let ring = Piece { from_m: 0.0, to_m: 0.03, outside_m: [0.06; 2], inside_m: [0.05; 2], density_kg_m3: 7850.0 };
    /// let rotor = Solid::new(vec![ring], vec![], vec![]).unwrap().bulk();
    /// assert!((rotor.mass_kg - 0.8138).abs() < 1e-4 && (rotor.centre_m() - 0.015).abs() < 1e-12);
    /// ```
    pub fn new(pieces: Vec<Piece>, holes: Vec<Holes>, magnets: Vec<Magnets>) -> Result<Self, NotARotor> {
        super::fits::check(&pieces, &holes, &magnets)?;
        Ok(Self { pieces, holes, magnets })
    }

    /// The pieces.
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// The rows of holes.
    pub fn holes(&self) -> &[Holes] {
        &self.holes
    }

    /// The rings of magnets.
    pub fn magnets(&self) -> &[Magnets] {
        &self.magnets
    }

    /// All together.
    pub fn bulk(&self) -> Bulk {
        bulk(&self.pieces, &self.holes, &self.magnets)
    }
}

/// Mass, centre and inertia of parts that are not looked at: exact for whatever fits together, and smooth in every number.
///
/// This is what is differenced to carry a ± through: vary *together* all the numbers that one measurement gave (the inside of a rim and
/// the outside of the web in it are one turned diameter), and the correlation is right without a word more.
///
/// A hole is a cylinder of the metal it is in, J = m (c² + r²/2) by the parallel axes; a magnet is a ring sector, J = m (R² + r²)/2.
/// Source: *Machinery's Handbook*, moments of inertia (from memory); the frusta are integrated by hand beside them.
pub fn bulk(pieces: &[Piece], holes: &[Holes], magnets: &[Magnets]) -> Bulk {
    let mut all = Bulk::default();
    for piece in pieces {
        all.add(piece.bulk(), 1.0);
    }
    for row in holes {
        for piece in pieces {
            all.add(drilled(row, piece), -1.0);
        }
    }
    for ring in magnets {
        all.add(ring.bulk(), 1.0);
    }
    all
}

/// What a row of holes takes from a piece.
fn drilled(row: &Holes, piece: &Piece) -> Bulk {
    let (from, to) = (row.from_m.max(piece.from_m), row.to_m.min(piece.to_m));
    let middle = 0.5 * (from + to);
    if to <= from || !(piece.inside_at(middle)..=piece.outside_at(middle)).contains(&row.circle_m) {
        return Bulk::default();
    }
    let mass_kg = row.count as f64 * PI * row.radius_m * row.radius_m * (to - from) * piece.density_kg_m3;
    let arm = row.circle_m * row.circle_m + 0.5 * row.radius_m * row.radius_m;
    Bulk { mass_kg, moment_kg_m: mass_kg * middle, inertia_kg_m2: mass_kg * arm }
}

/// Distance between the centres of neighbouring holes of a row, straight across [m]; infinite for one.
pub fn pitch_m(row: &Holes) -> f64 {
    if row.count > 1 { 2.0 * row.circle_m * (TAU / (2.0 * row.count as f64)).sin() } else { f64::INFINITY }
}

#[cfg(test)]
#[path = "solid/tests.rs"]
mod tests;
