import { describe, expect, it } from "vitest";
import { changesOf, same, type Spot } from "./hand";

const here: Spot = { up: "+z", turns: 0, tier: 0, at: [0.1, -0.02] };

describe("the piece in hand", () => {
  it("says nothing of a piece that lies where it lay", () => {
    expect(changesOf("probe/1", here, here)).toEqual([]);
    expect(same(here, { ...here })).toBe(true);
  });

  it("says what changed, the tier first and the place last", () => {
    const there: Spot = { up: "-z", turns: 3, tier: 1, at: [0.1, 0.04] };
    expect(changesOf("probe/1", here, there)).toEqual([
      { what: "tier", piece: "probe/1", tier: 1 },
      { what: "turn", piece: "probe/1", up: "-z", quarter_turns: 3 },
      { what: "move", piece: "probe/1", at_m: [0.1, 0.04] },
    ]);
    expect(same(here, there)).toBe(false);
  });
});
