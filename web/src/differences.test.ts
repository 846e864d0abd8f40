import { describe, expect, it } from "vitest";
import { differences } from "./differences";

describe("differences", () => {
  it("names what changed, came and went, by id", () => {
    const before = {
      title: "a",
      items: [
        { id: "one", mass: "1 kg" },
        { id: "two", mass: "2 kg" },
      ],
    };
    const after = {
      title: "a",
      items: [
        { id: "two", mass: "3 kg" },
        { id: "three", mass: "4 kg" },
      ],
      date: "2026-11-27",
    };
    expect(differences(before, after)).toEqual([
      { path: "items one", before: '{"id":"one","mass":"1 kg"}', after: "—" },
      { path: "items two.mass", before: "2 kg", after: "3 kg" },
      { path: "items three", before: "—", after: '{"id":"three","mass":"4 kg"}' },
      { path: "date", before: "—", after: "2026-11-27" },
    ]);
    expect(differences(after, after)).toEqual([]);
  });
});
