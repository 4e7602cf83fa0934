import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { hard } from "../../../bench/peers/gen-hard.mjs";
import { type NetworkDocument, parseNetwork, SolveError, solveNetwork } from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";

const folder = new URL("../../networks/independent-tees/", import.meta.url);
const documentOf = (name: string): NetworkDocument => JSON.parse(readFileSync(new URL(name, folder), "utf8"));
const names = readdirSync(folder);

/** How far an attempt got that was stopped after some steps. */
const stopped = (document: NetworkDocument, maxIterations: number): SolveError | undefined => {
  try {
    solveNetwork(document, { tolerance: 1e-4, maxIterations });
    return undefined;
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    return error;
  }
};

describe("the solver of coupled branches", () => {
  test.each(names)("%s takes at most 12 steps", (name) => {
    const { convergence } = solveNetwork(documentOf(name));
    expect(convergence.iterations).toBeLessThanOrEqual(12);
  });

  test("of 300 ducts and 100 tees and more takes at most 12 steps", () => {
    for (const seed of [1, 2, 3, 4]) {
      const network = parseNetwork(hard("tees", 300, seed));
      const solution = solveNetwork(network);
      expectSolved(network, solution);
      expect(solution.convergence.iterations).toBeLessThanOrEqual(12);
    }
  });

  test("squares its error near the answer: each of the last steps leaves less than the one before it by ever more", () => {
    for (const seed of [1, 2, 3, 4]) {
      const document = hard("tees", 300, seed) as NetworkDocument;
      const last = solveNetwork(document).convergence.iterations;
      // Residuals [Pa] after the last steps but two, but one, and the last before the answer.
      const residuals = [3, 2, 1].map((before) => {
        const error = stopped(document, last - before);
        expect(error?.status).toBe("max-iterations");
        return error?.diagnostics.pressureResidual ?? Number.NaN;
      });
      const [first, second, third] = residuals;
      expect(third / second, String(residuals)).toBeLessThan(0.1);
      expect(third / second, String(residuals)).toBeLessThan(0.5 * (second / first));
    }
  });

  test("that runs out of steps says so, with what it had and where it is worst", () => {
    const error = stopped(hard("tees", 300, 1) as NetworkDocument, 1);
    expect(error?.status).toBe("max-iterations");
    const { iterations, pressureResidual, worstDuct, worstNode, tried } = error?.diagnostics ?? {};
    expect(iterations).toBe(1);
    expect(pressureResidual).toBeGreaterThan(1e-6);
    expect(worstDuct ?? worstNode).toBeTypeOf("string");
    expect(tried).toEqual(["Newton steps from the cold start: max-iterations"]);
  });

  test("balances a tee as the node that it is: what its three ports leave adds up to no more than the tolerance", () => {
    const legs = { a: 0.0010891, b: 0.0010099 };
    const network = parseNetwork({
      format: "ductgraph/1",
      nodes: [
        { id: "t", kind: "tee", angle: 2.1980327533766184, edgeRadius: 0.004836 },
        ...Object.entries(legs).map(([id, inflow]) => ({ id, kind: "junction" as const, inflow })),
        { id: "branch", kind: "outdoors", entry: 0, exit: 1 },
      ],
      ducts: Object.entries({ a: 0.19837, b: 0.2, branch: 0.08636 }).map(([id, diameter]) => ({
        id,
        from: id,
        to: `t.${id}`,
        length: 1,
        frictionFactor: 0,
        section: { diameter },
      })),
    });
    expectSolved(network, solveNetwork(network, { tolerance: 1e-3 }), 1e-3);
  });

  test("finds the same answer from its own, in no step, and from that of other pressures", () => {
    const document = hard("tees", 300, 2) as NetworkDocument;
    const cold = solveNetwork(document, { tolerance: 1e-3 });
    const again = solveNetwork(document, { start: cold });
    expect(again.convergence.iterations).toBe(0);
    const blown = {
      ...document,
      nodes: document.nodes?.map((node) => (node.id === "n0" ? { ...node, pressure: 80 } : node)),
    };
    const start = solveNetwork(blown as NetworkDocument);
    const warm = solveNetwork(document, { start, tolerance: 1e-3 });
    const largest = Math.max(...Object.values(cold.ducts).map(({ flow }) => Math.abs(flow)));
    for (const [id, { flow }] of Object.entries(cold.ducts)) {
      expect(Math.abs(warm.ducts[id].flow - flow), id).toBeLessThan(1e-8 * largest);
    }
  });
});
