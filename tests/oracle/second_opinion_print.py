"""Second opinion on the check print: its tiles as PDFium prints them, put together by their frames. Lengths in millimetres.

Called by second_opinion.py.
"""

import ctypes
import os
import re

from second_opinion_set import region, result

# Paper and dots: what a good office printer shows.
POINT, DOT = 25.4 / 72, 25.4 / 200
# White around the plan, and what a tile repeats of its neighbours (docs/files.md).
WHITE, FLAP = 4.0, 8.0


def corners(path):
    """Points of a path on the page, from its lower left corner."""
    import pypdfium2.raw as pdfium

    matrix, points = path.get_matrix(), []
    for index in range(pdfium.FPDFPath_CountSegments(path)):
        x, y = ctypes.c_float(), ctypes.c_float()
        segment = pdfium.FPDFPath_GetPathSegment(path, index)
        pdfium.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
        points.append(tuple(value * POINT for value in matrix.on_point(x.value, y.value)))
    return points


def box(points):
    xs, ys = zip(*points)
    return min(xs), min(ys), max(xs), max(ys)


def tiles(document):
    """Every tile: tier, column, row, page, its frame, the boxes of its other paths."""
    import pypdfium2.raw as pdfium

    found = []
    for page in document:
        text = page.get_textpage().get_text_range()
        name = re.match(r"([A-Z])(\d+)\s+tier (\d+),", text)
        if not name:
            continue
        boxes = [box(corners(o)) for o in page.get_objects(max_depth=10) if o.type == pdfium.FPDF_PAGEOBJ_PATH]
        width, height = (size * POINT for size in page.get_size())
        on_page = [b for b in boxes if b[0] > 0 and b[1] > 0 and b[2] < width and b[3] < height]
        # The frame stands over the bar below it and begins where the bar does: what else lies on the page as a whole is drawn by the plan.
        bars = [b for b in on_page if b[3] - b[1] < 1e-3 and b[2] - b[0] > 50]
        left = min(bars, key=lambda b: b[1])[0]
        framed = [b for b in on_page if abs(b[0] - left) < 0.02 and b[3] - b[1] > 10]
        frame = max(framed, key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
        ticks = sorted(b[0] for b in on_page if b[2] - b[0] < 1e-3 and b[3] < frame[1] and b[3] - b[1] < 5)
        found.append(
            {
                "tier": int(name[3]),
                "column": ord(name[1]) - ord("A"),
                "row": int(name[2]) - 1,
                "page": page,
                "frame": frame,
                "boxes": boxes,
                "bar": ticks[-1] - ticks[0] if ticks else 0.0,
            }
        )
    return found


def plan(interior, tier):
    """Outline and openings of a tier's face."""
    from shapely.ops import unary_union

    block = [block for block in interior["blocks"] if block["kind"] != "lid pad"][tier - 1]
    layer = block["layers"][-1]
    height = layer["high_m"] - 1e-4
    voids = [step for cavity in interior["cavities"] for step in cavity["steps"]]
    voids += [cavity["over"] for cavity in interior["cavities"] if cavity.get("over")]
    voids += [cut["void"] for cut in interior["notches"] + interior.get("openings", [])]
    open_here = unary_union([region(v["outline"]) for v in voids if v["low_m"] <= height < v["high_m"]])
    return region(layer["outline"]), open_here


def check_print(out):
    """PDFium, scipy and shapely: the tiles put together by their frames are the plan of result.json, borders and flaps included."""
    import numpy
    import pypdfium2
    from scipy.ndimage import distance_transform_edt
    from shapely.ops import unary_union

    interior = result(out)["interior"]
    document = pypdfium2.PdfDocument(os.path.join(out, "check-print.pdf"))
    found = tiles(document)
    answer = dict.fromkeys("frames placed printed flaps unprinted doubled bar crossings samples".split(), 0.0)
    answer["tiles"] = len(found)
    for tier in sorted({tile["tier"] for tile in found}):
        of_tier = [tile for tile in found if tile["tier"] == tier]
        outline, openings = plan(interior, tier)
        whole = unary_union([outline, openings])
        corner = (whole.bounds[0] - WHITE, whole.bounds[3] + WHITE)
        columns = 1 + max(tile["column"] for tile in of_tier)
        rows = 1 + max(tile["row"] for tile in of_tier)
        answer["frames"] += abs(len(of_tier) - columns * rows)
        size = {(t["column"], t["row"]): (t["frame"][2] - t["frame"][0], t["frame"][3] - t["frame"][1]) for t in of_tier}
        for (column, row), (width, height) in size.items():
            answer["frames"] = max(answer["frames"], abs(width - size[column, 0][0]), abs(height - size[0, row][1]))
        points = []
        for line in (outline.boundary, openings.boundary):
            for part in getattr(line, "geoms", [line]):
                points.extend(part.interpolate(at).coords[0] for at in numpy.arange(0.0, part.length, 0.5))
        points = numpy.asarray(points)
        times = numpy.zeros(len(points), dtype=int)
        answer["samples"] += len(points)
        for tile in of_tier:
            left, low, _, top = tile["frame"]
            width, height = size[tile["column"], tile["row"]]
            along = sum(size[column, 0][0] for column in range(tile["column"]))
            down = sum(size[0, row][1] for row in range(tile["row"]))
            # From the tile's upper left corner, rightwards and downwards.
            x, y = points[:, 0] - corner[0] - along, corner[1] - points[:, 1] - down
            own = (x >= 0) & (x < width) & (y >= 0) & (y < height)
            times += own
            wide = width + (FLAP if tile["column"] + 1 < columns else 0.0)
            high = height + (FLAP if tile["row"] + 1 < rows else 0.0)
            edge = 0.3
            shown = (x > edge) & (x < wide - edge) & (y > edge) & (y < high - edge)
            image = tile["page"].render(scale=POINT / DOT, grayscale=True).to_numpy()
            image = image.reshape(image.shape[0], image.shape[1], -1)[:, :, 0]
            away = distance_transform_edt(image > 110) * DOT
            page_top = tile["page"].get_size()[1] * POINT
            across = numpy.clip(((left + x[shown]) / DOT).astype(int), 0, image.shape[1] - 1)
            depth = numpy.clip(((page_top - top + y[shown]) / DOT).astype(int), 0, image.shape[0] - 1)
            found_at, own_shown = away[depth, across], own[shown]
            if own_shown.any():
                answer["printed"] = max(answer["printed"], float(found_at[own_shown].max()))
            if (~own_shown).any():
                answer["flaps"] = max(answer["flaps"], float(found_at[~own_shown].max()))
                answer["crossings"] += int((~own_shown).sum())
            # The outline as it is drawn, clipped or not, where the frames put it.
            b = outline.bounds
            wanted = (b[0] - corner[0] - along + left, top - (corner[1] - b[1] - down))
            wanted += (b[2] - corner[0] - along + left, top - (corner[1] - b[3] - down))
            nearest = min(max(abs(p - q) for p, q in zip(wanted, drawn)) for drawn in tile["boxes"])
            answer["placed"] = max(answer["placed"], nearest)
            answer["bar"] = max(answer["bar"], abs(tile["bar"] - 100))
        answer["unprinted"] += int((times == 0).sum())
        answer["doubled"] += int((times > 1).sum())
    return answer
