/** Which colour of foam is which, in words beside a swatch as the picture fills it. */
import { type FoamColours, foamFill } from "../foam_colours";

export function FoamKey({ colours }: { colours: FoamColours | null }) {
  if (!colours) return null;
  const rows = [
    ["uppermost layer", colours.top],
    ["layers below", colours.floors],
  ] as const;
  return (
    <ul class="legend" aria-label="Colours of the foam">
      {rows.map(([where, colour]) => (
        <li key={where}>
          <i class="swatch" style={{ background: foamFill(colour)?.fill ?? "var(--foam)" }} /> {colour.name}:{" "}
          {where}
        </li>
      ))}
    </ul>
  );
}
