import { hard } from "../../bench/peers/gen-hard.mjs";
import { type NetworkDocument, parseNetwork, SolveError, solveNetwork } from "../../src/index.js";
import { expectSolved } from "./evaluator.js";

/**
 * The families of hard networks: dead ends, bridges that carry nothing, fans with a hump side by side, tees wherever
 * three ducts meet, and such tees where all other losses are so small that tees decide.
 */
export type Family = "ends" | "bridges" | "hump" | "tees" | "tees dominate";

const documentOf = (family: Family, seed: number): NetworkDocument => {
  if (family !== "tees dominate") return hard(family, 300, seed) as NetworkDocument;
  const document = hard("tees", 300, seed) as NetworkDocument & { ducts: { length: number; fittings: object[] }[] };
  for (const duct of document.ducts) {
    duct.length *= 0.3;
    for (const fitting of duct.fittings as { coefficient: number }[]) fitting.coefficient *= 0.1;
  }
  return document;
};

/** What came of a campaign. */
export interface Campaign {
  readonly solved: number;
  readonly failed: string[];
  readonly unstable: number[];
  readonly medianIterations: number;
  readonly mostIterations: number;
}

/** Solves a family's networks of 300 ducts for a range of seeds, every second one at 1,500 m; judges each answer anew. */
export const campaign = (family: Family, first: number, last: number): Campaign => {
  const failed: string[] = [];
  const unstable: number[] = [];
  const iterations: number[] = [];
  for (let seed = first; seed <= last; seed++) {
    const document = documentOf(family, seed);
    const air = seed % 2 === 0 ? { temperature: 20, altitude: 1500 } : document.air;
    const network = parseNetwork({ ...document, air });
    try {
      const solution = solveNetwork(network);
      expectSolved(network, solution);
      iterations.push(solution.convergence.iterations);
      // Of tees, whose matrix is unsymmetric, nothing is known.
      if (!family.startsWith("tees") && solution.convergence.stable !== true) unstable.push(seed);
    } catch (error) {
      failed.push(`${seed}: ${error instanceof SolveError ? error.status : String(error)}`);
    }
  }
  iterations.sort((a, b) => a - b);
  return {
    solved: iterations.length,
    failed,
    unstable,
    medianIterations: iterations[iterations.length >> 1],
    mostIterations: iterations[iterations.length - 1],
  };
};

/** One line for a report. */
export const summaryOf = (family: Family, first: number, last: number, found: Campaign): string =>
  `hard networks, ${family}, seeds ${first}–${last}: ${found.solved} solved, ${found.failed.length} failed, ${found.unstable.length} unstable, iterations median ${found.medianIterations}, most ${found.mostIterations}`;
