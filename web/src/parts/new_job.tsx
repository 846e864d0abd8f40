/** A new job: from a template or like another, with a packing list or a folder of shapes to begin with. */
import { useState } from "preact/hooks";
import { api, asProblem, author, must, type Problem, type Schemas } from "../api/client";
import { type Begun, begun } from "../job";
import { go } from "../place";
import { FolderField } from "./folder_field";
import { sendList } from "./list_drop";
import { Select } from "./select";
import { AskedFields, type ShapeAsked, sendShape, sendShapes } from "./shape_drop";

type Library = Schemas["LibraryView"];
type JobSummary = Schemas["JobSummary"];

interface NewJobProps {
  library: Library;
  jobs: readonly JobSummary[];
  onProblem: (problem: Problem) => void;
}

export function NewJob({ library, jobs, onProblem }: NewJobProps) {
  const [title, setTitle] = useState("");
  const [customer, setCustomer] = useState("");
  const [from, setFrom] = useState("");
  const [shell, setShell] = useState(library.shells[0]?.name ?? "");
  const [list, setList] = useState<File | null>(null);
  const [files, setFiles] = useState<File[]>([]);
  const [asked, setAsked] = useState<ShapeAsked>({});
  const [words, setWords] = useState("");
  const [kind, name] = from.split("/", 2);
  const template = library.templates.find((known) => kind === "template" && known.name === name);
  const like = jobs.find((known) => kind === "like" && known.name === name);

  const start = (chosen: string) => {
    setFrom(chosen);
    const [kind, name] = chosen.split("/", 2);
    const found = [...(kind === "template" ? library.templates : jobs)].find((known) => known.name === name);
    if (found && library.shells.some((known) => known.name === found.shell)) setShell(found.shell);
    if (kind === "like" && found && "customer" in found && customer === "") setCustomer(found.customer);
  };
  const make = async (event: Event) => {
    event.preventDefault();
    try {
      const saved = await must(
        api.POST("/api/jobs", {
          body: {
            title,
            customer,
            shell,
            author,
            ...(template ? { template: template.name } : {}),
            ...(like ? { like: like.name } : {}),
          },
        }),
      );
      // The sample item makes way for what comes; what is wrong with it stands beside the new job's contents.
      let replaces = !like;
      let revision = saved.revision;
      begun.value = null;
      const found: Begun = { name: saved.name };
      if (list) {
        found.list = await sendList(saved.name, revision, list, replaces);
        if (!("sentence" in found.list) && found.list.job) {
          revision = found.list.job.revision;
          replaces = false;
        }
      }
      if (files.length > 0) {
        found.shapes = await sendShapes(
          files,
          async (file, isFirst) => {
            const job = await sendShape(saved.name, revision, file, {
              ...asked,
              replace: replaces && isFirst,
            });
            if ("sentence" in job) return job;
            revision = job.revision;
            return null;
          },
          setWords,
        );
      }
      begun.value = found;
      go({ at: "job", name: saved.name, stage: "contents" });
    } catch (thrown) {
      onProblem(asProblem(thrown));
    }
  };
  return (
    <form onSubmit={make}>
      <fieldset>
        <legend>New job</legend>
        <div class="fields roomy">
          <label>
            <span>Title</span>
            <input required value={title} onInput={(event) => setTitle(event.currentTarget.value)} />
          </label>
          <label>
            <span>Customer</span>
            <input required value={customer} onInput={(event) => setCustomer(event.currentTarget.value)} />
          </label>
          <label>
            <span>Start from</span>
            <Select value={from} onChange={(event) => start(event.currentTarget.value)}>
              <option value="">the plain example</option>
              <optgroup label="A template">
                {library.templates.map((known) => (
                  <option key={known.name} value={`template/${known.name}`}>
                    {known.title}
                  </option>
                ))}
              </optgroup>
              {jobs.length > 0 && (
                <optgroup label="Like a job that is kept here">
                  {jobs.map((known) => (
                    <option key={known.name} value={`like/${known.name}`}>
                      {known.title || known.name}
                    </option>
                  ))}
                </optgroup>
              )}
            </Select>
          </label>
          <label>
            <span>Shell</span>
            <Select value={shell} onChange={(event) => setShell(event.currentTarget.value)}>
              {library.shells.map((known) => (
                <option key={known.name} value={known.name}>
                  {known.title}
                </option>
              ))}
            </Select>
          </label>
          <p class="wide small faint">
            {template && `Journey: ${template.journey}.`}
            {like &&
              "Equipment, journey, foams and wishes come along, and where everything lies if the shell stays; what was signed for does not."}
            {!template && !like && "One journey leg by road and one sample item, both to be replaced."}
          </p>
          <label class="wide">
            <span>
              Packing list to begin with, if there is one (XLSX, CSV): drop it on the field, or choose
            </span>
            <input
              type="file"
              accept=".xlsx,.csv,.tsv,.txt"
              onChange={(event) => setList(event.currentTarget.files?.[0] ?? null)}
            />
          </label>
          <FolderField
            wide
            label="Folder of shapes to begin with, if there is one (STEP, STL, 3MF, GLB, OBJ, PLY, DXF, SVG)"
            onFiles={setFiles}
          />
          {files.length > 0 && <AskedFields asked={asked} onAsked={setAsked} />}
        </div>
        <p class="row">
          <button type="submit" class="main">
            Start the job
          </button>
          <span role="status" class="faint">
            {words}
          </span>
        </p>
      </fieldset>
    </form>
  );
}
