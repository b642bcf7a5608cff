//! Which lane runs which point: every lane walks through rows of neighbouring points.

/// A point of a row, and which way its lane goes through the row.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub row: usize,
    pub index: usize,
    backward: bool,
}

/// What is left of each row, and which way the lane that began it goes.
pub(super) struct Rows(Vec<(std::ops::Range<usize>, Option<bool>)>);

impl Rows {
    pub fn new(lengths: impl Iterator<Item = usize>) -> Self {
        Self(lengths.map(|length| (0..length, None)).collect())
    }

    /// Where a lane begins: the lanes lie spread over the rows.
    pub fn first(&mut self, lane: usize, lanes: usize) -> Option<Place> {
        let row = lane * self.0.len() / lanes;
        self.take(row, self.0[row].1 == Some(false))
    }

    /// The next point for a lane: of its own row; of the one after it, if nobody is there, beginning where the lane is; or of the one with the
    /// most left, from the end that nobody comes from.
    pub fn next(&mut self, last: Place) -> Option<Place> {
        let unbegun = |rows: &Self, row: usize| rows.0.get(row).is_some_and(|(_, way)| way.is_none());
        self.take(last.row, last.backward)
            .or_else(|| unbegun(self, last.row + 1).then(|| self.take(last.row + 1, !last.backward)).flatten())
            .or_else(|| {
                let row = (0..self.0.len()).max_by_key(|row| self.0[*row].0.len())?;
                self.take(row, self.0[row].1 == Some(false))
            })
    }

    fn take(&mut self, row: usize, backward: bool) -> Option<Place> {
        let (left, way) = &mut self.0[row];
        way.get_or_insert(backward);
        let index = if backward { left.next_back() } else { left.next() };
        index.map(|index| Place { row, index, backward })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_point_is_run_once_and_a_lane_turns_round_into_the_row_after_its_own() {
        for (lanes, lengths) in
            [(8, vec![12; 16]), (8, vec![5; 8]), (8, vec![1; 3]), (4, vec![7, 1, 3, 9, 2, 4]), (1, vec![3, 2])]
        {
            let mut rows = Rows::new(lengths.iter().copied());
            let mut stands: Vec<_> = (0..lanes).map(|lane| rows.first(lane, lanes)).collect();
            let mut seen = Vec::new();
            while stands.iter().any(Option::is_some) {
                for stand in &mut stands {
                    let Some(place) = *stand else { continue };
                    seen.push((place.row, place.index));
                    *stand = rows.next(place);
                    // Onward by one, round the end into the next row, or elsewhere to help.
                    if let Some(next) = stand.filter(|_| lanes == 1) {
                        assert!(next.row == place.row && next.index.abs_diff(place.index) == 1 || next.row == place.row + 1);
                        assert_eq!(next.backward, next.row % 2 == 1);
                    }
                }
            }
            seen.sort_unstable();
            let all: Vec<_> = lengths.iter().enumerate().flat_map(|(row, length)| (0..*length).map(move |k| (row, k))).collect();
            assert_eq!(seen, all, "{lanes} lanes, {lengths:?}");
        }
    }
}
