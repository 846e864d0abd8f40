/** Plan and sections of a shell as drawings in millimetres. */
import type { Schemas } from "../api/client";
import { box, path } from "../outline";
import { mm } from "../words";

type View = Schemas["SurveyView"];
type Section = Schemas["SectionView"];

const MARGIN = 24;

export function ShellPlan({ view, depth }: { view: View; depth: boolean }) {
  const [left, front, right, back] = box(view.rim.contours);
  const [x, y, w, h] = [
    left * 1000 - MARGIN,
    -back * 1000 - MARGIN,
    (right - left) * 1000,
    (back - front) * 1000,
  ];
  const viewBox = `${x} ${y} ${w + 2 * MARGIN} ${h + 2 * MARGIN}`;
  return (
    <svg
      class="drawing"
      viewBox={viewBox}
      role="img"
      aria-label={`Plan at ${mm(view.z_m)} over the floor, back at the top`}
    >
      <path class="hidden-line" d={path(view.rim.contours)} />
      <path class="wall" d={path(view.walls.contours)} />
      {view.bodies
        .filter((body) => body.low_m <= view.z_m && view.z_m < body.high_m)
        .map((body) => (
          <path key={body.name} class="matter" d={path(body.outline.contours)}>
            <title>{body.name}</title>
          </path>
        ))}
      {depth && <Depth view={view} />}
      <path class="wall" d={path(view.plan.contours)} fill-opacity="0" />
      <line
        class="cut"
        x1={x}
        x2={x + w + 2 * MARGIN}
        y1={-view.along.at_m * 1000}
        y2={-view.along.at_m * 1000}
      />
      <line
        class="cut"
        y1={y}
        y2={y + h + 2 * MARGIN}
        x1={view.across.at_m * 1000}
        x2={view.across.at_m * 1000}
      />
    </svg>
  );
}

/** Clear depth as shades, deep is dark; the number stands in the title of each cell and in the scale below. */
function Depth({ view }: { view: View }) {
  const { columns, rows, x_m, y_m, depth_m } = view.depth;
  const deepest = Math.max(...depth_m.map((depth) => depth ?? 0), 1e-6);
  const [x0 = 0, x1 = 0] = x_m;
  const [y0 = 0, y1 = 0] = y_m;
  const [w, h] = [((x1 - x0) * 1000) / columns, ((y1 - y0) * 1000) / rows];
  return (
    <g fill="var(--accent)" shape-rendering="crispEdges">
      {depth_m.map((depth, index) => {
        if (depth === null || depth === undefined) return null;
        const [column, row] = [index % columns, Math.floor(index / columns)];
        return (
          <rect
            key={`${column}/${row}`}
            x={x0 * 1000 + column * w}
            y={-(y0 * 1000 + (row + 1) * h)}
            width={w}
            height={h}
            fill-opacity={0.06 + 0.62 * (depth / deepest) ** 2}
          >
            <title>{mm(depth)} clear</title>
          </rect>
        );
      })}
    </g>
  );
}

/** A section: the base's matter below, the lid's above, the rim plane as a dashed line. */
export function ShellSection({ view, section, words }: { view: View; section: Section; words: string }) {
  const along = section.along_m;
  const [first = 0, last = 0] = [along[0], along[along.length - 1]];
  const wall = 5;
  const crown = view.crown_height_m * 1000;
  const rim = view.rim_height_m * 1000;
  const viewBox = `${first * 1000 - MARGIN} ${-crown - MARGIN} ${(last - first) * 1000 + 2 * MARGIN} ${crown + 2 * MARGIN}`;
  return (
    <svg class="drawing" viewBox={viewBox} role="img" aria-label={words}>
      <path class="matter" d={band(along, section.floor_m, -wall)} />
      <path class="matter" d={band(along, section.crown_m, crown + wall)} />
      <line class="cut" x1={first * 1000 - MARGIN} x2={last * 1000 + MARGIN} y1={-rim} y2={-rim} />
      <text x={last * 1000 + MARGIN} y={-rim - 5} font-size="13" text-anchor="end">
        rim plane {mm(view.rim_height_m)}
      </text>
      <line
        class="hidden-line"
        x1={first * 1000}
        x2={last * 1000}
        y1={-view.z_m * 1000}
        y2={-view.z_m * 1000}
      />
    </svg>
  );
}

function band(along: readonly number[], heights: readonly (number | null)[], outside: number): string {
  const points = along.flatMap((x, index) => {
    const height = heights[index];
    return height === null || height === undefined ? [] : [[x * 1000, -height * 1000] as const];
  });
  const [first] = points;
  const last = points[points.length - 1];
  if (!first || !last) return "";
  const line = points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L");
  return `M${first[0].toFixed(1)} ${-outside}L${line}L${last[0].toFixed(1)} ${-outside}Z`;
}
