//! The rotor's readings as parts of metal: what varies together, what each part is of, and what a cut makes of them.

use crate::{
    machine::{
        metal::{Metal, Spread},
        rotor::{Face, Part, Rotor, Zone},
    },
    study::{
        Finding,
        doubt::{Input, finding},
    },
};
use physics::rotor::{
    cup::{Member, Part as Bears},
    solid::{Bulk, Holes, Magnets, Piece, SLACK_M, bulk},
};
use quantity::Reading;

/// Readings of one kind that differ by less count as readings of one and the same turned face or shoulder [m] (own choice): what pieces may lie apart and still touch, across a diameter.
const SAME_M: f64 = 4.0 * SLACK_M;

/// What is read, and its ±. One entry for what one measurement gave: the inside of a rim and the outside of the web in it are one diameter, and vary together.
#[derive(Clone, Debug, Default)]
pub struct Readings {
    values: Vec<f64>,
    halves: Vec<f64>,
    kinds: Vec<Kind>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Diameter,
    Place,
    Own,
}

impl Readings {
    fn add(&mut self, kind: Kind, reading: &Reading) -> usize {
        let same = |k: &usize| self.kinds[*k] == kind && (self.values[*k] - reading.si).abs() < SAME_M;
        if kind != Kind::Own
            && let Some(k) = (0..self.values.len()).find(same)
        {
            self.halves[k] = self.halves[k].max(reading.plus_minus_si);
            return k;
        }
        self.spread(kind, (reading.si, reading.plus_minus_si))
    }

    fn spread(&mut self, kind: Kind, (value, half): Spread) -> usize {
        self.values.push(value);
        self.halves.push(half);
        self.kinds.push(kind);
        self.values.len() - 1
    }

    /// As read.
    pub fn nominal(&self) -> &[f64] {
        &self.values
    }

    /// A number that follows from the readings, with its ±.
    pub fn finding(&self, of: impl Fn(&[f64]) -> f64) -> Finding {
        let inputs: Vec<Input> = self.values.iter().copied().zip(self.halves.iter().copied()).collect();
        finding(of, &inputs)
    }
}

/// Where a piece's numbers stand among the readings.
#[derive(Clone, Copy, Debug)]
struct PieceAt {
    from: usize,
    to: usize,
    outside: [usize; 2],
    inside: [usize; 2],
    density: usize,
    young: usize,
    poisson: usize,
}

/// A rotor's parts, by their places among its readings.
#[derive(Clone, Debug)]
pub struct Parts {
    /// Numbers and their ±.
    pub readings: Readings,
    pieces: Vec<PieceAt>,
    bears: Vec<Bears>,
    holes: Vec<(usize, [usize; 4])>,
    /// Count, places of from, to, inside, outside, arc; and density, or the mass of one.
    magnets: Vec<(usize, [usize; 5], usize, bool)>,
}

/// Parts with numbers.
#[derive(Clone, Debug)]
pub struct Metalwork {
    /// Pieces, and the piece of the file that each is of.
    pub members: Vec<(Member, usize)>,
    /// Rows of holes.
    pub holes: Vec<Holes>,
    /// Rings of magnets.
    pub magnets: Vec<Magnets>,
}

impl Metalwork {
    /// Mass, centre and inertia.
    pub fn bulk(&self) -> Bulk {
        let pieces: Vec<Piece> = self.members.iter().map(|(m, _)| m.piece).collect();
        bulk(&pieces, &self.holes, &self.magnets)
    }

    /// For the stresses.
    pub fn bearing(&self) -> Vec<Member> {
        self.members.iter().map(|(m, _)| *m).collect()
    }

    /// The same with a cut of a zone [m].
    pub fn cut(&self, zone: &Zone, depth_m: f64) -> Self {
        let mut out = self.clone();
        if depth_m > 0.0 {
            let radii = |of: &dyn Fn(&Piece) -> [f64; 2]| {
                self.members.iter().filter(|m| m.1 == zone.piece).flat_map(|(m, _)| of(&m.piece)).collect::<Vec<_>>()
            };
            let outermost = radii(&|p| p.outside_m).into_iter().fold(0.0, f64::max);
            let innermost = radii(&|p| p.inside_m).into_iter().fold(f64::INFINITY, f64::min);
            // Of a piece that was cut before into several, those that have the face.
            let has_face = |p: &Piece| match zone.face {
                Face::Outside => p.outside_m[0].max(p.outside_m[1]) > outermost - SLACK_M,
                Face::Inside => p.inside_m[0].min(p.inside_m[1]) < innermost + SLACK_M,
                Face::CoverSide | Face::EngineSide => true,
            };
            let cut = |m: &(Member, usize)| {
                if m.1 == zone.piece && has_face(&m.0.piece) { cut_piece(m, zone, depth_m) } else { vec![*m] }
            };
            out.members = self.members.iter().flat_map(cut).collect();
        }
        out
    }
}

impl Parts {
    /// `None` where a piece's metal and density are not known, or there is no piece.
    pub fn of(rotor: &Rotor) -> Option<Self> {
        if rotor.pieces.is_empty() {
            return None;
        }
        let mut readings = Readings::default();
        // One metal, one density: all pieces of it vary together.
        let mut metals: Vec<(Option<&Metal>, [usize; 3])> = Vec::new();
        let (mut pieces, mut bears) = (Vec::new(), Vec::new());
        for piece in &rotor.pieces {
            let metal = piece.metal.or(rotor.metal);
            let known = metals.iter().find(|(of, _)| *of == metal).map(|(_, at)| *at);
            let [density, young, poisson] = match known {
                Some(at) => at,
                None => {
                    let density = match (&rotor.density, piece.metal) {
                        (Some(read), None) => (read.si, read.plus_minus_si),
                        _ => metal?.density_kg_m3,
                    };
                    let metal_values = metal.map_or(((1.0, 0.0), (0.3, 0.0)), |m| (m.young_pa, m.poisson));
                    let at = [density, metal_values.0, metal_values.1].map(|s| readings.spread(Kind::Own, s));
                    metals.push((metal, at));
                    at
                }
            };
            pieces.push(PieceAt {
                from: readings.add(Kind::Place, &piece.from),
                to: readings.add(Kind::Place, &piece.to),
                outside: piece.outsides().map(|d| readings.add(Kind::Diameter, d)),
                inside: piece.insides().map(|d| readings.add(Kind::Diameter, d)),
                density,
                young,
                poisson,
            });
            bears.push(if piece.part == Part::Rim { Bears::Rim } else { Bears::Disc });
        }
        let holes = rotor.holes.iter().map(|h| {
            let at = [(Kind::Own, &h.on_circle), (Kind::Own, &h.diameter), (Kind::Place, &h.from), (Kind::Place, &h.to)];
            (usize::from(h.count), at.map(|(kind, reading)| readings.add(kind, reading)))
        });
        let holes = holes.collect();
        let magnets = rotor.magnets.iter().map(|m| {
            let at = [
                (Kind::Place, &m.from),
                (Kind::Place, &m.to),
                (Kind::Diameter, &m.inside),
                (Kind::Diameter, &m.outside),
                (Kind::Own, &m.arc),
            ];
            let at = at.map(|(kind, reading)| readings.add(kind, reading));
            let (mass, weighed) = match &m.mass {
                Some(mass) => (readings.add(Kind::Own, mass), true),
                None => (readings.spread(Kind::Own, m.material.density_kg_m3()), false),
            };
            (usize::from(m.count), at, mass, weighed)
        });
        let magnets = magnets.collect();
        Some(Self { readings, pieces, bears, holes, magnets })
    }

    /// The parts with these numbers in place of the readings.
    pub fn with(&self, x: &[f64]) -> Metalwork {
        let member = |(k, (p, part)): (usize, (&PieceAt, &Bears))| {
            let piece = Piece {
                from_m: x[p.from],
                to_m: x[p.to],
                outside_m: p.outside.map(|d| 0.5 * x[d]),
                inside_m: p.inside.map(|d| 0.5 * x[d]),
                density_kg_m3: x[p.density],
            };
            (Member { piece, part: *part, young_pa: x[p.young], poisson: x[p.poisson] }, k)
        };
        let hole = |(count, [circle, diameter, from, to]): &(usize, [usize; 4])| Holes {
            count: *count,
            circle_m: 0.5 * x[*circle],
            radius_m: 0.5 * x[*diameter],
            from_m: x[*from],
            to_m: x[*to],
        };
        let magnet = |(count, [from, to, inside, outside, arc], mass, weighed): &(usize, [usize; 5], usize, bool)| {
            let one = Magnets {
                count: *count,
                from_m: x[*from],
                to_m: x[*to],
                inside_m: 0.5 * x[*inside],
                outside_m: 0.5 * x[*outside],
                arc_rad: x[*arc],
                density_kg_m3: 1.0,
            };
            let volume = one.bulk().mass_kg / *count as f64;
            Magnets { density_kg_m3: if *weighed { x[*mass] / volume } else { x[*mass] }, ..one }
        };
        Metalwork {
            members: self.pieces.iter().zip(&self.bears).enumerate().map(member).collect(),
            holes: self.holes.iter().map(hole).collect(),
            magnets: self.magnets.iter().map(magnet).collect(),
        }
    }

    /// As read.
    pub fn nominal(&self) -> Metalwork {
        self.with(self.readings.nominal())
    }
}

/// What is left of a piece: one to three pieces.
fn cut_piece(&(member, k): &(Member, usize), zone: &Zone, depth: f64) -> Vec<(Member, usize)> {
    let p = member.piece;
    let with = |piece: Piece| (Member { piece, ..member }, k);
    match zone.face {
        Face::Outside => vec![with(Piece { outside_m: p.outside_m.map(|r| r - depth), ..p })],
        Face::Inside => vec![with(Piece { inside_m: p.inside_m.map(|r| r + depth), ..p })],
        Face::CoverSide | Face::EngineSide => {
            let end = usize::from(zone.face == Face::CoverSide);
            let at = if end == 1 { p.to_m - depth } else { p.from_m + depth };
            // Radii of the piece where the cut ends.
            let (inside, outside) = (p.inside_at(at), p.outside_at(at));
            let edge = |reading: &Option<Reading>, whole: f64| reading.as_ref().map_or(whole, |d| 0.5 * d.si);
            let least = edge(&zone.least, p.inside_m[end]).max(p.inside_m[end]);
            let greatest = edge(&zone.greatest, p.outside_m[end]).min(p.outside_m[end]);
            if greatest - least <= SLACK_M {
                return vec![(member, k)];
            }
            let mut out = Vec::new();
            let mut middle = p;
            if end == 1 {
                middle.to_m = at
            } else {
                middle.from_m = at
            }
            middle.inside_m[end] = inside;
            middle.outside_m[end] = outside;
            if least - p.inside_m[end] > SLACK_M {
                out.push(with(Piece { outside_m: [least; 2], ..p }));
                middle.inside_m = [least; 2];
            }
            if p.outside_m[end] - greatest > SLACK_M {
                out.push(with(Piece { inside_m: [greatest; 2], ..p }));
                middle.outside_m = [greatest; 2];
            }
            out.push(with(middle));
            out
        }
    }
}
