//! Regions against closed forms and against sampled exact distances.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_geometry::{Bounds2, Contour, Placement2, Region, Side, Vec2, Vertex};
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI};

fn at(x: f64, y: f64) -> Vec2 {
    Vec2::new(x, y)
}

fn near(found: f64, expected: f64, within: f64) {
    assert!(
        (found - expected).abs() <= within,
        "{found} is not {expected} within {within}"
    );
}

fn arcs(region: &Region) -> usize {
    region
        .contours()
        .flat_map(|c| &c.vertices)
        .filter(|v| v.bulge != 0.0)
        .count()
}

/// A star-shaped polygon from radii around the origin, always simple.
fn star(radii: &[f64]) -> Region {
    let n = radii.len() as f64;
    let points = radii
        .iter()
        .enumerate()
        .map(|(i, r)| at(*r, 0.0).rotated(2.0 * PI * i as f64 / n));
    Region::from_contours(&[Contour::polygon(points)])
}

fn radii() -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(0.02..0.2f64, 3..14)
}

#[test]
fn measures_of_simple_regions_are_closed_forms() {
    let rectangle = Region::rectangle(at(0.1, 0.2), at(0.4, 0.3));
    near(rectangle.area(), 0.03, 1e-15);
    near(rectangle.boundary_length(), 0.8, 1e-15);
    let circle = Region::circle(at(1.0, 2.0), 0.05);
    near(circle.area(), PI * 0.0025, 1e-14);
    near(circle.boundary_length(), PI * 0.1, 1e-14);
    assert!(circle.centroid().unwrap().distance(at(1.0, 2.0)) < 1e-12);
    let bounds = circle.bounds().unwrap();
    assert!(bounds.min.distance(at(0.95, 1.95)) < 1e-12 && bounds.max.distance(at(1.05, 2.05)) < 1e-12);
    let rounded = Region::rounded_rectangle(at(0.0, 0.0), at(0.3, 0.2), 0.02);
    near(rounded.area(), 0.06 - (4.0 - PI) * 0.0004, 1e-14);
    let slot = Region::slot(at(0.0, 0.0), at(0.1, 0.0), 0.01);
    near(slot.area(), 0.002 + PI * 1e-4, 1e-14);
    near(slot.boundary_length(), 0.2 + PI * 0.02, 1e-14);
    // A half disc: centroid at 4 r / (3 pi) from the diameter.
    let half = Region::from_contours(&[Contour {
        vertices: vec![
            Vertex {
                at: at(0.1, 0.0),
                bulge: 1.0,
            },
            Vertex {
                at: at(-0.1, 0.0),
                bulge: 0.0,
            },
        ],
    }]);
    near(half.centroid().unwrap().y, 0.4 / (3.0 * PI), 1e-8);
    assert_eq!(
        Region::rounded_rectangle(at(0.0, 0.0), at(0.1, 0.1), 1.0).area(),
        {
            let full = Region::circle(at(0.05, 0.05), 0.05).area();
            assert!((full - Region::rounded_rectangle(at(0.0, 0.0), at(0.1, 0.1), 1.0).area()).abs() < 1e-14);
            Region::rounded_rectangle(at(0.0, 0.0), at(0.1, 0.1), 0.05).area()
        }
    );
    assert!(Region::rectangle(at(0.0, 0.0), at(0.0, 1.0)).is_empty());
    assert!(Region::circle(at(0.0, 0.0), f64::NAN).is_empty());
}

#[test]
fn booleans_keep_true_arcs() {
    let plate = Region::rounded_rectangle(at(0.0, 0.0), at(0.3, 0.2), 0.02);
    let hole = Region::circle(at(0.15, 0.1), 0.03);
    let holed = plate.difference(&hole);
    assert_eq!(
        (holed.shapes.len(), holed.shapes[0].holes.len(), arcs(&holed)),
        (1, 1, 6)
    );
    near(holed.area(), plate.area() - hole.area(), 1e-9);
    assert_eq!(holed.contours().map(|c| c.vertices.len()).sum::<usize>(), 10);
    // Filling the hole again gives the plate back.
    let filled = holed.union(&hole);
    assert_eq!(filled.shapes[0].holes.len(), 0);
    near(filled.area(), plate.area(), 1e-9);
    // A bite through a circle leaves an arc and the bite.
    let bitten = hole.difference(&Region::rectangle(at(0.15, 0.0), at(0.3, 0.2)));
    near(bitten.area(), hole.area() / 2.0, 3e-7);
    assert!(arcs(&bitten) >= 1 && bitten.contours().map(|c| c.vertices.len()).sum::<usize>() <= 6);
    // Two overlapping circles: lens formula.
    let (r, d) = (0.03, 0.04);
    let other = Region::circle(at(0.15 + d, 0.1), r);
    let lens = 2.0 * r * r * (d / (2.0 * r)).acos() - d / 2.0 * (4.0 * r * r - d * d).sqrt();
    near(hole.intersection(&other).area(), lens, 1e-6);
    near(hole.union(&other).area(), 2.0 * hole.area() - lens, 1e-6);
    assert!(hole.difference(&hole).is_empty());
    near(hole.union(&hole).area(), hole.area(), 1e-10);
    assert!(
        hole.intersection(&Region::rectangle(at(0.5, 0.5), at(0.6, 0.6)))
            .is_empty()
    );
}

#[test]
fn polygons_stay_polygons() {
    // A hexagon's corners lie on a circle, yet it is no circle.
    let hexagon = Region::from_contours(&[Contour::polygon(
        (0..6).map(|i| at(0.1, 0.0).rotated(f64::from(i) * PI / 3.0)),
    )]);
    let moved = hexagon.union(&Region::rectangle(at(1.0, 1.0), at(1.1, 1.1)));
    assert_eq!(arcs(&moved), 0);
    assert_eq!(hexagon.contours().map(|c| c.vertices.len()).sum::<usize>(), 6);
    // Whole micrometres come back unchanged.
    let a =
        Region::rectangle(at(0.1, 0.2), at(0.3, 0.4)).union(&Region::rectangle(at(0.3, 0.2), at(0.7, 0.4)));
    assert_eq!(a, Region::rectangle(at(0.1, 0.2), at(0.7, 0.4)));
}

#[test]
fn offsets_of_simple_regions_are_closed_forms() {
    for side in [Side::Inner, Side::Outer] {
        let circle = Region::circle(at(0.1, 0.1), 0.05);
        near(circle.offset(0.01, side).area(), PI * 0.0036, 1e-9);
        near(circle.offset(-0.01, side).area(), PI * 0.0016, 1e-9);
        assert_eq!(circle.offset(0.01, side).shapes[0].outer.vertices.len(), 2);
        assert!(circle.offset(-0.06, side).is_empty());
        let rectangle = Region::rectangle(at(0.0, 0.0), at(0.3, 0.2));
        let grown = rectangle.offset(0.01, side);
        near(grown.area(), 0.06 + 0.01 + PI * 1e-4, 1e-9);
        assert_eq!((grown.shapes[0].outer.vertices.len(), arcs(&grown)), (8, 4));
        let shrunk = rectangle.offset(-0.01, side);
        assert_eq!(shrunk, Region::rectangle(at(0.01, 0.01), at(0.29, 0.19)));
        let rounded = Region::rounded_rectangle(at(0.0, 0.0), at(0.3, 0.2), 0.02);
        let back = rounded.offset(0.015, side).offset(-0.015, side);
        near(back.area(), rounded.area(), 1e-8);
        assert_eq!((back.shapes[0].outer.vertices.len(), arcs(&back)), (8, 4));
        // An L: its inner corner stays sharp growing and rounds shrinking.
        let l = rectangle.difference(&Region::rectangle(at(0.1, 0.1), at(0.4, 0.4)));
        let (p, a) = (l.boundary_length(), l.area());
        near(
            l.offset(0.01, side).area(),
            a + p * 0.01 + 5.0 * PI / 4.0 * 1e-4 - 1e-4,
            1e-9,
        );
        near(
            l.offset(-0.01, side).area(),
            a - p * 0.01 + 5.0 * 1e-4 - PI / 4.0 * 1e-4,
            1e-9,
        );
        // A hole shrinks as its plate grows.
        let plate = rectangle.difference(&Region::circle(at(0.15, 0.1), 0.03));
        near(plate.offset(0.01, side).area(), grown.area() - PI * 0.0004, 1e-9);
        assert_eq!(plate.offset(0.03, side).shapes[0].holes.len(), 0);
    }
}

#[test]
fn distances_between_arcs_are_exact() {
    let a = Region::circle(at(0.0, 0.0), 0.05);
    let b = Region::circle(at(0.3, 0.4), 0.1);
    near(a.distance(&b), 0.35, 1e-14);
    near(
        a.distance(&Region::rectangle(at(0.08, -1.0), at(0.1, 1.0))),
        0.03,
        1e-14,
    );
    near(a.signed_distance(at(0.01, 0.0)), -0.04, 1e-14);
    near(a.signed_distance(at(0.0, 0.0)), -0.05, 1e-14);
    assert!(a.contains(at(0.05, 0.0)) && !a.contains(at(0.050_001, 0.0)));
    assert_eq!(a.distance(&Region::circle(at(0.01, 0.0), 0.01)), 0.0);
    assert_eq!(a.distance(&Region::empty()), f64::INFINITY);
    let pocket = Region::rounded_rectangle(at(-0.1, -0.1), at(0.1, 0.1), 0.03);
    near(a.room_inside(&pocket), 0.05, 1e-14);
    near(
        Region::circle(at(0.07, 0.0), 0.05).room_inside(&pocket),
        -0.02,
        1e-6,
    );
    assert_eq!(pocket.room_inside(&pocket), 0.0);
    assert_eq!(
        Region::rectangle(at(-0.05, -0.1), at(0.05, 0.1)).room_inside(&pocket),
        0.0
    );
    // A wall that encloses a pillar does not fit round it.
    let ring = Region::rectangle(at(-1.0, -1.0), at(1.0, 1.0)).difference(&pocket);
    assert!(Region::rectangle(at(-0.5, -0.5), at(0.5, 0.5)).room_inside(&ring) < -0.09);
    assert!(b.room_inside(&ring) > 0.19);
}

#[test]
fn placing_and_mirroring_keep_shape() {
    let region = Region::rounded_rectangle(at(0.0, 0.0), at(0.3, 0.2), 0.02)
        .difference(&Region::circle(at(0.05, 0.1), 0.02));
    let placed = region.placed(&Placement2 {
        angle: FRAC_PI_2,
        shift: at(1.0, 0.0),
    });
    near(placed.area(), region.area(), 1e-14);
    let bounds = placed.bounds().unwrap();
    assert!(bounds.min.distance(at(0.8, 0.0)) < 1e-15 && bounds.max.distance(at(1.0, 0.3)) < 1e-15);
    let square = Region::rectangle(at(0.0, 0.0), at(0.3, 0.2)).placed(&Placement2 {
        angle: PI,
        shift: at(0.5, 0.5),
    });
    assert_eq!(
        square.bounds(),
        Some(Bounds2 {
            min: at(0.2, 0.3),
            max: at(0.5, 0.5)
        })
    );
    assert!(!placed.contains(at(0.9, 0.05)) && placed.contains(at(0.9, 0.2)));
    let mirrored = region.mirrored_x();
    near(mirrored.area(), region.area(), 1e-14);
    assert!(!mirrored.contains(at(-0.05, 0.1)) && mirrored.contains(at(-0.2, 0.1)));
}

#[test]
fn per_side_growth_of_a_disc() {
    let disc = Region::circle(at(0.0, 0.0), 0.05);
    let grown = disc.grown_by_sides(0.01, 0.02, 0.03, 0.04);
    // Disc plus box: area + perimeter of the box times ... = A + 2 r (w + h) + w h for a disc of radius r.
    near(grown.area(), PI * 0.0025 + 2.0 * 0.05 * 0.1 + 0.03 * 0.07, 2e-6);
    assert!(grown.area() >= PI * 0.0025 + 0.01 + 0.0021 - 1e-12);
    let bounds = grown.bounds().unwrap();
    assert!(bounds.min.distance(at(-0.06, -0.08)) < 3e-9 && bounds.max.distance(at(0.07, 0.09)) < 3e-9);
    assert_eq!(arcs(&grown), 4);
}

#[test]
fn hull_and_triangles_fill() {
    let region = Region::rounded_rectangle(at(0.0, 0.0), at(0.3, 0.2), 0.02)
        .difference(&Region::circle(at(0.05, 0.1), 0.02));
    let triangles: f64 = region
        .triangles()
        .iter()
        .map(|[a, b, c]| (*b - *a).cross(*c - *a) / 2.0)
        .sum();
    near(triangles, region.area(), 3e-6);
    assert!(triangles <= region.area());
    let l = Region::rectangle(at(0.0, 0.0), at(0.2, 0.2))
        .difference(&Region::rectangle(at(0.1, 0.1), at(0.3, 0.3)));
    near(l.convex_hull().area(), 0.035, 1e-12);
}

#[test]
fn hostile_numbers_do_not_panic() {
    let wild = Contour {
        vertices: vec![
            Vertex {
                at: at(f64::NAN, 0.0),
                bulge: 0.5,
            },
            Vertex {
                at: at(f64::INFINITY, 1e300),
                bulge: f64::NAN,
            },
            Vertex {
                at: at(-1.0, 2.0),
                bulge: 1e300,
            },
            Vertex {
                at: at(3.0, 2.0),
                bulge: -1e-300,
            },
        ],
    };
    let region = Region::from_contours(&[wild.clone(), Contour::default()]);
    let _ = region.offset(0.1, Side::Outer).offset(-0.1, Side::Inner);
    let _ = (
        wild.signed_area(),
        wild.bounds(),
        wild.flattened(0.0, Side::Inner),
        region.triangles(),
    );
    let raw = Region::from(caddis_geometry::Shape {
        outer: wild,
        holes: vec![],
    });
    let _ = raw.union(&region).simplified(0.01, Side::Outer);
    let _ = (
        raw.contains(at(0.0, 0.0)),
        raw.distance(&region),
        raw.room_inside(&raw),
        raw.convex_hull(),
    );
    let _ = (
        raw.offset(0.1, Side::Outer),
        raw.grown_by_sides(0.1, 0.1, 0.1, 0.1),
        raw.offset(-0.1, Side::Inner),
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn areas_include_and_exclude(r in radii(), s in radii(), dx in -0.1..0.1f64, dy in -0.1..0.1f64) {
        let a = star(&r);
        let b = star(&s).placed(&Placement2 { angle: 0.3, shift: at(dx, dy) });
        let (union, both) = (a.union(&b).area(), a.intersection(&b).area());
        prop_assert!((union + both - a.area() - b.area()).abs() < 1e-8);
        prop_assert!((a.difference(&b).area() + both - a.area()).abs() < 1e-8);
        let quarter = Placement2 { angle: FRAC_PI_2, shift: at(0.25, -0.125) };
        prop_assert!((a.placed(&quarter).union(&b.placed(&quarter)).area() - union).abs() < 1e-8);
    }

    #[test]
    fn offsets_keep_their_side(r in radii(), d in 0.001..0.03f64, grow in any::<bool>(), round in any::<bool>(), samples in proptest::collection::vec((-0.25..0.25f64, -0.25..0.25f64), 200)) {
        let mut region = star(&r);
        if round { region = region.union(&Region::circle(at(0.05, 0.02), 0.07)).difference(&Region::circle(at(-0.03, 0.0), 0.015)); }
        let by = if grow { d } else { -d };
        let outer = region.offset(by, Side::Outer);
        let inner = region.offset(by, Side::Inner);
        for (x, y) in samples {
            let exact = region.signed_distance(at(x, y));
            if exact < by - 1e-8 { prop_assert!(outer.contains(at(x, y)), "outer misses {x},{y} at {exact}"); }
            if exact > by + 1e-8 { prop_assert!(!inner.contains(at(x, y)), "inner takes {x},{y} at {exact}"); }
            if exact > by + 2.1e-5 { prop_assert!(!outer.contains(at(x, y)), "outer too far at {x},{y}: {exact}"); }
            if exact < by - 2.1e-5 { prop_assert!(inner.contains(at(x, y)), "inner too short at {x},{y}: {exact}"); }
        }
        // Along the boundary of the results, where it is sharp.
        for (result, sign) in [(&outer, 1.0), (&inner, -1.0)] {
            for contour in result.contours() {
                for p in contour.flattened(1e-5, Side::Inner) {
                    let off = sign * (region.signed_distance(p) - by);
                    prop_assert!(off > -1.2e-5 && off < 3.2e-5, "{p:?} is off by {off}");
                }
            }
        }
        let more = region.offset(by + 0.001, Side::Outer);
        prop_assert!(inner.difference(&outer).area() < 1e-8);
        prop_assert!(outer.difference(&more).area() < 1e-8);
    }

    #[test]
    fn growth_by_sides_holds_what_the_box_reaches(r in radii(), sides in proptest::array::uniform4(0.0..0.05f64), rounds in any::<bool>(), samples in proptest::collection::vec((-0.3..0.3f64, -0.3..0.3f64), 200)) {
        let mut region = star(&r);
        if rounds {
            region = region.union(&Region::circle(at(0.05, 0.02), 0.07)).difference(&Region::circle(at(0.04, 0.03), 0.03)).difference(&Region::rectangle(at(-0.02, 0.0), at(0.0, 0.01)));
        }
        let [left, right, front, back] = sides;
        let grown = region.grown_by_sides(left, right, front, back);
        for (x, y) in samples {
            let reached = Region::rectangle(at(x - right - 1e-6, y - back - 1e-6), at(x + left + 1e-6, y + front + 1e-6));
            let (meets, off) = (region.intersection(&reached).area() > 1e-9, region.distance(&reached));
            if meets { prop_assert!(grown.contains(at(x, y)) || off > 0.0 || grown.signed_distance(at(x, y)) < 3e-6, "misses {x},{y}"); }
            if off > 3e-5 { prop_assert!(!grown.contains(at(x, y)), "holds {x},{y} at {off}"); }
        }
        // Along the boundary, where it is sharp: the box at every point of it only just touches.
        for contour in grown.contours() {
            for p in contour.flattened(1e-5, Side::Inner) {
                let inner = Region::rectangle(at(p.x - right + 3e-5, p.y - back + 3e-5), at(p.x + left - 3e-5, p.y + front - 3e-5));
                if right + left > 1e-4 && front + back > 1e-4 { prop_assert!(region.intersection(&inner).area() < 1e-8, "short at {p:?}"); }
                let outer = Region::rectangle(at(p.x - right - 3e-5, p.y - back - 3e-5), at(p.x + left + 3e-5, p.y + front + 3e-5));
                prop_assert!(region.distance(&outer) < 3e-5, "far at {p:?}");
            }
        }
    }

    #[test]
    fn a_region_reaches_as_far_as_its_box_when_turned(r in radii(), angle in -7.0..7.0f64) {
        let region = star(&r).union(&Region::circle(at(0.05, 0.02), 0.07)).difference(&Region::circle(at(-0.1, 0.1), 0.05));
        let turned = region.placed(&Placement2 { angle: -angle, shift: at(0.0, 0.0) });
        let reach = region.reach(at(1.0, 0.0).rotated(angle)).unwrap();
        prop_assert!((reach - turned.bounds().unwrap().max.x).abs() < 1e-12);
    }

    #[test]
    fn simplifying_keeps_its_side(r in proptest::collection::vec(0.15..0.16f64, 8..60), tolerance in 0.0005..0.01f64, round in any::<bool>()) {
        let mut region = star(&r);
        if round { region = region.offset(0.004, Side::Outer); }
        let vertices = |r: &Region| r.contours().map(|c| c.vertices.len()).sum::<usize>();
        let outer = region.simplified(tolerance, Side::Outer);
        let inner = region.simplified(tolerance, Side::Inner);
        prop_assert!(vertices(&outer) <= vertices(&region) && vertices(&inner) <= vertices(&region));
        prop_assert!(region.difference(&outer).area() < 1e-8 && inner.difference(&region).area() < 1e-8);
        for contour in outer.contours().chain(inner.contours()) {
            for v in &contour.vertices {
                prop_assert!(region.signed_distance(v.at).abs() < tolerance + 1e-7);
            }
        }
    }

    #[test]
    fn distance_is_the_least_over_samples(r in radii(), s in radii(), dx in 0.45..0.6f64) {
        let a = star(&r).offset(0.005, Side::Outer);
        let b = star(&s).placed(&Placement2 { angle: 0.7, shift: at(dx, 0.05) });
        let d = a.distance(&b);
        let sampled = a.shapes.iter().flat_map(|s| s.outer.flattened(1e-6, Side::Inner)).map(|p| b.signed_distance(p)).fold(f64::INFINITY, f64::min);
        prop_assert!(d <= sampled + 1e-12);
        let back = b.shapes.iter().flat_map(|s| s.outer.flattened(1e-6, Side::Inner)).map(|p| a.signed_distance(p)).fold(f64::INFINITY, f64::min);
        prop_assert!(d <= back + 1e-12 && (d - sampled.min(back)).abs() < 2e-6);
        prop_assert_eq!(d, b.distance(&a));
    }
}
