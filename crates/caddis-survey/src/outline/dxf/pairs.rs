//! The tagged pairs a DXF is made of: a group code and a value, as text or in binary.

use crate::outline::Trouble;

/// First bytes of the binary form.
pub(in crate::outline) const BINARY_MARK: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";
/// More pairs are refused.
const MOST_PAIRS: usize = 8_000_000;

/// What stands behind a code.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    Text(String),
    Real(f64),
    Whole(i64),
}

/// One group.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pair {
    pub(super) code: i32,
    pub(super) value: Value,
}

impl Pair {
    pub(super) fn text(&self) -> &str {
        match &self.value {
            Value::Text(text) => text.trim(),
            Value::Real(_) | Value::Whole(_) => "",
        }
    }

    /// The value as a number; NaN where it is none, which no outline survives.
    pub(super) fn real(&self) -> f64 {
        match &self.value {
            Value::Text(text) => text.trim().parse().unwrap_or(f64::NAN),
            Value::Real(value) => *value,
            Value::Whole(value) => *value as f64,
        }
    }

    pub(super) fn whole(&self) -> i64 {
        match &self.value {
            Value::Text(text) => text.trim().parse().unwrap_or(0),
            Value::Real(value) => *value as i64,
            Value::Whole(value) => *value,
        }
    }
}

/// All pairs up to the end-of-file mark; what follows it is nobody's.
pub(super) fn pairs(bytes: &[u8]) -> Result<Vec<Pair>, Trouble> {
    match bytes.strip_prefix(BINARY_MARK) {
        Some(rest) => binary(rest),
        None => text(bytes),
    }
}

fn is_end(pair: &Pair) -> bool {
    pair.code == 0 && pair.text() == "EOF"
}

fn text(bytes: &[u8]) -> Result<Vec<Pair>, Trouble> {
    let text = String::from_utf8_lossy(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes));
    let mut pairs = Vec::new();
    let mut lines = text.lines().enumerate();
    while let Some((number, line)) = lines.next() {
        let Ok(code) = line.trim().parse::<i32>() else {
            if line.trim().is_empty() && lines.all(|(_, rest)| rest.trim().is_empty()) {
                break;
            }
            return Err(Trouble::Broken(format!(
                "line {} should be a group code but reads `{}`",
                number + 1,
                line.trim().chars().take(40).collect::<String>()
            )));
        };
        let Some((_, value)) = lines.next() else {
            return Err(Trouble::Broken("it ends within a group".to_owned()));
        };
        let pair = Pair {
            code,
            value: Value::Text(value.to_owned()),
        };
        if is_end(&pair) {
            break;
        }
        if pairs.len() >= MOST_PAIRS {
            return Err(Trouble::TooMuch);
        }
        pairs.push(pair);
    }
    Ok(pairs)
}

/// Codes of one byte up to release 12 (255 announces two more), of two bytes since; the first group tells, for it is always
/// 0 / SECTION or a comment.
fn binary(mut rest: &[u8]) -> Result<Vec<Pair>, Trouble> {
    let is_wide = rest.get(1) == Some(&0);
    let mut pairs = Vec::new();
    let cut = || Trouble::Broken("it ends within a group".to_owned());
    while !rest.is_empty() {
        let code = if is_wide {
            i32::from(i16::from_le_bytes(array(&mut rest).ok_or_else(cut)?))
        } else {
            let [short] = array(&mut rest).ok_or_else(cut)?;
            if short == 255 {
                i32::from(i16::from_le_bytes(array(&mut rest).ok_or_else(cut)?))
            } else {
                i32::from(short)
            }
        };
        let value = value(code, &mut rest).ok_or_else(cut)?;
        let pair = Pair { code, value };
        if is_end(&pair) {
            break;
        }
        if pairs.len() >= MOST_PAIRS {
            return Err(Trouble::TooMuch);
        }
        pairs.push(pair);
    }
    Ok(pairs)
}

fn array<const N: usize>(rest: &mut &[u8]) -> Option<[u8; N]> {
    rest.split_off(..N)?.try_into().ok()
}

/// # Source
/// DXF reference, "Group code value types".
fn value(code: i32, rest: &mut &[u8]) -> Option<Value> {
    Some(match code {
        10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => {
            Value::Real(f64::from_le_bytes(array(rest)?))
        }
        60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => {
            Value::Whole(i16::from_le_bytes(array(rest)?).into())
        }
        90..=99 | 420..=429 | 440..=459 | 1071 => Value::Whole(i32::from_le_bytes(array(rest)?).into()),
        160..=169 => Value::Whole(i64::from_le_bytes(array(rest)?)),
        290..=299 => Value::Whole(array::<1>(rest)?[0].into()),
        310..=319 | 1004 => {
            let [length] = array(rest)?;
            rest.split_off(..usize::from(length))?;
            Value::Text(String::new())
        }
        _ => {
            let end = rest.iter().position(|&b| b == 0)?;
            let text = String::from_utf8_lossy(&rest[..end]).into_owned();
            *rest = &rest[end + 1..];
            Value::Text(text)
        }
    })
}
