import { requireRange } from "../core/ranges.js";
import { assemble, type System } from "./assemble.js";
import { type Network, type NetworkDocument, parseNetwork } from "./document.js";
import type { Solution } from "./results.js";
import { type SolveLimits, Solver } from "./solver.js";
import { networkWarnings } from "./warnings.js";

/** How a network is solved. */
export interface SolveOptions {
  /**
   * Times the standard tolerance of 1e-9 of the largest mass flow (or 1e-12 kg/s, the larger) and 1e-6 Pa [-]: 1e-4 to
   * 1, default 1.
   */
  readonly tolerance?: number;
  /** Newton steps allowed, 1 or more; default 200. A network of any size takes about ten. */
  readonly maxIterations?: number;
}

const defaults = { tolerance: 1, maxIterations: 200 };

/** The options with defaults, checked. */
export const limitsOf = (options: SolveOptions = {}): Required<SolveOptions> => {
  const limits = { ...defaults, ...options };
  requireRange("tolerance", limits.tolerance, { min: 1e-4, max: 1 });
  requireRange("maxIterations", limits.maxIterations, { min: 1 });
  return limits;
};

/**
 * Solves a network: the flow in every duct, the pressure at every node, where each fan runs.
 *
 * @param network - A parsed network, or a document, which is parsed first.
 * @param options - `tolerance` [-] and `maxIterations` [-].
 * @returns The solution in SI [m³/s, kg/s, Pa, W, m/s], plain data, by id. Mass is conserved at every node within 1e-9 of
 *   the largest mass flow (or 1e-12 kg/s), and every element obeys its law within 1e-6 Pa, both times `tolerance`.
 *   Equal input gives equal bits.
 * @throws DocumentError for a wrong document; InputError `out-of-range` for wrong options; SolveError when no answer meets
 *   the tolerance, with its status, what was tried, and the node and duct where it is worst.
 *
 * Source: global gradient method, Todini and Pilati 1988 (memory); laws as in docs/physics.md.
 * @example solveNetwork(document).terminals.bedroom.flow; // m³/s
 */
export function solveNetwork(network: Network | NetworkDocument, options?: SolveOptions): Solution {
  const limits = limitsOf(options);
  const parsed = parseNetwork(network);
  const solution = solveSystem(assemble(parsed), limits);
  solution.warnings.push(...networkWarnings(parsed, solution));
  return solution;
}

/** Solves the equations and lets every element report. */
export const solveSystem = ({ equations, blocks }: System, limits: SolveLimits): Solution => {
  const solver = new Solver(equations);
  const convergence = solver.solve(limits);
  const solution: Solution = {
    ducts: {},
    nodes: {},
    terminals: {},
    openings: {},
    fans: {},
    airHandlers: {},
    convergence,
    warnings: [],
  };
  for (const block of blocks) block.report(solver, solution);
  return solution;
};
