/** History: every revision, what differs between two, and the way back to any of them. */
import { useEffect, useState } from "preact/hooks";
import { api, asProblem, must, type Problem, type Schemas } from "../api/client";
import { type Difference, differences } from "../differences";
import type { Document } from "../document";
import { back, type Job } from "../job";
import { ProblemNotice } from "../parts/findings";
import { Select } from "../parts/select";
import { when } from "../words";

export function HistoryStage({ job }: { job: Job }) {
  const [history, setHistory] = useState<Schemas["RevisionView"][]>([]);
  const [problem, setProblem] = useState<Problem | null>(null);
  useEffect(() => {
    must(api.GET("/api/jobs/{name}/history", { params: { path: { name: job.name } } }))
      .then((found) => setHistory([...found].reverse()))
      .catch((thrown: unknown) => setProblem(asProblem(thrown)));
  }, [job.name, job.revision]);
  return (
    <>
      {problem && <ProblemNotice problem={problem} />}
      {history.length > 1 && <Compare key={job.revision} job={job} count={history.length} />}
      <div class="scroll">
        <table>
          <caption>Every revision is kept; taking one up again makes a new one.</caption>
          <thead>
            <tr>
              <th class="number">Revision</th>
              <th>When</th>
              <th>Who</th>
              <th>What</th>
              <th>Back</th>
            </tr>
          </thead>
          <tbody>
            {history.map((revision) => (
              <tr key={revision.number}>
                <td class="number">{revision.number}</td>
                <td>{when(revision.at)}</td>
                <td>{revision.author}</td>
                <td>{revision.note}</td>
                <td>
                  {revision.number === job.revision ? (
                    "now"
                  ) : (
                    <button type="button" onClick={() => back({ revision: revision.number })}>
                      Take up revision {revision.number}
                    </button>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

function Compare({ job, count }: { job: Job; count: number }) {
  const [older, setOlder] = useState(count - 1);
  const [newer, setNewer] = useState(count);
  const [found, setFound] = useState<Difference[] | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  useEffect(() => {
    let gone = false;
    const document = async (revision: number) => {
      const path = { params: { path: { name: job.name }, query: { revision } } };
      return (await must(api.GET("/api/jobs/{name}", path))).document as Document;
    };
    Promise.all([document(older), document(newer)])
      .then(([before, after]) => {
        if (!gone) setFound(differences(before, after));
      })
      .catch((thrown: unknown) => setProblem(asProblem(thrown)));
    return () => {
      gone = true;
    };
  }, [job.name, older, newer]);
  const choose = (label: string, value: number, put: (value: number) => void) => (
    <label>
      <span>{label}</span>
      <Select value={String(value)} onChange={(event) => put(Number(event.currentTarget.value))}>
        {Array.from({ length: count }, (_, index) => (
          <option key={String(index)} value={String(index + 1)}>
            revision {index + 1}
          </option>
        ))}
      </Select>
    </label>
  );
  return (
    <fieldset>
      <legend>Compare</legend>
      <div class="row">
        {choose("Before", older, setOlder)}
        {choose("After", newer, setNewer)}
      </div>
      {problem && <ProblemNotice problem={problem} />}
      {found && found.length === 0 && <p class="faint">Nothing differs in what is written.</p>}
      {found && found.length > 0 && (
        <div class="scroll">
          <table>
            <caption>What differs</caption>
            <thead>
              <tr>
                <th>Where</th>
                <th>Before</th>
                <th>After</th>
              </tr>
            </thead>
            <tbody>
              {found.map((difference) => (
                <tr key={difference.path}>
                  <td>{difference.path}</td>
                  <td>{difference.before}</td>
                  <td>{difference.after}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </fieldset>
  );
}
