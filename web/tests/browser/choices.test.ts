/** Alternatives, wishes and packing lists on the page. */
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { arranged, browse, folder, type Page, type Served, serve } from "./served";

const PATIENT = { timeout: 120_000 };

let served: Served;
let page: Page;

beforeAll(async () => {
  served = await serve(folder("choices"));
  await arranged(served);
  page = await browse(served);
}, 600_000);

afterAll(async () => {
  await page.close();
  await served.kill();
});

async function job(name = "tindra-ridge"): Promise<Schemas["JobView"]> {
  return (await (await fetch(`${served.url}/api/jobs/${name}`)).json()) as Schemas["JobView"];
}

async function spare(): Promise<number> {
  const now = (await (
    await fetch(`${served.url}/api/jobs/tindra-ridge/result`)
  ).json()) as Schemas["ResultView"];
  return now.result?.interior?.spare_m ?? Number.NaN;
}

const LIST = [
  "Name,Qty,Length (mm),Width (mm),Height (mm),Weight (kg),Notes",
  "Pressure gauge,2,120,80,60,0.8,",
  "Hose coil,1,200,,60,1.2,width was not written down",
  "Valve key,1,180,40,20,0.3,",
  "Manifold,1,150,90,70,heavy,",
].join("\n");

describe("choices", () => {
  it("finds another arrangement, shows both side by side, and takes one up and back", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const before = await spare();
    const seed = (await job()).document.choices as { seed?: number };
    await tab.getByRole("button", { name: "Find another, from another seed" }).click();
    await tab.getByRole("button", { name: "Take alternative 1" }).waitFor({ timeout: 400_000 });
    const table = tab.getByRole("table", { name: /^What each is judged by/ });
    await table.getByRole("cell", { name: "spare beyond every cushion" }).waitFor();
    expect(await table.getByRole("img").count()).toBeGreaterThanOrEqual(2);
    await tab.getByRole("button", { name: "Take alternative 1" }).click();
    await expect.poll(spare, PATIENT).not.toBe(before);
    const taken = (await job()).document.choices as { seed?: number };
    expect(taken.seed).toBe((seed.seed ?? 0) + 1);
    await tab.getByRole("button", { name: "Undo" }).click();
    await expect.poll(spare, PATIENT).toBe(before);
    await tab.close();
  });

  it("prices another cutter, other foam and other layers as everything lies, each beside the first", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/make");
    const table = tab.getByRole("table", { name: /^What was tried/ });
    const rows = table.locator("tbody tr");
    await expect.poll(() => rows.count(), PATIENT).toBe(1);
    await tab.getByLabel("Process").selectOption("router-4mm");
    await expect.poll(() => rows.count(), PATIENT).toBe(2);
    await rows.nth(1).getByRole("cell", { name: "router, 4 mm cutter" }).waitFor();
    expect((await job()).document.process).toBe("router-4mm");
    await rows
      .nth(1)
      .getByText(/^[+−]\d+\.\d\d/)
      .waitFor();
    await tab.getByLabel("Process").selectOption("router-8mm");
    // Back at the first choice: it is the shop's own, and named in no line of the job.
    await expect.poll(async () => (await job()).document.process, PATIENT).toBeUndefined();
    await tab.getByLabel("Foam of the lid pad").selectOption("scar-33");
    await rows.getByText(/lid: cross-linked/).waitFor(PATIENT);
    await tab.getByLabel("Foam of the lid pad").selectOption("mere-24");
    await tab.getByLabel("50", { exact: true }).uncheck();
    await expect
      .poll(async () => JSON.stringify((await job()).document.clearances ?? {}), PATIENT)
      .toMatch(/"40 mm"\]/);
    await tab.getByLabel("50", { exact: true }).check();
    await expect
      .poll(async () => JSON.stringify((await job()).document.clearances ?? {}), PATIENT)
      .toBe("{}");
    await tab.close();
  });

  it("keeps wishes as they are made and says what became of them", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    await tab.getByLabel("How the packed case is carried").selectOption("by-two");
    await tab.getByRole("cell", { name: "carried by two" }).waitFor();
    const apart = tab.getByRole("group", { name: "Apart" });
    await apart.getByText("Wish for another").click();
    await apart.getByLabel("Apart: Battery pack").check();
    await apart.getByLabel("Apart: Hand-held calibrator").check();
    await apart.getByRole("button", { name: "Wish for apart" }).click();
    await apart.getByText(/Battery pack, Hand-held calibrator: at least 150 mm/).waitFor();
    const room = tab.getByRole("group", { name: "Room for later" });
    await room.getByText("Keep more room").click();
    await room.getByLabel("For", { exact: true }).fill("spare battery");
    await room.getByRole("button", { name: "Keep this room" }).click();
    // The room lies nowhere yet: the page says so and offers to arrange again.
    await tab.getByText(/the space for spare battery lies nowhere yet/).waitFor();
    const wishes = (await job()).document.wishes as Record<string, unknown>;
    expect(wishes.carried).toBe("by-two");
    expect(wishes.apart).toEqual([{ items: ["battery-pack", "calibrator"], by: "150 mm" }]);
    expect(wishes.spaces).toEqual([
      { name: "spare battery", length: "120 mm", width: "80 mm", height: "60 mm" },
    ]);
    await room.getByRole("button", { name: /^Take back/ }).click();
    await tab.getByText("pieces placed").waitFor();
    await tab.close();
  });

  it("begins a job with a packing list and reports every row that could not be used", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/");
    await tab.getByLabel("Title").fill("Gauges for the valve house");
    await tab.getByLabel("Customer").fill("An invented works");
    await tab
      .getByLabel(/^Packing list to begin with/)
      .setInputFiles({ name: "gauges.csv", mimeType: "text/csv", buffer: Buffer.from(LIST) });
    await tab.getByRole("button", { name: "Start the job" }).click();
    await tab.getByText("gauges.csv: 2 rows used, 2 not.").waitFor();
    const table = tab.getByRole("table", { name: "Rows that could not be used" });
    expect(await table.getByRole("row").count()).toBe(3);
    await table.getByRole("cell", { name: "3", exact: true }).waitFor();
    await table.getByRole("cell", { name: "5", exact: true }).waitFor();
    const items = (await job("gauges-for-the-valve-house")).document.items as {
      name: string;
      quantity: number;
    }[];
    expect(items.map((item) => [item.name, item.quantity])).toEqual([
      ["Pressure gauge", 2],
      ["Valve key", 1],
    ]);
    // Dropped again on Contents the list adds to what is there.
    await tab
      .getByLabel(/^A packing list: drop it here/)
      .setInputFiles({ name: "more.csv", mimeType: "text/csv", buffer: Buffer.from(LIST) });
    await tab.getByText("more.csv: 2 rows used, 2 not.").waitFor();
    await expect
      .poll(
        async () => ((await job("gauges-for-the-valve-house")).document.items as unknown[]).length,
        PATIENT,
      )
      .toBe(4);
    await tab.close();
  });

  it("answers what is no list in words", async () => {
    const base = (await job()).revision;
    for (const [name, bytes] of [
      ["empty.csv", ""],
      ["noise.xlsx", "PK\u0003\u0004nonsense"],
      ["prose.csv", "Dear all,\nplease pack the usual things.\n"],
    ] as const) {
      const query = new URLSearchParams({ base: String(base), file: name, author: "test" });
      const answer = await fetch(`${served.url}/api/jobs/tindra-ridge/list?${query}`, {
        method: "POST",
        headers: { "content-type": "application/octet-stream" },
        body: bytes,
      });
      expect(answer.status, name).toBe(422);
      expect(((await answer.json()) as { sentence?: string }).sentence, name).toBeTruthy();
    }
    expect((await job()).revision).toBe(base);
  });

  const inputs = process.env.CADDIS_INPUTS;
  const dirty = inputs ? join(inputs, "mesh-dirty") : "";
  it.skipIf(!existsSync(dirty))(
    "takes no dirty file of the real inputs for a list, and never fails",
    async () => {
      const files = readdirSync(dirty, { recursive: true, encoding: "utf8" }).filter(
        (name) => statSync(join(dirty, name)).isFile() && statSync(join(dirty, name)).size < 20e6,
      );
      const base = (await job()).revision;
      for (const name of files) {
        const query = new URLSearchParams({ base: String(base), file: name, author: "test" });
        const answer = await fetch(`${served.url}/api/jobs/tindra-ridge/list?${query}`, {
          method: "POST",
          headers: { "content-type": "application/octet-stream" },
          body: new Uint8Array(readFileSync(join(dirty, name))),
        });
        expect(answer.status, name).toBe(422);
      }
    },
  );

  it("spoke to nobody else and complained about nothing", () => {
    expect(page.outside).toEqual([]);
    const own = page.errors.filter((error) => !/Failed to load resource|net::ERR|ERR_/.test(error));
    expect(own).toEqual([]);
  });
});
