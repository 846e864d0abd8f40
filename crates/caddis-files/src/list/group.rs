//! Headers over two rows: a row of groups above the headers themselves.

use super::column::Columns;

/// Each header with what its group adds. A group reaches to the right until the next one, over cells left empty as merged
/// cells are. A header that says what it is keeps its words and takes a unit from the group; one that says nothing by itself
/// (`mm`, `each`, empty) is read with the group's words before it.
pub(super) fn joined(groups: &[String], headers: &[String]) -> Vec<String> {
    let mut group = "";
    (0..groups.len().max(headers.len()))
        .map(|at| {
            let own = groups.get(at).map_or("", |cell| cell.trim());
            let header = headers.get(at).map_or("", |cell| cell.trim());
            if !own.is_empty() {
                group = own;
            } else if header.is_empty() {
                // A column without any header ends the group.
                group = "";
            }
            best(group, header)
        })
        .collect()
}

fn best(group: &str, header: &str) -> String {
    if group.is_empty() || header.is_empty() {
        return if header.is_empty() { group } else { header }.to_owned();
    }
    let told = |text: &str| Columns::of(&[text.to_owned()]).told();
    let whole = format!("{group} {header}");
    let with_unit = unit_in(group).map(|unit| format!("{header} {unit}"));
    // The first of the best, the header's own words before all.
    [Some(header.to_owned()), with_unit, Some(whole)]
        .into_iter()
        .flatten()
        .rev()
        .max_by_key(|text| told(text))
        .unwrap_or_default()
}

/// The last word of a group where it is a unit: `Size (mm)`.
fn unit_in(group: &str) -> Option<&'static str> {
    let last = group
        .rsplit(|c: char| c.is_whitespace() || "()[]/,:".contains(c))
        .find(|word| !word.is_empty())?;
    super::column::unit_of(last)
}
