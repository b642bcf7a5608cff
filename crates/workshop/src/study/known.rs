//! Answers that were found before.

use std::{
    collections::BTreeMap,
    sync::{Mutex, MutexGuard, PoisonError},
};

/// What was found, by the bits of the numbers that were asked with.
///
/// Nothing is locked while an answer is worked out: two that ask at once both work it out, to the same answer. Work that is spread over threads may come back to
/// this very question on the thread that waits for it, and would wait for itself.
pub struct Known<const N: usize, T>(Mutex<BTreeMap<[u64; N], T>>);

impl<const N: usize, T> Default for Known<N, T> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<const N: usize, T: Clone> Known<N, T> {
    /// The answer as it was found before, or found now.
    pub fn or(&self, asked: [f64; N], find: impl FnOnce() -> T) -> T {
        let asked = asked.map(f64::to_bits);
        let before = self.locked().get(&asked).cloned();
        before.unwrap_or_else(|| {
            let found = find();
            self.locked().insert(asked, found.clone());
            found
        })
    }

    fn locked(&self) -> MutexGuard<'_, BTreeMap<[u64; N], T>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::Known;
    use std::cell::Cell;

    #[test]
    fn an_answer_is_worked_out_once_and_may_ask_again_meanwhile() {
        let (known, count) = (Known::<2, f64>::default(), Cell::new(0));
        let sum = |a: f64, b: f64| {
            known.or([a, b], || {
                count.set(count.get() + 1);
                a + b
            })
        };
        assert_eq!([sum(1.0, 2.0), sum(1.0, 2.0), sum(2.0, 1.0)], [3.0; 3]);
        assert_eq!(count.get(), 2);
        assert_eq!(known.or([0.0, 5.0], || known.or([0.0, 5.0], || 5.0)), 5.0);
    }
}
