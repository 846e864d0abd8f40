/** Shape files dropped in, one or a whole folder, and what became of each of them. */
import { useState } from "preact/hooks";
import { author, type Problem, sendFile } from "../api/client";
import { nameOf, shapesOf } from "../folder";
import type { Job } from "../job";
import { DropArea } from "./drop_area";
import { ProblemNotice } from "./findings";
import { FolderField } from "./folder_field";
import { Select } from "./select";

/** What is said of shape files beyond what is in them. */
export interface ShapeAsked {
  /** Where a file has none. */
  unit?: string | undefined;
  /** Of drawings, with its unit. */
  depth?: string | undefined;
  /** The item that gets the shape; a new one without it. */
  item?: string | undefined;
  /** The new items stand for all there are. */
  replace?: boolean | undefined;
}

/** What became of them. */
export interface ShapesFound {
  taken: string[];
  refused: { name: string; problem: Problem }[];
  passedOver: string[];
}

/** Sends a shape file to a job: the job as it is with it, or why not. */
export function sendShape(name: string, base: number, file: File, asked: ShapeAsked): Promise<Job | Problem> {
  const query = new URLSearchParams({ base: String(base), file: file.name, author });
  if (asked.unit) query.set("unit", asked.unit);
  if (asked.depth) query.set("depth", asked.depth);
  if (asked.item) query.set("item", asked.item);
  if (asked.replace) query.set("replace", "true");
  return sendFile<Job>(`/api/jobs/${encodeURIComponent(name)}/shapes`, query, file);
}

/**
 * Sends every shape among files, one after the other. `send` says why a file was not taken, if it was not; one that is not taken
 * keeps none of the others back.
 */
export async function sendShapes(
  files: readonly File[],
  send: (file: File, isFirst: boolean) => Promise<Problem | null>,
  tell: (words: string) => void,
): Promise<ShapesFound> {
  const { shapes, passedOver } = shapesOf(files);
  const found: ShapesFound = { taken: [], refused: [], passedOver };
  for (const [index, file] of shapes.entries()) {
    tell(`reading ${index + 1} of ${shapes.length}: ${nameOf(file)}`);
    const problem = await send(file, found.taken.length === 0);
    if (problem) found.refused.push({ name: nameOf(file), problem });
    else found.taken.push(nameOf(file));
  }
  tell("");
  return found;
}

/** What became of a folder of shapes. */
export function ShapesReport({ found }: { found: ShapesFound }) {
  const [first] = found.refused;
  if (found.refused.length === 1 && found.taken.length === 0 && first) {
    return (
      <ProblemNotice problem={{ ...first.problem, sentence: `${first.name}: ${first.problem.sentence}` }} />
    );
  }
  return (
    <section
      class={found.refused.length > 0 || found.taken.length === 0 ? "notice bad" : "notice good"}
      aria-label="What became of the shapes"
    >
      <p role="status">
        <b>
          {found.taken.length} shapes taken, {found.refused.length} not.
        </b>{" "}
        {found.taken.length > 0 && "Masses and fragilities are not in them: weigh and ask."}
        {found.taken.length === 0 && found.refused.length === 0 && "There is no shape among these files."}
      </p>
      {found.passedOver.length > 0 && <p class="small">Files passed over: {found.passedOver.join(", ")}</p>}
      {found.refused.length > 0 && (
        <div class="scroll">
          <table>
            <caption>Files that could not be taken</caption>
            <thead>
              <tr>
                <th>File</th>
                <th>What is wrong</th>
                <th>What would do</th>
              </tr>
            </thead>
            <tbody>
              {found.refused.map(({ name, problem }) => (
                <tr key={name}>
                  <td>{name}</td>
                  <td>{problem.sentence}</td>
                  <td>{problem.hint ?? ""}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}

interface AskedFieldsProps {
  asked: ShapeAsked;
  onAsked: (asked: ShapeAsked) => void;
}

/** What files may leave unsaid. */
export function AskedFields({ asked, onAsked }: AskedFieldsProps) {
  return (
    <>
      <label>
        <span>Unit, where the file has none</span>
        <Select
          value={asked.unit ?? ""}
          onChange={(event) => onAsked({ ...asked, unit: event.currentTarget.value || undefined })}
        >
          <option value="">as the file says</option>
          <option value="mm">mm</option>
          <option value="cm">cm</option>
          <option value="m">m</option>
          <option value="in">in</option>
        </Select>
      </label>
      <label>
        <span>Height of drawings (DXF, SVG), e.g. 20 mm</span>
        <input
          value={asked.depth ?? ""}
          onChange={(event) => onAsked({ ...asked, depth: event.currentTarget.value || undefined })}
        />
      </label>
    </>
  );
}

interface ShapeDropProps {
  /** The item that gets the shape; new items without it. */
  item?: string;
  send: (file: File, asked: ShapeAsked) => Promise<Problem | null>;
}

/** Where shapes are dropped: files or a folder. */
export function ShapeDrop({ item, send }: ShapeDropProps) {
  const [found, setFound] = useState<ShapesFound | null>(null);
  const [asked, setAsked] = useState<ShapeAsked>({});
  const [words, setWords] = useState("");
  const take = async (files: readonly File[]) => {
    if (files.length === 0) return;
    setFound(null);
    const now = await sendShapes(
      item ? files.slice(0, 1) : files,
      (file) => send(file, { ...asked, item }),
      setWords,
    );
    setFound(item && now.refused.length === 0 && now.passedOver.length === 0 ? null : now);
  };
  return (
    <>
      <DropArea onFiles={(files) => void take(files)}>
        <label>
          <span>
            {item
              ? "Another shape for it: drop a file here, or choose"
              : "Shapes of new items: drop files or a folder here, or choose"}{" "}
            (STEP, STL, 3MF, GLB, OBJ, PLY, DXF, SVG)
          </span>
          <input
            type="file"
            multiple={!item}
            onChange={(event) => void take([...(event.currentTarget.files ?? [])])}
          />
        </label>
        {!item && <FolderField label="or a whole folder of them" onFiles={(files) => void take(files)} />}
        <AskedFields asked={asked} onAsked={setAsked} />
        <span role="status" class="faint">
          {words}
        </span>
      </DropArea>
      {found && <ShapesReport found={found} />}
    </>
  );
}
