import fc from "fast-check";
import { expect, test } from "vitest";
import { lowestBetween } from "../../src/numerics/minima.js";

const place = fc.integer({ min: -1000, max: 1000 }).map((i) => i / 100);

test("the lowest place of a valley, round or sharp, is found to 1e-7 of the interval, also at its ends", () => {
  fc.assert(
    fc.property(place, place, place, fc.constantFrom(1, 2, 4), (one, other, at, power) => {
      const [low, high] = [Math.min(one, other), Math.max(one, other) + 0.1];
      const inside = Math.min(Math.max(at, low), high);
      const found = lowestBetween((x) => Math.abs(x - inside) ** power, low, high, -1);
      // Where it is flat to the fourth power, the values tell less of the place.
      expect(Math.abs(found - inside)).toBeLessThan((power === 4 ? 1e-3 : 1e-7) * (high - low));
    }),
  );
});

test("the search ends where the function is low enough", () => {
  let asked = 0;
  const found = lowestBetween(
    (x) => {
      asked++;
      return (x - 0.3) ** 2 - 1;
    },
    0,
    1,
    -0.9,
  );
  expect((found - 0.3) ** 2 - 1).toBeLessThanOrEqual(-0.9);
  expect(asked).toBeLessThan(5);
});

test("an interval of one rounding ends, too", () => {
  expect(lowestBetween((x) => x, 1, 1 + Number.EPSILON, -1)).toBeCloseTo(1, 12);
});
