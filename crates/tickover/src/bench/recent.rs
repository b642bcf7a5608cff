//! What was asked for lately, by key.

use std::{
    collections::VecDeque,
    sync::{Arc, Mutex, PoisonError},
};

/// Values kept: some cards and their last few revisions. One takes some 100 kB.
const MOST_KEPT: usize = 24;

/// Values by key, the latest asked for last.
#[derive(Debug)]
pub struct Recent<T>(Mutex<VecDeque<(String, Arc<T>)>>);

impl<T> Default for Recent<T> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<T> Recent<T> {
    /// The value for a key, made now if it is not there.
    pub fn get(&self, key: &str, make: impl FnOnce(&str) -> T) -> Arc<T> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let entry = match kept.iter().position(|(k, _)| k == key).and_then(|at| kept.remove(at)) {
            Some(entry) => entry,
            None => (key.to_owned(), Arc::new(make(key))),
        };
        let value = entry.1.clone();
        kept.push_back(entry);
        if kept.len() > MOST_KEPT {
            kept.pop_front();
        }
        value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn makes_each_once_and_forgets_the_oldest() {
        let recent = Recent::default();
        let mut made = 0;
        for key in ["a", "b", "a"] {
            recent.get(key, |_| made += 1);
        }
        assert_eq!(made, 2);
        for n in 0..MOST_KEPT {
            recent.get(&n.to_string(), |_| ());
        }
        recent.get("a", |_| made += 1);
        assert_eq!(made, 3);
    }
}
