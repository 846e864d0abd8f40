"""The reference side of the bench `slicing`: triangles in memory to fifty cumulative, grown, simplified layers.

Usage: slicing_reference.py QUESTION ARGUMENT...
  make FOLDER    writes the meshes as NAME.bin (counts, f64 positions in mm, u32 triangles) and one as read.stl; prints names
  layers FILE    the layers by trimesh + shapely and by manifold3d, processor seconds and the sum of the layers' areas
  read FILE      reads an STL file and merges its vertices, processor seconds
Prints JSON; times leave out the start of the interpreter and the imports.
"""

import json
import os
import sys
import time

import manifold3d
import numpy
import trimesh
from shapely.geometry import MultiPolygon
from shapely.ops import unary_union

PLANES = 50
CLEARANCE = 3.0
SIMPLIFY = 0.1
ROUNDS = 3


def camera(refine):
    """A body, a ribbed barrel, a grip and holes, as finely divided as asked: a solid of many level and upright faces."""
    m3 = manifold3d
    m3.set_circular_segments(128)
    body = m3.Manifold.cube([140, 75, 95], True)
    barrel = m3.Manifold.cylinder(120, 38, 36, 256).rotate([90, 0, 0]).translate([0, -30, 0])
    ribs = [
        m3.Manifold.cube([1.2, 60, 2.5], True).translate([0, -85, 38]).rotate([0, 360.0 * k / 90, 0])
        for k in range(90)
    ]
    grip = m3.Manifold.cylinder(95, 18, 18, 128, True).translate([-62, -35, 0])
    top = m3.Manifold.cylinder(12, 14, 14, 96).translate([45, 0, 47])
    hole = m3.Manifold.cylinder(200, 4, 4, 64, True)
    solid = body + barrel + m3.Manifold.batch_boolean(ribs, m3.OpType.Add) + grip + top
    solid = solid - hole.translate([60, 30, 0]) - hole.translate([-60, 30, 0])
    mesh = solid.refine_to_length(refine).to_mesh()
    return numpy.asarray(mesh.vert_properties)[:, :3], numpy.asarray(mesh.tri_verts)


def rock(mesh):
    """A ball with bumps and a waist: a scanned thing that no plane is parallel to."""
    unit = mesh.vertices / numpy.linalg.norm(mesh.vertices, axis=1)[:, None]
    x, y, z = unit.T
    radius = 1 + 0.12 * numpy.sin(5 * x + 1) * numpy.cos(4 * y) + 0.06 * numpy.sin(17 * z) + 0.02 * numpy.sin(41 * x * y)
    return unit * radius[:, None], mesh.faces


def scaled(vertices, faces):
    mesh = trimesh.Trimesh(numpy.asarray(vertices, float), numpy.asarray(faces), process=True)
    mesh.apply_scale(250.0 / mesh.extents.max())
    mesh.apply_translation(-mesh.bounds[0])
    assert mesh.is_watertight
    return mesh


def make(folder):
    ball = trimesh.creation.icosphere
    meshes = {
        "rock 82k": lambda: rock(ball(subdivisions=6)),
        "camera 96k": lambda: camera(4.6),
        "camera 214k": lambda: camera(2.2),
        "ball 328k": lambda: (ball(subdivisions=7).vertices, ball(subdivisions=7).faces),
        "rock 328k": lambda: rock(ball(subdivisions=7)),
        "camera 630k": lambda: camera(1.05),
        "rock 900k": lambda: rock(trimesh.creation.uv_sphere(count=[475, 475])),
    }
    for name, build in meshes.items():
        mesh = scaled(*build())
        with open(os.path.join(folder, name + ".bin"), "wb") as out:
            out.write(numpy.array([len(mesh.vertices), len(mesh.faces)], "<u8").tobytes())
            out.write(mesh.vertices.astype("<f8").tobytes())
            out.write(mesh.faces.astype("<u4").tobytes())
        if name == "camera 630k":
            faces = mesh.faces[:500_000]
            trimesh.Trimesh(mesh.vertices, faces, process=False).export(os.path.join(folder, "read.stl"))
    return list(meshes)


def load(path):
    data = open(path, "rb").read()
    vertices, faces = numpy.frombuffer(data, "<u8", 2)
    positions = numpy.frombuffer(data, "<f8", int(vertices) * 3, 16).reshape(-1, 3)
    triangles = numpy.frombuffer(data, "<u4", int(faces) * 3, 16 + int(vertices) * 24).reshape(-1, 3)
    return positions, triangles


def least(work):
    best, result = None, None
    for _ in range(ROUNDS):
        clock = time.process_time()
        result = work()
        seconds = time.process_time() - clock
        best = seconds if best is None else min(best, seconds)
    return best, result


def layers(path):
    positions, triangles = load(path)
    low, high = positions[:, 2].min(), positions[:, 2].max()
    heights = low + (numpy.arange(PLANES) + 0.5) / PLANES * (high - low)
    mesh = trimesh.Trimesh(positions, triangles, process=False)

    def by_shapely():
        mesh._cache.clear()
        cuts = mesh.section_multiplane([0, 0, 0], [0, 0, 1], heights)
        below, grown, exact = MultiPolygon(), [], 0.0
        for cut in cuts:
            if cut is not None:
                below = below.union(unary_union([p if p.is_valid else p.buffer(0) for p in cut.polygons_full]))
            layer = below.buffer(CLEARANCE, quad_segs=8, join_style="round")
            exact += layer.area
            grown.append(layer.simplify(SIMPLIFY))
        return grown

    def by_manifold():
        solid = manifold3d.Manifold(
            manifold3d.Mesh(numpy.array(positions, numpy.float32), numpy.array(triangles, numpy.uint32))
        )
        below, grown = manifold3d.CrossSection(), []
        for height in heights:
            below = below + solid.slice(float(height))
            grown.append(below.offset(CLEARANCE, manifold3d.JoinType.Round, 2.0, 32).simplify(SIMPLIFY))
        return grown

    shapely_seconds, by_s = least(by_shapely)
    manifold_seconds, by_m = least(by_manifold)
    # The areas to agree with, finely rounded and not simplified.
    cuts = mesh.section_multiplane([0, 0, 0], [0, 0, 1], heights)
    below, area = MultiPolygon(), []
    for cut in cuts:
        if cut is not None:
            below = below.union(unary_union([p if p.is_valid else p.buffer(0) for p in cut.polygons_full]))
        area.append(below.buffer(CLEARANCE, quad_segs=64).area)
    return {
        "shapely_seconds": shapely_seconds,
        "manifold_seconds": manifold_seconds,
        "areas": area,
        "shapely_area": sum(layer.area for layer in by_s),
        "manifold_area": sum(layer.area() for layer in by_m),
        "manifold_corners": sum(layer.num_vert() for layer in by_m),
    }


def read(path):
    def work():
        mesh = trimesh.load_mesh(path)
        mesh.merge_vertices()
        return mesh.is_watertight, mesh.body_count

    return {"seconds": least(work)[0]}


QUESTIONS = {"make": make, "layers": layers, "read": read}

if __name__ == "__main__":
    if len(sys.argv) < 3 or sys.argv[1] not in QUESTIONS:
        sys.exit(__doc__)
    json.dump(QUESTIONS[sys.argv[1]](*sys.argv[2:]), sys.stdout)
