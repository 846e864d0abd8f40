//! Whether what is wished can lie in the case at all, before anything is searched.

use crate::error::Fault;
use caddis_basis::Length;
use caddis_design::{Brief, PinWish};
use caddis_geometry::{Placement2, Region};

/// Plan area that is no overlap, square metres.
const NOTHING: f64 = 1e-8;

/// Refuses a pinned place outside the case or on another, and a space larger than the case.
///
/// `is_chosen` says that the shell is still open: then only what holds in every shell is asked.
pub(crate) fn wishes_fit(brief: &Brief, is_chosen: bool) -> Result<(), Fault> {
    let mut placed: Vec<(&PinWish, Region)> = Vec::new();
    for (index, pin) in brief.wishes.pinned.iter().enumerate() {
        let Some(outline) = outline(brief, pin) else {
            continue;
        };
        let field = format!("wishes.pinned[{index}].at");
        if !is_chosen {
            inside(brief, pin, &outline, &field)?;
        }
        let on = placed.iter().find(|(other, its)| {
            (other.in_tray, other.in_lid) == (pin.in_tray, pin.in_lid)
                && its.intersection(&outline).area() > NOTHING
        });
        if let Some((other, _)) = on {
            return Err(Fault::new(
                field,
                format!(
                    "{} is pinned where {} is pinned: pieces of one tier are lifted out straight and cannot overlap in plan",
                    pin.piece, other.piece
                ),
            )
            .hint("move one of them by its size and the cushions between, or put one in the tray"));
        }
        placed.push((pin, outline));
    }
    if !is_chosen {
        for (index, space) in brief.wishes.spaces.iter().enumerate() {
            let rim = &brief.shell.base.rim;
            let (long, short) = ordered(rim.length.value, rim.width.value);
            let (length, width) = ordered(space.length, space.width);
            let height = brief.shell.rim_height() - brief.clearances.least_floor;
            for (name, asked, there) in [
                ("length", length, long),
                ("width", width, short),
                ("height", space.height, height),
            ] {
                if asked > there {
                    return Err(Fault::new(
                        format!("wishes.spaces[{index}].{name}"),
                        format!(
                            "{} needs {asked} and {} has {there} there, before any cushion",
                            space.name, brief.shell.title
                        ),
                    )
                    .hint("ask for less room, or take a larger shell"));
                }
            }
        }
    }
    Ok(())
}

fn ordered(a: Length, b: Length) -> (Length, Length) {
    if a >= b { (a, b) } else { (b, a) }
}

/// Plan of a pinned piece where it is pinned.
fn outline(brief: &Brief, pin: &PinWish) -> Option<Region> {
    let item = brief.items.iter().find(|item| item.id == pin.piece.item)?;
    let up = pin.up.or_else(|| item.ways_up.first().copied())?;
    let posed = item.posed(up, pin.turn, brief.clearances.cavity_step.si());
    let shadow = posed.stack.shadow(f64::NEG_INFINITY, f64::INFINITY);
    Some(shadow.placed(&Placement2 {
        angle: 0.0,
        shift: pin.at,
    }))
}

fn inside(brief: &Brief, pin: &PinWish, outline: &Region, field: &str) -> Result<(), Fault> {
    let rim = brief.shell.base.rim_region();
    if outline.difference(&rim).area() <= NOTHING {
        return Ok(());
    }
    let over = match (outline.bounds(), rim.bounds()) {
        (Some(own), Some(its)) => (own.max.x - its.max.x)
            .max(its.min.x - own.min.x)
            .max(own.max.y - its.max.y)
            .max(its.min.y - own.min.y),
        _ => 0.0,
    };
    let found = if over > 0.0 {
        format!(
            "{} reaches {:.0} mm beyond the opening there",
            pin.piece,
            (over * 1e3).ceil()
        )
    } else {
        format!("{} cuts into a corner of the opening there", pin.piece)
    };
    Err(Fault::new(field, found).hint(format!(
        "`at` is the middle of the piece from the middle of the opening, which is {:.0} x {:.0} mm",
        brief.shell.base.rim.length.value.as_mm(),
        brief.shell.base.rim.width.value.as_mm()
    )))
}
