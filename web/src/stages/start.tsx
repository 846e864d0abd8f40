/** Start: jobs, a new one, shells and foams. */
import { useEffect, useState } from "preact/hooks";
import { api, asProblem, author, must, type Problem, type Schemas } from "../api/client";
import { box, path } from "../outline";
import { begun } from "../job";
import { ProblemNotice } from "../parts/findings";
import { sendList } from "../parts/list_drop";
import { address, go } from "../place";
import { kg, litres, size, when } from "../words";

type Library = Schemas["LibraryView"];
type JobSummary = Schemas["JobSummary"];

export function StartPlace() {
  const [library, setLibrary] = useState<Library | null>(null);
  const [jobs, setJobs] = useState<JobSummary[] | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  useEffect(() => {
    Promise.all([must(api.GET("/api/library")), must(api.GET("/api/jobs"))])
      .then(([shelf, list]) => {
        setLibrary(shelf);
        setJobs(list);
      })
      .catch((thrown: unknown) => setProblem(asProblem(thrown)));
  }, []);
  if (problem) return <ProblemNotice problem={problem} />;
  if (!library || !jobs) return <p role="status">Opening…</p>;
  return (
    <>
      <h2>Jobs</h2>
      {jobs.length === 0 && <p class="faint">No job is kept here yet.</p>}
      <ul class="cards">
        {jobs.map((job) => (
          <li key={job.name}>
            <a class="card" href={address({ at: "job", name: job.name, stage: "survey" })}>
              <ShellPicture shell={library.shells.find((shell) => shell.name === job.shell)} />
              <h3>{job.title || job.name}</h3>
              <div class="small">{job.customer}</div>
              <div class="small faint">
                {job.items} kinds of equipment in {job.shell}
              </div>
              <div class="small faint">
                revision {job.revision}, {when(job.at)}
              </div>
            </a>
          </li>
        ))}
      </ul>
      <NewJob library={library} onProblem={setProblem} />
      <h2>Shells</h2>
      <ul class="cards">
        {library.shells.map((shell) => (
          <li key={shell.name}>
            <a class="card" href={address({ at: "shell", name: shell.name })}>
              <ShellPicture shell={shell} />
              <h3>{shell.title}</h3>
              {shell.problem ? (
                <div class="problem">{shell.problem.sentence}</div>
              ) : (
                <>
                  <div class="small">
                    usable {litres(shell.usable_volume_m3)}, empty {kg(shell.empty_mass_kg)}
                  </div>
                  <div class="small faint">outside {size(shell.outside_m)}</div>
                  {shell.is_own && <div class="small">surveyed here</div>}
                </>
              )}
            </a>
          </li>
        ))}
      </ul>
      <h2>Foams</h2>
      <div class="scroll">
        <table>
          <thead>
            <tr>
              <th>Foam</th>
              <th>Base material</th>
              <th>Cells</th>
              <th class="number">Density</th>
            </tr>
          </thead>
          <tbody>
            {library.foams.map((foam) => (
              <tr key={foam.name}>
                <td>
                  {foam.title} <span class="faint small">{foam.name}</span>
                </td>
                <td>{foam.material}</td>
                <td>{foam.closed_cell ? "closed" : "open"}</td>
                <td class="number">{foam.density_kg_m3.toFixed(0)} kg/m³</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

function ShellPicture({ shell }: { shell: Schemas["ShellSummary"] | undefined }) {
  if (!shell?.rim || !shell.floor) return null;
  const [left, front, right, back] = box(shell.rim.contours);
  const half = Math.max(right - left, 0.62) / 2;
  const viewBox = `${-half * 1000 - 8} ${-back * 1000 - 8} ${half * 2000 + 16} ${(back - front) * 1000 + 16}`;
  return (
    <svg class="drawing" viewBox={viewBox} style={{ maxHeight: "8rem" }} aria-hidden="true">
      <path class="matter" d={path(shell.rim.contours)} />
      <path class="wall" d={path(shell.floor.contours)} />
    </svg>
  );
}

function NewJob({ library, onProblem }: { library: Library; onProblem: (problem: Problem) => void }) {
  const [title, setTitle] = useState("");
  const [customer, setCustomer] = useState("");
  const [shell, setShell] = useState(library.shells[0]?.name ?? "");
  const [file, setFile] = useState<File | null>(null);
  const make = async (event: Event) => {
    event.preventDefault();
    try {
      const saved = await must(api.POST("/api/jobs", { body: { title, customer, shell, author } }));
      // The sample item of the template makes way for the list; what is wrong with it stands beside the new job's contents.
      begun.value = file
        ? { name: saved.name, found: await sendList(saved.name, saved.revision, file, true) }
        : null;
      go({ at: "job", name: saved.name, stage: "contents" });
    } catch (thrown) {
      onProblem(asProblem(thrown));
    }
  };
  return (
    <form onSubmit={make}>
      <fieldset>
        <legend>New job</legend>
        <div class="fields">
          <label>
            <span>Title</span>
            <input required value={title} onInput={(event) => setTitle(event.currentTarget.value)} />
          </label>
          <label>
            <span>Customer</span>
            <input required value={customer} onInput={(event) => setCustomer(event.currentTarget.value)} />
          </label>
          <label>
            <span>Shell</span>
            <select value={shell} onChange={(event) => setShell(event.currentTarget.value)}>
              {library.shells.map((known) => (
                <option key={known.name} value={known.name}>
                  {known.title}
                </option>
              ))}
            </select>
          </label>
          <label class="wide">
            <span>
              Packing list to begin with, if there is one (XLSX, CSV): drop it on the field, or choose
            </span>
            <input
              type="file"
              accept=".xlsx,.csv,.tsv,.txt"
              onChange={(event) => setFile(event.currentTarget.files?.[0] ?? null)}
            />
          </label>
        </div>
        <p>
          <button type="submit" class="main">
            Start the job
          </button>
        </p>
      </fieldset>
    </form>
  );
}
