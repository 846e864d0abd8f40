/** Arranging by hand in a real browser: drag, keys, refusal, pins, undo, and all of it over a kill. */
import type { Page as Tab } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Schemas } from "../../src/api/client";
import { spotOf } from "../../src/hand";
import { arranged, browse, folder, type Page, type Served, serve } from "./served";

type Place = Schemas["PlaceResult"];
type Lie = Schemas["LieView"];

const PATIENT = { timeout: 60_000 };

let served: Served;
let page: Page;
let places: Place[];

beforeAll(async () => {
  served = await serve(folder("hand"));
  places = (await arranged(served)).places;
  page = await browse(served, { height: 1000 });
}, 600_000);

afterAll(async () => {
  await page.close();
  await served.kill();
});

async function job(): Promise<Schemas["JobView"]> {
  return (await (await fetch(`${served.url}/api/jobs/tindra-ridge`)).json()) as Schemas["JobView"];
}

/** How a piece would lie so far off its place. */
async function lie(place: Place, by: readonly [number, number]): Promise<Lie> {
  const spot = spotOf(place);
  const answer = await fetch(`${served.url}/api/jobs/tindra-ridge/lie`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({
      revision: (await job()).revision,
      piece: place.instance,
      up: spot.up,
      turn_deg: spot.turn,
      tier: spot.tier,
      at_m: [spot.at[0] + by[0], spot.at[1] + by[1]],
    }),
  });
  expect(answer.status).toBe(200);
  return (await answer.json()) as Lie;
}

/** A piece that may be moved by a centimetre, and the key that does it. */
async function free(): Promise<{ place: Place; key: string; by: [number, number] }> {
  const keys: [string, [number, number]][] = [
    ["ArrowRight", [0.01, 0]],
    ["ArrowLeft", [-0.01, 0]],
    ["ArrowUp", [0, 0.01]],
    ["ArrowDown", [0, -0.01]],
  ];
  // Of two of a kind the table could show either.
  const alone = places.filter((place) => places.filter((other) => other.item === place.item).length === 1);
  for (const place of alone) {
    for (const [key, by] of keys) {
      if ((await lie(place, by)).broken.length === 0) return { place, key, by };
    }
  }
  throw new Error("nothing may be moved by a centimetre");
}

/** The piece on the plan of its tier. */
async function shown(tab: Tab, place: Place) {
  await tab.getByText("pieces placed").waitFor();
  const tray = tab.getByRole("button", { name: place.tier > 0 ? "Tray" : "Base", exact: true });
  if ((await tray.count()) > 0) await tray.click();
  return tab.getByRole("button", { name: new RegExp(`^${place.number}, `) });
}

/** The numbers change with the rows of the plan, so the piece is found again by its name. */
async function along(tab: Tab, place: Place): Promise<string> {
  const table = tab.getByRole("table", { name: /^Where everything lies/ });
  const row = table.getByRole("row", { name: new RegExp(place.name) });
  return (await row.textContent()) ?? "";
}

describe("arranging by hand", () => {
  it("tells what a drag would break while it moves, and takes the piece back", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const [one] = places;
    const other = places.find((place) => place.tier === one?.tier && place.instance !== one?.instance);
    if (!one || !other) throw new Error("two pieces in a tier are needed");
    const before = (await job()).revision;
    const from = await (await shown(tab, one)).boundingBox();
    const to = await (await shown(tab, other)).boundingBox();
    if (!from || !to) throw new Error("both are drawn");
    await tab.mouse.move(from.x + from.width / 2, from.y + from.height / 2);
    await tab.mouse.down();
    for (let step = 1; step <= 12; step += 1) {
      await tab.mouse.move(
        from.x + from.width / 2 + ((to.x + to.width / 2 - from.x - from.width / 2) * step) / 12,
        from.y + from.height / 2 + ((to.y + to.height / 2 - from.y - from.height / 2) * step) / 12,
      );
    }
    await tab.getByText(/^May not lie here: (stands|does not come out)/).waitFor();
    expect(await tab.locator(".item.refused").count()).toBeGreaterThan(0);
    await tab.mouse.up();
    const alert = tab.getByRole("alert").filter({ hasText: "went back to where it lay" });
    await alert.waitFor();
    expect(await alert.getByRole("listitem").count()).toBeGreaterThan(0);
    expect((await job()).revision).toBe(before);
    await alert.getByRole("button", { name: "Leave it" }).click();
    await alert.waitFor({ state: "detached" });
    await tab.close();
  });

  it("moves by keys, keeps it as a pin, undoes and redoes, and has it after a kill", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const { place, key } = await free();
    const piece = await shown(tab, place);
    const before = await along(tab, place);
    await piece.focus();
    await tab.getByText(/^Lies well/).waitFor();
    await tab.keyboard.press(`Shift+${key}`);
    await tab.getByText(/^May lie here/).waitFor();
    await tab.keyboard.press("Escape");
    await tab.getByText(/^Lies well/).waitFor();
    // A centimetre by ten steps of a millimetre is the same place.
    for (let step = 0; step < 10; step += 1) await tab.keyboard.press(key);
    await tab.getByText(/^May lie here/).waitFor();
    await tab.keyboard.press("Enter");
    await expect.poll(() => along(tab, place), PATIENT).not.toBe(before);
    await expect.poll(() => along(tab, place), PATIENT).toContain("pinned");
    const moved = await along(tab, place);
    const pins = ((await job()).document as { wishes: { pinned: { piece: string }[] } }).wishes.pinned;
    expect(pins.map((pin) => pin.piece)).toEqual([place.instance]);
    await tab.getByRole("button", { name: "Undo" }).click();
    await expect.poll(() => along(tab, place), PATIENT).toBe(before);
    await tab.getByRole("button", { name: "Redo" }).click();
    await expect.poll(() => along(tab, place), PATIENT).toBe(moved);
    await served.kill();
    served = await serve(served.data, served.port);
    await tab.reload();
    await expect.poll(() => along(tab, place), PATIENT).toBe(moved);
    await (await shown(tab, place)).focus();
    await tab.getByText(/^Lies well/).waitFor();
    // Let go again: it stays, and nothing holds it.
    await tab.keyboard.press("p");
    await expect.poll(() => along(tab, place), PATIENT).not.toContain("pinned");
    expect(((await job()).document as { wishes?: { pinned?: unknown[] } }).wishes?.pinned ?? []).toEqual([]);
    await tab.close();
  });

  it("turns a piece by degrees: drawn as it would lie, answered, put down or refused", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    // The longest: a few degrees show.
    const size = (place: Place, axis: number) => (place.box_max_m[axis] ?? 0) - (place.box_min_m[axis] ?? 0);
    const long = (place: Place) => Math.max(size(place, 0), size(place, 1));
    const place = [...places].sort((a, b) => long(b) - long(a))[0];
    if (!place) throw new Error("something lies there");
    const piece = await shown(tab, place);
    const before = (await job()).revision;
    await piece.focus();
    await tab.getByText(/^Lies (well|short)/).waitFor();
    const turn = tab.getByLabel("Turn (°)");
    const from = Number(await turn.inputValue());
    const square = await piece.boundingBox();
    for (let step = 0; step < 3; step += 1) await tab.keyboard.press("Alt+r");
    await expect.poll(() => turn.inputValue(), PATIENT).toBe(String((from + 15) % 360));
    await tab.getByText(/^May (not )?lie here/).waitFor();
    const across = async () => {
      const box = await piece.boundingBox();
      return box && square ? box.width * box.height - square.width * square.height : 0;
    };
    // Its box is larger as it lies across.
    await expect.poll(across, PATIENT).toBeGreaterThan(0);
    await turn.fill("400.2");
    await turn.press("Enter");
    await expect.poll(() => turn.inputValue(), PATIENT).toBe("40");
    await turn.fill(String(from));
    await turn.press("Enter");
    await tab.getByText(/^Lies (well|short)/).waitFor();
    await expect.poll(across, PATIENT).toBeLessThan(1);
    await piece.focus();
    for (let step = 0; step < 3; step += 1) await tab.keyboard.press("Alt+Shift+R");
    await tab.keyboard.press("Enter");
    // The answer shown may still be that of the step before: what became of it says whether it was allowed.
    const alert = tab.getByRole("alert").filter({ hasText: "went back to where it lay" });
    const became = async () => {
      if ((await along(tab, place)).includes(`${(from + 345) % 360}°`)) return "put down";
      return (await alert.isVisible()) ? "refused" : "in hand";
    };
    await expect.poll(became, PATIENT).not.toBe("in hand");
    if ((await became()) === "put down") {
      await tab.getByRole("button", { name: "Undo" }).click();
      await expect.poll(() => along(tab, place), PATIENT).toContain(`${from}°`);
    } else {
      expect((await job()).revision).toBe(before);
      await expect.poll(() => turn.inputValue(), PATIENT).toBe(String(from));
    }
    await tab.close();
  });

  it("drags a piece in the section: along the cut by as much as the mouse moves, and refuses as the plan does", async () => {
    const tab = await page.context.newPage();
    await tab.goto("/job/tindra-ridge/arrange");
    const [first] = places;
    if (!first) throw new Error("something lies there");
    await (await shown(tab, first)).focus();
    await tab.getByText(/^Lies (well|short)/).waitFor();
    const mine = tab.getByRole("button", { name: new RegExp(`^Section along: ${first.number}, `) });
    await mine.scrollIntoViewIfNeeded();
    const box = await mine.boundingBox();
    const drawing = await tab.getByRole("group", { name: /^Section along the case/ }).boundingBox();
    if (!box || !drawing) throw new Error("the section is drawn");
    const at = () => tab.getByLabel("Along (mm)").inputValue().then(Number);
    const [from, across] = [await at(), await tab.getByLabel("Across (mm)").inputValue()];
    await tab.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await tab.mouse.down();
    await tab.mouse.move(box.x + box.width / 2 + 30, box.y + box.height / 2, { steps: 6 });
    // The drawing shows some 640 mm and its margins: 30 points of the screen are a length that follows from its width.
    const width = await tab
      .getByRole("group", { name: /^Section along the case/ })
      .evaluate((svg) => (svg as unknown as SVGSVGElement).viewBox.baseVal.width);
    const wanted = (30 * width) / drawing.width;
    await expect.poll(async () => Math.abs((await at()) - from - wanted), PATIENT).toBeLessThan(0.2);
    expect(await tab.getByLabel("Across (mm)").inputValue()).toBe(across);
    // Far outside: through the wall.
    await tab.mouse.move(box.x + box.width / 2 + drawing.width, box.y + box.height / 2, { steps: 6 });
    await tab.getByText(/^May not lie here/).waitFor();
    await tab.mouse.up();
    await tab.getByRole("alert").filter({ hasText: "went back to where it lay" }).waitFor();
    await expect.poll(at, PATIENT).toBe(from);
    // Up into the other tier and down again, by the keys of the section.
    const tiers = Math.max(...places.map((place) => place.tier)) + 1;
    const lies = tab.getByLabel("Lies in");
    const tier = await lies.inputValue();
    await mine.focus();
    await tab.keyboard.press(tier === "0" ? "ArrowUp" : "ArrowDown");
    await expect.poll(() => lies.inputValue(), PATIENT).toBe(tiers > 1 ? String(1 - Number(tier)) : tier);
    await tab.keyboard.press("Escape");
    await expect.poll(() => lies.inputValue(), PATIENT).toBe(tier);
    await tab.close();
  });

  it("spoke to nobody else and complained about nothing", () => {
    expect(page.outside).toEqual([]);
    const own = page.errors.filter((error) => !/Failed to load resource|net::ERR|ERR_/.test(error));
    expect(own).toEqual([]);
  });
});
