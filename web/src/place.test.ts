import { describe, expect, it } from "vitest";
import { address, placeOf } from "./place";

describe("place", () => {
  it("reads back every address it writes", () => {
    for (const place of [
      { at: "start" } as const,
      { at: "shell", name: "ridgeback-640" } as const,
      { at: "job", name: "kit", stage: "arrange" } as const,
    ]) {
      expect(placeOf(address(place))).toEqual(place);
    }
    expect(placeOf("/job/kit")).toEqual({ at: "job", name: "kit", stage: "survey" });
    expect(placeOf("/job/kit/elsewhere")).toEqual({ at: "nowhere" });
  });
});
