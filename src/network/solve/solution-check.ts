import { InputError, problemOf } from "../../core/errors.js";
import { thrownBy } from "../../core/gather.js";
import { requireObject } from "../../core/keys.js";
import type { Network } from "../document/document.js";
import { kindOf } from "../elements/kinds/list.js";
import { isTerminal } from "../elements/kinds/terminal.js";
import type { Solution } from "../results/solution.js";

const tables = ["ducts", "nodes", "terminals", "openings", "fans", "airHandlers"] as const;

/**
 * Throws InputError `not-an-object` unless an argument, its tables and their entries are objects that can be read, as in
 * a solution.
 */
export const requireSolution = (name: string, solution: Solution): void => {
  try {
    requireTables(name, solution);
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError([problemOf("not-an-object", name, "an object that can be read", "one that throws")]);
  }
};

const requireTables = (name: string, solution: Solution): void => {
  requireObject(name, solution);
  for (const table of tables) requireObject(`${name}.${table}`, solution[table]);
  const problems = tables.flatMap((table) =>
    Object.entries<unknown>(solution[table]).flatMap(([id, entry]) =>
      thrownBy(() => requireObject(`${name}.${table}.${id}`, entry)),
    ),
  );
  if (problems.length > 0) throw new InputError(problems);
};

/** Whether a table has an entry of its own under a key, with these numbers in it. */
const holds = (table: unknown, key: string, ...numbers: readonly string[]): boolean => {
  if (typeof table !== "object" || table === null || !Object.hasOwn(table, key)) return false;
  const entry = (table as Readonly<Record<string, Readonly<Record<string, unknown>> | null>>)[key];
  return typeof entry === "object" && entry !== null && numbers.every((one) => Number.isFinite(entry[one]));
};

/** Where the solution of a network would have results that this one lacks. */
function* missing({ nodes, ducts }: Network, solution: Solution): Generator<string> {
  for (const { id } of ducts) {
    if (!holds(solution.ducts, id, "massFlow", "totalLoss", "buoyancy")) yield `ducts.${id}`;
  }
  for (const node of nodes) {
    const { id } = node;
    const kind = kindOf(node);
    const ports = kind.ports(node);
    if (!holds(solution.nodes, id, ...(ports.length === 0 ? ["totalPressure"] : []))) yield `nodes.${id}`;
    else {
      for (const port of ports) {
        if (!holds(solution.nodes[id].ports, port, "totalPressure")) yield `nodes.${id}.ports.${port}`;
      }
    }
    if (isTerminal(node) && !holds(solution.terminals, id, "flow", "massFlow")) yield `terminals.${id}`;
    for (const { name } of kind.fans(node)) if (!holds(solution.fans, name, "massFlow")) yield `fans.${name}`;
  }
}

/**
 * Throws InputError `solution.mismatch` unless a solution has results for the nodes, ducts, terminals and fans of a
 * network, and `not-an-object` when it is none at all.
 */
export const requireSolutionOf = (network: Network, solution: Solution): void => {
  requireSolution("solution", solution);
  const [first] = missing(network, solution);
  if (first === undefined) return;
  const path = `solution.${first}`;
  const found = `one without numbers for '${first}'`;
  throw new InputError([problemOf("solution.mismatch", path, "the solution of this network", found)]);
};
