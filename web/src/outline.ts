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
  return contours.map(ring).join("");
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
