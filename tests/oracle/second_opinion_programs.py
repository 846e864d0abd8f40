"""Second opinion on machine programs: the stand-alone interpreter rs274, and shapely for what its moves sweep.

Called by second_opinion.py. Lengths in millimetres.
"""

import glob
import math
import os
import re
import sys

import second_opinion_set as of


# Where scripts/need.sh unpacks the interpreter.
FOLDER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "target", "rs274", "root", "usr")


def interpreter():
    """The interpreter and the folders of its libraries."""
    program = os.environ.get("CADDIS_RS274") or os.path.join(FOLDER, "bin", "rs274")
    if not os.path.exists(program):
        sys.exit(f"no {program}: the oracle tests read machine programs with rs274; run scripts/test, which fetches it")
    beside = [os.path.join(FOLDER, "lib"), *glob.glob(os.path.join(FOLDER, "lib", "*-linux-gnu"))]
    return program, os.environ.get("CADDIS_RS274_LIBRARIES", ":".join(beside))


def canonical(program, tool_diameter):
    """The interpreter's calls for a program, strict about arcs; None when it refuses."""
    import subprocess
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        table, settings = os.path.join(folder, "tool.tbl"), os.path.join(folder, "strict.ini")
        with open(table, "w", encoding="ascii") as file:
            file.write(f"T1 P1 Z0 D{tool_diameter} ;cutter\n")
        with open(settings, "w", encoding="ascii") as file:
            file.write("[RS274NGC]\nCENTER_ARC_RADIUS_TOLERANCE_MM = 0.005\n")
        rs274, libraries = interpreter()
        environment = dict(os.environ, LD_LIBRARY_PATH=libraries)
        command = [rs274, "-g", "-t", table, "-i", settings, program]
        done = subprocess.run(command, env=environment, cwd=folder, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        return None
    calls = []
    for line in done.stdout.splitlines():
        found = re.search(r"([A-Z_]+)\(([^()]*)\)\s*$", line)
        if found and found[1] in ("STRAIGHT_TRAVERSE", "STRAIGHT_FEED", "ARC_FEED"):
            calls.append((found[1], [float(x) for x in found[2].split(",")]))
    return calls


def moves(calls):
    """Canonical calls as (rapid, points of the move, height); arcs by half degrees, points as (x, y)."""
    at, list_of_moves = (0.0, 0.0, 0.0), []
    for name, values in calls:
        if name == "ARC_FEED":
            # In the plan: end x, end y, centre x, centre y, turns (negative clockwise), end z.
            x, y, cx, cy, turns, z = values[:6]
            start, end = math.atan2(at[1] - cy, at[0] - cx), math.atan2(y - cy, x - cx)
            sweep = end - start
            if turns > 0 and sweep <= 1e-9:
                sweep += 2 * math.pi
            if turns < 0 and sweep >= -1e-9:
                sweep -= 2 * math.pi
            radius = math.hypot(at[0] - cx, at[1] - cy)
            count = max(2, math.ceil(abs(sweep) / math.radians(0.5)))
            angles = [start + sweep * i / count for i in range(count + 1)]
            points = [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in angles]
        else:
            x, y, z = values[:3]
            points = [at[:2], (x, y)]
        list_of_moves.append((name == "STRAIGHT_TRAVERSE", points, at[2], z))
        at = (x, y, z)
    return list_of_moves


def written_ends(program):
    """Where each move of a program ends, from its text alone: absolute millimetres."""
    at, ends = {"X": 0.0, "Y": 0.0, "Z": 0.0}, []
    with open(program, encoding="ascii") as file:
        for line in file:
            words = re.findall(r"([A-Z])(-?[0-9.]+)", re.sub(r"\([^)]*\)", "", line))
            axes = {letter: float(value) for letter, value in words if letter in "XYZ"}
            if axes:
                at.update(axes)
                ends.append((at["X"], at["Y"], at["Z"]))
    return ends


def drawn_segments(drawing):
    """Every stroke of names and marks of a nest's DXF, as (x, y, x, y) rows."""
    import ezdxf

    rows = []
    for entity in ezdxf.readfile(drawing).modelspace():
        if entity.dxftype() == "LWPOLYLINE" and entity.dxf.layer in ("ENGRAVE", "MARK"):
            points = [point[:2] for point in entity.get_points("xy")]
            rows.extend((*a, *b) for a, b in zip(points, points[1:]))
    return rows


def apart(some, others):
    """The greatest distance of an end of one segment from the segment of the others that lies nearest, either way round."""
    import numpy

    others = numpy.asarray(others)
    turned = others[:, [2, 3, 0, 1]]
    greatest = 0.0
    for row in numpy.asarray(some):
        ends = [abs(way - row).max(axis=1).min() for way in (others, turned)]
        greatest = max(greatest, min(ends))
    return float(greatest)


def engraving(out, name, laid, tool_mm, depth_mm, answer):
    """The engraving program of one sheet against the strokes of its DXF and the faces of its parts."""
    from shapely.geometry import LineString
    from shapely.ops import unary_union

    drawn = drawn_segments(os.path.join(out, "nests", f"{name}.dxf"))
    program = os.path.join(out, "programs", f"{name}-engrave.nc")
    if not os.path.exists(program):
        answer["engravings_missing"] += bool(drawn)
        return
    answer["engravings"] += 1
    calls = canonical(program, tool_mm)
    if calls is None:
        answer["engravings_refused"] += 1
        return
    made = moves(calls)
    cuts = [(points[0], points[-1]) for rapid, points, before, after in made if not rapid and before < 0 and after < 0]
    for rapid, points, before, after in made[1:]:
        across = math.dist(points[0], points[-1]) > 1e-6
        answer["rapid_low"] += rapid and (across and min(before, after) < 5 or after < 0)
        if not rapid and across and min(before, after) < 0:
            answer["engraving_depth"] = max(answer["engraving_depth"], abs(before + depth_mm), abs(after + depth_mm))
    rows = [(*a, *b) for a, b in cuts if math.dist(a, b) > 1e-6]
    answer["engraved_lines"] += len(rows)
    answer["engraving_count"] += abs(len(rows) - len(drawn))
    if rows and drawn:
        answer["engraving_apart"] = max(answer["engraving_apart"], apart(rows, drawn), apart(drawn, rows))
    faces = unary_union(
        [o.difference(unary_union([*through, *(shape for _, shape in pockets)])) for o, through, pockets in laid]
    )
    swept = unary_union([LineString(pair).buffer(tool_mm / 2) for pair in cuts])
    answer["engraving_outside"] += swept.difference(faces.buffer(0.01)).area


def programs(out, cutter_mm, skin_mm, tool_mm, depth_mm):
    """rs274 and shapely: machine programs against the nests of result.json."""
    from shapely import affinity
    from shapely.geometry import LineString, Polygon
    from shapely.ops import unary_union

    radius, skin = float(cutter_mm) / 2, float(skin_mm)
    shop = of.result(out)["shop"]
    parts = {part["id"]: part for part in shop["parts"]}
    answer = dict.fromkeys("files missing refused ends rapid_low gouge left".split(), 0.0)
    keys = "engravings engravings_missing engravings_refused engraving_depth engraving_count engraving_apart engraving_outside"
    answer.update(dict.fromkeys([*keys.split(), "engraved_lines"], 0.0))
    counts = {}
    found = sorted(glob.glob(os.path.join(out, "programs", "*.nc")))
    answer["files"] = len(found)
    for nest in shop["nests"]:
        thickness = nest["thickness_m"] * 1000
        with_parts = [parts[item["id"]] for item in nest["parts"]]
        group = f"{of.file_name(with_parts[0]['foam'])}-{f'{thickness:.2f}'.rstrip('0').rstrip('.').replace('.', '_')}"
        counts[group] = counts.get(group, 0) + 1
        program = os.path.join(out, "programs", f"{group}-sheet-{counts[group]}.nc")
        if program not in found:
            answer["missing"] += 1
            continue
        calls = canonical(program, 2 * radius)
        if calls is None:
            answer["refused"] += 1
            continue
        made = moves(calls)
        ends = written_ends(program)
        answer["ends"] = max(answer["ends"], abs(len(ends) - len(made)))
        for (x, y, z), (_, points, _, height) in zip(ends, made):
            answer["ends"] = max(answer["ends"], abs(points[-1][0] - x), abs(points[-1][1] - y), abs(height - z))
        for rapid, points, before, after in made[1:]:
            across = math.dist(points[0], points[-1]) > 1e-6
            answer["rapid_low"] += rapid and (across and min(before, after) < 5 or after < 0)
        laid = []
        for item in nest["parts"]:
            placement = item["placement"]

            def place(shape, placement=placement):
                turned = affinity.rotate(shape, placement["angle_deg"], origin=(0, 0))
                return affinity.translate(turned, *(x * 1000 for x in placement["shift_m"]))

            part = parts[item["id"]]
            through = [place(of.region(hole)) for hole in part["through"]]
            pockets = [(pocket["depth_m"] * 1000, place(of.region(pocket["outline"]))) for pocket in part["pockets"]]
            laid.append((place(of.region(part["outline"])), through, pockets))
        engraving(out, f"{group}-sheet-{counts[group]}", laid, float(tool_mm), float(depth_mm), answer)
        floor = thickness - skin
        depths = sorted({0.0, floor, *(d for _, _, pockets in laid for d, _ in pockets if d < floor)})
        swept, deeper = Polygon(), math.inf
        # From the bottom: what was taken deeper was taken here too.
        for depth in sorted([low + 0.001 for low in depths[:-1]] + [high - 0.001 for high in depths[1:]], reverse=True):
            new = [
                LineString(points).buffer(radius, quad_segs=16)
                for rapid, points, before, after in made
                if not rapid and -deeper < max(before, after) <= -depth and points[0] != points[-1]
            ]
            swept, deeper = unary_union([swept, *new]), depth
            keep, must = Polygon(), []
            for outline, through, pockets in laid:
                void = unary_union([*through, *(shape for deep, shape in pockets if deep > depth)])
                keep = keep.union(outline.difference(void))
                pocketed = unary_union([shape for deep, shape in pockets if deep > depth])
                must.append(void.buffer(-radius).buffer(radius).intersection(pocketed))
                must.extend(h.buffer(-radius).buffer(radius).difference(h.buffer(-2 * radius)) for h in through)
                must.append(outline.exterior.buffer(2 * radius).difference(outline))
            outlines = unary_union([outline for outline, _, _ in laid])
            must = unary_union(must[:]).difference(keep)
            # Only bands outside every outline, or voids within.
            voids = outlines.difference(keep)
            must = unary_union([must.difference(outlines), must.intersection(voids)])
            answer["gouge"] += swept.intersection(keep.buffer(-0.06)).area
            answer["left"] += must.difference(swept).buffer(-0.06).area
    return answer
