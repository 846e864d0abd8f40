/** WCAG 2.2 AA by axe-core on every stage, light and dark, wide and on a tablet. */
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { arranged, browse, folder, type Served, serve, verified } from "./served";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

interface Violation {
  id: string;
  nodes: { target: unknown; failureSummary?: string }[];
}

let served: Served;

beforeAll(async () => {
  served = await serve(folder("access"));
  await arranged(served);
  await verified(served);
}, 600_000);

afterAll(async () => {
  await served.kill();
});

describe.each([
  { words: "light at 1280", dark: false, width: 1280, height: 800 },
  { words: "dark on a tablet", dark: true, width: 820, height: 1180 },
])("$words", (look) => {
  it.each([
    "/",
    "/job/tindra-ridge/survey",
    "/job/tindra-ridge/contents",
    "/job/tindra-ridge/arrange",
    "/job/tindra-ridge/verify",
    "/job/tindra-ridge/make",
    "/job/tindra-ridge/present",
    "/job/tindra-ridge/history",
  ])("%s breaks no rule", async (address) => {
    const page = await browse(served, look);
    // Content security policy keeps scripts of others out, so the checker is put in by the browser's own debugger.
    const tab = await page.context.newPage();
    await tab.goto(address);
    await tab
      .getByRole("status")
      .or(tab.getByRole("heading", { level: 2 }))
      .first()
      .waitFor();
    if (address.endsWith("/arrange")) {
      // With a piece in hand, and wishes unfolded: the most that the stage shows.
      await tab
        .getByRole("button", { name: /^\d+, / })
        .first()
        .focus();
      await tab.getByRole("table", { name: "Foam on every side, in mm" }).waitFor();
      for (const summary of await tab.locator("summary").all()) await summary.click();
    }
    await tab.waitForTimeout(700);
    await tab.evaluate(AXE);
    const found = await tab.evaluate(async (tags) => {
      const axe = (
        globalThis as unknown as {
          axe: { run: (at: Document, how: object) => Promise<{ violations: unknown[] }> };
        }
      ).axe;
      return (await axe.run(document, { runOnly: { type: "tag", values: tags } })).violations;
    }, RULES);
    const told = (found as Violation[]).map(
      (violation) =>
        `${violation.id}: ${violation.nodes
          .map((node) => `${String(node.target)} ${node.failureSummary ?? ""}`)
          .slice(0, 3)
          .join("; ")}`,
    );
    expect(told).toEqual([]);
    // Nothing is cut off sideways.
    const spill = await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(spill).toBeLessThanOrEqual(0);
    await page.close();
  });
});
