import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { bracketedRoot, crossings, rootsBetween } from "../../src/numerics/roots.js";
import { numberWithin } from "../helpers/numbers.js";

describe("a bracketed root", () => {
  test.each([
    ["√2", (x: number) => x * x - 2, 0, 2, Math.SQRT2],
    ["π of the sine", Math.sin, 3, 4, Math.PI],
    ["a very flat root", (x: number) => (x - 1) ** 9, 0, 3, 1],
    ["a step", (x: number) => (x < 0.3 ? -1 : 1), 0, 1, 0.3],
    ["a pole's far side", (x: number) => 1 / x - 1000, 0, 1, 1e-3],
    ["a falling function", (x: number) => Math.exp(-x) - 1e-8, 0, 100, 8 * Math.LN10],
    ["a root at the low end", (x: number) => x, 0, 1, 0],
    ["a root at the high end", (x: number) => x - 1, 0, 1, 1],
  ])("%s is found to floating-point resolution", (_, f, low, high, root) => {
    const found = bracketedRoot(f, low, high);
    // Where the function itself is 0 over a width, as a ninth power is, any x there is a root.
    if (f(found as number) !== 0)
      expect(Math.abs((found as number) - root)).toBeLessThanOrEqual(2 * Number.EPSILON * Math.abs(root));
    else expect(found).toBeCloseTo(root, 12);
  });

  test("equal signs and values that are not numbers give undefined, not a guess", () => {
    expect(bracketedRoot((x) => x * x + 1, -1, 1)).toBeUndefined();
    expect(bracketedRoot(() => Number.NaN, -1, 1)).toBeUndefined();
    expect(bracketedRoot((x) => (Math.abs(x) === 1 ? x : Number.NaN), -1, 1)).toBeUndefined();
  });

  test("any continuous function with a sign change is solved in few evaluations", () => {
    const number = numberWithin(-10, 10);
    fc.assert(
      fc.property(number, number, number, number, fc.integer({ min: 1, max: 9 }), (a, b, c, at, n) => {
        let evaluations = 0;
        const f = (x: number) => {
          evaluations++;
          return Math.sign(x - at) * Math.abs(x - at) ** n * (1 + a * a + Math.sin(b * x)) + c * 1e-9;
        };
        if (!(f(-30) < 0 && f(30) > 0)) return;
        const root = bracketedRoot(f, -30, 30) as number;
        // A root next to 0 itself is resolved down to the smallest number, which takes longer.
        expect(evaluations).toBeLessThan(Math.abs(root) > 1e-9 ? 200 : 3000);
        const beside = 4e-16 * Math.max(Math.abs(root), 1e-9);
        expect(f(root) === 0 || f(root - beside) * f(root + beside) <= 0).toBe(true);
      }),
    );
  });
});

/** A polynomial by its roots, with all its derivatives. */
const polynomial = (roots: readonly number[]) => {
  let coefficients = [1];
  for (const root of roots) {
    const next = [0, ...coefficients];
    coefficients.forEach((c, i) => {
      next[i] -= root * c;
    });
    coefficients = next;
  }
  const chain: ((x: number) => number)[] = [];
  while (coefficients.length > 1) {
    const own = coefficients;
    chain.push((x) => own.reduceRight((sum, c) => sum * x + c, 0));
    coefficients = own.slice(1).map((c, i) => c * (i + 1));
  }
  return chain;
};

describe("all roots by the chain of derivatives", () => {
  test("a polynomial's separate roots are all found, in order, and no other", () => {
    const gaps = fc.array(fc.double({ min: 0.2, max: 1, noNaN: true }), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(gaps, (steps) => {
        let x = -1;
        const roots = steps.map((step) => {
          x += step;
          return x;
        });
        const found = rootsBetween(polynomial(roots), -2, 6);
        expect(found.length).toBe(roots.length);
        found.forEach((root, i) => {
          expect(Math.abs(root - roots[i])).toBeLessThan(1e-9);
        });
      }),
    );
  });

  test("a double root is found once, roots at the ends are kept, and 0 all along is one root", () => {
    expect(rootsBetween([(x) => (x - 1) ** 2, (x) => 2 * (x - 1)], 0, 3)).toEqual([1]);
    expect(rootsBetween([(x) => x * (x - 1), (x) => 2 * x - 1], 0, 1)).toEqual([0, 1]);
    expect(rootsBetween([() => 0, () => 0], 0, 1)).toHaveLength(1);
  });

  test("no root gives an empty list", () => {
    expect(rootsBetween([(x) => x * x + 1, (x) => 2 * x], -1, 1)).toEqual([]);
  });
});

describe("crossings", () => {
  const f = (x: number): number => (x - 1) ** 2 - 1e-14;

  test("a curve that only touches 0, to tolerance, is found once with equal signs at both sides", () => {
    expect(crossings(f, [0, 1, 2], 1e-12)).toEqual([{ at: 1, before: 1, after: 1 }]);
  });

  test("without tolerance the same curve has two roots of opposite direction", () => {
    const found = crossings(f, [0, 1, 2], 0);
    expect(found.map(({ before, after }) => [before, after])).toEqual([
      [1, -1],
      [-1, 1],
    ]);
  });

  test("a root at a shared position is neither lost nor doubled, and an end has no sign beyond it", () => {
    const line = (x: number): number => 2 - x;
    expect(crossings(line, [0, 2, 2, 4], 0)).toEqual([{ at: 2, before: 1, after: -1 }]);
    expect(crossings(line, [0, 2], 0)).toEqual([{ at: 2, before: 1, after: 0 }]);
    expect(crossings(line, [2, 3], 0)).toEqual([{ at: 2, before: 0, after: -1 }]);
  });
});
