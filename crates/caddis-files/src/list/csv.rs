//! Separated text.
//!
//! # Source
//! Y. Shafranovich, RFC 4180, "Common Format and MIME Type for Comma-Separated Values Files" (2005) (from memory); the
//! separator is the one of comma, semicolon and tab that the first lines use most.

/// More columns are refused.
const MOST_COLUMNS: usize = 200;

/// Rows of cells, and whether a comma can only be a decimal one.
pub(super) fn read(text: &str) -> Result<(Vec<Vec<String>>, bool), String> {
    let separator = separator_of(text);
    let mut rows = Vec::new();
    let mut row: Vec<String> = Vec::new();
    let mut cell = String::new();
    let mut is_quoted = false;
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if is_quoted && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' if is_quoted => is_quoted = false,
            '"' if cell.trim().is_empty() => {
                cell.clear();
                is_quoted = true;
            }
            c if is_quoted => cell.push(c),
            c if c == separator => row.push(std::mem::take(&mut cell)),
            '\n' => {
                row.push(std::mem::take(&mut cell));
                rows.push(std::mem::take(&mut row));
            }
            '\r' => {
                // Alone it ends a line too.
                if chars.peek() != Some(&'\n') {
                    row.push(std::mem::take(&mut cell));
                    rows.push(std::mem::take(&mut row));
                }
            }
            c => cell.push(c),
        }
        if row.len() > MOST_COLUMNS {
            return Err(format!(
                "row {} has more than {MOST_COLUMNS} columns",
                rows.len() + 1
            ));
        }
    }
    if is_quoted {
        return Err("it ends inside a quoted cell".to_owned());
    }
    if !cell.is_empty() || !row.is_empty() {
        row.push(cell);
        rows.push(row);
    }
    Ok((rows, separator != ','))
}

fn separator_of(text: &str) -> char {
    let mut counts = [(',', 0_usize), (';', 0), ('\t', 0)];
    let mut is_quoted = false;
    for c in text.lines().take(10).flat_map(str::chars) {
        is_quoted ^= c == '"';
        if !is_quoted && let Some(count) = counts.iter_mut().find(|count| count.0 == c) {
            count.1 += 1;
        }
    }
    // A list with decimal commas still has more separators than commas; where as many, the rarer mark separates.
    let [comma, semicolon, tab] = counts.map(|count| count.1);
    if tab > 0 && tab >= semicolon && tab >= comma {
        '\t'
    } else if semicolon > 0 && semicolon >= comma {
        ';'
    } else {
        ','
    }
}
