//! A library entry written from a fit.

use crate::quoted::quoted;
use crate::written::certainty_word;
use caddis_basis::{Density, Source};
use caddis_protection::{Law, LawKind, LawRecord};
use std::fmt::Write;

/// What a new entry says of its foam beside the law. What a fit cannot know takes the values of common practice, and a
/// comment in the file says so.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamEntry {
    /// Title on papers.
    pub title: String,
    /// Base material; `None` writes that nobody stated it.
    pub material: Option<String>,
    /// Density.
    pub density: Option<Density>,
    /// Closed cells.
    pub closed_cell: bool,
    /// Where the entry comes from.
    pub source: Source,
    /// The law of first impacts.
    pub law: Law,
    /// The law of later impacts.
    pub later: Option<Law>,
    /// How the law was come by.
    pub record: LawRecord,
}

impl FoamEntry {
    /// The entry as TOML; [`crate::read_foam`] reads it back.
    pub fn to_toml(&self) -> String {
        let mut out = String::new();
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "# Written from a shop's own tests. What the tests do not say is marked: check it before use.\nschema = 1"
        );
        let _ = writeln!(out, "title = {}", quoted(&self.title));
        let _ = match &self.material {
            Some(material) => writeln!(out, "material = {}", quoted(material)),
            None => writeln!(out, "material = \"not stated\" # check"),
        };
        let _ = writeln!(out, "source = {}", source(&self.source));
        let _ = match self.density {
            Some(density) => writeln!(out, "density = \"{} kg/m3\"", density.si()),
            None => writeln!(
                out,
                "density = \"100 kg/m3\" # not in the test: weigh a block and correct it"
            ),
        };
        let _ = writeln!(
            out,
            "cells = \"{}\"\ncavity_clearance = \"0 mm\" # common practice: check\nwall_squeeze = [\"0 mm\", \"1 mm\"] # common \
             practice: check\nleast_web = \"15 mm\" # common practice: check\ncolour = \"#4a4f57\"",
            if self.closed_cell { "closed" } else { "open" }
        );
        let _ = writeln!(out, "\n[record]");
        if let Some(tests) = self.record.tests {
            let _ = writeln!(out, "tests = {tests}");
        }
        if let Some(scatter) = self.record.scatter {
            let _ = writeln!(out, "scatter = {}", scatter.max(1e-6));
        }
        if let Some(rate) = self.record.strain_rate {
            let _ = writeln!(out, "strain_rate_per_s = {rate:?}");
        }
        if let Some(temperature) = self.record.temperature {
            let _ = writeln!(out, "temperature = \"{:.1} degC\"", temperature.as_celsius());
        }
        write_law(&mut out, "law", &self.law);
        if let Some(later) = &self.later {
            write_law(&mut out, "later_law", later);
        }
        out
    }
}

fn write_law(out: &mut String, name: &str, law: &Law) {
    let _ = writeln!(
        out,
        "\n[{name}]\nsource = {}\ngravity_in_fit = {}\nmeasured_dynamic = {}",
        source(&law.source),
        law.gravity_in_fit,
        law.is_measured_dynamic
    );
    if let LawKind::StressEnergy { a, b } = law.kind {
        let _ = writeln!(
            out,
            "stress_energy = {{ a = \"{a} Pa\", b_inverse = \"{} Pa\" }}",
            1.0 / b
        );
    }
    if let LawKind::ClosedCellGas { s0, p0, r } = law.kind {
        let _ = writeln!(
            out,
            "closed_cell_gas = {{ s0 = \"{s0} Pa\", p0 = \"{p0} Pa\", r = {r} }}"
        );
    }
    let _ = writeln!(
        out,
        "\n[{name}.range]\ngreatest_strain = {}",
        (law.range.greatest_strain.min(0.99) * 1e6).floor() / 1e6
    );
    for (key, range, unit) in [
        ("static_stress", law.range.static_stress, "Pa"),
        ("thickness", law.range.thickness, "m"),
        ("drop_height", law.range.drop_height, "m"),
    ] {
        if let Some((low, high)) = range {
            let _ = writeln!(out, "{key} = [\"{low} {unit}\", \"{high} {unit}\"]");
        }
    }
    if let LawKind::Table(points) = &law.kind {
        let list = |of: fn(&(f64, f64)) -> f64| {
            let numbers: Vec<String> = points.iter().map(|p| of(p).to_string()).collect();
            let rows: Vec<String> = numbers.chunks(10).map(|row| row.join(", ")).collect();
            format!("    {},\n", rows.join(",\n    "))
        };
        let _ = writeln!(
            out,
            "\n[{name}.table]\nstrain = [\n{}]\nstress_pa = [\n{}]",
            list(|p| p.0),
            list(|p| p.1)
        );
    }
}

fn source(source: &Source) -> String {
    quoted(&format!(
        "{} ({})",
        source.citation,
        certainty_word(source.certainty)
    ))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::read_foam;
    use caddis_basis::Certainty;
    use caddis_protection::LawRange;

    fn entry(kind: LawKind, greatest_strain: f64) -> FoamEntry {
        let law = Law {
            kind,
            range: LawRange {
                static_stress: Some((1e3, 3e3)),
                greatest_strain,
                thickness: Some((0.05, 0.05)),
                drop_height: Some((0.6, 0.76)),
            },
            gravity_in_fit: true,
            is_measured_dynamic: true,
            source: Source::new("own tower, \"A\\B\"", Certainty::Measured),
        };
        FoamEntry {
            title: "test \"foam\"".to_owned(),
            material: None,
            density: Some(Density::from_si(30.5)),
            closed_cell: true,
            source: Source::new("own tests", Certainty::Measured),
            later: Some(law.clone()),
            law,
            record: LawRecord {
                strain_rate: Some(0.01),
                temperature: Some(caddis_basis::Temperature::celsius(23.0)),
                scatter: Some(0.03),
                tests: Some(30),
            },
        }
    }

    #[test]
    fn the_library_reads_it_back() {
        for (kind, strain) in [
            (
                LawKind::StressEnergy {
                    a: 30_123.4,
                    b: 3.5e-5,
                },
                0.68,
            ),
            (LawKind::Table(vec![(0.0, 10.0), (0.3, 3e4), (0.55, 2e5)]), 0.55),
            (
                LawKind::ClosedCellGas {
                    s0: 21_234.5,
                    p0: 1.3e5,
                    r: 0.033,
                },
                0.5,
            ),
        ] {
            let entry = entry(kind, strain);
            let foam = read_foam(entry.to_toml().as_bytes(), "own", "own.toml").unwrap();
            for law in [&foam.law, foam.later.as_ref().unwrap()] {
                for e in [0.1, 0.3, 0.5] {
                    assert!((law.stress(e) / entry.law.stress(e) - 1.0).abs() < 1e-12);
                }
                assert!(law.is_measured_dynamic && law.gravity_in_fit);
                assert_eq!(law.range.static_stress, Some((1e3, 3e3)));
            }
            assert_eq!(foam.record.tests, Some(30));
            assert_eq!(foam.law.source, entry.law.source);
            assert_eq!(foam.title, "test \"foam\"");
        }
    }
}
