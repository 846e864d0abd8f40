/** Documents as they are written: nested keys with texts, edited by path. */

export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };
export type Document = { [key: string]: Json };

/** Whether a value has keys. */
export function isTable(value: Json | undefined): value is { [key: string]: Json } {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** `items[2].mass` as steps. */
export function steps(path: string): (string | number)[] {
  return path
    .split(".")
    .flatMap((part) => {
      const [key = "", ...indices] = part.split("[");
      return [key, ...indices.map((index) => Number.parseInt(index, 10))];
    })
    .filter((step) => step !== "");
}

/** The value at a path. */
export function get(document: Json, path: string): Json | undefined {
  let here: Json | undefined = document;
  for (const step of steps(path)) {
    if (Array.isArray(here) && typeof step === "number") here = here[step];
    else if (isTable(here)) here = here[String(step)];
    else return undefined;
  }
  return here;
}

/** A copy of the document with another value at a path; `undefined` takes the key away. */
export function set<T extends Json>(document: T, path: string, value: Json | undefined): T {
  return put(document, steps(path), value) as T;
}

function put(here: Json | undefined, path: (string | number)[], value: Json | undefined): Json {
  const [step, ...rest] = path;
  if (step === undefined) return value ?? null;
  if (typeof step === "number") {
    const list = Array.isArray(here) ? [...here] : [];
    if (rest.length === 0 && value === undefined) list.splice(step, 1);
    else list[step] = put(list[step], rest, value);
    return list;
  }
  const table: { [key: string]: Json } = isTable(here) ? { ...here } : {};
  if (rest.length === 0 && value === undefined) delete table[step];
  else table[step] = put(table[step], rest, value);
  return table;
}

/** A measured value as one text: `648 mm ± 1 mm`. */
export function measureText(value: Json | undefined): string {
  if (isTable(value)) {
    const band = value.plus_minus;
    const main = String(value.value ?? "");
    return band === undefined || band === null ? main : `${main} ± ${String(band)}`;
  }
  return value === undefined || value === null ? "" : String(value);
}

/** A text put into a measured value; its source stays. */
export function withText(value: Json | undefined, text: string): Json {
  if (isTable(value) && value.source !== undefined) return { value: text, source: value.source };
  return text;
}
