import { type NetworkDocument, parseNetwork, type Solution, solveNetwork } from "../../src/index.js";
import { expectSolved } from "./evaluator.js";

/** Solves a document closely, holds the answer to the laws by the second evaluator, and gives it. */
export const solved = (document: Omit<NetworkDocument, "format">): Solution => {
  const network = parseNetwork({ format: "ductgraph/1", ...document });
  const solution = solveNetwork(network, { tolerance: 1e-3 });
  expectSolved(network, solution, 1e-3);
  return solution;
};

/** A duct of 100 mm that loses nothing by itself, so that what is left can be reckoned by hand. */
export const bare = (id: string, from: string, to: string, more: object = {}) => ({
  id,
  from,
  to,
  length: 1,
  frictionFactor: 0,
  section: { diameter: 0.1 },
  ...more,
});

/** Area of such a duct [m²]. */
export const bareArea = Math.PI * 0.0025;

/** Codes of the warnings of a solution. */
export const codesOf = ({ warnings }: Solution): string[] => warnings.map(({ code }) => code);
