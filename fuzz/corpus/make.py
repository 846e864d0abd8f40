"""Writes the corpus: small files of our own in every format that is read, to start the fuzzer from and for the tests to replay.

    .venv/bin/python fuzz/corpus/make.py

Files named `found-*` are findings, mended; they are not made here. TOML is not made either: the fuzzer starts from
`library/` and `jobs/`.
"""

import io
import json
import struct
import zipfile
from pathlib import Path

import openpyxl

HERE = Path(__file__).parent
CORNERS = [(x, y, z) for z in (0, 20) for y in (0, 15) for x in (0, 30)]
QUADS = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
FACES = [t for a, b, c, d in QUADS for t in ((a, b, c), (a, c, d))]


def put(target, name, data):
    folder = HERE / target
    folder.mkdir(exist_ok=True)
    (folder / name).write_bytes(data if isinstance(data, bytes) else data.encode())


def packed(entries, method=zipfile.ZIP_DEFLATED):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, data in entries:
            archive.writestr(zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0)), data, method)
    return out.getvalue()


def stl():
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *(c for i in t for c in CORNERS[i]), 0) for t in FACES)
    put("stl", "box.stl", b"\0" * 80 + struct.pack("<I", len(FACES)) + body)
    put("stl", "open.stl", b"\0" * 80 + struct.pack("<I", len(FACES) - 1) + body[:-50])
    text = "solid box\n"
    for t in FACES:
        text += " facet normal 0 0 0\n  outer loop\n"
        text += "".join("   vertex %g %g %g\n" % CORNERS[i] for i in t)
        text += "  endloop\n endfacet\n"
    put("stl", "box-text.stl", text + "endsolid box\n")


def obj():
    vertices = "".join("v %g %g %g\n" % c for c in CORNERS)
    put("obj", "quads.obj", vertices + "o box\n" + "".join("f %d %d %d %d\n" % tuple(i + 1 for i in q) for q in QUADS))
    put(
        "obj",
        "relative.obj",
        "# two groups\nmtllib a.mtl\n" + vertices + "vt 0 0\nvn 0 0 1\ng one\n"
        + "".join("f %d/1/1 %d/1/1 %d/1/1\n" % tuple(i - 8 for i in t) for t in FACES[:6])
        + "g two\ns off\n" + "".join("f %d//1 %d//1 \\\n %d//1\n" % tuple(i - 8 for i in t) for t in FACES[6:]),
    )


def ply():
    head = (
        "ply\nformat %s 1.0\ncomment ours\nelement vertex 8\nproperty float x\nproperty float y\nproperty float z\n"
        "property uchar red\nelement face 12\nproperty list uchar int vertex_indices\nend_header\n"
    )
    put(
        "ply",
        "text.ply",
        head % "ascii" + "".join("%g %g %g 9\n" % c for c in CORNERS) + "".join("3 %d %d %d\n" % t for t in FACES),
    )
    for name, mark in (("binary_little_endian", "<"), ("binary_big_endian", ">")):
        data = b"".join(struct.pack(mark + "3fB", *c, 9) for c in CORNERS)
        data += b"".join(struct.pack(mark + "B3i", 3, *t) for t in FACES)
        put("ply", name + ".ply", (head % name).encode() + data)


def model(unit="millimeter", more="", build='<item objectid="1"/>'):
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<model unit="%s" xml:lang="en" '
        'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources><object id="1" type="model"><mesh>'
        "<vertices>%s</vertices><triangles>%s</triangles></mesh></object>%s</resources><build>%s</build></model>"
        % (
            unit,
            "".join('<vertex x="%g" y="%g" z="%g"/>' % c for c in CORNERS),
            "".join('<triangle v1="%d" v2="%d" v3="%d"/>' % t for t in FACES),
            more,
            build,
        )
    )


TYPES = (
    '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
RELATIONS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship '
    'Target="/3D/3dmodel.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)


def three_mf():
    whole = model()
    tree = model(
        "inch",
        '<object id="2" type="model"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/>'
        '<component objectid="1"/></components></object>',
        '<item objectid="2" transform="0 1 0 -1 0 0 0 0 1 0 0 0"/><item objectid="1"/>',
    )
    for name, text in (("box", whole), ("components", tree)):
        parts = [("[Content_Types].xml", TYPES), ("_rels/.rels", RELATIONS), ("3D/3dmodel.model", text)]
        put("3mf", name + ".3mf", packed(parts))
        put("3mf-model", name + ".model", text)
    put("3mf", "stored.3mf", packed(parts, zipfile.ZIP_STORED))


def glb():
    positions = b"".join(struct.pack("<3f", *(c / 1000 for c in p)) for p in CORNERS)
    indices = b"".join(struct.pack("<3H", *t) for t in FACES)
    document = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [
            {"children": [1, 2], "rotation": [0, 0, 0, 1], "translation": [0, 0, 0], "scale": [1, 1, 1]},
            {"mesh": 0},
            {"mesh": 0, "matrix": [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0.1, 0, 0, 1]},
        ],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "mode": 4}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": 8, "type": "VEC3", "min": [0, 0, 0], "max": [0.03, 0.015, 0.02]},
            {"bufferView": 1, "componentType": 5123, "count": 36, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": len(positions)},
            {"buffer": 0, "byteOffset": len(positions), "byteLength": len(indices)},
        ],
        "buffers": [{"byteLength": len(positions) + len(indices)}],
    }
    text = json.dumps(document, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    data = positions + indices
    data += b"\0" * (-len(data) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(data), 0x004E4942) + data
    put("glb", "boxes.glb", b"glTF" + struct.pack("<II", 2, 12 + len(chunks)) + chunks)


def step(name="box", size=(30, 15, 20)):
    corners = [(x, y, z) for z in (0, size[2]) for y in (0, size[1]) for x in (0, size[0])]
    lines = []

    def add(text):
        lines.append("#%d=%s;" % (len(lines) + 1, text))
        return "#%d" % len(lines)

    def point(p):
        return add("CARTESIAN_POINT('',(%s))" % ",".join("%.1f" % c for c in p))

    def direction(d):
        return add("DIRECTION('',(%s))" % ",".join("%.1f" % c for c in d))

    vertices = [add("VERTEX_POINT('',%s)" % point(c)) for c in corners]
    edges = {}

    def edge(a, b):
        if (a, b) in edges:
            return add("ORIENTED_EDGE('',*,*,%s,.T.)" % edges[a, b])
        if (b, a) in edges:
            return add("ORIENTED_EDGE('',*,*,%s,.F.)" % edges[b, a])
        along = [q - p for p, q in zip(corners[a], corners[b])]
        length = sum(abs(c) for c in along)
        vector = add("VECTOR('',%s,1.0)" % direction([c / length for c in along]))
        line = add("LINE('',%s,%s)" % (point(corners[a]), vector))
        edges[a, b] = add("EDGE_CURVE('',%s,%s,%s,.T.)" % (vertices[a], vertices[b], line))
        return add("ORIENTED_EDGE('',*,*,%s,.T.)" % edges[a, b])

    faces = []
    for quad in QUADS:
        a, b, c, _ = (corners[i] for i in quad)
        u, v = [q - p for p, q in zip(a, b)], [q - p for p, q in zip(b, c)]
        normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]
        size = max(abs(n) for n in normal)
        loop = add("EDGE_LOOP('',(%s))" % ",".join(edge(quad[k], quad[(k + 1) % 4]) for k in range(4)))
        bound = add("FACE_OUTER_BOUND('',%s,.T.)" % loop)
        size_u = max(abs(n) for n in u)
        frame = "%s,%s" % (direction([n / size for n in normal]), direction([n / size_u for n in u]))
        plane = add("PLANE('',%s)" % add("AXIS2_PLACEMENT_3D('',%s,%s)" % (point(a), frame)))
        faces.append(add("ADVANCED_FACE('',(%s),%s,.T.)" % (bound, plane)))
    solid = add("MANIFOLD_SOLID_BREP('box',%s)" % add("CLOSED_SHELL('',(%s))" % ",".join(faces)))
    axis = add("AXIS2_PLACEMENT_3D('',%s,%s,%s)" % (point((0, 0, 0)), direction((0, 0, 1)), direction((1, 0, 0))))
    length = add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))")
    angle = add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))")
    solid_angle = add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())")
    fine = add("UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-5),%s,'distance_accuracy_value','')" % length)
    context = add(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((%s))GLOBAL_UNIT_ASSIGNED_CONTEXT((%s,%s,%s))"
        "REPRESENTATION_CONTEXT('',''))" % (fine, length, angle, solid_angle)
    )
    shape = add("ADVANCED_BREP_SHAPE_REPRESENTATION('',(%s,%s),%s)" % (axis, solid, context))
    application = add("APPLICATION_CONTEXT('automotive design')")
    add("APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,%s)" % application)
    product = add("PRODUCT('box','our box','',(%s))" % add("PRODUCT_CONTEXT('',%s,'mechanical')" % application))
    formation = add("PRODUCT_DEFINITION_FORMATION('','',%s)" % product)
    definition = add(
        "PRODUCT_DEFINITION('design','',%s,%s)" % (formation, add("PRODUCT_DEFINITION_CONTEXT('part definition',%s,'design')" % application))
    )
    add("SHAPE_DEFINITION_REPRESENTATION(%s,%s)" % (add("PRODUCT_DEFINITION_SHAPE('','',%s)" % definition), shape))
    text = (
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('box','2026-01-01T00:00:00',(''),(''),'','','');\n"
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n%s\nENDSEC;\nEND-ISO-10303-21;\n"
    )
    put("step", name + ".step", text % "\n".join(lines))


def step_answer():
    raw = struct.pack("<24d", *(c for p in CORNERS for c in p)) + struct.pack("<36I", *(i for t in FACES for i in t))
    body = {"is_solid": True, "exact_volume_mm3": 9000.0, "exact_area_mm2": 2700.0, "unmeshed": 0, "positions": 8, "triangles": 12}
    head = {"chord_mm": 0.02, "units": ["millimetre"], "load_fails": 0, "transfer_fails": 0, "bodies": [body]}
    put("step-answer", "box", b"caddis-step 1\n" + json.dumps(head).encode() + b"\n" + raw)
    head["bodies"] = [body, dict(body, is_solid=False, exact_volume_mm3=None)]
    put("step-answer", "two", b"caddis-step 1\n" + json.dumps(head).encode() + b"\n" + raw + raw)


def dxf():
    def group(*pairs):
        return "".join("%3d\n%s\n" % pair for pair in pairs)

    head = group((0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$INSUNITS"), (70, 4), (0, "ENDSEC"))
    block = group((0, "SECTION"), (2, "BLOCKS"), (0, "BLOCK"), (2, "A"), (10, 0), (20, 0), (0, "CIRCLE"), (8, "0"), (10, 0), (20, 0))
    block += group((40, 3), (0, "ENDBLK"), (0, "ENDSEC"))
    entities = group((0, "SECTION"), (2, "ENTITIES"))
    end = group((0, "ENDSEC"), (0, "EOF"))
    plate = group((0, "LWPOLYLINE"), (8, "plate"), (90, 4), (70, 1), (10, 0), (20, 0), (42, 0.4142), (10, 40), (20, 0))
    plate += group((10, 40), (20, 30), (42, -0.2), (10, 0), (20, 30))
    loose = group((0, "LINE"), (8, "0"), (10, 60), (20, 0), (11, 90), (21, 0), (0, "LINE"), (8, "0"), (10, 90), (20, 0), (11, 60), (21, 10))
    loose += group((0, "ARC"), (8, "0"), (10, 60), (20, 5), (40, 5), (50, 90), (51, 270))
    insert = group((0, "INSERT"), (8, "0"), (2, "A"), (10, 15), (20, 15), (41, 2), (42, 1), (50, 30), (70, 2), (71, 2), (44, 12), (45, 9))
    ellipse = group((0, "ELLIPSE"), (8, "0"), (10, 150), (20, 0), (11, 20), (21, 0), (40, 0.5), (41, 0), (42, 6.283185307179586))
    spline = group((0, "SPLINE"), (8, "0"), (70, 8), (71, 3), (72, 8), (73, 4), *((40, k) for k in (0, 0, 0, 0, 1, 1, 1, 1)))
    spline += group((10, 0), (20, 100), (10, 20), (20, 130), (10, 40), (20, 130), (10, 60), (20, 100))
    spline += group((0, "LINE"), (8, "0"), (10, 60), (20, 100), (11, 0), (21, 100))
    old = group((0, "POLYLINE"), (8, "0"), (66, 1), (70, 1), (0, "VERTEX"), (10, 0), (20, 200), (0, "VERTEX"), (10, 9), (20, 200))
    old += group((0, "VERTEX"), (10, 4), (20, 209), (42, 0.5), (0, "SEQEND"))
    text = group((0, "TEXT"), (8, "0"), (10, 0), (20, 0), (40, 5), (1, "words"))
    put("dxf", "plate.dxf", head + block + entities + plate + insert + end)
    put("dxf", "curves.dxf", head + entities + loose + ellipse + spline + old + text + end)
    hatch = group((0, "HATCH"), (8, "0"), (10, 0), (20, 0), (30, 0), (2, "SOLID"), (70, 1), (71, 0), (91, 2), (92, 2), (72, 1), (73, 1), (93, 3))
    hatch += group((10, 0), (20, 0), (10, 30), (20, 0), (42, 0.3), (10, 0), (20, 20), (97, 0), (92, 1), (93, 2), (72, 2), (10, 50), (20, 0))
    hatch += group((40, 9), (50, 0), (51, 180), (73, 1), (72, 1), (10, 41), (20, 0), (11, 59), (21, 0), (97, 0), (75, 1), (76, 1), (98, 0))
    put("dxf", "hatch.dxf", head + entities + hatch + end)
    fit = group((0, "SPLINE"), (8, "0"), (70, 1), (71, 3), (74, 5), *((c, v) for x, y in ((0, 0), (20, 9), (40, 0), (20, -9), (0, 0)) for c, v in ((11, x), (21, y))))
    put("dxf", "fit-points.dxf", head + entities + fit + end)
    binary = b"AutoCAD Binary DXF\r\n\x1a\0"
    for code, value in ((0, "SECTION"), (2, "ENTITIES"), (0, "CIRCLE"), (8, "0"), (10, 5.0), (20, 5.0), (40, 5.0), (0, "ENDSEC"), (0, "EOF")):
        binary += struct.pack("<H", code) + (struct.pack("<d", value) if isinstance(value, float) else value.encode() + b"\0")
    put("dxf", "binary.dxf", binary)


def svg():
    head = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="%s" height="50mm" viewBox="0 0 100 50">'
    put(
        "svg",
        "paths.svg",
        head % "100mm"
        + '<g id="plate" transform="translate(5 5) rotate(10)"><path d="M0 0h40v30q-20 10-40 0zM5 5c2 8 4 8 6 0s4-8 6 0T20 5z"/>'
        + '<path d="M60 0A10 5 30 1 1 60.1 0Z" style="fill:none"/></g><text x="1" y="1">words</text></svg>',
    )
    put(
        "svg",
        "shapes.svg",
        head % "4in"
        + '<defs><rect id="a" width="10" height="6" rx="2"/></defs><use xlink:href="#a" x="5"/><circle cx="30" cy="20" r="8"/>'
        + '<ellipse cx="60" cy="20" rx="9" ry="5"/><polygon points="80,10 90,10 85,20"/><polyline points="1 30 9 30 5 38 1 30"/>'
        + '<line x1="20" y1="30" x2="29" y2="30"/><svg x="40" y="30" width="9" height="9" viewBox="0 0 3 3"><rect width="3" height="3"/></svg></svg>',
    )


LIST = [
    ["Item", "Qty", "Length (mm)", "Width (mm)", "Height (mm)", "Diameter (mm)", "Weight (kg)", "Fragility", "Serial", "Notes"],
    ["Field receiver", 2, 180, 120.5, 60, None, 1.4, "60 G", "A-7", "blue"],
    ["Mast", 1, None, None, 400, 45, 2, "none", None, "round"],
    ["Anvil", 1, 10, 10, 10, None, "heavy", None, None, None],
]
SHEET = (
    '<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    '<dimension ref="A1:G3"/><sheetData>'
    '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="inlineStr"><is><t>Qty</t></is></c><c r="C1" t="str"><v>Size (mm)</v></c>'
    '<c r="D1" t="inlineStr"><is><r><t>Weight</t></r><r><t> (kg)</t></r></is></c></row>'
    '<row r="2"><c r="A2" t="inlineStr"><is><t>Field receiver</t></is></c><c r="B2"><f>1+1</f><v>2</v></c>'
    '<c r="C2" t="str"><v>180 x 120 x 60</v></c><c r="D2" s="1"><v>1.4</v></c></row>'
    '<row r="3"><c r="A3" t="e"><v>#REF!</v></c><c r="B3" t="b"><v>1</v></c><c r="D3" t="d"><v>2026-01-01T00:00:00</v></c></row>'
    '</sheetData><mergeCells count="1"><mergeCell ref="A3:B4"/></mergeCells></worksheet>'
)


def tables():
    row = lambda cells, mark: mark.join("" if c is None else str(c) for c in cells)
    put("csv", "list.csv", "".join(row(cells, ",") + "\n" for cells in LIST))
    put(
        "csv",
        "decimal-comma.csv",
        "Bezeichnung;Anzahl;Abmessungen;Gesamtgewicht (kg);Durchmesser;Höhe\r\nSender;4;30,5 x 20 x 12 cm;5,2;;\r\nRolle;1;;1;200 mm;35 mm\r\n",
    )
    put("csv", "tabs.csv", 'Description\tL (in)\tW\tH [mm]\tWeight/lb\n"Mast, ""short"""\t10 1/2\t200 mm\t60\t3.5\n')
    book = openpyxl.Workbook()
    for cells in LIST:
        book.active.append(cells)
    book.create_sheet("second").append(["notes"])
    out = io.BytesIO()
    book.save(out)
    parts = zipfile.ZipFile(out)
    put("xlsx", "list.xlsx", packed([(name, parts.read(name)) for name in sorted(parts.namelist())]))
    put("xlsx-sheet", "sheet.xml", SHEET)
    put("results", "results.csv", "drop,item,height,peak,damage\nbase,receiver/1,460 mm,52 G,none\nbase left,receiver/1,460 mm,80 G,dent\n")
    result = '{ drop = "base", item = "receiver/1", height = "460 mm", peak = "52 G", damage = "none" }'
    put("results", "results.toml", 'schema = 1\njob = "job"\nband = [0.75, 1.25]\nresults = [\n    %s,\n]\n' % result)
    put("numbers", "spectrum.csv", "# ours\nfrequency_Hz,density_g2_per_Hz\n1,0.0001\n10,0.01\n200,0.001\n")
    put("numbers", "ride.csv", "time_s,z_g\n" + "".join("%.3f,%.3f\n" % (k / 200, k % 7 / 7) for k in range(40)))
    drops = ("30,25,460,%d,%d,%d" % (2 + k, 90 - 5 * k + 9 * i, i) for k in range(3) for i in (1, 2))
    head = "density (kg/m3),thickness (mm),drop height (mm),static stress (kPa),peak (G),impact\n"
    put("numbers", "drops.csv", head + "\n".join(drops) + "\n")
    put("numbers", "compression.csv", "strain,stress (kPa)\n0,0\n0.1,20\n0.3,45\n0.6,120\n0.8,600\n")


step("interior", (400, 300, 150))
for make in (stl, obj, ply, three_mf, glb, step, step_answer, dxf, svg, tables):
    make()
