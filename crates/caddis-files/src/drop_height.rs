//! The drop a design must hold: stated with its source, or by the handling tables of the journey's legs.

use crate::error::Fault;
use crate::job::JobFile;
use crate::written::Bench;
use caddis_basis::{Length, Mass, Measured, Source, said};
use caddis_journey::{DropHeights, HandlingClass, Journey};
use caddis_survey::{Item, Shell};

/// What the job writes where the tables decide.
const BY_MASS: &str = "by mass";

/// The drop height and where it comes from.
///
/// By mass, the lightest the packed case can be decides, its foam left out: a lighter case falls farther. Of several legs the
/// one with the highest drop counts.
pub(crate) fn drop_height(
    bench: &Bench,
    written: &JobFile,
    shell: &Shell,
    items: &[Item],
    sundries: &Measured<Mass>,
    journey: &Journey,
) -> Result<(Measured<Length>, Source), Fault> {
    let field = "handling.drop_height";
    if written.handling.drop_height.value.to_string() != BY_MASS {
        let height = bench.measured_positive(&written.handling.drop_height, field)?;
        let source = height.source.clone().ok_or_else(|| {
            Fault::new(field, "the drop height has no source").hint(
                "write `drop_height = { value = \"610 mm\", source = \"agreed with the customer (common-practice)\" }`, or \
                 `drop_height = \"by mass\"` for the handling tables",
            )
        })?;
        return Ok((height, source));
    }
    if written.shell == "auto" {
        return Err(Fault::new(
            field,
            "the handling tables go by the mass of the packed case, but the shell is still to be chosen",
        )
        .hint("state the drop height, or name the shell"));
    }
    let mass = shell.empty_mass.least()
        + sundries.least()
        + items
            .iter()
            .map(|item| item.mass.least() * f64::from(item.quantity))
            .sum::<Mass>();
    let gross = Measured::exact(mass);
    let outside = |error: caddis_journey::JourneyError| {
        Fault::new(field, error.to_string()).hint("state the drop height with its source")
    };
    let mut found: Option<Measured<Length>> = None;
    for leg in &journey.legs {
        let height = leg.drop_height_of(&gross).map_err(outside)?;
        if found.as_ref().is_none_or(|before| before.value < height.value) {
            found = Some(height);
        }
    }
    let height = match found {
        Some(height) => height,
        None => DropHeights::of(HandlingClass::Handbook)
            .height(mass)
            .map_err(outside)?,
    };
    let stated = height
        .source
        .clone()
        .unwrap_or_else(|| Source::derived(said!("the leg's own drop height")));
    let source = Source::new(
        format!("{}, for {mass:.1} without the foam", stated.citation),
        stated.certainty,
    );
    let height = Measured {
        source: Some(source.clone()),
        ..height
    };
    Ok((height, source))
}
