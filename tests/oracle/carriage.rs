//! Carriage: sizes, billed weights, freight classes, lifting, stacking, buoyancy.
//!
//! Sources: worked examples on pages of freight forwarders, couriers and parcel shops (read); the freight class scale of a
//! freight guide; the NIOSH lifting manual 94-110 (revised 9/2021) in repositories that quote it with page numbers; ASTM
//! D4169 as a laboratory's calculator prints it; 49 CFR 178.606; Archimedes.

use crate::Chapter;
use caddis_basis::{Angle, Area, Certainty, Density, Length, Mass, Source, Volume};
use caddis_journey::{
    BatteryRating, CarriageLimits, Coupling, DimensionalRule, Divisor, FreightAbove, Hull, Lift,
    LiftDuration, LiftForm, MassStep, SideRounding, WattHours, chargeable_weight, dangerous_goods_stack,
    floating, freight_class, freight_compression, freight_density, hands_in_front, length_and_girth,
    linear_size, recommended_weight, water_head,
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
    classes(&mut rows);
    lifting(&mut rows);
    loads(&mut rows);
    Chapter {
        title: "Carriage",
        about: "What carriers bill, what hands lift, what stands on a case, and whether it floats.",
        rows: rows.0,
    }
}

fn sizes(rows: &mut Ledger) {
    let guide = || Source::new("traveller and shipping guides", Certainty::Secondary);
    let derived = || Source::derived("definition of length and girth");
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
            Source::derived("V x Ah"),
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
        ([48.0, 20.0, 16.0], 139.0, 111.0, Source::derived("the same rule")),
        ([48.0, 20.0, 16.0], 166.0, 93.0, Source::derived("the same rule")),
        ([48.0, 20.0, 16.0], 194.0, 80.0, Source::derived("the same rule")),
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
    let density = freight_density([48.0, 40.0, 48.0].map(Length::inches), Mass::pounds(500.0));
    rows.add(
        "freight density",
        "48 x 40 x 48 in, 500 lb".into(),
        Source::derived("mass over box"),
        "lb/ft³",
        (9.375, density.si() / 16.018_463_373_960_14),
        Allowed::Within(1e-3),
    );
}

fn lifting(rows: &mut Ledger) {
    let manual = |page: &str, certainty| Source::new(format!("NIOSH 94-110, {page}"), certainty);
    let inches = |h, v, d, origin, f, coupling| Lift {
        horizontal: Length::inches(h),
        vertical: Length::inches(v),
        origin: Length::inches(origin),
        travel: Length::inches(d),
        asymmetry: Angle::ZERO,
        per_minute: f,
        duration: LiftDuration::Short,
        coupling,
    };
    for (name, lift, expected, source) in [
        (
            "example 4, origin",
            inches(10.0, 22.0, 37.0, 22.0, 3.0, Coupling::Fair),
            34.9,
            manual("p. 46", Certainty::Published),
        ),
        (
            "example 4, destination (its reach recovered from the result)",
            inches(20.0, 59.0, 37.0, 22.0, 3.0, Coupling::Fair),
            15.2,
            manual("p. 46", Certainty::Published),
        ),
        (
            "example 1, origin",
            inches(23.0, 15.0, 48.0, 15.0, 0.1, Coupling::Fair),
            16.3,
            manual("p. 33-37", Certainty::Memory),
        ),
        (
            "example 1, destination",
            inches(23.0, 63.0, 48.0, 15.0, 0.1, Coupling::Fair),
            14.5,
            manual("p. 33-37", Certainty::Memory),
        ),
    ] {
        let got = recommended_weight(&lift, LiftForm::Us).limit.as_pounds();
        rows.add(
            "recommended weight limit",
            name.into(),
            source,
            "lb",
            (expected, got),
            Allowed::Within(0.3),
        );
    }
    let metric = |h: f64, v: f64, d: f64, f, coupling| Lift {
        horizontal: Length::mm(h * 10.0),
        vertical: Length::mm(v * 10.0),
        origin: Length::mm(v * 10.0),
        travel: Length::mm(d * 10.0),
        asymmetry: Angle::ZERO,
        per_minute: f,
        duration: LiftDuration::Short,
        coupling,
    };
    let got = recommended_weight(&metric(25.0, 55.0, 95.0, 3.0, Coupling::Fair), LiftForm::Metric)
        .limit
        .si();
    rows.add(
        "recommended weight limit",
        "H 25, V 55, D 95 cm, 3/min, fair".into(),
        Source::new("a published course exercise", Certainty::Secondary),
        "kg",
        (15.7, got),
        Allowed::Within(0.05),
    );
    let got = recommended_weight(&metric(35.0, 15.0, 60.0, 0.2, Coupling::Good), LiftForm::Metric)
        .limit
        .si();
    rows.add(
        "recommended weight limit",
        "H 35, V 15, D 60 cm, 0.2/min, good".into(),
        Source::derived("the equation"),
        "kg",
        (12.06, got),
        Allowed::Within(0.01),
    );
    let frequency = |f, duration, v: f64| {
        let lift = Lift {
            per_minute: f,
            duration,
            ..metric(25.0, v, 25.0, f, Coupling::Good)
        };
        recommended_weight(&lift, LiftForm::Metric).frequency
    };
    for (f, duration, v, expected) in [
        (5.0, LiftDuration::Short, 75.0, 0.80),
        (12.0, LiftDuration::Short, 50.0, 0.37),
        (13.0, LiftDuration::Short, 50.0, 0.0),
        (15.0, LiftDuration::Short, 80.0, 0.28),
        (9.0, LiftDuration::Moderate, 75.0, 0.30),
        (11.0, LiftDuration::Moderate, 50.0, 0.0),
        (8.0, LiftDuration::Long, 50.0, 0.18),
        (10.0, LiftDuration::Long, 75.0, 0.13),
        (16.0, LiftDuration::Short, 80.0, 0.0),
    ] {
        rows.add(
            "frequency multiplier",
            format!("{f}/min, {duration:?}, V {v} cm"),
            manual(
                "table 5, p. 15, found alike in three places",
                Certainty::Published,
            ),
            "",
            (expected, frequency(f, duration, v)),
            Allowed::Within(1e-9),
        );
    }
    for (v, expected) in [(0.3, 40.0), (0.2, 45.0)] {
        let got = hands_in_front(Length::mm(400.0), Length::from_si(v)).si() * 100.0;
        rows.add(
            "reach over a box",
            format!("40 cm deep, V {v} m"),
            manual("p. 8", Certainty::Published),
            "cm",
            (expected, got),
            Allowed::Within(1e-9),
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
    let law = || Source::derived("Archimedes, box of 500 x 400 x 200 mm, 20 kg");
    for (name, density, reserve, draught) in [
        ("fresh water", 1000.0, 20.0, 0.1),
        ("the sea", 1025.0, 21.0, 0.097_56),
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
    }
    for (name, is_sea, expected) in [("fresh water", false, 9.807), ("the sea", true, 10.05)] {
        let got = water_head(Length::from_si(1.0), is_sea).as_kpa();
        rows.add(
            "head of water",
            format!("1 m of {name}"),
            Source::derived("rho g d"),
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
