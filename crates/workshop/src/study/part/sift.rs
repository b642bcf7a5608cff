//! All parts of a kind against one need at a time, attribute by attribute.

use super::{
    kind::{Kind, Tier},
    laid::{Column, Laid, known, measured},
    rank::{Asked, FITS, OUT, Ranked, STEP, Verdict},
};
use physics::within::share_within;
use rayon::prelude::*;

/// Rows that are gone through in one piece \[1\] (own choice): their results stay in the nearest memory.
const PIECE: usize = 2048;

/// What all that counts comes to, of one part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Chance that all that is known is within tolerance \[1\].
    pub chance: f64,
    /// The same with each unknown at the share of the shelf \[1\].
    pub standing: f64,
    /// How many are not known.
    pub unknown: u32,
    /// Something is out of tolerance.
    pub out: bool,
    /// And that is a blocker.
    pub blocked: bool,
}

impl Default for Row {
    fn default() -> Self {
        Self { chance: 1.0, standing: 1.0, unknown: 0, out: false, blocked: false }
    }
}

impl Row {
    /// With one attribute more that is known.
    pub fn with(&mut self, chance: f64, tier: Tier) {
        self.chance *= chance;
        self.out |= chance <= OUT;
        self.blocked |= chance <= OUT && tier == Tier::Blocker;
    }

    /// What the part is to the job.
    pub fn verdict(&self) -> Verdict {
        match (self.blocked, self.out || self.chance <= OUT, self.unknown > 0) {
            (true, ..) => Verdict::Blocked,
            (_, true, _) => Verdict::Out,
            (_, _, true) => Verdict::Unknown,
            _ if self.chance >= FITS => Verdict::Match,
            _ => Verdict::Doubtful,
        }
    }

    /// The same with its numbers.
    pub fn ranked(&self, part: usize) -> Ranked {
        Ranked { part, verdict: self.verdict(), chance: self.chance, standing: self.standing, unknown: self.unknown as usize }
    }
}

/// All parts of a kind.
pub struct Sifted {
    /// One row for each, in the order of the shelf.
    pub rows: Vec<Row>,
    /// Share of the shelf that is within tolerance in each attribute \[1\], by Laplace's rule: (1 + hits)/(2 + measured).
    pub shares: Vec<f64>,
}

/// Goes through the parts of a kind. Shares are summed in whole steps, so that the order of rows does not count.
pub fn sift(kind: &Kind, asked: &[Asked], laid: &Laid) -> Sifted {
    let none = || vec![(0_i64, 0_i64); asked.len()];
    let mut rows = vec![Row::default(); laid.parts.len()];
    let piece = |(n, rows): (usize, &mut [Row])| {
        let mut sums = none();
        for (a, sum) in sums.iter_mut().enumerate() {
            let tier = kind.attributes[a].tier;
            each(&asked[a], &laid.columns[a], n * PIECE, rows, |row, chance| {
                if let Some(chance) = chance {
                    *sum = (sum.0 + (chance / STEP).round() as i64, sum.1 + 1);
                }
                match chance {
                    _ if tier == Tier::May => {}
                    Some(chance) => row.with(chance, tier),
                    None => row.unknown += 1,
                }
            });
        }
        sums
    };
    let together = |a: Vec<(i64, i64)>, b: Vec<(i64, i64)>| a.iter().zip(&b).map(|(a, b)| (a.0 + b.0, a.1 + b.1)).collect();
    let sums: Vec<(i64, i64)> = rows.par_chunks_mut(PIECE).enumerate().map(piece).reduce(none, together);
    let shares: Vec<f64> = sums.iter().map(|(steps, count)| (1.0 + *steps as f64 * STEP) / (2.0 + *count as f64)).collect();
    // Only where something is not known does the shelf's share count.
    let lacking = |a: &usize| kind.attributes[*a].tier != Tier::May && sums[*a].1 < laid.parts.len() as i64;
    let lacking: Vec<usize> = (0..asked.len()).filter(lacking).collect();
    rows.par_chunks_mut(PIECE).enumerate().for_each(|(n, rows)| {
        rows.iter_mut().for_each(|row| row.standing = row.chance);
        for a in &lacking {
            unknown(&asked[*a], &laid.columns[*a], n * PIECE, rows, |row| row.standing *= shares[*a]);
        }
    });
    Sifted { rows, shares }
}

/// Hands out the chance of every row of a piece that begins at `from` in what is asked; `None` where it is not known, nothing where it does not matter.
fn each(asked: &Asked, column: &Column, from: usize, rows: &mut [Row], mut to: impl FnMut(&mut Row, Option<f64>)) {
    match (asked, column) {
        (Asked::Free, _) => {}
        (Asked::Words(words), Column::Words(all)) => {
            for (row, word) in rows.iter_mut().zip(&all[from..]) {
                to(row, known(*word).map(|word| f64::from(words.contains(&word))));
            }
        }
        (Asked::Within(allowed, need), Column::Numbers(all)) => {
            for (row, number) in rows.iter_mut().zip(&all[from..]) {
                to(row, measured(*number).map(|part| share_within(part, *need, *allowed)));
            }
        }
        _ => rows.iter_mut().for_each(|row| to(row, None)),
    }
}

/// Hands out the rows of a piece that are not known in what is asked.
fn unknown(asked: &Asked, column: &Column, from: usize, rows: &mut [Row], to: impl Fn(&mut Row)) {
    let counts = |n: usize| match (asked, column) {
        (Asked::Free, _) => false,
        (Asked::Words(_), Column::Words(all)) => known(all[n]).is_none(),
        (Asked::Within(..), Column::Numbers(all)) => measured(all[n]).is_none(),
        _ => true,
    };
    rows.iter_mut().enumerate().filter(|(n, _)| counts(from + n)).for_each(|(_, row)| to(row));
}

#[cfg(test)]
mod tests {
    use super::super::{Need, Shelf, base, rank, rank::judge};

    #[test]
    fn column_by_column_is_part_by_part() {
        let kinds = base();
        let kind = kinds.named("plug").unwrap();
        let none = Need { kind, of: vec![None; kinds.list[kind].attributes.len()] };
        let need = none.over(kinds, "[plug]\nthread = 'M14x1.25'\nreach = '19 mm'\nheat_steps = '0'\nresistor = 'any'").unwrap();
        // More rows than a piece; threads, reaches and seats come and go at steps that share no factor.
        let mut text = String::new();
        for n in 0..3000 {
            text += &format!("[[part]]\nid = 'p-{:04}'\nkind = 'plug'\nmeasured = 'caliper'\n", n * 7919 % 3000);
            text += ["thread = 'M14x1.25'\n", "thread = 'M10x1'\n", ""][n % 3];
            text +=
                &if n % 5 == 0 { String::new() } else { format!("reach = '{:.1} ± 0.3 mm'\n", 18.0 + 0.1 * (n % 23) as f64) };
            text += ["heat_steps = '1'\n", "", "heat_steps = '0'\n", "heat_steps = '2 ± 1'\n"][n % 4];
        }
        let shelf = Shelf::toml(kinds, &text).unwrap();
        let matched = rank(kinds, &need, &shelf);
        assert_eq!(matched.ranked.len(), 3000);
        let mut verdicts = std::collections::BTreeSet::new();
        for ranked in &matched.ranked {
            let (alone, _) = judge(&kinds.list[kind], &need, &shelf.parts()[ranked.part], ranked.part, &matched.shares);
            assert_eq!(*ranked, alone);
            verdicts.insert(ranked.verdict);
        }
        assert_eq!(verdicts.len(), 3, "{verdicts:?}");
        let order =
            |a: &super::Ranked| (a.verdict.group(), -(a.standing / super::STEP).round() as i64, shelf.parts()[a.part].id.clone());
        assert!(matched.ranked.windows(2).all(|w| order(&w[0]) < order(&w[1])));
    }
}
