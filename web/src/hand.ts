/** The piece in hand: where it would be put, how it would lie there, and what became of putting it down. */
import { computed, signal } from "@preact/signals";
import { api, asProblem, author, must, type Schemas } from "./api/client";
import { type Job, job, look, problem, saving, status } from "./job";

export type Lie = Schemas["LieView"];
type Place = Schemas["PlaceResult"];
type HandChange = Schemas["HandChange"];

/** Where a piece lies: plan centre of its box in metres. */
export interface Spot {
  up: string;
  /** Degrees about the vertical, counter-clockwise from above: 0 to 359. */
  turn: number;
  tier: number;
  at: readonly [number, number];
}

export interface Held {
  piece: string;
  name: string;
  /** Where it lies in the job. */
  from: Spot;
  /** Where the hand holds it. */
  spot: Spot;
  /** How it would lie there, as far as the answer has come. */
  lie: Lie | null;
}

export interface Refusal {
  name: string;
  changes: HandChange[];
  sentences: string[];
  /** What the piece would have to move by to lie at the nearest place that would do, and that place. */
  nearest: { spot: Spot; by: readonly [number, number] } | null;
}

export const held = signal<Held | null>(null);
/** Which piece that is: changes less often than how it is held. */
export const heldPiece = computed(() => held.value?.piece ?? "");
/** In which tier it is held. */
export const heldTier = computed(() => held.value?.spot.tier ?? -1);
export const refusal = signal<Refusal | null>(null);

/** The spot of a place. */
export function spotOf(place: Place): Spot {
  const middle = (axis: number) => ((place.box_min_m[axis] ?? 0) + (place.box_max_m[axis] ?? 0)) / 2;
  return { up: place.up, turn: place.turn_deg, tier: place.tier, at: [middle(0), middle(1)] };
}

/** Whether two spots are one. */
export function same(a: Spot, b: Spot): boolean {
  return (
    a.up === b.up && a.turn === b.turn && a.tier === b.tier && a.at[0] === b.at[0] && a.at[1] === b.at[1]
  );
}

/** What has to be done to get a piece from one spot to the other. */
export function changesOf(piece: string, from: Spot, to: Spot): HandChange[] {
  const changes: HandChange[] = [];
  if (from.tier !== to.tier) changes.push({ what: "tier", piece, tier: to.tier });
  if (from.up !== to.up || from.turn !== to.turn) {
    changes.push({ what: "turn", piece, up: to.up, turn_deg: to.turn });
  }
  if (from.at[0] !== to.at[0] || from.at[1] !== to.at[1]) {
    changes.push({ what: "move", piece, at_m: [to.at[0], to.at[1]] });
  }
  return changes;
}

/** Takes a piece in hand. */
export function take(place: Place): void {
  if (held.value?.piece === place.instance) return;
  const from = spotOf(place);
  held.value = { piece: place.instance, name: place.name, from, spot: from, lie: null };
  refusal.value = null;
  ask();
}

/** Another revision lies otherwise: the piece in hand is where it lies now. */
export function settle(interior: Schemas["InteriorSection"]): void {
  const now = held.value;
  if (!now) return;
  const place = interior.places.find((known) => known.instance === now.piece);
  if (!place) {
    held.value = null;
    return;
  }
  const from = spotOf(place);
  // What came may say no more than that all was verified: a piece that lies where it lay stays in the hand as it is held.
  if (!same(from, now.from)) held.value = { ...now, from, spot: from };
  ask();
}

/** Lets go of it without putting it anywhere. */
export function letGo(): void {
  held.value = null;
}

/** Back to where it lies. */
export function takeBack(): void {
  const now = held.value;
  if (now) hold(now.from);
}

/** Holds the piece elsewhere. */
export function hold(spot: Spot): void {
  const now = held.value;
  if (!now || same(now.spot, spot)) return;
  held.value = { ...now, spot };
  ask();
}

/** Moves the piece in hand by metres. */
export function shift(along: number, across: number): void {
  const now = held.value;
  if (!now) return;
  // Steps of a tenth of a millimetre, so that ten steps there and back end where they began.
  const step = (value: number, by: number) => (by === 0 ? value : Math.round((value + by) * 1e4) / 1e4);
  hold({ ...now.spot, at: [step(now.spot.at[0], along), step(now.spot.at[1], across)] });
}

/** A turn in whole degrees, full turns left out. */
export function whole(degrees: number): number {
  return ((Math.round(degrees) % 360) + 360) % 360;
}

/** Turns the piece in hand by degrees, counter-clockwise from above. */
export function turn(by: number): void {
  const now = held.value;
  if (now) hold({ ...now.spot, turn: whole(now.spot.turn + by) });
}

let asked = 0;
let answering = false;
let waiting = false;

/**
 * Asks how the piece would lie: once a frame at most, one question at a time. A question that is overtaken is never sent, and an
 * answer that comes for a spot the hand has left is dropped.
 */
function ask(): void {
  if (waiting) return;
  waiting = true;
  requestAnimationFrame(() => {
    waiting = false;
    if (!answering) void question();
  });
}

async function question(): Promise<void> {
  const now = held.value;
  const open = job.value;
  if (!now || !open) return;
  answering = true;
  asked += 1;
  const mine = asked;
  const { piece, spot } = now;
  try {
    const lie = await must(
      api.POST("/api/jobs/{name}/lie", {
        params: { path: { name: open.name } },
        body: {
          revision: open.revision,
          piece,
          up: spot.up,
          turn_deg: spot.turn,
          tier: spot.tier,
          at_m: [spot.at[0], spot.at[1]],
        },
      }),
    );
    const current = held.value;
    if (current && current.piece === piece && mine === asked && job.value?.revision === open.revision) {
      held.value = { ...current, lie };
    }
  } catch (thrown) {
    const found = asProblem(thrown);
    if (found.code !== "missing") problem.value = found;
  } finally {
    answering = false;
  }
  const after = held.value;
  if (after && (after.piece !== piece || !same(after.spot, spot))) ask();
}

/** Puts the piece down where the hand holds it: kept as a revision, or refused with why. */
export async function putDown(): Promise<void> {
  const now = held.value;
  if (!now || same(now.from, now.spot)) return;
  await make(now.piece, now.name, now.from, changesOf(now.piece, now.from, now.spot), false);
}

/** Pins a piece where it lies, or lets it go. */
export async function pin(on: boolean): Promise<void> {
  const now = held.value;
  if (!now) return;
  const changes = changesOf(now.piece, now.from, now.spot);
  await make(now.piece, now.name, now.from, [...changes, { what: "pin", piece: now.piece, on }], false);
}

/** The others make way for what was refused. */
export async function makeWay(): Promise<void> {
  const open = refusal.value;
  const now = held.value;
  if (open && now) await make(now.piece, now.name, now.from, open.changes, true);
}

/** Puts the piece at the nearest place that would do. */
export async function putNearest(): Promise<void> {
  const near = refusal.value?.nearest;
  const now = held.value;
  if (near && now)
    await make(now.piece, now.name, now.from, changesOf(now.piece, now.from, near.spot), false);
}

async function make(
  piece: string,
  name: string,
  from: Spot,
  changes: HandChange[],
  makesWay: boolean,
): Promise<void> {
  const open: Job | null = job.value;
  if (!open) return;
  saving.value = true;
  refusal.value = null;
  if (makesWay) status.value = "the others make way…";
  try {
    const answer = await must(
      api.POST("/api/jobs/{name}/changes", {
        params: { path: { name: open.name } },
        body: { base: open.revision, changes, make_way: makesWay, author },
      }),
    );
    if (answer.job) {
      job.value = answer.job;
      problem.value = null;
      status.value = "";
      await look();
      return;
    }
    status.value = "";
    const near = answer.nearest;
    refusal.value = {
      name,
      changes,
      sentences: answer.refused
        ? answer.refused.broken.map((broken) => broken.sentence)
        : answer.reasons.map((reason) => reason.sentence),
      nearest: near
        ? {
            spot: {
              up: near.up,
              turn: near.turn_deg,
              tier: near.tier,
              at: [near.at_m[0] ?? 0, near.at_m[1] ?? 0],
            },
            by: [(near.at_m[0] ?? 0) - from.at[0], (near.at_m[1] ?? 0) - from.at[1]],
          }
        : null,
    };
    if (held.value?.piece === piece) hold(from);
  } catch (thrown) {
    problem.value = asProblem(thrown);
    if (held.value?.piece === piece) hold(from);
  } finally {
    saving.value = false;
  }
}
