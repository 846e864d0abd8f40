//! One row of a list.

use super::column::{Column, Columns, Kind, unit_of};
use super::{ListRow, ListSize, UnusableRow};
use caddis_basis::{Acceleration, Length, Mass, Parse};

/// More of one kind is a slip of the pen.
const MOST_PIECES: f64 = 9999.0;

pub(super) fn read(
    cells: &[String],
    columns: &Columns,
    comma_is_decimal: bool,
) -> Result<ListRow, UnusableRow> {
    let row = Row {
        cells,
        columns,
        comma_is_decimal,
    };
    let name = row.text(Kind::Name);
    if name.is_empty() {
        return Err(row.unusable(
            Kind::Name,
            "the name is empty".to_owned(),
            "give it a name, or leave the row out",
        ));
    }
    let quantity = row.quantity()?;
    let size = row.size()?;
    let mass = row.mass(quantity)?;
    let fragility = match row.text(Kind::Fragility) {
        "" | "unknown" | "?" | "n/a" | "-" => "unknown".to_owned(),
        "none" => "none".to_owned(),
        text => row.shock(text)?,
    };
    let notes: Vec<&str> = columns
        .all(Kind::Note)
        .filter_map(|column| cells.get(column.at))
        .map(|cell| cell.trim())
        .filter(|cell| !cell.is_empty())
        .collect();
    Ok(ListRow {
        row: 0,
        id: String::new(),
        name: name.to_owned(),
        quantity,
        size,
        mass,
        fragility,
        note: notes.join("; "),
    })
}

struct Row<'a> {
    cells: &'a [String],
    columns: &'a Columns,
    comma_is_decimal: bool,
}

impl Row<'_> {
    fn text(&self, kind: Kind) -> &str {
        self.columns
            .get(kind)
            .and_then(|column| self.cells.get(column.at))
            .map_or("", |cell| cell.trim())
    }

    fn unusable(&self, kind: Kind, problem: String, remedy: &str) -> UnusableRow {
        UnusableRow {
            row: 0,
            column: self
                .columns
                .get(kind)
                .map_or_else(String::new, |column| column.header.clone()),
            problem,
            remedy: remedy.to_owned(),
        }
    }

    fn quantity(&self) -> Result<u32, UnusableRow> {
        let text = self.text(Kind::Quantity);
        if self.columns.get(Kind::Quantity).is_none() {
            return Ok(1);
        }
        let number = text
            .trim_end_matches(|c: char| c.is_alphabetic() || c == '.' || c == ' ' || c == '×')
            .parse::<f64>();
        match number {
            Ok(n) if (1.0..=MOST_PIECES).contains(&n) && n.fract() == 0.0 => Ok(n as u32),
            _ => Err(self.unusable(
                Kind::Quantity,
                format!("`{}` is no number of pieces", short(text)),
                "give a whole number from 1 to 9999",
            )),
        }
    }

    fn size(&self) -> Result<ListSize, UnusableRow> {
        let (diameter, height) = (self.text(Kind::Diameter), self.text(Kind::Height));
        if !diameter.is_empty() {
            return Ok(ListSize::Cylinder([
                self.length(Kind::Diameter, diameter)?,
                self.length(Kind::Height, height)?,
            ]));
        }
        let sides = [Kind::Length, Kind::Width, Kind::Height];
        if sides.iter().any(|&kind| !self.text(kind).is_empty()) || self.columns.get(Kind::Size).is_none() {
            let [l, w, h] = sides.map(|kind| self.length(kind, self.text(kind)));
            return Ok(ListSize::Cuboid([l?, w?, h?]));
        }
        let whole = self.text(Kind::Size).to_lowercase().replace(['×', '*'], "x");
        let parts: Vec<&str> = whole.split('x').map(str::trim).collect();
        let &[a, b, c] = parts.as_slice() else {
            return Err(self.unusable(
                Kind::Size,
                format!("`{}` is not three sizes", short(&whole)),
                "write e.g. `300 x 200 x 120 mm`",
            ));
        };
        // The last unit stands for all.
        let unit = c
            .trim_start_matches(|c: char| !c.is_alphabetic() && c != '"')
            .to_owned();
        let with_unit = |part: &str| {
            if part.contains(|c: char| c.is_alphabetic() || c == '"') {
                part.to_owned()
            } else {
                format!("{part} {unit}")
            }
        };
        let [a, b, c] = [a, b, c].map(|part| self.length(Kind::Size, &with_unit(part)));
        Ok(ListSize::Cuboid([a?, b?, c?]))
    }

    fn mass(&self, quantity: u32) -> Result<Mass, UnusableRow> {
        let (kind, share) = if self.text(Kind::Mass).is_empty() && !self.text(Kind::TotalMass).is_empty() {
            (Kind::TotalMass, f64::from(quantity))
        } else {
            (Kind::Mass, 1.0)
        };
        let mass: Mass = self.quantity_of(kind, self.text(kind), "give the mass of one, e.g. `1.4 kg`")?;
        Ok(Mass::from_si(mass.si() / share))
    }

    fn length(&self, kind: Kind, text: &str) -> Result<Length, UnusableRow> {
        self.quantity_of(
            kind,
            text,
            "give it with its unit, in the cell or in the header, e.g. `120 mm`",
        )
    }

    fn shock(&self, text: &str) -> Result<String, UnusableRow> {
        let number = self.decimal(Kind::Fragility, text.trim_end_matches(['G', 'g', ' ']))?;
        match Acceleration::parse(&format!("{number} G")) {
            Ok(shock) if shock.as_g() > 0.0 => Ok(format!("{} G", super::shortest(shock.as_g()))),
            _ => Err(self.unusable(
                Kind::Fragility,
                format!("`{}` is no shock it stands", short(text)),
                "give e.g. `60 G`, `unknown` or `none`",
            )),
        }
    }

    /// A positive quantity whose unit stands in the cell or in the header.
    fn quantity_of<Q: Parse>(&self, kind: Kind, text: &str, remedy: &str) -> Result<Q, UnusableRow> {
        if text.is_empty() {
            return Err(self.unusable(kind, "the cell is empty".to_owned(), remedy));
        }
        let number = self.decimal(kind, text)?;
        let split = number
            .find(|c: char| c.is_alphabetic() || c == '"' || c == '”' || c == '″')
            .unwrap_or(number.len());
        let (value, own) = number.split_at(split);
        let header = self.columns.get(kind).and_then(|column: &Column| column.unit);
        let unit = if own.trim().is_empty() {
            header.unwrap_or("")
        } else {
            unit_of(own).unwrap_or(own.trim())
        };
        match Q::parse(&format!("{} {unit}", value.trim())) {
            Ok(quantity) if quantity.si() > 0.0 => Ok(quantity),
            Ok(_) => Err(self.unusable(
                kind,
                format!("`{}` is not more than nothing", short(text)),
                remedy,
            )),
            Err(error) => {
                let problem = error.to_string();
                let problem = problem.split("; ").next().unwrap_or_default();
                Err(self.unusable(kind, problem.to_owned(), remedy))
            }
        }
    }

    /// The text with a decimal point.
    fn decimal(&self, kind: Kind, text: &str) -> Result<String, UnusableRow> {
        let Some((whole, after)) = text.split_once(',') else {
            return Ok(text.to_owned());
        };
        let digits = after.chars().take_while(char::is_ascii_digit).count();
        if digits == 3 && !self.comma_is_decimal && !whole.trim().starts_with('0') {
            return Err(self.unusable(
                kind,
                format!("`{}` may mean thousands or decimals", short(text)),
                "write it without the comma",
            ));
        }
        Ok(format!("{whole}.{after}"))
    }
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}
