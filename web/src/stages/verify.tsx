/** Verify: every verdict, every finding, and what is conceded. */
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Schemas } from "../api/client";
import { type Job, result } from "../job";
import { Concede } from "../parts/concede";
import { Legend } from "../parts/fall_map";
import { Findings } from "../parts/findings";
import { ItemDetail } from "../parts/item_verdict";
import { Three } from "../parts/three";
import { Verdict } from "../parts/verdict";
import { mm } from "../words";
import { Work } from "../parts/work";

export function VerifyStage({ job }: { job: Job }) {
  const [shown, setShown] = useState("");
  const done = result.value?.result;
  const verification = done?.verification;
  if (!verification) {
    return (
      <>
        <Work />
        <FlatFalls flat={result.value?.flat ?? []} />
      </>
    );
  }
  const release = done.release;
  const opened = verification.items.find((item) => item.instance === shown);
  const conceded = (finding: Schemas["FindingResult"]) =>
    release?.conceded.some((signed) => signed.finding.id === finding.id) ?? false;
  return (
    <>
      <Work />
      {release && (
        <div class={release.released ? "notice good" : "notice bad"} role="status">
          <b>
            {release.released
              ? "Released: cut files can be written."
              : "Not released: what fails below has to be mended or conceded."}
          </b>
        </div>
      )}
      <p>
        Drops from {mm(verification.drop_height_m)}, flat and in every direction, by calculation. “Indicative”
        means the foam’s law is a model: confirm it by test. A name opens what is behind its verdict.
      </p>
      <Equipment
        caption="Equipment"
        verdict="Verdict"
        items={verification.items}
        name={(item) => (
          <button
            type="button"
            class="plain"
            aria-expanded={shown === item.instance}
            onClick={() => setShown(shown === item.instance ? "" : item.instance)}
          >
            {item.name}
          </button>
        )}
      />
      {opened && (
        <section class="card" aria-label={`${opened.name}: what is behind its verdict`}>
          <h2>
            {opened.number} {opened.name} <Verdict word={opened.verdict} />
          </h2>
          <ItemDetail key={opened.instance} job={job} verification={verification} item={opened} />
        </section>
      )}
      <FallsOnCase job={job} />
      <div class="scroll">
        <table>
          <caption>Case and journey</caption>
          <thead>
            <tr>
              <th>What</th>
              <th>Verdict</th>
              <th>Why</th>
            </tr>
          </thead>
          <tbody>
            {verification.case.map((check) => (
              <tr key={check.name}>
                <td>{check.name}</td>
                <td>
                  <Verdict word={check.verdict} />
                </td>
                <td>{check.sentence}</td>
              </tr>
            ))}
            {verification.legs.map((leg) => (
              <tr key={`${leg.place}/${leg.rule}`}>
                <td>
                  {leg.place}: {leg.rule}
                </td>
                <td>
                  <Verdict word={leg.verdict} />
                </td>
                <td>{leg.sentence}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <h2>Findings</h2>
      <Findings
        findings={verification.findings}
        none="Nothing was found."
        answer={(finding) =>
          conceded(finding) ? <div class="small">Conceded.</div> : <Concede finding={finding} />
        }
      />
    </>
  );
}

/** What is known of every item before falls in every direction are simulated. */
function FlatFalls({ flat }: { flat: Schemas["FlatView"][] }) {
  if (flat.length === 0) return null;
  return (
    <Equipment
      caption="Equipment in six flat falls so far; falls in every direction are being simulated"
      verdict="Flat falls"
      items={flat}
      name={(item) => item.name}
    />
  );
}

interface EquipmentProps {
  caption: string;
  /** What the verdict is about. */
  verdict: string;
  items: readonly Schemas["FlatView"][];
  name: (item: Schemas["FlatView"]) => ComponentChildren;
}

/** Every item with its verdict, in the order of the packing list. */
function Equipment({ caption, verdict, items, name }: EquipmentProps) {
  return (
    <div class="scroll">
      <table>
        <caption>{caption}</caption>
        <thead>
          <tr>
            <th class="number">No</th>
            <th>Item</th>
            <th>{verdict}</th>
            <th>Why</th>
          </tr>
        </thead>
        <tbody>
          {items.map((item) => (
            <tr key={item.instance}>
              <td class="number">{item.number}</td>
              <td>{name(item)}</td>
              <td>
                <Verdict word={item.verdict} />
              </td>
              <td>{item.sentence}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** The outside of the case, each place in the shade of the fall that lands there. */
function FallsOnCase({ job }: { job: Job }) {
  const [glb, setGlb] = useState<ArrayBuffer | null>(null);
  const [missing, setMissing] = useState(false);
  useEffect(() => {
    fetch(`/api/jobs/${encodeURIComponent(job.name)}/files/falls.glb?revision=${job.revision}`)
      .then((answer) => (answer.ok ? answer.arrayBuffer() : null))
      .then((bytes) => (bytes ? setGlb(bytes) : setMissing(true)))
      .catch(() => setMissing(true));
  }, [job.name, job.revision]);
  if (missing) return null;
  return (
    <figure class="sized">
      <figcaption>
        <b>Falls on the case</b>
        <span>
          each place of the outside in the shade of the fall that lands there, for the item that comes nearest
          what it stands; turn it with the mouse or the arrow keys
        </span>
      </figcaption>
      <Three glb={glb} words="The case in the shades of its falls" />
      <Legend />
    </figure>
  );
}
