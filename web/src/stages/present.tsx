/** Present: the report as it prints, and everything to take away. */
import { type Job, result } from "../job";
import { Work } from "../parts/work";

/** The customer's papers: file and title. */
const papers: [string, string][] = [
  ["quotation.pdf", "Quotation"],
  ["packing-list.pdf", "Packing list"],
  ["contents-list.pdf", "Contents list"],
  ["labels.pdf", "Labels"],
  ["drawings.pdf", "Drawings"],
  ["check-print.pdf", "Check print, full size"],
  ["first-article.pdf", "First article"],
  ["deck.pdf", "Deck"],
  ["bill.xlsx", "Bill (workbook)"],
  ["bill.csv", "Bill (CSV)"],
  ["interior.step", "Solids (STEP)"],
  ["interior.3mf", "Meshes (3MF)"],
  ["interior.stl", "Triangles (STL)"],
];

export function PresentStage({ job }: { job: Job }) {
  const done = result.value?.result;
  if (!done) return <Work />;
  const file = (name: string) =>
    `/api/jobs/${encodeURIComponent(job.name)}/files/${name}?revision=${job.revision}`;
  const released = done.release?.released ?? false;
  return (
    <>
      <Work />
      <div class={released ? "notice good" : "notice bad"}>
        {released
          ? "Released: the set holds the cut files at net size."
          : "Not released: every page says so, and the set holds no cut files."}
      </div>
      <p class="row">
        <a class="button" href={file("set.zip")} download>
          Everything as one zip
        </a>
        <a class="button" href={file("report.pdf")} download="report.pdf">
          Report (PDF)
        </a>
        {papers.map(([name, title]) => (
          <a class="button" href={file(name)} download={name} key={name}>
            {title}
          </a>
        ))}
        <a class="button" href={file("result.json")} download="result.json">
          Result (JSON)
        </a>
      </p>
      <iframe class="paper" title="Report as it prints" src={file("report.pdf")} />
    </>
  );
}
