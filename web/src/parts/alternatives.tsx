/** Arrangements side by side: what each is judged by, and the one that becomes the job's. */
import { useEffect, useState } from "preact/hooks";
import { api, asProblem, author, must, type Schemas } from "../api/client";
import { type Job, job as open, look, problem, result, solved, status } from "../job";
import { box, path } from "../outline";
import { mm } from "../words";
import { hasPockets, heldIn, tierBlocks, tierNames } from "../tiers";

type View = Schemas["AlternativesView"];
type One = Schemas["AlternativeView"];
type About = Schemas["About"];

/** How often a search that is under way is looked at, ms. */
const LOOK = 700;

export function Alternatives({ job }: { job: Job }) {
  const [view, setView] = useState<View | null>(null);
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    let gone = false;
    must(api.GET("/api/jobs/{name}/alternatives", { params: { path: { name: job.name } } }))
      .then((found) => {
        if (!gone) setView(found);
      })
      .catch(() => undefined);
    return () => {
      gone = true;
    };
  }, [job.name, job.revision, solved.value, turn]);
  const searching = view?.another && !view.another.ended;
  useEffect(() => {
    if (!searching) return;
    const timer = setTimeout(() => setTurn(turn + 1), LOOK);
    return () => clearTimeout(timer);
    // Anew with every answer, so that a slow one is waited for.
  }, [view, searching]);
  if (!view || view.kept.length === 0) return null;
  const about = async (what: About, said?: string) => {
    const now = open.value;
    if (!now) return;
    try {
      open.value = await must(
        api.POST("/api/jobs/{name}/alternatives", {
          params: { path: { name: now.name } },
          body: { base: now.revision, what, author },
        }),
      );
      if (said) status.value = said;
      await look();
    } catch (thrown) {
      problem.value = asProblem(thrown);
    }
    setTurn(turn + 1);
  };
  const terms = view.kept[0]?.interior.score ?? [];
  return (
    <section aria-label="Alternatives">
      <h2>Alternatives</h2>
      <div class="row">
        {searching ? (
          <>
            <span role="status">
              another, from seed {view.another?.seed}: {Math.round((view.another?.fraction ?? 0) * 100)} %
            </span>
            <progress
              max={1}
              value={view.another?.fraction ?? 0}
              aria-label="Progress of the search for another"
            />
            <button type="button" onClick={() => about("stop")}>
              Stop, keep its best
            </button>
          </>
        ) : (
          <button type="button" disabled={result.value?.state === "running"} onClick={() => about("search")}>
            Find another, from another seed
          </button>
        )}
        <button type="button" onClick={() => about("set-aside", "set aside, to be compared with")}>
          Set this one aside
        </button>
      </div>
      {view.another?.ended && <p class="problem">No other was found: {view.another.ended.sentence}</p>}
      {view.lost.map((lost) => (
        <p key={lost.id} class="small faint">
          Alternative {lost.id} no longer lies: {lost.why}
        </p>
      ))}
      <div class="scroll">
        <table class="compare">
          <caption>
            What each is judged by beyond that everything fits with its cushions, in millimetres of spare;
            more is better
          </caption>
          <thead>
            <tr>
              <th>Judged by</th>
              {view.kept.map((one) => (
                <th key={one.id ?? 0}>{one.id ? `Alternative ${one.id}` : "The job's own"}</th>
              ))}
            </tr>
          </thead>
          <tbody>
            <tr>
              <td>Where everything lies</td>
              {view.kept.map((one) => (
                <td key={one.id ?? 0}>
                  <Small one={one} />
                </td>
              ))}
            </tr>
            {terms.map((term, index) => (
              <tr key={term.name}>
                <td>{term.name}</td>
                {view.kept.map((one) => {
                  const its = one.interior.score[index];
                  return (
                    <td key={one.id ?? 0} class="number">
                      {its ? `${its.value.toFixed(1)} ${its.unit} → ${its.points.toFixed(1)}` : ""}
                    </td>
                  );
                })}
              </tr>
            ))}
            <tr>
              <th scope="row">Together</th>
              {view.kept.map((one) => (
                <td key={one.id ?? 0} class="number">
                  <b>{one.points.toFixed(1)}</b>
                </td>
              ))}
            </tr>
            <tr>
              <td>Fails in flat falls, stack and webs</td>
              {view.kept.map((one) => (
                <td key={one.id ?? 0} class="number">
                  {one.failing === 0
                    ? "nothing"
                    : one.failing === 1
                      ? "1 finding"
                      : `${one.failing} findings`}
                </td>
              ))}
            </tr>
            <tr>
              <td>Seed; least spare</td>
              {view.kept.map((one) => (
                <td key={one.id ?? 0} class="number">
                  {one.interior.seed}; {mm(one.interior.spare_m, 1)}
                </td>
              ))}
            </tr>
            <tr>
              <td>Choose</td>
              {view.kept.map((one) => (
                <td key={one.id ?? 0}>
                  {one.id ? (
                    <div class="row">
                      <button
                        type="button"
                        class="main"
                        onClick={() => about({ take: one.id ?? 0 }, "taken")}
                      >
                        Take alternative {one.id}
                      </button>
                      <button type="button" onClick={() => about({ drop: one.id ?? 0 })}>
                        Let {one.id} go
                      </button>
                    </div>
                  ) : (
                    "as it is"
                  )}
                </td>
              ))}
            </tr>
          </tbody>
        </table>
      </div>
    </section>
  );
}

/** A small plan for each tier. */
function Small({ one }: { one: One }) {
  const { interior } = one;
  const blocks = tierBlocks(interior);
  const [names, tiers] = [tierNames(interior), blocks.length];
  const outlineOf = (tier: number) => {
    const block = blocks[tier];
    const layers = block ? heldIn(block) : [];
    return (block && hasPockets(block) ? layers[0] : layers.at(-1))?.outline.contours ?? [];
  };
  const [left, front, right, back] = box(Array.from({ length: tiers }, (_, tier) => outlineOf(tier)).flat());
  const viewBox = `${left * 1000 - 6} ${-back * 1000 - 6} ${(right - left) * 1000 + 12} ${(back - front) * 1000 + 12}`;
  return (
    <div class="smalls">
      {Array.from({ length: tiers }, (_, number) => number)
        .reverse()
        .map((tier) => (
          <svg
            key={tier}
            class="drawing"
            viewBox={viewBox}
            role="img"
            aria-label={`${names[tier] ?? "Base"} of ${one.id ? `alternative ${one.id}` : "the job's own"}`}
          >
            <path class="foam" d={path(outlineOf(tier))} fill-rule="evenodd" />
            {interior.places
              .filter((place) => place.tier === tier)
              .map((place) => {
                const cavity = interior.cavities.find((known) => known.instance === place.instance);
                const [x0 = 0, y0 = 0] = place.box_min_m;
                const [x1 = 0, y1 = 0] = place.box_max_m;
                return (
                  <g key={place.instance}>
                    <path class="item" d={path(cavity?.steps.at(-1)?.outline.contours ?? [])} />
                    <text x={(x0 + x1) * 500} y={-(y0 + y1) * 500 + 12} font-size="34" text-anchor="middle">
                      {place.number}
                    </text>
                  </g>
                );
              })}
          </svg>
        ))}
    </div>
  );
}
