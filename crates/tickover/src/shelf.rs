//! Where computed surfaces wait for the next time.

use jobbook::{Book, BookError, UnixSeconds};
use physics::{
    cycle::{Engine, Operating, Prepared, settle_eight},
    surface::{Grid, Surface},
};
use std::{
    sync::{Mutex, MutexGuard, OnceLock, PoisonError},
    time::{SystemTime, UNIX_EPOCH},
};

/// A place for bytes under keys. Losing one costs time, never a fact, so trouble with it is no error.
pub trait Shelf {
    /// The bytes kept under a key.
    fn take(&self, key: &str) -> Option<Vec<u8>>;
    /// Keeps bytes.
    fn keep(&self, key: &str, bytes: &[u8]);
}

/// A shelf that keeps nothing.
#[derive(Debug)]
pub struct NoShelf;

impl Shelf for NoShelf {
    fn take(&self, _: &str) -> Option<Vec<u8>> {
        None
    }
    fn keep(&self, _: &str, _: &[u8]) {}
}

/// A job book as a shelf, for page and command line alike.
#[derive(Debug)]
pub struct BookShelf {
    book: Mutex<Book>,
    trouble: OnceLock<BookError>,
}

impl BookShelf {
    /// Over a book.
    pub fn new(book: Book) -> Self {
        Self { book: Mutex::new(book), trouble: OnceLock::new() }
    }

    /// The book itself.
    pub fn book(&self) -> MutexGuard<'_, Book> {
        // A panic elsewhere cannot leave the book half written: every write is a transaction.
        self.book.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The first trouble with it: a full disk, a book that may be read only. It makes the next time slower, nothing else.
    pub fn trouble(&self) -> Option<&BookError> {
        self.trouble.get()
    }
}

impl Shelf for BookShelf {
    fn take(&self, key: &str) -> Option<Vec<u8>> {
        let taken = self.book().surface(key);
        taken.map_err(|why| self.trouble.set(why)).ok().flatten()
    }

    fn keep(&self, key: &str, bytes: &[u8]) {
        let kept = self.book().keep_surface(key, bytes, now());
        let _ = kept.map_err(|why| self.trouble.set(why));
    }
}

/// The present time. The one clock of the program.
pub fn now() -> UnixSeconds {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    UnixSeconds(i64::try_from(since.as_secs()).unwrap_or(i64::MAX))
}

/// The key of a surface: the whole engine and grid as text, so that no two share one, and what today's model makes of
/// eight of its points, so that a surface of yesterday's model is not found.
pub fn key(engine: &Engine, prepared: &Prepared, grid: &Grid) -> String {
    let between = |axis: &[f64], share: usize| axis[(axis.len() - 1) * share / 7];
    let points = std::array::from_fn(|i| Operating {
        speed_rad_s: between(&grid.speed_rad_s, i),
        opening_m2: between(&grid.opening_m2, (3 * i) % 8),
        advance_rad: between(&grid.advance_rad, (5 * i) % 8),
    });
    let probe = settle_eight(prepared, &points);
    let bits = probe.map(|s| format!("{:016x}", s.torque_nm.to_bits())).join(" ");
    format!("surface 1 {bits} {engine:?} {grid:?}")
}

/// A surface as bytes: everything but the grid, which its key holds.
pub fn to_bytes(surface: &Surface) -> Vec<u8> {
    let parts = [&surface.gas_torque_nm, &surface.charge_kg_s, &surface.residual];
    let values = parts.into_iter().flatten().chain([&surface.unsettled]);
    values.flat_map(|v| v.to_le_bytes()).collect()
}

/// The surface again; `None` for bytes that do not belong to the grid.
pub fn from_bytes(bytes: &[u8], grid: Grid) -> Option<Surface> {
    let n = grid.len();
    let (values, []) = bytes.as_chunks::<8>() else { return None };
    let values: Vec<f64> = values.iter().map(|b| f64::from_le_bytes(*b)).collect();
    let [unsettled] = *values.get(3 * n..)? else { return None };
    let part = |i: usize| values[i * n..(i + 1) * n].to_vec();
    Some(Surface { gas_torque_nm: part(0), charge_kg_s: part(1), residual: part(2), unsettled, grid })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comes_back_bit_for_bit_or_not_at_all() {
        let grid = Grid { speed_rad_s: vec![1.0, 2.0], opening_m2: vec![1.0], advance_rad: vec![0.1, 0.2, 0.3] };
        let part = |k: f64| (0..6).map(|i| (k + f64::from(i)).sqrt()).collect();
        let surface = Surface { gas_torque_nm: part(0.1), charge_kg_s: part(0.2), residual: part(0.3), unsettled: 0.01, grid };
        let bytes = to_bytes(&surface);
        assert_eq!(from_bytes(&bytes, surface.grid.clone()), Some(surface.clone()));
        for wrong in [&bytes[..bytes.len() - 8], &bytes[1..], &[][..], &[bytes.clone(), vec![0; 8]].concat()] {
            assert_eq!(from_bytes(wrong, surface.grid.clone()), None);
        }
    }
}
