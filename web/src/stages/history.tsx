/** History: every revision, and the way back to any of them. */
import { useEffect, useState } from "preact/hooks";
import { api, must, type Schemas } from "../api/client";
import { back, type Job } from "../job";
import { when } from "../words";

export function HistoryStage({ job }: { job: Job }) {
  const [history, setHistory] = useState<Schemas["RevisionView"][]>([]);
  useEffect(() => {
    must(api.GET("/api/jobs/{name}/history", { params: { path: { name: job.name } } }))
      .then((found) => setHistory([...found].reverse()))
      .catch(() => setHistory([]));
  }, [job.name, job.revision]);
  return (
    <div class="scroll">
      <table>
        <caption>Every revision is kept; taking one up again makes a new one.</caption>
        <thead>
          <tr>
            <th class="number">Revision</th>
            <th>When</th>
            <th>Who</th>
            <th>What</th>
            <th>
              <span class="faint">Back</span>
            </th>
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
  );
}
