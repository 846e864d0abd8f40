/** Every direction of fall on the unfolded sphere, each in the shade of what the item sees in it. */
import type { Schemas } from "../api/client";
import { SHADES, shadeOf, unfolded } from "../fall";

/** Half the angle between neighbouring directions, with a little overlap, degrees. */
const REACH = 4.6;

const FACES: readonly [string, number, number][] = [
  ["front", 0, 0],
  ["right", 90, 0],
  ["left", -90, 0],
  ["back", 174, 0],
  ["back", -174, 0],
  ["lid", 0, 82],
  ["base", 0, -82],
];

export function FallMap({
  falls,
  limit,
  name,
}: {
  falls: Schemas["FallsResult"];
  limit: number;
  name: string;
}) {
  const [across, up] = unfolded(falls.worst.direction);
  return (
    <svg
      class="drawing"
      viewBox="-186 -96 372 192"
      role="img"
      aria-label={`${name}: peak of every direction of fall, the front in the middle, the lid at the top`}
    >
      <clipPath id="sphere">
        <rect x="-180" y="-90" width="360" height="180" />
      </clipPath>
      <g clip-path="url(#sphere)">
        {falls.map.map((point) => {
          const [x, y] = unfolded(point.direction);
          const wide = Math.min(REACH / Math.max(Math.cos((y * Math.PI) / 180), 0.02), 180);
          const shade = shadeOf(point.peak_g, limit).colour;
          const words = point.peak_g == null ? "crushed or strikes" : `${point.peak_g.toFixed(0)} G`;
          return (
            <g key={point.direction.join()} fill={shade}>
              <title>{words}</title>
              <ellipse cx={x} cy={-y} rx={wide} ry={REACH} />
              {/* The far side of the seam is the same place. */}
              {Math.abs(x) + wide > 180 && (
                <ellipse cx={x > 0 ? x - 360 : x + 360} cy={-y} rx={wide} ry={REACH} />
              )}
            </g>
          );
        })}
      </g>
      <rect class="frame" x="-180" y="-90" width="360" height="180" />
      {FACES.map(([word, x, y]) => (
        <text class="face" key={`${word}${x}`} x={x} y={-y + 3} text-anchor="middle">
          {word}
        </text>
      ))}
      <circle class="worst" cx={across} cy={-up} r="11">
        <title>the worst of all landings: {falls.worst.words}</title>
      </circle>
    </svg>
  );
}

/** What the shades say. */
export function Legend() {
  return (
    <ul class="legend">
      {SHADES.map((shade) => (
        <li key={shade.words}>
          <span class="swatch" style={{ background: shade.colour }} /> {shade.words}
        </li>
      ))}
    </ul>
  );
}
