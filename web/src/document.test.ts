import { describe, expect, it } from "vitest";
import { get, measureText, set, withText } from "./document";

describe("document", () => {
  const job = {
    title: "a",
    items: [
      { id: "one", mass: "1 kg" },
      { id: "two", mass: { value: "2 kg", source: "scale (measured)" } },
    ],
  };

  it("reads and writes by path without touching the original", () => {
    expect(get(job, "items[1].id")).toBe("two");
    expect(get(job, "items[7].id")).toBeUndefined();
    const edited = set(job, "items[0].mass", "3 kg");
    expect(get(edited, "items[0].mass")).toBe("3 kg");
    expect(get(job, "items[0].mass")).toBe("1 kg");
    expect(get(set(job, "handling.drop_height", "1 m"), "handling.drop_height")).toBe("1 m");
    expect(get(set(job, "items[0]", undefined), "items[0].id")).toBe("two");
    expect(set(job, "title", undefined)).not.toHaveProperty("title");
  });

  it("keeps the source of a value whose text changes", () => {
    const mass = get(job, "items[1].mass");
    expect(measureText(mass)).toBe("2 kg");
    expect(withText(mass, "2.1 kg ± 0.1 kg")).toEqual({
      value: "2.1 kg ± 0.1 kg",
      source: "scale (measured)",
    });
    expect(measureText({ value: "648 mm", plus_minus: "1 mm" })).toBe("648 mm ± 1 mm");
    expect(withText("1 kg", "2 kg")).toBe("2 kg");
  });
});
