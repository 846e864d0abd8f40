"""Second opinions on a whole output folder of the demonstration, each a table of numbers by name.

Called by second_opinion.py. Lengths in millimetres.
"""

import glob
import json
import math
import os


def result(out):
    with open(os.path.join(out, "result.json"), encoding="utf-8") as file:
        return json.load(file)


def ring(contour, scale=1000.0, step=math.radians(0.5)):
    """A contour of result.json, (x, y, bulge) corners in metres, as points; arcs by half degrees."""
    points = []
    for index, (x, y, bulge) in enumerate(contour):
        nx, ny, _ = contour[(index + 1) % len(contour)]
        points.append((x * scale, y * scale))
        if bulge:
            angle = 4 * math.atan(bulge)
            dx, dy = nx - x, ny - y
            # Centre from the chord: the sagitta's side follows the bulge's sign.
            off = (1 - bulge * bulge) / (4 * bulge)
            cx, cy = (x + nx) / 2 - dy * off, (y + ny) / 2 + dx * off
            start, radius = math.atan2(y - cy, x - cx), math.hypot(x - cx, y - cy)
            count = max(2, math.ceil(abs(angle) / step))
            for i in range(1, count):
                a = start + angle * i / count
                points.append(((cx + radius * math.cos(a)) * scale, (cy + radius * math.sin(a)) * scale))
    return points


def region(written):
    """A region of result.json by even-odd filling."""
    from shapely.geometry import Polygon

    area = Polygon()
    for contour in written["contours"]:
        area = area.symmetric_difference(Polygon(ring(contour)).buffer(0))
    return area


def file_name(part):
    return "".join(c if c.isascii() and (c.isalnum() or c in "-_") else "-" for c in part)


def cut_files(out):
    """ezdxf, lxml and shapely: layer and nest drawings against the parts of result.json."""
    import ezdxf
    from ezdxf import bbox
    from ezdxf import path as paths
    from lxml import etree
    from shapely.geometry import Polygon

    answer = dict.fromkeys(
        "errors fixes not_mm without_net no_file closed_outlines arcs extents areas pocket_layers svg_scale "
        "svg_paths".split(),
        0.0,
    )
    files = sorted(glob.glob(os.path.join(out, "layers", "*.dxf")) + glob.glob(os.path.join(out, "nests", "*.dxf")))
    for path in files:
        document = ezdxf.readfile(path)
        audit = document.audit()
        answer["errors"] += len(audit.errors)
        answer["fixes"] += len(audit.fixes)
        answer["not_mm"] += document.header.get("$INSUNITS", 0) != 4
        with open(path, encoding="utf-8") as file:
            answer["without_net"] += "NET" not in file.read()
        root = etree.parse(path[:-4] + ".svg").getroot()
        _, _, width, height = (float(x) for x in root.get("viewBox").split())
        answer["svg_scale"] = max(
            answer["svg_scale"],
            abs(float(root.get("width").removesuffix("mm")) - width),
            abs(float(root.get("height").removesuffix("mm")) - height),
        )
        drawn = [e for e in document.modelspace() if e.dxftype() == "LWPOLYLINE"]
        shown = [e for e in root.iter() if isinstance(e.tag, str) and etree.QName(e).localname == "path"]
        answer["svg_paths"] += abs(len(drawn) - len(shown))
    for part in result(out)["shop"]["parts"]:
        path = os.path.join(out, "layers", file_name(part["id"]) + ".dxf")
        if not os.path.exists(path):
            answer["no_file"] += 1
            continue
        space = ezdxf.readfile(path).modelspace()
        through = [e for e in space if e.dxftype() == "LWPOLYLINE" and e.dxf.layer == "CUT_THRU"]
        written = [part["outline"], *part["through"]]
        contours = [contour for r in written for contour in r["contours"]]
        answer["closed_outlines"] += abs(sum(e.closed for e in through) - len(contours))
        arcs = sum(1 for contour in contours for corner in contour if corner[2])
        answer["arcs"] += abs(sum(1 for e in through for p in e.get_points("b") if p[0]) - arcs)
        outline = region(part["outline"])
        box = bbox.extents(through)
        for ours, theirs in zip(outline.bounds, [box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y]):
            answer["extents"] = max(answer["extents"], abs(ours - theirs))
        drawn, meant = Polygon(), outline
        for entity in through:
            points = [(p.x, p.y) for p in paths.make_path(entity).flattening(0.0005)]
            drawn = drawn.symmetric_difference(Polygon(points).buffer(0))
        for r in part["through"]:
            meant = meant.symmetric_difference(region(r))
        answer["areas"] = max(answer["areas"], abs(drawn.area - meant.area) / meant.area)
        depths = {e.dxf.layer for e in space if e.dxf.layer.startswith("CUT_Z")}
        answer["pocket_layers"] += abs(len(depths) - len({round(p["depth_m"], 5) for p in part["pockets"]}))
    answer["files"] = len(files)
    return answer


def nests(out):
    """shapely: parts on their sheets, laid by the placements of result.json."""
    from shapely import affinity
    from shapely.geometry import box

    shop = result(out)["shop"]
    parts = {part["id"]: part for part in shop["parts"]}
    overlap = outside = least = yield_difference = 0.0
    placed = []
    for nest in shop["nests"]:
        sheet = box(0, 0, *(side * 1000 for side in nest["sheet_m"]))
        laid, net = [], 0.0
        for item in nest["parts"]:
            part = parts[item["id"]]
            shape = region(part["outline"])
            for hole in part["through"]:
                shape = shape.difference(region(hole))
            placement = item["placement"]
            shape = affinity.rotate(shape, placement["angle_deg"], origin=(0, 0))
            shape = affinity.translate(shape, *(x * 1000 for x in placement["shift_m"]))
            outside = max(outside, shape.difference(sheet).area)
            overlap = max([overlap, *(shape.intersection(other).area for other in laid)])
            laid.append(shape)
            # The sheet's yield counts outlines: what is cut out of a part is waste that lies inside it.
            net += region(part["outline"]).area
            placed.append(item["id"])
        yield_difference = max(yield_difference, abs(net / sheet.area - nest["foam_yield"]))
    return {
        "overlap": overlap,
        "outside": outside,
        "not_once": sum(placed.count(part) != 1 for part in parts) + len(set(placed) - set(parts)),
        "yield": yield_difference,
    }


def scene_solids(out):
    """trimesh and manifold: the scene's equipment against result.json, and what cuts into what."""
    import trimesh

    scene = trimesh.load_scene(os.path.join(out, "scene.glb"))
    scene.apply_transform([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
    solids = {}
    for node in scene.graph.nodes_geometry:
        transform, geometry = scene.graph[node]
        mesh = scene.geometry[geometry].copy()
        mesh.apply_transform(transform)
        mesh.merge_vertices(merge_tex=True, merge_norm=True)
        solids[node] = mesh
    items = {name.removeprefix("item "): mesh for name, mesh in solids.items() if name.startswith("item ")}
    places = {place["instance"]: place for place in result(out)["interior"]["places"]}
    # The result's boxes are outer: no piece sticks out of its box, and none rattles in it.
    beyond = loose = 0.0
    for name, place in places.items():
        if name in items:
            low, high = items[name].bounds
            room = [a - b for a, b in zip(low, place["box_min_m"])] + [b - a for a, b in zip(high, place["box_max_m"])]
            beyond, loose = max(beyond, -min(room) * 1000), max(loose, max(room) * 1000)
    foam = [mesh for name, mesh in solids.items() if name.startswith("foam ")]
    shell = [mesh for name, mesh in solids.items() if name.endswith("shell")]
    return {
        "missing": len(set(places) ^ set(items)),
        "beyond": beyond,
        "loose": loose,
        "open_items": sum(not mesh.is_watertight for mesh in items.values()),
        "open_shell": sum(not mesh.is_watertight for mesh in shell),
        "shells": len(shell),
        "foam": len(foam),
        "layers": sum(len(block["layers"]) for block in result(out)["interior"]["blocks"]),
        "item_overlap": max(
            [0.0]
            + [
                overlap(a, b)
                for i, a in enumerate(items.values())
                for b in list(items.values())[i + 1 :]
            ]
        ),
        "shell_overlap": max([0.0] + [overlap(a, b) for a in items.values() for b in shell]),
    }


def overlap(a, b):
    """Volume two meshes share, mm³; boxes first."""
    import trimesh

    if (a.bounds[0] >= b.bounds[1]).any() or (b.bounds[0] >= a.bounds[1]).any():
        return 0.0
    shared = 0.0
    for one in a.split(only_watertight=False):
        for other in b.split(only_watertight=False):
            if one.is_volume and other.is_volume:
                shared += abs(trimesh.boolean.intersection([one, other], engine="manifold").volume) * 1e9
    return shared


def every_paper(out):
    """pypdf and PDFium on every PDF of the set: faces, text, what lies on what, what lies off the page, the labels' code."""
    import pypdfium2
    import zxingcpp
    from pypdf import PdfReader

    answer = dict.fromkeys("papers loose_faces silent_pages text_on_text off_the_page page_counts code_unread".split(), 0)
    for name in sorted(glob.glob(os.path.join(out, "*.pdf"))):
        answer["papers"] += 1
        pages = PdfReader(name, strict=True).pages
        document = pypdfium2.PdfDocument(name)
        answer["page_counts"] += abs(len(pages) - len(document))
        for page in pages:
            for face in (page.get("/Resources", {}).get("/Font") or {}).values():
                face = face.get_object()
                inner = face["/DescendantFonts"][0].get_object() if "/DescendantFonts" in face else face
                kept = inner["/FontDescriptor"].get_object()
                answer["loose_faces"] += not any(key in kept for key in ("/FontFile", "/FontFile2", "/FontFile3"))
        for page in document:
            letters = letters_of(page)
            answer["silent_pages"] += len(letters) == 0
            width, height = page.get_size()
            answer["off_the_page"] += sum(l < 0 or b < 0 or r > width or t > height for l, b, r, t, _ in letters)
            answer["text_on_text"] += overlaps(letters)
    page = pypdfium2.PdfDocument(os.path.join(out, "labels.pdf"))[0]
    head = result(out)["head"]
    codes = zxingcpp.read_barcodes(page.render(scale=3).to_numpy())
    answer["code_unread"] = int(not any(code.text.split()[0] == head["job"] for code in codes))
    return answer


def strange_words(out, *sources):
    """PDFium on every PDF of a set in the accented language: words that no catalogue says and that stand in no file of the job or the
    library, in no citation, and in no name of a file. Shorter than four letters is not counted."""
    import re

    import pypdfium2

    def words(text):
        return {word.lower() for word in re.findall(r"[A-Za-z]+", text)}

    # A stock's own name for a piece kept.
    known = {"offcut"}
    for folder in sources:
        for path, _, files in os.walk(folder):
            for name in files:
                known |= words(name)
                if name.endswith((".toml", ".csv")):
                    with open(os.path.join(path, name), encoding="utf-8") as file:
                        known |= words(file.read())
    for path, _, files in os.walk(out):
        for name in files:
            known |= words(name)
            if name.endswith(".toml"):
                with open(os.path.join(path, name), encoding="utf-8") as file:
                    known |= words(file.read())

    def citations(value):
        if isinstance(value, dict):
            if isinstance(value.get("citation"), str):
                known.update(words(value["citation"]))
            for one in value.values():
                citations(one)
        elif isinstance(value, list):
            for one in value:
                citations(one)

    citations(result(out))
    accented = set("aeiouAEIOUncysz")
    found = {}
    for name in sorted(glob.glob(os.path.join(out, "*.pdf"))):
        for number, page in enumerate(pypdfium2.PdfDocument(name), 1):
            for line in page.get_textpage().get_text_bounded().splitlines():
                # Keys of files, commands and what a box cuts off are no words.
                plain = re.sub(r"\w+(\.\w+)+|caddis \w+|\w+…", "", line)
                for word in re.findall(r"(?<!\w)[A-Za-z]{4,}(?!\w)", plain):
                    if word.lower() not in known and accented & set(word):
                        found.setdefault(word, f"{os.path.basename(name)} {number}: {line.strip()}")
    return {"strange_words": len(found), "where": found}


def workbook(out):
    """formulas and openpyxl: every formula of bill.xlsx computed anew beside its kept result and result.json, and with another margin."""
    from decimal import ROUND_HALF_UP, Decimal

    import formulas
    import openpyxl
    from formulas.functions import wrap_ufunc

    # The library's own ROUND rounds the binary number: 315.275 goes down, where spreadsheets take the decimal one up.
    formulas.get_functions()["ROUND"] = wrap_ufunc(
        lambda number, digits: float(Decimal(repr(float(number))).quantize(Decimal(1).scaleb(-int(digits)), ROUND_HALF_UP))
    )
    path = os.path.join(out, "bill.xlsx")
    kept = openpyxl.load_workbook(path, data_only=True)
    written = openpyxl.load_workbook(path)
    model = formulas.ExcelModel().loads(path).finish()
    name = os.path.basename(path)

    def computed(changes):
        solution = model.calculate(inputs=changes)
        return lambda sheet, cell: float(solution[f"'[{name}]{sheet.upper()}'!{cell}"].value[0, 0])

    value = computed({})
    cells = [
        (sheet.title, cell.coordinate)
        for sheet in written
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    ]
    bill = result(out)["shop"]["bill"]
    labels = {row[0].value: row[1] for row in kept["Cost"].iter_rows(min_row=14) if row[0].value}
    margin, cost = 0.5, kept["Cost"]["B20"].value
    moved = computed({f"'[{name}]COST'!B11": margin})
    return {
        "formulas": len(cells),
        "recomputed": max(abs(value(sheet, cell) - float(kept[sheet][cell].value)) for sheet, cell in cells),
        "price": abs(value("Cost", labels["price"].coordinate) - bill["price"]["minor"] / 100),
        "moved": abs(moved("Cost", "B21") - round(cost / (1 - margin), 2)),
    }


def recalculated(out, program):
    """LibreOffice: bill.xlsx, its kept results struck out first, computed anew without a window; every formula beside what we kept."""
    import re
    import subprocess
    import tempfile
    import zipfile
    from pathlib import Path

    import openpyxl

    always = (
        '<?xml version="1.0" encoding="UTF-8"?>\n<oor:items xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">'
        '<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">'
        "<value>0</value></prop></item></oor:items>"
    )
    with tempfile.TemporaryDirectory() as folder:
        profile = Path(folder, "profile")
        (profile / "user").mkdir(parents=True)
        (profile / "user" / "registrymodifications.xcu").write_text(always, encoding="utf-8")
        struck = 0
        bare = Path(folder, "bill.xlsx")
        with zipfile.ZipFile(os.path.join(out, "bill.xlsx")) as ours, zipfile.ZipFile(bare, "w") as copy:
            for name in ours.namelist():
                data = ours.read(name)
                if name.startswith("xl/worksheets/"):
                    data, count = re.subn(rb"(</f>)<v>[^<]*</v>", rb"\1<v>-77777</v>", data)
                    struck += count
                copy.writestr(name, data)
        ran = subprocess.run(
            [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "xlsx"]
            + ["--outdir", os.path.join(folder, "computed"), str(bare)],
            capture_output=True,
            text=True,
            timeout=240,
        )
        computed = Path(folder, "computed", "bill.xlsx")
        if not computed.exists():
            raise SystemExit(f"{program} did not compute the workbook: {ran.stdout}{ran.stderr}")
        theirs = openpyxl.load_workbook(computed, data_only=True)
    kept = openpyxl.load_workbook(os.path.join(out, "bill.xlsx"), data_only=True)
    written = openpyxl.load_workbook(os.path.join(out, "bill.xlsx"))
    formulas = [
        (sheet.title, cell.coordinate)
        for sheet in written
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    ]
    pairs = [(theirs[sheet][cell].value, kept[sheet][cell].value) for sheet, cell in formulas]
    differences = [
        abs(float(a) - float(b)) if isinstance(a, (int, float)) and isinstance(b, (int, float)) else float(a != b)
        for a, b in pairs
    ]
    return {
        "formulas": len(formulas),
        "not_struck": abs(len(formulas) - struck),
        "recalculated": max(differences),
        "errors": sum(
            isinstance(cell.value, str) and cell.value.startswith("#")
            for sheet in theirs
            for row in sheet.iter_rows()
            for cell in row
        ),
    }


def sheet_files(out):
    """ezdxf: every sheet of the drawings as DXF: the audit, units, size, words and line types beside drawings.pdf."""
    import re

    import ezdxf
    from ezdxf import bbox
    from pypdf import PdfReader

    answer = dict.fromkeys("errors fixes not_mm off_the_paper paper words styles empty".split(), 0.0)
    files = sorted(glob.glob(os.path.join(out, "drawings", "*.dxf")))
    pages = PdfReader(os.path.join(out, "drawings.pdf"), strict=True).pages
    answer["pages"] = abs(len(files) - len(pages))
    for path, page in zip(files, pages):
        document = ezdxf.readfile(path)
        audit = document.audit()
        answer["errors"] += len(audit.errors)
        answer["fixes"] += len(audit.fixes)
        answer["not_mm"] += document.header.get("$INSUNITS", 0) != 4
        space = document.modelspace()
        answer["empty"] += len(space) < 20
        width, height = (float(side) / 72 * 25.4 for side in (page.mediabox.width, page.mediabox.height))
        limits = document.header["$LIMMAX"]
        answer["paper"] = max(answer["paper"], abs(limits[0] - width), abs(limits[1] - height))
        lines = [e for e in space if e.dxftype() in ("LWPOLYLINE", "HATCH")]
        box = bbox.extents(lines)
        inside = min(box.extmin.x, box.extmin.y, width - box.extmax.x, height - box.extmax.y)
        answer["off_the_paper"] = max(answer["off_the_paper"], -inside)
        squeezed = re.sub(r"\s+", "", page.extract_text())
        for text in space.query("TEXT"):
            said = re.sub(r"\s+", "", text.plain_text())
            answer["words"] += said not in squeezed and not said.startswith("picture:")
            answer["styles"] += text.dxf.style not in document.styles or text.dxf.height < 2.5
    answer["files"] = len(files)
    return answer


def letters_of(page):
    """Boxes of the letters that leave ink: left, bottom, right, top, points, and their place in the text."""
    text = page.get_textpage()
    boxes = (text.get_charbox(i) + (i,) for i in range(text.count_chars()))
    return [box for box in boxes if box[2] - box[0] > 0.1 and box[3] - box[1] > 0.1]


def overlaps(boxes, share=0.3):
    """How many pairs of boxes share more than a part of the smaller one; letters of one ligature share its box."""
    found, active = 0, []
    for box in sorted(boxes):
        active = [other for other in active if other[2] > box[0]]
        for other in active:
            wide = min(box[2], other[2]) - max(box[0], other[0])
            high = min(box[3], other[3]) - max(box[1], other[1])
            if wide > 0 and high > 0 and abs(box[4] - other[4]) > 2:
                least = min((b[2] - b[0]) * (b[3] - b[1]) for b in (box, other))
                found += wide * high > share * least
        active.append(box)
    return found


def papers(out):
    """pypdf: pages, the page count printed on them, and the text of report.pdf."""
    import re

    from pypdf import PdfReader

    pages = PdfReader(os.path.join(out, "report.pdf"), strict=True).pages
    texts = [page.extract_text() for page in pages]
    printed = [re.search(r"page\s*(\d+)\s*of\s*(\d+)", text) for text in texts]
    found = result(out)
    head = found["head"]
    words = [head["title"], head["customer"], head["date"]]
    words += [place["name"] for place in found["interior"]["places"]]
    words += [part["id"] for part in found["shop"]["parts"]]
    squeezed = re.sub(r"\s+", "", "".join(texts))
    return {
        "pages": len(pages),
        "misnumbered": sum(
            match is None or int(match[1]) != number or int(match[2]) != len(pages)
            for number, match in enumerate(printed, 1)
        ),
        "empty": sum(not text.strip() for text in texts),
        **every_paper(out),
        "words": len(words),
        "missing": [word for word in words if re.sub(r"\s+", "", word) not in squeezed],
    }
