/**
 * A section through the piece in hand, as it moves: layers, the cavities they hold, the piece itself with the foam below and above.
 * It is dragged along the cut, and up or down into another tier.
 */
import { useRef } from "preact/hooks";
import type { Schemas } from "../api/client";
import { colourOfLayers, type FoamColours, foamFill } from "../foam_colours";
import { type Held, held, hold, shift, take } from "../hand";
import { box, cuts, flat } from "../outline";
import { tierBlocks, tierFloor } from "../tiers";
import { type Drag, tenths, useDrag } from "./drag";
import { handKeys } from "./hand_keys";

type Interior = Schemas["InteriorSection"];
type Prism = Schemas["PrismResult"];

const MARGIN = 26;

interface SectionProps {
  interior: Interior;
  colours: FoamColours | null;
  now: Held;
  /** 0: along the case, 1: across it. */
  axis: 0 | 1;
  pinned: ReadonlySet<string>;
}

/** How high the tiers begin over the floor, metres: the base first. */
function tierFloors(interior: Interior): number[] {
  return tierBlocks(interior).map(tierFloor);
}

export function LiveSection({ interior, colours, now, axis, pinned }: SectionProps) {
  const svg = useRef<SVGSVGElement>(null);
  const at = now.spot.at[1 - axis] ?? 0;
  const layers = interior.blocks.flatMap((block) => block.layers);
  const [left, front, right, back] = box(layers.flatMap((layer) => layer.outline.contours));
  const [low, high] = axis === 0 ? [left, right] : [front, back];
  const top = Math.max(...layers.map((layer) => layer.high_m));
  const viewBox = `${low * 1000 - MARGIN} ${-top * 1000 - 8} ${(high - low) * 1000 + 2 * MARGIN} ${top * 1000 + 34}`;
  const place = interior.places.find((known) => known.instance === now.piece);
  const lid = interior.blocks.find((block) => block.kind.includes("lid"))?.low_m ?? top;
  const rise = (now.lie?.bottom_m ?? place?.box_min_m[2] ?? 0) - (place?.box_min_m[2] ?? 0);
  const floors = tierFloors(interior);
  const shades = colourOfLayers(interior, colours);
  const filled = (layer: string) => {
    const style = foamFill(shades.get(layer));
    return style ? { style } : {};
  };
  const drag = useDrag(svg, (high - low) * 1000 + 2 * MARGIN, (from, right, up) => {
    const along = tenths((from.at[axis] ?? 0) + right);
    const wanted = (floors[from.tier] ?? 0) + up;
    // The tier whose floor is nearest to where the hand lifts the piece's own.
    const tier = floors.reduce(
      (best, floor, index) =>
        Math.abs(floor - wanted) < Math.abs((floors[best] ?? 0) - wanted) ? index : best,
      from.tier,
    );
    return { ...from, tier, at: axis === 0 ? [along, from.at[1]] : [from.at[0], along] };
  });
  return (
    <svg
      ref={svg}
      class="drawing plan"
      viewBox={viewBox}
      role="group"
      aria-label={`Section ${axis === 0 ? "along" : "across"} the case through ${now.name}`}
    >
      {layers.map((layer) =>
        cuts(layer.outline.contours, axis, at).map(([from, to]) => (
          <rect
            key={`${layer.id}/${from}`}
            class="foam"
            {...filled(layer.id)}
            x={from * 1000}
            y={-layer.high_m * 1000}
            width={(to - from) * 1000}
            height={(layer.high_m - layer.low_m) * 1000}
          />
        )),
      )}
      {interior.cavities.map((cavity) => {
        const other = interior.places.find((known) => known.instance === cavity.instance);
        if (!other || cavity.instance === now.piece) return null;
        const highest = other.box_max_m[2] ?? lid;
        const open = other.in_lid ? highest : lid;
        return (
          // By keyboard, the plan and the table take a piece in hand.
          <g key={cavity.id} class="takes" onPointerDown={() => take(other)}>
            <title>{other.name}</title>
            <Steps class="cavity" steps={cavity.steps} axis={axis} at={at} by={0} rise={0} highest={open} />
            <Steps class="item" steps={cavity.steps} axis={axis} at={at} by={0} rise={0} highest={highest} />
          </g>
        );
      })}
      {(interior.openings ?? []).map((opening) => (
        <g key={`${opening.kind}/${opening.place}/${JSON.stringify(opening.void.outline.contours[0]?.[0])}`}>
          <title>
            {opening.kind}, {opening.place}
          </title>
          <Steps class="opening" steps={[opening.void]} axis={axis} at={at} by={0} rise={0} highest={lid} />
        </g>
      ))}
      {place && (
        <Mine
          interior={interior}
          now={now}
          place={place}
          axis={axis}
          at={at}
          rise={rise}
          lid={lid}
          tiers={floors.length}
          isPinned={pinned.has(place.instance)}
          drag={drag}
        />
      )}
      <line class="cut" x1={low * 1000} x2={high * 1000} y1={-lid * 1000} y2={-lid * 1000} />
      <text x={low * 1000} y={20} font-size="12">
        {axis === 0 ? "left" : "front"}
      </text>
      <text x={high * 1000} y={20} font-size="12" text-anchor="end">
        {axis === 0 ? "right" : "back"}
      </text>
    </svg>
  );
}

interface MineProps {
  interior: Interior;
  now: Held;
  place: Schemas["PlaceResult"];
  axis: 0 | 1;
  at: number;
  rise: number;
  lid: number;
  tiers: number;
  isPinned: boolean;
  drag: Drag;
}

/** The piece in hand: as its cavity cuts it, or while it is turned as its box. */
function Mine({ interior, now, place, axis, at, rise, lid, tiers, isPinned, drag }: MineProps) {
  const by = (now.spot.at[axis] ?? 0) - (now.from.at[axis] ?? 0);
  const refused = now.lie && !now.lie.is_allowed;
  const look = refused ? "item held refused" : "item held";
  const steps = interior.cavities.find((cavity) => cavity.instance === now.piece)?.steps ?? [];
  const turned = now.spot.turn !== now.from.turn;
  const middle = (now.spot.at[axis] ?? 0) * 1000;
  const [below, above] = ["below", "above"].map((side) =>
    now.lie?.sides.find((known) => known.side === side),
  );
  const [bottom, top] = [
    ((place.box_min_m[2] ?? 0) + rise) * 1000,
    ((place.box_max_m[2] ?? 0) + rise) * 1000,
  ];
  const ends = box(now.lie?.outline.contours.map(flat) ?? []);
  const half = ((ends[axis + 2] ?? 0) - (ends[axis] ?? 0)) * 500;
  const foam = (side: Schemas["SideView"] | undefined) => {
    if (!side || side.foam_m === undefined || side.foam_m === null) return "";
    const is = (side.foam_m * 1000).toFixed(0);
    return side.foam_m < side.need_m - 5e-4 ? `${is} of ${(side.need_m * 1000).toFixed(0)}` : is;
  };
  const keys = handKeys(place, isPinned, {
    ArrowLeft: (step) => (axis === 0 ? shift(-step, 0) : shift(0, -step)),
    ArrowRight: (step) => (axis === 0 ? shift(step, 0) : shift(0, step)),
    ArrowUp: () => lift(1, tiers),
    ArrowDown: () => lift(-1, tiers),
  });
  return (
    <>
      <g
        role="button"
        tabindex={0}
        aria-pressed={true}
        aria-label={`Section ${axis === 0 ? "along" : "across"}: ${place.number}, ${place.name}`}
        aria-describedby="hand-keys"
        onKeyDown={keys}
        onPointerDown={(event) => drag.down(event, place)}
        onPointerMove={drag.move}
        onPointerUp={drag.up}
        onPointerCancel={drag.up}
      >
        {turned && now.lie ? (
          <rect class={look} x={middle - half} y={-top} width={2 * half} height={top - bottom} />
        ) : (
          <Steps
            class={look}
            steps={steps}
            axis={axis}
            at={at - ((now.spot.at[1 - axis] ?? 0) - (now.from.at[1 - axis] ?? 0))}
            by={by}
            rise={rise}
            highest={place.in_lid ? Infinity : Math.min((place.box_max_m[2] ?? lid) + rise, lid)}
          />
        )}
      </g>
      <g class="foam-lines">
        <line x1={middle} x2={middle} y1={-bottom} y2={-bottom + Math.max(below?.foam_m ?? 0, 0) * 1000} />
        <text x={middle + 5} y={-bottom + Math.max((below?.foam_m ?? 0) * 500, 0) + 5} font-size="13">
          {foam(below)}
        </text>
        <line x1={middle} x2={middle} y1={-top} y2={-top - Math.max(above?.foam_m ?? 0, 0) * 1000} />
        <text x={middle + 5} y={-top - Math.max((above?.foam_m ?? 0) * 500, 0) + 5} font-size="13">
          {foam(above)}
        </text>
      </g>
    </>
  );
}

/** Holds the piece a tier higher or lower. */
function lift(by: number, tiers: number): void {
  const now = held.value;
  if (!now) return;
  const tier = now.spot.tier + by;
  if (tier >= 0 && tier < tiers) hold({ ...now.spot, tier });
}

interface StepsProps {
  class: string;
  steps: readonly Prism[];
  axis: 0 | 1;
  at: number;
  /** How far the piece has moved along the cut, and up, metres. */
  by: number;
  rise: number;
  /** Nothing is drawn above it. */
  highest: number;
}

function Steps({ class: look, steps, axis, at, by, rise, highest }: StepsProps) {
  return (
    <>
      {steps.flatMap((step) =>
        cuts(step.outline.contours, axis, at).map(([from, to]) => {
          const [low, high] = [step.low_m + rise, Math.min(step.high_m + rise, highest)];
          if (high <= low) return null;
          return (
            <rect
              key={`${step.low_m}/${from}`}
              class={look}
              x={(from + by) * 1000}
              y={-high * 1000}
              width={(to - from) * 1000}
              height={(high - low) * 1000}
            />
          );
        }),
      )}
    </>
  );
}
