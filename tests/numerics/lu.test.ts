import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { LaplacianFactors } from "../../src/numerics/ldl.js";
import { SymmetricPatternLU } from "../../src/numerics/lu.js";
import { numberWithin } from "../helpers/numbers.js";
import fixture from "../references/lu.json" with { type: "json" };

type Matrix = readonly (readonly number[])[];

/** The couplings of a pattern, and for each the four numbers it adds: (i, i), (i, j), (j, i), (j, j). */
interface System {
  readonly size: number;
  readonly first: readonly number[];
  readonly second: readonly number[];
  readonly parts: readonly (readonly number[])[];
  readonly rhs: readonly number[];
}

const coupled = ({ size, first, second }: System): SymmetricPatternLU =>
  new SymmetricPatternLU(size, Int32Array.from(first), Int32Array.from(second));

const assemble = (factors: SymmetricPatternLU, { parts }: System): SymmetricPatternLU => {
  const { values, firstFirst, firstSecond, secondFirst, secondSecond } = factors;
  values.fill(0);
  parts.forEach(([ii, ij, ji, jj], e) => {
    values[firstFirst[e]] += ii;
    values[firstSecond[e]] += ij;
    values[secondFirst[e]] += ji;
    values[secondSecond[e]] += jj;
  });
  return factors;
};

/** The matrix written out, without the row and the column of the ground. */
const dense = ({ size, first, second, parts }: System): Matrix => {
  const a = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  parts.forEach((part, e) => {
    const ends = [first[e], second[e]];
    for (let q = 0; q < 4; q++) {
      const [row, column] = [ends[q >> 1], ends[q & 1]];
      if (row >= 0 && column >= 0) a[row][column] += part[q];
    }
  });
  return a;
};

/** Gaussian elimination with partial pivoting: the inverse and the determinant. */
const eliminate = (matrix: Matrix): { inverse: Matrix; determinant: number } => {
  const n = matrix.length;
  const a = matrix.map((row, i) => [...row, ...Array.from({ length: n }, (_, j) => (i === j ? 1 : 0))]);
  let determinant = 1;
  for (let k = 0; k < n; k++) {
    let best = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(a[i][k]) > Math.abs(a[best][k])) best = i;
    if (best !== k) {
      [a[k], a[best]] = [a[best], a[k]];
      determinant = -determinant;
    }
    determinant *= a[k][k];
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const l = a[i][k] / a[k][k];
      if (l !== 0) for (let j = k; j < 2 * n; j++) a[i][j] -= l * a[k][j];
    }
    const pivot = a[k][k];
    for (let j = k; j < 2 * n; j++) a[k][j] /= pivot;
  }
  return { inverse: a.map((row) => row.slice(n)), determinant };
};

const times = (a: Matrix, x: ArrayLike<number>): number[] =>
  a.map((row) => row.reduce((sum, v, j) => sum + v * x[j], 0));
const largest = (x: ArrayLike<number>): number => Array.from(x).reduce((most, v) => Math.max(most, Math.abs(v)), 0);
const norm = (a: Matrix): number => Math.max(0, ...a.map((row) => row.reduce((sum, v) => sum + Math.abs(v), 0)));
const difference = (x: ArrayLike<number>, y: ArrayLike<number>): number =>
  largest(Array.from(x, (v, i) => v - y[i])) / (largest(y) || 1);

/** ‖A·x − b‖ / (‖A‖·‖x‖ + ‖b‖) */
const relativeResidual = (a: Matrix, x: Float64Array, b: readonly number[]): number =>
  largest(times(a, x).map((v, i) => v - b[i])) / (norm(a) * largest(x) + largest(b) || 1);

const solve = (factors: SymmetricPatternLU, rhs: readonly number[]): Float64Array => {
  const x = Float64Array.from(rhs);
  factors.solve(x);
  return x;
};

const numbers = (count: number, min: number, max: number): fc.Arbitrary<number[]> =>
  fc.array(
    numberWithin(min, max).map((v) => (Math.abs(v) < 1e-3 ? 0 : v)),
    { minLength: count, maxLength: count },
  );

/** A tree with further couplings at random, parallel ones, loops and ground among them; its numbers in −1 to 1. */
const systems: fc.Arbitrary<System> = fc
  .tuple(fc.integer({ min: 1, max: 40 }), fc.integer({ min: 0, max: 40 }))
  .chain(([size, more]) =>
    fc
      .record({
        parents: fc.array(fc.nat(), { minLength: size, maxLength: size }),
        pairs: fc.array(fc.tuple(fc.integer({ min: -1, max: size - 1 }), fc.integer({ min: -1, max: size - 1 })), {
          minLength: more,
          maxLength: more,
        }),
        values: numbers(4 * (size + more), -1, 1),
        rhs: numbers(size, -1, 1),
      })
      .map(({ parents, pairs, values, rhs }) => ({
        size,
        first: [...parents.keys(), ...pairs.map(([i]) => i)],
        second: [...parents.map((p, i) => (p % (i + 1)) - 1), ...pairs.map(([, j]) => j)],
        parts: Array.from({ length: size + more }, (_, e) => values.slice(4 * e, 4 * e + 4)),
        rhs,
      })),
  );

/** The same with a diagonal that outweighs its row. */
const dominant: fc.Arbitrary<System> = systems.map((system) => {
  const rows = dense(system).map((row, i) => row.reduce((sum, v, j) => sum + (i === j ? 0 : Math.abs(v)), 0));
  return {
    ...system,
    first: [...system.first, ...rows.keys()],
    second: [...system.second, ...rows.map(() => -1)],
    parts: [
      ...system.parts.map((part, e) =>
        system.first[e] === system.second[e] ? [0, 0, 0, 0] : [0, part[1], part[2], 0],
      ),
      ...rows.map((sum) => [1.1 * sum + 0.1, 0, 0, 0]),
    ],
  };
});

/** A network with tees, from the fixture: an ordinary branch adds 1/g, a tee the inverse of its 2 by 2 slopes. */
const networkOf = (network: (typeof fixture.cases)[number]): System => {
  const first: number[] = [];
  const second: number[] = [];
  const parts: number[][] = [];
  const add = (i: number, j: number, part: number[]): void => {
    first.push(i);
    second.push(j);
    parts.push(part);
  };
  network.branches.forEach(([i, j], e) => {
    const c = 1 / network.slopes[e];
    add(i, j, [c, -c, -c, c]);
  });
  network.tees.forEach(([a, b, c], t) => {
    const [h11, h12, h21, h22] = network.blocks[t];
    const determinant = h11 * h22 - h12 * h21;
    const [g11, g12, g21, g22] = [h22, -h12, -h21, h11].map((h) => h / determinant);
    add(a, c, [g11, -g11 - g12, -g11 - g21, g11 + g12 + g21 + g22]);
    add(b, c, [g22, -g21 - g22, -g12 - g22, 0]);
    add(a, b, [0, g12, g21, 0]);
  });
  return { size: network.points, first, second, parts, rhs: network.rhs };
};

describe("the factors LDU of unsymmetric values on a symmetric pattern", () => {
  test("solve networks with tees as SciPy's sparse LU does (library)", () => {
    for (const network of fixture.cases) {
      const system = networkOf(network);
      const factors = assemble(coupled(system), system);
      expect(factors.factor()).toBe(true);
      const x = solve(factors, network.rhs);
      expect(relativeResidual(dense(system), x, network.rhs)).toBeLessThan(1e-14);
      expect(difference(x, network.solution)).toBeLessThan(1e-15 * network.condition);
    }
  });

  test("solve diagonally dominant matrices as elimination with row exchanges does", () => {
    fc.assert(
      fc.property(dominant, (system) => {
        const factors = assemble(coupled(system), system);
        expect(factors.factor()).toBe(true);
        const a = dense(system);
        const x = solve(factors, system.rhs);
        expect(relativeResidual(a, x, system.rhs)).toBeLessThan(1e-14);
        expect(difference(x, times(eliminate(a).inverse, system.rhs))).toBeLessThan(1e-12);
      }),
    );
  });

  test("solve any matrix as far as `growth` promises, and give the sign of its determinant", () => {
    fc.assert(
      fc.property(systems, (system) => {
        const factors = assemble(coupled(system), system);
        fc.pre(factors.factor() && factors.growth < 1e3);
        const a = dense(system);
        const x = solve(factors, system.rhs);
        expect(relativeResidual(a, x, system.rhs)).toBeLessThan(1e-14 * factors.growth ** 2);
        const { inverse, determinant } = eliminate(a);
        const condition = norm(a) * norm(inverse);
        if (condition > 1e6) return;
        const allowed = 1e-14 * factors.growth ** 2 * condition;
        expect(difference(x, times(inverse, system.rhs))).toBeLessThan(allowed);
        if (allowed < 1e-3) expect((-1) ** factors.negativePivots).toBe(Math.sign(determinant));
      }),
    );
  });

  test("are those of LDLᵀ where the values are symmetric, to the bit, with the same inertia", () => {
    fc.assert(
      fc.property(systems, fc.boolean(), (system, positive) => {
        const weight = Float64Array.from(system.parts, ([c]) => (positive ? Math.abs(c) + 1e-3 : c));
        const symmetric = { ...system, parts: Array.from(weight, (c) => [c, -c, -c, c]) };
        const keep = system.first.map((i, e) => i !== system.second[e]);
        const parts = symmetric.parts.map((part, e) => (keep[e] ? part : [0, 0, 0, 0]));
        const factors = assemble(coupled(system), { ...symmetric, parts });
        const ok = factors.factor();
        if (positive) expect(ok).toBe(true);
        fc.pre(ok);
        if (positive) expect(factors.growth).toBeLessThan(1 + 1e-9);
        const ldl = new LaplacianFactors(system.size, Int32Array.from(system.first), Int32Array.from(system.second));
        expect(ldl.factor(weight)).toBe(true);
        const x = new Float64Array(system.size);
        ldl.solve(Float64Array.from(system.rhs), x);
        expect(solve(factors, system.rhs)).toEqual(x);
        expect(factors.negativePivots).toBe(ldl.negativePivots);
      }),
    );
  });

  test("give the same solution under any numbering", () => {
    fc.assert(
      fc.property(
        dominant.chain((system) =>
          fc.record({
            system: fc.constant(system),
            to: fc.shuffledSubarray([...Array(system.size).keys()], { minLength: system.size }),
          }),
        ),
        ({ system, to }) => {
          const renamed = (i: number): number => (i < 0 ? -1 : to[i]);
          const rhs = new Array<number>(system.size).fill(0);
          for (let i = 0; i < system.size; i++) rhs[to[i]] = system.rhs[i];
          const other = { ...system, first: system.first.map(renamed), second: system.second.map(renamed), rhs };
          const [x, y] = [system, other].map((one) => {
            const factors = assemble(coupled(one), one);
            factors.factor();
            return solve(factors, one.rhs);
          });
          expect(
            difference(
              to.map((k) => y[k]),
              x,
            ),
          ).toBeLessThan(1e-12);
        },
      ),
    );
  });

  test("of the transposed matrix solve the adjoint problem: y·A⁻¹b = b·A⁻ᵀy", () => {
    fc.assert(
      fc.property(dominant, (system) => {
        const turned = { ...system, parts: system.parts.map(([ii, ij, ji, jj]) => [ii, ji, ij, jj]) };
        const y = system.rhs.map((_, i) => Math.cos(i));
        const [x, z] = [system, turned].map((one, k) => {
          const factors = assemble(coupled(one), one);
          factors.factor();
          return solve(factors, k === 0 ? one.rhs : y);
        });
        const forward = y.reduce((sum, v, i) => sum + v * x[i], 0);
        const adjoint = system.rhs.reduce((sum, v, i) => sum + v * z[i], 0);
        expect(Math.abs(forward - adjoint)).toBeLessThan(1e-11 * (1 + largest(x) * system.size));
      }),
    );
  });

  test("made again, even after a failure, are those of a new object, to the bit", () => {
    fc.assert(
      fc.property(dominant, fc.boolean(), (system, failing) => {
        const used = coupled(system);
        const before = system.parts.map((part, e) => part.map((v) => (failing && e % 3 === 2 ? Number.NaN : 2 * v)));
        if (assemble(used, { ...system, parts: before }).factor()) solve(used, system.rhs);
        const fresh = coupled(system);
        const [x, y] = [used, fresh].map((factors) => {
          assemble(factors, system).factor();
          return solve(factors, system.rhs);
        });
        expect(x).toEqual(y);
        expect(used.growth).toBe(fresh.growth);
        expect(used.negativePivots).toBe(fresh.negativePivots);
      }),
    );
  });
});

describe("a matrix that is singular", () => {
  const fails = (system: Omit<System, "rhs">): boolean => {
    const whole = { ...system, rhs: [] };
    return !assemble(coupled(whole), whole).factor();
  };

  test("for want of ground is told: rows that sum to 0, over six decades of conductance", () => {
    fc.assert(
      fc.property(
        systems,
        fc.array(fc.tuple(numberWithin(-3, 3), numberWithin(-0.3, 0.3)), {
          minLength: 80,
          maxLength: 80,
        }),
        ({ size, first, second }, weights) => {
          // Branches to the ground carry nothing, so that equal pressures everywhere drive no flow.
          const parts = first.map((i, e) => {
            const c = 10 ** weights[e][0];
            const skew = c * weights[e][1];
            return i < 0 || second[e] < 0 || i === second[e]
              ? [0, 0, 0, 0]
              : [c + skew, -c - skew, -c + skew, c - skew];
          });
          expect(fails({ size, first, second, parts })).toBe(true);
        },
      ),
    );
  });

  test.each([
    ["an empty row", [2, 1, 0, 0], [0, 0, 0, 3], [0, 0, 1, 0]],
    ["an empty column", [2, 0, 1, 0], [0, 0, 0, 3], [0, 1, 0, 0]],
    ["two equal rows", [0.3, 0.7, 0.3, 0.7], [0, 0.1, 5, 3], [0, 0.1, 4, 0]],
  ])("by %s is told", (_, ...parts) => {
    expect(fails({ size: 3, first: [0, 1, 0], second: [1, 2, 2], parts })).toBe(true);
  });

  test("by a pivot of 0 in the fixed order is told, though an exchange of rows would help", () => {
    expect(fails({ size: 2, first: [0], second: [1], parts: [[0, 1, 1, 0]] })).toBe(true);
  });

  test("or not finite anywhere is told", () => {
    fc.assert(
      fc.property(
        dominant,
        fc.nat(),
        fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY),
        (system, at, bad) => {
          const slots = system.first.flatMap((i, e) => {
            const ends = [i, system.second[e]];
            return [0, 1, 2, 3].filter((q) => ends[q >> 1] >= 0 && ends[q & 1] >= 0).map((q) => [e, q]);
          });
          const [e, q] = slots[at % slots.length];
          const parts = system.parts.map((part, k) => part.map((v, p) => (k === e && p === q ? bad : v)));
          expect(fails({ ...system, parts })).toBe(true);
        },
      ),
    );
  });

  test("in one of its parts is told", () => {
    const parts = [
      [1, -1, -1, 1],
      [1, 0, 0, 0],
      [2, -2, -2, 2],
    ];
    expect(fails({ size: 4, first: [0, 0, 2], second: [1, -1, 3], parts })).toBe(true);
  });

  test("but for a factorisation that lost its digits shows in `growth`", () => {
    // Its first pivot is tiny beside the entries next to it; exchanged rows would solve it well.
    const system = { size: 2, first: [0], second: [1], parts: [[1e-12, 1, 1, 1]], rhs: [1, 2] };
    const factors = assemble(coupled(system), system);
    expect(factors.factor()).toBe(true);
    expect(factors.growth).toBeCloseTo(1e12, -3);
  });
});

describe("a pattern", () => {
  test("in disconnected parts is solved part by part", () => {
    fc.assert(
      fc.property(dominant, dominant, (one, two) => {
        const moved = (i: number): number => (i < 0 ? -1 : i + one.size);
        const both = {
          size: one.size + two.size,
          first: [...one.first, ...two.first.map(moved)],
          second: [...one.second, ...two.second.map(moved)],
          parts: [...one.parts, ...two.parts],
          rhs: [...one.rhs, ...two.rhs],
        };
        const [x, y, z] = [both, one, two].map((system) => {
          const factors = assemble(coupled(system), system);
          expect(factors.factor()).toBe(true);
          return solve(factors, system.rhs);
        });
        expect(difference(x, [...y, ...z])).toBeLessThan(1e-12);
      }),
    );
  });

  test("without rows has factors", () => {
    const factors = new SymmetricPatternLU(0, new Int32Array(0), new Int32Array(0));
    expect(factors.factor()).toBe(true);
  });

  test("of a tree of 3,000 nodes, a third of them in tees, keeps its fill low and leaves a residual of rounding", () => {
    // Tee t joins the points 3t, 3t + 1 and 3t + 2; the rest of the tree hangs on them.
    const size = 3000;
    const tees = 333;
    let state = 12345;
    const random = (): number => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      return state / 2 ** 32;
    };
    const first: number[] = [];
    const second: number[] = [];
    const parts: number[][] = [];
    const add = (i: number, j: number, part: number[]): void => {
      first.push(i);
      second.push(j);
      parts.push(part);
    };
    for (let t = 0; t < tees; t++) {
      const [a, b, c] = [3 * t, 3 * t + 1, 3 * t + 2];
      const scale = 10 ** (4 * random() - 2);
      const [g11, g12, g21, g22] = [1 + random(), random() - 0.5, random() - 0.5, 1 + random()].map((g) => g * scale);
      add(a, c, [g11, -g11 - g12, -g11 - g21, g11 + g12 + g21 + g22]);
      add(b, c, [g22, -g21 - g22, -g12 - g22, 0]);
      add(a, b, [0, g12, g21, 0]);
    }
    for (let i = 0; i < size; i++) {
      if (i < 3 * tees && i % 3 !== 0) continue;
      const parent = i === 0 ? -1 : Math.floor(random() * i);
      const c = 10 ** (4 * random() - 2);
      add(i, parent, [c, -c, -c, c]);
    }
    const system = { size, first, second, parts, rhs: Array.from({ length: size }, () => random() - 0.5) };
    const factors = assemble(coupled(system), system);
    expect(factors.factor()).toBe(true);
    // An order without any fill exists; minimum degree, which may take a node of degree 2 within a chain, is near to it.
    expect(factors.fill).toBeLessThan(1.1 * first.length);
    const x = solve(factors, system.rhs);
    const balance = system.rhs.map((b) => -b);
    const terms = system.rhs.map(Math.abs);
    parts.forEach((part, e) => {
      const ends = [first[e], second[e]];
      part.forEach((v, q) => {
        const [row, column] = [ends[q >> 1], ends[q & 1]];
        if (row < 0 || column < 0) return;
        balance[row] += v * x[column];
        terms[row] += Math.abs(v * x[column]);
      });
    });
    expect(largest(balance.map((v, i) => v / terms[i]))).toBeLessThan(1e-14);
  });
});
