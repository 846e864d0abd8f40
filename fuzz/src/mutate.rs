//! Changes to files: of bytes, of pieces, of numbers, and crossings of two files.

/// A small generator (`SplitMix64`): the same seed gives the same run.
///
/// # Source
/// Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators"; constants from memory, checked by use.
#[derive(Debug, Clone)]
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Below `n`; 0 where `n` is 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % (n.max(1) as u64)).unwrap_or(0)
    }
}

/// Longest file that is made.
const LONGEST: usize = 256 << 10;
/// Texts where numbers stand.
const NUMBERS: &[&str] = &[
    "0",
    "-0",
    "1",
    "-1",
    "NaN",
    "inf",
    "-inf",
    "1e300",
    "-1e300",
    "1e-300",
    "1e999",
    "4294967295",
    "4294967296",
    "-2147483648",
    "18446744073709551615",
    "9999999999999999999999",
    "0x10",
    "1,5",
    "1.5.5",
    "--1",
    "1e",
    "",
    "½",
    "٣",
];
/// Words of the formats.
const WORDS: &[&str] = &[
    "\0",
    "\n",
    "\r",
    "\t",
    " ",
    "\"",
    "'",
    "<",
    ">",
    "&",
    ";",
    "[",
    "]",
    "{",
    "}",
    "(",
    ")",
    "=",
    "#",
    ",",
    "..",
    "/",
    "facet",
    "endloop",
    "endsolid",
    "solid",
    "vertex",
    "f ",
    "v ",
    "o ",
    "-1/-1/-1",
    "element face 4294967295",
    "property list uchar int",
    "end_header",
    "format binary_big_endian 1.0",
    "<component objectid=\"1\"/>",
    "transform=\"1e300 0 0 0 1 0 0 0 1 0 0 0\"",
    "<!ENTITY a \"&a;&a;\">",
    "\"byteOffset\":4294967295",
    "\"count\":-1",
    "\"matrix\":[]",
    "\"children\":[0]",
    "  0\nSECTION\n",
    "  0\nINSERT\n  2\nA\n 70\n30000\n",
    " 10\n1e300\n",
    " 40\nNaN\n",
    "  0\nEOF\n",
    "M0 0A1e300 1 0 0 1 9 9Z",
    "transform=\"scale(1e30)\"",
    "<use href=\"#a\"/>",
    "\u{feff}",
    "mm",
    "in",
    "1 1/0 in",
];

/// A changed copy of `file`, sometimes crossed with `other`.
pub(crate) fn mutated(file: &[u8], other: &[u8], random: &mut Random) -> Vec<u8> {
    let mut made = file.to_vec();
    for _ in 0..=random.below(4) {
        change(&mut made, other, random);
    }
    made.truncate(LONGEST);
    made
}

fn change(made: &mut Vec<u8>, other: &[u8], random: &mut Random) {
    let at = random.below(made.len() + 1);
    let long = [1, 4, 16, 64, 1024][random.below(5)];
    let end = (at + random.below(long) + 1).min(made.len());
    match random.below(11) {
        0 => {
            if let Some(byte) = made.get_mut(at) {
                *byte ^= 1 << random.below(8);
            }
        }
        1 => {
            if let Some(byte) = made.get_mut(at) {
                *byte = [0, 1, 0x7f, 0x80, 0xff, b'0', b'9', b'-', b'.', b'e'][random.below(10)];
            }
        }
        2 if at < end => drop(made.drain(at..end)),
        3 if at < end => {
            let piece = made[at..end].to_vec();
            let to = random.below(made.len() + 1);
            for _ in 0..=random.below(3) {
                made.splice(to..to, piece.iter().copied());
            }
        }
        4 => insert(made, at, WORDS[random.below(WORDS.len())].as_bytes()),
        5 => number(made, at, random),
        6 => {
            // Four bytes as a count.
            let value = [0, 1, u32::MAX, u32::MAX / 2, 1 << 31, 1 << 24][random.below(6)].to_le_bytes();
            if let Some(place) = made.get_mut(at..at + 4) {
                place.copy_from_slice(&value);
            }
        }
        7 => {
            let value =
                [f32::NAN, f32::INFINITY, f32::MAX, -f32::MIN_POSITIVE][random.below(4)].to_le_bytes();
            if let Some(place) = made.get_mut(at..at + 4) {
                place.copy_from_slice(&value);
            }
        }
        8 => made.truncate(at),
        9 => {
            // The head of one, the tail of another.
            made.truncate(at);
            made.extend_from_slice(&other[random.below(other.len() + 1)..]);
        }
        _ => line(made, at, random),
    }
}

fn insert(made: &mut Vec<u8>, at: usize, piece: &[u8]) {
    made.splice(at..at, piece.iter().copied());
}

/// Another number where one stands at or after `at`.
fn number(made: &mut Vec<u8>, at: usize, random: &mut Random) {
    let is_number = |b: &u8| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+');
    let Some(start) = made[at..].iter().position(is_number).map(|k| at + k) else {
        return;
    };
    let end = made[start..]
        .iter()
        .position(|b| !is_number(b))
        .map_or(made.len(), |k| start + k);
    made.splice(start..end, NUMBERS[random.below(NUMBERS.len())].bytes());
}

/// A line twice, gone, or moved.
fn line(made: &mut Vec<u8>, at: usize, random: &mut Random) {
    let start = made[..at].iter().rposition(|&b| b == b'\n').map_or(0, |k| k + 1);
    let end = made[at..]
        .iter()
        .position(|&b| b == b'\n')
        .map_or(made.len(), |k| at + k + 1);
    let piece: Vec<u8> = made[start..end].to_vec();
    match random.below(3) {
        0 => drop(made.drain(start..end)),
        1 => insert(made, start, &piece),
        _ => {
            made.drain(start..end);
            let to = random.below(made.len() + 1);
            insert(made, to, &piece);
        }
    }
}
