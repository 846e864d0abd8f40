/** The page in a real browser: what a person does, by mouse and by keyboard. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Page as Tab } from "playwright-core";
import { browse, folder, type Page, type Served, serve } from "./served";

/** A machine that does other work answers late; the page's own speed is measured elsewhere. */
const PATIENT = { timeout: 60_000 };

let served: Served;
let page: Page;

beforeAll(async () => {
  served = await serve(folder("store"));
  page = await browse(served);
});

afterAll(async () => {
  await page.close();
  await served.kill();
});

/** Waits until a drawing has come and shows something. */
async function drawn(tab: Tab, words: string): Promise<void> {
  const picture = tab.getByRole("img", { name: words });
  await picture.scrollIntoViewIfNeeded();
  await tab.waitForFunction(
    (alt) => {
      const image = document.querySelector<HTMLImageElement>(`img[alt="${alt}"]`);
      return image?.complete === true && image.naturalWidth > 0;
    },
    words,
    { timeout: 60_000 },
  );
}

describe("the page", () => {
  it("lists the job, shells and foams", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/");
    await tab.getByRole("heading", { name: "Seismic station kit, one case" }).waitFor();
    expect(await tab.getByRole("heading", { level: 3 }).count()).toBeGreaterThanOrEqual(6);
    await tab.getByText("Tarn", { exact: false }).first().waitFor();
    await tab.close();
  });

  it("surveys as it is typed, in any unit, and names the field that does not read", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/survey");
    const usable = tab.locator(".figures li").first();
    await usable.waitFor();
    const before = await usable.textContent();
    const length = tab.getByLabel("Length at the rim").first();
    await length.fill("25 3/4 in");
    await expect.poll(() => usable.textContent(), PATIENT).not.toBe(before);
    await length.fill("25.75");
    await tab.locator("#field-base\\.rim\\.length-problem").waitFor();
    expect(await length.getAttribute("aria-invalid")).toBe("true");
    await length.fill("648 mm ± 1 mm");
    await expect.poll(() => length.getAttribute("aria-invalid"), PATIENT).toBe("false");
    await tab.close();
  });

  it("saves a cell, undoes it, and keeps it over a kill and a reload", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/contents");
    await tab.getByRole("button", { name: "Six-channel digitiser" }).click();
    const mass = tab.getByLabel("Mass of one");
    await mass.fill("2.25 kg ± 0.05 kg");
    await mass.press("Tab");
    await tab.getByRole("cell", { name: "2.25 kg ± 0.05 kg" }).waitFor();
    const revision = /revision (\d+)/;
    await expect.poll(() => tab.getByRole("status").first().textContent(), PATIENT).toMatch(revision);
    await served.kill();
    served = await serve(served.data, served.port);
    await tab.reload();
    await tab.getByRole("cell", { name: "2.25 kg ± 0.05 kg" }).waitFor();
    await tab.getByRole("button", { name: "Undo" }).click();
    await tab.getByRole("cell", { name: "1.9 kg ± 0.05 kg" }).waitFor();
    await tab.getByRole("button", { name: "Redo" }).click();
    await tab.getByRole("cell", { name: "2.25 kg ± 0.05 kg" }).waitFor();
    await tab.getByRole("button", { name: "Undo" }).click();
    await tab.getByRole("cell", { name: "1.9 kg ± 0.05 kg" }).waitFor();
    await tab.close();
  });

  it("shows one tab what another saved, and a conflict as a choice", async () => {
    const one = await page.context.newPage();
    const two = await page.context.newPage();
    for (const tab of [one, two]) {
      await tab.goto("/job/tindra-ridge/contents");
      await tab.getByRole("button", { name: "Field tablet in its cover" }).click();
    }
    await one.getByLabel("Remarks").fill("charged before packing");
    await one.getByLabel("Remarks").press("Tab");
    await expect.poll(() => two.getByLabel("Remarks").inputValue(), PATIENT).toBe("charged before packing");
    // An edit from a tab that missed the news.
    await two.route("**/events", (route) => route.abort());
    await two.reload();
    await two.getByRole("button", { name: "Field tablet in its cover" }).click();
    await one.getByLabel("Remarks").fill("in its sleeve");
    await one.getByLabel("Remarks").press("Tab");
    await expect
      .poll(() => one.getByRole("status").first().textContent(), PATIENT)
      .toMatch(/saved, revision/);
    await two.getByLabel("Remarks").fill("screen down");
    await two.getByLabel("Remarks").press("Tab");
    await two.getByText("Another tab saved first.").waitFor();
    await two.getByRole("button", { name: "Save mine over theirs" }).click();
    await expect.poll(() => one.getByLabel("Remarks").inputValue(), PATIENT).toBe("screen down");
    await one.close();
    await two.close();
  });

  it("does the whole job: arrange with progress, verify, make, and everything as one zip", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    await tab.getByRole("button", { name: "Arrange and verify" }).click();
    await tab.getByText("pieces placed").waitFor({ timeout: 500_000 });
    // The plan shows one tier; its pieces are buttons by number and name.
    await tab
      .getByRole("button", { name: /^\d+, / })
      .first()
      .waitFor();
    await tab.getByRole("link", { name: "Verify" }).click();
    await tab.getByRole("cell", { name: "Broadband seismometer" }).waitFor();
    expect(await tab.locator(".verdict").count()).toBeGreaterThan(10);
    // What is behind a verdict: the map of its falls, its worst fall over time and played again, its cushion curve.
    await tab.getByRole("button", { name: "Broadband seismometer" }).click();
    await tab.getByRole("img", { name: /peak of every direction of fall/ }).waitFor();
    expect(await tab.locator("svg ellipse").count()).toBeGreaterThan(600);
    await tab.getByRole("img", { name: "Acceleration against the fall over time" }).waitFor();
    await tab.getByRole("button", { name: /Replay/ }).click();
    await tab.getByRole("button", { name: "Stop" }).waitFor();
    await drawn(tab, "Cushion curve under Broadband seismometer");
    await tab.getByRole("link", { name: "Make" }).click();
    await tab.getByText("foam yield").waitFor();
    await drawn(tab, "Sheet 1 with the parts cut from it");
    await tab.getByRole("link", { name: "Present" }).click();
    const [zip] = await Promise.all([
      tab.waitForEvent("download", { timeout: 400_000 }),
      tab.getByRole("link", { name: "Everything as one zip" }).click(),
    ]);
    expect(zip.suggestedFilename()).toBe("tindra-ridge.zip");
    await tab.close();
  });

  it("spoke to nobody else and complained about nothing", () => {
    expect(page.outside).toEqual([]);
    // A killed program, a refused connection, a 4xx that the page shows in words: the browser logs them by itself.
    const own = page.errors.filter((error) => !/Failed to load resource|net::ERR|ERR_/.test(error));
    expect(own).toEqual([]);
  });
});
