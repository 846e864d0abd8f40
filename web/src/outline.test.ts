import { describe, expect, it } from "vitest";
import { box, cuts, path } from "./outline";

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

describe("cuts", () => {
  const square = [
    [-1, -1, 0],
    [1, -1, 0],
    [1, 1, 0],
    [-1, 1, 0],
  ];
  it("passes through matter from side to side", () => {
    expect(cuts([square], 0, 0)).toEqual([[-1, 1]]);
    expect(cuts([square], 1, 0.5)).toEqual([[-1, 1]]);
    expect(cuts([square], 0, 2)).toEqual([]);
  });

  it("passes through a circle of two half arcs at its own chord, whichever way the arcs turn", () => {
    for (const bulge of [1, -1]) {
      const circle = [
        [-0.05, 0, bulge],
        [0.05, 0, bulge],
      ];
      const [pair] = cuts([circle], 0, 0.03);
      expect(pair?.[0]).toBeCloseTo(-0.04, 3);
      expect(pair?.[1]).toBeCloseTo(0.04, 3);
    }
  });

  it("leaves a hole out", () => {
    const hole = square.map(([x = 0, y = 0]) => [x / 2, -y / 2, 0]);
    expect(cuts([square, hole], 0, 0)).toEqual([
      [-1, -0.5],
      [0.5, 1],
    ]);
  });
});
