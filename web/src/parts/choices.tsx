/** What a job may choose of its shop, and what each choice costs as everything lies now. */
import { useEffect, useState } from "preact/hooks";
import { api, asProblem, must, type Problem, type Schemas } from "../api/client";
import { type Document, get, type Json, set, withText } from "../document";
import { edit, type Job, solve } from "../job";
import { money, moneyDifference } from "../words";
import { Select } from "./select";

type Price = Schemas["PriceView"];
type Library = Schemas["LibraryView"];

interface Tried {
  price: Price;
  words: string;
}

/** Everything tried in this job since the page was opened, newest last; one row a choice. */
const tried = new Map<string, Tried[]>();

function remember(job: string, price: Price, words: string): Tried[] {
  const rows = (tried.get(job) ?? []).filter((row) => row.words !== words);
  rows.push({ price, words });
  tried.set(job, rows.slice(-8));
  return tried.get(job) ?? [];
}

export function Choices({ job }: { job: Job }) {
  const document = job.document as Document;
  const [library, setLibrary] = useState<Library | null>(null);
  const [rows, setRows] = useState<Tried[]>([]);
  const [problem, setProblem] = useState<Problem | null>(null);
  useEffect(() => {
    must(api.GET("/api/library"))
      .then(setLibrary)
      .catch((thrown) => setProblem(asProblem(thrown)));
  }, []);
  useEffect(() => {
    let current = true;
    setProblem(null);
    const params = { path: { name: job.name }, query: { revision: job.revision } };
    must(api.GET("/api/jobs/{name}/price", { params }))
      .then((price) => {
        if (current) setRows([...remember(job.name, price, described(price))]);
      })
      .catch((thrown) => {
        if (current) setProblem(asProblem(thrown));
      });
    return () => {
      current = false;
    };
  }, [job.name, job.revision]);
  const shop = library?.shops.find((known) => known.name === get(document, "shop"));
  if (!library || !shop) return null;
  const change = (path: string, value: Json | undefined, note: string) =>
    void edit((now) => set(now, path, value), note);
  const chosen = thicknesses(document, shop.layer_thicknesses_m);
  const now = rows.at(-1);
  return (
    <section aria-label="Choices">
      <h2>Choices</h2>
      <div class="row choices">
        <label>
          <span>Process</span>
          <Select
            value={String(get(document, "process") ?? shop.process)}
            onChange={(event) => {
              const name = event.currentTarget.value;
              change("process", name === shop.process ? undefined : name, `cut by ${name}`);
            }}
          >
            {shop.processes.map((known) => (
              <option key={known.name} value={known.name}>
                {known.title}
              </option>
            ))}
          </Select>
        </label>
        {(["base", "lid"] as const).map((where) => (
          <label key={where}>
            <span>{where === "base" ? "Foam of base and trays" : "Foam of the lid pad"}</span>
            <Select
              value={String(get(document, `foams.${where}`) ?? "")}
              onChange={(event) =>
                change(
                  `foams.${where}`,
                  event.currentTarget.value,
                  `${where} of ${event.currentTarget.value}`,
                )
              }
            >
              {library.foams.map((foam) => (
                <option key={foam.name} value={foam.name}>
                  {foam.title}
                </option>
              ))}
            </Select>
          </label>
        ))}
        <fieldset>
          <legend>Layer thicknesses, mm</legend>
          {shop.layer_thicknesses_m.map((thickness) => {
            const text = `${Math.round(thickness * 1e4) / 10} mm`;
            return (
              <label key={text} class="inline">
                <input
                  type="checkbox"
                  checked={chosen.includes(text)}
                  disabled={chosen.length === 1 && chosen[0] === text}
                  onChange={(event) => {
                    const kept = event.currentTarget.checked
                      ? [...chosen, text]
                      : chosen.filter((known) => known !== text);
                    const all = kept.length === shop.layer_thicknesses_m.length;
                    change(
                      "clearances.layer_thicknesses",
                      all ? undefined : kept.map((known) => withText(undefined, known)),
                      `layers of ${kept.join(", ")}`,
                    );
                  }}
                />
                {text.replace(" mm", "")}
              </label>
            );
          })}
        </fieldset>
      </div>
      {problem && (
        <div class="notice">
          <p>
            {problem.sentence}
            {problem.hint && `; ${problem.hint}`}
          </p>
          <button type="button" onClick={() => solve("kept")}>
            Arrange again, keeping what lies well
          </button>
        </div>
      )}
      {now && (
        <div class="scroll">
          <table>
            <caption>What was tried, as everything lies; not verified here</caption>
            <thead>
              <tr>
                <th>Cut by</th>
                <th>Foams</th>
                <th class="number">Layers</th>
                <th class="number">Sheets</th>
                <th class="number">Price</th>
                <th class="number">Against the first</th>
                <th>What the shop cannot do</th>
              </tr>
            </thead>
            <tbody>
              {rows.map(({ price, words }) => (
                <tr key={words} {...(price === now.price ? { "aria-current": "true" as const } : {})}>
                  <td>{price.process}</td>
                  <td>{price.foams[0] === price.foams[1] ? price.foams[0] : price.foams.join("; lid: ")}</td>
                  <td class="number">{price.layers}</td>
                  <td class="number">{price.sheets}</td>
                  <td class="number">{money(price.bill.price)}</td>
                  <td class="number">{moneyDifference(rows[0]?.price.bill.price, price.bill.price)}</td>
                  <td>
                    {price.failing.map((finding) => `${finding.place}: ${finding.sentence}`).join("; ")}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}

/** One row a choice: what tells prices apart. */
function described(price: Price): string {
  const lines = price.bill.lines.map((line) => `${line.description} ${line.quantity.toFixed(3)}`);
  return [price.process, ...price.foams, ...lines].join("|");
}

/** The thicknesses the job stacks from, in words. */
function thicknesses(document: Document, all: number[]): string[] {
  const own = get(document, "clearances.layer_thicknesses");
  if (Array.isArray(own) && own.length > 0) return own.map(String);
  return all.map((thickness) => `${Math.round(thickness * 1e4) / 10} mm`);
}
