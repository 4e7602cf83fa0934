import fc from "fast-check";
import { expect, test } from "vitest";
import { LaplacianFactors } from "../../src/numerics/ldl.js";
import { SymmetricPatternLU } from "../../src/numerics/lu.js";
import { type FewEntries, Responses } from "../../src/numerics/responses.js";
import { numberWithin } from "../helpers/numbers.js";

/** A graph in which every node reaches the ground (−1), with a weight for each edge. */
const graphs = fc.integer({ min: 1, max: 25 }).chain((size) =>
  fc.record({
    size: fc.constant(size),
    parents: fc.array(fc.nat(), { minLength: size, maxLength: size }),
    weights: fc.array(fc.double({ min: 0.01, max: 100, noNaN: true }), { minLength: size, maxLength: size }),
    others: fc.array(numberWithin(-0.3, 0.3), { minLength: size, maxLength: size }),
  }),
);

/** Vectors of one to four entries, some of them on the ground. */
const few = (size: number): fc.Arbitrary<FewEntries[]> =>
  fc.array(
    fc
      .array(fc.tuple(fc.integer({ min: -1, max: size - 1 }), numberWithin(-5, 5)), {
        minLength: 1,
        maxLength: 4,
      })
      .map((list) => ({
        nodes: Int32Array.from(list, ([node]) => node),
        values: Float64Array.from(list, ([, value]) => value),
      })),
    { minLength: 1, maxLength: 4 },
  );

const whole = ({ nodes, values }: FewEntries, size: number): Float64Array => {
  const vector = new Float64Array(size);
  nodes.forEach((node, e) => {
    if (node >= 0) vector[node] += values[e];
  });
  return vector;
};

const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, value, i) => sum + value * b[i], 0);

const cases = graphs.chain((graph) => fc.tuple(fc.constant(graph), few(graph.size), few(graph.size)));

test("a reading of the answer to a few pushes is that of the whole solution, and again after new factors and values", () => {
  fc.assert(
    fc.property(cases, ([{ size, parents, weights }, sources, readings]) => {
      const first = Int32Array.from({ length: size }, (_, i) => i);
      const second = Int32Array.from(parents, (p, i) => (p % (i + 1)) - 1);
      const factors = new LaplacianFactors(size, first, second);
      const responses = new Responses(factors, sources, readings);
      for (const times of [1, 3]) {
        factors.factor(Float64Array.from(weights, (weight) => times * weight));
        for (const { values } of sources) values[0] += times;
        responses.compute();
        sources.forEach((source, s) => {
          const x = whole(source, size);
          factors.solve(x, x);
          readings.forEach((reading, g) => {
            const expected = dot(whole(reading, size), x);
            const scale = 1 + dot(whole(reading, size).map(Math.abs), x.map(Math.abs));
            expect(Math.abs(responses.matrix[g * sources.length + s] - expected)).toBeLessThan(1e-11 * scale);
          });
        });
      }
    }),
  );
});

test("the same where the matrix is unsymmetric", () => {
  fc.assert(
    fc.property(cases, ([{ size, parents, weights, others }, sources, readings]) => {
      const first = Int32Array.from({ length: size }, (_, i) => i);
      const second = Int32Array.from(parents, (p, i) => (p % (i + 1)) - 1);
      const factors = new SymmetricPatternLU(size, first, second);
      const { values, firstFirst, firstSecond, secondFirst, secondSecond } = factors;
      weights.forEach((c, e) => {
        values[firstFirst[e]] += c;
        values[firstSecond[e]] -= c * (1 + others[e]);
        values[secondFirst[e]] -= c * (1 - others[e]);
        values[secondSecond[e]] += c;
      });
      fc.pre(factors.factor() && factors.growth < 10);
      const responses = new Responses(factors, sources, readings);
      responses.compute();
      sources.forEach((source, s) => {
        const x = whole(source, size);
        factors.solve(x);
        readings.forEach((reading, g) => {
          const expected = dot(whole(reading, size), x);
          const scale = 1 + dot(whole(reading, size).map(Math.abs), x.map(Math.abs));
          expect(Math.abs(responses.matrix[g * sources.length + s] - expected)).toBeLessThan(1e-8 * scale);
        });
      });
    }),
  );
});
