/** Where in the page one is: an address of its own for every stage, so that back, reload and bookmarks work. */
import { signal } from "@preact/signals";

export const STAGES = ["survey", "contents", "arrange", "verify", "make", "present", "history"] as const;
export type Stage = (typeof STAGES)[number];

export type Place =
  | { at: "start" }
  | { at: "shell"; name: string }
  | { at: "job"; name: string; stage: Stage }
  | { at: "nowhere" };

/** The place an address names. */
export function placeOf(path: string): Place {
  const [first = "", name = "", stage = "survey"] = path.split("/").filter(Boolean).map(decodeURIComponent);
  if (first === "") return { at: "start" };
  if (first === "shell" && name) return { at: "shell", name };
  const known = STAGES.find((word) => word === stage);
  if (first === "job" && name && known) return { at: "job", name, stage: known };
  return { at: "nowhere" };
}

/** The address of a place. */
export function address(place: Place): string {
  if (place.at === "shell") return `/shell/${encodeURIComponent(place.name)}`;
  if (place.at === "job") return `/job/${encodeURIComponent(place.name)}/${place.stage}`;
  return "/";
}

export const here = signal<Place>({ at: "start" });

/** Goes there. */
export function go(place: Place): void {
  history.pushState(null, "", address(place));
  here.value = placeOf(location.pathname);
}

/** Follows links of the page without loading it again. */
export function follow(): void {
  here.value = placeOf(location.pathname);
  addEventListener("popstate", () => {
    here.value = placeOf(location.pathname);
  });
  document.addEventListener("click", (event) => {
    const link = event.target instanceof Element ? event.target.closest("a") : null;
    const plain = !(event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) && event.button === 0;
    if (!link || !plain || link.target || link.hasAttribute("download")) return;
    if (link.origin !== location.origin || link.pathname.startsWith("/api/") || link.hash) return;
    event.preventDefault();
    history.pushState(null, "", link.href);
    here.value = placeOf(location.pathname);
  });
}
