/** The open job: what the store holds of it, and what came out. Every edit is saved at once; nothing is kept here alone. */
import { signal } from "@preact/signals";
import { api, asProblem, author, must, type Problem, type Schemas } from "./api/client";
import type { Document } from "./document";
import { type ListView, sendList } from "./parts/list_drop";
import { type ShapeAsked, type ShapesFound, sendShape } from "./parts/shape_drop";

export type Job = Schemas["JobView"];
export type Result = Schemas["ResultView"];

export const job = signal<Job | null>(null);
export const result = signal<Result | null>(null);
export const problem = signal<Problem | null>(null);
/** An edit that was made on a revision another tab has overtaken: shown, never lost. */
export const conflict = signal<{ document: Document; note: string } | null>(null);
/** Another tab saved: a word for the status line. */
export const status = signal("");
export const saving = signal(false);
/** Counts what long work has ended, for who waits for it. */
export const solved = signal(0);

let events: EventSource | null = null;

/** The document of the open job. */
export function written(): Document {
  return (job.value?.document ?? {}) as Document;
}

/** Opens a job and listens to what happens to it. */
export async function open(name: string): Promise<void> {
  if (job.value?.name === name && events) return;
  close();
  const path = { params: { path: { name } } };
  try {
    job.value = await must(api.GET("/api/jobs/{name}", path));
    await look();
  } catch (thrown) {
    problem.value = asProblem(thrown);
    return;
  }
  events = new EventSource(`/api/jobs/${encodeURIComponent(name)}/events`);
  events.addEventListener("revision", (event) => {
    const told = JSON.parse(event.data) as { revision: number; author: string };
    if (told.author === author || told.revision <= (job.value?.revision ?? 0)) return;
    status.value = `revision ${told.revision} came from ${told.author}`;
    void reload(name);
  });
  events.addEventListener("progress", (event) => {
    const told = JSON.parse(event.data) as {
      revision: number;
      stage: string;
      fraction: number;
      best?: string;
    };
    const now = result.value;
    if (now && told.revision === now.revision && now.state === "running") {
      result.value = {
        ...now,
        stage: told.stage,
        fraction: told.fraction,
        ...(told.best ? { best: told.best } : {}),
      };
    }
  });
  events.addEventListener("flat", (event) => {
    const told = JSON.parse(event.data) as { revision: number; flat: Result["flat"] };
    const now = result.value;
    if (now && told.revision === now.revision && now.state === "running") {
      result.value = { ...now, flat: told.flat };
    }
  });
  events.addEventListener("solved", () => {
    // Also what another revision of the same content was asked for.
    solved.value += 1;
    void look();
  });
}

/** Lets the job go. */
export function close(): void {
  events?.close();
  events = null;
  job.value = null;
  result.value = null;
  problem.value = null;
  conflict.value = null;
  status.value = "";
}

async function reload(name: string): Promise<void> {
  try {
    job.value = await must(api.GET("/api/jobs/{name}", { params: { path: { name } } }));
    await look();
  } catch (thrown) {
    problem.value = asProblem(thrown);
  }
}

/** Asks what came out of the newest revision. */
export async function look(): Promise<void> {
  const name = job.value?.name;
  if (!name) return;
  result.value = await must(api.GET("/api/jobs/{name}/result", { params: { path: { name } } }));
}

let queue: Promise<unknown> = Promise.resolve();

/** Saves an edit: the document as it should be. Edits wait for each other, so that none is made on an older state. */
export function edit(change: (document: Document) => Document, note: string): Promise<void> {
  const next = queue.then(() => save(change(written()), note));
  queue = next;
  return next;
}

async function save(document: Document, note: string): Promise<void> {
  const now = job.value;
  if (!now) return;
  saving.value = true;
  try {
    job.value = await must(
      api.PUT("/api/jobs/{name}", {
        params: { path: { name: now.name } },
        body: { base: now.revision, document, note, author },
      }),
    );
    problem.value = null;
    await look();
  } catch (thrown) {
    const found = asProblem(thrown);
    if (found.code === "conflict") conflict.value = { document, note };
    else problem.value = found;
  } finally {
    saving.value = false;
  }
}

/** Ends a conflict: keeps one's own edit on top of the newer revision, or lets it go. */
export async function settle(keep: boolean): Promise<void> {
  const open = conflict.value;
  const name = job.value?.name;
  if (!open || !name) return;
  conflict.value = null;
  await reload(name);
  if (keep) await edit(() => open.document, `${open.note} (kept over another tab's edit)`);
}

/** Undo, redo, or an older revision. */
export async function back(what: "undo" | "redo" | { revision: number }): Promise<void> {
  const now = job.value;
  if (!now) return;
  try {
    job.value = await must(
      api.POST("/api/jobs/{name}/back", {
        params: { path: { name: now.name } },
        body: { base: now.revision, what, author },
      }),
    );
    status.value = typeof what === "string" ? `${what}: now as it was` : `revision ${what.revision} is back`;
    await look();
  } catch (thrown) {
    problem.value = asProblem(thrown);
  }
}

/** Adds a shape file, to an item or as a new one. */
export async function addShape(file: File, asked: ShapeAsked): Promise<Problem | null> {
  const now = job.value;
  if (!now) return null;
  const found = await sendShape(now.name, now.revision, file, asked);
  if ("sentence" in found) return found;
  job.value = found;
  await look();
  return null;
}

/** What became of what a job was begun with. */
export interface Begun {
  name: string;
  list?: ListView | Problem;
  shapes?: ShapesFound;
}
export const begun = signal<Begun | null>(null);

/** Takes what became of a packing list into the open job. */
export async function addList(file: File): Promise<ListView | Problem | null> {
  const now = job.value;
  if (!now) return null;
  const found = await sendList(now.name, now.revision, file, false);
  if ("sentence" in found) return found;
  if (found.job) {
    job.value = found.job;
    await look();
  }
  return found;
}

/** Starts arranging, verifying and making the newest revision: from nothing, keeping what lies, or exactly as it lies. */
export async function solve(from: "nothing" | "kept" | "laid"): Promise<void> {
  const name = job.value?.name;
  if (!name) return;
  try {
    result.value = await must(
      api.POST("/api/jobs/{name}/solve", { params: { path: { name }, query: { from } } }),
    );
    if (result.value.state === "running") await look();
  } catch (thrown) {
    problem.value = asProblem(thrown);
  }
}

/** Stops the work: a search ends with the best it has, a verification with nothing. */
export async function stop(): Promise<void> {
  const name = job.value?.name;
  if (name) await api.POST("/api/jobs/{name}/stop", { params: { path: { name } } });
}
