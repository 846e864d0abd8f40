"""Second opinions on the interior as other programs open it: interior.3mf and interior.stl by trimesh, lengths in millimetres."""

import os

from second_opinion_set import region, result


def foam_volumes(interior):
    """shapely: foam left of each layer, mm³, its voids taken out band by band."""
    from shapely.ops import unary_union

    voids = [step for cavity in interior["cavities"] for step in cavity["steps"]]
    voids += [cavity["over"] for cavity in interior["cavities"] if cavity.get("over")]
    voids += [cut["void"] for cut in interior["notches"] + interior.get("openings", [])]
    shapes = [(void["low_m"], void["high_m"], region(void["outline"])) for void in voids]
    volumes = {}
    for layer in (layer for block in interior["blocks"] for layer in block["layers"]):
        low, high, outline = layer["low_m"], layer["high_m"], region(layer["outline"])
        heights = sorted({low, high} | {z for a, b, _ in shapes for z in (a, b) if low < z < high})
        volume = 0.0
        for a, b in zip(heights, heights[1:]):
            open_here = unary_union([shape for x, y, shape in shapes if x <= (a + b) / 2 < y])
            volume += outline.difference(open_here).area * (b - a) * 1000
        volumes[layer["id"]] = volume
    return volumes


def unbalanced(mesh):
    """Edges that are not run as often one way as the other: bodies that touch share vertices, so edges may have four faces."""
    from collections import Counter

    runs = Counter(map(tuple, mesh.edges.tolist()))
    return sum(count != runs[(b, a)] for (a, b), count in runs.items())


def boards(out):
    """trimesh and shapely: the boards of interior.3mf: how many are missing or open, and volumes against their outlines'."""
    import trimesh

    written = result(out)
    wanted = {}
    for block in written["interior"]["blocks"]:
        if block.get("board"):
            board = block["board"]
            wanted["board in the tray"] = region(board["outline"]).area * (board["high_m"] - board["low_m"]) * 1000
        if block["kind"] == "lid pad":
            # The board fills what the pad leaves below the crown.
            crown = sum(written["survey"][half]["depth"]["value_m"] for half in ("base", "lid"))
            area = region(block["layers"][-1]["outline"]).area
            wanted["board behind the lid pad"] = area * (crown - block["high_m"]) * 1000
    scene = trimesh.load_scene(os.path.join(out, "interior.3mf"))
    found = {name: scene.geometry[scene.graph[name][1]] for name in scene.graph.nodes_geometry}
    there = {name: found[name] for name in wanted if name in found}
    return {
        "wanted": wanted,
        "missing": len(wanted) - len(there),
        "open": sum(not mesh.is_watertight for mesh in there.values()),
        "volume": max((abs(mesh.volume / wanted[name] - 1) for name, mesh in there.items()), default=0.0),
    }


def exchange(out):
    """trimesh: closedness, names and volumes of interior.3mf; interior.stl beside it; foam against shapely's."""
    import trimesh

    interior = result(out)["interior"]
    scene = trimesh.load_scene(os.path.join(out, "interior.3mf"))
    bodies = {}
    for node in scene.graph.nodes_geometry:
        transform, geometry = scene.graph[node]
        mesh = scene.geometry[geometry].copy()
        mesh.apply_transform(transform)
        bodies[node] = mesh
    wanted = foam_volumes(interior)
    foam = {name.split()[1]: mesh for name, mesh in bodies.items() if name.startswith("foam ")}
    items = {name.split()[1] for name in bodies if name.startswith("item ")}
    stl = trimesh.load_mesh(os.path.join(out, "interior.stl"), process=True)
    both = list(bodies.values())
    return {
        "unit_is_mm": scene.units == "mm" or scene.units == "millimeter",
        "bodies": len(bodies),
        "missing": len(set(wanted) ^ set(foam)) + len(items ^ {place["instance"] for place in interior["places"]}),
        "open": sum(not (mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0) for mesh in both),
        "foam": max(abs(foam[name].volume / wanted[name] - 1) for name in wanted),
        "foam_mm3": wanted,
        "stl_open": unbalanced(stl),
        "stl_volume": abs(stl.volume / sum(mesh.volume for mesh in both) - 1),
        "stl_extents": max(
            abs(a - b)
            for a, b in zip(
                stl.bounds.flatten(),
                trimesh.util.concatenate(both).bounds.flatten(),
            )
        ),
    }
