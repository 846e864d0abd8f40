"""The reference side of the bench `documents`: the pages of a set, set anew by ReportLab.

Usage: documents_reference.py pages FOLDER
Every PDF file of the folder is read by PDFium first, untimed: words with their place and size, lines and fills, pictures. Then
ReportLab writes as many files of as many pages with the same words, paths and pictures; processor seconds of that alone,
the least of three rounds. Prints JSON.
"""

import glob
import io
import json
import os
import sys
import time

import pypdfium2
import pypdfium2.raw as raw
import reportlab
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

ROUNDS = 3


def paths_of(page):
    """Points of each path object in page coordinates: [(kind, x, y)]."""
    paths = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=8):
        matrix = thing.get_matrix()
        count = raw.FPDFPath_CountSegments(thing)
        points = []
        for index in range(count):
            segment = raw.FPDFPath_GetPathSegment(thing, index)
            x, y = raw.c_float(), raw.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            points.append((raw.FPDFPathSegment_GetType(segment), *matrix.on_point(x.value, y.value)))
        paths.append(points)
    return paths


def contents(path):
    """(width, height, words, paths, pictures) of every page."""
    pages = []
    for page in pypdfium2.PdfDocument(path):
        text = page.get_textpage()
        words = []
        for index in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(index)
            said = text.get_text_bounded(left, bottom, right, top).strip()
            words.append((left, bottom, max(top - bottom, 1.0), said))
        pictures = []
        for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE], max_depth=8):
            store = io.BytesIO()
            thing.get_bitmap().to_pil().convert("RGB").save(store, "PNG")
            pictures.append((thing.get_bounds(), store.getvalue()))
        pages.append((*page.get_size(), words, paths_of(page), pictures))
    return pages


def set_anew(pages):
    store = io.BytesIO()
    canvas = Canvas(store, pageCompression=1)
    for width, height, words, paths, pictures in pages:
        canvas.setPageSize((width, height))
        canvas.setLineWidth(0.5)
        for points in paths:
            drawn = canvas.beginPath()
            curve = []
            for kind, x, y in points:
                if kind == raw.FPDF_SEGMENT_MOVETO:
                    drawn.moveTo(x, y)
                elif kind == raw.FPDF_SEGMENT_BEZIERTO:
                    curve += [x, y]
                    if len(curve) == 6:
                        drawn.curveTo(*curve)
                        curve = []
                else:
                    drawn.lineTo(x, y)
            canvas.drawPath(drawn)
        for (left, bottom, right, top), data in pictures:
            image = ImageReader(Image.open(io.BytesIO(data)))
            canvas.drawImage(image, left, bottom, right - left, top - bottom)
        for x, y, size, said in words:
            canvas.setFont("Vera", size)
            canvas.drawString(x, y, said)
        canvas.showPage()
    canvas.save()
    return len(store.getvalue())


def pages(folder):
    face = os.path.join(os.path.dirname(reportlab.__file__), "fonts", "Vera.ttf")
    pdfmetrics.registerFont(TTFont("Vera", face))
    files = [contents(path) for path in sorted(glob.glob(os.path.join(folder, "*.pdf")))]
    best = None
    for _ in range(ROUNDS):
        clock = time.process_time()
        size = sum(set_anew(file) for file in files)
        seconds = time.process_time() - clock
        best = seconds if best is None else min(best, seconds)
    return {
        "seconds": best,
        "files": len(files),
        "pages": sum(len(file) for file in files),
        "words": sum(len(page[2]) for file in files for page in file),
        "paths": sum(len(page[3]) for file in files for page in file),
        "pictures": sum(len(page[4]) for file in files for page in file),
        "bytes": size,
    }


if __name__ == "__main__":
    if len(sys.argv) != 3 or sys.argv[1] != "pages":
        sys.exit(__doc__)
    json.dump(pages(sys.argv[2]), sys.stdout)
