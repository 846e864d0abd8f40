/** What the piece in hand is told: the foam on its six sides, what it would break, and what can be done with it. */
import type { Schemas } from "../api/client";
import { get } from "../document";
import {
  type Held,
  held,
  hold,
  makeWay,
  pin,
  putDown,
  putNearest,
  refusal,
  same,
  takeBack,
  turn,
  whole,
} from "../hand";
import { written } from "../job";
import { mm } from "../words";
import { Select } from "./select";

type Place = Schemas["PlaceResult"];

/** Foam that may be missing and a piece still lies well, metres: what foam is cut to. */
const CUT_TO = 5e-4;

interface PanelProps {
  place: Place | undefined;
  /** Of the tiers. */
  names: readonly string[];
  isPinned: boolean;
}

export function HandPanel({ place, names, isPinned }: PanelProps) {
  const now = held.value;
  if (!now || !place) {
    return (
      <div class="card">
        <p>Choose an item on the plan: drag it, or move it with the keys.</p>
        <Keys />
      </div>
    );
  }
  const moved = !same(now.from, now.spot);
  const refused = moved && now.lie !== null && !now.lie.is_allowed;
  return (
    <section class="card hand" aria-label={`${place.name} in hand`}>
      <h2>
        {place.number} {now.name}
      </h2>
      <p class={refused ? "problem" : ""} role="status">
        {said(now, moved)}
      </p>
      {now.lie && now.lie.broken.length > 1 && (
        <ul class="broken">
          {now.lie.broken.slice(1).map((broken) => (
            <li key={broken.sentence}>{broken.sentence}</li>
          ))}
        </ul>
      )}
      <Where now={now} />
      <div class="row">
        <button type="button" class="main" disabled={!moved} onClick={putDown}>
          Put down
        </button>
        <button type="button" disabled={!moved} onClick={takeBack}>
          Back to where it lay
        </button>
        <button type="button" onClick={() => turn(90)}>
          Turn left
        </button>
        <button type="button" onClick={() => turn(-90)}>
          Turn right
        </button>
        <button type="button" aria-pressed={isPinned} onClick={() => pin(!isPinned)}>
          {isPinned ? "Pinned: let it go" : "Pin it here"}
        </button>
      </div>
      <Ways now={now} place={place} names={names} />
      <Sides now={now} />
      <Keys />
    </section>
  );
}

/** The first thing to know, in one sentence. */
function said(now: Held, moved: boolean): string {
  if (!now.lie) return "asking…";
  const worst = now.lie.broken[0];
  if (now.lie.is_allowed) {
    const settled = worst ? ` (${worst.sentence}; less than foam is cut to)` : "";
    return moved ? `May lie here.${settled}` : `Lies well.${settled}`;
  }
  return `${moved ? "May not lie here" : "Lies short of its needs"}: ${worst?.sentence ?? ""}.`;
}

function Where({ now }: { now: Held }) {
  const field = (axis: 0 | 1, label: string) => (
    <label>
      <span>{label}</span>
      <input
        key={now.spot.at[axis]}
        inputMode="decimal"
        defaultValue={(now.spot.at[axis] * 1000).toFixed(1)}
        onChange={(event) => {
          const value = Number.parseFloat(event.currentTarget.value);
          if (Number.isNaN(value)) return;
          const at: [number, number] = [now.spot.at[0], now.spot.at[1]];
          at[axis] = value / 1000;
          hold({ ...now.spot, at });
        }}
      />
    </label>
  );
  return (
    <div class="fields">
      {field(0, "Along (mm)")}
      {field(1, "Across (mm)")}
      <label>
        <span>Turn (°)</span>
        <input
          key={now.spot.turn}
          inputMode="numeric"
          defaultValue={String(now.spot.turn)}
          onChange={(event) => {
            const value = Number.parseFloat(event.currentTarget.value);
            if (!Number.isNaN(value)) hold({ ...now.spot, turn: whole(value) });
          }}
        />
      </label>
    </div>
  );
}

/** Way up and tier. */
function Ways({ now, place, names }: { now: Held; place: Place; names: readonly string[] }) {
  const items = get(written(), "items");
  const index = Array.isArray(items)
    ? items.findIndex((_, at) => get(written(), `items[${at}].id`) === place.item)
    : -1;
  const found = get(written(), `items[${index}].ways_up`);
  const mayLieInLid = Boolean(get(written(), `items[${index}].may_lie_in_lid`));
  const tiers = mayLieInLid && !names.includes("Lid") ? [...names, "Lid"] : names;
  const ways = Array.isArray(found) && found.length > 0 ? found.map(String) : [now.spot.up];
  return (
    <div class="fields">
      {ways.length > 1 && (
        <label>
          <span>Up</span>
          <Select
            value={now.spot.up}
            onChange={(event) => {
              hold({ ...now.spot, up: event.currentTarget.value });
              void putDown();
            }}
          >
            {ways.map((way) => (
              <option key={way} value={way}>
                {way}
              </option>
            ))}
          </Select>
        </label>
      )}
      <label>
        <span>Lies in</span>
        <Select
          value={String(now.spot.tier)}
          disabled={tiers.length < 2}
          onChange={(event) => hold({ ...now.spot, tier: Number(event.currentTarget.value) })}
        >
          {tiers.map((tier, number) => (
            <option key={tier} value={String(number)}>
              the {tier.toLowerCase()}
            </option>
          ))}
        </Select>
      </label>
    </div>
  );
}

function Sides({ now }: { now: Held }) {
  if (!now.lie) return null;
  return (
    <table class="sides">
      <caption>Foam on every side, in mm</caption>
      <thead>
        <tr>
          <th>Side</th>
          <th>Towards</th>
          <th class="number">Is</th>
          <th class="number">Needs</th>
          <th class="number">Spare</th>
        </tr>
      </thead>
      <tbody>
        {now.lie.sides.map((side) => {
          const foam = side.foam_m ?? null;
          const spare = foam === null ? null : foam - side.need_m;
          const short = spare !== null && spare < -CUT_TO;
          return (
            <tr key={side.side} class={short ? "short" : ""}>
              <td>{side.side}</td>
              <td>{side.towards}</td>
              <td class="number">{foam === null ? "–" : foam < 0 ? "none" : (foam * 1000).toFixed(1)}</td>
              <td class="number">{(side.need_m * 1000).toFixed(1)}</td>
              <td class="number">
                {spare === null
                  ? "–"
                  : short
                    ? `${(-spare * 1000).toFixed(1)} short`
                    : (spare * 1000).toFixed(1)}
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

function Keys() {
  return (
    <p class="small faint" id="hand-keys">
      Keys: arrows 1 mm, with Shift 10 mm, with Alt 0.1 mm; R and Shift+R turn by 90°, with Alt by 5°; P pins; Enter puts down;
      Escape takes back. In a section, up and down lead to another tier.
    </p>
  );
}

/** Why a piece went back, and what could be done. */
export function Refused() {
  const now = refusal.value;
  if (!now) return null;
  const near = now.nearest;
  return (
    <div class="notice bad" role="alert">
      <b>{now.name} went back to where it lay.</b>
      <ul class="broken">
        {now.sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <div class="row">
        {near && (
          <button type="button" class="main" onClick={putNearest}>
            Put it at the nearest place that would do: {way(near.by)}
          </button>
        )}
        <button type="button" onClick={makeWay}>
          Let the others make way
        </button>
        <button
          type="button"
          onClick={() => {
            refusal.value = null;
          }}
        >
          Leave it
        </button>
      </div>
    </div>
  );
}

/** A shift in words. */
function way([along, across]: readonly [number, number]): string {
  const parts: string[] = [];
  if (Math.abs(along) >= 5e-5) parts.push(`${mm(Math.abs(along), 1)} ${along > 0 ? "right" : "left"}`);
  if (Math.abs(across) >= 5e-5) parts.push(`${mm(Math.abs(across), 1)} ${across > 0 ? "back" : "front"}`);
  return parts.length === 0 ? "where it lay" : `${parts.join(" and ")} of where it lay`;
}
