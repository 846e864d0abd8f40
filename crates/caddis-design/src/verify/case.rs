//! The closed case as a whole: mass, balance, fit at worst-case tolerance, lid swing, stack.

use super::parcel::{centre_of_mass, gross_mass};
use super::verdict_of;
use crate::{BlockKind, Brief, Carried, CaseVerdict, Interior};
use caddis_basis::{Domain, Finding, Length, Margin, Mass, Said, Severity, Source, Verdict, said};

pub(super) fn verdicts(
    interior: &Interior,
    brief: &Brief,
    masses: &[(Said, Mass)],
    findings: &mut Vec<Finding>,
) -> Vec<CaseVerdict> {
    vec![
        mass(interior, brief, masses),
        balance(interior, brief, findings),
        fit(interior, brief, findings),
        stack(interior, brief, findings),
    ]
}

fn mass(interior: &Interior, brief: &Brief, masses: &[(Said, Mass)]) -> CaseVerdict {
    let gross = gross_mass(interior, brief);
    let parts = ["shell", "foam"]
        .iter()
        .filter_map(|name| masses.iter().find(|(part, _)| part == name))
        .map(|(part, mass)| said!("{part} {mass:.2}", part, mass));
    let parts = Said::row(parts, ", ");
    CaseVerdict {
        code: "gross-mass",
        name: said!("Gross mass"),
        verdict: Verdict::Holds,
        margin: None,
        sentence: said!(
            "the packed case weighs {gross:.2} ({parts}, the rest contents)",
            gross = gross.value,
            parts
        ),
        source: Source::derived(said!("sum of the parts; foam from its net volume and density")),
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
    let sentence = said!(
        "the centre of mass lies {x:.0} mm along and {y:.0} mm across from the middle, {z:.0} mm above the floor",
        x = x * 1e3,
        y = y * 1e3,
        z = z * 1e3
    );
    let sentence = match brief.wishes.carried {
        Carried::AnyWay => sentence,
        carried => said!(
            "{sentence}; carried {carried}, {along:.0} mm along and {across:.0} mm across are wished",
            sentence,
            carried = carried.said(),
            along = wished.x * 1e3,
            across = wished.y * 1e3
        ),
    };
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "unbalanced",
                Domain::Arrangement,
                Severity::Caution,
                said!("case"),
                said!("the packed case hangs askew: {sentence}", sentence),
                Source::common_practice(),
            )
            .margin(margin.clone())
            .remedy(said!("pin a heavy item nearer the middle and arrange again")),
        );
    }
    CaseVerdict {
        code: "balance",
        name: said!("Balance"),
        verdict: verdict_of(margin.is_kept()),
        margin: Some(margin),
        sentence,
        source: Source::common_practice(),
    }
}

/// Rigid against rigid at worst case: the largest item in the smallest shell.
fn fit(interior: &Interior, brief: &Brief, findings: &mut Vec<Finding>) -> CaseVerdict {
    let mut tightest: Option<(f64, Said)> = None;
    for place in &interior.places {
        let grow = brief.items[place.item].size_tolerance.si();
        for slab in &place.body.slabs {
            // The walls converge downward and the intrusions stand on the floor, so the band's foot is the tightest;
            // its top is asked too, for lid-side obstacles.
            for z in [slab.low + 1e-6, slab.high - 1e-6] {
                let room = slab.region.room_inside(&brief.shell.least_section(z)) - grow;
                if tightest.as_ref().is_none_or(|(least, _)| room < *least) {
                    tightest = Some((room, Said::from(&place.instance)));
                }
            }
        }
    }
    let (room, place) = tightest.unwrap_or((f64::INFINITY, said!("case")));
    let margin = Margin::at_least(room * 1e3, 0.0, "mm");
    let source = Source::derived(said!(
        "largest item in the smallest shell, every stated ± at its unfavourable end"
    ));
    if !margin.is_kept() {
        findings.push(
            Finding::new(
                "worst-case-fit",
                Domain::Arrangement,
                Severity::Failing,
                &place,
                said!(
                    "{place} can meet the shell by {overlap:.1} mm when every tolerance is unfavourable",
                    place,
                    overlap = -room * 1e3
                ),
                source.clone(),
            )
            .margin(margin.clone())
            .remedy(said!("move it inward, or measure the shell there more closely")),
        );
    }
    CaseVerdict {
        code: "worst-case-fit",
        name: said!("Fit at worst-case tolerance"),
        verdict: verdict_of(margin.is_kept()),
        sentence: said!(
            "the tightest rigid gap is {gap:.1} mm, between {place} and the shell",
            gap = room * 1e3,
            place
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
    let sentence = said!(
        "{layers} layers in {blocks} blocks stand {free:.1} mm free in {room:.1} mm of room: the lid squeezes \
         {squeeze:.1} mm, {least:.1} to \
         {most:.1} mm at worst-case tolerance",
        layers,
        blocks = kinds(|_| true),
        free = free * 1e3,
        room = room.as_mm(),
        squeeze = squeeze.as_mm(),
        least = (squeeze - tolerance).as_mm(),
        most = (squeeze + tolerance).as_mm()
    );
    if !is_kept {
        findings.push(
            Finding::new(
                "stack-squeeze",
                Domain::Shop,
                Severity::Failing,
                said!("stack"),
                said!(
                    "the lid squeezes the stack by {squeeze:.1}, outside the {least:.1} to {most:.1} aimed at",
                    squeeze,
                    least,
                    most
                ),
                Source::common_practice(),
            )
            .margin(margin.clone())
            .remedy(said!("other layer thicknesses, or a shim under the lowest layer")),
        );
    } else if squeeze - tolerance < Length::ZERO {
        findings.push(
            Finding::new(
                "stack-may-rattle",
                Domain::Shop,
                Severity::Caution,
                said!("stack"),
                said!(
                    "at worst-case tolerance the stack is {gap:.1} short of the lid",
                    gap = tolerance - squeeze
                ),
                Source::common_practice(),
            )
            .margin(Margin::at_least((squeeze - tolerance).as_mm(), 0.0, "mm"))
            .remedy(said!(
                "measure the layers as delivered and add a shim if they run thin"
            )),
        );
    }
    CaseVerdict {
        code: "stack-sum",
        name: said!("Stack sum and lid squeeze"),
        verdict: verdict_of(is_kept),
        margin: Some(margin),
        sentence,
        source: Source::common_practice(),
    }
}
