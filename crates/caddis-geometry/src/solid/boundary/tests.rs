use super::{Boundary, Surface};
use crate::{Contour, Placement2, Prism, Region, Vec2, Vertex};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::f64::consts::PI;

fn prism(region: Region, low: f64, high: f64) -> Prism {
    Prism { region, low, high }
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Region {
    Region::rectangle(Vec2::new(x0, y0), Vec2::new(x1, y1))
}

/// Corners, edges, faces and loops of a skin together: V - E + 2 F - L, which is 2 less twice the number of handles.
fn characteristic(boundary: &Boundary, faces: &[u32]) -> i64 {
    let count = |n: usize| i64::try_from(n).unwrap();
    let mut edges = BTreeSet::new();
    let mut loops = 0;
    for &face in faces {
        let face = &boundary.faces[face as usize];
        loops += count(face.loops.len());
        edges.extend(face.loops.iter().flatten().map(|step| step.0));
    }
    let corners: BTreeSet<u32> = edges
        .iter()
        .flat_map(|&edge| {
            let edge = boundary.edges[edge as usize];
            [edge.from, edge.to]
        })
        .collect();
    count(corners.len()) - count(edges.len()) + 2 * count(faces.len()) - loops
}

/// Closed as triangles, and the volume of both forms.
fn assert_whole(boundary: &Boundary, volume: f64) {
    assert!(
        (boundary.volume() / volume - 1.0).abs() < 1e-9,
        "{} instead of {volume}",
        boundary.volume()
    );
    let mesh = boundary.mesh(1e-5).welded(1e-9);
    let check = mesh.check();
    assert!(check.is_closed, "{check:?}");
    let found = mesh.mass_properties().volume;
    assert!((found / volume - 1.0).abs() < 2e-3, "{found} instead of {volume}");
}

#[test]
fn a_box_has_eight_corners_and_no_handle() {
    let boundary = Boundary::of(&[prism(rectangle(0.0, 0.0, 0.3, 0.2), 0.01, 0.06)], &[]).unwrap();
    assert_eq!(
        (boundary.corners.len(), boundary.edges.len(), boundary.faces.len()),
        (8, 12, 6)
    );
    assert_eq!(boundary.pieces.len(), 1);
    assert_eq!(characteristic(&boundary, &boundary.pieces[0].outer), 2);
    assert_whole(&boundary, 0.3 * 0.2 * 0.05);
}

#[test]
fn a_cylinder_is_two_round_walls() {
    let boundary = Boundary::of(&[prism(Region::circle(Vec2::new(0.1, 0.2), 0.03), 0.0, 0.1)], &[]).unwrap();
    let round = boundary
        .faces
        .iter()
        .filter(|face| matches!(face.surface, Surface::Round { outward: true, radius, .. } if (radius - 0.03).abs() < 1e-12));
    assert_eq!(round.count(), 2);
    assert_eq!(characteristic(&boundary, &boundary.pieces[0].outer), 2);
    assert_whole(&boundary, PI * 0.03 * 0.03 * 0.1);
}

#[test]
fn a_stepped_pocket_and_a_notch_that_share_walls_make_one_solid() {
    let outline = Region::rounded_rectangle(Vec2::new(0.0, 0.0), Vec2::new(0.4, 0.3), 0.02);
    let deep = rectangle(0.1, 0.1, 0.2, 0.2);
    let wide = rectangle(0.1, 0.1, 0.25, 0.2);
    let notch = Region::circle(Vec2::new(0.1, 0.15), 0.015);
    let through = Region::circle(Vec2::new(0.32, 0.15), 0.03);
    let boundary = Boundary::of(
        &[prism(outline.clone(), 0.0, 0.05)],
        &[
            prism(deep.clone(), 0.01, 0.05),
            prism(wide, 0.03, 0.05),
            prism(notch, 0.02, 0.05),
            prism(through.clone(), 0.0, 0.05),
        ],
    )
    .unwrap();
    let volume = outline.area() * 0.05
        - deep.area() * 0.04
        - 0.05 * 0.1 * 0.02
        - PI * 0.015 * 0.015 / 2.0 * 0.03
        - through.area() * 0.05;
    assert_eq!(boundary.pieces.len(), 1);
    // One handle: the hole through it.
    assert_eq!(characteristic(&boundary, &boundary.pieces[0].outer), 0);
    assert_whole(&boundary, volume);
}

#[test]
fn pockets_that_touch_at_a_corner_leave_edges_of_two_faces_each() {
    let boundary = Boundary::of(
        &[prism(rectangle(0.0, 0.0, 0.3, 0.3), 0.0, 0.05)],
        &[
            prism(rectangle(0.05, 0.05, 0.15, 0.15), 0.02, 0.05),
            prism(rectangle(0.15, 0.15, 0.25, 0.25), 0.02, 0.05),
        ],
    )
    .unwrap();
    assert_eq!(boundary.pieces.len(), 1);
    let volume = boundary.volume();
    assert!((volume - (0.09 * 0.05 - 2.0 * 0.01 * 0.03)).abs() < 1e-12);
}

#[test]
fn a_piece_cut_through_is_two_and_a_void_inside_is_one_skin_more() {
    let boundary = Boundary::of(
        &[prism(rectangle(0.0, 0.0, 0.3, 0.1), 0.0, 0.05)],
        &[
            prism(rectangle(0.1, -0.1, 0.2, 0.2), 0.0, 0.05),
            prism(rectangle(0.02, 0.02, 0.06, 0.06), 0.01, 0.04),
        ],
    )
    .unwrap();
    assert_eq!(boundary.pieces.len(), 2);
    let voids: Vec<usize> = boundary.pieces.iter().map(|piece| piece.voids.len()).collect();
    assert_eq!(voids.iter().sum::<usize>(), 1);
    assert_whole(&boundary, 0.2 * 0.1 * 0.05 - 0.04 * 0.04 * 0.03);
}

#[test]
fn nothing_has_no_boundary() {
    assert_eq!(Boundary::of(&[], &[]).unwrap(), Boundary::default());
    let all = prism(rectangle(0.0, 0.0, 0.1, 0.1), 0.0, 0.1);
    assert!(
        Boundary::of(std::slice::from_ref(&all), std::slice::from_ref(&all))
            .unwrap()
            .pieces
            .is_empty()
    );
}

fn void() -> impl Strategy<Value = (Region, f64)> {
    let place = (0.05_f64..0.35, 0.05_f64..0.25);
    (
        place,
        0.004_f64..0.04,
        0.004_f64..0.04,
        0_u8..4,
        0.0_f64..3.0,
        0.005_f64..0.05,
    )
        .prop_map(|((x, y), a, b, kind, angle, floor)| {
            let half = Vec2::new(a, b);
            let region = match kind {
                0 => Region::circle(Vec2::ZERO, a),
                1 => Region::slot(Vec2::new(-b, 0.0), Vec2::new(b, 0.0), a / 2.0),
                2 => Region::rounded_rectangle(half * -1.0, half, a.min(b) * 0.4),
                _ => Region::rectangle(half * -1.0, half),
            };
            let turned = Placement2 {
                angle,
                shift: Vec2::new(x, y),
            };
            (region.placed(&turned), floor)
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_skin_closes_and_holds_what_the_regions_hold(voids in proptest::collection::vec(void(), 1..7)) {
        let outline = Region::rounded_rectangle(Vec2::ZERO, Vec2::new(0.4, 0.3), 0.03);
        let removed: Vec<Prism> = voids.iter().map(|(region, floor)| prism(region.clone(), *floor, 0.05)).collect();
        let boundary = Boundary::of(&[prism(outline.clone(), 0.0, 0.05)], &removed).unwrap();
        for piece in &boundary.pieces {
            for skin in std::iter::once(&piece.outer).chain(&piece.voids) {
                let found = characteristic(&boundary, skin);
                prop_assert!(found <= 2 && found % 2 == 0, "{}", found);
            }
        }
        let mut floors: Vec<f64> = voids.iter().map(|v| v.1).chain([0.0, 0.05]).collect();
        floors.sort_by(f64::total_cmp);
        let volume: f64 = floors
            .windows(2)
            .map(|pair| {
                let z = f64::midpoint(pair[0], pair[1]);
                let open = Region::union_all(removed.iter().filter(|p| p.low < z).map(|p| &p.region));
                outline.difference(&open).area() * (pair[1] - pair[0])
            })
            .sum();
        // The regions' booleans cut arcs as chords, which the boundary does not.
        prop_assert!((boundary.volume() / volume - 1.0).abs() < 1e-4, "{} {}", boundary.volume(), volume);
        let check = boundary.mesh(1e-5).welded(1e-9).check();
        prop_assert!(check.is_closed, "{:?}", check);
    }

    #[test]
    fn turning_the_arcs_keeps_the_volume(voids in proptest::collection::vec(void(), 1..4), angle in 0.0_f64..6.3) {
        let volume = |angle: f64| {
            let turned = |region: &Region| region.placed(&Placement2 { angle, shift: Vec2::new(0.01, -0.02) });
            let outline = Region::rounded_rectangle(Vec2::ZERO, Vec2::new(0.4, 0.3), 0.03);
            let removed: Vec<Prism> =
                voids.iter().map(|(region, floor)| prism(turned(region), *floor, 0.05)).collect();
            Boundary::of(&[prism(turned(&outline), 0.0, 0.05)], &removed).unwrap().volume()
        };
        prop_assert!((volume(angle) / volume(0.0) - 1.0).abs() < 1e-9);
    }
}

/// An arc that runs past the corner it should end at by less than points are told apart sideways, and comes back along the line
/// that follows: what is left where outlines are widened and narrowed again.
#[test]
fn an_outline_that_runs_to_and_fro_within_a_hair_still_closes() {
    let corners = [
        (-0.25, -0.204_246_611, 0.0),
        (-0.232_933_449, -0.204_201_035, 0.541_544_187),
        (-0.230_959_981, -0.199_579_902, 0.0),
        (-0.231_204_579, -0.199_213_836, 0.0),
        (-0.231_172_379, -0.199_260_486, -0.604_521_121),
        (-0.225, -0.187_5, -0.604_521_121),
        (-0.218_827_622, -0.199_260_487, 0.0),
        (-0.218_795_423, -0.199_213_839, 0.0),
        (-0.219_040_017, -0.199_579_898, 0.541_544_723),
        (-0.217_066_552, -0.204_201_035, 0.0),
        (-0.2, -0.204_246_611, 0.0),
        (-0.2, -0.17, 0.0),
        (-0.25, -0.17, 0.0),
    ];
    let vertices = corners
        .map(|(x, y, bulge)| Vertex {
            at: Vec2::new(x, y),
            bulge,
        })
        .to_vec();
    let region = Region::from_contours(&[Contour { vertices }]);
    // Points a micrometre apart are one, all along the outline at most.
    let (area, most) = (region.area(), 1e-6 * region.boundary_length());
    let boundary = Boundary::of(&[prism(region, 0.0, 0.02)], &[]).unwrap();
    assert_eq!(boundary.pieces.len(), 1);
    assert!((boundary.volume() / 0.02 - area).abs() < most);
}
