import { describe, expect, it } from "vitest";
import { MOST_FILES, shapesOf } from "./folder";

const file = (name: string) => new File(["x"], name);

describe("a folder of shapes", () => {
  it("knows shapes by their ending, in the order of their names", () => {
    const found = shapesOf([file("b.STEP"), file("notes.txt"), file("a.stl"), file(".DS_Store"), file("c.dxf")]);
    expect(found.shapes.map((shape) => shape.name)).toEqual(["a.stl", "b.STEP", "c.dxf"]);
    expect(found.passedOver).toEqual(["notes.txt"]);
  });

  it("says what is beyond what it takes", () => {
    const many = Array.from({ length: MOST_FILES + 2 }, (_, index) => file(`part-${index}.stl`));
    expect(shapesOf(many).shapes).toHaveLength(MOST_FILES);
    expect(shapesOf(many).passedOver).toHaveLength(2);
  });
});
