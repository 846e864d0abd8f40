import { expect, test } from "vitest";
import { SHADES, shadeOf, sunk, unfolded } from "./fall";

test("a peak takes the shade of its share", () => {
  expect(shadeOf(10, 100).words).toBe("to 25 % of what it stands");
  expect(shadeOf(100, 100).words).toBe("to 100 %");
  expect(shadeOf(101, 100).words).toBe("over what it stands");
  expect(shadeOf(null, 100)).toBe(SHADES[7]);
});

test("faces of the case lie where one looks for them", () => {
  const near = (of: [number, number], to: [number, number]) => {
    expect(of[0]).toBeCloseTo(to[0]);
    expect(of[1]).toBeCloseTo(to[1]);
  };
  near(unfolded([0, -1, 0]), [0, 0]);
  near(unfolded([1, 0, 0]), [90, 0]);
  near(unfolded([-1, 0, 0]), [-90, 0]);
  near(unfolded([0, 0, 1]), [0, 90]);
  near(unfolded([0, 0, -1]), [0, -90]);
});

test("an even push stops the item where energy says", () => {
  // (a - 1) g d = g h: at 21 G from 0.4 m it stops after 20 mm.
  const step = 1e-5;
  const deepest = Math.max(...sunk(Array(2000).fill(21), step, 0.4));
  expect(deepest).toBeCloseTo(0.02, 5);
});
