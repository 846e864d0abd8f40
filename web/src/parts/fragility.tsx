/** What an item stands, from whatever is known: a value with its source, a class somebody signs for, nothing, or nothing to hurt. */
import { useEffect, useState } from "preact/hooks";
import { api, must, type Schemas } from "../api/client";
import { type Document, get, isTable, type Json, measureText, set } from "../document";
import { edit, type Job } from "../job";
import { refused } from "./field";
import { Select } from "./select";

type Class = Schemas["FragilityClassView"];
type Kind = "known" | "class" | "unknown" | "none";

/** What the written value is. */
export function kindOf(value: Json | undefined): Kind {
  const text = measureText(value).trim();
  if (text === "unknown" || text === "none") return text;
  return text.startsWith("class ") ? "class" : "known";
}

/** The classes, asked for once. */
let asked: Promise<Class[]> | null = null;
function classes(): Promise<Class[]> {
  asked ??= must(api.GET("/api/library")).then((library) => library.fragility_classes);
  return asked;
}

interface FragilityProps {
  job: Job;
  /** Where the item stands in the job: `items[2]`. */
  path: string;
  name: string;
}

export function Fragility({ job, path, name }: FragilityProps) {
  const document = job.document as Document;
  const value = get(document, `${path}.fragility`);
  const signer = String(get(document, `${path}.fragility_signed_by`) ?? "");
  const text = measureText(value);
  const source = isTable(value) ? String(value.source ?? "") : "";
  const [known, setKnown] = useState<Class[]>([]);
  // A class needs a name: until there is one, the choice is only made here.
  const [kind, setKind] = useState<Kind>(kindOf(value));
  const [chosen, setChosen] = useState(text.replace(/^class /, ""));
  useEffect(() => setKind(kindOf(value)), [text]);
  useEffect(() => {
    classes()
      .then(setKnown)
      .catch(() => setKnown([]));
  }, []);
  const keep = (next: Json, by: string | undefined, words: string) =>
    void edit(
      (now) => set(set(now, `${path}.fragility`, next), `${path}.fragility_signed_by`, by),
      `${name}: ${words}`,
    );
  const choose = (next: Kind) => {
    setKind(next);
    if (next === "unknown" || next === "none") keep(next, undefined, `fragility ${next}`);
  };
  const stated = (g: string, from: string) => {
    if (g.trim() === "") return;
    keep(from.trim() === "" ? g : { value: g, source: from }, undefined, `fragility ${g}`);
  };
  const signed = (which: string, by: string) => {
    setChosen(which);
    if (which !== "" && by.trim() !== "")
      keep(`class ${which}`, by, `fragility class ${which}, signed by ${by}`);
  };
  const refusal = refused(job.problem, `${path}.fragility`);
  const isStated = kindOf(value) === "known";
  return (
    <fieldset>
      <legend>Fragility: the acceleration it stands</legend>
      <div class="fields">
        <label>
          <span>What is known</span>
          <Select value={kind} onChange={(event) => choose(event.currentTarget.value as Kind)}>
            <option value="known">a value, by a sheet, a test or the maker</option>
            <option value="class">only a class, and somebody signs for it</option>
            <option value="unknown">nothing: say what the design holds it to</option>
            <option value="none">nothing can hurt it: soft goods</option>
          </Select>
        </label>
        {kind === "known" && (
          <>
            <label>
              <span>It stands (e.g. 60 G)</span>
              <input
                key={`value/${text}`}
                defaultValue={isStated ? text : ""}
                {...refusal}
                onChange={(event) => stated(event.currentTarget.value, source)}
              />
            </label>
            <label class="wide">
              <span>Who says so, and how sure: e.g. data sheet (published), drop test (measured)</span>
              <input
                key={`source/${source}`}
                defaultValue={source}
                {...refusal}
                disabled={!isStated}
                onChange={(event) => stated(text, event.currentTarget.value)}
              />
            </label>
          </>
        )}
        {kind === "class" && (
          <>
            <label>
              <span>Class</span>
              <Select
                value={chosen}
                {...refusal}
                onChange={(event) => signed(event.currentTarget.value, signer)}
              >
                <option value="">choose</option>
                {known.map((one) => (
                  <option key={one.name} value={one.name}>
                    {one.name.replaceAll("-", " ")}: from {one.least_g.toFixed(0)} G
                  </option>
                ))}
              </Select>
            </label>
            <label>
              <span>Who signs for the assumption</span>
              <input
                key={`signer/${signer}`}
                defaultValue={signer}
                {...refusal}
                onChange={(event) => signed(chosen, event.currentTarget.value)}
              />
            </label>
            {known
              .filter((one) => one.name === chosen)
              .map((one) => (
                <p key={one.name} class="wide small faint">
                  {one.source}
                </p>
              ))}
          </>
        )}
      </div>
      {refusal["aria-invalid"] && (
        <div class="problem" id={`${path}.fragility-problem`}>
          {job.problem?.sentence}
        </div>
      )}
    </fieldset>
  );
}
