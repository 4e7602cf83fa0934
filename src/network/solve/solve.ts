import { SolveError } from "../../core/errors.js";
import { requireAll } from "../../core/gather.js";
import { readObject, requireKeys } from "../../core/keys.js";
import { requireRange, requireWhole } from "../../core/ranges.js";
import { layoutOf, type Network, type NetworkDocument, parseNetwork } from "../document/document.js";
import type { SolveLimits } from "../equations/gradient-solver.js";
import type { NetworkSolver } from "../equations/solver.js";
import { solverOf } from "../equations/solver.js";
import type { Answer } from "../equations/state.js";
import type { Convergence, Solution } from "../results/solution.js";
import { assemble, type System } from "./assemble.js";
import { markNoEffect } from "./open-end-sensors.js";
import { requireSolution } from "./solution-check.js";
import { networkWarnings } from "./warnings.js";

/** How a network is solved. */
export interface SolveOptions {
  /** A solution of this or a similar network, from which the solve starts where ids agree. */
  readonly start?: Solution;
  /**
   * Times the standard tolerance of 1e-9 of the largest mass flow (or 1e-12 kg/s, the larger) and 1e-6 Pa [-]: 1e-4 to
   * 1, default 1.
   */
  readonly tolerance?: number;
  /**
   * Newton steps allowed [-], a whole number, 1 or more; default 200. A network of any size takes about ten. If speeds
   * of controlled fans must be sought one at a time, five times as many are allowed.
   */
  readonly maxIterations?: number;
}

/** The limits of a solve with defaults, checked. */
export const limitsOf = ({ tolerance = 1, maxIterations = 200 }: SolveOptions = {}): SolveLimits => {
  requireAll(
    () => requireRange("tolerance", tolerance, { min: 1e-4, max: 1 }),
    () => requireWhole("maxIterations", maxIterations),
  );
  return { tolerance, maxIterations };
};

/**
 * Solves a network: the flow in every duct, the pressure at every node, where each fan runs.
 *
 * A network may have several answers: fans whose curves have a hump, controllers at their limits. This gives one, that near
 * its start, and does not look for others: `convergence.otherStates` says that the solve has met one on its way, and its
 * absence says nothing. `systemCurve` shows all of one fan, each with whether it is stable.
 *
 * @param network - A parsed network, or a document, which is parsed first.
 * @param options - `start`, a solution to begin from; `tolerance` [-], 1e-4 to 1; `maxIterations` [-], whole, 1 or more.
 * @returns The solution in SI [m³/s, kg/s, Pa, W, m/s], plain data, by id. Mass is conserved at every node within 1e-9 of
 *   the largest mass flow (or 1e-12 kg/s), and every element obeys its law within 1e-6 Pa, both times `tolerance`.
 *   Equal input gives equal bits.
 * @throws DocumentError for a wrong document; InputError `out-of-range` or `unknown-key` for wrong options,
 *   `not-an-object` for a start that is no solution; SolveError when no answer meets the tolerance, with its status,
 *   what was tried, and the worst node and duct.
 *
 * Source: global gradient method, Todini and Pilati 1988 (memory); laws as in docs/physics.md.
 * @example solveNetwork(document).terminals.bedroom.flow; // m³/s
 */
export function solveNetwork(network: Network | NetworkDocument, options: SolveOptions = {}): Solution {
  const given = readObject("options", options);
  requireAll(
    () => requireKeys("options", given, ["start", "tolerance", "maxIterations"]),
    () => {
      if (given.start !== undefined) requireSolution("start", given.start);
    },
    () => limitsOf(given),
  );
  const parsed = parseNetwork(network);
  const system = assemble(layoutOf(parsed));
  const solver = solverOf(system.equations);
  const start = given.start === undefined ? undefined : resumed(system, given.start);
  const convergence = solveFrom(solver, start, limitsOf(given));
  return solutionOf(parsed, system, solver, convergence);
}

/** A cold start, with all that a solution knows of its elements. */
export const resumed = ({ equations, elements }: System, known: Solution): Answer => {
  const start = {
    massFlow: equations.startFlow.slice(),
    pressure: equations.fixedPressure.slice(),
    speed: equations.startSpeeds(),
  };
  elements.resume(known, start);
  return start;
};

/**
 * Solves from a start, and from the cold one where there is none or where it leads nowhere.
 *
 * @throws SolveError when no answer meets the tolerance; its diagnostics say what was tried.
 */
export const solveFrom = (solver: NetworkSolver, start: Answer | undefined, limits: SolveLimits): Convergence => {
  const tried: string[] = [];
  if (start !== undefined) {
    try {
      solver.startFrom(start);
      return solver.solve(limits);
    } catch (error) {
      if (!(error instanceof SolveError)) throw error;
      tried.push(`Newton steps from an earlier answer: ${error.status}`);
    }
  }
  try {
    solver.startCold();
    return solver.solve(limits);
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    tried.push(`Newton steps from the cold start: ${error.status}`, ...error.diagnostics.tried);
    throw new SolveError(error.status, error.message, { ...error.diagnostics, tried });
  }
};

/** A solution with nothing in it yet. */
export const emptySolution = (convergence: Convergence): Solution => ({
  ducts: {},
  nodes: {},
  terminals: {},
  openings: {},
  fans: {},
  airHandlers: {},
  convergence,
  warnings: [],
});

/** The named solution of a solved state. */
export const solutionOf = (
  network: Network,
  { elements, layout }: System,
  answer: Answer,
  convergence: Convergence,
): Solution => {
  const solution = emptySolution({ ...convergence });
  elements.reportAll(answer, solution);
  requireFinite(solution);
  markNoEffect(network, solution);
  for (const warning of networkWarnings(network, layout, solution)) solution.warnings.push(warning);
  return solution;
};

/** A solution never holds a number that is none: results of absurd sizes may overflow where the equations did not. */
const requireFinite = ({ convergence, ducts, ...others }: Solution): void => {
  const refuse = (path: string): never => {
    const { iterations, massResidual, pressureResidual } = convergence;
    const message = `The network was not solved: a result left the finite range at '${path}'`;
    const tried = ["naming the results"];
    throw new SolveError("not-finite", message, { iterations, massResidual, pressureResidual, tried });
  };
  const results = Object.values(ducts);
  for (let d = 0; d < results.length; d++) {
    const duct = results[d];
    // All others are parts of these.
    const sum = duct.totalLoss + duct.reynolds + duct.inlet.staticPressure + duct.outlet.staticPressure;
    if (Number.isFinite(sum + (duct.frictionFactor ?? 0))) continue;
    refuse(`ducts.${Object.keys(ducts)[d]}`);
  }
  const walk = (value: unknown, path: string): void => {
    if (typeof value === "number" && !Number.isFinite(value)) refuse(path);
    if (typeof value === "object" && value !== null)
      for (const key in value) walk(value[key as never], `${path}.${key}`);
  };
  for (const id in others.nodes) {
    const { losses } = others.nodes[id];
    if (losses !== undefined) walk(losses.paths, `nodes.${id}.losses.paths`);
  }
  for (const list of ["terminals", "openings", "fans", "airHandlers"] as const) walk(others[list], list);
};
