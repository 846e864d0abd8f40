/** Cable channels from one cavity to another, each chosen from two lists of pieces. */
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { type Document, get, type Json } from "../document";
import type { Job } from "../job";
import { type Refusal, refused } from "./field";
import { type Change, Quantity, Wrong } from "./foam_extras";
import { Select } from "./select";

interface Piece {
  /** As the job writes it: `item`, or `item/number` of several. */
  id: string;
  name: string;
}

function listOf(document: Document, path: string): Json[] {
  const found = get(document, path);
  return Array.isArray(found) ? found : [];
}

/** Every piece of the job by the name a job gives it. */
function piecesOf(document: Document): Piece[] {
  return listOf(document, "items").flatMap((_, index) => {
    const at = (key: string) => get(document, `items[${index}].${key}`);
    const [id, name] = [String(at("id") ?? ""), String(at("name") ?? "")];
    const quantity = Number(at("quantity") ?? 1);
    if (!(quantity > 1)) return [{ id, name }];
    return Array.from({ length: quantity }, (_, number) => ({
      id: `${id}/${number + 1}`,
      name: `${name} ${number + 1}`,
    }));
  });
}

interface ChannelsProps {
  job: Job;
  change: Change;
  /** What verification found about them. */
  children: ComponentChildren;
}

export function Channels({ job, change, children }: ChannelsProps) {
  const document = job.document as Document;
  const pieces = piecesOf(document);
  const channels = listOf(document, "interior.cable_channels");
  const nameOf = (id: string) => pieces.find((piece) => piece.id === id)?.name ?? id;
  return (
    <fieldset>
      <legend>Cable channels</legend>
      {channels.map((_, index) => {
        const path = `interior.cable_channels[${index}]`;
        const words = (["from", "to"] as const)
          .map((end) => nameOf(String(get(document, `${path}.${end}`) ?? "")))
          .join(" to ");
        return (
          // A channel has no name of its own: its place in the list is all that tells two of them apart.
          <div key={path} role="group" aria-label={`Channel ${index + 1}: ${words}`} class="channel">
            <div class="fields">
              {(["from", "to"] as const).map((end) => (
                <End
                  key={end}
                  label={end === "from" ? "From" : "To"}
                  value={String(get(document, `${path}.${end}`) ?? "")}
                  pieces={pieces}
                  refusal={refused(job.problem, `${path}.${end}`)}
                  onPick={(id) => change(`${path}.${end}`, id, `channel ${index + 1} ${end} ${nameOf(id)}`)}
                >
                  <Wrong job={job} path={`${path}.${end}`} />
                </End>
              ))}
              <Quantity job={job} path={`${path}.width`} label="Width" change={change} />
              <Quantity job={job} path={`${path}.depth`} label="Depth" change={change} />
            </div>
            <p>
              <button
                type="button"
                aria-label={`Take back: channel from ${words}`}
                onClick={() => change(path, undefined, `no channel from ${words}`)}
              >
                Take back
              </button>
            </p>
          </div>
        );
      })}
      {children}
      <Another
        pieces={pieces}
        onAdd={(from, to, width, depth) =>
          change(
            `interior.cable_channels[${channels.length}]`,
            { from, to, width, depth },
            `channel from ${nameOf(from)} to ${nameOf(to)}`,
          )
        }
      />
    </fieldset>
  );
}

interface EndProps {
  label: string;
  value: string;
  pieces: readonly Piece[];
  refusal?: Refusal;
  onPick: (id: string) => void;
  children?: ComponentChildren;
}

function End({ label, value, pieces, refusal, onPick, children }: EndProps) {
  const known = pieces.some((piece) => piece.id === value);
  return (
    <label>
      <span>{label}</span>
      <Select value={value} {...refusal} onChange={(event) => onPick(event.currentTarget.value)}>
        {!known && <option value={value}>{value === "" ? "choose a piece" : value}</option>}
        {pieces.map((piece) => (
          <option key={piece.id} value={piece.id}>
            {piece.name}
          </option>
        ))}
      </Select>
      {children}
    </label>
  );
}

interface AnotherProps {
  pieces: readonly Piece[];
  onAdd: (from: string, to: string, width: string, depth: string) => void;
}

function Another({ pieces, onAdd }: AnotherProps) {
  const [from, setFrom] = useState("");
  const [to, setTo] = useState("");
  const [width, setWidth] = useState("12 mm");
  const [depth, setDepth] = useState("15 mm");
  return (
    <details>
      <summary>Ask for a channel</summary>
      <div class="fields">
        <End label="From the cavity of" value={from} pieces={pieces} onPick={setFrom} />
        <End label="To the cavity of" value={to} pieces={pieces} onPick={setTo} />
        <label>
          <span>Width of the channel</span>
          <input value={width} onInput={(event) => setWidth(event.currentTarget.value)} />
        </label>
        <label>
          <span>Depth below the top</span>
          <input value={depth} onInput={(event) => setDepth(event.currentTarget.value)} />
        </label>
      </div>
      <p>
        <button
          type="button"
          disabled={from === "" || to === "" || from === to || width.trim() === "" || depth.trim() === ""}
          onClick={() => {
            onAdd(from, to, width.trim(), depth.trim());
            setFrom("");
            setTo("");
          }}
        >
          Ask for this channel
        </button>
      </p>
    </details>
  );
}
