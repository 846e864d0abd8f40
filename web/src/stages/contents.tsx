/** Contents: the packing list; every cell is saved as it is left. */
import { useEffect, useState } from "preact/hooks";
import { type Document, get, measureText, set, withText } from "../document";
import { addList, addShape, begun, edit, type Job } from "../job";
import { refused } from "../parts/field";
import { Findings, ProblemNotice } from "../parts/findings";
import { Fragility } from "../parts/fragility";
import { ListDrop, ListFound } from "../parts/list_drop";
import { ShapeDrop, ShapesReport } from "../parts/shape_drop";
import { WaysUp } from "../parts/ways_up";
import { kg, size } from "../words";

export function ContentsStage({ job }: { job: Job }) {
  const document = job.document as Document;
  const found = get(document, "items");
  const items = Array.isArray(found) ? found : [];
  const [chosen, setChosen] = useState(0);
  const index = Math.min(chosen, Math.max(items.length - 1, 0));
  const contents = job.contents;
  const add = () =>
    edit((now) => {
      const list = get(now, "items");
      const count = Array.isArray(list) ? list.length : 0;
      return set(now, `items[${count}]`, {
        id: `item-${Date.now().toString(36)}`,
        name: "New item",
        mass: "1 kg ± 0.5 kg",
        fragility: "unknown",
        shape: { box: { length: "100 mm", width: "100 mm", height: "50 mm" } },
        size_tolerance: "1 mm",
        source: "typed on the page (invented)",
      });
    }, "new item").then(() => setChosen(items.length));
  return (
    <>
      {job.problem && <ProblemNotice problem={job.problem} />}
      {begun.value?.name === job.name && begun.value.list && <ListFound found={begun.value.list} />}
      {begun.value?.name === job.name && begun.value.shapes && <ShapesReport found={begun.value.shapes} />}
      {contents && (
        <ul class="figures" aria-label="In all">
          <li>
            <b>{contents.pieces}</b> pieces
          </li>
          <li>
            <b>{kg(contents.equipment_mass_kg)}</b> equipment
          </li>
          <li>
            <b>{contents.items.filter((item) => item.fragility === "unknown").length}</b> with unknown
            fragility
          </li>
        </ul>
      )}
      <div class="split">
        <div>
          <div class="scroll">
            <table>
              <caption>Packing list. Choose a row to see and edit it.</caption>
              <thead>
                <tr>
                  <th>Picture</th>
                  <th>Item</th>
                  <th class="number">Pieces</th>
                  <th class="number">Mass of one</th>
                  <th class="number">Fragility</th>
                  <th>Size</th>
                  <th>May lie</th>
                </tr>
              </thead>
              <tbody>
                {items.map((_, row) => {
                  const path = `items[${row}]`;
                  const id = String(get(document, `${path}.id`) ?? "");
                  const read = contents?.items.find((item) => item.id === id);
                  const ways = get(document, `${path}.ways_up`);
                  return (
                    <tr key={id}>
                      <td>
                        {read && (
                          <img
                            class="small-picture"
                            alt=""
                            loading="lazy"
                            width="64"
                            height="48"
                            src={`/api/jobs/${encodeURIComponent(job.name)}/items/${encodeURIComponent(id)}/picture.png?revision=${job.revision}`}
                          />
                        )}
                      </td>
                      <td>
                        <button type="button" aria-pressed={row === index} onClick={() => setChosen(row)}>
                          {String(get(document, `${path}.name`) ?? id)}
                        </button>
                      </td>
                      <td class="number">{String(get(document, `${path}.quantity`) ?? 1)}</td>
                      <td class="number">{measureText(get(document, `${path}.mass`))}</td>
                      <td class="number">{measureText(get(document, `${path}.fragility`))}</td>
                      <td>{read ? size(read.size_m) : "—"}</td>
                      <td>{Array.isArray(ways) ? ways.join(" ") : ""}</td>
                    </tr>
                  );
                })}
              </tbody>
            </table>
          </div>
          <p class="row">
            <button type="button" onClick={add}>
              Add an item
            </button>
          </p>
          <ShapeDrop send={addShape} />
          <ListDrop words="A packing list: drop it here, or choose" onFile={addList} />
          {contents && (
            <>
              <h2>Findings</h2>
              <Findings findings={contents.findings} none="The packing list says nothing against itself." />
            </>
          )}
        </div>
        {items.length > 0 && (
          <ItemSheet
            key={`${index}/${String(get(document, `items[${index}].id`))}`}
            job={job}
            index={index}
            count={items.length}
          />
        )}
      </div>
    </>
  );
}

function ItemSheet({ job, index, count }: { job: Job; index: number; count: number }) {
  const document = job.document as Document;
  const path = `items[${index}]`;
  const id = String(get(document, `${path}.id`) ?? "");
  const name = String(get(document, `${path}.name`) ?? id);
  const [glb, setGlb] = useState<ArrayBuffer | null>(null);
  useEffect(() => {
    let gone = false;
    fetch(`/api/jobs/${encodeURIComponent(job.name)}/items/${encodeURIComponent(id)}/scene.glb`)
      .then((answer) => (answer.ok ? answer.arrayBuffer() : null))
      .then((bytes) => {
        if (!gone) setGlb(bytes);
      })
      .catch(() => undefined);
    return () => {
      gone = true;
    };
  }, [job.name, job.revision, id]);
  const cell = (key: string, label: string, kind: "measure" | "text" | "number" = "measure") => {
    const full = `${path}.${key}`;
    const value = get(document, full);
    const refusal = refused(job.problem, full);
    return (
      <label>
        <span>{label}</span>
        <input
          key={measureText(value)}
          defaultValue={measureText(value)}
          {...refusal}
          inputMode={kind === "number" ? "numeric" : "text"}
          onChange={(event) => {
            const text = event.currentTarget.value;
            const whole = Number.parseInt(text, 10);
            const next =
              kind === "number"
                ? Number.isNaN(whole)
                  ? 1
                  : whole
                : kind === "text"
                  ? text
                  : withText(value, text);
            void edit((now) => set(now, full, next), `${name}: ${label.toLowerCase()} ${text}`);
          }}
        />
        {refusal["aria-invalid"] && (
          <div class="problem" id={`${full}-problem`}>
            {job.problem?.sentence}
          </div>
        )}
      </label>
    );
  };
  const tick = (key: string, label: string, fallback: boolean) => (
    <label>
      <input
        type="checkbox"
        checked={Boolean(get(document, `${path}.${key}`) ?? fallback)}
        onChange={(event) => {
          const on = event.currentTarget.checked;
          void edit((now) => set(now, `${path}.${key}`, on), `${name}: ${label} ${on ? "yes" : "no"}`);
        }}
      />
      {label}
    </label>
  );
  const found = get(document, `${path}.ways_up`);
  const ways = Array.isArray(found) ? found.map(String) : [];
  const shape = get(document, `${path}.shape`);
  return (
    <div class="sticky">
      <figure>
        <figcaption>
          <b>{name}</b> turn it over to allow or forbid a way up
        </figcaption>
        <WaysUp
          glb={glb}
          name={name}
          ways={ways}
          onWays={(next, words) => void edit((now) => set(now, `${path}.ways_up`, next), `${name}: ${words}`)}
        />
        <ShapeDrop item={id} send={addShape} />
      </figure>
      <fieldset>
        <legend>{name}</legend>
        <div class="fields">
          {cell("name", "Name", "text")}
          {cell("quantity", "Pieces", "number")}
          {cell("mass", "Mass of one")}
          {cell("size_tolerance", "Size tolerance")}
          {typeof shape === "object" && shape !== null && "box" in shape && (
            <>
              {cell("shape.box.length", "Length")}
              {cell("shape.box.width", "Width")}
              {cell("shape.box.height", "Height")}
            </>
          )}
          {typeof shape === "object" && shape !== null && "cylinder" in shape && (
            <>
              {cell("shape.cylinder.diameter", "Diameter")}
              {cell("shape.cylinder.height", "Height")}
            </>
          )}
          <div class="wide">{cell("note", "Remarks", "text")}</div>
        </div>
        <Fragility job={job} path={path} name={name} />
        <div class="row">
          {tick("may_turn", "may be turned about the vertical", true)}
          {tick("reach_first", "wanted on top, reached first", false)}
          {tick("may_lie_in_lid", "may lie in a pocket of the lid", false)}
        </div>
        <p class="row">
          <button
            type="button"
            disabled={count < 2}
            onClick={() => void edit((now) => set(now, path, undefined), `${name} taken off the list`)}
          >
            Take {name} off the list
          </button>
        </p>
      </fieldset>
    </div>
  );
}
