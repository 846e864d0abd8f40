//! How drops, foam and temperature scatter, as a job writes it.

use crate::error::{Fault, join};
use crate::written::{Bench, Written, parse_source};
use caddis_design::Scatter;
use caddis_journey::measured_drops;
use serde::{Deserialize, Serialize};

/// What the spread of peaks assumes; what is left out keeps its default.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScatterFile {
    /// A measured network, in place of heights of one's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub network: Option<String>,
    /// Height below which 95 % of drops stay.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_95: Option<Written>,
    /// Height that no drop passes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest: Option<Written>,
    /// Who measured these heights.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// Share of drops flat on the base, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub base_share: Option<f64>,
    /// Half-width of the factor on the foam's stress, 0 to below 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foam: Option<f64>,
    /// Factor on the foam's stress at the warmest and at the coldest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_factors: Option<[f64; 2]>,
}

/// The scatter of a job: what it states, over the default.
pub(crate) fn scatter(bench: &Bench, written: Option<&ScatterFile>) -> Result<Scatter, Fault> {
    let path = "handling.scatter";
    let mut out = Scatter::default();
    let Some(written) = written else { return Ok(out) };
    if let Some(name) = &written.network {
        let field = join(path, "network");
        if written.height_95.is_some() || written.highest.is_some() || written.source.is_some() {
            return Err(
                Fault::new(field, "a network stands beside heights or a source of one's own")
                    .hint("give the network alone, or `height_95`, `highest` and `source`"),
            );
        }
        let rows = measured_drops();
        let Some(row) = rows.iter().find(|row| row.name == name.trim()) else {
            let names: Vec<&str> = rows.iter().map(|row| row.name).collect();
            return Err(
                Fault::new(field, format!("`{}` is no measured network", name.trim()))
                    .hint(format!("one of {}", names.join(", "))),
            );
        };
        (out.height_95, out.highest) = (row.height_95, row.highest);
        out.source = row.source.clone();
    }
    if let Some(height) = &written.height_95 {
        out.height_95 = bench.positive(height, &join(path, "height_95"))?;
    }
    if let Some(height) = &written.highest {
        out.highest = bench.positive(height, &join(path, "highest"))?;
    }
    if out.highest <= out.height_95 {
        return Err(Fault::new(
            join(path, "highest"),
            format!(
                "no drop passes {:.0}, but 5 % of them pass {:.0}",
                out.highest, out.height_95
            ),
        )
        .hint("give a `highest` above `height_95`"));
    }
    match &written.source {
        Some(text) => out.source = parse_source(text, &join(path, "source"))?,
        None if written.height_95.is_some() || written.highest.is_some() => {
            return Err(Fault::new(join(path, "source"), "the heights have no source")
                .hint("write e.g. `source = \"recorder in our own cases, 2026 (measured)\"`"));
        }
        None => {}
    }
    if let Some(share) = written.base_share {
        out.base_share = within(
            share,
            0.0,
            1.0,
            "base_share",
            "a share of the drops lies from 0 to 1",
        )?;
    }
    if let Some(foam) = written.foam {
        out.foam = Some(within(
            foam,
            0.0,
            0.9,
            "foam",
            "the foam's scatter is a fraction from 0 to 0.9",
        )?);
    }
    if let Some([warm, cold]) = written.temperature_factors {
        let hint = "the foam's stress is multiplied by them: give numbers from 0.1 to 10, e.g. [0.8, 1.4]";
        out.temperature_factors = (
            within(warm, 0.1, 10.0, "temperature_factors[0]", hint)?,
            within(cold, 0.1, 10.0, "temperature_factors[1]", hint)?,
        );
    }
    Ok(out)
}

fn within(value: f64, least: f64, most: f64, field: &str, hint: &str) -> Result<f64, Fault> {
    if (least..=most).contains(&value) {
        Ok(value)
    } else {
        Err(Fault::new(
            join("handling.scatter", field),
            format!("{value} is out of place"),
        )
        .hint(hint))
    }
}
