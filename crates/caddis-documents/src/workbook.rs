//! The bill as a workbook whose formulas recompute, and as comma-separated values.

use crate::words::say;
use crate::{Document, DocumentError, PaperInput, Words};
use caddis_basis::Money;
use caddis_shop::PriceBreak;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Formula, Workbook, Worksheet, XlsxError};
use std::fmt::Write;

/// The bill, the cost and the prices by quantity as a workbook: hours, rates and shares are cells, everything else is a formula
/// with its result kept.
///
/// # Errors
/// A date that is none; a workbook that cannot be written.
pub fn bill_workbook(input: &PaperInput, breaks: &[PriceBreak]) -> Result<Document, DocumentError> {
    let (year, month, day) = crate::date::ymd(input.date)?;
    let bytes = workbook(input, breaks, (year, month, day))
        .map_err(|error| DocumentError::Workbook(error.to_string()))?;
    Ok(Document {
        name: "bill.xlsx".to_owned(),
        media_type: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        bytes,
    })
}

fn workbook(
    input: &PaperInput,
    breaks: &[PriceBreak],
    (year, month, day): (i32, u8, u8),
) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // The day on the paper, not the clock.
    let year = u16::try_from(year).unwrap_or(1900);
    let made = ExcelDateTime::from_ymd(year, month, day)?;
    book.set_properties(
        &DocProperties::new()
            .set_title(say!(
                input.words,
                "workbook-title",
                title = input.brief.title.as_str()
            ))
            .set_author(&input.shop.name)
            .set_creation_datetime(&made),
    );
    let total = bill(book.add_worksheet(), input)?;
    let cells = cost(book.add_worksheet(), input, &total)?;
    quantities(book.add_worksheet(), input.words, breaks, &cells)?;
    book.save_to_buffer()
}

/// A line over the columns, bold.
fn heads(sheet: &mut Worksheet, row: u32, names: &[String]) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold();
    for (column, name) in (0..).zip(names) {
        sheet.write_string_with_format(row, column, name, &bold)?;
    }
    Ok(())
}

fn formula(text: String, result: Money) -> Formula {
    Formula::new(text).set_result(format!("{:.2}", result.major()))
}

fn amounts() -> Format {
    Format::new().set_num_format("#,##0.00")
}

/// The bill of material; gives back the cell of its sum.
fn bill(sheet: &mut Worksheet, input: &PaperInput) -> Result<String, XlsxError> {
    sheet.set_name("Bill")?;
    sheet.set_column_width(1, 58)?;
    let words = input.words;
    let (job, title) = (input.brief.job.as_str(), input.brief.title.as_str());
    let state = if input.release.is_some() {
        say!(words, "workbook-released", job = job, title = title)
    } else {
        say!(words, "workbook-not-released", job = job, title = title)
    };
    sheet.write_string(0, 0, state)?;
    let currency = input.shop.currency.code();
    let price = say!(words, "workbook-price-of-one-in", currency = currency);
    heads(
        sheet,
        2,
        &[
            say!(words, "workbook-position"),
            say!(words, "workbook-material"),
            say!(words, "workbook-quantity"),
            say!(words, "workbook-unit"),
            price,
            say!(words, "workbook-total"),
        ],
    )?;
    let mut row = 3;
    let mut sum = 0_i64;
    for line in &input.set.bill.lines {
        sheet.write_number(row, 0, line.position)?;
        sheet.write_string(row, 1, words.told(&line.description))?;
        sheet.write_number(row, 2, line.quantity)?;
        sheet.write_string(row, 3, words.told(&line.unit))?;
        if let (Some(one), Some(total)) = (line.unit_price, line.total) {
            sheet.write_number_with_format(row, 4, one.major(), &amounts())?;
            let text = format!("=ROUND(C{0}*E{0},2)", row + 1);
            sheet.write_formula_with_format(row, 5, formula(text, total), &amounts())?;
            sum = sum.saturating_add(total.minor());
        }
        row += 1;
    }
    sheet.write_string(row, 1, say!(words, "workbook-material"))?;
    let text = format!("=SUM(F4:F{row})");
    let total = Money::from_minor(sum, input.shop.currency);
    sheet.write_formula_with_format(row, 5, formula(text, total), &amounts())?;
    Ok(format!("Bill!F{}", row + 1))
}

/// Cells of the cost sheet that the quantities need.
struct Cells {
    setup: &'static str,
    machine: &'static str,
    gluing: &'static str,
    machine_rate: &'static str,
    labour_rate: &'static str,
    overhead: &'static str,
    scrap: &'static str,
    margin: &'static str,
}

const CELLS: Cells = Cells {
    setup: "Cost!$B$4",
    machine: "Cost!$B$5",
    gluing: "Cost!$B$6",
    machine_rate: "Cost!$B$7",
    labour_rate: "Cost!$B$8",
    overhead: "Cost!$B$9",
    scrap: "Cost!$B$10",
    margin: "Cost!$B$11",
};

/// Hours, rates and shares, and the cost that follows from them.
fn cost(sheet: &mut Worksheet, input: &PaperInput, total: &str) -> Result<Cells, XlsxError> {
    sheet.set_name("Cost")?;
    sheet.set_column_width(0, 34)?;
    sheet.set_column_width(2, 70)?;
    let words = input.words;
    let (rates, bill) = (&input.shop.rates, &input.set.bill);
    let names = [
        say!(words, "workbook-rests-on"),
        say!(words, "workbook-value"),
        say!(words, "workbook-unit"),
    ];
    heads(sheet, 2, &names)?;
    let work = &bill.work;
    let hours = |seconds: f64| seconds / 3600.0;
    let (hour, per_hour) = (
        || say!(words, "workbook-hours"),
        || say!(words, "workbook-per-hour"),
    );
    let rows = [
        (say!(words, "workbook-setup"), hours(rates.setup.si()), hour()),
        (
            say!(words, "workbook-machine-handling"),
            hours(work.cutting.si() + work.handling.si()),
            hour(),
        ),
        (
            say!(words, "workbook-gluing-by-hand"),
            hours(work.gluing.si()),
            hour(),
        ),
        (
            say!(words, "workbook-machine"),
            rates.machine_per_hour.major(),
            per_hour(),
        ),
        (
            say!(words, "workbook-labour"),
            rates.labour_per_hour.major(),
            per_hour(),
        ),
        (
            say!(words, "workbook-overhead"),
            rates.overhead,
            say!(words, "workbook-of-work"),
        ),
        (
            say!(words, "workbook-scrap"),
            rates.scrap,
            say!(words, "workbook-of-all"),
        ),
        (
            say!(words, "workbook-margin"),
            rates.margin,
            say!(words, "workbook-of-price"),
        ),
    ];
    for (row, (name, value, unit)) in (3..).zip(rows) {
        sheet.write_string(row, 0, name)?;
        sheet.write_number(row, 1, value)?;
        sheet.write_string(row, 2, unit)?;
    }
    let names = [
        say!(words, "workbook-cost-of-one"),
        say!(words, "workbook-amount"),
        say!(words, "workbook-how"),
    ];
    heads(sheet, 12, &names)?;
    let work_sum = "(B4*B7+B5*B7+B6*B8)";
    let formulas = [
        format!("=ROUND({total},2)"),
        "=ROUND(B4*B7,2)".to_owned(),
        "=ROUND(B5*B7,2)".to_owned(),
        "=ROUND(B6*B8,2)".to_owned(),
        format!("=ROUND({work_sum}*B9,2)"),
        format!("=ROUND(({total}+{work_sum})*B10,2)"),
    ];
    let mut row = 13;
    for (line, text) in bill.costs.iter().zip(formulas) {
        sheet.write_string(row, 0, words.told(&line.name))?;
        sheet.write_formula_with_format(row, 1, formula(text, line.amount), &amounts())?;
        sheet.write_string(row, 2, words.told(&line.basis))?;
        row += 1;
    }
    for (name, text, result) in [
        (say!(words, "workbook-cost"), "=SUM(B14:B19)", bill.cost),
        (say!(words, "workbook-price"), "=ROUND(B20/(1-B11),2)", bill.price),
        (
            say!(words, "workbook-margin"),
            "=B21-B20",
            Money::from_minor(bill.price.minor() - bill.cost.minor(), bill.price.currency()),
        ),
    ] {
        sheet.write_string(row, 0, name)?;
        sheet.write_formula_with_format(row, 1, formula(text.to_owned(), result), &amounts())?;
        row += 1;
    }
    Ok(CELLS)
}

/// The prices of several.
fn quantities(
    sheet: &mut Worksheet,
    words: &Words,
    breaks: &[PriceBreak],
    at: &Cells,
) -> Result<(), XlsxError> {
    sheet.set_name("Quantities")?;
    heads(
        sheet,
        2,
        &[
            say!(words, "workbook-quantity"),
            say!(words, "workbook-sheets"),
            say!(words, "workbook-material"),
            say!(words, "workbook-setup"),
            say!(words, "workbook-machine"),
            say!(words, "workbook-gluing"),
            say!(words, "workbook-overhead"),
            say!(words, "workbook-scrap"),
            say!(words, "workbook-cost"),
            say!(words, "workbook-price-of-one"),
            say!(words, "workbook-price-of-all"),
        ],
    )?;
    for (row, one) in (3..).zip(breaks) {
        let n = row + 1;
        sheet.write_number(row, 0, one.quantity)?;
        sheet.write_number(row, 1, one.sheets)?;
        sheet.write_number_with_format(row, 2, one.costs[0].amount.major(), &amounts())?;
        let setup = format!("{}*{}", at.setup, at.machine_rate);
        let machine = format!("A{n}*{}*{}", at.machine, at.machine_rate);
        let gluing = format!("A{n}*{}*{}", at.gluing, at.labour_rate);
        let work = format!("({setup}+{machine}+{gluing})");
        let formulas = [
            (format!("=ROUND({setup},2)"), one.costs[1].amount),
            (format!("=ROUND({machine},2)"), one.costs[2].amount),
            (format!("=ROUND({gluing},2)"), one.costs[3].amount),
            (format!("=ROUND({work}*{},2)", at.overhead), one.costs[4].amount),
            (
                format!("=ROUND((C{n}+{work})*{},2)", at.scrap),
                one.costs[5].amount,
            ),
            (format!("=SUM(C{n}:H{n})"), one.cost),
            (
                format!("=ROUND(ROUND(I{n}/(1-{}),2)/A{n},2)", at.margin),
                one.unit_price,
            ),
            (format!("=J{n}*A{n}"), one.price),
        ];
        for (column, (text, result)) in (3..).zip(formulas) {
            sheet.write_formula_with_format(row, column, formula(text, result), &amounts())?;
        }
    }
    Ok(())
}

/// The bill and the cost as comma-separated values, a header line first.
pub fn bill_values(input: &PaperInput) -> Document {
    let mut text = String::from("position,what,quantity,unit,price of one,total,currency\n");
    let code = input.shop.currency.code();
    let amount =
        |money: Option<Money>| money.map_or_else(String::new, |money| format!("{:.2}", money.major()));
    for line in &input.set.bill.lines {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{},{},{},{},{},{},{code}",
            line.position,
            quoted(&line.description),
            line.quantity,
            quoted(&line.unit),
            amount(line.unit_price),
            amount(line.total)
        );
    }
    for line in &input.set.bill.costs {
        let what = quoted(&format!("{}: {}", line.name, line.basis));
        let _ = writeln!(text, ",{what},,,,{},{code}", amount(Some(line.amount)));
    }
    let _ = writeln!(text, ",price,,,,{},{code}", amount(Some(input.set.bill.price)));
    Document {
        name: "bill.csv".to_owned(),
        media_type: "text/csv",
        bytes: text.into_bytes(),
    }
}

/// A field as RFC 4180 quotes it; a leading `=`, `+`, `-` or `@` would be run as a formula by a spreadsheet.
fn quoted(text: &str) -> String {
    let guarded = if text.starts_with(['=', '+', '-', '@']) {
        format!("'{text}")
    } else {
        text.to_owned()
    };
    if guarded.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", guarded.replace('"', "\"\""))
    } else {
        guarded
    }
}

#[cfg(test)]
mod tests {
    use super::quoted;

    #[test]
    fn fields_are_quoted_and_never_run() {
        assert_eq!(quoted("plank, 25 mm"), "\"plank, 25 mm\"");
        assert_eq!(quoted("a \"b\""), "\"a \"\"b\"\"\"");
        assert_eq!(quoted("=1+1"), "'=1+1");
        assert_eq!(quoted("m²"), "m²");
    }
}
