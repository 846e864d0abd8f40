//! Check values from outside, citation first; each says how it was seen.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_basis::{Area, Length, Mass, Pressure, Temperature};
use caddis_journey::{
    BatteryClass, BatteryContent, BatteryRating, CarriageLimits, DimensionalRule, Divisor, GeometricAltitude,
    GeopotentialAltitude, HandlingClass, MassStep, SideRounding, TrappedAir, WattHours, battery_class,
    chargeable_weight, drop_height, length_and_girth, lid_force, linear_size, standard_air,
};

const PSI: f64 = 6_894.757_293_168;

fn close(got: f64, expected: f64, relative: f64) {
    assert!(
        (got / expected - 1.0).abs() <= relative,
        "got {got}, expected {expected}"
    );
}

/// ICAO Doc 7488/3 (1993), tables by geometric altitude, as transcribed in the test data of a public atmosphere
/// library. Seen. Six figures.
#[test]
fn icao_tables_by_geometric_altitude() {
    for (z, kelvin, pascal, density) in [
        (0.0, 288.150, 101_325.0, 1.225),
        (1_000.0, 281.651, 89_876.3, 1.111_66),
        (2_000.0, 275.154, 79_501.4, 1.006_55),
        (11_000.0, 216.774, 22_699.9, 0.364_801),
        (11_019.0, 216.650, 22_632.0, 0.363_918),
        (15_000.0, 216.650, 12_111.8, 0.194_755),
    ] {
        let altitude = GeometricAltitude::new(Length::from_si(z)).geopotential();
        let air = standard_air(altitude).unwrap();
        assert!(
            (air.temperature.si() - kelvin).abs() <= 6e-4,
            "{z} m: {}",
            air.temperature.si()
        );
        // 11 019 m is 11 000 m geopotential rounded to the metre: half a metre there is 8e-5 of the pressure.
        let tolerance = if z == 11_019.0 { 8e-5 } else { 5e-6 };
        close(air.pressure.si(), pascal, tolerance);
        close(air.density.si(), density, tolerance);
    }
}

/// The geopotential column of the same tables, to the metre. Seen.
#[test]
fn icao_geopotential_column() {
    for (z, h) in [
        (1_000.0, 1_000.0),
        (2_000.0, 1_999.0),
        (11_000.0, 10_981.0),
        (11_019.0, 11_000.0),
        (15_000.0, 14_965.0),
    ] {
        let altitude = GeometricAltitude::new(Length::from_si(z)).geopotential();
        assert!((altitude.length().si() - h).abs() <= 0.5, "{z}");
    }
}

/// US Standard Atmosphere 1976, 5000 m geometric: -17.47 degC, 5.405e4 Pa, 0.7364 kg/m³, from a table in a code
/// comment. Seen in a second text. Four figures.
#[test]
fn us_standard_atmosphere_at_5000_m() {
    let air = standard_air(GeometricAltitude::new(Length::from_si(5000.0)).geopotential()).unwrap();
    assert!((air.temperature.as_celsius() + 17.47).abs() <= 0.006);
    close(air.pressure.si(), 54_050.0, 1e-4);
    close(air.density.si(), 0.7364, 1e-4);
}

/// Pressures by feet (psia), from an engineering table site after a handbook. Seen in a second text; the site rounds to
/// 0.02 psi.
#[test]
fn pressures_by_feet() {
    for (feet, psi) in [
        (0.0, 14.696),
        (1_000.0, 14.175),
        (2_000.0, 13.664),
        (5_000.0, 12.230),
        (6_000.0, 11.778),
        (8_000.0, 10.914),
        (10_000.0, 10.108),
        (15_000.0, 8.296),
        (20_000.0, 6.758),
        (30_000.0, 4.371),
    ] {
        let air = standard_air(GeopotentialAltitude::feet(feet)).unwrap();
        assert!((air.pressure.si() / PSI - psi).abs() <= 0.02, "{feet} ft");
    }
}

/// Layer pressures 22 632.0 Pa and 5474.9 Pa at 11 and 20 km geopotential, from a public implementation. Seen.
#[test]
fn layer_pressures() {
    let at = |h: f64| {
        standard_air(GeopotentialAltitude::new(Length::from_si(h)))
            .unwrap()
            .pressure
            .si()
    };
    close(at(11_000.0), 22_632.0, 5e-6);
    close(at(20_000.0), 5_474.9, 5e-6);
}

/// Pressure altitudes of travel, derived from the standard atmosphere by an independent hand computation. Not published.
#[test]
fn derived_pressure_altitudes() {
    for (metres, celsius, pascal, density) in [
        (2_438.4, -0.850, 75_262.0, 0.962_87),
        (3_048.0, -4.812, 69_682.0, 0.904_64),
        (3_500.0, -7.750, 65_764.0, 0.863_23),
        (4_267.2, -12.737, 59_524.0, 0.796_28),
        (4_572.0, -14.718, 57_182.0, 0.770_82),
        (5_000.0, -17.500, 54_020.0, 0.736_12),
        (5_791.2, -22.643, 48_548.0, 0.675_13),
        (10_668.0, -54.342, 23_842.0, 0.379_60),
        (12_192.0, -56.500, 18_754.0, 0.301_56),
    ] {
        let air = standard_air(GeopotentialAltitude::new(Length::from_si(metres))).unwrap();
        assert!(
            (air.temperature.as_celsius() - celsius).abs() < 1e-3,
            "{metres} m"
        );
        close(air.pressure.si(), pascal, 1e-4);
        close(air.density.si(), density, 1e-4);
    }
}

/// Gas law in a tight rigid case, derived by an independent hand computation. Not published.
#[test]
fn derived_pressures_in_a_tight_case() {
    let celsius = Temperature::celsius;
    let gauge = |closed_ft: f64, closed_c: f64, feet: f64, c: f64| {
        let shut = TrappedAir::closed_at(GeopotentialAltitude::feet(closed_ft), celsius(closed_c)).unwrap();
        let outside = standard_air(GeopotentialAltitude::feet(feet)).unwrap().pressure;
        shut.gauge(outside, celsius(c)).as_kpa()
    };
    for (got, expected) in [
        (gauge(0.0, 20.0, 8_000.0, 20.0), 26.06),
        (gauge(0.0, 20.0, 35_000.0, 20.0), 77.48),
        (gauge(8_000.0, 20.0, 0.0, 20.0), -26.06),
        (gauge(0.0, 20.0, 0.0, 71.0), 17.63),
        (gauge(0.0, 20.0, 0.0, -33.0), -18.32),
        (gauge(0.0, 49.0, 0.0, 22.0), -8.49),
        (gauge(0.0, 40.0, 0.0, 15.0), -8.09),
    ] {
        assert!((got - expected).abs() <= 0.006, "got {got}, expected {expected}");
    }
    let force = lid_force(Pressure::from_si(101_325.0 - 75_262.0), Area::from_si(0.2));
    assert!((force.si() - 5_213.0).abs() < 1.0, "{force}");
}

/// Linear sizes of checked bags, from traveller guides. Seen in a second text.
#[test]
fn linear_sizes() {
    let limit = CarriageLimits::common().checked_linear_size.value;
    close(limit.si(), 1.5748, 1e-12);
    for (inches, total) in [
        ([28.0, 20.0, 12.0], 60.0),
        ([24.0, 18.0, 20.0], 62.0),
        ([27.0, 21.0, 14.0], 62.0),
        ([22.0, 20.0, 20.0], 62.0),
    ] {
        close(linear_size(inches.map(Length::inches)).as_inches(), total, 1e-12);
    }
}

/// The rule of a row of the common limits.
fn named(name: &str) -> DimensionalRule {
    let rows = CarriageLimits::common().dimensional;
    rows.into_iter()
        .find(|row| row.value.name == name)
        .unwrap()
        .value
        .rule
}

fn inch_rule(divisor: f64) -> DimensionalRule {
    DimensionalRule {
        divisor: Divisor::CubicInchesPerPound(divisor),
        ..named("139 in3/lb, nearest inch")
    }
}

/// Dimensional weights in pounds: 30.4 x 19.6 x 19.5 (a freight forwarder's page), 25 x 6 x 43 (a parcel shop's),
/// 12 x 12 x 14 over 194 (a packaging blog). Seen. 32 x 20 x 20 over 166 and the 48 x 20 x 16 row are derived.
#[test]
fn dimensional_weights_in_pounds() {
    for (inches, divisor, pounds) in [
        ([30.4, 19.6, 19.5], 139.0, 87.0),
        ([25.0, 6.0, 43.0], 139.0, 47.0),
        ([12.0, 12.0, 14.0], 194.0, 11.0),
        ([32.0, 20.0, 20.0], 166.0, 78.0),
        ([48.0, 20.0, 16.0], 139.0, 111.0),
        ([48.0, 20.0, 16.0], 166.0, 93.0),
        ([48.0, 20.0, 16.0], 194.0, 80.0),
    ] {
        let billed = chargeable_weight(inches.map(Length::inches), Mass::pounds(1.0), &inch_rule(divisor));
        close(billed.dimensional.as_pounds(), pounds, 1e-12);
        close(billed.chargeable.as_pounds(), pounds, 1e-12);
    }
}

/// The newer practice of raising every fraction of an inch (from memory): 30.4 x 19.6 x 19.5 becomes 31 x 20 x 20,
/// 12 400 / 139 = 89.2, raised to 90 lb (derived).
#[test]
fn raising_every_fraction_of_an_inch() {
    let sides = [30.4, 19.6, 19.5].map(Length::inches);
    let billed = chargeable_weight(
        sides,
        Mass::pounds(1.0),
        &named("139 in3/lb, every fraction raised"),
    );
    close(billed.dimensional.as_pounds(), 90.0, 1e-12);
}

/// Dimensional weights in kilograms: 150 x 100 x 110 cm and 140 x 100 x 90 cm over 6000, 25 x 30 x 15 cm over 5000,
/// from freight forwarders' and couriers' pages. Seen.
#[test]
fn dimensional_weights_in_kilograms() {
    for (centimetres, divisor, kilograms) in [
        ([150.0, 100.0, 110.0], 6000.0, 275.0),
        ([140.0, 100.0, 90.0], 6000.0, 210.0),
        ([25.0, 30.0, 15.0], 5000.0, 2.25),
    ] {
        let rule = DimensionalRule {
            divisor: Divisor::CubicCentimetresPerKilogram(divisor),
            sides: SideRounding::Unrounded,
            step: MassStep::Unrounded,
        };
        let sides = centimetres.map(|side| Length::mm(side * 10.0));
        close(
            chargeable_weight(sides, Mass::from_si(1.0), &rule)
                .chargeable
                .si(),
            kilograms,
            1e-12,
        );
    }
    // The same parcel under the default row, raised to the next half kilogram.
    let sides = [250.0, 300.0, 150.0].map(Length::mm);
    let billed = chargeable_weight(
        sides,
        Mass::from_si(1.0),
        &CarriageLimits::common().dimensional[0].value.rule,
    );
    assert_eq!(billed.chargeable.si(), 2.5);
}

/// Length and girth: 30 x 10 x 10 in is 70 in, 40 x 20 x 10 in is 100 in, 18 x 18 x 36 in is 108 in, from shipping
/// guides. Seen. 48 x 20 x 16 in is 120 in (derived).
#[test]
fn lengths_and_girths() {
    for (inches, total) in [
        ([10.0, 30.0, 10.0], 70.0),
        ([40.0, 20.0, 10.0], 100.0),
        ([18.0, 18.0, 36.0], 108.0),
        ([48.0, 20.0, 16.0], 120.0),
    ] {
        close(
            length_and_girth(inches.map(Length::inches)).as_inches(),
            total,
            1e-12,
        );
    }
}

/// 49 CFR 175.10(a): up to 100 Wh and 2 g free (seen), up to 160 Wh and 8 g with approval (seen in a second text),
/// "not exceeding" at both ends. The ratings are derived by `E = V C`.
#[test]
fn battery_classes() {
    use BatteryClass::{Forbidden, Free, NotKnown, OperatorApproval};
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
    for (content, class) in [
        (rated(14.8, 6.6), Free),
        (rated(14.4, 9.9), OperatorApproval),
        (rated(14.4, 14.0), Forbidden),
        (ion(100.0), Free),
        (ion(100.01), OperatorApproval),
        (ion(160.0), OperatorApproval),
        (ion(160.01), Forbidden),
        (metal(2.0), Free),
        (metal(2.1), OperatorApproval),
        (metal(8.0), OperatorApproval),
        (metal(8.1), Forbidden),
        (lead(12.0, 100.0), Free),
        (lead(24.0, 90.0), Forbidden),
        (lead(12.0, 120.0), Forbidden),
        (BatteryContent::NotKnown, NotKnown),
    ] {
        assert_eq!(battery_class(&content, &limits).0, class, "{content:?}");
    }
    close(
        WattHours::from_rating(BatteryRating {
            volts: 14.8,
            ampere_hours: 6.6,
        })
        .value(),
        97.68,
        1e-12,
    );
}

/// Drop heights by mass: ISTA 1A and the packaging handbooks' table. From memory, unverified: these assert only that
/// the tables are written down as recalled.
#[test]
fn drop_heights_as_recalled() {
    for (pounds, class, inches) in [
        (10.0, HandlingClass::Parcel, 30.0),
        (30.0, HandlingClass::Parcel, 24.0),
        (50.0, HandlingClass::Parcel, 18.0),
        (80.0, HandlingClass::Parcel, 12.0),
        (120.0, HandlingClass::Parcel, 8.0),
        (15.0, HandlingClass::Handbook, 36.0),
        (40.0, HandlingClass::Handbook, 30.0),
        (70.0, HandlingClass::Handbook, 24.0),
        (40.0, HandlingClass::HandbookOlder, 36.0),
    ] {
        let height = drop_height(Mass::pounds(pounds), class).unwrap().value;
        close(height.as_inches(), inches, 1e-12);
    }
}
