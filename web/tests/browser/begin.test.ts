/** How a job begins: from a template, like another, with a folder of shapes; and an item turned over in 3D. */
import { copyFileSync, existsSync, mkdirSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { browse, folder, type Page, type Served, serve } from "./served";

const SHAPES = resolve(import.meta.dirname, "../../../jobs/tindra-ridge/shapes");
const PATIENT = { timeout: 60_000 };

interface Item {
  id: string;
  name: string;
  ways_up: string[];
  shape: Record<string, { file?: string; unit?: string; depth?: string }>;
}
interface Written {
  title: string;
  shell: string;
  journey: { title: string };
  items: Item[];
  concessions?: unknown[];
}

let served: Served;
let page: Page;

beforeAll(async () => {
  served = await serve(folder("begin"));
  page = await browse(served);
});

afterAll(async () => {
  await page.close();
  await served.kill();
});

async function job(name: string): Promise<Schemas["JobView"] & { written: Written }> {
  const view = (await (await fetch(`${served.url}/api/jobs/${name}`)).json()) as Schemas["JobView"];
  return { ...view, written: view.document as unknown as Written };
}

async function begin(body: object): Promise<{ status: number; body: { name?: string; sentence?: string } }> {
  const answer = await fetch(`${served.url}/api/jobs`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ customer: "Field team", shell: "ridgeback-640", author: "test", ...body }),
  });
  return { status: answer.status, body: (await answer.json()) as { name?: string; sentence?: string } };
}

/** A folder as a customer sends it: shapes in two folders, one of them twice by the same name, a drawing, and what is no shape. */
function delivery(): string {
  const root = join(folder("delivery"), "kit");
  for (const inner of ["mechanics", "electronics"]) mkdirSync(join(root, inner), { recursive: true });
  copyFileSync(join(SHAPES, "connector-set.stl"), join(root, "mechanics", "part.stl"));
  copyFileSync(join(SHAPES, "carrying-handle.stl"), join(root, "electronics", "part.stl"));
  const plate = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50">';
  writeFileSync(join(root, "electronics", "plate.svg"), `${plate}<rect x="1" y="1" width="78" height="48"/></svg>`);
  writeFileSync(join(root, "broken.stl"), "solid nothing of the kind");
  writeFileSync(join(root, "read me.txt"), "the parts of the kit");
  return root;
}

describe("a job begins", () => {
  it("from a template, with a folder of shapes, every file of it told", async () => {
    expect(existsSync(join(SHAPES, "connector-set.stl"))).toBe(true);
    const tab = await page.context.newPage();
    await tab.goto("/");
    const form = tab.getByRole("group", { name: "New job" });
    await form.getByLabel("Title").fill("Kit of the second team");
    await form.getByLabel("Customer").fill("Second team");
    await form.getByLabel("Start from").selectOption({ label: "Field kit, rolled" });
    expect(await form.getByLabel("Shell").inputValue()).toBe("ridgeback-640");
    await form.getByText("Journey: by road, off it, and kept in the field.").waitFor();
    await form.getByLabel(/^Folder of shapes/).setInputFiles(delivery());
    await form.getByLabel("Unit, where the file has none").selectOption("mm");
    await form.getByLabel(/^Height of drawings/).fill("6 mm");
    await form.getByRole("button", { name: "Start the job" }).click();
    const report = tab.getByRole("region", { name: "What became of the shapes" });
    await report.getByText("3 shapes taken, 1 not.").waitFor();
    await report.getByText(/Files passed over: .*read me\.txt/).waitFor();
    const refused = report.getByRole("row", { name: /broken\.stl/ });
    expect(((await refused.textContent()) ?? "").length).toBeGreaterThan(30);
    const { written, shapes } = await job("kit-of-the-second-team");
    expect(written.items.map((item) => item.id)).toEqual(["part", "plate", "part-2"]);
    expect(written.items[1]?.shape).toEqual({ outline: expect.objectContaining({ depth: "6 mm" }) });
    // Two files of one name are two shapes.
    expect(new Set(written.items.map((item) => JSON.stringify(item.shape))).size).toBe(3);
    expect([...shapes].sort()).toEqual(["shapes/part-2.stl", "shapes/part.stl", "shapes/plate.svg"]);
    expect(written.journey.title).toBe("by road, off it, and kept in the field");
    await tab.close();
  });

  it("like another job: what it asks comes along, what was signed for does not", async () => {
    const first = await job("tindra-ridge");
    expect(first.written.concessions?.length ?? 0).toBeGreaterThan(0);
    const begun = await begin({ title: "The same for the third team", like: "tindra-ridge" });
    expect(begun.status).toBe(200);
    const second = await job(begun.body.name ?? "");
    expect(second.written.items).toEqual(first.written.items);
    expect(second.written.title).toBe("The same for the third team");
    expect(second.written.concessions ?? []).toEqual([]);
    expect(second.problem ?? null).toBeNull();
    expect([...second.shapes].sort()).toEqual([...first.shapes].sort());
  });

  it("is told what cannot be started from", async () => {
    const wrong = await begin({ title: "Nothing", template: "field-kit" });
    expect(wrong.status).toBe(422);
    expect(wrong.body.sentence).toContain("field-kit");
    const nobody = await begin({ title: "Nothing", like: "nobody" });
    expect(nobody.status).toBe(404);
    const both = await begin({ title: "Nothing", like: "tindra-ridge", template: "field-kit-rolled" });
    expect(both.status).toBe(422);
  });

  it("turns an item over in 3D, by keys and by mouse, and allows or forbids the way up that shows", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/contents");
    await tab.getByRole("button", { name: "Six-channel digitiser" }).click();
    const ways = async () =>
      (await job("tindra-ridge")).written.items.find((item) => item.name === "Six-channel digitiser")?.ways_up ?? [];
    const before = await ways();
    expect(before).not.toContain("+y");
    const hand = tab.getByRole("group", { name: /^Six-channel digitiser in 3D/ });
    await hand.focus();
    await tab.keyboard.press("ArrowDown");
    await tab.getByText("+y up, on its front: forbidden").waitFor();
    await tab.getByRole("button", { name: "Allow this way up" }).click();
    await tab.getByText("+y up, on its front: allowed").waitFor();
    await expect.poll(ways, PATIENT).toContain("+y");
    // The mouse turns it back over, the same way as the key did.
    const box = await hand.boundingBox();
    if (!box) throw new Error("the item is drawn");
    await tab.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await tab.mouse.down();
    await tab.mouse.move(box.x + box.width / 2, box.y + box.height / 2 - 125, { steps: 8 });
    await tab.mouse.up();
    await tab.getByText("+z up, as drawn: allowed").waitFor();
    await tab.getByRole("button", { name: "show +y up" }).click();
    await tab.getByRole("button", { name: "Forbid this way up" }).click();
    await expect.poll(ways, PATIENT).toEqual(before);
    await tab.close();
  });

  it("takes a fragility from what is known: a value with its source, or a class that somebody signs for", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/contents");
    await tab.getByRole("button", { name: "Six-channel digitiser" }).click();
    const item = async () => {
      const view = await job("tindra-ridge");
      const items = view.written.items as (Item & { fragility: unknown; fragility_signed_by?: string })[];
      return { found: items.find((one) => one.name === "Six-channel digitiser"), problem: view.problem ?? null };
    };
    const form = tab.getByRole("group", { name: "Fragility: the acceleration it stands" });
    await form.getByLabel("What is known").selectOption("class");
    await form.getByLabel(/^Class/).selectOption({ label: "delicate: from 40 G" });
    // Nobody has signed yet: nothing is kept.
    expect((await item()).found?.fragility).not.toBe("class delicate");
    await form.getByLabel("Who signs for the assumption").fill("A. Engineer");
    await form.getByLabel("Who signs for the assumption").press("Tab");
    await expect.poll(async () => (await item()).found?.fragility, PATIENT).toBe("class delicate");
    expect(await item()).toMatchObject({ found: { fragility_signed_by: "A. Engineer" }, problem: null });
    await form.getByLabel("What is known").selectOption("known");
    await form.getByLabel(/^It stands/).fill("70 G");
    await form.getByLabel(/^It stands/).press("Tab");
    await expect.poll(async () => (await item()).found?.fragility, PATIENT).toBe("70 G");
    expect((await item()).found?.fragility_signed_by ?? null).toBeNull();
    await form.getByLabel(/^Who says so/).fill("maker's sheet (published)");
    await form.getByLabel(/^Who says so/).press("Tab");
    await expect
      .poll(async () => (await item()).found?.fragility, PATIENT)
      .toEqual({ value: "70 G", source: "maker's sheet (published)" });
    expect((await item()).problem).toBeNull();
    await tab.close();
  });

  it("spoke to nobody else and complained about nothing", () => {
    expect(page.outside).toEqual([]);
    // The browser counts the file that was refused as an error of the page; the page says why beside it.
    expect(page.errors.map((error) => /status of (\d+)/.exec(error)?.[1] ?? error)).toEqual(["422"]);
  });
});
