/** What differs between two documents, key by key. */
import { isTable, type Json } from "./document";

export interface Difference {
  path: string;
  before: string;
  after: string;
}

/** Every value that differs, in the order of the keys; lists whose entries have ids are compared by id. */
export function differences(before: Json | undefined, after: Json | undefined, path = ""): Difference[] {
  if (isTable(before) && isTable(after)) {
    const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])];
    return keys.flatMap((key) => differences(before[key], after[key], path === "" ? key : `${path}.${key}`));
  }
  if (Array.isArray(before) && Array.isArray(after) && hasIds(before) && hasIds(after)) {
    const ids = [...new Set([...before, ...after].map(idOf))];
    return ids.flatMap((id) =>
      differences(
        before.find((entry) => idOf(entry) === id),
        after.find((entry) => idOf(entry) === id),
        `${path} ${id}`,
      ),
    );
  }
  const [was, is] = [words(before), words(after)];
  return was === is ? [] : [{ path, before: was, after: is }];
}

function idOf(entry: Json): string {
  return isTable(entry) ? String(entry.id ?? "") : "";
}

function hasIds(list: Json[]): boolean {
  return list.every((entry) => idOf(entry) !== "");
}

function words(value: Json | undefined): string {
  if (value === undefined) return "—";
  return typeof value === "string" ? value : JSON.stringify(value);
}
