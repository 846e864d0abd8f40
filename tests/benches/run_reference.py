"""The reference side of the bench `run`: general open-source libraries doing the same geometric work.

Usage: run_reference.py QUESTION ARGUMENT...
  mesh FILE SCALE   read and check, mass properties, fifty sections with areas, plan silhouette of one mesh
  stages JOB        what general libraries do of a whole stage: `read`, all meshes of the job read and checked
Prints JSON; times are in seconds and leave out the start of the interpreter and the imports.
"""

import glob
import json
import os
import sys
import time

import numpy
import trimesh
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
    # Caddis counts bodies and looks for open edges as it reads.
    _ = whole.is_watertight, whole.body_count
    lap()
    _ = whole.mass_properties.inertia
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
            _ = whole.is_watertight, whole.body_count, whole.mass_properties.inertia


def stages(job):
    seconds = {}
    clock = time.perf_counter()
    contents(job)
    seconds["read"] = time.perf_counter() - clock
    return seconds


QUESTIONS = {"mesh": mesh, "stages": stages}

if __name__ == "__main__":
    if len(sys.argv) < 3 or sys.argv[1] not in QUESTIONS:
        sys.exit(__doc__)
    json.dump(QUESTIONS[sys.argv[1]](*sys.argv[2:]), sys.stdout)
