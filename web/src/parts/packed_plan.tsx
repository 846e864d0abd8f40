/** The plan of one tier: the true cavity under every item, and the piece in hand with the foam on its four sides. */
import { useRef } from "preact/hooks";
import type { Schemas } from "../api/client";
import { colourOfLayers, type FoamColours, foamFill } from "../foam_colours";
import { type Held, held, same, shift, take } from "../hand";
import { box, flat, path } from "../outline";
import { heldIn, isLidPad, tierBlocks, tierNames } from "../tiers";
import { type Drag, tenths, useDrag } from "./drag";
import { handKeys } from "./hand_keys";

type Interior = Schemas["InteriorSection"];
type Place = Schemas["PlaceResult"];

type Opening = Schemas["FoamOpeningResult"];

const MARGIN = 14;
/** It lies in the floor of a piece's cavity, under the piece. */
const PUSH_OUT = "push-out hole";

interface PlanProps {
  interior: Interior;
  colours: FoamColours | null;
  tier: number;
  pinned: ReadonlySet<string>;
}

export function PackedPlan({ interior, colours, tier, pinned }: PlanProps) {
  const svg = useRef<SVGSVGElement>(null);
  const now = held.value;
  const places = interior.places.filter((place) =>
    now?.piece === place.instance ? now.spot.tier === tier : place.tier === tier,
  );
  const top = Math.max(
    ...interior.places.filter((place) => place.tier === tier).map((place) => place.box_max_m[2] ?? 0),
  );
  // What is held over a lid that has no pockets yet is seen on its pad.
  const block = tierBlocks(interior)[tier] ?? interior.blocks.find(isLidPad);
  const isLid = block !== undefined && isLidPad(block);
  const layer = isLid
    ? heldIn(block)[0]
    : interior.blocks
        .filter((known) => !known.kind.includes("lid"))
        .flatMap((known) => known.layers)
        .filter((known) => known.low_m < top)
        .at(-1);
  const outline = layer?.outline.contours ?? [];
  const layers = colourOfLayers(interior, colours);
  // A floor below the uppermost layer shows the colour of the layers below.
  const floor = (bottom: number) =>
    layer && layers.has(layer.id) && bottom < layer.low_m + 1e-4 ? foamFill(colours?.floors) : undefined;
  const cut = (interior.openings ?? []).filter(
    (opening) =>
      block !== undefined &&
      opening.void.low_m > block.low_m - 1e-3 &&
      opening.void.high_m < (block.layers.at(-1)?.high_m ?? 0) + 1e-3,
  );
  const [left, front, right, back] = box(outline);
  const width = (right - left) * 1000 + 2 * MARGIN;
  const viewBox = `${left * 1000 - MARGIN} ${-back * 1000 - MARGIN} ${width} ${(back - front) * 1000 + 2 * MARGIN}`;
  const drag = useDrag(svg, width, (from, right, up) => ({
    ...from,
    at: [tenths(from.at[0] + right), tenths(from.at[1] + up)],
  }));
  const lies = (cavity: string) =>
    interior.cavities.some(
      (known) => known.id === cavity && places.some((place) => place.instance === known.instance),
    );
  return (
    <svg
      ref={svg}
      class="drawing plan"
      viewBox={viewBox}
      role="group"
      aria-label={`Plan of the ${(tierNames(interior)[tier] ?? "lid").toLowerCase()}`}
    >
      <defs>
        <pattern
          id="refused"
          width="9"
          height="9"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <rect class="refused-ground" width="9" height="9" />
          <line class="refused-line" x1="0" y1="0" x2="0" y2="9" />
        </pattern>
      </defs>
      <path
        class="foam"
        d={path(outline)}
        fill-rule="evenodd"
        {...styled(foamFill(layers.get(layer?.id ?? "")))}
      />
      {interior.cavities
        .filter((cavity) => lies(cavity.id))
        .flatMap((cavity) =>
          [...cavity.steps]
            .reverse()
            .map((step) => (
              <path
                key={`${cavity.id}/${step.low_m}`}
                class="cavity"
                d={path(step.outline.contours)}
                {...styled(floor(step.low_m))}
              />
            )),
        )}
      {interior.notches
        .filter((notch) => lies(notch.cavity))
        .map((notch) => (
          <path
            key={`${notch.cavity}/${notch.void.low_m}/${JSON.stringify(notch.void.outline.contours[0]?.[0])}`}
            class="cavity"
            d={path(notch.void.outline.contours)}
            {...styled(floor(notch.void.low_m))}
          />
        ))}
      <Openings openings={cut.filter((opening) => opening.kind !== PUSH_OUT)} />
      {interior.spaces
        .filter((space) => Math.abs(space.room.high_m - (layer?.high_m ?? 0)) < 1e-3)
        .map((space) => {
          const [x0, y0, x1, y1] = box(space.room.outline.contours);
          return (
            <g key={space.name}>
              <path class="hidden-line" d={path(space.room.outline.contours)} />
              <text x={(x0 + x1) * 500} y={-(y0 + y1) * 500 + 5} font-size="14" text-anchor="middle">
                {space.name}
              </text>
            </g>
          );
        })}
      {[...places]
        .sort((a, b) => Number(a.instance === now?.piece) - Number(b.instance === now?.piece))
        .map((place) => (
          <Piece
            key={place.instance}
            place={place}
            interior={interior}
            mine={now?.piece === place.instance ? now : null}
            isPinned={pinned.has(place.instance)}
            drag={drag}
          />
        ))}
      <Openings openings={cut.filter((opening) => opening.kind === PUSH_OUT)} />
      {now && now.spot.tier === tier && <Foam now={now} />}
    </svg>
  );
}

/** An attribute that is left out where there is nothing to say. */
function styled(style: { fill: string } | undefined) {
  return style ? { style } : {};
}

/** What is cut beside cavities and notches. */
function Openings({ openings }: { openings: readonly Opening[] }) {
  return (
    <>
      {openings.map((opening) => (
        <path
          key={`${opening.kind}/${opening.place}/${JSON.stringify(opening.void.outline.contours[0]?.[0])}`}
          class={opening.kind === PUSH_OUT ? "opening within" : "opening"}
          d={path(opening.void.outline.contours)}
        >
          <title>
            {opening.kind}, {opening.place}
          </title>
        </path>
      ))}
    </>
  );
}

interface PieceProps {
  place: Place;
  interior: Interior;
  mine: Held | null;
  isPinned: boolean;
  drag: Drag;
}

function Piece({ place, interior, mine, isPinned, drag }: PieceProps) {
  const [x0 = 0, y0 = 0] = place.box_min_m;
  const [x1 = 0, y1 = 0] = place.box_max_m;
  const [x, y] = [(x0 + x1) * 500, -(y0 + y1) * 500];
  const moved = mine !== null && !same(mine.from, mine.spot);
  const turned = mine !== null && mine.spot.turn !== mine.from.turn;
  const transform = moved
    ? `translate(${mine.spot.at[0] * 1000 - x} ${-mine.spot.at[1] * 1000 - y})`
    : undefined;
  const look = !mine ? "item" : mine.lie && !mine.lie.is_allowed && moved ? "item held refused" : "item held";
  const keys = handKeys(place, isPinned, {
    ArrowLeft: (step) => shift(-step, 0),
    ArrowRight: (step) => shift(step, 0),
    ArrowUp: (step) => shift(0, step),
    ArrowDown: (step) => shift(0, -step),
  });
  return (
    <g
      role="button"
      tabindex={0}
      aria-pressed={mine !== null}
      aria-label={`${place.number}, ${place.name}${isPinned ? ", pinned" : ""}`}
      aria-describedby="hand-keys"
      onKeyDown={keys}
      onFocus={() => take(place)}
      onPointerDown={(event) => drag.down(event, place)}
      onPointerMove={drag.move}
      onPointerUp={drag.up}
      onPointerCancel={drag.up}
      {...(transform ? { transform } : {})}
    >
      {turned ? (
        <Turned now={mine} look={look} at={[x, y]} />
      ) : (
        interior.cavities
          .filter((cavity) => cavity.instance === place.instance)
          .flatMap((cavity) =>
            [...cavity.steps]
              .reverse()
              .map((step) => (
                <path key={`${cavity.id}/${step.low_m}`} class={look} d={path(step.outline.contours)} />
              )),
          )
      )}
      <text x={x} y={y + 6} font-size="18" font-weight="600" text-anchor="middle">
        {place.number}
      </text>
      {isPinned && (
        <g class="pin" transform={`translate(${x + 15} ${y - 9})`}>
          <circle r="4.5" />
          <path d="M0 4.5V12" />
        </g>
      )}
    </g>
  );
}

/** A piece that is turned in the hand, about where its middle is drawn: as it would lie, once the answer tells. */
function Turned({ now, look, at }: { now: Held; look: string; at: readonly [number, number] }) {
  if (!now.lie) return null;
  const [x0, y0, x1, y1] = box(now.lie.outline.contours.map(flat));
  return (
    <path
      class={look}
      d={path(now.lie.outline.contours)}
      transform={`translate(${at[0] - (x0 + x1) * 500} ${at[1] + (y0 + y1) * 500})`}
    />
  );
}

/** Lines from the piece in hand to what it lies towards, with the foam in millimetres. */
function Foam({ now }: { now: Held }) {
  if (!now.lie) return null;
  const [x0, y0, x1, y1] = box(now.lie.outline.contours.map(flat));
  const [hx, hy] = [(x1 - x0) * 500, (y1 - y0) * 500];
  const [x, y] = [now.spot.at[0] * 1000, -now.spot.at[1] * 1000];
  const ways: Record<string, [number, number]> = {
    left: [-1, 0],
    right: [1, 0],
    front: [0, 1],
    back: [0, -1],
  };
  return (
    <g class="foam-lines">
      {now.lie.sides.map((side) => {
        const way = ways[side.side];
        if (!way || side.foam_m === undefined || side.foam_m === null) return null;
        const foam = Math.max(side.foam_m, 0) * 1000;
        const [u, v] = way;
        const [fromX, fromY] = [x + u * hx, y + v * hy];
        const short = side.foam_m < side.need_m - 5e-4;
        const [textX, textY] = [fromX + (u * foam) / 2, fromY + (v * foam) / 2];
        return (
          <g key={side.side} class={short ? "short" : ""}>
            <line x1={fromX} y1={fromY} x2={fromX + u * foam} y2={fromY + v * foam} />
            <text
              x={textX}
              y={textY + (v === 0 ? -4 : 5)}
              font-size="14"
              text-anchor={v === 0 ? "middle" : "start"}
              dx={v === 0 ? 0 : 4}
            >
              {foam.toFixed(0)}
              {short ? ` of ${(side.need_m * 1000).toFixed(0)}` : ""}
            </text>
          </g>
        );
      })}
    </g>
  );
}
