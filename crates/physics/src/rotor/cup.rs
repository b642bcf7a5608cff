//! A rotor's pieces made into one body of middle lines, discs along the radius and rims along the axis, and what spin does to it.

use super::fits::touch;
use super::meridian::{self, Cell, Faces, Hung, Metal, NotSolved};
use super::solid::{Magnets, Piece, SLACK_M};

/// How a piece bears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// A boss or a web: its line goes outward.
    Disc,
    /// A rim: its line goes along the axis.
    Rim,
}

/// A turned piece, how it bears, and what it is of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// The piece.
    pub piece: Piece,
    /// How it bears.
    pub part: Part,
    /// Young's modulus [Pa].
    pub young_pa: f64,
    /// Poisson's ratio \[1\].
    pub poisson: f64,
}

/// A place on a middle line and its stresses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// The piece that has most of the wall here.
    pub piece: usize,
    /// How it bears.
    pub part: Part,
    /// Radius and place along the axis of the middle of the wall [m].
    pub radius_m: f64,
    /// See `radius_m`.
    pub place_m: f64,
    /// Thickness of the wall [m].
    pub thickness_m: f64,
    /// Stresses for ω = 1 rad/s [Pa·s²/rad²], at both faces: of a disc first the one at greater place along the axis, of a rim first the inside.
    pub faces: Faces,
}

/// What spin does to a rotor.
#[derive(Clone, Debug, PartialEq)]
pub struct Cup {
    /// From the bore outward, then along the rim from its lesser to its greater place. Each stretch of even shape has a station at both of its ends, where the
    /// stresses of its cells are carried on straight.
    pub stations: Vec<Station>,
    /// How far the rim's edge farther from the web moves outward for ω = 1 rad/s [m·s²/rad²]; of a disc alone its outside.
    pub opens_m: f64,
}

impl Cup {
    /// The station with the greatest von Mises stress.
    pub fn worst(&self) -> Option<&Station> {
        self.stations.iter().max_by(|a, b| a.faces.von_mises().total_cmp(&b.faces.von_mises()))
    }
}

/// Why no body of middle lines could be made.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotACup {
    /// There is no disc, so nothing holds the rim.
    #[error("no boss or web")]
    NoDisc,
    /// At this radius there are two walls with a gap between them.
    #[error("two webs at radius {radius_m} m")]
    TwoWebs {
        /// Where [m].
        radius_m: f64,
    },
    /// At this place along the axis there are two rims, one round the other, with a gap between them, or none within the rim's length.
    #[error("the rim is not one wall at {place_m} m")]
    TwoRims {
        /// Where [m].
        place_m: f64,
    },
    /// No rim touches a web: neither on its outside nor on a face.
    #[error("the rim does not touch the web")]
    NotHeld,
    /// The equations were not solved.
    #[error(transparent)]
    NotSolved(#[from] NotSolved),
}

/// Length of a cell against the greatest radius \[1\] (own choice): halved, no stress of a rotor in the tests moves by a thousandth.
const FINENESS: f64 = 1.0 / 400.0;
/// Least number of cells to a stretch \[1\] (own choice).
const LEAST_CELLS: usize = 6;

/// A wall between two places along a line: from and to of its lower and upper face at either end.
#[derive(Clone, Copy)]
struct Stretch {
    along: [f64; 2],
    low: [f64; 2],
    high: [f64; 2],
    metal: Metal,
    piece: usize,
    hung_kg: f64,
}

/// Works out a rotor whose parts fit together ([`super::solid::Solid::new`] says whether they do).
///
/// Magnets pull at the rim that covers them, or that they lie on; where there is none, at the outside of the discs. A tapered bore counts with its mean.
/// The bore is free: what holds it on its shaft is left out, so that the stress there is that of spin alone, without the shaft's help.
///
/// # Errors
/// [`NotACup`].
pub fn solve(members: &[Member], magnets: &[Magnets]) -> Result<Cup, NotACup> {
    solve_with(members, magnets, FINENESS)
}

fn solve_with(members: &[Member], magnets: &[Magnets], fineness: f64) -> Result<Cup, NotACup> {
    let of = |part: Part| members.iter().enumerate().filter(move |(_, m)| m.part == part);
    let discs: Vec<(usize, Member)> = of(Part::Disc).map(|(k, m)| (k, with_mean_bore(*m, members))).collect();
    let rims: Vec<(usize, Member)> = of(Part::Rim).map(|(k, m)| (k, *m)).collect();
    let greatest = members.iter().flat_map(|m| m.piece.outside_m).fold(0.0, f64::max);
    let held = if rims.is_empty() { None } else { Some(join(&discs, &rims).ok_or(NotACup::NotHeld)?) };
    let mut marks: Vec<f64> = discs.iter().flat_map(|(_, m)| [m.piece.inside_m, m.piece.outside_m].concat()).collect();
    marks.extend(held.map(|j| j.radius_m));
    let webs = stretches(&discs, marks, radial).map_err(|radius_m| NotACup::TwoWebs { radius_m })?;
    let mut marks: Vec<f64> = rims.iter().flat_map(|(_, m)| [m.piece.from_m, m.piece.to_m]).collect();
    let (mut on_rim, mut on_disc) = (Vec::new(), Vec::new());
    for ring in magnets {
        let middle = 0.5 * (ring.from_m + ring.to_m);
        if rims.iter().any(|(_, m)| (m.piece.from_m..=m.piece.to_m).contains(&middle)) {
            marks.extend([ring.from_m, ring.to_m]);
            on_rim.push(*ring);
        } else {
            on_disc.push(*ring);
        }
    }
    let (least, most) = rims.iter().fold((f64::MAX, f64::MIN), |(a, b), (_, m)| (a.min(m.piece.from_m), b.max(m.piece.to_m)));
    marks.retain(|z| (least..=most).contains(z));
    marks.extend(held.map(|j| j.place_m));
    let mut walls = stretches(&rims, marks, axial).map_err(|place_m| NotACup::TwoRims { place_m })?;
    for wall in &mut walls {
        let middle = 0.5 * (wall.along[0] + wall.along[1]);
        let here = on_rim.iter().filter(|m| (m.from_m..=m.to_m).contains(&middle));
        wall.hung_kg = here.map(|m| m.pull_kg_m() / (m.to_m - m.from_m)).sum();
    }
    Body::new(greatest * fineness).build(&webs, &walls, held, &on_disc)
}

/// The bore's taper does not run into an edge without thickness if the whole bore counts with its mean.
fn with_mean_bore(mut m: Member, all: &[Member]) -> Member {
    let [a, b] = m.piece.inside_m;
    let filled =
        all.iter().any(|other| other.piece.outside_m.iter().all(|r| *r <= a.max(b) + SLACK_M) && touch(&other.piece, &m.piece));
    if !filled {
        m.piece.inside_m = [0.5 * (a + b); 2];
    }
    m
}

/// Where the rim's line is joined to the web's.
#[derive(Clone, Copy)]
struct Joint {
    radius_m: f64,
    place_m: f64,
}

fn join(discs: &[(usize, Member)], rims: &[(usize, Member)]) -> Option<Joint> {
    let mut pairs = discs.iter().flat_map(|(_, d)| rims.iter().map(move |(_, r)| (d.piece, r.piece)));
    let (disc, rim) = pairs.find(|(d, r)| touch(d, r))?;
    let (from, to) = (disc.from_m.max(rim.from_m), disc.to_m.min(rim.to_m));
    if to - from > SLACK_M {
        // The web ends in the rim.
        return Some(Joint { radius_m: disc.outside_m[0].min(disc.outside_m[1]), place_m: 0.5 * (from + to) });
    }
    // The rim stands on a face of the web.
    let (end, face) = if rim.from_m > disc.from_m { (0, 1) } else { (1, 0) };
    let middle = 0.5 * (rim.outside_m[end] + rim.inside_m[end]);
    let radius_m = middle.max(disc.inside_m[face]).min(disc.outside_m[face]);
    Some(Joint { radius_m, place_m: if end == 0 { rim.from_m } else { rim.to_m } })
}

/// Where a piece's wall begins and ends along the axis, at a radius.
fn radial(p: &Piece, r: f64) -> Option<[f64; 2]> {
    let (mut low, mut high) = (p.from_m, p.to_m);
    for (edge, sign) in [(p.outside_m, 1.0), (p.inside_m, -1.0)] {
        let [a, b] = edge.map(|e| sign * (e - r));
        let zero = p.from_m + (p.to_m - p.from_m) * a / (a - b);
        match (a >= 0.0, b >= 0.0) {
            (true, true) => {}
            (true, false) => high = high.min(zero),
            (false, true) => low = low.max(zero),
            (false, false) => return None,
        }
    }
    (high - low > SLACK_M).then_some([low, high])
}

/// Where a piece's wall begins and ends along the radius, at a place along the axis.
fn axial(p: &Piece, z: f64) -> Option<[f64; 2]> {
    let inside = (p.from_m..=p.to_m).contains(&z);
    (inside && p.outside_at(z) - p.inside_at(z) > SLACK_M).then(|| [p.inside_at(z), p.outside_at(z)])
}

/// Cuts walls at all marks; between two marks every face is straight. `Err` tells where there is none, or more than one with a gap.
fn stretches(
    members: &[(usize, Member)],
    mut marks: Vec<f64>,
    faces: impl Fn(&Piece, f64) -> Option<[f64; 2]>,
) -> Result<Vec<Stretch>, f64> {
    marks.sort_by(f64::total_cmp);
    marks.dedup_by(|b, a| (*b - *a).abs() <= 2.0 * SLACK_M);
    let mut all = Vec::new();
    for pair in marks.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        // A hair inside, so that what begins or ends at a mark counts on its own side alone.
        let hair = SLACK_M.min(0.01 * (b - a));
        let middle = 0.5 * (a + b);
        let mut here: Vec<(usize, Member, [f64; 2])> =
            members.iter().filter_map(|(k, m)| faces(&m.piece, middle).map(|f| (*k, *m, f))).collect();
        here.sort_by(|x, y| x.2[0].total_cmp(&y.2[0]));
        if here.is_empty() || here.windows(2).any(|w| (w[1].2[0] - w[0].2[1]).abs() > 4.0 * SLACK_M) {
            return Err(middle);
        }
        let ends = |at: f64, fallback: f64| {
            let all: Vec<[f64; 2]> =
                here.iter().map(|(_, m, own)| faces(&m.piece, at).unwrap_or([fallback.max(own[0]).min(own[1]); 2])).collect();
            let low = all.iter().map(|f| f[0]).fold(f64::MAX, f64::min);
            (low, all.iter().map(|f| f[1]).fold(f64::MIN, f64::max))
        };
        let ((low_a, high_a), (low_b, high_b)) = (ends(a + hair, middle), ends(b - hair, middle));
        let whole: f64 = here.iter().map(|(_, _, f)| f[1] - f[0]).sum();
        let mean = |of: fn(&Member) -> f64| here.iter().map(|(_, m, f)| of(m) * (f[1] - f[0])).sum::<f64>() / whole;
        let metal = Metal {
            young_pa: mean(|m| m.young_pa),
            poisson: mean(|m| m.poisson),
            density_kg_m3: mean(|m| m.piece.density_kg_m3),
        };
        let most = here.iter().max_by(|x, y| (x.2[1] - x.2[0]).total_cmp(&(y.2[1] - y.2[0])));
        let piece = most.map_or(0, |(k, _, _)| *k);
        all.push(Stretch { along: [a, b], low: [low_a, low_b], high: [high_a, high_b], metal, piece, hung_kg: 0.0 });
    }
    Ok(all)
}

/// The body as it grows.
struct Body {
    step: f64,
    nodes: Vec<[f64; 2]>,
    cells: Vec<Cell>,
    /// Of each stretch: its cells, its piece, how it bears.
    runs: Vec<(std::ops::Range<usize>, usize, Part)>,
}

impl Body {
    fn new(step: f64) -> Self {
        Self { step, nodes: Vec::new(), cells: Vec::new(), runs: Vec::new() }
    }

    fn build(mut self, webs: &[Stretch], walls: &[Stretch], held: Option<Joint>, on_disc: &[Magnets]) -> Result<Cup, NotACup> {
        let first = webs.first().ok_or(NotACup::NoDisc)?;
        self.nodes.push([first.along[0].max(SLACK_M), 0.5 * (first.low[0] + first.high[0])]);
        let (mut at, mut joint) = (0, None);
        for web in webs {
            at = self.go(web, Part::Disc, at, false);
            if held.is_some_and(|j| (web.along[1] - j.radius_m).abs() <= 4.0 * SLACK_M) {
                joint = Some(at);
            }
        }
        let outside = at;
        let mut edge = outside;
        if let Some(j) = held {
            let joint = joint.ok_or(NotACup::NotHeld)?;
            let split = walls.iter().position(|w| w.along[0] >= j.place_m - 4.0 * SLACK_M).unwrap_or(walls.len());
            let mut ends = [joint; 2];
            for wall in &walls[split..] {
                ends[1] = self.go(wall, Part::Rim, ends[1], false);
            }
            let above = self.runs.len();
            for wall in walls[..split].iter().rev() {
                ends[0] = self.go(wall, Part::Rim, ends[0], true);
            }
            // Along the rim from its lesser place on.
            let mut below = self.runs.split_off(above);
            below.reverse();
            let webs = webs.len();
            self.runs.splice(webs..webs, below);
            let far = |wall: Option<&Stretch>, k: usize| wall.map_or(0.0, |w| (w.along[k] - j.place_m).abs());
            edge = if far(walls.first(), 0) > far(walls.last(), 1) { ends[0] } else { ends[1] };
        }
        let hung: Vec<Hung> = on_disc
            .iter()
            .map(|m| Hung {
                node: outside,
                pull_kg_m: m.pull_kg_m(),
                beyond_m: 0.5 * (m.from_m + m.to_m) - self.nodes[outside][1],
            })
            .collect();
        let got = meridian::solve(&self.nodes, &self.cells, &hung)?;
        let mut stations = Vec::new();
        for (run, piece, part) in &self.runs {
            let mut cells: Vec<usize> = run.clone().collect();
            let backward = self.cells[cells[0]].ends_m[0][1] > self.cells[cells[0]].ends_m[1][1] && *part == Part::Rim;
            if backward {
                cells.reverse();
            }
            // A rim that was followed downward has its outside on the left.
            let faces = |k: usize| {
                let Faces { hoop: [a, b], along: [c, d] } = got.faces[k];
                if backward { Faces { hoop: [b, a], along: [d, c] } } else { got.faces[k] }
            };
            let station = |end: [f64; 2], thickness_m: f64, faces: Faces| Station {
                piece: *piece,
                part: *part,
                radius_m: end[0],
                place_m: end[1],
                thickness_m,
                faces,
            };
            let (begin, finish) = if backward { (1, 0) } else { (0, 1) };
            let n = cells.len();
            let (a, b) = (self.cells[cells[0]], self.cells[cells[n - 1]]);
            stations.push(station(a.ends_m[begin], a.thickness_m[begin], Faces::beyond(&faces(cells[1]), &faces(cells[0]), 0.5)));
            for k in &cells {
                let c = self.cells[*k];
                let middle = std::array::from_fn(|i| 0.5 * (c.ends_m[0][i] + c.ends_m[1][i]));
                stations.push(station(middle, 0.5 * (c.thickness_m[0] + c.thickness_m[1]), faces(*k)));
            }
            let last = Faces::beyond(&faces(cells[n - 2]), &faces(cells[n - 1]), 0.5);
            stations.push(station(b.ends_m[finish], b.thickness_m[finish], last));
        }
        Ok(Cup { stations, opens_m: got.moved[edge][0] })
    }

    /// Adds a stretch's cells from a node on; gives the node at its end.
    fn go(&mut self, s: &Stretch, part: Part, mut from: usize, backward: bool) -> usize {
        let length = s.along[1] - s.along[0];
        let count = ((length / self.step).ceil() as usize).max(LEAST_CELLS);
        let begin = self.cells.len();
        let place = |x: f64| {
            let (along, low, high) =
                (s.along[0] + x * length, s.low[0] + x * (s.low[1] - s.low[0]), s.high[0] + x * (s.high[1] - s.high[0]));
            let across = 0.5 * (low + high);
            // A solid disc begins beside the axis, not on it.
            let end = if part == Part::Disc { [along.max(SLACK_M), across] } else { [across, along] };
            (end, (high - low).max(SLACK_M))
        };
        for k in 0..count {
            let x = |k: usize| if backward { 1.0 - k as f64 / count as f64 } else { k as f64 / count as f64 };
            let ((a, h), (b, i)) = (place(x(k)), place(x(k + 1)));
            self.nodes.push(b);
            let to = self.nodes.len() - 1;
            self.cells.push(Cell { nodes: [from, to], ends_m: [a, b], thickness_m: [h, i], metal: s.metal, hung_kg: s.hung_kg });
            from = to;
        }
        self.runs.push((begin..self.cells.len(), s.piece, part));
        from
    }
}

#[cfg(test)]
#[path = "cup/tests.rs"]
mod tests;
