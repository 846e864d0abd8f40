import { describe, expect, it } from "vitest";
import { box, path } from "./outline";

describe("outline", () => {
  it("draws a square in millimetres with the back at the top", () => {
    const square = [
      [
        [0, 0, 0],
        [0.1, 0, 0],
        [0.1, 0.1, 0],
        [0, 0.1, 0],
      ],
    ];
    expect(path(square)).toBe("M0 0L100 0L100 -100L0 -100L0 0Z");
    expect(box(square)).toEqual([0, 0, 0.1, 0.1]);
  });

  it("draws a circle of two half turns with its true radius", () => {
    const circle = [
      [
        [-0.05, 0, 1],
        [0.05, 0, 1],
      ],
    ];
    expect(path(circle)).toBe("M-50 0A50 50 0 0 0 50 0A50 50 0 0 0 -50 0Z");
  });

  it("turns a quarter arc the right way", () => {
    // tan(90/4 degrees): centre at the origin, from (1, 0) to (0, 1), counter-clockwise, radius 1.
    const quarter = Math.tan(Math.PI / 8);
    expect(
      path([
        [
          [1, 0, quarter],
          [0, 1, 0],
          [0, 0, 0],
        ],
      ]),
    ).toContain("A1000 1000 0 0 0 0 -1000");
  });

  it("draws nothing of nothing", () => {
    expect(path([])).toBe("");
  });
});
