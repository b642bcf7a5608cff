//! "Did you mean".

use super::DefectKind;

/// Keys longer than this get no "did you mean": no known key comes near it.
const LONGEST_GUESSED_KEY: usize = 40;

/// Least likeness (Jaro–Winkler, 0 to 1 [1]) at which a known word is offered for an unknown one. By trial (own choice) on slips of the
/// pen: `bor`, `strok`, `comp_ratio` lie above, unrelated keys below.
const LEAST_LIKENESS: f64 = 0.75;

/// The word most like `found`, if any is like it at all.
pub fn most_like<'w>(found: &str, words: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    if found.len() > LONGEST_GUESSED_KEY {
        return None;
    }
    let found = found.to_lowercase();
    words
        .into_iter()
        .map(|word| (word, strsim::jaro_winkler(&found, &word.to_lowercase())))
        .filter(|(_, likeness)| *likeness >= LEAST_LIKENESS)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(word, _)| word)
}

pub(super) fn unknown_choice(found: &str, words: &[&str]) -> DefectKind {
    DefectKind::UnknownChoice {
        found: found.into(),
        did_you_mean: most_like(found, words.iter().copied()).map(str::to_string),
        known: words.iter().map(|word| word.to_string()).collect(),
    }
}
