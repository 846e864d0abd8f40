"""The reference side of the bench `run`: general open-source libraries doing the same geometric work.

Usage: run_reference.py QUESTION ARGUMENT...
  mesh FILE SCALE      read, mass properties, fifty sections with areas, plan silhouette of one mesh
  stages JOB OUT       what trimesh, shapely and ezdxf can do of the stages `read` and `make`
Prints JSON; times are in seconds and leave out the start of the interpreter and the imports.
"""

import glob
import json
import os
import sys
import time

import ezdxf
import numpy
import trimesh
from ezdxf import path as paths
from shapely.geometry import Polygon
from shapely.ops import unary_union
from trimesh.path.polygons import projected


def read(path, scale):
    mesh = trimesh.load_scene(path).to_mesh()
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    if path.lower().endswith(".glb"):
        mesh.apply_transform([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
    mesh.apply_scale(float(scale))
    return mesh


def sections(mesh, count=50):
    low, high = mesh.bounds[0][2], mesh.bounds[1][2]
    heights = (numpy.arange(count) + 0.5) / count * (high - low)
    cuts = mesh.section_multiplane([0, 0, low], [0, 0, 1], heights)
    return [unary_union(cut.polygons_full) for cut in cuts if cut is not None]


def mesh(path, scale):
    seconds = []
    clock = time.perf_counter()

    def lap():
        nonlocal clock
        seconds.append(time.perf_counter() - clock)
        clock = time.perf_counter()

    whole = read(path, scale)
    lap()
    _ = whole.mass_properties.inertia, whole.is_watertight
    lap()
    area = sum(region.area for region in sections(whole))
    lap()
    shadow = projected(whole, normal=[0, 0, 1], precise=True).area
    lap()
    return {"seconds": seconds, "area": float(area), "shadow": float(shadow)}


def contents(job):
    """Each mesh of the job: read, closedness, mass properties."""
    for path in sorted(glob.glob(os.path.join(job, "**", "*"), recursive=True)):
        if path.lower().endswith((".stl", ".3mf", ".glb")):
            whole = read(path, 1 if path.endswith(".glb") else 0.001)
            _ = whole.is_watertight, whole.mass_properties.inertia


def outlines(path):
    """Closed outlines of a drawing as polygons, largest first."""
    rings = []
    for entity in ezdxf.readfile(path).modelspace():
        if entity.dxftype() == "LWPOLYLINE" and entity.closed and entity.dxf.layer.startswith("CUT_"):
            ring = Polygon([(p.x, p.y) for p in paths.make_path(entity).flattening(0.02)])
            if ring.is_valid and ring.area > 0:
                rings.append(ring)
    return sorted(rings, key=lambda ring: -ring.area)


def stages(job, out):
    seconds = {}
    clock = time.perf_counter()
    contents(job)
    seconds["read"] = time.perf_counter() - clock
    # The finished outlines are given to the reference; it subtracts the cavities, checks the webs and writes the files.
    drawings = [outlines(path) for path in sorted(glob.glob(os.path.join(out, "layers", "*.dxf")))]
    clock = time.perf_counter()
    for rings in drawings:
        if not rings:
            continue
        layer = rings[0].difference(unary_union(rings[1:])) if len(rings) > 1 else rings[0]
        _ = layer.buffer(-0.003).area
        document = ezdxf.new("R2000")
        document.units = ezdxf.units.MM
        for part in getattr(layer, "geoms", [layer]):
            for ring in [part.exterior, *part.interiors]:
                document.modelspace().add_lwpolyline(ring.coords[:-1], close=True)
        document.saveas(os.devnull)
    seconds["make"] = time.perf_counter() - clock
    return seconds


QUESTIONS = {"mesh": mesh, "stages": stages}

if __name__ == "__main__":
    if len(sys.argv) < 3 or sys.argv[1] not in QUESTIONS:
        sys.exit(__doc__)
    json.dump(QUESTIONS[sys.argv[1]](*sys.argv[2:]), sys.stdout)
