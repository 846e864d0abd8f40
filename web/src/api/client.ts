/** The interface, typed by its own description. */
import createClient from "openapi-fetch";
import type { components, paths } from "./schema";

export type Schemas = components["schemas"];
export type Problem = Schemas["Problem"];

// The content type on every request, also on those without a body: the program refuses a change that another page's form
// could have sent.
export const api = createClient<paths>({ baseUrl: "", headers: { "content-type": "application/json" } });

/** Which tab this is, for the history and for telling one's own edits from others'. */
export const author = `tab ${crypto.randomUUID().slice(0, 8)}`;

/** The answer, or the problem thrown. */
export async function must<T>(call: Promise<{ data?: T; error?: unknown; response: Response }>): Promise<T> {
  let answer: { data?: T; error?: unknown; response: Response };
  try {
    answer = await call;
  } catch {
    throw problem(
      "offline",
      "the program does not answer",
      "is `caddis serve` still running? What was saved is kept",
    );
  }
  if (answer.data !== undefined) return answer.data;
  throw isProblem(answer.error)
    ? answer.error
    : problem("refused", String(answer.error ?? answer.response.statusText), undefined);
}

function problem(code: string, sentence: string, hint: string | undefined): Problem {
  return hint === undefined ? { code, sentence } : { code, sentence, hint };
}

/** Whether something thrown is a problem of the interface. */
export function isProblem(thrown: unknown): thrown is Problem {
  return typeof thrown === "object" && thrown !== null && "sentence" in thrown && "code" in thrown;
}

/** Anything thrown, as a problem. */
export function asProblem(thrown: unknown): Problem {
  return isProblem(thrown) ? thrown : problem("internal", String(thrown), undefined);
}

/** Sends a file's bytes; what comes back, or the problem. */
export async function sendFile<T extends object>(
  path: string,
  query: URLSearchParams,
  file: File,
): Promise<T | Problem> {
  try {
    const answer = await fetch(`${path}?${query}`, {
      method: "POST",
      headers: { "content-type": "application/octet-stream" },
      body: file,
    });
    const body: unknown = await answer.json();
    return answer.ok ? (body as T) : asProblem(body);
  } catch (thrown) {
    return asProblem(thrown);
  }
}
