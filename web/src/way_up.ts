/** An item turned in the hand: which of its own directions points up, and the turn in which it lies flat on that side. */
import { Quaternion, Vector3 } from "three";

/** Its own directions, as the job writes them. */
export const WAYS = ["+z", "-z", "+x", "-x", "+y", "-y"] as const;
export type Way = (typeof WAYS)[number];

/** What a way up is in words, seen from how the item is drawn. */
export const IN_WORDS: Readonly<Record<Way, string>> = {
  "+z": "as drawn",
  "-z": "upside down",
  "+x": "on its left end",
  "-x": "on its right end",
  "+y": "on its front",
  "-y": "on its back",
};

const UP = new Vector3(0, 1, 0);

/** An item's own direction in the scene, where y is up: the item's z is the scene's y, its y points away from the eye. */
const IN_SCENE: Readonly<Record<Way, readonly [number, number, number]>> = {
  "+z": [0, 1, 0],
  "-z": [0, -1, 0],
  "+x": [1, 0, 0],
  "-x": [-1, 0, 0],
  "+y": [0, 0, -1],
  "-y": [0, 0, 1],
};

function direction(way: Way): Vector3 {
  return new Vector3(...IN_SCENE[way]);
}

/** Which way is nearest to up when the item is turned so. */
export function wayUp(turn: Quaternion): Way {
  let best: Way = "+z";
  let most = Number.NEGATIVE_INFINITY;
  for (const way of WAYS) {
    const height = direction(way).applyQuaternion(turn).y;
    if (height > most + 1e-9) [best, most] = [way, height];
  }
  return best;
}

/** The least further turn that lays it flat, with a way up: the nearest where none is named. */
export function settled(turn: Quaternion, way: Way = wayUp(turn)): Quaternion {
  const now = direction(way).applyQuaternion(turn);
  return new Quaternion().setFromUnitVectors(now, UP).multiply(turn).normalize();
}

/** Turned further by what the hand did: to the right and towards the eye, in turns about the scene's own axes. */
export function turned(turn: Quaternion, right: number, down: number): Quaternion {
  const about = new Quaternion().setFromAxisAngle(UP, right);
  const over = new Quaternion().setFromAxisAngle(new Vector3(1, 0, 0), down);
  return over.multiply(about).multiply(turn).normalize();
}
