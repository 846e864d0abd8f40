/** Findings and problems in words; colour never alone. */
import type { ComponentChildren } from "preact";
import type { Problem, Schemas } from "../api/client";

type Finding = Schemas["FindingResult"];

interface FindingsProps {
  findings: readonly Finding[];
  none: string;
  /** What can be done about a failing finding. */
  answer?: (finding: Finding) => ComponentChildren;
}

export function Findings({ findings, none, answer }: FindingsProps) {
  if (findings.length === 0) return <p class="faint">{none}</p>;
  const order = ["failing", "caution", "note"];
  const sorted = [...findings].sort((a, b) => order.indexOf(a.severity) - order.indexOf(b.severity));
  return (
    <ul class="findings">
      {sorted.map((finding) => (
        <li key={finding.id} class={finding.severity}>
          <Told finding={finding} />
          <div class="faint small">
            {finding.code}
            {finding.source.citation && ` · ${finding.source.citation}`} ({finding.source.certainty})
          </div>
          {finding.severity === "failing" && answer?.(finding)}
        </li>
      ))}
    </ul>
  );
}

/** What a finding says: how grave, where, and what would help. */
export function Told({ finding }: { finding: Finding }) {
  return (
    <>
      <b>
        {finding.severity}: {finding.place}
      </b>
      <div>{finding.sentence}</div>
      {finding.remedy && <div class="small">What would help: {finding.remedy}</div>}
    </>
  );
}

export function ProblemNotice({ problem }: { problem: Problem }) {
  return (
    <div class="notice bad" role="alert">
      <b>{problem.sentence}</b>
      {problem.field && (
        <div class="small">
          in {problem.file ? `${problem.file}, ` : ""}
          {problem.field}
        </div>
      )}
      {problem.hint && <div>What would do: {problem.hint}</div>}
    </div>
  );
}
