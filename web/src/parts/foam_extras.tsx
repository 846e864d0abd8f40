/** What the job asks of its foam beside cavities (`[interior]`), what was cut of it and what found no room. */
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { api, asProblem, must, type Problem, type Schemas } from "../api/client";
import { type Document, get, isTable, type Json, measureText, set, withText } from "../document";
import { edit, type Job, result } from "../job";
import { box } from "../outline";
import { mm } from "../words";
import { Channels } from "./channels";
import { concerns, type Refusal, refused } from "./field";
import { Told } from "./findings";
import { Select } from "./select";

type Interior = Schemas["InteriorSection"];
type Shop = Schemas["ShopSummary"];
export type Change = (path: string, value: Json | undefined, note: string) => void;

const LABEL = { length: "90 mm", width: "40 mm", depth: "2 mm" } as const;

export function FoamExtras({ job, interior }: { job: Job; interior: Interior | null | undefined }) {
  const document = job.document as Document;
  const [shops, setShops] = useState<readonly Shop[]>([]);
  const [problem, setProblem] = useState<Problem | null>(null);
  useEffect(() => {
    must(api.GET("/api/library"))
      .then((library) => setShops(library.shops))
      .catch((thrown) => setProblem(asProblem(thrown)));
  }, []);
  if (problem) return <p class="problem">{problem.sentence}</p>;
  const shop = shops.find((known) => known.name === get(document, "shop"));
  if (!shop) return null;
  const change: Change = (path, value, note) => void edit((now) => set(now, path, value), note);
  const whole = concerns(job.problem ?? null, "interior") && job.problem?.field === "interior";
  return (
    <section aria-label="Foam beside cavities" {...(whole ? { "aria-describedby": "interior-problem" } : {})}>
      <h2>Foam beside cavities</h2>
      <p class="faint small">
        Cut after everything lies; only a board in the trays and one behind the lid pad take room and move
        pieces. What finds no room is told here once the job is verified.
      </p>
      {whole && (
        <p class="problem" id="interior-problem">
          {job.problem?.sentence}
        </p>
      )}
      <div class="pictures wish-fields">
        <Trays job={job} shop={shop} change={change} />
        <Channels job={job} change={change}>
          <Cautions codes={["no-cable-channel"]} />
        </Channels>
        <Label job={job} change={change} />
        <Held job={job} shop={shop} change={change} />
        <Colours job={job} shop={shop} change={change} />
      </div>
      {interior && <Cut interior={interior} />}
    </section>
  );
}

interface PartProps {
  job: Job;
  shop: Shop;
  change: Change;
}

/** What the reader or the shop says against one key, where it belongs. */
export function Wrong({ job, path }: { job: Job; path: string }) {
  if (!concerns(job.problem ?? null, path)) return null;
  return (
    <div class="problem" id={`${path}-problem`}>
      {job.problem?.sentence}
      {job.problem?.hint && `; ${job.problem.hint}`}
    </div>
  );
}

/** Findings of the verification about what was asked here. */
function Cautions({ codes }: { codes: readonly string[] }) {
  const findings = result.value?.result?.verification?.findings ?? [];
  const told = findings.filter((finding) => codes.includes(finding.code));
  if (told.length === 0) return null;
  return (
    <ul class="findings">
      {told.map((finding) => (
        <li key={finding.id} class={finding.severity}>
          <Told finding={finding} />
        </li>
      ))}
    </ul>
  );
}

interface PickProps {
  job: Job;
  path: string;
  label: string;
  /** The word in the job, words for it, and whether the shop does it; the first is what an absent key means. */
  choices: readonly (readonly [string, string, boolean])[];
  change: Change;
}

/** One of some words; the first of them is written as no line of the job. */
function Pick({ job, path, label, choices, change }: PickProps) {
  const stated = String(get(job.document as Document, path) ?? "");
  const known = choices.some(([word]) => word === stated);
  const usual = choices[0]?.[0] ?? "";
  return (
    <label>
      <span>{label}</span>
      <Select
        value={stated === "" ? usual : stated}
        {...refused(job.problem, path)}
        onChange={(event) => {
          const word = event.currentTarget.value;
          change(path, word === usual ? undefined : word, `${label.toLowerCase()}: ${word || "as usual"}`);
        }}
      >
        {choices.map(([word, words, offered]) => (
          <option key={word} value={word} disabled={!offered && word !== stated}>
            {words}
          </option>
        ))}
        {stated !== "" && !known && <option value={stated}>{stated}: not known</option>}
      </Select>
      <Wrong job={job} path={path} />
    </label>
  );
}

interface QuantityProps {
  job: Job;
  path: string;
  label: string;
  change: Change;
}

/** A length with its unit, kept when the field is left. */
export function Quantity({ job, path, label, change }: QuantityProps) {
  const value = get(job.document as Document, path);
  const text = measureText(value);
  return (
    <label>
      <span>{label}</span>
      <input
        key={text}
        defaultValue={text}
        placeholder="e.g. 12 mm"
        autocomplete="off"
        spellcheck={false}
        {...refused(job.problem, path)}
        onChange={(event) => {
          const now = event.currentTarget.value.trim();
          change(path, withText(value, now), `${label.toLowerCase()}: ${now}`);
        }}
      />
      <Wrong job={job} path={path} />
    </label>
  );
}

interface AskProps {
  /** What is said against it stands at its path; without one, at the fields it opens. */
  refusal?: Refusal;
  asked: boolean;
  disabled?: boolean;
  onAsk: (asked: boolean) => void;
  children: ComponentChildren;
}

/** Yes or no. */
function Ask({ refusal, asked, disabled = false, onAsk, children }: AskProps) {
  return (
    <label>
      <input
        type="checkbox"
        checked={asked}
        disabled={disabled}
        {...refusal}
        onChange={(event) => onAsk(event.currentTarget.checked)}
      />
      {children}
    </label>
  );
}

const yesOrNo = (asked: boolean) => (asked ? "yes" : "no");

function Trays({ job, shop, change }: PartProps) {
  const holes = get(job.document as Document, "interior.push_out_holes") === true;
  const board = get(job.document as Document, "interior.tray_board") === true;
  const strap = shop.pull_strap;
  return (
    <fieldset>
      <legend>Trays</legend>
      <Pick
        job={job}
        path="interior.tray_lift"
        label="A tray is taken out"
        choices={[
          ["", "by its edges", true],
          ["holes", "by a finger hole at each of two ends", true],
          [
            "straps",
            strap ? `by two straps: ${strap}` : `by straps: ${shop.title} states none`,
            Boolean(strap),
          ],
        ]}
        change={change}
      />
      <Ask
        refusal={refused(job.problem, "interior.push_out_holes")}
        asked={holes}
        onAsk={(asked) =>
          change("interior.push_out_holes", asked || undefined, `push-out holes: ${yesOrNo(asked)}`)
        }
      >
        A hole in the floor under pieces of a tray that no finger takes, to push them out from below
      </Ask>
      <Wrong job={job} path="interior.push_out_holes" />
      <Ask
        refusal={refused(job.problem, "interior.tray_board")}
        asked={board}
        disabled={!shop.board && !board}
        onAsk={(asked) =>
          change("interior.tray_board", asked || undefined, `a board in trays: ${yesOrNo(asked)}`)
        }
      >
        {shop.board
          ? `Built on a board, foam glued to both faces: ${shop.board}`
          : `Built on a board: ${shop.title} states none`}
      </Ask>
      <Wrong job={job} path="interior.tray_board" />
      <Cautions codes={["no-lift-hole", "no-tray-board"]} />
    </fieldset>
  );
}

function Label({ job, change }: Omit<PartProps, "shop">) {
  const asked = isTable(get(job.document as Document, "interior.label"));
  return (
    <fieldset>
      <legend>Label</legend>
      <Ask
        asked={asked}
        onAsk={(wanted) =>
          change("interior.label", wanted ? { ...LABEL } : undefined, `label's recess: ${yesOrNo(wanted)}`)
        }
      >
        A recess for a label in the uppermost foam, towards the front
      </Ask>
      {asked && (
        <div class="fields">
          {(["length", "width", "depth"] as const).map((side) => (
            <Quantity
              key={side}
              job={job}
              path={`interior.label.${side}`}
              label={`${side.charAt(0).toUpperCase()}${side.slice(1)} of the recess`}
              change={change}
            />
          ))}
        </div>
      )}
      <Cautions codes={["no-label-recess"]} />
    </fieldset>
  );
}

function Held({ job, shop, change }: PartProps) {
  const board = shop.board;
  return (
    <fieldset>
      <legend>Held in the shell</legend>
      <Pick
        job={job}
        path="interior.base_held_by"
        label="The base is held by"
        choices={[
          ["squeeze", "the squeeze at the walls", true],
          ["adhesive", "adhesive", true],
        ]}
        change={change}
      />
      <Pick
        job={job}
        path="interior.lid_held_by"
        label="The lid pad is held by"
        choices={[
          ["squeeze", "the squeeze at the walls", true],
          ["adhesive", "adhesive", true],
          [
            "board",
            board ? `a board behind it: ${board}` : `a board: ${shop.title} states none`,
            Boolean(board),
          ],
        ]}
        change={change}
      />
      <Pick
        job={job}
        path="interior.edges"
        label="Edges of the layers"
        choices={[
          ["stepped", "square, each layer to its own section", true],
          [
            "bevelled",
            shop.bevels ? "bevelled by hand as the wall runs" : `bevelled: ${shop.title} does not`,
            shop.bevels,
          ],
        ]}
        change={change}
      />
      <Cautions codes={["lid-pad-held"]} />
    </fieldset>
  );
}

function Colours({ job, shop, change }: PartProps) {
  const document = job.document as Document;
  const stocked = shop.colours.filter((colour) => colour.foam === get(document, "foams.base"));
  const stated = (key: "top" | "floors") => String(get(document, `interior.colours.${key}`) ?? "");
  const shade = (name: string) => stocked.find((colour) => colour.name === name)?.shade;
  const asked = isTable(get(document, "interior.colours"));
  const choose = (key: "top" | "floors", name: string) => {
    if (name === "") return change("interior.colours", undefined, "foam of any colour");
    const other = key === "top" ? "floors" : "top";
    // Both are asked for or neither; a missing piece shows where they differ.
    const beside =
      stated(other) !== "" && stated(other) !== name
        ? stated(other)
        : (stocked.find((colour) => colour.name !== name)?.name ?? "");
    change("interior.colours", { [key]: name, [other]: beside }, `foam: ${key} ${name}, ${other} ${beside}`);
  };
  return (
    <fieldset>
      <legend>Colours of the foam</legend>
      {stocked.length < 2 && !asked ? (
        <p class="faint small">
          {shop.title} stocks the foam of the base in{" "}
          {stocked.length === 1 ? "one colour" : "no stated colour"}: two are wanted, so that a missing piece
          shows.
        </p>
      ) : (
        (["top", "floors"] as const).map((key) => {
          const now = stated(key);
          const shown = shade(now);
          return (
            <label key={key}>
              <span>
                {key === "top" ? "Uppermost layer" : "Layers below"}
                {shown && <i class="foam-shade" style={{ background: `rgb(${shown.join(" ")})` }} />}
              </span>
              <Select
                value={now}
                {...refused(job.problem, `interior.colours.${key}`)}
                onChange={(event) => choose(key, event.currentTarget.value)}
              >
                <option value="">any colour</option>
                {stocked.map((colour) => (
                  <option key={colour.name} value={colour.name}>
                    {colour.name}
                  </option>
                ))}
                {now !== "" && !shown && <option value={now}>{now}: not stocked</option>}
              </Select>
              <Wrong job={job} path={`interior.colours.${key}`} />
            </label>
          );
        })
      )}
      <Cautions codes={["floor-not-in-colour"]} />
    </fieldset>
  );
}

/** What is cut beside cavities and notches, as it came out. */
function Cut({ interior }: { interior: Interior }): ComponentChildren {
  const openings = interior.openings ?? [];
  if (openings.length === 0) return null;
  return (
    <div class="scroll">
      <table>
        <caption>What is cut beside the cavities</caption>
        <thead>
          <tr>
            <th>Opening</th>
            <th>Of</th>
            <th class="number">Along</th>
            <th class="number">Across</th>
            <th class="number">Deep</th>
          </tr>
        </thead>
        <tbody>
          {openings.map((opening) => {
            const [left, front, right, back] = box(opening.void.outline.contours);
            return (
              <tr key={`${opening.kind}/${opening.place}/${left}/${front}`}>
                <td>{opening.kind}</td>
                <td>{opening.place}</td>
                <td class="number">{mm(right - left)}</td>
                <td class="number">{mm(back - front)}</td>
                <td class="number">{mm(opening.void.high_m - opening.void.low_m)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}
