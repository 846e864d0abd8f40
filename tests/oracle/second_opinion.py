"""Second opinions for the oracle tests: asks independent open-source libraries and prints their answer as JSON.

Usage: second_opinion.py QUESTION ARGUMENT...
Lengths are the file's own unless a question says otherwise.
"""

import json
import sys

import second_opinion_hostile as hurts
import second_opinion_exchange
import second_opinion_print
import second_opinion_programs
import second_opinion_foam as foam
import second_opinion_resting as stands
import second_opinion_set as of
import second_opinion_signal as signal_of
import second_opinion_tables as tables


def load_mesh(path, scale=1.0):
    """The file's instances as one mesh in world coordinates, z up, scaled, seams merged by position."""
    import trimesh

    mesh = trimesh.load_scene(path).to_mesh()
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    if path.lower().endswith(".glb"):
        mesh.apply_transform([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
    mesh.apply_scale(float(scale))
    return mesh


def mesh(path, scale):
    """trimesh: mass properties, extents and closedness of a mesh file, lengths times scale."""
    whole = load_mesh(path, scale)
    return {
        "triangles": len(whole.faces),
        "closed": bool(whole.is_watertight and whole.is_winding_consistent),
        "bodies": int(whole.body_count),
        "min": whole.bounds[0].tolist(),
        "max": whole.bounds[1].tolist(),
        "volume": float(whole.volume),
        "surface": float(whole.area),
        "centre": whole.center_mass.tolist(),
        "inertia": (whole.mass_properties.inertia / whole.mass_properties.density).tolist(),
    }


def boxes(*paths):
    """trimesh: box, closedness and volume of mesh files in their own unit."""
    answers = []
    for path in paths:
        whole = load_mesh(path)
        answers.append(
            {
                "min": whole.bounds[0].tolist(),
                "max": whole.bounds[1].tolist(),
                "closed": bool(whole.is_watertight and whole.is_winding_consistent),
                "volume": float(whole.volume),
            }
        )
    return answers


def section(path, scale, *heights):
    """trimesh and shapely: area and outline box of horizontal sections at fractions of the height."""
    from shapely.ops import unary_union

    whole = load_mesh(path, scale)
    low, high = whole.bounds[0][2], whole.bounds[1][2]
    answers = []
    for fraction in heights:
        z = low + float(fraction) * (high - low)
        cut = whole.section(plane_origin=[0, 0, z], plane_normal=[0, 0, 1])
        if cut is None:
            answers.append({"z": z, "area": 0.0, "bounds": None})
            continue
        flat, _ = cut.to_2D(normal=[0, 0, 1])
        area = unary_union(flat.polygons_full).area
        answers.append({"z": z, "area": float(area), "bounds": cut.bounds[:, :2].tolist()})
    return answers


def shadow(path, scale):
    """trimesh and shapely: area of the plan silhouette."""
    from trimesh.path.polygons import projected

    return float(projected(load_mesh(path, scale), normal=[0, 0, 1], precise=True).area)


def schema(schema_path, document_path):
    """jsonschema: where a document breaks its JSON Schema (2020-12)."""
    from jsonschema import Draft202012Validator

    with open(schema_path, encoding="utf-8") as file:
        rules = json.load(file)
    with open(document_path, encoding="utf-8") as file:
        document = json.load(file)
    Draft202012Validator.check_schema(rules)
    return [
        f"{'/'.join(map(str, error.absolute_path))}: {error.message[:200]}"
        for error in Draft202012Validator(rules).iter_errors(document)
    ]


QUESTIONS = {
    f.__name__: f
    for f in (
        mesh,
        boxes,
        section,
        shadow,
        schema,
        of.cut_files,
        of.recalculated,
        of.sheet_files,
        of.nests,
        of.scene_solids,
        second_opinion_exchange.exchange,
        second_opinion_exchange.boards,
        of.papers,
        of.every_paper,
        of.strange_words,
        of.workbook,
        second_opinion_print.check_print,
        second_opinion_programs.programs,
        foam.drop_fit,
        signal_of.filtered,
        signal_of.shock_spectrum,
        signal_of.welch,
        signal_of.random_response,
        hurts.hostile,
        stands.resting,
        tables.workbooks,
        tables.workbook_template,
    )
}

if __name__ == "__main__":
    if len(sys.argv) < 3 or sys.argv[1] not in QUESTIONS:
        sys.exit(__doc__ + "\nquestions: " + ", ".join(QUESTIONS))
    json.dump(QUESTIONS[sys.argv[1]](*sys.argv[2:]), sys.stdout)
