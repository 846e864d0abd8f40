/** One job from the customer's workbook to the zip, as it is done on the phone: no file is written by hand. */
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { browse, folder, type Page, type Served, serve } from "./served";
import { workbook } from "./workbook";

let served: Served;
let page: Page;

beforeAll(async () => {
  served = await serve(folder("whole"));
  page = await browse(served);
});

afterAll(async () => {
  await page.close();
  await served.kill();
});

const LIST = workbook([
  ["Item", "Qty", "Length (mm)", "Width (mm)", "Height (mm)", "Weight (kg)", "Fragility (G)"],
  ["Gas analyser", 1, 160, 110, 60, 1.6, 90],
  ["Sampling pump", 1, 130, 80, 60, 0.9, 110],
  ["Filter holder", 2, 60, 60, 40, 0.15, 150],
]);

describe("the whole job", () => {
  it("goes from a packing list to the zip", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/");
    const form = tab.getByRole("group", { name: "New job" });
    await form.getByLabel("Title").fill("Gas sampling at the crater rim");
    await form.getByLabel("Customer").fill("Field team");
    await form.getByLabel("Start from").selectOption({ label: "Field kit, rolled" });
    await form
      .getByLabel(/^Packing list to begin with/)
      .setInputFiles({ name: "kit.xlsx", mimeType: "application/octet-stream", buffer: LIST });
    await form.getByRole("button", { name: "Start the job" }).click();
    await tab.getByText("kit.xlsx: 3 rows used, 0 not.").waitFor();
    // What a list does not say is said here: how the pump may lie.
    await tab.getByRole("button", { name: "Sampling pump" }).click();
    await tab.getByLabel("-z up, upside down").check();
    await tab.getByRole("link", { name: "Arrange" }).click();
    await tab.getByRole("button", { name: "Arrange and verify" }).click();
    await tab.getByText("pieces placed").waitFor({ timeout: 500_000 });
    await tab.getByRole("link", { name: "Verify" }).click();
    const equipment = tab.getByRole("table", { name: "Equipment", exact: true });
    await equipment.waitFor({ timeout: 300_000 });
    // Four pieces and the head of the table.
    expect(await equipment.getByRole("row").count()).toBe(5);
    await tab.getByRole("link", { name: "Make" }).click();
    await tab.getByText("foam yield").waitFor();
    await tab.getByRole("link", { name: "Present" }).click();
    const [zip] = await Promise.all([
      tab.waitForEvent("download", { timeout: 400_000 }),
      tab.getByRole("link", { name: "Everything as one zip" }).click(),
    ]);
    expect(zip.suggestedFilename()).toBe("gas-sampling-at-the-crater-rim.zip");
    const bytes = readFileSync(await zip.path()).toString("latin1");
    for (const file of ["report.pdf", "drawings.pdf", "bill.xlsx", "packing-list.pdf", "result.json", "manifest.json"]) {
      expect(bytes, file).toContain(file);
    }
    const address = `${served.url}/api/jobs/gas-sampling-at-the-crater-rim/result`;
    const result = (await (await fetch(address)).json()) as Schemas["ResultView"];
    expect(result.result?.interior?.places).toHaveLength(4);
    await tab.close();
  });

  it("spoke to nobody else and complained about nothing", () => {
    expect(page.outside).toEqual([]);
    expect(page.errors).toEqual([]);
  });
});
