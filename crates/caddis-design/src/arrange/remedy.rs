//! What would help a brief that cannot be arranged: each remedy is really tried, on a budget of its own.

use super::attempt::{Attempt, Effort, Tried, Watch, run};
use super::oblique::STEP;
use super::question::Question;
use crate::ArrangeOptions;
use crate::cushion::{Level, Load, limit_of, needs};
use caddis_basis::{Domain, Finding, Said, Severity, Source, said};
use caddis_survey::Up;

/// Share of the step budget that one remedy may use.
const SHARE: u64 = 16;
/// Items of which a remedy is tried.
const ITEMS: usize = 2;
/// Findings of the layout that say of a piece that it does not fit, whatever the others do.
const PROOFS: [&str; 3] = ["piece-too-deep", "piece-too-large", "piece-has-no-place"];
/// How thin a stated cushion is tried, the mildest first: what it is of what its fragility asks for beyond the least.
const THINNER: [(f64, fn() -> Said); 3] = [
    (0.9, || said!("a tenth")),
    (0.75, || said!("a quarter")),
    (0.5, || said!("half")),
];
/// Flat pieces of which is tried whether one in the lid is enough.
const FLAT: usize = 2;
/// Smaller pieces of which is tried whether leaving out one is enough.
const SMALLER: usize = 3;

/// The reasons, with what would help: first in the remedy of the first reason, then one note for each thing tried.
pub(super) fn with_remedies(
    question: &Question<'_>,
    mut reasons: Vec<Finding>,
    attempts: &[Attempt],
    options: &ArrangeOptions,
    watch: &Watch<'_>,
) -> Vec<Finding> {
    if reasons.is_empty() {
        reasons.push(Finding::new(
            "not-arranged",
            Domain::Arrangement,
            Severity::Failing,
            said!("interior"),
            said!("no arrangement was found within the step budget"),
            Source::derived(said!("search; no proof that there is none")),
        ));
    }
    let mut tried: Vec<(Said, bool)> = Vec::new();
    for item in suspects(question, &reasons) {
        let entry = &question.brief.items[item];
        let lies_nowhere = reasons.iter().any(|reason| PROOFS.contains(&reason.code));
        if lies_nowhere && entry.may_turn && question.ways[item].iter().all(|way| way.turn.is_square()) {
            // That was tried before the first attempt.
            let words = said!(
                "lay {item} across the case, turned by any step of {step}°",
                item = entry.name,
                step = u32::from(STEP)
            );
            tried.push((words, false));
        }
        for remedies in [
            &[Remedy::Drop][..],
            &THINNER.map(|(share, words)| Remedy::Thinner(share, words))[..],
            &[Remedy::OtherWays][..],
        ] {
            // The mildest of a kind that helps is enough.
            for remedy in remedies {
                if watch.is_stopped() {
                    break;
                }
                if let Some((words, changed, level)) = remedy.applied(question, item) {
                    let is_enough = helps(&changed, level, attempts, options, watch);
                    tried.push((words, is_enough));
                    if is_enough {
                        break;
                    }
                }
            }
        }
    }
    if let Some((words, is_enough)) = without_board(question, options, watch) {
        tried.push((words, is_enough));
    }
    for item in flattest(question) {
        if watch.is_stopped() {
            break;
        }
        if let Some((words, is_enough)) = in_lid(question, item, options, watch) {
            tried.push((words, is_enough));
            if is_enough {
                break;
            }
        }
    }
    // Where no piece is at fault by itself, a smaller one left out may be enough.
    if !reasons.iter().any(|reason| PROOFS.contains(&reason.code)) && tried.iter().any(|(_, helps)| *helps) {
        for item in smaller(question, &suspects(question, &reasons)) {
            if watch.is_stopped() {
                break;
            }
            if let Some((words, changed, level)) = Remedy::Drop.applied(question, item) {
                let is_enough = helps(&changed, level, attempts, options, watch);
                tried.push((words, is_enough));
                if is_enough {
                    break;
                }
            }
        }
    }
    let helping: Vec<Said> = tried
        .iter()
        .filter(|(_, helps)| *helps)
        .map(|(words, _)| words.clone())
        .collect();
    if let Some(first) = reasons.first_mut() {
        let found = if helping.is_empty() {
            said!("none of the remedies tried helps alone; a larger shell or fewer items")
        } else {
            said!(
                "each of these alone helps: {helping}",
                helping = Said::row(helping, "; ")
            )
        };
        first.remedy = Some(match &first.remedy {
            Some(before) => said!("{before}; {found}", before, found),
            None => found,
        });
    }
    for (index, (words, helps)) in tried.iter().enumerate() {
        reasons.push(Finding::new(
            "remedy-tried",
            Domain::Arrangement,
            Severity::Note,
            said!("remedy {number}", number = index + 1),
            if *helps {
                said!("{change}: then everything fits", change = words)
            } else {
                said!(
                    "{change}: that is not enough, as far as a short search can tell",
                    change = words
                )
            },
            Source::derived(said!("the same search with this one thing changed")),
        ));
    }
    reasons
}

/// The same list with no board in its tray, where one is asked for.
fn without_board(
    question: &Question<'_>,
    options: &ArrangeOptions,
    watch: &Watch<'_>,
) -> Option<(Said, bool)> {
    question.brief.furnishing.tray_board.as_ref()?;
    let mut brief = question.brief.clone();
    brief.furnishing.tray_board = None;
    let plain = Question::with_ways(&brief, |item| question.ways[item].clone()).ok()?;
    let attempts = plain.attempts().ok()?;
    let is_enough = helps(&plain, Level::FULL, &attempts, options, watch);
    Some((said!("a tray without a board (`tray_board`)"), is_enough))
}

/// The flattest items that may not lie in the lid yet, the flattest first.
fn flattest(question: &Question<'_>) -> Vec<usize> {
    let items = &question.brief.items;
    let mut flat: Vec<(f64, usize)> = (0..items.len())
        .filter(|&index| items[index].quantity > 0 && !items[index].may_lie_in_lid)
        .map(|index| {
            let heights = question.ways[index].iter().map(super::ways::Way::height);
            (heights.fold(f64::INFINITY, f64::min), index)
        })
        .collect();
    flat.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    flat.into_iter().map(|(_, index)| index).take(FLAT).collect()
}

/// The same list with this item allowed in the lid; `None` where the lid has no depth for it.
fn in_lid(
    question: &Question<'_>,
    item: usize,
    options: &ArrangeOptions,
    watch: &Watch<'_>,
) -> Option<(Said, bool)> {
    let mut brief = question.brief.clone();
    brief.items[item].may_lie_in_lid = true;
    let allowed = Question::with_ways(&brief, |item| question.ways[item].clone()).ok()?;
    let mut attempts = allowed.attempts().ok()?;
    let least = allowed.ways[item].iter().map(super::ways::Way::height);
    let least = least.fold(f64::INFINITY, f64::min) + brief.clearances.least_floor.si();
    attempts.retain(|attempt| {
        let floor = attempt.stacking.lid_floor(&brief);
        floor.is_some_and(|floor| floor + least <= brief.crown().si())
    });
    if attempts.is_empty() {
        return None;
    }
    let is_enough = helps(&allowed, Level::FULL, &attempts, options, watch);
    let name = &brief.items[item].name;
    Some((
        said!("let {item} lie in the lid (`may_lie_in_lid`)", item = name),
        is_enough,
    ))
}

/// Items the reasons name, else the largest; at most a few.
fn suspects(question: &Question<'_>, reasons: &[Finding]) -> Vec<usize> {
    let items = &question.brief.items;
    let mut named: Vec<usize> = Vec::new();
    for reason in reasons {
        for (index, item) in items.iter().enumerate() {
            let id = item.id.as_str();
            let is_named = reason.place.split(['/', ' ', ',']).any(|word| word == id);
            if is_named && !named.contains(&index) {
                named.push(index);
            }
        }
    }
    // Where a piece is proved not to fit, nothing done to the others can help.
    if reasons.iter().any(|reason| PROOFS.contains(&reason.code)) && !named.is_empty() {
        named.truncate(ITEMS);
        return named;
    }
    for index in by_size(question) {
        if !named.contains(&index) {
            named.push(index);
        }
    }
    named.truncate(ITEMS);
    named
}

/// Items with a piece to place, the largest first.
fn by_size(question: &Question<'_>) -> Vec<usize> {
    let items = &question.brief.items;
    let mut by_size: Vec<(f64, usize)> = (0..items.len())
        .filter(|&index| items[index].quantity > 0)
        .map(|index| {
            let least = question.ways[index]
                .iter()
                .map(|way| way.plan_area(0.0) * way.height());
            (least.fold(f64::INFINITY, f64::min), index)
        })
        .collect();
    by_size.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    by_size.into_iter().map(|(_, index)| index).collect()
}

/// The smallest items that are not suspects, the smallest first.
fn smaller(question: &Question<'_>, suspects: &[usize]) -> Vec<usize> {
    let mut rising = by_size(question);
    rising.reverse();
    rising.retain(|index| !suspects.contains(index));
    rising.truncate(SMALLER);
    rising
}

/// One thing to change.
#[derive(Debug, Clone, Copy)]
enum Remedy {
    /// One piece less.
    Drop,
    /// A thinner cushion than its stated fragility asks for: what is left of it beyond the least, and what is taken in words.
    Thinner(f64, fn() -> Said),
    /// Any way up.
    OtherWays,
}

impl Remedy {
    /// The question with the change, in words; `None` where there is nothing to change.
    fn applied<'a>(self, question: &Question<'a>, item: usize) -> Option<(Said, Question<'a>, Level)> {
        let entry = &question.brief.items[item];
        let least = Level {
            unknown_share: 0.0,
            thinner: None,
        };
        let mut changed = question.clone();
        match self {
            Self::Drop => {
                let last = changed.pieces.iter().rposition(|piece| piece.item == item)?;
                let instance = changed.pieces.remove(last).instance;
                Some((
                    said!("leave out {instance} ({item})", instance, item = entry.name),
                    changed,
                    least,
                ))
            }
            Self::Thinner(share, taken) => {
                limit_of(entry)?;
                let full = needs(
                    question.brief,
                    item,
                    &question.ways[item].first()?.faces,
                    &[Load::NONE; 6],
                    &least,
                );
                let thinned = Level {
                    unknown_share: 0.0,
                    thinner: Some((item, share)),
                };
                let words = said!(
                    "thin the cushions of {item} by {taken} of what its fragility asks for beyond the least (now up \
                     to {now:.0} mm)",
                    item = entry.name,
                    taken = taken(),
                    now = full.iter().fold(0.0_f64, |most, need| most.max(*need)) * 1e3
                );
                Some((words, changed, thinned))
            }
            Self::OtherWays => {
                let mut free = entry.clone();
                free.ways_up = Up::ALL.to_vec();
                free.may_turn = true;
                let ways = super::ways::ways(question.brief, &free);
                if ways.len() <= question.ways[item].len() {
                    return None;
                }
                changed.ways[item] = ways;
                for piece in changed.pieces.iter_mut().filter(|piece| piece.item == item) {
                    (piece.pin, piece.hint) = (None, None);
                }
                Some((
                    said!("let {item} lie any way up", item = entry.name),
                    changed,
                    least,
                ))
            }
        }
    }
}

/// Whether a changed question is answered by any of the stackings.
fn helps(
    question: &Question<'_>,
    level: Level,
    attempts: &[Attempt],
    options: &ArrangeOptions,
    watch: &Watch<'_>,
) -> bool {
    let mut stackings: Vec<&Attempt> = Vec::new();
    for attempt in attempts {
        if !stackings.iter().any(|other| other.stacking == attempt.stacking) {
            stackings.push(attempt);
        }
    }
    let budget = options.steps / SHARE / stackings.len().max(1) as u64;
    // What helps is told, not laid: flat falls decide.
    let effort = Effort {
        finding: budget / 2,
        all: budget,
        with_falls: false,
        after: 0,
    };
    stackings.into_iter().any(|attempt| {
        let changed = Attempt {
            level,
            room_for_notches: false,
            first_on_top: false,
            ..attempt.clone()
        };
        matches!(
            run(question, &changed, options, effort, watch).tried,
            Tried::Settled(_)
        )
    })
}
