//! A row that grows at its end and is worked off as far as enough of it is known on both sides.

use std::ops::Range;

/// The row; of what was worked off, so much is held as the next ones need.
#[derive(Clone, Debug)]
pub(super) struct Row<T> {
    items: Vec<T>,
    /// Items that were worked off, among those held and in all.
    done: usize,
    count: u64,
    around: usize,
}

impl<T> Row<T> {
    /// Each item is worked off once so many stand behind it.
    pub(super) fn new(around: usize) -> Self {
        Self { items: Vec::new(), done: 0, count: 0, around }
    }

    pub(super) fn push(&mut self, item: T) {
        self.items.push(item);
    }

    /// What can be worked off now; at the end, `all`.
    pub(super) fn ready(&self, all: bool) -> Range<usize> {
        let behind = if all { 0 } else { self.around };
        self.done..self.items.len().saturating_sub(behind).max(self.done)
    }

    /// Everything up to there is worked off.
    pub(super) fn worked_off(&mut self, to: usize) {
        self.count += (to - self.done) as u64;
        let drop = to.saturating_sub(self.around);
        self.items.drain(..drop);
        self.done = to - drop;
    }

    /// How many were worked off.
    pub(super) fn count(&self) -> u64 {
        self.count
    }

    /// What is held, in order.
    pub(super) fn items(&self) -> &[T] {
        &self.items
    }

    /// An item with those around it.
    pub(super) fn near(&self, i: usize) -> &[T] {
        &self.items[i.saturating_sub(self.around)..(i + self.around + 1).min(self.items.len())]
    }
}
