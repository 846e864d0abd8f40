//! A single-stroke alphabet for marks and notes: our own strokes on a grid four wide and six high.

use caddis_geometry::Vec2;

/// From one character to the next, in grid steps.
const ADVANCE: f64 = 6.0;
/// Width of a character, in grid steps.
const WIDTH: f64 = 4.0;
/// Height of a character, in grid steps.
const HEIGHT: f64 = 6.0;

/// Strokes of a character: polylines of grid points "xy", separated by spaces. Small letters are drawn as capitals; a
/// character without strokes of its own is drawn as a question mark, so that a gap is seen.
fn strokes(character: char) -> &'static str {
    match character.to_ascii_uppercase() {
        ' ' => "",
        'A' => "0004264440 0242",
        'B' => "00063645443303 3342413000",
        'C' => "4536160501103041",
        'D' => "00062644422000",
        'E' => "40000646 0333",
        'F' => "000646 0333",
        'G' => "45361605011030414323",
        'H' => "0006 4046 0343",
        'I' => "1030 2026 1636",
        'J' => "0110304146",
        'K' => "0006 460340",
        'L' => "060040",
        'M' => "0006234640",
        'N' => "00064046",
        'O' => "100105163645413010",
        'P' => "00063645443303",
        'Q' => "100105163645413010 2240",
        'R' => "00063645443303 2340",
        'S' => "011030414233130405163645",
        'T' => "2026 0646",
        'U' => "060110304146",
        'V' => "062046",
        'W' => "0610233046",
        'X' => "0046 0640",
        'Y' => "062346 2320",
        'Z' => "06460040",
        '0' => "100105163645413010 0145",
        '1' => "152620 1030",
        '2' => "05163645440040",
        '3' => "05163645443313 334241301001",
        '4' => "30360242",
        '5' => "460603334241301001",
        '6' => "4536160501103041423303",
        '7' => "064610",
        '8' => "13040516364544331302011030414233",
        '9' => "0110304145361605041343",
        '.' => "1020211110",
        ',' => "222110",
        ':' => "1121221211 1424251514",
        ';' => "222110 1424251514",
        '-' | '\u{2013}' | '\u{2014}' => "1333",
        '+' => "0343 2125",
        '\u{b1}' => "0444 2226 0040",
        '=' => "0242 0444",
        '/' => "0046",
        '(' => "36242230",
        ')' => "16242210",
        '%' => "0046 0515160605 3040413130",
        '\u{b0}' => "1526352415",
        '\u{b2}' => "152636351333",
        '\u{b3}' => "163625343313",
        '\u{d7}' => "0145 0541",
        '\'' => "2624",
        '_' => "0040",
        '#' => "1016 3036 0242 0444",
        '<' => "450341",
        '>' => "054301",
        '!' => "2622 2021",
        _ => "05163645442322 2021",
    }
}

/// Width of a line of text whose capitals are `height` high.
pub(crate) fn width(text: &str, height: f64) -> f64 {
    let count = text.chars().count();
    if count == 0 {
        0.0
    } else {
        (count as f64 * ADVANCE - (ADVANCE - WIDTH)) * height / HEIGHT
    }
}

/// The strokes of a line of text from the left end of its baseline.
pub(crate) fn text_strokes(text: &str, at: Vec2, height: f64) -> Vec<Vec<Vec2>> {
    let step = height / HEIGHT;
    let mut lines = Vec::new();
    for (i, character) in text.chars().enumerate() {
        let left = at + Vec2::new(i as f64 * ADVANCE * step, 0.0);
        for stroke in strokes(character).split(' ').filter(|stroke| !stroke.is_empty()) {
            let digits: Vec<f64> = stroke
                .bytes()
                .map(|digit| f64::from(digit.saturating_sub(b'0')))
                .collect();
            lines.push(
                digits
                    .chunks_exact(2)
                    .map(|p| left + Vec2::new(p[0], p[1]) * step)
                    .collect(),
            );
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stroke_stays_on_its_grid() {
        for code in 32..=0x17f_u32 {
            let character = char::from_u32(code).unwrap_or('?');
            for stroke in strokes(character).split(' ').filter(|s| !s.is_empty()) {
                assert!(stroke.len() >= 4 && stroke.len() % 2 == 0, "{character}");
                for pair in stroke.as_bytes().chunks(2) {
                    assert!(
                        (b'0'..=b'4').contains(&pair[0]) && (b'0'..=b'6').contains(&pair[1]),
                        "{character}"
                    );
                }
            }
        }
    }

    #[test]
    fn letters_and_figures_differ() {
        let all: Vec<&str> = ('A'..='Z').chain('0'..='9').map(strokes).collect();
        for (i, one) in all.iter().enumerate() {
            assert!(!one.is_empty() && *one != strokes('?'));
            assert!(!all[..i].contains(one), "{one}");
        }
    }

    #[test]
    fn text_is_as_wide_as_it_says() {
        let lines = text_strokes("HH", Vec2::ZERO, 6.0);
        let right = lines.iter().flatten().fold(0.0_f64, |x, p| x.max(p.x));
        assert_eq!(right, width("HH", 6.0));
    }
}
