/** A piece in the lid: allowed on the page, laid there, shown there. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { arranged, browse, folder, type Page, type Served, serve } from "./served";

const PATIENT = { timeout: 240_000 };

let served: Served;
let page: Page;

beforeAll(async () => {
  served = await serve(folder("lid"));
  await arranged(served);
  page = await browse(served);
}, 600_000);

afterAll(async () => {
  await page.close();
  await served.kill();
});

async function job(): Promise<Schemas["JobView"]> {
  return (await (await fetch(`${served.url}/api/jobs/tindra-ridge`)).json()) as Schemas["JobView"];
}

async function lies(): Promise<Schemas["InteriorSection"] | undefined> {
  const now = (await (await fetch(`${served.url}/api/jobs/tindra-ridge/result`)).json()) as Schemas["ResultView"];
  return now.result?.interior ?? undefined;
}

async function post(path: string, body: object): Promise<Response> {
  return await fetch(`${served.url}/api/jobs/tindra-ridge/${path}`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}

/** How the tablet would lie there, said by number of tier. */
async function lie(tier: number): Promise<Response> {
  const revision = (await job()).revision;
  return await post("lie", { revision, piece: "field-tablet/1", up: "+z", turn_deg: 0, tier, at_m: [0, 0] });
}

describe("a piece in the lid", () => {
  it("is not laid there before the job allows it", async () => {
    const tiers = (await lies())?.blocks.filter((block) => !block.kind.includes("lid")).length ?? 0;
    expect((await lie(tiers)).status).toBe(422);
  });

  it("is allowed by a tick, laid there by hand while the others make way, and seen on the lid's plan", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const may = tab.getByRole("group", { name: "May lie in a pocket of the lid" });
    await may.getByLabel("Field tablet in its cover").check();
    const allowed = async () => {
      const items = (await job()).document.items as Record<string, unknown>[];
      return items.find((item) => item.id === "field-tablet")?.may_lie_in_lid;
    };
    await expect.poll(allowed, PATIENT).toBe(true);
    await expect.poll(async () => (await lies())?.places.length, PATIENT).toBeGreaterThan(0);
    const tiers = (await lies())?.blocks.filter((block) => !block.kind.includes("lid")).length ?? 0;
    const there = await lie(tiers);
    expect(there.status).toBe(200);
    const sides = ((await there.json()) as Schemas["LieView"]).sides;
    expect(sides.find((side) => side.side === "below")?.towards).toMatch(/cover/);
    const answer = await post("changes", {
      base: (await job()).revision,
      author: "test",
      make_way: true,
      changes: [
        { what: "tier", piece: "field-tablet/1", tier: tiers },
        { what: "move", piece: "field-tablet/1", at_m: [0.02, -0.02] },
      ],
    });
    const made = (await answer.json()) as Schemas["HandAnswer"];
    expect(made.job, JSON.stringify(made)).toBeTruthy();
    const inLid = async () => (await lies())?.places.find((place) => place.item === "field-tablet")?.in_lid;
    await expect.poll(inLid, PATIENT).toBe(true);
    const pinned = ((await job()).document.wishes as Record<string, unknown>).pinned as Record<string, unknown>[];
    expect(pinned.find((pin) => pin.piece === "field-tablet/1")?.tier).toBe("lid");
    await tab.reload();
    await tab.getByRole("button", { name: "Lid", exact: true }).click();
    const plan = tab.getByRole("group", { name: "Plan of the lid" });
    const piece = plan.getByRole("button", { name: /Field tablet in its cover/ });
    await piece.click();
    expect(await tab.getByLabel("Lies in").inputValue()).toBe(String(tiers));
    if (process.env.CADDIS_SHOTS) await tab.screenshot({ path: `${process.env.CADDIS_SHOTS}/lid.png`, fullPage: true });
    // Drawings of a revision that is not made yet are asked for and not there.
    expect(page.errors.filter((error) => !/Failed to load resource/.test(error))).toEqual([]);
    await tab.close();
  });
});
