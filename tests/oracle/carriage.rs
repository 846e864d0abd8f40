//! Carriage: sizes, billed weights, freight classes, battery classes, stacking, buoyancy.
//!
//! Sources: worked examples on pages of freight forwarders, couriers and parcel shops (read); the freight class scale of a
//! freight guide; 49 CFR 175.10(a) (its free limits read, its limits with approval in a second text); ASTM D4169 as a
//! laboratory's calculator prints it; 49 CFR 178.606; Archimedes.

use crate::Chapter;
use caddis_basis::{Area, Certainty, Density, Length, Mass, Source, Volume};
use caddis_journey::{
    BatteryClass, BatteryContent, BatteryRating, CarriageLimits, DimensionalRule, Divisor, FreightAbove,
    Hull, MassStep, SideRounding, WattHours, battery_class, chargeable_weight, dangerous_goods_stack,
    floating, freight_class, freight_compression, freight_density, length_and_girth, linear_size, water_head,
};
use caddis_tests::{Allowed, Row};

const NEWTONS_IN_POUND_FORCE: f64 = 4.448_221_615_260_5;

struct Ledger(Vec<Row>);

impl Ledger {
    fn add(
        &mut self,
        method: &'static str,
        problem: String,
        source: Source,
        unit: &'static str,
        values: (f64, f64),
        allowed: Allowed,
    ) {
        self.0.push(Row {
            method,
            problem,
            source,
            unit,
            expected: values.0,
            got: values.1,
            allowed,
        });
    }
}

pub(crate) fn chapter() -> Chapter {
    let mut rows = Ledger(Vec::new());
    sizes(&mut rows);
    billed(&mut rows);
    rules(&mut rows);
    classes(&mut rows);
    data(&mut rows);
    batteries(&mut rows);
    loads(&mut rows);
    Chapter {
        title: "Carriage",
        about: "What carriers bill and take, which batteries passengers carry, what stands on a case, and whether it floats.",
        rows: rows.0,
    }
}

fn sizes(rows: &mut Ledger) {
    let guide = || Source::new("traveller and shipping guides", Certainty::Secondary);
    let derived = || Source::derived(caddis_basis::Said::name("definition of length and girth"));
    for (inches, total) in [
        ([28.0, 20.0, 12.0], 60.0),
        ([24.0, 18.0, 20.0], 62.0),
        ([27.0, 21.0, 14.0], 62.0),
        ([22.0, 20.0, 20.0], 62.0),
    ] {
        let got = linear_size(inches.map(Length::inches)).as_inches();
        rows.add(
            "linear size",
            format!("{inches:?} in"),
            guide(),
            "in",
            (total, got),
            Allowed::Within(1e-9),
        );
    }
    for (inches, total, source) in [
        ([30.0, 10.0, 10.0], 70.0, guide()),
        ([40.0, 20.0, 10.0], 100.0, guide()),
        ([18.0, 18.0, 36.0], 108.0, guide()),
        ([48.0, 20.0, 16.0], 120.0, derived()),
    ] {
        let got = length_and_girth(inches.map(Length::inches)).as_inches();
        rows.add(
            "length and girth",
            format!("{inches:?} in"),
            source,
            "in",
            (total, got),
            Allowed::Within(1e-9),
        );
    }
    for (volts, ampere_hours, expected) in [(14.8, 6.6, 97.68), (14.4, 9.9, 142.56), (14.4, 14.0, 201.6)] {
        let got = WattHours::from_rating(BatteryRating { volts, ampere_hours }).value();
        rows.add(
            "watt-hours",
            format!("{volts} V, {ampere_hours} Ah"),
            Source::derived(caddis_basis::Said::name("V x Ah")),
            "Wh",
            (expected, got),
            Allowed::Within(1e-9),
        );
    }
}

fn billed(rows: &mut Ledger) {
    let page = |what: &str| Source::new(what.to_owned(), Certainty::Published);
    let pounds = |divisor| DimensionalRule {
        divisor: Divisor::CubicInchesPerPound(divisor),
        sides: SideRounding::NearestInch,
        step: MassStep::Pound,
    };
    for (inches, divisor, expected, source) in [
        (
            [30.4, 19.6, 19.5],
            139.0,
            87.0,
            page("a freight forwarder's page"),
        ),
        ([25.0, 6.0, 43.0], 139.0, 47.0, page("a parcel shop's page")),
        ([12.0, 12.0, 14.0], 194.0, 11.0, page("a packaging page")),
        (
            [32.0, 20.0, 20.0],
            166.0,
            78.0,
            page("a forwarder's page; its product is misprinted, its weight is right"),
        ),
        (
            [48.0, 20.0, 16.0],
            139.0,
            111.0,
            Source::derived(caddis_basis::Said::name("the same rule")),
        ),
        (
            [48.0, 20.0, 16.0],
            166.0,
            93.0,
            Source::derived(caddis_basis::Said::name("the same rule")),
        ),
        (
            [48.0, 20.0, 16.0],
            194.0,
            80.0,
            Source::derived(caddis_basis::Said::name("the same rule")),
        ),
    ] {
        let got =
            chargeable_weight(inches.map(Length::inches), Mass::pounds(1.0), &pounds(divisor)).chargeable;
        rows.add(
            "chargeable weight",
            format!("{inches:?} in over {divisor}"),
            source,
            "lb",
            (expected, got.as_pounds()),
            Allowed::Within(1e-6),
        );
    }
    for (cm, divisor, expected) in [
        ([150.0, 100.0, 110.0], 6000.0, 275.0),
        ([140.0, 100.0, 90.0], 6000.0, 210.0),
        ([25.0, 30.0, 15.0], 5000.0, 2.25),
    ] {
        let rule = DimensionalRule {
            divisor: Divisor::CubicCentimetresPerKilogram(divisor),
            sides: SideRounding::Unrounded,
            step: MassStep::Unrounded,
        };
        let got =
            chargeable_weight(cm.map(|side| Length::mm(side * 10.0)), Mass::from_si(1.0), &rule).chargeable;
        rows.add(
            "chargeable weight",
            format!("{cm:?} cm over {divisor}"),
            page("forwarders' and couriers' pages"),
            "kg",
            (expected, got.si()),
            Allowed::Within(1e-9),
        );
    }
}

/// Rules of the common limits and divisors.
fn rules(rows: &mut Ledger) {
    let limits = CarriageLimits::common();
    let raised = limits
        .dimensional
        .iter()
        .find(|row| row.value.name == "139 in3/lb, every fraction raised")
        .unwrap();
    let sides = [30.4, 19.6, 19.5];
    let got = chargeable_weight(sides.map(Length::inches), Mass::pounds(1.0), &raised.value.rule).chargeable;
    rows.add(
        "chargeable weight",
        format!("{sides:?} in over 139, every fraction of an inch raised: 31 x 20 x 20"),
        Source::new(
            "newer practice of parcel carriers, 2025; the arithmetic derived",
            Certainty::Memory,
        ),
        "lb",
        (90.0, got.as_pounds()),
        Allowed::Within(1e-6),
    );
    for (divisor, expected) in [(5000.0, 200.0), (6000.0, 166.7), (4000.0, 250.0)] {
        let rule = DimensionalRule {
            divisor: Divisor::CubicCentimetresPerKilogram(divisor),
            sides: SideRounding::Unrounded,
            step: MassStep::Unrounded,
        };
        let got = chargeable_weight([Length::from_si(1.0); 3], Mass::from_si(1.0), &rule).chargeable;
        rows.add(
            "chargeable weight",
            format!("one cubic metre over {divisor} cm³/kg"),
            Source::derived(caddis_basis::Said::name("1e6 cm³ over the divisor")),
            "kg",
            (expected, got.si()),
            Allowed::Within(0.05),
        );
    }
}

/// Limits that are data: what the rows of the common limits say against what was read.
fn data(rows: &mut Ledger) {
    let limits = CarriageLimits::common();
    let post = limits.postal.value;
    let parcel = limits.courier_maximum.value;
    let (guides, carrier) = (
        || Source::new("postal size rules in shipping guides", Certainty::Secondary),
        || Source::new("a large parcel carrier's page", Certainty::Published),
    );
    for (name, unit, source, expected, got) in [
        ("heaviest", "lb", guides(), 70.0, post.mass.as_pounds()),
        (
            "length and girth",
            "in",
            guides(),
            108.0,
            post.length_and_girth.as_inches(),
        ),
        (
            "length and girth, oversize",
            "in",
            guides(),
            130.0,
            post.length_and_girth_oversize.as_inches(),
        ),
        (
            "longest side without a fee",
            "in",
            guides(),
            22.0,
            post.longest.as_inches(),
        ),
        (
            "longest side at the lower fee",
            "in",
            guides(),
            30.0,
            post.longest_lower_fee.as_inches(),
        ),
        (
            "volume without a fee",
            "in³",
            guides(),
            3456.0,
            post.volume.si() / 1.638_706_4e-5,
        ),
        ("heaviest", "lb", carrier(), 150.0, parcel.mass.as_pounds()),
        (
            "length and girth",
            "in",
            carrier(),
            165.0,
            parcel.length_and_girth.as_inches(),
        ),
        ("longest side", "in", carrier(), 108.0, parcel.longest.as_inches()),
    ] {
        let method = if source.certainty == Certainty::Secondary {
            "limit of parcel post"
        } else {
            "limit of parcel networks"
        };
        rows.add(
            method,
            name.into(),
            source,
            unit,
            (expected, got),
            Allowed::Within(1e-6),
        );
    }
}

fn classes(rows: &mut Ledger) {
    let limits = CarriageLimits::common();
    let scale = || {
        Source::new(
            "13-step density scale of 2025-07-19, a freight guide",
            Certainty::Secondary,
        )
    };
    for (density, class) in [
        (0.5, 400.0),
        (1.0, 300.0),
        (3.0, 250.0),
        (5.0, 175.0),
        (7.0, 125.0),
        (8.0, 100.0),
        (11.0, 92.5),
        (13.0, 85.0),
        (15.0, 70.0),
        (22.5, 65.0),
        (30.0, 60.0),
        (35.0, 55.0),
        (50.0, 50.0),
    ] {
        let got = freight_class(Density::from_si(density * 16.018_463_373_960_14), &limits);
        rows.add(
            "freight class",
            format!("{density} lb/ft³"),
            scale(),
            "",
            (class, got),
            Allowed::Within(0.0),
        );
    }
    for (density, class) in [(25.0, 65.0), (30.0, 60.0)] {
        let got = freight_class(Density::from_si(density * 16.018_463_373_960_14), &limits);
        rows.add(
            "freight class",
            format!("{density} lb/ft³, where the earlier scale of 11 steps agrees"),
            Source::new("11-step density scale, a freight page", Certainty::Secondary),
            "",
            (class, got),
            Allowed::Within(0.0),
        );
    }
    let density = freight_density([48.0, 40.0, 48.0].map(Length::inches), Mass::pounds(500.0));
    rows.add(
        "freight density",
        "48 x 40 x 48 in, 500 lb".into(),
        Source::derived(caddis_basis::Said::name("mass over box")),
        "lb/ft³",
        (9.375, density.si() / 16.018_463_373_960_14),
        Allowed::Within(1e-3),
    );
    rows.add(
        "freight class",
        "48 x 40 x 48 in, 500 lb".into(),
        Source::derived(caddis_basis::Said::name("mass over box, then the 13-step scale")),
        "",
        (100.0, freight_class(density, &limits)),
        Allowed::Within(0.0),
    );
}

/// The class as a number: 0 goes free, 1 with the operator's approval, 2 not as baggage, NaN when it is not known.
fn class_number(content: &BatteryContent, limits: &CarriageLimits) -> f64 {
    match battery_class(content, limits).0 {
        BatteryClass::Free => 0.0,
        BatteryClass::OperatorApproval => 1.0,
        BatteryClass::Forbidden => 2.0,
        BatteryClass::NotKnown => f64::NAN,
    }
}

fn batteries(rows: &mut Ledger) {
    let limits = CarriageLimits::common();
    let ion = |watt_hours: f64| BatteryContent::LithiumIon {
        energy: WattHours::new(watt_hours),
    };
    let rated = |volts: f64, ampere_hours: f64| BatteryContent::LithiumIon {
        energy: WattHours::from_rating(BatteryRating { volts, ampere_hours }),
    };
    let metal = |grams: f64| BatteryContent::LithiumMetal {
        lithium: Mass::from_si(grams / 1000.0),
    };
    let lead = |volts: f64, watt_hours: f64| BatteryContent::NonSpillableLead {
        volts,
        energy: WattHours::new(watt_hours),
    };
    let derived = || {
        Source::derived(caddis_basis::Said::name(
            "V x Ah and the limits of 49 CFR 175.10(a), \"not exceeding\"",
        ))
    };
    let free = || {
        Source::new(
            "49 CFR 175.10(a)(18) and (19): 100 Wh, 2 g of lithium, lead 12 V and 100 Wh",
            Certainty::Published,
        )
    };
    let approval = || {
        Source::new(
            "49 CFR 175.10(a), 160 Wh and 8 g with approval, as an authority's page is copied",
            Certainty::Secondary,
        )
    };
    for (name, content, class, source) in [
        ("lithium ion, 14.8 V, 6.6 Ah", rated(14.8, 6.6), 0.0, derived()),
        ("lithium ion, 14.4 V, 9.9 Ah", rated(14.4, 9.9), 1.0, derived()),
        ("lithium ion, 14.4 V, 14 Ah", rated(14.4, 14.0), 2.0, derived()),
        ("lithium ion, exactly 100 Wh", ion(100.0), 0.0, derived()),
        ("lithium ion, 100.01 Wh", ion(100.01), 1.0, approval()),
        ("lithium ion, exactly 160 Wh", ion(160.0), 1.0, derived()),
        ("lithium ion, 160.01 Wh", ion(160.01), 2.0, approval()),
        ("lithium metal, 2 g", metal(2.0), 0.0, free()),
        ("lithium metal, 2.1 g", metal(2.1), 1.0, approval()),
        ("lithium metal, 8 g", metal(8.0), 1.0, approval()),
        ("lithium metal, 8.1 g", metal(8.1), 2.0, approval()),
        ("non-spillable lead, 12 V, 100 Wh", lead(12.0, 100.0), 0.0, free()),
        ("non-spillable lead, 24 V, 90 Wh", lead(24.0, 90.0), 2.0, free()),
        ("non-spillable lead, 12 V, 120 Wh", lead(12.0, 120.0), 2.0, free()),
    ] {
        rows.add(
            "battery class (0 free, 1 with approval, 2 not as baggage)",
            name.into(),
            source,
            "",
            (class, class_number(&content, &limits)),
            Allowed::Within(0.0),
        );
    }
}

fn loads(rows: &mut Ledger) {
    let laboratory = || {
        Source::new(
            "ASTM D4169 schedule C on a laboratory's calculator page",
            Certainty::Secondary,
        )
    };
    for (density, height, expected) in [(12.0, 108.0, 1493.3), (12.0, 54.0, 653.3), (10.0, 108.0, 1244.4)] {
        let load = freight_compression(&FreightAbove {
            sides: [20.0, 16.0, 12.0].map(Length::inches),
            density: Density::from_si(density * 16.018_463_373_960_14),
            height: Length::inches(height),
            factor: 7.0,
        });
        rows.add(
            "vehicle compression",
            format!("20 x 16 x 12 in, {density} lb/ft³ to {height} in, F 7"),
            laboratory(),
            "lbf",
            (expected, load.si() / NEWTONS_IN_POUND_FORCE),
            Allowed::Within(0.1),
        );
    }
    let (count, load) = dangerous_goods_stack(Mass::from_si(30.0), Length::from_si(0.3));
    let rule = || {
        Source::new(
            "49 CFR 178.606, solids: (n - 1)(m x 2.2 x 1.5)",
            Certainty::Published,
        )
    };
    rows.add(
        "dangerous-goods stack",
        "30 kg, 0.3 m high".into(),
        rule(),
        "",
        (10.0, f64::from(count)),
        Allowed::Within(0.0),
    );
    rows.add(
        "dangerous-goods stack",
        "the same, load with 2.2 lb to the kg".into(),
        rule(),
        "lb",
        (891.0, load.si() * 2.2),
        Allowed::Within(1e-6),
    );
    let hull = Hull {
        volume: Volume::from_si(0.04),
        waterplane: Area::from_si(0.2),
        height: Length::mm(200.0),
        mass: Mass::from_si(20.0),
    };
    let law = || {
        Source::derived(caddis_basis::Said::name(
            "Archimedes, box of 500 x 400 x 200 mm, 20 kg",
        ))
    };
    for (name, density, reserve, draught, freeboard) in [
        ("fresh water", 1000.0, 20.0, 0.1, 0.1),
        ("the sea", 1025.0, 21.0, 0.097_56, 0.102_44),
    ] {
        let lies = floating(&hull, Density::from_si(density));
        rows.add(
            "reserve of buoyancy",
            name.into(),
            law(),
            "kg",
            (reserve, lies.reserve.si()),
            Allowed::Within(1e-6),
        );
        rows.add(
            "draught",
            name.into(),
            law(),
            "m",
            (draught, lies.draught.si()),
            Allowed::Within(1e-5),
        );
        rows.add(
            "freeboard",
            name.into(),
            law(),
            "m",
            (freeboard, lies.freeboard.si()),
            Allowed::Within(1e-5),
        );
    }
    for (name, is_sea, expected) in [("fresh water", false, 9.807), ("the sea", true, 10.05)] {
        let got = water_head(Length::from_si(1.0), is_sea).as_kpa();
        rows.add(
            "head of water",
            format!("1 m of {name}"),
            Source::derived(caddis_basis::Said::name("rho g d")),
            "kPa",
            (expected, got),
            Allowed::Within(0.003),
        );
    }
}

#[test]
fn carriage_examples() {
    chapter().assert();
}
