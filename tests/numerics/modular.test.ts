import fc from "fast-check";
import { expect, it, test } from "vitest";
import {
  dependentRows,
  drawn,
  inverseOf,
  ModularLaplacian,
  minus,
  prime,
  residueOf,
  times,
} from "../../src/numerics/modular.js";

const residue = fc.integer({ min: 1, max: prime - 1 });

test("the modulus is a prime, and its products are exact in doubles", () => {
  for (let divisor = 2; divisor * divisor <= prime; divisor++) expect(prime % divisor === 0).toBe(false);
  expect((prime - 1) ** 2).toBeLessThan(Number.MAX_SAFE_INTEGER);
});

test("a number times its inverse is 1, and products agree with those of whole numbers of any size", () => {
  fc.assert(
    fc.property(residue, residue, (a, b) => {
      expect(times(a, inverseOf(a))).toBe(1);
      expect(times(a, b)).toBe(Number((BigInt(a) * BigInt(b)) % BigInt(prime)));
    }),
  );
});

test("fractions keep their sums: 0.25 and 0.75 are 1, −0.5 and 0.5 are 0", () => {
  expect((residueOf(0.25) + residueOf(0.75)) % prime).toBe(1);
  expect((residueOf(-0.5) + residueOf(0.5)) % prime).toBe(0);
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 1e6 }), fc.nat(40), (whole, halvings) => {
      expect(times(residueOf(whole / 2 ** halvings), residueOf(2 ** halvings))).toBe(whole % prime);
    }),
  );
});

/** A ring of nodes with some cross links and a link to the ground. */
const graphs = fc.integer({ min: 2, max: 12 }).chain((size) =>
  fc.array(fc.tuple(fc.nat(size - 1), fc.nat(size - 1)), { maxLength: 20 }).map((more) => ({
    size,
    edges: [[0, -1], ...Array.from({ length: size }, (_, i) => [i, (i + 1) % size]), ...more],
  })),
);

it("solves what the Laplacian of a graph was multiplied with", () => {
  fc.assert(
    fc.property(graphs, ({ size, edges }) => {
      const first = Int32Array.from(edges, ([i]) => i);
      const second = Int32Array.from(edges, ([, j]) => j);
      const weight = Float64Array.from(edges, (_, e) => drawn(1, e));
      const laplacian = new ModularLaplacian(size, first, second);
      expect(laplacian.factor(weight)).toBe(true);
      const x = Float64Array.from({ length: size }, (_, i) => drawn(2, i));
      const b = new Float64Array(size);
      edges.forEach(([i, j], e) => {
        if (i === j) return;
        const flow = times(weight[e], minus(i < 0 ? 0 : x[i], j < 0 ? 0 : x[j]));
        if (i >= 0) b[i] = (b[i] + flow) % prime;
        if (j >= 0) b[j] = minus(b[j], flow);
      });
      expect([...laplacian.solve(b)]).toEqual([...x]);
    }),
  );
});

it("finds the rows that follow from others, and from which", () => {
  expect(
    dependentRows([
      [1, 0, 2],
      [0, 1, 1],
      [0, 0, 0],
      [2, 3, 7],
      [0, 0, 5],
    ]),
  ).toEqual([[2], [0, 1, 3]]);
});
