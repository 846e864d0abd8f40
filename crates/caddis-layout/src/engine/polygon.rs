//! Plan regions as convex parts: arcs flattened outward, pockets cut into convex pieces.

use super::convex::Convex;
use caddis_geometry::{Contour, Region as Plan, Shape, Vec2};

/// How far a flattened arc may lie outside the true one, metres.
const ARC_CHORD: f64 = 1e-4;
/// Pockets shallower than these are filled, in turn, until the plan has few enough parts, metres.
const POCKETS: [f64; 4] = [1e-4, 3e-4, 1e-3, 2e-3];
/// With so many convex parts a plan is simple enough.
const FEW_PARTS: usize = 12;
/// Points closer than this are one point, metres.
const SAME: f64 = 1e-9;

/// Convex parts whose union holds the plan (Outer): never less, at most 0.1 mm more at arcs and, where
/// the outline is ragged, 2 mm more in pockets.
pub(crate) fn convex_parts(plan: &Plan) -> Vec<Convex> {
    convex_parts_filled(plan, &POCKETS)
}

/// As [`convex_parts`], with no pocket filled that is deeper than `pocket`, however many parts that makes.
pub(crate) fn close_convex_parts(plan: &Plan, pocket: f64) -> Vec<Convex> {
    convex_parts_filled(plan, &[pocket])
}

fn convex_parts_filled(plan: &Plan, pockets: &[f64]) -> Vec<Convex> {
    let mut parts = Vec::new();
    for shape in &plan.shapes {
        let outer = flattened_outward(&shape.outer);
        if outer.len() < 3 {
            continue;
        }
        let holes: Vec<Vec<Vec2>> = shape
            .holes
            .iter()
            .map(flattened_outward)
            .filter(|hole| hole.len() >= 3 && signed_area(hole) < -1e-8)
            .collect();
        let mut found = Vec::new();
        for &pocket in pockets {
            let simple = without_shallow_pockets(&outer, pocket);
            found = decomposed(&simple, &holes);
            if found.len() <= FEW_PARTS {
                break;
            }
        }
        parts.extend(found.into_iter().map(Convex::new));
    }
    parts
}

/// The plan with straight edges only, never less than it (Outer).
pub(crate) fn straightened(plan: &Plan) -> Plan {
    let straight = |contour: &Contour| Contour::polygon(flattened_outward(contour));
    Plan {
        shapes: plan
            .shapes
            .iter()
            .map(|shape| Shape {
                outer: straight(&shape.outer),
                holes: shape
                    .holes
                    .iter()
                    .map(straight)
                    .filter(|hole| hole.vertices.len() >= 3)
                    .collect(),
            })
            .filter(|shape| shape.outer.vertices.len() >= 3)
            .collect(),
    }
}

/// Points of a contour whose inside is on its left, arcs replaced so that nothing of the inside is lost: tangents
/// where the boundary bulges out, chords where it bulges in.
///
/// # Source
/// Bulge = tan(included angle / 4), centre at (1 - b^2)/(4 b) chords left of the chord's middle: circle geometry.
fn flattened_outward(contour: &Contour) -> Vec<Vec2> {
    let count = contour.vertices.len();
    let mut points = Vec::with_capacity(count);
    for (index, vertex) in contour.vertices.iter().enumerate() {
        let (p, q) = (vertex.at, contour.vertices[(index + 1) % count].at);
        points.push(p);
        let bulge = vertex.bulge;
        let chord = q - p;
        if bulge == 0.0 || chord.length() < SAME {
            continue;
        }
        let angle = 4.0 * bulge.atan();
        let centre = (p + q) / 2.0 + chord.perpendicular() * ((1.0 - bulge * bulge) / (4.0 * bulge));
        let radius = centre.distance(p);
        let widest = 2.0 * (1.0 / (1.0 + ARC_CHORD / radius)).acos();
        let pieces = (angle.abs() / widest.clamp(1e-2, std::f64::consts::FRAC_PI_4))
            .ceil()
            .max(1.0);
        let step = angle / pieces;
        let arm = p - centre;
        for k in 0..pieces as usize {
            if bulge > 0.0 {
                let reach = 1.0 / (step / 2.0).cos();
                points.push(centre + arm.rotated(step * (k as f64 + 0.5)) * reach);
            } else if k > 0 {
                points.push(centre + arm.rotated(step * k as f64));
            }
        }
    }
    cleaned(points)
}

/// Without double points and points on a straight run.
fn cleaned(points: Vec<Vec2>) -> Vec<Vec2> {
    let mut points: Vec<Vec2> = points.into_iter().filter(|p| p.is_finite()).collect();
    loop {
        let count = points.len();
        if count < 3 {
            return points;
        }
        let useless = (0..count).find(|&i| {
            let (a, b, c) = (
                points[(i + count - 1) % count],
                points[i],
                points[(i + 1) % count],
            );
            let run = c - a;
            a.distance(b) < SAME || {
                let away = run.cross(b - a).abs();
                away < SAME * run.length() && (b - a).dot(run) > 0.0 && (c - b).dot(run) > 0.0
            }
        });
        match useless {
            Some(index) => {
                points.remove(index);
            }
            None => return points,
        }
    }
}

/// Twice the enclosed area halved: positive when counter-clockwise.
pub(crate) fn signed_area(points: &[Vec2]) -> f64 {
    let count = points.len();
    (0..count)
        .map(|i| points[i].cross(points[(i + 1) % count]))
        .sum::<f64>()
        / 2.0
}

fn in_triangle(p: Vec2, a: Vec2, b: Vec2, c: Vec2) -> bool {
    (b - a).cross(p - a) >= 0.0 && (c - b).cross(p - b) >= 0.0 && (a - c).cross(p - c) >= 0.0
}

/// Fills reflex corners no deeper than `pocket`: the plan only grows.
fn without_shallow_pockets(points: &[Vec2], pocket: f64) -> Vec<Vec2> {
    let mut left: Vec<(Vec2, f64)> = points.iter().map(|&p| (p, 0.0)).collect();
    let mut index = 0;
    let mut unchanged = 0;
    while left.len() > 3 && unchanged < left.len() {
        let count = left.len();
        index %= count;
        let before = (index + count - 1) % count;
        let (a, b, c) = (left[before].0, left[index].0, left[(index + 1) % count].0);
        let run = c - a;
        let depth = -run.cross(b - a) / run.length().max(SAME);
        // Reflex in a counter-clockwise boundary: the corner lies left of the straight run from a to c.
        let filled = -depth + left[index].1.max(left[before].1);
        let free = depth < 0.0
            && filled <= pocket
            && left
                .iter()
                .all(|&(p, _)| p == a || p == b || p == c || !in_triangle(p, a, c, b));
        if free {
            left[before].1 = filled;
            left.remove(index);
            unchanged = 0;
        } else {
            index += 1;
            unchanged += 1;
        }
    }
    left.into_iter().map(|(p, _)| p).collect()
}

/// Cuts a boundary with holes into convex polygons; what cannot be cut is replaced by its hull, which only grows it.
fn decomposed(outer: &[Vec2], holes: &[Vec<Vec2>]) -> Vec<Vec<Vec2>> {
    let wanted = signed_area(outer) + holes.iter().map(|hole| signed_area(hole)).sum::<f64>();
    if holes.is_empty() && is_convex(outer) {
        return vec![outer.to_vec()];
    }
    let Some(ring) = bridged(outer, holes) else {
        return vec![hull(outer)];
    };
    let Some(triangles) = ears(&ring) else {
        return vec![hull(outer)];
    };
    let parts = merged(&ring, triangles);
    let parts: Vec<Vec<Vec2>> = parts
        .into_iter()
        .map(|part| part.into_iter().map(|i| ring[i]).collect::<Vec<_>>())
        .filter(|part| part.len() >= 3)
        .collect();
    let got: f64 = parts.iter().map(|part| signed_area(part)).sum();
    if (got - wanted).abs() > 1e-9 + 1e-7 * wanted.abs() {
        return vec![hull(outer)];
    }
    parts
}

fn is_convex(points: &[Vec2]) -> bool {
    let count = points.len();
    signed_area(points) > 0.0
        && (0..count).all(|i| {
            let (a, b, c) = (points[i], points[(i + 1) % count], points[(i + 2) % count]);
            (b - a).cross(c - b) >= -1e-15
        })
        && turns_once(points)
}

/// A star with left turns only goes round more than once.
fn turns_once(points: &[Vec2]) -> bool {
    let count = points.len();
    let total: f64 = (0..count)
        .map(|i| {
            let u = points[(i + 1) % count] - points[i];
            let v = points[(i + 2) % count] - points[(i + 1) % count];
            u.cross(v).atan2(u.dot(v))
        })
        .sum();
    total < 2.0 * std::f64::consts::PI + 0.1
}

/// Convex hull, counter-clockwise.
///
/// # Source
/// A. M. Andrew, Another efficient algorithm for convex hulls in two dimensions, 1979 (from memory).
pub(crate) fn hull(points: &[Vec2]) -> Vec<Vec2> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup_by(|a, b| a.distance(*b) < SAME);
    if sorted.len() < 3 {
        return sorted;
    }
    let mut chain: Vec<Vec2> = Vec::with_capacity(sorted.len() * 2);
    for pass in 0..2 {
        let start = chain.len();
        let run: Box<dyn Iterator<Item = &Vec2>> = if pass == 0 {
            Box::new(sorted.iter())
        } else {
            Box::new(sorted.iter().rev())
        };
        for &p in run {
            while chain.len() >= start + 2 {
                let (a, b) = (chain[chain.len() - 2], chain[chain.len() - 1]);
                if (b - a).cross(p - b) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
    }
    chain
}

/// Holes joined to the outer boundary by double edges; `None` if a hole sees no corner.
fn bridged(outer: &[Vec2], holes: &[Vec<Vec2>]) -> Option<Vec<Vec2>> {
    let mut ring = outer.to_vec();
    let mut order: Vec<&Vec<Vec2>> = holes.iter().collect();
    let rightmost = |hole: &[Vec2]| {
        (0..hole.len())
            .max_by(|&a, &b| hole[a].x.total_cmp(&hole[b].x))
            .unwrap_or(0)
    };
    order.sort_by(|a, b| b[rightmost(b)].x.total_cmp(&a[rightmost(a)].x));
    for (done, hole) in order.iter().enumerate() {
        let from = rightmost(hole);
        let p = hole[from];
        let mut corners: Vec<usize> = (0..ring.len()).collect();
        corners.sort_by(|&a, &b| ring[a].distance(p).total_cmp(&ring[b].distance(p)));
        let clear = |q: Vec2| {
            let crosses = |path: &[Vec2]| {
                (0..path.len()).any(|i| {
                    let (a, b) = (path[i], path[(i + 1) % path.len()]);
                    a != q && b != q && a != p && b != p && segments_cross(p, q, a, b)
                })
            };
            !crosses(&ring) && order[done..].iter().all(|other| !crosses(other))
        };
        let corner = corners.into_iter().find(|&c| clear(ring[c]))?;
        let mut joined = ring[..=corner].to_vec();
        joined.extend((0..=hole.len()).map(|k| hole[(from + k) % hole.len()]));
        joined.extend_from_slice(&ring[corner..]);
        ring = joined;
    }
    Some(ring)
}

fn segments_cross(p: Vec2, q: Vec2, a: Vec2, b: Vec2) -> bool {
    let side = |o: Vec2, d: Vec2, x: Vec2| (d - o).cross(x - o);
    side(p, q, a) * side(p, q, b) <= 0.0 && side(a, b, p) * side(a, b, q) <= 0.0
}

/// Triangles by ear clipping; `None` when no ear is left before the end.
///
/// # Source
/// G. H. Meisters, Polygons have ears, 1975 (from memory).
fn ears(ring: &[Vec2]) -> Option<Vec<Vec<usize>>> {
    let mut left: Vec<usize> = (0..ring.len()).collect();
    let mut triangles = Vec::with_capacity(ring.len());
    while left.len() > 3 {
        let count = left.len();
        let ear = (0..count).find(|&i| {
            let (ia, ib, ic) = (left[(i + count - 1) % count], left[i], left[(i + 1) % count]);
            let (a, b, c) = (ring[ia], ring[ib], ring[ic]);
            (b - a).cross(c - b) > 1e-16
                && left.iter().all(|&k| {
                    let p = ring[k];
                    p == a || p == b || p == c || !in_triangle(p, a, b, c)
                })
        });
        if let Some(i) = ear {
            triangles.push(vec![
                left[(i + count - 1) % count],
                left[i],
                left[(i + 1) % count],
            ]);
            left.remove(i);
        } else {
            // A corner without area may go: it holds nothing.
            let flat = (0..count).find(|&i| {
                let (a, b, c) = (
                    ring[left[(i + count - 1) % count]],
                    ring[left[i]],
                    ring[left[(i + 1) % count]],
                );
                (b - a).cross(c - b).abs() <= 1e-16
            })?;
            left.remove(flat);
        }
    }
    triangles.push(left);
    Some(triangles)
}

/// Joins neighbours while the result stays convex.
///
/// # Source
/// S. Hertel and K. Mehlhorn, Fast triangulation of simple polygons, 1983 (from memory).
fn merged(ring: &[Vec2], mut parts: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let mut first = 0;
    while first < parts.len() {
        let mut second = first + 1;
        while second < parts.len() {
            if let Some(joined) = joined(ring, &parts[first], &parts[second]) {
                parts[first] = joined;
                parts.remove(second);
                second = first + 1;
            } else {
                second += 1;
            }
        }
        first += 1;
    }
    parts
}

fn joined(ring: &[Vec2], a: &[usize], b: &[usize]) -> Option<Vec<usize>> {
    for i in 0..a.len() {
        let (from, to) = (a[i], a[(i + 1) % a.len()]);
        let Some(j) = (0..b.len()).find(|&j| b[j] == to && b[(j + 1) % b.len()] == from) else {
            continue;
        };
        let mut whole: Vec<usize> = (0..a.len()).map(|k| a[(i + 1 + k) % a.len()]).collect();
        whole.extend((0..b.len() - 2).map(|k| b[(j + 2 + k) % b.len()]));
        let points: Vec<Vec2> = whole.iter().map(|&k| ring[k]).collect();
        return is_convex(&points).then_some(whole);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[(f64, f64)]) -> Plan {
        Plan {
            shapes: vec![caddis_geometry::Shape {
                outer: Contour::polygon(points.iter().map(|&(x, y)| Vec2::new(x, y))),
                holes: Vec::new(),
            }],
        }
    }

    fn area(parts: &[Convex]) -> f64 {
        parts.iter().map(|part| signed_area(&part.points)).sum()
    }

    #[test]
    fn an_l_shape_becomes_two_parts_of_its_area() {
        let parts = convex_parts(&polygon(&[
            (0.0, 0.0),
            (0.2, 0.0),
            (0.2, 0.1),
            (0.1, 0.1),
            (0.1, 0.3),
            (0.0, 0.3),
        ]));
        assert_eq!(parts.len(), 2);
        assert!((area(&parts) - 0.04).abs() < 1e-12);
    }

    #[test]
    fn a_frame_keeps_its_hole() {
        let mut plan = polygon(&[(0.0, 0.0), (0.3, 0.0), (0.3, 0.3), (0.0, 0.3)]);
        plan.shapes[0].holes.push(Contour::polygon(
            [(0.1, 0.1), (0.1, 0.2), (0.2, 0.2), (0.2, 0.1)].map(|(x, y)| Vec2::new(x, y)),
        ));
        let parts = convex_parts(&plan);
        assert!(parts.len() >= 4);
        assert!((area(&parts) - 0.08).abs() < 1e-12);
    }

    #[test]
    fn a_circle_is_one_part_that_holds_it() {
        let half = |x: f64| caddis_geometry::Vertex {
            at: Vec2::new(x, 0.0),
            bulge: 1.0,
        };
        let plan = Plan {
            shapes: vec![caddis_geometry::Shape {
                outer: Contour {
                    vertices: vec![half(-0.05), half(0.05)],
                },
                holes: Vec::new(),
            }],
        };
        let parts = convex_parts(&plan);
        assert_eq!(parts.len(), 1);
        for k in 0..100 {
            let n = Vec2::new(1.0, 0.0).rotated(f64::from(k) * 0.0628);
            let reach = parts[0].support(n);
            assert!((0.05 - 1e-12..0.0502).contains(&reach), "{reach}");
        }
    }

    #[test]
    fn a_comb_loses_nothing() {
        let mut points = vec![(0.0, 0.0), (0.21, 0.0)];
        for k in (0..10).rev() {
            let x = 0.02 * f64::from(k);
            points.extend([(x + 0.03, 0.1), (x + 0.02, 0.02)]);
        }
        points.push((0.0, 0.1));
        let plan = polygon(&points);
        let parts = convex_parts(&plan);
        let exact = signed_area(&points.iter().map(|&(x, y)| Vec2::new(x, y)).collect::<Vec<_>>());
        assert!(area(&parts) >= exact - 1e-12);
    }
}
