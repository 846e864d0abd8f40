//! Which pairs of many are of interest, a bit each.

/// A square of bits, by row.
#[derive(Debug, Clone)]
pub(super) struct Bits {
    words: usize,
    all: Vec<u64>,
}

impl Bits {
    pub(super) fn new(count: usize) -> Self {
        let words = count.div_ceil(64);
        Self {
            words,
            all: vec![0; words * count],
        }
    }

    #[inline]
    pub(super) fn set(&mut self, row: usize, column: usize, to: bool) {
        let word = &mut self.all[row * self.words + column / 64];
        let bit = 1 << (column % 64);
        if to {
            *word |= bit;
        } else {
            *word &= !bit;
        }
    }

    pub(super) fn clear(&mut self) {
        self.all.fill(0);
    }

    /// Takes another one over into the memory it has.
    pub(super) fn take_over(&mut self, other: &Self) {
        self.words = other.words;
        self.all.clone_from(&other.all);
    }

    /// The bits of a row, sixty-four to a word, the first one lowest.
    #[inline]
    pub(super) fn words(&self, row: usize) -> &[u64] {
        &self.all[row * self.words..(row + 1) * self.words]
    }

    #[inline]
    pub(super) fn words_mut(&mut self, row: usize) -> &mut [u64] {
        &mut self.all[row * self.words..(row + 1) * self.words]
    }

    pub(super) fn any(&self, row: usize) -> bool {
        self.words(row).iter().any(|&word| word != 0)
    }

    /// Columns that are set, in order.
    pub(super) fn columns(&self, row: usize) -> impl Iterator<Item = usize> {
        let words = self.words(row).iter().enumerate();
        words.flat_map(|(index, &word)| ones(word).map(move |bit| index * 64 + bit))
    }

    /// Columns that are set in this or in the other one, which has as many, in order.
    pub(super) fn columns_of_either(&self, other: &Self, row: usize) -> impl Iterator<Item = usize> {
        let words = self.words(row).iter().zip(other.words(row)).enumerate();
        words.flat_map(|(index, (a, b))| ones(a | b).map(move |bit| index * 64 + bit))
    }
}

/// Places of the bits that are set, in order.
pub(super) fn ones(mut word: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let bit = word.trailing_zeros() as usize;
        word &= word.checked_sub(1)?;
        Some(bit)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_set_is_found_in_order() {
        let mut bits = Bits::new(130);
        for column in [129, 0, 63, 64, 5] {
            bits.set(1, column, true);
        }
        bits.set(1, 5, false);
        assert_eq!(bits.columns(1).collect::<Vec<_>>(), [0, 63, 64, 129]);
        assert!(bits.any(1) && !bits.any(0) && !bits.any(2));
        let mut other = Bits::new(130);
        other.set(1, 7, true);
        other.set(1, 64, true);
        assert_eq!(
            bits.columns_of_either(&other, 1).collect::<Vec<_>>(),
            [0, 7, 63, 64, 129]
        );
        other.take_over(&bits);
        assert_eq!(other.columns(1).collect::<Vec<_>>(), [0, 63, 64, 129]);
        bits.clear();
        assert_eq!(bits.columns(1).count(), 0);
    }
}
