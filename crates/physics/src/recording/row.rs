//! The row of marks of a recording of any length, piece by piece.

use super::{
    lobes::Lobe,
    marks::{Mark, MarkKind, marks},
};

/// Lobes that are looked at together [1] (own choice): some two thousand turns, and a few megabytes while it is done.
const TOGETHER: usize = 4096;
/// Marks at the end of a piece that wait for the next one, and those before them that lead it in [1] (own choice): what a row is worth is
/// settled a few turns behind.
const WAIT: usize = 24;
const LEAD_IN: usize = 24;

/// Follows the row of marks through lobes that come in order, and holds no more than 4096 of them.
///
/// Every piece is the best row of [`marks`]; it begins some turns before the last one ended, so that the two are one row wherever they agree on the turns that
/// both have. Where they do not, the row begins anew. Up to 4096 lobes the answer is that of [`marks`].
#[derive(Clone, Debug)]
pub struct MarkRow {
    kind: MarkKind,
    turns: f64,
    lobes: Vec<Lobe>,
    /// The last mark that was handed on [s].
    last_s: Option<f64>,
    seen: usize,
    found: usize,
}

impl MarkRow {
    /// For marks of a kind, with so many turns of the rotor in one turn of the crank.
    pub fn new(kind: MarkKind, turns: f64) -> Self {
        Self { kind, turns, lobes: Vec::new(), last_s: None, seen: 0, found: 0 }
    }

    /// How the marks are made.
    pub fn kind(&self) -> MarkKind {
        self.kind
    }

    /// Lobes that belong to no mark, so far.
    pub fn stray(&self) -> usize {
        let in_each = if matches!(self.kind, MarkKind::Pair { .. }) { 2 } else { 1 };
        self.seen.saturating_sub(in_each * self.found)
    }

    /// Lobes that are held.
    pub fn held(&self) -> usize {
        self.lobes.len()
    }

    /// More lobes; marks that are settled by them go to `out`.
    pub fn push(&mut self, lobes: &[Lobe], out: &mut Vec<Mark>) {
        for lobe in lobes {
            self.lobes.push(*lobe);
            self.seen += 1;
            if self.lobes.len() >= TOGETHER {
                self.settle(false, out);
            }
        }
    }

    /// The rest of the marks.
    pub fn finish(&mut self, out: &mut Vec<Mark>) {
        self.settle(true, out);
        self.lobes.clear();
    }

    fn settle(&mut self, all: bool, out: &mut Vec<Mark>) {
        let row = marks(&self.lobes, self.kind, self.turns).map(|m| m.marks).unwrap_or_default();
        // What has half of all lobes behind it waits no longer, however few marks came since.
        let half = self.lobes.get(self.lobes.len() / 2).map_or(f64::INFINITY, |l| l.middle_s);
        let old = row.partition_point(|m| m.ends_s.1 < half);
        let settled = if all { row.len() } else { row.len().saturating_sub(WAIT).max(old) };
        let mut before = None;
        for mark in &row[..settled] {
            if self.last_s.is_none_or(|last| mark.at_s > last) {
                let follows = before == self.last_s;
                out.push(Mark { turns: if follows { mark.turns } else { 0 }, ..*mark });
                self.last_s = Some(mark.at_s);
                self.found += 1;
            }
            before = Some(mark.at_s);
        }
        // What leads the next piece in; where there is no row, the newer half.
        let from = row.get(settled.saturating_sub(LEAD_IN)).map_or(f64::INFINITY, |m| m.ends_s.0);
        let from = self.lobes.iter().position(|l| l.middle_s >= from).unwrap_or(usize::MAX);
        let half = self.lobes.len().saturating_sub(TOGETHER / 2);
        let from = if settled == 0 { half } else { from.max(half).min(self.lobes.len()) };
        self.lobes.drain(..from);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A speed that swings between 1000 and 4000 rpm, a mark every turn, the second end a tenth of a turn behind the first.
    fn swinging(turns: usize) -> Vec<Lobe> {
        let mut t = 0.0;
        let mut lobes = Vec::new();
        for k in 0..turns {
            let turn = 60.0 / (2500.0 + 1500.0 * (k as f64 / 90.0).sin());
            lobes.push(Lobe { middle_s: t, width_s: 1e-4, foot_s: 2e-4, peak: 1.0 });
            lobes.push(Lobe { middle_s: t + 0.1 * turn, width_s: 1e-4, foot_s: 2e-4, peak: -0.8 });
            t += turn;
        }
        lobes
    }

    #[test]
    fn pieces_make_the_same_row_as_the_whole_and_what_is_held_does_not_grow() {
        let kind = MarkKind::Pair { leading_up: true, share: 0.1 };
        let mut lobes = swinging(20_000);
        // A lobe is lost and a stray one comes now and then.
        (0..30).rev().for_each(|k| {
            lobes.remove(1301 * k + 700);
        });
        let whole = marks(&lobes, kind, 1.0).unwrap();
        let (mut row, mut found, mut held) = (MarkRow::new(kind, 1.0), Vec::new(), 0);
        for piece in lobes.chunks(77) {
            row.push(piece, &mut found);
            held = held.max(row.held());
        }
        row.finish(&mut found);
        assert_eq!(found, whole.marks);
        assert_eq!(row.stray(), whole.stray);
        assert!(held <= TOGETHER, "{held}");
    }

    #[test]
    fn a_long_rest_without_turns_keeps_nothing_up() {
        let kind = MarkKind::Single { up: true };
        let mut lobes: Vec<Lobe> = swinging(500).into_iter().filter(|l| l.peak > 0.0).collect();
        let end = lobes[499].middle_s;
        // Crackle far too close together to be turns.
        lobes.extend((0..30_000).map(|i| Lobe {
            middle_s: end + 2.0 + 1e-3 * f64::from(i),
            width_s: 1e-4,
            foot_s: 2e-4,
            peak: -0.1,
        }));
        lobes.extend(swinging(500).into_iter().filter(|l| l.peak > 0.0).map(|l| Lobe { middle_s: l.middle_s + end + 40.0, ..l }));
        let (mut row, mut found) = (MarkRow::new(kind, 1.0), Vec::new());
        row.push(&lobes, &mut found);
        row.finish(&mut found);
        assert_eq!(found.len(), 1000);
        assert_eq!(found.iter().filter(|m| m.turns == 0).count(), 2);
    }
}
