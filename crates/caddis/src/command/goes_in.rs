//! `caddis survey SHELL --block 540x330x120 mm`: the question asked on the phone.

use crate::failure::Failure;
use caddis_basis::{Length, Parse};
use caddis_survey::{GoesIn, Room, Shell, Solid};
use serde_json::{Value, json};
use std::fmt::Write;

const BLOCK: &str = "540x330x120 mm";
const CYLINDER: &str = "90x400 mm";

/// Reads `540x330x120 mm`, or a cylinder's diameter and length.
pub(crate) fn solid(block: Option<&str>, cylinder: Option<&str>) -> Result<Option<Solid>, Failure> {
    if let Some(text) = block {
        let sides = sizes::<3>("--block", text, BLOCK)?;
        return Ok(Some(Solid::Block(sides)));
    }
    if let Some(text) = cylinder {
        let [diameter, length] = sizes::<2>("--cylinder", text, CYLINDER)?;
        return Ok(Some(Solid::Cylinder { diameter, length }));
    }
    Ok(None)
}

/// Sizes with `x` between them; the unit at the end is that of all.
pub(super) fn sizes<const N: usize>(option: &str, text: &str, example: &str) -> Result<[Length; N], Failure> {
    let wrong = |problem: String| Failure::Use {
        problem: format!("`{option} {text}`: {problem}"),
        hint: format!("write {N} sizes and their unit, for example `{option} \"{example}\"`"),
    };
    let parts: Vec<&str> = text.split(['x', '×']).map(str::trim).collect();
    let unit = text
        .trim_end()
        .trim_start_matches(|c: char| !c.is_alphabetic() || c == 'x');
    let unit = unit.rsplit(|c: char| !c.is_alphabetic()).next().unwrap_or(unit);
    let mut found = [Length::ZERO; N];
    if parts.len() != N {
        return Err(wrong(format!("{} sizes were found", parts.len())));
    }
    for (size, part) in found.iter_mut().zip(&parts) {
        let part = if part.ends_with(|c: char| c.is_ascii_digit() || c == '.') {
            format!("{part} {unit}")
        } else {
            (*part).to_owned()
        };
        *size = Length::parse(&part).map_err(|error| wrong(error.to_string()))?;
        if size.si() <= 0.0 {
            return Err(wrong(format!("`{part}` is not greater than zero")));
        }
    }
    Ok(found)
}

/// In words.
pub(crate) fn as_text(shell: &Shell, solid: &Solid, answer: &GoesIn) -> String {
    let what = match solid {
        Solid::Block([a, b, c]) => format!("a block of {a} x {b} x {c}"),
        Solid::Cylinder { diameter, length } => format!("a cylinder of {diameter} across and {length} long"),
    };
    let mut text = format!("{} ({})\n", shell.title, shell.name);
    for (whole, where_, measured, worst) in [
        (true, "the closed case", &answer.measured, &answer.worst_case),
        (
            false,
            "the base alone, below the rim plane",
            &answer.base_alone,
            &answer.base_alone_worst_case,
        ),
    ] {
        // Writing to a string cannot fail.
        let _ = match (measured, worst) {
            (Some(_), Some(_)) => writeln!(
                text,
                "{what} goes into {where_}, in the worst case of the survey's ± too"
            ),
            (Some(_), None) => writeln!(
                text,
                "{what} goes into {where_} as measured, but not in the worst case of the survey's ±"
            ),
            (None, _) => writeln!(
                text,
                "{what} does not go into {where_} with its sides along the walls, whichever way up"
            ),
        };
        if !whole && measured == &answer.measured && worst == &answer.worst_case && measured.is_some() {
            text.push_str("  the same place as in the closed case\n");
            continue;
        }
        for (name, room) in [("as measured", measured), ("worst case", worst)] {
            if let Some(room) = room {
                place(name, room, &mut text);
            }
        }
    }
    text.push_str("Bare shell: no foam is counted. What needs cushioning needs its foam on every side.\n");
    text
}

/// Where it lies, and what is left.
fn place(name: &str, room: &Room, text: &mut String) {
    let [x, y, z] = room.size;
    let [left, right, front, back] = room.left;
    let _ = writeln!(
        text,
        "  {name}:\n    lies {x} along the length, {y} along the width, {z} high, {}\n    middle at ({:.1}, {:.1}) mm from the \
         middle of the opening, underside {} over the floor\n    left to move: left {left}, right {right}, front {front}, back \
         {back}; above {}\n    least room beside it {}",
        if room.is_below_rim {
            "below the rim plane"
        } else {
            "reaching above the rim plane: it needs the lid's room"
        },
        room.centre.x * 1e3,
        room.centre.y * 1e3,
        room.bottom,
        room.above,
        room.beside
    );
}

/// As data.
pub(crate) fn as_json(shell: &Shell, answer: &GoesIn) -> Value {
    let room = |room: &Room| {
        json!({
            "size_m": room.size.map(Length::si),
            "centre_m": [room.centre.x, room.centre.y],
            "bottom_m": room.bottom.si(),
            "beside_m": room.beside.si(),
            "left_right_front_back_m": room.left.map(Length::si),
            "above_m": room.above.si(),
            "is_below_rim": room.is_below_rim,
        })
    };
    json!({
        "shell": shell.name,
        "goes_in": answer.measured.is_some(),
        "goes_in_worst_case": answer.worst_case.is_some(),
        "measured": answer.measured.as_ref().map(room),
        "worst_case": answer.worst_case.as_ref().map(room),
        "base_alone": answer.base_alone.as_ref().map(room),
        "base_alone_worst_case": answer.base_alone_worst_case.as_ref().map(room),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_with_one_unit_or_each_its_own() {
        let mm = |text| sizes::<3>("--block", text, BLOCK).map(|s| s.map(|l| l.as_mm().round()));
        assert_eq!(mm("540x330x120 mm").ok(), Some([540.0, 330.0, 120.0]));
        assert_eq!(mm("54 cm × 330 mm × 120 mm").ok(), Some([540.0, 330.0, 120.0]));
        assert_eq!(mm("20x10x5in").ok(), Some([508.0, 254.0, 127.0]));
        for wrong in [
            "540x330 mm",
            "540x330x120",
            "axbxc mm",
            "540x-3x120 mm",
            "540x330x120 kg",
            "",
        ] {
            assert!(mm(wrong).is_err(), "{wrong}");
        }
    }
}
