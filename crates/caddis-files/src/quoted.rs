//! Text as TOML that we write ourselves.

/// A basic string: quotes and backslashes escaped, control characters become spaces.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            letter if letter.is_control() => out.push(' '),
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::quoted;

    #[test]
    fn what_would_end_the_string_is_escaped() {
        assert_eq!(quoted("a \"b\" \\ c\nd"), r#""a \"b\" \\ c d""#);
    }
}
