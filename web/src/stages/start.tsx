/** Start: jobs, a new one, shells and foams. */
import { useEffect, useState } from "preact/hooks";
import { api, asProblem, must, type Problem, type Schemas } from "../api/client";
import { box, path } from "../outline";
import { ProblemNotice } from "../parts/findings";
import { NewJob } from "../parts/new_job";
import { address } from "../place";
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
      <NewJob library={library} jobs={jobs} onProblem={setProblem} />
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
                  <span class="swatch" style={{ background: `rgb(${foam.colour.join(" ")})` }} aria-hidden="true" />{" "}
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
