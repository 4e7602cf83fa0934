import { readdirSync, readFileSync } from "node:fs";
import fc from "fast-check";
import { DocumentError, type Network, parseNetwork, type Solution, SolveError, solveNetwork } from "../../src/index.js";
import { controlledDocument } from "./control-networks.js";
import { evaluate, expectSolved } from "./evaluator.js";
import { recoveringHouse } from "./fuzz-bases.js";
import { mutated, Random } from "./mutate.js";
import { asTexts, networks } from "./networks.js";
import { recoveringNetworks } from "./recovering-networks.js";

/** How a document ended, in a word: `solution`, `DocumentError`, `SolveError` with its status, or what went wrong. */
export interface Outcome {
  readonly ending: string;
  /** Anything else than an answer that keeps the laws, or one of the two errors in good order. */
  readonly fault?: string;
  readonly milliseconds: number;
}

const shortly = (error: unknown): string => {
  if (!(error instanceof Error)) return `thrown: ${String(error)}`;
  const actual = "actual" in error ? ` (${JSON.stringify(error.actual)})` : "";
  return `${error.name}: ${error.message}${actual}`.slice(0, 1000);
};

const faultOf = (error: DocumentError | SolveError): string | undefined => {
  if (error.message === "" || /undefined|\[object/.test(error.message)) return `its message: ${error.message}`;
  if (error instanceof DocumentError) {
    const whole = error.problems.every(({ code, message }) => /^[a-z.-]+$/.test(code) && message.length > 0);
    return error.problems.length > 0 && whole ? undefined : `its problems: ${JSON.stringify(error.problems)}`;
  }
  const { iterations, massResidual = 0, pressureResidual = 0 } = error.diagnostics;
  return Number.isFinite(iterations + massResidual + pressureResidual) ? undefined : "no number in its diagnostics";
};

/** Whether all numbers are of a size that a building could have; beyond, the records of an answer drown in rounding. */
const isThinkable = (value: unknown, key = ""): boolean => {
  if (typeof value === "number") {
    const size = Math.abs(value);
    return size === 0 || (size >= 1e-6 && size <= (key === "pressure" ? 2e5 : 1e4));
  }
  if (typeof value !== "object" || value === null) return true;
  return Object.entries(value).every(([inner, item]) => isThinkable(item, inner));
};

/** What is wrong with an answer. Of a network that no building could have, it keeps mass and holds numbers only. */
const faultOfAnswer = (network: Network, solution: Solution): string | undefined => {
  try {
    expectSolved(network, solution);
    return undefined;
  } catch (error) {
    if (isThinkable(network)) return shortly(error);
    const { massResidual, largestMassFlow, problems } = evaluate(network, solution);
    const noNumber = problems.find((text) => text.includes("a number or no such key"));
    return massResidual <= Math.max(1e-8 * largestMassFlow, 1e-12) ? noNumber : shortly(error);
  }
};

/** Reads and solves a document, and judges how that ended. */
export const outcomeOf = (document: unknown): Outcome => {
  const start = performance.now();
  const timed = (ending: string, fault?: string): Outcome => {
    const milliseconds = performance.now() - start;
    return { ending, milliseconds, ...(fault === undefined ? {} : { fault }) };
  };
  let network: Network;
  let solution: Solution;
  try {
    network = parseNetwork(document);
  } catch (error) {
    return error instanceof DocumentError ? timed("DocumentError", faultOf(error)) : timed("other", shortly(error));
  }
  try {
    solution = solveNetwork(network);
  } catch (error) {
    if (error instanceof SolveError) return timed(`SolveError ${error.status}`, faultOf(error));
    return timed("other", shortly(error));
  }
  const solved = timed("solution");
  const fault = faultOfAnswer(network, solution);
  return fault === undefined ? solved : { ...solved, ending: "other", fault };
};

const documentsIn = (folder: string): object[] => {
  const url = new URL(`../../${folder}/`, import.meta.url);
  const files = readdirSync(url).filter((file) => file.endsWith(".json"));
  return files.sort().map((file) => JSON.parse(readFileSync(new URL(file, url), "utf8")));
};

/** The documents that are mutated: those with known answers, the examples, and random ones, a third of them in texts. */
const bases = [
  ...documentsIn("tests/networks/independent"),
  ...documentsIn("tests/networks/independent-tees"),
  ...documentsIn("tests/networks/published"),
  ...Array.from({ length: 30 }, (_, i) => controlledDocument(i + 1)),
  ...documentsIn("examples/hostel"),
  ...fc.sample(networks({ humps: true, short: true }), { seed: 1, numRuns: 100 }),
  ...fc.sample(networks().map(asTexts), { seed: 2, numRuns: 50 }),
  ...Array.from({ length: 10 }, () => recoveringHouse),
  ...fc.sample(recoveringNetworks({ humps: true, short: true }), { seed: 3, numRuns: 40 }),
];

/** The mutant of a number; equal numbers give equal mutants. */
export const mutantOf = (seed: number): unknown => {
  const random = new Random(seed);
  return mutated(random.pick(bases), random);
};

/** What came of many mutants. */
export interface Campaign {
  readonly summary: string;
  /** Those that ended in no good way, by their seeds. */
  readonly faults: readonly string[];
}

/** Mutates documents, one for each seed from the first, and sees how each ends. */
export const fuzz = (firstSeed: number, count: number): Campaign => {
  const endings = new Map<string, number>();
  const faults: string[] = [];
  let slowest = 0;
  for (let seed = firstSeed; seed < firstSeed + count; seed += 1) {
    const { ending, fault, milliseconds } = outcomeOf(mutantOf(seed));
    endings.set(ending, (endings.get(ending) ?? 0) + 1);
    if (fault !== undefined) faults.push(`seed ${seed}: ${ending}: ${fault}`);
    slowest = Math.max(slowest, milliseconds);
  }
  const counts = [...endings].sort().map(([ending, number]) => `${number} ${ending}`);
  const summary = `fuzz: seeds from ${firstSeed}, ${count} documents: ${counts.join(", ")}; slowest ${Math.round(slowest)} ms`;
  return { summary, faults };
};
