/** Bad uploads: every one is an answer in words, none harms the job or the program. */
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { folder, type Served, serve } from "./served";

let served: Served;

beforeAll(async () => {
  served = await serve(folder("uploads"));
});

afterAll(async () => {
  await served.kill();
});

async function revision(): Promise<number> {
  const answer = await fetch(`${served.url}/api/jobs/tindra-ridge`);
  return ((await answer.json()) as { revision: number }).revision;
}

async function upload(
  name: string,
  bytes: Uint8Array<ArrayBuffer> | string,
): Promise<{ status: number; body: { sentence?: string } }> {
  const query = new URLSearchParams({
    base: String(await revision()),
    file: name,
    author: "test",
    unit: "mm",
  });
  const answer = await fetch(`${served.url}/api/jobs/tindra-ridge/shapes?${query}`, {
    method: "POST",
    headers: { "content-type": "application/octet-stream" },
    body: bytes,
  });
  return { status: answer.status, body: (await answer.json()) as { sentence?: string } };
}

describe("bad uploads", () => {
  it("refuses nothing, noise and a truncated mesh in words, and keeps the job as it was", async () => {
    const before = await revision();
    for (const [name, bytes] of [
      ["empty.stl", ""],
      ["noise.stl", "solid nonsense\n".repeat(50)],
      ["short.glb", "glTF\u0002\u0000\u0000\u0000\u00ff"],
      ["../../../../etc/passwd", "root"],
      ["page.html", "<script>alert(1)</script>"],
    ] as const) {
      const answer = await upload(name, bytes);
      expect(answer.status, name).toBe(422);
      expect(answer.body.sentence, name).toBeTruthy();
    }
    expect(await revision()).toBe(before);
  });

  it("refuses requests that come from another page or under another name", async () => {
    for (const headers of [
      { origin: "http://elsewhere.example" },
      { "sec-fetch-site": "cross-site" },
      { "content-type": "text/plain" },
    ]) {
      const answer = await fetch(`${served.url}/api/jobs`, { method: "POST", headers, body: "{}" });
      expect([403, 415], JSON.stringify(headers)).toContain(answer.status);
    }
  });

  const inputs = process.env.CADDIS_INPUTS;
  const dirty = inputs ? join(inputs, "mesh-dirty") : "";
  it.skipIf(!existsSync(dirty))(
    "answers every dirty mesh of the real inputs in words or takes it in, and never fails",
    async () => {
      const files = readdirSync(dirty, { recursive: true, encoding: "utf8" }).filter(
        (name) => statSync(join(dirty, name)).isFile() && statSync(join(dirty, name)).size < 20e6,
      );

      for (const name of files) {
        const answer = await upload(name, new Uint8Array(readFileSync(join(dirty, name))));
        expect([200, 422], `${name}: ${answer.body.sentence ?? ""}`).toContain(answer.status);
      }
      expect((await fetch(`${served.url}/api/jobs`)).status).toBe(200);
    },
  );
});
