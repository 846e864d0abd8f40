//! The word that was probably meant.

/// The known word closest to `found`, if it is close enough to be a slip of the pen.
pub(crate) fn closest<'a>(found: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let allowed = (found.chars().count() / 3).clamp(1, 3);
    known
        .into_iter()
        .map(|word| (distance(&found.to_lowercase(), &word.to_lowercase()), word))
        .filter(|(distance, _)| *distance <= allowed)
        .min()
        .map(|(_, word)| word)
}

/// Insertions, deletions, substitutions and swaps of neighbours that turn one word into the other.
///
/// # Source
/// Optimal string alignment distance (Damerau 1964, restricted form), common knowledge.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let differs = usize::from(a[i - 1] != b[j - 1]);
            let mut best = (rows[i - 1][j] + 1)
                .min(rows[i][j - 1] + 1)
                .min(rows[i - 1][j - 1] + differs);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_found_and_strangers_are_not() {
        let known = ["mass", "name", "fragility", "ways_up"];
        assert_eq!(closest("masss", known), Some("mass"));
        assert_eq!(closest("mas", known), Some("mass"));
        assert_eq!(closest("fragilty", known), Some("fragility"));
        assert_eq!(closest("way_sup", known), Some("ways_up"));
        assert_eq!(closest("colour", known), None);
        assert_eq!(closest("inn", ["mm", "cm", "m", "in"]), Some("in"));
        assert_eq!(distance("", "abc"), 3);
        assert_eq!(distance("ab", "ba"), 1);
    }
}
