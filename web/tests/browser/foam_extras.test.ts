/** What a job asks of its foam beside cavities, on the page. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { arranged, browse, folder, type Page, type Served, serve } from "./served";

const PATIENT = { timeout: 120_000 };

let served: Served;
let page: Page;

beforeAll(async () => {
  served = await serve(folder("foam-extras"));
  await arranged(served);
  page = await browse(served);
}, 600_000);

afterAll(async () => {
  await page.close();
  await served.kill();
});

async function asked(): Promise<Record<string, unknown>> {
  const job = (await (await fetch(`${served.url}/api/jobs/tindra-ridge`)).json()) as Schemas["JobView"];
  return (job.document.interior ?? {}) as Record<string, unknown>;
}

describe("foam beside cavities", () => {
  it("reads, changes and takes back everything that can be asked, with the shop's fittings named", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const here = tab.getByRole("region", { name: "Foam beside cavities" });
    const lift = here.getByLabel("A tray is taken out");
    await expect.poll(() => lift.inputValue(), PATIENT).toBe("holes");
    await here.getByText("webbing loop 25 mm, sewn").waitFor({ state: "attached" });
    await lift.selectOption("straps");
    await expect.poll(async () => (await asked()).tray_lift, PATIENT).toBe("straps");
    await here.getByLabel(/^A hole in the floor/).uncheck();
    await expect.poll(async () => (await asked()).push_out_holes, PATIENT).toBeUndefined();
    await here.getByLabel("The base is held by").selectOption("adhesive");
    await here
      .getByLabel("The lid pad is held by")
      .selectOption({ label: "a board behind it: twin-wall board" });
    await here.getByLabel("Edges of the layers").selectOption("bevelled");
    await expect
      .poll(asked, PATIENT)
      .toMatchObject({ base_held_by: "adhesive", lid_held_by: "board", edges: "bevelled" });
    await here.getByLabel("Uppermost layer").selectOption("amber");
    await expect
      .poll(async () => (await asked()).colours, PATIENT)
      .toEqual({ top: "amber", floors: "charcoal" });
    await tab.getByRole("button", { name: "Undo" }).click();
    await expect.poll(async () => (await asked()).colours, PATIENT).toBeUndefined();
    await tab.close();
  });

  it("joins two cavities by a channel from two lists, and tells a narrow one at its own field", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const channels = tab.getByRole("group", { name: "Cable channels" });
    await channels.getByText("Ask for a channel").click();
    const ask = channels.getByRole("button", { name: "Ask for this channel" });
    expect(await ask.isDisabled()).toBe(true);
    await channels.getByLabel("From the cavity of").selectOption("digitiser");
    await channels.getByLabel("To the cavity of").selectOption("gnss-antenna/2");
    await ask.click();
    await expect
      .poll(async () => (await asked()).cable_channels, PATIENT)
      .toEqual([{ from: "digitiser", to: "gnss-antenna/2", width: "12 mm", depth: "15 mm" }]);
    const one = channels.getByRole("group", { name: /^Channel 1/ });
    const width = one.getByLabel("Width");
    await width.fill("1 mm");
    await width.press("Tab");
    await one.getByText(/narrower than the cutter/).waitFor();
    expect(await width.getAttribute("aria-invalid")).toBe("true");
    // What is wrong is read out with the field it stands at.
    const told = (await width.getAttribute("aria-describedby")) ?? "";
    expect(await tab.locator(`[id="${told}"]`).textContent()).toMatch(/narrower than the cutter/);
    await width.fill("14 mm");
    await width.press("Tab");
    await one.getByText(/narrower than the cutter/).waitFor({ state: "detached" });
    await one.getByRole("button", { name: /^Take back/ }).click();
    await expect.poll(async () => (await asked()).cable_channels ?? [], PATIENT).toEqual([]);
    await tab.close();
  });

  it("keeps a label's recess with its sides, and a length without a unit is told where it stands", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const label = tab.getByRole("group", { name: "Label" });
    const length = label.getByLabel("Length of the recess");
    await expect.poll(() => length.inputValue(), PATIENT).toBe("90 mm");
    await length.fill("80");
    await length.press("Tab");
    await label.locator(".problem").waitFor();
    await length.fill("80 mm");
    await length.press("Tab");
    await label.locator(".problem").waitFor({ state: "detached" });
    expect(await length.getAttribute("aria-describedby")).toBeNull();
    expect((await asked()).label).toEqual({ length: "80 mm", width: "40 mm", depth: "2 mm" });
    await label.getByLabel(/^A recess for a label/).uncheck();
    await expect.poll(async () => (await asked()).label, PATIENT).toBeUndefined();
    await tab.close();
  });

  it("shows the foam in its two colours on plan and sections, with their names beside", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const plan = tab.getByRole("group", { name: "Plan of the base" });
    const foam = plan.locator("path.foam");
    const filled = () => foam.evaluate((drawn) => getComputedStyle(drawn).fill);
    await foam.waitFor();
    const plain = await filled();
    expect(await tab.getByRole("list", { name: "Colours of the foam" }).count()).toBe(0);
    const here = tab.getByRole("region", { name: "Foam beside cavities" });
    await here.getByLabel("Uppermost layer").selectOption("amber");
    const key = tab.getByRole("list", { name: "Colours of the foam" }).first();
    await expect
      .poll(() => key.textContent(), PATIENT)
      .toMatch(/amber: uppermost layer.*charcoal: layers below/);
    await expect.poll(filled, PATIENT).not.toBe(plain);
    const top = await filled();
    await plan.getByRole("button").first().focus();
    const section = tab.getByRole("group", { name: /^Section along the case/ });
    const fills = () =>
      section
        .locator("rect.foam")
        .evaluateAll((drawn) => [...new Set(drawn.map((one) => getComputedStyle(one).fill))]);
    // Uppermost layers, layers below them, and the lid pad in the plain colour of foam.
    await expect.poll(fills, PATIENT).toHaveLength(3);
    expect(await fills()).toContain(top);
    if (process.env.CADDIS_SHOTS) {
      await plan.screenshot({ path: `${process.env.CADDIS_SHOTS}/plan-colours.png` });
      await section.screenshot({ path: `${process.env.CADDIS_SHOTS}/section-colours.png` });
      await tab.screenshot({ path: `${process.env.CADDIS_SHOTS}/arrange-colours.png`, fullPage: true });
    }
    await here.getByLabel("Uppermost layer").selectOption("");
    await expect.poll(filled, PATIENT).toBe(plain);
    await tab.close();
  });

  it("says in full what a narrow box has no room to show", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const lift = tab.getByLabel("A tray is taken out");
    await lift.selectOption("straps");
    const words = await lift.evaluate((box) => (box as HTMLSelectElement).selectedOptions[0]?.label ?? "");
    expect(words).toContain("webbing loop 25 mm, sewn");
    const below = tab.getByRole("group", { name: "Trays" }).locator(".chosen");
    await tab.setViewportSize({ width: 1280, height: 900 });
    for (const [width, is_cut] of [
      [340, true],
      [1280, false],
    ] as const) {
      await tab.setViewportSize({ width, height: 900 });
      await expect.poll(() => below.count(), PATIENT).toBe(is_cut ? 1 : 0);
      if (is_cut) expect(await below.textContent()).toBe(words);
      if (process.env.CADDIS_SHOTS)
        await tab
          .getByRole("group", { name: "Trays" })
          .screenshot({ path: `${process.env.CADDIS_SHOTS}/trays-${width}.png` });
    }
    await lift.selectOption("holes");
    await tab.close();
  });

  it("asks nothing of anyone else and complains of nothing but the values that were refused", () => {
    expect(page.outside).toEqual([]);
    expect(page.errors.filter((error) => !error.includes("status of 422"))).toEqual([]);
  });
});
