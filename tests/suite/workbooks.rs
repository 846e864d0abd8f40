//! Packing lists as workbooks: as offices make them (by openpyxl 3.1), as attacks, and our own empty one.

use caddis_tests::{Folder, Ran, caddis, second_opinion, workspace_root};
use libtest_mimic::{Failed, Trial};
use serde_json::{Value, json};
use std::fs;
use std::sync::LazyLock;

/// All workbooks, written once.
static MADE: LazyLock<Folder> = LazyLock::new(|| {
    let folder = Folder::new();
    second_opinion("workbooks", [folder.path().as_os_str()]);
    folder
});

pub(crate) fn trials() -> Vec<Trial> {
    vec![
        Trial::test("contents::workbook_of_an_office", office),
        Trial::test("contents::workbook_in_other_words", words),
        Trial::test("contents::workbook_in_inches", inches),
        Trial::test("contents::workbook_with_two_lists", two_lists),
        Trial::test("contents::workbook_refused", refused),
        Trial::test("contents::workbook_template", template),
    ]
}

fn asked(name: &str, json: bool) -> Ran {
    let file = MADE.path().join(name).display().to_string();
    let mut arguments = vec!["contents", "--list", &file];
    if json {
        arguments.push("--json");
    }
    caddis(workspace_root().as_path(), arguments, &[])
}

fn read(name: &str) -> Result<Value, Failed> {
    let ran = asked(name, true);
    if ran.exit == Some(0) {
        Ok(ran.json())
    } else {
        Err(format!("{name}: exit {:?}: {}", ran.exit, ran.stderr).into())
    }
}

fn same(what: &str, got: &Value, want: &Value) -> Result<(), Failed> {
    let close = |a: &Value, b: &Value| match (a.as_f64(), b.as_f64()) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-9,
        _ => a == b,
    };
    let alike = match (got.as_array(), want.as_array()) {
        (Some(a), Some(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| close(a, b)),
        _ => close(got, want),
    };
    if alike {
        Ok(())
    } else {
        Err(format!("{what}: {got}, not {want}").into())
    }
}

fn office() -> Result<(), Failed> {
    let list = read("kit.xlsx")?;
    same("rows", &list["rows"].as_array().map(Vec::len).into(), &json!(3))?;
    let rows = &list["rows"];
    same("size", &rows[0]["size_m"], &json!([0.18, 0.12, 0.06]))?;
    same("row of the sheet", &rows[0]["row"], &json!(5))?;
    same("note of a number", &rows[0]["note"], &json!("4711"))?;
    same(
        "size in its cell's unit",
        &rows[1]["size_m"],
        &json!([0.4, 0.05, 0.05]),
    )?;
    same("note of a date", &rows[1]["note"], &json!("2026-11-25"))?;
    same("value of a formula", &rows[2]["quantity"], &json!(2))?;
    same(
        "unusable",
        &list["unusable"].as_array().map(Vec::len).into(),
        &json!(1),
    )?;
    same("its row", &list["unusable"][0]["row"], &json!(9))?;
    same(
        "its column",
        &list["unusable"][0]["column"],
        &json!("Length (mm)"),
    )?;
    // What is printed is read as items of a job.
    let ran = asked("kit.xlsx", false);
    for line in [
        "id = \"field-receiver\"",
        "length = \"180 mm\", width = \"120 mm\"",
        "packing list kit.xlsx, row 5",
    ] {
        if !ran.stdout.contains(line) {
            return Err(format!("it does not print {line}:\n{}", ran.stdout).into());
        }
    }
    Ok(())
}

fn words() -> Result<(), Failed> {
    let list = read("words.xlsx")?;
    let rows = &list["rows"];
    same("size", &rows[0]["size_m"], &json!([0.305, 0.2, 0.12]))?;
    same("mass in the header's unit", &rows[0]["mass_kg"], &json!(0.85))?;
    same("mass in its cell's unit", &rows[1]["mass_kg"], &json!(1.2))?;
    same("size with crosses", &rows[1]["size_m"], &json!([0.1, 0.08, 0.04]))?;
    same("none of it", &list["unusable"][0]["column"], &json!("Stück"))
}

fn inches() -> Result<(), Failed> {
    for file in ["inches.xlsx", "says-huge.xlsx"] {
        let list = read(file)?;
        same(
            file,
            &list["rows"][0]["size_m"],
            &json!([0.2667, 0.1016, 0.08255]),
        )?;
        same(file, &list["rows"][0]["mass_kg"], &json!(2.2 * 0.453_592_37))?;
    }
    Ok(())
}

fn two_lists() -> Result<(), Failed> {
    let list = read("two-lists.xlsx")?;
    same("the fuller list", &list["rows"][0]["id"], &json!("a"))?;
    same("the other", &list["sheets_passed_over"], &json!(["Spares"]))?;
    let ran = asked("two-lists.xlsx", false);
    if ran.stderr.contains("sheet `Spares`") {
        Ok(())
    } else {
        Err(format!("the other sheet is not named: {}", ran.stderr).into())
    }
}

fn refused() -> Result<(), Failed> {
    for (file, words) in [
        ("empty.xlsx", "holds no text"),
        ("far.xlsx", "row 1048576, column 16384"),
        ("bomb.xlsx", "unpacks to"),
        ("liar.xlsx", "holds no text"),
        ("entities.xlsx", "damaged"),
        ("cut.xlsx", "damaged"),
    ] {
        let ran = asked(file, false);
        if ran.exit != Some(3) || !ran.stderr.contains(words) || ran.stderr.contains("panicked") {
            return Err(format!("{file}: exit {:?}: {}", ran.exit, ran.stderr).into());
        }
    }
    Ok(())
}

fn template() -> Result<(), Failed> {
    let folder = Folder::new();
    for (name, exit) in [
        ("list.xlsx", 0),
        ("list.csv", 0),
        ("list.xlsx", 2),
        ("list.ods", 2),
    ] {
        let ran = caddis(folder.path(), ["contents", "--template", name], &[]);
        if ran.exit != Some(exit) {
            return Err(format!("{name}: exit {:?}: {}", ran.exit, ran.stderr).into());
        }
    }
    // Both read back as the same list.
    let mut lists = ["list.xlsx", "list.csv"]
        .map(|name| caddis(folder.path(), ["contents", "--list", name, "--json"], &[]).json());
    for list in &mut lists {
        same("rows", &list["rows"].as_array().map(Vec::len).into(), &json!(1))?;
        list["file"] = Value::Null;
    }
    if lists[0] != lists[1] {
        return Err(format!("{} is not {}", lists[0], lists[1]).into());
    }
    let file = folder.path().join("list.xlsx");
    let seen = second_opinion("workbook_template", [file.as_os_str()]);
    same("sheets", &seen["sheets"], &json!(["Packing list"]))?;
    same("checked columns", &seen["validations"], &json!(10))?;
    same("header that stays", &seen["frozen"], &json!("A2"))?;
    let again = folder.path().join("again.xlsx");
    caddis(folder.path(), ["contents", "--template", "again.xlsx"], &[]);
    if fs::read(file)? == fs::read(again)? {
        Ok(())
    } else {
        Err("two templates differ".into())
    }
}
