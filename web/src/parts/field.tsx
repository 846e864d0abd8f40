/** One quantity of a document, as the tape says it, in any unit. */

import type { Problem } from "../api/client";
import { type Document, get, measureText, set, withText } from "../document";

export interface FieldProps {
  document: Document;
  path: string;
  label: string;
  problem: Problem | null;
  onEdit: (document: Document) => void;
  /** What an empty field means; without it an empty field is an error. */
  optional?: boolean;
}

/** Whether a problem is about this field. */
export function concerns(problem: Problem | null, path: string): boolean {
  const field = problem?.field;
  return (
    field !== undefined &&
    field !== null &&
    (field === path || field.startsWith(`${path}.`) || field.startsWith(`${path}[`))
  );
}

export type Refusal = ReturnType<typeof refused>;

/** Whether a field is wrong, and where that is said: in an element of this id. */
export function refused(problem: Problem | null | undefined, path: string, id = `${path}-problem`) {
  const wrong = concerns(problem ?? null, path);
  return { "aria-invalid": wrong, ...(wrong ? { "aria-describedby": id } : {}) };
}

export function Field({ document, path, label, problem, onEdit, optional }: FieldProps) {
  const value = get(document, path);
  const wrong = concerns(problem, path);
  const id = `field-${path}`;
  return (
    <label for={id}>
      <span>{label}</span>
      <input
        id={id}
        value={measureText(value)}
        autocomplete="off"
        spellcheck={false}
        {...refused(problem, path, `${id}-problem`)}
        onInput={(event) => {
          const text = event.currentTarget.value;
          onEdit(set(document, path, text === "" && optional ? undefined : withText(value, text)));
        }}
      />
      {wrong && (
        <div class="problem" id={`${id}-problem`}>
          {problem?.sentence}
          {problem?.hint && `; ${problem.hint}`}
        </div>
      )}
    </label>
  );
}
