//! Long work done beside the page: one piece at a time, each once, with progress, and it can be stopped.

use std::{
    collections::VecDeque,
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{Arc, Mutex, OnceLock, PoisonError},
};

/// Answers kept in memory, the latest asked for; an older one is worked out again from the book's surface.
/// One is below 1 MB.
const MOST_KEPT: usize = 24;

/// Progress that can be asked to stop.
pub trait Stoppable: Default + Send + Sync + 'static {
    /// Asks for the end.
    fn stop(&self);
}

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

/// All pieces of work, the latest asked for last.
#[derive(Debug)]
pub struct Works<P, T> {
    all: Mutex<VecDeque<Entry<P, T>>>,
    turn: Arc<Mutex<()>>,
}

#[derive(Debug)]
struct Entry<P, T> {
    owner: String,
    key: String,
    work: Arc<Work<P, T>>,
}

impl<P, T> Default for Works<P, T> {
    fn default() -> Self {
        Self { all: Mutex::default(), turn: Arc::default() }
    }
}

impl<P: Stoppable, T: Send + Sync + 'static> Works<P, T> {
    /// The work of `owner` for `key`: as it stands, or begun now with `job`, which gives `None` when it was stopped.
    /// What the owner wanted before and is still under way is stopped: nobody waits for an older answer.
    pub fn want(&self, owner: &str, key: &str, job: impl FnOnce(&P) -> Option<T> + Send + 'static) -> Arc<Work<P, T>> {
        let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(entry) = all.iter().position(|e| e.owner == owner && e.key == key).and_then(|at| all.remove(at)) {
            let work = entry.work.clone();
            all.push_back(entry);
            return work;
        }
        all.retain(|e| {
            let outdated = e.owner == owner && e.work.outcome().is_none();
            if outdated {
                e.work.progress.stop();
            }
            !outdated
        });
        let work = Arc::new(Work { progress: P::default(), outcome: OnceLock::new() });
        all.push_back(Entry { owner: owner.to_owned(), key: key.to_owned(), work: work.clone() });
        // What is under way stays, however old: somebody may be looking at its progress.
        while all.len() > MOST_KEPT {
            let Some(oldest) = all.iter().position(|e| e.work.outcome().is_some()) else { break };
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

    /// The work of `owner` for `key` if somebody wanted it before; nothing is begun.
    pub fn look(&self, owner: &str, key: &str) -> Option<Arc<Work<P, T>>> {
        let all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().find(|e| e.owner == owner && e.key == key).map(|e| e.work.clone())
    }

    /// Forgets stopped or broken work, so that it is begun anew when it is wanted again.
    pub fn forget_unfinished(&self, owner: &str) {
        let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|e| e.owner != owner || !matches!(e.work.outcome(), Some(Outcome::Stopped | Outcome::Broken)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::{
        sync::atomic::{AtomicBool, AtomicUsize, Ordering::SeqCst},
        time::{Duration, Instant},
    };

    #[derive(Default)]
    struct Flag(AtomicBool);

    impl Stoppable for Flag {
        fn stop(&self) {
            self.0.store(true, SeqCst);
        }
    }

    fn wait<T>(work: &Work<Flag, T>) -> &Outcome<T> {
        let start = Instant::now();
        loop {
            if let Some(outcome) = work.outcome() {
                return outcome;
            }
            assert!(start.elapsed() < Duration::from_secs(20), "it never ended");
            std::thread::yield_now();
        }
    }

    fn until_stopped(flag: &Flag) -> Option<()> {
        while !flag.0.load(SeqCst) {
            std::thread::yield_now();
        }
        None
    }

    #[test]
    fn each_key_is_worked_once() {
        static TIMES: AtomicUsize = AtomicUsize::new(0);
        let works: Works<Flag, usize> = Works::default();
        for _ in 0..5 {
            let work = works.want("m", "a", |_| Some(TIMES.fetch_add(1, SeqCst)));
            assert!(matches!(wait(&work), Outcome::Found(0)));
        }
        assert_eq!(TIMES.load(SeqCst), 1);
    }

    #[test]
    fn stops_when_told_and_starts_again_when_wanted() {
        let works: Works<Flag, ()> = Works::default();
        let endless = works.want("m", "a", until_stopped);
        assert!(endless.outcome().is_none());
        endless.progress.stop();
        assert!(matches!(wait(&endless), Outcome::Stopped));
        assert!(matches!(works.want("m", "a", |_| Some(())).outcome(), Some(Outcome::Stopped)));
        works.forget_unfinished("m");
        assert!(matches!(wait(&works.want("m", "a", |_| Some(()))), Outcome::Found(())));
    }

    #[test]
    fn a_newer_wish_of_the_same_owner_ends_the_older() {
        let works: Works<Flag, ()> = Works::default();
        let older = works.want("m", "a", until_stopped);
        let newer = works.want("m", "b", |_| Some(()));
        assert!(matches!(wait(&older), Outcome::Stopped));
        assert!(matches!(wait(&newer), Outcome::Found(())));
        // Back at the older text, it is begun anew: nobody stopped it by hand.
        assert!(matches!(wait(&works.want("m", "a", |_| Some(()))), Outcome::Found(())));
    }

    #[test]
    fn one_that_breaks_does_not_block_the_next() {
        let works: Works<Flag, ()> = Works::default();
        let broken = works.want("m", "a", |_| panic!("on purpose"));
        let sound = works.want("n", "b", |_| Some(()));
        assert!(matches!(wait(&broken), Outcome::Broken));
        assert!(matches!(wait(&sound), Outcome::Found(())));
    }

    #[test]
    fn keeps_only_the_latest() {
        let works: Works<Flag, usize> = Works::default();
        for n in 0..3 * MOST_KEPT {
            wait(&works.want("m", &n.to_string(), move |_| Some(n)));
        }
        assert!(works.all.lock().unwrap().len() <= MOST_KEPT);
    }
}
