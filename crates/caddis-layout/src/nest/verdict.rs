//! What is left of a nesting when every pair has been measured once more.

use super::lane::Copy;
use super::{Laid, NestedPart, NestedSheet, Nesting, Sheet, SheetPart, Unplaced, UnplacedReason};
use caddis_geometry::{Bounds2, Region as Plan, Vec2};

/// Measures every pair once more and counts what is left over.
pub(super) fn finished(
    parts: &[SheetPart],
    sheets: &[Sheet],
    laid: Vec<Laid>,
    copies: &[Copy],
    mut unplaced: Vec<Unplaced>,
    steps: u64,
) -> Nesting {
    let mut nested = Vec::with_capacity(laid.len());
    let mut left: Vec<u32> = vec![0; parts.len()];
    for copy in copies {
        left[copy.part] += 1;
    }
    for (index, on_it) in laid {
        let kind = &sheets[index];
        let mut kept: Vec<(NestedPart, Plan, Bounds2)> = Vec::with_capacity(on_it.len());
        for part in on_it {
            let plan = parts[part.part].outline.placed(&part.placement);
            let Some(bounds) = plan.bounds() else { continue };
            if is_clear(kind, &plan, &bounds, &kept) && is_good(kind, &plan, parts[part.part].quality) {
                left[part.part] -= 1;
                kept.push((part, plan, bounds));
            }
        }
        if kept.is_empty() {
            continue;
        }
        let area: f64 = kept.iter().map(|part| part.1.area()).sum();
        nested.push(NestedSheet {
            sheet: index,
            yield_share: area / kind.area(),
            used_length: kept.iter().map(|part| part.2.max.x).fold(0.0, f64::max),
            parts: kept.into_iter().map(|part| part.0).collect(),
        });
    }
    for (part, &copies) in left.iter().enumerate() {
        if copies > 0 {
            unplaced.push(Unplaced {
                part,
                copies,
                reason: UnplacedReason::NoSheetLeft,
            });
        }
    }
    unplaced.sort_by_key(|left| left.part);
    let area = |sheet: &NestedSheet| sheets[sheet.sheet].area();
    let whole: f64 = nested.iter().map(area).sum();
    let used: f64 = nested.iter().map(|sheet| sheet.yield_share * area(sheet)).sum();
    Nesting {
        yield_share: if whole > 0.0 { used / whole } else { 0.0 },
        cost: nested.iter().map(|sheet| sheets[sheet.sheet].cost).sum(),
        sheets: nested,
        unplaced,
        steps,
    }
}

/// Whether a part lies on the sheet's matter and clear of defects it minds.
fn is_good(sheet: &Sheet, plan: &Plan, quality: u32) -> bool {
    let slack = 1e-6 * plan.boundary_length();
    let within = |outline: &Plan| plan.difference(outline).area() <= slack;
    sheet.outline.as_ref().is_none_or(within)
        && sheet
            .defects
            .iter()
            .filter(|defect| defect.quality < quality.max(1))
            .all(|defect| plan.intersection(&defect.outline).area() <= slack)
}

/// Whether a part keeps the trim of its sheet and the gap to the parts already there, by exact distances.
fn is_clear(sheet: &Sheet, plan: &Plan, bounds: &Bounds2, placed: &[(NestedPart, Plan, Bounds2)]) -> bool {
    const SLACK: f64 = 1e-6;
    let far = Vec2::new(sheet.length - sheet.trim, sheet.width - sheet.trim);
    let inside = bounds.min.x >= sheet.trim - SLACK
        && bounds.min.y >= sheet.trim - SLACK
        && bounds.max.x <= far.x + SLACK
        && bounds.max.y <= far.y + SLACK;
    inside
        && placed.iter().all(|(_, other, its)| {
            let away = (its.min.x - bounds.max.x)
                .max(bounds.min.x - its.max.x)
                .max(its.min.y - bounds.max.y)
                .max(bounds.min.y - its.max.y);
            if away >= sheet.gap.max(SLACK) {
                return true;
            }
            // Parts may touch where no gap is asked, but not overlap.
            if sheet.gap > SLACK {
                plan.distance(other) >= sheet.gap - SLACK
            } else {
                plan.intersection(other).area() <= SLACK * plan.boundary_length()
            }
        })
}
