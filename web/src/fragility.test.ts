import { describe, expect, it } from "vitest";
import { kindOf } from "./parts/fragility";

describe("what is known of a fragility", () => {
  it("is told from how it is written", () => {
    expect(kindOf("60 G")).toBe("known");
    expect(kindOf({ value: "75 G", source: "sheet (published)" })).toBe("known");
    expect(kindOf("class very-delicate")).toBe("class");
    expect(kindOf("unknown")).toBe("unknown");
    expect(kindOf("none")).toBe("none");
  });
});
