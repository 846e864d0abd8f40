/** Survey: the sheet beside what the shell really offers, as it is typed. */
import { useEffect, useRef, useState } from "preact/hooks";
import { api, asProblem, author, must, type Problem, type Schemas } from "../api/client";
import { type Document, get, isTable, set } from "../document";
import { edit, type Job } from "../job";
import { ShellPlan, ShellSection } from "../parts/drawings";
import { concerns, Field, refused } from "../parts/field";
import { Findings, ProblemNotice } from "../parts/findings";
import { Select } from "../parts/select";
import { Three } from "../parts/three";
import { go } from "../place";
import { kg, litres, mm, size } from "../words";

type View = Schemas["SurveyView"];

/** How long the typing has to rest before the pictures follow, milliseconds. */
const REST = 90;

export function ShellPlace({ name }: { name: string }) {
  return (
    <>
      <p class="small">
        <a href="/">Start</a> / shell
      </p>
      <Sheet name={name} onSaved={(saved) => go({ at: "shell", name: saved })} />
    </>
  );
}

export function SurveyStage({ job }: { job: Job }) {
  const name = String(job.document.shell ?? "");
  return (
    <Sheet
      name={name}
      onSaved={(saved) => {
        if (saved !== name) void edit((document) => set(document, "shell", saved), `shell ${saved}`);
      }}
      choose={(shell) =>
        void edit((document) => set(set(document, "shell", shell), "removed", undefined), `shell ${shell}`)
      }
    />
  );
}

interface SheetProps {
  name: string;
  onSaved: (name: string) => void;
  choose?: (name: string) => void;
}

function Sheet({ name, onSaved, choose }: SheetProps) {
  const [kept, setKept] = useState<Schemas["ShellDocument"] | null>(null);
  const [sheet, setSheet] = useState<Document | null>(null);
  const [view, setView] = useState<View | null>(null);
  const [glb, setGlb] = useState<ArrayBuffer | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [failure, setFailure] = useState<Problem | null>(null);
  const [cut, setCut] = useState<{ z_m?: number; x_m?: number; y_m?: number }>({});
  const [depth, setDepth] = useState(true);
  const [own, setOwn] = useState("");
  const latest = useRef(0);

  useEffect(() => {
    setSheet(null);
    setKept(null);
    setFailure(null);
    must(api.GET("/api/shells/{name}", { params: { path: { name } } }))
      .then((found) => {
        setKept(found);
        setSheet(found.document as Document);
        setOwn(found.is_own ? found.name : `${found.name}-surveyed`);
      })
      .catch((thrown: unknown) => setFailure(asProblem(thrown)));
  }, [name]);

  useEffect(() => {
    if (!sheet) return;
    const number = ++latest.current;
    const timer = setTimeout(async () => {
      try {
        const seen = await must(api.POST("/api/survey", { body: { document: sheet, ...cut } }));
        if (number !== latest.current) return;
        setView(seen);
        setProblem(null);
      } catch (thrown) {
        if (number === latest.current) setProblem(asProblem(thrown));
      }
    }, REST);
    return () => clearTimeout(timer);
  }, [sheet, cut]);

  useEffect(() => {
    if (!sheet) return;
    const timer = setTimeout(async () => {
      const answer = await fetch("/api/survey/scene.glb", {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ document: sheet }),
      }).catch(() => null);
      if (answer?.ok) setGlb(await answer.arrayBuffer());
    }, 2 * REST);
    return () => clearTimeout(timer);
  }, [sheet]);

  if (failure) {
    return (
      <>
        <ProblemNotice problem={failure} />
        {choose && <Choose name={name} choose={choose} />}
      </>
    );
  }
  if (!sheet || !kept) return <p role="status">Opening…</p>;

  const changed = sheet !== kept.document;
  const save = async () => {
    const sameName = kept.is_own && own === kept.name;
    try {
      const saved = await must(
        api.PUT("/api/shells/{name}", {
          params: { path: { name: own } },
          body: { base: sameName ? kept.revision : 0, document: sheet, author },
        }),
      );
      setKept({ ...kept, name: saved.name, is_own: true, revision: saved.revision, document: sheet });
      setProblem(null);
      onSaved(saved.name);
    } catch (thrown) {
      setProblem(asProblem(thrown));
    }
  };
  const field = (path: string, label: string, optional = false) => (
    <Field
      document={sheet}
      path={path}
      label={label}
      problem={problem}
      onEdit={setSheet}
      optional={optional}
    />
  );
  return (
    <div class="halves">
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void save();
        }}
      >
        {choose && <Choose name={name} choose={choose} />}
        <fieldset>
          <legend>Shell</legend>
          <div class="fields">
            <div class="wide">{field("title", "Title")}</div>
            {field("outside.length", "Outside length")}
            {field("outside.width", "Outside width")}
            {field("outside.height", "Outside height")}
            {field("empty_mass", "Empty mass")}
            {field("units", "Bench unit, if bare numbers", true)}
            <div class="wide">{field("source", "Source of the measurements, with how sure it is")}</div>
          </div>
        </fieldset>
        {(["base", "lid"] as const).map((half) => (
          <fieldset key={half}>
            <legend>{half === "base" ? "Base" : "Lid"}</legend>
            <div class="fields">
              {field(`${half}.rim.length`, "Length at the rim")}
              {field(`${half}.rim.width`, "Width at the rim")}
              {field(`${half}.rim.corner_radius`, "Corner radius at the rim")}
              {isTable(get(sheet, `${half}.${floorKey(sheet, half)}`)) ? (
                <>
                  {field(
                    `${half}.${floorKey(sheet, half)}.length`,
                    half === "base" ? "Length at the floor" : "Length at the crown",
                  )}
                  {field(
                    `${half}.${floorKey(sheet, half)}.width`,
                    half === "base" ? "Width at the floor" : "Width at the crown",
                  )}
                  {field(`${half}.${floorKey(sheet, half)}.corner_radius`, "Corner radius there")}
                </>
              ) : (
                field(`${half}.draft`, "Draft of the walls")
              )}
              {field(`${half}.depth`, "Depth from the rim plane")}
              {field(`${half}.fillet`, half === "base" ? "Floor fillet" : "Crown fillet")}
              {field(`${half}.wall`, "Wall thickness")}
            </div>
            <Intrusions sheet={sheet} half={half} problem={problem} onEdit={setSheet} />
          </fieldset>
        ))}
        <fieldset>
          <legend>Keep this survey</legend>
          <div class="row">
            <label style={{ flex: 1 }}>
              <span>Name in the library</span>
              <input
                value={own}
                {...refused(problem, "name", "survey-problem")}
                onInput={(event) => setOwn(event.currentTarget.value)}
              />
            </label>
            <button type="submit" class="main" disabled={!changed && kept.is_own && own === kept.name}>
              Save the sheet
            </button>
          </div>
          <p class="faint small" role="status">
            {changed
              ? "Changed, not saved yet."
              : kept.is_own
                ? `Saved, revision ${kept.revision}.`
                : "Ships with the program; changes are saved under a name of your own."}
          </p>
        </fieldset>
      </form>
      <div class="sticky">
        {problem && !problem.field && <ProblemNotice problem={problem} />}
        {problem?.field && (
          <div class="notice" role="status" id="survey-problem">
            <b>{problem.sentence}</b> <span class="small">({problem.field})</span>
            {problem.hint && <div class="small">What would do: {problem.hint}</div>}
            <div class="small faint">The pictures show the sheet as it last read.</div>
          </div>
        )}
        {view && (
          <Pictures view={view} glb={glb} cut={cut} setCut={setCut} depth={depth} setDepth={setDepth} />
        )}
      </div>
    </div>
  );
}

function floorKey(sheet: Document, half: "base" | "lid"): "floor" | "crown" {
  return half === "lid" && isTable(get(sheet, "lid.crown")) ? "crown" : "floor";
}

function Choose({ name, choose }: { name: string; choose: (name: string) => void }) {
  const [shells, setShells] = useState<Schemas["ShellSummary"][]>([]);
  useEffect(() => {
    must(api.GET("/api/library"))
      .then((library) => setShells(library.shells))
      .catch(() => setShells([]));
  }, [name]);
  return (
    <fieldset>
      <legend>Shell of this job</legend>
      <label>
        <span>From the library</span>
        <Select value={name} onChange={(event) => choose(event.currentTarget.value)}>
          {!shells.some((shell) => shell.name === name) && (
            <option value={name}>{name} (not in the library)</option>
          )}
          {shells.map((shell) => (
            <option key={shell.name} value={shell.name}>
              {shell.title} ({litres(shell.usable_volume_m3)})
            </option>
          ))}
        </Select>
      </label>
    </fieldset>
  );
}

interface IntrusionsProps {
  sheet: Document;
  half: "base" | "lid";
  problem: Problem | null;
  onEdit: (document: Document) => void;
}

function Intrusions({ sheet, half, problem, onEdit }: IntrusionsProps) {
  const found = get(sheet, `${half}.intrusions`);
  const list = Array.isArray(found) ? found : [];
  const add = () =>
    onEdit(
      set(sheet, `${half}.intrusions[${list.length}]`, {
        name: `${half} boss ${list.length + 1}`,
        kind: "boss",
        circle: { centre: ["0 mm", "0 mm"], radius: "8 mm" },
        to: "10 mm",
      }),
    );
  return (
    <details open={list.length > 0 && concerns(problem, `${half}.intrusions`)}>
      <summary>
        What stands in: {list.length} {list.length === 1 ? "body" : "bodies"}
      </summary>
      {list.map((entry, index) => {
        const path = `${half}.intrusions[${index}]`;
        const shape = isTable(entry) && entry.circle !== undefined ? "circle" : "rectangle";
        const field = (key: string, label: string, optional = false) => (
          <Field
            document={sheet}
            path={`${path}.${key}`}
            label={label}
            problem={problem}
            onEdit={onEdit}
            optional={optional}
          />
        );
        return (
          <div key={index} class="card" style={{ margin: ".5rem 0" }}>
            <div class="fields">
              {field("name", "Name")}
              {field(`${shape}.centre[0]`, "Centre, along")}
              {field(`${shape}.centre[1]`, "Centre, across")}
              {shape === "circle" ? (
                field("circle.radius", "Radius")
              ) : (
                <>
                  {field("rectangle.length", "Length")}
                  {field("rectangle.width", "Width")}
                  {field("rectangle.corner_radius", "Corner radius", true)}
                </>
              )}
              {field("to", "Height")}
              {field("draft", "Draft", true)}
            </div>
            <p>
              <button type="button" onClick={() => onEdit(set(sheet, path, undefined))}>
                Take off {String(get(sheet, `${path}.name`) ?? "")}
              </button>
            </p>
          </div>
        );
      })}
      <p>
        <button type="button" onClick={add}>
          Add a body
        </button>
      </p>
    </details>
  );
}

interface PicturesProps {
  view: View;
  glb: ArrayBuffer | null;
  cut: { z_m?: number; x_m?: number; y_m?: number };
  setCut: (cut: { z_m?: number; x_m?: number; y_m?: number }) => void;
  depth: boolean;
  setDepth: (depth: boolean) => void;
}

function Pictures({ view, glb, cut, setCut, depth, setDepth }: PicturesProps) {
  const [lid, setLid] = useState(false);
  const survey = view.survey;
  const nominal = survey.nominal_volume_m3;
  const deepest = Math.max(...view.depth.depth_m.map((value) => value ?? 0));
  const [x0 = 0, x1 = 0] = view.depth.x_m;
  const [y0 = 0, y1 = 0] = view.depth.y_m;
  const dial = (label: string, value: number, least: number, most: number, key: "z_m" | "x_m" | "y_m") => (
    <label class="dial">
      <span style={{ whiteSpace: "nowrap" }}>
        {label} {mm(value)}
      </span>
      <input
        type="range"
        min={Math.round(least * 1000)}
        max={Math.round(most * 1000)}
        value={Math.round(value * 1000)}
        onInput={(event) => setCut({ ...cut, [key]: event.currentTarget.valueAsNumber / 1000 })}
      />
    </label>
  );
  return (
    <>
      <ul class="figures" aria-label="What it offers">
        <li>
          <b>{litres(survey.usable_volume_m3)}</b> usable
        </li>
        {nominal && (
          <li>
            <b>{((survey.usable_volume_m3 / nominal) * 100).toFixed(0)} %</b> of the nominal box
          </li>
        )}
        <li>
          <b>{mm(deepest)}</b> deepest clear depth in the base
        </li>
        <li>
          <b>{survey.base.drafts_deg.map((draft) => draft.toFixed(1)).join(" · ")}°</b> draft left, right,
          front, back
        </li>
        <li>
          <b>{kg(survey.empty_mass.value_kg)}</b> empty
        </li>
      </ul>
      <div class="pictures">
        <figure>
          <figcaption>
            <b>Plan</b>
            <label>
              <input
                type="checkbox"
                checked={depth}
                onChange={(event) => setDepth(event.currentTarget.checked)}
              />
              clear depth, dark is deep (to {mm(deepest)})
            </label>
          </figcaption>
          <ShellPlan view={view} depth={depth} />
          {dial("at", view.z_m, 0, view.crown_height_m, "z_m")}
        </figure>
        <figure>
          <figcaption>
            <b>3D</b>
            <label>
              <input
                type="checkbox"
                checked={lid}
                onChange={(event) => setLid(event.currentTarget.checked)}
              />
              with lid
            </label>
          </figcaption>
          <Three glb={glb} words="The shell in 3D" shows={lid ? all : withoutLid} />
        </figure>
        <figure>
          <figcaption>
            <b>Long section</b>
          </figcaption>
          <ShellSection
            view={view}
            section={view.along}
            words={`Long section at ${mm(view.along.at_m)} from the middle`}
          />
          {dial("across", view.along.at_m, y0, y1, "y_m")}
        </figure>
        <figure>
          <figcaption>
            <b>Cross section</b>
          </figcaption>
          <ShellSection
            view={view}
            section={view.across}
            words={`Cross section at ${mm(view.across.at_m)} from the middle`}
          />
          {dial("along", view.across.at_m, x0, x1, "x_m")}
        </figure>
      </div>
      <h2 style={{ marginTop: "1rem" }}>Findings</h2>
      <Findings findings={survey.findings} none="The survey says nothing against itself." />
      {nominal && (
        <table>
          <caption>
            Where the nominal box of {size(survey.nominal_inside_m ?? [])} ({litres(nominal)}) goes
          </caption>
          <tbody>
            {survey.volume_ledger.map((loss) => (
              <tr key={loss.cause}>
                <td>{loss.cause}</td>
                <td class="number">{litres(loss.volume_m3)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}

const all = () => true;
const withoutLid = (name: string) => !name.includes("lid");
