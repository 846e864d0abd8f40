//! A tool path as RS-274 text in the subset that both open controls accept.

use super::path::{ToolPath, Way};
use std::fmt::Write as _;

/// What stands in the header, and the words between the moves.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Header {
    /// Comments, one a line.
    pub(crate) comments: Vec<String>,
    /// Spindle speed, revolutions per minute.
    pub(crate) spindle_rpm: f64,
    /// Seconds to wait for the spindle.
    pub(crate) spin_up: f64,
}

/// Longest comment, characters: controls read lines of 79.
const MOST_COMMENT: usize = 70;

/// The program.
///
/// # Units
/// Millimetres and millimetres a minute (G21, G94), absolute (G90), arc centres from the arc's start; z = 0 is the top of the
/// sheet, x = y = 0 its lower left corner.
///
/// # Accuracy
/// Coordinates to 0.1 µm.
///
/// # Source
/// Words that the documentation of two open controls and one of their interpreters accept (reference shop.md, section 3.1);
/// no tool change, no cycles, no variables.
pub(crate) fn write(path: &ToolPath, header: &Header) -> String {
    let mut text = String::new();
    for comment in &header.comments {
        for line in wrapped(&plain(comment)) {
            let _ = writeln!(text, "({line})");
        }
    }
    text.push_str("G17 G21 G40 G49 G54 G80 G90 G94\n");
    let _ = writeln!(text, "G0 Z{}", mm(path.start.z));
    let _ = writeln!(text, "M3 S{:.0}", header.spindle_rpm);
    let _ = writeln!(text, "G4 P{:.1}", header.spin_up.max(0.1));
    let mut feed_written = None;
    // Until the first move in the plan the machine may stand anywhere, so that move names both axes.
    let mut stands = false;
    for (from, step) in path.legs() {
        let to = step.to;
        let plan_moves = mm(from.x) != mm(to.x) || mm(from.y) != mm(to.y);
        let first = !stands && (plan_moves || !matches!(step.way, Way::Rapid));
        stands |= first;
        let axes = |text: &mut String| {
            if first || mm(from.x) != mm(to.x) {
                let _ = write!(text, " X{}", mm(to.x));
            }
            if first || mm(from.y) != mm(to.y) {
                let _ = write!(text, " Y{}", mm(to.y));
            }
            if mm(from.z) != mm(to.z) {
                let _ = write!(text, " Z{}", mm(to.z));
            }
        };
        let mut feed_word = |text: &mut String, feed: f64| {
            let feed = format!("{:.1}", feed * 60_000.0);
            if feed_written.as_ref() != Some(&feed) {
                let _ = write!(text, " F{feed}");
                feed_written = Some(feed);
            }
        };
        let mut line = String::new();
        match step.way {
            Way::Rapid => {
                axes(&mut line);
                if !line.is_empty() {
                    let _ = writeln!(text, "G0{line}");
                }
            }
            Way::Line { feed } => {
                axes(&mut line);
                if !line.is_empty() {
                    feed_word(&mut line, feed);
                    let _ = writeln!(text, "G1{line}");
                }
            }
            Way::Arc { feed, centre, left } => {
                // Both axes always: an arc that ends where it starts is a whole circle.
                let word = if left { "G3" } else { "G2" };
                let _ = write!(
                    line,
                    " X{} Y{} I{} J{}",
                    mm(to.x),
                    mm(to.y),
                    mm(centre.x - from.x),
                    mm(centre.y - from.y)
                );
                feed_word(&mut line, feed);
                let _ = writeln!(text, "{word}{line}");
            }
        }
    }
    text.push_str("M5\nM30\n");
    text
}

/// Millimetres with four decimals.
fn mm(metres: f64) -> String {
    let text = format!("{:.4}", metres * 1e3);
    if text == "-0.0000" {
        "0.0000".to_owned()
    } else {
        text
    }
}

/// What a control takes for a comment: plain letters, no brackets, nothing it acts upon.
fn plain(comment: &str) -> String {
    let text: String = comment
        .replace('²', "2")
        .replace('±', "+-")
        .replace(['–', '—'], "-")
        .chars()
        .map(|c| match c {
            '(' | '[' | '{' => '<',
            ')' | ']' | '}' => '>',
            '%' | '!' | '?' | '~' | '$' | ';' | '\n' => ' ',
            c if c.is_ascii() && !c.is_control() => c,
            _ => '-',
        })
        .collect();
    // Words some controls act upon when a comment begins with them.
    let active = ["MSG", "DEBUG", "PRINT", "LOG"];
    let upper = text.trim_start().to_ascii_uppercase();
    if active.iter().any(|word| upper.starts_with(word)) {
        format!("- {text}")
    } else {
        text
    }
}

fn wrapped(text: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let word: String = word.chars().take(MOST_COMMENT).collect();
        let last = lines.len() - 1;
        if lines[last].is_empty() {
            lines[last] = word;
        } else if lines[last].len() + 1 + word.len() <= MOST_COMMENT {
            lines[last].push(' ');
            lines[last].push_str(&word);
        } else {
            lines.push(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_stay_words() {
        assert_eq!(plain("50 % (net) ±1"), "50   <net> +-1");
        assert_eq!(plain("message"), "message");
        assert_eq!(plain("msg,stop"), "- msg,stop");
        assert!(wrapped(&"word ".repeat(40)).iter().all(|l| l.len() <= 70));
    }
}
