import { Quaternion, Vector3 } from "three";
import { describe, expect, it } from "vitest";
import { settled, turned, WAYS, wayUp } from "./way_up";

const none = new Quaternion();

describe("an item turned in the hand", () => {
  it("is drawn with its own z up", () => {
    expect(wayUp(none)).toBe("+z");
  });

  it("rolls to each of its six sides", () => {
    const quarter = Math.PI / 2;
    // Tipped towards the eye its back comes up; over again, its underside.
    expect(wayUp(turned(none, 0, quarter))).toBe("+y");
    expect(wayUp(turned(none, 0, -quarter))).toBe("-y");
    expect(wayUp(turned(none, 0, 2 * quarter))).toBe("-z");
    // Turned by a quarter to the right first, its left end is at the back.
    expect(wayUp(turned(none, quarter, quarter))).toBe("+x");
    expect(wayUp(turned(none, -quarter, quarter))).toBe("-x");
  });

  it("lies flat once it is let go, the same way up", () => {
    let state = 7;
    const next = () => {
      state = (state * 16807) % 2147483647;
      return state / 2147483647;
    };
    for (let trial = 0; trial < 200; trial += 1) {
      const turn = new Quaternion(next() - 0.5, next() - 0.5, next() - 0.5, next() - 0.5).normalize();
      const flat = settled(turn);
      expect(wayUp(flat)).toBe(wayUp(turn));
      const axes = [new Vector3(1, 0, 0), new Vector3(0, 1, 0), new Vector3(0, 0, 1)];
      const heights = axes.map((axis) => Math.abs(axis.applyQuaternion(flat).y)).sort((a, b) => a - b);
      expect(heights[0]).toBeLessThan(1e-6);
      expect(heights[1]).toBeLessThan(1e-6);
      expect(heights[2]).toBeGreaterThan(1 - 1e-9);
    }
  });

  it("is laid on a side by name from any turn", () => {
    for (const way of WAYS) {
      expect(wayUp(settled(none, way))).toBe(way);
      expect(wayUp(settled(turned(none, 1.1, 2.3), way))).toBe(way);
    }
  });
});
