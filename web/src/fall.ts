/** What a fall looks like: its shade by how near it comes to what an item stands, its place on the map, the item sinking. */

export interface Shade {
  colour: string;
  words: string;
}

/** Upper ends of the first shades, as shares of what the item stands. */
const STEPS = [0.25, 0.5, 0.65, 0.8, 0.9, 1] as const;

export const SHADES: readonly Shade[] = [
  { colour: "#f2f6fa", words: "to 25 % of what it stands" },
  { colour: "#d6e4ef", words: "to 50 %" },
  { colour: "#accae1", words: "to 65 %" },
  { colour: "#74a7cb", words: "to 80 %" },
  { colour: "#4280b0", words: "to 90 %" },
  { colour: "#1f5888", words: "to 100 %" },
  { colour: "#c86a4a", words: "over what it stands" },
  { colour: "#7a1212", words: "crushed solid, or strikes" },
];

/** The shade of a peak; without a peak the foam was crushed or something struck. */
export function shadeOf(peak: number | null | undefined, limit: number): Shade {
  const last = SHADES.length - 1;
  const step = peak === null || peak === undefined ? last : STEPS.findIndex((end) => peak <= limit * end);
  return SHADES[step < 0 ? STEPS.length : step] as Shade;
}

/** Where a direction of fall lies on the unfolded sphere: degrees to the right of the front, degrees above the rim plane. */
export function unfolded([x = 0, y = 0, z = 0]: readonly number[]): [number, number] {
  const degrees = 180 / Math.PI;
  const level = Math.hypot(x, y);
  return [level < 1e-9 ? 0 : Math.atan2(x, -y) * degrees, Math.atan2(z, level) * degrees];
}

/** How far an item has sunk at each sample of its history (m), from its speed at the impact. */
export function sunk(against: readonly number[], step: number, height: number): number[] {
  const gravity = 9.80665;
  let speed = Math.sqrt(2 * gravity * height);
  let depth = 0;
  return against.map((now, index) => {
    if (index > 0) {
      const mean = ((against[index - 1] ?? now) + now) / 2;
      const next = speed + gravity * (1 - mean) * step;
      depth += ((speed + next) / 2) * step;
      speed = next;
    }
    return depth;
  });
}
