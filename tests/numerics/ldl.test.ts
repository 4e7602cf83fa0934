import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { LaplacianFactors } from "../../src/numerics/ldl.js";
import { minimumDegreeOrder } from "../../src/numerics/ordering.js";
import { numberWithin } from "../helpers/numbers.js";

interface Graph {
  readonly size: number;
  readonly first: Int32Array;
  readonly second: Int32Array;
}

/** A graph in which every node reaches the ground (−1), with further edges at random: parallel ones, loops, ground. */
const graphs: fc.Arbitrary<Graph> = fc.integer({ min: 1, max: 25 }).chain((size) =>
  fc
    .record({
      parents: fc.array(fc.nat(), { minLength: size, maxLength: size }),
      more: fc.array(fc.tuple(fc.integer({ min: -1, max: size - 1 }), fc.integer({ min: -1, max: size - 1 })), {
        maxLength: 30,
      }),
    })
    .map(({ parents, more }) => ({
      size,
      first: Int32Array.from([...parents.keys(), ...more.map(([i]) => i)]),
      second: Int32Array.from([...parents.map((p, i) => (p % (i + 1)) - 1), ...more.map(([, j]) => j)]),
    })),
);

/** The matrix Σ c (u_i − u_j)(u_i − u_j)ᵀ, written out. */
const dense = ({ size, first, second }: Graph, weight: Float64Array): number[][] => {
  const a = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  weight.forEach((c, e) => {
    const [i, j] = [first[e], second[e]];
    if (i === j) return;
    if (i >= 0) a[i][i] += c;
    if (j >= 0) a[j][j] += c;
    if (i >= 0 && j >= 0) {
      a[i][j] -= c;
      a[j][i] -= c;
    }
  });
  return a;
};

/** Pivots of plain elimination without pivoting: their signs are the inertia (Sylvester). */
const pivotsOf = (matrix: number[][]): number[] => {
  const a = matrix.map((row) => [...row]);
  for (let k = 0; k < a.length; k++)
    for (let i = k + 1; i < a.length; i++) {
      const l = a[i][k] / a[k][k];
      for (let j = k; j < a.length; j++) a[i][j] -= l * a[k][j];
    }
  return a.map((row, k) => row[k]);
};

const weights = (count: number, min: number): fc.Arbitrary<Float64Array> =>
  fc
    .array(numberWithin(min, 1000), { minLength: count, maxLength: count })
    .map((list) => Float64Array.from(list, (w) => (Math.abs(w) < 1e-3 ? 1e-3 : w)));

const cases = (min: number) =>
  graphs.chain((graph) =>
    fc.record({
      graph: fc.constant(graph),
      weight: weights(graph.first.length, min),
      rhs: fc.array(numberWithin(-1, 1), { minLength: graph.size, maxLength: graph.size }),
    }),
  );

describe("the order of elimination", () => {
  test("is a permutation of the nodes", () => {
    fc.assert(
      fc.property(graphs, ({ size, first, second }) => {
        const inner = Int32Array.from(
          [...first.keys()].filter((e) => first[e] >= 0 && second[e] >= 0 && first[e] !== second[e]),
        );
        const order = minimumDegreeOrder(size, first, second, inner);
        expect([...order].sort((a, b) => a - b)).toEqual([...Array(size).keys()]);
      }),
    );
  });

  test("leaves a tree without fill, a chain of 100,000 nodes among them", () => {
    const size = 100_000;
    const first = Int32Array.from({ length: size }, (_, i) => i);
    const second = Int32Array.from({ length: size }, (_, i) => i - 1);
    expect(new LaplacianFactors(size, first, second).fill).toBe(size - 1);
  });

  test("keeps the fill of a 40 by 40 grid below 4·n·log2(n)", () => {
    const m = 40;
    const edges: [number, number][] = [[0, -1]];
    for (let i = 0; i < m; i++)
      for (let j = 0; j < m; j++) {
        if (i + 1 < m) edges.push([i * m + j, i * m + m + j]);
        if (j + 1 < m) edges.push([i * m + j, i * m + j + 1]);
      }
    const factors = new LaplacianFactors(
      m * m,
      Int32Array.from(edges, ([i]) => i),
      Int32Array.from(edges, ([, j]) => j),
    );
    expect(factors.fill).toBeLessThan(4 * m * m * Math.log2(m * m));
  });
});

describe("the factors LDLᵀ", () => {
  test("solve a weighted Laplacian: the residual is rounding", () => {
    fc.assert(
      fc.property(cases(1e-3), ({ graph, weight, rhs }) => {
        const factors = new LaplacianFactors(graph.size, graph.first, graph.second);
        expect(factors.factor(weight)).toBe(true);
        const x = new Float64Array(graph.size);
        factors.solve(Float64Array.from(rhs), x);
        const a = dense(graph, weight);
        const norm = Math.max(...a.map((row) => row.reduce((sum, v) => sum + Math.abs(v), 0)));
        const size = norm * Math.max(...x.map(Math.abs)) + 1;
        a.forEach((row, i) => {
          const residual = row.reduce((sum, v, j) => sum + v * x[j], -rhs[i]);
          expect(Math.abs(residual)).toBeLessThan(1e-12 * size);
        });
      }),
    );
  });

  test("have no negative pivot where all weights are positive", () => {
    fc.assert(
      fc.property(cases(1e-3), ({ graph, weight }) => {
        const factors = new LaplacianFactors(graph.size, graph.first, graph.second);
        factors.factor(weight);
        expect(factors.negativePivots).toBe(0);
      }),
    );
  });

  test("count the negative eigenvalues where weights have both signs (Sylvester's law of inertia)", () => {
    fc.assert(
      fc.property(cases(-1000), ({ graph, weight }) => {
        const factors = new LaplacianFactors(graph.size, graph.first, graph.second);
        const pivots = pivotsOf(dense(graph, weight));
        const largest = Math.max(...weight.map(Math.abs));
        // Where a leading minor nearly vanishes, rounding decides on its sign, in either elimination.
        fc.pre(pivots.every((pivot) => Math.abs(pivot) > 1e-6 * largest && Math.abs(pivot) < 1e9 * largest));
        fc.pre(factors.factor(weight));
        expect(factors.negativePivots).toBe(pivots.filter((pivot) => pivot < 0).length);
      }),
    );
  });

  test("refuse a matrix without ground, which is singular", () => {
    const factors = new LaplacianFactors(2, Int32Array.of(0), Int32Array.of(1));
    expect(factors.factor(Float64Array.of(1))).toBe(false);
  });

  test("made again with other weights are those of a new object, to the bit", () => {
    fc.assert(
      fc.property(cases(1e-3), ({ graph, weight, rhs }) => {
        const used = new LaplacianFactors(graph.size, graph.first, graph.second);
        used.factor(weight.map((w) => 3 * w + 1));
        const fresh = new LaplacianFactors(graph.size, graph.first, graph.second);
        const [a, b] = [used, fresh].map((factors) => {
          const x = new Float64Array(graph.size);
          factors.factor(weight);
          factors.solve(Float64Array.from(rhs), x);
          return x;
        });
        expect(a).toEqual(b);
      }),
    );
  });
});
