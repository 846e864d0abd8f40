/** A packing list dropped in, and what became of every row of it. */
import { useState } from "preact/hooks";
import { author, type Problem, type Schemas, sendFile } from "../api/client";
import { DropArea } from "./drop_area";
import { ProblemNotice } from "./findings";

export type ListView = Schemas["ListView"];

/** Sends a list to a job; `replace` lets it stand for all items there are. */
export function sendList(
  name: string,
  base: number,
  file: File,
  replace: boolean,
): Promise<ListView | Problem> {
  const query = new URLSearchParams({ base: String(base), file: file.name, author });
  if (replace) query.set("replace", "true");
  return sendFile<ListView>(`/api/jobs/${encodeURIComponent(name)}/list`, query, file);
}

/** What became of a list. */
function ListReport({ list }: { list: ListView }) {
  const passed = list.columns.filter((column) => !column.taken_for && column.header !== "");
  return (
    <section
      class={list.unusable.length > 0 ? "notice bad" : "notice good"}
      aria-label={`What became of ${list.file}`}
    >
      <p role="status">
        <b>
          {list.file}: {list.used.length} rows used, {list.unusable.length} not.
        </b>{" "}
        {list.used.length === 0 && "No row can be used: nothing was added."}
      </p>
      {passed.length > 0 && (
        <p class="small">Columns passed over: {passed.map((column) => column.header).join(", ")}</p>
      )}
      {list.sheets_passed_over.map((sheet) => (
        <p key={sheet} class="small">
          Sheet {sheet} names columns too and was passed over; a list of its own needs a file of its own.
        </p>
      ))}
      {list.unusable.length > 0 && (
        <div class="scroll">
          <table>
            <caption>Rows that could not be used</caption>
            <thead>
              <tr>
                <th class="number">Row</th>
                <th>Column</th>
                <th>What is wrong</th>
                <th>What would do</th>
              </tr>
            </thead>
            <tbody>
              {list.unusable.map((row) => (
                <tr key={`${row.row}/${row.column}/${row.problem}`}>
                  <td class="number">{row.row}</td>
                  <td>{row.column}</td>
                  <td>{row.problem}</td>
                  <td>{row.remedy}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}

/** What became of a list, or why it is none. */
export function ListFound({ found }: { found: ListView | Problem }) {
  return "sentence" in found ? <ProblemNotice problem={found} /> : <ListReport list={found} />;
}

interface ListDropProps {
  words: string;
  /** Takes the file; what comes back is shown. */
  onFile: (file: File) => Promise<ListView | Problem | null>;
}

/** Where a list is dropped. */
export function ListDrop({ words, onFile }: ListDropProps) {
  const [found, setFound] = useState<ListView | Problem | null>(null);
  const [busy, setBusy] = useState(false);
  const take = async (file: File | undefined) => {
    if (!file) return;
    setBusy(true);
    setFound(await onFile(file));
    setBusy(false);
  };
  return (
    <>
      <DropArea onFiles={(files) => void take(files[0])}>
        <label>
          <span>{words} (XLSX, CSV)</span>
          <input
            type="file"
            accept=".xlsx,.csv,.tsv,.txt"
            onChange={(event) => void take(event.currentTarget.files?.[0])}
          />
        </label>
        <span role="status" class="faint">
          {busy ? "reading…" : ""}
        </span>
      </DropArea>
      {found && <ListFound found={found} />}
    </>
  );
}
