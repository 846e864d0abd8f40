/** Measures the page on the demonstration: `scripts/bench live`. It asserts no time; the figures go to the file that CADDIS_LIVE names. */
import { writeFileSync } from "node:fs";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { spotOf } from "../../src/hand";
import { arranged, browse, folder, type Page, type Served, serve } from "../browser/served";

const MOVES = 400;
const PAINTS = 7;
const CLIENTS = 20;
const SECONDS = 8;

const lines: object[] = [];
let served: Served;
let page: Page;
let places: Schemas["PlaceResult"][];

beforeAll(async () => {
  served = await serve(folder("live"));
  places = (await arranged(served)).places;
  // What else the machine could be busy with: the verification that follows the search.
  for (;;) {
    const now = (await (
      await fetch(`${served.url}/api/jobs/tindra-ridge/result`)
    ).json()) as Schemas["ResultView"];
    if (now.state === "done") break;
    await new Promise((done) => setTimeout(done, 500));
  }
  page = await browse(served);
}, 600_000);

afterAll(async () => {
  await page.close();
  await served.kill();
  const out = process.env.CADDIS_LIVE;
  if (out) writeFileSync(out, lines.map((line) => `${JSON.stringify(line)}\n`).join(""));
});

function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(Math.ceil(sorted.length * share) - 1, sorted.length - 1)] ?? Number.NaN;
}

function told(name: string, values: readonly number[], unit = "ms"): void {
  const rounded = (value: number) => Math.round(value * 100) / 100;
  lines.push({
    case: name,
    count: values.length,
    median: rounded(quantile(values, 0.5)),
    p95: rounded(quantile(values, 0.95)),
    most: rounded(Math.max(...values)),
    unit,
  });
}

it("paints", async () => {
  for (const [name, address] of [
    ["first paint, start", "/"],
    ["first paint, arrange", "/job/tindra-ridge/arrange"],
  ] as const) {
    const paints: number[] = [];
    for (let time = 0; time < PAINTS; time += 1) {
      const tab = await page.context.newPage();
      await tab.goto(address);
      const paint = await tab.evaluate(
        () =>
          new Promise<number>((done) => {
            const look = () => {
              const [first] = performance.getEntriesByName("first-contentful-paint");
              if (first) done(first.startTime);
              else setTimeout(look, 10);
            };
            look();
          }),
      );
      paints.push(paint);
      await tab.close();
    }
    told(name, paints);
  }
});

it("drags", async () => {
  const tab = await page.context.newPage();
  await tab.goto("/job/tindra-ridge/arrange");
  await tab.getByText("pieces placed").waitFor();
  const piece = tab.getByRole("button", { name: /^\d+, / }).first();
  await piece.focus();
  await tab.getByText(/^Lies well/).waitFor();
  const measured = await tab.evaluate(async (moves) => {
    const on = document.activeElement;
    if (!on) throw new Error("nothing is in hand");
    const middle = on.getBoundingClientRect();
    const at = { x: middle.x + middle.width / 2, y: middle.y + middle.height / 2 };
    const send = (type: string, x: number, y: number) =>
      on.dispatchEvent(
        new PointerEvent(type, {
          bubbles: true,
          button: 0,
          buttons: 1,
          pointerId: 1,
          clientX: x,
          clientY: y,
        }),
      );
    // A pointer that is none cannot be captured.
    on.setPointerCapture = () => undefined;
    performance.setResourceTimingBufferSize(4 * moves);
    performance.clearResourceTimings();
    const frames: number[] = [];
    const moved: number[] = [];
    send("pointerdown", at.x, at.y);
    for (let step = 1; step <= moves; step += 1) {
      const angle = (step / moves) * 12 * Math.PI;
      const begun = performance.now();
      send("pointermove", at.x + 60 * Math.sin(angle), at.y + 40 * Math.sin(angle * 0.7));
      moved.push(performance.now() - begun);
      await new Promise<void>((done) =>
        requestAnimationFrame(() => {
          const start = performance.now();
          // The message comes after style, layout and paint of this frame.
          const channel = new MessageChannel();
          channel.port1.onmessage = () => {
            frames.push(performance.now() - start);
            done();
          };
          channel.port2.postMessage(null);
        }),
      );
    }
    await new Promise((done) => setTimeout(done, 300));
    const answers = performance
      .getEntriesByType("resource")
      .filter((entry) => entry.name.endsWith("/lie"))
      .map((entry) => entry.duration);
    return { frames, moved, answers };
  }, MOVES);
  expect(measured.answers.length).toBeGreaterThan(MOVES / 20);
  told(
    "drag, work of a frame with its paint",
    measured.frames.map((frame, index) => frame + (measured.moved[index] ?? 0)),
  );
  told("drag, question to answer over loopback", measured.answers);
  await tab.close();
});

it("answers many", async () => {
  const [place] = places;
  if (!place) throw new Error("nothing lies");
  const { revision } = (await (
    await fetch(`${served.url}/api/jobs/tindra-ridge`)
  ).json()) as Schemas["JobView"];
  const spot = spotOf(place);
  const lie = (step: number) => ({
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({
      revision,
      piece: place.instance,
      up: spot.up,
      turn_deg: spot.turn,
      tier: spot.tier,
      at_m: [spot.at[0] + (step % 40) / 1000, spot.at[1]],
    }),
  });
  for (const [name, ask] of [
    ["drag questions", (step: number) => fetch(`${served.url}/api/jobs/tindra-ridge/lie`, lie(step))],
    ["job as it stands", () => fetch(`${served.url}/api/jobs/tindra-ridge`)],
  ] as const) {
    const times: number[] = [];
    const end = performance.now() + SECONDS * 1000;
    await Promise.all(
      Array.from({ length: CLIENTS }, async (_, client) => {
        for (let step = client; performance.now() < end; step += 1) {
          const begun = performance.now();
          const answer = await ask(step);
          await answer.arrayBuffer();
          expect(answer.status).toBe(200);
          times.push(performance.now() - begun);
        }
      }),
    );
    told(`${CLIENTS} clients, ${name}`, times);
    lines.push({
      case: `${CLIENTS} clients, ${name}`,
      rate: Math.round(times.length / SECONDS),
      unit: "1/s",
    });
  }
});
