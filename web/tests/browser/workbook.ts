/** A workbook of one sheet as a spreadsheet program saves it, in a container without compression (ECMA-376; PKWARE's APPNOTE). */
import { crc32 } from "node:zlib";

type Cell = string | number;

const TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml";
const RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
const PACKAGE = "http://schemas.openxmlformats.org/package/2006";
const SHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";

/** Rows of texts and numbers as an XLSX file. */
export function workbook(rows: readonly (readonly Cell[])[]): Buffer {
  const cell = (value: Cell, row: number, column: number) => {
    const at = `${String.fromCharCode(65 + column)}${row + 1}`;
    return typeof value === "number"
      ? `<c r="${at}"><v>${value}</v></c>`
      : `<c r="${at}" t="inlineStr"><is><t>${value}</t></is></c>`;
  };
  const lines = rows.map(
    (row, at) => `<row r="${at + 1}">${row.map((value, column) => cell(value, at, column)).join("")}</row>`,
  );
  return container({
    "[Content_Types].xml": `<Types xmlns="${PACKAGE}/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="${TYPES}.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="${TYPES}.worksheet+xml"/></Types>`,
    "_rels/.rels": `<Relationships xmlns="${PACKAGE}/relationships"><Relationship Id="r1" Type="${RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
    "xl/workbook.xml": `<workbook xmlns="${SHEET}" xmlns:r="${RELATIONS}"><sheets><sheet name="List" sheetId="1" r:id="r1"/></sheets></workbook>`,
    "xl/_rels/workbook.xml.rels": `<Relationships xmlns="${PACKAGE}/relationships"><Relationship Id="r1" Type="${RELATIONS}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>`,
    "xl/worksheets/sheet1.xml": `<worksheet xmlns="${SHEET}"><sheetData>${lines.join("")}</sheetData></worksheet>`,
  });
}

/** A container of files, stored as they are. */
function container(files: Record<string, string>): Buffer {
  const parts: Buffer[] = [];
  const directory: Buffer[] = [];
  let offset = 0;
  for (const [name, text] of Object.entries(files)) {
    const bytes = Buffer.from(`<?xml version="1.0" encoding="UTF-8"?>${text}`);
    // From the version on: version, flags, method, time, date (1 January 1980), checksum, sizes, length of the name, no extra.
    const about = Buffer.alloc(26);
    about.writeUInt16LE(20, 0);
    about.writeUInt16LE(0x21, 8);
    about.writeUInt32LE(crc32(bytes), 10);
    about.writeUInt32LE(bytes.length, 14);
    about.writeUInt32LE(bytes.length, 18);
    about.writeUInt16LE(name.length, 22);
    const local = Buffer.concat([Buffer.from("PK\u0003\u0004"), about, Buffer.from(name), bytes]);
    const where = Buffer.alloc(14);
    where.writeUInt32LE(offset, 10);
    directory.push(Buffer.concat([Buffer.from("PK\u0001\u0002\u0014\u0000"), about, where, Buffer.from(name)]));
    parts.push(local);
    offset += local.length;
  }
  const list = Buffer.concat(directory);
  const end = Buffer.alloc(18);
  end.writeUInt16LE(directory.length, 4);
  end.writeUInt16LE(directory.length, 6);
  end.writeUInt32LE(list.length, 8);
  end.writeUInt32LE(offset, 12);
  return Buffer.concat([...parts, list, Buffer.from("PK\u0005\u0006"), end]);
}
