/** Arrange: find places for everything, and see them in plan and in 3D. */
import { useEffect, useMemo, useState } from "preact/hooks";
import type { Schemas } from "../api/client";
import { type Job, result, solve, stop } from "../job";
import { box, path } from "../outline";
import { Findings, ProblemNotice } from "../parts/findings";
import { Drawing } from "../parts/figure";
import { Three } from "../parts/three";
import { mm } from "../words";

type Interior = Schemas["InteriorSection"];

/** State of the work, with what starts and stops it: above every stage that needs a design. */
export function Work() {
  const now = result.value;
  if (!now) return <p role="status">Looking for what came out…</p>;
  if (now.state === "none") {
    return (
      <div class="notice">
        <p>This revision is not arranged yet.</p>
        <button type="button" class="main" onClick={solve}>
          Arrange and verify
        </button>
      </div>
    );
  }
  if (now.state === "running") {
    const share = now.fraction ?? 0;
    return (
      <div class="notice">
        <div class="row">
          <span role="status">
            {now.stage ?? "starting"} {Math.round(share * 100)} %
          </span>
          <progress max={1} value={share} aria-label="Progress" />
          <button type="button" onClick={stop}>
            Stop, keep the best so far
          </button>
        </div>
        {now.best && <p class="small">Best so far: {now.best}</p>}
      </div>
    );
  }
  if (now.state === "impossible") {
    return (
      <div class="notice bad" role="alert">
        <b>The equipment does not fit this shell as asked.</b>
        <Findings findings={now.reasons} none="" />
      </div>
    );
  }
  if (now.state === "failed" && now.problem) {
    return (
      <>
        <ProblemNotice problem={now.problem} />
        <button type="button" class="main" onClick={solve}>
          Try again
        </button>
      </>
    );
  }
  return now.stopped ? <div class="notice">The search was stopped; this is the best it had.</div> : null;
}

export function ArrangeStage({ job }: { job: Job }) {
  const interior = result.value?.result?.interior;
  return (
    <>
      {job.problem && <ProblemNotice problem={job.problem} />}
      {!job.problem && <Work />}
      {interior && <Packed key={job.revision} job={job} interior={interior} />}
    </>
  );
}

function Packed({ job, interior }: { job: Job; interior: Interior }) {
  const [chosen, setChosen] = useState("");
  const [tier, setTier] = useState(0);
  const [apart, setApart] = useState(false);
  const [glb, setGlb] = useState<ArrayBuffer | null>(null);
  useEffect(() => {
    fetch(`/api/jobs/${encodeURIComponent(job.name)}/scene.glb?revision=${job.revision}`)
      .then((answer) => (answer.ok ? answer.arrayBuffer() : null))
      .then(setGlb)
      .catch(() => undefined);
  }, [job.name, job.revision]);
  const tiers = Math.max(...interior.places.map((place) => place.tier)) + 1;
  const lifts = useMemo(() => (apart ? lift(interior) : undefined), [apart, interior]);
  return (
    <>
      <ul class="figures" aria-label="In all">
        <li>
          <b>{interior.places.length}</b> pieces placed
        </li>
        <li>
          <b>{mm(interior.spare_m, 1)}</b> least spare over all cushions
        </li>
        <li>
          <b>{interior.blocks.reduce((sum, block) => sum + block.layers.length, 0)}</b> layers of foam
        </li>
      </ul>
      <div class="pictures">
        <figure>
          <figcaption>
            <b>Plan</b>
            {tiers > 1 && (
              <label>
                <span>tier </span>
                <select
                  style={{ width: "auto" }}
                  value={String(tier)}
                  onChange={(event) => setTier(Number(event.currentTarget.value))}
                >
                  {Array.from({ length: tiers }, (_, number) => (
                    <option key={number} value={String(number)}>
                      {number + 1} of {tiers}
                    </option>
                  ))}
                </select>
              </label>
            )}
            <span>back at the top; the cavity under every item is drawn</span>
          </figcaption>
          <PackedPlan interior={interior} tier={tier} chosen={chosen} choose={setChosen} />
        </figure>
        <figure>
          <figcaption>
            <b>3D</b>
            <label>
              <input
                type="checkbox"
                checked={apart}
                onChange={(event) => setApart(event.currentTarget.checked)}
              />
              layers apart
            </label>
          </figcaption>
          <Three glb={glb} words="The packed case in 3D" shows={withoutLid} {...(lifts ? { lifts } : {})} />
        </figure>
      </div>
      <div class="pictures">
        {(["long", "cross"] as const).map((which) => (
          <figure key={which}>
            <figcaption>
              <b>{which === "long" ? "Section along" : "Section across"}</b>
              <span>with the cavities as they are cut</span>
            </figcaption>
            <Drawing job={job} figure={`section-${which}`} words={`${which} section of the packed case`} />
          </figure>
        ))}
      </div>
      <div class="scroll">
        <table>
          <caption>Where everything lies, from the middle of the opening and the floor</caption>
          <thead>
            <tr>
              <th class="number">No</th>
              <th>Item</th>
              <th>Up</th>
              <th class="number">Turn</th>
              <th class="number">Along</th>
              <th class="number">Across</th>
              <th class="number">Over the floor</th>
            </tr>
          </thead>
          <tbody>
            {[...interior.places]
              .sort((a, b) => a.number - b.number)
              .map((place) => (
                <tr key={place.instance}>
                  <td class="number">{place.number}</td>
                  <td>
                    <button
                      type="button"
                      aria-pressed={chosen === place.instance}
                      onClick={() => setChosen(place.instance)}
                    >
                      {place.name}
                    </button>
                  </td>
                  <td>{place.up}</td>
                  <td class="number">{place.quarter_turns * 90}°</td>
                  <td class="number">{mm(((place.box_min_m[0] ?? 0) + (place.box_max_m[0] ?? 0)) / 2)}</td>
                  <td class="number">{mm(((place.box_min_m[1] ?? 0) + (place.box_max_m[1] ?? 0)) / 2)}</td>
                  <td class="number">{mm(place.box_min_m[2] ?? 0)}</td>
                </tr>
              ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

/** Where every node stands when the layers are taken apart. */
function lift(interior: Interior): (name: string) => number {
  const layers = interior.blocks.flatMap((block) => block.layers);
  const gap = 0.06;
  return (name) => {
    const layer = layers.findIndex((known) => name.startsWith(`foam ${known.id} `));
    if (layer >= 0) return layer * gap;
    const place = interior.places.find((known) => name === `item ${known.instance}`);
    if (place) {
      const top = place.box_max_m[2] ?? 0;
      const over = layers.filter((known) => known.low_m < top - 1e-6).length;
      return over * gap + 0.03;
    }
    return name.includes("lid") ? layers.length * gap : -0.02;
  };
}

const withoutLid = (name: string) => !name.includes("lid");

interface PlanProps {
  interior: Interior;
  tier: number;
  chosen: string;
  choose: (instance: string) => void;
}

function PackedPlan({ interior, tier, chosen, choose }: PlanProps) {
  const places = interior.places.filter((place) => place.tier === tier);
  const top = Math.max(...places.map((place) => place.box_max_m[2] ?? 0));
  const layer = interior.blocks
    .filter((block) => !block.kind.includes("lid"))
    .flatMap((block) => block.layers)
    .filter((known) => known.low_m < top)
    .at(-1);
  const outline = layer?.outline.contours ?? [];
  const [left, front, right, back] = box(outline);
  const margin = 14;
  const viewBox = `${left * 1000 - margin} ${-back * 1000 - margin} ${(right - left) * 1000 + 2 * margin} ${(back - front) * 1000 + 2 * margin}`;
  return (
    <svg class="drawing" viewBox={viewBox} role="group" aria-label={`Plan of tier ${tier + 1}`}>
      <path class="foam" d={path(outline)} fill-rule="evenodd" />
      {interior.cavities
        .filter((cavity) => places.some((place) => place.instance === cavity.instance))
        .flatMap((cavity) =>
          [...cavity.steps]
            .reverse()
            .map((step) => (
              <path key={`${cavity.id}/${step.low_m}`} class="cavity" d={path(step.outline.contours)} />
            )),
        )}
      {interior.notches
        .filter((notch) =>
          interior.cavities.some(
            (cavity) =>
              cavity.id === notch.cavity && places.some((place) => place.instance === cavity.instance),
          ),
        )
        .map((notch) => (
          <path
            key={`${notch.cavity}/${notch.void.low_m}/${JSON.stringify(notch.void.outline.contours[0]?.[0])}`}
            class="cavity"
            d={path(notch.void.outline.contours)}
          />
        ))}
      {places.map((place) => {
        const [x0 = 0, y0 = 0] = place.box_min_m;
        const [x1 = 0, y1 = 0] = place.box_max_m;
        return (
          <g
            key={place.instance}
            role="button"
            tabIndex={0}
            aria-pressed={chosen === place.instance}
            aria-label={`${place.number}, ${place.name}`}
            onClick={() => choose(place.instance)}
            onKeyDown={(event) => {
              if (event.key === "Enter" || event.key === " ") {
                event.preventDefault();
                choose(place.instance);
              }
            }}
          >
            <rect
              x={x0 * 1000}
              y={-y1 * 1000}
              width={(x1 - x0) * 1000}
              height={(y1 - y0) * 1000}
              fill-opacity="0"
            />
            {interior.cavities
              .filter((cavity) => cavity.instance === place.instance)
              .flatMap((cavity) =>
                [...cavity.steps]
                  .reverse()
                  .map((step) => (
                    <path
                      key={`${cavity.id}/${step.low_m}`}
                      class={chosen === place.instance ? "item held" : "item"}
                      d={path(step.outline.contours)}
                    />
                  )),
              )}
            <text
              x={(x0 + x1) * 500}
              y={-(y0 + y1) * 500 + 6}
              font-size="18"
              font-weight="600"
              text-anchor="middle"
            >
              {place.number}
            </text>
          </g>
        );
      })}
    </svg>
  );
}
