"""Files made to hurt a reader: what they unpack to, count, name or measure is far more than they hold."""

import io
import struct
import zipfile
from pathlib import Path

ENTITIES = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">%s]>' % "".join(
    '<!ENTITY %s "%s">' % (name, ("&%s;" % before) * 10) for name, before in zip("bcdefghij", "abcdefghi")
)
EXTERNAL = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY j SYSTEM "file:///etc/passwd">]>'
RELATIONS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship '
    'Target="/3D/3dmodel.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"


def _packed(model):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("_rels/.rels", RELATIONS)
        with archive.open("3D/3dmodel.model", "w", force_zip64=True) as part:
            for piece in model:
                part.write(piece)
    return out.getvalue()


def _model(x, before=""):
    return (
        before + '<model unit="millimeter" xmlns="%s"><resources><object id="1"><mesh><vertices><vertex x="0" y="0" z="0"/>'
        '<vertex x="%s" y="0" z="0"/><vertex x="0" y="9" z="0"/><vertex x="0" y="0" z="9"/></vertices><triangles>'
        '<triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/>'
        '<triangle v1="0" v2="3" v3="2"/></triangles></mesh></object></resources><build><item objectid="1"/></build></model>'
    ) % (CORE, x)


def _stl(x):
    return "solid s\n" + "".join(
        " facet normal 0 0 0\n  outer loop\n%s  endloop\n endfacet\n"
        % "".join("   vertex %s\n" % v for v in t)
        for t in (("0 0 0", "0 9 0", x + " 0 0"), ("0 0 0", x + " 0 0", "0 0 9"), (x + " 0 0", "0 9 0", "0 0 9"), ("0 0 0", "0 0 9", "0 9 0"))
    ) + "endsolid s\n"


def _glb(document, data=b"\0" * 36):
    text = document.encode()
    text += b" " * (-len(text) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(data), 0x004E4942) + data
    return b"glTF" + struct.pack("<II", 2, 12 + len(chunks)) + chunks


def _dxf(x):
    pairs = [(0, "SECTION"), (2, "ENTITIES"), (0, "LWPOLYLINE"), (8, "0"), (90, 3), (70, 1), (10, 0), (20, 0), (10, x), (20, 0), (10, 0), (20, 9)]
    return "".join("%3d\n%s\n" % pair for pair in pairs + [(0, "ENDSEC"), (0, "EOF")])


def hostile(folder):
    """Writes them all into a folder; the answer is their names."""
    folder = Path(folder)
    head = "ply\nformat binary_little_endian 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\n"
    faces = "element face %d\nproperty list uchar int vertex_indices\nend_header\n"
    glb = '{"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],'
    glb += '"accessors":[{"bufferView":0,"componentType":5126,"count":%d,"type":"VEC3"}],"bufferViews":[{"buffer":0,"byteLength":36}],"buffers":[{"byteLength":36}]}'
    files = {
        "billion.stl": b"\0" * 80 + struct.pack("<I", 4_000_000_000) + b"\0" * 50,
        "billion.ply": head % 4_000_000_000 + faces % 1,
        "billion-faces.ply": head % 3 + faces % 4_000_000_000 + "\0" * 36,
        "billion.glb": _glb(glb % 4_000_000_000),
        "billion.obj": "v 0 0 0\nv 9 0 0\nv 0 9 0\nf 1 2 4000000000\n",
        "billion.dxf": "".join(
            "%3d\n%s\n" % pair
            for pair in [(0, "SECTION"), (2, "ENTITIES"), (0, "LWPOLYLINE"), (8, "0"), (90, 4_000_000_000), (70, 1), (10, 0), (20, 0), (0, "ENDSEC"), (0, "EOF")]
        ),
        "entities.3mf": _packed([_model("&j;", ENTITIES).encode()]),
        "external.3mf": _packed([_model("&j;", EXTERNAL).encode()]),
        "entities.svg": ENTITIES + '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path id="&j;" d="M0 0h9v9z"/></svg>',
        "external.svg": EXTERNAL + '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path id="&j;" d="M0 0h9v9z"/></svg>',
        "bomb.3mf": _packed([b'<model unit="millimeter" xmlns="%s">' % CORE.encode()] + [b" " * (1 << 24)] * 80),
        "deep.svg": '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm">' + "<g>" * 100_000 + "</g>" * 100_000 + "</svg>",
        "deep.glb": _glb('{"a":' + "[" * 100_000 + "]" * 100_000 + "}"),
        "nan.stl": _stl("nan"),
        "far.stl": _stl("1e300"),
        "nan.obj": "v 0 0 0\nv nan 0 0\nv 0 9 0\nv 0 0 9\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n",
        "far.obj": "v 0 0 0\nv 1e300 0 0\nv 0 9 0\nv 0 0 9\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n",
        "nan.ply": "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n" + faces % 1 + "0 0 0\nnan 0 0\n0 9 0\n3 0 1 2\n",
        "far.ply": "ply\nformat ascii 1.0\nelement vertex 3\nproperty double x\nproperty double y\nproperty double z\n" + faces % 1 + "0 0 0\n1e300 0 0\n0 9 0\n3 0 1 2\n",
        "nan.3mf": _packed([_model("nan").encode()]),
        "far.3mf": _packed([_model("1e300").encode()]),
        "nan.glb": _glb(glb % 3, struct.pack("<9f", 0, 0, 0, float("nan"), 0, 0, 0, 9, 0)),
        "far.glb": _glb(glb % 3, struct.pack("<9f", 0, 0, 0, 3e38, 0, 0, 0, 9, 0)),
        "nan.dxf": _dxf("nan"),
        "far.dxf": _dxf("1e300"),
        "nan.svg": '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path d="M0 0H nan V9z"/></svg>',
        "far.svg": '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path d="M0 0H1e300V9z"/></svg>',
    }
    for ending in ("stl", "obj", "ply", "3mf", "glb", "step", "dxf", "svg", "csv", "xlsx"):
        files["empty." + ending] = b""
        (folder / ("folder." + ending)).mkdir()
    for name, data in files.items():
        (folder / name).write_bytes(data if isinstance(data, bytes) else data.encode("latin-1"))
    return sorted(files)
