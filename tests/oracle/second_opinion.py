"""Second opinions for the oracle tests: asks independent open-source libraries and prints their answer as JSON.

Usage: second_opinion.py QUESTION ARGUMENT...
Lengths are the file's own unless a question says otherwise.
"""

import json
import sys


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


def scene(path):
    """trimesh: what a GLB or 3MF scene holds."""
    import numpy
    import trimesh

    loaded = trimesh.load_scene(path)
    names = sorted(loaded.graph.nodes_geometry)
    closed = [bool(g.is_watertight) for g in loaded.dump()]
    return {
        "units": loaded.units,
        "instances": len(names),
        "names": names,
        "closed": int(numpy.sum(closed)),
        "extents": loaded.extents.tolist(),
        "min": loaded.bounds[0].tolist(),
        "max": loaded.bounds[1].tolist(),
        "triangles": int(sum(len(g.faces) for g in loaded.dump())),
    }


def dxf(path):
    """ezdxf: audit, units, layers, entity counts, extents of the model space and enclosed areas."""
    import ezdxf
    from ezdxf import bbox

    document = ezdxf.readfile(path)
    audit = document.audit()
    space = document.modelspace()
    counts, layers = {}, {}
    for entity in space:
        counts[entity.dxftype()] = counts.get(entity.dxftype(), 0) + 1
        layers[entity.dxf.layer] = layers.get(entity.dxf.layer, 0) + 1
    box = bbox.extents(space)
    return {
        "version": document.dxfversion,
        "units": document.header.get("$INSUNITS", 0),
        "errors": len(audit.errors),
        "fixes": len(audit.fixes),
        "counts": counts,
        "layers": layers,
        "defined_layers": sorted(layer.dxf.name for layer in document.layers),
        "min": [box.extmin.x, box.extmin.y] if box.has_data else None,
        "max": [box.extmax.x, box.extmax.y] if box.has_data else None,
        "arcs": sum(1 for e in space.query("LWPOLYLINE") for p in e.get_points("b") if p[0] != 0)
        + counts.get("ARC", 0)
        + counts.get("CIRCLE", 0),
        "text": [e.dxf.text for e in space.query("TEXT")] + [e.text for e in space.query("MTEXT")],
    }


def dxf_area(path, layer):
    """ezdxf and shapely: area enclosed by the closed outlines of one layer, holes by even-odd nesting."""
    import ezdxf
    from ezdxf import path as paths
    from shapely.geometry import Polygon

    area = None
    for entity in ezdxf.readfile(path).modelspace().query(f'*[layer=="{layer}"]'):
        if entity.dxftype() not in ("LWPOLYLINE", "CIRCLE"):
            continue
        ring = Polygon([(p.x, p.y) for p in paths.make_path(entity).flattening(0.001)])
        area = ring if area is None else area.symmetric_difference(ring)
    return 0.0 if area is None else float(area.area)


def svg(path):
    """lxml: root size, viewBox and element counts."""
    from lxml import etree

    root = etree.parse(path).getroot()
    counts = {}
    for element in root.iter():
        if isinstance(element.tag, str):
            name = etree.QName(element).localname
            counts[name] = counts.get(name, 0) + 1
    return {
        "width": root.get("width"),
        "height": root.get("height"),
        "view_box": [float(x) for x in root.get("viewBox", "").split()],
        "counts": counts,
    }


def pdf(path):
    """pypdf: page count, page sizes in points, and text by page."""
    from pypdf import PdfReader

    pages = PdfReader(path, strict=True).pages
    return {
        "pages": len(pages),
        "sizes": [[float(p.mediabox.width), float(p.mediabox.height)] for p in pages],
        "text": [p.extract_text() for p in pages],
    }


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


QUESTIONS = {f.__name__: f for f in (mesh, section, shadow, scene, dxf, dxf_area, svg, pdf, schema)}

if __name__ == "__main__":
    if len(sys.argv) < 3 or sys.argv[1] not in QUESTIONS:
        sys.exit(__doc__ + "\nquestions: " + ", ".join(QUESTIONS))
    json.dump(QUESTIONS[sys.argv[1]](*sys.argv[2:]), sys.stdout)
