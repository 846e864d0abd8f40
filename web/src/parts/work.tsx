/** State of the work, with what starts and stops it: above every stage that needs a design. */
import { useEffect } from "preact/hooks";
import { held, same } from "../hand";
import { result, solve, stop } from "../job";
import { Findings, ProblemNotice } from "./findings";

/** How long nothing must have moved before what was arranged by hand is verified, ms. */
const QUIET = 5000;

export function Work({ again = false }: { again?: boolean }) {
  const now = result.value;
  if (!now) return <p role="status">Looking for what came out…</p>;
  if (now.state === "none") {
    return (
      <div class="notice">
        <p>
          This revision is not arranged yet.
          {now.problem && ` ${now.problem.sentence}.`}
        </p>
        <div class="row">
          <button type="button" class="main" onClick={() => solve("nothing")}>
            Arrange and verify
          </button>
          {now.problem && (
            <button type="button" onClick={() => solve("kept")}>
              Arrange again, keeping what lies well
            </button>
          )}
        </div>
      </div>
    );
  }
  if (now.state === "laid") return <Laid />;
  if (now.state === "running") {
    const share = now.fraction ?? 0;
    return (
      <div class="notice">
        <div class="row">
          <span role="status">
            {now.stage ?? "starting"} {Math.round(share * 100)} %
          </span>
          <progress max={1} value={share} aria-label="Progress" />
          <button type="button" onClick={stop}>
            {now.stage === "verify" ? "Stop verifying" : "Stop, keep the best so far"}
          </button>
        </div>
        {now.best && <p class="small">Best so far: {now.best}</p>}
      </div>
    );
  }
  if (now.state === "stopped") {
    return <ToVerify words="Stopped before it was verified. Where everything lies is kept." />;
  }
  if (now.state === "impossible") {
    return (
      <div class="notice bad" role="alert">
        <b>The equipment does not fit this shell as asked.</b>
        <Findings findings={now.reasons} none="" />
        <Again />
      </div>
    );
  }
  if (now.state === "failed" && now.problem) {
    return (
      <>
        <ProblemNotice problem={now.problem} />
        <button type="button" class="main" onClick={() => solve("nothing")}>
          Try again
        </button>
      </>
    );
  }
  if (!again && !now.stopped) return null;
  return (
    <div class={now.stopped ? "notice" : "notice good"}>
      {now.stopped ? "The search was stopped; this is the best it had." : "Arranged, verified and made."}
      <Again />
    </div>
  );
}

/** Moved by hand, or kept from before: verified once nothing has moved for a while. */
function Laid() {
  const now = result.value;
  const hand = held.value;
  const idle = hand === null || same(hand.from, hand.spot);
  useEffect(() => {
    if (!idle) return;
    const timer = setTimeout(() => void solve("laid"), QUIET);
    return () => clearTimeout(timer);
  }, [now?.revision, idle, hand?.piece]);
  return <ToVerify words="Arranged; verified as soon as nothing has moved for a while." />;
}

/** It lies, and is not verified. */
function ToVerify({ words }: { words: string }) {
  return (
    <div class="notice">
      <div class="row">
        <span role="status">{words}</span>
        <button type="button" class="main" onClick={() => solve("laid")}>
          Verify now
        </button>
      </div>
      <Again />
    </div>
  );
}

/** Other ways to go on from an arrangement. */
function Again() {
  return (
    <div class="row">
      <button type="button" onClick={() => solve("kept")}>
        Arrange again, keeping what lies well
      </button>
      <button type="button" onClick={() => solve("nothing")}>
        Arrange anew
      </button>
    </div>
  );
}
