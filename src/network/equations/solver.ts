import { ControlledSolver } from "./control-solver.js";
import type { Equations } from "./equations.js";
import { type Solved, type SolveLimits, Solver } from "./gradient-solver.js";
import type { Answer } from "./state.js";
import { CoupledSolver } from "./tee-solver.js";

/** A search for the answer of a network's equations; itself the state that it has reached. */
export interface NetworkSolver extends Answer {
  startCold(): void;
  startFrom(answer: Answer): void;
  solve(limits: SolveLimits): Solved;
}

/** The solver that a network's equations ask for. */
export const solverOf = (equations: Equations): NetworkSolver => {
  const solver = equations.teeBranch.length === 0 ? new Solver(equations) : new CoupledSolver(equations);
  return equations.controls.length === 0 ? solver : new ControlledSolver(equations, solver);
};
