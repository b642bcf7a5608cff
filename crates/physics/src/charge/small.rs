//! Matrices of at most three by three, on the stack.
#![allow(clippy::needless_range_loop, reason = "the textbooks' indices")]

/// Rows of three.
pub type Matrix = [[f64; 3]; 3];

/// Basis of the vectors that these rows take to nought, over the columns that are `live`; entries of rows are −1, 0 and 1. Gives the basis and how many it has.
pub fn null_space(rows: &[[f64; 3]], live: [bool; 3]) -> ([[f64; 3]; 3], usize) {
    let mut m: Vec<[f64; 3]> = rows.to_vec();
    let mut pivots = [None; 3];
    let mut next = 0;
    for column in (0..3).filter(|&c| live[c]) {
        // Whole numbers of one or two: no rounding.
        let Some(at) = (next..m.len()).find(|&r| m[r][column] != 0.0) else { continue };
        m.swap(next, at);
        let pivot = m[next][column];
        m[next].iter_mut().for_each(|x| *x /= pivot);
        for r in (0..m.len()).filter(|&r| r != next) {
            let by = m[r][column];
            for c in 0..3 {
                m[r][c] -= by * m[next][c];
            }
        }
        pivots[column] = Some(next);
        next += 1;
    }
    let (mut basis, mut count) = ([[0.0; 3]; 3], 0);
    for free in (0..3).filter(|&c| live[c] && pivots[c].is_none()) {
        basis[count][free] = 1.0;
        for column in 0..3 {
            if let Some(row) = pivots[column] {
                basis[count][column] = -m[row][free];
            }
        }
        count += 1;
    }
    (basis, count)
}

/// Solves the leading `n` equations in place by elimination with pivots; `None` where they do not determine the answer. Written here because that is asked of the size of
/// a pivot beside the largest entry, where nalgebra's asks for nought itself.
pub fn solve(mut m: [[f64; 4]; 4], mut b: [f64; 4], n: usize) -> Option<[f64; 4]> {
    /// A pivot this small beside the largest entry is nought [1] (own choice).
    const NOUGHT: f64 = 1e-12;
    let largest = m.iter().flatten().fold(0.0_f64, |a, x| a.max(x.abs()));
    for k in 0..n {
        let at = (k..n).max_by(|&i, &j| m[i][k].abs().total_cmp(&m[j][k].abs()))?;
        if m[at][k].abs() <= NOUGHT * largest {
            return None;
        }
        m.swap(k, at);
        b.swap(k, at);
        for i in k + 1..n {
            let by = m[i][k] / m[k][k];
            for j in k..n {
                m[i][j] -= by * m[k][j];
            }
            b[i] -= by * b[k];
        }
    }
    for k in (0..n).rev() {
        let sum: f64 = (k + 1..n).map(|j| m[k][j] * b[j]).sum();
        b[k] = (b[k] - sum) / m[k][k];
    }
    Some(b)
}
