//! The closed case as a whole: mass, balance, fit at worst-case tolerance, lid swing, stack.

use super::parcel::{centre_of_mass, gross_mass};
use super::verdict_of;
use crate::{BlockKind, Brief, Carried, CaseVerdict, Interior};
use caddis_basis::{Domain, Finding, Length, Margin, Mass, Severity, Source, Verdict};

pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    masses: &[(String, Mass)],
    findings: &mut Vec<Finding>,
) -> Vec<CaseVerdict> {
    vec![
        mass(interior, brief, masses),
        balance(interior, brief, findings),
        fit(interior, brief, findings),
        stack(interior, brief, findings),
    ]
}

fn mass(interior: &Interior, brief: &Brief, masses: &[(String, Mass)]) -> CaseVerdict {
    let gross = gross_mass(interior, brief);
    let parts = ["shell", "foam"]
        .iter()
        .filter_map(|name| masses.iter().find(|(part, _)| part == name))
        .map(|(part, mass)| format!("{part} {mass:.2}"))
        .collect::<Vec<_>>()
        .join(", ");
    CaseVerdict {
        code: "gross-mass",
        name: "Gross mass".to_owned(),
        verdict: Verdict::Holds,
        margin: None,
        sentence: format!("the packed case weighs {gross:.2} ({parts}, the rest contents)"),
        source: Source::derived("sum of the parts; foam from its net volume and density"),
    }
}

fn balance(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let (x, y, z) = centre_of_mass(interior, brief);
    let rim = &brief.shell.base.rim;
    let (wished, counts) = crate::wishes::balance(brief.wishes.carried, &brief.shell);
    let (off_x, off_y) = ((x - wished.x).abs() * counts.x, (y - wished.y).abs() * counts.y);
    let share = (off_x / rim.length.value.si()).max(off_y / rim.width.value.si());
    let margin = Margin::at_most(
        share * 100.0,
        crate::wishes::BALANCE_SHARE * 100.0,
        "% of the side",
    );
    let sentence = format!(
        "the centre of mass lies {:.0} mm along and {:.0} mm across from the middle, {:.0} mm above the floor",
        x * 1e3,
        y * 1e3,
        z * 1e3
    );
    let sentence = match brief.wishes.carried {
        Carried::AnyWay => sentence,
        carried => format!(
            "{sentence}; carried {}, {:.0} mm along and {:.0} mm across are wished",
            carried.as_str(),
            wished.x * 1e3,
            wished.y * 1e3
        ),
    };
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "unbalanced",
                Domain::Arrangement,
                Severity::Caution,
                "case",
                format!("the packed case hangs askew: {sentence}"),
                Source::common_practice(),
            )
            .margin(margin.clone())
            .remedy("pin a heavy item nearer the middle and arrange again"),
        );
    }
    CaseVerdict {
        code: "balance",
        name: "Balance".to_owned(),
        verdict: verdict_of(margin.is_kept()),
        margin: Some(margin),
        sentence,
        source: Source::common_practice(),
    }
}

/// Rigid against rigid at worst case: the largest item in the smallest shell.
fn fit(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let mut tightest: Option<(f64, String)> = None;
    for place in &interior.places {
        let grow = brief.items[place.item].size_tolerance.si();
        for slab in &place.body.slabs {
            // The walls converge downward and the intrusions stand on the floor, so the band's foot is the tightest;
            // its top is asked too, for lid-side obstacles.
            for z in [slab.low + 1e-6, slab.high - 1e-6] {
                let room = slab.region.room_inside(&brief.shell.least_section(z)) - grow;
                if tightest.as_ref().is_none_or(|(least, _)| room < *least) {
                    tightest = Some((room, place.instance.to_string()));
                }
            }
        }
    }
    let (room, place) = tightest.unwrap_or((f64::INFINITY, "case".to_owned()));
    let margin = Margin::at_least(room * 1e3, 0.0, "mm");
    let source =
        Source::derived("largest item in the smallest shell, every stated ± at its unfavourable end");
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "worst-case-fit",
                Domain::Arrangement,
                Severity::Failing,
                &place,
                format!(
                    "{place} can meet the shell by {:.1} mm when every tolerance is unfavourable",
                    -room * 1e3
                ),
                source.clone(),
            )
            .margin(margin.clone())
            .remedy("move it inward, or measure the shell there more closely"),
        );
    }
    CaseVerdict {
        code: "worst-case-fit",
        name: "Fit at worst-case tolerance".to_owned(),
        verdict: verdict_of(margin.is_kept()),
        sentence: format!(
            "the tightest rigid gap is {:.1} mm, between {place} and the shell",
            room * 1e3
        ),
        margin: Some(margin),
        source,
    }
}

/// Layers, joint loss and lid squeeze against the height inside.
fn stack(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let free: f64 = interior.blocks.iter().map(|block| block.free_height).sum();
    let layers: usize = interior.blocks.iter().map(|block| block.layers.len()).sum();
    let room = brief.crown();
    let band = |measured: &caddis_basis::Measured<Length>| measured.plus_minus.unwrap_or(Length::ZERO);
    let tolerance = brief.clearances.layer_tolerance * layers as f64
        + band(&brief.shell.base.depth)
        + band(&brief.shell.lid.depth);
    let squeeze = Length::from_si(free) - room;
    let (least, most) = brief.clearances.stack_squeeze;
    let is_kept = squeeze >= least - Length::mm(0.01) && squeeze <= most + Length::mm(0.01);
    let margin = if squeeze < least {
        Margin::at_least(squeeze.as_mm(), least.as_mm(), "mm")
    } else {
        Margin::at_most(squeeze.as_mm(), most.as_mm(), "mm")
    };
    let kinds =
        |kind: fn(&BlockKind) -> bool| interior.blocks.iter().filter(|block| kind(&block.kind)).count();
    let sentence = format!(
        "{layers} layers in {} blocks stand {:.1} mm free in {:.1} mm of room: the lid squeezes {:.1} mm, {:.1} to \
         {:.1} mm at worst-case tolerance",
        kinds(|_| true),
        free * 1e3,
        room.as_mm(),
        squeeze.as_mm(),
        (squeeze - tolerance).as_mm(),
        (squeeze + tolerance).as_mm(),
    );
    if !is_kept {
        findings.push(
            Finding::new(
                "stack-squeeze",
                Domain::Shop,
                Severity::Failing,
                "stack",
                format!(
                    "the lid squeezes the stack by {squeeze:.1}, outside the {least:.1} to {most:.1} aimed at"
                ),
                Source::common_practice(),
            )
            .margin(margin.clone())
            .remedy("other layer thicknesses, or a shim under the lowest layer"),
        );
    } else if squeeze - tolerance < Length::ZERO {
        findings.push(
            Finding::new(
                "stack-may-rattle",
                Domain::Shop,
                Severity::Caution,
                "stack",
                format!(
                    "at worst-case tolerance the stack is {:.1} short of the lid",
                    tolerance - squeeze
                ),
                Source::common_practice(),
            )
            .margin(Margin::at_least((squeeze - tolerance).as_mm(), 0.0, "mm"))
            .remedy("measure the layers as delivered and add a shim if they run thin"),
        );
    }
    CaseVerdict {
        code: "stack-sum",
        name: "Stack sum and lid squeeze".to_owned(),
        verdict: verdict_of(is_kept),
        margin: Some(margin),
        sentence,
        source: Source::common_practice(),
    }
}
