//! What bears on causes directly.

use crate::study::fault::{
    data::Faults,
    infer::{MISLEADS, Set},
    own::counted_chance,
};

/// What a [`Signature`] was worked out from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// The charging beside the computed circuit.
    Charging,
    /// Marks beside the curve of the file.
    Marks,
    /// Volts of the alternator beside those recorded: what is left of the flux.
    Flux,
    /// A drop beside the one that the wires' copper makes.
    Feed,
    /// The same of the earth side.
    Earth,
    /// Sparks of a recording beside the curve of the file.
    Recorded,
    /// The segment as recorded beside the file's.
    Segment,
    /// Scatter of the recorded spark.
    Scatter,
    /// Recorded firings that are missing.
    Missing,
    /// Recorded firings with more than one spark.
    Doubled,
    /// Two recorded pickups beside each other.
    Pickups,
    /// Where the recorded speed stayed after a blip.
    Hang,
    /// The hang that was seen, the clutch and nudges, beside what the computed engine does with each fault in it.
    Alike,
    /// The computed strength of the magnets' bonds.
    Bonds,
}

/// What bears on causes directly: how well each explains a set of readings, as physics computes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Signature {
    /// Causes, as indices, with their likelihood beside the best \[1\].
    pub causes: Vec<(usize, f64)>,
    /// The same of anything else.
    pub otherwise: f64,
    /// How many readings were weighed.
    pub readings: usize,
    /// What it was worked out from.
    pub of: Of,
}

impl Signature {
    /// Likelihood of each set, its causes given as indices of `causes`. Two causes that both have one count as the better of the two.
    pub fn likelihoods(&self, sets: &[Set], causes: &[usize]) -> Vec<f64> {
        let own = |i: usize| self.causes.iter().find(|(c, _)| *c == causes[i]).map(|(_, l)| *l);
        sets.iter().map(|set| set.causes().filter_map(own).reduce(f64::max).unwrap_or(self.otherwise)).collect()
    }
}

impl Signature {
    /// Of causes with their likelihood where they show, beside that of a sound machine. How often each shows in such readings is what the data say of these
    /// tests: with chance q of a positive one a cause has the likelihood q L + (1 − q) L₀. Readings that mislead are allowed for as in a set-up.
    pub(super) fn of_shown<'a>(
        faults: &Faults,
        tests: &[&str],
        named: impl IntoIterator<Item = (&'a str, f64)>,
        sound: f64,
        (readings, of): (usize, Of),
    ) -> Self {
        let hits = || tests.iter().filter_map(|id| faults.test(id)).flat_map(|t| &faults.tests[t].hits);
        let shows = |cause: usize| {
            let mine = hits().filter(|h| h.cause == cause);
            mine.map(|h| counted_chance(h.chance, h.seen)).fold(0.0, f64::max)
        };
        let mixed = |(id, likelihood): (&str, f64)| {
            let cause = faults.cause(id)?;
            let q = shows(cause);
            Some((cause, q * likelihood + (1.0 - q) * sound))
        };
        let all: Vec<(usize, f64)> = named.into_iter().filter_map(mixed).collect();
        let most = all.iter().map(|(_, l)| *l).fold(sound, f64::max);
        let beside = |likelihood: f64| (1.0 - MISLEADS) * likelihood / most + MISLEADS;
        let causes = all.into_iter().map(|(c, l)| (c, beside(l))).collect();
        Self { causes, otherwise: beside(sound), readings, of }
    }
}
