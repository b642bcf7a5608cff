//! Long work done beside the page: one piece at a time, each once, with progress, and it can be stopped.

use std::{
    collections::VecDeque,
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{Arc, Mutex, OnceLock, PoisonError},
};

/// Answers kept in memory, the latest asked for; an older one is worked out again from the book's surface.
/// One is below 1 MB.
const MOST_KEPT: usize = 24;

/// One piece of work, under way or done. `P` carries progress and the wish to stop, `T` is the answer.
#[derive(Debug)]
pub struct Work<P, T> {
    /// Progress, and the flag that stops it.
    pub progress: P,
    outcome: OnceLock<Outcome<T>>,
}

/// How a piece of work ended.
#[derive(Debug)]
pub enum Outcome<T> {
    /// The answer.
    Found(T),
    /// It was stopped.
    Stopped,
    /// It broke: a defect of the program, and the rest of the page goes on.
    Broken,
}

impl<P, T> Work<P, T> {
    /// The outcome; `None` while it is under way.
    pub fn outcome(&self) -> Option<&Outcome<T>> {
        self.outcome.get()
    }

    /// The answer, if there is one.
    pub fn found(&self) -> Option<&T> {
        match self.outcome() {
            Some(Outcome::Found(t)) => Some(t),
            _ => None,
        }
    }
}

/// All pieces of work by key.
#[derive(Debug)]
pub struct Works<P, T> {
    all: Mutex<VecDeque<(String, Arc<Work<P, T>>)>>,
    turn: Arc<Mutex<()>>,
}

impl<P, T> Default for Works<P, T> {
    fn default() -> Self {
        Self { all: Mutex::default(), turn: Arc::default() }
    }
}

impl<P: Default + Send + Sync + 'static, T: Send + Sync + 'static> Works<P, T> {
    /// The work for `key`: as it stands, or begun now with `job`, which gives `None` when it was stopped.
    pub fn want(&self, key: &str, job: impl FnOnce(&P) -> Option<T> + Send + 'static) -> Arc<Work<P, T>> {
        let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(at) = all.iter().position(|(k, _)| k == key) {
            let entry = all.remove(at).expect("it was just found");
            let work = entry.1.clone();
            all.push_back(entry);
            return work;
        }
        let work = Arc::new(Work { progress: P::default(), outcome: OnceLock::new() });
        all.push_back((key.to_owned(), work.clone()));
        // What is under way stays, however old: somebody may be looking at its progress.
        while all.len() > MOST_KEPT {
            let Some(oldest) = all.iter().position(|(_, w)| w.outcome().is_some()) else { break };
            all.remove(oldest);
        }
        let (begun, turn) = (work.clone(), self.turn.clone());
        // A thread of its own: it uses both cores for seconds, which no thread of the server should.
        std::thread::spawn(move || {
            let _turn = turn.lock().unwrap_or_else(PoisonError::into_inner);
            let outcome = match catch_unwind(AssertUnwindSafe(|| job(&begun.progress))) {
                Ok(Some(found)) => Outcome::Found(found),
                Ok(None) => Outcome::Stopped,
                Err(_) => Outcome::Broken,
            };
            let _ = begun.outcome.set(outcome);
        });
        work
    }

    /// Forgets stopped or broken work, so that it is begun anew when it is wanted again.
    pub fn forget_unfinished(&self, key: &str) {
        let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|(k, w)| k != key || !matches!(w.outcome(), Some(Outcome::Stopped | Outcome::Broken)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::{
        sync::atomic::{AtomicBool, AtomicUsize, Ordering::SeqCst},
        time::{Duration, Instant},
    };

    fn wait<T>(work: &Work<AtomicBool, T>) -> &Outcome<T> {
        let start = Instant::now();
        loop {
            if let Some(outcome) = work.outcome() {
                return outcome;
            }
            assert!(start.elapsed() < Duration::from_secs(20), "it never ended");
            std::thread::yield_now();
        }
    }

    #[test]
    fn each_key_is_worked_once() {
        static TIMES: AtomicUsize = AtomicUsize::new(0);
        let works: Works<AtomicBool, usize> = Works::default();
        for _ in 0..5 {
            let work = works.want("a", |_| Some(TIMES.fetch_add(1, SeqCst)));
            assert!(matches!(wait(&work), Outcome::Found(0)));
        }
        assert_eq!(TIMES.load(SeqCst), 1);
    }

    #[test]
    fn stops_when_told_and_starts_again_when_wanted() {
        let works: Works<AtomicBool, ()> = Works::default();
        let endless = works.want("a", |stop| {
            while !stop.load(SeqCst) {
                std::thread::yield_now();
            }
            None
        });
        assert!(endless.outcome().is_none());
        endless.progress.store(true, SeqCst);
        assert!(matches!(wait(&endless), Outcome::Stopped));
        works.forget_unfinished("a");
        assert!(matches!(wait(&works.want("a", |_| Some(()))), Outcome::Found(())));
    }

    #[test]
    fn one_that_breaks_does_not_block_the_next() {
        let works: Works<AtomicBool, ()> = Works::default();
        let broken = works.want("a", |_| panic!("on purpose"));
        let sound = works.want("b", |_| Some(()));
        assert!(matches!(wait(&broken), Outcome::Broken));
        assert!(matches!(wait(&sound), Outcome::Found(())));
    }

    #[test]
    fn keeps_only_the_latest() {
        let works: Works<AtomicBool, usize> = Works::default();
        for n in 0..3 * MOST_KEPT {
            wait(&works.want(&n.to_string(), move |_| Some(n)));
        }
        assert!(works.all.lock().unwrap().len() <= MOST_KEPT + 1);
    }
}
