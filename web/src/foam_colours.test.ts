import { describe, expect, it } from "vitest";
import type { Schemas } from "./api/client";
import { colourOfLayers, foamColours, foamFill } from "./foam_colours";

const SHOP = {
  colours: [
    { foam: "tarn-29", name: "charcoal", shade: [58, 61, 64] },
    { foam: "tarn-29", name: "amber", shade: [217, 164, 65] },
    { foam: "scar-33", name: "amber", shade: [1, 2, 3] },
  ],
} as unknown as Schemas["ShopSummary"];

const ASKED = { foams: { base: "tarn-29" }, interior: { colours: { top: "charcoal", floors: "amber" } } };

describe("the colours of the foam", () => {
  it("are those of the shop's stock of that foam", () => {
    const colours = foamColours(ASKED, SHOP);
    expect(colours?.top).toEqual({ name: "charcoal", shade: [58, 61, 64] });
    expect(colours?.floors.shade).toEqual([217, 164, 65]);
    expect(foamColours({ foams: { base: "tarn-29" } }, SHOP)).toBeNull();
    // A name stands without its shade where the shop is not known or stocks no such colour.
    expect(foamColours(ASKED, undefined)?.top).toEqual({ name: "charcoal", shade: undefined });
  });

  it("lie in the uppermost layer of each block but the lid's", () => {
    const block = (kind: string, ids: string[]) => ({ kind, layers: ids.map((id) => ({ id })) });
    const interior = {
      blocks: [block("base", ["B1", "B2"]), block("tray 1", ["T1-1"]), block("lid pad", ["L1"])],
    } as unknown as Schemas["InteriorSection"];
    const found = colourOfLayers(interior, foamColours(ASKED, SHOP));
    expect([...found].map(([id, colour]) => `${id} ${colour.name}`)).toEqual([
      "B1 amber",
      "B2 charcoal",
      "T1-1 charcoal",
    ]);
    expect(colourOfLayers(interior, null).size).toBe(0);
  });

  it("are mixed with the plain colour, which stays where no shade is known", () => {
    expect(foamFill({ name: "amber", shade: [217, 164, 65] })?.fill).toContain("rgb(217 164 65)");
    expect(foamFill({ name: "amber", shade: undefined })).toBeUndefined();
    expect(foamFill(undefined)).toBeUndefined();
  });
});
