/** Outlines: contours of corners `[x, y, bulge]` in metres, as the interface gives them, to SVG paths. */

export type Corner = [number, number, number];

const MILLI = 1000;

/** Millimetres with y up on paper, two decimals. */
function at(value: number): string {
  return (Math.round(value * MILLI * 100) / 100).toString();
}

/**
 * An SVG path in millimetres, y turned so that the back of the case is at the top. The bulge of a corner is the tangent
 * of a quarter of the arc's angle to the next corner (as in DXF); positive turns counter-clockwise.
 */
export function path(contours: readonly (readonly number[])[][]): string {
  return known(paths, contours, () => contours.map(ring).join(""));
}

/** What was made of an outline before: outlines are drawn on every frame of a drag and never change. */
const paths = new WeakMap<object, string>();
const flats = new WeakMap<object, [number, number][]>();

function known<T>(map: WeakMap<object, T>, key: object, make: () => T): T {
  const found = map.get(key);
  if (found !== undefined) return found;
  const made = make();
  map.set(key, made);
  return made;
}

function ring(corners: readonly (readonly number[])[]): string {
  const [first] = corners;
  if (!first) return "";
  let text = `M${at(first[0] ?? 0)} ${at(-(first[1] ?? 0))}`;
  corners.forEach((corner, index) => {
    const next = corners[(index + 1) % corners.length] ?? first;
    const [x = 0, y = 0, bulge = 0] = corner;
    const [u = 0, v = 0] = next;
    if (Math.abs(bulge) < 1e-9) {
      text += `L${at(u)} ${at(-v)}`;
      return;
    }
    const chord = Math.hypot(u - x, v - y);
    const radius = (chord * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
    const large = Math.abs(bulge) > 1 ? 1 : 0;
    const sweep = bulge > 0 ? 0 : 1;
    text += `A${at(radius)} ${at(radius)} 0 ${large} ${sweep} ${at(u)} ${at(-v)}`;
  });
  return `${text}Z`;
}

/** The box around contours' corners, metres: `[left, front, right, back]`. */
export function box(contours: readonly (readonly number[])[][]): [number, number, number, number] {
  const corners = contours.flat();
  const xs = corners.map((corner) => corner[0] ?? 0);
  const ys = corners.map((corner) => corner[1] ?? 0);
  if (corners.length === 0) return [-0.1, -0.1, 0.1, 0.1];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

/** How far the chord of an arc may stand off it, metres. */
const CHORD = 2e-4;

/** The corners of a contour with its arcs as chords. */
export function flat(corners: readonly (readonly number[])[]): [number, number][] {
  return known(flats, corners, () => flattened(corners));
}

function flattened(corners: readonly (readonly number[])[]): [number, number][] {
  const out: [number, number][] = [];
  corners.forEach((corner, index) => {
    const [x = 0, y = 0, bulge = 0] = corner;
    const [u = 0, v = 0] = corners[(index + 1) % corners.length] ?? corner;
    out.push([x, y]);
    if (Math.abs(bulge) < 1e-9) return;
    const sweep = 4 * Math.atan(bulge);
    const chord = Math.hypot(u - x, v - y);
    const radius = chord / (2 * Math.abs(Math.sin(sweep / 2)));
    const most = 2 * Math.acos(Math.max(1 - CHORD / Math.max(radius, CHORD), -1));
    const count = Math.min(Math.ceil(Math.abs(sweep) / most), 64);
    // The centre lies beside the middle of the chord, to the left of it for a counter-clockwise arc of less than half a turn.
    const off = chord / 2 / Math.tan(sweep / 2);
    const [cx, cy] = [(x + u) / 2 - ((v - y) / chord) * off, (y + v) / 2 + ((u - x) / chord) * off];
    const from = Math.atan2(y - cy, x - cx);
    for (let step = 1; step < count; step += 1) {
      const angle = from + (sweep * step) / count;
      out.push([cx + Math.abs(radius) * Math.cos(angle), cy + Math.abs(radius) * Math.sin(angle)]);
    }
  });
  return out;
}

/** Where a straight cut passes through matter: pairs of positions along it. `axis` 0 cuts along x at a y, 1 along y at an x. */
export function cuts(
  contours: readonly (readonly number[])[][],
  axis: 0 | 1,
  at: number,
): [number, number][] {
  const found: number[] = [];
  for (const contour of contours) {
    const corners = flat(contour);
    corners.forEach((corner, index) => {
      const next = corners[(index + 1) % corners.length] ?? corner;
      const [a, b] = [corner[1 - axis] ?? 0, next[1 - axis] ?? 0];
      if (a > at === b > at) return;
      const [from, to] = [corner[axis] ?? 0, next[axis] ?? 0];
      found.push(from + ((at - a) / (b - a)) * (to - from));
    });
  }
  found.sort((a, b) => a - b);
  const pairs: [number, number][] = [];
  for (let index = 0; index + 1 < found.length; index += 2)
    pairs.push([found[index] ?? 0, found[index + 1] ?? 0]);
  return pairs;
}
