/** What the job wishes of its arrangement, and what became of each wish. */
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Schemas } from "../api/client";
import { type Document, get, type Json, measureText, set } from "../document";
import { edit, type Job } from "../job";
import { concerns } from "./field";
import { Select } from "./select";

type Interior = Schemas["InteriorSection"];

const CARRIED = [
  ["", "any way: balanced about the middle"],
  ["rolled", "rolled on its wheels: weight low and towards them"],
  ["side-handle", "by a side handle: balanced along the length"],
  ["by-two", "by two: balanced about the middle, the length first"],
] as const;

/** What one of each is worth in millimetres of spare where nobody says otherwise. */
const WEIGHTS = [
  ["unbalanced", "a millimetre out of balance", 1],
  ["wish", "a wish not met", 20],
  ["tray", "a tray", 5],
  ["balance", "a millimetre off, within the limit", 0.05],
  ["line", "a piece on no common line", 0.5],
] as const;

interface Named {
  id: string;
  name: string;
}

function itemsOf(document: Document): Named[] {
  const items = get(document, "items");
  return (Array.isArray(items) ? items : []).map((_, index) => ({
    id: String(get(document, `items[${index}].id`) ?? ""),
    name: String(get(document, `items[${index}].name`) ?? ""),
  }));
}

function listOf(document: Document, path: string): Json[] {
  const found = get(document, path);
  return Array.isArray(found) ? found : [];
}

export function Wishes({ job, interior }: { job: Job; interior: Interior | null | undefined }) {
  const document = job.document as Document;
  const items = itemsOf(document);
  const nameOf = (id: string) => items.find((item) => item.id === id)?.name ?? id;
  const wrong = concerns(job.problem ?? null, "wishes");
  const change = (path: string, value: Json | undefined, note: string) =>
    void edit((now) => set(now, path, value), note);
  return (
    <section aria-label="Wishes" {...(wrong ? { "aria-describedby": "wishes-problem" } : {})}>
      <h2>Wishes</h2>
      {wrong && (
        <p class="problem" id="wishes-problem">
          {job.problem?.sentence}
        </p>
      )}
      <div class="pictures wish-fields">
        <fieldset>
          <legend>Carried</legend>
          <label>
            <span>How the packed case is carried</span>
            <Select
              value={String(get(document, "wishes.carried") ?? "")}
              onChange={(event) => {
                const how = event.currentTarget.value;
                change("wishes.carried", how === "" ? undefined : how, `carried ${how || "any way"}`);
              }}
            >
              {CARRIED.map(([key, words]) => (
                <option key={key} value={key}>
                  {words}
                </option>
              ))}
            </Select>
          </label>
        </fieldset>
        <Pairs
          legend="Together"
          gap="At most between them"
          usual="80 mm"
          least={2}
          items={items}
          onAdd={(chosen, within) =>
            change(
              `wishes.together[${listOf(document, "wishes.together").length}]`,
              { items: chosen, within },
              `together: ${chosen.map(nameOf).join(", ")}`,
            )
          }
        >
          {listOf(document, "wishes.together").map((_, index) => (
            <Wish
              key={`together/${index}`}
              words={`${listOf(document, `wishes.together[${index}].items`)
                .map((id) => nameOf(String(id)))
                .join(
                  ", ",
                )}: at most ${measureText(get(document, `wishes.together[${index}].within`)) || "80 mm"}`}
              onDrop={() => change(`wishes.together[${index}]`, undefined, "a wish for together taken back")}
            />
          ))}
        </Pairs>
        <Pairs
          legend="Apart"
          gap="At least between them"
          usual="150 mm"
          least={1}
          items={items}
          onAdd={(chosen, by) =>
            change(
              `wishes.apart[${listOf(document, "wishes.apart").length}]`,
              { items: chosen, by },
              `apart: ${chosen.map(nameOf).join(", ")}`,
            )
          }
        >
          {listOf(document, "wishes.apart").map((_, index) => (
            <Wish
              key={`apart/${index}`}
              words={`${listOf(document, `wishes.apart[${index}].items`)
                .map((id) => nameOf(String(id)))
                .join(", ")}: at least ${measureText(get(document, `wishes.apart[${index}].by`))}`}
              onDrop={() => change(`wishes.apart[${index}]`, undefined, "a wish for apart taken back")}
            />
          ))}
        </Pairs>
        <Spaces document={document} change={change} />
        {[
          { key: "reach_first", legend: "Reached first" },
          { key: "may_lie_in_lid", legend: "May lie in a pocket of the lid" },
        ].map(({ key, legend }) => (
          <fieldset key={key}>
            <legend>{legend}</legend>
            {items.map((item, index) => (
              <label key={item.id}>
                <input
                  type="checkbox"
                  checked={Boolean(get(document, `items[${index}].${key}`))}
                  onChange={(event) =>
                    change(
                      `items[${index}].${key}`,
                      event.currentTarget.checked,
                      `${item.name}: ${legend.toLowerCase()} ${event.currentTarget.checked ? "yes" : "no"}`,
                    )
                  }
                />
                {item.name}
              </label>
            ))}
          </fieldset>
        ))}
        <Pinned document={document} nameOf={nameOf} change={change} />
        <Weights document={document} change={change} />
      </div>
      {interior && interior.wishes.length > 0 && <Verdicts interior={interior} nameOf={nameOf} />}
    </section>
  );
}

type Change = (path: string, value: Json | undefined, note: string) => void;

function Wish({ words, onDrop }: { words: string; onDrop: () => void }) {
  return (
    <li>
      {words}{" "}
      <button type="button" aria-label={`Take back: ${words}`} onClick={onDrop}>
        Take back
      </button>
    </li>
  );
}

interface PairsProps {
  legend: string;
  gap: string;
  usual: string;
  least: number;
  items: readonly Named[];
  onAdd: (chosen: string[], gap: string) => void;
  children: ComponentChildren;
}

/** Items that lie together, or apart. */
function Pairs({ legend, gap, usual, least, items, onAdd, children }: PairsProps) {
  const [chosen, setChosen] = useState<string[]>([]);
  const [text, setText] = useState(usual);
  return (
    <fieldset>
      <legend>{legend}</legend>
      <ul class="wishes">{children}</ul>
      <details>
        <summary>Wish for another</summary>
        {items.map((item) => (
          <label key={item.id}>
            <input
              type="checkbox"
              aria-label={`${legend}: ${item.name}`}
              checked={chosen.includes(item.id)}
              onChange={(event) =>
                setChosen(
                  event.currentTarget.checked ? [...chosen, item.id] : chosen.filter((id) => id !== item.id),
                )
              }
            />
            {item.name}
          </label>
        ))}
        <label>
          <span>{gap}</span>
          <input value={text} onInput={(event) => setText(event.currentTarget.value)} />
        </label>
        <p>
          <button
            type="button"
            disabled={chosen.length < least || text.trim() === ""}
            onClick={() => {
              onAdd(chosen, text);
              setChosen([]);
            }}
          >
            Wish for {legend.toLowerCase()}
          </button>
        </p>
      </details>
    </fieldset>
  );
}

/** Room kept uncut for later. */
function Spaces({ document, change }: { document: Document; change: Change }) {
  const spaces = listOf(document, "wishes.spaces");
  const [name, setName] = useState("");
  const [sides, setSides] = useState(["120 mm", "80 mm", "60 mm"]);
  const at = (index: number, key: string) => measureText(get(document, `wishes.spaces[${index}].${key}`));
  return (
    <fieldset>
      <legend>Room for later</legend>
      <ul class="wishes">
        {spaces.map((_, index) => (
          <Wish
            key={at(index, "name")}
            words={`${at(index, "name")}: ${at(index, "length")} × ${at(index, "width")} × ${at(index, "height")}`}
            onDrop={() => change(`wishes.spaces[${index}]`, undefined, `no room for ${at(index, "name")}`)}
          />
        ))}
      </ul>
      <details>
        <summary>Keep more room</summary>
        <div class="fields">
          <label>
            <span>For</span>
            <input value={name} onInput={(event) => setName(event.currentTarget.value)} />
          </label>
          {["Length", "Width", "Height"].map((label, side) => (
            <label key={label}>
              <span>{label} of the room</span>
              <input
                value={sides[side] ?? ""}
                onInput={(event) => {
                  const text = event.currentTarget.value;
                  setSides(sides.map((known, index) => (index === side ? text : known)));
                }}
              />
            </label>
          ))}
        </div>
        <p>
          <button
            type="button"
            disabled={name.trim() === ""}
            onClick={() => {
              const [length = "", width = "", height = ""] = sides;
              change(`wishes.spaces[${spaces.length}]`, { name, length, width, height }, `room for ${name}`);
              setName("");
            }}
          >
            Keep this room
          </button>
        </p>
      </details>
    </fieldset>
  );
}

/** Pieces that lie where they are put. */
function Pinned({
  document,
  nameOf,
  change,
}: {
  document: Document;
  nameOf: (id: string) => string;
  change: Change;
}) {
  const pins = listOf(document, "wishes.pinned");
  const at = (index: number, key: string) => measureText(get(document, `wishes.pinned[${index}].${key}`));
  const rounded = (text: string) =>
    text.replace(/-?\d+\.\d+/, (number) => Number.parseFloat(number).toFixed(1));
  return (
    <fieldset>
      <legend>Pinned</legend>
      {pins.length === 0 && <p class="faint small">Nothing is pinned: what is moved by hand will be.</p>}
      <ul class="wishes">
        {pins.map((_, index) => {
          const piece = at(index, "piece");
          return (
            <Wish
              key={piece}
              words={`${nameOf(piece.split("/")[0] ?? piece)} ${piece.split("/")[1] ?? ""} at ${rounded(at(index, "at[0]"))}, ${rounded(at(index, "at[1]"))}`}
              onDrop={() => change(`wishes.pinned[${index}]`, undefined, `${piece} let go`)}
            />
          );
        })}
      </ul>
    </fieldset>
  );
}

function Weights({ document, change }: { document: Document; change: Change }) {
  return (
    <fieldset>
      <legend>Weights</legend>
      <details>
        <summary>What layouts that hold are compared by, in mm of spare</summary>
        <div class="fields">
          {WEIGHTS.map(([key, words, usual]) => {
            const stated = get(document, `wishes.weights.${key}`);
            return (
              <label key={key}>
                <span>{words}</span>
                <input
                  key={String(stated)}
                  inputMode="decimal"
                  placeholder={String(usual)}
                  defaultValue={stated === undefined || stated === null ? "" : String(stated)}
                  onChange={(event) => {
                    const text = event.currentTarget.value.trim();
                    const value = Number(text);
                    if (text !== "" && !Number.isFinite(value)) return;
                    change(
                      `wishes.weights.${key}`,
                      text === "" ? undefined : value,
                      `weight of ${words}: ${text || usual}`,
                    );
                  }}
                />
              </label>
            );
          })}
        </div>
      </details>
    </fieldset>
  );
}

function Verdicts({ interior, nameOf }: { interior: Interior; nameOf: (id: string) => string }) {
  return (
    <div class="scroll">
      <table>
        <caption>What became of them</caption>
        <thead>
          <tr>
            <th>Wish</th>
            <th>Of</th>
            <th>Met</th>
            <th>What was found</th>
          </tr>
        </thead>
        <tbody>
          {interior.wishes.map((wish) => (
            <tr key={`${wish.place}/${wish.wish}/${wish.sentence}`}>
              <td>{wish.wish}</td>
              <td>{nameOf(wish.place.split("/")[0] ?? wish.place)}</td>
              <td>
                <span class={`verdict ${wish.is_met ? "holds" : "indicative"}`}>
                  {wish.is_met ? "met" : "not met"}
                </span>
              </td>
              <td>{wish.sentence}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
