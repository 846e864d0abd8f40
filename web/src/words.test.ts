import { describe, expect, it } from "vitest";
import { kg, litres, mm, money, moneyDifference, size } from "./words";

describe("words", () => {
  it("prints units after a narrow space", () => {
    expect(mm(0.648)).toBe("648\u202fmm");
    expect(litres(0.0775)).toBe("77.5\u202fL");
    expect(kg(3.8)).toBe("3.80\u202fkg");
    expect(kg(21.26)).toBe("21.3\u202fkg");
    expect(size([0.702, 0.476, 0.37])).toBe("702 × 476 × 370\u202fmm");
    expect(money({ minor: 12345, currency: "EUR" })).toBe("123.45\u202fEUR");
    const sum = (minor: number, currency = "EUR") => ({ minor, currency });
    expect(moneyDifference(sum(1000), sum(1250))).toBe("+2.50\u202fEUR");
    expect(moneyDifference(sum(1000), sum(990))).toBe("−0.10\u202fEUR");
    expect(moneyDifference(sum(1000), sum(1000))).toBe("");
    expect(moneyDifference(sum(1000), sum(1, "USD"))).toBe("");
    expect(moneyDifference(undefined, sum(1))).toBe("");
  });
});
