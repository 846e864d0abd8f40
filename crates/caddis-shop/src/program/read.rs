//! Reads a program back, so that what is checked is what the machine gets.

use super::path::{Move, ToolPath, Way};
use caddis_geometry::{Vec2, Vec3};

/// Why a program is not one of ours.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}: {problem}")]
pub(crate) struct ProgramError {
    /// From 1.
    pub(crate) line: usize,
    /// What is wrong, lowercase.
    pub(crate) problem: String,
}

/// Greatest difference between an arc's radii at its ends, metres.
///
/// # Source
/// The stricter of two open controls refuses 0.005 mm (reference shop.md, section 3.1).
const ARC_TOLERANCE: f64 = 5e-6;

/// Moves of a program in millimetres, absolute, with arc centres from the start.
///
/// # Errors
/// Words outside the subset, numbers that are none, arcs whose ends do not lie on one circle, cuts without a feed, moves before
/// the units are given.
pub(crate) fn read(text: &str) -> Result<ToolPath, ProgramError> {
    let mut state = State::default();
    for (number, line) in (1..).zip(text.lines()) {
        state.line(line).map_err(|problem| ProgramError {
            line: number,
            problem,
        })?;
        if state.ended {
            break;
        }
    }
    if !state.ended {
        return Err(ProgramError {
            line: text.lines().count(),
            problem: "the program does not end with M30".to_owned(),
        });
    }
    let start = state.start.unwrap_or(Vec3::ZERO);
    Ok(ToolPath {
        start,
        moves: state.moves,
    })
}

#[derive(Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "a control's modes are independent switches"
)]
struct State {
    motion: Option<u32>,
    at: Vec3,
    start: Option<Vec3>,
    feed: Option<f64>,
    millimetres: bool,
    absolute: bool,
    spindle: bool,
    ended: bool,
    moves: Vec<Move>,
}

impl State {
    fn line(&mut self, line: &str) -> Result<(), String> {
        let (mut to, mut offset) = (self.at, Vec2::ZERO);
        let (mut moves, mut has_offset, mut waits) = (false, false, false);
        for (letter, value) in words(line)? {
            match letter {
                'G' => match value as u32 {
                    motion @ 0..=3 => self.motion = Some(motion),
                    4 => waits = true,
                    21 => self.millimetres = true,
                    90 => self.absolute = true,
                    17 | 40 | 49 | 54 | 80 | 94 => {}
                    other => return Err(format!("G{other} is not in the portable subset")),
                },
                'M' => match value as u32 {
                    3 => self.spindle = true,
                    5 => self.spindle = false,
                    30 => self.ended = true,
                    other => return Err(format!("M{other} is not in the portable subset")),
                },
                'X' => (to.x, moves) = (value / 1e3, true),
                'Y' => (to.y, moves) = (value / 1e3, true),
                'Z' => (to.z, moves) = (value / 1e3, true),
                'I' => (offset.x, has_offset) = (value / 1e3, true),
                'J' => (offset.y, has_offset) = (value / 1e3, true),
                'F' => self.feed = Some(value / 60_000.0),
                'S' => {}
                'P' if waits => {}
                other => return Err(format!("the word {other} is not in the portable subset")),
            }
        }
        if moves {
            self.go(to, has_offset.then_some(offset))?;
        }
        Ok(())
    }

    fn go(&mut self, to: Vec3, offset: Option<Vec2>) -> Result<(), String> {
        if !(self.millimetres && self.absolute) {
            return Err("a move before G21 and G90".to_owned());
        }
        let from = self.at;
        self.at = to;
        let motion = self.motion.ok_or("a move without G0, G1, G2 or G3")?;
        if motion == 0 {
            if self.start.is_none() {
                self.start = Some(to);
            } else {
                self.moves.push(Move { way: Way::Rapid, to });
            }
            return Ok(());
        }
        let feed = self.feed.filter(|f| *f > 0.0).ok_or("a cut without a feed")?;
        if !self.spindle {
            return Err("a cut with the spindle at rest".to_owned());
        }
        let way = if motion == 1 {
            Way::Line { feed }
        } else {
            let centre = from.plan() + offset.ok_or("an arc without its centre")?;
            let radii = (from.plan().distance(centre), to.plan().distance(centre));
            if (radii.0 - radii.1).abs() > ARC_TOLERANCE || from.z != to.z {
                return Err(format!(
                    "the arc's ends lie {:.4} and {:.4} mm from its centre",
                    radii.0 * 1e3,
                    radii.1 * 1e3
                ));
            }
            Way::Arc {
                feed,
                centre,
                left: motion == 3,
            }
        };
        self.moves.push(Move { way, to });
        Ok(())
    }
}

/// Letters with their numbers; comments are left out.
fn words(line: &str) -> Result<Vec<(char, f64)>, String> {
    let mut found = Vec::new();
    let mut rest = line.trim();
    while let Some(letter) = rest.chars().next() {
        if letter == '(' {
            let end = rest.find(')').ok_or("a comment without its end")?;
            rest = rest[end + 1..].trim_start();
            continue;
        }
        if !letter.is_ascii_uppercase() {
            return Err(format!("`{letter}` begins no word"));
        }
        let tail = &rest[1..];
        let end = tail
            .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-' || c == '+'))
            .unwrap_or(tail.len());
        let value: f64 = tail[..end]
            .parse()
            .map_err(|_| format!("`{}` is no number", &rest[..=end]))?;
        if !value.is_finite() || value < 0.0 && matches!(letter, 'G' | 'M' | 'F' | 'S' | 'P') {
            return Err(format!("`{}` is out of range", &rest[..=end]));
        }
        found.push((letter, value));
        rest = tail[end..].trim_start();
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "G17 G21 G40 G49 G54 G80 G90 G94\nG0 Z10.0000\nM3 S18000\nG4 P2.0\n";

    #[test]
    fn a_short_program() {
        let text = format!(
            "(PART)\n{HEAD}G0 X10.0 Y10.0\nG1 Z-5.0 F600.0\nG2 X10.0 Y10.0 I5.0 J0.0 F3000.0\nG0 Z10.0\nM5\nM30\n"
        );
        let path = read(&text).expect("reads");
        assert_eq!(path.start, Vec3::new(0.0, 0.0, 0.01));
        assert_eq!(path.moves.len(), 4);
        assert_eq!(
            path.moves[2].way,
            Way::Arc {
                feed: 0.05,
                centre: Vec2::new(0.015, 0.01),
                left: false
            }
        );
    }

    #[test]
    fn refuses_what_it_does_not_know() {
        let after = |tail: &str| read(&format!("{HEAD}{tail}\nM30\n")).map_err(|e| e.problem);
        for (tail, word) in [
            ("G64 P0.1", "G64"),
            ("M6", "M6"),
            ("G1 X1.0", "feed"),
            ("G1 X1.0 F100.0\nG2 X5.0 Y0.0 I1.0 J1.0", "arc"),
            ("G0 Xnan", "number"),
            ("g0 x1", "word"),
            ("(open", "end"),
            ("G0 X1e9", "word"),
        ] {
            let problem = after(tail).expect_err(tail);
            assert!(problem.contains(word), "{tail}: {problem}");
        }
        assert!(read("G0 X1.0\nM30\n").is_err());
        assert!(read(HEAD).is_err());
    }
}
