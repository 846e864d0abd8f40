/** Verify: every verdict, every finding, and what is conceded. */
import type { Schemas } from "../api/client";
import { result } from "../job";
import { Concede } from "../parts/concede";
import { Findings } from "../parts/findings";
import { mm } from "../words";
import { Work } from "./arrange";

export function Verdict({ word }: { word: string }) {
  return <span class={`verdict ${word.replace(" ", "-")}`}>{word}</span>;
}

export function VerifyStage() {
  const done = result.value?.result;
  const verification = done?.verification;
  if (!verification) return <Work />;
  const release = done.release;
  const conceded = (finding: Schemas["FindingResult"]) =>
    release?.conceded.some((signed) => signed.finding.id === finding.id) ?? false;
  return (
    <>
      <Work />
      {release && (
        <div class={release.released ? "notice good" : "notice bad"} role="status">
          <b>
            {release.released
              ? "Released: cut files can be written."
              : "Not released: what fails below has to be mended or conceded."}
          </b>
        </div>
      )}
      <p>
        Drops from {mm(verification.drop_height_m)} in six directions, by calculation. “Indicative” means the
        foam’s law is a model: confirm it by test.
      </p>
      <div class="scroll">
        <table>
          <caption>Equipment</caption>
          <thead>
            <tr>
              <th class="number">No</th>
              <th>Item</th>
              <th>Verdict</th>
              <th>Why</th>
            </tr>
          </thead>
          <tbody>
            {verification.items.map((item) => (
              <tr key={item.instance}>
                <td class="number">{item.number}</td>
                <td>{item.name}</td>
                <td>
                  <Verdict word={item.verdict} />
                </td>
                <td>{item.sentence}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <div class="scroll">
        <table>
          <caption>Case and journey</caption>
          <thead>
            <tr>
              <th>What</th>
              <th>Verdict</th>
              <th>Why</th>
            </tr>
          </thead>
          <tbody>
            {verification.case.map((check) => (
              <tr key={check.name}>
                <td>{check.name}</td>
                <td>
                  <Verdict word={check.verdict} />
                </td>
                <td>{check.sentence}</td>
              </tr>
            ))}
            {verification.legs.map((leg) => (
              <tr key={`${leg.place}/${leg.rule}`}>
                <td>
                  {leg.place}: {leg.rule}
                </td>
                <td>
                  <Verdict word={leg.verdict} />
                </td>
                <td>{leg.sentence}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <h2>Findings</h2>
      <Findings
        findings={verification.findings}
        none="Nothing was found."
        answer={(finding) =>
          conceded(finding) ? <div class="small">Conceded.</div> : <Concede finding={finding} />
        }
      />
    </>
  );
}
