/** Numbers as the page prints them. */

const NARROW = "\u202f";

/** Metres as millimetres. */
export function mm(metres: number, digits = 0): string {
  return `${(metres * 1000).toFixed(digits)}${NARROW}mm`;
}

/** Cubic metres as litres. */
export function litres(cubic: number): string {
  return `${(cubic * 1000).toFixed(1)}${NARROW}L`;
}

/** Kilograms. */
export function kg(mass: number): string {
  return `${mass < 10 ? mass.toFixed(2) : mass.toFixed(1)}${NARROW}kg`;
}

/** Length x width x height of a box in millimetres. */
export function size(sides: readonly number[]): string {
  return `${sides.map((side) => (side * 1000).toFixed(0)).join(" × ")}${NARROW}mm`;
}

/** A sum of money from minor units. */
export function money(sum: { minor: number; currency: string }): string {
  return `${(sum.minor / 100).toFixed(2)}${NARROW}${sum.currency}`;
}

/** How much more or less a sum is than another; empty where they cannot be compared or are one. */
export function moneyDifference(
  first: { minor: number; currency: string } | undefined,
  now: { minor: number; currency: string },
): string {
  if (!first || first.currency !== now.currency || first.minor === now.minor) return "";
  const sign = now.minor > first.minor ? "+" : "−";
  return `${sign}${money({ minor: Math.abs(now.minor - first.minor), currency: now.currency })}`;
}

/** A time of the history as the person's own clock reads. */
export function when(iso: string): string {
  const time = new Date(iso);
  return Number.isNaN(time.getTime()) ? iso : time.toLocaleString();
}
