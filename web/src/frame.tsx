/** The frame of every place: bar, stages, messages. */
import { useEffect } from "preact/hooks";
import { back, close, conflict, job, open, problem, saving, settle, status } from "./job";
import { ProblemNotice } from "./parts/findings";
import { address, here, type Place, STAGES, type Stage } from "./place";
import { ArrangeStage } from "./stages/arrange";
import { ContentsStage } from "./stages/contents";
import { HistoryStage } from "./stages/history";
import { MakeStage } from "./stages/make";
import { PresentStage } from "./stages/present";
import { StartPlace } from "./stages/start";
import { ShellPlace, SurveyStage } from "./stages/survey";
import { VerifyStage } from "./stages/verify";

const TITLES: Record<Stage, string> = {
  survey: "Survey",
  contents: "Contents",
  arrange: "Arrange",
  verify: "Verify",
  make: "Make",
  present: "Present",
  history: "History",
};

export function Frame() {
  const place = here.value;
  useEffect(() => {
    if (place.at === "job") void open(place.name);
    else close();
  }, [place.at, place.at === "job" ? place.name : ""]);
  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
      if (typing || !(event.ctrlKey || event.metaKey) || here.value.at !== "job") return;
      const key = event.key.toLowerCase();
      if (key === "z" || key === "y") {
        event.preventDefault();
        void back(key === "y" || event.shiftKey ? "redo" : "undo");
      }
    };
    addEventListener("keydown", keys);
    return () => removeEventListener("keydown", keys);
  }, []);
  const title =
    place.at === "job"
      ? `${job.value?.document ? String(job.value.document.title ?? "") : place.name}`
      : "Caddis";
  useEffect(() => {
    document.title = place.at === "job" ? `${TITLES[place.stage]} · ${title}` : "Caddis";
  }, [title, place]);
  return (
    <>
      <a class="skip" href="#main">
        Skip to the work
      </a>
      <header class="bar">
        <a class="name" href="/">
          Caddis
        </a>
        {place.at === "job" && job.value && (
          <>
            <h1>{title}</h1>
            <span class="faint small">{String(job.value.document.customer ?? "")}</span>
            <span class="row push">
              <span class="faint small" role="status">
                {saving.value ? "saving…" : status.value || `saved, revision ${job.value.revision}`}
              </span>
              <button type="button" disabled={!job.value.can_undo} onClick={() => back("undo")}>
                Undo
              </button>
              <button type="button" disabled={!job.value.can_redo} onClick={() => back("redo")}>
                Redo
              </button>
            </span>
          </>
        )}
      </header>
      {place.at === "job" && (
        <nav aria-label="Stages">
          <ul class="stages">
            {STAGES.map((stage) => (
              <li key={stage}>
                <a
                  href={address({ ...place, stage })}
                  {...(stage === place.stage ? { "aria-current": "page" as const } : {})}
                >
                  {TITLES[stage]}
                </a>
              </li>
            ))}
          </ul>
        </nav>
      )}
      <main id="main" tabIndex={-1}>
        {conflict.value && (
          <div class="notice bad" role="alert">
            <p>
              <b>Another tab saved first.</b> Your edit “{conflict.value.note}” is not saved yet, and not
              lost.
            </p>
            <div class="row">
              <button type="button" class="main" onClick={() => settle(true)}>
                Save mine over theirs
              </button>
              <button type="button" onClick={() => settle(false)}>
                Take theirs
              </button>
            </div>
          </div>
        )}
        {problem.value && <ProblemNotice problem={problem.value} />}
        <Body place={place} />
      </main>
    </>
  );
}

function Body({ place }: { place: Place }) {
  if (place.at === "start") return <StartPlace />;
  if (place.at === "shell") return <ShellPlace name={place.name} />;
  if (place.at === "nowhere") {
    return (
      <p>
        There is nothing at this address. <a href="/">Back to the start</a>
      </p>
    );
  }
  if (!job.value) return problem.value ? null : <p role="status">Opening…</p>;
  switch (place.stage) {
    case "survey":
      return <SurveyStage job={job.value} />;
    case "contents":
      return <ContentsStage job={job.value} />;
    case "arrange":
      return <ArrangeStage job={job.value} />;
    case "verify":
      return <VerifyStage job={job.value} />;
    case "make":
      return <MakeStage job={job.value} />;
    case "present":
      return <PresentStage job={job.value} />;
    case "history":
      return <HistoryStage job={job.value} />;
  }
}
