//! The wishes of a job in the layout's terms, piece by piece.

use super::question::Question;
use crate::GapWish;
use caddis_basis::ItemId;
use caddis_layout::Wish;

/// The wishes between pieces, and what is to be reached first.
pub(super) fn wishes(question: &Question<'_>) -> Vec<Wish> {
    let brief = question.brief;
    let of = |item: &ItemId| -> Vec<usize> {
        (0..question.pieces.len())
            .filter(|&index| question.pieces[index].instance.item == *item)
            .collect()
    };
    let mut found = Vec::new();
    for GapWish { items, gap } in &brief.wishes.together {
        for pair in items.windows(2) {
            let (first, second) = (of(&pair[0]), of(&pair[1]));
            // Each piece of the second beside one of the first, in turn.
            for (index, &b) in second.iter().enumerate() {
                if let Some(&a) = first.get(index % first.len().max(1)).filter(|&&a| a != b) {
                    found.push(Wish::Together(a, b, gap.si()));
                }
            }
        }
    }
    for GapWish { items, gap } in &brief.wishes.apart {
        for (index, first) in items.iter().enumerate() {
            for second in &items[index + 1..] {
                for a in of(first) {
                    found.extend(
                        of(second)
                            .into_iter()
                            .filter(|&b| a != b)
                            .map(|b| Wish::Apart(a, b, gap.si())),
                    );
                }
            }
        }
    }
    let way = crate::wishes::opening_side(&brief.shell);
    found.extend(
        question
            .pieces
            .iter()
            .enumerate()
            .filter(|(_, piece)| brief.items[piece.item].reach_first)
            .map(|(index, _)| Wish::Towards(index, way)),
    );
    found
}
