"""Workbooks as a customer's office makes them, written by openpyxl, and ours read back by it."""

import datetime
import io
import struct
import zipfile
import zlib
from pathlib import Path

HEADERS = ["Item", "Qty", "Length (mm)", "Width (mm)", "Height (mm)", "Weight (kg)", "Serial"]


def workbooks(folder):
    """Writes the workbooks into a folder; the answer is their names."""
    import openpyxl

    folder = Path(folder)
    made = []

    def keep(name, book):
        book.save(folder / name)
        made.append(name)
        return folder / name

    # A title merged over the columns, a cover sheet before, widths, a date and a number among the remarks, a formula.
    book = openpyxl.Workbook()
    book.active.title = "Cover"
    book.active["A1"] = "Field kit of the invented Tindra Ridge observatory"
    sheet = book.create_sheet("Kit")
    sheet["B2"] = "Packing list"
    sheet.merge_cells("B2:H2")
    for at, header in enumerate(HEADERS):
        sheet.cell(4, 2 + at, header)
    for row, cells in enumerate(
        [
            ["Field receiver", 2, 180, 119.99999999999999, 60, 1.4, 4711],
            ["Mast, short", 1, "40 cm", 50, 50, "2 kg", datetime.date(2026, 11, 25)],
            ["Logger", "=1+1", 100, 80, 40, 0.5, None],
            [None] * 7,
            ["Lens", 1, datetime.date(2026, 10, 12), 80, 40, 0.5, None],
        ]
    ):
        for at, cell in enumerate(cells):
            sheet.cell(5 + row, 2 + at, cell)
    # Two rows merged into one tall one count once.
    for column in "BCDEFGH":
        sheet.merge_cells(f"{column}7:{column}8")
    with_formula = keep("kit.xlsx", book)
    # openpyxl writes formulas without a value; an office program saves the value beside it.
    parts = zipfile.ZipFile(io.BytesIO(with_formula.read_bytes()))
    with zipfile.ZipFile(with_formula, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in parts.namelist():
            data = parts.read(name)
            archive.writestr(name, data.replace(b"<f>1+1</f><v></v>", b"<f>1+1</f><v>2</v>").replace(b"<f>1+1</f><v />", b"<f>1+1</f><v>2</v>"))

    # Other words, another order, units in the cells and as the last word of a header.
    book = openpyxl.Workbook()
    sheet = book.active
    for cells in [
        ["Gewicht (g)", "Stück", "Bezeichnung", "Abmessungen", "Bemerkung"],
        [850, 3, "Sender", "30,5 x 20 x 12 cm", "blau"],
        ["1.2 kg", 1, "Akku", "100 × 80 × 40 mm", None],
        [850, 0, "Nichts", "1 x 1 x 1 cm", None],
    ]:
        sheet.append(cells)
    keep("words.xlsx", book)
    book = openpyxl.Workbook()
    for cells in [["Equipment", "Pcs", "L in", "W in", "H in", "Weight lb"], ["Case light", 1, "10 1/2", 4, 3.25, 2.2]]:
        book.active.append(cells)
    keep("inches.xlsx", book)

    # Two sheets with lists: the fuller one is read, the other named.
    book = openpyxl.Workbook()
    for cells in [HEADERS[:6], ["A", 1, 10, 10, 10, 1]]:
        book.active.append(cells)
    second = book.create_sheet("Spares")
    for cells in [["Item", "Size (mm)", "Weight (kg)"], ["B", "1 x 1 x 1", 1]]:
        second.append(cells)
    book.create_sheet("Chart")
    keep("two-lists.xlsx", book)

    keep("empty.xlsx", openpyxl.Workbook())
    book = openpyxl.Workbook()
    book.active["XFD1048576"] = 1
    keep("far.xlsx", book)

    plain = zipfile.ZipFile(io.BytesIO((folder / "inches.xlsx").read_bytes()))

    def changed(name, part, change):
        with zipfile.ZipFile(folder / name, "w", zipfile.ZIP_DEFLATED) as archive:
            for entry in plain.namelist():
                data = plain.read(entry)
                archive.writestr(entry, change(data) if entry == part else data)
        made.append(name)

    where = "xl/worksheets/sheet1.xml"
    # A sheet that says it is as large as sheets can be, and is not.
    changed("says-huge.xlsx", where, lambda data: data.replace(b'ref="A1:F2"', b'ref="A1:XFD1048576"'))
    # A third of a gigabyte that says so, and 3 GiB that say they are 1000 bytes.
    changed("bomb.xlsx", where, lambda data: data.replace(b"<sheetData>", b"<sheetData>" + b" " * (300 << 20)))
    block = zlib.compressobj(9, zlib.DEFLATED, -15)
    piece = block.compress(b"x" * (1 << 20)) + block.flush(zlib.Z_FULL_FLUSH)
    texts = plain.read(where).split(b"<sheetData>")[0] + b'<sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>'
    start = zlib.compressobj(9, zlib.DEFLATED, -15)
    stream = start.compress(texts) + start.flush(zlib.Z_FULL_FLUSH) + piece * 3072 + b"\x03\x00"
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for entry in plain.namelist():
            archive.writestr(entry, stream if entry == where else plain.read(entry))
        at, directory = archive.getinfo(where).header_offset, archive.start_dir
    data = bytearray(out.getvalue())
    central = data.index(where.encode(), directory) - 46
    for method, size in ((at + 8, at + 22), (central + 10, central + 24)):
        data[method : method + 2] = struct.pack("<H", 8)
        data[size : size + 4] = struct.pack("<I", 1000)
    (folder / "liar.xlsx").write_bytes(data)
    made.append("liar.xlsx")
    entities = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "xxxxxxxxxx">'
    for name, before in zip("bcdefghij", "abcdefghi"):
        entities += b'<!ENTITY %s "%s">' % (name.encode(), (b"&%s;" % before.encode()) * 10)
    entities += b']>'
    cell = b'<row r="1"><c r="A1" t="inlineStr"><is><t>&j;</t></is></c></row></sheetData>'
    changed("entities.xlsx", where, lambda data: entities + data.split(b"?>")[-1].replace(b"</sheetData>", cell))
    changed("cut.xlsx", where, lambda data: data[: len(data) // 2])
    return made


def workbook_template(path):
    """What openpyxl reads in our own empty list."""
    import openpyxl

    book = openpyxl.load_workbook(path)
    sheet = book.active
    return {
        "sheets": book.sheetnames,
        "rows": [[cell for cell in row] for row in sheet.iter_rows(max_row=2, values_only=True)],
        "validations": len(sheet.data_validations.dataValidation),
        "frozen": sheet.freeze_panes,
    }
