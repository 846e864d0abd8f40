//! A language that no one speaks, made from the English catalogue: each letter that can be accented is, every third stands twice, and
//! words stand in ⟦ ⟧.

const ENGLISH: &str = include_str!("../../languages/en.ftl");

fn accented(c: char) -> char {
    let pairs = "aáeéiíoóuúAÁEÉIÍOÓUÚnñcçyýsšzž";
    let mut chars = pairs.chars();
    while let (Some(plain), Some(other)) = (chars.next(), chars.next()) {
        if plain == c {
            return other;
        }
    }
    c
}

fn strange(words: &str) -> String {
    let (mut out, mut depth, mut letters) = ("⟦".to_owned(), 0, 0);
    for c in words.chars() {
        depth += i32::from(c == '{');
        let own = if depth == 0 { accented(c) } else { c };
        out.push(own);
        if depth == 0 && c.is_alphabetic() {
            letters += 1;
            if letters % 3 == 0 {
                out.push(own);
            }
        }
        depth -= i32::from(c == '}');
    }
    out.push('⟧');
    out
}

/// The catalogue: messages of one line, variants of those that count, and other marks in figures.
pub(crate) fn catalogue() -> String {
    let lines = ENGLISH.lines().map(|line| {
        let message = line
            .split_once(" = ")
            .filter(|(name, _)| name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-'));
        match message {
            Some(("decimal-mark", _)) => "decimal-mark = ,".to_owned(),
            Some(("group-mark", _)) => "group-mark = .".to_owned(),
            Some((name, words)) if !words.ends_with("->") => format!("{name} = {}", strange(words)),
            _ => match line.split_once("] ").filter(|_| line.starts_with(' ')) {
                Some((variant, words)) => format!("{variant}] {}", strange(words)),
                None => line.to_owned(),
            },
        }
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}
