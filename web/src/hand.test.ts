import { describe, expect, it } from "vitest";
import { changesOf, same, type Spot, whole } from "./hand";

const here: Spot = { up: "+z", turn: 0, tier: 0, at: [0.1, -0.02] };

describe("the piece in hand", () => {
  it("says nothing of a piece that lies where it lay", () => {
    expect(changesOf("probe/1", here, here)).toEqual([]);
    expect(same(here, { ...here })).toBe(true);
  });

  it("says what changed, the tier first and the place last", () => {
    const there: Spot = { up: "-z", turn: 285, tier: 1, at: [0.1, 0.04] };
    expect(changesOf("probe/1", here, there)).toEqual([
      { what: "tier", piece: "probe/1", tier: 1 },
      { what: "turn", piece: "probe/1", up: "-z", turn_deg: 285 },
      { what: "move", piece: "probe/1", at_m: [0.1, 0.04] },
    ]);
    expect(same(here, there)).toBe(false);
  });

  it("turns by whole degrees, full turns left out", () => {
    expect([-5, 360, 365.4, -725].map(whole)).toEqual([355, 0, 5, 355]);
  });
});
