import { describe, expect, test } from "vitest";
import { parseNetwork, SolveError, solveNetwork } from "../../../src/index.js";
import { solved } from "../../helpers/documents.js";
import { expectSolved } from "../../helpers/evaluator.js";

const outdoors = (id: string, more: object = {}) => ({ id, kind: "outdoors" as const, entry: 0.5, exit: 1, ...more });
const duct = (id: string, from: string, to: string, more: object = {}) => ({
  id,
  from,
  to,
  length: 3,
  section: { diameter: 0.2 },
  ...more,
});

const failureOf = (act: () => unknown): SolveError => {
  try {
    act();
  } catch (error) {
    expect(error).toBeInstanceOf(SolveError);
    return error as SolveError;
  }
  throw new Error("an answer was found");
};

describe("the solver", () => {
  test("parts two equal fans on the rising side of their curves: side by side they cannot stay alike", () => {
    const points = [0, 0.05, 0.1, 0.15, 0.2].map((flow, i) => ({ flow, pressure: [100, 130, 150, 120, 0][i] }));
    const fan = (id: string) => ({ id, kind: "fan" as const, curve: { pressureKind: "total" as const, points } });
    const { convergence, fans } = solved({
      nodes: [outdoors("in"), fan("one"), fan("two"), { id: "j", kind: "junction" }, outdoors("out")],
      ducts: [
        duct("a", "in", "one.inlet"),
        duct("b", "one.outlet", "j"),
        duct("c", "in", "two.inlet"),
        duct("d", "two.outlet", "j"),
        duct("e", "j", "out", { fittings: [{ kind: "fixed", coefficient: 22 }] }),
      ],
    });
    expect(convergence.stable).toBe(true);
    expect(Math.abs(fans.one.flow - fans.two.flow)).toBeGreaterThan(0.05);
  });

  test("meets the tightest tolerance: 1e-13 of the largest flow, 1e-10 Pa", () => {
    const nodes = [
      outdoors("in", { pressure: 300 }),
      ...Array.from({ length: 50 }, (_, i) => ({ id: `j${i}`, kind: "junction" as const })),
      outdoors("out"),
    ];
    const ducts = Array.from({ length: 50 }, (_, i) => [
      duct(`m${i}`, i === 0 ? "in" : `j${i - 1}`, `j${i}`),
      duct(`b${i}`, `j${i}`, "out", { section: { diameter: 0.1 } }),
    ]).flat();
    const network = parseNetwork({ format: "ductgraph/1", nodes, ducts });
    const solution = solveNetwork(network, { tolerance: 1e-4 });
    expectSolved(network, solution, 1e-4);
    expect(solution.convergence.pressureResidual).toBeLessThanOrEqual(1e-10);
    expect(solution.convergence.massResidual).toBeLessThanOrEqual(1e-13 * solution.ducts.m0.massFlow);
  });

  const pair = {
    format: "ductgraph/1" as const,
    nodes: [outdoors("in", { pressure: 50 }), { id: "j", kind: "junction" as const }, outdoors("out")],
    ducts: [duct("a", "in", "j"), duct("b", "j", "out")],
  };

  // Whole steps balance all mass to rounding: only a start can be off by as little as the tolerance.
  test.each([
    [0.5, 0],
    [2, 1],
  ])(
    "counts a start as an answer up to 1e-9 of the largest flow and 1e-6 Pa: off by %f of either it takes %i step",
    (off, steps) => {
      const sharp = solveNetwork(pair, { tolerance: 1e-4 });
      const flowOff = structuredClone(sharp);
      flowOff.ducts.b.massFlow *= 1 + off * 1e-9;
      const pressureOff = structuredClone(sharp);
      pressureOff.nodes.j.totalPressure = (sharp.nodes.j.totalPressure as number) + off * 1e-6;
      for (const start of [flowOff, pressureOff]) {
        const { convergence, ducts } = solveNetwork(pair, { start });
        expect(convergence.iterations).toBe(steps);
        expect(convergence.massResidual).toBeLessThanOrEqual(1e-9 * Math.max(ducts.a.massFlow, ducts.b.massFlow));
        expect(convergence.pressureResidual).toBeLessThanOrEqual(1e-6);
      }
    },
  );

  test("refuses an answer that it has not reached, and says where it is worst and what was tried", () => {
    const { status, diagnostics } = failureOf(() => solveNetwork(pair, { maxIterations: 1 }));
    expect(status).toBe("max-iterations");
    expect(["a", "b"]).toContain(diagnostics.worstDuct);
    expect(diagnostics.worstNode).toBe("j");
    expect(diagnostics.tried.length).toBeGreaterThan(0);
  });

  test("is not led astray by the answer of another network", () => {
    const start = solveNetwork({
      ...pair,
      nodes: pair.nodes.map((node) => (node.id === "in" ? { ...node, pressure: -9000 } : node)),
    } as never);
    const solution = solveNetwork(pair, { start, tolerance: 1e-3 });
    expect(solution.ducts.a.flow).toBeCloseTo(solveNetwork(pair, { tolerance: 1e-3 }).ducts.a.flow, 9);
  });

  test("parses and solves a chain of 20,000 ducts: nothing recurses along it", () => {
    const count = 20_000;
    const nodes = [
      outdoors("n0", { pressure: 500 }),
      ...Array.from({ length: count - 1 }, (_, i) => ({ id: `n${i + 1}`, kind: "junction" as const })),
      outdoors(`n${count}`),
    ];
    const ducts = Array.from({ length: count }, (_, i) => duct(`d${i}`, `n${i}`, `n${i + 1}`));
    const solution = solveNetwork({ format: "ductgraph/1", nodes, ducts });
    expect(solution.ducts.d0.massFlow).toBeCloseTo(solution.ducts[`d${count - 1}`].massFlow, 9);
  });
});
