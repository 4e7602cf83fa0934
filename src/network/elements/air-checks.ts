import { airState } from "../../air/state.js";
import { InputError } from "../../core/errors.js";
import type { AirPart } from "../format/air.js";
import type { ElementProblem } from "../results/element-problem.js";
import { completeAir } from "./climate.js";

/** What checks of arguments find, by the codes of a document. */
const documentCodes: Readonly<Record<string, string>> = { "out-of-range": "value.range", conflict: "key.conflict" };

/** Runs a check of arguments, and gives what it threw as problems below a key. */
export const argumentProblems = (key: string, check: () => void): ElementProblem[] => {
  try {
    check();
    return [];
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.problems.map((problem) => ({
      code: documentCodes[problem.code] ?? problem.code,
      key: problem.path === "" ? key : `${key}.${problem.path}`,
      expected: problem.expected ?? problem.message,
      found: problem.found ?? "it",
    }));
  }
};

/** Faults of an element's air that no single key shows: two pressures, vapour above the pressure. */
export const airProblems = (air: AirPart | undefined, base: AirPart, key: string): ElementProblem[] =>
  air === undefined ? [] : argumentProblems(key, () => airState(completeAir(air, base)));
