/** Verifying in a real browser: what is known first, a stop that keeps where everything lies, and the verdicts; and the foam as it is made. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { arranged, browse, folder, type Page, type Served, serve, verified } from "./served";

let served: Served;
let page: Page;
let places: Schemas["PlaceResult"][];

beforeAll(async () => {
  served = await serve(folder("verify"));
  page = await browse(served);
  places = (await arranged(served)).places;
}, 600_000);

afterAll(async () => {
  await page.close();
  await served.kill();
});

async function result(): Promise<Schemas["ResultView"]> {
  return (await (await fetch(`${served.url}/api/jobs/tindra-ridge/result`)).json()) as Schemas["ResultView"];
}

describe("verifying", () => {
  it("is stopped without losing the arrangement, and says flat falls first when it goes on", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/verify");
    await tab.getByRole("button", { name: "Stop verifying" }).click();
    await tab.getByText("Stopped before it was verified. Where everything lies is kept.").waitFor();
    const stopped = await result();
    expect(stopped.state).toBe("stopped");
    expect(stopped.result?.verification ?? null).toBeNull();
    expect(stopped.result?.interior?.places).toEqual(places);
    await tab.getByRole("button", { name: "Verify now" }).click();
    const flat = tab.getByRole("table", { name: /^Equipment in six flat falls so far/ });
    await flat.waitFor();
    expect(await flat.getByRole("row").count()).toBe(places.length + 1);
    await tab.getByRole("table", { name: "Equipment", exact: true }).waitFor({ timeout: 300_000 });
    expect(await flat.count()).toBe(0);
    expect((await result()).flat).toEqual([]);
    await tab.close();
  });

  it("shows the foam layer on layer on Make, apart and stacked, with what it holds and without", async () => {
    await verified(served);
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/make");
    await tab.getByRole("img", { name: /^The foam in 3D, layer on layer/ }).waitFor();
    for (const label of ["layers apart", "with the equipment"]) {
      const tick = tab.getByLabel(label);
      const before = await tick.isChecked();
      await tick.click();
      expect(await tick.isChecked()).toBe(!before);
    }
    await tab.close();
  });

  it("spoke to nobody else and complained about nothing", () => {
    expect(page.outside).toEqual([]);
    expect(page.errors).toEqual([]);
  });
});
