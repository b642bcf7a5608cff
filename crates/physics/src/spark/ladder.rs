//! Exact steps of a small linear circuit, and where between them something happens.

/// Quantities of a circuit, the last of which is always 1: that makes constant sources linear too.
pub(super) const N: usize = 6;
/// One state of a circuit.
pub(super) type State = [f64; N];
/// Rows and columns over a state.
pub(super) type Matrix = [State; N];

/// Nothing.
pub(super) const ZERO: Matrix = [[0.0; N]; N];

/// A step is halved this often at least [1] (own choice): what happens within it is placed to its 65 536th part, and to its 16 millionth where accounts
/// are kept, since a current that is cut off a moment late takes energy with it.
const HALVINGS: i32 = 16;
const HALVINGS_KEPT: i32 = 24;
/// Largest norm of the exponent at the lowest rung [1] (own choice): sixteen terms then leave 0.5¹⁷/17! ≈ 2·10⁻²⁰.
const SMALL: f64 = 0.5;
/// Terms of the series [1] (own choice, see [`SMALL`]).
const TERMS: usize = 16;

/// One length of step.
#[derive(Clone, Debug)]
struct Rung<const B: usize> {
    seconds: f64,
    /// `e^{At} − 1`, its columns as rows: without the one, so that nothing is lost from it at the short steps.
    grows: Matrix,
    /// `∫₀ᵗ e^{Aᵀτ} Q e^{Aτ} dτ` of each account, likewise.
    paid: [Matrix; B],
}

/// Steps of the linear circuit `x' = A x` by its matrix exponential, each rung twice as long as the one before.
///
/// The lowest rung is a Taylor series; `E(2t) = 2 E(t) + E(t)²` and `W(2t) = W(t) + (1+E)ᵀ W(t) (1+E)` make the others, exactly. `W` is the time
/// integral of a product of the state with itself, so heats and works are exact as well (C. Van Loan, IEEE Trans. Automatic Control 23 (1978) 395, from memory).
#[derive(Clone, Debug)]
pub(super) struct Ladder<const B: usize> {
    /// The longest first.
    rungs: Vec<Rung<B>>,
}

pub(super) fn dot(a: &State, b: &State) -> f64 {
    let mut sum = 0.0;
    for k in 0..N {
        sum += a[k] * b[k];
    }
    sum
}

/// A matrix, given by its columns, times a state: column by column, so that the sums of all rows go side by side.
fn apply(columns: &Matrix, x: &State) -> State {
    let mut y = [0.0; N];
    for (column, x) in columns.iter().zip(x) {
        for i in 0..N {
            y[i] += column[i] * x;
        }
    }
    y
}

fn product(a: &Matrix, b: &Matrix) -> Matrix {
    let mut c = ZERO;
    for i in 0..N {
        for k in 0..N {
            let left = a[i][k];
            for j in 0..N {
                c[i][j] += left * b[k][j];
            }
        }
    }
    c
}

fn transposed(a: &Matrix) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|j| a[j][i]))
}

fn add(a: &mut Matrix, b: &Matrix, times: f64) {
    for i in 0..N {
        for j in 0..N {
            a[i][j] += times * b[i][j];
        }
    }
}

/// Largest column sum once rows and columns have been scaled alike, which a change of units does not move; constant sources are left out.
fn norm(a: &Matrix) -> f64 {
    /// Sweeps of scaling [1] (own choice).
    const SWEEPS: usize = 4;
    let mut scale = [1.0; N - 1];
    let at = |scale: &[f64; N - 1], i: usize, j: usize| a[i][j].abs() * scale[i] / scale[j];
    for _ in 0..SWEEPS {
        for i in 0..N - 1 {
            let row: f64 = (0..N - 1).filter(|j| *j != i).map(|j| at(&scale, i, j)).sum();
            let column: f64 = (0..N - 1).filter(|j| *j != i).map(|j| at(&scale, j, i)).sum();
            if row > 0.0 && column > 0.0 {
                scale[i] *= (column / row).sqrt();
            }
        }
    }
    (0..N - 1).map(|j| (0..N - 1).map(|i| at(&scale, i, j)).sum::<f64>()).fold(0.0, f64::max)
}

impl<const B: usize> Ladder<B> {
    /// Steps of at most `longest_s` [s] of `x' = A x`, with the accounts `xᵀ Q x` [W].
    pub fn new(a: &Matrix, accounts: &[Matrix; B], longest_s: f64) -> Self {
        let least = if B > 0 { HALVINGS_KEPT } else { HALVINGS };
        let stiff = (norm(a) * longest_s / SMALL).log2().ceil();
        let halvings = if stiff.is_finite() { least.max(stiff as i32) } else { least };
        let seconds = longest_s * 0.5f64.powi(halvings);
        let at = transposed(a);
        let mut grows = ZERO;
        let mut term = ZERO;
        term.iter_mut().enumerate().for_each(|(i, row)| row[i] = 1.0);
        for k in 1..=TERMS {
            term = product(a, &term);
            term.iter_mut().flatten().for_each(|x| *x *= seconds / k as f64);
            add(&mut grows, &term, 1.0);
        }
        let paid = accounts.map(|q| {
            let (mut sum, mut term) = (ZERO, q);
            add(&mut sum, &term, seconds);
            for k in 1..=TERMS {
                let mut next = product(&at, &term);
                add(&mut next, &product(&term, a), 1.0);
                next.iter_mut().flatten().for_each(|x| *x *= seconds / (k + 1) as f64);
                add(&mut sum, &next, seconds);
                term = next;
            }
            sum
        });
        let mut rungs = vec![Rung { seconds, grows, paid }];
        for k in 0..halvings as usize {
            let last = &rungs[k];
            let mut grows = product(&last.grows, &last.grows);
            add(&mut grows, &last.grows, 2.0);
            let mut whole = last.grows;
            whole.iter_mut().enumerate().for_each(|(i, row)| row[i] += 1.0);
            let turned = transposed(&whole);
            let paid = std::array::from_fn(|b| {
                let mut twice = product(&turned, &product(&last.paid[b], &whole));
                add(&mut twice, &last.paid[b], 1.0);
                twice
            });
            let seconds = 2.0 * last.seconds;
            rungs.push(Rung { seconds, grows, paid });
        }
        rungs.reverse();
        for rung in &mut rungs {
            rung.grows = transposed(&rung.grows);
            rung.paid = rung.paid.map(|w| transposed(&w));
        }
        Self { rungs }
    }

    /// Goes on by one step, or until one of the linear forms `watch` falls below nothing, whichever is first: the time that passed [s], and
    /// which of them did. What is paid on each account is added to `books` [J].
    pub fn step(&self, x: &mut State, books: &mut [f64; B], watch: &[State]) -> (f64, Option<usize>) {
        let below = |y: &State| watch.iter().position(|w| dot(w, y) < 0.0);
        let mut passed = 0.0;
        let lowest = self.rungs.len() - 1;
        for (k, rung) in self.rungs.iter().enumerate() {
            let moved = apply(&rung.grows, x);
            let y: State = std::array::from_fn(|i| x[i] + moved[i]);
            let which = below(&y);
            if which.is_none() || k == lowest {
                for (book, w) in books.iter_mut().zip(&rung.paid) {
                    *book += dot(x, &apply(w, x));
                }
                *x = y;
                passed += rung.seconds;
                if which.is_some() || k == 0 {
                    return (passed, which);
                }
            }
        }
        (passed, None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed forms are met to this [1]: the sixteen doublings of the last bit.
    const EXACT: f64 = 1e-10;

    /// A damped swing, its energy and its heat.
    #[test]
    fn a_swing_is_that_of_the_closed_form_and_its_heat_is_what_is_lost() {
        let (l, c, r) = (0.5e-3, 1e-6, 0.55);
        let mut a = ZERO;
        a[0][0] = -r / l;
        a[0][1] = 1.0 / l;
        a[1][0] = -1.0 / c;
        let mut heat = ZERO;
        heat[0][0] = r;
        let ladder = Ladder::new(&a, &[heat], 5e-6);
        let (mut x, mut t, mut book) = ([0.0, 250.0, 0.0, 0.0, 0.0, 1.0], 0.0, [0.0]);
        for _ in 0..40 {
            t += ladder.step(&mut x, &mut book, &[]).0;
        }
        // i = V0/(wd L) exp(-at) sin(wd t): any text on circuits.
        let alpha = r / (2.0 * l);
        let wd = (1.0 / (l * c) - alpha * alpha).sqrt();
        let want = 250.0 / (wd * l) * (-alpha * t).exp() * (wd * t).sin();
        assert!((x[0] - want).abs() < EXACT * 11.0, "{} {want}", x[0]);
        let left = 0.5 * (l * x[0] * x[0] + c * x[1] * x[1]);
        assert!((book[0] + left - 0.5 * c * 250.0 * 250.0).abs() < EXACT * 0.03);
    }

    /// A stop is found where the closed form has it, whatever the step, and a stiff circuit does no harm.
    #[test]
    fn a_stop_is_found() {
        let mut a = ZERO;
        a[0][0] = -1e12;
        a[1][5] = 1.0;
        let ladder = Ladder::<0>::new(&a, &[], 1e-3);
        let (mut x, mut t) = ([1.0, 0.0, 0.0, 0.0, 0.0, 1.0], 0.0);
        let which = loop {
            let (passed, which) = ladder.step(&mut x, &mut [], &[[0.0, -1.0, 0.0, 0.0, 0.0, 0.012_345_6]]);
            t += passed;
            if let Some(which) = which {
                break which;
            }
        };
        assert_eq!(which, 0);
        assert!((t - 0.012_345_6).abs() < 1e-3 / 65_536.0 && x[0].abs() < 1e-300, "{t} {x:?}");
    }
}
